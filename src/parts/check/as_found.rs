//! What was found of a unit: shares of an emission that can be, parts that are there.

use std::ops::RangeInclusive;

use crate::parts::check::{Findings, Problem, bounds};
use crate::parts::{Connection, Stage, Supply};

/// A share of a tube's published emission: from one that hardly lives to one of a good batch.
const EMISSION: RangeInclusive<f64> = 0.02..=2.0;

pub(super) fn as_found(supply: &Supply) -> Vec<Problem> {
    let found = &supply.as_found;
    let mut f = Findings::of(Stage::PassStage);
    pass_emission(&mut f, supply);
    f.stage = Stage::Rectifier;
    bounds!(f, "as_found", found, { rectifier_emission: EMISSION, });
    if found.dead_plate && supply.rectifier.connection == Connection::HalfWave {
        f.add(
            "as_found.dead_plate",
            "true",
            "false, for a half-wave rectifier has one plate, and with that dead there is no bus",
        );
    }
    f.stage = Stage::Regulator;
    bounds!(f, "as_found", found, { control_emission: EMISSION, });
    f.stage = Stage::Filter;
    shorted_units(&mut f, supply);
    bounds!(f, "as_found", found, { leak: 0.0..=1.0, });
    f.problems
}

fn pass_emission(f: &mut Findings, supply: &Supply) {
    let list = &supply.as_found.pass_emission;
    let units = usize::from(supply.pass_stage.units);
    if list.len() > units {
        f.add(
            "as_found.pass_emission",
            format!("{} shares", list.len()),
            format!("at most {units}, one for each pass unit"),
        );
    }
    for (unit, share) in list.iter().enumerate() {
        let path = format!("as_found.pass_emission[{unit}]");
        f.within(&path, share, 0.0..=*EMISSION.end());
    }
    if units > 0 && list.len() >= units && list.iter().take(units).all(|share| share.0 <= 0.0) {
        f.add(
            "as_found.pass_emission",
            "all pass units dead",
            "at least one that lives",
        );
    }
}

fn shorted_units(f: &mut Findings, supply: &Supply) {
    let stacks: Vec<_> = supply.filter.stacks().collect();
    for (k, shorted) in supply.as_found.shorted_units.iter().enumerate() {
        let path = format!("as_found.shorted_units[{k}]");
        let Some(stack) = stacks.get(k) else {
            f.add(
                &path,
                shorted.to_string(),
                format!("a list of at most {}, one for each capacitor", stacks.len()),
            );
            continue;
        };
        let most = if Supply::can_lose_a_unit(stack) {
            stack.in_series - 1
        } else {
            0
        };
        if *shorted > most {
            f.add(
                &path,
                shorted.to_string(),
                format!("0 to {most}: one unit of the stack must be left, in a single string"),
            );
        }
    }
}
