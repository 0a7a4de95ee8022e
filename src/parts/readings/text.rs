//! Loads and values of readings as they stand in a text.

use std::fmt;
use std::str::FromStr;

use crate::parts::quantity::{Amps, Farads, Ohms, QuantityError, Volts};
use crate::parts::readings::{Connected, What};
use crate::parts::spread::{Size, Unit};

/// What a reading's value looks like.
pub(in crate::parts) const READS: &str = "a value with its unit in quotes, such as \"405 V\"";
/// What a load looks like.
pub(in crate::parts) const LOADS: &str =
    "a resistor such as \"2k2\", a current such as \"80 mA\", or \"nothing\"";

impl fmt::Display for Connected {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => f.write_str("nothing"),
            Self::Resistor(ohms) => ohms.fmt(f),
            Self::Current(amps) => amps.fmt(f),
        }
    }
}

impl FromStr for Connected {
    type Err = QuantityError;

    /// A unit says which it is; `4k7` and a bare `470` are resistors, as on a circuit diagram.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        let is_none = ["", "nothing", "none", "open"].contains(&text.to_lowercase().as_str());
        if is_none {
            return Ok(Self::Nothing);
        }
        let expected = || QuantityError {
            found: text.to_owned(),
            expected: LOADS.to_owned(),
        };
        if text.ends_with(['A', 'a']) || text.ends_with("mA") {
            return text
                .parse()
                .map(Self::Current)
                .map_err(|_not_a_current| expected());
        }
        text.parse()
            .map(Self::Resistor)
            .map_err(|_not_a_resistance| expected())
    }
}

/// A value typed for a reading: with its unit or, as on a sheet, without.
///
/// # Errors
/// What was found and what would do.
pub fn read_value(what: What, text: &str) -> Result<Size, QuantityError> {
    let unit = what.unit();
    let si = match unit {
        Unit::Amps => text.parse::<Amps>()?.0,
        Unit::Ohms => text.parse::<Ohms>()?.0,
        Unit::Farads => text.parse::<Farads>()?.0,
        _ => text.parse::<Volts>()?.0,
    };
    Ok(Size { si, unit })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_read_as_one_writes_them_and_print_so_that_they_read_back() {
        for (text, want) in [
            ("nothing", Connected::Nothing),
            ("", Connected::Nothing),
            ("2k2", Connected::Resistor(Ohms(2200.0))),
            ("470", Connected::Resistor(Ohms(470.0))),
            ("3 kΩ", Connected::Resistor(Ohms(3000.0))),
            ("80 mA", Connected::Current(Amps(0.08))),
            ("0.1 A", Connected::Current(Amps(0.1))),
        ] {
            assert_eq!(text.parse(), Ok(want), "{text}");
            assert_eq!(want.to_string().parse(), Ok(want), "{want}");
        }
        for text in ["80 V", "much", "A", "3 kΩ A", "-"] {
            assert!(text.parse::<Connected>().is_err(), "{text}");
        }
    }

    #[test]
    fn values_have_the_unit_of_what_they_are() {
        let value = |what, text| read_value(what, text).map(|size| size.to_string());
        assert_eq!(value(What::Bus, "405"), Ok("405 V".to_owned()));
        assert_eq!(value(What::Leak, "1.2 mA"), Ok("1.2 mA".to_owned()));
        assert!(value(What::Bus, "405 mA").is_err());
    }
}
