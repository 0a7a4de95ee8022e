//! Limits of capacitors and chokes, counted from the rectifier from 0.

use crate::parts::{CapacitorStack, SeriesElement, Supply};
use crate::physics::limit::{Allowed, OperatingPoint, Unloaded, rating};
use crate::physics::needs::Needs;

fn stack(supply: &Supply, n: u8) -> Option<&CapacitorStack> {
    supply.filter.stacks().nth(usize::from(n))
}

pub(super) fn working_volts_allowed(supply: &Supply, n: u8) -> Allowed {
    let of = stack(supply, n).and_then(|s| s.working_volts.as_ref());
    rating(of)
}

pub(super) fn surge_volts_allowed(supply: &Supply, n: u8) -> Allowed {
    let of = stack(supply, n).and_then(|s| s.surge_volts.as_ref());
    rating(of)
}

pub(super) fn ripple_allowed(supply: &Supply, n: u8) -> Allowed {
    let of = stack(supply, n).and_then(|s| s.ripple_current.as_ref());
    rating(of)
}

pub(super) fn choke_allowed(supply: &Supply, n: u8) -> Allowed {
    let sections = supply.filter.sections.iter();
    let mut chokes = sections.filter_map(|s| match &s.series {
        SeriesElement::Choke { rating, .. } => Some(rating.as_ref()),
        SeriesElement::Resistor(_) => None,
    });
    let of = chokes.nth(usize::from(n)).flatten();
    rating(of)
}

/// Volts across the worst unit of a stack with nothing connected (V).
pub(super) fn unit_volts(unloaded: &Unloaded<'_>, n: u8) -> Result<f64, Needs> {
    let all = &unloaded.no_load.worst_unit_volts;
    Ok(all.get(usize::from(n)).copied().unwrap_or(0.0))
}

/// Ripple current of one unit: each string of a stack carries its share (A).
pub(super) fn ripple_amps(point: OperatingPoint<'_>, n: u8) -> Result<f64, Needs> {
    let strings = stack(&point.model.supply, n).map_or(1, |s| s.strings.max(1));
    let all = &point.operation.capacitor_rms_amps;
    Ok(all.get(usize::from(n)).copied().unwrap_or(0.0) / f64::from(strings))
}

pub(super) fn choke_amps(point: OperatingPoint<'_>, n: u8) -> Result<f64, Needs> {
    let choke = point.operation.chokes.get(usize::from(n));
    Ok(choke.map_or(0.0, |c| c.mean_amps))
}
