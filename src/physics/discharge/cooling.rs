//! How long a cathode goes on emitting once its heater is off.
//!
//! It cools by radiation, `C·T' = −k·T⁴`, so that `T/T₀ = (1 + 3t/τ)^(−1/3)` with `τ = C·T₀` over the watts of its heater; what it can emit
//! falls as Richardson's law says, `(T/T₀)²·exp(−W/kT₀·(T₀/T − 1))`. Until that comes down to what the circuit draws the tube works as ever.
//!
//! # Source
//! Stefan's and Richardson's laws. The figures are those of a typical oxide cathode, no more: [`SURE_WITHIN`] says how sure they are.

use crate::physics::numeric::{Tolerance, root_between};

/// Temperature of an oxide cathode at work (K). Value from memory: 1,000 to 1,100 K.
const HOT_KELVIN: f64 = 1050.0;
/// Work function of an oxide cathode over Boltzmann's constant (K): 1.0 eV. Value from memory: 0.9 to 1.2 eV.
const WORK_KELVIN: f64 = 11_605.0;
/// `τ` of an indirectly heated cathode (s): with it a cold heater on its rated volts is at 90 % of its temperature after 6.7 s
/// (john-a-harper.com, `FilamentHeating`), its resistance going as `T^1.2`; the test below works it out.
const INDIRECT_SECONDS: f64 = 15.0;
/// `τ` of a filament that is the cathode itself (s). Common practice, no source: they are there, and gone, within a second or two.
const FILAMENT_SECONDS: f64 = 3.0;
/// What a healthy cathode can emit over its rated current. Common practice, no source.
const RESERVE: f64 = 5.0;
/// Times and emission are sure to such a factor either way. Common practice, no source.
pub const SURE_WITHIN: f64 = 2.0;

/// So many times as cold nothing is left.
const COLD: f64 = 10.0;

/// How a cathode is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heating {
    /// By a heater inside it.
    Indirect,
    /// It is a filament.
    Filament,
}

/// A cathode that cools from the instant of switching off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooling {
    /// What it can emit while hot (A), above zero.
    pub hot_amps: f64,
    /// `τ` (s), above zero.
    pub seconds: f64,
}

impl Cooling {
    /// A cathode with this rated current (A).
    pub fn of(heating: Heating, rated_amps: f64) -> Self {
        let seconds = match heating {
            Heating::Indirect => INDIRECT_SECONDS,
            Heating::Filament => FILAMENT_SECONDS,
        };
        Self {
            hot_amps: RESERVE * rated_amps,
            seconds,
        }
    }

    /// The same cooling so many times as slowly.
    #[must_use]
    pub fn slower(self, times: f64) -> Self {
        Self {
            seconds: self.seconds * times,
            ..self
        }
    }

    /// What it can emit after a time, as a share of what it does hot.
    pub fn share_at(self, seconds: f64) -> f64 {
        share((1.0 + 3.0 * seconds.max(0.0) / self.seconds).cbrt())
    }

    /// What it can emit after a time (A).
    pub fn amps_at(self, seconds: f64) -> f64 {
        self.hot_amps * self.share_at(seconds)
    }

    /// When it can emit no more than this (s); 0 if it never could.
    pub fn seconds_to(self, amps: f64) -> f64 {
        let wanted = amps / self.hot_amps;
        if wanted >= 1.0 {
            return 0.0;
        }
        let ln = |share: f64| share.max(f64::MIN_POSITIVE).ln();
        let cold = root_between(1.0, COLD, Tolerance::fine(COLD), |times| {
            ln(share(times)) - ln(wanted)
        });
        self.seconds / 3.0 * (cold.powi(3) - 1.0)
    }
}

/// Emission at a temperature so many times below that at work.
fn share(times_colder: f64) -> f64 {
    (-WORK_KELVIN / HOT_KELVIN * (times_colder - 1.0)).exp() / times_colder.powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The heater from 300 K on fixed volts: `τ·θ' = θ^(−1.2) − θ⁴`. Published: 90 % at 6.7 s.
    #[test]
    fn the_time_constant_is_that_of_the_published_warm_up() {
        let (mut share, mut seconds) = (300.0 / HOT_KELVIN, 0.0);
        let step = 1e-4;
        while share < 0.9 {
            let slope = |at: f64| (at.powf(-1.2) - at.powi(4)) / INDIRECT_SECONDS;
            share += step * slope(share + 0.5 * step * slope(share));
            seconds += step;
        }
        assert!((seconds - 6.7_f64).abs() < 0.35, "{seconds} s");
    }

    #[test]
    fn a_cathode_gives_less_and_less() {
        let cooling = Cooling::of(Heating::Indirect, 0.25);
        assert!((cooling.amps_at(0.0) - 1.25).abs() < 1e-12);
        for amps in [1.0, 0.1, 3e-3, 1e-5] {
            let when = cooling.seconds_to(amps);
            assert!(
                (cooling.amps_at(when) / amps - 1.0).abs() < 1e-6,
                "{amps} A at {when} s"
            );
            assert!(cooling.slower(2.0).seconds_to(amps) > 1.9 * when);
        }
        assert!(cooling.seconds_to(2.0) <= 0.0);
        let filament = Cooling::of(Heating::Filament, 0.25);
        assert!(filament.seconds_to(3e-3) < 0.5 * cooling.seconds_to(3e-3));
    }
}
