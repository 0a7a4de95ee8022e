//! Ratings that the supply's own design exceeds, and that its owner lives with.

use std::fmt;
use std::str::FromStr;

use crate::parts::quantity::{Amps, Farads, Ohms, Quantity as _, QuantityError, Volts, Watts};

/// A rating accepted as built: up to a bound it no longer counts as exceeded.
#[derive(Debug, Clone, PartialEq)]
pub struct Accepted {
    /// Which rating, by its name for machines: `control_plate_volts`, `capacitor_1_volts`.
    pub rating: String,
    /// How far it is accepted, in the rating's own measure: beyond the published figure, on its bad side.
    pub up_to: Amount,
    /// Why, in the owner's words.
    pub reason: String,
}

/// A quantity of whatever a rating is measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// Volts.
    Volts(Volts),
    /// Amperes.
    Amps(Amps),
    /// Watts.
    Watts(Watts),
    /// Ohms.
    Ohms(Ohms),
    /// Farads.
    Farads(Farads),
}

impl Amount {
    /// The number in the SI unit.
    pub fn si(self) -> f64 {
        match self {
            Self::Volts(v) => v.si(),
            Self::Amps(a) => a.si(),
            Self::Watts(w) => w.si(),
            Self::Ohms(r) => r.si(),
            Self::Farads(c) => c.si(),
        }
    }

    /// So many SI units of the same.
    #[must_use]
    pub fn of_si(self, value: f64) -> Self {
        match self {
            Self::Volts(_) => Self::Volts(Volts(value)),
            Self::Amps(_) => Self::Amps(Amps(value)),
            Self::Watts(_) => Self::Watts(Watts(value)),
            Self::Ohms(_) => Self::Ohms(Ohms(value)),
            Self::Farads(_) => Self::Farads(Farads(value)),
        }
    }
}

impl fmt::Display for Amount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Volts(v) => v.fmt(f),
            Self::Amps(a) => a.fmt(f),
            Self::Watts(w) => w.fmt(f),
            Self::Ohms(r) => r.fmt(f),
            Self::Farads(c) => c.fmt(f),
        }
    }
}

impl FromStr for Amount {
    type Err = QuantityError;

    /// The unit has to stand there: nothing else says what is meant.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let has_unit = text.trim().ends_with(|c: char| c.is_alphabetic());
        let read = || {
            let volts = text.parse().map(Self::Volts);
            let amps = volts.or_else(|_| text.parse().map(Self::Amps));
            let watts = amps.or_else(|_| text.parse().map(Self::Watts));
            let ohms = watts.or_else(|_| text.parse().map(Self::Ohms));
            ohms.or_else(|_: QuantityError| text.parse().map(Self::Farads))
                .ok()
        };
        // A prefix alone ("4k", "47 µ") reads in every unit.
        let is_prefix_alone = ["k", "K", "M", "G", "m", "µ", "\u{3bc}", "u", "n", "p"]
            .iter()
            .any(|prefix| text.trim().ends_with(prefix));
        (has_unit && !is_prefix_alone)
            .then(read)
            .flatten()
            .ok_or_else(|| QuantityError {
                found: text.to_owned(),
                expected: "a value with its unit such as \"520 V\", \"16 W\" or \"300 mA\""
                    .to_owned(),
            })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_amount_is_read_by_its_unit_and_not_without() {
        for (text, want) in [
            ("520 V", Amount::Volts(Volts(520.0))),
            ("0.3 A", Amount::Amps(Amps(0.3))),
            ("300 mA", Amount::Amps(Amps(0.3))),
            ("16W", Amount::Watts(Watts(16.0))),
            ("1.5 MΩ", Amount::Ohms(Ohms(1.5e6))),
            ("47 µF", Amount::Farads(Farads(47e-6))),
        ] {
            assert_eq!(text.parse(), Ok(want), "{text}");
            assert_eq!(want.to_string().parse(), Ok(want));
        }
        for text in ["520", "4k", "4k7", "47 µ", "", "V", "1 H", "much"] {
            assert!(text.parse::<Amount>().is_err(), "{text}");
        }
    }
}
