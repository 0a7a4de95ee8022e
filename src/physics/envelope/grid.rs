//! Which output currents and which cases are worth solving.

use crate::parts::{Connection, Supply};
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit};
use crate::physics::model::{Model, PassCurrent, PassTubes};
use crate::physics::numeric::first_without;
use crate::physics::operation::Case;
use crate::physics::steady_state::operate;

/// Points of the grid; more with a choke input, whose bus falls steeply up to the critical current and then bends.
const POINTS: u32 = 72;
const CHOKE_INPUT_POINTS: u32 = 72;
/// The grid reaches this far beyond the first wall.
const BEYOND: f64 = 1.35;

/// Low, present and high mains always; nominal mains and the corners of the tolerances where a rating asks for them.
pub(super) fn needed_cases(supply: &Supply) -> Vec<Case> {
    let mut cases = vec![Case::Low, Case::Present, Case::High];
    for limit in limit::all(supply) {
        if let Ok(rated) = limit::allowed(limit, supply) {
            for &case in limit::judging_cases(limit, rated.system) {
                if !cases.contains(&case) {
                    cases.push(case);
                }
            }
        }
    }
    let mains = &supply.mains;
    cases.retain(|c| *c != Case::Nominal || mains.nominal != mains.present);
    cases
}

/// Output currents from 0 to a bit beyond where the first limit of current can be expected (A); where that is short, `end` goes on. Towards 0 the bus falls as the
/// square root of the current (a three-halves-power law in a shrinking conduction angle): even steps of that follow it best.
pub(super) fn currents(model: &Model) -> Result<Vec<f64>, Failure> {
    let end = BEYOND * estimated_wall(model).map_or_else(|| last_useful_amps(model), Ok)?;
    let points = if model.supply.filter.input_capacitor.is_none() {
        CHOKE_INPUT_POINTS
    } else {
        POINTS
    };
    Ok((0..points)
        .map(|k| {
            let share = f64::from(k) / f64::from(points - 1);
            end * share * share
        })
        .collect())
}

/// The smallest current at which some limit can be expected to bind (A), from ratings alone.
fn estimated_wall(model: &Model) -> Option<f64> {
    let supply = &model.supply;
    let internal = model.raw.filter.internal_current.0;
    let choke_input = supply.filter.input_capacitor.is_none();
    // Peak and rms per ampere of output in usual service; only the width of the picture depends on them.
    let (peak_factor, rms_factor) = if choke_input { (1.1, 0.75) } else { (4.0, 1.2) };
    let devices = if supply.rectifier.connection == Connection::HalfWave {
        1.0
    } else {
        2.0
    };
    let parallel = f64::from(supply.rectifier.in_parallel.max(1));
    let share = model.pass.worst_unit_amps_as_given(1.0);
    let mut least = f64::INFINITY;
    for limit in limit::all(supply) {
        let Ok(rated) = limit::allowed(limit, supply) else {
            continue;
        };
        let allowed = rated.value;
        let amps = match limit {
            Limit::PlateCurrent => allowed / share - model.regulator_amps,
            Limit::RectifierDc => allowed * devices * parallel - internal,
            Limit::RectifierPeak => allowed * parallel / peak_factor - internal,
            Limit::WindingRms => allowed / rms_factor - internal,
            Limit::ChokeCurrent(_) => allowed - internal,
            Limit::PlateDissipation => {
                dissipation_end(&model.pass, allowed).unwrap_or(f64::INFINITY)
            }
            _ => continue,
        };
        if amps > 0.0 {
            least = least.min(amps);
        }
    }
    least.is_finite().then_some(least)
}

/// Current at which the worst tube reaches its dissipation even at its least drop: beyond it no output voltage helps (A).
fn dissipation_end(pass: &PassTubes, allowed_watts: f64) -> Option<f64> {
    // An answer that is not known ends the search.
    let mut burns_less = |amps: f64| -> Result<bool, ()> {
        let worst = pass.worst_unit_amps_as_given(amps);
        let current = PassCurrent {
            output_amps: amps,
            regulator_amps: 0.0,
        };
        let drop = pass.least_drop(current).ok_or(())?;
        let tube = drop - worst * pass.unit_ohms() - amps * pass.shunt_ohms;
        Ok(tube.max(0.0) * worst < allowed_watts)
    };
    first_without(1e-3, 1e3, &mut burns_less).ok()?
}

/// Where the dropout line (or the bus, if the tubes' curve is not known) comes down to zero (A).
fn last_useful_amps(model: &Model) -> Result<f64, Failure> {
    let mut useful = |amps: f64| match operate(&model.raw, Case::Present, amps) {
        Ok(operation) => Ok(model
            .dropout_volts(Case::Present, &operation)
            .unwrap_or(operation.bus.trough_volts)
            > 0.0),
        Err(Failure::Collapse { .. }) => Ok(false),
        Err(other) => Err(other),
    };
    let end = first_without(1e-3, 1e3, &mut useful)?.unwrap_or(1e3);
    // The end itself is the edge of the picture here, not a wall in its middle.
    Ok(end / BEYOND)
}
