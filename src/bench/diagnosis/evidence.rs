//! How well readings go with a unit: a Gaussian likelihood in which every tolerance and every meter's scale is integrated out, and in
//! which one reading may have been misread.
//!
//! With `h` what would be read, `B` what the unknowns move by one standard deviation each and `D` the readings' own variances, the
//! readings are normal with mean `h` and covariance `C = B·Bᵀ + D`: `ln p = −½·(y − h)ᵀC⁻¹(y − h) − ½·ln|C|`, a constant apart. A
//! misread one has a variance `c` more; by the formulas of Sherman and Morrison that costs no new inverse.
//!
//! # Source
//! Integration of a linear Gaussian model in closed form (any textbook of Bayesian inference, value from memory).

use nalgebra::{Cholesky, DMatrix, DVector};

use crate::bench::diagnosis::cause::Alternating;
use crate::bench::diagnosis::errors::{
    ALTERNATING_SCALE, DIRECT_SCALE, MAINS_READ, MAINS_UNREAD, OwnError, Shared,
};
use crate::bench::diagnosis::predicted::{MAINS_STEP, Node, Predicted, UnknownOf};
use crate::parts::spread::Batch;
use crate::physics::spread::normal_below;

/// A reading as it counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Its place among the spots that were predicted.
    pub spot: usize,
    /// What was read, brought to the mains of the predictions.
    pub value: f64,
    /// It only says "at least".
    pub at_least: bool,
    /// What it shares with others of its meter.
    pub shared: Shared,
    /// Its own error.
    pub own: OwnError,
    /// Whether the mains were read with it.
    pub mains_read: bool,
    /// The evening on which it was taken; `None` for the readings that are judged, a number for a log of the unit while it was well.
    pub log: Option<usize>,
}

/// How likely it is beforehand that one of the readings was misread.
pub const MISREAD: f64 = 0.3;
/// How far a misread one is off, as a share of it (one standard deviation).
const MISREAD_BY: f64 = 0.12;

/// The readings with what moves them together.
pub struct Evidence<'a> {
    predicted: &'a Predicted,
    /// Those that say a value, in the order in which they were given.
    exact: Vec<Taken>,
    /// Those that say "at least".
    at_least: Vec<Taken>,
    /// Rows: exact, then at-least readings, then whatever else is asked of; columns: unknowns.
    rows: DMatrix<f64>,
    /// `rows·rowsᵀ`.
    together: DMatrix<f64>,
    /// How many evenings there are.
    evenings: usize,
}

/// How well one node goes with the readings.
#[derive(Debug, Clone)]
pub struct Weighed {
    /// Natural logarithm of the likelihood, whatever was misread.
    pub ln: f64,
    /// That of each: that none of the exact readings was misread, then that the first was, and so on.
    pub ln_each: Vec<f64>,
    /// Square of the distance in standard deviations, the likeliest misreading allowed for.
    pub chi_square: f64,
}

impl<'a> Evidence<'a> {
    /// Of readings.
    pub fn of(predicted: &'a Predicted, taken: &[Taken]) -> Self {
        let (at_least, exact): (Vec<Taken>, Vec<Taken>) =
            taken.iter().copied().partition(|one| one.at_least);
        let all: Vec<Taken> = exact.iter().chain(&at_least).copied().collect();
        let logs = all.iter().filter_map(|one| one.log).max();
        let evenings = 1 + logs.map_or(0, |last| last + 1);
        let rows = rows(predicted, &all, evenings);
        let together = &rows * rows.transpose();
        Self {
            predicted,
            exact,
            at_least,
            rows,
            together,
            evenings,
        }
    }

    /// The readings that say a value, in the order in which they count.
    pub fn exact(&self) -> &[Taken] {
        &self.exact
    }

    /// The predictions that it goes by.
    pub fn predicted(&self) -> &Predicted {
        self.predicted
    }

    /// What each reading would show, and what its sensitivities are multiplied by. `None` where one is never reached. A log was taken of
    /// the sound unit.
    fn expected(&self, node: &Node) -> Option<(Vec<f64>, Vec<f64>)> {
        let all = self.exact.iter().chain(&self.at_least);
        all.map(|one| {
            let shows = if one.log.is_some() {
                &self.predicted.sound
            } else {
                &node.shows
            };
            let scale = match one.log {
                Some(_) => 1.0,
                None => self.predicted.row_scale(one.spot, node),
            };
            Some((shows.get(one.spot).copied()??, scale))
        })
        .collect()
    }

    /// `rows·rowsᵀ` of these rows, of which the first are those of the readings, without the spreads that a node stands in place of. Of
    /// a log, which was taken before, they stay.
    fn without_replaced(&self, node: &Node, rows: &DMatrix<f64>, together: &mut DMatrix<f64>) {
        let all: Vec<&Taken> = self.exact.iter().chain(&self.at_least).collect();
        let is_log = |row: usize| all.get(row).is_some_and(|one| one.log.is_some());
        let mut common: Vec<(usize, DVector<f64>)> = Vec::new();
        for field in &node.replaces {
            let of = UnknownOf::Own(*field);
            let Some(column) = self.column_of(of) else {
                continue;
            };
            let old: DVector<f64> = rows.column(column).into_owned();
            let gone = DVector::from_fn(old.len(), |k, _| if is_log(k) { 0.0 } else { old[k] });
            exchange(together, &old, &(&old - &gone));
            let unknowns = &self.predicted.unknowns;
            let batch = unknowns
                .iter()
                .find(|one| one.of == of)
                .and_then(|one| one.batch);
            let shared = batch.and_then(|batch| self.column_of(UnknownOf::Common(batch)));
            if let Some(shared) = shared {
                let part = gone * (Batch::COMMON / (1.0 - Batch::COMMON)).sqrt();
                match common.iter_mut().find(|(of, _)| *of == shared) {
                    Some((_, sum)) => *sum += part,
                    None => common.push((shared, part)),
                }
            }
        }
        for (column, part) in common {
            let old: DVector<f64> = rows.column(column).into_owned();
            exchange(together, &old, &(&old - part));
        }
    }

    /// What the unknowns make the readings have in common at a node.
    fn together_at(&self, node: &Node) -> DMatrix<f64> {
        let mut together = self.together.clone();
        self.without_replaced(node, &self.rows, &mut together);
        together
    }

    /// Covariance of the exact readings.
    fn covariance(&self, together: &DMatrix<f64>, scale: &[f64]) -> DMatrix<f64> {
        let n = self.exact.len();
        DMatrix::from_fn(n, n, |i, j| {
            let own = match self.exact.get(i) {
                Some(one) if i == j => one.own.variance(one.value),
                _ => 0.0,
            };
            scaled(together, scale, i, j) + own
        })
    }

    /// How well a node goes with the readings; `None` if one of them is never reached there.
    pub fn weigh(&self, node: &Node) -> Option<Weighed> {
        let (shows, scale) = self.expected(node)?;
        let n = self.exact.len();
        let off = DVector::from_iterator(
            n,
            self.exact
                .iter()
                .zip(&shows)
                .map(|(one, shown)| one.value - shown),
        );
        let together = self.together_at(node);
        let root = Cholesky::new(self.covariance(&together, &scale))?;
        let inverse = root.inverse();
        let pulled = &inverse * &off;
        let square = off.dot(&pulled);
        let half_ln_det: f64 = root.l_dirty().diagonal().iter().map(|d| d.ln()).sum();
        let at = AtNode {
            shows: &shows,
            scale: &scale,
            together: &together,
        };
        let plain = -0.5 * square - half_ln_det + self.at_least_ln(&at, &pulled, &root);
        let mut ln_each = vec![plain + (1.0 - MISREAD).ln()];
        let mut squares = vec![square];
        let each = MISREAD / n.max(1) as f64;
        for (k, one) in self.exact.iter().enumerate() {
            let more = MISREAD_BY * one.value.abs() + 3.0 * one.own.fixed;
            let grown = 1.0 + more * more * inverse[(k, k)];
            let eased = more * more * pulled[k] * pulled[k] / grown;
            ln_each.push(plain + 0.5 * eased - 0.5 * grown.ln() + each.ln());
            squares.push(square - eased);
        }
        let best = largest_place(&ln_each);
        Some(Weighed {
            ln: ln_sum(&ln_each),
            chi_square: squares.get(best).copied().unwrap_or(square),
            ln_each,
        })
    }

    /// Of those that say "at least": how likely each is, given the others.
    fn at_least_ln(
        &self,
        at: &AtNode<'_>,
        pulled: &DVector<f64>,
        root: &Cholesky<f64, nalgebra::Dyn>,
    ) -> f64 {
        let AtNode {
            shows,
            scale,
            together,
        } = *at;
        let n = self.exact.len();
        let of = |(k, one): (usize, &Taken)| {
            let row = n + k;
            let with = DVector::from_fn(n, |i, _| scaled(together, scale, row, i));
            let mean = shows.get(row).copied().unwrap_or(0.0) + with.dot(pulled);
            let own = scaled(together, scale, row, row) + one.own.variance(one.value);
            let left = (own - with.dot(&root.solve(&with))).max(1e-12 * own);
            normal_below((mean - one.value) / left.sqrt())
                .max(1e-300)
                .ln()
        };
        self.at_least.iter().enumerate().map(of).sum()
    }

    /// What another reading would show at a node, given those that were taken: mean and standard deviation, its meter's error included.
    /// `doubtful` is the one of the exact readings that is taken to be misread.
    pub fn foretold(&self, node: &Node, other: Taken, doubtful: Option<usize>) -> Option<[f64; 2]> {
        let (shows, scale) = self.expected(node)?;
        let own_shows = node.shows.get(other.spot).copied()??;
        let own_scale = self.predicted.row_scale(other.spot, node);
        let n = self.exact.len();
        let last = self.rows.nrows();
        let mut whole = self.rows.clone().insert_row(last, 0.0);
        whole.set_row(last, &self.row_of(other).row(0));
        let mut together = &whole * whole.transpose();
        self.without_replaced(node, &whole, &mut together);
        let mut covariance = self.covariance(&together, &scale);
        if let Some((place, one)) = doubtful.and_then(|k| Some((k, self.exact.get(k)?))) {
            let more = MISREAD_BY * one.value.abs() + 3.0 * one.own.fixed;
            covariance[(place, place)] += more * more;
        }
        let off = DVector::from_iterator(
            n,
            self.exact
                .iter()
                .zip(&shows)
                .map(|(one, shown)| one.value - shown),
        );
        let root = Cholesky::new(covariance)?;
        let with = DVector::from_fn(n, |i, _| {
            own_scale * scale.get(i).copied().unwrap_or(1.0) * together[(last, i)]
        });
        let mean = own_shows + with.dot(&root.solve(&off));
        let own = own_scale * own_scale * together[(last, last)] + other.own.variance(own_shows);
        let left = (own - with.dot(&root.solve(&with))).max(1e-12 * own);
        Some([mean, left.sqrt()])
    }

    /// At the sound unit: what the unknowns move the exact readings by, their distance from it, and their own variances.
    pub fn at_the_sound_unit(&self) -> (DMatrix<f64>, DVector<f64>, Vec<f64>) {
        let n = self.exact.len();
        let shown = |one: &Taken| self.predicted.sound.get(one.spot).copied().flatten();
        let off = self
            .exact
            .iter()
            .map(|one| shown(one).map_or(0.0, |shown| one.value - shown));
        let own = self.exact.iter().map(|one| one.own.variance(one.value));
        (
            self.rows.rows(0, n).into_owned(),
            DVector::from_iterator(n, off),
            own.collect(),
        )
    }

    /// What the unknowns move another reading by.
    pub fn row_of(&self, other: Taken) -> DMatrix<f64> {
        rows(self.predicted, &[other], self.evenings)
    }

    /// How many columns there are.
    pub fn columns(&self) -> usize {
        self.rows.ncols()
    }

    /// The column of an unknown that stays from evening to evening.
    pub fn column_of(&self, wanted: UnknownOf) -> Option<usize> {
        let mut column = 0;
        for unknown in &self.predicted.unknowns {
            if unknown.of == wanted {
                return Some(column);
            }
            column += if unknown.of.is_fresh() {
                self.evenings
            } else {
                1
            };
        }
        None
    }

    /// Standard deviation of a reading at the sound unit.
    pub fn sigma_of(&self, one: Taken) -> f64 {
        let row = rows(self.predicted, &[one], self.evenings);
        (row.norm_squared() + one.own.variance(one.value)).sqrt()
    }

    /// Standard deviation of each exact reading at the sound unit.
    pub fn sigmas(&self) -> Vec<f64> {
        let scale = vec![1.0; self.exact.len()];
        let covariance = self.covariance(&self.together, &scale);
        covariance.diagonal().iter().map(|v| v.sqrt()).collect()
    }

    /// The same with what a node's ripple makes of it, and what is read there.
    pub fn at(&self, node: &Node) -> Option<(Vec<f64>, Vec<f64>)> {
        let (shows, scale) = self.expected(node)?;
        let covariance = self.covariance(&self.together_at(node), &scale);
        let sigmas = covariance.diagonal().iter().map(|v| v.sqrt()).collect();
        Some((shows, sigmas))
    }
}

/// What is read at a node, what its sensitivities are multiplied by, and what the unknowns make the readings have in common.
struct AtNode<'a> {
    shows: &'a [f64],
    scale: &'a [f64],
    together: &'a DMatrix<f64>,
}

/// Puts one unknown's column in place of another: `old·oldᵀ` goes, `new·newᵀ` comes.
fn exchange(together: &mut DMatrix<f64>, old: &DVector<f64>, new: &DVector<f64>) {
    together.ger(-1.0, old, old, 1.0);
    together.ger(1.0, new, new, 1.0);
}

fn scaled(together: &DMatrix<f64>, scale: &[f64], i: usize, j: usize) -> f64 {
    let of = |k: usize| scale.get(k).copied().unwrap_or(1.0);
    of(i) * of(j) * together[(i, j)]
}

/// What the unknowns of a sound unit and the scales of the meters move each reading by. The mains and the loads are another unknown each
/// evening; all else stays.
fn rows(predicted: &Predicted, taken: &[Taken], evenings: usize) -> DMatrix<f64> {
    let fresh = |of: UnknownOf| if of.is_fresh() { evenings } else { 1 };
    let unknown_columns: usize = predicted.unknowns.iter().map(|u| fresh(u.of)).sum();
    // Direct and alternating scale of the usual meter, then those of stated ones.
    let columns = unknown_columns + 2 + MOST_METERS;
    let mut rows = DMatrix::zeros(taken.len(), columns);
    for (r, one) in taken.iter().enumerate() {
        let evening = one.log.map_or(0, |n| n + 1);
        let shown = predicted.sound.get(one.spot).copied().flatten();
        let shown = shown.unwrap_or(one.value);
        let mut column = 0;
        let mut by_mains = 0.0;
        for unknown in &predicted.unknowns {
            let moves = unknown.moves.get(one.spot).copied().unwrap_or(0.0);
            let place = column + if unknown.of.is_fresh() { evening } else { 0 };
            column += fresh(unknown.of);
            rows[(r, place)] = match unknown.of {
                UnknownOf::Mains => {
                    by_mains = moves / MAINS_STEP;
                    let sigma = if one.mains_read {
                        MAINS_READ
                    } else {
                        MAINS_UNREAD
                    };
                    by_mains * sigma
                }
                _ => moves,
            };
        }
        // What the meter reads high on alternating volts it reads of the mains, too.
        if one.mains_read {
            rows[(r, column + 1)] -= by_mains * ALTERNATING_SCALE;
        }
        match one.shared {
            Shared::Usual(Alternating::No) => rows[(r, column)] += shown * DIRECT_SCALE,
            Shared::Usual(Alternating::Yes) => rows[(r, column + 1)] += shown * ALTERNATING_SCALE,
            Shared::Usual(Alternating::Neither) => {}
            Shared::Scale(n, sigma) => rows[(r, column + 2 + n)] += shown * sigma,
            Shared::Fixed(n, sigma) => rows[(r, column + 2 + n)] += sigma,
        }
    }
    rows
}

/// Meters with a stated accuracy that a bench can have.
const MOST_METERS: usize = 50;

/// The logarithm of a sum of exponentials.
pub fn ln_sum(lns: &[f64]) -> f64 {
    let most = lns.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + lns.iter().map(|ln| (ln - most).exp()).sum::<f64>().ln()
}

/// Place of the largest of some numbers.
pub fn largest_place(values: &[f64]) -> usize {
    let all = values.iter().enumerate();
    all.max_by(|a, b| a.1.total_cmp(b.1))
        .map_or(0, |(place, _)| place)
}
