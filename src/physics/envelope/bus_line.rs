//! The bus of one case between the currents at which it was solved.
//!
//! It is read off a cubic in the square root of the current, on which it is nearly straight. At a choke's critical current the
//! bus bends all at once, and no cubic follows that: the points of each are chosen so that they do not reach across a bend (the
//! rule of essentially non-oscillatory interpolation: of two wider stencils the one that is less bent).
//!
//! # Source
//! A. Harten, B. Engquist, S. Osher, S. Chakravarthy, Uniformly high order accurate essentially non-oscillatory schemes III,
//! J. Comput. Phys. 71 (1987) 231 (from memory; the tests check a bend and a smooth line).

use core::ops::Range;

use crate::physics::operation::{Bus, Operation};

/// Points of a cubic.
const WIDTH: usize = 4;
/// Inserting a point changes the cubics of so many intervals before its own and after.
const REACH: usize = WIDTH - 2;
/// The two wider stencils are rather even: only where one is so many times as bent does it count as across a bend.
const UNEVEN: f64 = 2.0;
/// The grain of the solved volts, relative to the crest: what changes less cannot be told from it.
const GRAIN: f64 = 1e-6;

/// Square root of a current, over which the bus is nearly straight.
pub(super) fn root_amps(amps: f64) -> f64 {
    amps.max(0.0).sqrt()
}

/// Trough, mean and crest (V).
type Levels = [f64; 3];

/// A cubic in Newton's form: its points in the order in which they were chosen, so that the last term is what the last
/// point brings.
#[derive(Debug, Clone, Copy, Default)]
struct NewtonCubic {
    /// Square roots of the currents of its points (√A).
    roots: [f64; WIDTH],
    /// Divided differences: the factor of each term.
    terms: [Levels; WIDTH],
}

impl NewtonCubic {
    fn at(&self, root: f64) -> Levels {
        let [first, second, third, fourth] = self.terms;
        let [a, b, c] = [0, 1, 2].map(|k| root - self.roots[k]);
        [0, 1, 2].map(|k| first[k] + a * (second[k] + b * (third[k] + c * fourth[k])))
    }

    /// The most that the last point changes at a place (V).
    fn last_term(&self, root: f64) -> f64 {
        let [.., last] = self.terms;
        let share: f64 = [0, 1, 2].map(|k| root - self.roots[k]).iter().product();
        last.iter()
            .fold(0.0_f64, |most, term| most.max((term * share).abs()))
    }
}

/// The bus over the output current.
#[derive(Debug, Default)]
pub(super) struct BusLine {
    /// The solved currents (A), and their square roots (√A).
    amps: Vec<f64>,
    roots: Vec<f64>,
    levels: Vec<Levels>,
    /// One for each solved current, of the interval that ends there; that of the first is not used.
    cubics: Vec<NewtonCubic>,
}

impl BusLine {
    /// Of operations that rise in current.
    pub(super) fn of(operations: &[Operation]) -> Self {
        let mut line = Self::default();
        for operation in operations {
            line.put(line.len(), operation);
        }
        line.fit(0..line.len());
        line
    }

    /// How many currents were solved.
    pub(super) fn len(&self) -> usize {
        self.amps.len()
    }

    /// The solved currents (A).
    pub(super) fn amps(&self) -> &[f64] {
        &self.amps
    }

    /// Puts one more operation in place `k`.
    pub(super) fn insert(&mut self, k: usize, operation: &Operation) {
        self.put(k, operation);
        self.fit(Self::around(k));
    }

    /// The intervals whose cubics a point in place `k` may change, named by their ends.
    pub(super) fn around(k: usize) -> Range<usize> {
        k.saturating_sub(REACH)..k + REACH + 2
    }

    /// Keeps the first `count`.
    pub(super) fn truncate(&mut self, count: usize) {
        self.amps.truncate(count);
        self.roots.truncate(count);
        self.levels.truncate(count);
        self.cubics.truncate(count);
        self.fit(count.saturating_sub(REACH)..count);
    }

    fn put(&mut self, k: usize, operation: &Operation) {
        let bus = &operation.bus;
        self.amps.insert(k, operation.output_amps);
        self.roots.insert(k, root_amps(operation.output_amps));
        self.levels
            .insert(k, [bus.trough_volts, bus.mean_volts, bus.crest_volts]);
        self.cubics.insert(k, NewtonCubic::default());
    }

    fn fit(&mut self, places: Range<usize>) {
        for above in places.start.max(1)..places.end.min(self.len()) {
            let cubic = self.cubic(above);
            if let Some(place) = self.cubics.get_mut(above) {
                *place = cubic;
            }
        }
    }

    fn root(&self, k: usize) -> f64 {
        self.roots.get(k).copied().unwrap_or_default()
    }

    fn level(&self, k: usize) -> Levels {
        self.levels.get(k).copied().unwrap_or_default()
    }

    /// Magnitude of the highest divided difference of the trough over the points `first..=last`, up to four: how bent it is there.
    fn divided_difference(&self, first: usize, last: usize) -> f64 {
        let mut table = [0.0; WIDTH];
        let width = last - first + 1;
        for (k, place) in table.iter_mut().enumerate().take(width) {
            *place = self.level(first + k)[0];
        }
        for order in 1..width {
            for k in 0..width - order {
                table[k] = (table[k + 1] - table[k])
                    / (self.root(first + k + order) - self.root(first + k));
            }
        }
        table[0].abs()
    }

    /// The cubic of the interval that ends at `above`: of each pair of wider stencils the one that is less bent, and the even one
    /// where they are alike.
    fn cubic(&self, above: usize) -> NewtonCubic {
        let (mut first, mut last) = (above - 1, above);
        let mut points = [first, last, first, first];
        let mut width = 2;
        while width < WIDTH {
            let goes_up = match (first > 0, last + 1 < self.len()) {
                (false, false) => break,
                (true, false) => false,
                (false, true) => true,
                (true, true) => {
                    let below = self.divided_difference(first - 1, last);
                    let beyond = self.divided_difference(first, last + 1);
                    match (above - first).cmp(&(last + 1 - above)) {
                        core::cmp::Ordering::Less => beyond * UNEVEN < below,
                        core::cmp::Ordering::Equal => beyond < below,
                        core::cmp::Ordering::Greater => beyond <= below * UNEVEN,
                    }
                }
            };
            if goes_up {
                last += 1;
            } else {
                first -= 1;
            }
            points[width] = if goes_up { last } else { first };
            width += 1;
        }
        let roots = points.map(|k| self.root(k));
        let mut terms = points.map(|k| self.level(k));
        for order in 1..width {
            for k in (order..width).rev() {
                let span = roots[k] - roots[k - order];
                terms[k] = [0, 1, 2].map(|j| (terms[k][j] - terms[k - 1][j]) / span);
            }
        }
        for term in terms.iter_mut().skip(width) {
            *term = Levels::default();
        }
        NewtonCubic { roots, terms }
    }

    /// The bus at a current between those solved. `None` beyond the last.
    pub(super) fn at(&self, amps: f64) -> Option<Bus> {
        let above = self.amps.partition_point(|solved| *solved < amps);
        let solved = *self.amps.get(above)?;
        let [trough_volts, mean_volts, crest_volts] = if above == 0 || solved <= amps {
            self.level(above)
        } else {
            self.cubics.get(above)?.at(root_amps(amps))
        };
        Some(Bus {
            mean_volts,
            trough_volts,
            crest_volts,
            ..Bus::default()
        })
    }

    /// How far the interpolation may be off within the interval that ends at `above`: what the last point of its cubic changes in the
    /// middle, in parts of `smooth` (relative to the trough). Above 1 the interval is worth halving.
    pub(super) fn relative_error(&self, above: usize, smooth: f64) -> Option<f64> {
        let cubic = self.cubics.get(above)?;
        let middle = 0.5 * (self.root(above.checked_sub(1)?) + self.root(above));
        let [trough, _, crest] = cubic.at(middle);
        Some(cubic.last_term(middle) / (smooth * trough.max(0.0) + GRAIN * crest))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::physics::envelope::refine::SMOOTH;

    fn line(volts: impl Fn(f64) -> f64) -> BusLine {
        let operations: Vec<Operation> = (0..30_u32)
            .map(|k| {
                let output_amps = (f64::from(k) / 100.0).powi(2);
                let volts = volts(output_amps.sqrt());
                Operation {
                    output_amps,
                    bus: Bus {
                        mean_volts: volts,
                        trough_volts: volts,
                        crest_volts: volts,
                        ..Bus::default()
                    },
                    ..Operation::default()
                }
            })
            .collect();
        BusLine::of(&operations)
    }

    #[test]
    fn a_smooth_line_is_followed_and_left_alone() {
        let volts = |x: f64| 500.0 - 200.0 * x + 90.0 * (4.0 * x).sin();
        let line = line(volts);
        for k in 0..280_u32 {
            let x = f64::from(k) / 1000.0;
            let read = line.at(x * x).unwrap();
            assert!(
                (read.trough_volts - volts(x)).abs() < 1e-5 * 500.0,
                "{x}: {read:?}"
            );
        }
        assert!((1..30).all(|above| {
            line.relative_error(above, SMOOTH)
                .is_none_or(|error| error <= 1.0)
        }));
    }

    #[test]
    fn a_bend_spoils_only_the_interval_that_holds_it() {
        let volts = |x: f64| 500.0 - 900.0 * x.min(0.1234) - 30.0 * x;
        let line = line(volts);
        for k in 0..280_u32 {
            let x = f64::from(k) / 1000.0;
            let read = line.at(x * x).unwrap();
            if !(0.12..0.13).contains(&x) {
                assert!((read.trough_volts - volts(x)).abs() < 1e-9, "{x}: {read:?}");
            }
        }
        let bent: Vec<usize> = (1..30)
            .filter(|above| {
                line.relative_error(*above, SMOOTH)
                    .is_some_and(|error| error > 1.0)
            })
            .collect();
        assert_eq!(bent, [13]);
    }

    #[test]
    fn a_line_grown_point_by_point_is_the_same_line() {
        let volts = |x: f64| 500.0 - 900.0 * x.min(0.1234) + 90.0 * (4.0 * x).sin();
        let whole = line(volts);
        let mut grown = BusLine::default();
        for k in (0..30_usize).step_by(2).chain((1..30).step_by(2)) {
            let bus = whole.at(whole.amps()[k]).unwrap();
            let place = grown.amps().partition_point(|a| *a < whole.amps()[k]);
            let operation = Operation {
                output_amps: whole.amps()[k],
                bus,
                ..Operation::default()
            };
            grown.insert(place, &operation);
        }
        for k in 0..290_u32 {
            let amps = (f64::from(k) / 1000.0).powi(2);
            assert_eq!(whole.at(amps), grown.at(amps), "{amps} A");
        }
        grown.truncate(10);
        assert_eq!(grown.at(0.09), None);
    }
}
