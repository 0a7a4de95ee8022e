//! One step of the Radau IIA formula of fifth order (three nodes, L-stable), reduced to the port.
//!
//! The filter is linear, so that the state at the nodes and at the end of a step is a matrix times the state at its
//! beginning, plus what the port's input at the three nodes adds. Everything that depends on the length of the step
//! alone is worked out once: with `z = hA` and the formula's matrix `a`, `(I − a⊗z)⁻¹ = adj(I − a⊗z)/Q(z)`, where
//! `Q(z) = det(I − a⊗z)` is a cubic in `z`.
//!
//! # Source
//! E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, sections IV.5 and IV.8 (from memory; the tests
//! check order and stability).

use nalgebra::{SMatrix, SVector};

use super::network::{Network, Port};

/// Three numbers, one for each node.
pub(super) type Nodes = [f64; 3];

const ROOT_SIX: f64 = 2.449_489_742_783_178;
/// Where the nodes lie within the step, and their weights in an integral over it.
pub(super) const PLACES: Nodes = [(4.0 - ROOT_SIX) / 10.0, (4.0 + ROOT_SIX) / 10.0, 1.0];
pub(super) const WEIGHTS: Nodes = [
    (16.0 - ROOT_SIX) / 36.0,
    (16.0 + ROOT_SIX) / 36.0,
    1.0 / 9.0,
];
/// The formula's matrix: integrals up to each node of the polynomials that are 1 at one node.
const A: [Nodes; 3] = [
    [
        (88.0 - 7.0 * ROOT_SIX) / 360.0,
        (296.0 - 169.0 * ROOT_SIX) / 1800.0,
        (-2.0 + 3.0 * ROOT_SIX) / 225.0,
    ],
    [
        (296.0 + 169.0 * ROOT_SIX) / 1800.0,
        (88.0 + 7.0 * ROOT_SIX) / 360.0,
        (-2.0 - 3.0 * ROOT_SIX) / 225.0,
    ],
    WEIGHTS,
];
/// `Q(z) = (1 − z/r)·(1 − 2x·z/m + z²/m)`: its real root, and real part and squared magnitude of the pair.
const REAL_ROOT: f64 = 3.637_834_252_744_496;
const PAIR_REAL: f64 = 2.681_082_873_627_752;
const PAIR_SQUARED: f64 = 60.0 / REAL_ROOT;

/// A step of one length.
#[derive(Debug, Clone)]
pub(super) struct Step<const N: usize> {
    pub(super) length: f64,
    /// State at the end for a state at the beginning.
    pub(super) end: SMatrix<f64, N, N>,
    /// State 0 at the first two nodes for a state at the beginning.
    rows: [SVector<f64, N>; 2],
    /// State at the end for one unit of the port's input at each node.
    pub(super) from_port: [SVector<f64, N>; 3],
    /// State at the end for one ampere out of the bus, and state 0 at the nodes.
    load_end: SVector<f64, N>,
    load_rows: Nodes,
    /// What the filter answers to currents of the rectifier at the nodes: `w = bare + answer·i` (V/A), where `bare` is
    /// `from_free` times state 0 as it would be without any port input.
    pub(super) answer: [Nodes; 3],
    /// The port's input is the current itself, not the volts.
    pub(super) takes_current: bool,
}

impl<const N: usize> Step<N> {
    /// `None` for a filter whose numbers are no numbers.
    pub(super) fn new(net: &Network<N>, length: f64) -> Option<Self> {
        let unit = SMatrix::<f64, N, N>::identity();
        let z = net.a * length;
        let z2 = z * z;
        let pair = unit - z * (2.0 * PAIR_REAL / PAIR_SQUARED) + z2 * (1.0 / PAIR_SQUARED);
        let single = unit - z * (1.0 / REAL_ROOT);
        let inverse = single.try_inverse()? * pair.try_inverse()?;
        let end = inverse * (unit + z * 0.4 + z2 * 0.05);
        let r0 = inverse.row(0).transpose();
        let r1 = z.tr_mul(&r0);
        let r2 = z.tr_mul(&r1);
        let row = |k: usize| {
            let c = PLACES[k];
            r0 + r1 * (c - 0.6) + r2 * (0.5 * c * c - 0.6 * c + 0.15)
        };
        let powers = |v: SVector<f64, N>| {
            let first = inverse * v * length;
            let second = z * first;
            [first, second, z * second]
        };
        let port = powers(net.b);
        let load = powers(net.load);
        let sum =
            |[f0, f1, f2]: Nodes, [v0, v1, v2]: &[SVector<f64, N>; 3]| v0 * f0 + v1 * f1 + v2 * f2;
        let first_of = |[f0, f1, f2]: Nodes, [v0, v1, v2]: &[SVector<f64, N>; 3]| {
            v0[0] * f0 + v1[0] * f1 + v2[0] * f2
        };
        let gain = [0, 1, 2].map(|k| [0, 1, 2].map(|j| first_of(of_node(k, j), &port)));
        let takes_current = net.port == Port::Capacitor;
        Some(Self {
            length,
            end,
            rows: [row(0), row(1)],
            from_port: [0, 1, 2].map(|j| sum(of_node(2, j), &port)),
            load_end: sum(of_constant(2), &load),
            load_rows: [0, 1, 2].map(|k| first_of(of_constant(k), &load)),
            answer: if takes_current {
                gain
            } else {
                inverse3(&gain)?
            },
            takes_current,
        })
    }

    /// State at the end and state 0 at the nodes without any port input.
    #[inline]
    pub(super) fn free(&self, state: &SVector<f64, N>, bus_amps: f64) -> (SVector<f64, N>, Nodes) {
        let end = self.end * state + self.load_end * bus_amps;
        let at = |k: usize| self.rows[k].dot(state) + self.load_rows[k] * bus_amps;
        (end, [at(0), at(1), end[0]])
    }

    /// The rectifier's output volts at the nodes while it carries nothing.
    #[inline]
    pub(super) fn bare_volts(&self, free: &Nodes) -> Nodes {
        if self.takes_current {
            *free
        } else {
            times(&self.answer, free).map(|v| -v)
        }
    }

    /// The port's input for the rectifier's currents at the nodes.
    #[inline]
    pub(super) fn port_input(&self, bare: &Nodes, amps: &Nodes) -> Nodes {
        if self.takes_current {
            *amps
        } else {
            let answer = times(&self.answer, amps);
            [0, 1, 2].map(|k| bare[k] + answer[k])
        }
    }

    /// The derivative of the state at the end, given how the currents at the nodes follow the bare volts.
    pub(super) fn derivative(&self, follow: &[Nodes; 3]) -> SMatrix<f64, N, N> {
        // With a current: input = i = follow·free. With volts: input = bare + answer·i = (I + answer·follow)·bare.
        let mut input = *follow;
        if !self.takes_current {
            let mut volts = product(&self.answer, follow);
            for (k, row) in volts.iter_mut().enumerate() {
                row[k] += 1.0;
            }
            input = product(&volts, &self.answer).map(|row| row.map(|v| -v));
        }
        let mut out = self.end;
        for (j, column) in self.from_port.iter().enumerate() {
            let [f0, f1, f2] = input[j];
            for n in 0..N {
                let of_state = f0 * self.rows[0][n] + f1 * self.rows[1][n] + f2 * self.end[(0, n)];
                for m in 0..N {
                    out[(m, n)] += column[m] * of_state;
                }
            }
        }
        out
    }
}

/// What an input at node `j` does at node `k`: factors of 1, z and z² in `adj(I − a⊗z)·a`.
fn of_node(k: usize, j: usize) -> Nodes {
    let squared: f64 = (0..3).map(|m| A[k][m] * A[m][j]).sum();
    let own = if k == j { 1.0 / 60.0 } else { 0.0 };
    [A[k][j], squared - 0.6 * A[k][j], own]
}

/// The same of a constant input: a·1 = c, a·c = c²/2, and adj a = a² − 0.6·a + 0.15.
fn of_constant(k: usize) -> Nodes {
    let c = PLACES[k];
    [c, 0.5 * c * c - 0.6 * c, 1.0 / 60.0]
}

#[inline]
pub(super) fn times(matrix: &[Nodes; 3], v: &Nodes) -> Nodes {
    [0, 1, 2].map(|k| matrix[k][0] * v[0] + matrix[k][1] * v[1] + matrix[k][2] * v[2])
}

#[inline]
fn product(a: &[Nodes; 3], b: &[Nodes; 3]) -> [Nodes; 3] {
    [0, 1, 2].map(|k| [0, 1, 2].map(|j| a[k][0] * b[0][j] + a[k][1] * b[1][j] + a[k][2] * b[2][j]))
}

/// `None` if there is no inverse.
#[inline]
pub(super) fn inverse3(m: &[Nodes; 3]) -> Option<[Nodes; 3]> {
    let minor = |r: usize, c: usize| {
        let [r1, r2] = [(r + 1) % 3, (r + 2) % 3];
        let [c1, c2] = [(c + 1) % 3, (c + 2) % 3];
        m[r1][c1] * m[r2][c2] - m[r1][c2] * m[r2][c1]
    };
    let first = [minor(0, 0), minor(0, 1), minor(0, 2)];
    let one = 1.0 / (m[0][0] * first[0] + m[0][1] * first[1] + m[0][2] * first[2]);
    one.is_finite().then(|| {
        [
            [first[0] * one, minor(1, 0) * one, minor(2, 0) * one],
            [first[1] * one, minor(1, 1) * one, minor(2, 1) * one],
            [first[2] * one, minor(1, 2) * one, minor(2, 2) * one],
        ]
    })
}

/// Values at the nodes of the next step of equal length, on the parabola through those of this one.
#[inline]
pub(super) fn ahead(v: &Nodes) -> Nodes {
    times(&AHEAD, v)
}

/// Lagrange's polynomials of the nodes, at the nodes one step later.
const AHEAD: [Nodes; 3] = [
    lagrange(PLACES[0]),
    lagrange(PLACES[1]),
    lagrange(PLACES[2]),
];

const fn lagrange(place: f64) -> Nodes {
    let x = 1.0 + place;
    let [a, b, c] = PLACES;
    [
        (x - b) * (x - c) / ((a - b) * (a - c)),
        (x - a) * (x - c) / ((b - a) * (b - c)),
        (x - a) * (x - b) / ((c - a) * (c - b)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix2, Vector2};

    fn network(a: Matrix2<f64>) -> Network<2> {
        Network {
            port: Port::Capacitor,
            a,
            b: Vector2::new(1.0, 0.5),
            load: Vector2::new(1.0, 0.5),
            conductance: 0.0,
            capacitors: Vec::new(),
            chokes: Vec::new(),
        }
    }

    /// A swing of one radian in so many steps, against cosine and sine.
    fn error_of_swing(steps: u32) -> f64 {
        let net = network(Matrix2::new(0.0, -1.0, 1.0, 0.0));
        let step = Step::new(&net, 1.0 / f64::from(steps)).unwrap();
        let mut state = Vector2::new(1.0, 0.0);
        for _ in 0..steps {
            state = step.end * state;
        }
        (state - Vector2::new(1.0_f64.cos(), 1.0_f64.sin())).norm()
    }

    #[test]
    fn half_the_step_leaves_a_thirty_second_of_the_error() {
        let ratio = error_of_swing(4) / error_of_swing(8);
        assert!((ratio / 32.0 - 1.0).abs() < 0.1, "{ratio}");
    }

    #[test]
    fn what_is_much_faster_than_a_step_dies_within_it() {
        let net = network(Matrix2::new(-1e9, 0.0, 0.0, -1.0));
        let step = Step::new(&net, 1.0).unwrap();
        assert!(step.end[(0, 0)].abs() < 1e-8, "{}", step.end);
        assert!((step.end[(1, 1)] - (-1.0_f64).exp()).abs() < 1e-4);
    }

    #[test]
    fn the_same_input_at_all_nodes_is_a_constant_input() {
        let net = network(Matrix2::new(-0.3, -1.0, 1.0, -0.1));
        let step = Step::new(&net, 0.7).unwrap();
        let sum = step.from_port.iter().sum::<Vector2<f64>>();
        assert!((sum - step.load_end).norm() < 1e-14);
        for (row, constant) in step.answer.iter().zip(step.load_rows) {
            assert!((row.iter().sum::<f64>() - constant).abs() < 1e-14);
        }
    }

    #[test]
    fn an_input_that_grows_with_the_square_of_time_is_integrated_exactly() {
        let net = network(Matrix2::zeros());
        let step = Step::new(&net, 2.0).unwrap();
        let end = step
            .from_port
            .iter()
            .zip(PLACES)
            .map(|(v, place)| v * (2.0 * place).powi(2))
            .sum::<Vector2<f64>>();
        assert!((end - net.b * (8.0 / 3.0)).norm() < 1e-13, "{end}");
    }
}
