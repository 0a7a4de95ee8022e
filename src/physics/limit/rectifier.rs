//! Limits of the rectifier and of the winding before it.

use crate::parts::Supply;
use crate::physics::limit::{Allowed, Limit, rating};

pub(super) fn winding_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.transformer.winding_rating.as_ref();
    rating(of, Limit::WindingRms)
}

/// Published for the envelope, judged for one device (A).
pub(super) fn dc_allowed(supply: &Supply, _: u8) -> Allowed {
    let rectifier = &supply.rectifier.kind;
    let choke_input = supply.filter.input_capacitor.is_none();
    let of = (rectifier.dc_current_choke_input.as_ref())
        .filter(|_| choke_input)
        .or(rectifier.dc_current.as_ref());
    let (amps, system) = rating(of, Limit::RectifierDc)?;
    Ok((amps / f64::from(rectifier.plates.max(1)), system))
}

pub(super) fn peak_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.rectifier.kind.peak_current.as_ref();
    rating(of, Limit::RectifierPeak)
}

pub(super) fn peak_inverse_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.rectifier.kind.peak_inverse.as_ref();
    rating(of, Limit::RectifierPeakInverse)
}
