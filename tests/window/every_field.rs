//! Everything that a file can say of a supply stands in a card, so that nothing hidden is inherited from an example.

use std::collections::BTreeSet;

use egui_kittest::kittest::Queryable as _;
use sagline::app::settings::Folders;

use crate::{click, window_of};

const EVERY_FIELD: &str = include_str!("../files/every-field.ron");

/// Fields that stand elsewhere: beside the supply, or types, which the tube editor shows.
const ELSEWHERE: [&str; 11] = [
    "format",
    "name",
    "notes",
    "accepted",
    // In a fold of each card.
    "as_found",
    "bench",
    "guessed",
    "spreads",
    "condition",
    "dummies",
    "own_types",
];

/// The cards: what the file calls the part, the card's name, the folds in it.
const CARDS: [(&str, &str, &[&str]); 8] = [
    ("mains", "Mains", &[]),
    ("transformer", "Transformer", &[]),
    ("primary", "Transformer", &["Core, limiter and fuse"]),
    ("rectifier", "Rectifier", &[]),
    ("filter", "Filter", &["C1 more", "C2 more", "C3 more"]),
    ("pass_stage", "Pass tubes", &[]),
    (
        "regulator",
        "Regulator",
        &[
            "Positive reference",
            "Negative bias rail",
            "Preload, heater and ratings",
            "Rail C1 more",
        ],
    ),
    ("output", "Output", &[]),
];

/// The row of each field. An imbalance gives place to the spread from which it is worked out, and a reference on the rail is fed from
/// nothing else.
#[rustfmt::skip]
const ROWS: &[(&str, &str)] = &[
    ("mains.nominal", "Nominal"),
    ("mains.present", "Now"),
    ("mains.low", "Low"),
    ("mains.high", "High"),
    ("mains.frequency", "Frequency"),
    ("mains.crest_factor", "Crest factor"),
    ("transformer.primary_volts", "Primary volts"),
    ("transformer.winding.volts", "Winding volts"),
    ("transformer.winding.amps", "at a load of"),
    ("transformer.primary_resistance", "Primary ohms"),
    ("transformer.primary_measured", "Primary was"),
    ("transformer.secondary_resistance", "Winding ohms"),
    ("transformer.second_half_resistance", "Second half"),
    ("transformer.secondary_measured", "Winding was"),
    ("transformer.winding_rating", "Winding rms"),
    ("transformer.auxiliary", "Other load"),
    ("primary.mains_resistance", "Mains ohms"),
    ("primary.mains_inductance", "Mains L"),
    ("primary.limiter.cold", "Cold ohms"),
    ("primary.limiter.hot", "Hot ohms"),
    ("primary.limiter.at", "Hot at"),
    ("primary.limiter.time_constant", "Cools in"),
    ("primary.fuse.rating", "Fuse"),
    ("primary.fuse.kind", "Fuse kind"),
    ("primary.fuse.place", "Fuse place"),
    ("primary.build", "Core"),
    ("primary.core_rating", "Rated VA"),
    ("primary.no_load.lower", "Lower volts"),
    ("primary.no_load.higher", "Higher amps"),
    ("primary.saturates_at", "Saturates at"),
    ("primary.saturated_inductance", "Saturated L"),
    ("primary.heaters", "Heaters"),
    ("rectifier.kind", "Rectifier type"),
    ("rectifier.connection", "Connection"),
    ("rectifier.in_parallel", "In parallel"),
    ("rectifier.plate_resistor", "Plate resistor"),
    ("rectifier.heater", "Rectifier heater to"),
    ("filter.input_capacitor.unit", "C1 unit"),
    ("filter.input_capacitor.in_series", "C1 in series"),
    ("filter.input_capacitor.strings", "C1 strings"),
    ("filter.input_capacitor.working_volts", "C1 volts"),
    ("filter.input_capacitor.surge_volts", "C1 surge"),
    ("filter.input_capacitor.ripple_current", "C1 ripple"),
    ("filter.input_capacitor.balancing", "C1 balancing"),
    ("filter.input_capacitor.tolerance", "C1 tolerance"),
    ("filter.sections.capacitor.unit", "C2 unit"),
    ("filter.sections.series", "R1"),
    ("filter.sections.series.inductance", "L2"),
    ("filter.sections.series.resistance", "L2 ohms"),
    ("filter.sections.series.measured", "L2 was"),
    ("filter.sections.series.rating", "L2 current"),
    ("filter.bleeder", "Bleeder"),
    ("filter.internal_current", "Internal"),
    ("pass_stage.tube", "Pass tube type"),
    ("pass_stage.units", "Units"),
    ("pass_stage.cathode_resistor", "Cathode resistor"),
    ("pass_stage.plate_resistor", "Plate resistor"),
    ("pass_stage.imbalance", "Tube spread"),
    ("pass_stage.tube_spread", "Tube spread"),
    ("pass_stage.heater", "Heaters tied to"),
    ("pass_stage.grid_limit", "Grid limit"),
    ("regulator.control_tube", "Control tube type"),
    ("regulator.plate_load", "Plate load"),
    ("regulator.plate_supply", "Clean rail"),
    ("regulator.screen_divider.fed_from", "Screen divider on"),
    ("regulator.screen_divider.upper", "Screen upper R"),
    ("regulator.screen_divider.lower", "Screen lower R"),
    ("regulator.screen_divider.foot", "Screen foot on"),
    ("regulator.cathode", "Cathode on"),
    ("regulator.least_plate_volts", "Least plate V"),
    ("regulator.divider.resistance", "Sense control"),
    ("regulator.divider.foot", "Divider return"),
    ("regulator.divider.control.upper", "Divider upper R"),
    ("regulator.divider.control.pot", "Sense pot"),
    ("regulator.divider.control.lower", "Divider lower R"),
    ("regulator.divider.control.zero_adjuster", "Zero adjuster"),
    ("regulator.preload", "Preload"),
    ("regulator.heater", "Heater tied to"),
    ("regulator.reference.tubes", "Reference tube"),
    ("regulator.reference.feed_resistor", "Reference feed"),
    ("regulator.reference.fed_from", "Fed from"),
    ("regulator.reference.drawn", "Reference drawn"),
    ("regulator.reference.shunts.across", "Reference shunt 1"),
    ("regulator.reference.shunts.resistance", "Reference shunt 1"),
    ("regulator.bias_rail.winding", "Rail winding"),
    ("regulator.bias_rail.winding_resistance", "Rail copper"),
    ("regulator.bias_rail.winding_measured", "Rail copper was"),
    ("regulator.bias_rail.winding_rating", "Rail winding rms"),
    ("regulator.bias_rail.rectifier.kind", "Rail rectifier"),
    ("regulator.bias_rail.rectifier.connection", "Rail wiring"),
    ("regulator.bias_rail.rectifier.in_parallel", "Rail in parallel"),
    ("regulator.bias_rail.rectifier.in_series", "Rail in series"),
    ("regulator.bias_rail.rectifier.plate_resistor", "Rail plate resistor"),
    ("regulator.bias_rail.rectifier.heater", "Rail heater to"),
    ("regulator.bias_rail.load", "Rail load"),
    ("regulator.bias_rail.reference.tubes", "Rail tube"),
    ("regulator.bias_rail.reference.feed_resistor", "Rail feed"),
    ("regulator.bias_rail.reference.fed_from", "Rail feed"),
    ("regulator.bias_rail.reference.drawn", "Rail drawn"),
    ("regulator.bias_rail.reference.shunts.across", "Rail shunt 1"),
    ("regulator.bias_rail.reference.shunts.resistance", "Rail shunt 1"),
    ("regulator.bias_rail.filter.input_capacitor.unit", "Rail C1"),
    ("regulator.bias_rail.filter.input_capacitor.in_series", "Rail C1 in series"),
    ("regulator.bias_rail.filter.input_capacitor.strings", "Rail C1 strings"),
    ("regulator.bias_rail.filter.input_capacitor.working_volts", "Rail C1 volts"),
    ("regulator.bias_rail.filter.input_capacitor.surge_volts", "Rail C1 surge"),
    ("regulator.bias_rail.filter.input_capacitor.ripple_current", "Rail C1 ripple"),
    ("regulator.bias_rail.filter.input_capacitor.balancing", "Rail C1 balancing"),
    ("regulator.bias_rail.filter.input_capacitor.tolerance", "Rail C1 tolerance"),
    ("regulator.bias_rail.filter.sections.capacitor.unit", "Rail C2"),
    ("regulator.bias_rail.filter.sections.series", "Rail R1"),
    ("regulator.bias_rail.filter.sections.series.inductance", "Rail L2"),
    ("regulator.bias_rail.filter.sections.series.resistance", "Rail L2 ohms"),
    ("regulator.bias_rail.filter.sections.series.measured", "Rail L2 was"),
    ("regulator.bias_rail.filter.sections.series.rating", "Rail L2 current"),
    ("regulator.bias_rail.filter.bleeder", "Rail bleeder"),
    ("regulator.bias_rail.filter.internal_current", "Rail internal"),
    ("output.set_low", "Output range, low"),
    ("output.set_high", "Output range, high"),
    ("output.meter_shunt", "Meter shunt"),
    ("output.meter_scale", "Meter scale"),
    ("output.stand_by", "Stand-by switch"),
];

/// The file with a rail of which everything is said that a rectifier, a filter and a reference can have said of them.
fn with_a_whole_rail() -> String {
    let behind = EVERY_FIELD
        .split_once("\n    filter: (")
        .expect("a filter")
        .1;
    let inside = behind.split_once("\n    ),").expect("its end").0;
    let filter = format!("filter: ({inside}),");
    let filter = filter.as_str();
    let mut whole = EVERY_FIELD.to_owned();
    for (from, to) in [
        ("filter: (input_capacitor: (unit: \"40 µF\")),", filter),
        (
            "connection: HalfWave,",
            "connection: HalfWave, in_parallel: 1, plate_resistor: \"50 Ω\",",
        ),
        (
            "fed_from: BiasRail)",
            "fed_from: BiasRail, drawn: \"1 mA\", shunts: [(across: 1, resistance: \"1 MΩ\")])",
        ),
    ] {
        assert_eq!(whole.matches(from).count(), 1, "{from}");
        whole = whole.replace(from, to);
    }
    whole
}

/// The paths of the fields that hold a value, without the names of variants.
fn paths(text: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let (mut around, mut name): (Vec<String>, String) = (Vec::new(), String::new());
    let mut rest = text;
    while let Some(letter) = rest.chars().next() {
        let word = |c: char| c.is_alphanumeric() || c == '_' || c == '.';
        let length = match letter {
            '/' => rest.find('\n').unwrap_or(rest.len()),
            '"' => {
                let mut quotes = rest.match_indices('"').skip(1);
                quotes.next().map_or(rest.len(), |(at, _)| at + 1)
            }
            c if word(c) => rest.find(|c| !word(c)).unwrap_or(rest.len()),
            c => c.len_utf8(),
        };
        let (token, behind) = rest.split_at(length);
        rest = behind;
        match letter {
            '(' | '[' => around.push(std::mem::take(&mut name)),
            ')' | ']' => {
                around.pop();
            }
            c if word(c) && rest.starts_with(':') => token.clone_into(&mut name),
            c if (word(c) || c == '"') && !rest.starts_with('(') => {
                let whole = around.iter().chain([&name]).filter(|part| !part.is_empty());
                let whole: Vec<&str> = whole.map(String::as_str).collect();
                found.insert(whole.join("."));
                name.clear();
            }
            _ => {}
        }
    }
    found
}

#[test]
fn what_the_file_can_say_the_cards_show() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("every-field.ron");
    let text = with_a_whole_rail();
    std::fs::write(&path, &text).expect("written");
    let mut h = window_of(Some(path), Folders::default(), [1440.0, 6000.0]);
    assert_eq!(h.state().work().name, "every field");
    let is_of_supply =
        |path: &&String| !ELSEWHERE.contains(&path.split('.').next().unwrap_or_default());
    let fields: BTreeSet<String> = paths(&text).iter().filter(is_of_supply).cloned().collect();
    let named: BTreeSet<String> = ROWS.iter().map(|(field, _)| (*field).to_owned()).collect();
    assert_eq!(fields, named, "each field has its row in this list");
    let mut missing = Vec::new();
    for (part, card, folds) in CARDS {
        click(&mut h, card);
        for fold in folds {
            h.get_by_label(fold).click();
            h.run();
        }
        let of_part = |field: &str| field.strip_prefix(part).is_some_and(|f| f.starts_with('.'));
        for (field, row) in ROWS.iter().filter(|(field, _)| of_part(field)) {
            let roles = [
                egui::Role::TextInput,
                egui::Role::ComboBox,
                egui::Role::Button,
            ];
            let is_there = |role| h.query_all_by_role_and_label(role, row).next().is_some();
            if !roles.into_iter().any(is_there) {
                missing.push((*field, *row));
            }
        }
        click(&mut h, card);
    }
    assert_eq!(missing, [], "fields without their row");
}
