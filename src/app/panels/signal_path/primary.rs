//! The primary side, folded away in the transformer's card: what switching on depends on, and no volt of the supply at work.

use crate::app::panels::shown::rows::PRIMARY;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{
    Amps, CoreBuild, Fuse, FuseKind, FusePlace, Limiter, NoLoadReadings, Ohms, Primary, Seconds,
    Volts,
};

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, nominal: Volts, primary: &mut Primary) {
    fields.folded(PRIMARY, |fields| {
        core_rows(fields, primary);
        no_load_rows(fields, nominal, primary);
        mains_rows(fields, primary);
        limiter_rows(fields, primary);
        fuse_rows(fields, primary);
    });
}

fn core_rows(fields: &mut Fields<'_>, primary: &mut Primary) {
    fields.choice(
        "Core",
        "How the core is built: look at the edges of the stack. Interleaved sheets and toroids keep flux when they are switched off, a stack \
         that is butted or welded hardly any. Moves the inrush.",
        &mut primary.build,
        &[
            (CoreBuild::Interleaved, "E and I, interleaved"),
            (CoreBuild::Butted, "E and I, butted or welded"),
            (CoreBuild::Toroid, "toroid"),
        ],
    );
    fields.optional(
        Field {
            name: "Rated VA",
            hover: "What the whole transformer is rated for. Nameplate, or a catalogue by size of the core. Empty, it is reckoned from the \
                    windings. Moves the inrush of a core of which nothing else is known.",
            span: Span::by_ratio(10.0, 1000.0),
        },
        &mut primary.core_rating,
        "from windings",
    );
    fields.optional(
        Field {
            name: "Saturates at",
            hover: "Rms volts of the primary at which the core saturates. From a curve of no-load current over volts, taken with an isolated \
                    variable transformer, all windings open. Lethal volts stand on them. Moves the inrush.",
            span: Span::even(100.0, 500.0, 1.0),
        },
        &mut primary.saturates_at,
        "usual",
    );
    fields.optional(
        Field {
            name: "Saturated L",
            hover: "Inductance of the primary once the core is saturated: nearly that of its turns in air. From an oscilloscope's picture of \
                    an inrush. Moves the inrush most of all.",
            span: Span::by_ratio(1e-4, 1.0),
        },
        &mut primary.saturated_inductance,
        "usual",
    );
    fields.optional(
        Field {
            name: "Heaters",
            hover: "What all heaters on the transformer take together, hot. Volts times amperes of each tube. Empty, the types are asked. \
                    Cold, they draw some six times that.",
            span: Span::even(1.0, 200.0, 1.0),
        },
        &mut primary.heaters,
        "by types",
    );
}

/// Both readings are there, or none is.
fn no_load_rows(fields: &mut Fields<'_>, nominal: Volts, primary: &mut Primary) {
    let mut is_known = primary.no_load.is_some();
    fields.choice(
        "No-load amps",
        "The current of the primary at two voltages, all other windings open and insulated: how much more the higher volts take tells where \
         the core saturates. An isolated variable transformer and a true-rms meter; lethal volts stand on the open windings.",
        &mut is_known,
        &[(false, "not measured"), (true, "measured at two volts")],
    );
    match (is_known, &primary.no_load) {
        (true, None) => {
            primary.no_load = Some(NoLoadReadings {
                lower: (nominal, Amps(0.1)),
                higher: (Volts((nominal.0 * 1.2).round()), Amps(0.2)),
            });
        }
        (false, Some(_)) => primary.no_load = None,
        _ => {}
    }
    let Some(readings) = &mut primary.no_load else {
        return;
    };
    let volts = Span::even(50.0, 300.0, 1.0);
    let amps = Span::by_ratio(1e-3, 2.0);
    for (names, reading) in [
        (["Lower volts", "Lower amps"], &mut readings.lower),
        (["Higher volts", "Higher amps"], &mut readings.higher),
    ] {
        let [name, of_amps] = names;
        fields.quantity(
            Field {
                name,
                hover: "Rms volts of the primary at this reading",
                span: volts,
            },
            &mut reading.0,
        );
        fields.quantity(
            Field {
                name: of_amps,
                hover: "Rms amperes of the primary at this reading, all windings open",
                span: amps,
            },
            &mut reading.1,
        );
    }
}

fn mains_rows(fields: &mut Fields<'_>, primary: &mut Primary) {
    fields.optional(
        Field {
            name: "Mains ohms",
            hover: "Resistance of the mains at the socket, out and back. How much the volts fall under a heater of known current, over that \
                    current. Moves the inrush of large cores.",
            span: Span::by_ratio(0.01, 10.0),
        },
        &mut primary.mains_resistance,
        "usual",
    );
    fields.optional(
        Field {
            name: "Mains L",
            hover: "Inductance of the mains at the socket; some hundred microhenries. Adds to that of the saturated primary.",
            span: Span::by_ratio(1e-5, 1e-2),
        },
        &mut primary.mains_inductance,
        "usual",
    );
}

/// Kinds of limiter, as one chooses them.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    None,
    Resistor,
    SoftStart,
    Thermistor,
}

fn limiter_rows(fields: &mut Fields<'_>, primary: &mut Primary) {
    let before = match primary.limiter {
        None => Kind::None,
        Some(Limiter::Resistor(_)) => Kind::Resistor,
        Some(Limiter::SoftStart { .. }) => Kind::SoftStart,
        Some(Limiter::Thermistor { .. }) => Kind::Thermistor,
    };
    let mut kind = before;
    fields.choice(
        "Limiter",
        "What is in the line to limit the current at switch-on. Resistance in the line lowers the inrush; a thermistor protects only \
         when it is cold.",
        &mut kind,
        &[
            (Kind::None, "none"),
            (Kind::Resistor, "resistor"),
            (Kind::SoftStart, "resistor, shorted by a relay"),
            (Kind::Thermistor, "thermistor"),
        ],
    );
    if kind != before {
        primary.limiter = match kind {
            Kind::None => None,
            Kind::Resistor => Some(Limiter::Resistor(Ohms(10.0))),
            Kind::SoftStart => Some(Limiter::SoftStart {
                resistance: Ohms(47.0),
                shorted_after: Seconds(1.0),
            }),
            // The figures of the 10 Ω, 3 A disc of 9.5 mm of TDK (S235).
            Kind::Thermistor => Some(Limiter::Thermistor {
                cold: Ohms(10.0),
                hot: Ohms(0.206),
                at: Amps(3.0),
                time_constant: Seconds(60.0),
            }),
        };
    }
    let ohms = |hover: &'static str, name: &'static str| Field {
        name,
        hover,
        span: Span::by_ratio(0.01, 1000.0),
    };
    let seconds = |hover: &'static str, name: &'static str| Field {
        name,
        hover,
        span: Span::by_ratio(0.1, 300.0),
    };
    match &mut primary.limiter {
        None => {}
        Some(Limiter::Resistor(resistance)) => {
            fields.quantity(ohms("The resistor in the line", "Limiter ohms"), resistance);
        }
        Some(Limiter::SoftStart {
            resistance,
            shorted_after,
        }) => {
            fields.quantity(ohms("The resistor in the line", "Limiter ohms"), resistance);
            fields.quantity(
                seconds(
                    "How long the relay waits before it shorts the resistor",
                    "Shorted after",
                ),
                shorted_after,
            );
        }
        Some(Limiter::Thermistor {
            cold,
            hot,
            at,
            time_constant,
        }) => {
            fields.quantity(
                ohms("Its resistance at 25 °C: the number on it", "Cold ohms"),
                cold,
            );
            fields.quantity(
                ohms(
                    "Its resistance at its rated current, from its sheet",
                    "Hot ohms",
                ),
                hot,
            );
            fields.quantity(
                Field {
                    name: "Hot at",
                    hover: "Its rated current, from its sheet: the hot ohms hold there",
                    span: Span::by_ratio(0.1, 20.0),
                },
                at,
            );
            fields.quantity(
                seconds(
                    "Its thermal time constant, from its sheet: 30 to 120 s",
                    "Cools in",
                ),
                time_constant,
            );
        }
    }
}

fn fuse_rows(fields: &mut Fields<'_>, primary: &mut Primary) {
    let mut rating = primary.fuse.map(|fuse| fuse.rating);
    fields.optional(
        Field {
            name: "Fuse",
            hover: "Rated current of the fuse that is fitted. Read its cap. Plug out first. A fuse is for someone qualified; local codes come \
                    first.",
            span: Span::by_ratio(0.1, 10.0),
        },
        &mut rating,
        "none",
    );
    primary.fuse = match (rating, primary.fuse) {
        (None, _) => None,
        (Some(rating), Some(fuse)) => Some(Fuse { rating, ..fuse }),
        (Some(rating), None) => Some(Fuse {
            rating,
            kind: FuseKind::TimeLagGlass,
            place: FusePlace::default(),
        }),
    };
    let Some(fuse) = &mut primary.fuse else {
        return;
    };
    fields.choice(
        "Fuse kind",
        "The letters on its cap: F quick, T time-lag; L breaks 35 A, H 1500 A; glass or ceramic. US fuses say fast or slow instead.",
        &mut fuse.kind,
        &[
            (FuseKind::QuickGlass, "F…L, quick, glass"),
            (FuseKind::QuickCeramic, "F…H, quick, ceramic"),
            (FuseKind::TimeLagGlass, "T…L, time-lag, glass"),
            (FuseKind::TimeLagCeramic, "T…H, time-lag, ceramic"),
            (FuseKind::UlFast, "UL, fast"),
            (FuseKind::UlSlow, "UL, slow-blow"),
        ],
    );
    fields.choice(
        "Fuse place",
        "Where it stands. In one conductor alone the other stays live in a plug that can be turned; behind the transformer it sees no inrush.",
        &mut fuse.place,
        &[
            (FusePlace::Line, "in the line"),
            (FusePlace::BothLines, "one in each conductor"),
            (FusePlace::Secondary, "behind the transformer"),
        ],
    );
}
