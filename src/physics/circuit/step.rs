//! One step of time of the circuit: rectifier and filter together, by the Radau formula, reduced to where they meet.
//!
//! The filter is linear, so that the state at the nodes and at the end of a step is a matrix times the state at its
//! beginning, plus what the rectifier's current (or volts) at the three nodes adds. Everything that depends on the length of the
//! step alone is worked out once: with `z = hA` and the formula's matrix `a`, `(I − a⊗z)⁻¹ = adj(I − a⊗z)/Q(z)`, where
//! `Q(z) = det(I − a⊗z)` is a cubic in `z`. E.m.f., load and rectifier may be others in each step.

use nalgebra::{Complex, SMatrix, SVector};

use crate::physics::circuit::network::{Input, Network};
use crate::physics::circuit::port::{
    NO_CURRENT, Port, PortSolution, PortSolver, PortVolts, ReverseCurrent,
};
use crate::physics::circuit::radau::{
    Nodes, PAIR_REAL, PAIR_SQUARED, PLACES, REAL_ROOT, constant_response, inverse3, node_response,
    product, times,
};

/// What drives a step from either side.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct StepInput {
    /// E.m.f. at the nodes (V).
    pub(in crate::physics) emf: Nodes,
    /// Current that the bus gives (A).
    pub(in crate::physics) bus_amps: f64,
}

/// A rectifier that may conduct in a step.
pub(in crate::physics) struct Conducting<'a> {
    pub(in crate::physics) port: &'a Port,
    pub(in crate::physics) solver: &'a mut PortSolver,
    pub(in crate::physics) reverse: ReverseCurrent,
}

/// What a step ends in.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct StepOutcome<const N: usize> {
    /// State at the end.
    pub(in crate::physics) end: SVector<f64, N>,
    /// What the rectifier carries at the nodes.
    pub(in crate::physics) solved: PortSolution,
    /// The rectifier's output volts at the nodes (V).
    pub(in crate::physics) volts: Nodes,
    /// The network's input at the nodes.
    pub(in crate::physics) input: Nodes,
}

/// A step of one length.
#[derive(Debug, Clone)]
pub(in crate::physics) struct Step<const N: usize> {
    pub(in crate::physics) length: f64,
    /// State at the end for a state at the beginning.
    pub(in crate::physics) end: SMatrix<f64, N, N>,
    /// State 0 at the first two nodes for a state at the beginning.
    rows: [SVector<f64, N>; 2],
    /// State at the end for one unit of the port's input at each node.
    from_port: [SVector<f64, N>; 3],
    /// State at the end for one ampere out of the bus, and state 0 at the nodes.
    load_end: SVector<f64, N>,
    load_rows: Nodes,
    /// What the filter's volts at the nodes gain from the rectifier's currents there: `w = open_volts + impedance·i` (V/A).
    impedance: [Nodes; 3],
    /// The port's input is the current itself, not the volts.
    pub(in crate::physics) takes_current: bool,
}

impl<const N: usize> Step<N> {
    /// `None` for a filter whose numbers are no numbers.
    pub(in crate::physics) fn new(net: &Network<N>, length: f64) -> Option<Self> {
        let z = net.a * length;
        let solved = if is_stiff(&z) {
            OverQ::by_its_roots(net, &z, length)
        } else {
            OverQ::at_once(net, &z, length)
        };
        let OverQ {
            end,
            rows: [r0, r1, r2],
            port,
            load,
        } = solved?;
        let row = |k: usize| {
            let c = PLACES[k];
            r0 + r1 * (c - 0.6) + r2 * (0.5 * c * c - 0.6 * c + 0.15)
        };
        let sum =
            |[f0, f1, f2]: Nodes, [v0, v1, v2]: &[SVector<f64, N>; 3]| v0 * f0 + v1 * f1 + v2 * f2;
        let first_of = |[f0, f1, f2]: Nodes, [v0, v1, v2]: &[SVector<f64, N>; 3]| {
            v0[0] * f0 + v1[0] * f1 + v2[0] * f2
        };
        let gain = [0, 1, 2].map(|k| [0, 1, 2].map(|j| first_of(node_response(k, j), &port)));
        let takes_current = net.input == Input::Capacitor;
        Some(Self {
            length,
            end,
            rows: [row(0), row(1)],
            from_port: [0, 1, 2].map(|j| sum(node_response(2, j), &port)),
            load_end: sum(constant_response(2), &load),
            load_rows: [0, 1, 2].map(|k| first_of(constant_response(k), &load)),
            impedance: if takes_current {
                gain
            } else {
                inverse3(&gain)?
            },
            takes_current,
        })
    }

    /// One step ahead: from `state`, with the e.m.f. at the nodes and what the bus gives to its load.
    #[inline]
    pub(in crate::physics) fn advance(
        &self,
        state: &SVector<f64, N>,
        sides: &StepInput,
        rectifier: Option<Conducting<'_>>,
    ) -> StepOutcome<N> {
        let (mut end, free) = self.free(state, sides.bus_amps);
        let open_volts = self.open_circuit_volts(&free);
        let solved = match rectifier {
            Some(Conducting {
                port,
                solver,
                reverse,
            }) => {
                let volts = PortVolts {
                    emf: &sides.emf,
                    open_circuit: &open_volts,
                };
                solver.solve(port, volts, &self.impedance, reverse)
            }
            None => NO_CURRENT,
        };
        let input = self.port_input(&open_volts, &solved.amps);
        for (vector, volts_or_amps) in self.from_port.iter().zip(input) {
            end.axpy(volts_or_amps, vector, 1.0);
        }
        let gained = times(&self.impedance, &solved.amps);
        StepOutcome {
            end,
            volts: [0, 1, 2].map(|k| open_volts[k] + gained[k]),
            solved,
            input,
        }
    }

    /// State at the end and state 0 at the nodes without any port input.
    #[inline]
    fn free(&self, state: &SVector<f64, N>, bus_amps: f64) -> (SVector<f64, N>, Nodes) {
        let end = self.end * state + self.load_end * bus_amps;
        let at = |k: usize| self.rows[k].dot(state) + self.load_rows[k] * bus_amps;
        (end, [at(0), at(1), end[0]])
    }

    /// The rectifier's output volts at the nodes while it carries nothing.
    #[inline]
    fn open_circuit_volts(&self, free: &Nodes) -> Nodes {
        if self.takes_current {
            *free
        } else {
            times(&self.impedance, free).map(|v| -v)
        }
    }

    /// The port's input for the rectifier's currents at the nodes.
    #[inline]
    fn port_input(&self, open_volts: &Nodes, amps: &Nodes) -> Nodes {
        if self.takes_current {
            *amps
        } else {
            let gained = times(&self.impedance, amps);
            [0, 1, 2].map(|k| open_volts[k] + gained[k])
        }
    }

    /// The derivative of the state at the end, given how the currents at the nodes change with the open-circuit volts.
    pub(in crate::physics) fn derivative(&self, jacobian: &[Nodes; 3]) -> SMatrix<f64, N, N> {
        // With a current: input = i = jacobian·free. With volts: input = open_volts + impedance·i = (I + impedance·jacobian)·open_volts.
        let mut input = *jacobian;
        if !self.takes_current {
            let mut volts = product(&self.impedance, jacobian);
            for (k, row) in volts.iter_mut().enumerate() {
                row[k] += 1.0;
            }
            input = product(&volts, &self.impedance).map(|row| row.map(|v| -v));
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

/// A filter with a mode that dies away, or swings, so many times within a step is stiff: the squares of such numbers, of which the slow
/// modes are differences, would keep no more than ten digits of these.
const STIFF: f64 = 1e3;

/// True if some state answers to itself, or a pair of them to one another, that fast within the step.
fn is_stiff<const N: usize>(z: &SMatrix<f64, N, N>) -> bool {
    let mut pairs = (0..N).flat_map(|m| (0..=m).map(move |n| z[(m, n)] * z[(n, m)]));
    pairs.any(|square| square.abs() > STIFF * STIFF)
}

/// What a step takes of `1/Q(z)`, `z/Q(z)` and `z²/Q(z)`.
struct OverQ<const N: usize> {
    /// The state at the end for one at the beginning: `(1 + 2z/5 + z²/20)/Q(z)`.
    end: SMatrix<f64, N, N>,
    /// The first row of each.
    rows: [SVector<f64, N>; 3],
    /// Each, times the input of the port and of the load over the step.
    port: [SVector<f64, N>; 3],
    load: [SVector<f64, N>; 3],
}

impl<const N: usize> OverQ<N> {
    /// By the inverse of `Q(z)`.
    fn at_once(net: &Network<N>, z: &SMatrix<f64, N, N>, length: f64) -> Option<Self> {
        let unit = SMatrix::<f64, N, N>::identity();
        let z2 = z * z;
        let pair = unit - z * (2.0 * PAIR_REAL / PAIR_SQUARED) + z2 * (1.0 / PAIR_SQUARED);
        let single = unit - z * (1.0 / REAL_ROOT);
        let inverse = single.try_inverse()? * pair.try_inverse()?;
        let r0 = inverse.row(0).transpose();
        let r1 = z.tr_mul(&r0);
        let powers = |v: SVector<f64, N>| {
            let first = inverse * v * length;
            let second = z * first;
            [first, second, z * second]
        };
        Some(Self {
            end: inverse * (unit + z * 0.4 + z2 * 0.05),
            rows: [r0, r1, z.tr_mul(&r1)],
            port: powers(net.b),
            load: powers(net.load),
        })
    }

    /// In partial fractions over the roots of `Q`: with `p` one of them, `z` stands nowhere but in `1/(1 − z/p)`, and is never squared.
    fn by_its_roots(net: &Network<N>, z: &SMatrix<f64, N, N>, length: f64) -> Option<Self> {
        let unit = SMatrix::<f64, N, N>::identity();
        let root = Complex::new(
            PAIR_REAL,
            (PAIR_SQUARED - PAIR_REAL * PAIR_REAL).max(0.0).sqrt(),
        );
        let single = (unit - z * (1.0 / REAL_ROOT)).try_inverse()?;
        let pair = (unit.map(Complex::from) - z.map(Complex::from) * root.inv()).try_inverse()?;
        let one = Complex::from(1.0);
        let mut of_single =
            1.0 / (1.0 + (REAL_ROOT * REAL_ROOT - 2.0 * PAIR_REAL * REAL_ROOT) / PAIR_SQUARED);
        let mut of_pair = ((one - root / REAL_ROOT) * (one - root / root.conj())).inv();
        let mut next = || {
            let here = single * of_single + pair.map(|w| 2.0 * (of_pair * w).re);
            of_single *= REAL_ROOT;
            of_pair *= root;
            here
        };
        let powers = [next(), next(), next()];
        let [q0, q1, q2] = &powers;
        let end = q0 + q1 * 0.4 + q2 * 0.05;
        let times = |v: SVector<f64, N>| [q0, q1, q2].map(|q| q * v * length);
        Some(Self {
            end,
            rows: [q0, q1, q2].map(|q| q.row(0).transpose()),
            port: times(net.b),
            load: times(net.load),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Matrix2, Vector2};

    fn network(a: Matrix2<f64>) -> Network<2> {
        Network {
            input: Input::Capacitor,
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
    fn over_the_roots_of_q_a_step_is_the_same() {
        let net = network(Matrix2::new(-0.3, -1.0, 1.0, -0.1));
        let z = net.a * 0.7;
        let at_once = OverQ::at_once(&net, &z, 0.7).unwrap();
        let by_roots = OverQ::by_its_roots(&net, &z, 0.7).unwrap();
        assert!((at_once.end - by_roots.end).norm() < 1e-13);
        for k in 0..3 {
            for (a, b) in [
                (at_once.rows[k], by_roots.rows[k]),
                (at_once.port[k], by_roots.port[k]),
                (at_once.load[k], by_roots.load[k]),
            ] {
                assert!((a - b).norm() < 1e-13, "{k}: {a} {b}");
            }
        }
    }

    /// Capacitors of 157 µF and 27 nF with 25 mΩ between: charged alike they stay as they are, and no slope is left.
    #[test]
    fn two_capacitors_alike_stay_as_they_are_however_fast_they_would_meet() {
        let [ohms, first, second] = [0.025, 157e-6, 27e-9];
        let [a, b] = [first, second].map(|farads| 1.0 / (ohms * farads));
        let net = network(Matrix2::new(-a, a, b, -b));
        for length in [1e-5, 1e-4, 1e-3] {
            let step = Step::new(&net, length).unwrap();
            let end = step.end * Vector2::new(528.1, 528.1);
            let slope = net.a * end;
            assert!(slope.norm() < 0.1, "{length} s: {slope} V/s");
        }
    }

    #[test]
    fn the_same_input_at_all_nodes_is_a_constant_input() {
        let net = network(Matrix2::new(-0.3, -1.0, 1.0, -0.1));
        let step = Step::new(&net, 0.7).unwrap();
        let sum = step.from_port.iter().sum::<Vector2<f64>>();
        assert!((sum - step.load_end).norm() < 1e-14);
        for (row, constant) in step.impedance.iter().zip(step.load_rows) {
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
