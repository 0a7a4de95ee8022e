//! Resistors: those that a load is wired of, and those in the drawer.

use std::ops::RangeInclusive;

use crate::parts::check::{Findings, Problem, VOLTS, bounds};
use crate::parts::drawer::{Drawer, MOST};
use crate::parts::{Dummy, MadeOf, Ohms, Resistor, Stage};

/// Resistors that one load is wired of.
const MOST_IN_LOAD: usize = 32;
const WATTS: RangeInclusive<f64> = 1e-3..=1e6;
/// How far what is written as a load's resistance may be off what its resistors give: as it is rounded.
const ROUNDING: f64 = 1e-3;

/// Every problem of a drawer, with the path of its field.
pub(in crate::parts) fn drawer(drawer: &Drawer) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Dummies);
    for (index, owned) in drawer.resistors.iter().enumerate() {
        let path = format!("resistors[{index}]");
        f.within(
            &format!("{path}.count"),
            &owned.count,
            1.0..=f64::from(MOST),
        );
        resistor(&mut f, &path, &owned.resistor);
    }
    f.problems
}

fn resistor(f: &mut Findings, path: &str, resistor: &Resistor) {
    bounds!(f, path, resistor, {
        resistance: 0.1..=1e9,
        power: WATTS,
        working_volts: VOLTS,
        tolerance: 0.0..=0.9,
        derating: 1e-3..=1.0,
    });
}

/// What a load is wired of must give its resistance.
pub(super) fn make_up(f: &mut Findings, index: usize, dummy: &Dummy) {
    let Some(made_of) = &dummy.made_of else {
        return;
    };
    let path = format!("dummies[{index}].made_of");
    let before = f.problems.len();
    parts(f, &path, made_of);
    let many = made_of.resistors().len();
    if many > MOST_IN_LOAD {
        f.add(
            &path,
            format!("{many} resistors"),
            format!("at most {MOST_IN_LOAD}"),
        );
    }
    let ohms = made_of.ohms();
    let is_off = (ohms - dummy.resistance.0).abs() > ROUNDING * dummy.resistance.0;
    if f.problems.len() == before && is_off {
        f.add(
            &format!("dummies[{index}].resistance"),
            dummy.resistance.to_string(),
            format!(
                "{}, which its resistors give together",
                Ohms(made_of.rounded_ohms())
            ),
        );
    }
}

fn parts(f: &mut Findings, path: &str, made_of: &MadeOf) {
    match made_of {
        MadeOf::One(one) => resistor(f, path, one),
        MadeOf::Series(all) | MadeOf::Parallel(all) => {
            if all.is_empty() {
                f.add(path, "no resistor", "at least one");
            }
            for (place, part) in all.iter().enumerate() {
                parts(f, &format!("{path}[{place}]"), part);
            }
        }
    }
}
