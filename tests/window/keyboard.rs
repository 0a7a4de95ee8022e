//! Why, compare, views and pictures with the keyboard alone: Tab, arrows, Enter, Escape and the shortcuts.

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use sagline::app::App;

use crate::{says_outside, window, words};

/// The label of what has the keyboard.
pub(crate) fn focused(h: &Harness<'_, App>) -> String {
    h.query_all(By::new().predicate(|node| node.is_focused() && node.label().is_some()))
        .find_map(|node| node.accesskit_node().label())
        .unwrap_or_default()
}

/// Goes on by Tab until this has the keyboard.
pub(crate) fn tab_to(h: &mut Harness<'_, App>, label: &str) {
    let mut passed = Vec::new();
    for _ in 0..150 {
        h.key_press(Key::Tab);
        h.run();
        let now = focused(h);
        if now == label {
            return;
        }
        passed.push(now);
    }
    panic!("{label} is not reached by Tab: {passed:?}");
}

pub(crate) fn press(h: &mut Harness<'_, App>, key: Key) {
    h.key_press(key);
    h.run();
}

fn command(h: &mut Harness<'_, App>, key: Key) {
    h.key_press_modifiers(egui::Modifiers::COMMAND, key);
    h.run();
}

fn plot(h: &Harness<'_, App>) -> String {
    h.get_by_role_and_label(egui::Role::GraphicsObject, "Operating envelope")
        .value()
        .unwrap_or_default()
}

#[test]
fn why_compare_views_and_pictures_go_by_the_keyboard_alone() {
    let mut h = window();
    tab_to(&mut h, "Understood");
    press(&mut h, Key::Enter);
    tab_to(&mut h, "No, thank you");
    press(&mut h, Key::Enter);
    assert!(!words(&h).contains("New here?"));

    // The point, out of the envelope and back.
    command(&mut h, Key::L);
    for _ in 0..16 {
        h.key_press(Key::ArrowUp);
        h.step();
    }
    h.run();
    assert!(says_outside(&plot(&h)), "{}", plot(&h));
    tab_to(&mut h, "Why, and what moves it");
    press(&mut h, Key::Enter);
    assert!(words(&h).contains("Back inside"), "{}", words(&h));

    // A ghost, another capacitor out of its list, and what changed.
    command(&mut h, Key::G);
    tab_to(&mut h, "Filter");
    press(&mut h, Key::Enter);
    tab_to(&mut h, "C1 instead");
    press(&mut h, Key::Enter);
    for _ in 0..30 {
        h.step();
    }
    tab_to(&mut h, "2 × 15 µF");
    assert!(plot(&h).contains("2 × 15 µF"), "its outline: {}", plot(&h));
    press(&mut h, Key::Enter);
    let unit = h.state().supply().filter.stacks().next().expect("C1").unit;
    assert!((unit.0 - 15e-6).abs() < 1e-12, "{unit:?}");
    tab_to(&mut h, "Ghost a");
    press(&mut h, Key::Enter);
    assert!(words(&h).contains("The smaller C1"), "{}", words(&h));
    tab_to(&mut h, "From ghost to now");
    for _ in 0..3 {
        press(&mut h, Key::ArrowLeft);
    }
    assert!(words(&h).contains("In between"), "{}", words(&h));
    tab_to(&mut h, "Close the changes");
    press(&mut h, Key::Enter);

    // The views and the margin map.
    for (button, view) in [
        ("In time", "One mains cycle"),
        ("Workings", "Where the watts go"),
        ("how the output is held", "How the output is held"),
    ] {
        tab_to(&mut h, button);
        press(&mut h, Key::Enter);
        h.get_by_role_and_label(egui::Role::GraphicsObject, view);
    }
    tab_to(&mut h, "Shade by margin");
    press(&mut h, Key::Enter);

    // A word, the tour, a picture.
    press(&mut h, Key::F1);
    assert!(words(&h).contains("zero-bias curve"));
    press(&mut h, Key::Escape);
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("by-keyboard.svg");
    command(&mut h, Key::P);
    tab_to(&mut h, "comparison");
    press(&mut h, Key::Enter);
    tab_to(&mut h, "Picture file");
    command(&mut h, Key::A);
    let field = h.get_by_role_and_label(egui::Role::TextInput, "Picture file");
    field.type_text(&path.to_string_lossy());
    h.run();
    tab_to(&mut h, "Write the file");
    press(&mut h, Key::Enter);
    let text = std::fs::read_to_string(&path).expect("written");
    assert!(text.contains("a: C1 68 µF"), "the ghost's name is on it");
}

#[test]
fn a_list_begins_at_what_is_in_use_goes_by_arrows_and_gives_the_keyboard_back() {
    let mut h = window();
    let before = h.state().supply().clone();
    crate::click(&mut h, "Filter");
    h.get_by_role_and_label(egui::Role::ComboBox, "C1 instead")
        .focus();
    h.run();
    press(&mut h, Key::Enter);
    for _ in 0..40 {
        h.step();
    }
    assert_eq!(focused(&h), "2 × 68 µF");
    assert!(!plot(&h).contains("In outline"), "it is there already");
    press(&mut h, Key::ArrowDown);
    for _ in 0..3 {
        h.step();
    }
    assert_eq!(focused(&h), "2 × 100 µF");
    assert!(plot(&h).contains("In outline: 2 × 100 µF"), "{}", plot(&h));
    press(&mut h, Key::Escape);
    assert_eq!(focused(&h), "C1 instead");
    assert_eq!(h.state().supply(), &before);
    assert!(!plot(&h).contains("In outline"), "{}", plot(&h));
}

#[test]
fn the_glossary_gives_the_keyboard_back_to_what_had_it() {
    let mut h = window();
    h.get_by_role_and_label(egui::Role::Button, "Filter")
        .focus();
    h.run();
    press(&mut h, Key::F1);
    assert_eq!(focused(&h), "Look up a word");
    press(&mut h, Key::Escape);
    assert_eq!(focused(&h), "Filter");
}

#[test]
fn a_question_has_the_keyboard_and_gives_it_back() {
    let mut h = window();
    h.get_by_role_and_label(egui::Role::Button, "Filter")
        .focus();
    h.run();
    command(&mut h, Key::E);
    h.run();
    assert_eq!(focused(&h), "envelope");
    press(&mut h, Key::Escape);
    assert_eq!(focused(&h), "Filter");
}
