//! Volts of a secondary as they stand on a transformer: `360 V`, or either side of a centre tap, `360-0-360 V`.

use std::fmt;
use std::str::FromStr;

use crate::parts::quantity::{Bare, Quantity, QuantityError, Volts};

/// Rms volts of a secondary winding. It keeps the way in which they are written.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum SecondaryVolts {
    /// One figure: of each half where the winding is used from a centre tap, else of the whole winding.
    One(Volts),
    /// Both halves, either side of the centre tap.
    Halves(Volts, Volts),
}

impl SecondaryVolts {
    /// Both halves; twice the one figure where there is one.
    pub fn halves(self) -> [Volts; 2] {
        match self {
            Self::One(volts) => [volts; 2],
            Self::Halves(first, second) => [first, second],
        }
    }

    /// The higher half.
    pub fn higher(self) -> Volts {
        let [a, b] = self.halves();
        Volts(a.0.max(b.0))
    }

    /// Volts that a function makes of these and of others, written as the others are where the halves come out alike.
    #[must_use]
    pub fn with(self, other: Self, of: impl Fn(f64, f64) -> f64) -> Self {
        let ([a, b], [c, d]) = (self.halves(), other.halves());
        let [first, second] = [Volts(of(a.0, c.0)), Volts(of(b.0, d.0))];
        match other {
            Self::One(_) if first == second => Self::One(first),
            _ => Self::Halves(first, second),
        }
    }

    /// Exchanges the halves.
    #[must_use]
    pub fn exchanged(self) -> Self {
        match self {
            Self::One(_) => self,
            Self::Halves(first, second) => Self::Halves(second, first),
        }
    }
}

impl fmt::Display for SecondaryVolts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::One(volts) => volts.fmt(f),
            Self::Halves(first, second) => {
                // Not hundreds of digits of a number that no winding has.
                let digits = |volts: f64| {
                    if volts == 0.0 || (1e-3..1e6).contains(&volts.abs()) {
                        volts.to_string()
                    } else {
                        format!("{volts:e}")
                    }
                };
                write!(f, "{}-0-{} V", digits(first.0), digits(second.0))
            }
        }
    }
}

impl FromStr for SecondaryVolts {
    type Err = QuantityError;

    /// `360 V` or `360-0-360 V`, with whatever dash was at hand.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = |error: QuantityError| QuantityError {
            found: text.to_owned(),
            expected: format!("{}, or both halves such as \"360-0-360 V\"", error.expected),
        };
        let dashed = text.replace(['\u{2010}', '\u{2011}', '–', '—', '\u{2212}'], "-");
        let close: String = dashed.split_whitespace().collect();
        // Behind its first sign, for a figure may be one below zero.
        let taps = close.char_indices().map(|(at, _)| at).skip(1);
        let mut refused = None;
        for at in taps {
            let (first, rest) = close.split_at(at);
            let Some(second) = rest.strip_prefix("-0-") else {
                continue;
            };
            match (first.parse(), second.parse()) {
                (Ok(first), Ok(second)) => return Ok(Self::Halves(first, second)),
                (Err(error), _) | (_, Err(error)) => refused = Some(error),
            }
        }
        match refused {
            Some(error) => Err(wrong(error)),
            None => text.parse().map(Self::One).map_err(wrong),
        }
    }
}

impl Quantity for SecondaryVolts {
    const SYMBOL: &'static str = Volts::SYMBOL;
    const EXAMPLE: &'static str = "360-0-360 V";
    const BARE: Bare = Volts::BARE;

    /// Of the first half.
    fn si(self) -> f64 {
        let [first, _] = self.halves();
        first.0
    }

    fn from_si(value: f64) -> Self {
        Self::One(Volts(value))
    }

    /// Both halves go along in proportion, the second to a tenth of a volt.
    fn moved_to(self, value: f64) -> Self {
        match self {
            Self::One(_) => Self::from_si(value),
            Self::Halves(first, second) if first == second => {
                Self::Halves(Volts(value), Volts(value))
            }
            Self::Halves(first, second) => {
                let other = second.0 * value / first.0;
                let rounded = (10.0 * other).round() / 10.0;
                Self::Halves(
                    Volts(value),
                    Volts(if rounded.is_finite() {
                        rounded
                    } else {
                        second.0
                    }),
                )
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_halves_are_read_as_they_are_marked() {
        let halves = |a, b| Ok(SecondaryVolts::Halves(Volts(a), Volts(b)));
        for text in [
            "360-0-360",
            "360-0-360 V",
            "360V-0-360V",
            "360 – 0 – 360 V",
            "0.36kV-0-360",
            "360\u{2212}0\u{2212}360",
        ] {
            assert_eq!(text.parse(), halves(360.0, 360.0), "{text}");
        }
        assert_eq!("355-0-362 V".parse(), halves(355.0, 362.0));
        assert_eq!("360 V".parse(), Ok(SecondaryVolts::One(Volts(360.0))));
        assert_eq!("1.2 kV".parse(), Ok(SecondaryVolts::One(Volts(1200.0))));
    }

    #[test]
    fn what_is_no_winding_says_what_would_be() {
        for text in [
            "",
            "360-360",
            "360-0",
            "0-360",
            "360-0-",
            "-0-360",
            "360-0-360-0-360",
            "360-0-36 A",
            "a-0-b",
            "360-1-360",
        ] {
            let error = text.parse::<SecondaryVolts>().unwrap_err();
            assert!(
                error.found == text && error.expected.contains("\"360-0-360 V\""),
                "{text}: {error}"
            );
        }
    }

    #[test]
    fn print_then_read_is_the_same_winding() {
        for (first, second) in [
            (355.0, 362.0),
            (360.0, 360.0),
            (1550.0, 1549.9),
            (1.0 / 3.0, 1e300),
            (0.0, -5.0),
            (-0.0, 4.5),
            (-2.0, -0.0),
            (1e-9, 2e21),
        ] {
            let winding = SecondaryVolts::Halves(Volts(first), Volts(second));
            let text = winding.to_string();
            assert_eq!(text.parse(), Ok(winding), "{text}");
            assert!(text.len() < 60, "{text}");
        }
        let said = |text: &str| text.parse::<SecondaryVolts>().unwrap().to_string();
        assert_eq!(said("360-0-360"), "360-0-360 V");
        assert_eq!(said("355–0–362 V"), "355-0-362 V");
        assert_eq!(said("1.55 kV"), "1.55 kV");
    }

    #[test]
    fn a_slider_takes_both_halves_along() {
        let moved = |text: &str, to| {
            text.parse::<SecondaryVolts>()
                .unwrap()
                .moved_to(to)
                .to_string()
        };
        assert_eq!(moved("360-0-360", 350.0), "350-0-350 V");
        assert_eq!(moved("355-0-362", 710.0), "710-0-724 V");
        assert_eq!(moved("360 V", 350.0), "350 V");
    }
}
