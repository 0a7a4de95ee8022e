//! What moves the limit that is explained: a job, for it solves the supply a few dozen times.

use crate::app::answers::jobs::{Progress, Request};
use crate::bench::sensitivity::{Sensitivity, sensitivity_followed};
use crate::parts::Supply;
use crate::parts::catalogue::Catalogue;
use crate::physics::Model;
use crate::physics::limit::Limit;

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Question {
    /// Of this supply.
    pub(crate) supply: Supply,
    /// What moves this limit.
    pub(crate) limit: Limit,
    /// At this point (A, V).
    pub(crate) at: [f64; 2],
}

/// The question, with the types that there are to swap in.
#[derive(Debug, Clone)]
pub(crate) struct Moves {
    /// What is asked.
    pub(crate) question: Question,
    /// The types.
    pub(crate) catalogue: Catalogue,
}

impl PartialEq for Moves {
    /// New types of one's own do not make an answer older.
    fn eq(&self, other: &Self) -> bool {
        self.question == other.question
    }
}

impl Request for Moves {
    /// `None` if it cannot be worked out.
    type Answer = Option<Sensitivity>;

    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer {
        let Question { supply, limit, at } = &self.question;
        let model = Model::of(supply).ok()?;
        sensitivity_followed(&model, *limit, *at, &self.catalogue, progress).ok()
    }

    fn supply(&self) -> &Supply {
        &self.question.supply
    }
}
