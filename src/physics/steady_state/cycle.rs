//! From the samples of one period to the figures of the trade: mean, trough, crest, rms, peak.
//!
//! Between samples a state is the cubic through both values and both slopes (Hermite); integrals of squares use Simpson's
//! rule with the cubic's middle.

use super::Devices;
use super::drive::{Drive, Turns};
use super::guess::PeriodicSolution;
use super::mesh::Regime;
use super::shooting::Sample;
use super::valley::valley_volts;
use nalgebra::SVector;

use crate::parts::Connection;
use crate::physics::circuit::network::{Input, Network};
use crate::physics::circuit::radau::{WEIGHTS, node_times};
use crate::physics::numeric::Cubic;
use crate::physics::operation::{Bus, ChokeStress, Operation, RectifierStress};

/// Figures of one state over the period.
#[derive(Debug, Clone, Copy)]
struct Statistics {
    mean: f64,
    least: f64,
    most: f64,
    mean_square: f64,
    /// Mean square of the slope.
    slope_square: f64,
}

impl Statistics {
    /// Root mean square of what varies.
    fn ripple_rms(&self) -> f64 {
        (self.mean_square - self.mean * self.mean).max(0.0).sqrt()
    }
}

fn statistics<const N: usize>(samples: &[Sample<N>], state: usize, period: f64) -> Statistics {
    let first = samples.first().map_or(0.0, |s| s.state[state]);
    let mut out = Statistics {
        mean: 0.0,
        least: first,
        most: first,
        mean_square: 0.0,
        slope_square: 0.0,
    };
    for (a, b) in samples.iter().zip(samples.iter().skip(1)) {
        let h = b.time - a.time;
        if h <= 0.0 {
            continue;
        }
        let (v0, v1, s0, s1) = (
            a.state[state],
            b.state[state],
            a.slope[state],
            b.slope[state],
        );
        let middle = 0.5 * (v0 + v1) + h * (s0 - s1) / 8.0;
        let middle_slope = 1.5 * (v1 - v0) / h - 0.25 * (s0 + s1);
        out.mean += 0.5 * h * (v0 + v1) + h * h * (s0 - s1) / 12.0;
        out.mean_square += h / 6.0 * (v0 * v0 + 4.0 * middle * middle + v1 * v1);
        out.slope_square += h / 6.0 * (s0 * s0 + 4.0 * middle_slope * middle_slope + s1 * s1);
        let mut extreme = |v: f64| {
            out.least = out.least.min(v);
            out.most = out.most.max(v);
        };
        extreme(v1);
        if s0 * s1 < 0.0 {
            extreme(turning_value(h, [v0, s0], [v1, s1]));
        }
    }
    out.mean /= period;
    out.mean_square /= period;
    out.slope_square /= period;
    out
}

/// Value of the cubic between two samples, each as value and slope, where its slope is zero; the slopes have opposite signs.
pub(super) fn turning_value(length: f64, first: [f64; 2], last: [f64; 2]) -> f64 {
    let cubic = Cubic::between(length, first, last);
    let within = cubic.turns().find(|t| (0.0..=length).contains(t));
    within.map_or(first[0], |t| cubic.at(t))
}

/// Highest instant of each path's current. Within a step it follows a cubic through its start and its nodes.
fn peaks_of_paths<const N: usize>(samples: &[Sample<N>]) -> [f64; 2] {
    let mut peaks = [0.0_f64; 2];
    for (before, here) in samples.iter().zip(samples.iter().skip(1)) {
        let instants = [before.paths, here.nodes[0], here.nodes[1], here.nodes[2]];
        for (path, peak) in peaks.iter_mut().enumerate() {
            let amps = instants.map(|paths| paths[path]);
            let most = amps.into_iter().fold(0.0, f64::max);
            if most <= 0.0 {
                continue;
            }
            *peak = peak.max(most);
            // Where the other path lets go its share comes over all at once, and no cubic turns there.
            if instants.iter().all(|paths| paths[1 - path] <= 0.0) {
                *peak = peak.max(most_of_cubic(amps));
            }
        }
    }
    peaks
}

/// Highest value between the first and the last of four on a step's start and nodes, by the cubic through them.
fn most_of_cubic(values: [f64; 4]) -> f64 {
    let cubic = Cubic::through(values, node_times(0.0, 1.0));
    let [first, .., last] = values;
    let turns = cubic.turns().filter(|t| (0.0..=1.0).contains(t));
    turns.map(|t| cubic.at(t)).fold(first.max(last), f64::max)
}

/// Mean of a function of both paths' currents over the period, by the quadrature of the steps.
fn mean_of_paths<const N: usize>(
    samples: &[Sample<N>],
    period: f64,
    f: impl Fn([f64; 2]) -> f64,
) -> f64 {
    let sum: f64 = samples
        .iter()
        .zip(samples.iter().skip(1))
        .map(|(a, b)| {
            let weighted = WEIGHTS.iter().zip(b.nodes).map(|(w, paths)| w * f(paths));
            (b.time - a.time) * weighted.sum::<f64>()
        })
        .sum();
    sum / period
}

/// Mean current out of the rectifier (A): the mean choke current, or what keeps the charge of all capacitors where it is.
/// Nearly exact, while a sum over a few samples of narrow pulses would not be.
fn rectified_amps<const N: usize>(
    net: &Network<N>,
    samples: &[Sample<N>],
    period: f64,
    bus_amps: f64,
) -> f64 {
    let mut mean = SVector::<f64, N>::zeros();
    for &(state, _) in net.capacitors.iter().chain(&net.chokes) {
        mean[state] = statistics(samples, state, period).mean;
    }
    match net.input {
        Input::Choke => mean_of_paths(samples, period, |[p, q]| p + q),
        Input::Capacitor => {
            let slope = net.a * mean + net.load * bus_amps;
            -net.capacitors
                .iter()
                .map(|&(state, farads)| farads * slope[state])
                .sum::<f64>()
        }
    }
}

/// What the sides of the rectifier and of the winding carry.
struct Sides {
    /// One device: the harder worked, where the sides differ.
    rectifier: RectifierStress,
    /// One device of each side, where they differ.
    by_half: Option<[RectifierStress; 2]>,
    /// Rms current of the winding, of the harder worked half (A).
    winding_rms_amps: f64,
}

impl Sides {
    fn of<const N: usize>(
        found: &PeriodicSolution<N>,
        drive: &Drive,
        devices: Devices,
        rectified_amps: f64,
    ) -> Self {
        let (samples, period) = (&found.samples, drive.period());
        let Devices {
            connection,
            in_parallel,
        } = devices;
        let degrees = |seconds: f64| (seconds * drive.angular_frequency).to_degrees();
        let peaks = peaks_of_paths(samples);
        if drive.turns == Turns::Unequal {
            let means = [0, 1].map(|k| mean_of_paths(samples, period, |paths| paths[k]));
            let sum = means[0] + means[1];
            let turn = drive.turn_seconds();
            let by_half = [0, 1].map(|k| {
                let share = if sum > 0.0 { means[k] / sum } else { 0.5 };
                let square = mean_of_paths(samples, period, |paths| paths[k] * paths[k]);
                let from = if k == 0 { 0.0 } else { turn };
                RectifierStress {
                    peak_amps: peaks[k] / in_parallel,
                    mean_amps: rectified_amps * share / in_parallel,
                    rms_amps: square.sqrt() / in_parallel,
                    conduction_degrees: degrees(found.mesh.conducts_within([from, from + turn])),
                }
            });
            let [a, b] = by_half;
            let harder = if b.rms_amps > a.rms_amps { b } else { a };
            return Self {
                rectifier: RectifierStress {
                    peak_amps: a.peak_amps.max(b.peak_amps),
                    mean_amps: a.mean_amps.max(b.mean_amps),
                    ..harder
                },
                by_half: Some(by_half),
                winding_rms_amps: harder.rms_amps * in_parallel,
            };
        }
        let turns = match drive.turns {
            Turns::HalfWave => 1.0,
            Turns::Alike | Turns::Unequal => 2.0,
        };
        let path_square = mean_of_paths(samples, period, |[p, q]| p * p + q * q) / turns;
        let winding_square = match connection {
            Connection::Bridge => mean_of_paths(samples, period, |[p, q]| (p - q) * (p - q)),
            Connection::FullWaveCentreTap | Connection::HalfWave => path_square,
        };
        let conducts = found.mesh.time_in(Regime::Single) + found.mesh.time_in(Regime::Shared);
        Self {
            rectifier: RectifierStress {
                peak_amps: peaks[0].max(peaks[1]) / in_parallel,
                mean_amps: rectified_amps / (turns * in_parallel),
                rms_amps: path_square.sqrt() / in_parallel,
                conduction_degrees: degrees(conducts),
            },
            by_half: None,
            winding_rms_amps: winding_square.sqrt(),
        }
    }
}

/// All figures of a found steady state.
pub(super) fn measure<const N: usize>(
    found: &PeriodicSolution<N>,
    drive: &Drive,
    net: &Network<N>,
    devices: Devices,
    bus_amps: f64,
) -> Operation {
    let samples = &found.samples;
    let period = drive.period();
    let rectified_amps = rectified_amps(net, samples, period, bus_amps);
    let sides = Sides::of(found, drive, devices, rectified_amps);
    let capacitors: Vec<Statistics> = net
        .capacitors
        .iter()
        .map(|&(state, _)| statistics(samples, state, period))
        .collect();
    let bus = capacitors.last().map_or_else(Bus::default, |s| Bus {
        mean_volts: s.mean,
        trough_volts: valley_volts(found, drive, net).unwrap_or(s.least),
        crest_volts: s.most,
        ripple_rms_volts: s.ripple_rms(),
    });
    let rectified_square = mean_of_paths(samples, period, |[p, q]| (p + q) * (p + q));
    Operation {
        bus,
        rectified_amps,
        rectified_rms_amps: rectified_square.sqrt(),
        rectifier: sides.rectifier,
        by_half: sides.by_half,
        winding_rms_amps: sides.winding_rms_amps,
        capacitor_rms_amps: net
            .capacitors
            .iter()
            .zip(&capacitors)
            .map(|((_, farads), s)| farads * s.slope_square.sqrt())
            .collect(),
        capacitor_ripple_rms_volts: capacitors.iter().map(Statistics::ripple_rms).collect(),
        capacitor_crest_volts: capacitors.iter().map(|s| s.most).collect(),
        capacitor_mean_volts: capacitors.iter().map(|s| s.mean).collect(),
        chokes: net
            .chokes
            .iter()
            .map(|&(state, _)| {
                let s = statistics(samples, state, period);
                // What the rectifier carries is known at every node.
                let (mean, mean_square) = if state == 0 && net.input == Input::Choke {
                    (rectified_amps, rectified_square)
                } else {
                    (s.mean, s.mean_square)
                };
                ChokeStress {
                    mean_amps: mean,
                    peak_amps: s.most,
                    least_amps: s.least,
                    rms_amps: mean_square.sqrt(),
                }
            })
            .collect(),
        closure: found.closure,
        periods: found.periods,
        ..Operation::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: t·(1 − t)² turns at 1/3, where it is 4/27; the others are highest at an end.
    #[test]
    fn the_highest_of_a_cubic_lies_between_its_nodes_or_at_an_end() {
        let most = |f: fn(f64) -> f64| {
            let [t1, t2, t3] = node_times(0.0, 1.0);
            most_of_cubic([f(0.0), f(t1), f(t2), f(t3)])
        };
        for (got, want) in [
            (most(|t| t * (1.0 - t) * (1.0 - t)), 4.0 / 27.0),
            (most(|t| 2.0 - t), 2.0),
            (most(|t| t * (2.0 - t)), 1.0),
            (most(|_| 3.0), 3.0),
        ] {
            assert!((got - want).abs() < 1e-12, "got {got} want {want}");
        }
    }
}
