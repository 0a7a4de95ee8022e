//! Rows of the shunt resistors across gas tubes in series.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::explain::regulation;
use crate::parts::{GasReference, GasShunt, Ohms};

/// A usual one (common practice, no source).
const USUAL: Ohms = Ohms(470e3);

/// Whether there are any.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fitted {
    NotKnown,
    No,
    Yes,
}

/// The rows; none for one tube alone, unless the file says something of it. `called` begins their names.
pub(super) fn shunt_rows(fields: &mut Fields<'_>, called: &str, reference: &mut GasReference) {
    if reference.tubes.len() < 2 && reference.shunts.is_none() {
        return;
    }
    let before = match reference.shunts.as_ref().map(Vec::is_empty) {
        None => Fitted::NotKnown,
        Some(true) => Fitted::No,
        Some(false) => Fitted::Yes,
    };
    let mut fitted = before;
    fields.choice(
        &format!("{called} shunts"),
        "Resistors across single gas tubes of the stack, some hundred kilohms. With them the tubes strike one after the other; \
         without, the starting volts of all must be there at once. Moves the starting volts, and takes a little current from the tubes.",
        &mut fitted,
        &[
            (Fitted::NotKnown, "not known"),
            (Fitted::No, "none"),
            (Fitted::Yes, "fitted"),
        ],
    );
    if fitted != before {
        reference.shunts = match fitted {
            Fitted::NotKnown => None,
            Fitted::No => Some(Vec::new()),
            Fitted::Yes => Some(vec![GasShunt {
                across: 1,
                resistance: USUAL,
            }]),
        };
    }
    if fitted == Fitted::Yes {
        let tubes = reference.tubes.len();
        for across in (1..=tubes).filter_map(|k| u8::try_from(k).ok()) {
            shunt_row(fields, called, reference, across);
        }
    }
    if let Some(start) = regulation::start(reference) {
        fields.remark(&start);
    }
}

fn shunt_row(fields: &mut Fields<'_>, called: &str, reference: &mut GasReference, across: u8) {
    let before = reference.shunt(usize::from(across));
    let mut ohms = before;
    fields.optional(
        Field {
            name: &format!("{called} shunt {across}"),
            hover: "The resistor across this gas tube; tube 1 is the one nearest to the output's negative terminal. Read its bands. \
                    Less: the others have more volts to strike with, this one less.",
            span: Span::by_ratio(10e3, 10e6),
        },
        &mut ohms,
        "none",
    );
    if ohms == before {
        return;
    }
    let mut all = reference.shunts.take().unwrap_or_default();
    all.retain(|shunt| shunt.across != across);
    all.extend(ohms.map(|resistance| GasShunt { across, resistance }));
    all.sort_by_key(|shunt| shunt.across);
    reference.shunts = Some(all);
}
