//! House rules that a compiler does not know: who may import whom, what belongs to the window alone, how long a
//! file may be. DEVELOPERS.md says why.

#![expect(
    clippy::expect_used,
    reason = "helpers outside test functions may fail the test too"
)]

use std::fs;
use std::path::{Path, PathBuf};

/// Import order: a layer may use itself and what stands left of it.
const LAYERS: [&str; 5] = ["parts", "physics", "bench", "explain", "app"];

/// Words that only the last layer may use: the window, the disk, threads, the clock, printing.
const APP_ONLY: [&str; 8] = [
    "egui",
    "rfd::",
    "std::fs",
    "std::thread",
    "std::time",
    "println!",
    "eprintln!",
    "std::env",
];

/// Longest file (lines).
const LONGEST: usize = 700;

#[test]
fn imports_run_one_way() {
    let mut faults = Vec::new();
    for (rank, layer) in LAYERS.iter().enumerate() {
        for (place, line) in code_lines(layer) {
            for named in line
                .split("crate::")
                .skip(1)
                .filter(|rest| !rest.is_empty())
            {
                let word: String = named
                    .chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect();
                let allowed = LAYERS
                    .iter()
                    .position(|l| *l == word)
                    .is_some_and(|of| of <= rank);
                if !allowed {
                    faults.push(format!("{place}: {line}"));
                }
            }
            if line.contains("super::super") {
                faults.push(format!("{place}: {line}"));
            }
        }
    }
    report("imports against the order of the layers", &faults);
}

#[test]
fn only_the_window_touches_screen_disk_threads_and_clock() {
    let mut faults = Vec::new();
    for layer in LAYERS.iter().filter(|layer| **layer != "app") {
        for (place, line) in code_lines(layer) {
            if APP_ONLY.iter().any(|word| line.contains(word)) {
                faults.push(format!("{place}: {line}"));
            }
        }
    }
    report("words that belong to the window", &faults);
}

#[test]
fn physics_knows_no_file_format_and_parts_no_laws() {
    let mut faults = Vec::new();
    for (layer, words) in [
        ("physics", ["serde", "ron::"].as_slice()),
        ("explain", ["serde", "ron::"].as_slice()),
        (
            "parts",
            [".sqrt()", ".exp()", ".ln()", ".sin()", ".powf("].as_slice(),
        ),
    ] {
        for (place, line) in code_lines(layer) {
            if words.iter().any(|word| line.contains(word)) {
                faults.push(format!("{place}: {line}"));
            }
        }
    }
    report("a layer that knows too much", &faults);
}

/// The order within the physics: a module may use itself and what stands above it. `operation` and `needs` hold results
/// and reasons, nothing that computes; `failure` what has none.
const PHYSICS: [&str; 15] = [
    "numeric",
    "watch",
    "needs",
    "operation",
    "device",
    "circuit",
    "failure",
    "steady_state",
    "model",
    "spread",
    "regulator",
    "stress",
    "energy",
    "limit",
    "envelope",
];

#[test]
fn within_the_physics_imports_follow_the_signal_path() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for Line { path, place, code } in without_tests("physics") {
        // The front page lists all.
        if path == "mod.rs" {
            continue;
        }
        let Some(rank) = PHYSICS.iter().position(|part| *part == first_part(&path)) else {
            faults.push(format!("{place}: not in the order of the physics"));
            continue;
        };
        for named in code.split("crate::physics::").skip(1) {
            seen += 1;
            let of = PHYSICS.iter().position(|p| *p == first_part(named));
            if of.is_none_or(|of| of > rank) {
                faults.push(format!("{place}: {code}"));
            }
        }
    }
    assert!(seen > 100, "only {seen} imports were found");
    report("imports against the order within the physics", &faults);
}

/// What keeps something from one call to the next.
const MEMORY: [&str; 10] = [
    "thread_local!",
    "static ",
    "RefCell",
    "Cell<",
    "OnceLock",
    "LazyLock",
    "Mutex",
    "RwLock",
    "Atomic",
    "lazy_static",
];

#[test]
fn the_physics_remembers_nothing_between_calls() {
    // A caller's watch is how one says stop from another thread; it holds nothing of the supply.
    let faults: Vec<String> = (without_tests("physics").into_iter())
        .filter(|line| line.path != "watch.rs")
        .filter(|line| {
            let code = line.code.replace("'static", "");
            MEMORY.iter().any(|word| code.contains(word))
        })
        .map(|line| format!("{}: {}", line.place, line.code))
        .collect();
    report("memory in the physics", &faults);
}

#[test]
fn the_physics_has_no_words_for_people() {
    let mut faults = Vec::new();
    let mut keys = 0;
    for Line { path, place, code } in without_tests("physics") {
        // Why a lint is wrong here is for whoever reads the code.
        if code.contains("reason = \"") {
            continue;
        }
        for said in code.split('"').skip(1).step_by(2) {
            // A limit's name for machines.
            let is_key =
                ["limit/table.rs", "limit/rail.rs"].contains(&path.as_str()) && !said.contains(' ');
            keys += usize::from(is_key);
            if !is_key && said.chars().any(char::is_alphabetic) {
                faults.push(format!("{place}: {code}"));
            }
        }
        if code.contains("thiserror")
            || code.contains("impl Display")
            || code.contains("Display for")
        {
            faults.push(format!("{place}: {code}"));
        }
    }
    assert!(keys > 20, "only {keys} names of limits were found");
    report("words for people in the physics", &faults);
}

/// The word before the first `/`, `:` or `.`.
fn first_part(path: &str) -> String {
    (path.chars())
        .take_while(|c| c.is_alphanumeric() || *c == '_')
        .collect()
}

/// Where work is handed to all cores outside the last layer: the cases of the mains, the limits, and supplies that are drawn. Everything
/// there is put together in the order in which it was begun, so that an answer does not depend on how many cores there are.
const ON_ALL_CORES: [(&str, &[&str]); 2] = [
    ("physics", &["model.rs", "envelope.rs", "envelope/"]),
    (
        "bench",
        &[
            "indices.rs",
            "odds.rs",
            "odds/corner.rs",
            "diagnosis/predicted.rs",
            "diagnosis/pairs.rs",
        ],
    ),
];

#[test]
fn few_places_hand_work_to_all_cores() {
    let mut faults = Vec::new();
    for layer in ["parts", "physics", "bench", "explain"] {
        let doors = ON_ALL_CORES.iter().find(|(of, _)| *of == layer);
        let doors = doors.map_or([].as_slice(), |(_, doors)| doors);
        let mut by_a_door = 0;
        for Line { path, place, code } in without_tests(layer) {
            if !code.contains("rayon") {
                continue;
            }
            if doors.iter().any(|door| path.starts_with(door)) {
                by_a_door += 1;
            } else {
                faults.push(format!("{place}: {code}"));
            }
        }
        assert!(by_a_door > 0 || doors.is_empty(), "{layer}: none");
    }
    report("work handed to all cores elsewhere", &faults);
}

/// The order within the last layer: a folder or file may use itself and what stands left of it.
const APP: [&str; 11] = [
    "work", "disk", "answers", "theme", "widgets", "plots", "export", "panels", "window",
    "terminal", "mod",
];

#[test]
fn within_the_window_imports_run_one_way() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for Line { path, place, code } in without_tests("app") {
        let Some(rank) = APP.iter().position(|part| path.starts_with(part)) else {
            faults.push(format!("{place}: not in the order of the window's parts"));
            continue;
        };
        for named in code.split("crate::app::").skip(1) {
            let word: String = (named.chars())
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            // What the layer gives to others is of its window.
            let part = if PUBLIC.contains(&word.as_str()) {
                "window"
            } else {
                &word
            };
            seen += 1;
            let of = APP.iter().position(|p| *p == part);
            if of.is_none_or(|of| of > rank) {
                faults.push(format!("{place}: {code}"));
            }
        }
    }
    assert!(seen > 100, "only {seen} imports were found");
    report("imports against the order within the window", &faults);
}

/// What `app` gives to the tests and to `main` from its folders.
const PUBLIC: [&str; 4] = ["App", "WindowError", "run_window", "settings"];

/// Words that one file alone may use: it is the only one that does the thing.
const ONE_DOOR: [(&str, &[&str], &[&str]); 3] = [
    (
        "writes what is open and looked at",
        &["work/command.rs"],
        &[
            "&mut Document",
            "&mut View",
            "&mut Work",
            "&mut self.document",
            ".document =",
            ".document.work =",
            ".document.path =",
            ".document.on_disk =",
            ".document.serial =",
            "ledger.view =",
        ],
    ),
    (
        "touches the disk",
        &["disk/files.rs"],
        &[
            "std::fs",
            "fs::",
            "File::",
            "OpenOptions",
            "tempfile",
            "read_dir",
            "canonicalize",
        ],
    ),
    (
        "starts a thread",
        &["answers/jobs.rs", "disk/dialogs.rs"],
        &["std::thread", "thread::", "rayon", "ThreadPool", "spawn("],
    ),
];

#[test]
fn one_file_writes_the_document_one_touches_the_disk_and_two_start_threads() {
    let mut faults = Vec::new();
    for (does, doors, words) in ONE_DOOR {
        let mut by_the_door = 0;
        for Line { path, place, code } in without_tests("app") {
            let found = words.iter().any(|word| code.contains(word));
            if doors.contains(&path.as_str()) {
                by_the_door += usize::from(found);
            } else if found {
                faults.push(format!("{place}: {code} (only {doors:?} {does})"));
            }
        }
        assert!(
            by_the_door > 0,
            "{doors:?} never {does}: are the words right?"
        );
    }
    report("more than one door", &faults);
}

/// That the three which commands change are written by `work/command.rs` alone is held by the compiler, as long as their
/// holder's fields are private and it gives no more than shared references away.
#[test]
fn the_holder_of_the_document_lends_it_to_be_read_only() {
    let command = text(&root().join("src/app/work/command.rs"));
    let holder = command
        .split("pub(crate) struct Ledger {")
        .nth(1)
        .and_then(|rest| rest.split('}').next())
        .expect("the holder of the document");
    assert!(!holder.contains("pub"), "a public field:\n{holder}");
    let lent: Vec<&str> = (command.lines())
        .filter(|line| line.contains("-> &mut"))
        .collect();
    assert!(lent.is_empty(), "lent to be written: {lent:?}");
}

#[test]
fn panels_and_plots_do_not_know_each_other() {
    let mut faults = Vec::new();
    let of = |path: &str| path.split(['/', '.']).next().unwrap_or_default().to_owned();
    for Line { path, place, code } in without_tests("app") {
        let Some(own) = path.strip_prefix("panels/").map(of) else {
            if path.starts_with("plots/") && code.contains("crate::app::panels") {
                faults.push(format!("{place}: {code}"));
            }
            continue;
        };
        for named in code.split("crate::app::panels::").skip(1) {
            let of: String = (named.chars())
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            // What they all are given, and answer with.
            if of != own && of != "shown" {
                faults.push(format!("{place}: {code}"));
            }
        }
        if code.contains("crate::app::plots") {
            faults.push(format!("{place}: {code}"));
        }
    }
    report("panels and plots that know others", &faults);
}

#[test]
fn files_stay_readable() {
    let mut faults = Vec::new();
    for folder in ["src", "tests"] {
        for path in rust_files(&root().join(folder)) {
            let lines = text(&path).lines().count();
            if lines > LONGEST {
                faults.push(format!("{}: {lines} lines", shown(&path)));
            }
        }
    }
    report("files longer than 700 lines", &faults);
}

#[test]
fn every_file_says_what_it_is_for() {
    let faults: Vec<String> = rust_files(&root().join("src"))
        .into_iter()
        .filter(|path| !path.ends_with("tests.rs") && !text(path).starts_with("//!"))
        .map(|path| shown(&path))
        .collect();
    report("files without a first line of documentation", &faults);
}

#[test]
fn the_top_level_stays_tidy() {
    const KNOWN: [&str; 10] = [
        "Cargo.toml",
        "Cargo.lock",
        "LICENSE",
        "README.md",
        "DEVELOPERS.md",
        "src",
        "assets",
        "presets",
        "tests",
        "target",
    ];
    let faults: Vec<String> = fs::read_dir(root())
        .expect("the crate's folder")
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|name| !name.starts_with('.') && !KNOWN.contains(&name.as_str()))
        .collect();
    report("names at the top level", &faults);
}

fn report(what: &str, faults: &[String]) {
    assert!(
        faults.is_empty(),
        "{what}, {} found:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

/// A line of the program itself.
struct Line {
    /// Its file, within the layer.
    path: String,
    /// Its file and number, to be shown.
    place: String,
    /// What stands there, without the comment.
    code: String,
}

/// The lines of a layer without comments and without what is there for tests.
fn without_tests(layer: &str) -> Vec<Line> {
    let folder = root().join("src").join(layer);
    let mut lines = Vec::new();
    for path in rust_files(&folder) {
        let within = path.strip_prefix(&folder).expect("in the layer");
        let within = within.display().to_string();
        if within.ends_with("tests.rs") || within.contains("/tests/") {
            continue;
        }
        for (number, line) in text(&path).lines().enumerate() {
            // Tests stand at the end of a file; a single item for them is followed by no `mod`.
            let code = line.split("//").next().unwrap_or_default().trim();
            if code == "mod tests {" {
                break;
            }
            lines.push(Line {
                path: within.clone(),
                place: format!("{}:{}", shown(&path), number + 1),
                code: code.to_owned(),
            });
        }
    }
    lines
}

/// Lines of a layer without their comments, each with its place.
fn code_lines(layer: &str) -> Vec<(String, String)> {
    let folder = root().join("src").join(layer);
    let own_file = folder.with_extension("rs");
    rust_files(&folder)
        .into_iter()
        .chain(own_file.exists().then_some(own_file))
        .flat_map(|path| {
            text(&path)
                .lines()
                .enumerate()
                .map(|(number, line)| {
                    let code = line.split("//").next().unwrap_or_default();
                    (
                        format!("{}:{}", shown(&path), number + 1),
                        code.trim().to_owned(),
                    )
                })
                .collect::<Vec<_>>()
        })
        .collect()
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files: Vec<PathBuf> = entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .flat_map(|path| {
            if path.is_dir() {
                rust_files(&path)
            } else {
                vec![path]
            }
        })
        .filter(|path| path.extension().is_some_and(|e| e == "rs"))
        .collect();
    files.sort();
    files
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).expect("a source file")
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root())
        .unwrap_or(path)
        .display()
        .to_string()
}
