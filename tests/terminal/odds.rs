//! Bands and odds in the terminal, in words and as JSON.

use serde_json::Value;

use crate::{complains, every_null_has_a_reason, list, number, sagline, said};

const FILE: &str = "presets/school-laboratory.ron";

fn json(arguments: &[&str]) -> Value {
    let output = sagline(&[&["odds", FILE, "--json", "--samples", "60"], arguments].concat());
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn the_figures_hang_together_and_follow_from_the_seed() {
    let found = json(&["--at", "50mA,120V"]);
    every_null_has_a_reason(&found, "");
    let counted: f64 = ["inside", "over_a_rating", "out_of_reach"]
        .iter()
        .map(|key| number(&found, &format!("/{key}")))
        .sum();
    assert!((counted - number(&found, "/samples")).abs() < 1e-9);
    assert!((counted + number(&found, "/failed_samples") - 60.0).abs() < 1e-9);
    let mut before = f64::INFINITY;
    for row in list(&found, "dropout") {
        let [low, middle, high] =
            ["low", "middle", "high"].map(|point| number(row, &format!("/dropout_volts_{point}")));
        assert!(low <= middle && middle <= high && middle < before, "{row}");
        before = middle;
    }
    assert!(list(&found, "dropout").len() > 4 && list(&found, "readings").len() > 4);
    for corner in list(&found, "worst_corners") {
        assert!(!list(corner, "ends").is_empty(), "{corner}");
    }
    for ranking in list(&found, "what_to_measure") {
        assert!(list(ranking, "ranked").len() > 10, "{ranking}");
    }
    assert_eq!(found, json(&["--at", "50mA,120V"]));
    assert_ne!(found, json(&["--at", "50mA,120V", "--seed", "2"]));
}

#[test]
fn words_say_the_odds_what_to_measure_and_what_is_not_covered() {
    let output = sagline(&["odds", FILE, "--samples", "60", "--spreads"]);
    assert!(output.status.success(), "{}", said(&output));
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "60 such units",
        "Inside in ",
        "Dropout, nine units in ten",
        "What a meter would show",
        "Worst corner",
        "would narrow dropout",
        "Not covered: ",
        "no source",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

#[test]
fn what_is_asked_for_in_vain_is_said() {
    complains(
        &["odds", FILE, "--samples", "10"],
        &["--samples", "50", "20000"],
    );
    complains(
        &["odds", FILE, "--samples", "1000000"],
        &["--samples", "20000"],
    );
    complains(&["odds", FILE, "--seed=-1"], &["--seed"]);
    complains(&["odds", FILE, "--at", "80mA"], &["--at"]);
    complains(&["odds", "presets/none.ron"], &["none.ron"]);
}

#[test]
fn picture_and_page_say_it_on_request() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("band.svg");
    let path = path.to_str().expect("a path");
    let few = ["--at", "50mA,120V", "--samples", "60"];
    let output = sagline(&[&["picture", FILE, "-o", path, "--band"], &few[..]].concat());
    assert!(output.status.success(), "{}", said(&output));
    let svg = std::fs::read_to_string(path).expect("a picture");
    assert!(svg.contains("dropout of 9 units in 10") && svg.contains("Band: the dropout line"));
    let output = sagline(&[&["explain", FILE, "--worked", "--odds"], &few[..]].concat());
    assert!(output.status.success(), "{}", said(&output));
    let page = String::from_utf8(output.stdout).expect("text");
    let (before, cautions) = page.split_once("## How sure it is").expect("a section");
    assert!(before.contains("## Limits") && cautions.contains("## Before you touch it"));
    assert!(cautions.contains("- Inside in "), "{page}");
    complains(
        &["explain", FILE, "--at", "50mA,120V", "--odds"],
        &["--worked"],
    );
}
