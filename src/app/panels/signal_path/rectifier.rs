//! The rectifier card.

use crate::app::panels::shown::Shown;
use crate::app::panels::signal_path::regulator_parts::heater_rows;
use crate::app::panels::signal_path::swap::{Candidate, List, swap_ui};
use crate::app::widgets::fields::{Field, Fields, source_text};
use crate::app::widgets::quantity_field::Span;
use crate::explain::kind;
use crate::parts::catalogue::{Catalogue, is_own};
use crate::parts::rectifier::Heater;
use crate::parts::{Connection, RatingSystem, Rectifier, RectifierLaw, RectifierType, Supply};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    let how = match supply.rectifier.connection {
        Connection::FullWaveCentreTap => "full wave",
        Connection::Bridge => "bridge",
        Connection::HalfWave => "half wave",
    };
    format!("{} · {how}", supply.rectifier.kind.name)
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, shown: Shown<'_>, rectifier: &mut Rectifier) {
    let types = &shown.catalogue.rectifiers;
    let candidates = types
        .iter()
        .map(|t| Candidate {
            name: &t.name,
            about: &t.about,
            kind: kind::of_rectifier(t),
            own: is_own(t, Catalogue::built_in_ones().rectifier(&t.name)),
            supply: {
                let mut supply = shown.document.work.supply.clone();
                put(&mut supply.rectifier, t);
                supply
            },
        })
        .collect();
    let in_use = rectifier.kind.name.clone();
    let picked = swap_ui(
        fields,
        shown,
        List::of("Rectifier type", &in_use),
        candidates,
    );
    if let Some(kind) = picked.and_then(|place| types.get(place)) {
        put(rectifier, kind);
        fields.note(&kind.name);
    }
    let kind = &rectifier.kind;
    fields.about_type(&[&kind.about], kind, shown.catalogue.rectifier(&kind.name));
    fields.choice(
        "Connection",
        "How the devices sit on the winding. Follow the wires: centre tap to chassis is full wave, four diodes on the whole \
         winding a bridge.",
        &mut rectifier.connection,
        &[
            (Connection::FullWaveCentreTap, "centre tap"),
            (Connection::Bridge, "bridge"),
            (Connection::HalfWave, "half wave"),
        ],
    );
    fields.count(
        Field {
            name: "In parallel",
            hover: "Devices in parallel in each position. Count the plates tied together. Halves the drop and the share of each.",
            span: Span::even(1.0, 4.0, 1.0),
        },
        &mut rectifier.in_parallel,
    );
    if rectifier.kind.is_silicon() || rectifier.in_series > 1 {
        series_row(fields, "In series", &mut rectifier.in_series);
    }
    fields.quantity(
        Field {
            name: "Plate resistor",
            hover: "Resistor in each plate lead (0 Ω for none). Read its bands. Lowers rectifier peak and winding current, \
                    and the dropout line with them.",
            span: Span::by_ratio(0.0, 1000.0),
        },
        &mut rectifier.plate_resistor,
    );
    if rectifier.kind.heater_cathode.is_some() || rectifier.heater.is_some() {
        heater_rows(fields, "Rectifier heater to", &mut rectifier.heater);
    }
    fields.folded("Drop and ratings of this type", |fields| {
        law_rows(fields, &mut rectifier.kind);
        rating_rows(fields, &mut rectifier.kind);
    });
}

/// Another type in its place: tubes stand alone in their leg.
pub(super) fn put(rectifier: &mut Rectifier, kind: &RectifierType) {
    rectifier.kind = kind.clone();
    if !kind.is_silicon() {
        rectifier.in_series = 1;
    }
}

/// How many diodes stand in series in each leg.
pub(super) fn series_row(fields: &mut Fields<'_>, name: &str, in_series: &mut u8) {
    fields.count(
        Field {
            name,
            hover: "Diodes in series in each leg. Count them from the winding to the filter. Each takes its share of the inverse \
                    volts, as long as resistors across them see to it; their drops add up.",
            span: Span::even(1.0, 8.0, 1.0),
        },
        in_series,
    );
}

fn law_rows(fields: &mut Fields<'_>, kind: &mut RectifierType) {
    match &mut kind.law {
        RectifierLaw::Vacuum { drop, at } => {
            fields.quantity(
                Field {
                    name: "Drop",
                    hover: "Published drop of one plate at the current below; the three-halves-power law goes through it.",
                    span: Span::by_ratio(5.0, 200.0),
                },
                &mut drop.value,
            );
            fields.quantity(
                Field {
                    name: "Drop at",
                    hover: "Plate current of one plate at that drop",
                    span: Span::by_ratio(0.01, 1.0),
                },
                at,
            );
            fields.remark(&source_text(&drop.source));
        }
        RectifierLaw::Silicon {
            saturation,
            emission,
            resistance,
        } => {
            fields.quantity(
                Field {
                    name: "Saturation",
                    hover: "Saturation current of the junction's law",
                    span: Span::by_ratio(1e-12, 1e-5),
                },
                saturation,
            );
            fields.quantity(
                Field {
                    name: "Emission",
                    hover: "Emission coefficient times thermal volts, about 26 to 52 mV",
                    span: Span::even(0.02, 0.06, 0.001),
                },
                emission,
            );
            fields.quantity(
                Field {
                    name: "Bulk ohms",
                    hover: "Resistance in series with the junction",
                    span: Span::by_ratio(0.001, 10.0),
                },
                resistance,
            );
        }
        RectifierLaw::MercuryVapour { drop } => {
            fields.quantity(
                Field {
                    name: "Drop",
                    hover: "Constant drop while it conducts, about 15 V",
                    span: Span::even(8.0, 25.0, 0.5),
                },
                &mut drop.value,
            );
            fields.remark(&source_text(&drop.source));
        }
    }
}

fn rating_rows(fields: &mut Fields<'_>, kind: &mut RectifierType) {
    let centre = RatingSystem::DesignCentre;
    let amps = Span::by_ratio(0.01, 10.0);
    // One's own number stands in place of a maker's chart.
    let (inverse, dc) = (kind.peak_inverse.clone(), kind.dc_current.clone());
    fields.rating(
        Field {
            name: "Peak inverse",
            hover: "Highest inverse volts of one device. With capacitor input it sees about twice the crest of the winding at no load.",
            span: Span::by_ratio(300.0, 10_000.0),
        },
        &mut kind.peak_inverse,
        centre,
    );
    fields.rating(
        Field {
            name: "Peak current",
            hover: "Highest steady peak current of one device; a large first capacitor and little resistance drive it up.",
            span: amps,
        },
        &mut kind.peak_current,
        centre,
    );
    fields.rating(
        Field {
            name: "DC, capacitor",
            hover: "Highest DC output of the bulb with capacitor input",
            span: amps,
        },
        &mut kind.dc_current,
        centre,
    );
    fields.rating(
        Field {
            name: "DC, choke",
            hover: "Highest DC output of the bulb with choke input, where the maker gives another figure",
            span: amps,
        },
        &mut kind.dc_current_choke_input,
        centre,
    );
    fields.rating(
        Field {
            name: "Hot switching",
            hover: "Highest transient peak current of one device when switched on hot",
            span: amps,
        },
        &mut kind.hot_switching_current,
        centre,
    );
    if kind.peak_inverse != inverse {
        kind.peak_inverse_by_current = None;
    }
    if kind.dc_current != dc {
        kind.dc_current_by_volts = None;
    }
    let before = kind.least_supply_resistance.clone();
    fields.figure(
        Field {
            name: "Least ohms",
            hover: "Least total effective plate-supply resistance per plate with capacitor input; \
                    less lets the switch-on peak hurt the cathode.",
            span: Span::by_ratio(1.0, 1000.0),
        },
        &mut kind.least_supply_resistance,
    );
    if kind.least_supply_resistance != before {
        // One's own number stands in place of the maker's several.
        kind.least_supply_resistance_by_volts = None;
    }
    fields.figure(
        Field {
            name: "Largest first C",
            hover: "Largest first capacitor that the maker allows",
            span: Span::by_ratio(1e-6, 1e-3),
        },
        &mut kind.largest_first_capacitor,
    );
    fields.rating(
        Field {
            name: "Heater–cathode",
            hover: "Highest volts between heater and cathode",
            span: Span::by_ratio(50.0, 2000.0),
        },
        &mut kind.heater_cathode,
        centre,
    );
    if let Some(heater) = &kind.heater {
        fields.remark(&heater_text(heater));
    }
}

/// What the heater takes, and where that is from.
pub(super) fn heater_text(heater: &Heater) -> String {
    format!(
        "Heater {} {}; {}",
        heater.volts,
        heater.amps,
        source_text(&heater.source)
    )
}
