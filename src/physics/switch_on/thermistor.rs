//! What limits the current at switch-on: a resistor, one that a relay shorts, or a thermistor that falls in resistance as it warms.

use crate::parts::Limiter;

/// Room temperature (K), at which the cold resistance of a thermistor is stated.
const ROOM: f64 = 298.15;
/// Rise of a thermistor's body at its rated current (K).
///
/// # Source
/// TDK B57235S: 1.85 W at its rated 3 A through 9 mW/K are 206 K; Ametherm SL10 4R004: 160 °C at its rated current; TDK B57237S: up to
/// 250 °C.
const RATED_RISE: f64 = 200.0;

/// A limiter in the line, as it warms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InLine {
    limiter: Option<Limiter>,
    law: Option<Law>,
    /// How much warmer than the room it is (K).
    pub rise: f64,
}

impl InLine {
    /// At so many kelvins above the room; none at all where nothing is fitted.
    pub fn at(limiter: Option<Limiter>, rise: f64) -> Self {
        Self {
            limiter,
            law: limiter.and_then(Law::of),
            rise,
        }
    }

    /// As warm as it becomes at a current that stays (A rms).
    pub fn settled(limiter: Option<Limiter>, amps: f64) -> Self {
        let mut warm = Self::at(limiter, 0.0);
        let Some(law) = warm.law else {
            return warm;
        };
        // Heat in falls with temperature, heat out rises: halving finds where they meet.
        let (mut low, mut high) = (0.0, 2.0 * RATED_RISE);
        for _ in 0..50 {
            warm.rise = 0.5 * (low + high);
            if amps * amps * law.ohms(warm.rise) > law.watts_per_kelvin * warm.rise {
                low = warm.rise;
            } else {
                high = warm.rise;
            }
        }
        warm
    }

    /// Its resistance so many seconds after the switch closed (Ω).
    #[inline]
    pub fn ohms(&self, seconds: f64) -> f64 {
        match self.limiter {
            Some(Limiter::Resistor(ohms)) => ohms.0,
            Some(Limiter::SoftStart {
                resistance,
                shorted_after,
            }) if seconds < shorted_after.0 => resistance.0,
            None | Some(Limiter::SoftStart { .. }) => 0.0,
            Some(Limiter::Thermistor { .. }) => self.law.map_or(0.0, |law| law.ohms(self.rise)),
        }
    }

    /// Warmed by so many joules in so many seconds.
    #[inline]
    pub fn warm(&mut self, joules: f64, seconds: f64) {
        if let Some(law) = self.law {
            let lost = law.watts_per_kelvin * self.rise * seconds;
            self.rise = (self.rise + (joules - lost) / law.joules_per_kelvin).max(0.0);
        }
    }

    /// True where its resistance changes with what it carries.
    pub fn is_thermistor(&self) -> bool {
        self.law.is_some()
    }
}

/// `R = R₀·exp(B·(1/T − 1/T₀))`, and heat that goes in proportion to the rise.
///
/// # Source
/// The makers' law of negative-temperature-coefficient thermistors (B constant). B comes from the two stated resistances, the heat from
/// the power at the rated current.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Law {
    cold: f64,
    beta: f64,
    watts_per_kelvin: f64,
    joules_per_kelvin: f64,
}

impl Law {
    /// Of a thermistor; the others have none.
    fn of(limiter: Limiter) -> Option<Self> {
        let Limiter::Thermistor {
            cold,
            hot,
            at,
            time_constant,
        } = limiter
        else {
            return None;
        };
        let watts_per_kelvin = at.0 * at.0 * hot.0 / RATED_RISE;
        Some(Self {
            cold: cold.0,
            beta: (cold.0 / hot.0).ln() / (1.0 / ROOM - 1.0 / (ROOM + RATED_RISE)),
            watts_per_kelvin,
            joules_per_kelvin: watts_per_kelvin * time_constant.0,
        })
    }

    fn ohms(&self, rise: f64) -> f64 {
        self.cold * (self.beta * (1.0 / (ROOM + rise) - 1.0 / ROOM)).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Amps, Ohms, Seconds};

    /// TDK B57235S, 10 Ω: 3 A, 0.206 Ω there, 60 s; its own law `R = 0.879·I^−1.32`, 9 mW/K and 0.54 J/K (maker's sheet).
    fn ten_ohms() -> Limiter {
        Limiter::Thermistor {
            cold: Ohms(10.0),
            hot: Ohms(0.206),
            at: Amps(3.0),
            time_constant: Seconds(60.0),
        }
    }

    #[test]
    fn a_thermistor_has_its_stated_resistance_cold_and_at_its_current() {
        let cold = InLine::at(Some(ten_ohms()), 0.0);
        assert!((cold.ohms(0.0) - 10.0).abs() < 1e-12);
        let hot = InLine::settled(Some(ten_ohms()), 3.0).ohms(0.0);
        assert!((hot / 0.206 - 1.0).abs() < 1e-6, "{hot}");
    }

    /// Between 30 and 100 % of the rated current the maker's power law holds; B and one power for the losses follow it within a fifth.
    #[test]
    fn between_its_currents_a_thermistor_follows_its_makers_law() {
        for amps in [1.0_f64, 1.5, 2.0, 2.5] {
            let want = 0.879 * amps.powf(-1.32);
            let got = InLine::settled(Some(ten_ohms()), amps).ohms(0.0);
            assert!((got / want - 1.0).abs() < 0.2, "{amps} A: {got} {want}");
        }
        let law = InLine::at(Some(ten_ohms()), 0.0).law.unwrap();
        assert!((law.watts_per_kelvin / 9e-3 - 1.0).abs() < 0.1);
        assert!((law.joules_per_kelvin / 0.54 - 1.0).abs() < 0.1);
    }

    /// A surge of 5 J warms 0.54 J/K by 9 K; nothing else is warmed by it.
    #[test]
    fn a_surge_warms_it_by_its_joules() {
        let mut in_line = InLine::at(Some(ten_ohms()), 0.0);
        in_line.warm(5.0, 1e-6);
        let law = in_line.law.unwrap();
        assert!((in_line.rise * law.joules_per_kelvin - 5.0).abs() < 1e-9);
        let mut resistor = InLine::at(Some(Limiter::Resistor(Ohms(10.0))), 0.0);
        resistor.warm(5.0, 1.0);
        assert!((resistor.ohms(1.0) - 10.0).abs() < 1e-12);
    }

    #[test]
    fn a_soft_start_goes_out_of_the_line_in_its_time() {
        let soft = InLine::at(
            Some(Limiter::SoftStart {
                resistance: Ohms(47.0),
                shorted_after: Seconds(0.5),
            }),
            0.0,
        );
        assert!((soft.ohms(0.49) - 47.0).abs() < 1e-12 && soft.ohms(0.5).abs() < 1e-12);
    }
}
