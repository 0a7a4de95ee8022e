//! Networks from a drawer in the terminal, in words and as JSON.

use std::fs;

use serde_json::Value;

use crate::{complains, every_null_has_a_reason, list, number, sagline, said};

const FILE: &str = "presets/school-laboratory.ron";
const JOTTED: &str = "4 x 10k 25W wire-wound\n4k7 50W aluminium-clad bare\n2 pcs 2k2 50W alu\n1k 100W ww \"rheostat\"\n";

/// A drawer file in a folder of its own, with the folder.
fn drawer(name: &str, text: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    fs::write(&path, text).expect("written");
    let path = path.to_string_lossy().into_owned();
    (folder, path)
}

fn json(arguments: &[&str]) -> Value {
    let output = sagline(&[&["networks", FILE, "--json"], arguments].concat());
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn a_load_for_a_point_keeps_to_ohms_law_and_to_its_ratings() {
    let (_folder, path) = drawer("drawer.txt", JOTTED);
    let found = json(&["--at", "50mA,200V", "--drawer", &path]);
    every_null_has_a_reason(&found, "");
    assert!((number(&found, "/wanted_ohms") - 4000.0).abs() < 1e-6);
    assert!((number(&found, "/resistors_in_drawer") - 8.0).abs() < 1e-9);
    let networks = list(&found, "networks");
    assert!(!networks.is_empty(), "{found}");
    for network in networks {
        let ohms = number(network, "/resistance_ohms");
        assert!((ohms / 4000.0 - 1.0 - number(network, "/off_fraction")).abs() < 1e-6);
        let watts: f64 = list(network, "resistors")
            .iter()
            .map(|one| number(one, "/watts"))
            .sum();
        assert!((watts - 200.0 * 200.0 / ohms).abs() < 1e-3, "{network}");
        for one in list(network, "resistors") {
            assert!(
                number(one, "/watts") <= 0.8 * number(one, "/bears_watts") + 1e-6,
                "{one}"
            );
        }
        assert!(number(network, "/highest_volts") >= 200.0);
    }
}

#[test]
fn words_say_how_it_is_wired_and_a_table_or_a_drawer_file_does_as_well() {
    let table = "qty;ohms;watts;type\n4;10k;25;ww\n";
    let file = "(format: 1, resistors: [(count: 4, resistance: \"10 kΩ\", power: \"25 W\", kind: WireWound)])";
    for (name, text) in [("d.csv", table), ("d.ron", file)] {
        let (_folder, path) = drawer(name, text);
        let output = sagline(&[
            "networks", FILE, "--ohms", "5k", "--volts", "200", "--drawer", &path,
        ]);
        assert!(output.status.success(), "{}", said(&output));
        let text = String::from_utf8(output.stdout).expect("text");
        for words in [
            "2 × 10 kΩ in parallel",
            "right on",
            "10 kΩ 25 W: 200 V, 4 W of 25 W",
            "measured dead",
        ] {
            assert!(text.contains(words), "no {words:?} in\n{text}");
        }
    }
}

#[test]
fn the_loads_that_show_an_envelope_lead_to_its_corners() {
    let (_folder, path) = drawer("drawer.txt", JOTTED);
    let found = json(&["--drawer", &path]);
    every_null_has_a_reason(&found, "");
    let purposes: Vec<&str> = list(&found, "shows")
        .iter()
        .filter_map(|one| one["purpose"].as_str())
        .collect();
    assert!(
        purposes.contains(&"light load") && purposes.contains(&"mid range"),
        "{found}"
    );
    for one in list(&found, "shows") {
        if let Some(ohms) = one
            .pointer("/network/resistance_ohms")
            .and_then(Value::as_f64)
        {
            let wanted = number(one, "/output_volts") / number(one, "/output_amps");
            assert!((ohms / wanted - 1.0).abs() < 0.101, "{one}");
        }
    }
}

#[test]
fn what_is_asked_for_in_vain_is_said() {
    let (_folder, path) = drawer("drawer.txt", "4 x 10k 25W\n10k\n");
    complains(
        &["networks", FILE, "--at", "5mA,100V", "--drawer", &path],
        &["drawer.txt", "line 2", "watts"],
    );
    let (_folder, path) = drawer(
        "drawer.ron",
        "(format: 1, resistors: [(resistance: \"x\", power: \"5 W\")])",
    );
    complains(
        &["networks", FILE, "--ohms", "5k", "--drawer", &path],
        &["drawer.ron", "resistors[0].resistance"],
    );
    complains(
        &["networks", FILE, "--at", "0mA,100V"],
        &["--at", "above zero"],
    );
    complains(&["networks", FILE, "--ohms=-5"], &["--ohms"]);
    complains(
        &["networks", FILE, "--ohms", "5k", "--drawer", "none.ron"],
        &["none.ron"],
    );
    let output = sagline(&["networks", FILE, "--at", "50mA,200V"]);
    assert!(output.status.success());
    let text = String::from_utf8(output.stdout).expect("text");
    assert!(text.contains("The drawer is empty"), "{text}");
}
