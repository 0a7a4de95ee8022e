//! Spreads as they stand in a text: `3 %`, `±1 Ω`, `80 µF to 120 µF`, `2 % of 500 V`, `0.5 % + 2 digits of 0.1 V`.

use std::fmt;
use std::str::FromStr;

use crate::parts::quantity::{
    Amps, Farads, Fraction, Henries, Ohms, Quantity, QuantityError, VoltAmps, Volts,
};
use crate::parts::spread::{Size, Spread, Unit};

/// What a spread looks like.
pub(in crate::parts) const EXAMPLES: &str = "a spread such as \"3 %\", \"±1 Ω\", \"80 µF to 120 µF\", \"2 % of 500 V\" (of a meter's full scale) or \"0.5 % + 2 digits of 0.1 V\"";

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.unit {
            Unit::Volts => Volts(self.si).fmt(f),
            Unit::Amps => Amps(self.si).fmt(f),
            Unit::Ohms => Ohms(self.si).fmt(f),
            Unit::Farads => Farads(self.si).fmt(f),
            Unit::Henries => Henries(self.si).fmt(f),
            Unit::VoltAmps => VoltAmps(self.si).fmt(f),
        }
    }
}

/// The unit has to stand there: nothing else says what is meant.
fn size(text: &str) -> Option<Size> {
    fn read<T: Quantity>(text: &str, unit: Unit) -> Option<Size> {
        let has_unit = text.ends_with(T::SYMBOL);
        let si = has_unit.then(|| text.parse::<T>().ok())??.si();
        Some(Size { si, unit })
    }
    let text = text.trim();
    // Of a unit that ends another, the longer first.
    let by_symbol = read::<VoltAmps>(text, Unit::VoltAmps)
        .or_else(|| read::<Volts>(text, Unit::Volts))
        .or_else(|| read::<Amps>(text, Unit::Amps))
        .or_else(|| read::<Ohms>(text, Unit::Ohms))
        .or_else(|| read::<Farads>(text, Unit::Farads))
        .or_else(|| read::<Henries>(text, Unit::Henries));
    // "4k7", "58 ohm" and "10R" are resistances everywhere on a bench, a bare number is none.
    let is_bare = text.parse::<f64>().is_ok();
    let ohms = || text.parse::<Ohms>().ok();
    let letter = |c: char| matches!(c, 'k' | 'K' | 'M' | 'R' | 'm' | 's');
    by_symbol.or_else(|| {
        (!is_bare && text.ends_with(|c: char| letter(c) || c.is_ascii_digit()))
            .then(ohms)?
            .map(|ohms| Size {
                si: ohms.0,
                unit: Unit::Ohms,
            })
    })
}

impl fmt::Display for Spread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Percent(share) => share.fmt(f),
            Self::Absolute(half) => write!(f, "±{half}"),
            Self::Range(low, high) => write!(f, "{low} to {high}"),
            Self::OfFullScale(share, scale) => write!(f, "{share} of {scale}"),
            Self::Digits(share, digits, digit) => write!(f, "{share} + {digits} digits of {digit}"),
        }
    }
}

impl FromStr for Spread {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        read(text).ok_or_else(|| QuantityError {
            found: text.to_owned(),
            expected: EXAMPLES.to_owned(),
        })
    }
}

impl Size {
    /// A value with its unit; a resistance may be written as on a circuit diagram.
    pub(in crate::parts) fn of_text(text: &str) -> Option<Self> {
        size(text)
    }
}

fn per_cent(text: &str) -> Option<Fraction> {
    let text = text.trim();
    text.ends_with('%').then(|| text.parse().ok())?
}

fn read(text: &str) -> Option<Spread> {
    let text = text.trim();
    let text = ["±", "+/-", "+-"]
        .iter()
        .find_map(|sign| text.strip_prefix(sign))
        .unwrap_or(text);
    if let Some((share, digits)) = text.split_once('+') {
        let (count, digit) = digits
            .split_once("digits of")
            .or_else(|| digits.split_once("digit of"))?;
        let count = count.trim().parse().ok()?;
        return Some(Spread::Digits(per_cent(share)?, count, size(digit)?));
    }
    if let Some((share, scale)) = text.split_once(" of ") {
        return Some(Spread::OfFullScale(per_cent(share)?, size(scale)?));
    }
    let ends = text
        .split_once(" to ")
        .or_else(|| text.split_once('…'))
        .or_else(|| text.split_once(".."));
    if let Some((low, high)) = ends {
        let high_end = size(high)?;
        // "80 to 120 µF" is how one says it.
        let unit = high
            .trim()
            .trim_start_matches(|c: char| !c.is_alphabetic() && c != 'Ω');
        let low_end = size(low).or_else(|| size(&format!("{low} {unit}")))?;
        return Some(Spread::Range(low_end, high_end));
    }
    per_cent(text)
        .map(Spread::Percent)
        .or_else(|| size(text).map(Spread::Absolute))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spreads_read_as_one_writes_them_and_print_so_that_they_read_back() {
        let of = |si: f64, unit: Unit| Size { si, unit };
        for (text, want) in [
            ("3 %", Spread::Percent(Fraction(0.03))),
            ("±3%", Spread::Percent(Fraction(0.03))),
            ("+/- 3 %", Spread::Percent(Fraction(0.03))),
            ("±1 Ω", Spread::Absolute(of(1.0, Unit::Ohms))),
            ("1 ohm", Spread::Absolute(of(1.0, Unit::Ohms))),
            ("4k7", Spread::Absolute(of(4700.0, Unit::Ohms))),
            ("±5 V", Spread::Absolute(of(5.0, Unit::Volts))),
            ("±5 VA", Spread::Absolute(of(5.0, Unit::VoltAmps))),
            (
                "80 µF to 120 µF",
                Spread::Range(of(80e-6, Unit::Farads), of(120e-6, Unit::Farads)),
            ),
            (
                "80 to 120 µF",
                Spread::Range(of(80e-6, Unit::Farads), of(120e-6, Unit::Farads)),
            ),
            (
                "2 % of 500 V",
                Spread::OfFullScale(Fraction(0.02), of(500.0, Unit::Volts)),
            ),
            (
                "0.5 % + 2 digits of 0.1 V",
                Spread::Digits(Fraction(0.005), 2, of(0.1, Unit::Volts)),
            ),
            ("-3 %", Spread::Percent(Fraction(-0.03))),
        ] {
            assert_eq!(text.parse(), Ok(want), "{text}");
            assert_eq!(want.to_string().parse(), Ok(want), "{want}");
        }
    }

    #[test]
    fn what_is_no_spread_says_what_would_be() {
        for text in [
            "",
            "3",
            "much",
            "±",
            "%",
            "NaN %",
            "inf %",
            "3 % of",
            "3 % of 500",
            "a to b",
            "5 V to",
            "1 % + 2 digits",
            "1 % + many digits of 1 V",
            "1 % + 2 digits of 1",
            "47 µ",
            "1 % + -2 digits of 1 V",
            "±1 Ω to 2 V to 3 V",
        ] {
            let error = text.parse::<Spread>().unwrap_err();
            assert!(
                error.found == text && error.expected.contains("such as"),
                "{text}: {error}"
            );
        }
    }
}
