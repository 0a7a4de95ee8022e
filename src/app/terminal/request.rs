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
