//! What feeds the negative rail, in the regulator's card: a winding of its own, or the high-voltage winding.

use crate::app::panels::shown::Shown;
use crate::app::panels::signal_path::transformer::copper_row;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{BiasRail, Connection, Ohms, RailWinding, RatingSystem, Supply};

/// Resistance of a winding of its own to begin with.
const USUAL_OHMS: Ohms = Ohms(200.0);

#[derive(Clone, Copy, PartialEq)]
enum Feed {
    Own,
    End,
    Tap,
}

impl Feed {
    fn of(winding: RailWinding) -> Self {
        match winding {
            RailWinding::Own(_) => Self::Own,
            RailWinding::HighVoltageEnd => Self::End,
            RailWinding::HighVoltageTap(_) => Self::Tap,
        }
    }
}

/// Rows of the winding with its copper and its rating.
pub(super) fn winding_rows(fields: &mut Fields<'_>, shown: Shown<'_>, rail: &mut BiasRail) {
    let supply = &shown.document.work.supply;
    feed_row(fields, supply, rail);
    match &mut rail.winding {
        RailWinding::Own(volts) => fields.quantity(
            Field {
                name: "Rail winding",
                hover: "Rms volts of the bias winding with nothing connected, at the primary's rated volts. Measure it unloaded. \
                        More: a deeper rail, and a regulated output down to fewer volts.",
                span: Span::even(5.0, 400.0, 1.0),
            },
            volts,
        ),
        RailWinding::HighVoltageTap(volts) => fields.quantity(
            Field {
                name: "Rail tap",
                hover: "Rms volts of the tap against the centre tap, or the end at the common, under the same conditions as the \
                        volts of the whole winding. Measure it unloaded. More: a deeper rail, and a regulated output down to fewer volts.",
                span: Span::even(5.0, 400.0, 1.0),
            },
            volts,
        ),
        RailWinding::HighVoltageEnd => {}
    }
    if rail.winding.own().is_none() {
        fields.optional(
            Field {
                name: "Rail copper",
                hover: "DC resistance of the high-voltage winding between the common and the point that feeds the rail. Ohmmeter, plug \
                        out, bus measured dead. Empty, it is the share of the winding's by turns.",
                span: Span::by_ratio(1.0, 5000.0),
            },
            &mut rail.winding_resistance,
            "by turns",
        );
        if let Some(ohms) = rail.winding_resistance {
            copper_row(fields, "Rail copper was", ohms, &mut rail.winding_measured);
        }
        return;
    }
    let ohms = rail.winding_resistance.get_or_insert(USUAL_OHMS);
    fields.quantity(
        Field {
            name: "Rail copper",
            hover: "DC resistance of the bias winding. Ohmmeter, plug out.",
            span: Span::by_ratio(1.0, 5000.0),
        },
        ohms,
    );
    copper_row(fields, "Rail copper was", *ohms, &mut rail.winding_measured);
    fields.rating(
        Field {
            name: "Rail winding rms",
            hover: "Rms current that the bias winding may carry for good. Nameplate; with capacitor input the rms is 1.5 to 3 times \
                    what the rail gives.",
            span: Span::by_ratio(0.001, 1.0),
        },
        &mut rail.winding_rating,
        RatingSystem::DesignCentre,
    );
}

fn feed_row(fields: &mut Fields<'_>, supply: &Supply, rail: &mut BiasRail) {
    let mut from = Feed::of(rail.winding);
    let before = from;
    let all = [
        (Feed::Own, "own winding"),
        (Feed::End, "end of the HV winding"),
        (Feed::Tap, "tap on the HV winding"),
    ];
    // With a bridge no point of that winding stands at the common.
    let there = if supply.rectifier.connection == Connection::Bridge && before == Feed::Own {
        &all[..1]
    } else {
        &all[..]
    };
    fields.choice(
        "Rail fed from",
        "A winding of its own, or one end or a tap of the high-voltage winding, by a diode the other way round. What the rail draws \
         there counts in the rms of that winding. Not with a bridge on it.",
        &mut from,
        there,
    );
    if from == before {
        return;
    }
    let volts = supply.rail_volts(rail);
    let [half, _] = supply.transformer.stated_halves();
    rail.winding = match from {
        Feed::Own => RailWinding::Own(volts),
        Feed::End => RailWinding::HighVoltageEnd,
        Feed::Tap if volts < half => RailWinding::HighVoltageTap(volts),
        Feed::Tap => RailWinding::HighVoltageTap(half),
    };
    if before == Feed::Own || from == Feed::Own {
        rail.winding_resistance = (from == Feed::Own).then_some(USUAL_OHMS);
        rail.winding_rating = None;
    }
    if from != Feed::Own {
        // Between one point of a winding and the common there is one path.
        rail.rectifier.connection = Connection::HalfWave;
    }
}
