//! What the plan and the readings come to: a job, for it solves the supply some hundred times.

use crate::app::answers::jobs::{Progress, Request};
use crate::bench::diagnosis::{Asked, Diagnosis, judge};
use crate::bench::plan::{Prepared, prepared, steps};
use crate::parts::readings::ReadingSet;
use crate::parts::{Supply, Work};
use crate::physics::{Failure, Model, envelope};

/// What is asked: all of a work that the answer depends on.
#[derive(Debug, Clone)]
pub(crate) struct AtBench {
    /// The work.
    pub(crate) work: Work,
    /// Which set of readings, by its place; none if there is none yet.
    pub(crate) set: Option<usize>,
}

impl PartialEq for AtBench {
    /// Neither name nor notes move what comes of it.
    fn eq(&self, other: &Self) -> bool {
        let (one, two) = (&self.work, &other.work);
        self.set == other.set
            && one.bench == two.bench
            && one.supply == two.supply
            && one.dummies == two.dummies
            && one.spreads == two.spreads
            && one.condition == two.condition
            && one.guessed == two.guessed
    }
}

/// What came of it.
#[derive(Debug, Clone)]
pub(crate) struct BenchAnswer {
    /// The steps of the plan with what each would show.
    pub(crate) plan: Vec<Prepared>,
    /// What the readings of the set say; `None` without any.
    pub(crate) diagnosis: Option<Diagnosis>,
}

impl Request for AtBench {
    /// Why there is none, where the supply cannot be worked out.
    type Answer = Result<BenchAnswer, Failure>;

    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer {
        let work = &self.work;
        let model = Model::of(&work.supply)?;
        let envelope = envelope(&model)?;
        let plan = prepared(work, &steps(work), (&model, &envelope))?;
        let set = self.set.and_then(|place| work.bench.sets.get(place));
        let diagnosis = match set.filter(|set| !set.readings.is_empty()) {
            Some(set) => judged(work, set, progress)?,
            None => None,
        };
        Ok(BenchAnswer { plan, diagnosis })
    }

    fn supply(&self) -> &Supply {
        &self.work.supply
    }
}

fn judged(
    work: &Work,
    set: &ReadingSet,
    progress: &Progress<Result<BenchAnswer, Failure>>,
) -> Result<Option<Diagnosis>, Failure> {
    let asked = Asked::of(work, set)?;
    let predicted = asked.predicted(progress)?;
    Ok(predicted.map(|predicted| judge(&asked, &predicted)))
}
