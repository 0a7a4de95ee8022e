//! A linear network at any later time, exactly: `x(t) = e^(A·t)·x(0)`.
//!
//! The exponential is squared again and again, `e^(2A·h) = (e^(A·h))²`, and each power kept: a time is a sum of such steps, so that any is
//! reached by some dozen products with a vector, from microseconds to years, however stiff the network. What is kept is the power less one,
//! so that what moves in years is not rounded away in a step of microseconds.
//!
//! # Source
//! C. Moler, C. Van Loan, Nineteen dubious ways to compute the exponential of a matrix, SIAM Review 45 (2003) 3, method 3, scaling and
//! squaring (from memory; tests hold it against closed forms and another solver).

use nalgebra::{DMatrix, DVector};

/// The shortest step (s): 2⁻¹⁶ s, 15 µs. No meter sees less.
pub(super) const SHORTEST: f64 = 1.0 / 65_536.0;
/// Steps, each twice the one before: the longest is 2²⁶ s, two years.
const RUNGS: usize = 43;
/// Size of the matrix up to which the series is summed.
const SMALL: f64 = 0.25;
/// Terms of the series: with [`SMALL`] the next is below the arithmetic.
const TERMS: u32 = 12;
/// Halvings of the matrix at most: no network of parts that can exist needs half as many.
const MOST_HALVINGS: i32 = 80;

/// The powers, each less one.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ladder {
    rungs: Vec<DMatrix<f64>>,
}

impl Ladder {
    /// Of `x' = a·x`.
    pub(super) fn of(a: &DMatrix<f64>) -> Self {
        let mut rung = exponential_less_one(a * SHORTEST);
        let mut rungs = Vec::with_capacity(RUNGS);
        for _ in 1..RUNGS {
            let next = doubled(&rung);
            rungs.push(std::mem::replace(&mut rung, next));
        }
        rungs.push(rung);
        Self { rungs }
    }

    /// One step of `SHORTEST·2^rung`; beyond the longest the longest.
    pub(super) fn step(&self, rung: usize, from: &DVector<f64>) -> DVector<f64> {
        let found = self.rungs.get(rung).or(self.rungs.last());
        found.map_or_else(|| from.clone(), |matrix| gone(matrix, from))
    }

    /// After a time (s), to the nearest shortest step. Beyond the longest time what it was then.
    pub(super) fn after(&self, from: &DVector<f64>, seconds: f64) -> DVector<f64> {
        let most = 2_f64.powi(i32::try_from(RUNGS).unwrap_or(0)) - 1.0;
        let mut left = (seconds / SHORTEST).round().clamp(0.0, most);
        let mut state = from.clone();
        for (rung, matrix) in self.rungs.iter().enumerate().rev() {
            let steps = 2_f64.powi(i32::try_from(rung).unwrap_or(0));
            if left >= steps {
                left -= steps;
                state = gone(matrix, &state);
            }
        }
        state
    }

    /// The last time at which a figure of the state comes down to `level` (s), where it has crossed it by the end of the longest step.
    pub(super) fn falls_to(
        &self,
        from: &DVector<f64>,
        level: f64,
        figure: &dyn Fn(&DVector<f64>) -> f64,
    ) -> Option<f64> {
        let is_above = |state: &DVector<f64>| figure(state) >= level;
        let mut before = 0.0;
        let mut state = from.clone();
        let mut steps = self.rungs.iter().enumerate().rev();
        let length = |rung: usize| SHORTEST * 2_f64.powi(i32::try_from(rung).unwrap_or(0));
        let (_, longest) = steps.next()?;
        if is_above(&gone(longest, from)) {
            return None;
        }
        let mut has_been = is_above(from);
        for (rung, matrix) in steps {
            let next = gone(matrix, &state);
            if is_above(&next) {
                has_been = true;
                before += length(rung);
                state = next;
            }
        }
        if !has_been {
            return Some(0.0);
        }
        // Within the last step it falls as a straight line, to what the arithmetic gives.
        let [here, then] = [figure(&state), figure(&self.step(0, &state))];
        let share = if here > then {
            (here - level) / (here - then)
        } else {
            0.0
        };
        Some(before + SHORTEST * share.clamp(0.0, 1.0))
    }
}

/// A state one step on.
fn gone(less_one: &DMatrix<f64>, from: &DVector<f64>) -> DVector<f64> {
    less_one * from + from
}

/// `e^a − 1`: the series of `a` halved until it is small, doubled as often.
fn exponential_less_one(mut a: DMatrix<f64>) -> DMatrix<f64> {
    let size = (a.column_iter())
        .map(|column| column.iter().map(|one| one.abs()).sum::<f64>())
        .fold(0.0, f64::max);
    let mut halvings = 0;
    let mut left = size;
    while left > SMALL && halvings < MOST_HALVINGS {
        left *= 0.5;
        halvings += 1;
    }
    a *= 0.5_f64.powi(halvings);
    let mut term = a.clone();
    let mut sum = a.clone();
    for order in 2..=TERMS {
        term = &term * &a / f64::from(order);
        sum += &term;
    }
    for _ in 0..halvings {
        sum = doubled(&sum);
    }
    sum
}

/// Of `e^b − 1` what it is for `2·b`: `(1 + m)² − 1`.
fn doubled(less_one: &DMatrix<f64>) -> DMatrix<f64> {
    less_one * less_one + less_one * 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `V·e^(−t/RC)` over thirteen decades of time.
    #[test]
    fn one_resistor_and_one_capacitor_decay_as_the_closed_form_says() {
        for rate in [1e-7, 1e-3, 0.2, 50.0, 1e7] {
            let ladder = Ladder::of(&DMatrix::from_element(1, 1, -rate));
            let from = DVector::from_element(1, 500.0);
            for seconds in [0.01, 1.0, 77.7, 1e5] {
                let whole = (seconds / SHORTEST).round() * SHORTEST;
                let want = 500.0 * (-rate * whole).exp();
                let got = ladder.after(&from, seconds)[0];
                assert!(
                    (got - want).abs() < 1e-7 * 500.0,
                    "{rate} {seconds}: {got} {want}"
                );
            }
            let want = (500.0_f64 / 60.0).ln() / rate;
            let got = ladder.falls_to(&from, 60.0, &|state| state[0]);
            let got = got.expect("it falls within two years");
            // The fastest is over within the shortest step.
            let within = if rate > 100.0 { SHORTEST } else { 1e-6 * want };
            assert!((got - want).abs() < within, "{rate}: {got} {want}");
        }
    }

    /// A capacitor and a choke swing as `cos ωt`, whatever the step.
    #[test]
    fn a_swing_without_loss_keeps_its_height() {
        let radians = 40.0;
        let a = DMatrix::from_row_slice(2, 2, &[0.0, -radians, radians, 0.0]);
        let ladder = Ladder::of(&a);
        let from = DVector::from_row_slice(&[1.0, 0.0]);
        for seconds in [0.25, 2.0, 64.0] {
            let got = ladder.after(&from, seconds)[0];
            let want = (radians * seconds).cos();
            assert!((got - want).abs() < 1e-8, "{seconds}: {got} {want}");
        }
    }

    #[test]
    fn what_nothing_bleeds_never_falls() {
        let ladder = Ladder::of(&DMatrix::zeros(1, 1));
        let from = DVector::from_element(1, 500.0);
        assert_eq!(ladder.falls_to(&from, 60.0, &|state| state[0]), None);
        assert_eq!(ladder.falls_to(&from, 600.0, &|state| state[0]), Some(0.0));
    }
}
