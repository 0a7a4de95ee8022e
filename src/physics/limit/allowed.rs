//! What each limit allows: ratings of the parts, and what is no rating.

use crate::parts::quantity::Quantity;
use crate::parts::{
    Amps, CapacitorStack, GasReference, Rating, RatingSystem, SeriesElement, Side, Supply,
};
use crate::physics::device::gas_stack::GasStack;
use crate::physics::limit::{Limit, Whose};
use crate::physics::needs::Needs;

/// A rating's number, or what would have to be known.
type Allowed = Result<(f64, Option<RatingSystem>), Needs>;

fn rating<T: Quantity>(of: Option<&Rating<T>>, needs: Needs) -> Allowed {
    of.map(|r| (r.value.si(), Some(r.system))).ok_or(needs)
}

/// What a limit allows (V, A, W or Ω), with its rating system if it is a rating.
///
/// # Errors
/// What would have to be known.
pub fn allowed(limit: Limit, supply: &Supply) -> Allowed {
    let tube = &supply.pass_stage.tube;
    let pass = &tube.ratings;
    let regulator = || supply.regulator.as_ref().ok_or(Needs::Regulator);
    let control = || regulator().map(|r| &r.control_tube.ratings);
    match limit {
        Limit::GridFloor if supply.regulator.is_none() => Err(Needs::Regulator),
        Limit::Dropout | Limit::GridFloor | Limit::ControlGridCeiling => Ok((0.0, None)),
        Limit::SetRangeHigh => Ok((supply.output.set_high.0, None)),
        Limit::SetRangeLow => Ok((supply.output.set_low.0, None)),
        Limit::PlateDissipation => rating(pass.plate_dissipation.as_ref(), Needs::Rating(limit)),
        Limit::ScreenDissipation if tube.screen_share.is_none() => Err(Needs::ScreenShare),
        Limit::ScreenDissipation => rating(pass.screen_dissipation.as_ref(), Needs::Rating(limit)),
        Limit::EnvelopeDissipation => {
            rating(tube.envelope_dissipation.as_ref(), Needs::Rating(limit))
        }
        Limit::PlateCurrent => rating(tube.plate_current.as_ref(), Needs::Rating(limit)),
        Limit::PlateVolts => rating(pass.plate_volts.as_ref(), Needs::Rating(limit)),
        Limit::HeaterCathode | Limit::HeaterAboveCathode => {
            rating(pass.heater_cathode.as_ref(), Needs::Rating(limit))
        }
        Limit::GridResistor(Whose::Pass) => {
            regulator().and(rating(pass.grid_resistor.as_ref(), Needs::Rating(limit)))
        }
        Limit::ReferenceStrike(side) => strike(supply, side),
        Limit::ReferenceLeast(side) => reference(supply, side, End::Least),
        Limit::ReferenceMost(side) => reference(supply, side, End::Most),
        Limit::ControlPlateVolts => rating(control()?.plate_volts.as_ref(), Needs::Rating(limit)),
        Limit::ControlPlateDissipation => {
            rating(control()?.plate_dissipation.as_ref(), Needs::Rating(limit))
        }
        Limit::ControlScreenVolts => rating(
            regulator()?.control_tube.screen_volts.as_ref(),
            Needs::Rating(limit),
        ),
        Limit::ControlScreenDissipation => {
            rating(control()?.screen_dissipation.as_ref(), Needs::Rating(limit))
        }
        Limit::ControlHeaterCathode => {
            rating(control()?.heater_cathode.as_ref(), Needs::Rating(limit))
        }
        Limit::GridResistor(Whose::Control) => {
            rating(control()?.grid_resistor.as_ref(), Needs::Rating(limit))
        }
        Limit::RectifierDc | Limit::RectifierPeak | Limit::RectifierPeakInverse => {
            of_rectifier(limit, supply)
        }
        Limit::WindingRms => rating(
            supply.transformer.winding_rating.as_ref(),
            Needs::Rating(limit),
        ),
        Limit::CapacitorRipple(k) | Limit::CapacitorVolts(k) | Limit::CapacitorSurge(k) => {
            of_capacitor(limit, supply.filter.stacks().nth(usize::from(k)))
        }
        Limit::ChokeCurrent(k) => {
            let sections = supply.filter.sections.iter();
            let mut chokes = sections.filter_map(|s| match &s.series {
                SeriesElement::Choke { rating, .. } => Some(rating.as_ref()),
                SeriesElement::Resistor(_) => None,
            });
            rating(chokes.nth(usize::from(k)).flatten(), Needs::Rating(limit))
        }
    }
}

/// A rating of the rectifier.
fn of_rectifier(limit: Limit, supply: &Supply) -> Allowed {
    let rectifier = &supply.rectifier.kind;
    match limit {
        Limit::RectifierDc => {
            let choke_input = supply.filter.input_capacitor.is_none();
            let of = rectifier
                .dc_current_choke_input
                .as_ref()
                .filter(|_| choke_input)
                .or(rectifier.dc_current.as_ref());
            // Published for the envelope, judged for one device.
            let (amps, system) = rating(of, Needs::Rating(limit))?;
            Ok((amps / f64::from(rectifier.plates.max(1)), system))
        }
        Limit::RectifierPeak => rating(rectifier.peak_current.as_ref(), Needs::Rating(limit)),
        _ => rating(rectifier.peak_inverse.as_ref(), Needs::Rating(limit)),
    }
}

/// A rating of a capacitor's units.
fn of_capacitor(limit: Limit, stack: Option<&CapacitorStack>) -> Allowed {
    match limit {
        Limit::CapacitorRipple(_) => rating(
            stack.and_then(|s| s.ripple_current.as_ref()),
            Needs::Rating(limit),
        ),
        Limit::CapacitorVolts(_) => rating(
            stack.and_then(|s| s.working_volts.as_ref()),
            Needs::Rating(limit),
        ),
        _ => rating(
            stack.and_then(|s| s.surge_volts.as_ref()),
            Needs::Rating(limit),
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
fn side_of(supply: &Supply, side: Side) -> Result<Option<&GasReference>, Needs> {
    let regulator = supply.regulator.as_ref().ok_or(Needs::Regulator)?;
    Ok(regulator.gas_reference(side))
}

/// Volts before the feed resistor with which every tube of a gas reference strikes; not a rating.
fn strike(supply: &Supply, side: Side) -> Allowed {
    side_of(supply, side)?
        .and_then(|reference| GasStack::of(reference).strike_volts)
        .map(|volts| (volts, None))
        .ok_or(Needs::StartingVolts)
}

/// One end of a gas reference's range of current: that of the tube that binds.
fn reference(supply: &Supply, side: Side, end: End) -> Allowed {
    let tubes = side_of(supply, side)?.map_or(&[][..], |r| r.tubes.as_slice());
    let by = |a: &&Rating<Amps>, b: &&Rating<Amps>| a.value.0.total_cmp(&b.value.0);
    let end = match end {
        End::Least => tubes.iter().map(|t| &t.current_least).max_by(by),
        End::Most => tubes.iter().map(|t| &t.current_most).min_by(by),
    };
    rating(end, Needs::ReferenceRange)
}
