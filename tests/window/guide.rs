//! The tour and the glossary, by pointer and by keyboard.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;

use crate::{click, follow, type_in, unfold_limits, window, window_of, words};

const SIZE: [f32; 2] = [1440.0, 900.0];

#[test]
fn the_tour_does_something_at_each_step_and_ends() {
    let mut h = window();
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    assert!(words(&h).contains("Step 1 of 6"), "{}", words(&h));
    let mut before = (h.state().work().clone(), h.state().point());
    for (deed, on) in [
        ("Put the point inside", "Next"),
        ("Turn it down to a limit", "Next"),
        ("Pick the second dummy", "Next"),
        ("Slide to low mains", "Next"),
        ("Double the first capacitor", "Next"),
        ("Show the watts", "Finish"),
    ] {
        click(&mut h, deed);
        let now = (h.state().work().clone(), h.state().point());
        if on == "Next" {
            assert!(now != before, "{deed} changes something");
        } else {
            assert!(words(&h).contains("from the mains at"), "{}", words(&h));
        }
        before = now;
        click(&mut h, on);
    }
    assert!(!words(&h).contains("Step "), "{}", words(&h));
}

/// Where a button is drawn.
fn place_of(h: &Harness<'_, App>, name: &str) -> egui::Rect {
    h.get_by_role_and_label(egui::Role::Button, name).rect()
}

#[test]
fn the_tour_goes_on_by_a_button_that_stays_in_its_place() {
    let mut h = window();
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    let first = place_of(&h, "Next");
    for _ in 0..4 {
        click(&mut h, "Next");
        assert_eq!(place_of(&h, "Next"), first);
    }
    click(&mut h, "Next");
    assert_eq!(place_of(&h, "Finish"), first);
}

#[test]
fn finishing_the_tour_brings_back_what_was_there() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    let before = (h.state().work().clone(), h.state().point());
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    click(&mut h, "Do not save");
    for deed in ["Put the point inside", "Turn it down to a limit"] {
        click(&mut h, deed);
        click(&mut h, "Next");
    }
    assert!(h.state().work() != &before.0 && h.state().point() != before.1);
    click(&mut h, "Skip the tour");
    assert_eq!((h.state().work().clone(), h.state().point()), before);
    // With the steps that led there, and still unsaved.
    assert!(words(&h).contains("not saved"), "{}", words(&h));
    click(&mut h, "Undo");
    assert!(h.state().work() != &before.0);
}

#[test]
fn whoever_changes_the_demo_by_hand_is_asked_when_the_tour_ends() {
    let mut h = window();
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    click(&mut h, "Skip the tour");
    assert!(
        words(&h).contains("Save the changes first?"),
        "{}",
        words(&h)
    );
}

#[test]
fn the_tour_is_offered_once_and_never_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = Folders {
        config: Some(folder.path().join("config")),
        recovery: None,
    };
    let mut h = window_of(None, folders.clone(), SIZE);
    assert!(!words(&h).contains("New here?"), "the caution comes first");
    click(&mut h, "Understood");
    assert!(words(&h).contains("New here?"), "{}", words(&h));
    // It stays until it is answered.
    assert!(words(&window_of(None, folders.clone(), SIZE)).contains("New here?"));
    click(&mut h, "Start the tour");
    assert!(words(&h).contains("Step 1 of 6"));
    click(&mut h, "Skip the tour");
    assert!(!words(&h).contains("Step 1 of 6"));
    assert!(!words(&window_of(None, folders, SIZE)).contains("New here?"));
}

#[test]
fn the_tour_asks_before_it_puts_unsaved_work_aside() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    assert!(words(&h).contains("Save the changes first?"));
    click(&mut h, "Do not save");
    assert!(words(&h).contains("Step 1 of 6"), "{}", words(&h));
}

#[test]
fn the_glossary_opens_by_key_finds_a_word_and_closes_by_key() {
    let mut h = window();
    h.key_press(egui::Key::F1);
    h.run();
    assert!(words(&h).contains("zero-bias curve"), "{}", words(&h));
    // The field to type in has the keyboard already.
    h.get_by_role_and_label(egui::Role::TextInput, "Look up a word")
        .type_text("glows");
    h.run();
    let said = words(&h);
    assert!(
        said.contains("plate dissipation") && !said.contains("zero-bias curve"),
        "{said}"
    );
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(!words(&h).contains("the tube is lost"), "{}", words(&h));
}

/// The words with plain spaces before their units.
fn untied(h: &Harness<'_, App>) -> String {
    words(h).replace('\u{a0}', " ")
}

#[test]
fn a_limit_is_explained_and_looked_up_by_a_click_and_by_the_keyboard() {
    let mut h = window();
    unfold_limits(&mut h);
    click(&mut h, "About plate and screen dissipation");
    assert!(untied(&h).contains("; allowed 25 W"), "{}", words(&h));
    follow(&mut h, "plate and screen dissipation, what it means");
    assert!(words(&h).contains("the tube is lost"), "{}", words(&h));
    h.key_press(egui::Key::Escape);
    h.run();
    h.get_by_role_and_label(egui::Role::Button, "About dropout")
        .focus();
    h.run();
    h.key_press(egui::Key::Enter);
    h.run();
    assert!(words(&h).contains("; valley of the bus"), "{}", words(&h));
    follow(&mut h, "dropout, what it means");
    assert!(
        words(&h).contains("the output follows the bus and hums"),
        "{}",
        words(&h)
    );
}

#[test]
fn escape_closes_the_tour_but_not_while_a_list_is_open() {
    let mut h = window();
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    assert!(words(&h).contains("Step 1 of 6"));
    click(&mut h, "Menu");
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(words(&h).contains("Step 1 of 6"), "the menu closes first");
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(!words(&h).contains("Step "), "{}", words(&h));
}

#[test]
fn a_number_of_the_comparison_is_looked_up_by_a_click() {
    let mut h = window();
    click(&mut h, "Keep as ghost");
    click(&mut h, "Filter");
    type_in(&mut h, "C1 unit", "10 µF", egui::Key::Enter);
    click(&mut h, "Ghost a");
    h.get_by_role_and_label(egui::Role::Label, "bus valley")
        .scroll_to_me();
    h.run();
    h.get_by_role_and_label(egui::Role::Label, "bus valley")
        .click();
    h.run();
    assert!(
        words(&h).contains("The lowest instant of the bus"),
        "{}",
        words(&h)
    );
}

#[test]
fn any_limit_of_the_list_is_explained_and_folded_again() {
    let mut h = window();
    click(&mut h, "About winding rms");
    let said = untied(&h);
    assert!(
        said.contains("of conduction") && said.contains("; allowed 210 mA"),
        "{said}"
    );
    click(&mut h, "About winding rms");
    assert!(!words(&h).contains("of conduction"), "{}", words(&h));
}
