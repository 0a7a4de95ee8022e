//! The grid-drive floor: the lowest output at which the control tube can still pull the pass grids far enough down.
//!
//! At the crest of the bus the pass tubes have most plate volts, so their grids must be most negative then. The control
//! tube's plate holds the grids; it comes down to its cathode's tap plus the least plate volts that it needs. Below the
//! floor the output cannot follow the control any more. A floor below 0 V means that the supply reaches zero.

use crate::parts::PlateSupply;
use crate::physics::model::RegulatorModel;
use crate::physics::needs::Needs;
use crate::physics::numeric::{self, Rise};
use crate::physics::operation::Operation;
use crate::physics::regulator::{Load, Pass};

/// What grids need and what can be given them at a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drive {
    /// Volts by which the grids must be below their cathodes (V).
    pub needed_volts: f64,
    /// Volts by which they can be brought below (V).
    pub given_volts: f64,
}

/// The most that a ratio of grid volts says: where nothing can be given it would run to infinity.
const MOST_RATIO: f64 = 100.0;

/// A grid counts as needing at least so many volts (V).
///
/// # Source
/// From about a volt below its cathode upwards a grid draws current (F. Langford-Smith, Radiotron Designer's Handbook, 4th ed., on
/// the start of grid current of tubes with oxide cathodes; from memory): between there and the cathode there is no way left that
/// a grid could use.
const LEAST_NEEDED_VOLTS: f64 = 1.0;

impl Drive {
    /// Needed over given: exactly 1 where the drive just suffices, above 1 where it does not.
    ///
    /// A grid may need less than `LEAST_NEEDED_VOLTS`, or be above its cathode, where needed over given says nothing, and with
    /// nothing given would jump from 0 to the top. What is left of its way, `given − needed`, is then set against those least
    /// volts: with `n` the greater of both, `n/(n + given − needed)`, which is needed over given wherever that many are needed.
    pub fn ratio(self) -> f64 {
        let needed = self.needed_volts.max(LEAST_NEEDED_VOLTS);
        let left = self.given_volts - self.needed_volts;
        needed / (needed + left).max(needed / MOST_RATIO)
    }
}

/// Lowest potential to which the control tube pulls its plate at a load (V), and the pass tubes there.
fn lowest_plate(model: &RegulatorModel, load: Load) -> Result<(f64, Pass), Needs> {
    let supply = model.plate_supply_volts(load);
    let ohms = model.regulator.plate_load.0;
    // The cathode's tap moves by a volt or so with the control tube's current; one step from its place without any is enough.
    let unloaded = model.potentials(load, 0.0)?;
    let amps = ((supply - unloaded.cathode) / ohms).max(0.0);
    let at = model.potentials(load, amps)?;
    let least = if let Some(volts) = model.regulator.least_plate_volts {
        volts.0
    } else {
        let control = model.control.as_ref().map_err(|needs| *needs)?;
        control.least_plate_volts(supply - at.cathode, ohms)?
    };
    Ok((at.cathode + least, model.pass_at(load, at)?))
}

/// What the pass grids need and can get with the bus at its crest.
///
/// # Errors
/// What would have to be known.
pub fn drive(model: &RegulatorModel, operation: &Operation, volts: f64) -> Result<Drive, Needs> {
    let (lowest, pass) = lowest_plate(model, load(operation, volts))?;
    Ok(Drive {
        needed_volts: -pass.grid_volts,
        given_volts: pass.cathode_potential - lowest,
    })
}

fn load(operation: &Operation, volts: f64) -> Load {
    Load {
        bus_volts: operation.bus.crest_volts,
        amps: operation.output_amps,
        volts,
    }
}

/// Plate volts of the control tube above its cathode that the pass grids call for at a load (V).
///
/// # Errors
/// What would have to be known.
fn control_plate_volts(model: &RegulatorModel, load: Load) -> Result<f64, Needs> {
    let at = model.potentials(load, 0.0)?;
    Ok(model.pass_at(load, at)?.grid_potential - at.cathode)
}

/// The same as it can be had: where the pass grids would have to be higher than the plate load's supply the control tube is
/// cut off, and its plate is as high as that; where they would have to be lower than it can pull, its plate stays there (V).
///
/// # Errors
/// What would have to be known.
pub fn control_plate_volts_had(model: &RegulatorModel, load: Load) -> Result<f64, Needs> {
    let least = model.regulator.least_plate_volts.map_or(0.0, |v| v.0);
    let called_for = control_plate_volts(model, load)?.max(least);
    Ok(called_for.min(most_control_plate_volts(model, load)?))
}

/// Plate volts of the control tube above its cathode while it carries nothing: those of its plate load's supply (V).
fn most_control_plate_volts(model: &RegulatorModel, load: Load) -> Result<f64, Needs> {
    Ok(model.plate_supply_volts(load) - model.potentials(load, 0.0)?.cathode)
}

/// Highest output volts at which the control tube's plate, as it can be had, stays within `allowed_volts` above its cathode, in the
/// valley of the bus (V), starting from a neighbour's (V). `None` where the plate load's supply is too low for the plate ever to come
/// so high.
///
/// # Errors
/// What would have to be known.
pub fn control_ceiling_near(
    model: &RegulatorModel,
    operation: &Operation,
    allowed_volts: f64,
    near: f64,
) -> Result<Option<f64>, Needs> {
    let load = |volts: f64| Load {
        bus_volts: operation.bus.trough_volts,
        amps: operation.output_amps,
        volts,
    };
    let called_for = root_near(near, &|volts| {
        Ok(control_plate_volts(model, load(volts))? - allowed_volts)
    })?;
    let spare = |volts: f64| -> Result<f64, Needs> {
        Ok(most_control_plate_volts(model, load(volts))? - allowed_volts)
    };
    if spare(called_for)? >= 0.0 {
        return Ok(Some(called_for));
    }
    match model.regulator.plate_supply {
        // It hangs on the bus, and that does not rise with the output.
        PlateSupply::Bus => Ok(None),
        PlateSupply::Clean(_) => root_near(called_for, &spare).map(Some),
    }
}

/// Lowest output volts at this operation's current; below zero where the supply reaches zero (V).
///
/// # Errors
/// What would have to be known.
pub fn floor(model: &RegulatorModel, operation: &Operation) -> Result<f64, Needs> {
    floor_near(model, operation, 0.0)
}

/// The same, starting from the floor of a neighbour (V).
///
/// # Errors
/// What would have to be known.
pub fn floor_near(model: &RegulatorModel, operation: &Operation, near: f64) -> Result<f64, Needs> {
    root_near(near, &|volts| {
        let (lowest, pass) = lowest_plate(model, load(operation, volts))?;
        Ok(pass.grid_potential - lowest)
    })
}

/// A potential that rises with the output about as fast as that; near dropout the pass tubes' law turns too steep for a secant.
const RISE: Rise = Rise {
    likely: 1.5,
    believed: [0.2, 20.0],
    longest: 300.0,
};

/// Volts within which a root counts as found: far less than a hundredth of a per cent of any supply (V).
const FOUND: f64 = 1e-4;

fn root_near(near: f64, f: &dyn Fn(f64) -> Result<f64, Needs>) -> Result<f64, Needs> {
    numeric::root_near(near, RISE, FOUND, f)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(needed_volts: f64, given_volts: f64) -> f64 {
        let drive = Drive {
            needed_volts,
            given_volts,
        };
        drive.ratio()
    }

    /// Needed over given where a grid needs a volt or more; exactly 1 where it gets what it needs, whatever that is.
    #[test]
    fn the_use_is_one_where_the_drive_just_suffices() {
        for (needed, given) in [(1.0, 85.0), (1.5, 100.0), (30.0, 40.0), (30.0, 20.0)] {
            assert!((ratio(needed, given) - needed / given).abs() < 1e-12);
        }
        for volts in [-200.0, -5.0, -0.3, 0.0, 0.3, 1.0, 80.0] {
            assert!((ratio(volts, volts) - 1.0).abs() < 1e-12, "{volts}");
            assert!(
                ratio(volts, volts - 0.1) > 1.0 && ratio(volts, volts + 0.1) < 1.0,
                "{volts}"
            );
            assert!(ratio(volts, -1e3) <= MOST_RATIO, "{volts}");
        }
    }

    /// A millivolt of grid is a thousandth of the least way at most: no use jumps, with something given, nothing, or less than that.
    #[test]
    fn the_use_grows_towards_its_end() {
        for given in [-20.0, -0.5, 0.0, 0.2, 3.0, 60.0] {
            let mut before = 0.0;
            for millivolts in (-40_000..60_000_i32).map(f64::from) {
                let needed = 1e-3 * millivolts;
                if needed > given {
                    break;
                }
                let here = ratio(needed, given);
                assert!(
                    here > 0.0 && here >= before && here - before < 1.1e-3 || before == 0.0,
                    "{needed} V of {given} V: {before}, then {here}"
                );
                before = here;
            }
            assert!(before > 0.99, "{given} V: {before}");
        }
    }
}
