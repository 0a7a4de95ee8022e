//! Where the output settles at one setting of the control while mains and load change: droop, mains regulation, and the
//! zero end.
//!
//! A setting is a share of the sense divider. At the present mains it is chosen for the volts asked for; at other mains,
//! or under load, the output settles where the divider gives the control tube the grid volts that it then needs.

use crate::physics::failure::Failure;
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, try_root_between};
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::Load;
use crate::physics::regulator::feedback::{Hold, working_point};
use crate::physics::regulator::floor::floor;
use crate::physics::steady_state::operate;

/// Where the output settles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settled {
    /// Output volts (V).
    pub volts: f64,
    /// What holds it there.
    pub hold: Hold,
}

/// The share of the divider that gives `volts` with the bus of `operation`.
///
/// # Errors
/// What would have to be known.
pub fn setting(model: &RegulatorModel, operation: &Operation, volts: f64) -> Result<f64, Needs> {
    Ok(working_point(model, load(operation, volts))?.divider_share(volts))
}

fn load(operation: &Operation, volts: f64) -> Load {
    Load {
        bus_volts: operation.bus.mean_volts,
        amps: operation.output_amps,
        volts,
    }
}

/// Where the output settles with the divider at `share`: held by the loop, or at the floor, the control-grid ceiling or dropout where
/// that ends.
///
/// # Errors
/// What would have to be known.
pub fn settle(model: &RegulatorModel, operation: &Operation, share: f64) -> Result<Settled, Needs> {
    let top = model.lost_regulation_volts(operation);
    let high = top.unwrap_or(operation.bus.mean_volts);
    // More output gives the grid more than it needs: the excess rises with the output.
    let excess = |volts: f64| -> Result<f64, Needs> {
        let at = working_point(model, load(operation, volts))?;
        let foot = at.potentials.foot;
        Ok(foot + (volts - foot) * share - at.grid_potential())
    };
    if excess(high)? <= 0.0 {
        return Ok(Settled {
            volts: high,
            hold: Hold::Dropout,
        });
    }
    let mut low = high - 50.0;
    for _ in 0..60 {
        if excess(low)? <= 0.0 {
            break;
        }
        low -= 0.5 * (high - low);
    }
    let volts = if excess(low)? > 0.0 {
        low
    } else {
        try_root_between(low, high, Tolerance::fine(high), &mut { excess })?
    };
    // The tap stands at the divider's foot, and the grid would have to be lower still.
    let is_fully_on = share <= 0.0;
    if let Ok(bottom) = floor(model, operation)
        && volts < bottom
    {
        return Ok(Settled {
            volts: bottom.min(high),
            hold: if is_fully_on {
                Hold::FullyOn
            } else {
                Hold::Bottomed
            },
        });
    }
    let in_valleys = model
        .dropout_volts(operation)
        .is_some_and(|edge| volts > edge);
    Ok(Settled {
        volts,
        hold: if is_fully_on {
            Hold::FullyOn
        } else if in_valleys {
            Hold::Valleys
        } else {
            Hold::Regulated
        },
    })
}

/// The lowest setting against the mains, with nothing connected.
#[derive(Debug, Clone, PartialEq)]
pub struct ZeroSetting {
    /// Volts of the lowest setting at present mains (V): the low end of the output range, or the floor if that is higher.
    pub volts: f64,
    /// Where the output settles at that setting at low, present and high mains.
    pub at_low_present_high: [Settled; 3],
    /// Highest less lowest of them (V).
    pub drift_volts: f64,
    /// Floor at low, present and high mains (V), where it is known.
    pub floors: [Option<f64>; 3],
    /// The least setting at present mains with which the output is not negative at any of the mains (V).
    pub least_setting_volts: f64,
    /// The least setting that can be had and never reverses the output (V): not below the floor at any of the mains either.
    pub least_usable_volts: f64,
    /// True if the output is below 0 V at some mains at the lowest setting.
    pub reverses: bool,
}

/// Low, present and high mains.
const MAINS: [Case; 3] = [Case::Low, Case::Present, Case::High];

/// What goes on before the pass tubes in a case at an output current (A), from wherever it is known already.
pub type Solve<'a> = dyn Fn(Case, f64) -> Result<Operation, Failure> + 'a;

/// The lowest setting against the mains.
///
/// # Errors
/// What would have to be known, or why the bus was not solved.
pub fn zero_setting(model: &Model) -> Result<ZeroSetting, Failure> {
    zero_setting_from(model, &|case, amps| operate(&model.raw, case, amps))
}

/// The same where the bus may be known already.
///
/// # Errors
/// As [`zero_setting`].
pub fn zero_setting_from(model: &Model, solve: &Solve<'_>) -> Result<ZeroSetting, Failure> {
    let at = |case: Case| -> Result<(&RegulatorModel, Operation), Failure> {
        Ok((model.regulator(case)?, solve(case, 0.0)?))
    };
    let [low, present, high] = MAINS;
    let mains = [at(low)?, at(present)?, at(high)?];
    let [_, present, _] = &mains;
    let floors = [0, 1, 2].map(|k| floor(mains[k].0, &mains[k].1).ok());
    let [_, floor_now, _] = floors;
    let volts = (model.supply)
        .output
        .set_low
        .0
        .max(floor_now.unwrap_or(f64::NEG_INFINITY));
    let share = setting(present.0, &present.1, volts)?;
    let mut settled = [Settled {
        volts,
        hold: Hold::Regulated,
    }; 3];
    let mut least = 0.0_f64;
    for ((model, operation), out) in mains.iter().zip(&mut settled) {
        *out = settle(model, operation, share)?;
        // The setting that just gives 0 V at this mains, seen at the present ones.
        let at_zero = setting(model, operation, 0.0)?;
        if at_zero < 1.0 {
            least = least.max(settle(present.0, &present.1, at_zero)?.volts);
        }
    }
    let list = settled.map(|s| s.volts);
    let lowest = list.into_iter().fold(f64::INFINITY, f64::min);
    let highest = list.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let highest_floor = floors.into_iter().flatten().fold(0.0, f64::max);
    Ok(ZeroSetting {
        volts,
        at_low_present_high: settled,
        drift_volts: highest - lowest,
        floors,
        least_setting_volts: least,
        least_usable_volts: least.max(highest_floor),
        reverses: lowest < -1e-6,
    })
}

/// How the output holds at one setting, chosen at no load and present mains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// The setting (V).
    pub volts: f64,
    /// Fall of the output from no load to `amps`, at present mains (V).
    pub droop_volts: f64,
    /// At this output current (A).
    pub amps: f64,
    /// Output at low, present and high mains under that current.
    pub at_low_present_high: [Settled; 3],
    /// Highest less lowest of them (V).
    pub mains_volts: f64,
}

/// How the output holds at a setting of `volts` under `amps`.
///
/// # Errors
/// What would have to be known, or why the bus was not solved.
pub fn held(model: &Model, amps: f64, volts: f64) -> Result<Held, Failure> {
    let solve = |case: Case, amps: f64| operate(&model.raw, case, amps);
    held_from(model, &solve, amps, volts)
}

/// The same where the bus may be known already.
///
/// # Errors
/// As [`held`].
pub fn held_from(model: &Model, solve: &Solve<'_>, amps: f64, volts: f64) -> Result<Held, Failure> {
    let now = model.regulator(Case::Present)?;
    let share = setting(now, &solve(Case::Present, 0.0)?, volts)?;
    let mut settled = [Settled {
        volts,
        hold: Hold::Regulated,
    }; 3];
    for (case, out) in MAINS.into_iter().zip(&mut settled) {
        let operation = solve(case, amps)?;
        *out = settle(model.regulator(case)?, &operation, share)?;
    }
    let list = settled.map(|s| s.volts);
    let [_, under_load, _] = list;
    Ok(Held {
        volts,
        droop_volts: volts - under_load,
        amps,
        at_low_present_high: settled,
        mains_volts: list.into_iter().fold(f64::NEG_INFINITY, f64::max)
            - list.into_iter().fold(f64::INFINITY, f64::min),
    })
}
