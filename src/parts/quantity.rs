//! Quantities with units, read and printed the way people at a bench write them.
//!
//! `"47 µF"`, `"47u"`, `"4k7"`, `"6M8"`, `"4R7"`, `"0.36 kV"` all read (the letter in place of the decimal
//! sign is IEC 60062; prefixes are SI). Printing gives the same notation back, with every digit needed
//! to read the same number again: a round trip through text changes nothing.
//!
//! Inside the program everything is SI: volts, amperes, ohms, farads, henries, hertz, watts.

mod notation;
mod secondary_volts;

pub use secondary_volts::SecondaryVolts;

use std::fmt;
use std::str::FromStr;

use crate::parts::escape::{escaped, shortened};
use crate::parts::quantity::notation::{is_plain_number, print, read, shift};

/// Why a text is not a quantity. The message says what was found and what would do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("found \"{}\", expected {}", escaped(&shortened(found)), escaped(expected))]
pub struct QuantityError {
    /// The text as typed.
    pub found: String,
    /// What was expected in its place.
    pub expected: String,
}

/// What all quantities have in common.
pub trait Quantity:
    Copy + PartialOrd + fmt::Display + FromStr<Err = QuantityError> + 'static
{
    /// The unit's symbol as printed.
    const SYMBOL: &'static str;
    /// A value as one would write it.
    const EXAMPLE: &'static str;
    /// The unit of a number that is typed without one.
    const BARE: Bare;
    /// The number in the SI unit (a fraction: 1 is the whole).
    fn si(self) -> f64;
    /// The quantity of so many SI units.
    fn from_si(value: f64) -> Self;
    /// This quantity moved to so many SI units: one that has more to it than its number keeps that.
    #[must_use]
    fn moved_to(self, value: f64) -> Self {
        Self::from_si(value)
    }
}

/// What a number typed without a unit is taken for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bare {
    /// This unit: a bare 470 at a resistor is 470 Ω whatever stood there, as on a circuit diagram.
    In(&'static str),
    /// The unit that stands in the field, in an empty one this: nobody at a bench means farads or hundreds of amperes.
    AsShown(&'static str),
    /// It has no unit.
    Number,
}

/// The letters of one unit: how it is printed and what else is understood.
struct Unit {
    symbol: &'static str,
    also: &'static [&'static str],
    /// The letter that IEC 60062 puts in place of the decimal sign when there is no prefix (`4R7`).
    marker: Option<char>,
    example: &'static str,
    /// Largest and least prefix used in print.
    prefixes: (i32, i32),
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal, $also:expr, $marker:expr, $example:literal, $bare:expr, $prefixes:expr) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(pub f64);

        impl $name {
            const UNIT: Unit = Unit { symbol: $symbol, also: $also, marker: $marker, example: $example, prefixes: $prefixes };
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                print(self.0, &Self::UNIT, f)
            }
        }

        impl FromStr for $name {
            type Err = QuantityError;
            fn from_str(text: &str) -> Result<Self, QuantityError> {
                read(text, &Self::UNIT).map(Self)
            }
        }

        impl Quantity for $name {
            const SYMBOL: &'static str = $symbol;
            const EXAMPLE: &'static str = $example;
            const BARE: Bare = $bare;
            fn si(self) -> f64 {
                self.0
            }
            fn from_si(value: f64) -> Self {
                Self(value)
            }
        }
    };
}

quantity!(/// Electric potential difference (V).
    Volts, "V", &["v", "volt", "volts"], Some('V'), "350 V", Bare::In("V"), (3, -3));
quantity!(/// Electric current (A).
    Amps, "A", &["a", "amp", "amps"], Some('A'), "120 mA", Bare::AsShown("mA"), (0, -6));
quantity!(/// Resistance (Ω).
    Ohms, "Ω", &["\u{2126}", "ohm", "ohms", "R"], Some('R'), "4k7", Bare::In("Ω"), (9, -3));
quantity!(/// Capacitance (F).
    Farads, "F", &["f"], Some('F'), "47 µF", Bare::AsShown("µF"), (-6, -12));
quantity!(/// Inductance (H).
    Henries, "H", &["h"], Some('H'), "10 H", Bare::AsShown("H"), (0, -6));
quantity!(/// Frequency (Hz).
    Hertz, "Hz", &["hz", "HZ", "c/s"], None, "60 Hz", Bare::In("Hz"), (3, 0));
quantity!(/// Power (W).
    Watts, "W", &["w", "watt", "watts"], Some('W'), "25 W", Bare::In("W"), (3, -3));
quantity!(/// Apparent power (VA).
    VoltAmps, "VA", &["va", "Va"], None, "30 VA", Bare::In("VA"), (3, -3));
quantity!(/// Time (s).
    Seconds, "s", &["sec", "seconds"], None, "60 s", Bare::In("s"), (0, -3));
quantity!(/// Transconductance (S); makers' sheets give micromhos, 1 µmho = 1 µS.
    Siemens, "S", &["mho", "mhos", "A/V"], None, "7 mS", Bare::AsShown("mS"), (0, -6));

/// A ratio, written as a per cent in text: `"10 %"` is 0.1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Fraction(pub f64);

impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", shift(self.0, 2))
    }
}

impl FromStr for Fraction {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let wrong = || QuantityError {
            found: text.to_owned(),
            expected: "a per cent such as \"10 %\"".to_owned(),
        };
        let digits = text
            .trim()
            .trim_end_matches('%')
            .trim()
            .replace('\u{2212}', "-");
        if !is_plain_number(&digits) {
            return Err(wrong());
        }
        format!("{digits}e-2")
            .parse()
            .ok()
            .filter(|v: &f64| v.is_finite())
            .map(Self)
            .ok_or_else(wrong)
    }
}

impl Quantity for Fraction {
    const SYMBOL: &'static str = "%";
    const EXAMPLE: &'static str = "10 %";
    const BARE: Bare = Bare::In("%");
    fn si(self) -> f64 {
        self.0
    }
    fn from_si(value: f64) -> Self {
        Self(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_notations_of_the_trade_read_alike() {
        for (text, want) in [
            ("47 µF", 47e-6),
            ("47u", 47e-6),
            ("47 \u{3bc}", 47e-6),
            ("47uF", 47e-6),
            ("4µ7", 4.7e-6),
            ("0.047 mF", 47e-6),
            ("p33", 0.33e-12),
            ("4n7F", 4.7e-9),
        ] {
            assert_eq!(text.parse(), Ok(Farads(want)), "{text}");
        }
        for (text, want) in [
            ("4k7", 4700.0),
            ("6M8", 6.8e6),
            ("4R7", 4.7),
            ("R47", 0.47),
            ("10", 10.0),
            ("2.2 kΩ", 2200.0),
            ("1K5", 1500.0),
            ("100 ohm", 100.0),
            ("1e3", 1000.0),
            ("1,5 k", 1500.0),
        ] {
            assert_eq!(text.parse(), Ok(Ohms(want)), "{text}");
        }
        for (text, want) in [
            ("0.36 kV", 360.0),
            ("360", 360.0),
            ("360V", 360.0),
            ("-150 V", -150.0),
            ("\u{2212}5 V", -5.0),
        ] {
            assert_eq!(text.parse(), Ok(Volts(want)), "{text}");
        }
        for text in [
            "1.6 mS",
            "1.6mA/V",
            "1600 µmho",
            "1600 micromhos",
            "1,6 mA/V",
            "0.0016 A/V",
        ] {
            assert_eq!(text.parse(), Ok(Siemens(1.6e-3)), "{text}");
        }
        assert_eq!("12.5 %".parse(), Ok(Fraction(0.125)));
    }

    #[test]
    fn what_is_not_a_quantity_says_what_would_be() {
        for text in [
            "", "abc", "47 V", "4k7k", "1..2", "inf", "NaN", "1e999", "--3", "4.7k7", "1,500",
            "5 µFF", "k", "é", "4k7é",
        ] {
            let error = text.parse::<Ohms>().unwrap_err();
            assert!(
                !error.expected.is_empty() && error.found == text,
                "{text}: {error}"
            );
        }
    }

    #[test]
    fn print_then_read_is_the_same_number() {
        for value in [
            47e-6,
            4.7e-5,
            0.1,
            1.0 / 3.0,
            999.999_9,
            1000.0,
            1e-14,
            123_456.789,
            -5.25,
            0.0,
            1e12,
        ] {
            assert_eq!(Farads(value).to_string().parse(), Ok(Farads(value)));
            assert_eq!(Ohms(value).to_string().parse(), Ok(Ohms(value)));
            assert_eq!(Fraction(value).to_string().parse(), Ok(Fraction(value)));
        }
        // A number that no bench has is not written out in hundreds of digits.
        for value in [1e300, -2.5e25, 1e-300, 1.0 / 3e30] {
            let text = Volts(value).to_string();
            assert!(text.len() < 30, "{text}");
            assert_eq!(text.parse(), Ok(Volts(value)));
        }
        assert_eq!(Volts(1e300).to_string(), "1e300 V");
        assert_eq!(Ohms(4700.0).to_string(), "4.7 kΩ");
        assert_eq!(Farads(47e-6).to_string(), "47 µF");
        assert_eq!(Volts(1550.0).to_string(), "1.55 kV");
        assert_eq!(Amps(0.225).to_string(), "225 mA");
        assert_eq!(Fraction(0.1).to_string(), "10 %");
    }
}
