//! Rows of the bias rail's filter, all that a file can say of it: what a restorer does not see he inherits from an example.

use crate::app::panels::signal_path::filter::series_rows;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{CapacitorStack, Filter, RatingSystem};

/// The rows.
pub(super) fn filter_rows(fields: &mut Fields<'_>, filter: &mut Filter) {
    let count = filter.stacks().count();
    for (place, stack) in filter.stacks_mut().enumerate() {
        let name = if count > 1 {
            format!("Rail C{}", place + 1)
        } else {
            "Rail C".to_owned()
        };
        stack_rows(fields, &name, stack);
    }
    for (section, number) in filter.sections.iter_mut().zip(1..) {
        series_rows(fields, "Rail ", &mut section.series, number);
    }
    fields.optional(
        Field {
            name: "Rail bleeder",
            hover: "Resistor across the rail that empties its capacitors. Read its bands. Loads the rail a little.",
            span: Span::by_ratio(1e3, 1e7),
        },
        &mut filter.bleeder,
        "none",
    );
    fields.quantity(
        Field {
            name: "Rail internal",
            hover: "Current that is taken behind the rail's filter besides its load, gas tubes and dividers",
            span: Span::even(0.0, 0.05, 0.000_1),
        },
        &mut filter.internal_current,
    );
}

fn stack_rows(fields: &mut Fields<'_>, name: &str, stack: &mut CapacitorStack) {
    let volts = Span::by_ratio(10.0, 1000.0);
    fields.quantity(
        Field {
            name,
            hover: "Capacitor of the bias rail. Printed on it; a dried-out one lets the rail sag and hum.",
            span: Span::by_ratio(1e-6, 1e-3),
        },
        &mut stack.unit,
    );
    fields.rating(
        Field {
            name: &format!("{name} volts"),
            hover: "Working volts of this capacitor of the rail. Printed on it. The rail stands highest at high mains.",
            span: volts,
        },
        &mut stack.working_volts,
        RatingSystem::AbsoluteMaximum,
    );
    fields.rating(
        Field {
            name: &format!("{name} surge"),
            hover: "Surge volts of this capacitor of the rail. Printed on it or in its data sheet.",
            span: volts,
        },
        &mut stack.surge_volts,
        RatingSystem::AbsoluteMaximum,
    );
    fields.folded(&format!("{name} more"), |fields| {
        let few = Span::even(1.0, 6.0, 1.0);
        fields.count(
            Field {
                name: &format!("{name} in series"),
                hover: "Equal capacitors in series. Count them. Divides the capacitance, multiplies the working volts.",
                span: few,
            },
            &mut stack.in_series,
        );
        fields.count(
            Field {
                name: &format!("{name} strings"),
                hover: "Such strings in parallel. Multiplies the capacitance.",
                span: few,
            },
            &mut stack.strings,
        );
        fields.optional(
            Field {
                name: &format!("{name} balancing"),
                hover: "Resistor across each capacitor of a series stack, so that they share the volts. Read its bands.",
                span: Span::by_ratio(10e3, 2e6),
            },
            &mut stack.balancing,
            "none",
        );
        fields.rating(
            Field {
                name: &format!("{name} ripple"),
                hover: "Ripple current of one capacitor (rms, at twice the mains frequency). In its sheet.",
                span: Span::by_ratio(0.001, 10.0),
            },
            &mut stack.ripple_current,
            RatingSystem::AbsoluteMaximum,
        );
        fields.quantity(
            Field {
                name: &format!("{name} tolerance"),
                hover: "Spread of the capacitance, ± this",
                span: Span::even(0.0, 0.5, 0.01),
            },
            &mut stack.tolerance,
        );
    });
}
