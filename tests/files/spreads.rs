//! Spreads in a file: optional, read and written as one writes them, and their faults told with line, field, found and expected.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::{FileError, read_work, read_work_checked, updated, write};
use sagline::parts::spread::{Condition, Electrolytics, Origin, Tubes, inputs};

const PRESET: &str = include_str!("../../presets/school-laboratory.ron");

/// The preset with lines before its dummies.
fn with(lines: &str) -> String {
    let text = PRESET.replacen("    dummies: [", &format!("{lines}\n    dummies: ["), 1);
    assert_ne!(text, PRESET);
    text
}

fn faults(lines: &str) -> Vec<FileError> {
    let read = read_work_checked(&with(lines), &Catalogue::built_in());
    read.err().unwrap_or_default()
}

fn line_of(text: &str, what: &str) -> usize {
    let place = text.lines().position(|line| line.contains(what));
    place.map_or(0, |place| place + 1)
}

#[test]
fn a_file_without_spreads_is_as_it_was() {
    let work = read_work(PRESET, &Catalogue::built_in()).unwrap();
    assert!(work.spreads.is_empty());
    assert_eq!(work.condition, Condition::default());
    let text = write(&work, &Catalogue::built_in());
    assert!(
        !text.contains("spreads:") && !text.contains("condition:"),
        "{text}"
    );
}

#[test]
fn spreads_and_condition_are_read_and_stay_as_they_were_typed() {
    let text = with(
        "    spreads: [\n        (field: \"transformer.winding\", spread: \"±3 %\"), // read on the panel meter\n        (field: \"filter.input_capacitor.unit\", spread: \"60 to 80 µF\"),\n    ],\n    condition: (tubes: Used, electrolytics: Dried),",
    );
    let catalogue = Catalogue::built_in();
    let mut work = read_work_checked(&text, &catalogue).unwrap();
    assert_eq!(work.spreads.len(), 2);
    assert_eq!(
        work.condition,
        Condition {
            tubes: Tubes::Used,
            electrolytics: Electrolytics::Dried,
        }
    );
    let stated = inputs(&work)
        .into_iter()
        .filter(|input| input.origin == Origin::Stated);
    assert_eq!(stated.count(), 2);
    // Another change leaves them as they were typed, the comment with them.
    work.condition.tubes = Tubes::Tired;
    let new = updated(&text, &work, &catalogue).unwrap();
    assert_eq!(new, text.replace("tubes: Used", "tubes: Tired"));
}

#[test]
fn a_faulty_spread_is_told_with_its_line_and_loses_nothing() {
    for (spread, field, found, expected) in [
        (
            r#"(field: "transformer.colour", spread: "3 %")"#,
            "spreads[0].field",
            "transformer.colour",
            "transformer.winding",
        ),
        (
            r#"(field: "mains.frequency", spread: "3 %")"#,
            "spreads[0].field",
            "mains.frequency",
            "has a spread",
        ),
        (
            r#"(field: "transformer.winding", spread: "-3 %")"#,
            "spreads[0].spread",
            "-3 %",
            "from 0 % to 90 %",
        ),
        (
            r#"(field: "transformer.winding", spread: "400 %")"#,
            "spreads[0].spread",
            "400 %",
            "90 % of the value",
        ),
        (
            r#"(field: "transformer.winding", spread: "300 V to 280 V")"#,
            "spreads[0].spread",
            "300 V to 280 V",
            "lower to its higher",
        ),
        (
            r#"(field: "transformer.winding", spread: "±2 Ω")"#,
            "spreads[0].spread",
            "±2 Ω",
            "290 V",
        ),
        (
            r#"(field: "transformer.winding", spread: "a lot")"#,
            "spreads[0].spread",
            "a lot",
            "±1 Ω",
        ),
        (
            r#"(field: "transformer.winding", spread: 3)"#,
            "spreads[0].spread",
            "3",
            "±1 Ω",
        ),
        (
            r#"(field: "transformer.winding")"#,
            "spreads[0].spread",
            "nothing",
            "this field",
        ),
    ] {
        let line = format!("    spreads: [{spread}],");
        let told = faults(&line);
        assert_eq!(told.len(), 1, "{spread}: {told:?}");
        let fault = &told[0];
        assert_eq!(fault.field, field, "{fault}");
        assert_eq!(
            fault.line,
            Some(line_of(&with(&line), "spreads:")),
            "{fault}"
        );
        assert!(fault.found.contains(found), "{fault}");
        assert!(fault.expected.contains(expected), "{fault}");
    }
    let twice = r#"    spreads: [(field: "transformer.winding", spread: "3 %"), (field: "transformer.winding", spread: "2 %")],"#;
    let told = faults(twice);
    assert!(
        told[0].found.contains("second time") && told[0].field == "spreads[1].field",
        "{told:?}"
    );
    let told = faults("    condition: (tubes: Broken),");
    assert!(told[0].expected.contains("New, Used, Tired"), "{told:?}");
}
