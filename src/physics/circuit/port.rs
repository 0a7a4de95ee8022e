//! Where rectifier and filter meet: the current at the nodes of one step.

use crate::physics::circuit::radau::{Nodes, extrapolate, inverse3};
use crate::physics::device::gas_stack::LinearSource;
use crate::physics::device::rectifier::{Commutation, Path};

/// What flows at one node.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::physics) struct Flow {
    /// Out of the rectifier (A).
    pub(in crate::physics) amps: f64,
    /// Its derivative with respect to the filter's open-circuit volts (A/V), ≤ 0.
    pub(in crate::physics) slope: f64,
    /// Of the path whose turn it is, and of the other one, which takes part around the zero crossing (A).
    pub(in crate::physics) paths: [f64; 2],
    /// Volts that drive the second path while it conducts; else, below zero, those that hold it blocked.
    pub(in crate::physics) second_volts: f64,
}

/// What becomes of a current that would run backwards through the rectifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::physics) enum ReverseCurrent {
    /// The rectifier blocks.
    Blocked,
    /// The law is carried on below zero, so that the instant of the zero is found from either side.
    CarriedOn,
}

/// Both paths of the rectifier.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct Port {
    pub(in crate::physics) path: Path,
    /// The second path of a full-wave rectifier.
    pub(in crate::physics) second: Option<Commutation>,
    /// Resistance at the head of the filter, which what both paths carry passes together; part of `path`, not of `second` (Ω).
    pub(in crate::physics) common_ohms: f64,
}

impl Port {
    /// What flows into a filter of `open_volts` without current and `open_volts + ohms·i` with it.
    #[inline]
    pub(in crate::physics) fn flow(
        &self,
        emf: f64,
        open_volts: f64,
        ohms: f64,
        guess: &mut f64,
    ) -> Flow {
        let (amps, slope) = self.path.current(emf - open_volts, ohms, guess);
        let alone = Flow {
            amps,
            slope: -slope,
            paths: [amps, 0.0],
            second_volts: -1.0,
        };
        let Some(second) = &self.second else {
            return alone;
        };
        let ohms = ohms + self.common_ohms;
        let forward = second.forward_volts(emf, open_volts + ohms * amps, amps);
        if forward > 0.0 && amps > 0.0 {
            let both = second.share(
                emf,
                LinearSource {
                    volts: open_volts,
                    ohms,
                },
                forward,
            );
            return Flow {
                amps: both.amps[0] + both.amps[1],
                slope: both.slope,
                paths: both.amps,
                second_volts: both.second_volts,
            };
        }
        Flow {
            second_volts: forward,
            ..alone
        }
    }
}

impl Port {
    /// The same for the path whose turn it is, with the law carried on to currents below zero.
    #[inline]
    fn through_zero(&self, emf: f64, open_volts: f64, ohms: f64, guess: &mut f64) -> Flow {
        let (amps, slope) = self
            .path
            .current_through_zero(emf - open_volts, ohms, guess);
        Flow {
            amps,
            slope: -slope,
            paths: [amps, 0.0],
            second_volts: -1.0,
        }
    }
}

/// Solves for the currents at the three nodes of a step, starting from those of the last one.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::physics) struct PortSolver {
    /// Currents of the last step (A).
    amps: Nodes,
    /// What the path's law started from there.
    guesses: Nodes,
}

/// Volts on both sides of the port at the three nodes of a step.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct PortVolts<'a> {
    /// E.m.f. behind the rectifier (V).
    pub(in crate::physics) emf: &'a Nodes,
    /// What the filter holds against it while no current flows (V).
    pub(in crate::physics) open_circuit: &'a Nodes,
}

/// Currents at the three nodes, and how they change with the filter's open-circuit volts.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct PortSolution {
    pub(in crate::physics) flows: [Flow; 3],
    pub(in crate::physics) amps: Nodes,
    /// Derivatives of the currents with respect to the open-circuit volts, `∂iₖ/∂vⱼ` (A/V).
    pub(in crate::physics) jacobian: [Nodes; 3],
}

/// No current at all.
pub(in crate::physics) const NO_CURRENT: PortSolution = PortSolution {
    flows: [Flow {
        amps: 0.0,
        slope: 0.0,
        paths: [0.0; 2],
        second_volts: -1.0,
    }; 3],
    amps: [0.0; 3],
    jacobian: [[0.0; 3]; 3],
};

/// Rounds of Newton's method at most on the three coupled nodes; each by itself is solved exactly, behind its own share of the filter.
const ROUNDS: usize = 25;

impl PortSolver {
    /// Forgets the last step, where nothing flows.
    fn reset(&mut self) {
        *self = Self::default();
    }

    /// The currents at the nodes into a filter whose volts there are `open_circuit + impedance·i`.
    pub(in crate::physics) fn solve(
        &mut self,
        port: &Port,
        volts: PortVolts<'_>,
        impedance: &[Nodes; 3],
        reverse: ReverseCurrent,
    ) -> PortSolution {
        let PortVolts { emf, open_circuit } = volts;
        let through = reverse == ReverseCurrent::CarriedOn;
        if !through && (0..3).all(|k| emf[k] <= open_circuit[k]) {
            self.reset();
            return NO_CURRENT;
        }
        let mut amps = extrapolate(&self.amps).map(|i| i.max(0.0));
        let mut guesses = extrapolate(&self.guesses).map(|g| g.max(0.0));
        let mut solved = NO_CURRENT;
        for round in 0..ROUNDS {
            let mut miss = [0.0; 3];
            let mut matrix = [[0.0; 3]; 3];
            for k in 0..3 {
                let [m, n] = [(k + 1) % 3, (k + 2) % 3];
                let others = impedance[k][m] * amps[m] + impedance[k][n] * amps[n];
                let held = open_circuit[k] + others;
                let flow = if through {
                    port.through_zero(emf[k], held, impedance[k][k], &mut guesses[k])
                } else {
                    port.flow(emf[k], held, impedance[k][k], &mut guesses[k])
                };
                miss[k] = flow.amps - amps[k];
                matrix[k][k] = 1.0;
                matrix[k][m] = -flow.slope * impedance[k][m];
                matrix[k][n] = -flow.slope * impedance[k][n];
                solved.flows[k] = flow;
            }
            let Some(inverse) = inverse3(&matrix) else {
                break;
            };
            let slopes = solved.flows.map(|f| f.slope);
            solved.jacobian = [0, 1, 2].map(|k| [0, 1, 2].map(|j| inverse[k][j] * slopes[j]));
            let mut moved = 0.0_f64;
            let mut most = 0.0_f64;
            for k in 0..3 {
                let step =
                    inverse[k][0] * miss[0] + inverse[k][1] * miss[1] + inverse[k][2] * miss[2];
                amps[k] += step;
                moved = moved.max(step.abs());
                most = most.max(amps[k].abs());
            }
            // Quadratic: the next step would be of the order of this one's square.
            if moved <= 1e-4 * most || moved <= 1e-13 {
                break;
            }
            if round > 12 {
                // Nodes that take turns in conducting: go by halves.
                for (own, flow) in amps.iter_mut().zip(&solved.flows) {
                    *own = 0.5 * (*own + flow.amps);
                }
            }
        }
        for (own, flow) in amps.iter_mut().zip(&mut solved.flows) {
            if !through {
                *own = if flow.amps > 0.0 { own.max(0.0) } else { 0.0 };
            }
            let share = if flow.amps == 0.0 {
                0.0
            } else {
                *own / flow.amps
            };
            flow.paths = flow.paths.map(|i| i * share);
            flow.amps = *own;
        }
        solved.amps = amps;
        self.amps = amps;
        self.guesses = guesses;
        solved
    }
}
