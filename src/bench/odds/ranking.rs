//! What to measure next: by how much an answer would be narrower if one value were known better.

use crate::bench::indices::{Design, Indices, indices};
use crate::bench::odds::Question;
use crate::parts::spread::{Chance, Field, Input};
use crate::physics::failure::Failure;
use crate::physics::operation::Case;
use crate::physics::spread::{Beside, Mover, Spreading, quantile};

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

/// The rankings for some questions, from rows of samples of a seed. Left out is a question whose answer does not vary, or that has none.
///
/// # Errors
/// [`Failure`] of the supply in the middle of its spreads.
pub fn rankings<const K: usize>(
    spreading: &Spreading,
    questions: [Question; K],
    [rows, seed]: [u32; 2],
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
    let mut ranked: Vec<Ranked> = (movers.into_iter().zip(found.first.iter().zip(&found.total)))
        .map(|(mover, (first, total))| {
            // Noise aside a first-order index lies between nothing and the total.
            let first = first.clamp(0.0, 1.0);
            let (known_to, gone) = match mover {
                Mover::Own(field) => {
                    let input = spreading.inputs().iter().find(|input| input.field == field);
                    let known_to = measurable_to(field);
                    (
                        known_to,
                        input
                            .zip(known_to)
                            .map_or(1.0, |(input, to)| gone(input, to)),
                    )
                }
                Mover::Common(_) => (None, 1.0),
            };
            Ranked {
                mover,
                first,
                total: *total,
                known_to,
                left: (1.0 - first * gone).max(0.0).sqrt(),
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
fn measurable_to(field: Field) -> Option<f64> {
    Some(match field {
        Field::Mains | Field::Winding | Field::RailWinding => 0.01,
        Field::ReferenceTube(..) => 0.005,
        Field::PrimaryResistance
        | Field::SecondaryResistance
        | Field::ChokeResistance(_)
        | Field::RailWindingResistance
        | Field::RectifierResistor
        | Field::SectionResistor(_)
        | Field::Bleeder
        | Field::CathodeResistor
        | Field::PlateResistor
        | Field::PlateLoad
        | Field::Divider
        | Field::ReferenceFeed(_)
        | Field::MeterShunt
        | Field::InternalCurrent => 0.01,
        Field::InputCapacitor | Field::SectionCapacitor(_) | Field::RailCapacitor => 0.02,
        Field::ChokeInductance(_) | Field::Auxiliary => 0.05,
        Field::Rectifier | Field::PassTube | Field::ControlTube => 0.1,
        Field::PassAmplification => 0.02,
    })
}
