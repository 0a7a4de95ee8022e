//! What the readings say of the values of a sound unit: for an unlabelled transformer its volts and its resistance, with their errors.
//!
//! The unknowns are normal with no mean and unit variance beforehand; with `R` what they move the readings by, `C = R·Rᵀ + D` and `d` the
//! distance of the readings from the sound unit, they have the mean `Rᵀ·C⁻¹·d` and the covariance `1 − Rᵀ·C⁻¹·R` after.
//!
//! # Source
//! The linear Gaussian model conditioned on what was read (any textbook of Bayesian inference, value from memory).

use nalgebra::{Cholesky, DMatrix, DVector};

use crate::bench::diagnosis::errors::risk;
use crate::bench::diagnosis::evidence::Evidence;
use crate::bench::diagnosis::predicted::UnknownOf;
use crate::bench::diagnosis::setting::Asked;
use crate::bench::expected::Spot;
use crate::parts::spread::{Batch, Field, Spread, StatedSpread};
use crate::parts::{Fraction, Work};

/// A value of which the readings say more than was known.
#[derive(Debug, Clone, PartialEq)]
pub struct Narrowed {
    /// Which.
    pub field: Field,
    /// By what it is to be multiplied.
    pub factor: f64,
    /// Standard deviation beforehand, as a share.
    pub before: f64,
    /// The same after.
    pub after: f64,
    /// The reading that would narrow it most for its risk, where one does.
    pub next: Option<Spot>,
}

/// A value that has become narrower than this share of what it was is told.
const WORTH: f64 = 0.7;

/// Values of the sound unit, those that were narrowed most first.
pub(super) fn narrowed(asked: &Asked, evidence: &Evidence<'_>) -> Vec<Narrowed> {
    let (rows, off, own) = evidence.at_the_sound_unit();
    let Some(after) = Known::of(&rows, &off, &own) else {
        return Vec::new();
    };
    let mut all: Vec<Narrowed> = asked
        .inputs()
        .iter()
        .filter_map(|input| {
            let weights = weights(evidence, input.field, input.batch)?;
            let sigma = super::predicted::sigma(input.chance);
            let left = after.sigma(&weights);
            (left < WORTH).then(|| Narrowed {
                field: input.field,
                factor: (sigma * after.mean.dot(&weights)).exp(),
                before: sigma,
                after: sigma * left,
                next: helps(asked, evidence, &after, &weights),
            })
        })
        .collect();
    all.sort_by(|a, b| (a.after / a.before).total_cmp(&(b.after / b.before)));
    all
}

/// By how much each unknown moves a field's logarithm, in its standard deviations.
fn weights(evidence: &Evidence<'_>, field: Field, batch: Option<Batch>) -> Option<DVector<f64>> {
    let own = evidence.column_of(UnknownOf::Own(field))?;
    let mut weights = DVector::zeros(evidence.columns());
    let common = batch.and_then(|batch| evidence.column_of(UnknownOf::Common(batch)));
    let share = if common.is_some() { Batch::COMMON } else { 0.0 };
    if let Some(one) = weights.get_mut(own) {
        *one = (1.0 - share).sqrt();
    }
    if let Some(one) = common.and_then(|column| weights.get_mut(column)) {
        *one = share.sqrt();
    }
    Some(weights)
}

/// What is known of the unknowns after the readings.
struct Known {
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
}

impl Known {
    fn of(rows: &DMatrix<f64>, off: &DVector<f64>, own: &[f64]) -> Option<Self> {
        let mut covariance = rows * rows.transpose();
        for (k, variance) in own.iter().enumerate() {
            covariance[(k, k)] += variance;
        }
        let root = Cholesky::new(covariance)?;
        let unknowns = rows.ncols();
        Some(Self {
            mean: rows.transpose() * root.solve(off),
            covariance: DMatrix::identity(unknowns, unknowns) - rows.transpose() * root.solve(rows),
        })
    }

    fn sigma(&self, weights: &DVector<f64>) -> f64 {
        weights.dot(&(&self.covariance * weights)).max(0.0).sqrt()
    }
}

/// The open reading that takes most of the variance for its risk; `None` where none takes a tenth.
fn helps(
    asked: &Asked,
    evidence: &Evidence<'_>,
    known: &Known,
    weights: &DVector<f64>,
) -> Option<Spot> {
    let now = known.sigma(weights);
    let taken = asked.open().filter_map(|(place, spot)| {
        let other = asked.would_be(place, spot);
        let shown = evidence.predicted().sound.get(place).copied()??;
        let row = evidence.row_of(other);
        let together = &known.covariance * row.transpose();
        let own = (&row * &together)[(0, 0)] + other.own.variance(shown);
        let shared = weights.dot(&together.column(0));
        let share = shared * shared / own / (now * now);
        (share > 0.1).then_some((share / risk(spot.what), spot))
    });
    taken
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, spot)| spot)
}

/// The work with a value and its spread as the readings have them; `None` for one that has no field of its own.
pub fn adopted_value(work: &Work, one: &Narrowed) -> Option<Work> {
    let path = one.field.path()?;
    let mut after = work.clone();
    let three: f64 = format!("{:.3e}", one.factor).parse().unwrap_or(one.factor);
    if !one.field.scale(&mut after.supply, three) {
        return None;
    }
    // Even limits of the same standard deviation.
    let share = (3f64.sqrt() * one.after).clamp(0.002, 0.9);
    let share = format!("{share:.1e}").parse().unwrap_or(share);
    after.spreads.retain(|stated| stated.field != path);
    after.guessed.retain(|guessed| *guessed != path);
    after.spreads.push(StatedSpread {
        field: path,
        spread: Spread::Percent(Fraction(share)),
    });
    Some(after)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: one unknown that moves two readings by 3 and 2, each with a variance of 1, off by 3 and 2: precision 1 + 9 + 4 = 14,
    /// mean 13/14.
    #[test]
    fn one_unknown_by_hand() {
        let rows = DMatrix::from_row_slice(2, 1, &[3.0, 2.0]);
        let known = Known::of(&rows, &DVector::from_vec(vec![3.0, 2.0]), &[1.0, 1.0]).unwrap();
        assert!((known.mean[0] - 13.0 / 14.0).abs() < 1e-12);
        assert!((known.covariance[(0, 0)] - 1.0 / 14.0).abs() < 1e-12);
    }
}
