//! A slip of the pen in one entry leaves the others in use.

use crate::parts::catalogue::Catalogue;

/// Three pass tubes, B in the middle on lines 6 to 10, and a control tube.
const SOUND: &str = r#"// mine
(
    format: 1, sources: {"n": "my note book"},
    pass_tubes: [
        (name: "A", units: 1, characteristic: ZeroBias([("0 V", "0 A"), ("40 V", "150 mA")])), // "spare
        (
            name: "B", units: 2,
            characteristic: Published(points: [(plate: "100 V", grid: "-20 V", current: "40 mA")]),
            plate_dissipation: "13 W",
        ),
        (name: "C", units: 1, characteristic: ZeroBias([("0 V", "0 A"), ("50 V", ("150 mA"))])),
        /* the last ( */
    ],
    control_tubes: [
        (name: "K", kind: Triode(Published(points: [(plate: "100 V", grid: "-1 V", current: "1 mA", source: (Own, "n"))]))),
    ],
)
"#;

fn sound() -> String {
    SOUND.replace("(\"150 mA\")", "\"150 mA\"")
}

/// What loads, in one line, and what is said.
fn read(text: &str) -> (String, Vec<String>) {
    let mut catalogue = Catalogue::default();
    let faults = catalogue.add(text);
    let pass = catalogue.pass_tubes.iter().map(|t| t.name.as_str());
    let control = catalogue.control_tubes.iter().map(|t| t.name.as_str());
    let names: Vec<&str> = pass.chain(control).collect();
    (
        names.join(" "),
        faults.iter().map(ToString::to_string).collect(),
    )
}

#[test]
fn the_text_without_a_slip_is_sound() {
    assert_eq!(read(&sound()), ("A B C K".to_owned(), Vec::new()));
}

#[test]
fn a_slip_in_one_entry_leaves_the_others() {
    // What is exchanged in B, the line of the fault, and the field.
    let slips = [
        ("name: \"B\",", "name: \"B,", 7, "pass_tubes[1]"),
        ("name: \"B\",", "name: B\",", 7, "pass_tubes[1].name"),
        ("name: \"B\", u", "name: \"B\" u", 7, "pass_tubes[1]"),
        ("units: 2", "units 2", 7, "pass_tubes[1]"),
        ("units: 2", "units: 2 2", 7, "pass_tubes[1]"),
        ("\"40 mA\")])", "\"40 mA\")", 9, "pass_tubes[1]"),
        ("\"40 mA\")])", "\"40 mA\"])", 8, "pass_tubes[1]"),
        ("\"40 mA\")])", "\"40 mA\")]))", 8, "pass_tubes[1]"),
        ("\"40 mA\")])", "\"40 mA\"))])", 8, "pass_tubes[1]"),
        ("grid: \"-20 V\"", "grid: \"-20 V", 8, "pass_tubes[1]"),
        (
            "\"13 W\",\n        ),",
            "\"13 W\",\n        ",
            9,
            "pass_tubes[1]",
        ),
        ("\"13 W\"", "13 W", 9, "pass_tubes[1]"),
        ("\"13 W\"", "\"13 W\" /* at most", 10, "pass_tubes[1]"),
        ("\"13 W\"", "\"13 \\W\"", 9, "pass_tubes[1]"),
    ];
    for (old, new, line, field) in slips {
        let text = sound().replacen(old, new, 1);
        assert_ne!(text, sound(), "{new}");
        let (names, said) = read(&text);
        assert_eq!(names, "A C K", "{new}: {said:?}");
        assert_eq!(said.len(), 1, "{new}: {said:?}");
        assert!(
            said[0].starts_with(&format!("line {line}, {field}")),
            "{new}: {said:?}"
        );
    }
}

#[test]
fn a_slip_between_the_entries_is_said_and_all_are_read() {
    for (old, new) in [
        (
            "        ),\n        (name: \"C\"",
            "        )\n        (name: \"C\"",
        ),
        ("    ],\n    control", "    \n    control"),
        ("    ],\n    control", "    ]\n    control"),
        ("    ],\n)", "    ],\n"),
        ("    ],\n)", "    ],\n) and more"),
        ("format: 1,", "format: 1"),
        ("format: 1,", "format: 1, tubes: [],"),
        ("format: 1,", ""),
        ("        ),\n", "        )),\n"),
    ] {
        let text = sound().replacen(old, new, 1);
        assert_ne!(text, sound(), "{new}");
        let (names, said) = read(&text);
        assert_eq!(names, "A B C K", "{new}: {said:?}");
        assert_eq!(said.len(), 1, "{new}: {said:?}");
    }
}

#[test]
fn each_of_two_slips_is_said() {
    let text = sound()
        .replacen("units: 2", "units 2", 1)
        .replacen("\"1 mA\"", "\"1 mA", 1);
    let (names, said) = read(&text);
    assert_eq!(names, "A C", "{said:?}");
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].starts_with("line 7, pass_tubes[1]"), "{said:?}");
    assert!(said[1].starts_with("line 15, control_tubes[0]"), "{said:?}");
}

#[test]
fn what_is_no_catalogue_gives_nothing() {
    for text in [
        "my notes",
        "[1, 2]",
        "(format: 9, pass_tubes: [(name: \"A\"",
        "",
        "(((",
        "\"",
    ] {
        let (names, said) = read(text);
        assert_eq!((names.as_str(), said.len()), ("", 1), "{text}: {said:?}");
    }
}

/// Any text at all: cut off anywhere, and with any one letter left out, it is read without harm, and no entry is read
/// that was not there.
#[test]
fn no_cut_and_no_lost_letter_makes_up_an_entry() {
    let text = sound();
    let places: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
    for at in places {
        let (before, rest) = text.split_at(at);
        let without = rest.chars().skip(1).collect::<String>();
        for broken in [before.to_owned(), format!("{before}{without}")] {
            let (names, said) = read(&broken);
            let known = names
                .split(' ')
                .all(|name| ["", "A", "B", "C", "K"].contains(&name));
            assert!(known || said.is_empty(), "{names} {said:?} at {at}");
        }
        // One lost letter costs one entry at most; the name of a list costs the list.
        let in_name = ["pass_tubes", "control_tubes"].into_iter().any(|name| {
            let from = text.find(name).unwrap_or_default();
            (from..from + name.len()).contains(&at)
        });
        let (names, said) = read(&format!("{before}{without}"));
        let left = names.split(' ').filter(|name| !name.is_empty()).count();
        let least = if in_name { 1 } else { 3 };
        assert!(left >= least, "{names} {said:?}\n{before}‸{without}");
    }
}
