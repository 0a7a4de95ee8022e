//! Reforming an electrolytic that has lain idle for years: slowly, through a resistor, out of the supply.

use crate::bench::bleeder::{Size, size_for};
use crate::bench::capacitor_stack::vintage_leakage_amps;
use crate::bench::preferred::e12_between;

/// What flows at most, into a short (A). A dealer's jig: rated volts through 90 kΩ, 5 mA at 450 V (quoted, published-values-bench.md, A7).
const MOST_AMPS: f64 = 5e-3;
/// Resistors that are thought of (Ω).
const OHMS: [f64; 2] = [1e3, 10e6];
/// Shares of the rated volts, one after the other. Common practice, no source.
const SHARES: [f64; 4] = [0.25, 0.5, 0.75, 1.0];
/// The least time at each (s): half an hour, as a maker gives for rated volts (quoted there). One that has lain for decades takes a day
/// and more (quoted there).
const LEAST_SECONDS: f64 = 1800.0;

/// A step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Volts of the source (V).
    pub volts: f64,
    /// At least so long (s).
    pub seconds: f64,
}

/// How one would reform a capacitor.
#[derive(Debug, Clone, PartialEq)]
pub struct Reforming {
    /// The series resistor (Ω).
    pub ohms: f64,
    /// What it takes at most, into a short at the rated volts (W).
    pub watts: f64,
    /// What one would take for it.
    pub size: Option<Size>,
    /// The most that flows (A).
    pub most_amps: f64,
    /// The steps.
    pub steps: [Step; 4],
    /// It is done when it leaks less than this at its rated volts (A).
    pub done_amps: f64,
    /// Volts that then stand across the series resistor (V).
    pub done_volts: f64,
}

/// For a capacitor (F) of these working volts (V).
pub fn reforming(farads: f64, working_volts: f64) -> Option<Reforming> {
    let values = e12_between(OHMS);
    let ohms = *values
        .iter()
        .find(|ohms| working_volts / **ohms <= MOST_AMPS)?;
    let watts = working_volts * working_volts / ohms;
    let done_amps = vintage_leakage_amps(farads, working_volts);
    Some(Reforming {
        ohms,
        watts,
        size: size_for(watts, working_volts),
        most_amps: working_volts / ohms,
        steps: SHARES.map(|share| Step {
            volts: share * working_volts,
            seconds: LEAST_SECONDS,
        }),
        done_amps: done_amps.min(0.5 * working_volts / ohms),
        done_volts: ohms * done_amps.min(0.5 * working_volts / ohms),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 450 V at 5 mA at most: 90 kΩ, of which 100 kΩ is the next in E12; 2.03 W into a short.
    #[test]
    fn the_quoted_jig_in_preferred_values() {
        let found = reforming(20e-6, 450.0).expect("a resistor");
        assert!((found.ohms - 100e3).abs() < 1e-6, "{found:?}");
        assert!((found.watts - 2.025).abs() < 1e-3, "{found:?}");
        assert!(found.most_amps <= 5e-3);
        // JAN-C-62: 1.1 mA.
        assert!((found.done_amps - 1.1e-3).abs() < 1e-9, "{found:?}");
        assert_eq!(reforming(20e-6, 1e6), None);
    }
}
