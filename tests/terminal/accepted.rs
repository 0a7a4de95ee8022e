//! Ratings accepted as built, from the file to the numbers, the curves and the complaints.

use std::fs;
use std::path::PathBuf;

use crate::{complains, list, number, numbers, sagline, said};

/// The demo supply with these acceptances, in a folder of its own.
fn with(accepted: &str) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("accepted.ron");
    let preset = concat!(env!("CARGO_MANIFEST_DIR"), "/presets/school-laboratory.ron");
    let text = fs::read_to_string(preset).expect("the demo supply");
    let text = text.replace(
        "    dummies: [",
        &format!("    accepted: [{accepted}],\n    dummies: ["),
    );
    assert!(text.contains("accepted: ["));
    fs::write(&path, text).expect("a file");
    (folder, path)
}

#[test]
fn an_accepted_rating_counts_up_to_its_bound_and_is_told_everywhere() {
    let (_folder, path) =
        with(r#"(rating: "winding_rms", up_to: "0.26 A", reason: "as its maker built it")"#);
    let path = path.to_str().unwrap();
    let at = ["--at", "0.19,100"];
    let by_the_book = numbers(&[&["presets/school-laboratory.ron"], &at[..]].concat());
    let as_built = numbers(&[&[path], &at[..]].concat());
    let use_of = |record: &serde_json::Value| {
        let uses = list(&list(record, "points")[0], "uses").to_vec();
        uses.into_iter()
            .find(|one| one["limit"] == "winding_rms")
            .unwrap()
    };
    let (before, after) = (use_of(&by_the_book), use_of(&as_built));
    // 210 mA by the book, 260 mA as built: the same current uses less.
    let share = number(&before, "/use") / number(&after, "/use");
    assert!((share - 260.0 / 210.0).abs() < 1e-6, "{share}");
    assert!((number(&after, "/published_amps") - 0.21).abs() < 1e-12);
    assert!(before["published_amps"].is_null());
    let [accepted] = list(&as_built, "accepted") else {
        panic!("{as_built}")
    };
    assert_eq!(accepted["limit"], "winding_rms");
    assert_eq!(accepted["reason"], "as its maker built it");
    assert!((number(accepted, "/up_to_amps") - 0.26).abs() < 1e-12);
    assert!(accepted["caution"].as_str().unwrap().contains("fuse"));
    let why = after["why"].as_str().unwrap();
    assert!(
        why.contains("accepted as built up to 260 mA, by the book 210 mA"),
        "{why}"
    );
    let curves = sagline(&["curves", path]);
    let curves = String::from_utf8(curves.stdout).unwrap();
    let published = |line: &str| line.contains("winding rms,") && line.contains("as published");
    assert!(curves.lines().any(published), "{curves}");
    let page = sagline(&["explain", path, "--at", "190mA,100V"]);
    let page = String::from_utf8(page.stdout).unwrap();
    assert!(page.contains("accepted as built"), "{page}");
    // Beyond the bound it counts again.
    let beyond = numbers(&[path, "--at", "0.24,60"]);
    assert!(number(&use_of(&beyond), "/use") > 1.0);
}

#[test]
fn an_acceptance_that_cannot_be_meant_is_named_with_line_field_found_and_expected() {
    for (accepted, words) in [
        (
            r#"(rating: "windig_rms", up_to: "0.26 A", reason: "")"#,
            [
                "line ",
                "accepted[0].rating",
                "windig_rms",
                "the name of a rating",
            ],
        ),
        (
            r#"(rating: "winding_rms", up_to: "260 V", reason: "")"#,
            ["line ", "accepted[0].up_to", "260 V", "amperes"],
        ),
        (
            r#"(rating: "dropout", up_to: "260 V", reason: "")"#,
            [
                "line ",
                "accepted[0].rating",
                "no rating",
                "the name of a rating",
            ],
        ),
        (
            r#"(rating: "winding_rms", up_to: "0.26 A", reason: ""), (rating: "winding_rms", up_to: "0.3 A", reason: "")"#,
            [
                "line ",
                "accepted[1].rating",
                "a second time",
                "accepted[0]",
            ],
        ),
        (
            r#"(rating: "winding_rms", up_to: "260", reason: "")"#,
            ["line ", "accepted[0].up_to", "260", "with its unit"],
        ),
    ] {
        let (_folder, path) = with(accepted);
        complains(&["numbers", path.to_str().unwrap()], &words);
    }
}

/// Another tube makes them so, and back again: they are kept, and the supply is worked out.
#[test]
fn an_acceptance_that_says_nothing_with_these_parts_is_said_and_kept() {
    for (accepted, words) in [
        (
            r#"(rating: "winding_rms", up_to: "0.2 A", reason: "")"#,
            ["line ", "accepted[0].up_to", "200 mA", "above 210 mA"],
        ),
        (
            r#"(rating: "choke_2_current", up_to: "0.3 A", reason: "")"#,
            [
                "line ",
                "accepted[0].rating",
                "choke_2_current",
                "this supply has",
            ],
        ),
    ] {
        let (_folder, path) = with(accepted);
        let output = sagline(&["numbers", path.to_str().unwrap()]);
        assert!(output.status.success());
        let error = said(&output);
        for word in words {
            assert!(error.contains(word), "no {word:?} in {error}");
        }
        let record: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(list(&record, "accepted").is_empty());
    }
}
