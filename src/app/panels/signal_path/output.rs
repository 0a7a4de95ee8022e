//! The output card.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{Output, StandBy, Supply};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    format!("{}–{}", supply.output.set_low.0, supply.output.set_high)
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, output: &mut Output) {
    fields.quantity(
        Field {
            name: "Output range, low",
            hover: "Lowest volts that the voltage control can ask for. Turn it fully down and read the meter.",
            span: Span::even(0.0, 400.0, 1.0),
        },
        &mut output.set_low,
    );
    fields.quantity(
        Field {
            name: "Output range, high",
            hover: "Highest volts that the voltage control can ask for. Turn it fully up without load and read the meter.",
            span: Span::even(20.0, 1000.0, 5.0),
        },
        &mut output.set_high,
    );
    fields.quantity(
        Field {
            name: "Meter shunt",
            hover: "Resistance between regulator and terminals: meter shunt, output fuse. Ohmmeter, plug out. \
                    Lowers the dropout line a little.",
            span: Span::by_ratio(0.0, 100.0),
        },
        &mut output.meter_shunt,
    );
    fields.optional(
        Field {
            name: "Meter scale",
            hover: "Full scale of the panel voltmeter. Read its dial. What the zero adjuster moves is said as a part of it.",
            span: Span::even(50.0, 1000.0, 50.0),
        },
        &mut output.meter_scale,
        "not known",
    );
    fields.choice(
        "Stand-by switch",
        "What it opens while the heaters stay on. Follow its leads with the plug out. It says what the filter sees while one waits, and \
         what the rectifier meets when it is closed.",
        &mut output.stand_by,
        &[
            (None, "not known"),
            (Some(StandBy::NoSwitch), "there is none"),
            (Some(StandBy::CentreTap), "centre tap"),
            (Some(StandBy::BeforeFilter), "before the filter"),
            (Some(StandBy::AfterFilter), "after the filter"),
            (Some(StandBy::Output), "output"),
        ],
    );
}
