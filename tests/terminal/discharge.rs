//! What the capacitors keep after switch-off, in words and as JSON.

use serde_json::Value;

use crate::{complains, every_null_has_a_reason, list, number, sagline, said};

const FILE: &str = "presets/school-laboratory.ron";

fn json(arguments: &[&str]) -> Value {
    let output = sagline(&[&["discharge", FILE, "--json"], arguments].concat());
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

#[test]
fn the_figures_hang_together() {
    let found = json(&["--at", "50mA,120V", "--bleed-in", "8s"]);
    every_null_has_a_reason(&found, "");
    let joules: f64 = list(&found, "capacitors")
        .iter()
        .map(|one| {
            let [farads, volts] = ["/farads", "/volts"].map(|key| number(one, key));
            let joules = number(one, "/joules");
            assert!(
                (joules / (0.5 * farads * volts * volts) - 1.0).abs() < 1e-5,
                "{one}"
            );
            joules
        })
        .sum();
    let stored = number(&found, "/stored_joules");
    assert!(
        joules <= stored && joules > 0.99 * stored,
        "{joules} of {stored} J"
    );
    let [cold, warm] = ["tubes_cold", "tubes_warm"]
        .map(|key| number(&found, &format!("/{key}/seconds_to_60_volts")));
    assert!(warm <= cold, "{warm} {cold}");
    let bleeder = number(&found, "/bleeder/ohms");
    let quick = number(&found, "/bleeder/seconds_to_60_volts");
    assert!(
        bleeder > 100.0 && quick <= 8.0 && quick > 4.0,
        "{bleeder} Ω, {quick} s"
    );
    let mut before = -1.0;
    for moment in list(&found, "curve") {
        let seconds = number(moment, "/seconds");
        assert!(seconds > before, "{moment}");
        before = seconds;
    }
    assert_eq!(list(&found, "stand_by_places").len(), 5);
}

#[test]
fn words_say_how_much_how_long_and_what_to_do() {
    let output = sagline(&["discharge", FILE, "--bleed-in", "10 s"]);
    assert!(output.status.success(), "{}", said(&output));
    let text = String::from_utf8(output.stdout).expect("text");
    for words in [
        "Stored: ",
        "Tubes cold: 60 V after ",
        "Bleeder open: ",
        "Tubes still warm: ",
        "A bleeder for 60 V within 10 s",
        "Stand-by: where the switch sits is not stated",
        "In the centre tap: ",
        "Nothing connected, output up: ",
        "Reforming",
        "Warming up",
        "Before you touch",
        "measure",
    ] {
        assert!(text.contains(words), "no {words:?} in\n{text}");
    }
}

#[test]
fn what_is_asked_for_in_vain_is_said() {
    complains(
        &["discharge", FILE, "--bleed-in", "soon"],
        &["--bleed-in", "10s"],
    );
    complains(&["discharge", FILE, "--bleed-in", "0"], &["10 ms to 24 h"]);
    complains(
        &["discharge", FILE, "--leakage", "5 A"],
        &["--leakage", "0 A to 1 A"],
    );
    complains(&["discharge", "presets/none.ron"], &["none.ron"]);
}

/// A switch in a centre tap that a bridge does not have.
#[test]
fn a_stand_by_switch_where_none_can_be_is_named_with_its_place() {
    let text = std::fs::read_to_string("presets/silicon-bridge.ron").expect("a preset");
    let (before, after) = text.split_once("set_low:").expect("the output");
    let changed = format!("{before}stand_by: CentreTap, set_low:{after}");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("changed.ron");
    std::fs::write(&file, changed).expect("a temporary file");
    let path = file.display().to_string();
    complains(
        &["discharge", &path],
        &[
            "output.stand_by",
            "CentreTap with a bridge",
            "BeforeFilter",
            "line",
        ],
    );
}
