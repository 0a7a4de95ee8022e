//! The notation of quantities: numbers, prefixes, units, the letter in place of the decimal sign.

use std::fmt;

use crate::parts::quantity::{QuantityError, Unit};

/// SI prefixes in use here, as (letter, exponent). `K` is IEC 60062's own capital.
const PREFIXES: [(char, i32); 10] = [
    ('p', -12),
    ('n', -9),
    ('µ', -6),
    ('\u{3bc}', -6),
    ('u', -6),
    ('m', -3),
    ('k', 3),
    ('K', 3),
    ('M', 6),
    ('G', 9),
];

pub(super) fn is_plain_number(text: &str) -> bool {
    let body = text.strip_prefix(['-', '+']).unwrap_or(text);
    let mut points = 0;
    let mut digits = 0;
    for c in body.chars() {
        match c {
            '0'..='9' => digits += 1,
            '.' => points += 1,
            _ => return false,
        }
    }
    digits > 0 && points <= 1
}

/// The number that a text gives in SI units.
pub(super) fn read(text: &str, unit: &Unit) -> Result<f64, QuantityError> {
    let wrong = |expected: String| QuantityError {
        found: text.to_owned(),
        expected,
    };
    let plain = || {
        wrong(format!(
            "a number with its unit such as \"{}\"",
            unit.example
        ))
    };
    // Makers' sheets spell one unit out.
    let cleaned = text
        .trim()
        .replace('\u{2212}', "-")
        .replace("micromho", "µmho");
    // The number with its exponent ("1.2e-3") ends where the first letter that cannot belong to it stands.
    let split = number_end(&cleaned);
    let (number, rest) = cleaned.split_at(split);
    let number = decimal_comma(number)
        .ok_or_else(|| wrong(format!("a decimal point, as in \"1.5 {}\"", unit.symbol)))?;
    let rest = rest.trim();
    let (exponent, marked_digits) = suffix(rest, unit).ok_or_else(|| {
        if number.is_empty() {
            plain()
        } else {
            wrong(format!(
                "a value in {} such as \"{}\"",
                unit.symbol, unit.example
            ))
        }
    })?;
    let digits = match marked_digits {
        // 4k7: the letter stands where the decimal sign would.
        Some(after) if !number.contains(['.', 'e', 'E']) => format!("{number}.{after}"),
        Some(_) => return Err(plain()),
        None => number,
    };
    let (mantissa, own_exponent) = match digits.split_once(['e', 'E']) {
        Some((m, e)) => (m, e.parse::<i32>().map_err(|_not_a_number| plain())?),
        None => (digits.as_str(), 0),
    };
    if !is_plain_number(mantissa) {
        return Err(plain());
    }
    // One correctly rounded reading, not a product of two rounded ones: the round trip is exact.
    let value: f64 = format!("{mantissa}e{}", own_exponent.saturating_add(exponent))
        .parse()
        .map_err(|_not_a_number| plain())?;
    if value.is_finite() {
        Ok(value)
    } else {
        Err(wrong(format!(
            "a finite number such as \"{}\"",
            unit.example
        )))
    }
}

fn number_end(text: &str) -> usize {
    let mut previous = ' ';
    for (at, c) in text.char_indices() {
        let exponent_sign = matches!(c, '-' | '+') && (at == 0 || matches!(previous, 'e' | 'E'));
        let exponent = matches!(c, 'e' | 'E')
            && text.get(at + 1..).is_some_and(|t| {
                t.trim_start_matches(['-', '+'])
                    .starts_with(|d: char| d.is_ascii_digit())
            });
        if !(c.is_ascii_digit() || matches!(c, '.' | ',') || exponent_sign || exponent) {
            return at;
        }
        previous = c;
    }
    text.len()
}

/// A single comma is a decimal comma, unless three digits follow it: then nobody can tell.
fn decimal_comma(number: &str) -> Option<String> {
    match number.split_once(',') {
        None => Some(number.to_owned()),
        Some((whole, part))
            if part.len() != 3 && !part.contains([',', '.']) && !whole.contains('.') =>
        {
            Some(format!("{whole}.{part}"))
        }
        Some(_) => None,
    }
}

/// What follows the number: the power of ten, and the digits behind a letter that marks the decimal place.
fn suffix(rest: &str, unit: &Unit) -> Option<(i32, Option<String>)> {
    let is_unit = |t: &str| t.is_empty() || t == unit.symbol || unit.also.contains(&t);
    if is_unit(rest) {
        return Some((0, None));
    }
    let mut chars = rest.chars();
    let first = chars.next()?;
    let after = chars.as_str();
    let digit_count = after.chars().take_while(char::is_ascii_digit).count();
    let (digits, tail) = after.split_at(digit_count);
    let exponent = match PREFIXES.iter().find(|(letter, _)| *letter == first) {
        Some((_, exponent)) => *exponent,
        None if unit.marker == Some(first) && !digits.is_empty() => 0,
        None => return None,
    };
    if !is_unit(tail.trim()) {
        return None;
    }
    Some((exponent, (!digits.is_empty()).then(|| digits.to_owned())))
}

/// Digits that are written out before the least or behind the largest prefix of a unit; beyond them stands a power of ten.
const MOST_ZEROS: i32 = 15;

/// Writes a number in SI units as one would at a bench.
pub(super) fn print(value: f64, unit: &Unit, f: &mut fmt::Formatter<'_>) -> fmt::Result {
    if !value.is_finite() || value == 0.0 {
        return write!(f, "{value} {}", unit.symbol);
    }
    let (largest, least) = unit.prefixes;
    let exponent = decimal_exponent(value);
    if !(least - MOST_ZEROS..=largest + MOST_ZEROS).contains(&exponent) {
        return write!(f, "{value:e} {}", unit.symbol);
    }
    let power = exponent
        .div_euclid(3)
        .saturating_mul(3)
        .clamp(least, largest);
    let letter = PREFIXES
        .iter()
        .find(|(_, e)| *e == power)
        .map_or(String::new(), |(c, _)| c.to_string());
    write!(f, "{} {letter}{}", shift(value, -power), unit.symbol)
}

fn decimal_exponent(value: f64) -> i32 {
    format!("{value:e}")
        .split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0)
}

/// `value` times ten to the `power`, written in decimal digits without a rounding of its own.
pub(super) fn shift(value: f64, power: i32) -> String {
    let text = format!("{value:e}");
    let Some((mantissa, exponent)) = text.split_once('e') else {
        return text;
    };
    let (sign, mantissa) = mantissa
        .strip_prefix('-')
        .map_or(("", mantissa), |m| ("-", m));
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let point = exponent.parse::<i32>().unwrap_or(0) + power + 1;
    let places = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let body = if point <= 0 {
        format!("0.{}{digits}", "0".repeat(point.unsigned_abs() as usize))
    } else if point >= places {
        format!(
            "{digits}{}",
            "0".repeat((point - places).unsigned_abs() as usize)
        )
    } else {
        let (whole, part) = digits.split_at(point.unsigned_abs() as usize);
        format!("{whole}.{part}")
    };
    if value == 0.0 {
        "0".to_owned()
    } else {
        format!("{sign}{body}")
    }
}
