//! What each limit allows: ratings of the parts, and what is no rating.

use crate::parts::{
    Amps, CapacitorStack, ControlTubeType, GasReference, Rating, RatingSystem, SeriesElement,
    Supply,
};
use crate::physics::limit::{Limit, Side};
use crate::physics::regulator::reference::Stack;
use crate::physics::regulator::zero::NO_REGULATOR;

/// A rating's number, or what would have to be known.
type Allowed = Result<(f64, Option<RatingSystem>), &'static str>;

fn rated(value: Option<f64>, system: Option<RatingSystem>, needs: &'static str) -> Allowed {
    value.map(|v| (v, system)).ok_or(needs)
}

fn rating<T: Copy>(
    of: Option<&Rating<T>>,
    value: impl Fn(T) -> f64,
    needs: &'static str,
) -> Allowed {
    rated(of.map(|r| value(r.value)), of.map(|r| r.system), needs)
}

/// What a limit allows (V, A or W), with its rating system if it is a rating.
///
/// # Errors
/// What would have to be known.
pub fn allowed(limit: Limit, supply: &Supply) -> Allowed {
    let rectifier = &supply.rectifier.kind;
    let tube = &supply.pass_stage.tube;
    match limit {
        Limit::GridFloor if supply.regulator.is_none() => Err(NO_REGULATOR),
        Limit::Dropout | Limit::GridFloor => Ok((0.0, None)),
        Limit::SetRangeHigh => Ok((supply.output.set_high.0, None)),
        Limit::SetRangeLow => Ok((supply.output.set_low.0, None)),
        Limit::PlateDissipation => rating(
            tube.ratings.plate_dissipation.as_ref(),
            |w| w.0,
            "the pass tube's plate dissipation",
        ),
        Limit::EnvelopeDissipation => rating(
            tube.envelope_dissipation.as_ref(),
            |w| w.0,
            "the dissipation of a whole pass tube",
        ),
        Limit::PlateCurrent => rating(
            tube.plate_current.as_ref(),
            |a| a.0,
            "the pass tube's highest plate current",
        ),
        Limit::PlateVolts => rating(
            tube.ratings.plate_volts.as_ref(),
            |v| v.0,
            "the pass tube's highest plate volts",
        ),
        Limit::HeaterCathode | Limit::HeaterAboveCathode => rating(
            tube.ratings.heater_cathode.as_ref(),
            |v| v.0,
            "the pass tube's heater–cathode volts",
        ),
        Limit::ReferenceStrike(side) => strike(supply, side),
        Limit::ReferenceLeast(side) => reference(supply, side, End::Least),
        Limit::ReferenceMost(side) => reference(supply, side, End::Most),
        Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode => {
            let regulator = supply.regulator.as_ref().ok_or(NO_REGULATOR)?;
            control(limit, &regulator.control_tube)
        }
        Limit::RectifierDc => {
            let choke_input = supply.filter.input_capacitor.is_none();
            let of = rectifier
                .dc_current_choke_input
                .as_ref()
                .filter(|_| choke_input)
                .or(rectifier.dc_current.as_ref());
            // Published for the envelope, judged for one device.
            rating(
                of,
                |a| a.0 / f64::from(rectifier.plates.max(1)),
                "the rectifier's DC output rating",
            )
        }
        Limit::RectifierPeak => rating(
            rectifier.peak_current.as_ref(),
            |a| a.0,
            "the rectifier's peak current rating",
        ),
        Limit::RectifierPeakInverse => rating(
            rectifier.peak_inverse.as_ref(),
            |v| v.0,
            "the rectifier's peak inverse rating",
        ),
        Limit::WindingRms => rating(
            supply.transformer.winding_rating.as_ref(),
            |a| a.0,
            "the winding's rms current rating",
        ),
        Limit::CapacitorRipple(k) | Limit::CapacitorVolts(k) | Limit::CapacitorSurge(k) => {
            capacitor(limit, supply.filter.stacks().nth(usize::from(k)))
        }
        Limit::ChokeCurrent(k) => {
            let mut chokes = supply
                .filter
                .sections
                .iter()
                .filter_map(|s| match &s.series {
                    SeriesElement::Choke { rating, .. } => Some(rating.as_ref()),
                    SeriesElement::Resistor(_) => None,
                });
            rating(
                chokes.nth(usize::from(k)).flatten(),
                |a| a.0,
                "the choke's current rating",
            )
        }
    }
}

/// A rating of a capacitor's units.
fn capacitor(limit: Limit, stack: Option<&CapacitorStack>) -> Allowed {
    match limit {
        Limit::CapacitorRipple(_) => rating(
            stack.and_then(|s| s.ripple_current.as_ref()),
            |a| a.0,
            "the capacitor's ripple current rating",
        ),
        Limit::CapacitorVolts(_) => rating(
            stack.and_then(|s| s.working_volts.as_ref()),
            |v| v.0,
            "the capacitor's working volts",
        ),
        _ => rating(
            stack.and_then(|s| s.surge_volts.as_ref()),
            |v| v.0,
            "the capacitor's surge volts",
        ),
    }
}

/// A rating of the control tube.
fn control(limit: Limit, tube: &ControlTubeType) -> Allowed {
    match limit {
        Limit::ControlPlateVolts => rating(
            tube.ratings.plate_volts.as_ref(),
            |v| v.0,
            "the control tube's highest plate volts",
        ),
        Limit::ControlPlateDissipation => rating(
            tube.ratings.plate_dissipation.as_ref(),
            |w| w.0,
            "the control tube's plate dissipation",
        ),
        Limit::ControlScreenVolts => rating(
            tube.screen_volts.as_ref(),
            |v| v.0,
            "the control tube's highest screen volts",
        ),
        Limit::ControlScreenDissipation => rating(
            tube.ratings.screen_dissipation.as_ref(),
            |w| w.0,
            "the control tube's screen dissipation",
        ),
        _ => rating(
            tube.ratings.heater_cathode.as_ref(),
            |v| v.0,
            "the control tube's heater–cathode volts",
        ),
    }
}

/// An end of a range of current.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Least,
    Most,
}

/// The gas reference of a side, if it is there.
fn side_of(supply: &Supply, side: Side) -> Result<Option<&GasReference>, &'static str> {
    let regulator = supply.regulator.as_ref().ok_or(NO_REGULATOR)?;
    let rail = regulator.bias_rail.as_ref();
    Ok(match side {
        Side::Positive => regulator.reference.as_ref(),
        Side::Negative => rail.and_then(|r| r.reference.as_ref()),
    })
}

/// Volts before the feed resistor with which every tube of a gas reference strikes; not a rating.
fn strike(supply: &Supply, side: Side) -> Allowed {
    side_of(supply, side)?
        .and_then(|reference| Stack::of(reference).strike_volts)
        .map(|volts| (volts, None))
        .ok_or("the starting volts of the gas tubes")
}

/// One end of a gas reference's range of current: that of the tube that binds.
fn reference(supply: &Supply, side: Side, end: End) -> Allowed {
    let tubes = side_of(supply, side)?.map_or(&[][..], |r| r.tubes.as_slice());
    let by = |a: &&Rating<Amps>, b: &&Rating<Amps>| a.value.0.total_cmp(&b.value.0);
    let end = match end {
        End::Least => tubes.iter().map(|t| &t.current_least).max_by(by),
        End::Most => tubes.iter().map(|t| &t.current_most).min_by(by),
    };
    rating(end, |a| a.0, "the range of current of the gas tubes")
}
