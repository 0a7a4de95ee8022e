//! One period of the rectifier and the filter, and the state that comes back to itself after it.
//!
//! The period is cut into steps, fine where the rectifier conducts, coarse where it is blocked. Each step is
//! R. Alexander's three-stage singly diagonally implicit Runge–Kutta formula (SIAM J. Numer. Anal. 14 (1977) 1006,
//! from memory): third order, L-stable, so that a tiny capacitor is no trouble. Its stages are linear but for the
//! rectifier, and there the whole filter acts as one e.m.f. behind one resistance: a stage costs a matrix times
//! a vector and one scalar equation. The derivative of the map is carried along, and Newton's method
//! finds the start that repeats.

use nalgebra::{SMatrix, SVector};

use super::network::{Network, Port};
use crate::physics::device::rectifier::Path;

const GAMMA: f64 = 0.435_866_521_508_459;
/// `a₂₁/γ`, `b₁/γ`, `b₂/γ` of the formula, written for stage values instead of slopes.
const A21: f64 = (1.0 - GAMMA) / 2.0 / GAMMA;
const B1: f64 = (-6.0 * GAMMA * GAMMA + 16.0 * GAMMA - 1.0) / 4.0 / GAMMA;
const B2: f64 = (6.0 * GAMMA * GAMMA - 20.0 * GAMMA + 5.0) / 4.0 / GAMMA;
const STAGE_TIMES: [f64; 3] = [GAMMA, f64::midpoint(1.0, GAMMA), 1.0];

/// The electromotive force and the rectifier in front of the filter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Drive {
    pub(super) peak_volts: f64,
    pub(super) angular_frequency: f64,
    pub(super) path: Path,
    /// Two paths in turn (full-wave) or one (half-wave).
    pub(super) full_wave: bool,
}

impl Drive {
    /// The time after which everything repeats (s).
    pub(super) fn period(&self) -> f64 {
        let cycle = core::f64::consts::TAU / self.angular_frequency;
        if self.full_wave { cycle / 2.0 } else { cycle }
    }

    pub(super) fn emf(&self, time: f64) -> f64 {
        let e = self.peak_volts * (self.angular_frequency * time).sin();
        if self.full_wave { e.abs() } else { e }
    }
}

/// What the waveform is at one instant.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sample<const N: usize> {
    pub(super) time: f64,
    pub(super) state: SVector<f64, N>,
    pub(super) slope: SVector<f64, N>,
    /// Current of the path whose turn it is, and of the other one (choke input, around the zero crossing) (A).
    pub(super) paths: [f64; 2],
}

/// A cut of the period: from blocked through conducting to blocked again.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    /// Where the fine steps begin and end (s).
    pub(super) from: f64,
    pub(super) to: f64,
}

/// Newton's correction below this, relative to the scale of each state, counts as closed: a fifteenth of the accuracy
/// that is asked for.
const CLOSED: f64 = 3e-5;
pub(super) const MOST_PERIODS: u32 = 120;
/// The same for the first capacitor, relative to the highest volts that drive the rectifier.
const FORWARD_CLOSED: f64 = 2e-4;
/// Where conduction begins or ends just between two steps, the discrete map has a kink and Newton's method may
/// wander around it: after this many periods the following is good enough, still five times better than the accuracy asked for.
const PATIENCE: u32 = 24;
const SETTLED: u32 = 10;
const CLOSED_AT_A_KINK: f64 = 1e-4;

/// Bus volts so far below zero, in peaks of the source, that only a collapse lies there.
const COLLAPSED: f64 = 2.0;

/// Why no steady state was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Lost {
    /// The load wants more than there is: the bus would have to be far below zero.
    Collapsed,
    /// This relative correction was still wanted at the end.
    NotConverged(f64),
}

/// Steps for each radian of the filter's fastest swing: third order, so this is good for some 10⁻⁵.
const STEPS_PER_RADIAN: f64 = 5.0;

/// Steps for each time constant of the filter's fastest decay, up to a bound: what is faster still follows at once.
const STEPS_PER_DECAY: f64 = 1.5;

/// A found steady state.
#[derive(Debug, Clone)]
pub(super) struct Found<const N: usize> {
    pub(super) start: SVector<f64, N>,
    pub(super) samples: Vec<Sample<N>>,
    pub(super) window: Window,
    /// Largest relative correction that was still wanted.
    pub(super) closure: f64,
    pub(super) periods: u32,
}

/// How far a Newton step may go, relative to the scale: a blocked rectifier looks as if nothing held the bus, and
/// the full step would land nowhere near. The reach grows while steps keep their direction.
struct Reach<const N: usize> {
    reach: f64,
    before: SVector<f64, N>,
}

impl<const N: usize> Default for Reach<N> {
    fn default() -> Self {
        Self {
            reach: 0.3,
            before: SVector::zeros(),
        }
    }
}

impl<const N: usize> Reach<N> {
    fn limit(&mut self, correction: SVector<f64, N>, scale: &SVector<f64, N>) -> SVector<f64, N> {
        let same_way = correction.component_div(scale).dot(&self.before) > 0.0;
        let size = relative(&correction, scale);
        let step = if size > self.reach {
            correction * (self.reach / size)
        } else {
            correction
        };
        self.reach = if same_way {
            (1.7 * self.reach).min(100.0)
        } else {
            (0.6 * self.reach).max(0.02)
        };
        self.before = step.component_div(scale);
        step
    }
}

/// One step length with everything that depends on it alone.
struct Step<const N: usize> {
    length: f64,
    /// `(I − hγA)⁻¹`.
    inverse: SMatrix<f64, N, N>,
    /// `(I − hγA)⁻¹·hγ·B`.
    port: SVector<f64, N>,
    /// `(I − hγA)⁻¹·hγ·c`.
    constant: SVector<f64, N>,
}

impl<const N: usize> Step<N> {
    fn new(net: &Network<N>, constant: &SVector<f64, N>, length: f64) -> Option<Self> {
        let hg = length * GAMMA;
        let inverse = (SMatrix::<f64, N, N>::identity() - net.a * hg).try_inverse()?;
        Some(Self {
            length,
            inverse,
            port: inverse * net.b * hg,
            constant: inverse * constant * hg,
        })
    }
}

/// The last two solutions of the rectifier, from which the next is guessed along a straight line.
#[derive(Debug, Default)]
struct Trail {
    last: f64,
    before: f64,
}

impl Trail {
    /// Way from the last stage to this one over the way before it.
    const STRIDES: [f64; 3] = [1.545, 0.647, 1.0];

    fn ahead(&self, stage_index: usize) -> f64 {
        if self.before <= 0.0 {
            return self.last;
        }
        let guess = self.last + (self.last - self.before) * Self::STRIDES[stage_index];
        guess.max(0.3 * self.last)
    }

    fn note(&mut self, solution: f64) {
        self.before = self.last;
        self.last = solution;
    }
}

/// What the port does in one stage.
struct PortAnswer {
    /// The port's input (A with a capacitor, V with a choke).
    input: f64,
    /// Its derivative with respect to the free state 0.
    slope: f64,
    paths: [f64; 2],
}

/// Solves the rectifier against the filter, which answers `x₀ = free + gain·p`.
#[inline]
fn solve_port(
    drive: &Drive,
    port: Port,
    emf: f64,
    free_gain: (f64, f64),
    guess: &mut f64,
) -> PortAnswer {
    let (free, gain) = free_gain;
    match port {
        Port::Capacitor => {
            let (amps, slope) = drive.path.current(emf - free, gain, guess);
            PortAnswer {
                input: amps,
                slope: -slope,
                paths: [amps, 0.0],
            }
        }
        Port::Choke => {
            // i = free + gain·w: the choke acts as an e.m.f. −free/gain behind a resistance 1/gain.
            let (amps, slope) = drive.path.current(emf + free / gain, 1.0 / gain, guess);
            let volts = (amps - free) / gain;
            if drive.full_wave && -emf - volts > 0.0 {
                return solve_overlap(drive, emf, free_gain, volts);
            }
            PortAnswer {
                input: volts,
                slope: (slope / gain - 1.0) / gain,
                paths: [amps, 0.0],
            }
        }
    }
}

/// Around the zero crossing both plates carry the choke's current: find the common cathode's volts `w` with
/// `f(e − w) + f(−e − w) = free + gain·w`. The left side falls, the right side rises.
fn solve_overlap(
    drive: &Drive,
    emf: f64,
    (free, gain): (f64, f64),
    one_plate_volts: f64,
) -> PortAnswer {
    let (mut low, mut high) = (one_plate_volts, -emf);
    let mut volts = 0.5 * (low + high);
    let (mut first, mut second) = ((0.0, 0.0), (0.0, 0.0));
    for _ in 0..60 {
        first = drive.path.current(emf - volts, 0.0, &mut 0.0);
        second = drive.path.current(-emf - volts, 0.0, &mut 0.0);
        let excess = first.0 + second.0 - free - gain * volts;
        if excess > 0.0 {
            low = volts;
        } else {
            high = volts;
        }
        let next = volts + excess / (first.1 + second.1 + gain);
        let next = if next > low && next < high {
            next
        } else {
            0.5 * (low + high)
        };
        let moved = (next - volts).abs();
        volts = next;
        if moved <= 1e-9 * drive.peak_volts {
            break;
        }
    }
    PortAnswer {
        input: volts,
        slope: -1.0 / (gain + first.1 + second.1),
        paths: [first.0, second.0],
    }
}

/// Carries one period: state, derivative with respect to the start if wanted, and samples.
pub(super) struct Carrier<'a, const N: usize> {
    drive: &'a Drive,
    net: &'a Network<N>,
    constant: SVector<f64, N>,
    samples: Vec<Sample<N>>,
    /// Steps per period that the filter's own motion asks for.
    least_steps: f64,
    /// More fine steps, in proportion, for a first capacitor so small that it follows the source at once.
    refinement: f64,
    /// Highest volts that drove the rectifier in the last period (V).
    most_forward: f64,
}

impl<'a, const N: usize> Carrier<'a, N> {
    pub(super) fn new(drive: &'a Drive, net: &'a Network<N>, bus_amps: f64) -> Self {
        let refinement = match net.port {
            Port::Capacitor => {
                // A law that starts with a corner asks for more steps around it.
                let (base, slow) = if drive.path.starts_softly() {
                    (1.0, 60.0)
                } else {
                    (1.6, 12.0)
                };
                base + (drive.period() * net.b[0] / (slow * drive.path.ohms.max(1e-3))).min(3.0)
            }
            Port::Choke if drive.full_wave => 1.0,
            // The current stops and starts in every cycle, twice as long.
            Port::Choke => 2.5,
        };
        Self {
            drive,
            net,
            constant: net.load * bus_amps,
            samples: Vec::with_capacity(128),
            least_steps: (9.0_f64)
                .max(STEPS_PER_RADIAN * net.fastest_radians() * drive.period())
                .max((STEPS_PER_DECAY * net.fastest_decay() * drive.period()).min(60.0))
                .min(240.0),
            refinement,
            most_forward: 0.0,
        }
    }

    fn sample(&self, time: f64, state: SVector<f64, N>, port: &PortAnswer) -> Sample<N> {
        let mut slope = self.net.a * state + self.net.b * port.input + self.constant;
        if self.net.port == Port::Choke && port.paths.iter().all(|amps| *amps <= 0.0) {
            // The step in which the current stops would leave its fall as slope; a blocked choke current rests.
            slope[0] = 0.0;
        }
        Sample {
            time,
            state,
            slope,
            paths: port.paths,
        }
    }

    /// The port at an instant at which the state is given and not to be solved for.
    fn port_now(&self, time: f64, state: &SVector<f64, N>) -> PortAnswer {
        let emf = self.drive.emf(time);
        match self.net.port {
            Port::Capacitor => {
                solve_port(self.drive, Port::Capacitor, emf, (state[0], 0.0), &mut 0.0)
            }
            Port::Choke => {
                // Here the choke's current is given and the port's volts follow from it.
                let amps = state[0];
                let held = -(self.net.a.row(0) * state)[0] / self.net.b[0];
                if amps <= 0.0 {
                    let volts = if emf > held { emf } else { held };
                    return PortAnswer {
                        input: volts,
                        slope: 0.0,
                        paths: [0.0, 0.0],
                    };
                }
                let volts = emf - self.drive.path.drop_at(amps);
                if self.drive.full_wave && -emf - volts > 0.0 {
                    return solve_overlap(self.drive, emf, (amps, 0.0), volts);
                }
                PortAnswer {
                    input: volts,
                    slope: 0.0,
                    paths: [amps, 0.0],
                }
            }
        }
    }

    /// One period from `start`; the derivative is carried if `jacobian` is given.
    fn period(
        &mut self,
        start: SVector<f64, N>,
        window: Window,
        mut jacobian: Option<&mut SMatrix<f64, N, N>>,
    ) -> Option<SVector<f64, N>> {
        let period = self.drive.period();
        let mut state = start;
        let mut time = 0.0;
        let mut trail = Trail::default();
        self.samples.clear();
        self.most_forward = 0.0;
        let first = self.port_now(0.0, &start);
        let sample = self.sample(0.0, start, &first);
        self.samples.push(sample);
        if let Some(j) = jacobian.as_deref_mut() {
            *j = SMatrix::identity();
        }
        let commutes = self.net.port == Port::Choke && self.drive.full_wave;
        let cuts = if commutes && window.from <= 0.0 && window.to >= period {
            commutating_cuts(period, self.least_steps)
        } else {
            cuts(window, period, (self.least_steps, self.refinement))
        };
        for (length, count) in cuts
            .into_iter()
            .filter(|(length, _)| *length > 1e-9 * period)
        {
            let step = Step::new(self.net, &self.constant, length / count as f64)?;
            let begin = time;
            for k in 0..count {
                time = begin + step.length * k as f64;
                state = self.step(&step, (time, state), &mut trail, jacobian.as_deref_mut());
            }
            time = begin + length;
        }
        state.iter().all(|v| v.is_finite()).then_some(state)
    }

    #[inline]
    fn step(
        &mut self,
        step: &Step<N>,
        (time, x): (f64, SVector<f64, N>),
        trail: &mut Trail,
        jacobian: Option<&mut SMatrix<f64, N, N>>,
    ) -> SVector<f64, N> {
        let gain = step.port[0];
        let mut slopes = [0.0; 3];
        let mut answer = PortAnswer {
            input: 0.0,
            slope: 0.0,
            paths: [0.0; 2],
        };
        let mut most_forward = self.most_forward;
        let mut stage = |stage_index: usize, from: &SVector<f64, N>| {
            let free = step.inverse * from + step.constant;
            let emf = self
                .drive
                .emf(time + STAGE_TIMES[stage_index] * step.length);
            most_forward = most_forward.max(emf - free[0]);
            let mut guess = trail.ahead(stage_index);
            answer = solve_port(self.drive, self.net.port, emf, (free[0], gain), &mut guess);
            trail.note(if answer.paths[0] > 0.0 { guess } else { 0.0 });
            slopes[stage_index] = answer.slope;
            free + step.port * answer.input
        };
        let first = stage(0, &x);
        let second_from = x + (first - x) * A21;
        let second = stage(1, &second_from);
        let third_from = x + (first - x) * B1 + (second - second_from) * B2;
        let third = stage(2, &third_from);
        self.most_forward = most_forward;
        if let Some(j) = jacobian {
            let grow = |slope: f64, from: &SMatrix<f64, N, N>| {
                let free = step.inverse * from;
                free + step.port * (free.row(0) * slope)
            };
            let d1 = grow(slopes[0], j);
            let d2_from = *j + (d1 - *j) * A21;
            let d2 = grow(slopes[1], &d2_from);
            let d3_from = *j + (d1 - *j) * B1 + (d2 - d2_from) * B2;
            *j = grow(slopes[2], &d3_from);
        }
        let sample = self.sample(time + step.length, third, &answer);
        self.samples.push(sample);
        third
    }

    /// Finds the start that repeats, beginning with `guess` and `window`. `scale` is the size of each state.
    pub(super) fn find(
        mut self,
        guess: SVector<f64, N>,
        window: Option<Window>,
        scale: &SVector<f64, N>,
    ) -> Result<Found<N>, Lost> {
        let mut start = guess;
        let mut window = window.unwrap_or_else(|| self.first_window(&start));
        let mut inverse: Option<SMatrix<f64, N, N>> = None;
        let mut reach = Reach::default();
        let mut correction_size = f64::INFINITY;
        for periods in 1..=MOST_PERIODS {
            let fresh = inverse.is_none();
            let mut jacobian = SMatrix::<f64, N, N>::zeros();
            let end = self
                .period(start, window, fresh.then_some(&mut jacobian))
                .ok_or(Lost::NotConverged(correction_size))?;
            if fresh {
                inverse = (SMatrix::<f64, N, N>::identity() - jacobian).try_inverse();
            }
            let residual = end - start;
            let correction = inverse.map_or(residual, |i| i * residual);
            correction_size = relative(&correction, scale);
            let (seen, contained) = self.seen_window(window);
            let enough = if periods > PATIENCE {
                CLOSED_AT_A_KINK
            } else {
                CLOSED
            };
            // A window that never settles (conduction that just touches the end of the period) still resolves it.
            // At light load a few volts drive the whole current: it is as sure as they are.
            let sure = self.net.port == Port::Choke
                || correction[0].abs() < FORWARD_CLOSED * self.most_forward;
            if correction_size < enough
                && (contained || periods > SETTLED)
                && (sure || periods > PATIENCE)
            {
                let window = if contained { seen } else { window };
                // The next current is extrapolated from the corrected start, the figures are of the samples as they are.
                return Ok(Found {
                    start: start + correction,
                    samples: self.samples,
                    window,
                    closure: correction_size,
                    periods,
                });
            }
            start = self.limited(start, reach.limit(correction, scale));
            if start[self.net.bus()] < -COLLAPSED * self.drive.peak_volts {
                return Err(Lost::Collapsed);
            }
            // A derivative of the same grid and a start close by is good enough to finish with.
            if !(fresh && correction_size < 0.02 && contained) {
                inverse = None;
            }
            if !contained {
                window = seen;
            }
        }
        Err(Lost::NotConverged(correction_size))
    }

    /// A Newton step kept to what is possible at all.
    fn limited(&self, start: SVector<f64, N>, correction: SVector<f64, N>) -> SVector<f64, N> {
        let mut next = start + correction;
        for &(state, _) in &self.net.capacitors {
            // Behind a choke a resonance may lift the volts above the crest; the first capacitor never goes there.
            let top = self.drive.peak_volts * if state == 0 { 1.02 } else { 4.0 };
            if next[state] > top {
                next[state] = 0.5 * (start[state] + top);
            }
        }
        if self.net.port == Port::Choke {
            next[0] = next[0].max(0.0);
        }
        next
    }

    /// Where the rectifier can conduct at all, for a first look.
    fn first_window(&self, start: &SVector<f64, N>) -> Window {
        let period = self.drive.period();
        if self.net.port == Port::Choke {
            return Window {
                from: 0.0,
                to: period,
            };
        }
        let ratio = (0.98 * start[0] / self.drive.peak_volts).clamp(0.0, 0.9999);
        let from = ratio.asin() / self.drive.angular_frequency;
        Window {
            from,
            to: core::f64::consts::PI / self.drive.angular_frequency - from,
        }
    }

    /// The conduction seen in the last period with a margin, and whether `window` contained it.
    fn seen_window(&self, window: Window) -> (Window, bool) {
        let period = self.drive.period();
        let conducts = |s: &Sample<N>| s.paths[0] > 0.0;
        let whole = Window {
            from: 0.0,
            to: period,
        };
        if self.samples.first().is_some_and(conducts) {
            return (whole, window.from <= 0.0 && window.to >= period);
        }
        let first = self.samples.iter().position(conducts);
        let last = self.samples.iter().rposition(conducts);
        let (Some(first), Some(last)) = (first, last) else {
            // Nothing conducted: look around the crest.
            let crest = core::f64::consts::FRAC_PI_2 / self.drive.angular_frequency;
            return (
                Window {
                    from: 0.7 * crest,
                    to: 1.3 * crest,
                },
                false,
            );
        };
        let at = |index: usize| self.samples.get(index).map_or(period, |s| s.time);
        let (from, to) = (at(first.saturating_sub(1)), at(last + 1));
        let margin = 0.07 * (to - from);
        let seen = Window {
            from: (from - margin).max(0.0),
            to: (to + margin).min(period),
        };
        let slack = 0.5 * (window.to - window.from) / 30.0;
        let contained = (from >= window.from - slack && to <= window.to + slack)
            && (to - from) > 0.55 * (window.to - window.from);
        (seen, contained)
    }
}

/// A number of steps.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a period can need"
)]
fn count(steps: f64) -> usize {
    steps.clamp(1.0, 4_000.0) as usize
}

/// The pieces of a period with their number of steps, from what the filter asks for in a whole period and from how
/// much finer conduction must be cut.
fn cuts(window: Window, period: f64, (least_steps, refinement): (f64, f64)) -> [(f64, usize); 3] {
    let wide = (window.to - window.from) / period;
    let blocked = |length: f64| 2 + count((least_steps * length / period).ceil());
    let fine = count(refinement * (22.0 + 38.0_f64.max(2.0 * least_steps) * wide));
    [
        (window.from, blocked(window.from)),
        (window.to - window.from, fine),
        (period - window.to, blocked(period - window.to)),
    ]
}

/// The pieces of a period in which a choke input conducts throughout. One plate hands over to the other around the
/// zero crossing, within microseconds if the winding is stiff: without short steps there the rms current would miss
/// as much as half a step at either end.
fn commutating_cuts(period: f64, least_steps: f64) -> [(f64, usize); 3] {
    let end = 0.012 * period;
    let between = count(68.0_f64.max(2.0 * least_steps));
    [(end, 3), (period - 2.0 * end, between), (end, 3)]
}

fn relative<const N: usize>(correction: &SVector<f64, N>, scale: &SVector<f64, N>) -> f64 {
    correction
        .iter()
        .zip(scale.iter())
        .map(|(c, s)| (c / s).abs())
        .fold(0.0, |a, b| if b > a || b.is_nan() { b } else { a })
}
