//! The mains card.

use crate::app::panels::shown::Shown;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::explain;
use crate::parts::{Hertz, Mains, Supply};

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
                    Moves the bus, the dropout line and everything judged at present mains",
            span: Span::of_mains(mains.low, mains.high),
        },
        &mut mains.present,
    );
    fields.quantity(
        Field {
            name: "Nominal",
            hover: "Nominal volts of the network: 120 V, 230 V. Design-centre ratings are judged here",
            span: volts,
        },
        &mut mains.nominal,
    );
    fields.quantity(
        Field {
            name: "Low",
            hover: "Lowest mains to reckon with: −5 % at 120 V (ANSI C84.1 range A), −10 % at 230 V (IEC 60038). \
                    Moves the lower dropout line",
            span: volts,
        },
        &mut mains.low,
    );
    fields.quantity(
        Field {
            name: "High",
            hover: "Highest mains to reckon with: +5 % at 120 V, +10 % at 230 V. \
                    Moves the filter's no-load volts, the rectifier's peak inverse, and maximum ratings",
            span: volts,
        },
        &mut mains.high,
    );
    fields.choice(
        "Frequency",
        "Frequency of the network. At 50 Hz the capacitors must last longer: more ripple, lower dropout line",
        &mut mains.frequency,
        &[(Hertz(50.0), "50 Hz"), (Hertz(60.0), "60 Hz")],
    );
}
