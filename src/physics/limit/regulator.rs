//! Limits of the control tube and of the grids around it.

use crate::parts::{ControlTubeType, Supply};
use crate::physics::limit::{Allowed, Met, OperatingPoint, Rated, Unloaded, rating};
use crate::physics::needs::Needs;
use crate::physics::operation::WorstDissipation;
use crate::physics::regulator::ceiling;
use crate::physics::regulator::floor::{self, Drive};
use crate::physics::regulator::grid_circuit::{self, Whose};

fn control(supply: &Supply) -> Result<&ControlTubeType, Needs> {
    let regulator = supply.regulator.as_ref().ok_or(Needs::Regulator)?;
    Ok(&regulator.control_tube)
}

pub(super) fn grid_floor_allowed(supply: &Supply, _: u8) -> Allowed {
    control(supply).map(|_| Rated::by_circuit(0.0))
}

pub(super) fn plate_volts_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.ratings.plate_volts.as_ref();
    rating(of)
}

pub(super) fn plate_dissipation_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.ratings.plate_dissipation.as_ref();
    rating(of)
}

pub(super) fn screen_volts_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.screen_volts.as_ref();
    rating(of)
}

pub(super) fn screen_dissipation_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.ratings.screen_dissipation.as_ref();
    rating(of)
}

pub(super) fn heater_cathode_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.ratings.heater_cathode.as_ref();
    rating(of)
}

pub(super) fn pass_grid_allowed(supply: &Supply, _: u8) -> Allowed {
    control(supply)?;
    let of = supply.pass_stage.tube.ratings.grid_resistor.as_ref();
    rating(of)
}

pub(super) fn control_grid_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = control(supply)?.ratings.grid_resistor.as_ref();
    rating(of)
}

fn both(drive: Drive) -> [f64; 2] {
    [drive.needed_volts, drive.given_volts]
}

/// Volts that the pass grids need and can be given below their cathodes (V).
pub(super) fn grid_floor(point: OperatingPoint<'_>, _: f64) -> Result<[f64; 2], Needs> {
    floor::drive(point.regulator()?, point.operation, point.volts).map(both)
}

pub(super) fn grid_floor_volts(point: OperatingPoint<'_>, _: f64) -> Result<Met, Needs> {
    floor::floor_near(point.regulator()?, point.operation, point.volts).map(Met::At)
}

/// Volts that the control grid needs and can be given below its cathode (V).
pub(super) fn control_grid(point: OperatingPoint<'_>, _: f64) -> Result<[f64; 2], Needs> {
    ceiling::drive(point.regulator()?, point.operation, point.volts).map(both)
}

pub(super) fn control_grid_volts(point: OperatingPoint<'_>, _: f64) -> Result<Met, Needs> {
    let volts = ceiling::ceiling_below_zero_too(point.regulator()?, point.operation)?;
    Ok(volts.map_or(Met::NotHere, Met::At))
}

/// Plate volts of the control tube. In the valley of the bus the pass grids are highest, and with them its plate (V).
pub(super) fn plate_volts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let valley = point.load(point.operation.bus.trough_volts);
    floor::control_plate_volts_had(point.regulator()?, valley)
}

pub(super) fn plate_volts_ceiling(point: OperatingPoint<'_>, allowed: f64) -> Result<Met, Needs> {
    let regulator = point.regulator()?;
    let volts = floor::control_ceiling_near(regulator, point.operation, allowed, point.volts)?;
    Ok(volts.map_or(Met::NotBeyond, Met::At))
}

fn watts(worst: Option<WorstDissipation>, missing: Needs) -> Result<f64, Needs> {
    worst.map(WorstDissipation::watts).ok_or(missing)
}

pub(super) fn plate_watts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let rest = &unloaded.no_load.regulator;
    watts(rest.control_plate, Needs::MoreOfRegulator)
}

pub(super) fn screen_volts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let volts = unloaded.no_load.regulator.control_screen_volts;
    volts.ok_or(Needs::ControlScreenVolts)
}

pub(super) fn screen_watts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let rest = &unloaded.no_load.regulator;
    watts(rest.control_screen, Needs::ControlScreen)
}

pub(super) fn heater_cathode_volts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let volts = unloaded.no_load.regulator.control_heater_volts;
    volts.map(f64::abs).ok_or(Needs::ControlHeaterTie)
}

pub(super) fn grid_ohms(unloaded: &Unloaded<'_>, whose: Whose) -> Result<f64, Needs> {
    grid_circuit::grid_ohms(&unloaded.model.supply, whose).ok_or(Needs::Regulator)
}
