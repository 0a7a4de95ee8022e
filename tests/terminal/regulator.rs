//! What the file says of a regulator, from there to the numbers and the worked page.

use std::fs;

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
