//! What is read at the bench, in words: what, where, how much, and how that stands to what was expected.

use crate::bench::diagnosis::{Compared, OFF, Remark};
use crate::bench::expected::Spot;
use crate::explain::number;
use crate::parts::Supply;
use crate::parts::readings::{Connected, Phase, Reading, What};
use crate::parts::spread::{Size, Unit};

/// What a reading is of, in lower case: `bus`, `second pass tube's cathode resistor`.
pub fn what(of: What, supply: &Supply) -> String {
    let numbered = |part: &str, number: u8| format!("{part} {number}");
    match of {
        What::KnobUp => "output, knob all the way up".to_owned(),
        What::StillHolds => "output that still holds".to_owned(),
        What::Output => "output".to_owned(),
        What::Droop => "fall of the output from no load".to_owned(),
        What::Bus => "bus".to_owned(),
        What::FirstCapacitor => "first capacitor".to_owned(),
        What::BusRipple => "bus ripple, peak to peak".to_owned(),
        What::FirstRipple => "first capacitor, alternating volts".to_owned(),
        What::Rail => "negative rail".to_owned(),
        What::RailRipple => "rail ripple, peak to peak".to_owned(),
        What::Reference => "reference".to_owned(),
        What::NegativeReference => "reference of the negative rail".to_owned(),
        What::PassGrid => "pass grid against cathode".to_owned(),
        What::CathodeResistor(unit) => numbered("cathode resistor of pass tube", unit),
        What::WindingVolts => "high-voltage winding, rectifier pulled".to_owned(),
        What::WindingOhms => "high-voltage winding, cold".to_owned(),
        What::ChokeOhms(section) => {
            let is_only_one = supply.filter.sections.len() <= 1;
            if is_only_one {
                "choke, cold".to_owned()
            } else {
                format!("choke of section {section}, cold")
            }
        }
        What::BleederOhms => "across the bus, cold and discharged".to_owned(),
        What::Capacitance(capacitor) => {
            format!("{}, one end off", capacitor_name(capacitor, supply))
        }
        What::Leak => "leak of the bus on a supply of your own".to_owned(),
    }
}

/// A capacitor by its place, counted from 1: `first capacitor`, `last capacitor`, `capacitor 2`.
pub fn capacitor_name(number: u8, supply: &Supply) -> String {
    let count = supply.filter.stacks().count();
    match number {
        1 if count > 1 => "first capacitor".to_owned(),
        1 => "bus capacitor".to_owned(),
        last if usize::from(last) == count => "last capacitor".to_owned(),
        other => format!("capacitor {other}"),
    }
}

/// A reading with where it is taken: `bus at 100 mA`.
pub fn spot(of: Spot, supply: &Supply) -> String {
    let name = what(of.what, supply);
    if !of.what.depends_on_load() {
        return name;
    }
    format!("{name} {}", load(of.load))
}

/// Where a reading is taken: `with nothing connected`, `into 2.2 kΩ`, `at 100 mA`.
pub fn load(of: Connected) -> String {
    match of {
        Connected::Nothing => "with nothing connected".to_owned(),
        Connected::Resistor(ohms) => format!("into {}", number::ohms(ohms.0)),
        Connected::Current(amps) => format!("at {}", number::amps(amps.0)),
    }
}

/// A reading's name with where it was taken.
pub fn name(of: &Reading, supply: &Supply) -> String {
    spot(Spot::of(of, supply), supply)
}

/// A value of what is read, to three or four figures: what a meter has more is noise.
pub fn value(of: What, si: f64) -> String {
    match of.unit() {
        Unit::Amps => number::amps(si),
        Unit::Ohms => number::ohms(si),
        Unit::Farads => number::farads(si),
        _ if si.abs() >= 100.0 => number::volts_four(si),
        _ => number::volts(si),
    }
}

/// What a meter said, as it was typed.
pub fn read(of: Size) -> String {
    of.to_string()
}

/// A value with its standard deviation, doubled: `391 V ± 12 V`.
pub fn band(of: What, si: f64, sigma: f64) -> String {
    format!("{} ± {}", value(of, si), small(of, 2.0 * sigma))
}

/// A spread to two figures, with its unit.
fn small(of: What, si: f64) -> String {
    let two: f64 = format!("{si:.1e}").parse().unwrap_or(si);
    match of.unit() {
        Unit::Amps => number::amps(two),
        Unit::Ohms => number::ohms(two),
        Unit::Farads => number::farads(two),
        _ => number::volts(two),
    }
}

/// How a reading stands to what was expected: `within`, `low by 3.1 σ`.
pub fn verdict(of: &Compared) -> String {
    if of.expected.is_none() {
        return "cannot be told".to_owned();
    }
    let off = of.off_by;
    if off.abs() <= OFF {
        "within".to_owned()
    } else {
        let side = if off > 0.0 { "high" } else { "low" };
        // Beyond that the figure says no more than "far".
        let by = off.abs().min(99.0);
        format!("{side} by {by:.1} σ")
    }
}

/// What is said of a reading besides.
pub fn remark(of: Remark, readings: &[Reading], supply: &Supply) -> String {
    let named = |number: usize| {
        let reading = readings.get(number);
        reading.map_or_else(String::new, |one| name(one, supply))
    };
    match of {
        Remark::MainsTaken(number, volts) => format!(
            "Reading {}, {}: no mains noted, {} taken",
            number + 1,
            named(number),
            number::volts_four(volts)
        ),
        Remark::AboveTheCrest(number, crest) => format!(
            "Reading {}, {}: cannot be, for the crest of the winding as described is {}; read it again, or the winding is another",
            number + 1,
            named(number),
            number::volts(crest)
        ),
        Remark::NotPredicted(number) => format!(
            "Reading {}, {}: does not count, for it cannot be told what this supply would show there",
            number + 1,
            named(number)
        ),
        Remark::AtTheKnobsEnd(number) => format!(
            "Reading {}, {}: at the end of the knob's range, so it only says that so much still holds",
            number + 1,
            named(number)
        ),
    }
}

/// A step of a plan, by what it is for.
pub fn phase(of: Phase) -> &'static str {
    match of {
        Phase::ColdInspection => "Cold inspection",
        Phase::Leakage => "Insulation and leakage",
        Phase::BringUp => "Bring-up",
        Phase::StandBy => "Stand-by",
        Phase::NoLoad => "Nothing connected",
        Phase::LightLoad => "Light load",
        Phase::Loaded => "Loaded",
        Phase::KnobUp => "Knob all the way up",
        Phase::HotChecks => "Readings inside",
        Phase::ZeroSetting => "Zero setting",
        Phase::MainsVariation => "Other mains",
        Phase::ShutDown => "Shut-down",
        Phase::Discharge => "Discharge",
    }
}
