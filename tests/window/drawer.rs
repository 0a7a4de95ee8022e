//! The drawer's card, the networks of the dock, and loads that are wired of several resistors.

use std::path::Path;

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;

use crate::{click, text_in, type_in, undo_label, window_of, words};

fn folders(at: &Path) -> Folders {
    Folders {
        config: Some(at.join("config")),
        recovery: Some(at.join("recovery")),
    }
}

fn open(at: &Path) -> Harness<'static, App> {
    let mut h = window_of(None, folders(at), [1440.0, 1600.0]);
    click(&mut h, "Understood");
    h
}

/// Types into the field for many lines, in place of what stands there.
fn jot(h: &mut Harness<'_, App>, text: &str) {
    let field = |h: &Harness<'_, App>| {
        h.get_by_role_and_label(egui::Role::MultilineTextInput, "Resistors to put in")
            .scroll_to_me();
    };
    field(h);
    h.run();
    h.get_by_role_and_label(egui::Role::MultilineTextInput, "Resistors to put in")
        .focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.run();
    h.get_by_role_and_label(egui::Role::MultilineTextInput, "Resistors to put in")
        .type_text(text);
    h.run();
}

fn counts(h: &Harness<'_, App>) -> Vec<(u8, f64)> {
    let all = h.state().drawer().resistors.iter();
    all.map(|owned| (owned.count, owned.resistor.resistance.0))
        .collect()
}

/// Waits for what is worked out beside the frame.
fn settle(h: &mut Harness<'_, App>, name: &str) {
    for _ in 0..400 {
        h.run();
        if h.query_by_role_and_label(egui::Role::Button, name)
            .is_some()
        {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
}

#[test]
fn what_is_jotted_is_put_in_kept_and_taken_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = open(folder.path());
    click(&mut h, "Resistor drawer");
    jot(
        &mut h,
        "4 x 10k 25W ww\n10k 25W wirewund\n2 pcs 4k7 50W alu bare",
    );
    click(&mut h, "Put in");
    assert_eq!(counts(&h), [(4, 10e3), (2, 4.7e3)]);
    assert_eq!(undo_label(&h), "Drawer, 2 entries put in");
    // What could not be read stays to be mended, with why.
    let left = h
        .get_by_role_and_label(egui::Role::MultilineTextInput, "Resistors to put in")
        .value();
    assert_eq!(left.as_deref(), Some("10k 25W wirewund"));
    assert!(words(&h).contains("wirewund, expected"), "{}", words(&h));
    assert!(
        words(&h).contains("bare, without heat sink: 20 of 50 W"),
        "{}",
        words(&h)
    );
    // Typed over in its place; what is wrong stays there.
    type_in(
        &mut h,
        "Entry 1 of the drawer",
        "3 × 12k 25 W ww",
        egui::Key::Enter,
    );
    assert_eq!(counts(&h), [(3, 12e3), (2, 4.7e3)]);
    type_in(&mut h, "Entry 1 of the drawer", "3 × 12k", egui::Key::Enter);
    assert_eq!(counts(&h), [(3, 12e3), (2, 4.7e3)]);
    assert_eq!(text_in(&h, "Entry 1 of the drawer"), "3 × 12k");
    click(&mut h, "Remove entry 2");
    assert_eq!(counts(&h), [(3, 12e3)]);
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    h.run();
    h.run();
    assert_eq!(counts(&h), [(3, 12e3), (2, 4.7e3)]);
    drop(h);
    // Kept for the next window, whatever supply it is on.
    let again = window_of(None, folders(folder.path()), [1440.0, 1600.0]);
    assert_eq!(counts(&again), [(3, 12e3), (2, 4.7e3)]);
    assert!(folder.path().join("drawer.ron").exists());
}

#[test]
fn a_network_for_the_point_becomes_a_load_that_remembers_how_it_is_wired() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = open(folder.path());
    click(&mut h, "From the drawer");
    assert!(words(&h).contains("The drawer is empty"), "{}", words(&h));
    click(&mut h, "Resistor drawer");
    jot(
        &mut h,
        "6 x 10k 25W ww\n3 x 4k7 50W ww\n2 x 22k 25W ww\n2 x 1k 50W ww",
    );
    click(&mut h, "Put in");
    settle(&mut h, "Use network 1");
    let before = h.state().work().dummies.len();
    let [amps, volts] = h.state().point();
    click(&mut h, "Use network 1");
    let dummies = &h.state().work().dummies;
    assert_eq!(dummies.len(), before + 1);
    let load = dummies.last().expect("the load");
    let made_of = load.made_of.as_ref().expect("how it is wired");
    assert!((made_of.ohms() / load.resistance.0 - 1.0).abs() < 1e-3);
    assert!(
        (load.resistance.0 / (volts / amps) - 1.0).abs() < 0.101,
        "{load:?}"
    );
    assert!(
        undo_label(&h).ends_with("from the drawer"),
        "{}",
        undo_label(&h)
    );
    // Its make-up goes when other ohms are typed.
    type_in(&mut h, "Resistance", "5k", egui::Key::Enter);
    assert_eq!(
        h.state()
            .work()
            .dummies
            .last()
            .and_then(|load| load.made_of.clone()),
        None
    );
}

#[test]
fn few_loads_show_the_envelope() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut h = open(folder.path());
    click(&mut h, "Resistor drawer");
    jot(
        &mut h,
        "4 x 10k 25W ww\n3 x 4k7 50W ww\n2 x 22k 25W ww\n4 x 1k 100W ww",
    );
    click(&mut h, "Put in");
    click(&mut h, "From the drawer");
    h.get_by_role_and_label(egui::Role::RadioButton, "the envelope")
        .click();
    settle(&mut h, "Use mid range");
    assert!(words(&h).contains("light load, "), "{}", words(&h));
    click(&mut h, "Use mid range");
    assert!(
        h.state()
            .work()
            .dummies
            .last()
            .is_some_and(|load| load.made_of.is_some())
    );
}
