//! What the dock below the plot shows of one point, at the present mains.

use crate::app::work::view::Scene;
use crate::bench::holding::{Holding, holding};
use crate::bench::run_down::{RunDown, run_down};
use crate::explain::{failure, inrush, regulation};
use crate::parts::Primary;
use crate::physics::energy::{self, Energy, NoFlow};
use crate::physics::envelope::Envelope;
use crate::physics::operation::Case;
use crate::physics::steady_state::{Waveform, waveform};
use crate::physics::switch_on::{Closing, NoSwitchOn, SwitchOn, Transient};
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
    /// The moment at which it is switched on.
    SwitchingOn(Box<Switched>),
}

/// One switch-on.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Switched {
    /// The first cycles.
    pub(crate) transient: Transient,
    /// Length of a mains cycle (s).
    pub(crate) cycle_seconds: f64,
    /// The most that may stay in the core, as a share of the working flux.
    pub(crate) most_residual: f64,
}

/// Cycles that are shown.
const CYCLES: u32 = 6;

/// Why a view shows nothing.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Missing {
    /// The point cannot be solved.
    Failure(Failure),
    /// Nothing flows like that.
    NoFlow(NoFlow),
    /// The regulator is not known well enough.
    NotKnown(Failure),
    /// Nothing can be said of switching on.
    NoSwitchOn(Box<(NoSwitchOn, Primary)>),
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
            Self::NoSwitchOn(why) => inrush::failure(&why.0, &why.1),
        }
    }
}

impl Below {
    /// One switch-on of this supply with its primary side.
    pub(crate) fn switched_on(
        model: &Model,
        (closing, primary): &(Closing, Primary),
    ) -> Result<Self, Missing> {
        let switched = || {
            let on = SwitchOn::of(model, primary, 0.0)?;
            Ok(Switched {
                transient: on.transient(closing, CYCLES)?,
                cycle_seconds: on.cycle_seconds(),
                most_residual: on.most_residual(),
            })
        };
        let found: Result<Switched, NoSwitchOn> = switched();
        found
            .map(|switched| Self::SwitchingOn(Box::new(switched)))
            .map_err(|why| Missing::NoSwitchOn(Box::new((why, primary.clone()))))
    }

    /// The view at a point (A, V); `None` where the dummy loads stand in its place.
    pub(crate) fn of(
        scene: Scene,
        model: &Model,
        envelope: &Envelope,
        at: [f64; 2],
    ) -> Option<Result<Self, Missing>> {
        let wave = || waveform(&model.raw, Case::Present, at[0]).map_err(Missing::Failure);
        Some(match scene {
            // Switching on depends on more than a point.
            Scene::Loads
            | Scene::Networks
            | Scene::Odds
            | Scene::Plan
            | Scene::Readings
            | Scene::SwitchingOn => return None,
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
