//! The primary at work: what a fuse must carry for good.

use crate::physics::circuit::source::MainsShape;
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::steady_state::{Instant, Waveform, waveform};
use crate::physics::switch_on::side::MadeReady;

/// Current of the primary at one load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Running {
    /// Output current (A).
    pub output_amps: f64,
    /// Rms of the primary (A).
    pub rms_amps: f64,
    /// Its highest instant (A).
    pub crest_amps: f64,
    /// Rms of what of it magnetises the core (A).
    pub magnetising_rms_amps: f64,
}

/// Current of the primary at an output current: the repeating waveform of the rectifier by its turns, the auxiliary load in phase with
/// the volts of the core, and what its flux takes. The direct part that a half-wave rectifier draws does not pass a transformer.
///
/// # Source
/// `i = i_m(λ) + g·v + N·(i₁ − i₂)`, `λ = ∫v dt`; derived here, held against the transient at its end.
///
/// # Errors
/// As [`waveform`].
pub fn running(
    model: &Model,
    ready: &MadeReady,
    case: Case,
    output_amps: f64,
) -> Result<Running, Failure> {
    let wave = waveform(&model.raw, case, output_amps)?;
    let at = model.at(case);
    let side = &ready.side;
    let shape = MainsShape::of(model.supply.mains.crest_factor);
    let crest_volts = shape.crest_factor * at.mains_volts;
    let turns = at.source.halves().map(|half| half.turns_ratio);
    let mean = wave.mean(|instant| reflected(instant, turns));
    let siemens = side.auxiliary.siemens(f64::INFINITY);
    let share = 1.0 / (1.0 + side.primary_ohms * siemens);
    let direct = |instant: &Instant| {
        let angle = side.angular_frequency * instant.seconds;
        let emf = crest_volts * shape.at(angle.sin());
        (emf, reflected(instant, turns) - mean)
    };
    // What magnetises the core drops so little in the primary that a second round ends it.
    let mut magnetising = vec![0.0; wave.instants.len()];
    for _ in 0..2 {
        let volts: Vec<f64> = (wave.instants.iter().zip(&magnetising))
            .map(|(instant, magnetising)| {
                let (emf, amps) = direct(instant);
                share * (emf - side.primary_ohms * (amps + magnetising))
            })
            .collect();
        let linkages = centred_integral(&wave, &volts);
        magnetising = linkages
            .into_iter()
            .map(|linkages| side.core.current(linkages).0)
            .collect();
    }
    let amps: Vec<f64> = (wave.instants.iter().zip(&magnetising))
        .map(|(instant, magnetising)| {
            let (emf, amps) = direct(instant);
            let volts = share * (emf - side.primary_ohms * (amps + magnetising));
            magnetising + amps + siemens * volts
        })
        .collect();
    Ok(Running {
        output_amps,
        rms_amps: rms(&wave, &amps),
        crest_amps: amps.iter().fold(0.0, |most, amps| amps.abs().max(most)),
        magnetising_rms_amps: rms(&wave, &magnetising),
    })
}

/// What the paths of the rectifier take, on the primary (A).
fn reflected(instant: &Instant, turns: [f64; 2]) -> f64 {
    turns[0] * instant.plate_amps[0] - turns[1] * instant.plate_amps[1]
}

/// Integral of what is known at the instants of a cycle, with a mean of zero, and without a drift over the cycle.
fn centred_integral(wave: &Waveform, values: &[f64]) -> Vec<f64> {
    let seconds: Vec<f64> = wave.instants.iter().map(|one| one.seconds).collect();
    let mut sum = 0.0;
    let mut all = Vec::with_capacity(values.len());
    let mut last: Option<(f64, f64)> = None;
    for (at, value) in seconds.iter().zip(values) {
        if let Some((before, was)) = last {
            sum += 0.5 * (at - before) * (was + value);
        }
        last = Some((*at, *value));
        all.push(sum);
    }
    let drift = sum / wave.cycle_seconds;
    for (at, value) in seconds.iter().zip(&mut all) {
        *value -= drift * at;
    }
    let mean = mean_of(wave, &all, |value| value);
    all.into_iter().map(|value| value - mean).collect()
}

fn mean_of(wave: &Waveform, values: &[f64], of: impl Fn(f64) -> f64) -> f64 {
    let pairs = wave.instants.iter().zip(wave.instants.iter().skip(1));
    let values = values.iter().zip(values.iter().skip(1));
    let sum: f64 = pairs
        .zip(values)
        .map(|((a, b), (x, y))| 0.5 * (b.seconds - a.seconds) * (of(*x) + of(*y)))
        .sum();
    sum / wave.cycle_seconds
}

fn rms(wave: &Waveform, values: &[f64]) -> f64 {
    mean_of(wave, values, |value| value * value).max(0.0).sqrt()
}
