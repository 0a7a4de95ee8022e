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
    click(&mut h, "Ghost a");
    let said = words(&h);
    assert!(said.contains("The smaller C1"), "{said}");
    assert!(said.contains("Bus ripple"), "{said}");
    assert!(said.contains("Numbers, ghost and now"), "{said}");
    click(&mut h, "Go back to it");
    assert_eq!(h.state().supply(), &before);
    assert_eq!(undo_label(&h), "Back to ghost a");
    assert!(words(&h).contains("Nothing differs at this point"));
}

/// What the ghost of this letter is called now.
fn called(h: &egui_kittest::Harness<'_, sagline::app::App>, letter: char) -> String {
    h.get_by_role_and_label(egui::Role::Button, &format!("Ghost {letter}"))
        .accesskit_node()
        .value()
        .unwrap_or_default()
}

#[test]
fn the_key_keeps_a_ghost_and_its_name_says_what_it_has_that_is_not_here_now() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "47k", egui::Key::Enter);
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::G);
    h.run();
    assert_eq!(called(&h, 'a'), "as now");
    type_in(&mut h, "C1 unit", "10 µF", egui::Key::Enter);
    assert_eq!(
        called(&h, 'a'),
        "C1 68 µF",
        "not by the last edit before it"
    );
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    assert_eq!(called(&h, 'a'), "C1 68 µF + 1 more");
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    h.run();
    assert_eq!(called(&h, 'a'), "C1 68 µF");
    click(&mut h, "Ghost a");
    type_in(&mut h, "Name of the ghost", "with 47k", egui::Key::Enter);
    assert_eq!(called(&h, 'a'), "with 47k");
    h.get_by_role_and_label(egui::Role::TextInput, "Name of the ghost")
        .focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.key_press(egui::Key::Delete);
    h.run();
    h.key_press(egui::Key::Enter);
    h.run();
    assert_eq!(called(&h, 'a'), "C1 68 µF", "without a name of its own");
    click(&mut h, "Remove this ghost");
    assert!(h.query_by_label("Ghost a").is_none());
    assert!(h.query_by_label("Name of the ghost").is_none());
}

#[test]
fn four_ghosts_are_told_by_letter_and_nothing_above_the_plot_moves_when_one_comes() {
    let mut h = window();
    click(&mut h, "Filter");
    let place =
        |h: &egui_kittest::Harness<'_, sagline::app::App>, name: &str| h.get_by_label(name).rect();
    let keep = place(&h, "Keep as ghost");
    let plot = place(&h, "Operating envelope");
    let mut first = None;
    for (letter, unit) in [
        ('a', "10 µF"),
        ('b', "22 µF"),
        ('c', "33 µF"),
        ('d', "47 µF"),
    ] {
        click(&mut h, "Keep as ghost");
        type_in(&mut h, "C1 unit", unit, egui::Key::Enter);
        let now = place(&h, "Ghost a");
        assert_eq!(*first.get_or_insert(now), now);
        assert!(
            outlined(&h).contains(&format!("{letter}: ")),
            "{}",
            outlined(&h)
        );
    }
    assert_eq!(
        outlined(&h),
        "a: C1 68 µF, b: C1 10 µF, c: C1 22 µF, d: C1 33 µF"
    );
    assert_eq!(
        (place(&h, "Keep as ghost"), place(&h, "Operating envelope")),
        (keep, plot)
    );
    // Each is a layer: it is left out and comes back.
    h.get_by_role_and_label(egui::Role::CheckBox, "Show ghost b")
        .click();
    h.run();
    assert_eq!(outlined(&h), "a: C1 68 µF, c: C1 22 µF, d: C1 33 µF");
    h.get_by_role_and_label(egui::Role::CheckBox, "Show ghost b")
        .click();
    h.run();
    // The oldest gives its letter to the fifth.
    click(&mut h, "Keep as ghost");
    assert_eq!(
        outlined(&h),
        "b: C1 10 µF, c: C1 22 µF, d: C1 33 µF, a: as now"
    );
}

#[test]
fn part_of_the_way_says_what_it_shows_and_changes_nothing() {
    let mut h = window();
    click(&mut h, "Keep as ghost");
    click(&mut h, "Filter");
    type_in(&mut h, "C1 unit", "10 µF", egui::Key::Enter);
    let now = h.state().supply().clone();
    click(&mut h, "Ghost a");
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
