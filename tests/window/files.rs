//! Opening, saving, recent files, own types, the recovery copy, and the question about unsaved work.

use std::path::Path;

use egui_kittest::kittest::Queryable as _;
use sagline::app::settings::Folders;
use sagline::parts::{Ohms, catalogue::Catalogue, file};

use crate::{click, type_in, window, window_of, words};

const SIZE: [f32; 2] = [1440.0, 900.0];

fn folders_in(folder: &Path) -> Folders {
    Folders {
        config: Some(folder.join("config")),
        recovery: Some(folder.join("recovery")),
    }
}

fn written(folder: &Path, name: &str) -> std::path::PathBuf {
    let path = folder.join(name);
    let text = file::write(window().state().supply(), &Catalogue::built_in());
    std::fs::write(&path, text).expect("written");
    path
}

#[test]
fn a_preset_opens_from_the_menu() {
    let mut h = window();
    let before = h.state().supply().name.clone();
    click(&mut h, "Menu");
    click(&mut h, "Presets");
    click(&mut h, "Choke-input supply 250 V / 200 mA");
    assert_ne!(h.state().supply().name, before);
    assert!(
        words(&h).contains("Limits, the tightest first"),
        "{}",
        words(&h)
    );
}

#[test]
fn a_bad_file_is_said_with_place_and_the_window_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "bad.ron");
    let text = std::fs::read_to_string(&path).expect("there");
    let broken = text
        .replacen("bleeder: Some(\"", "bleeder: Some(\"x", 1)
        .replacen("bleeder: \"", "bleeder: \"x", 1);
    assert_ne!(text, broken, "the text has a bleeder:\n{text}");
    std::fs::write(&path, broken).expect("written");
    let h = window_of(Some(path), Folders::default(), SIZE);
    let said = words(&h);
    for part in ["bad.ron", "line ", "filter.bleeder", "found", "expected"] {
        assert!(said.contains(part), "no {part} in\n{said}");
    }
    assert!(
        said.contains("Limits, the tightest first"),
        "the demo supply stays"
    );
}

#[test]
fn control_s_saves_what_is_still_being_typed() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "mine.ron");
    let folders = folders_in(folder.path());
    let mut h = window_of(Some(path.clone()), folders.clone(), SIZE);
    click(&mut h, "Filter");
    h.get_by_role_and_label(egui::Role::TextInput, "Bleeder")
        .focus();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    h.run();
    h.get_by_role_and_label(egui::Role::TextInput, "Bleeder")
        .type_text("82k");
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    h.run();
    let text = std::fs::read_to_string(&path).expect("saved");
    let saved = file::read(&text, &Catalogue::built_in()).expect("readable");
    assert_eq!(saved.filter.bleeder, Some(Ohms(82e3)));
    assert_eq!(&saved, h.state().supply());
    // The next start opens it again.
    let next = window_of(None, folders, SIZE);
    assert_eq!(next.state().supply(), &saved);
}

#[test]
fn unsaved_work_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "mine.ron");
    let mut h = window_of(Some(path.clone()), Folders::default(), SIZE);
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    let open_preset = |h: &mut egui_kittest::Harness<'_, sagline::app::App>| {
        click(h, "Menu");
        click(h, "Presets");
        click(h, "Choke-input supply 250 V / 200 mA");
    };
    let changed = h.state().supply().clone();
    open_preset(&mut h);
    assert!(words(&h).contains("Save the changes first?"));
    click(&mut h, "Cancel");
    assert_eq!(h.state().supply(), &changed, "it stays");
    open_preset(&mut h);
    click(&mut h, "Save");
    let text = std::fs::read_to_string(&path).expect("saved");
    assert_eq!(
        file::read(&text, &Catalogue::built_in()).as_ref(),
        Ok(&changed)
    );
    assert_ne!(h.state().supply(), &changed, "the preset came");
}

#[test]
fn work_left_behind_is_offered() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let recovery = folders.recovery.clone().expect("a folder");
    std::fs::create_dir_all(&recovery).expect("made");
    let mut supply = window().state().supply().clone();
    supply.filter.bleeder = Some(Ohms(82e3));
    // No process has this number: the largest one on Linux is 2^22.
    let copy = recovery.join("99999999.ron");
    let text = file::write(&supply, &Catalogue::built_in());
    std::fs::write(&copy, format!("// unsaved work of a new supply\n{text}")).expect("written");
    let mut h = window_of(None, folders, SIZE);
    assert_ne!(h.state().supply(), &supply);
    click(&mut h, "Take it up");
    assert_eq!(h.state().supply(), &supply);
    assert!(!copy.exists());
    assert!(words(&h).contains("not saved"));
}

#[test]
fn a_bad_file_of_own_types_is_said_and_the_rest_loads() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let types = folders.config.clone().expect("a folder").join("types");
    std::fs::create_dir_all(&types).expect("made");
    std::fs::write(types.join("mine.ron"), "(rectifiers: [(name: 3)])").expect("written");
    let h = window_of(None, folders, SIZE);
    let said = words(&h);
    assert!(said.contains("mine.ron"), "{said}");
    assert!(said.contains("expected"), "{said}");
}

#[test]
fn the_caution_stands_in_the_first_window_and_not_in_the_next() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let mut h = window_of(None, folders.clone(), SIZE);
    assert!(words(&h).contains("Lethal voltages"));
    click(&mut h, "Understood");
    assert!(!words(&h).contains("Lethal voltages"));
    assert!(!words(&window_of(None, folders, SIZE)).contains("Lethal voltages"));
}
