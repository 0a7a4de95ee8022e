//! The tube editor: points pasted, fit seen, saved, picked; nothing that was typed is lost.

use std::path::Path;

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::{
    Amps, ControlTubeKind, Ohms, PlateCharacteristic, Rating, RatingSystem, Volts, Watts,
};

use crate::{click, pick, text_in, type_in, undo_label, window, window_of, words};

/// Five points of an invented power triode (µ 4, near the three-halves law).
const POINTS: &str =
    "Va\tVg\tIa (mA)\n150\t-20\t32\n200\t-30\t42\n250\t-45\t38\n250\t-35\t72\n300\t-60\t33\n";

fn folders(at: &Path) -> Folders {
    Folders {
        config: Some(at.join("config")),
        recovery: Some(at.join("recovery")),
    }
}

fn open_new(h: &mut Harness<'_, App>) {
    click(h, "Pass tubes");
    click(h, "New type…");
}

pub(crate) fn paste(h: &mut Harness<'_, App>, name: &str, text: &str) {
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name)
        .focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.run();
    h.event(egui::Event::Paste(text.to_owned()));
    h.run();
}

fn lines_in(h: &Harness<'_, App>, name: &str) -> String {
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name)
        .value()
        .unwrap_or_default()
}

#[test]
fn five_pasted_points_are_fitted_saved_and_picked() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    let before = h.state().supply().clone();
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    paste(&mut h, "Tube points", POINTS);
    let said = words(&h);
    assert!(said.contains("The law meets 5 points"), "{said}");
    assert!(said.contains("Zero-bias line is extrapolated"), "{said}");
    assert!(said.contains('±'), "{said}");
    let drawn = h
        .get_by_role_and_label(egui::Role::GraphicsObject, "Curves of the tube")
        .value()
        .unwrap_or_default();
    assert!(drawn.contains("5 points"), "{drawn}");
    type_in(&mut h, "Tube dissipation", "15 W", egui::Key::Tab);
    click(&mut h, "Save as my own type");
    let file = folder.path().join("config/types/own-tubes.ron");
    let text = std::fs::read_to_string(&file).expect("written");
    assert!(text.contains("\"T4\"") && text.contains("15 W"), "{text}");
    click(&mut h, "Close window");
    pick(&mut h, "Pass tube type", "T4");
    let tube = &h.state().supply().pass_stage.tube;
    assert_eq!(tube.name, "T4");
    let PlateCharacteristic::Published { points, .. } = &tube.characteristic else {
        panic!("points");
    };
    assert_eq!(points.len(), 5);
    click(&mut h, "Undo");
    assert_eq!(h.state().supply(), &before);
    // It is there in the next run too.
    let mut again = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    click(&mut again, "Pass tubes");
    pick(&mut again, "Pass tube type", "T4");
    assert_eq!(again.state().supply().pass_stage.tube.name, "T4");
}

#[test]
fn a_type_may_be_used_without_being_saved_and_undone() {
    let mut h = window();
    let before = h.state().supply().pass_stage.tube.name.clone();
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    paste(&mut h, "Tube points", POINTS);
    click(&mut h, "Use in this supply");
    assert_eq!(h.state().supply().pass_stage.tube.name, "T4");
    assert_eq!(undo_label(&h), "Pass tubes, T4");
    click(&mut h, "Undo");
    assert_eq!(h.state().supply().pass_stage.tube.name, before);
}

#[test]
fn one_point_with_mu_and_gm_is_enough() {
    let mut h = window();
    open_new(&mut h);
    click(&mut h, "One point");
    for (name, text) in [
        ("Tube name", "T42"),
        ("Tube plate volts", "250 V"),
        ("Tube grid volts", "-45 V"),
        ("Tube plate current", "60 mA"),
        ("Tube µ", "4.2"),
        ("Tube transconductance", "5.25 mS"),
    ] {
        type_in(&mut h, name, text, egui::Key::Tab);
    }
    let said = words(&h);
    assert!(said.contains("The law goes by the one point"), "{said}");
    click(&mut h, "Use in this supply");
    assert_eq!(h.state().supply().pass_stage.tube.name, "T42");
}

#[test]
fn a_zero_bias_table_is_enough_for_the_dropout_line() {
    let mut h = window();
    open_new(&mut h);
    click(&mut h, "Zero bias");
    type_in(&mut h, "Tube name", "Z", egui::Key::Tab);
    paste(
        &mut h,
        "Tube zero-bias curve",
        "20 V, 60 mA\n40 V, 150 mA\n60 V, 250 mA",
    );
    assert!(
        words(&h).contains("follows these 3 points"),
        "{}",
        words(&h)
    );
    click(&mut h, "Use in this supply");
    assert!(matches!(
        h.state().supply().pass_stage.tube.characteristic,
        PlateCharacteristic::ZeroBias(_)
    ));
}

#[test]
fn nonsense_is_refused_in_words_and_stays_as_typed() {
    let mut h = window();
    open_new(&mut h);
    type_in(&mut h, "Tube name", "N", egui::Key::Tab);
    let wrong = "250 V, -45 V, 60 mA\n300 V, -45 V, 20 mA\n250 V, -60 V, 10 mA";
    paste(&mut h, "Tube points", wrong);
    assert!(
        words(&h).contains("The current falls though the volts rise"),
        "{}",
        words(&h)
    );
    assert!(words(&h).contains("line 2"), "{}", words(&h));
    assert!(
        h.get_by_role_and_label(egui::Role::Button, "Use in this supply")
            .accesskit_node()
            .is_disabled()
    );
    paste(&mut h, "Tube points", "250 V, -45 V, 60 mA\nnonsense");
    assert!(
        words(&h).contains("Points, line 2: found nonsense"),
        "{}",
        words(&h)
    );
    assert_eq!(lines_in(&h, "Tube points"), "250 V, -45 V, 60 mA\nnonsense");
}

#[test]
fn what_is_typed_survives_a_closed_editor_and_a_crash() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    open_new(&mut h);
    type_in(&mut h, "Tube name", "half done", egui::Key::Tab);
    paste(&mut h, "Tube points", "250 V, -45 V, 60");
    click(&mut h, "Close window");
    click(&mut h, "New type…");
    assert_eq!(text_in(&h, "Tube name"), "half done");
    assert_eq!(lines_in(&h, "Tube points"), "250 V, -45 V, 60");
    // Another one begins; the first is not lost.
    click(&mut h, "Edit a copy…");
    assert_ne!(text_in(&h, "Tube name"), "half done");
    click(&mut h, "Earlier draft");
    assert_eq!(text_in(&h, "Tube name"), "half done");
    // The copy is written a moment later; then the program dies without a word.
    for _ in 0..40 {
        h.step();
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    let file = folder.path().join("recovery/tube-drafts.ron");
    let text = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(text.contains("half done"), "{text}");
    drop(h);
    let mut again = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    open_new(&mut again);
    assert_eq!(text_in(&again, "Tube name"), "half done");
    assert_eq!(lines_in(&again, "Tube points"), "250 V, -45 V, 60");
}

#[test]
fn own_types_that_cannot_be_read_are_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let types = folder.path().join("config/types");
    std::fs::create_dir_all(&types).expect("a folder");
    let file = types.join("own-tubes.ron");
    std::fs::write(&file, "my notes on tubes").expect("written");
    let mut h = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    paste(&mut h, "Tube points", POINTS);
    click(&mut h, "Save as my own type");
    assert!(words(&h).contains("it was left as it is"), "{}", words(&h));
    let text = std::fs::read_to_string(&file).expect("still there");
    assert_eq!(text, "my notes on tubes");
    assert_eq!(text_in(&h, "Tube name"), "T4");
}

#[test]
fn a_broken_file_of_own_types_keeps_its_text_and_takes_a_new_type() {
    let folder = tempfile::tempdir().expect("a folder");
    let types = folder.path().join("config/types");
    std::fs::create_dir_all(&types).expect("a folder");
    let file = types.join("own-tubes.ron");
    let half = "(format: 1, pass_tubes: [\n(name: \"T3\", units 1), // to mend\n";
    std::fs::write(&file, half).expect("written");
    let mut h = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    assert!(words(&h).contains("line 2, pass_tubes[0]"), "{}", words(&h));
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    paste(&mut h, "Tube points", POINTS);
    click(&mut h, "Save as my own type");
    assert!(words(&h).contains("Saved T4"), "{}", words(&h));
    let text = std::fs::read_to_string(&file).expect("still there");
    assert!(
        text.starts_with("(format: 1, pass_tubes: [\n")
            && text.ends_with("(name: \"T3\", units 1), // to mend\n"),
        "{text}"
    );
    // It is in the list at once, marked as the user's own.
    h.key_press(egui::Key::Escape);
    h.run();
    h.get_by_role_and_label(egui::Role::ComboBox, "Pass tube type")
        .click();
    h.run();
    let entry = h.get_by_role_and_label(egui::Role::Button, "T4");
    assert!(entry.value().is_some_and(|said| said.contains("own type")));
}

#[test]
fn the_editor_keeps_its_size_and_fits_the_smallest_window() {
    let mut h = window_of(None, Folders::default(), [1024.0, 700.0]);
    click(&mut h, "Pass tubes");
    click(&mut h, "Edit a copy…");
    let buttons = [
        "Use in this supply",
        "Save as my own type",
        "Start afresh",
        "Close window",
    ];
    let places = |h: &Harness<'_, App>| {
        buttons.map(|name| h.get_by_role_and_label(egui::Role::Button, name).rect())
    };
    let before = places(&h);
    for _ in 0..40 {
        h.step();
    }
    assert_eq!(places(&h), before, "it grows by itself");
    let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1024.0, 700.0));
    assert!(
        before.iter().all(|rect| screen.contains_rect(*rect)),
        "{before:?}"
    );
}

#[test]
fn a_control_tube_is_described_as_a_pentode_or_a_triode() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = window_of(None, folders(folder.path()), [1440.0, 900.0]);
    click(&mut h, "Regulator");
    let undescribed = h.query_by_role_and_label(egui::Role::Button, "Describe the regulator");
    if undescribed.is_some() {
        click(&mut h, "Describe the regulator");
    }
    click(&mut h, "New type…");
    click(&mut h, "Pentode");
    for (name, text) in [
        ("Tube name", "P1"),
        ("Tube plate volts", "250 V"),
        ("Tube screen volts", "100 V"),
        ("Tube grid volts", "-3 V"),
        ("Tube plate current", "3 mA"),
        ("Tube screen current", "0.8 mA"),
        ("Tube transconductance", "1.65 mS"),
    ] {
        type_in(&mut h, name, text, egui::Key::Tab);
    }
    click(&mut h, "Save as my own type");
    click(&mut h, "Use in this supply");
    click(&mut h, "Close window");
    let control = |h: &Harness<'_, App>| {
        let regulator = h.state().supply().regulator.as_ref();
        regulator
            .map(|r| r.control_tube.name.clone())
            .unwrap_or_default()
    };
    assert_eq!(control(&h), "P1");
    assert_eq!(undo_label(&h), "Regulator, P1");
    pick(&mut h, "Control tube type", "12AX7");
    click(&mut h, "Edit a copy…");
    assert_eq!(text_in(&h, "Tube name"), "12AX7 (own)");
    assert!(
        words(&h).contains("The law meets 6 points"),
        "{}",
        words(&h)
    );
    click(&mut h, "Use in this supply");
    assert_eq!(control(&h), "12AX7 (own)");
}

#[test]
fn heater_and_ratings_are_typed_each_with_its_system() {
    let mut h = window();
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    paste(&mut h, "Tube points", POINTS);
    pick(&mut h, "Tube rating system", "design-maximum");
    for (name, text) in [
        ("Tube heater volts", "6.3 V"),
        ("Tube heater current", "900 mA"),
        ("Tube dissipation", "15 W"),
        ("Tube whole bulb", "25 W"),
        ("Tube screen dissipation", "2.5 W"),
        ("Tube heater–cathode", "200 V"),
        ("Tube grid resistor", "500 kΩ"),
    ] {
        type_in(&mut h, name, text, egui::Key::Tab);
    }
    pick(
        &mut h,
        "Tube heater–cathode, rating system",
        "absolute maximum",
    );
    h.get_by_role_and_label(egui::Role::CheckBox, "Screen tied to the plate")
        .scroll_to_me();
    h.run();
    h.get_by_role_and_label(egui::Role::CheckBox, "Screen tied to the plate")
        .click();
    h.run();
    click(&mut h, "Use in this supply");
    let tube = &h.state().supply().pass_stage.tube;
    let rated = &tube.ratings;
    assert!(tube.triode_connected);
    assert_eq!(
        rated.heater.as_ref().map(|heater| heater.amps),
        Some(Amps(0.9))
    );
    let system = RatingSystem::DesignMaximum;
    assert_eq!(
        rated.plate_dissipation,
        Some(Rating::own(Watts(15.0), system))
    );
    assert_eq!(
        tube.envelope_dissipation,
        Some(Rating::own(Watts(25.0), system))
    );
    assert_eq!(
        rated.screen_dissipation,
        Some(Rating::own(Watts(2.5), system))
    );
    assert_eq!(
        rated.heater_cathode,
        Some(Rating::own(Volts(200.0), RatingSystem::AbsoluteMaximum))
    );
    assert_eq!(rated.grid_resistor, Some(Rating::own(Ohms(500e3), system)));
    // A heater of volts alone is no heater.
    type_in(&mut h, "Tube heater current", " ", egui::Key::Tab);
    assert!(
        words(&h).contains("Heater current: found nothing, expected a value such as 900 mA"),
        "{}",
        words(&h)
    );
}

#[test]
fn a_control_tube_has_screen_volts_and_keeps_all_its_operating_points() {
    let mut h = window();
    click(&mut h, "Regulator");
    pick(&mut h, "Control tube type", "6AU6");
    click(&mut h, "Edit a copy…");
    assert_eq!(text_in(&h, "Tube highest screen volts"), "150 V");
    type_in(&mut h, "Tube highest screen volts", "140 V", egui::Key::Tab);
    click(&mut h, "Use in this supply");
    let tube = h
        .state()
        .supply()
        .regulator
        .as_ref()
        .map(|r| &r.control_tube);
    let tube = tube.expect("described");
    assert_eq!(
        tube.screen_volts.as_ref().map(|rating| rating.value),
        Some(Volts(140.0))
    );
    let ControlTubeKind::Pentode {
        operating_points, ..
    } = &tube.kind
    else {
        panic!("a pentode");
    };
    assert_eq!(operating_points.len(), 3);
    assert!(
        operating_points
            .iter()
            .all(|p| !p.source.document.is_empty())
    );
}

#[test]
fn pasted_tables_are_read_and_their_slips_named() {
    let mut h = window();
    open_new(&mut h);
    type_in(&mut h, "Tube name", "T4", egui::Key::Tab);
    // As a spreadsheet with decimal commas gives it, with a column that is not asked for.
    paste(
        &mut h,
        "Tube points",
        "Nr.\tUa (V)\tUg (V)\tIa (mA)\n1\t150,5\t-20\t32\n2\t200\t-30,5\t42\n3\t250\t-45\t38\n4\t250\t-35\t72\n5\t300\t-60\t33\n",
    );
    assert!(
        words(&h).contains("The law meets 5 points"),
        "{}",
        words(&h)
    );
    paste(
        &mut h,
        "Tube points",
        "150; -20; 32\n200; -30; 420\n250; -45; 38\n250; -35; 72\n300; -60; 33\n",
    );
    let said = words(&h);
    assert!(
        said.contains("All other points are of one triode") && said.contains("line 2"),
        "{said}"
    );
    paste(&mut h, "Tube points", "1,250\t-14\t72");
    assert!(
        words(&h).contains("Points, line 1: found 1,250"),
        "{}",
        words(&h)
    );
    // Feet of curves take part in the judgement, not in the type.
    paste(&mut h, "Tube points", &format!("{POINTS}200\t-60\t0\n"));
    assert!(
        words(&h).contains("The point without current only bounds the law"),
        "{}",
        words(&h)
    );
    click(&mut h, "Use in this supply");
    let PlateCharacteristic::Published { points, .. } =
        &h.state().supply().pass_stage.tube.characteristic
    else {
        panic!("points");
    };
    assert_eq!(points.len(), 5);
}

/// The entries of an open list, from the top.
fn entries(h: &Harness<'_, App>, of: &[&str]) -> Vec<String> {
    let mut found: Vec<(f32, String)> = of
        .iter()
        .filter_map(|name| Some((h.query_by_label(name)?.rect().top(), (*name).to_owned())))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.into_iter().map(|(_, name)| name).collect()
}

#[test]
fn a_list_of_types_is_searched_by_typing_and_stands_in_order() {
    let mut h = window();
    click(&mut h, "Rectifier");
    h.get_by_role_and_label(egui::Role::ComboBox, "Rectifier type")
        .click();
    h.run();
    // By number, high vacuum before gas and silicon.
    let some = ["GZ34", "83", "5R4-GY", "6X5-GT", "1N4007"];
    let order = entries(&h, &some);
    let expected: Vec<&str> = ["5R4-GY", "6X5-GT", "GZ34", "83", "1N4007"]
        .into_iter()
        .filter(|name| order.iter().any(|found| found == name))
        .collect();
    assert_eq!(order, expected);
    assert!(order.len() > 3, "{order:?}");
    // Letters go into the field from wherever the keyboard is.
    h.event(egui::Event::Text("5r4".to_owned()));
    h.run();
    assert_eq!(entries(&h, &some), ["5R4-GY"]);
    h.key_press(egui::Key::Enter);
    h.run();
    assert_eq!(h.state().supply().rectifier.kind.name, "5R4-GY");
    // Opened again it begins with all of them.
    h.get_by_role_and_label(egui::Role::ComboBox, "Rectifier type")
        .click();
    h.run();
    assert!(entries(&h, &some).len() > 3);
}
