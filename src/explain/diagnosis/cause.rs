//! The names of the causes.

use crate::bench::diagnosis::Suspect;
use crate::bench::diagnosis::cause::{Cause, Range, Row, SizeOf};
use crate::explain::{number, readings, sentence_case};
use crate::parts::regulator::Side;
use crate::parts::{Connection, Supply};

/// How a verb goes with its subject.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verb {
    /// One thing.
    One,
    /// Several.
    Many,
}

impl Verb {
    /// `explains` or `explain`.
    pub fn explains(self) -> &'static str {
        match self {
            Self::One => "explains",
            Self::Many => "explain",
        }
    }

    /// `does not explain` or `do not explain`.
    pub fn does_not(self) -> &'static str {
        match self {
            Self::One => "does not explain",
            Self::Many => "do not explain",
        }
    }
}

/// A cause by its name, in lower case: `weak pass tubes`, `a dried-out first capacitor`.
pub fn name(of: Cause, unit: u8, supply: &Supply) -> String {
    let capacitor = |k: u8| readings::capacitor_name(k.saturating_add(1), supply);
    let choke = |k: u8| {
        if supply.filter.sections.len() <= 1 {
            "the choke".to_owned()
        } else {
            format!("the choke of section {}", k + 1)
        }
    };
    match of {
        Cause::Nothing => "nothing beyond tolerances".to_owned(),
        Cause::PassWeak => "weak pass tubes".to_owned(),
        Cause::OnePassWeak => format!("pass tube {} weak by itself", unit + 1),
        Cause::OnePassDead => format!("pass tube {} dead", unit + 1),
        Cause::PassAmplification => "pass tubes of a lower µ, another kind".to_owned(),
        Cause::PassGrids => "pass grids that do not come up".to_owned(),
        Cause::RectifierWeak => "a weak rectifier".to_owned(),
        Cause::DeadPlate if supply.rectifier.connection == Connection::Bridge => {
            "an open leg of the bridge".to_owned()
        }
        Cause::DeadPlate => "a dead rectifier plate or half-winding".to_owned(),
        Cause::WindingPath => "resistance in the winding's path".to_owned(),
        Cause::WindingLow => "a winding of fewer volts".to_owned(),
        Cause::WindingHigh => "a winding of more volts".to_owned(),
        Cause::CapacitorDried(k) => format!("a dried-out {}", capacitor(k)),
        Cause::UnitShorted(k) => format!("a shorted unit of the {}", capacitor(k)),
        Cause::ChokeTurns(k) => format!("shorted turns in {}", choke(k)),
        Cause::ChokePath(k) => format!("resistance in the path of {}", choke(k)),
        Cause::Leak => "a leak at the bus".to_owned(),
        Cause::BleederOpen => "an open bleeder".to_owned(),
        Cause::RailLow => "a rail winding of fewer volts".to_owned(),
        Cause::RailDried => "a dried-out rail capacitor".to_owned(),
        Cause::ReferenceLow(side) => format!("{} that stands low", reference(side)),
        Cause::ReferenceHigh(side) => format!("{} that stands high", reference(side)),
        Cause::ControlWeak => "a weak control tube".to_owned(),
        Cause::Ammeter => "an ammeter that is off".to_owned(),
        Cause::DirectMeter => "a meter that is off on direct volts".to_owned(),
        Cause::AlternatingMeter => {
            "a meter that is off on alternating volts, the mains with it".to_owned()
        }
    }
}

fn reference(side: Side) -> &'static str {
    match side {
        Side::Positive => "a reference",
        Side::Negative => "a reference of the negative rail",
    }
}

/// A cause with its size and standard deviation: `pass tubes at 70 % ± 7 %`.
pub fn sized(one: &Suspect, supply: &Supply) -> String {
    let (size, error) = (one.size, one.error);
    let of = one.row.size_of;
    match one.row.range {
        Range::There => name(one.row.cause, one.unit, supply),
        _ => with_size(one.row, one.unit, &amount(of, size, Some(error)), supply),
    }
}

/// The same with a size alone.
pub(super) fn at_size(row: Row, unit: u8, size: f64, supply: &Supply) -> String {
    match row.range {
        Range::There => name(row.cause, unit, supply),
        _ => with_size(row, unit, &amount(row.size_of, size, None), supply),
    }
}

fn with_size(row: Row, unit: u8, amount: &str, supply: &Supply) -> String {
    let capacitor = |k: u8| readings::capacitor_name(k.saturating_add(1), supply);
    match row.cause {
        Cause::PassWeak => format!("pass tubes at {amount}"),
        Cause::OnePassWeak => format!("pass tube {} at {amount}", unit + 1),
        Cause::PassAmplification => format!("pass tubes with a µ of {amount} of their type's"),
        Cause::PassGrids => format!("pass grids that stop at {amount}"),
        Cause::RectifierWeak => format!("a rectifier that drops {amount} its volts"),
        Cause::WindingPath => format!("a winding with {amount} its resistance"),
        Cause::WindingLow | Cause::WindingHigh => format!("a winding at {amount} of its volts"),
        Cause::CapacitorDried(k) => format!("a {} at {amount}", capacitor(k)),
        Cause::ChokeTurns(_) => format!("a choke at {amount} of its inductance"),
        Cause::ChokePath(_) => format!("a choke with {amount} its resistance"),
        Cause::Leak => format!("a leak of {amount} at the bus"),
        Cause::RailLow => format!("a rail winding at {amount} of its volts"),
        Cause::RailDried => format!("a rail capacitor at {amount}"),
        Cause::ReferenceLow(side) | Cause::ReferenceHigh(side) => {
            format!("{} at {amount} of its volts", reference(side))
        }
        Cause::ControlWeak => format!("a control tube at {amount}"),
        Cause::Ammeter => format!("an ammeter that reads {amount}"),
        Cause::DirectMeter => format!("a meter that reads direct volts {amount}"),
        Cause::AlternatingMeter => format!("a meter that reads alternating volts {amount}"),
        other => name(other, unit, supply),
    }
}

/// A size as it is said.
fn amount(of: SizeOf, size: f64, error: Option<f64>) -> String {
    let with = |value: String, error_of: &dyn Fn(f64) -> String| match error {
        Some(error) => format!("{value} ± {}", error_of(error)),
        None => value,
    };
    let per_cent = |share: f64| format!("{:.0} %", 100.0 * share);
    match of {
        SizeOf::Share => with(per_cent(size), &|e| {
            format!("{:.0} %", (100.0 * e).max(1.0))
        }),
        SizeOf::Factor => format!(
            "{} times",
            with(format!("{size:.1}"), &|e| format!("{:.1}", e.max(0.1)))
        ),
        SizeOf::Volts => with(number::volts(size), &|e| number::volts(one_figure(e))),
        SizeOf::Amps => with(number::amps(size), &|e| number::amps(one_figure(e))),
        SizeOf::Error => {
            let side = if size > 0.0 { "high" } else { "low" };
            let by = |share: f64| format!("{:.1} %", 100.0 * share.abs());
            format!("{} {side}", with(by(size), &by))
        }
    }
}

fn one_figure(value: f64) -> f64 {
    format!("{value:.0e}").parse().unwrap_or(value)
}

/// A cause at the start of a sentence, and how its verb goes.
pub fn sized_as_subject(one: &Suspect, supply: &Supply) -> (String, Verb) {
    let verb = match one.row.cause {
        Cause::PassWeak | Cause::PassAmplification | Cause::PassGrids => Verb::Many,
        _ => Verb::One,
    };
    (sentence_case(&sized(one, supply)), verb)
}

/// From where to where a cause goes, as the table has it.
pub fn range(row: &Row) -> String {
    let one = |size: f64| amount(row.size_of, size, None);
    match row.range {
        Range::There => "is there or not".to_owned(),
        Range::Between(from, to) => format!("{} to {}", one(from), one(to)),
        Range::Either([a, b], [c, d]) => {
            format!("{} to {}, or {} to {}", one(a), one(b), one(c), one(d))
        }
    }
}

/// What a cause with a danger of its own means for whoever opens the chassis.
pub fn danger(of: Cause) -> Option<&'static str> {
    match of {
        Cause::UnitShorted(_) => Some(
            "the units that are left bear its volts too. Do not run it; plug out, discharge, measure across each unit cold",
        ),
        Cause::BleederOpen => Some(
            "the bus stays charged after switch-off. Plug out, discharge through a resistor and measure it dead each time",
        ),
        Cause::Leak => Some(
            "a leaking electrolytic heats and may burst. Do not leave it running; reform or replace it",
        ),
        _ => None,
    }
}
