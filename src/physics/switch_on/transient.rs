//! The first cycles after the switch closes.

use core::f64::consts::TAU;

use nalgebra::SVector;

use crate::physics::circuit::radau::{A, Nodes};
use crate::physics::failure::{Failure, NoOutput};
use crate::physics::switch_on::SwitchOn;
use crate::physics::switch_on::march::{
    Begin, HalfWinding, March, Secondary, Stepped, filter_steps,
};
use crate::physics::switch_on::saturation::Core;
use crate::physics::switch_on::settling::Settling;
use crate::physics::switch_on::side::{PrimarySide, cathode};

/// How and when the switch closes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closing {
    /// Angle of the mains, from their rise through zero (degrees).
    pub degrees: f64,
    /// What stayed in the core, as a share of the working flux: −1 to 1, above zero in the direction in which a closing at 0° drives it.
    pub residual: f64,
    /// For how long the heaters were on before (s): 0 cold, a minute and more hot.
    pub heated_seconds: f64,
    /// Charge that is left on all capacitors, as a share of the winding's crest.
    pub charged: f64,
}

impl Closing {
    /// Everything cold and empty.
    pub fn cold(degrees: f64, residual: f64) -> Self {
        Self {
            degrees,
            residual,
            heated_seconds: 0.0,
            charged: 0.0,
        }
    }

    /// Switched on again at once: everything hot, the capacitors nearly full. A thermistor is hot as well.
    pub fn hot(degrees: f64, residual: f64) -> Self {
        Self {
            degrees,
            residual,
            heated_seconds: HOT,
            charged: 0.7,
        }
    }
}

/// After so many seconds everything is warm, a thermistor too (s).
pub const HOT: f64 = 300.0;

/// Steps of a cycle that is looked at, and of one among thousands.
const STEPS_SHOWN: u32 = 128;
const STEPS_DRAWN: u32 = 48;

/// One instant of the transient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Instant {
    /// Since the closing (s).
    pub seconds: f64,
    /// Through the plug (A).
    pub primary_amps: f64,
    /// What of it magnetises the core (A).
    pub magnetising_amps: f64,
    /// Open mains (V).
    pub mains_volts: f64,
    /// In the core, over the linkages at which it saturates.
    pub flux: f64,
    /// The bus (V).
    pub bus_volts: f64,
    /// `∫i²dt` of the primary so far (A²s).
    pub heating: f64,
}

/// Where the energy of a transient went (J). What the mains give is worked out from e.m.f. and current, apart from all else.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// From the mains.
    pub mains: f64,
    /// Into resistance of mains, limiter and primary.
    pub series: f64,
    /// Into heaters, and core loss.
    pub auxiliary: f64,
    /// Into the core, and the inductance of the mains before it.
    pub core: f64,
    /// Into resistance of the high-voltage winding, and the rectifier.
    pub rectifier: f64,
    /// Into capacitors and chokes.
    pub filter_stored: f64,
    /// Into resistance of the filter, bleeders, and what the bus gives.
    pub filter_used: f64,
}

impl Balance {
    /// By how much what the mains give and what all takes differ, as a part of all that was moved.
    pub fn miss(&self) -> f64 {
        let spent = self.series
            + self.auxiliary
            + self.core
            + self.rectifier
            + self.filter_stored
            + self.filter_used;
        (self.mains - spent).abs() / self.mains.abs().max(self.series).max(1e-12)
    }
}

/// A transient, instant by instant.
#[derive(Debug, Clone, PartialEq)]
pub struct Transient {
    /// How the switch closed.
    pub closing: Closing,
    /// Its instants, rising in time.
    pub instants: Vec<Instant>,
    /// Highest instant of the primary current, either way (A), and when it is there (s).
    pub crest_amps: f64,
    /// When that is (s).
    pub crest_seconds: f64,
    /// `∫i²dt` over the first mains cycle (A²s).
    pub first_cycle_heating: f64,
    /// Where the energy went.
    pub balance: Balance,
}

impl Transient {
    /// Rms of the primary current over the last whole cycle (A).
    pub fn last_cycle_rms(&self, cycle_seconds: f64) -> f64 {
        let Some(last) = self.instants.last() else {
            return 0.0;
        };
        let from = last.seconds - cycle_seconds;
        let before = self.heating_at(from);
        ((last.heating - before) / cycle_seconds).max(0.0).sqrt()
    }

    /// `∫i²dt` up to a time (A²s).
    pub fn heating_at(&self, seconds: f64) -> f64 {
        self.value_at(seconds, |one| one.heating)
    }

    /// What an instant has, at any time: along a straight line between those that there are.
    pub fn value_at(&self, seconds: f64, of: impl Fn(&Instant) -> f64) -> f64 {
        let behind = self.instants.partition_point(|one| one.seconds <= seconds);
        let before = behind.checked_sub(1).and_then(|k| self.instants.get(k));
        match (before, self.instants.get(behind)) {
            (Some(a), Some(b)) => {
                let share = (seconds - a.seconds) / (b.seconds - a.seconds);
                of(a) + share * (of(b) - of(a))
            }
            (Some(last), None) => of(last),
            (None, Some(first)) if first.seconds > 0.0 => {
                of(first) * (seconds / first.seconds).max(0.0)
            }
            _ => 0.0,
        }
    }
}

/// Times at which the surge of each of many switch-ons is kept (s).
pub const CHECKPOINTS: [f64; 14] = [
    0.5e-3, 1e-3, 2e-3, 3e-3, 5e-3, 7e-3, 10e-3, 15e-3, 20e-3, 30e-3, 50e-3, 70e-3, 0.1, 0.2,
];

/// What is kept of one switch-on among many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surge {
    /// Highest instant of the primary current (A).
    pub crest_amps: f64,
    /// `∫i²dt` over the first mains cycle (A²s).
    pub first_cycle_heating: f64,
    /// `∫i²dt` at the checkpoints (A²s).
    pub heating: [f64; CHECKPOINTS.len()],
}

/// A supply that is switched on many times.
pub trait Surging: Send + Sync {
    /// With its primary side as it might be, and a closing.
    fn surge(&self, side: &PrimarySide, closing: &Closing) -> Surge;
}

impl SwitchOn {
    /// Where a march begins that closes so.
    pub(super) fn begin(&self, side: &PrimarySide, closing: &Closing) -> Begin {
        // A thermistor that was in the line as long as the heaters is as warm as they are.
        let settled = || {
            let siemens = side.auxiliary.siemens(HOT);
            let amps = side.mains_volts * siemens;
            crate::physics::switch_on::thermistor::InLine::settled(side.limiter, amps).rise
        };
        let is_hot = closing.heated_seconds >= HOT;
        Begin {
            radians: closing.degrees.to_radians(),
            linkages: closing.residual * side.working,
            heated_seconds: closing.heated_seconds,
            charged_volts: closing.charged.clamp(0.0, 1.0) * self.crest_volts,
            thermistor_rise: if is_hot { settled() } else { 0.0 },
            since_closing: 0.0,
        }
    }

    /// Rectifier and filter in steps of this length.
    pub(super) fn secondary<const N: usize>(&self, length: f64) -> Result<Secondary<N>, Failure> {
        let raw = &self.raw;
        let steps = filter_steps(&raw.filter, length);
        let (net, step, port_ohms) = steps.ok_or(Failure::NoOutput(NoOutput::NoBus))?;
        let primary_ohms = raw.transformer.primary_at_work().0;
        Ok(Secondary {
            halves: self
                .source
                .halves()
                .map(|winding| HalfWinding::of(winding, primary_ohms)),
            rectifier: raw.rectifier.clone(),
            cathode: cathode(&raw.rectifier.kind),
            net,
            step,
            port_ohms,
            bus_amps: self.bus_amps,
            // Choke input gives two thirds of the crest; what is below that is still charging.
            full_load_volts: 0.4 * self.crest_volts,
        })
    }

    pub(super) fn step_length(&self, steps: u32) -> f64 {
        self.cycle_seconds() / f64::from(steps)
    }
}

/// The highest instant of what swings either way, by the parabola through it and its neighbours.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Crest {
    pub(super) amps: f64,
    pub(super) seconds: f64,
    last: [[f64; 2]; 2],
}

impl Crest {
    pub(super) fn add(&mut self, seconds: f64, amps: f64) {
        let next = [seconds, amps.abs()];
        let [a, b] = self.last;
        if b[1] >= a[1] && b[1] >= next[1] && b[0] > a[0] && next[0] > b[0] {
            let [at, top] = vertex(a, b, next);
            if top > self.amps {
                (self.amps, self.seconds) = (top, at);
            }
        }
        if next[1] > self.amps {
            (self.amps, self.seconds) = (next[1], seconds);
        }
        self.last = [b, next];
    }
}

/// Top of the parabola through three points of which the middle one is the highest.
fn vertex(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> [f64; 2] {
    let (left, right) = (b[0] - a[0], c[0] - b[0]);
    let (rise, fall) = ((b[1] - a[1]) / left, (c[1] - b[1]) / right);
    let bend = (fall - rise) / (left + right);
    if bend >= 0.0 {
        return b;
    }
    let slope = (rise * right + fall * left) / (left + right);
    let shift = (-0.5 * slope / bend).clamp(-left, right);
    [b[0] + shift, b[1] + 0.5 * slope * shift]
}

/// The transient of a supply, in fine steps.
pub(super) fn followed<const N: usize>(
    of: &SwitchOn,
    closing: &Closing,
    cycles: u32,
) -> Result<Transient, Failure> {
    let length = of.step_length(STEPS_SHOWN);
    let secondary = of.secondary::<N>(length)?;
    let side = &of.ready.side;
    let begin = of.begin(side, closing);
    let mut march = March::new(side, Some(&secondary), begin, length);
    let mut record = Record::new(of, &secondary, begin);
    record.crest.add(0.0, march.at_closing());
    for _ in 0..cycles.saturating_mul(STEPS_SHOWN) {
        let stepped = march.step();
        record.add(&stepped, &secondary);
    }
    Ok(record.transient(*closing, of.cycle_seconds()))
}

/// What is put down of a march.
struct Record<const N: usize> {
    core: Core,
    instants: Vec<Instant>,
    crest: Crest,
    heating: f64,
    balance: Balance,
    begin_joules: f64,
    bus_at_first: f64,
    stored_before: f64,
    used_before: f64,
}

impl<const N: usize> Record<N> {
    fn new(of: &SwitchOn, secondary: &Secondary<N>, begin: Begin) -> Self {
        let core = of.ready.side.core_and_mains();
        let mut state = SVector::zeros();
        for &(capacitor, _) in &secondary.net.capacitors {
            state[capacitor] = begin.charged_volts;
        }
        Self {
            core,
            instants: Vec::new(),
            crest: Crest::default(),
            heating: 0.0,
            balance: Balance::default(),
            begin_joules: core.joules(begin.linkages),
            bus_at_first: state[secondary.net.bus()],
            stored_before: secondary.stored(&state),
            used_before: secondary.used(&state, 0.0),
        }
    }

    fn add(&mut self, stepped: &Stepped<N>, secondary: &Secondary<N>) {
        let bus = secondary.net.bus();
        let before = self.heating;
        self.heating += stepped.heating();
        let begin = stepped.times[2] - stepped.length;
        let bus_before = self
            .instants
            .last()
            .map_or(self.bus_at_first, |one| one.bus_volts);
        let squares = stepped.primary_amps.map(|amps| amps * amps);
        for (k, [a, b, c]) in A.into_iter().enumerate() {
            self.crest.add(stepped.times[k], stepped.primary_amps[k]);
            let share = (stepped.times[k] - begin) / stepped.length;
            let brought = a * squares[0] + b * squares[1] + c * squares[2];
            self.instants.push(Instant {
                seconds: stepped.times[k],
                primary_amps: stepped.primary_amps[k],
                magnetising_amps: stepped.magnetising_amps[k],
                mains_volts: stepped.emf[k],
                flux: stepped.node_linkages[k] / self.core.knee,
                bus_volts: bus_before + share * (stepped.state[bus] - bus_before),
                heating: before + (stepped.length * brought).max(0.0),
            });
        }
        self.account(stepped, secondary);
    }

    fn account(&mut self, stepped: &Stepped<N>, secondary: &Secondary<N>) {
        let product =
            |a: &Nodes, b: &Nodes| stepped.integral([a[0] * b[0], a[1] * b[1], a[2] * b[2]]);
        let volts = &stepped.core_volts;
        let balance = &mut self.balance;
        balance.mains += product(&stepped.emf, &stepped.primary_amps);
        balance.series += stepped.ohms * stepped.heating();
        balance.auxiliary += stepped.siemens * product(volts, volts);
        balance.core = self.core.joules(stepped.linkages) - self.begin_joules;
        let into_secondary = product(volts, &stepped.reflected_amps);
        let into_filter = stepped
            .flowed
            .as_ref()
            .map_or(0.0, |flowed| product(&flowed.volts, &flowed.solved.amps));
        balance.rectifier += into_secondary - into_filter;
        // What the filter holds and takes, from its states.
        let stored = secondary.stored(&stepped.state);
        let used = secondary.used(&stepped.state, stepped.bus_amps);
        balance.filter_stored += stored - self.stored_before;
        balance.filter_used += 0.5 * stepped.length * (used + self.used_before);
        (self.stored_before, self.used_before) = (stored, used);
    }

    fn transient(self, closing: Closing, cycle_seconds: f64) -> Transient {
        let mut found = Transient {
            closing,
            instants: self.instants,
            crest_amps: self.crest.amps,
            crest_seconds: self.crest.seconds,
            first_cycle_heating: 0.0,
            balance: self.balance,
        };
        found.first_cycle_heating = found.heating_at(cycle_seconds);
        found
    }
}

impl<const N: usize> Secondary<N> {
    /// Energy in capacitors and chokes (J).
    fn stored(&self, state: &SVector<f64, N>) -> f64 {
        let parts = self.net.capacitors.iter().chain(&self.net.chokes);
        parts
            .map(|&(place, size)| 0.5 * size * state[place] * state[place])
            .sum()
    }

    /// Power that the filter's resistances and what the bus gives take (W): `−xᵀM(A·x + c)`, M being capacitances and inductances.
    fn used(&self, state: &SVector<f64, N>, bus_amps: f64) -> f64 {
        let slopes = self.net.a * state + self.net.load * bus_amps;
        let parts = self.net.capacitors.iter().chain(&self.net.chokes);
        -parts
            .map(|&(place, size)| size * state[place] * slopes[place])
            .sum::<f64>()
    }
}

/// A supply made ready to be switched on thousands of times.
pub(super) struct Prepared<const N: usize> {
    of: SwitchOn,
    /// `None` where the rectifier is still cold while the core settles.
    secondary: Option<Secondary<N>>,
    length: f64,
    settling: Settling,
}

impl<const N: usize> Prepared<N> {
    pub(super) fn new(of: &SwitchOn, settling: &Settling) -> Result<Self, Failure> {
        let length = of.step_length(STEPS_DRAWN);
        let is_cold = settling.rectifier_from > 2.0 * CHECKPOINTS[CHECKPOINTS.len() - 1];
        Ok(Self {
            of: of.clone(),
            secondary: if is_cold {
                None
            } else {
                Some(of.secondary(length)?)
            },
            length,
            settling: settling.clone(),
        })
    }
}

/// The fewest cycles that one among many is followed for; the core's crest is within the first one and a half.
const FEWEST_CYCLES: u32 = 2;

impl<const N: usize> Surging for Prepared<N> {
    fn surge(&self, side: &PrimarySide, closing: &Closing) -> Surge {
        let begin = self.of.begin(side, closing);
        let mut march = March::new(side, self.secondary.as_ref(), begin, self.length);
        let mut surge = Surge {
            crest_amps: 0.0,
            first_cycle_heating: 0.0,
            heating: [0.0; CHECKPOINTS.len()],
        };
        let cycle = TAU / side.angular_frequency;
        let [.., last] = CHECKPOINTS;
        let quiet = QUIET
            * side
                .core_and_mains()
                .rms_amps(side.mains_volts * side.shape.crest_factor / side.angular_frequency);
        let (mut crest, mut heating, mut next) = (Crest::default(), 0.0, 0);
        crest.add(0.0, march.at_closing());
        let mut cycles = 0;
        while march.seconds() < last && next < CHECKPOINTS.len() {
            let (mut magnetising, mut bus) = (0.0_f64, [f64::INFINITY, f64::NEG_INFINITY]);
            for _ in 0..STEPS_DRAWN {
                let stepped = march.step();
                for k in 0..3 {
                    crest.add(stepped.times[k], stepped.primary_amps[k]);
                    magnetising = magnetising.max(stepped.magnetising_amps[k].abs());
                }
                if let Some(secondary) = &self.secondary {
                    let volts = stepped.state[secondary.net.bus()];
                    bus = [bus[0].min(volts), bus[1].max(volts)];
                }
                let before = heating;
                heating += stepped.heating();
                let begin = stepped.times[2] - stepped.length;
                while next < CHECKPOINTS.len() && CHECKPOINTS[next] <= stepped.times[2] {
                    let share = (CHECKPOINTS[next] - begin) / stepped.length;
                    surge.heating[next] = before + share * (heating - before);
                    next += 1;
                }
            }
            cycles += 1;
            if cycles == 1 {
                surge.first_cycle_heating = heating;
            }
            let is_charged = self.secondary.is_none() || bus[1] - bus[0] < 0.1 * bus[1];
            if cycles >= FEWEST_CYCLES && magnetising < quiet && is_charged {
                break;
            }
        }
        surge.crest_amps = crest.amps;
        // From here on it is as every other switch-on.
        let from = f64::from(cycles) * cycle;
        let settled = self.settling.heating_at(from);
        for (at, heat) in CHECKPOINTS.iter().zip(&mut surge.heating).skip(next) {
            *heat = heating + (self.settling.heating_at(*at) - settled).max(0.0);
        }
        surge
    }
}

/// The core is quiet where its current is no more than so many times its rms at work: a sine has √2, a bent one twice as much.
const QUIET: f64 = 3.0;
