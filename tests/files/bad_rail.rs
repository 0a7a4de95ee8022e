//! A negative rail on the high-voltage winding: what is taken, and what is told where it cannot be.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::read_checked;

use crate::bad::{regulated, told_of_regulator};

/// A rail from the high-voltage winding, with `more` after its winding, in a supply whose rectifier is wired so.
fn with_rail(winding: &str, more: &str, connection: &str) -> String {
    let rail = format!(
        ", bias_rail: (winding: {winding}{more}, rectifier: (kind: \"1N4007\", connection: HalfWave), filter: (input_capacitor: (unit: \"10 µF\")))"
    );
    regulated("", &rail).replacen(
        "connection: Bridge",
        &format!("connection: {connection}"),
        1,
    )
}

#[test]
fn a_rail_from_the_high_voltage_winding_hangs_on_a_point_that_is_there() {
    for (winding, connection) in [
        ("HighVoltageEnd", "FullWaveCentreTap"),
        ("HighVoltageEnd", "HalfWave"),
        ("HighVoltageTap(\"350 V\")", "FullWaveCentreTap"),
        (
            "HighVoltageTap(\"120 V\"), winding_resistance: \"20 Ω\", winding_measured: Cold",
            "HalfWave",
        ),
    ] {
        let read = read_checked(&with_rail(winding, "", connection), &Catalogue::built_in());
        assert!(read.is_ok(), "{winding}: {read:?}");
    }
}

#[test]
fn a_rail_that_cannot_hang_on_the_high_voltage_winding_is_told() {
    let (winding, rating) = (
        "regulator.bias_rail.winding",
        "regulator.bias_rail.winding_rating",
    );
    let choices = "the volts of a winding of its own, such as \"245 V\", or HighVoltageEnd, HighVoltageTap(\"120 V\")";
    let tapped = "FullWaveCentreTap";
    for (text, more, connection, [field, found, expected]) in [
        (
            "HighVoltageEnd",
            "",
            "Bridge",
            [
                winding,
                "HighVoltageEnd with a bridge on that winding",
                "a winding of its own, such as \"245 V\": with a bridge no point of the high-voltage winding stands at the common",
            ],
        ),
        (
            "HighVoltageTap(\"351 V\")",
            "",
            tapped,
            [
                winding,
                "HighVoltageTap(\"351 V\")",
                "at most 350 V, the first half of the high-voltage winding",
            ],
        ),
        (
            "HighVoltageTap(\"351 V\")",
            "",
            "HalfWave",
            [
                winding,
                "HighVoltageTap(\"351 V\")",
                "at most 350 V, the high-voltage winding",
            ],
        ),
        (
            "HighVoltageTap(\"0 V\")",
            "",
            tapped,
            [winding, "0 V", "a value above zero, 1 V to 100 kV"],
        ),
        (
            "HighVoltageEnd",
            ", winding_rating: \"50 mA\"",
            tapped,
            [
                rating,
                "50 mA with HighVoltageEnd",
                "no such field: the rail's current counts in the high-voltage winding, whose rating is transformer.winding_rating",
            ],
        ),
        (
            "HighVoltageHalf",
            "",
            tapped,
            [winding, "HighVoltageHalf", choices],
        ),
        ("120", "", tapped, [winding, "120", choices]),
        (
            "HighVoltageTap(120)",
            "",
            tapped,
            [
                winding,
                "120",
                "a value with its unit in quotes, such as \"350 V\"",
            ],
        ),
        (
            "\"245 V\"",
            "",
            tapped,
            [
                "regulator.bias_rail.winding_resistance",
                "nothing",
                "this field, for example winding_resistance: \"200 Ω\"",
            ],
        ),
    ] {
        told_of_regulator(&with_rail(text, more, connection), field, found, expected);
    }
    let wired = "regulator.bias_rail.rectifier.connection";
    for wiring in ["FullWaveCentreTap", "Bridge"] {
        let text = with_rail("HighVoltageTap(\"120 V\")", "", "HalfWave");
        let inner = "kind: \"1N4007\", connection: ";
        let text = text.replacen(&format!("{inner}HalfWave"), &format!("{inner}{wiring}"), 1);
        let expected =
            "HalfWave: between one point of the winding and the common there is one path";
        let found = format!("{wiring} with HighVoltageTap(\"120 V\")");
        told_of_regulator(&text, wired, &found, expected);
    }
}
