//! Saving in one's own file: comments and order stay, and what another has made of the file is asked about.

use std::path::{Path, PathBuf};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use sagline::app::App;
use sagline::app::settings::Folders;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::{Ohms, Volts, Work, file};

use crate::{click, type_in, undo_label, window_of, words};

const SIZE: [f32; 2] = [1440.0, 900.0];
const BLEEDER: &str = "bleeder: \"10 kΩ\", // 14 W: a 25 W resistor";

/// A file with comments.
fn commented() -> &'static str {
    presets()[1].1
}

fn in_folder(folder: &Path) -> PathBuf {
    let path = folder.join("mine.ron");
    std::fs::write(&path, commented()).expect("written");
    path
}

fn on(path: &Path) -> Harness<'static, App> {
    window_of(Some(path.to_owned()), Folders::default(), SIZE)
}

fn with_bleeder(h: &mut Harness<'_, App>, ohms: &str) {
    if h.query_by_role_and_label(egui::Role::TextInput, "Bleeder")
        .is_none()
    {
        click(h, "Filter");
    }
    type_in(h, "Bleeder", ohms, egui::Key::Enter);
}

fn save(h: &mut Harness<'_, App>) {
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::S);
    h.run();
}

fn on_disk(path: &Path) -> String {
    std::fs::read_to_string(path).expect("there")
}

fn read(path: &Path) -> Work {
    file::read_work(&on_disk(path), &Catalogue::built_in()).expect("a supply")
}

const CHANGED: &str = "The file on disk has changed";

#[test]
fn a_save_changes_the_line_that_was_changed_and_no_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = on(&path);
    let mut wanted = commented().to_owned();
    for (typed, text) in [("82k", "82 kΩ"), ("47k", "47 kΩ")] {
        with_bleeder(&mut h, typed);
        save(&mut h);
        wanted = commented().replace(BLEEDER, &BLEEDER.replace("10 kΩ", text));
        assert_eq!(on_disk(&path), wanted);
    }
    // The next start goes on with that text.
    let mut h = on(&path);
    with_bleeder(&mut h, "10k");
    save(&mut h);
    assert_ne!(on_disk(&path), wanted);
    assert_eq!(on_disk(&path), commented());
}

/// The file as another program left it.
fn changed_by_another(path: &Path) -> String {
    let text = commented().replace("set_high: \"250 V\"", "set_high: \"240 V\" /* by hand */");
    assert_ne!(text, commented());
    std::fs::write(path, &text).expect("written");
    text
}

#[test]
fn what_another_has_changed_is_not_written_over_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = on(&path);
    with_bleeder(&mut h, "82k");
    let mine = h.state().work().clone();
    let theirs = changed_by_another(&path);
    save(&mut h);
    let said = words(&h);
    assert!(
        said.contains(CHANGED) && said.contains("mine.ron"),
        "{said}"
    );
    let height = |h: &Harness<'_, App>, name: &str| {
        let button = h.get_by_role_and_label(egui::Role::Button, name);
        button.rect().center().y
    };
    for button in ["Save a copy", "Reload", "Overwrite", "Cancel"] {
        assert_eq!(height(&h, button), height(&h, "Compare"), "in one row");
    }
    click(&mut h, "Cancel");
    assert_eq!(on_disk(&path), theirs);
    assert!(words(&h).contains("not saved"));

    save(&mut h);
    click(&mut h, "Compare");
    let said = words(&h).replace('\u{a0}', " ");
    for part in [
        "mine.ron differs in",
        "Bleeder (filter): 10 kΩ on disk, 82 kΩ here",
        "Output range, high (output): 240 V on disk, 250 V here",
        "Changes since ghost a",
    ] {
        assert!(said.contains(part), "no {part} in\n{said}");
    }
    let ghost = h.get_by_role_and_label(egui::Role::Button, "Ghost a");
    assert_eq!(ghost.value().as_deref(), Some("on disk"));
    assert_eq!((on_disk(&path), h.state().work()), (theirs, &mine));

    save(&mut h);
    click(&mut h, "Reload");
    assert_eq!(h.state().work(), &read(&path));
    assert!(!words(&h).contains("not saved"), "{}", words(&h));
    assert_eq!(undo_label(&h), "Reloaded from the disk");
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    h.run();
    assert_eq!(h.state().work(), &mine);
    // Now it was seen: what is here is saved into that text.
    save(&mut h);
    assert!(!words(&h).contains(CHANGED));
    assert_eq!(read(&path), mine);
    assert!(on_disk(&path).contains("/* by hand */"));
}

#[test]
fn overwriting_goes_on_with_what_was_to_come() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = on(&path);
    with_bleeder(&mut h, "82k");
    let mine = h.state().work().clone();
    changed_by_another(&path);
    click(&mut h, "Menu");
    click(&mut h, "Presets");
    click(&mut h, "Half-wave supply 120 V / 25 mA");
    click(&mut h, "Save");
    assert!(words(&h).contains(CHANGED));
    assert_eq!(h.state().work(), &mine, "not gone before it is safe");
    click(&mut h, "Overwrite");
    assert_eq!(read(&path), mine);
    assert_eq!(h.state().work().name, "Half-wave supply 120 V / 25 mA");
}

#[test]
fn two_windows_on_one_file_do_not_undo_each_others_saves_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let (mut first, mut second) = (on(&path), on(&path));
    with_bleeder(&mut first, "82k");
    save(&mut first);
    assert!(!words(&first).contains(CHANGED));
    with_bleeder(&mut second, "47k");
    save(&mut second);
    assert!(words(&second).contains(CHANGED));
    assert_eq!(read(&path).supply.filter.bleeder, Some(Ohms(82e3)));
    click(&mut second, "Overwrite");
    save(&mut first);
    assert_eq!(read(&path).supply.filter.bleeder, Some(Ohms(47e3)));
    assert!(words(&first).contains(CHANGED));
}

#[test]
fn comments_that_another_added_are_kept_and_not_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = on(&path);
    with_bleeder(&mut h, "82k");
    let theirs = commented().replace("tube: \"6080\",", "tube: \"6080\", // from the second box");
    std::fs::write(&path, &theirs).expect("written");
    save(&mut h);
    assert!(!words(&h).contains(CHANGED));
    assert_eq!(
        on_disk(&path),
        theirs.replace(BLEEDER, &BLEEDER.replace("10 kΩ", "82 kΩ"))
    );
}

#[test]
fn a_file_that_is_gone_or_no_supply_any_more_is_not_made_or_replaced_unasked() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = on(&path);
    with_bleeder(&mut h, "82k");
    std::fs::write(&path, "my shopping list").expect("written");
    save(&mut h);
    let said = words(&h);
    assert!(said.contains(CHANGED) && said.contains("line 1"), "{said}");
    for button in ["Reload", "Compare"] {
        assert!(h.query_by_label(button).is_none(), "{button}");
    }
    click(&mut h, "Cancel");
    assert_eq!(on_disk(&path), "my shopping list");
    std::fs::remove_file(&path).expect("gone");
    save(&mut h);
    assert!(words(&h).contains("The file is no longer there"));
    click(&mut h, "Cancel");
    assert!(!path.exists());
    save(&mut h);
    click(&mut h, "Save it again");
    assert_eq!(
        on_disk(&path),
        commented().replace(BLEEDER, &BLEEDER.replace("10 kΩ", "82 kΩ"))
    );
}

/// Work left behind by a crash; returns the window in which it was taken up.
fn taken_up(folder: &Path, path: &Path, between: impl FnOnce()) -> Harness<'static, App> {
    let folders = Folders {
        config: None,
        recovery: Some(folder.join("recovery")),
    };
    let mut h = window_of(Some(path.to_owned()), folders.clone(), SIZE);
    with_bleeder(&mut h, "82k");
    let copies = || {
        let all = std::fs::read_dir(folder.join("recovery"))
            .into_iter()
            .flatten();
        let ends = |path: &PathBuf| path.extension().is_some_and(|end| end == "ron");
        all.filter_map(|entry| Some(entry.ok()?.path()))
            .filter(ends)
            .count()
    };
    for _ in 0..600 {
        if copies() > 0 {
            break;
        }
        h.run_steps(4);
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert_eq!(copies(), 1);
    // The program ends without a word.
    drop(h);
    between();
    let mut h = window_of(None, folders, SIZE);
    click(&mut h, "Restore");
    assert_eq!(h.state().work().supply.filter.bleeder, Some(Ohms(82e3)));
    h
}

#[test]
fn after_a_crash_the_comments_of_the_file_are_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = taken_up(folder.path(), &path, || {});
    save(&mut h);
    assert_eq!(
        on_disk(&path),
        commented().replace(BLEEDER, &BLEEDER.replace("10 kΩ", "82 kΩ"))
    );
}

#[test]
fn what_another_changed_after_a_crash_is_asked_about() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = taken_up(folder.path(), &path, || {
        changed_by_another(&path);
    });
    save(&mut h);
    assert!(words(&h).contains(CHANGED), "{}", words(&h));
    click(&mut h, "Cancel");
    // Undo leads to the file as it is.
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    h.run();
    assert_eq!(h.state().work().supply.output.set_high, Volts(240.0));
    h.key_press_modifiers(
        egui::Modifiers::COMMAND.plus(egui::Modifiers::SHIFT),
        egui::Key::Z,
    );
    h.run();
    save(&mut h);
    click(&mut h, "Overwrite");
    let saved = on_disk(&path);
    assert_eq!(
        saved,
        commented().replace(BLEEDER, &BLEEDER.replace("10 kΩ", "82 kΩ"))
    );
}

#[test]
fn work_of_a_file_that_is_gone_is_not_taken_for_saved() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = in_folder(folder.path());
    let mut h = taken_up(folder.path(), &path, || {
        std::fs::remove_file(&path).expect("gone");
    });
    assert!(words(&h).contains("not saved"), "{}", words(&h));
    // Nothing of the supply that stood here before comes back under this file's name.
    assert_eq!(undo_label(&h), "");
    save(&mut h);
    click(&mut h, "Save it again");
    assert_eq!(
        on_disk(&path),
        commented().replace(BLEEDER, &BLEEDER.replace("10 kΩ", "82 kΩ"))
    );
}
