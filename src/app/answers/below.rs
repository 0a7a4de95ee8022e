//! What the dock below the plot shows of one point, at the present mains.

use crate::app::work::view::Scene;
use crate::bench::holding::{Holding, holding};
use crate::bench::run_down::{RunDown, run_down};
use crate::explain::{failure, regulation};
use crate::physics::energy::{self, Energy, NoFlow};
use crate::physics::envelope::Envelope;
use crate::physics::operation::Case;
use crate::physics::steady_state::{Waveform, waveform};
use crate::physics::{Failure, Model};

/// One of the views, worked out.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Below {
    /// One mains cycle.
    Cycle(Box<Waveform>),
    /// After switch-off.
    RunDown(Box<RunDown>),
    /// Where the watts go.
    Energy(Energy),
    /// How the output is held.
    Regulation(Box<Holding>),
}

/// Why a view shows nothing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Missing {
    /// The point cannot be solved.
    Failure(Failure),
    /// Nothing flows like that.
    NoFlow(NoFlow),
    /// The regulator is not known well enough.
    NotKnown(Failure),
}

impl Missing {
    /// It in words, for the view's place in the window.
    pub(crate) fn sentence(&self) -> String {
        match self {
            Self::Failure(why) => failure::sentence(why),
            _ => self.brief(),
        }
    }

    /// It in words, after a sentence that names the view.
    pub(crate) fn brief(&self) -> String {
        match self {
            Self::Failure(why) => failure::reason(why),
            Self::NoFlow(why) => failure::no_flow(why),
            Self::NotKnown(why) => regulation::not_known(why),
        }
    }
}

impl Below {
    /// The view at a point (A, V); `None` where the dummy loads stand in its place.
    pub(crate) fn of(
        scene: Scene,
        model: &Model,
        envelope: &Envelope,
        at: [f64; 2],
    ) -> Option<Result<Self, Missing>> {
        let wave = || waveform(&model.raw, Case::Present, at[0]).map_err(Missing::Failure);
        Some(match scene {
            Scene::Loads | Scene::Networks | Scene::Odds | Scene::Plan | Scene::Readings => return None,
            Scene::Cycle => wave().map(|wave| Self::Cycle(Box::new(wave))),
            Scene::RunDown => run_down(model, envelope, at)
                .map(|found| Self::RunDown(Box::new(found)))
                .map_err(Missing::Failure),
            Scene::Energy => energy::energy(model, Case::Present, at)
                .map(Self::Energy)
                .map_err(Missing::NoFlow),
            Scene::Regulation => holding(model, envelope, at)
                .map(|holding| Self::Regulation(Box::new(holding)))
                .map_err(Missing::NotKnown),
        })
    }
}
