//! The card of the regulator: control tube, divider, what it compares with. The reference and the bias rail fold away.

use crate::app::panels::shown::Shown;
use crate::app::panels::shown::rows;
use crate::app::panels::signal_path::rectifier::heater_text;
use crate::app::panels::signal_path::regulator_parts::{
    heater_rows, rail_rows, reference_rows, remove_button, usual_rail, usual_reference,
};
use crate::app::panels::signal_path::screen::{keep_feed, screen_rows};
use crate::app::panels::signal_path::sense_control::divider_rows;
use crate::app::panels::signal_path::swap::{Candidate, List, swap_ui};
use crate::app::panels::signal_path::tube_buttons::tube_buttons_ui;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::explain::kind;
use crate::explain::{cautions, regulation};
use crate::parts::catalogue::{Catalogue, is_own};
use crate::parts::tube_draft::Purpose;
use crate::parts::{
    ControlTubeKind, ControlTubeType, Divider, Ohms, PlateSupply, RatingSystem, Regulator, Supply,
    Tap, Volts,
};

/// The line under the title.
pub(super) fn summary(supply: &Supply) -> String {
    regulation::summary(supply)
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Option<Regulator>) {
    match regulator {
        None => describe_rows(fields, shown, regulator),
        Some(described) => {
            control_rows(fields, shown, described);
            tap_rows(fields, shown, described);
            fields.folded(rows::REFERENCE, |fields| {
                reference_part(fields, shown, described);
            });
            fields.folded(rows::RAIL, |fields| {
                rail_part(fields, shown, described);
            });
            fields.folded(rows::HEATER, |fields| {
                rest_rows(fields, described);
            });
            if remove_button(fields, "Remove the regulator") {
                *regulator = None;
                fields.note("no longer described");
            }
        }
    }
}

/// What stands in the card of a regulator that nobody has described yet.
fn describe_rows(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Option<Regulator>) {
    fields.remark(regulation::NOT_DESCRIBED);
    let button = fields.ui().button("Describe the regulator").on_hover_text(
        "Begins with a usual one, whose values you then set: control tube, divider, reference, bias rail. \
         The floor, the regulation and the zero setting follow from it.",
    );
    if button.clicked()
        && let Some(usual) = usual_regulator(shown.catalogue, &shown.document.work.supply)
    {
        *regulator = Some(usual);
        fields.note("described");
    }
}

/// The control tube and what stands around its plate.
fn control_rows(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Regulator) {
    control_picker(fields, shown, regulator);
    fields.quantity(
        Field {
            name: "Plate load",
            hover: "Resistor in the control tube's plate; the pass grids are driven from its lower end. Read its bands. \
                    More: more loop gain, and a higher least plate current ratio.",
            span: Span::by_ratio(10e3, 10e6),
        },
        &mut regulator.plate_load,
    );
    for grid in cautions::grid_circuits(&shown.document.work.supply) {
        fields.remark(&grid.sentence);
    }
    let mut clean = matches!(regulator.plate_supply, PlateSupply::Clean(_));
    fields.choice(
        "Load fed from",
        "The upper end of the plate load. On the bus, its ripple gets to the pass grids as well; a clean rail above the \
         output keeps it away.",
        &mut clean,
        &[(false, "the bus"), (true, "a clean rail")],
    );
    match (clean, regulator.plate_supply) {
        (true, PlateSupply::Bus) => regulator.plate_supply = PlateSupply::Clean(Volts(150.0)),
        (false, PlateSupply::Clean(_)) => {
            regulator.plate_supply = PlateSupply::Bus;
            keep_feed(regulator);
        }
        _ => {}
    }
    if let PlateSupply::Clean(volts) = &mut regulator.plate_supply {
        fields.quantity(
            Field {
                name: "Clean rail",
                hover: "Volts of the clean rail above the output's positive terminal. Measure from terminal to rail.",
                span: Span::even(10.0, 400.0, 5.0),
            },
            volts,
        );
    }
    let taps = taps(regulator);
    let taps: Vec<(Tap, &str)> = taps
        .iter()
        .map(|(tap, name)| (*tap, name.as_str()))
        .collect();
    screen_rows(fields, regulator, &taps);
}

fn control_picker(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Regulator) {
    let types = &shown.catalogue.control_tubes;
    let candidates = types
        .iter()
        .map(|t| {
            let mut supply = shown.document.work.supply.clone();
            if let Some(regulator) = &mut supply.regulator {
                regulator.control_tube = t.clone();
            }
            Candidate {
                name: &t.name,
                about: &t.about,
                kind: kind::of_control_tube(t),
                own: is_own(t, Catalogue::built_in_ones().control_tube(&t.name)),
                supply,
            }
        })
        .collect();
    let in_use = regulator.control_tube.name.clone();
    let picked = swap_ui(
        fields,
        shown,
        List::of("Control tube type", &in_use),
        candidates,
    );
    if let Some(tube) = picked.and_then(|place| types.get(place)) {
        regulator.control_tube = tube.clone();
        fields.note(&tube.name);
    }
    tube_buttons_ui(fields, Purpose::Control, &regulator.control_tube.name);
    let tube = &regulator.control_tube;
    let listed = shown.catalogue.control_tube(&tube.name);
    fields.about_type(&[&tube.about], tube, listed);
}

/// Everything on which something can sit, as far as it is there or can be added.
fn taps(regulator: &Regulator) -> Vec<(Tap, String)> {
    let rail = regulator
        .bias_rail
        .as_ref()
        .and_then(|r| r.reference.as_ref());
    let mut taps = vec![Tap::Common, Tap::Reference];
    let tubes = rail.map_or(0, |reference| reference.tubes.len());
    taps.extend((1..=tubes).filter_map(|k| Some(Tap::BiasReference(u8::try_from(k).ok()?))));
    taps.push(Tap::BiasRail);
    let named = |tap| (tap, regulation::tap(tap, regulator));
    taps.into_iter().map(named).collect()
}

/// Where the control tube's cathode sits and what its grid sees.
fn tap_rows(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Regulator) {
    let taps = taps(regulator);
    let taps: Vec<(Tap, &str)> = taps
        .iter()
        .map(|(tap, name)| (*tap, name.as_str()))
        .collect();
    fields.choice(
        "Cathode on",
        "Where the control tube's cathode sits. On a positive reference the output ends well above zero; on the negative \
         rail it can go down to zero. Moves the lowest regulated output.",
        &mut regulator.cathode,
        &taps,
    );
    divider_rows(fields, &mut regulator.divider);
    fields.choice(
        "Divider return",
        "The lower end of the sense divider. On the negative rail the knob reaches zero, and what the rail does there \
         reaches the output. It must be below the control tube's cathode: moves the control-grid ceiling.",
        &mut regulator.divider.foot,
        &taps,
    );
    // What a tap is set on must be there.
    let on = |tap| regulator.cathode == tap || regulator.divider.foot == tap;
    if on(Tap::Reference) && regulator.reference.is_none() {
        regulator.reference = usual_reference(shown.catalogue);
    }
    if on(Tap::BiasRail) && regulator.bias_rail.is_none() {
        regulator.bias_rail = usual_rail(shown.catalogue);
    }
}

fn reference_part(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Regulator) {
    let Some(reference) = &mut regulator.reference else {
        let add = fields
            .ui()
            .button("Add a positive reference")
            .on_hover_text("Gas tubes that hold a few volts above the output's negative terminal");
        if add.clicked() {
            regulator.reference = usual_reference(shown.catalogue);
            fields.note("positive reference added");
        }
        return;
    };
    reference_rows(fields, shown, "Reference", reference, |supply| {
        supply.regulator.as_mut()?.reference.as_mut()
    });
    if remove_button(fields, "Remove the positive reference") {
        regulator.reference = None;
        keep_taps(regulator);
        fields.note("positive reference removed");
    }
}

fn rail_part(fields: &mut Fields<'_>, shown: Shown<'_>, regulator: &mut Regulator) {
    let Some(rail) = &mut regulator.bias_rail else {
        let add = fields
            .ui()
            .button("Add a negative bias rail")
            .on_hover_text("A small supply below the output's negative terminal");
        if add.clicked() {
            regulator.bias_rail = usual_rail(shown.catalogue);
            fields.note("bias rail added");
        }
        return;
    };
    fields.remark(cautions::NEGATIVE_RAIL);
    rail_rows(fields, shown, rail);
    keep_taps(regulator);
    if remove_button(fields, "Remove the bias rail") {
        regulator.bias_rail = None;
        keep_taps(regulator);
        fields.note("bias rail removed");
    }
}

/// What sat on a part that is gone sits on what is nearest to it.
fn keep_taps(regulator: &mut Regulator) {
    let rail = regulator.bias_rail.as_ref();
    let tubes = rail
        .and_then(|r| r.reference.as_ref())
        .map_or(0, |r| r.tubes.len());
    let (has_rail, has_reference) = (rail.is_some(), regulator.reference.is_some());
    let screen_foot = regulator.screen_divider.as_mut().map(|d| &mut d.foot);
    let both = [&mut regulator.cathode, &mut regulator.divider.foot];
    for tap in both.into_iter().chain(screen_foot) {
        *tap = match *tap {
            Tap::Reference if !has_reference => Tap::Common,
            Tap::BiasRail | Tap::BiasReference(_) if !has_rail => Tap::Common,
            Tap::BiasReference(k) if usize::from(k) > tubes => Tap::BiasRail,
            as_it_was => as_it_was,
        };
    }
    keep_feed(regulator);
}

fn rest_rows(fields: &mut Fields<'_>, regulator: &mut Regulator) {
    fields.optional(
        Field {
            name: "Preload",
            hover: "Resistor across the output inside the supply. Read its bands. Brings the lowest regulated output down at light load.",
            span: Span::by_ratio(1e3, 1e6),
        },
        &mut regulator.preload,
        "none",
    );
    heater_rows(fields, "Heater tied to", &mut regulator.heater);
    fields.optional(
        Field {
            name: "Least plate V",
            hover: "Least plate volts of the control tube, below which it no longer pulls. Empty: from its zero-bias curve, \
                    if it is a triode.",
            span: Span::even(0.0, 150.0, 1.0),
        },
        &mut regulator.least_plate_volts,
        "from its curve",
    );
    rating_rows(fields, &mut regulator.control_tube);
}

fn rating_rows(fields: &mut Fields<'_>, tube: &mut ControlTubeType) {
    let centre = RatingSystem::DesignCentre;
    let volts = Span::by_ratio(50.0, 1000.0);
    let watts = Span::by_ratio(0.1, 10.0);
    fields.rating(
        Field {
            name: "Plate volts",
            hover: "Highest plate volts of the control tube. Its plate stands a little below the output.",
            span: volts,
        },
        &mut tube.ratings.plate_volts,
        centre,
    );
    fields.rating(
        Field {
            name: "Dissipation",
            hover: "Highest plate dissipation of one section of the control tube",
            span: watts,
        },
        &mut tube.ratings.plate_dissipation,
        centre,
    );
    if matches!(tube.kind, ControlTubeKind::Pentode { .. }) {
        fields.rating(
            Field {
                name: "Screen volts",
                hover: "Highest screen volts of the control tube",
                span: volts,
            },
            &mut tube.screen_volts,
            centre,
        );
    }
    fields.rating(
        Field {
            name: "Heater–cathode",
            hover: "Highest volts between heater and cathode of the control tube",
            span: volts,
        },
        &mut tube.ratings.heater_cathode,
        centre,
    );
    if let Some(heater) = &tube.ratings.heater {
        fields.remark(&heater_text(heater));
    }
}

/// A usual regulator to begin with: a range that begins near zero asks for a negative rail, another for a reference.
fn usual_regulator(catalogue: &Catalogue, supply: &Supply) -> Option<Regulator> {
    let pentode = |t: &&ControlTubeType| matches!(t.kind, ControlTubeKind::Pentode { .. });
    let tubes = &catalogue.control_tubes;
    let control_tube = tubes.iter().find(pentode).or(tubes.first())?.clone();
    let from_zero = supply.output.set_low.0 < 60.0;
    let screen = if from_zero { 100.0 } else { 60.0 };
    let all = Regulator {
        screen_volts: pentode(&&control_tube).then_some(Volts(screen)),
        // A sharp pentode's knee below a milliampere (common practice, no source).
        least_plate_volts: pentode(&&control_tube).then_some(Volts(25.0)),
        control_tube,
        plate_load: Ohms(1e6),
        plate_supply: PlateSupply::Bus,
        cathode: Tap::Reference,
        divider: Divider {
            control: None,
            resistance: Ohms(470e3),
            foot: Tap::Common,
        },
        screen_divider: None,
        preload: None,
        heater: None,
        reference: None,
        bias_rail: None,
    };
    Some(if from_zero {
        Regulator {
            cathode: Tap::BiasReference(2),
            divider: Divider {
                control: None,
                foot: Tap::BiasReference(3),
                ..all.divider
            },
            bias_rail: usual_rail(catalogue),
            ..all
        }
    } else {
        Regulator {
            reference: usual_reference(catalogue),
            ..all
        }
    })
}
