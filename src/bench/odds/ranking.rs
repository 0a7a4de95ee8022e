//! What to measure next: by how much an answer would be narrower if one value were known better.

use crate::bench::indices::{Design, Indices, indices};
use crate::bench::odds::Question;
use crate::parts::spread::{Batch, Chance, Field, Input};
use crate::physics::failure::Failure;
use crate::physics::operation::Case;
use crate::physics::spread::{Beside, Mover, Spreading, quantile};
use crate::physics::watch::{Unwatched, Watch};

/// One thing that the answer depends on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked {
    /// What it is.
    pub mover: Mover,
    /// Share of the answer's variance that would go if it alone were known.
    pub first: f64,
    /// Share that would stay if all others were known.
    pub total: f64,
    /// To what share of its value it can be measured at a bench; `None` for what no single measurement tells.
    pub known_to: Option<f64>,
    /// What would be left of the width of the answer's band if it were measured so well (0 to 1).
    pub left: f64,
}

/// The ranking for one question.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// Which question.
    pub question: Question,
    /// Standard deviation of the answer.
    pub sigma: f64,
    /// What it depends on, the one that does most first.
    pub ranked: Vec<Ranked>,
}

/// Rows of samples from which a ranking is usual: the shares are then right to a few hundredths.
pub const USUAL_ROWS: u32 = 256;

/// Rows that go with so many drawn supplies: about as many solutions of one question for each value as of all limits.
pub fn rows_for(samples: u32) -> u32 {
    (samples / 4).clamp(16, USUAL_ROWS)
}

/// The rankings for some questions, from rows of samples of a seed. Left out is a question whose answer does not vary, or that has none.
///
/// # Errors
/// [`Failure`] of the supply in the middle of its spreads.
pub fn rankings<const K: usize>(
    spreading: &Spreading,
    questions: [Question; K],
    sampled: [u32; 2],
) -> Result<Vec<Ranking>, Failure> {
    rankings_followed(spreading, questions, sampled, &Unwatched)
}

/// The same for someone who may lose interest, and is then given anything.
///
/// # Errors
/// As [`rankings`].
pub fn rankings_followed<const K: usize>(
    spreading: &Spreading,
    questions: [Question; K],
    [rows, seed]: [u32; 2],
    watch: &(dyn Watch + Sync),
) -> Result<Vec<Ranking>, Failure> {
    let middle = spreading.model(&spreading.middle())?;
    let beside = questions.map(|question| Beside::of(&middle, question.amps()));
    let cases: Vec<Case> = (questions.iter())
        .flat_map(|question| question.cases(&middle.supply))
        .collect();
    let design = Design {
        inputs: spreading.dimensions(),
        rows,
        seed,
    };
    let found = indices(design, &|point| {
        if !watch.may_go_on(0.0) {
            return None;
        }
        let model = spreading
            .model_for(&spreading.factors(point), &cases)
            .ok()?;
        let mut answers = [0.0; K];
        for (answer, (question, beside)) in answers.iter_mut().zip(questions.iter().zip(&beside)) {
            *answer = question.answer(&model, beside)?;
        }
        Some(answers)
    });
    let both = questions.into_iter().zip(&found);
    Ok(both
        .filter_map(|(question, found)| Some(ranking(spreading, question, found.as_ref()?)))
        .collect())
}

fn ranking(spreading: &Spreading, question: Question, found: &Indices) -> Ranking {
    let movers = spreading.movers();
    // What the parts of a batch have in common, as a share of the answer's variance.
    let common = |batch: Batch| {
        let place = movers.iter().position(|one| *one == Mover::Common(batch));
        let first = place.and_then(|place| found.first.get(place));
        first.map_or(0.0, |first| first.clamp(0.0, 1.0))
    };
    let mut ranked: Vec<Ranked> = (movers
        .iter()
        .copied()
        .zip(found.first.iter().zip(&found.total)))
    .map(|(mover, (first, total))| {
        // Noise aside a first-order index lies between nothing and the total.
        let first = first.clamp(0.0, 1.0);
        let (known_to, told) = match mover {
            Mover::Own(field) => {
                let input = spreading.inputs().iter().find(|input| input.field == field);
                let batch = input.and_then(|input| input.batch);
                let whole = batch.map_or(first, |batch| of_a_member(first, common(batch)));
                let known_to = measurable_to(field);
                let gone = input.map_or(1.0, |input| gone(input, known_to));
                (Some(known_to), whole * gone)
            }
            Mover::Common(_) => (None, first),
        };
        Ranked {
            mover,
            first,
            total: *total,
            known_to,
            left: (1.0 - told).max(0.0).sqrt(),
        }
    })
    .collect();
    ranked.sort_by(|a, b| b.total.total_cmp(&a.total));
    Ranking {
        question,
        sigma: found.variance.sqrt(),
        ranked,
    }
}

/// Share of the answer's variance that goes when one part of a batch is known: what it has for itself, and what it tells of the others.
///
/// With an answer linear in normal inputs, coefficients `a` and their sum `A` over the batch, of which `c` is common, its covariance with
/// one of them is `(1 − c)·a + c·A`; its own index is `(1 − c)·a²`, the common one `c·A²`, over the variance. All are taken to act the
/// same way, as wear does.
///
/// # Source
/// Covariance of sums; derived here.
fn of_a_member(own: f64, common: f64) -> f64 {
    let share = Batch::COMMON;
    let sum = ((1.0 - share) * own).sqrt() + (share * common).sqrt();
    (sum * sum).min(1.0)
}

/// Share of an input's variance that goes when it is measured to within a share of its value, either side as likely as the middle.
fn gone(input: &Input, to: f64) -> f64 {
    let sigma = match input.chance {
        Chance::Even { low, high } => (high - low) / 12.0_f64.sqrt(),
        // Between the points at which a normal distribution is one standard deviation off its mean.
        bell @ Chance::Bell { .. } => 0.5 * (quantile(bell, 0.841_345) - quantile(bell, 0.158_655)),
    };
    let left = to / 3.0_f64.sqrt() / sigma;
    if left.is_finite() {
        (1.0 - left * left).max(0.0)
    } else {
        0.0
    }
}

/// To what share of its value a field can be measured with what stands on a bench: a good hand meter has 0.5 % on direct and 1 % on
/// alternating volts and ohms (value from memory), a capacitor bridge 2 %; a tube on a tester 10 % (common practice, no source).
fn measurable_to(field: Field) -> f64 {
    match field {
        Field::ReferenceTube(..) => 0.005,
        Field::InputCapacitor
        | Field::SectionCapacitor(_)
        | Field::RailCapacitor
        | Field::PassAmplification => 0.02,
        Field::ChokeInductance(_) | Field::Auxiliary => 0.05,
        Field::Rectifier | Field::PassTube | Field::ControlTube => 0.1,
        // Volts, ohms and amperes on a hand meter.
        _ => 0.01,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand, half of each being common: of y = a all is told by a; of y = a + b a tells 3/4 (variance 3, covariance 1.5).
    #[test]
    fn a_part_of_a_batch_tells_of_the_others_too() {
        assert!((of_a_member(0.5, 0.5) - 1.0).abs() < 1e-12);
        assert!((of_a_member(1.0 / 6.0, 2.0 / 3.0) - 0.75).abs() < 1e-12);
        assert!(of_a_member(0.0, 0.0).abs() < 1e-12);
    }
}
