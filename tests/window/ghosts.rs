//! Ghosts: keep one, change a part, read what changed, go part of the way, go back.

use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::{click, type_in, undo_label, window, words};

#[test]
fn a_kept_ghost_tells_what_the_larger_capacitor_did() {
    let mut h = window();
    let before = h.state().supply().clone();
    click(&mut h, "Keep as ghost");
    click(&mut h, "Filter");
    type_in(&mut h, "C1 unit", "10 µF", egui::Key::Enter);
    assert_ne!(h.state().supply(), &before);
    click(&mut h, "Ghost As opened");
    let said = words(&h);
    assert!(said.contains("The smaller C1"), "{said}");
    assert!(said.contains("Bus ripple"), "{said}");
    assert!(said.contains("Numbers, ghost and now"), "{said}");
    click(&mut h, "Go back to it");
    assert_eq!(h.state().supply(), &before);
    assert_eq!(undo_label(&h), "Back to ghost As opened");
    assert!(words(&h).contains("Nothing differs at this point"));
}

#[test]
fn the_key_keeps_a_ghost_named_by_the_change_that_led_to_it() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "47k", egui::Key::Enter);
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::G);
    h.run();
    click(&mut h, "Ghost Filter, bleeder 47 kΩ");
    type_in(&mut h, "Name of the ghost", "with 47k", egui::Key::Enter);
    click(&mut h, "Remove this ghost");
    assert!(h.query_by_label("Ghost with 47k").is_none());
    assert!(h.query_by_label("Name of the ghost").is_none());
}

#[test]
fn part_of_the_way_says_what_it_shows_and_changes_nothing() {
    let mut h = window();
    click(&mut h, "Keep as ghost");
    click(&mut h, "Filter");
    type_in(&mut h, "C1 unit", "10 µF", egui::Key::Enter);
    let now = h.state().supply().clone();
    click(&mut h, "Ghost As opened");
    let slider = |h: &egui_kittest::Harness<'_, sagline::app::App>, share: f64| {
        h.get_by_role_and_label(egui::Role::Slider, "From ghost to now")
            .set_value_accesskit(share);
    };
    slider(&h, 0.5);
    h.run();
    let said = words(&h);
    assert!(
        said.contains("In between: all values part of the way"),
        "{said}"
    );
    assert_eq!(h.state().supply(), &now);
    let node = h.get_by_role_and_label(egui::Role::Slider, "From ghost to now");
    assert_eq!(node.accesskit_node().value().as_deref(), Some("50 %"));
}

#[test]
fn an_open_list_marks_every_entry_before_one_is_chosen() {
    let mut h = window();
    let before = h.state().supply().clone();
    click(&mut h, "Rectifier");
    h.get_by_role_and_label(egui::Role::ComboBox, "Rectifier type")
        .click();
    for _ in 0..40 {
        h.step();
    }
    let said = |name: &str, h: &egui_kittest::Harness<'_, sagline::app::App>| {
        h.get_by_role_and_label(egui::Role::Button, name)
            .accesskit_node()
            .value()
            .unwrap_or_default()
    };
    let same = said("5U4-GB", &h);
    assert!(same.starts_with("allowed here"), "{same}");
    let small = said("5Y3-GT", &h);
    assert!(!small.is_empty());
    assert_eq!(h.state().supply(), &before);
}

/// What stands on the plot in outline, for those who cannot see it.
fn outlined(h: &egui_kittest::Harness<'_, sagline::app::App>) -> String {
    let plot = h.get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope");
    let value = plot.accesskit_node().value().unwrap_or_default();
    value
        .split_once("In outline: ")
        .map(|(_, names)| names.to_owned())
        .unwrap_or_default()
}

#[test]
fn a_capacitor_in_the_list_shows_its_envelope_under_the_pointer_and_by_the_keyboard() {
    let mut h = window();
    let before = h.state().supply().clone();
    click(&mut h, "Filter");
    h.get_by_role_and_label(egui::Role::ComboBox, "C1 instead")
        .click();
    for _ in 0..40 {
        h.step();
    }
    let entry = |h: &egui_kittest::Harness<'_, sagline::app::App>, name: &str| {
        let node = h.get_by_role_and_label(egui::Role::Button, name);
        (node.rect().center(), node.value().unwrap_or_default())
    };
    // Each entry says what it would do at the point.
    let (larger, said) = entry(&h, "2 × 100 µF");
    assert!(
        said.contains("allowed here") || said.contains("over here"),
        "{said}"
    );
    h.hover_at(larger);
    for _ in 0..3 {
        h.step();
    }
    assert_eq!(outlined(&h), "2 × 100 µF");
    h.get_by_role_and_label(egui::Role::Button, "2 × 47 µF")
        .focus();
    h.hover_at(egui::pos2(720.0, 5.0));
    for _ in 0..3 {
        h.step();
    }
    assert_eq!(outlined(&h), "2 × 47 µF");
    assert_eq!(h.state().supply(), &before, "looking changes nothing");
    h.key_press(egui::Key::Enter);
    h.run();
    let chosen = h.state().supply().filter.stacks().next().expect("C1").unit;
    assert!((chosen.0 - 47e-6).abs() < 1e-12, "{chosen:?}");
    assert_eq!(undo_label(&h), "Filter, C1 2 × 47 µF");
    assert_eq!(outlined(&h), "");
}

#[test]
fn a_tube_in_the_list_shows_its_envelope_by_the_keyboard() {
    let mut h = window();
    click(&mut h, "Pass tubes");
    h.get_by_role_and_label(egui::Role::ComboBox, "Pass tube type")
        .click();
    for _ in 0..40 {
        h.step();
    }
    h.get_by_role_and_label(egui::Role::Button, "6336-A")
        .focus();
    for _ in 0..3 {
        h.step();
    }
    assert_eq!(outlined(&h), "6336-A");
    h.key_press(egui::Key::Escape);
    h.run();
    assert_eq!(outlined(&h), "");
}
