//! One whole mains cycle of the repeating waveform, instant by instant: what an oscilloscope would show.
//!
//! A full-wave rectifier repeats every half cycle; the second half is then the first with the two halves of the
//! winding in exchanged roles. Where these differ, it was followed through the whole cycle.

use super::drive::{Drive, Turns};
use super::guess::{Guess, PeriodicSolution};
use super::mesh::{Mesh, Regime};
use super::shooting::{Sample, Shooting};
use super::{Circuit, for_filter, state_scale};
use crate::parts::RawSupply;
use crate::physics::circuit::network::{self, Network};
use crate::physics::circuit::radau::node_times;
use crate::physics::failure::{Failure, NoOutput};
use crate::physics::operation::{Case, Operation};

/// One instant of the cycle. Volts against the output's negative terminal.
#[derive(Debug, Clone, PartialEq)]
pub struct Instant {
    /// Since the first half-winding's e.m.f. rose through zero (s).
    pub seconds: f64,
    /// E.m.f. of each half-winding, signed (V); with a bridge of the winding in either direction, with half-wave the second is 0.
    pub half_volts: [f64; 2],
    /// The larger of them, as far as it is positive: what the rectifier would give without load (V).
    pub rectified_volts: f64,
    /// Volts of the capacitor stacks, from the rectifier to the bus (V).
    pub capacitor_volts: Vec<f64>,
    /// Currents of the chokes, from the rectifier to the bus (A).
    pub choke_amps: Vec<f64>,
    /// Current of each path through the rectifier, all parallel devices together (A).
    pub plate_amps: [f64; 2],
    /// Forward volts over the devices of each path, 0 while it is blocked (V).
    pub device_volts: [f64; 2],
}

impl Instant {
    /// The bus (V).
    pub fn bus_volts(&self) -> f64 {
        self.capacitor_volts.last().copied().unwrap_or(0.0)
    }
}

/// An instant that is worth a mark.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Mark {
    /// When in the cycle (s).
    pub seconds: f64,
    /// How high (V).
    pub volts: f64,
}

/// One mains cycle at one output current.
#[derive(Debug, Clone, PartialEq)]
pub struct Waveform {
    /// For which mains and tolerances.
    pub case: Case,
    /// Length of the cycle (s).
    pub cycle_seconds: f64,
    /// The instants, rising in time, from 0 to the end of the cycle.
    pub instants: Vec<Instant>,
    /// First lowest instant of the bus.
    pub trough: Mark,
    /// First highest instant of the bus.
    pub crest: Mark,
    /// When the first plate conducts: from and to (s); none if it never does.
    pub conduction: Option<[f64; 2]>,
    /// The figures of the same steady state; its conduction angle belongs to `conduction`.
    pub operation: Operation,
}

impl Waveform {
    /// Mean over the cycle of anything that is known at every instant, by the trapezoidal rule.
    pub fn mean(&self, of: impl Fn(&Instant) -> f64) -> f64 {
        let sum: f64 = self
            .instants
            .iter()
            .zip(self.instants.iter().skip(1))
            .map(|(a, b)| 0.5 * (b.seconds - a.seconds) * (of(a) + of(b)))
            .sum();
        sum / self.cycle_seconds
    }

    /// Angle of the mains cycle at a time within it (degrees).
    pub fn degrees(&self, seconds: f64) -> f64 {
        360.0 * seconds / self.cycle_seconds
    }
}

/// One mains cycle of the repeating waveform at `output_amps`.
///
/// # Errors
/// As [`super::operate`].
pub fn waveform(raw: &RawSupply, case: Case, output_amps: f64) -> Result<Waveform, Failure> {
    for_filter!(&raw.filter, solved(raw, case, output_amps))
}

fn solved<const N: usize>(raw: &RawSupply, case: Case, amps: f64) -> Result<Waveform, Failure> {
    let circuit = Circuit::<N>::of(raw, case)?;
    let found = circuit.solve(amps, None)?;
    let operation = circuit.figures(&found, amps)?;
    let (drive, net) = (&circuit.drive, &circuit.net);
    let bus_amps = circuit.bus_amps(amps);
    // The same once more in finer steps, to be looked at.
    let scale = state_scale(drive, net, bus_amps);
    let guess = Guess {
        mesh: Some(found.mesh.clone()),
        ..Guess::at(found.start)
    };
    let found = Shooting::new(drive, net, bus_amps, FINER)
        .find(guess, &scale)
        .unwrap_or(found);
    Ok(whole_cycle(&found, &circuit, case, operation))
}

/// From the samples of one period to the instants of a whole cycle.
fn whole_cycle<const N: usize>(
    found: &PeriodicSolution<N>,
    Circuit { drive, net, .. }: &Circuit<N>,
    case: Case,
    operation: Operation,
) -> Waveform {
    let cycle_seconds = core::f64::consts::TAU / drive.angular_frequency;
    let mut instants: Vec<Instant> = dense(&found.samples, 0.5 * cycle_seconds)
        .iter()
        .map(|sample| instant(sample, drive, net))
        .collect();
    let conduction = conduction(&found.mesh, drive.turn_seconds());
    if drive.turns == Turns::Alike {
        let second: Vec<Instant> = instants
            .iter()
            .skip(1)
            .map(|first| Instant {
                seconds: first.seconds + drive.period(),
                half_volts: exchanged(first.half_volts),
                plate_amps: exchanged(first.plate_amps),
                device_volts: exchanged(first.device_volts),
                ..first.clone()
            })
            .collect();
        instants.extend(second);
    }
    let mark = |lower: bool, volts: f64| {
        let better = |a: &Instant, b: &Instant| {
            let (a, b) = (a.bus_volts(), b.bus_volts());
            if lower { a < b } else { a > b }
        };
        let first = instants
            .iter()
            .reduce(|best, next| if better(next, best) { next } else { best });
        Mark {
            seconds: first.map_or(0.0, |i| i.seconds),
            volts,
        }
    };
    Waveform {
        case,
        cycle_seconds,
        trough: mark(true, operation.bus.trough_volts),
        crest: mark(false, operation.bus.crest_volts),
        conduction,
        instants,
        operation,
    }
}

fn exchanged([a, b]: [f64; 2]) -> [f64; 2] {
    [b, a]
}

/// Steps of the waveform that is looked at, for one of those that figures need.
const FINER: f64 = 3.0;

/// At least this many instants in half a cycle: enough that straight lines between them look like the curve.
const INSTANTS: f64 = 120.0;

/// The samples with further ones between those far apart: states by the cubic through both values and slopes, currents
/// of the rectifier in proportion between the nodes of the step, where they are known.
fn dense<const N: usize>(samples: &[Sample<N>], half_cycle_seconds: f64) -> Vec<Sample<N>> {
    let mut out: Vec<Sample<N>> = samples.iter().take(1).copied().collect();
    for (a, b) in samples.iter().zip(samples.iter().skip(1)) {
        let h = b.time - a.time;
        if h <= 0.0 {
            continue;
        }
        let mut known = (a.time, a.paths);
        for node in node_times(a.time, h).into_iter().zip(b.nodes) {
            let share = (node.0 - known.0) / half_cycle_seconds;
            let pieces = (share * INSTANTS).ceil().clamp(1.0, 200.0);
            let mut piece = 1.0;
            while piece < pieces {
                let part = piece / pieces;
                let path = |k: usize| known.1[k] + part * (node.1[k] - known.1[k]);
                let time = known.0 + part * (node.0 - known.0);
                out.push(within(a, b, time, [path(0), path(1)]));
                piece += 1.0;
            }
            out.push(within(a, b, node.0, node.1));
            known = node;
        }
    }
    out
}

/// Between two samples, with the rectifier's currents at that instant.
fn within<const N: usize>(a: &Sample<N>, b: &Sample<N>, time: f64, paths: [f64; 2]) -> Sample<N> {
    let h = b.time - a.time;
    let t = (time - a.time) / h;
    let (rest, twice) = (1.0 - t, t * t * (3.0 - 2.0 * t));
    Sample {
        time,
        state: a.state * (1.0 - twice)
            + b.state * twice
            + (a.slope * rest - b.slope * t) * (h * t * rest),
        slope: a.slope * rest + b.slope * t,
        paths,
        nodes: [paths; 3],
    }
}

fn instant<const N: usize>(sample: &Sample<N>, drive: &Drive, net: &Network<N>) -> Instant {
    let half_volts = drive.halves(sample.time);
    let [first, second] = half_volts;
    let path = &drive.port().path;
    let device = |amps: f64| {
        if amps > 0.0 {
            path.drop_at(amps) - path.ohms * amps
        } else {
            0.0
        }
    };
    Instant {
        seconds: sample.time,
        half_volts,
        rectified_volts: first.max(second).max(0.0),
        capacitor_volts: net
            .capacitors
            .iter()
            .map(|&(state, _)| sample.state[state])
            .collect(),
        choke_amps: net
            .chokes
            .iter()
            .map(|&(state, _)| sample.state[state])
            .collect(),
        plate_amps: sample.paths,
        device_volts: sample.paths.map(device),
    }
}

/// From when to when the first plate conducts while it is its turn.
fn conduction(mesh: &Mesh, turn_seconds: f64) -> Option<[f64; 2]> {
    let conducts = || {
        mesh.spans()
            .filter(|([from, _], regime)| *from < turn_seconds && *regime != Regime::Blocked)
    };
    let ([from, _], _) = conducts().next()?;
    let ([_, to], _) = conducts().last()?;
    Some([from, to.min(turn_seconds)])
}
