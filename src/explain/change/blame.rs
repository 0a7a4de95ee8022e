//! Which part did it: the parts that differ, named by what is different about them.

use crate::bench::change::supply_part::SupplyPart;
use crate::bench::change::{LimitChange, Turn};
use crate::explain::limits::capacitor_name;
use crate::explain::limits::words::words;
use crate::explain::number;
use crate::parts::{SeriesElement, Supply, Volts, WindingVolts};

/// Who turned a limit: `the larger C1 breaks the rectifier's rating`.
pub(super) fn turned(change: &LimitChange, before: &Supply, after: &Supply) -> String {
    let what = words(change.limit).owner;
    let names: Vec<String> = change
        .turned_by
        .iter()
        .map(|part| name(*part, before, after))
        .collect();
    let broken = change.turn == Turn::NewlyBroken;
    match names.as_slice() {
        [] if broken => format!("only all changes together break {what}"),
        [] => format!("only all changes together mend {what}"),
        [only] if broken => format!("{only} breaks {what}"),
        [only] => format!("{only} mends {what}"),
        [first, rest @ ..] => {
            let verb = if broken { "breaks" } else { "mends" };
            format!(
                "{first} alone {verb} {what}, and so does {}",
                rest.join(", and ")
            )
        }
    }
}

/// A part that differs, by what is different about it: `the larger C1`, `the 6080 in place of the EL34`.
pub(super) fn name(part: SupplyPart, before: &Supply, after: &Supply) -> String {
    match part {
        SupplyPart::MainsNow => graded(
            before.mains.present.0,
            after.mains.present.0,
            ["higher", "lower"],
            "mains",
        ),
        SupplyPart::MainsRange => mains_range(before, after),
        SupplyPart::WindingVolts => winding(before, after),
        SupplyPart::TransformerRest => "the transformer's other resistances and ratings".to_owned(),
        SupplyPart::RectifierType => {
            in_place_of(&before.rectifier.kind.name, &after.rectifier.kind.name)
        }
        SupplyPart::RectifierCircuit => rectifier_circuit(before, after),
        SupplyPart::FilterShape => "the filter with other sections".to_owned(),
        SupplyPart::Capacitor(n) => capacitor(n, before, after),
        SupplyPart::Series(n) => series(n, before, after),
        SupplyPart::Bleeder => match (before.filter.bleeder, after.filter.bleeder) {
            (Some(a), Some(b)) => graded(a.0, b.0, ["larger", "smaller"], "bleeder"),
            (None, _) => "the added bleeder".to_owned(),
            (_, None) => "the missing bleeder".to_owned(),
        },
        SupplyPart::InternalCurrent => graded(
            before.filter.internal_current.0,
            after.filter.internal_current.0,
            ["larger", "smaller"],
            "internal current",
        ),
        SupplyPart::PassTube => {
            in_place_of(&before.pass_stage.tube.name, &after.pass_stage.tube.name)
        }
        SupplyPart::PassUnits => format!(
            "the step from {} to {} pass tube units",
            before.pass_stage.units, after.pass_stage.units
        ),
        SupplyPart::PassCircuit => "the other circuit around the pass tubes".to_owned(),
        SupplyPart::ControlTube => match (&before.regulator, &after.regulator) {
            (Some(a), Some(b)) => in_place_of(&a.control_tube.name, &b.control_tube.name),
            _ => "the other control tube".to_owned(),
        },
        SupplyPart::BiasRail => bias_rail(before, after),
        SupplyPart::Regulator => match (&before.regulator, &after.regulator) {
            (None, _) => "the regulator that is now described".to_owned(),
            (_, None) => "the regulator that is no longer described".to_owned(),
            _ => "the other circuit of the regulator".to_owned(),
        },
        SupplyPart::Output => "the other output range, meter shunt or stand-by switch".to_owned(),
        SupplyPart::Accepted => "what is accepted as built".to_owned(),
    }
}

/// `the negative rail from a higher winding`, or what else is different about it.
fn bias_rail(before: &Supply, after: &Supply) -> String {
    let winding = |supply: &Supply| {
        let rail = supply.regulator.as_ref()?.bias_rail.as_ref()?;
        Some(supply.rail_volts(rail).0)
    };
    let on = |supply: &Supply| {
        let rail = supply.regulator.as_ref()?.bias_rail.as_ref()?;
        Some(rail.winding.own().is_some())
    };
    match (winding(before), winding(after)) {
        _ if on(before) != on(after) => match on(after) {
            Some(true) => "the negative rail from a winding of its own".to_owned(),
            _ => "the negative rail from the high-voltage winding".to_owned(),
        },
        (Some(a), Some(b)) if b > a => "the negative rail from a higher winding".to_owned(),
        (Some(a), Some(b)) if b < a => "the negative rail from a lower winding".to_owned(),
        _ => "the other negative rail".to_owned(),
    }
}

fn mains_range(before: &Supply, after: &Supply) -> String {
    let (a, b) = (&before.mains, &after.mains);
    match (a.low == b.low, a.high == b.high) {
        (true, false) => format!("high mains of {}", number::volts(b.high.0)),
        (false, true) => format!("low mains of {}", number::volts(b.low.0)),
        _ => "the other range of the mains".to_owned(),
    }
}

/// `the larger bleeder`, or `the other bleeder` where the number is the same.
fn graded(before: f64, after: f64, [more, less]: [&str; 2], what: &str) -> String {
    let word = if after > before {
        more
    } else if after < before {
        less
    } else {
        "other"
    };
    format!("the {word} {what}")
}

fn in_place_of(before: &str, after: &str) -> String {
    if before == after {
        format!("the {after} with other figures")
    } else {
        format!("the {after} in place of the {before}")
    }
}

fn winding(before: &Supply, after: &Supply) -> String {
    match (before.transformer.winding, after.transformer.winding) {
        (WindingVolts::OpenCircuit(a), WindingVolts::OpenCircuit(b))
            if before.transformer.primary_volts == after.transformer.primary_volts =>
        {
            let ([a1, a2], [b1, b2]) = (a.halves(), b.halves());
            let whole = |first: Volts, second: Volts| first.0 + second.0;
            match whole(b1, b2).total_cmp(&whole(a1, a2)) {
                core::cmp::Ordering::Greater => "the winding with more volts",
                core::cmp::Ordering::Less => "the winding with fewer volts",
                core::cmp::Ordering::Equal => "the winding with other halves",
            }
            .to_owned()
        }
        _ => "the other volts of the winding".to_owned(),
    }
}

fn rectifier_circuit(before: &Supply, after: &Supply) -> String {
    let (a, b) = (&before.rectifier, &after.rectifier);
    if a.connection != b.connection {
        "the other connection of the rectifier".to_owned()
    } else if a.in_series != b.in_series {
        format!(
            "the step from {} to {} diodes in series",
            a.in_series, b.in_series
        )
    } else if a.in_parallel == b.in_parallel {
        graded(
            a.plate_resistor.0,
            b.plate_resistor.0,
            ["larger", "smaller"],
            "plate resistor",
        )
    } else {
        format!(
            "the step from {} to {} rectifiers in parallel",
            a.in_parallel, b.in_parallel
        )
    }
}

fn capacitor(n: u8, before: &Supply, after: &Supply) -> String {
    let stack = |of: &Supply| {
        of.filter
            .stacks()
            .nth(usize::from(n))
            .map_or((0.0, 0.0), |s| {
                (
                    s.farads(),
                    s.working_volts
                        .as_ref()
                        .map_or(0.0, |v| v.value.0 * f64::from(s.in_series)),
                )
            })
    };
    let ((a, a_volts), (b, b_volts)) = (stack(before), stack(after));
    let what = capacitor_name(n, after);
    if (a - b).abs() > 1e-9 * a.abs() {
        graded(a, b, ["larger", "smaller"], &what)
    } else if (a_volts - b_volts).abs() > 1e-9 * a_volts.abs() {
        let word = if b_volts > a_volts { "higher" } else { "lower" };
        format!("{what} rated for {word} volts")
    } else {
        format!("{what} of another kind")
    }
}

fn series(n: u8, before: &Supply, after: &Supply) -> String {
    let at = usize::from(n);
    let pair = (
        before.filter.sections.get(at).map(|s| &s.series),
        after.filter.sections.get(at).map(|s| &s.series),
    );
    match pair {
        (Some(SeriesElement::Resistor(a)), Some(SeriesElement::Resistor(b))) => {
            graded(a.0, b.0, ["larger", "smaller"], "filter resistor")
        }
        (
            Some(SeriesElement::Choke { inductance: a, .. }),
            Some(SeriesElement::Choke { inductance: b, .. }),
        ) => graded(a.0, b.0, ["larger", "smaller"], "choke"),
        _ => "the other series part of the filter".to_owned(),
    }
}
