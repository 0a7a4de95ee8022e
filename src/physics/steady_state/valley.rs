//! The valley of a bus that is the first capacitor itself: there it turns all at once, just as the rectifier begins to conduct.

use super::cycle::turning_value;
use super::drive::Drive;
use super::guess::PeriodicSolution;
use super::mesh::Regime;
use super::shooting::Sample;
use crate::physics::circuit::network::{Input, Network};

/// Intervals of current in which the rectifier takes over the load.
const TAKE_OVER: u32 = 16;
/// A step so many times as long as the rectifier needs for that is too long for its cubic to follow it.
const COARSE: f64 = 4.0;

/// Lowest volts of the bus (V), where it is the first capacitor: from the end of the pause to the instant at which conduction was
/// seen to begin, and from there to where the rectifier carries the whole load. The steps end within some microseconds of that
/// instant only, in which a small capacitor falls by more than its valley is known to. `None` where the bus turns smoothly, behind
/// other parts of the filter.
pub(super) fn valley_volts<const N: usize>(
    found: &PeriodicSolution<N>,
    drive: &Drive,
    net: &Network<N>,
) -> Option<f64> {
    if net.input != Input::Capacitor || net.bus() != 0 {
        return None;
    }
    let spans: Vec<([f64; 2], Regime)> = found.mesh.spans().collect();
    let mut least: Option<f64> = None;
    for (pause, pulse) in spans.iter().zip(spans.iter().skip(1)) {
        if pause.1 == Regime::Blocked && pulse.1 != Regime::Blocked {
            let volts = turn_after(&found.samples, pulse.0[0], drive, net)?;
            least = Some(least.map_or(volts, |other| other.min(volts)));
        }
    }
    // Where a bus comes down to zero both paths take over at once there, with no pause before: no valley is above any instant.
    let lowest = (found.samples.iter()).fold(f64::INFINITY, |low, s| low.min(s.state[0]));
    // The start was corrected once more than the samples, and in the pause the bus falls from there.
    let correction = found.start[0] - found.samples.first()?.state[0];
    least.map(|volts| volts.min(lowest) + correction)
}

/// Where the first capacitor turns as conduction begins at `onset` (V); `None` if no step shows it.
fn turn_after<const N: usize>(
    samples: &[Sample<N>],
    onset: f64,
    drive: &Drive,
    net: &Network<N>,
) -> Option<f64> {
    let is_blocked = |k: usize| {
        samples
            .get(k)
            .is_some_and(|s| s.paths.iter().all(|i| *i <= 0.0))
    };
    // The pause may have gone on for a moment too long, or have ended a moment too early.
    let after = samples.partition_point(|s| s.time <= onset);
    let end = if is_blocked(after) {
        after
    } else {
        after.checked_sub(1).filter(|k| is_blocked(*k))?
    };
    let (pause, next) = (samples.get(end)?, samples.get(end + 1)?);
    let slope = pause.slope[0];
    if slope >= 0.0 {
        return None;
    }
    let volts = pause.state[0] + slope * (onset - pause.time);
    let capacitor = Discharging {
        onset,
        volts,
        fall_rate: -slope,
        decay: -net.a[(0, 0)],
        per_farad: net.b[0],
    };
    match take_over(drive, capacitor) {
        Some(turn) if turn.is_sure || COARSE * turn.seconds < next.time - pause.time => {
            Some(volts - turn.fall_volts)
        }
        _ if next.slope[0] > 0.0 => Some(turning_value(
            next.time - onset,
            [volts, slope],
            [next.state[0], next.slope[0]],
        )),
        _ => None,
    }
}

/// The first capacitor at the instant at which conduction begins: until then the load discharges it.
#[derive(Debug, Clone, Copy)]
struct Discharging {
    /// When that is (s).
    onset: f64,
    /// Its volts then (V).
    volts: f64,
    /// How fast they fall (V/s).
    fall_rate: f64,
    /// By how much slower for each volt less, through the resistors across it (1/s).
    decay: f64,
    /// One over its capacitance (1/F).
    per_farad: f64,
}

/// How a capacitor goes on falling until the rectifier carries its load.
struct TakeOver {
    /// By how much (V).
    fall_volts: f64,
    /// How long (s).
    seconds: f64,
    /// True if the source's rise is followed well in that time.
    is_sure: bool,
}

/// So much of the source's cycle is short (rad).
const SHORT: f64 = 0.1;
/// As long as the source rises that much as fast at the end as at the beginning, it has not come near its crest.
const RISES_ON: f64 = 0.5;

/// How the rectifier takes over the load of a capacitor. `None` past the crest of the source.
///
/// With `d` the volts over the path, `dd/dt = rise + left` (the rise is that of the source) and `dv/dt = −left`, where `left` is what the
/// load still takes from the capacitor, over its capacitance: `fall_rate − decay·fall − i/C`. Both are integrals over `d`, by the
/// trapezium rule on currents so spaced that a three-halves-power law is cut evenly, to where nothing is left.
fn take_over(drive: &Drive, capacitor: Discharging) -> Option<TakeOver> {
    let Discharging {
        onset,
        volts,
        fall_rate,
        decay,
        per_farad,
    } = capacitor;
    let rise_after = |time: f64| drive.emf_slope(onset + time);
    let first = drive.emf(onset) - volts;
    let (mut fall, mut time) = (0.0, 0.0);
    let mut before = (first, fall_rate, rise_after(0.0));
    for k in 1..=TAKE_OVER {
        let share = (f64::from(k) / f64::from(TAKE_OVER)).powf(1.5);
        let over = drive
            .path_at(onset)
            .drop_at(share * fall_rate / per_farad)
            .max(before.0);
        let mut step = over - before.0;
        let most_left = (1.0 - share) * fall_rate - decay * fall;
        let about = step / (before.2 + 0.5 * (before.1 + most_left));
        let mut left = most_left - decay * about * 0.5 * (before.1 + most_left);
        let is_turn = left <= 0.0;
        if is_turn {
            step *= before.1 / (before.1 - left);
            left = 0.0;
        }
        let ahead = step / (before.2 + 0.5 * (before.1 + left));
        let here = (over, left, rise_after(time + ahead));
        if here.2 <= 0.0 {
            return None;
        }
        let ends = [before, here].map(|(_, f, rise)| (f / (rise + f), 1.0 / (rise + f)));
        fall += 0.5 * step * (ends[0].0 + ends[1].0);
        time += 0.5 * step * (ends[0].1 + ends[1].1);
        before = here;
        if is_turn {
            break;
        }
    }
    Some(TakeOver {
        fall_volts: fall,
        seconds: time,
        is_sure: time * drive.angular_frequency < SHORT || before.2 > RISES_ON * rise_after(0.0),
    })
}

#[cfg(test)]
mod tests {
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::{Amps, Farads, Figure, Ohms, RectifierLaw, Volts, file};
    use crate::physics::operation::Case;
    use crate::physics::steady_state::{drive, operate, stack_farads};

    /// Against small steps of the equation itself: `C·v' = (e − v)/R − I − v/Rb`, a path that only goes one way.
    #[test]
    fn the_valley_of_a_deep_ripple_is_that_of_small_steps() {
        let (_, text) = presets()[0];
        let mut supply = file::read(text, &Catalogue::built_in()).unwrap();
        let drop = Figure::own(Volts(0.0));
        supply.rectifier.kind.law = RectifierLaw::MercuryVapour { drop };
        supply.rectifier.plate_resistor = Ohms(1000.0);
        supply.filter.sections.clear();
        supply.filter.bleeder = Some(Ohms(15e3));
        supply.filter.internal_current = Amps(0.0);
        let stack = supply.filter.input_capacitor.as_mut().unwrap();
        (stack.unit, stack.balancing) = (Farads(0.5e-6), None);
        let farads = stack_farads(stack, Case::Present);
        let raw = supply.raw();
        let drive = drive(&raw, Case::Present).unwrap();
        let mut deep = 0;
        for step in 0..24 {
            let amps = 2e-3 * f64::from(step);
            let Ok(solved) = operate(&raw, Case::Present, amps) else {
                break;
            };
            let slope = |time: f64, volts: f64| {
                let path = ((drive.emf(time) - volts) / drive.port().path.ohms).max(0.0);
                (path - amps - volts / 15e3) / farads
            };
            let (h, steps) = (drive.period() / 1e4, 40_000_u32);
            let (mut volts, mut least) = (solved.bus.mean_volts, f64::INFINITY);
            for k in 0..steps {
                let time = h * f64::from(k);
                let half = volts + 0.5 * h * slope(time, volts);
                volts += h * slope(time + 0.5 * h, half);
                if k > 3 * steps / 4 {
                    least = least.min(volts);
                }
            }
            let miss = (solved.bus.trough_volts - least).abs() / solved.bus.mean_volts;
            assert!(miss < 5e-4, "{amps} A: {:?}, {least} V", solved.bus);
            deep += u32::from(least < 0.3 * solved.bus.mean_volts);
        }
        assert!(deep > 2, "{deep}");
    }
}
