//! Many switch-ons of the supply, drawn behind the frames while switching on is looked at.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::app::answers::jobs::{Progress, Request};
use crate::bench::fuses::{AskedSurges, Before, Inrush, InrushInput, USUAL, inrush, load_currents};
use crate::parts::spread::{Input, inputs};
use crate::parts::{Primary, Supply, Work};
use crate::physics::Model;
use crate::physics::envelope::Envelope;
use crate::physics::watch::{Follow, Watch};

/// The same switch-ons are drawn each time: what moves is the supply.
const SEED: u32 = 1;

/// What they are of.
#[derive(Debug, Clone)]
pub(crate) struct SurgesWanted {
    supply: Supply,
    primary: Primary,
    inputs: Vec<Input>,
    before: Before,
    currents: Vec<f64>,
    model: Arc<Model>,
    /// While it is true no answer comes.
    hold: Arc<AtomicBool>,
}

impl PartialEq for SurgesWanted {
    /// Model and currents follow from the supply.
    fn eq(&self, other: &Self) -> bool {
        self.supply == other.supply
            && self.primary == other.primary
            && self.inputs == other.inputs
            && self.before == other.before
    }
}

impl SurgesWanted {
    /// Of the work whose model and envelope these are.
    pub(crate) fn of(
        work: &Work,
        (model, envelope): (&Arc<Model>, &Envelope),
        before: Before,
        hold: &Arc<AtomicBool>,
    ) -> Self {
        Self {
            supply: work.supply.clone(),
            primary: work.primary.clone(),
            inputs: inputs(work),
            before,
            currents: load_currents(envelope),
            model: Arc::clone(model),
            hold: Arc::clone(hold),
        }
    }
}

/// Passes on each part.
struct Told<'a>(&'a Progress<Option<Arc<Inrush>>>);

impl Watch for Told<'_> {
    fn may_go_on(&self, done: f64) -> bool {
        self.0.may_go_on(done)
    }
}

impl Follow<Inrush> for Told<'_> {
    fn so_far(&self, part: &Inrush) {
        self.0.so_far(&Some(Arc::new(part.clone())));
    }
}

impl Request for SurgesWanted {
    /// `None` if it cannot be worked out; why stands in the dock.
    type Answer = Option<Arc<Inrush>>;

    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer {
        progress.wait_while(&self.hold);
        let input = InrushInput {
            model: &self.model,
            primary: &self.primary,
            inputs: &self.inputs,
            currents: &self.currents,
            asked: AskedSurges {
                samples: USUAL,
                seed: SEED,
                before: self.before,
            },
        };
        inrush(&input, &Told(progress)).ok().map(Arc::new)
    }

    fn supply(&self) -> &Supply {
        &self.supply
    }
}
