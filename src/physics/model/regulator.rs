//! The regulator made ready in one case of the mains: the laws of its tubes, its references, its negative rail.

use std::sync::Arc;

use crate::parts::control_tube::PentodePoint;
use crate::parts::{
    ControlTubeKind, ControlTubeType, PlateSupply, RawSupply, Regulator, ScreenFeed, Side, Supply,
    Tap, Volts,
};
use crate::physics::circuit::source::{MainsShape, TransformerFault};
use crate::physics::device::control_tube::{ControlLaw, control_law};
use crate::physics::device::gas_stack::GasStack;
use crate::physics::failure::Failure;
use crate::physics::model::negative_rail::{NegativeRail, negative_rail};
use crate::physics::model::pass_tubes::PassTubes;
use crate::physics::needs::Needs;
use crate::physics::operation::Case;
use crate::physics::steady_state::Start;

/// What is the same at all mains.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fixed {
    pub(super) regulator: Arc<Regulator>,
    pub(super) pass: Arc<PassTubes>,
    pub(super) control: Result<ControlLaw, Needs>,
    pub(super) on_divider: Option<Arc<ScreenOnDivider>>,
}

/// The control tube as its law is asked at any screen volts, where these follow from a divider.
#[derive(Debug, Clone, PartialEq)]
pub struct ScreenOnDivider {
    /// With the one published operating point that is nearest to the screen volts in the middle of the output range, so that the law
    /// never jumps from one point to the next.
    tube: ControlTubeType,
}

/// Least screen volts that the law is asked at (V): a screen at its cathode or below leaves no current.
const LEAST_SCREEN_VOLTS: f64 = 1.0;

impl ScreenOnDivider {
    /// Of a pentode about these screen volts.
    ///
    /// # Errors
    /// What would have to be known.
    pub(super) fn about(tube: &ControlTubeType, screen_volts: f64) -> Result<Self, Needs> {
        let mut tube = tube.clone();
        let ControlTubeKind::Pentode {
            operating_points, ..
        } = &mut tube.kind
        else {
            return Err(Needs::ControlOperatingPoint);
        };
        let away = |p: &PentodePoint| (p.screen.0 - screen_volts).abs();
        let nearest = operating_points
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))
            .ok_or(Needs::ControlOperatingPoint)?;
        *operating_points = vec![nearest.clone()];
        Ok(Self { tube })
    }

    /// The law with the screen at so many volts above its cathode.
    ///
    /// # Errors
    /// What would have to be known.
    pub fn law(&self, screen_volts: f64) -> Result<ControlLaw, Needs> {
        let screen = Volts(screen_volts.max(LEAST_SCREEN_VOLTS));
        control_law(&self.tube, Some(screen))
    }
}

/// Screen volts from a divider in the middle of the output range, as far as they can be told before any bus is known (V above the
/// cathode). `None` without a divider.
pub(super) fn likely_screen_volts(supply: &Supply) -> Option<f64> {
    let regulator = supply.regulator.as_ref()?;
    let divider = regulator.screen_divider.as_ref()?;
    let output = 0.5 * (supply.output.set_low.0 + supply.output.set_high.0);
    let running = |side: Side, tubes: usize| -> f64 {
        let reference = regulator.gas_reference(side);
        let tubes = reference.iter().flat_map(|r| r.tubes.iter().take(tubes));
        tubes.map(|t| t.volts.value.0).sum()
    };
    let winding = supply.transformer.stated_volts().0;
    let crest = core::f64::consts::SQRT_2;
    let tap = |tap: Tap| match tap {
        Tap::Common => 0.0,
        Tap::Reference => running(Side::Positive, usize::MAX),
        Tap::BiasReference(tubes) => -running(Side::Negative, usize::from(tubes)),
        Tap::BiasRail => {
            let rail = regulator.bias_rail.as_ref();
            -crest * rail.map_or(0.0, |rail| supply.rail_volts(rail).0)
        }
    };
    let from = match (divider.fed_from, regulator.plate_supply) {
        (ScreenFeed::Bus, _) => crest * winding,
        (ScreenFeed::CleanRail, PlateSupply::Clean(volts)) => output + volts.0,
        (ScreenFeed::Output | ScreenFeed::CleanRail, _) => output,
        (ScreenFeed::Reference, _) => tap(Tap::Reference),
        (ScreenFeed::Common, _) => 0.0,
    };
    let (upper, lower) = (divider.upper.0, divider.lower.0);
    let screen = (from * lower + tap(divider.foot) * upper) / (upper + lower);
    Some(screen - tap(regulator.cathode))
}

/// The negative rail in a case, `raw` making it; `None` where none is described.
pub(super) fn rail(
    regulator: &Regulator,
    raw: Option<&Result<RawSupply, TransformerFault>>,
    case: Case,
    near: &[Start],
) -> Option<Result<NegativeRail, Failure>> {
    let (rail, raw) = regulator.bias_rail.as_ref().zip(raw)?;
    let raw = match raw {
        Ok(raw) => raw,
        Err(fault) => return Some(Err((*fault).into())),
    };
    let screen = regulator.screen_divider.as_ref();
    let dividers = [
        Some((regulator.divider.foot, regulator.divider.resistance.0)),
        screen.map(|d| (d.foot, d.upper.0 + d.lower.0)),
    ];
    let on_rail = dividers.iter().flatten();
    let on_rail = on_rail.filter(|(foot, _)| *foot == Tap::BiasRail);
    let crest_volts =
        raw.transformer.stated_volts().0 * MainsShape::of(raw.mains.crest_factor).crest_factor;
    let divider_amps = on_rail.map(|(_, ohms)| crest_volts / ohms).sum();
    Some(negative_rail(raw, rail, case, divider_amps, near))
}

/// The regulator in one case, whatever the load.
#[derive(Debug, Clone, PartialEq)]
pub struct RegulatorModel {
    /// The case.
    pub case: Case,
    /// The regulator as described.
    pub regulator: Arc<Regulator>,
    /// The pass tubes that it drives.
    pub pass: Arc<PassTubes>,
    /// The control tube's law.
    pub control: Result<ControlLaw, Needs>,
    /// The same at any screen volts, where these follow from a divider.
    pub on_divider: Option<Arc<ScreenOnDivider>>,
    /// The positive reference.
    pub positive: Option<GasStack>,
    /// The negative rail, if there is one; why it gives no voltage, where it gives none.
    pub rail: Option<Result<NegativeRail, Failure>>,
    /// The negative reference.
    pub negative: Option<GasStack>,
}

impl RegulatorModel {
    /// In a case, with the negative rail that [`rail`] makes there.
    pub(super) fn new(
        fixed: &Fixed,
        rail: Option<Result<NegativeRail, Failure>>,
        case: Case,
    ) -> Self {
        let regulator = &fixed.regulator;
        let described = regulator.bias_rail.as_ref();
        Self {
            case,
            regulator: Arc::clone(regulator),
            pass: Arc::clone(&fixed.pass),
            control: fixed.control.clone(),
            on_divider: fixed.on_divider.clone(),
            positive: regulator.reference.as_ref().map(GasStack::of),
            rail,
            negative: described
                .and_then(|rail| rail.reference.as_ref())
                .map(GasStack::of),
        }
    }

    /// The negative rail where it gives voltage.
    pub fn working_rail(&self) -> Option<&NegativeRail> {
        self.rail.as_ref()?.as_ref().ok()
    }
}
