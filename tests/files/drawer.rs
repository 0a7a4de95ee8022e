//! The drawer's file: every name of its format, and faults that are told with line, field, found and expected.

use sagline::parts::drawer::read_lines;
use sagline::parts::file::{read_drawer, write_drawer};
use sagline::parts::{Mounting, ResistorKind};

const EVERY_FIELD: &str = "(
    format: 1, // the only one so far
    resistors: [
        (
            count: 4,
            name: \"left shelf\",
            resistance: \"10 kΩ\",
            power: \"25 W\",
            working_volts: \"750 V\",
            tolerance: \"10 %\",
            derating: \"60 %\",
            kind: WireWound,
            mounting: BoxedIn,
        ),
        (resistance: \"4k7\", power: \"50 W\"),
    ],
)
";

#[test]
fn every_name_of_the_format_is_read_and_what_is_left_out_is_usual() {
    let drawer = read_drawer(EVERY_FIELD).unwrap();
    let [first, second] = drawer.resistors.as_slice() else {
        panic!("{drawer:?}");
    };
    assert_eq!(first.count, 4);
    assert_eq!(first.resistor.kind, Some(ResistorKind::WireWound));
    assert_eq!(first.resistor.mounting, Mounting::BoxedIn);
    assert_eq!(second.count, 1);
    assert_eq!(second.resistor.kind, None);
    assert_eq!(second.resistor.mounting, Mounting::FreeAir);
    assert!((second.resistor.tolerance.0 - 0.05).abs() < 1e-12);
    let written = write_drawer(&drawer);
    assert_eq!(read_drawer(&written), Ok(drawer));
    for name in [
        "count:",
        "name:",
        "resistance:",
        "power:",
        "working_volts:",
        "tolerance:",
        "derating:",
        "kind:",
        "mounting:",
    ] {
        assert!(written.contains(name), "{name} in\n{written}");
    }
}

/// A text; line, field and a word of what is said of it.
const FAULTS: &[(&str, usize, &str, &str)] = &[
    ("(format: 2)", 1, "format", "newer version"),
    ("(resistors: [])", 1, "format", "format: 1"),
    (
        "(format: 1, resistors: [\n(power: \"5 W\")])",
        2,
        "resistors[0].resistance",
        "this field",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"10 kΩ\")])",
        2,
        "resistors[0].power",
        "this field",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"10 kΩ\", power: 5)])",
        2,
        "resistors[0].power",
        "in quotes",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"10 kV\", power: \"5 W\")])",
        2,
        "resistors[0].resistance",
        "Ω",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"0 Ω\", power: \"5 W\")])",
        2,
        "resistors[0].resistance",
        "above zero",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1e300 Ω\", power: \"5 W\")])",
        2,
        "resistors[0].resistance",
        "1 GΩ",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"0 W\")])",
        2,
        "resistors[0].power",
        "1 mW",
    ),
    (
        "(format: 1, resistors: [\n(count: 0, resistance: \"1 k\", power: \"5 W\")])",
        2,
        "resistors[0].count",
        "1 to 200",
    ),
    (
        "(format: 1, resistors: [\n(count: 900, resistance: \"1 k\", power: \"5 W\")])",
        2,
        "resistors[0].count",
        "whole number",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", tolerance: \"95 %\")])",
        2,
        "resistors[0].tolerance",
        "90 %",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", derating: \"0 %\")])",
        2,
        "resistors[0].derating",
        "0.1 %",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", working_volts: \"0 V\")])",
        2,
        "resistors[0].working_volts",
        "1 V",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", kind: Wirewound)])",
        2,
        "resistors[0].kind",
        "perhaps WireWound",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", mounting: Shelf)])",
        2,
        "resistors[0].mounting",
        "FreeAir",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\", shelf: 3)])",
        2,
        "resistors[0].shelf",
        "one of",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\" power: \"5 W\")])",
        2,
        "",
        "comma",
    ),
    (
        "(format: 1, resistors: [\n(resistance: \"1 k\", power: \"5 W\")",
        2,
        "",
        "closed",
    ),
    ("my notes", 1, "", "fields"),
];

#[test]
fn faults_are_told_with_line_field_found_and_expected() {
    for &(text, line, field, words) in FAULTS {
        let faults = read_drawer(text).unwrap_err();
        let fault = &faults[0];
        assert_eq!(fault.line, Some(line), "{text}: {fault}");
        assert!(fault.field.contains(field), "{text}: {fault}");
        assert!(fault.to_string().contains(words), "{text}: {fault}");
    }
    let many = format!(
        "(format: 1, resistors: [{}])",
        "(resistance: \"1 k\", power: \"5 W\"),".repeat(300)
    );
    assert!(
        read_drawer(&many).unwrap_err()[0]
            .to_string()
            .contains("at most 200")
    );
}

/// The text is never longer than a drawer; whatever stands in it, something is said of each line or it is read.
#[test]
fn every_line_of_a_jotted_text_is_read_or_asked_about() {
    let text = include_str!("every-field.ron");
    let lines = read_lines(text);
    let said = text.lines().filter(|line| {
        !line
            .split("//")
            .next()
            .unwrap_or_default()
            .trim()
            .is_empty()
    });
    assert_eq!(lines.read.len() + lines.faults.len(), said.count());
}
