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
    let text = file::write(window().state().work(), &Catalogue::built_in());
    std::fs::write(&path, text).expect("written");
    path
}

#[test]
fn a_preset_opens_from_the_menu() {
    let mut h = window();
    let before = h.state().work().name.clone();
    click(&mut h, "Menu");
    click(&mut h, "Presets");
    click(&mut h, "Choke-input supply 250 V / 200 mA");
    assert_ne!(h.state().work().name, before);
    assert!(
        words(&h).contains("Moves with the point, the tightest first"),
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
        said.contains("Moves with the point, the tightest first"),
        "the demo supply stays"
    );
}

/// A file as the toolkit hands it over when it is dropped on the window.
#[derive(Debug)]
struct Dropped(std::path::PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }
    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

fn drop_on(h: &mut egui_kittest::Harness<'_, sagline::app::App>, path: &Path) {
    let file = std::sync::Arc::new(Dropped(path.to_owned()));
    h.input_mut().dropped_files.push(file);
    h.run();
}

#[test]
fn a_dropped_file_opens_and_unsaved_work_is_asked_about_first() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "mine.ron");
    let text = std::fs::read_to_string(&path).expect("there");
    let demo = window().state().work().name.clone();
    std::fs::write(&path, text.replacen(&demo, "Dropped", 1)).expect("written");
    let mut h = window();
    drop_on(&mut h, &path);
    assert_eq!(h.state().work().name, "Dropped");
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "82k", egui::Key::Enter);
    drop_on(&mut h, &folder.path().join("none.ron"));
    assert!(words(&h).contains("Save the changes first?"));
    click(&mut h, "Do not save");
    let said = words(&h);
    assert!(
        said.contains("none.ron: found nothing there, expected a text file"),
        "{said}"
    );
    assert_eq!(
        h.state().supply().filter.bleeder,
        Some(Ohms(82e3)),
        "it stays"
    );
    drop_on(&mut h, &path);
    assert!(
        words(&h).contains("Save the changes first?"),
        "and it is still unsaved"
    );
}

#[test]
fn a_file_of_another_kind_is_refused_with_its_place_and_the_picture_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = written(folder.path(), "good.ron");
    let text = std::fs::read_to_string(&good).expect("there");
    let newer = text.replacen("format: 1", "format: 99", 1);
    assert_ne!(text, newer);
    let wrong = [
        ("empty.ron", Vec::new(), "found an empty file"),
        (
            "noise.ron",
            vec![0, 0xff, 0xfe, 1],
            "found bytes that are no UTF-8 text",
        ),
        ("newer.ron", newer.into_bytes(), "from a newer version"),
        ("prose.ron", b"hello".to_vec(), "line 1"),
    ];
    let mut h = window();
    let before = h.state().work().clone();
    for (name, bytes, found) in wrong {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).expect("written");
        drop_on(&mut h, &path);
        let said = words(&h);
        for part in [
            name,
            found,
            "expected",
            "Moves with the point, the tightest first",
        ] {
            assert!(said.contains(part), "{name}: no {part} in\n{said}");
        }
        click(&mut h, "Put away");
    }
    drop_on(&mut h, folder.path());
    assert!(words(&h).contains("found a folder"), "{}", words(&h));
    assert_eq!(h.state().work(), &before);
}

#[test]
fn a_readable_file_that_contradicts_itself_is_taken_up_with_its_faults_and_lines() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = written(folder.path(), "odd.ron");
    let text = std::fs::read_to_string(&path).expect("there");
    let odd = text.replacen("set_high: \"250 V\"", "set_high: \"-5 V\"", 1);
    assert_ne!(text, odd, "{text}");
    std::fs::write(&path, odd).expect("written");
    let mut h = window();
    drop_on(&mut h, &path);
    let said = words(&h).replace('\u{a0}', " ");
    for part in ["odd.ron: line ", "output.set_high: found -5 V, expected"] {
        assert!(said.contains(part), "no {part} in\n{said}");
    }
    assert!(said.contains("An older picture"), "{said}");
    // The card of what is wrong stands open.
    type_in(&mut h, "Output range, high", "300 V", egui::Key::Enter);
    assert!(!words(&h).contains("An older picture"), "{}", words(&h));
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
    let saved = file::read_work(&text, &Catalogue::built_in()).expect("readable");
    assert_eq!(saved.supply.filter.bleeder, Some(Ohms(82e3)));
    assert_eq!(&saved, h.state().work());
    // The next start opens it again.
    let next = window_of(None, folders, SIZE);
    assert_eq!(next.state().work(), &saved);
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
    let changed = h.state().work().clone();
    open_preset(&mut h);
    assert!(words(&h).contains("Save the changes first?"));
    click(&mut h, "Cancel");
    assert_eq!(h.state().work(), &changed, "it stays");
    open_preset(&mut h);
    click(&mut h, "Save");
    let text = std::fs::read_to_string(&path).expect("saved");
    assert_eq!(
        file::read_work(&text, &Catalogue::built_in()).as_ref(),
        Ok(&changed)
    );
    assert_ne!(h.state().work(), &changed, "the preset came");
}

#[test]
fn work_left_behind_is_offered() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let recovery = folders.recovery.clone().expect("a folder");
    std::fs::create_dir_all(&recovery).expect("made");
    let mut work = window().state().work().clone();
    work.supply.filter.bleeder = Some(Ohms(82e3));
    // No process has this number: the largest one on Linux is 2^22.
    let copy = recovery.join("99999999.ron");
    let text = file::write(&work, &Catalogue::built_in());
    std::fs::write(&copy, format!("// unsaved work of a new supply\n{text}")).expect("written");
    let mut h = window_of(None, folders.clone(), SIZE);
    let demo = h.state().work().clone();
    assert_ne!(demo, work);
    // What one has begun in the meantime is asked about first, and can be had again.
    click(&mut h, "Filter");
    type_in(&mut h, "Bleeder", "47k", egui::Key::Enter);
    let begun = h.state().work().clone();
    assert_ne!(begun, demo);
    click(&mut h, "Restore");
    assert!(words(&h).contains("Save the changes first?"));
    click(&mut h, "Cancel");
    assert_eq!(h.state().work(), &begun);
    click(&mut h, "Restore");
    click(&mut h, "Do not save");
    assert_eq!(h.state().work(), &work);
    assert!(words(&h).contains("not saved"));
    // Its copy goes once the work has another one.
    let since = std::time::Instant::now();
    while copy.exists() && since.elapsed() < std::time::Duration::from_mins(1) {
        std::thread::sleep(std::time::Duration::from_millis(1));
    }
    let copies: Vec<_> = std::fs::read_dir(&recovery)
        .expect("the folder")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|end| end == "ron"))
        .collect();
    assert!(copies.len() == 1 && copies[0] != copy, "{copies:?}");
    let text = std::fs::read_to_string(&copies[0]).expect("there");
    assert_eq!(
        file::read_work(&text, &Catalogue::built_in()).as_ref(),
        Ok(&work)
    );
    h.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::Z);
    h.run();
    assert_eq!(h.state().work(), &begun);
    drop(h);
    // The program ended without a word: its own copy is offered now.
    assert!(words(&window_of(None, folders, SIZE)).contains("did not close properly last time"));
}

/// Whatever stands where the program looks for its files, the window comes, and says what it could not read.
#[cfg(unix)]
#[test]
fn pipes_and_devices_in_the_place_of_files_keep_no_window_from_starting() {
    use std::os::unix::fs::symlink;
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let config = folders.config.clone().expect("a folder");
    let recovery = folders.recovery.clone().expect("a folder");
    for made in [config.join("types"), recovery.clone()] {
        std::fs::create_dir_all(made).expect("made");
    }
    let mode = rustix::fs::Mode::from_raw_mode(0o666);
    let pipe = |path: &Path| {
        rustix::fs::mkfifoat(rustix::fs::CWD, path, mode).expect("a pipe");
    };
    let supply = folder.path().join("supply.ron");
    pipe(&supply);
    pipe(&config.join("types/mine.ron"));
    symlink("/dev/zero", config.join("types/endless.ron")).expect("a link");
    pipe(&recovery.join("99999999.ron"));
    pipe(&recovery.join("99999999.lock"));
    symlink("/dev/zero", recovery.join("tube-drafts.ron")).expect("a link");
    let recent = config.join("settings.ron");
    std::fs::write(&recent, format!("(recent: [{supply:?}])")).expect("written");
    let said = words(&window_of(None, folders.clone(), SIZE));
    for part in [
        "supply.ron: found a pipe, expected a text file",
        "mine.ron: found a pipe",
        "endless.ron: found a device",
        "99999999.ron: found a pipe",
        "tube-drafts.ron: found a device",
        "Moves with the point, the tightest first",
    ] {
        assert!(said.contains(part), "no {part} in\n{said}");
    }
    for bad in ["(recent: [3])", "(theme: Purple)", "((((", "\0", ""] {
        std::fs::write(&recent, bad).expect("written");
        let said = words(&window_of(None, folders.clone(), SIZE));
        assert!(said.contains("settings.ron"), "{bad}: {said}");
    }
    std::fs::remove_file(&recent).expect("gone");
    pipe(&recent);
    let said = words(&window_of(None, folders, SIZE));
    assert!(said.contains("settings.ron: found a pipe"), "{said}");
}

#[test]
fn a_bad_file_of_own_types_is_said_and_the_rest_loads() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let types = folders.config.clone().expect("a folder").join("types");
    std::fs::create_dir_all(&types).expect("made");
    std::fs::write(
        types.join("mine.ron"),
        "(format: 1, rectifiers: [(name: 3)])",
    )
    .expect("written");
    let supply = written(folder.path(), "supply.ron");
    // A supply that is opened does not sweep the fault away.
    for file in [None, Some(supply)] {
        let h = window_of(file, folders.clone(), SIZE);
        let said = words(&h);
        for part in ["mine.ron", "line 1", "rectifiers[0].name", "expected"] {
            assert!(said.contains(part), "no {part} in\n{said}");
        }
    }
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

#[test]
fn a_bad_setting_costs_no_other_and_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let folders = folders_in(folder.path());
    let config = folders.config.clone().expect("a folder");
    std::fs::create_dir_all(&config).expect("made");
    let supply = written(folder.path(), "supply.ron");
    let bad = format!("(theme: Purple, caution_read: true, recent: [3, {supply:?}])");
    std::fs::write(config.join("settings.ron"), &bad).expect("written");
    let said = words(&window_of(None, folders.clone(), SIZE));
    for part in [
        "line 1, theme: found Purple",
        "recent[0]: found 3",
        "settings-bad.ron",
    ] {
        assert!(said.contains(part), "no {part} in\n{said}");
    }
    assert!(!said.contains("Lethal voltages"), "that was read already");
    let kept = std::fs::read_to_string(config.join("settings-bad.ron"));
    assert_eq!(kept.expect("kept"), bad);
    let said = words(&window_of(None, folders, SIZE));
    assert!(!said.contains("Purple") && !said.contains("Lethal voltages"));
}

/// Only where no dialog can be shown: a machine with a session bus or the helper program would open a real one.
#[test]
fn without_a_dialog_a_path_is_typed_and_nothing_is_replaced_unasked() {
    let bus = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let helper = std::env::var_os("PATH")
        .is_some_and(|path| std::env::split_paths(&path).any(|f| f.join("zenity").exists()));
    if helper
        || [
            "DBUS_SESSION_BUS_ADDRESS",
            "XDG_RUNTIME_DIR",
            "WAYLAND_DISPLAY",
        ]
        .map(bus)
        .contains(&true)
    {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let taken = folder.path().join("taken.ron");
    std::fs::write(&taken, "mine").expect("written");
    let mut h = window();
    let save_as = egui::Modifiers::COMMAND.plus(egui::Modifiers::SHIFT);
    h.key_press_modifiers(save_as, egui::Key::S);
    h.run();
    let type_path = |h: &mut egui_kittest::Harness<'_, sagline::app::App>, path: &str| {
        type_in(h, "Path of the file", path, egui::Key::Enter);
    };
    type_path(&mut h, "/no/such/folder/x");
    let said = words(&h);
    assert!(
        said.contains("/no/such/folder/x.ron: found nothing there"),
        "{said}"
    );
    type_path(&mut h, taken.to_str().expect("text"));
    assert!(
        words(&h).contains("ask once more to replace it"),
        "{}",
        words(&h)
    );
    assert_eq!(std::fs::read_to_string(&taken).expect("there"), "mine");
    type_path(&mut h, taken.to_str().expect("text"));
    let text = std::fs::read_to_string(&taken).expect("there");
    assert_eq!(
        file::read_work(&text, &Catalogue::built_in()).as_ref(),
        Ok(h.state().work())
    );
}
