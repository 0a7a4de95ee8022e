//! Faulty texts: each must be told by line, field, and words that say what to do.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::{FileError, read, read_checked};

/// A supply without a fault; line 1 is the opening bracket.
const SOUND: &str = r#"(
    format: 1,
    name: "test",
    mains: (nominal: "120 V", frequency: "60 Hz"),
    transformer: (
        winding: OpenCircuit("350 V"),
        primary_resistance: "2 Ω",
        secondary_resistance: "60 Ω",
        winding_rating: ("150 mA", DesignCentre),
    ),
    rectifier: (
        kind: "5U4-GB",
        connection: Bridge,
        in_parallel: 1,
    ),
    filter: (
        input_capacitor: (unit: "40 µF", working_volts: "450 V", surge_volts: "500 V"),
        sections: [
            (series: Resistor("1k"), capacitor: (unit: "40 µF")),
            (
                series: Choke(inductance: "10 H", resistance: "100 Ω"),
                capacitor: (unit: "40 µF", in_series: 2),
            ),
        ],
        bleeder: "100k",
    ),
    pass_stage: (tube: "6080"),
    output: (
        set_low: "0 V",
        set_high: "350 V",
    ),
    dummies: [
        (resistance: "4k7"),
        (resistance: "10 kΩ"),
    ],
)
"#;

/// What is exchanged in the sound text and for what; then line, field, and words of what was found and expected.
type Row = (
    &'static str,
    &'static str,
    usize,
    &'static str,
    &'static str,
    &'static str,
);

#[rustfmt::skip]
const FAULTS: &[Row] = &[
    ("OpenCircuit(\"350 V\")", "OpenCircuit(\"355-0-362\")", 6, "transformer.winding", "355-0-362 V with a bridge", "the whole winding in one figure, such as \"717 V\""),
    ("OpenCircuit(\"350 V\")", "OpenCircuit(\"355-0-\")", 6, "transformer.winding", "355-0-", "both halves such as \"360-0-360 V\""),
    ("        primary_r", "        second_half_resistance: \"64 Ω\",\n        primary_r", 7, "transformer.second_half_resistance", "64 Ω with a bridge", "no such field"),
    ("\"120 V\", f", "\"120 V\" f", 4, "mains", "frequency", "a comma"),
    ("\"5U4-GB\",", "\"5U4-GB,", 12, "rectifier", "over the end of its line", "a quote that closes it"),
    ("winding: Op", "winding Op", 6, "transformer", "OpenCircuit", "a colon"),
    ("    ),\n    rectifier", "    rectifier", 10, "transformer.rectifier", "a field that there is not", "primary_volts"),
    ("),\n    ],\n)\n", "),\n    ],\n", 36, "the file", "the end of the text", "every bracket closed"),
    (",\n)\n", ",\n))\n", 36, "the file", "`)`", "the end of the file"),
    ("        set_high: \"350 V\",\n", "", 28, "output.set_high", "nothing", "set_high: \"350 V\""),
    (", frequency: \"60 Hz\"", "", 4, "mains.frequency", "nothing", "frequency: \"60 Hz\""),
    ("    pass_stage: (tube: \"6080\"),\n", "", 1, "pass_stage", "nothing", "pass_stage"),
    ("    format: 1,\n", "", 1, "format", "nothing", "format: 1"),
    ("bleeder", "bleader", 25, "filter.bleader", "a field that there is not", "perhaps bleeder"),
    ("bleeder", "bleed er", 25, "filter.bleed", "a field that there is not", "perhaps bleeder"),
    ("\"2 Ω\",", "\"2 Ω,", 7, "transformer", "over the end of its line", "a quote that closes it"),
    ("\"450 V\", s", "(\"450 V\", DesignMaximum, s", 17, "filter.input_capacitor.working_volts", "the field surge_volts", "the bracket )"),
    ("    output: (", "    outputs: (", 28, "outputs", "a field that there is not", "perhaps output"),
    ("resistance: \"100 Ω\"", "resistence: \"100 Ω\"", 21, "filter.sections[1].series.resistence", "a field that there is not", "perhaps resistance"),
    ("set_low: \"0 V\"", "set_low: \"0 V\", set_low: \"1 V\"", 29, "output.set_low", "twice", "once"),
    ("inductance: \"10 H\"", "inductance: \"10 µF\"", 21, "filter.sections[1].series.inductance", "\"10 µF\"", "a value in H such as \"10 H\""),
    ("inductance: \"10 H\"", "inductance: \"ten henries\"", 21, "filter.sections[1].series.inductance", "\"ten henries\"", "a number with its unit such as \"10 H\""),
    ("inductance: \"10 H\"", "inductance: 10", 21, "filter.sections[1].series.inductance", "10", "in quotes, such as \"10 H\""),
    ("inductance: \"10 H\"", "inductance: 10 H", 21, "filter.sections[1].series.inductance", "10", "in quotes, such as \"10 H\""),
    ("inductance: \"10 H\"", "inductance: \"-10 H\"", 21, "filter.sections[1].series.inductance", "-10 H", "1 µH to"),
    ("inductance: \"10 H\"", "inductance: \"0 H\"", 21, "filter.sections[1].series.inductance", "0 H", "1 µH to"),
    ("inductance: \"10 H\"", "inductance: \"inf H\"", 21, "filter.sections[1].series.inductance", "\"inf H\"", "a number"),
    ("inductance: \"10 H\"", "inductance: \"1e999 H\"", 21, "filter.sections[1].series.inductance", "\"1e999 H\"", "a finite number"),
    ("\"100k\"", "\"1,000 k\"", 25, "filter.bleeder", "\"1,000 k\"", "a decimal point"),
    ("in_series: 2", "in_series: 0", 22, "filter.sections[1].capacitor.in_series", "0", "1 to 32"),
    ("in_series: 2", "in_series: -2", 22, "filter.sections[1].capacitor.in_series", "-2", "a whole number"),
    ("in_series: 2", "in_series: 300", 22, "filter.sections[1].capacitor.in_series", "300", "a whole number"),
    ("in_series: 2", "in_series: 1.5", 22, "filter.sections[1].capacitor.in_series", "1.5", "a whole number"),
    ("in_series: 2", "in_series: \"2\"", 22, "filter.sections[1].capacitor.in_series", "\"2\"", "a whole number"),
    ("name: \"test\"", "name: 7", 3, "name", "7", "text in quotes"),
    ("\"5U4-GB\"", "\"5U4GX\"", 12, "rectifier.kind", "\"5U4GX\", which is in no catalogue", "perhaps 5U4-GB"),
    ("\"6080\"", "\"6L6GC\"", 27, "pass_stage.tube", "\"6L6GC\", which is in no catalogue", "perhaps 6L6-GC or 6L6-G"),
    ("\"6080\"", "\"unheard of\"", 27, "pass_stage.tube", "\"unheard of\"", "own_types"),
    ("Bridge", "Brigde", 13, "rectifier.connection", "Brigde", "perhaps Bridge"),
    ("Bridge", "\"Bridge\"", 13, "rectifier.connection", "\"Bridge\"", "a name without quotes"),
    ("OpenCircuit(\"350 V\")", "\"350 V\"", 6, "transformer.winding", "\"350 V\"", "OpenCircuit(\"350 V\")"),
    ("Resistor(\"1k\")", "Resistor(\"1 V\")", 19, "filter.sections[0].series", "\"1 V\"", "a value in Ω"),
    ("DesignCentre", "Centre", 9, "transformer.winding_rating", "Centre", "DesignCentre, DesignMaximum, AbsoluteMaximum"),
    ("\"150 mA\"", "\"150 V\"", 9, "transformer.winding_rating", "\"150 V\"", "a value in A"),
    ("(\"150 mA\", DesignCentre)", "150", 9, "transformer.winding_rating", "150", "in quotes, such as \"120 mA\""),
    ("format: 1", "format: 2, novelty: Yes(3)", 2, "format", "from a newer version", "format 1, the newest that this version understands"),
    ("format: 1", "format: 0", 2, "format", "0", "the only format so far"),
    ("format: 1", "format: \"1\"", 2, "format", "\"1\"", "1"),
    ("(unit: \"40 µF\", in_series: 2)", "[(unit: \"40 µF\")]", 22, "filter.sections[1].capacitor", "[", "a group of fields in round brackets"),
    ("sections: [", "sections: (", 18, "filter.sections", "(", "a list in square brackets"),
    ("    name", "    /* name", 37, "the file", "the end of the text", "*/"),
    ("\"test\"", "\"te\\qst\"", 3, "name", "st", "a backslash"),
    ("surge_volts: \"500 V\"", "surge_volts: \"400 V\"", 17, "filter.input_capacitor.surge_volts", "400 V", "at least the working volts of 450 V"),
    ("working_volts: \"450 V\"", "working_volts: \"0 V\"", 17, "filter.input_capacitor.working_volts", "0 V", "1 V to"),
    ("set_low: \"0 V\"", "set_low: \"400 V\"", 29, "output.set_low", "400 V", "at most 350 V"),
    ("\"60 Hz\")", "\"60 Hz\", crest_factor: 1.1)", 4, "mains.crest_factor", "1.1", "1.331 to 1.4143: a clean sine has 1.414"),
    ("\"60 Hz\")", "\"60 Hz\", crest_factor: 1.73)", 4, "mains.crest_factor", "1.73", "1.331 to 1.4143"),
    ("\"60 Hz\")", "\"60 Hz\", crest_factor: \"flat\")", 4, "mains.crest_factor", "\"flat\"", "a number without quotes, such as 1.37"),
    ("\"2 Ω\",", "\"2 Ω\", primary_measured: Hot,", 7, "transformer.primary_measured", "Hot", "Warm, Cold"),
    ("in_parallel: 1,", "in_series: 3,", 14, "rectifier.in_series", "3", "1: only silicon diodes"),
    ("\"60 Hz\"", "\"60 kHz\"", 4, "mains.frequency", "60 kHz", "10 Hz to 1 kHz"),
    ("\"60 Hz\"", "\"60 Hz\", present: \"20 V\"", 4, "mains.present", "20 V", "36 V to 240 V"),
    ("\"60 Hz\"", "\"60 Hz\", low: \"130 V\"", 4, "mains.low", "130 V", "to 120 V"),
    ("4k7", "-4k7", 33, "dummies[0].resistance", "-4.7 kΩ", "to 1 GΩ"),
];

#[test]
fn the_sound_text_is_sound() {
    assert!(read_checked(SOUND, &Catalogue::built_in()).is_ok());
}

#[test]
fn every_fault_is_told_with_line_field_and_what_would_do() {
    let catalogue = Catalogue::built_in();
    for (from, to, line, field, found, expected) in FAULTS {
        assert!(SOUND.contains(from), "{from}");
        let text = SOUND.replacen(from, to, 1);
        let faults = read_checked(&text, &catalogue).expect_err(to);
        let fault = faults.first().unwrap();
        let as_it_should = fault.line == Some(*line)
            && fault.field == *field
            && fault.found.contains(found)
            && fault.expected.contains(expected);
        assert!(
            as_it_should,
            "{from} -> {to}\ngot:  {fault}\nwant: line {line}, {field}: found {found}, expected {expected}"
        );
        assert_eq!(faults.len(), 1, "{to}: {faults:?}");
    }
}

#[test]
fn what_is_no_supply_at_all_is_told() {
    let catalogue = Catalogue::built_in();
    for text in [
        "",
        "hello",
        "()",
        "PK\u{3}\u{4}\0\0",
        "[]",
        "{\"name\": 1}",
        "(((((",
    ] {
        let fault = read(text, &catalogue).expect_err(text);
        assert_eq!(fault.line, Some(1), "{text}: {fault}");
        assert!(
            !fault.field.is_empty() && !fault.expected.is_empty(),
            "{fault}"
        );
    }
    // Deep nesting is refused, not followed until the stack ends.
    let deep = "(".repeat(100_000);
    assert!(read(&deep, &catalogue).is_err());
}

#[test]
fn all_problems_of_a_supply_are_told_at_once() {
    let text = SOUND
        .replacen("\"10 H\"", "\"0 H\"", 1)
        .replacen("\"0 V\"", "\"-3 V\"", 1);
    let faults = read_checked(&text, &Catalogue::built_in()).unwrap_err();
    let places: Vec<(Option<usize>, &str)> =
        faults.iter().map(|f| (f.line, f.field.as_str())).collect();
    assert_eq!(
        places,
        [
            (Some(21), "filter.sections[1].series.inductance"),
            (Some(29), "output.set_low")
        ]
    );
}

#[test]
fn a_fault_in_a_type_of_the_file_is_told_where_the_type_stands() {
    let own = r#"
    own_types: (
        rectifiers: [
            (name: "other", plates: 1, law: MercuryVapour(drop: "15 V")),
            (
                name: "mine",
                plates: 2,
                law: Vacuum(drop: "0 V", at: "100 mA"),
            ),
        ],
    ),
)
"#;
    let text =
        SOUND
            .replacen("5U4-GB", "mine", 1)
            .replacen("    ],\n)\n", &format!("    ],{own}"), 1);
    let faults = read_checked(&text, &Catalogue::built_in()).unwrap_err();
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].line, Some(42));
    assert_eq!(faults[0].field, "own_types.rectifiers[1].law.drop");
}

#[test]
fn a_bad_entry_of_a_catalogue_does_not_take_the_others_with_it() {
    let text = r#"(
    format: 1,
    rectifiers: [
        (name: "good", plates: 1, law: MercuryVapour(drop: "15 V")),
        (name: "bad", plates: 1, law: MercuryVapour(drop: "15 A")),
        (
            name: "contradictory",
            plates: 1,
            law: MercuryVapour(drop: "15 V"),
            peak_current: "10 mA",
            dc_current: "100 mA",
        ),
    ],
    pass_tubes: [
        (name: "no grid", units: 1, characteristic: Published(points: [
            (plate: "100 V", supply: "120 V", current: "1 mA"),
        ])),
        (name: "falling", units: 1, characteristic: ZeroBias([("0 V", "0 A"), ("9 V", "2 A"), ("8 V", "3 A")])),
        (name: "fine", units: 1, characteristic: ZeroBias([("0 V", "0 A"), ("40 V", "150 mA")])),
    ],
)"#;
    let mut catalogue = Catalogue::default();
    let faults = catalogue.add(text);
    let places: Vec<(Option<usize>, &str)> =
        faults.iter().map(|f| (f.line, f.field.as_str())).collect();
    assert_eq!(
        places,
        [
            (Some(5), "rectifiers[1].law.drop"),
            (Some(10), "rectifiers[2].peak_current"),
            (Some(16), "pass_tubes[0].characteristic.points[0]"),
            (Some(18), "pass_tubes[1].characteristic"),
        ],
        "{faults:#?}"
    );
    assert!(faults[2].expected.contains("supply and cathode_resistor"));
    assert!(catalogue.rectifier("good").is_some() && catalogue.pass_tube("fine").is_some());
    assert_eq!(catalogue.rectifiers.len() + catalogue.pass_tubes.len(), 2);
}

#[test]
fn a_catalogue_that_cannot_be_read_leaves_the_types_as_they_are() {
    let mut catalogue = Catalogue::built_in();
    for text in [
        "",
        "(format: 1, rectifiers: [(]",
        "(format: 9)",
        "(format: 1, tubes: [])",
    ] {
        let faults: Vec<FileError> = catalogue.add(text);
        assert_eq!(faults.len(), 1, "{text}");
        assert_eq!(faults[0].line, Some(1), "{text}: {}", faults[0]);
    }
    assert_eq!(catalogue, Catalogue::built_in());
}

/// Editors on some systems begin a file with a byte-order mark: it is no part of the text, and moves no line.
#[test]
fn a_byte_order_mark_is_no_fault() {
    let catalogue = Catalogue::built_in();
    let marked = |text: &str| format!("\u{feff}{text}");
    assert_eq!(read(&marked(SOUND), &catalogue), read(SOUND, &catalogue));
    let bad = marked(&SOUND.replacen("\"60 Hz\"", "\"60 V\"", 1));
    assert_eq!(read(&bad, &catalogue).unwrap_err().line, Some(4));
    let mut own = Catalogue::default();
    let types =
        "(format: 1, rectifiers: [(name: \"R\", plates: 1, law: MercuryVapour(drop: \"15 V\"))])";
    assert_eq!(own.add(&marked(types)), []);
    // Also where a slip costs one entry.
    let slip = types.replacen("plates: 1,", "plates 1,", 1);
    assert_eq!(own.add(&marked(&slip)).len(), 1);
    assert!(own.rectifier("R").is_some());
}

/// Whatever stands in a text: one can read what is said of it.
#[test]
fn long_values_are_cut_where_they_are_told() {
    let long = "x".repeat(100_000);
    let catalogue = Catalogue::built_in();
    for (from, to) in [
        ("\"60 Hz\"", format!("\"{long}\"")),
        ("\"60 Hz\"", format!("\"60{} Hz\"", "0".repeat(300))),
        ("\"5U4-GB\"", format!("\"{long}\"")),
        ("bleeder:", format!("{long}:")),
        ("bleeder: \"100k\"", format!("{long} \"100k\"")),
        ("bleeder:", format!("\"{long}\":")),
        ("Bridge", long.clone()),
        ("Bridge", format!("{long}()")),
        (
            "in_series: 2",
            format!("in_series: {}", "9".repeat(100_000)),
        ),
        (
            "(unit: \"40 µF\", in_series: 2)",
            format!("{long}(unit: \"40 µF\")"),
        ),
        ("name: \"test\"", format!("name: {long}")),
        (
            "(\"150 mA\", DesignCentre)",
            format!("(\"150 mA\", {long}: 2)"),
        ),
        (
            "(\"150 mA\", DesignCentre)",
            format!("(\"150 mA\", {long})"),
        ),
        (
            "DesignCentre",
            format!("DesignCentre, Seen, \"a\", \"{long}\""),
        ),
        (
            "    dummies: [",
            format!("    own_types: (gas_tubes: [(name: \"{long}\")]), dummies: ["),
        ),
    ] {
        assert!(SOUND.contains(from), "{from}");
        let faults = read_checked(&SOUND.replacen(from, &to, 1), &catalogue).expect_err(from);
        for fault in faults {
            let said = fault.to_string();
            assert!(said.chars().count() < 400, "{from}: {} letters", said.len());
        }
    }
}

/// The sound supply with a regulator on line 28; `of_reference` stands in its reference of two gas tubes, `more` beside it.
pub(crate) fn regulated(of_reference: &str, more: &str) -> String {
    let regulator = format!(
        "    regulator: (control_tube: \"6SJ7\", plate_load: \"1 MΩ\", cathode: Reference, divider: (resistance: \"470 kΩ\", \
         foot: Common), reference: (tubes: [\"0A2\", \"0B2\"], feed_resistor: \"10 kΩ\"{of_reference}){more}),\n    output: ("
    );
    SOUND.replacen("    output: (", &regulator, 1)
}

/// Line, field, found and expected of what is wrong with a regulator.
#[track_caller]
pub(crate) fn told_of_regulator(text: &str, field: &str, found: &str, expected: &str) {
    let faults = (read_checked(text, &Catalogue::built_in()).err()).unwrap_or_default();
    assert_eq!(faults.len(), 1, "{field}: {faults:?}");
    for fault in faults {
        let told = [fault.field.as_str(), &fault.found, &fault.expected];
        assert_eq!(told, [field, found, expected]);
        assert_eq!(fault.line, Some(28), "{fault}");
    }
}

#[test]
fn shunt_resistors_are_across_tubes_that_are_there() {
    for sound in [
        "",
        ", shunts: []",
        ", shunts: [(across: 2, resistance: \"220k\")]",
    ] {
        let read = read_checked(&regulated(sound, ""), &Catalogue::built_in());
        assert!(read.is_ok(), "{sound}: {read:?}");
    }
    let shunts = "regulator.reference.shunts";
    let there = "1 to 2, a tube of the stack, counted from the common";
    for (text, field, found, expected) in [
        (
            "(across: 3, resistance: \"220k\")",
            "[0].across",
            "3",
            there,
        ),
        (
            "(across: 0, resistance: \"220k\")",
            "[0].across",
            "0",
            there,
        ),
        (
            "(across: 2, resistance: \"220k\"), (across: 2, resistance: \"1M\")",
            "[1].across",
            "a second shunt resistor across tube 2",
            "one for each tube",
        ),
        (
            "(across: 1, resistance: \"10 Ω\")",
            "[0].resistance",
            "10 Ω",
            "100 Ω to 1 GΩ",
        ),
        (
            "(across: 1, resistance: \"220 V\")",
            "[0].resistance",
            "\"220 V\"",
            "a value in Ω such as \"4k7\"",
        ),
        (
            "(across: 1)",
            "[0].resistance",
            "nothing",
            "this field, for example resistance: \"120 Ω\"",
        ),
    ] {
        let text = regulated(&format!(", shunts: [{text}]"), "");
        told_of_regulator(&text, &format!("{shunts}{field}"), found, expected);
    }
}

#[test]
fn a_divider_of_the_screen_has_two_ends_that_are_there() {
    let divider =
        |ends: &str| format!(", screen_divider: (upper: \"220k\", lower: \"100k\", {ends})");
    for ends in [
        "fed_from: Output, foot: Common",
        "fed_from: Bus, foot: Reference",
    ] {
        let read = read_checked(&regulated("", &divider(ends)), &Catalogue::built_in());
        assert!(read.is_ok(), "{ends}: {read:?}");
    }
    let path = "regulator.screen_divider";
    for (ends, field, found, expected) in [
        (
            "fed_from: CleanRail, foot: Common",
            ".fed_from",
            "CleanRail",
            "a clean rail for the plate load (plate_supply), or another feed",
        ),
        (
            "fed_from: Reference, foot: Reference",
            ".fed_from",
            "Reference, like its foot",
            "a feed above its foot",
        ),
        (
            "fed_from: Common, foot: Common",
            ".fed_from",
            "Common, like its foot",
            "a feed above its foot",
        ),
        (
            "fed_from: Output, foot: BiasReference(1)",
            ".foot",
            "BiasReference(1)",
            "a reference on the negative rail, or another tap",
        ),
        (
            "fed_from: Plate, foot: Common",
            ".fed_from",
            "Plate",
            "one of Bus, CleanRail, Output, Reference, Common",
        ),
    ] {
        let text = regulated("", &divider(ends));
        told_of_regulator(&text, &format!("{path}{field}"), found, expected);
    }
    let both = divider("fed_from: Output, foot: Common") + ", screen_volts: \"100 V\"";
    let found = "screen volts of 100 V and a divider for them";
    let expected = "one of the two: screen_volts or screen_divider";
    told_of_regulator(&regulated("", &both), path, found, expected);
}

#[test]
fn the_parts_of_a_divider_make_its_whole() {
    let with = |control: &str| {
        let parts = format!("foot: Common, control: ({control})");
        regulated("", "").replacen("foot: Common", &parts, 1)
    };
    let sound = "upper: \"220k\", pot: \"200k\", lower: \"47k\", zero_adjuster: \"5k\"";
    let read = read_checked(&with(sound), &Catalogue::built_in());
    assert!(read.is_ok(), "{read:?}");
    let divider = "regulator.divider";
    for (control, field, found, expected) in [
        (
            "upper: \"220k\", pot: \"100k\", lower: \"47k\"",
            ".resistance",
            "470 kΩ",
            "367 kΩ, the sum of upper, pot and lower",
        ),
        (
            "upper: \"220k\", pot: \"100k\", lower: \"47k\", zero_adjuster: \"10k\"",
            ".resistance",
            "470 kΩ",
            "372 kΩ, the sum of upper, pot, lower and half the zero adjuster",
        ),
        (
            "upper: \"270k\", pot: \"5 Ω\", lower: \"200k\"",
            ".control.pot",
            "5 Ω",
            "10 Ω to 1 GΩ",
        ),
    ] {
        told_of_regulator(
            &with(control),
            &format!("{divider}{field}"),
            found,
            expected,
        );
    }
}

/// More than a supply or a catalogue can have is refused before it costs anything.
#[test]
fn a_list_has_a_most() {
    let catalogue = Catalogue::built_in();
    let of = |each: &str, many: usize| vec![each; many].join(", ");
    let sections = "(series: Resistor(\"1k\"), capacitor: (unit: \"40 µF\"))";
    let points = "(plate: \"100 V\", grid: \"-20 V\", current: \"40 mA\")";
    let tube = |points: String| {
        format!(
            "    own_types: (pass_tubes: [(name: \"6080\", units: 2, characteristic: Published(points: [{points}]))]),\n    dummies: ["
        )
    };
    for (from, to, field, found, expected) in [
        (
            sections,
            of(sections, 20_000),
            "filter.sections",
            "a list of 20001",
            "at most 1000",
        ),
        (
            sections,
            of(sections, 20),
            "filter.sections",
            "21 sections",
            "at most 12",
        ),
        (
            "(resistance: \"4k7\")",
            of("(resistance: \"4k7\")", 50_000),
            "dummies",
            "a list of 50001",
            "at most 1000",
        ),
        (
            "(resistance: \"4k7\")",
            of("(resistance: \"4k7\")", 200),
            "dummies",
            "201 dummy loads",
            "at most 200",
        ),
        (
            "    dummies: [",
            tube(of(points, 301)),
            "own_types.pass_tubes[0].characteristic.points",
            "301 points",
            "at most 300",
        ),
    ] {
        let faults = read_checked(&SOUND.replacen(from, &to, 1), &catalogue).expect_err(field);
        let [fault] = faults.as_slice() else {
            panic!("{field}: {faults:?}");
        };
        let told = [fault.field.as_str(), &fault.found, &fault.expected];
        assert_eq!(told, [field, found, expected]);
    }
    let entry = "(name: \"A\", plates: 1, law: MercuryVapour(drop: \"15 V\"))";
    let faults =
        Catalogue::default().add(&format!("(format: 1, rectifiers: [{}])", of(entry, 1001)));
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(
        (faults[0].field.as_str(), faults[0].found.as_str()),
        ("rectifiers", "a list of 1001")
    );
}

/// A name goes into plots and sentences; one that is a page long or holds what a terminal obeys is none.
#[test]
fn a_type_has_a_name_that_can_be_shown() {
    for name in [" ", "x\\u{1b}[2J", "two\\nlines", &"x".repeat(61)] {
        let entry = format!("(name: \"{name}\", plates: 1, law: MercuryVapour(drop: \"15 V\"))");
        let faults = Catalogue::default().add(&format!("(format: 1, rectifiers: [{entry}])"));
        assert_eq!(faults.len(), 1, "{name}: {faults:?}");
        assert_eq!(faults[0].field, "rectifiers[0].name");
        assert!(
            faults[0].expected.contains("a type designation"),
            "{}",
            faults[0]
        );
    }
}

/// A mark must name what is there: that of a choke in a section that has a resistor is no mark.
#[test]
fn a_mark_of_a_field_that_is_not_there_is_told_with_its_line() {
    for (field, sound) in [
        ("transformer.secondary_resistance", true),
        ("filter.sections[1].series.inductance", true),
        ("filter.sections[0].series.inductance", false),
        ("filter.sections[9].series", false),
        ("transformer.colour", false),
        ("", false),
    ] {
        let mark = format!("    guessed: [\"{field}\"],\n    dummies:");
        let text = SOUND.replacen("    dummies:", &mark, 1);
        let faults = read_checked(&text, &Catalogue::built_in())
            .err()
            .unwrap_or_default();
        assert_eq!(faults.is_empty(), sound, "{field}: {faults:?}");
        for fault in faults {
            assert_eq!(
                (fault.line, fault.field.as_str()),
                (Some(32), "guessed[0]"),
                "{fault}"
            );
            assert!(fault.found.contains(field), "{fault}");
            assert!(fault.expected.contains("such as"), "{fault}");
        }
    }
}
