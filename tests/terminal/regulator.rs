//! What the file says of a regulator, from there to the numbers and the worked page.

use std::fs;

use serde_json::Value;

use crate::{number, numbers, sagline};

/// The demo supply without shunt resistors, its screen on a divider, its sense divider part by part.
#[test]
fn what_a_file_says_of_its_regulator_is_told_everywhere() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("regulator.ron");
    let preset = concat!(env!("CARGO_MANIFEST_DIR"), "/presets/school-laboratory.ron");
    let mut text = fs::read_to_string(preset).expect("the demo supply");
    for (from, to) in [
        (
            "feed_resistor: \"4k7\")",
            "feed_resistor: \"4k7\", shunts: [])",
        ),
        (
            "screen_volts: \"75 V\"",
            "screen_divider: (fed_from: Output, upper: \"150k\", lower: \"68k\", foot: BiasReference(1))",
        ),
    ] {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text = text.replace(from, to);
    }
    fs::write(&path, text).expect("a file");
    let path = path.to_str().unwrap();
    let told = numbers(&[path, "--at", "0.05,200"]);
    let rail = &told["regulator"]["references"]["negative"];
    assert_eq!(rail["shunt_resistors"], serde_json::json!([]));
    // Starting supply of an 0A3 and of an 0C3, published: 105 V and 133 V.
    assert!((number(rail, "/low/strike_volts") - 238.0).abs() < 1e-6);
    let control = &told["regulator"]["sense_control"];
    let [none, all] = ["none", "all"].map(|of| {
        number(
            control,
            &format!("/lowest_volts_with_{of}_of_the_zero_adjuster"),
        )
    });
    let share = number(control, "/zero_adjuster_share_of_meter_scale");
    assert!((share - (none - all) / 300.0).abs() < 1e-6, "{control}");
    let here = &told["points"][0]["regulation"];
    let (screen, takes) = (
        number(here, "/control_screen_volts"),
        number(here, "/control_screen_amps"),
    );
    // The cathode and the divider's foot stand on one tap, so the divider has 200 V and that.
    let cathode = -number(rail, "/present/volts") * 75.0 / 180.0;
    let open = (200.0 - cathode) * 68.0 / 218.0 - takes * 150e3 * 68.0 / 218.0;
    assert!((screen / open - 1.0).abs() < 0.02, "{screen} V of {open} V");
    let page = sagline(&["explain", path, "--at", "50mA,200V", "--worked"]);
    let page = String::from_utf8(page.stdout).unwrap();
    for words in [
        "What the sense control reaches",
        "The zero adjuster moves the lowest output from",
        "of the meter's 300 V",
        "there are no shunt resistors",
        "150 kΩ from the output, 68 kΩ to rail tube 1",
    ] {
        assert!(page.contains(words), "no {words:?} in {page}");
    }
}

/// The rail of the school laboratory supply on the end of the high-voltage winding: its current is named wherever the winding's is.
#[test]
fn a_rail_on_the_high_voltage_winding_is_told_in_figures_and_words() {
    let preset = concat!(env!("CARGO_MANIFEST_DIR"), "/presets/school-laboratory.ron");
    let own = fs::read_to_string(preset).unwrap();
    let mut text = own.clone();
    for (from, to) in [
        ("winding: \"245 V\"", "winding: HighVoltageTap(\"245 V\")"),
        ("winding_resistance: \"300 Ω\",", ""),
        ("winding_rating: (\"75 mA\", DesignCentre),", ""),
    ] {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text = text.replacen(from, to, 1);
    }
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tapped.ron");
    fs::write(&path, text).unwrap();
    let path = path.to_str().unwrap();
    let [on, apart] = [path, preset].map(|file| numbers(&[file, "--at", "50mA,200V"]));
    let limits = |all: &Value| all["limits"].to_string();
    assert!(
        limits(&apart).contains("rail_winding_rms") && !limits(&on).contains("rail_winding_rms")
    );
    let figures = |all: &Value| all["currents"][0]["mains"]["present"].clone();
    let (on_figures, figures) = (figures(&on), figures(&apart));
    let number = |all: &Value, key: &str| {
        all[key]
            .as_f64()
            .unwrap_or_else(|| panic!("{key} in {all}"))
    };
    let rail = number(&on_figures, "rail_in_winding_rms_amps");
    let [both, bus] = [&on_figures, &figures].map(|all| number(all, "winding_rms_amps"));
    assert!(
        rail > 0.005 && both > bus && both < bus + 2.0 * rail,
        "{both} {bus} {rail}"
    );
    assert!(figures["rail_in_winding_rms_amps"].is_null());
    let because = figures["rail_in_winding_rms_amps_null_because"].as_str();
    assert_eq!(
        because,
        Some("no negative rail is fed from the high-voltage winding")
    );
    let sinks = on["points"][0]["energy"]["shares"].to_string();
    assert!(sinks.contains("negative_rail"), "{sinks}");
    let uses = on["points"][0]["uses"].as_array().unwrap();
    let winding = uses
        .iter()
        .find(|one| one["limit"] == "winding_rms")
        .unwrap();
    let why = winding["why"].as_str().unwrap();
    let words = " rms with the negative rail's current; it may carry 210 mA";
    assert!(why.contains(words), "{why}");
    let page = sagline(&["explain", path, "--at", "50mA,200V", "--worked"]);
    let page = String::from_utf8(page.stdout).unwrap();
    for words in [
        "Negative rail on the same winding",
        "from a tap: 29",
        "moved here by the rail's drop in the primary)² + (",
    ] {
        assert!(page.contains(words), "no {words:?} in {page}");
    }
}
