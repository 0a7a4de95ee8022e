//! The primary side: what switching on depends on.

use std::ops::RangeInclusive;

use crate::parts::check::{Findings, MAINS_VOLTS, Problem, bounds};
use crate::parts::{Limiter, NoLoadReadings, Stage, Work};

/// Resistance that is put into a line to limit its current (Ω).
const LIMITER: RangeInclusive<f64> = 1e-3..=10e3;
/// How long something takes to cool, or a relay to pull in (s).
const SECONDS: RangeInclusive<f64> = 1e-3..=3600.0;
/// Current of a primary with all windings open (A rms).
const NO_LOAD_AMPS: RangeInclusive<f64> = 1e-6..=100.0;

pub(super) fn primary(work: &Work) -> Vec<Problem> {
    let primary = &work.primary;
    let mut f = Findings::of(Stage::Transformer);
    bounds!(f, "primary", primary, {
        mains_resistance: 0.0..=1e3,
        mains_inductance: 0.0..=1.0,
    });
    if let Some(limiter) = primary.limiter {
        self::limiter(&mut f, limiter);
    }
    if let Some(fuse) = &primary.fuse {
        f.within("primary.fuse.rating", &fuse.rating, 1e-3..=100.0);
    }
    bounds!(f, "primary", primary, {
        core_rating: 0.1..=100e3,
        saturates_at: MAINS_VOLTS,
        saturated_inductance: 1e-6..=100.0,
        heaters: 0.0..=10e3,
    });
    if let Some(readings) = &primary.no_load {
        no_load(&mut f, readings);
    }
    saturation(&mut f, work);
    f.problems
}

fn limiter(f: &mut Findings, limiter: Limiter) {
    match limiter {
        Limiter::Resistor(ohms) => f.within("primary.limiter", &ohms, LIMITER),
        Limiter::SoftStart {
            resistance,
            shorted_after,
        } => {
            f.within("primary.limiter.resistance", &resistance, LIMITER);
            f.within("primary.limiter.shorted_after", &shorted_after, SECONDS);
        }
        Limiter::Thermistor {
            cold,
            hot,
            at,
            time_constant,
        } => {
            f.within("primary.limiter.cold", &cold, LIMITER);
            f.within("primary.limiter.hot", &hot, LIMITER);
            f.within("primary.limiter.at", &at, 1e-3..=100.0);
            f.within("primary.limiter.time_constant", &time_constant, SECONDS);
            if hot >= cold && LIMITER.contains(&hot.0) {
                f.add(
                    "primary.limiter.hot",
                    hot.to_string(),
                    format!("less than the {cold} that it has cold: a limiter falls in resistance as it warms"),
                );
            }
        }
    }
}

fn no_load(f: &mut Findings, readings: &NoLoadReadings) {
    let NoLoadReadings { lower, higher } = readings;
    for (name, (volts, amps)) in [("lower", lower), ("higher", higher)] {
        let field = format!("primary.no_load.{name}");
        f.within(&field, volts, MAINS_VOLTS);
        f.within(&field, amps, NO_LOAD_AMPS);
    }
    if MAINS_VOLTS.contains(&lower.0.0) && higher.0 <= lower.0 {
        f.add(
            "primary.no_load.higher",
            higher.0.to_string(),
            format!("more than the {} of the lower reading", lower.0),
        );
    } else if NO_LOAD_AMPS.contains(&lower.1.0) && higher.1 <= lower.1 {
        f.add(
            "primary.no_load.higher",
            higher.1.to_string(),
            format!("more than the {} of the lower reading", lower.1),
        );
    }
}

/// A core that the mains saturate by themselves draws many times its rated current for good.
fn saturation(f: &mut Findings, work: &Work) {
    let mains = &work.supply.mains;
    let highest = if mains.present > mains.high {
        mains.present
    } else {
        mains.high
    };
    if let Some(volts) = work.primary.saturates_at
        && MAINS_VOLTS.contains(&volts.0)
        && volts <= highest
    {
        f.add(
            "primary.saturates_at",
            volts.to_string(),
            format!("more than {highest}, the highest mains: a core that these saturate draws amperes for good"),
        );
    }
}
