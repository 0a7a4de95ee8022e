//! The page for a new supply: from nothing to a picture, what is not known, what is wrong, what stays.

use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::{Ohms, Volts};

use crate::{click, pick, text_in, type_in, undo_label, window, window_of, words};

fn open_page(h: &mut Harness<'_, App>) {
    click(h, "Menu");
    click(h, "New supply…");
}

/// The page, and how many entries were made in it.
struct Page<'h> {
    window: &'h mut Harness<'static, App>,
    entries: usize,
}

impl Page<'_> {
    fn type_in(&mut self, name: &str, text: &str) {
        type_in(self.window, name, text, egui::Key::Enter);
        self.entries += 1;
    }

    fn pick(&mut self, name: &str, option: &str) {
        pick(self.window, name, option);
        self.entries += 1;
    }
}

#[test]
fn from_nothing_to_a_first_picture_in_at_most_twelve_entries() {
    let mut h = window();
    let demo = h.state().work().clone();
    open_page(&mut h);
    let mut page = Page {
        window: &mut h,
        entries: 0,
    };
    page.type_in("Mains: volts", "117 V");
    page.type_in("High-voltage winding: volts", "350-0-350");
    page.pick("Rectifier: type", "5U4-G");
    page.type_in("Filter input: value", "8 µF");
    page.type_in("Rest of the filter: in order", "8 H, 16 µF");
    page.pick("Pass tubes: type", "6L6-G");
    page.type_in("Pass tubes: how many", "2");
    page.pick("Control tube: type", "6SJ7");
    page.type_in("Negative rail: volts below zero", "150 V");
    page.type_in("Output range: lowest", "0 V");
    page.type_in("Output range: highest", "300 V");
    let entries = page.entries;
    click(&mut h, "Make the supply");
    assert!(entries <= 12, "{entries}");
    let work = h.state().work().clone();
    assert_eq!(work.supply.output.set_high, Volts(300.0));
    assert_eq!(work.supply.transformer.stated_volts(), Volts(350.0));
    assert_eq!(work.supply.pass_stage.units, 2);
    assert!(work.dummies.is_empty() && work.notes.is_empty() && work.name != demo.name);
    let said = words(&h);
    assert!(
        said.contains("Moves with the point, the tightest first"),
        "{said}"
    );
    assert!(
        !said.contains("No picture yet") && !said.contains("was not updated"),
        "{said}"
    );
    assert!(said.contains("values are guessed"), "{said}");
}

#[test]
fn a_mark_goes_when_a_value_is_typed_or_the_guess_is_said_to_be_right_and_undo_brings_it_back() {
    let mut h = window();
    open_page(&mut h);
    click(&mut h, "Make the supply");
    let guessed = |h: &Harness<'_, App>, field: &str| {
        h.state()
            .work()
            .guessed
            .iter()
            .any(|marked| marked == field)
    };
    click(&mut h, "Transformer");
    let (secondary, primary) = (
        "transformer.secondary_resistance",
        "transformer.primary_resistance",
    );
    assert!(guessed(&h, secondary) && guessed(&h, primary));
    assert!(h.query_by_label("Winding ohms, guessed").is_some());
    type_in(&mut h, "Winding ohms", "77 Ω", egui::Key::Enter);
    assert_eq!(
        h.state().supply().transformer.secondary_resistance,
        Ohms(77.0)
    );
    assert!(!guessed(&h, secondary) && guessed(&h, primary));
    assert!(h.query_by_label("Winding ohms, guessed").is_none());
    click(&mut h, "Primary ohms, guessed");
    assert!(!guessed(&h, primary));
    assert_eq!(undo_label(&h), "Transformer, primary ohms as guessed");
    for _ in 0..2 {
        h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
        h.run();
    }
    assert!(guessed(&h, secondary) && guessed(&h, primary));
    assert!(h.query_by_label("Winding ohms, guessed").is_some());
}

#[test]
fn a_fault_stands_beside_its_field_and_what_is_typed_stays_over_a_close() {
    let mut h = window();
    let demo = h.state().work().clone();
    open_page(&mut h);
    type_in(
        &mut h,
        "High-voltage winding: volts",
        "350-0-",
        egui::Key::Enter,
    );
    let said = words(&h);
    assert!(
        said.contains("found \"350-0-\", expected volts such as"),
        "{said}"
    );
    let wrong = h.get_by_label_contains("expected volts such as").rect();
    let field = h.get_by_role_and_label(egui::Role::TextInput, "High-voltage winding: volts");
    let below = wrong.top() - field.rect().bottom();
    assert!((0.0..12.0).contains(&below), "{below}");
    let make = h.get_by_role_and_label(egui::Role::Button, "Make the supply");
    assert!(make.accesskit_node().is_disabled());
    click(&mut h, "Close");
    assert_eq!(h.state().work(), &demo);
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::N);
    h.run();
    assert_eq!(text_in(&h, "High-voltage winding: volts"), "350-0-");
    click(&mut h, "Clear the page");
    assert_eq!(text_in(&h, "High-voltage winding: volts"), "");
    h.key_press(egui::Key::Escape);
    h.run();
    h.key_press(egui::Key::Escape);
    h.run();
    assert!(!words(&h).contains("Answer what you know"), "{}", words(&h));
}

#[test]
fn unsaved_work_is_asked_about_and_the_new_supply_is_unsaved_itself() {
    let mut h = window();
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    let begun = h.state().work().clone();
    open_page(&mut h);
    type_in(&mut h, "Mains: volts", "117 V", egui::Key::Enter);
    click(&mut h, "Make the supply");
    assert!(
        words(&h).contains("Save the changes first?"),
        "{}",
        words(&h)
    );
    click(&mut h, "Cancel");
    assert_eq!(h.state().work(), &begun);
    assert_eq!(
        text_in(&h, "Mains: volts"),
        "117 V",
        "the page is there again"
    );
    click(&mut h, "Make the supply");
    click(&mut h, "Do not save");
    assert_eq!(h.state().supply().mains.nominal, Volts(117.0));
    click(&mut h, "Menu");
    click(&mut h, "Help");
    click(&mut h, "Tour");
    assert!(
        words(&h).contains("Save the changes first?"),
        "{}",
        words(&h)
    );
}

#[test]
fn it_is_offered_beside_the_tour_and_goes_by_the_keyboard_alone() {
    let mut h = window_of(None, Folders::default(), [1024.0, 700.0]);
    click(&mut h, "Understood");
    click(&mut h, "Start a new supply");
    // The first field has the keyboard; Enter leads on, Tab passes a list.
    for (text, key) in [
        ("230 V", egui::Key::Enter),
        ("", egui::Key::Tab),
        ("300", egui::Key::Enter),
    ] {
        h.event(egui::Event::Text(text.to_owned()));
        h.run();
        h.key_press(key);
        h.run();
    }
    assert_eq!(text_in(&h, "Mains: volts"), "230 V");
    assert_eq!(text_in(&h, "High-voltage winding: volts"), "300");
    let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1024.0, 700.0));
    for name in ["Make the supply", "Clear the page", "Close"] {
        let rect = h.get_by_role_and_label(egui::Role::Button, name).rect();
        assert!(screen.contains_rect(rect), "{name} {rect:?}");
    }
    click(&mut h, "Make the supply");
    assert!(!words(&h).contains("New here?"), "{}", words(&h));
    assert_eq!(h.state().supply().transformer.stated_volts(), Volts(300.0));
}
