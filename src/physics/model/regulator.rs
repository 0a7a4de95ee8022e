//! The regulator made ready in one case of the mains: the laws of its tubes, its references, its negative rail.

use std::sync::Arc;

use crate::parts::{RawSupply, Regulator, Tap};
use crate::physics::circuit::source::MainsShape;
use crate::physics::device::control_tube::ControlLaw;
use crate::physics::device::gas_stack::GasStack;
use crate::physics::failure::Failure;
use crate::physics::model::negative_rail::{NegativeRail, negative_rail};
use crate::physics::model::pass_tubes::PassTubes;
use crate::physics::needs::Needs;
use crate::physics::operation::Case;

/// What is the same at all mains.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fixed {
    pub(super) regulator: Arc<Regulator>,
    pub(super) pass: Arc<PassTubes>,
    pub(super) control: Result<ControlLaw, Needs>,
}

/// The negative rail in a case, `raw` making it; `None` where none is described.
pub(super) fn rail(
    regulator: &Regulator,
    raw: Option<&RawSupply>,
    case: Case,
) -> Option<Result<NegativeRail, Failure>> {
    let (rail, raw) = regulator.bias_rail.as_ref().zip(raw)?;
    let divider_amps = match regulator.divider.foot {
        Tap::BiasRail => {
            let shape = MainsShape::of(raw.mains.crest_factor);
            rail.winding.0 * shape.crest_factor / regulator.divider.resistance.0
        }
        _ => 0.0,
    };
    Some(negative_rail(raw, rail, case, divider_amps))
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
