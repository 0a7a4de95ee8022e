//! Meters, plan and readings: values that a bench can show, of parts that are there.

use crate::parts::check::{AMPS, Findings, MAINS_VOLTS, Problem, field};
use crate::parts::escape::{escaped, shortened};
use crate::parts::readings::{Connected, Reading, What};
use crate::parts::spread::{Size, Spread, Unit};
use crate::parts::{SeriesElement, Stage, Work};

/// More than anyone takes in an evening.
const MOST_READINGS: usize = 200;
/// Sets, steps and meters of one supply.
const MOST: usize = 50;
/// Output volts to which a knob is set (V).
const SETTINGS: std::ops::RangeInclusive<f64> = 0.0..=100e3;

pub(super) fn bench(work: &Work) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Dummies);
    let bench = &work.bench;
    for (name, count) in [
        ("meters", bench.meters.len()),
        ("plan", bench.plan.len()),
        ("sets", bench.sets.len()),
    ] {
        if count > MOST {
            let (found, expected) = (format!("{count}"), format!("at most {MOST}"));
            f.add(&field("bench", name), found, expected);
        }
    }
    for (k, meter) in bench.meters.iter().enumerate() {
        let path = format!("bench.meters[{k}].accuracy");
        if !is_sound(meter.accuracy) {
            f.add(
                &path,
                format!("\"{}\"", escaped(&shortened(&meter.accuracy.to_string()))),
                "up to 50 % of the reading or of full scale, such as \"2 % of 300 V\" or \"0.5 % + 2 digits of 0.1 V\"",
            );
        }
    }
    for (k, step) in bench.plan.iter().enumerate() {
        let path = format!("bench.plan[{k}]");
        load(&mut f, &path, step.load);
        f.within(&field(&path, "set"), &step.set, SETTINGS);
    }
    for (k, set) in bench.sets.iter().enumerate() {
        let path = format!("bench.sets[{k}]");
        f.within(&field(&path, "mains"), &set.mains, MAINS_VOLTS);
        if set.readings.len() > MOST_READINGS {
            let found = format!("{} readings", set.readings.len());
            f.add(
                &field(&path, "readings"),
                found,
                format!("at most {MOST_READINGS}"),
            );
        }
        for (n, reading) in set.readings.iter().enumerate() {
            one(&mut f, &format!("{path}.readings[{n}]"), work, reading);
        }
    }
    f.problems
}

fn one(f: &mut Findings, path: &str, work: &Work, reading: &Reading) {
    load(f, path, reading.load);
    f.within(&field(path, "set"), &reading.set, SETTINGS);
    f.within(&field(path, "mains"), &reading.mains, MAINS_VOLTS);
    let value = reading.value;
    let wanted = reading.what.unit();
    let (low, high) = range_of(reading.what);
    let value_path = field(path, "value");
    let shown = |si: f64| Size { si, unit: wanted }.to_string();
    if value.unit != wanted {
        let expected = format!("a value such as \"{}\"", shown(example(wanted)));
        f.add(
            &value_path,
            escaped(&shortened(&value.to_string())),
            expected,
        );
    } else if !(low..=high).contains(&value.si) {
        let expected = format!("{} to {}", shown(low), shown(high));
        f.add(
            &value_path,
            escaped(&shortened(&value.to_string())),
            expected,
        );
    }
    if let Some((found, expected)) = missing_part(work, reading.what) {
        f.add(&field(path, "what"), found, expected);
    }
    if let Some(meter) = &reading.meter
        && !work.bench.meters.iter().any(|known| known.name == *meter)
    {
        f.add(
            &field(path, "meter"),
            format!("\"{}\"", escaped(&shortened(meter))),
            "the name of a meter of this bench, or nothing for a usual hand multimeter",
        );
    }
}

fn load(f: &mut Findings, path: &str, load: Connected) {
    match load {
        Connected::Nothing => {}
        Connected::Resistor(ohms) => f.within(&field(path, "load"), &ohms, 0.1..=1e9),
        Connected::Current(amps) => f.within(&field(path, "load"), &amps, AMPS),
    }
}

fn is_sound(accuracy: Spread) -> bool {
    let share = |share: f64| (0.0..=0.5).contains(&share);
    match accuracy {
        Spread::Percent(part) => share(part.0),
        Spread::Absolute(half) => half.si >= 0.0 && half.si.is_finite(),
        Spread::Range(..) => false,
        Spread::OfFullScale(part, scale) => share(part.0) && scale.si > 0.0,
        Spread::Digits(part, _, digit) => share(part.0) && digit.si > 0.0 && digit.si.is_finite(),
    }
}

fn example(unit: Unit) -> f64 {
    match unit {
        Unit::Amps => 0.01,
        Unit::Farads => 47e-6,
        Unit::Ohms => 64.0,
        _ => 405.0,
    }
}

/// From where to where a meter can show it (SI).
fn range_of(what: What) -> (f64, f64) {
    match (what, what.unit()) {
        (What::PassGrid | What::Droop, _) => (-10e3, 10e3),
        (_, Unit::Ohms) => (0.0, 1e9),
        (_, Unit::Farads) => (0.0, 0.1),
        (_, Unit::Amps) => (0.0, 10.0),
        _ => (0.0, 100e3),
    }
}

/// What a reading is of that this supply does not have: found and expected.
fn missing_part(work: &Work, what: What) -> Option<(String, String)> {
    let supply = &work.supply;
    let at_most = |number: u8, count: usize, part: &str| {
        let is_there = number >= 1 && usize::from(number) <= count;
        (!is_there).then(|| (number.to_string(), format!("1 to {count}, {part}")))
    };
    match what {
        What::CathodeResistor(unit) => {
            at_most(unit, usize::from(supply.pass_stage.units), "a pass unit")
        }
        What::Capacitance(capacitor) => at_most(
            capacitor,
            supply.filter.stacks().count(),
            "a capacitor, counted from the rectifier to the bus",
        ),
        What::ChokeOhms(section) => {
            let number = usize::from(section).checked_sub(1);
            let found = number.and_then(|number| supply.filter.sections.get(number));
            let is_choke =
                found.is_some_and(|one| matches!(one.series, SeriesElement::Choke { .. }));
            (!is_choke).then(|| {
                let expected = "the number of a section with a choke, counted from 1";
                (section.to_string(), expected.to_owned())
            })
        }
        _ => None,
    }
}
