//! One step after the other from the instant of closing: core, heaters, and rectifier with its filter, in the house's own steps.
//!
//! ```text
//!  e ──R──┬───────┬──────────┬───          e: the open mains, R: mains, limiter and primary copper
//!         │       │          │
//!       core   heaters   rectifier         v = dλ/dt = e − R·(i_m + g·v + i_r)
//!         │       │       N : 1            i_m from λ, g of the heaters, i_r = N·(first half − second half)
//!  ───────┴───────┴──────────┴───
//! ```
//!
//! The linkages go by the Radau formula, as the filter does ([`Step`]); both are solved together at its three nodes, in turns: what
//! the rectifier takes moves the linkages of the same step by so little that two or three rounds are enough. The steps are all of one
//! length. An instant at which something changes (a diode begins to conduct, the core leaves its bend) falls within a step; with 64 of
//! them in a cycle crest and I²t are within 0.3 % (`tests/reference`).

use nalgebra::SVector;

use crate::parts::{Connection, Rectifier, RectifierLaw};
use crate::physics::circuit::network::{self, Input, Network};
use crate::physics::circuit::port::{Port, PortSolver, ReverseCurrent};
use crate::physics::circuit::radau::{A, Nodes, WEIGHTS, inverse3, node_times};
use crate::physics::circuit::source::Winding;
use crate::physics::circuit::step::{Conducting, Step, StepInput, StepOutcome};
use crate::physics::device::rectifier::{Commutation, Path};
use crate::physics::switch_on::heaters::{Wire, emission};
use crate::physics::switch_on::saturation::Core;
use crate::physics::switch_on::side::PrimarySide;
use crate::physics::switch_on::thermistor::InLine;

/// Rectifier and filter, seen from the primary.
#[derive(Debug, Clone)]
pub(super) struct Secondary<const N: usize> {
    /// Each half of the winding, or twice the whole: turns ratio, and resistance without that of the primary (Ω).
    pub(super) halves: [HalfWinding; 2],
    pub(super) rectifier: Rectifier,
    /// `None` for silicon, which is ready at once.
    pub(super) cathode: Option<Wire>,
    pub(super) net: Network<N>,
    pub(super) step: Step<N>,
    /// Resistance at the head of the filter (Ω).
    pub(super) port_ohms: f64,
    /// What the bus gives to inside and output (A), once it has more than the volts beside it; below them in proportion.
    pub(super) bus_amps: f64,
    pub(super) full_load_volts: f64,
}

/// A winding, or half of one, by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HalfWinding {
    pub(super) turns_ratio: f64,
    pub(super) ohms: f64,
}

impl HalfWinding {
    /// Of a winding with the primary's resistance reflected into it.
    pub(super) fn of(winding: Winding, primary_ohms: f64) -> Self {
        Self {
            turns_ratio: winding.turns_ratio,
            ohms: (winding.ohms - winding.turns_ratio.powi(2) * primary_ohms).max(0.0),
        }
    }
}

/// Where a march begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Begin {
    /// Angle of the mains (radians).
    pub(super) radians: f64,
    /// What is in the core (V·s).
    pub(super) linkages: f64,
    /// For how long the heaters were on before (s).
    pub(super) heated_seconds: f64,
    /// Volts of all capacitors (V).
    pub(super) charged_volts: f64,
    /// Rise of the thermistor (K).
    pub(super) thermistor_rise: f64,
    /// How long ago the switch closed (s).
    pub(super) since_closing: f64,
}

/// What there was in one step; of nodes the third is its end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stepped<const N: usize> {
    /// Since the closing (s).
    pub(super) times: Nodes,
    pub(super) length: f64,
    /// Open mains (V).
    pub(super) emf: Nodes,
    /// Volts at the core, that of the mains' inductance included (V).
    pub(super) core_volts: Nodes,
    /// Through the plug (A).
    pub(super) primary_amps: Nodes,
    pub(super) magnetising_amps: Nodes,
    /// What the rectifier takes, on the primary (A).
    pub(super) reflected_amps: Nodes,
    /// In series on the primary (Ω), and what hangs across it (S).
    pub(super) ohms: f64,
    pub(super) siemens: f64,
    pub(super) flowed: Option<StepOutcome<N>>,
    pub(super) bus_amps: f64,
    /// In the core and the mains (V·s); of nodes the third is the end.
    pub(super) node_linkages: Nodes,
    pub(super) linkages: f64,
    pub(super) state: SVector<f64, N>,
}

impl<const N: usize> Stepped<N> {
    /// Integral over the step of what has these values at the nodes.
    pub(super) fn integral(&self, of: Nodes) -> f64 {
        let [a, b, c] = of;
        self.length * (WEIGHTS[0] * a + WEIGHTS[1] * b + WEIGHTS[2] * c)
    }

    /// `∫i²dt` of the primary over the step (A²s).
    pub(super) fn heating(&self) -> f64 {
        self.integral(self.primary_amps.map(|amps| amps * amps))
    }
}

/// A supply that is being switched on.
pub(super) struct March<'a, const N: usize> {
    side: &'a PrimarySide,
    core: Core,
    secondary: Option<&'a Secondary<N>>,
    length: f64,
    begin: Begin,
    steps: u32,
    linkages: f64,
    state: SVector<f64, N>,
    in_line: InLine,
    solver: PortSolver,
    warm: Warm,
    reflected: Nodes,
}

/// What changes slowly: the heaters are asked some times in half a cycle, the rectifier once.
struct Warm {
    /// Heaters and the rest, on the primary (S), from this time on (s).
    siemens: f64,
    heaters_at: f64,
    /// Where the rectifier conducts at all: one for each turn, for these ohms in series on the primary, from this time on (s).
    ports: Option<[Port; 2]>,
    ohms: f64,
    rectifier_at: f64,
}

/// How often in half a cycle heaters are asked: a cold one gains a per cent in that time.
const HEATERS_OFTEN: f64 = 8.0;

/// Below this share of its emission a rectifier carries nothing worth speaking of.
const LEAST_EMISSION: f64 = 1e-4;
/// Rounds between linkages and rectifier in one step; two or three are enough.
const ROUNDS: usize = 12;
/// Newton's steps for the linkages of one step.
const NEWTON: usize = 40;

impl<'a, const N: usize> March<'a, N> {
    pub(super) fn new(
        side: &'a PrimarySide,
        secondary: Option<&'a Secondary<N>>,
        begin: Begin,
        length: f64,
    ) -> Self {
        let mut state = SVector::zeros();
        if let Some(secondary) = secondary {
            for &(capacitor, _) in &secondary.net.capacitors {
                state[capacitor] = begin.charged_volts;
            }
        }
        let mut march = Self {
            side,
            core: side.core_and_mains(),
            secondary,
            length,
            begin,
            steps: 0,
            linkages: begin.linkages,
            state,
            in_line: InLine::at(side.limiter, begin.thermistor_rise),
            solver: PortSolver::default(),
            warm: Warm {
                siemens: 0.0,
                heaters_at: 0.0,
                ports: None,
                ohms: 0.0,
                rectifier_at: 0.0,
            },
            reflected: [0.0; 3],
        };
        march.warm_heaters();
        march.warm_rectifier();
        march
    }

    /// Since the march began (s).
    pub(super) fn seconds(&self) -> f64 {
        f64::from(self.steps) * self.length
    }

    fn ohms(&self) -> f64 {
        let since_closing = self.begin.since_closing + self.seconds() + 0.5 * self.length;
        self.side.series_ohms() + self.in_line.ohms(since_closing)
    }

    /// Heaters as warm as they are on the way to the next time that this is asked.
    fn warm_heaters(&mut self) {
        let ahead = 0.5 * self.half_cycle() / HEATERS_OFTEN;
        let heated = self.begin.heated_seconds + self.seconds() + ahead;
        self.warm.siemens = self.side.auxiliary.siemens(heated);
        self.warm.heaters_at = self.seconds();
    }

    /// The rectifier as warm as it is now, behind as many ohms.
    fn warm_rectifier(&mut self) {
        let seconds = self.seconds();
        let heated = self.begin.heated_seconds + seconds;
        let (ohms, siemens) = (self.ohms(), self.warm.siemens);
        self.warm.ports = self.secondary.and_then(|secondary| {
            let emitting = secondary.cathode.map_or(1.0, |wire| emission(wire, heated));
            (emitting > LEAST_EMISSION)
                .then(|| secondary.ports(emitting, ohms / (1.0 + ohms * siemens)))
        });
        self.warm.ohms = ohms;
        self.warm.rectifier_at = seconds;
    }

    fn half_cycle(&self) -> f64 {
        core::f64::consts::PI / self.side.angular_frequency
    }

    /// Through the plug at the very instant of closing (A): a rectifier that is ready charges an empty capacitor at once.
    pub(super) fn at_closing(&self) -> f64 {
        let ohms = self.warm.ohms;
        let siemens = self.warm.siemens;
        let share = 1.0 / (1.0 + ohms * siemens);
        let magnetising = self.core.current(self.linkages).0;
        let seen = share * (self.side.emf(self.begin.radians) - ohms * magnetising);
        let ready = self.secondary.zip(self.warm.ports.as_ref());
        let reflected = ready.map_or(0.0, |(secondary, ports)| {
            if secondary.net.input == Input::Choke {
                return 0.0;
            }
            let turn = secondary.turn(seen);
            let factor = secondary.factor(turn);
            let flow = ports[turn].flow(factor * seen, self.state[0], 0.0, &mut 0.0);
            factor * flow.paths[0] + secondary.factor(1 - turn) * flow.paths[1]
        });
        let volts = seen - share * ohms * reflected;
        magnetising + reflected + siemens * volts
    }

    /// Goes one step ahead.
    pub(super) fn step(&mut self) -> Stepped<N> {
        let seconds = self.seconds();
        let ohms = self.ohms();
        let half_cycle = self.half_cycle();
        if seconds - self.warm.heaters_at >= half_cycle / HEATERS_OFTEN {
            self.warm_heaters();
        }
        if seconds - self.warm.rectifier_at >= half_cycle
            || (ohms - self.warm.ohms).abs() > 1e-4 * ohms.max(self.warm.ohms)
        {
            self.warm_rectifier();
        }
        let times = node_times(seconds, self.length);
        let radians = times.map(|t| self.begin.radians + self.side.angular_frequency * t);
        let emf = radians.map(|angle| self.side.emf(angle));
        let siemens = self.warm.siemens;
        // Everything behind the series resistance sees this share of what is before it.
        let share = 1.0 / (1.0 + ohms * siemens);
        let line = Line { emf, ohms, share };
        let (linkages, flowed, bus_amps) = self.solve(&line);
        let magnetising_amps = linkages.map(|at| self.core.current(at).0);
        let reflected_amps = self.reflected;
        let behind = |k: usize| magnetising_amps[k] + reflected_amps[k];
        let core_volts = [0, 1, 2].map(|k| share * (emf[k] - ohms * behind(k)));
        let primary_amps = [0, 1, 2].map(|k| behind(k) + siemens * core_volts[k]);
        self.linkages = linkages[2];
        if let Some(outcome) = &flowed {
            self.state = outcome.end;
        }
        self.steps += 1;
        let stepped = Stepped {
            times,
            length: self.length,
            emf,
            core_volts,
            primary_amps,
            magnetising_amps,
            reflected_amps,
            ohms,
            siemens,
            flowed,
            bus_amps,
            node_linkages: linkages,
            linkages: self.linkages,
            state: self.state,
        };
        if self.in_line.is_thermistor() {
            let joules = (ohms - self.side.series_ohms()) * stepped.heating();
            self.in_line.warm(joules, self.length);
        }
        stepped
    }

    /// Linkages at the nodes, what flows in the secondary, and what the bus gives.
    fn solve(&mut self, line: &Line) -> (Nodes, Option<StepOutcome<N>>, f64) {
        let Some(secondary) = self.secondary else {
            return (self.linkages_with(line, &[0.0; 3]), None, 0.0);
        };
        let bus_volts = self.state[secondary.net.bus()];
        let drawn = (bus_volts / secondary.full_load_volts).clamp(0.0, 1.0);
        let bus_amps = secondary.bus_amps * drawn;
        let Some(ports) = self.warm.ports else {
            self.reflected = [0.0; 3];
            let linkages = self.linkages_with(line, &[0.0; 3]);
            let input = StepInput {
                emf: [0.0; 3],
                bus_amps,
            };
            let outcome = secondary.step.advance(&self.state, &input, None);
            return (linkages, Some(outcome), bus_amps);
        };
        let mut linkages = self.linkages_with(line, &self.reflected);
        let mut last = None;
        for _ in 0..ROUNDS {
            let seen = [0, 1, 2]
                .map(|k| line.share * (line.emf[k] - line.ohms * self.core.current(linkages[k]).0));
            let turn = secondary.turn(seen[1]);
            let factor = secondary.factor(turn);
            let input = StepInput {
                emf: seen.map(|volts| factor * volts),
                bus_amps,
            };
            let mut solver = self.solver;
            let outcome = secondary.step.advance(
                &self.state,
                &input,
                Some(Conducting {
                    port: &ports[turn],
                    solver: &mut solver,
                    reverse: ReverseCurrent::Blocked,
                }),
            );
            let reflected = secondary.reflected(&outcome, turn);
            let [moved, most] = [0, 1, 2].iter().fold([0.0_f64, 1e-3], |[moved, most], &k| {
                let off = (reflected[k] - self.reflected[k]).abs();
                [moved.max(off), most.max(reflected[k].abs())]
            });
            self.reflected = reflected;
            last = Some((outcome, solver));
            if moved < 1e-6 * most {
                break;
            }
            linkages = self.linkages_with(line, &self.reflected);
        }
        let outcome = last.map(|(outcome, solver)| {
            self.solver = solver;
            outcome
        });
        (linkages, outcome, bus_amps)
    }

    /// Linkages at the nodes, while the rectifier takes so much: Newton's method on `λₖ = λ₀ + h·Σ aₖₘ·vₘ`.
    fn linkages_with(&self, line: &Line, reflected: &Nodes) -> Nodes {
        let slope =
            |k: usize, amps: f64| line.share * (line.emf[k] - line.ohms * (amps + reflected[k]));
        let begin = self.core.current(self.linkages).0;
        let along = [0, 1, 2].map(|k| slope(k, begin));
        let step = |row: usize, slopes: &Nodes| {
            self.length * (A[row][0] * slopes[0] + A[row][1] * slopes[1] + A[row][2] * slopes[2])
        };
        let mut linkages = [0, 1, 2].map(|k| self.linkages + step(k, &along));
        let damping = self.length * line.share * line.ohms;
        for _ in 0..NEWTON {
            let at = linkages.map(|linkages| self.core.current(linkages));
            let slopes = [0, 1, 2].map(|k| slope(k, at[k].0));
            let miss = [0, 1, 2].map(|k| self.linkages + step(k, &slopes) - linkages[k]);
            let matrix = [0, 1, 2].map(|k| {
                [0, 1, 2].map(|m| {
                    let own = if k == m { 1.0 } else { 0.0 };
                    own + damping * A[k][m] * at[m].1
                })
            });
            let Some(inverse) = inverse3(&matrix) else {
                break;
            };
            let mut moved = 0.0_f64;
            for (k, row) in inverse.iter().enumerate() {
                let by = row[0] * miss[0] + row[1] * miss[1] + row[2] * miss[2];
                linkages[k] += by;
                moved = moved.max(by.abs());
            }
            if moved <= 1e-10 * self.core.knee {
                break;
            }
        }
        linkages
    }
}

/// What stands before everything in one step.
struct Line {
    emf: Nodes,
    ohms: f64,
    share: f64,
}

impl<const N: usize> Secondary<N> {
    /// The rectifier for each turn, with so much of its emission and so many ohms of the primary.
    fn ports(&self, emitting: f64, primary_ohms: f64) -> [Port; 2] {
        let mut rectifier = self.rectifier.clone();
        if let RectifierLaw::Vacuum { drop, .. } = &mut rectifier.kind.law {
            // `i = K·v^1.5` with a smaller K.
            let root = emitting.cbrt();
            drop.value.0 /= root * root;
        }
        let ohms = self
            .halves
            .map(|half| half.ohms + half.turns_ratio.powi(2) * primary_ohms);
        let port = |own: usize, other: usize| {
            let ratio = self.halves[other].turns_ratio / self.halves[own].turns_ratio;
            Port {
                path: Path::new(&rectifier, ohms[own] + self.port_ohms),
                second: Commutation::between(&rectifier, [ohms[own], ohms[other]], ratio),
                common_ohms: self.port_ohms,
            }
        };
        [port(0, 1), port(1, 0)]
    }

    fn is_half_wave(&self) -> bool {
        self.rectifier.connection == Connection::HalfWave
    }

    /// Whose turn it is while the core has these volts.
    fn turn(&self, volts: f64) -> usize {
        usize::from(!self.is_half_wave() && volts < 0.0)
    }

    /// From the volts of the core to the e.m.f. of the path whose turn it is.
    fn factor(&self, turn: usize) -> f64 {
        if turn == 0 {
            self.halves[0].turns_ratio
        } else {
            -self.halves[1].turns_ratio
        }
    }

    /// What the paths carry, on the primary (A).
    fn reflected(&self, outcome: &StepOutcome<N>, turn: usize) -> Nodes {
        let own = self.factor(turn);
        let other = self.factor(1 - turn);
        outcome
            .solved
            .flows
            .map(|flow| own * flow.paths[0] + other * flow.paths[1])
    }
}

/// What a filter needs to be followed: its network and one length of its steps.
pub(super) fn filter_steps<const N: usize>(
    filter: &crate::parts::Filter,
    length: f64,
) -> Option<(Network<N>, Step<N>, f64)> {
    let net = Network::new(filter, 0.0);
    let step = Step::new(&net, length)?;
    Some((net, step, network::port_ohms(filter)))
}
