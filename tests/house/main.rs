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
