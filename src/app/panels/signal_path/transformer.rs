//! The transformer card.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::explain::number;
use crate::parts::{
    Amps, Connection, Copper, Ohms, RatingSystem, Rectifier, SecondaryVolts, Supply, Transformer,
    WindingVolts,
};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    let volts = supply.transformer.secondary_volts();
    let winding = match (supply.rectifier.connection, volts) {
        (Connection::FullWaveCentreTap, _) | (_, SecondaryVolts::Halves(..)) => {
            let [first, second] = volts.halves();
            format!("{}–0–{second}", first.0)
        }
        (Connection::Bridge | Connection::HalfWave, SecondaryVolts::One(volts)) => {
            volts.to_string()
        }
    };
    format!("{winding} · {}", supply.transformer.secondary_resistance)
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, rectifier: &Rectifier, transformer: &mut Transformer) {
    let half = matches!(rectifier.connection, Connection::FullWaveCentreTap);
    fields.quantity(
        Field {
            name: "Primary volts",
            hover: "Primary volts for which the winding's volts hold. Read the nameplate or tap in use. \
                    A 110 V winding on 120 V runs everything 9 % high.",
            span: Span::even(100.0, 250.0, 1.0),
        },
        &mut transformer.primary_volts,
    );
    winding_rows(fields, rectifier.connection, transformer);
    fields.quantity(
        Field {
            name: "Primary ohms",
            hover: "DC resistance of the primary. Ohmmeter across the plug's pins, switch on, plug out. \
                    Counts with the square of the turns ratio: moves the slope of the dropout line.",
            span: Span::by_ratio(0.1, 100.0),
        },
        &mut transformer.primary_resistance,
    );
    copper_row(
        fields,
        "Primary was",
        transformer.primary_resistance,
        &mut transformer.primary_measured,
    );
    fields.quantity(
        Field {
            name: "Winding ohms",
            hover: if half {
                "DC resistance of one half of the high-voltage winding. Ohmmeter from centre tap to one end, \
                 plug out, bus measured dead. Moves rectifier peak and dropout."
            } else {
                "DC resistance of the whole high-voltage winding. Ohmmeter across it, plug out, bus measured dead. \
                 Moves rectifier peak and dropout."
            },
            span: Span::by_ratio(1.0, 1000.0),
        },
        &mut transformer.secondary_resistance,
    );
    // Where it stands although it cannot, it must be possible to take it away.
    if half || transformer.second_half_resistance.is_some() {
        fields.optional(
            Field {
                name: "Second half",
                hover: "DC resistance of the second half of the high-voltage winding, where it differs: the outer half has longer \
                        turns. Ohmmeter from centre tap to the other end, plug out, bus measured dead; the ohms above are then those \
                        of the first half. Empty, both halves share them by turns.",
                span: Span::by_ratio(1.0, 1000.0),
            },
            &mut transformer.second_half_resistance,
            "by turns",
        );
    }
    copper_row(
        fields,
        "Winding was",
        transformer.secondary_resistance,
        &mut transformer.secondary_measured,
    );
    fields.quantity(
        Field {
            name: "Other load",
            hover: "Apparent power of everything else on the transformer: heaters and core loss. \
                    Add volts times amperes of the heaters, and about a tenth for the core. Moves the sag of the primary.",
            span: Span::even(0.0, 300.0, 1.0),
        },
        &mut transformer.auxiliary,
    );
    fields.rating(
        Field {
            name: "Winding rms",
            hover: "Rms current that the high-voltage winding may carry for good. Nameplate; with capacitor input the rms is \
                    1.5 to 2 times the DC share. Moves the winding line.",
            span: Span::by_ratio(0.01, 2.0),
        },
        &mut transformer.winding_rating,
        RatingSystem::AbsoluteMaximum,
    );
}

/// How the resistance of a winding was measured, and what it is at work where that was cold.
pub(super) fn copper_row(fields: &mut Fields<'_>, name: &str, measured: Ohms, copper: &mut Copper) {
    fields.choice(
        name,
        "Was the ohmmeter on it after an hour at work, or before it was switched on? Copper gains 0.39 % with each kelvin: cold, a \
         fifth is added to what was measured. Warm takes it as it stands.",
        copper,
        &[(Copper::Warm, "measured warm"), (Copper::Cold, "measured cold")],
    );
    if *copper == Copper::Cold {
        let warm = number::ohms(copper.at_work(measured).0);
        fields.remark(&format!("{warm} at work"));
    }
}

fn winding_rows(fields: &mut Fields<'_>, connection: Connection, transformer: &mut Transformer) {
    let mut loaded = matches!(transformer.winding, WindingVolts::Loaded { .. });
    fields.choice(
        "Volts are",
        "Measured without load, or the rating on the nameplate at its current? From a loaded rating the open-circuit volts \
         are worked out",
        &mut loaded,
        &[(false, "open circuit"), (true, "rated at a load")],
    );
    match (loaded, transformer.winding) {
        (true, WindingVolts::OpenCircuit(volts)) => {
            transformer.winding = WindingVolts::Loaded {
                volts,
                amps: Amps(0.1),
            };
        }
        (false, WindingVolts::Loaded { volts, .. }) => {
            transformer.winding = WindingVolts::OpenCircuit(volts);
        }
        _ => {}
    }
    let hover = if connection == Connection::FullWaveCentreTap {
        "Rms volts of the high-voltage winding as marked, 360-0-360, or of one half, centre tap to end, at the primary volts above; \
         halves that differ as 355-0-362. Meter and both hands kept away: lethal. Moves the whole picture up and down."
    } else {
        "Rms volts of the whole high-voltage winding at the primary volts above. \
         Meter and both hands kept away: lethal. Moves the whole picture up and down."
    };
    let field = Field {
        name: "Winding volts",
        hover,
        span: Span::even(50.0, 1200.0, 1.0),
    };
    let mut winding = transformer.winding;
    match &mut winding {
        WindingVolts::OpenCircuit(volts) => fields.quantity(field, volts),
        WindingVolts::Loaded { volts, amps } => {
            fields.quantity(field, volts);
            fields.quantity(
                Field {
                    name: "at a load of",
                    hover: "Rms amperes of the nameplate rating",
                    span: Span::by_ratio(0.01, 2.0),
                },
                amps,
            );
        }
    }
    transformer.winding = winding;
}
