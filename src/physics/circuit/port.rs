//! Where rectifier and filter meet: the current at the nodes of one step.

use crate::physics::circuit::radau::{Nodes, ahead, inverse3};
use crate::physics::device::gas_stack::LinearSource;
use crate::physics::device::rectifier::{Commutation, Path};

/// What flows at one node.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::physics) struct Flow {
    /// Out of the rectifier (A).
    pub(in crate::physics) amps: f64,
    /// Its derivative with respect to the filter's bare volts (A/V), ≤ 0.
    pub(in crate::physics) slope: f64,
    /// Of the path whose turn it is, and of the other one, which takes part around the zero crossing (A).
    pub(in crate::physics) paths: [f64; 2],
    /// Volts that drive the second path while it conducts; else, below zero, those that hold it blocked.
    pub(in crate::physics) second_volts: f64,
}

/// What happens where a current would run backwards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::physics) enum Backwards {
    /// The rectifier blocks.
    Blocked,
    /// It goes on, so that the instant of its zero is seen from either side.
    SeenThrough,
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
    /// What flows into a filter that answers with `bare + ohms·i` volts.
    #[inline]
    pub(in crate::physics) fn flow(&self, emf: f64, bare: f64, ohms: f64, guess: &mut f64) -> Flow {
        let (amps, slope) = self.path.current(emf - bare, ohms, guess);
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
        let forward = second.forward_volts(emf, bare + ohms * amps, amps);
        if forward > 0.0 && amps > 0.0 {
            let both = second.share(emf, LinearSource { volts: bare, ohms }, forward);
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
    fn through_zero(&self, emf: f64, bare: f64, ohms: f64, guess: &mut f64) -> Flow {
        let (amps, slope) = self.path.current_through_zero(emf - bare, ohms, guess);
        Flow {
            amps,
            slope: -slope,
            paths: [amps, 0.0],
            second_volts: -1.0,
        }
    }
}

/// Currents at the three nodes of the last step, from which those of the next are guessed.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::physics) struct Trail {
    amps: Nodes,
    guesses: Nodes,
}

/// Currents at the three nodes, and how they follow the bare volts.
#[derive(Debug, Clone, Copy)]
pub(in crate::physics) struct Solved {
    pub(in crate::physics) flows: [Flow; 3],
    pub(in crate::physics) amps: Nodes,
    /// `∂iₖ/∂bareⱼ` (A/V).
    pub(in crate::physics) follow: [Nodes; 3],
}

/// No current at all.
pub(in crate::physics) const NOTHING: Solved = Solved {
    flows: [Flow {
        amps: 0.0,
        slope: 0.0,
        paths: [0.0; 2],
        second_volts: -1.0,
    }; 3],
    amps: [0.0; 3],
    follow: [[0.0; 3]; 3],
};

/// Newton's method on the three coupled nodes: each by itself is solved exactly, behind its own share of the filter.
const ROUNDS: usize = 25;

impl Trail {
    /// What lies behind is no guide: a new piece of the period begins.
    pub(in crate::physics) fn forget(&mut self) {
        *self = Self::default();
    }

    /// The currents at the nodes with `emf` on the one side and a filter on the other that answers with `bare + answer·i` volts.
    pub(in crate::physics) fn solve(
        &mut self,
        port: &Port,
        [emf, bare]: [&Nodes; 2],
        answer: &[Nodes; 3],
        backwards: Backwards,
    ) -> Solved {
        let through = backwards == Backwards::SeenThrough;
        if !through && (0..3).all(|k| emf[k] <= bare[k]) {
            self.forget();
            return NOTHING;
        }
        let mut amps = ahead(&self.amps).map(|i| i.max(0.0));
        let mut guesses = ahead(&self.guesses).map(|g| g.max(0.0));
        let mut solved = NOTHING;
        for round in 0..ROUNDS {
            let mut miss = [0.0; 3];
            let mut matrix = [[0.0; 3]; 3];
            for k in 0..3 {
                let [m, n] = [(k + 1) % 3, (k + 2) % 3];
                let others = answer[k][m] * amps[m] + answer[k][n] * amps[n];
                let volts = bare[k] + others;
                let flow = if through {
                    port.through_zero(emf[k], volts, answer[k][k], &mut guesses[k])
                } else {
                    port.flow(emf[k], volts, answer[k][k], &mut guesses[k])
                };
                miss[k] = flow.amps - amps[k];
                matrix[k][k] = 1.0;
                matrix[k][m] = -flow.slope * answer[k][m];
                matrix[k][n] = -flow.slope * answer[k][n];
                solved.flows[k] = flow;
            }
            let Some(inverse) = inverse3(&matrix) else {
                break;
            };
            let slopes = solved.flows.map(|f| f.slope);
            solved.follow = [0, 1, 2].map(|k| [0, 1, 2].map(|j| inverse[k][j] * slopes[j]));
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
