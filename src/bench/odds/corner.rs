//! The worst corner of the spreads: every value at that end of its spread at which they together do the most harm.
//!
//! It is sought, not added up from shares: what one value does depends on where the others are. No unit that one could build of such parts
//! is worse, and hardly one is as bad: all would have to be off the worst way at once.

use rayon::prelude::*;

use crate::bench::odds::Question;
use crate::parts::spread::Field;
use crate::physics::failure::Failure;
use crate::physics::spread::{Beside, Spreading};
use crate::physics::watch::{Unwatched, Watch};

/// Rounds of single changes after which no further one is tried: each follows from the last and mostly the second finds nothing.
const ROUNDS: usize = 4;

/// The worst corner for a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Which question.
    pub question: Question,
    /// The answer there.
    pub answer: f64,
    /// The answer with every value in the middle of its spread.
    pub middle: f64,
    /// Where the values are that move the answer, the one that does most first.
    pub ends: Vec<CornerEnd>,
}

/// One value in the worst corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerEnd {
    /// Which.
    pub field: Field,
    /// So many times what the supply has.
    pub factor: f64,
    /// By how much the answer would be better with this one alone in the middle of its spread.
    pub relief: f64,
}

/// The worst corner: first each value at the end that is worse with the others in their middle, then single changes as long as one makes
/// it worse. `None` where the question has no answer.
///
/// # Errors
/// [`Failure`] of the supply in the middle of its spreads.
pub fn corner(spreading: &Spreading, question: Question) -> Result<Option<Corner>, Failure> {
    corner_followed(spreading, question, &Unwatched)
}

/// The same for someone who may lose interest, and is then given anything.
///
/// # Errors
/// As [`corner`].
pub fn corner_followed(
    spreading: &Spreading,
    question: Question,
    watch: &(dyn Watch + Sync),
) -> Result<Option<Corner>, Failure> {
    let sign = if question.is_worse_above() { 1.0 } else { -1.0 };
    // How bad it is: more is worse. A corner that is no supply at all is not one.
    let middle = spreading.middle();
    let in_middle = spreading.model(&middle)?;
    let beside = Beside::of(&in_middle, question.amps());
    let cases = question.cases(&in_middle.supply);
    let bad = |factors: &[f64]| {
        if !watch.may_go_on(0.0) {
            return None;
        }
        let model = spreading.model_for(factors, &cases).ok()?;
        Some(sign * question.answer(&model, &beside)?)
    };
    let Some(at_middle) = question.answer(&in_middle, &beside) else {
        return Ok(None);
    };
    let ends: Vec<[f64; 2]> = spreading
        .inputs()
        .iter()
        .map(|input| input.chance.ends())
        .collect();
    let with = |factors: &[f64], place: usize, factor: f64| {
        let mut other = factors.to_vec();
        if let Some(one) = other.get_mut(place) {
            *one = factor;
        }
        other
    };
    let start: Vec<f64> = (ends.par_iter().enumerate())
        .map(|(place, [low, high])| {
            let [at_low, at_high] = [*low, *high].map(|end| bad(&with(&middle, place, end)));
            if at_low > at_high { *low } else { *high }
        })
        .collect();
    let (mut worst, mut factors) = match bad(&start) {
        Some(found) if found >= sign * at_middle => (found, start),
        _ => (sign * at_middle, middle.clone()),
    };
    for _ in 0..ROUNDS {
        let tried: Vec<(f64, Vec<f64>)> = (ends.par_iter().enumerate())
            .flat_map_iter(|(place, both)| {
                let here = factors.get(place).copied();
                let other = both
                    .iter()
                    .filter(move |end| here.is_none_or(|here| here.to_bits() != end.to_bits()));
                let tries = other
                    .map(|end| with(&factors, place, *end))
                    .collect::<Vec<_>>();
                tries
                    .into_iter()
                    .filter_map(|factors| Some((bad(&factors)?, factors)))
            })
            .collect();
        let better = tried.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
        match better {
            Some((found, other)) if found > worst => (worst, factors) = (found, other),
            _ => break,
        }
    }
    let reliefs: Vec<Option<f64>> = (middle.par_iter().enumerate())
        .map(|(place, middle)| Some(worst - bad(&with(&factors, place, *middle))?))
        .collect();
    let mut ends: Vec<CornerEnd> = (spreading.inputs().iter().zip(&factors))
        .zip(reliefs)
        .filter_map(|((input, factor), relief)| {
            Some(CornerEnd {
                field: input.field,
                factor: *factor,
                relief: relief.filter(|relief| *relief > 0.0)?,
            })
        })
        .collect();
    ends.sort_by(|a, b| b.relief.total_cmp(&a.relief));
    Ok(Some(Corner {
        question,
        answer: sign * worst,
        middle: at_middle,
        ends,
    }))
}
