//! Switching on and fuses in the terminal, in words and as JSON.

use std::io::Write as _;

use serde_json::Value;

use crate::{complains, every_null_has_a_reason, list, number, sagline, said};

const FILE: &str = "presets/school-laboratory.ron";

fn json(arguments: &[&str]) -> Value {
    let output = sagline(&[&["inrush", FILE, "--json", "--samples", "200"], arguments].concat());
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn the_figures_hang_together_and_follow_from_the_seed() {
    let found = json(&[]);
    every_null_has_a_reason(&found, "");
    let [low, middle, high] =
        ["low", "middle", "high"].map(|end| number(&found, &format!("/crest_amps_{end}")));
    let highest = number(&found, "/crest_amps_highest");
    assert!(0.0 < low && low <= middle && middle <= high && high <= highest);
    let mut before = 0.0;
    for row in list(&found, "surges") {
        let heating = number(row, "/amps_squared_seconds_high");
        assert!(heating >= before, "{row}");
        before = heating;
    }
    let mut before = 0.0;
    for row in list(&found, "running") {
        let [rms, crest] = ["rms", "crest"].map(|of| number(row, &format!("/primary_{of}_amps")));
        assert!(rms > before && crest > rms, "{row}");
        before = rms;
    }
    for row in list(&found, "fuses") {
        let share = number(row, "/blows_share");
        let [low, high] =
            ["low", "high"].map(|end| number(row, &format!("/melting_amps_squared_seconds_{end}")));
        assert!((0.0..=1.0).contains(&share) && low <= high, "{row}");
    }
    assert!(
        list(&found, "recommended")
            .iter()
            .all(|row| row["bears_it"] == true)
    );
    assert!(!list(&found, "recommended").is_empty() && list(&found, "faults").len() == 3);
    assert_eq!(found, json(&[]));
    assert_ne!(found, json(&["--seed", "2"]));
    // Hot, with capacitors nearly full, the heaters draw no surge.
    let hot = json(&["--hot"]);
    assert!(
        number(&hot, "/settling/2/amps_squared_seconds")
            < number(&found, "/settling/2/amps_squared_seconds")
    );
}

#[test]
fn words_say_the_surge_the_fuse_its_reason_and_the_cautions() {
    let output = sagline(&["inrush", FILE, "--samples", "200"]);
    assert!(output.status.success(), "{}", said(&output));
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "200 switch-ons from cold",
        "Crest ",
        "begins to conduct",
        "nothing connected",
        "a shorted bus",
        "slow-blow",
        "Recommended",
        "Melting I²t",
        "Not stated",
        "plug out",
        "local codes",
    ] {
        assert!(
            text.to_lowercase().contains(&words.to_lowercase()),
            "no {words:?} in\n{text}"
        );
    }
}

#[test]
fn what_cannot_be_is_said_with_its_place() {
    complains(
        &["inrush", FILE, "--samples", "10"],
        &["--samples", "100", "50000"],
    );
    complains(&["inrush", "presets/none.ron"], &["none.ron"]);
    // By its readings this core is saturated by the mains: seven times the current for a sixth more volts.
    let text = std::fs::read_to_string(FILE).expect("a preset");
    let text = text.replacen(
        "    dummies: [",
        "    primary: (no_load: (lower: (\"100 V\", \"200 mA\"), higher: (\"117 V\", \"1.4 A\"))),\n    dummies: [",
        1,
    );
    let mut file = tempfile::NamedTempFile::new().expect("a file");
    file.write_all(text.as_bytes()).expect("written");
    let path = file.path().to_str().expect("a name").to_owned();
    complains(
        &["inrush", &path, "--samples", "100"],
        &["line ", "primary.no_load", "saturates at"],
    );
}
