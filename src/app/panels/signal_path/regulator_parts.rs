//! Parts of the regulator's card: gas tubes in series behind a feed resistor, the negative bias rail, heater ties.

use crate::app::panels::shown::Shown;
use crate::app::panels::signal_path::gas_shunts::shunt_rows;
use crate::app::panels::signal_path::rail_filter::filter_rows;
use crate::app::panels::signal_path::rail_winding::winding_rows;
use crate::app::panels::signal_path::rectifier::{put, series_row};
use crate::app::panels::signal_path::swap::{Candidate, List, swap_ui};
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::{Span, name_it};
use crate::explain::kind;
use crate::parts::Copper;
use crate::parts::catalogue::{Catalogue, is_own};
use crate::parts::{
    Amps, BiasRail, CapacitorStack, Connection, Farads, Filter, GasReference, GasTubeType,
    HeaterTie, Ohms, RailWinding, Rating, RatingSystem, Rectifier, RectifierLaw, RectifierType,
    ReferenceFeed, Supply, Volts,
};

/// Where a gas reference is in a supply.
type Whose = fn(&mut Supply) -> Option<&mut GasReference>;

/// Rows of gas tubes with their feed. `called` begins every name, so that two references can stand in one card.
pub(super) fn reference_rows(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    called: &str,
    reference: &mut GasReference,
    whose: Whose,
) {
    let several = reference.tubes.len() > 1;
    for place in 0..reference.tubes.len() {
        let list = if several {
            format!("{called} tube {}", place + 1)
        } else {
            format!("{called} tube")
        };
        let socket = Socket { list: &list, place };
        tube_picker(fields, shown, socket, reference, whose);
    }
    stack_buttons(fields, called, reference);
    let feed = format!("{called} feed");
    fields.quantity(
        Field {
            name: &feed,
            hover: "Resistor that feeds the gas tubes. Read its bands. Less: more current, and a safer start; \
                    the current must stay inside the published range at low and at high mains.",
            span: Span::by_ratio(100.0, 1e6),
        },
        &mut reference.feed_resistor,
    );
    if reference.fed_from != ReferenceFeed::BiasRail {
        fields.choice(
            "Fed from",
            "Where the feed resistor comes from. The bus moves with mains and load; the output is steady, but there at first \
             there is nothing.",
            &mut reference.fed_from,
            &[
                (ReferenceFeed::Bus, "the bus"),
                (ReferenceFeed::Output, "the output"),
            ],
        );
    }
    let drawn = format!("{called} drawn");
    fields.quantity(
        Field {
            name: &drawn,
            hover: "Current that others take from the reference. It is missing in the tubes.",
            span: Span::even(0.0, 0.03, 0.000_1),
        },
        &mut reference.drawn,
    );
    shunt_rows(fields, called, reference);
}

/// One tube more or fewer at the far end of the stack.
fn stack_buttons(fields: &mut Fields<'_>, called: &str, reference: &mut GasReference) {
    let mut more = false;
    let mut fewer = false;
    let several = reference.tubes.len() > 1;
    let lower = called.to_lowercase();
    fields.ui().horizontal(|ui| {
        let add = ui.small_button("One more in series");
        name_it(
            ui.ctx(),
            add.id,
            &format!("Add a {lower} tube in series"),
            None,
        );
        more = add.clicked();
        if several {
            let remove = ui.small_button("One fewer");
            name_it(ui.ctx(), remove.id, &format!("Remove a {lower} tube"), None);
            fewer = remove.clicked();
        }
    });
    if more && let Some(last) = reference.tubes.last().cloned() {
        fields.note(&format!("another {} in series", last.name));
        reference.tubes.push(last);
    }
    if fewer && let Some(last) = reference.remove_last_tube() {
        fields.note(&format!("one {} fewer", last.name));
    }
}

/// A gas tube of a reference.
#[derive(Clone, Copy)]
struct Socket<'a> {
    /// The accessible name of its list.
    list: &'a str,
    /// Its place in the reference.
    place: usize,
}

fn tube_picker(
    fields: &mut Fields<'_>,
    shown: Shown<'_>,
    Socket { list, place }: Socket<'_>,
    reference: &mut GasReference,
    whose: Whose,
) {
    let types = &shown.catalogue.gas_tubes;
    let candidates = types
        .iter()
        .map(|t| {
            let mut supply = shown.document.work.supply.clone();
            if let Some(tube) = whose(&mut supply).and_then(|r| r.tubes.get_mut(place)) {
                *tube = t.clone();
            }
            Candidate {
                name: &t.name,
                about: &t.about,
                kind: kind::of_gas_tube(t),
                own: is_own(t, Catalogue::built_in_ones().gas_tube(&t.name)),
                supply,
            }
        })
        .collect();
    let several = reference.tubes.len() > 1;
    let Some(tube) = reference.tubes.get_mut(place) else {
        return;
    };
    let in_use = tube.name.clone();
    let picked = swap_ui(fields, shown, List::of(list, &in_use), candidates);
    if let Some(other) = picked.and_then(|place| types.get(place)) {
        *tube = other.clone();
        fields.note(&format!("{list} {}", other.name));
    }
    if !several {
        fields.remark(&about(tube));
    }
}

/// What a gas tube is, and the current it asks for.
fn about(tube: &GasTubeType) -> String {
    format!(
        "{}, {} to {}",
        tube.about, tube.current_least.value, tube.current_most.value
    )
}

/// Rows of the bias rail: winding, rectifier, filter, load, gas tubes.
pub(super) fn rail_rows(fields: &mut Fields<'_>, shown: Shown<'_>, rail: &mut BiasRail) {
    winding_rows(fields, shown, rail);
    rectifier_rows(fields, shown, rail);
    filter_rows(fields, &mut rail.filter);
    fields.quantity(
        Field {
            name: "Rail load",
            hover: "Current that the control circuit takes from the rail, without gas tubes and divider",
            span: Span::even(0.0, 0.05, 0.000_1),
        },
        &mut rail.load,
    );
    fields.heading("Gas tubes on the rail");
    let Some(reference) = &mut rail.reference else {
        let add = fields
            .ui()
            .small_button("Add gas tubes")
            .on_hover_text("Without them the rail follows the mains, and the zero setting with it");
        if add.clicked() {
            rail.reference = usual_rail_reference(shown.catalogue);
            fields.note("gas tubes on the rail");
        }
        return;
    };
    reference_rows(fields, shown, "Rail", reference, |supply| {
        let regulator = supply.regulator.as_mut()?;
        regulator.bias_rail.as_mut()?.reference.as_mut()
    });
    if remove_button(fields, "Remove the gas tubes") {
        rail.reference = None;
        fields.note("rail without gas tubes");
    }
}

const WIRINGS: [(Connection, &str); 3] = [
    (Connection::HalfWave, "half wave"),
    (Connection::FullWaveCentreTap, "full wave, centre tap"),
    (Connection::Bridge, "bridge"),
];

fn rectifier_rows(fields: &mut Fields<'_>, shown: Shown<'_>, rail: &mut BiasRail) {
    let is_tapped = rail.winding.own().is_none();
    let rectifier = &mut rail.rectifier;
    let types = &shown.catalogue.rectifiers;
    let candidates = types
        .iter()
        .map(|t| {
            let mut supply = shown.document.work.supply.clone();
            let rail = supply.regulator.as_mut().and_then(|r| r.bias_rail.as_mut());
            if let Some(rail) = rail {
                put(&mut rail.rectifier, t);
            }
            Candidate {
                name: &t.name,
                about: &t.about,
                kind: kind::of_rectifier(t),
                own: is_own(t, Catalogue::built_in_ones().rectifier(&t.name)),
                supply,
            }
        })
        .collect();
    let in_use = rectifier.kind.name.clone();
    let picked = swap_ui(
        fields,
        shown,
        List::of("Rail rectifier", &in_use),
        candidates,
    );
    if let Some(kind) = picked.and_then(|place| types.get(place)) {
        put(rectifier, kind);
        fields.note(&format!("rail rectifier {}", kind.name));
    }
    fields.choice(
        "Rail wiring",
        "How the rectifier sits on the bias winding. One diode is half wave.",
        &mut rectifier.connection,
        // From one point of the high-voltage winding there is one path.
        if is_tapped { &WIRINGS[..1] } else { &WIRINGS },
    );
    if rectifier.kind.is_silicon() || rectifier.in_series > 1 {
        series_row(fields, "Rail in series", &mut rectifier.in_series);
    }
    fields.count(
        Field {
            name: "Rail in parallel",
            hover: "Devices in parallel in each position of the rail's rectifier. Count the plates tied together.",
            span: Span::even(1.0, 4.0, 1.0),
        },
        &mut rectifier.in_parallel,
    );
    fields.quantity(
        Field {
            name: "Rail plate resistor",
            hover: "Resistor in series with each plate or diode of the rail's rectifier (0 Ω for none). Read its bands. Less: higher \
                    peaks of current.",
            span: Span::by_ratio(0.0, 10e3),
        },
        &mut rectifier.plate_resistor,
    );
    if rectifier.kind.heater_cathode.is_some() || rectifier.heater.is_some() {
        heater_rows(fields, "Rail heater to", &mut rectifier.heater);
    }
}

/// A small button that takes something away; true if it was pressed.
pub(super) fn remove_button(fields: &mut Fields<'_>, text: &str) -> bool {
    fields.ui().small_button(text).clicked()
}

/// What a heater is tied to, as a list; its volts where it is lifted.
pub(super) fn heater_rows(fields: &mut Fields<'_>, name: &str, tie: &mut Option<HeaterTie>) {
    let mut place = match tie {
        None => 0_u8,
        Some(HeaterTie::Common) => 1,
        Some(HeaterTie::Cathode) => 2,
        Some(HeaterTie::Elevated(_)) => 3,
    };
    let before = place;
    fields.choice(
        name,
        "Where the heater winding is tied to. The cathode stands at volts of its own, and the tube bears only so much between \
         heater and cathode. A winding tied to the output is as live as the output.",
        &mut place,
        &[
            (0, "not known"),
            (1, "output negative"),
            (2, "own cathode"),
            (3, "volts of its own"),
        ],
    );
    if place != before {
        *tie = match place {
            1 => Some(HeaterTie::Common),
            2 => Some(HeaterTie::Cathode),
            3 => Some(HeaterTie::Elevated(Volts(100.0))),
            _ => None,
        };
    }
    if let Some(HeaterTie::Elevated(volts)) = tie {
        let whose = name.trim_end_matches(" to").trim_end_matches(" tied");
        let at = format!("{whose} at");
        fields.quantity(
            Field {
                name: &at,
                hover: "Volts of the heater winding above the output's negative terminal",
                span: Span::even(-300.0, 500.0, 5.0),
            },
            volts,
        );
    }
}

/// A type of this name, or the first one.
fn gas_tube(catalogue: &Catalogue, name: &str) -> Option<GasTubeType> {
    let named = catalogue.gas_tube(name);
    named.or(catalogue.gas_tubes.first()).cloned()
}

/// A positive reference to begin with.
pub(super) fn usual_reference(catalogue: &Catalogue) -> Option<GasReference> {
    Some(GasReference {
        tubes: vec![gas_tube(catalogue, "85A2")?],
        feed_resistor: Ohms(33e3),
        fed_from: ReferenceFeed::Output,
        drawn: Amps(0.0),
        shunts: None,
    })
}

/// Three tubes in series: the divider's foot hangs on the lowest end, the control tube's cathode one tube above it.
fn usual_rail_reference(catalogue: &Catalogue) -> Option<GasReference> {
    let tubes = ["0D3", "0D3", "0A3"].map(|name| gas_tube(catalogue, name));
    Some(GasReference {
        tubes: tubes.into_iter().collect::<Option<Vec<GasTubeType>>>()?,
        feed_resistor: Ohms(3.3e3),
        fed_from: ReferenceFeed::BiasRail,
        drawn: Amps(0.0),
        shunts: None,
    })
}

/// A negative rail to begin with: one diode, one capacitor, one gas tube.
pub(super) fn usual_rail(catalogue: &Catalogue) -> Option<BiasRail> {
    let silicon = |kind: &&RectifierType| matches!(kind.law, RectifierLaw::Silicon { .. });
    let types = &catalogue.rectifiers;
    let kind = types.iter().find(silicon).or(types.first())?.clone();
    Some(BiasRail {
        winding: RailWinding::Own(Volts(340.0)),
        winding_resistance: Some(Ohms(200.0)),
        winding_measured: Copper::Warm,
        winding_rating: None,
        rectifier: Rectifier {
            kind,
            connection: Connection::HalfWave,
            in_parallel: 1,
            in_series: 1,
            plate_resistor: Ohms(47.0),
            heater: None,
        },
        filter: Filter {
            input_capacitor: Some(CapacitorStack {
                working_volts: Some(Rating::own(Volts(630.0), RatingSystem::AbsoluteMaximum)),
                ..CapacitorStack::single(Farads(47e-6))
            }),
            sections: Vec::new(),
            bleeder: None,
            internal_current: Amps(0.0),
        },
        load: Amps(0.001),
        reference: usual_rail_reference(catalogue),
    })
}
