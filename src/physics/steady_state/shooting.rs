//! One period of the rectifier and the filter, and the state that comes back to itself after it.
//!
//! The period is cut where the rectifier begins and ceases to conduct; between, a few steps of fifth order follow it.
//! The filter is linear and the rectifier one equation at its port, so that a step costs a matrix times a vector and three
//! coupled scalar equations. The derivative of the map is carried along, and Newton's method finds the start that repeats.

use nalgebra::{SMatrix, SVector};

use super::drive::Drive;
use super::guess::{Guess, PeriodicSolution, Steps};
use super::mesh::{
    Fineness, ForwardVolts, Mesh, NodeState, Observer, Regime, reverse_current_beside,
};
use super::trust_region::{TrustRegion, relative};
use crate::physics::circuit::network::{Input, Network};
use crate::physics::circuit::port::{Flow, PortSolver, ReverseCurrent};
use crate::physics::circuit::radau::{Nodes, PLACES, node_times};
use crate::physics::circuit::step::{Conducting, Step, StepInput, StepOutcome};

/// What the waveform is at one instant, and what flowed since the one before.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample<const N: usize> {
    pub(super) time: f64,
    pub(super) state: SVector<f64, N>,
    pub(super) slope: SVector<f64, N>,
    /// Current of the path whose turn it is, and of the other one (around the zero crossing) (A): where they differ, of the first and of
    /// the second.
    pub(super) paths: [f64; 2],
    /// The same at the nodes of the step that ends here; the last node is its end.
    pub(super) nodes: [[f64; 2]; 3],
}

/// Newton's correction below this, relative to the scale of each state, counts as closed.
const CLOSURE: f64 = 1e-5;
/// Twice what the slowest of many thousand random supplies took; what has not closed by then goes round in a circle.
pub(super) const MOST_PERIODS: u32 = 48;
/// The same for the first capacitor, relative to the highest volts that drive the rectifier.
const FORWARD_CLOSURE: f64 = 2e-4;
/// By how much of the piece beside it a change of the rectifier may lie off the steps' ends.
const MESH_TOLERANCE: f64 = 5e-4;

/// In the first periods all three are so many times as strict: where one starts from a neighbour the first answer that closes is
/// else no better than it must be, and the figures would depend on where one came from.
const STRICT: f64 = 10.0;
const STRICT_PERIODS: u32 = 8;

/// Beside a neighbour that was found on even steps only, the usual ones are tried for so many periods.
const BRIEF_PERIODS: u32 = 10;

/// Where a piece of the period just appears or vanishes, the steps may take turns with it and without it; if so many periods in a row
/// have closed all the same, the piece does not matter.
const CLOSED_IN_A_ROW: u32 = 6;

/// Bus volts so far below zero, in peaks of the source, that only a collapse lies there.
const COLLAPSED: f64 = 2.0;

/// After so many periods the mesh goes only half the way to the one that was seen, lest it overshoot for ever; after so many more
/// a fifth.
const FULL_MESH_PERIODS: u32 = 20;
const HALF_MESH_PERIODS: u32 = 34;

/// Filters of more states than this begin with their neighbour's derivative and keep it while each correction is much smaller than
/// the last: to carry one along costs several times as much as the period itself.
const MANY_STATES: usize = 9;
/// That much smaller.
const SHRINKS: f64 = 0.3;

/// A capacitor follows the source closely if so small a part of the cycle is enough for it (rad).
const CLOSE: f64 = 0.02;

/// After so many periods a bus still below zero will not recover, and volts above the crest are no overshoot.
const OVERSHOOT_PERIODS: u32 = 24;

/// The first capacitor is kept below so many times the crest at first; one that wants above it so many periods in a row is lifted there
/// by a choke that resonates.
const CREST: f64 = 1.02;
const LIFTED_PERIODS: u32 = 4;
/// No capacitor is lifted above so many times the crest.
const MOST_LIFTED: f64 = 4.0;

/// Why no steady state was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum ShootingError {
    /// The load wants more than there is: the bus would have to be far below zero.
    Collapsed,
    /// This relative correction was still wanted at the end.
    NotConverged(f64),
}

/// Steps for each radian of the filter's fastest swing.
const STEPS_PER_RADIAN: f64 = 1.6;

/// Where the steps stay, a period has so many at least, and so many times as many as the filter's swing asks for.
const EVEN_STEPS: f64 = 400.0;
const EVEN_SWING: f64 = 4.0;

/// What may flow in a piece of the period.
#[derive(Debug, Clone, Copy)]
struct Conduction {
    /// Nothing flows, and the port is not solved.
    is_blocked: bool,
    /// Where a current would run backwards in the first and in the last step.
    first: ReverseCurrent,
    last: ReverseCurrent,
}

impl Conduction {
    fn free() -> Self {
        Self {
            is_blocked: false,
            first: ReverseCurrent::Blocked,
            last: ReverseCurrent::Blocked,
        }
    }

    /// Where a current would run backwards in a step of so many.
    fn reverse_current(self, step: usize, count: usize) -> ReverseCurrent {
        if (step == 0 && self.first == ReverseCurrent::CarriedOn)
            || (step + 1 == count && self.last == ReverseCurrent::CarriedOn)
        {
            ReverseCurrent::CarriedOn
        } else {
            ReverseCurrent::Blocked
        }
    }
}

/// A run of equal steps within a piece of the period.
#[derive(Debug, Clone, Copy)]
struct EqualSteps {
    /// When the first begins (s).
    begin: f64,
    /// Whose turn it is.
    turn: usize,
    /// How many.
    count: usize,
    /// What may flow in them.
    conduction: Conduction,
}

/// The circuit on its way through a period.
struct Trajectory<const N: usize> {
    state: SVector<f64, N>,
    /// Of the state with respect to the start of the period, if wanted.
    derivative: Option<SMatrix<f64, N, N>>,
    observer: Observer,
}

/// The shooting method: follows the circuit through one period after the other, until one ends as it began.
pub(super) struct Shooting<'a, const N: usize> {
    drive: &'a Drive,
    net: &'a Network<N>,
    bus_amps: f64,
    /// Forward volts at which conduction counts as begun (V).
    knee_volts: f64,
    /// The choke current that counts as none (A).
    zero_amps: f64,
    /// A choke current that will have come to zero before it is worth a step (A).
    ending_amps: f64,
    fineness: Fineness,
    /// As of the [`Observer`].
    follows: Option<f64>,
    samples: Vec<Sample<N>>,
    /// Where the rectifier was seen to change.
    seen: Mesh,
    steps: Steps,
    most_periods: u32,
    /// Highest volts that drove the rectifier in the last period (V).
    most_forward_volts: f64,
}

impl<'a, const N: usize> Shooting<'a, N> {
    pub(super) fn new(drive: &'a Drive, net: &'a Network<N>, bus_amps: f64, multiple: f64) -> Self {
        let choke = net.input == Input::Choke;
        // What counts as no current where it creeps up instead of starting.
        let small_share = if choke { 1e-3 } else { 0.02 };
        let peak_volts = drive.peak_volts();
        let all_amps = bus_amps.abs() + net.conductance * peak_volts;
        let small_amps = small_share * all_amps;
        let path = &drive.port().path;
        let knee_volts = path.knee_volts(small_amps);
        // Of the current that flows, not of the volts at which it begins.
        let ohms = (path.drop_at(3.0 * all_amps) - path.drop_at(1.5 * all_amps)) / (1.5 * all_amps);
        let is_close = !choke && drive.angular_frequency * ohms < CLOSE * net.b[0];
        // A junction has no corner: there a small current counts as none.
        let end_amps = if knee_volts > path.drop_at(0.0) {
            small_amps
        } else {
            0.0
        };
        Self {
            drive,
            net,
            bus_amps,
            knee_volts,
            follows: is_close.then_some(end_amps),
            ending_amps: 3e-3 * all_amps,
            zero_amps: 1e-9 * peak_volts / path.ohms.max(1.0),
            fineness: Fineness {
                swing: STEPS_PER_RADIAN * net.fastest_radians(),
                follow: if choke {
                    0.0
                } else {
                    path.drop_at(3.0 * all_amps) / (3.0 * all_amps) / net.b[0]
                },
                decay: net.fastest_decay().max(1.0),
                pulse: if choke { (3.0, 16.0) } else { (10.0, 8.0) },
                multiple,
            },
            samples: Vec::with_capacity(64),
            seen: Mesh::default(),
            steps: Steps::Fitted,
            most_periods: MOST_PERIODS,
            most_forward_volts: 0.0,
        }
    }

    fn sample(
        &self,
        time: f64,
        state: SVector<f64, N>,
        input: f64,
        nodes: [[f64; 2]; 3],
    ) -> Sample<N> {
        Sample {
            time,
            state,
            slope: self.net.a * state + self.net.b * input + self.net.load * self.bus_amps,
            paths: nodes[2],
            nodes,
        }
    }

    /// The port at an instant at which the state is given and not to be solved for: its input, what the rectifier does, and the current of
    /// each path.
    fn port_now(
        &self,
        time: f64,
        turn: usize,
        state: &SVector<f64, N>,
    ) -> (f64, NodeState, [f64; 2]) {
        let emf = self.drive.emf(time);
        let port = &self.drive.ports[turn];
        match self.net.input {
            Input::Capacitor => {
                let flow = port.flow(emf, state[0], 0.0, &mut 0.0);
                (
                    flow.amps,
                    self.node_state(time, emf, state[0], &flow),
                    flow.paths,
                )
            }
            Input::Choke => {
                // The choke's current is given, and the rectifier's volts follow from it.
                let held = self.held_volts(state);
                if state[0] <= self.zero_amps {
                    let node = self.node_state(time, emf, held, &Flow::default());
                    return (held.max(emf), node, [0.0; 2]);
                }
                let stiff = 1e7;
                let flow = port.flow(emf, -state[0] * stiff, stiff, &mut 0.0);
                let volts = stiff * (flow.amps - state[0]);
                (volts, self.node_state(time, emf, volts, &flow), flow.paths)
            }
        }
    }

    /// Volts behind an input choke as they are with its current at rest (V).
    #[inline]
    fn held_volts(&self, state: &SVector<f64, N>) -> f64 {
        -self.net.a.row(0).transpose().dot(state) / self.net.b[0]
    }

    /// What the rectifier does while it gives `volts`.
    #[inline]
    fn node_state(&self, time: f64, emf: f64, volts: f64, flow: &Flow) -> NodeState {
        let forward_volts = emf - volts - self.knee_volts;
        let conducts = if self.net.input == Input::Choke {
            flow.amps > self.zero_amps
        } else {
            forward_volts > 0.0
        };
        let regime = if !conducts {
            Regime::Blocked
        } else if flow.second_volts > 0.0 {
            Regime::Shared
        } else {
            Regime::Single
        };
        NodeState {
            time,
            regime,
            forward_volts,
            amps: flow.amps,
            second_volts: flow.second_volts,
        }
    }

    /// One period from `start`, carrying a derivative along if one is given to begin with.
    fn period(
        &mut self,
        start: SVector<f64, N>,
        mesh: &Mesh,
        derivative: Option<SMatrix<f64, N, N>>,
    ) -> Option<Trajectory<N>> {
        let period = self.drive.period();
        self.samples.clear();
        self.most_forward_volts = 0.0;
        let (input, node, paths) = self.port_now(0.0, 0, &start);
        let sample = self.sample(0.0, start, input, [paths; 3]);
        self.samples.push(sample);
        let by_volts = self.net.input == Input::Capacitor;
        let mut trajectory = Trajectory {
            state: start,
            derivative,
            observer: Observer::new(self.net.input, self.follows, node),
        };
        let (mut before, mut was_blocked) = (None, false);
        let mut turn = 0;
        let turn_seconds = self.drive.turn_seconds();
        let mut spans = self.drive.spans(mesh).into_iter().peekable();
        while let Some(([from, to], regime)) = spans.next() {
            if self.drive.turn_at(from) != turn {
                turn = self.drive.turn_at(from);
                let (_, node, _) = self.port_now(from, turn, &trajectory.state);
                trajectory.observer.next_turn(node);
            }
            let after = spans.peek().map(|(_, next)| *next);
            let mut conduction = Conduction::free();
            if regime == Regime::Blocked {
                // A piece that was cut goes on as it began.
                conduction.is_blocked = match before {
                    _ if by_volts => true,
                    Some(Regime::Blocked) => was_blocked,
                    _ => self.end_choke_current(from, before, &mut trajectory),
                };
                was_blocked = conduction.is_blocked;
            } else if !by_volts && regime == Regime::Single {
                conduction.first = reverse_current_beside(before);
                conduction.last = reverse_current_beside(after);
            }
            before = Some(regime);
            let mut begin = from;
            for (length, count) in self.fineness.cut(to - from, regime, turn_seconds) {
                if count == 0 || length <= 1e-12 * period {
                    continue;
                }
                let step = Step::new(self.net, length / count as f64)?;
                self.equal_steps(
                    &step,
                    EqualSteps {
                        begin,
                        turn,
                        count,
                        conduction,
                    },
                    &mut trajectory,
                );
                conduction.first = ReverseCurrent::Blocked;
                begin += length;
            }
        }
        trajectory
            .state
            .iter()
            .all(|v| v.is_finite())
            .then_some(trajectory)
    }

    /// Sets a choke's current to zero where it ends, and is then true; not if the last piece ended too early, for then the current goes
    /// on. The slope has a jump, and the samples hold both sides.
    fn end_choke_current(
        &mut self,
        time: f64,
        before: Option<Regime>,
        trajectory: &mut Trajectory<N>,
    ) -> bool {
        if trajectory.state[0] > self.ending_amps || self.turns_above_zero() {
            return false;
        }
        trajectory.state[0] = 0.0;
        if let Some(derivative) = &mut trajectory.derivative {
            derivative.row_mut(0).fill(0.0);
        }
        if before.is_some() {
            let mut sample = self.sample(time, trajectory.state, 0.0, [[0.0; 2]; 3]);
            sample.slope[0] = 0.0;
            self.samples.push(sample);
        }
        true
    }

    /// True if a choke's current, on the parabola through the end of the last step, turns before it comes to zero.
    fn turns_above_zero(&self) -> bool {
        let [.., before, here] = self.samples.as_slice() else {
            return false;
        };
        let (amps, slope) = (here.state[0], here.slope[0]);
        let bend = (slope - before.slope[0]) / (here.time - before.time);
        amps > 0.0 && (slope >= 0.0 || 2.0 * bend * amps > slope * slope)
    }

    /// Follows the circuit over equal steps.
    fn equal_steps(&mut self, step: &Step<N>, steps: EqualSteps, trajectory: &mut Trajectory<N>) {
        let EqualSteps {
            begin,
            turn: whose,
            count,
            conduction,
        } = steps;
        let peak_volts = self.drive.factor(whose);
        let port = &self.drive.ports[whose];
        let mut solver = PortSolver::default();
        let turn = PLACES.map(|c| (self.drive.angular_frequency * c * step.length).sin_cos());
        let (mut sine, mut cosine) = (self.drive.angular_frequency * begin).sin_cos();
        for k in 0..count {
            let emf = turn.map(|(s, c)| peak_volts * self.drive.shape.at(sine * c + cosine * s));
            let (s, c) = turn[2];
            (sine, cosine) = (sine * c + cosine * s, cosine * c - sine * s);
            let step_input = StepInput {
                emf,
                bus_amps: self.bus_amps,
            };
            let conducting = Conducting {
                port,
                solver: &mut solver,
                reverse: conduction.reverse_current(k, count),
            };
            let outcome = step.advance(
                &trajectory.state,
                &step_input,
                (!conduction.is_blocked).then_some(conducting),
            );
            if let Some(derivative) = &mut trajectory.derivative {
                *derivative = if conduction.is_blocked && step.takes_current {
                    step.end * *derivative
                } else {
                    step.derivative(&outcome.solved.jacobian) * *derivative
                };
            }
            trajectory.state = outcome.end;
            let time = begin + step.length * k as f64;
            let mut nodes = self.node_states(node_times(time, step.length), &emf, &outcome);
            if conduction.is_blocked {
                for node in nodes.iter_mut().filter(|node| node.forward_volts > 0.0) {
                    node.regime = Regime::Single;
                }
            }
            if !step.takes_current {
                nodes[2].forward_volts = emf[2] - self.held_volts(&outcome.end) - self.knee_volts;
            }
            let known = if conduction.is_blocked {
                ForwardVolts::AtNodes
            } else {
                ForwardVolts::AtEnds
            };
            (trajectory.observer).step(time, step.length, &nodes, known);
            let paths = outcome
                .solved
                .flows
                .map(|f| Drive::in_order(f.paths, whose));
            let sample = self.sample(nodes[2].time, outcome.end, outcome.input[2], paths);
            self.samples.push(sample);
        }
    }

    /// What the rectifier does at the nodes of a step.
    #[inline]
    fn node_states(
        &mut self,
        times: Nodes,
        emf: &Nodes,
        outcome: &StepOutcome<N>,
    ) -> [NodeState; 3] {
        [0, 1, 2].map(|n| {
            let volts = outcome.volts[n];
            self.most_forward_volts = self.most_forward_volts.max(emf[n] - volts);
            self.node_state(times[n], emf[n], volts, &outcome.solved.flows[n])
        })
    }

    /// The same, given up soon.
    pub(super) fn briefly(mut self) -> Self {
        self.most_periods = BRIEF_PERIODS;
        self
    }

    /// The same with steps that stay where they are, so many that it does not matter where the rectifier changes: slow, for
    /// a waveform whose pieces would not settle.
    pub(super) fn find_on_even_steps(
        mut self,
        start: SVector<f64, N>,
        scale: &SVector<f64, N>,
    ) -> Result<PeriodicSolution<N>, ShootingError> {
        self.fineness.pulse = (EVEN_STEPS, 0.0);
        self.fineness.swing *= EVEN_SWING;
        self.steps = Steps::Even;
        let mesh = Mesh::whole(Regime::Single, self.drive.period());
        let guess = Guess {
            mesh: Some(mesh),
            ..Guess::at(start)
        };
        self.find(guess, scale)
    }

    /// Finds the start that repeats, beginning with a guess. `scale` is the size of each state.
    pub(super) fn find(
        mut self,
        guess: Guess<N>,
        scale: &SVector<f64, N>,
    ) -> Result<PeriodicSolution<N>, ShootingError> {
        let mut start = guess.start;
        let mut mesh = guess.mesh.unwrap_or_else(|| self.first_mesh(&start));
        let floor = match self.net.input {
            Input::Capacitor => 1e-5,
            Input::Choke => 1e-4,
        };
        let mut inverse = guess.inverse.filter(|_| N > MANY_STATES);
        let mut region = TrustRegion::default();
        let mut correction_size = f64::INFINITY;
        let mut closed_in_turn = 0;
        // A neighbour that stands above the crest has shown that this filter goes there.
        let mut above_crest = if self.is_above_crest(&start) {
            LIFTED_PERIODS
        } else {
            0
        };
        for periods in 1..=self.most_periods {
            let fresh = inverse.is_none();
            let unit = SMatrix::<f64, N, N>::identity();
            let trajectory = self
                .period(start, &mesh, fresh.then_some(unit))
                .ok_or(ShootingError::NotConverged(correction_size))?;
            self.seen = trajectory.observer.mesh(self.drive.period());
            if let Some(derivative) = trajectory.derivative {
                inverse = (unit - derivative).try_inverse();
            }
            let residual = trajectory.state - start;
            let correction = inverse.map_or(residual, |i| i * residual);
            let size_before = correction_size;
            correction_size = relative(&correction, scale);
            let strict = if periods > STRICT_PERIODS {
                1.0
            } else {
                STRICT
            };
            let stays = self.steps == Steps::Even;
            let fits = stays || self.seen.fits(&mesh, MESH_TOLERANCE, floor);
            let fits_well = stays
                || self
                    .seen
                    .fits(&mesh, MESH_TOLERANCE / strict, floor / strict);
            // At light load a few volts drive the whole current: it is as sure as they are.
            let sure = self.net.input == Input::Choke
                || correction[0].abs() * strict < FORWARD_CLOSURE * self.most_forward_volts;
            let closed = correction_size * strict < CLOSURE && sure;
            closed_in_turn = if closed { closed_in_turn + 1 } else { 0 };
            if closed && (fits_well || closed_in_turn >= CLOSED_IN_A_ROW) {
                // The next current is extrapolated from the corrected start, the figures are of the samples as they are.
                return Ok(PeriodicSolution {
                    start: start + correction,
                    samples: self.samples,
                    mesh: self.seen,
                    inverse,
                    steps: self.steps,
                    closure: correction_size,
                    periods,
                });
            }
            let step = region.limit(correction, scale);
            above_crest = if self.is_above_crest(&(start + step)) {
                above_crest + 1
            } else {
                0
            };
            let top = if periods > OVERSHOOT_PERIODS || above_crest > LIFTED_PERIODS {
                MOST_LIFTED
            } else {
                CREST
            };
            start = self.limited(start, step, top);
            let least = if periods < OVERSHOOT_PERIODS {
                -COLLAPSED
            } else {
                0.0
            };
            if start[self.net.bus()] < least * self.drive.peak_volts() {
                return Err(ShootingError::Collapsed);
            }
            // A derivative of the same grid and a start close by is good enough to finish with.
            let is_good = fresh || (N > MANY_STATES && correction_size < SHRINKS * size_before);
            if !(is_good && correction_size < 0.02 && fits) {
                inverse = None;
            }
            if !fits_well {
                let next = self.next_mesh();
                // Changes that are overshot each time to the other side are met half-way.
                let share = match periods {
                    HALF_MESH_PERIODS.. => 0.2,
                    FULL_MESH_PERIODS.. => 0.5,
                    _ => 1.0,
                };
                let part_way = (share < 1.0)
                    .then(|| Mesh::blend(&[(1.0 - share, &mesh), (share, &next)]))
                    .flatten();
                mesh = part_way.unwrap_or(next);
            }
        }
        Err(ShootingError::NotConverged(correction_size))
    }

    /// True if the first capacitor stands higher than the source alone brings it.
    fn is_above_crest(&self, start: &SVector<f64, N>) -> bool {
        self.net.input == Input::Capacitor && start[0] > CREST * self.drive.peak_volts()
    }

    /// A Newton step kept to what is possible at all, the first capacitor below so many crests if there is a choke to lift it.
    fn limited(
        &self,
        start: SVector<f64, N>,
        correction: SVector<f64, N>,
        most_first: f64,
    ) -> SVector<f64, N> {
        let mut next = start + correction;
        for &(state, _) in &self.net.capacitors {
            // A choke that resonates may lift its capacitors above the crest, the first one seldom.
            let most = match (state, self.net.chokes.is_empty()) {
                (0, true) => CREST,
                (0, false) => most_first,
                _ => MOST_LIFTED,
            };
            let top = most * self.drive.peak_volts();
            if next[state] > top {
                next[state] = 0.5 * (start[state] + top);
            }
        }
        if self.net.input == Input::Choke {
            next[0] = next[0].max(0.0);
        }
        next
    }

    /// Where the rectifier can conduct at all, to begin with.
    fn first_mesh(&self, start: &SVector<f64, N>) -> Mesh {
        let period = self.drive.period();
        if self.net.input == Input::Choke {
            return Mesh::whole(Regime::Single, period);
        }
        let pulse = |(begin, peak_volts): (f64, f64)| {
            let ratio = (0.98 * start[0] / peak_volts).clamp(0.0, 0.9999);
            let from = ratio.asin() / self.drive.angular_frequency;
            let to = core::f64::consts::PI / self.drive.angular_frequency - from;
            [begin + from, begin + to]
        };
        let pulses = self.drive.turn_begins().zip(self.drive.peaks).map(pulse);
        Mesh::of_pulses(pulses, period)
    }

    /// Where the rectifier was seen to change; around the crest if it never conducted.
    fn next_mesh(&mut self) -> Mesh {
        let seen = core::mem::take(&mut self.seen);
        if seen.pieces.iter().all(|p| p.1 == Regime::Blocked) {
            let crest = core::f64::consts::FRAC_PI_2 / self.drive.angular_frequency;
            let around = |begin: f64| [begin + 0.7 * crest, begin + 1.3 * crest];
            let pulses = self.drive.turn_begins().map(around);
            return Mesh::of_pulses(pulses, self.drive.period());
        }
        seen
    }
}
