//! The mains card.

use std::fmt::Display;
use std::str::FromStr;

use crate::app::panels::shown::Shown;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::explain;
use crate::parts::quantity::{Bare, Quantity, QuantityError};
use crate::parts::{CrestFactor, Hertz, Mains, Supply};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    explain::mains::remark(supply).map_or_else(
        || format!("{} to {}", supply.mains.low, supply.mains.high),
        |finding| finding.sentence,
    )
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, _shown: Shown<'_>, mains: &mut Mains) {
    let volts = Span::even(90.0, 270.0, 1.0);
    fields.quantity(
        Field {
            name: "Now",
            hover: "Mains volts at the socket now (rms). Read a true-rms meter at the socket. \
                    Moves the bus, the dropout line and everything judged at present mains.",
            span: Span::of_mains(mains.low, mains.high),
        },
        &mut mains.present,
    );
    fields.quantity(
        Field {
            name: "Nominal",
            hover: "Nominal volts of the network: 120 V, 230 V. Design-centre ratings are judged here.",
            span: volts,
        },
        &mut mains.nominal,
    );
    fields.quantity(
        Field {
            name: "Low",
            hover: "Lowest mains to reckon with: −5 % at 120 V (ANSI C84.1 range A), −10 % at 230 V (IEC 60038). \
                    Moves the lower dropout line.",
            span: volts,
        },
        &mut mains.low,
    );
    fields.quantity(
        Field {
            name: "High",
            hover: "Highest mains to reckon with: +5 % at 120 V, +10 % at 230 V. \
                    Moves the filter's no-load volts, the rectifier's peak inverse, and maximum ratings.",
            span: volts,
        },
        &mut mains.high,
    );
    fields.choice(
        "Frequency",
        "Frequency of the network. At 50 Hz the capacitors must last longer: more ripple, lower dropout line.",
        &mut mains.frequency,
        &[(Hertz(50.0), "50 Hz"), (Hertz(60.0), "60 Hz")],
    );
    let mut crest = Crest::from_si(mains.crest_factor.0);
    let shown_before = crest;
    fields.quantity(
        Field {
            name: "Crest factor",
            hover: "Crest of the mains over their rms volts: 1.414 for a clean sine. Mains of today have flat tops, mostly 1.36 to \
                    1.40: read a power analyser, or crest and rms on an oscilloscope. Lowers the bus behind a capacitor input and \
                    its no-load volts, hardly one behind a choke input.",
            span: Span::even(CrestFactor::LEAST.0, CrestFactor::SINE.0, 0.005),
        },
        &mut crest,
    );
    if crest != shown_before {
        mains.crest_factor = crest.0;
    }
}

/// A crest factor as it is typed: no meter has more than four decimals, and 1.414 is a clean sine.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
struct Crest(CrestFactor);

impl Display for Crest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.0.is_sine() {
            f.write_str("1.414")
        } else {
            write!(f, "{}", self.0.0)
        }
    }
}

impl FromStr for Crest {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let number = text.trim().replace(',', ".").parse::<f64>().ok();
        let number = number.filter(|number| number.is_finite());
        number.map(Self::from_si).ok_or_else(|| QuantityError {
            found: text.to_owned(),
            expected: format!("a number such as \"{}\"", Self::EXAMPLE),
        })
    }
}

impl Quantity for Crest {
    const SYMBOL: &'static str = "";
    const EXAMPLE: &'static str = "1.37";
    const BARE: Bare = Bare::Number;
    fn si(self) -> f64 {
        self.0.0
    }
    fn from_si(si: f64) -> Self {
        let typed = CrestFactor((si * 1e4).round() / 1e4);
        Self(if typed.is_sine() {
            CrestFactor::SINE
        } else {
            typed
        })
    }
}
