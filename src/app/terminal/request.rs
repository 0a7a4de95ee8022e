//! Points and currents as typed on the command line, with the units of the trade.

use std::str::FromStr;

use crate::parts::quantity::QuantityError;
use crate::parts::{Amps, Volts};

/// Currents or points that one call may ask for; each is solved at three mains and more.
pub(super) const MOST_PLACES: usize = 1000;

/// A point of the volt–ampere plane: `80mA,120V`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OutputPoint {
    /// Output current, at least 0.
    pub(super) amps: Amps,
    /// Output volts, at least 0.
    pub(super) volts: Volts,
}

/// Output currents, rising, each once: `0,20mA,0.05`.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AmpsList(pub(super) Vec<f64>);

/// A time (s): `10`, `10s`, `2 min`, `1h`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Time(pub(super) f64);

/// Units of a time, and what they are in seconds.
const UNITS: [(&str, f64); 4] = [("min", 60.0), ("ms", 1e-3), ("h", 3600.0), ("s", 1.0)];
/// Times that one may ask for (s).
const TIMES: std::ops::RangeInclusive<f64> = 0.01..=86_400.0;

impl FromStr for Time {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let typed = text.trim();
        let of_unit = UNITS
            .iter()
            .find_map(|(unit, seconds)| Some((typed.strip_suffix(unit)?, *seconds)));
        let (figure, unit) = of_unit.unwrap_or((typed, 1.0));
        let found: Option<f64> = figure.trim().parse().ok();
        (found.map(|figure| Self(figure * unit)))
            .filter(|time| TIMES.contains(&time.0))
            .ok_or_else(|| QuantityError {
                found: text.to_owned(),
                expected: "a time from 10 ms to 24 h, such as \"10s\" or \"2 min\"".to_owned(),
            })
    }
}

impl FromStr for OutputPoint {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        match text.split(',').collect::<Vec<_>>().as_slice() {
            [amps, volts] => Ok(Self {
                amps: Amps(not_negative(amps, amps.parse::<Amps>()?.0)?),
                volts: Volts(not_negative(volts, volts.parse::<Volts>()?.0)?),
            }),
            _ => Err(QuantityError {
                found: text.to_owned(),
                expected: "a current and a voltage with a comma between, such as \"80mA,120V\""
                    .to_owned(),
            }),
        }
    }
}

impl FromStr for AmpsList {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let many = text.split(',').count();
        if many > MOST_PLACES {
            return Err(QuantityError {
                found: format!("{many} currents"),
                expected: format!("at most {MOST_PLACES}"),
            });
        }
        let mut amps = text
            .split(',')
            .map(|one| not_negative(one, one.parse::<Amps>()?.0))
            .collect::<Result<Vec<f64>, QuantityError>>()?;
        amps.sort_by(f64::total_cmp);
        amps.dedup();
        Ok(Self(amps))
    }
}

fn not_negative(text: &str, value: f64) -> Result<f64, QuantityError> {
    if value < 0.0 {
        Err(QuantityError {
            found: text.to_owned(),
            expected: "a value that is not negative".to_owned(),
        })
    } else {
        // A negative zero would print as one.
        Ok(value.abs())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_and_lists_read_with_and_without_units() {
        let point = OutputPoint {
            amps: Amps(0.08),
            volts: Volts(120.0),
        };
        for text in ["80mA,120V", "0.08,120", "80 mA, 0.12 kV", "80m,120"] {
            assert_eq!(text.parse(), Ok(point), "{text}");
        }
        assert_eq!(
            "0.05,0,20mA,20 mA".parse(),
            Ok(AmpsList(vec![0.0, 0.02, 0.05]))
        );
    }

    #[test]
    fn times_read_with_and_without_units() {
        for (text, seconds) in [
            ("10", 10.0),
            ("10s", 10.0),
            ("2 min", 120.0),
            ("1h", 3600.0),
            ("500 ms", 0.5),
        ] {
            assert_eq!(text.parse(), Ok(Time(seconds)), "{text}");
        }
        for text in ["", "s", "-3 s", "0", "NaN", "inf", "1e9", "10 V"] {
            assert!(text.parse::<Time>().is_err(), "{text}");
        }
    }

    #[test]
    fn nonsense_says_what_would_do() {
        for text in ["80mA", "80mA,120V,3", "80mV,120V", "-1mA,5V", "1mA,-5V", ""] {
            let error = text.parse::<OutputPoint>().unwrap_err();
            assert!(!error.expected.is_empty(), "{text}");
        }
        for text in ["", "1,,2", "5 V", "-3mA", "NaN"] {
            assert!(text.parse::<AmpsList>().is_err(), "{text}");
        }
        let list = |many: usize| {
            let amps: Vec<String> = (0..many).map(|k| format!("{k}uA")).collect();
            amps.join(",").parse::<AmpsList>()
        };
        assert_eq!(list(MOST_PLACES).unwrap().0.len(), MOST_PLACES);
        let said = list(MOST_PLACES + 1).unwrap_err().to_string();
        assert_eq!(said, "found \"1001 currents\", expected at most 1000");
    }
}
