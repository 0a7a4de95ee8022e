//! The primary side: what is taken, and what is told where it cannot be.

use sagline::parts::Primary;
use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::{read_work_checked, write};

const PRESET: &str = include_str!("../../presets/school-laboratory.ron");

fn with(primary: &str) -> String {
    PRESET.replacen(
        "    dummies: [",
        &format!("    primary: ({primary}),\n    dummies: ["),
        1,
    )
}

/// A file of before there was a primary side opens as it did, and is written without one.
#[test]
fn a_file_without_a_primary_side_has_the_usual_one() {
    let work = read_work_checked(PRESET, &Catalogue::built_in()).unwrap();
    assert_eq!(work.primary, Primary::default());
    assert!(!write(&work, &Catalogue::built_in()).contains("primary: ("));
}

#[test]
fn a_primary_side_that_makes_sense_is_taken() {
    for text in [
        "limiter: Resistor(\"10 Ω\")",
        "limiter: SoftStart(resistance: \"47 Ω\", shorted_after: \"1 s\")",
        "limiter: Thermistor(cold: \"10 Ω\", hot: \"0.18 Ω\", at: \"5 A\", time_constant: \"100 s\")",
        "fuse: (rating: \"1.6 A\", kind: TimeLagCeramic)",
        "build: Toroid, core_rating: \"160 VA\", saturates_at: \"170 V\"",
        "no_load: (lower: (\"117 V\", \"90 mA\"), higher: (\"140 V\", \"170 mA\"))",
    ] {
        let read = read_work_checked(&with(text), &Catalogue::built_in());
        assert!(read.is_ok(), "{text}: {read:?}");
    }
}

#[test]
fn a_primary_side_that_cannot_be_is_told_with_its_place() {
    for (text, field, words) in [
        (
            "saturates_at: \"120 V\"",
            "primary.saturates_at",
            ["120 V", "more than 126 V"],
        ),
        (
            "limiter: Thermistor(cold: \"10 Ω\")",
            "primary.limiter.hot",
            ["", ""],
        ),
        (
            "limiter: Thermistor(cold: \"1 Ω\", hot: \"2 Ω\", at: \"3 A\", time_constant: \"60 s\")",
            "primary.limiter.hot",
            ["2 Ω", "less than the 1 Ω"],
        ),
        (
            "no_load: (lower: (\"140 V\", \"170 mA\"), higher: (\"117 V\", \"90 mA\"))",
            "primary.no_load.higher",
            ["117 V", "more than the 140 V"],
        ),
        (
            "fuse: (rating: \"1.6 A\", kind: Slow)",
            "primary.fuse.kind",
            ["Slow", "UlSlow"],
        ),
        (
            "fuse: (rating: \"0 A\", kind: UlSlow)",
            "primary.fuse.rating",
            ["0 A", "above zero"],
        ),
        (
            "mains_resistance: \"-1 Ω\"",
            "primary.mains_resistance",
            ["-1 Ω", "0 Ω to 1 kΩ"],
        ),
    ] {
        let faults = read_work_checked(&with(text), &Catalogue::built_in()).unwrap_err();
        let told = faults.iter().find(|fault| fault.field == field);
        let said = told.map(ToString::to_string).unwrap_or_default();
        assert!(
            told.is_some_and(|fault| fault.line.is_some())
                && words.iter().all(|word| said.contains(word)),
            "{text}: {faults:?}"
        );
    }
}
