//! Limits of the gas references: that of the tube that binds.

use crate::parts::{Amps, GasReference, Rating, ReferenceFeed, Side, Supply};
use crate::physics::device::gas_stack::GasStack;
use crate::physics::limit::{Allowed, Met, OperatingPoint, Rated, Unloaded};
use crate::physics::needs::Needs;
use crate::physics::operation::ReferenceAtRest;
use crate::physics::regulator::references::dark_feed_volts;

/// The gas reference of a side, if it is there.
pub(super) fn of_side(supply: &Supply, side: Side) -> Option<&GasReference> {
    supply.regulator.as_ref()?.gas_reference(side)
}

/// True where it is the output that keeps the positive reference lit, whatever the current.
pub(super) fn is_fed_from_output(supply: &Supply) -> bool {
    let reference = of_side(supply, Side::Positive);
    reference.is_some_and(|r| r.fed_from == ReferenceFeed::Output)
}

/// Volts before the feed resistor with which every tube strikes; not a rating.
pub(super) fn strike_allowed(supply: &Supply, side: Side) -> Allowed {
    supply.regulator.as_ref().ok_or(Needs::Regulator)?;
    of_side(supply, side)
        .and_then(|reference| GasStack::of(reference).strike_volts)
        .map(Rated::by_circuit)
        .ok_or(Needs::StartingVolts)
}

pub(super) fn least_allowed(supply: &Supply, side: Side) -> Allowed {
    let all = currents(supply, side, |t| &t.current_least)?;
    end(all.into_iter().max_by(|a, b| by_amps(a, b)))
}

pub(super) fn most_allowed(supply: &Supply, side: Side) -> Allowed {
    let all = currents(supply, side, |t| &t.current_most)?;
    end(all.into_iter().min_by(|a, b| by_amps(a, b)))
}

fn currents(
    supply: &Supply,
    side: Side,
    end: fn(&crate::parts::GasTubeType) -> &Rating<Amps>,
) -> Result<Vec<&Rating<Amps>>, Needs> {
    supply.regulator.as_ref().ok_or(Needs::Regulator)?;
    let tubes = of_side(supply, side).map_or(&[][..], |r| r.tubes.as_slice());
    Ok(tubes.iter().map(end).collect())
}

fn by_amps(a: &Rating<Amps>, b: &Rating<Amps>) -> core::cmp::Ordering {
    a.value.0.total_cmp(&b.value.0)
}

fn end(of: Option<&Rating<Amps>>) -> Allowed {
    of.map(Rated::from).ok_or(Needs::ReferenceRange)
}

pub(super) fn positive_dark_volts(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    dark_feed_volts(point.regulator()?, point.operation).ok_or(Needs::OutputWhileDark)
}

/// Current of the tube that has least. The control tube's current only adds to it; it comes and goes, and is not counted on.
pub(super) fn positive_least_amps(point: OperatingPoint<'_>, _: u8) -> Result<f64, Needs> {
    let regulator = point.regulator()?;
    let feed = regulator.positive_feed_volts(point.load(point.operation.bus.mean_volts));
    let stack = regulator.positive.as_ref();
    stack
        .map(|s| s.straight_amps(feed))
        .ok_or(Needs::PositiveReference)
}

/// Output volts with which the tube that has least still has enough.
pub(super) fn positive_least_volts(point: OperatingPoint<'_>, allowed: f64) -> Result<Met, Needs> {
    let stack = point.regulator()?.positive.as_ref();
    stack
        .map(|s| Met::At(s.feed_volts_for(allowed)))
        .ok_or(Needs::PositiveReference)
}

fn amps(at: Option<ReferenceAtRest>) -> Result<f64, Needs> {
    at.map(|at| at.amps).ok_or(Needs::MoreOfRegulator)
}

pub(super) fn positive_most_amps(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    amps(unloaded.no_load.regulator.positive_most)
}

pub(super) fn negative_least_amps(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    amps(unloaded.no_load.regulator.negative_least)
}

pub(super) fn negative_most_amps(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    amps(unloaded.no_load.regulator.negative_most)
}

pub(super) fn negative_dark_volts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let dark = unloaded.no_load.regulator.negative_dark_volts;
    dark.ok_or(Needs::NegativeRail)
}
