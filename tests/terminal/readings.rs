//! Plan and readings in the terminal, in words and as JSON. The readings are invented.

use std::fs;
use std::path::PathBuf;

use serde_json::Value;

use crate::{complains, every_null_has_a_reason, list, number, sagline, said};

const FILE: &str = "presets/school-laboratory.ron";

/// The school supply with this on its bench, in a folder of its own.
fn with(bench: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("readings.ron");
    let preset = concat!(env!("CARGO_MANIFEST_DIR"), "/presets/school-laboratory.ron");
    let text = fs::read_to_string(preset).expect("the demo supply");
    let text = text.replace(
        "    dummies: [",
        &format!("    bench: ({bench}),\n    dummies: ["),
    );
    assert!(text.contains("bench: ("));
    fs::write(&path, text).expect("a file");
    (folder, path)
}

/// A bus some 15 % low under load and hardly at none, with its ripple as it should be.
const EVENING: &str = r#"sets: [(name: "before the repair", mains: "120 V", readings: [
    (what: Bus, value: "384 V"),
    (what: Bus, load: "100 mA", value: "300 V"),
    (what: KnobUp, load: "100 mA", value: "214 V"),
    (what: BusRipple, load: "100 mA", value: "66 mV"),
    (what: Rail, value: "285 V"),
])]"#;

#[test]
fn readings_are_compared_and_a_cause_is_named() {
    let (_folder, path) = with(EVENING);
    let path = path.to_str().expect("a path");
    let output = sagline(&["diagnose", path, "--json"]);
    assert!(output.status.success(), "{}", said(&output));
    let found: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    every_null_has_a_reason(&found, "");
    assert_eq!(list(&found, "readings").len(), 5);
    let whole: f64 = list(&found, "causes")
        .iter()
        .map(|one| number(one, "/share"))
        .sum();
    assert!((whole - 1.0).abs() < 1e-4, "{whole}");
    let first = number(&list(&found, "causes")[0], "/share");
    let nothing = list(&found, "causes").iter();
    let mut nothing = nothing.filter(|one| one["cause"] == "nothing beyond tolerances");
    let nothing = number(nothing.next().expect("nothing is a cause"), "/share");
    assert!(first > nothing && nothing < 0.05, "{first} {nothing}");
    // The same words from the same readings.
    let output = sagline(&["diagnose", path, "--causes"]);
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "What was read",
        "low by",
        "What that says",
        found["verdict"].as_str().expect("a verdict"),
        "χ²",
        "weight",
        "what is not on the list",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

#[test]
fn what_was_not_noted_or_cannot_be_is_said() {
    let (_folder, path) = with(
        r#"sets: [(readings: [(what: Bus, value: "480 V"), (what: Reference, value: "85 V", mains: "120 V")])]"#,
    );
    let output = sagline(&["diagnose", path.to_str().expect("a path")]);
    assert!(output.status.success(), "{}", said(&output));
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "no mains noted, 120 V taken",
        "cannot be, for the crest",
        "does not count",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

#[test]
fn a_plan_has_figures_with_bands_and_says_when_to_stop() {
    let output = sagline(&["plan", FILE, "--json"]);
    assert!(output.status.success(), "{}", said(&output));
    let plan: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    every_null_has_a_reason(&plan, "");
    let steps = list(&plan, "steps");
    let phases: Vec<&str> = steps
        .iter()
        .filter_map(|step| step["phase"].as_str())
        .collect();
    assert_eq!(phases.first(), Some(&"ColdInspection"));
    assert_eq!(phases.last(), Some(&"Discharge"));
    let loaded: Vec<&Value> = steps
        .iter()
        .filter(|step| step["phase"] == "Loaded")
        .collect();
    assert_eq!(loaded.len(), 2);
    // More load leaves less bus.
    let bus = |step: &Value| {
        let mut expected = list(step, "expected").iter();
        let bus = expected.find(|one| one["reading"] == "Bus").expect("a bus");
        (number(bus, "/volts"), number(bus, "/standard_deviation"))
    };
    let [(light, sigma), (heavy, _)] = [bus(loaded[0]), bus(loaded[1])];
    assert!(
        heavy < light && sigma > 1.0 && sigma < 40.0,
        "{light} {heavy} {sigma}"
    );
    let output = sagline(&["plan", FILE]);
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "Lethal voltages",
        "Expected: ",
        "Stop at",
        "Discharge",
        "lamp limiter",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

#[test]
fn readings_that_cannot_be_meant_are_named() {
    for (bench, words) in [
        (
            r#"sets: [(readings: [(what: Bus, value: "3 mA")])]"#,
            ["bench.sets[0].readings[0].value", "3 mA", "405 V"],
        ),
        (
            r#"sets: [(readings: [(what: CathodeResistor(7), value: "1 V")])]"#,
            ["bench.sets[0].readings[0].what", "7", "1 to 2"],
        ),
        (
            r#"sets: [(readings: [(what: Bus, value: "400 V", meter: "none such")])]"#,
            [
                "bench.sets[0].readings[0].meter",
                "none such",
                "the name of a meter",
            ],
        ),
        (
            r#"sets: [(readings: [(what: Buss, value: "400 V")])]"#,
            ["bench.sets[0].readings[0].what", "Buss", "Bus"],
        ),
        (
            r#"sets: [(readings: [(what: Bus, value: "400 V", load: "80 V")])]"#,
            ["bench.sets[0].readings[0].load", "80 V", "2k2"],
        ),
    ] {
        let (_folder, path) = with(bench);
        complains(&["diagnose", path.to_str().expect("a path")], &words);
    }
    complains(&["diagnose", FILE], &["no readings", "expected"]);
    let (_folder, path) = with(EVENING);
    complains(
        &["diagnose", path.to_str().expect("a path"), "--set", "after"],
        &["--set", "after", "before the repair"],
    );
}

#[test]
fn a_record_has_all_of_an_evening() {
    let (folder, path) = with(EVENING);
    let out = folder.path().join("an evening.md");
    let out_text = out.to_str().expect("a path");
    let output = sagline(&["record", path.to_str().expect("a path"), "-o", out_text]);
    assert!(output.status.success(), "{}", said(&output));
    let page = fs::read_to_string(&out).expect("the record");
    for words in [
        "# School laboratory supply",
        "Lethal voltages",
        "## Readings: before the repair",
        "| 384 V |",
        "## Plan",
        "![Envelope](an-evening-envelope.svg)",
    ] {
        assert!(page.contains(words), "no {words:?} in\n{page}");
    }
    let picture = fs::read_to_string(folder.path().join("an-evening-envelope.svg"));
    assert!(picture.expect("the picture").contains("<svg"));
}

#[test]
fn a_bench_card_is_one_sheet_of_paper() {
    let folder = tempfile::tempdir().expect("a folder");
    let card = folder.path().join("card.pdf");
    let to = card.to_str().expect("a path");
    let output = sagline(&["plan", FILE, "--card", to, "--paper", "letter"]);
    assert!(output.status.success(), "{}", said(&output));
    let bytes = fs::read(&card).expect("the card");
    assert!(bytes.starts_with(b"%PDF"));
    // 8.5 by 11 inch.
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("612 792"), "another paper");
    complains(&["plan", FILE, "--card", "card.txt"], &["card.txt", ".pdf"]);
}
