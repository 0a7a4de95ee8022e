//! Rows of the sense divider: its whole resistance, or its pot and the fixed resistors at both ends of it.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{Divider, Ohms, SenseControl};

/// The rows.
pub(super) fn divider_rows(fields: &mut Fields<'_>, divider: &mut Divider) {
    let before = divider.control.is_some();
    let mut parted = before;
    fields.choice(
        "Sense control",
        "Whether the sense divider is described by its whole resistance or part by part: the pot, the fixed resistors at both ends of \
         it and the zero adjuster. Part by part says from where to where the knob reaches.",
        &mut parted,
        &[(false, "the whole divider"), (true, "part by part")],
    );
    match (before, parted) {
        // A half is the knob's, whatever it was: what it reaches then is said at once.
        (false, true) => {
            let half = 0.5 * divider.resistance.0;
            divider.control = Some(SenseControl {
                upper: Ohms(0.5 * half),
                pot: Ohms(half),
                lower: Ohms(0.5 * half),
                zero_adjuster: None,
            });
        }
        (true, false) => divider.control = None,
        _ => {}
    }
    let Some(control) = &mut divider.control else {
        fields.quantity(
            Field {
                name: "Divider",
                hover: "All of the sense divider, from the output to its foot. Read the resistors. Draws a little current with \
                        nothing connected.",
                span: Span::by_ratio(10e3, 10e6),
            },
            &mut divider.resistance,
        );
        return;
    };
    let fixed = Span::by_ratio(100.0, 10e6);
    fields.quantity(
        Field {
            name: "Divider upper R",
            hover: "Fixed resistor between the output and the pot. Read its bands. More: the knob's lower end is higher.",
            span: fixed,
        },
        &mut control.upper,
    );
    fields.quantity(
        Field {
            name: "Sense pot",
            hover: "The knob: the whole resistance of the pot from end to end. More: a wider range.",
            span: fixed,
        },
        &mut control.pot,
    );
    fields.quantity(
        Field {
            name: "Divider lower R",
            hover: "Fixed resistor between the pot and the foot. Read its bands. More: the knob's upper end is lower.",
            span: fixed,
        },
        &mut control.lower,
    );
    fields.optional(
        Field {
            name: "Zero adjuster",
            hover: "Variable resistor at the foot of the divider, from end to end: the preset by which the lowest output is set. The \
                    divider counts with its middle.",
            span: fixed,
        },
        &mut control.zero_adjuster,
        "none",
    );
    divider.resistance = control.whole();
}
