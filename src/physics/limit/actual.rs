//! What stands against each limit: volts, currents, watts and ohms as they are.

use crate::parts::{HeaterTie, ReferenceFeed, Side};
use crate::physics::limit::{Limit, OperatingPoint};
use crate::physics::model::PassTubes;
use crate::physics::needs::Needs;
use crate::physics::operation::{NoLoad, Operation, WorstDissipation};
use crate::physics::regulator::grid_circuit::Whose;
use crate::physics::regulator::references::dark_feed_volts;
use crate::physics::regulator::sharing::worst_unit;
use crate::physics::regulator::{Load, ceiling, floor};

/// The actual value of a limit that depends on the load (V, A or W).
///
/// # Errors
/// What would have to be known.
pub fn actual(limit: Limit, point: OperatingPoint<'_>) -> Result<f64, Needs> {
    let OperatingPoint {
        model,
        operation,
        volts,
        ..
    } = point;
    let (supply, pass) = (&model.supply, &*model.pass);
    let stage = &pass.stage;
    let amps = operation.output_amps;
    let at = |list: &[f64], k: u8| list.get(usize::from(k)).copied().unwrap_or(0.0);
    Ok(match limit {
        Limit::Dropout => volts + pass.least_drop(amps).ok_or(Needs::PassCurve)?,
        Limit::SetRangeHigh | Limit::SetRangeLow => volts,
        Limit::PlateDissipation => {
            let worst = worst_unit(pass, operation, volts);
            (tube_mean_volts(pass, operation, worst) - volts) * worst
        }
        Limit::ScreenDissipation => {
            let worst = worst_unit(pass, operation, volts);
            let share = stage.tube.screen_share.as_ref().ok_or(Needs::ScreenShare)?;
            (tube_mean_volts(pass, operation, worst) - volts) * worst * share.value.0
        }
        Limit::EnvelopeDissipation => {
            let worst = worst_unit(pass, operation, volts);
            let whole = (worst * f64::from(stage.tube.units.max(1))).min(amps);
            (tube_mean_volts(pass, operation, worst) - volts) * whole
        }
        // With most volts over the tubes, where their spread shows most.
        Limit::PlateCurrent => worst_unit(pass, operation, 0.0),
        Limit::PlateVolts => operation.bus.crest_volts - volts,
        Limit::RectifierDc => operation.rectifier.mean_amps,
        Limit::RectifierPeak => operation.rectifier.peak_amps,
        Limit::WindingRms => operation.winding_rms_amps,
        Limit::CapacitorRipple(k) => {
            let strings = supply
                .filter
                .stacks()
                .nth(usize::from(k))
                .map_or(1, |s| s.strings.max(1));
            at(&operation.capacitor_rms_amps, k) / f64::from(strings)
        }
        Limit::ChokeCurrent(k) => operation
            .chokes
            .get(usize::from(k))
            .map_or(0.0, |c| c.mean_amps),
        Limit::HeaterCathode => {
            let above = heater_volts(pass, operation, volts)?;
            // A raised heater has a limit of its own for the other side.
            match stage.heater {
                Some(HeaterTie::Elevated(_)) => above.max(0.0),
                _ => above.abs(),
            }
        }
        Limit::HeaterAboveCathode => (-heater_volts(pass, operation, volts)?).max(0.0),
        Limit::GridFloor
        | Limit::ControlGridCeiling
        | Limit::ControlPlateVolts
        | Limit::ReferenceLeast(Side::Positive)
        | Limit::ReferenceStrike(Side::Positive) => of_regulator(limit, point)?,
        Limit::RectifierPeakInverse
        | Limit::CapacitorVolts(_)
        | Limit::CapacitorSurge(_)
        | Limit::ReferenceLeast(Side::Negative)
        | Limit::ReferenceMost(_)
        | Limit::ReferenceStrike(Side::Negative)
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode
        | Limit::GridResistor(_) => 0.0,
    })
}

/// Volts by which the pass tubes' cathodes are above their heaters, with an even share of the current (V).
///
/// # Errors
/// What would have to be known.
pub fn heater_volts(pass: &PassTubes, operation: &Operation, volts: f64) -> Result<f64, Needs> {
    let above_output = pass.cathode_lift(operation.output_amps);
    match pass.stage.heater {
        None => Err(Needs::PassHeaterTie),
        // The winding goes to the output's terminal; the resistors are between that and the cathodes.
        Some(HeaterTie::Cathode) => Ok(above_output),
        Some(HeaterTie::Common) => Ok(volts + above_output),
        Some(HeaterTie::Elevated(up)) => Ok(volts + above_output - up.0),
    }
}

/// What depends on load and regulator.
fn of_regulator(limit: Limit, point: OperatingPoint<'_>) -> Result<f64, Needs> {
    let regulator = point.regulator()?;
    let bus = &point.operation.bus;
    let load = |bus_volts: f64| Load {
        bus_volts,
        amps: point.operation.output_amps,
        volts: point.volts,
    };
    match limit {
        Limit::GridFloor => {
            floor::drive(regulator, point.operation, point.volts).map(|d| d.needed_volts)
        }
        Limit::ControlGridCeiling => {
            ceiling::drive(regulator, point.operation, point.volts).map(|d| d.needed_volts)
        }
        // In the valley of the bus the pass grids are highest, and with them the control tube's plate.
        Limit::ControlPlateVolts => {
            floor::control_plate_volts_had(regulator, load(bus.trough_volts))
        }
        Limit::ReferenceStrike(_) => {
            dark_feed_volts(regulator, point.operation).ok_or(Needs::OutputWhileDark)
        }
        // The control tube's current only adds to it; it comes and goes, and is not counted on.
        _ => {
            let feed = match regulator.regulator.reference.as_ref().map(|r| r.fed_from) {
                Some(ReferenceFeed::Output) => point.volts,
                _ => bus.mean_volts,
            };
            let stack = regulator.positive.as_ref();
            stack
                .map(|s| s.straight_amps(feed))
                .ok_or(Needs::PositiveReference)
        }
    }
}

/// Mean volts from the bus to the output that stand over the tube itself if the output were at 0 V: the bus less the
/// resistors around the tube and the meter shunt.
pub fn tube_mean_volts(pass: &PassTubes, operation: &Operation, unit_amps: f64) -> f64 {
    operation.bus.mean_volts
        - unit_amps * pass.unit_ohms()
        - operation.output_amps * pass.shunt_ohms
}

/// The actual value of a limit that is judged with nothing on the terminals (V, A, W or Ω).
///
/// # Errors
/// What would have to be known.
pub fn actual_no_load(limit: Limit, no_load: &NoLoad) -> Result<f64, Needs> {
    let rest = &no_load.regulator;
    let known = |value: Option<f64>| value.ok_or(Needs::MoreOfRegulator);
    Ok(match limit {
        Limit::RectifierPeakInverse => no_load.peak_inverse_volts,
        Limit::CapacitorVolts(k) | Limit::CapacitorSurge(k) => no_load
            .worst_unit_volts
            .get(usize::from(k))
            .copied()
            .unwrap_or(0.0),
        Limit::ReferenceLeast(_) => known(rest.negative_least.map(|at| at.amps))?,
        Limit::ReferenceMost(Side::Negative) => known(rest.negative_most.map(|at| at.amps))?,
        Limit::ReferenceMost(Side::Positive) => known(rest.positive_most.map(|at| at.amps))?,
        Limit::ReferenceStrike(_) => rest.negative_dark_volts.ok_or(Needs::NegativeRail)?,
        Limit::ControlPlateDissipation => known(rest.control_plate.map(WorstDissipation::watts))?,
        Limit::ControlScreenVolts => rest.control_screen_volts.ok_or(Needs::ControlScreenVolts)?,
        Limit::ControlScreenDissipation => rest
            .control_screen
            .map(WorstDissipation::watts)
            .ok_or(Needs::ControlScreen)?,
        Limit::ControlHeaterCathode => rest
            .control_heater_volts
            .map(f64::abs)
            .ok_or(Needs::ControlHeaterTie)?,
        Limit::GridResistor(Whose::Pass) => rest.pass_grid_ohms.ok_or(Needs::Regulator)?,
        Limit::GridResistor(Whose::Control) => rest.control_grid_ohms.ok_or(Needs::Regulator)?,
        _ => 0.0,
    })
}
