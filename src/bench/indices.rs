//! How much of what varies in an answer comes from each of what is put in: variance-based indices of Sobol'.
//!
//! The *first-order* index of an input is the share of the answer's variance that would go if that input alone were known; the *total* index
//! the share that would stay if all others were. Where inputs do not act on each other the two are the same, and all of them sum to 1.
//!
//! # Source
//! A. Saltelli et al., "Global Sensitivity Analysis. The Primer" (2008), ch. 4; estimator of the first order: A. Saltelli et al., Comput. Phys.
//! Commun. 181 (2010) 259, table 2 (b); of the total: M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35. Values from memory.

use rayon::prelude::*;

use crate::physics::spread::{MOST_SAMPLES, coordinates};

/// The indices of all inputs for one answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Indices {
    /// Mean of the answer.
    pub mean: f64,
    /// Variance of the answer.
    pub variance: f64,
    /// First-order index of each input: a share; noise may bring it a little below zero.
    pub first: Vec<f64>,
    /// Total index of each input.
    pub total: Vec<f64>,
}

/// A design of samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Design {
    /// Independent inputs, each between 0 and 1.
    pub inputs: usize,
    /// Rows: the answer is asked for `rows·(inputs + 2)` times.
    pub rows: u32,
    /// Seed of the samples.
    pub seed: u32,
}

/// One row: the answers at two independent points, and at the first with each coordinate in turn taken from the second.
struct Row<const K: usize> {
    a: [f64; K],
    b: [f64; K],
    exchanged: Vec<[f64; K]>,
}

/// The indices of several answers to the same inputs, which are independent. A row with a point at which there is no answer is left out;
/// `None` of an answer that does not vary at all, or if nothing is left.
pub fn indices<const K: usize>(
    design: Design,
    answers: &(dyn Fn(&[f64]) -> Option<[f64; K]> + Sync),
) -> [Option<Indices>; K] {
    let row = |number: u32| -> Option<Row<K>> {
        let both = coordinates(number, 2 * design.inputs, design.seed);
        let (first, second) = both.split_at_checked(design.inputs)?;
        let exchanged = first
            .iter()
            .zip(second)
            .enumerate()
            .map(|(place, (_, other))| {
                let mut point = first.to_vec();
                if let Some(one) = point.get_mut(place) {
                    *one = *other;
                }
                answers(&point)
            });
        Some(Row {
            a: answers(first)?,
            b: answers(second)?,
            exchanged: exchanged.collect::<Option<_>>()?,
        })
    };
    // Each row follows from its number; they are put together in order, so that the sums are the same on any number of threads.
    let rows: Vec<Option<Row<K>>> = (0..design.rows.min(MOST_SAMPLES))
        .into_par_iter()
        .map(row)
        .collect();
    let rows: Vec<Row<K>> = rows.into_iter().flatten().collect();
    core::array::from_fn(|answer| of_answer(&rows, design.inputs, answer))
}

fn of_answer<const K: usize>(rows: &[Row<K>], inputs: usize, answer: usize) -> Option<Indices> {
    if rows.is_empty() {
        return None;
    }
    let count = rows.len() as f64;
    let both = || rows.iter().flat_map(|row| [row.a[answer], row.b[answer]]);
    let mean = both().sum::<f64>() / (2.0 * count);
    let variance = both()
        .map(|value| (value - mean) * (value - mean))
        .sum::<f64>()
        / (2.0 * count);
    // What is left of an answer that does not vary is the arithmetic's.
    if variance.is_nan() || variance <= 1e-20 * mean * mean {
        return None;
    }
    let of_input = |input: usize| {
        let (mut first, mut total) = (0.0, 0.0);
        for row in rows {
            let exchanged = row
                .exchanged
                .get(input)
                .map_or(row.a[answer], |all| all[answer]);
            let moved = exchanged - row.a[answer];
            first += (row.b[answer] - mean) * moved;
            total += 0.5 * moved * moved;
        }
        (first / count / variance, total / count / variance)
    };
    let (first, total) = (0..inputs).map(of_input).unzip();
    Some(Indices {
        mean,
        variance,
        first,
        total,
    })
}

#[cfg(test)]
mod tests {
    use core::f64::consts::PI;

    use super::*;

    fn design(inputs: usize, rows: u32) -> Design {
        Design {
            inputs,
            rows,
            seed: 5,
        }
    }

    /// The function of Ishigami and Homma, a = 7 and b = 0.1; closed form in Saltelli et al. 2008: variance a²/8 + b·π⁴/5 + b²·π⁸/18 + 1/2.
    #[test]
    fn the_function_of_ishigami_has_the_indices_of_its_closed_form() {
        let ishigami = |x: &[f64]| {
            let x: Vec<f64> = x.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
            let value = x[0].sin() + 7.0 * x[1].sin().powi(2) + 0.1 * x[2].powi(4) * x[0].sin();
            Some([value])
        };
        let [found] = indices(design(3, 16_384), &ishigami).map(Option::unwrap);
        let variance = 49.0 / 8.0 + 0.1 * PI.powi(4) / 5.0 + 0.01 * PI.powi(8) / 18.0 + 0.5;
        assert!(
            (found.variance / variance - 1.0).abs() < 5e-3,
            "{}",
            found.variance
        );
        assert!((found.mean - 3.5).abs() < 0.01, "{}", found.mean);
        for (got, want) in found.first.iter().zip([0.3139, 0.4424, 0.0]) {
            assert!((got - want).abs() < 0.01, "{got} {want}");
        }
        for (got, want) in found.total.iter().zip([0.5576, 0.4424, 0.2437]) {
            assert!((got - want).abs() < 0.01, "{got} {want}");
        }
    }

    /// By hand: y = 3a + 4b + 0c of even inputs has variance (9 + 16)/12, of which 9/25 and 16/25 are theirs; a product of two
    /// centred ones has first order 0 and total 1.
    #[test]
    fn a_linear_case_and_a_product_by_hand() {
        let answers = |x: &[f64]| Some([3.0 * x[0] + 4.0 * x[1], (x[0] - 0.5) * (x[1] - 0.5)]);
        let [linear, product] = indices(design(3, 4096), &answers).map(Option::unwrap);
        assert!((linear.variance - 25.0 / 12.0).abs() < 5e-3, "{linear:?}");
        for (input, share) in [9.0 / 25.0, 16.0 / 25.0, 0.0].into_iter().enumerate() {
            assert!((linear.first[input] - share).abs() < 0.01, "{linear:?}");
            assert!((linear.total[input] - share).abs() < 0.01, "{linear:?}");
        }
        for input in [0, 1] {
            assert!(product.first[input].abs() < 0.03, "{product:?}");
            assert!((product.total[input] - 1.0).abs() < 0.03, "{product:?}");
        }
    }

    #[test]
    fn where_there_is_no_answer_or_nothing_varies_there_are_no_indices() {
        assert_eq!(indices::<1>(design(2, 64), &|_| None), [None]);
        assert_eq!(indices(design(2, 64), &|_| Some([5.0])), [None]);
        assert_eq!(indices(design(2, 0), &|x| Some([x[0]])), [None]);
        let [one, other] = indices(design(2, 64), &|x| Some([5.0, x[0]]));
        assert!(one.is_none() && other.is_some());
        // Half of all points have none: the rest still has.
        let [some] = indices(design(1, 1024), &|x| (x[0] < 0.5).then_some([x[0]]));
        assert!((some.unwrap().first[0] - 1.0).abs() < 0.05);
    }
}
