//! What stands against each limit: volts, currents, watts and ohms as they are.

use crate::parts::{HeaterTie, ReferenceFeed, Side, Supply};
use crate::physics::limit::allowed::SCREEN_SHARE;
use crate::physics::limit::{Limit, Place};
use crate::physics::operation::{Burning, NoLoad, Operation};
use crate::physics::pass_stage::unit_ohms;
use crate::physics::regulator::grid_circuit::Whose;
use crate::physics::regulator::references::dark_feed_volts;
use crate::physics::regulator::sharing::worst_unit;
use crate::physics::regulator::zero::NO_REGULATOR;
use crate::physics::regulator::{Load, ceiling, floor};

/// The actual value of a limit that depends on the load (V, A or W).
///
/// # Errors
/// What would have to be known.
pub fn actual(limit: Limit, supply: &Supply, place: Place<'_>) -> Result<f64, &'static str> {
    let Place {
        operation, volts, ..
    } = place;
    let stage = &supply.pass_stage;
    let amps = operation.output_amps;
    let at = |list: &[f64], k: u8| list.get(usize::from(k)).copied().unwrap_or(0.0);
    Ok(match limit {
        Limit::Dropout => {
            volts
                + operation
                    .least_drop_volts
                    .ok_or("the pass tube's curve at this current")?
        }
        Limit::SetRangeHigh | Limit::SetRangeLow => volts,
        Limit::PlateDissipation => {
            let worst = worst_unit(supply, operation, volts);
            (tube_mean_volts(supply, operation, worst) - volts) * worst
        }
        Limit::ScreenDissipation => {
            let worst = worst_unit(supply, operation, volts);
            let share = stage.tube.screen_share.as_ref().ok_or(SCREEN_SHARE)?;
            (tube_mean_volts(supply, operation, worst) - volts) * worst * share.value.0
        }
        Limit::EnvelopeDissipation => {
            let worst = worst_unit(supply, operation, volts);
            let whole = (worst * f64::from(stage.tube.units.max(1))).min(amps);
            (tube_mean_volts(supply, operation, worst) - volts) * whole
        }
        // With most volts over the tubes, where their spread shows most.
        Limit::PlateCurrent => worst_unit(supply, operation, 0.0),
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
            let above = heater_volts(supply, operation, volts)?;
            // A raised heater has a limit of its own for the other side.
            match stage.heater {
                Some(HeaterTie::Elevated(_)) => above.max(0.0),
                _ => above.abs(),
            }
        }
        Limit::HeaterAboveCathode => (-heater_volts(supply, operation, volts)?).max(0.0),
        Limit::GridFloor
        | Limit::ControlGridCeiling
        | Limit::ControlPlateVolts
        | Limit::ReferenceLeast(Side::Positive)
        | Limit::ReferenceStrike(Side::Positive) => of_regulator(limit, place)?,
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

/// Volts by which the pass tubes' cathodes are above the output, with an even share of the current (V): over their resistors
/// and the meter shunt.
pub fn cathode_lift(supply: &Supply, amps: f64) -> f64 {
    let stage = &supply.pass_stage;
    let unit_amps = amps / f64::from(stage.units.max(1));
    amps * supply.output.meter_shunt.0 + unit_amps * stage.cathode_resistor.0
}

/// Volts by which the pass tubes' cathodes are above their heaters, with an even share of the current (V).
///
/// # Errors
/// What would have to be known.
pub fn heater_volts(
    supply: &Supply,
    operation: &Operation,
    volts: f64,
) -> Result<f64, &'static str> {
    let above_output = cathode_lift(supply, operation.output_amps);
    match supply.pass_stage.heater {
        None => Err("to what the pass tubes' heaters are tied"),
        // The winding goes to the output's terminal; the resistors are between that and the cathodes.
        Some(HeaterTie::Cathode) => Ok(above_output),
        Some(HeaterTie::Common) => Ok(volts + above_output),
        Some(HeaterTie::Elevated(up)) => Ok(volts + above_output - up.0),
    }
}

/// What depends on load and regulator.
fn of_regulator(limit: Limit, place: Place<'_>) -> Result<f64, &'static str> {
    let stand = place.stand.ok_or(NO_REGULATOR)?;
    let bus = &place.operation.bus;
    let load = |bus_volts: f64| Load {
        bus_volts,
        amps: place.operation.output_amps,
        volts: place.volts,
    };
    match limit {
        Limit::GridFloor => {
            floor::drive(stand, place.operation, place.volts).map(|d| d.needed_volts)
        }
        Limit::ControlGridCeiling => {
            ceiling::drive(stand, place.operation, place.volts).map(|d| d.needed_volts)
        }
        // In the valley of the bus the pass grids are highest, and with them the control tube's plate.
        Limit::ControlPlateVolts => floor::control_plate_volts_had(stand, load(bus.trough_volts)),
        Limit::ReferenceStrike(_) => dark_feed_volts(stand, place.operation)
            .ok_or("what the output does while its own reference is dark"),
        // The control tube's current only adds to it; it comes and goes, and is not counted on.
        _ => {
            let feed = match stand.regulator.reference.as_ref().map(|r| r.fed_from) {
                Some(ReferenceFeed::Output) => place.volts,
                _ => bus.mean_volts,
            };
            let stack = stand.positive.as_ref();
            stack
                .map(|s| s.straight_amps(feed))
                .ok_or("a positive reference")
        }
    }
}

/// Mean volts from the bus to the output that stand over the tube itself if the output were at 0 V: the bus less the
/// resistors around the tube and the meter shunt.
pub fn tube_mean_volts(supply: &Supply, operation: &Operation, unit_amps: f64) -> f64 {
    operation.bus.mean_volts
        - unit_amps * unit_ohms(&supply.pass_stage)
        - operation.output_amps * supply.output.meter_shunt.0
}

/// The actual value of a limit that is judged with nothing on the terminals (V, A, W or Ω).
///
/// # Errors
/// What would have to be known.
pub fn actual_no_load(limit: Limit, no_load: &NoLoad) -> Result<f64, &'static str> {
    let rest = &no_load.regulator;
    let known = |value: Option<f64>| {
        value.ok_or(
            "more of the regulator: its tubes' curves, its references, the ties of its heaters",
        )
    };
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
        Limit::ReferenceStrike(_) => rest
            .negative_dark_volts
            .ok_or("a negative rail that gives voltage")?,
        Limit::ControlPlateDissipation => known(rest.control_plate.map(Burning::watts))?,
        Limit::ControlScreenVolts => rest
            .control_screen_volts
            .ok_or("the control tube's screen volts")?,
        Limit::ControlScreenDissipation => rest
            .control_screen
            .map(Burning::watts)
            .ok_or("the control tube's screen volts and current")?,
        Limit::ControlHeaterCathode => rest
            .control_heater_volts
            .map(f64::abs)
            .ok_or("to what the control tube's heater is tied")?,
        Limit::GridResistor(Whose::Pass) => rest.pass_grid_ohms.ok_or(NO_REGULATOR)?,
        Limit::GridResistor(Whose::Control) => rest.control_grid_ohms.ok_or(NO_REGULATOR)?,
        _ => 0.0,
    })
}
