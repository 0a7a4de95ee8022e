//! Limits of the pass tubes: the worst of them binds.

use crate::parts::{HeaterTie, Supply};
use crate::physics::limit::{Allowed, Met, OperatingPoint, chart, rating};
use crate::physics::model::{PassCurrent, PassTubes};
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, fixed_point, root_between};
use crate::physics::operation::Operation;
use crate::physics::regulator::sharing::worst_unit;

pub(super) fn plate_volts_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.pass_stage.tube.ratings.plate_volts.as_ref();
    rating(of)
}

/// Highest volts on a plate, and what is allowed there (V): by a chart over the watts, where the maker gives one and no more than that
/// is accepted as built.
pub(super) fn plate_volts(point: OperatingPoint<'_>, allowed: f64) -> Result<[f64; 2], Needs> {
    let tube = &point.model.supply.pass_stage.tube;
    let actual = point.operation.bus.crest_volts - point.volts;
    let rated = tube
        .ratings
        .plate_volts
        .as_ref()
        .map_or(allowed, |r| r.value.0);
    let charted = tube
        .plate_volts_by_watts
        .as_deref()
        .filter(|_| allowed <= rated);
    let charted = charted.and_then(|c| chart::read_off(c, unit_watts(point)));
    Ok([actual, charted.unwrap_or(allowed)])
}

/// Lowest output volts with which a plate stands its volts at the watts that it burns there: both fall as the output rises.
pub(super) fn plate_volts_floor(point: OperatingPoint<'_>, allowed: f64) -> Result<Met, Needs> {
    let crest = point.operation.bus.crest_volts;
    let excess = |volts: f64| match plate_volts(point.at_volts(volts), allowed) {
        Ok([actual, allowed]) => actual - allowed,
        Err(_) => f64::NAN,
    };
    // Below this even a cold plate has too much, and with the whole bus at the output it has nothing.
    let low = crest - allowed;
    let fine = Tolerance::fine(crest.abs().max(1.0));
    Ok(Met::At(if excess(low) <= 0.0 {
        low
    } else {
        root_between(low, crest, fine, excess)
    }))
}

pub(super) fn plate_current_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.pass_stage.tube.plate_current.as_ref();
    rating(of)
}

pub(super) fn plate_dissipation_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.pass_stage.tube.ratings.plate_dissipation.as_ref();
    rating(of)
}

pub(super) fn screen_dissipation_allowed(supply: &Supply, _: u8) -> Allowed {
    let tube = &supply.pass_stage.tube;
    if tube.screen_share.is_none() {
        return Err(Needs::ScreenShare);
    }
    let of = tube.ratings.screen_dissipation.as_ref();
    rating(of)
}

/// Where published; few tubes have it.
pub(super) fn has_screen_rating(supply: &Supply) -> usize {
    let tube = &supply.pass_stage.tube;
    usize::from(tube.triode_connected && tube.ratings.screen_dissipation.is_some())
}

pub(super) fn bulb_dissipation_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.pass_stage.tube.envelope_dissipation.as_ref();
    rating(of)
}

/// True for pass tubes whose filament is the cathode.
pub(super) fn has_filament(supply: &Supply) -> bool {
    let heater = supply.pass_stage.tube.ratings.heater.as_ref();
    heater.is_some_and(|heater| heater.filament)
}

pub(super) fn heater_cathode_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.pass_stage.tube.ratings.heater_cathode.as_ref();
    rating(of)
}

/// Current of the worst unit (A): with most volts over the tubes, where their spread shows most, and with what the regulator draws
/// at the top of the output range, which is its most. So it is the same at all volts.
pub(super) fn worst_amps(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let current = PassCurrent {
        output_amps: point.operation.output_amps,
        regulator_amps: point.model.regulator_amps,
    };
    let pass = &point.model.pass;
    Ok(worst_unit(pass, point.operation, current, 0.0))
}

/// Mean volts from the bus to the output that stand over the tube itself if the output were at 0 V: the bus less the
/// resistors around the tube and the meter shunt.
pub fn tube_mean_volts(pass: &PassTubes, operation: &Operation, unit_amps: f64) -> f64 {
    operation.bus.mean_volts
        - unit_amps * pass.unit_ohms()
        - operation.output_amps * pass.shunt_ohms
}

/// The worst unit's and the whole pass current at a point (A).
#[derive(Debug, Clone, Copy)]
struct Carried {
    worst_amps: f64,
    all_amps: f64,
}

impl Carried {
    fn at(point: OperatingPoint<'_>) -> Self {
        let current = point.pass_current();
        Self {
            worst_amps: worst_unit(&point.model.pass, point.operation, current, point.volts),
            all_amps: current.amps(),
        }
    }

    /// That of so many units, each as the worst (A): never more than all.
    fn of(self, units: f64) -> f64 {
        (self.worst_amps * units).min(self.all_amps)
    }
}

fn units_of_bulb(pass: &PassTubes) -> f64 {
    f64::from(pass.stage.tube.units.max(1))
}

/// What the worst unit dissipates (W).
pub(super) fn unit_watts(point: OperatingPoint<'_>) -> f64 {
    let (pass, operation) = (&*point.model.pass, point.operation);
    let worst = Carried::at(point).worst_amps;
    (tube_mean_volts(pass, operation, worst) - point.volts) * worst
}

pub(super) fn screen_watts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let share = point.model.pass.stage.tube.screen_share.as_ref();
    Ok(unit_watts(point) * share.ok_or(Needs::ScreenShare)?.value.0)
}

/// What all units of one bulb dissipate together (W).
pub(super) fn bulb_watts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let (pass, operation) = (&*point.model.pass, point.operation);
    let carried = Carried::at(point);
    let over_tube = tube_mean_volts(pass, operation, carried.worst_amps) - point.volts;
    Ok(over_tube * carried.of(units_of_bulb(pass)))
}

pub(super) fn plate_dissipation_floor(point: OperatingPoint<'_>, allowed: f64) -> Option<f64> {
    Some(watts_floor(point, 1.0, allowed))
}

/// From what the whole tube may burn before its screen's share is too much.
pub(super) fn screen_dissipation_floor(point: OperatingPoint<'_>, allowed: f64) -> Option<f64> {
    let share = point.model.pass.stage.tube.screen_share.as_ref();
    let tube_watts = share.map_or(allowed, |share| allowed / share.value.0);
    Some(watts_floor(point, 1.0, tube_watts))
}

pub(super) fn bulb_dissipation_floor(point: OperatingPoint<'_>, allowed: f64) -> Option<f64> {
    Some(watts_floor(
        point,
        units_of_bulb(&point.model.pass),
        allowed,
    ))
}

/// Lowest output volts from which on so many units burn no more than they may (V).
fn watts_floor(point: OperatingPoint<'_>, units: f64, watts: f64) -> f64 {
    let highest = point.model.supply.output.set_high.0;
    let floor = highest_floor(point, units, watts);
    if floor <= highest {
        return floor;
    }
    // A preload that takes about as much as what is connected draws so little at low volts that the tubes burn less there again: then there
    // is no floor as long as all that the control can ask for lies below where they begin to burn too much.
    let at = |volts: f64| next_floor(point.at_volts(volts), units, watts);
    let at_nothing = at(0.0);
    if at_nothing <= 0.0 && at(highest) <= highest {
        at_nothing
    } else {
        floor
    }
}

/// Output volts at which so many units would burn what they may with the current that they carry at the point (V).
fn next_floor(point: OperatingPoint<'_>, units: f64, watts: f64) -> f64 {
    let carried = Carried::at(point);
    let amps = carried.of(units);
    if amps <= 0.0 {
        return f64::NEG_INFINITY;
    }
    tube_mean_volts(&point.model.pass, point.operation, carried.worst_amps) - watts / amps
}

/// The highest volts below which so many units burn too much (V).
fn highest_floor(point: OperatingPoint<'_>, units: f64, watts: f64) -> f64 {
    // The worst unit's share hangs a little on the volts, by the spread of the tubes and by what the regulator draws.
    let next = |volts: f64| next_floor(point.at_volts(volts.max(0.0)), units, watts);
    // What the regulator draws grows with the volts, and with it `next`: from above the rounds fall to the highest answer.
    let top = point.operation.bus.mean_volts.max(0.0);
    // Below 0 V nothing changes any more, and no answer is above what is left at the top.
    let at_nothing = next(0.0);
    if at_nothing.max(next(top)) <= 0.0 {
        return at_nothing;
    }
    let found = fixed_point(top, FLOOR_FOUND, FLOOR_ROUNDS, &|volts| Some(next(volts)));
    let mut volts = match found {
        Some(Ok(volts)) if volts > 0.0 => return volts,
        Some(Err(reached)) if reached > 0.0 => reached,
        _ if at_nothing <= 0.0 => return at_nothing,
        _ => top,
    };
    // The rounds close in too slowly: between the volts that they reached, still above, and those further down where it turns.
    let mut low = volts;
    while low > 0.0 && low > next(low).max(0.0) {
        volts = low;
        low -= FLOOR_STEP * top;
    }
    let fine = Tolerance::fine(top);
    root_between(low.max(0.0), volts, fine, |volts| {
        volts - next(volts).max(0.0)
    })
}

/// Rounds in which a floor and the current there are brought together.
const FLOOR_ROUNDS: u32 = 12;
/// Steps in which a floor is looked for below where they have come, as a share of the bus.
const FLOOR_STEP: f64 = 0.02;
/// Volts within which they are (V).
const FLOOR_FOUND: f64 = 1e-9;

/// Volts by which the cathodes are above their heaters, with an even share of the current (V).
///
/// # Errors
/// What would have to be known.
fn heater_volts(point: OperatingPoint<'_>) -> Result<f64, Needs> {
    let pass = &point.model.pass;
    let above_output = pass.cathode_lift(point.pass_current());
    match pass.stage.heater {
        None => Err(Needs::PassHeaterTie),
        // The winding goes to the output's terminal; the resistors are between that and the cathodes.
        Some(HeaterTie::Cathode) => Ok(above_output),
        Some(HeaterTie::Common) => Ok(point.volts + above_output),
        Some(HeaterTie::Elevated(up)) => Ok(point.volts + above_output - up.0),
    }
}

pub(super) fn heater_cathode_volts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let above = heater_volts(point)?;
    // A raised heater has a limit of its own for the other side.
    Ok(match point.model.pass.stage.heater {
        Some(HeaterTie::Elevated(_)) => above.max(0.0),
        _ => above.abs(),
    })
}

pub(super) fn heater_above_cathode_volts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    Ok((-heater_volts(point)?).max(0.0))
}

/// Output volts at which the cathodes are `at_volts` above their heaters (V). What lifts them hangs on the output by the regulator's
/// own current alone, a thousandth of it: three rounds leave nothing.
fn heater_edge(point: OperatingPoint<'_>, at_volts: f64) -> Result<Met, Needs> {
    let mut volts = 0.0;
    for _ in 0..3 {
        volts += at_volts - heater_volts(point.at_volts(volts))?;
    }
    Ok(Met::At(volts))
}

pub(super) fn heater_cathode_ceiling(
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<Met, Needs> {
    heater_edge(point, allowed)
}

pub(super) fn heater_above_cathode_floor(
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<Met, Needs> {
    heater_edge(point, -allowed)
}
