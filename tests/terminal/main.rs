//! The terminal commands as a user runs them: exit codes, what is said where, and whether the figures hang together.

#![expect(
    clippy::expect_used,
    reason = "helpers outside test functions may fail the test too"
)]
#![expect(
    clippy::disallowed_methods,
    reason = "files with faults are written to a temporary folder"
)]

mod accepted;
mod discharge;
mod inrush;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

mod networks;
mod odds;
mod readings;
mod regulator;
mod streams;

/// The program, away from any display and from the settings of whoever runs the tests.
fn sagline(arguments: &[&str]) -> Output {
    let home = tempfile::tempdir().expect("a folder for settings");
    Command::new(env!("CARGO_BIN_EXE_sagline"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .env("HOME", home.path())
        .env("XDG_CONFIG_HOME", home.path())
        .env("XDG_DATA_HOME", home.path())
        .output()
        .expect("the program runs")
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("complaints are text")
}

fn numbers(arguments: &[&str]) -> Value {
    let output = sagline(&[&["numbers"], arguments].concat());
    assert!(output.status.success(), "{arguments:?}: {}", said(&output));
    assert_eq!(said(&output), "", "{arguments:?}");
    serde_json::from_slice(&output.stdout).expect("JSON on standard output")
}

/// A complaint: exit code 2, nothing on standard output, and every one of `words` on standard error.
fn complains(arguments: &[&str], words: &[&str]) {
    let output = sagline(arguments);
    let error = said(&output);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {error}");
    assert!(output.stdout.is_empty(), "{arguments:?}");
    for word in words {
        assert!(
            error.contains(word),
            "{arguments:?}: no {word:?} in {error}"
        );
    }
    assert!(!error.contains("panicked"), "{arguments:?}: {error}");
}

fn presets() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("presets");
    let mut found: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the presets")
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "ron"))
        .collect();
    found.sort();
    assert!(found.len() >= 4, "{found:?}");
    found
}

fn number(of: &Value, path: &str) -> f64 {
    of.pointer(path)
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("{path} is no number: {:?}", of.pointer(path)))
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

/// Every `null` has its reason beside it, and nowhere stands a number as text.
fn every_null_has_a_reason(value: &Value, place: &str) {
    const MAY_BE_ABSENT: [&str; 3] = ["mains_remark", "caution", "rating_system"];
    match value {
        Value::Object(map) => {
            for (key, inner) in map {
                assert!(
                    !inner.is_null()
                        || map.contains_key(&format!("{key}_null_because"))
                        || MAY_BE_ABSENT.contains(&key.as_str()),
                    "{place}/{key} is null without a reason"
                );
                every_null_has_a_reason(inner, &format!("{place}/{key}"));
            }
        }
        Value::Array(items) => {
            for (at, inner) in items.iter().enumerate() {
                every_null_has_a_reason(inner, &format!("{place}/{at}"));
            }
        }
        _ => {}
    }
}

#[test]
fn figures_of_every_preset_hang_together() {
    for preset in presets() {
        let name = preset.display().to_string();
        let all = numbers(&[&name]);
        assert_eq!(all["schema"], "sagline numbers 1", "{name}");
        every_null_has_a_reason(&all, &name);
        let rows = list(&all, "currents");
        assert!(rows.len() >= 32, "{name}: {} currents", rows.len());
        let mut last_trough = f64::INFINITY;
        for row in rows {
            for mains in ["low", "present", "high"] {
                if row["mains"][mains].is_null() {
                    continue;
                }
                let at = |key: &str| number(row, &format!("/mains/{mains}/{key}"));
                let (mean, trough, crest) = (
                    at("bus_mean_volts"),
                    at("bus_trough_volts"),
                    at("bus_crest_volts"),
                );
                assert!(trough <= mean && mean <= crest, "{name}: {row}");
                assert!(at("rectifier_peak_plate_amps") >= at("rectifier_mean_plate_amps"));
                assert!(at("rectifier_rms_plate_amps") >= at("rectifier_mean_plate_amps"));
            }
            if row["mains"]["present"].is_object() {
                let trough = number(row, "/mains/present/bus_trough_volts");
                assert!(
                    trough < last_trough,
                    "{name}: more load, higher valley: {row}"
                );
                last_trough = trough;
            }
        }
        let high = number(&all, "/no_load/high/bus_crest_volts");
        let low = number(&all, "/no_load/low/bus_crest_volts");
        assert!(high > low, "{name}: higher mains, lower bus");
        assert!(!list(&all, "envelope").is_empty(), "{name}: no envelope");
    }
}

#[test]
fn a_point_on_the_edge_of_the_envelope_has_a_greatest_use_of_one() {
    for preset in presets() {
        let name = preset.display().to_string();
        let all = numbers(&[&name]);
        if !list(&all, "exceeded_with_no_load").is_empty() {
            // Over wherever the point is, on the edge as well.
            continue;
        }
        let edge = list(&all, "envelope");
        let middle = &edge[edge.len() / 2];
        let point = format!(
            "{},{}",
            number(middle, "/output_amps"),
            number(middle, "/highest_output_volts")
        );
        let judged = numbers(&[&name, "--at", &point, "--amps", "0"]);
        let greatest = list(&judged["points"][0], "uses")
            .iter()
            .filter(|one| one["judged_mains"].is_string() && one["name"] != "")
            .filter(|one| !one["name"].as_str().unwrap_or_default().contains("no load"))
            .filter_map(|one| one["use"].as_f64())
            .fold(0.0, f64::max);
        // 0.2 %: the boundary is drawn through a grid, the point is solved anew.
        assert!(
            (greatest - 1.0).abs() < 0.002,
            "{name} at {point}: {greatest}"
        );
    }
}

/// Limits that are values of the circuit.
const CIRCUIT_VALUES: [&str; 4] = [
    "grid_resistor",
    "control_grid_resistor",
    "rectifier_supply_resistance",
    "first_capacitor",
];

#[test]
fn currents_and_points_are_those_asked_for() {
    let preset = presets().remove(0).display().to_string();
    let all = numbers(&[
        &preset,
        "--amps",
        "20mA,0,0.01",
        "--at",
        "5mA,100V",
        "--at",
        "0.01,0.12kV",
    ]);
    let amps: Vec<f64> = list(&all, "currents")
        .iter()
        .map(|row| number(row, "/output_amps"))
        .collect();
    assert_eq!(amps, [0.0, 0.01, 0.02]);
    let points = list(&all, "points");
    assert_eq!(points.len(), 2);
    assert!((number(&points[1], "/output_volts") - 120.0).abs() < 1e-9);
    for point in points {
        assert!(point["inside"].is_boolean(), "{point}");
        // Values of the circuit that are as the tubes' makers ask stand last: one is not near them.
        let is_kept = |one: &Value| {
            let limit = one["limit"].as_str().unwrap_or_default();
            CIRCUIT_VALUES.contains(&limit) && one["use"].as_f64().is_some_and(|used| used <= 1.0)
        };
        let uses: Vec<f64> = list(point, "uses")
            .iter()
            .filter(|one| !is_kept(one))
            .filter_map(|one| one["use"].as_f64())
            .collect();
        assert!(uses.len() > 5, "{point}");
        let watts: f64 = list(&point["energy"], "shares")
            .iter()
            .map(|share| number(share, "/watts"))
            .sum();
        let mains = number(&point["energy"], "/mains_watts");
        assert!((watts / mains - 1.0).abs() < 2e-3, "{watts} W of {mains} W");
        assert!(
            uses.windows(2).all(|pair| pair[0] >= pair[1]),
            "tightest first: {uses:?}"
        );
    }
}

/// More mains, more volts: what stands under low, present and high mains is of those mains.
#[test]
fn low_present_and_high_mains_are_not_mixed_up() {
    let preset = presets()
        .into_iter()
        .find(|path| path.ends_with("school-laboratory.ron"))
        .expect("the laboratory supply");
    let all = numbers(&[&preset.display().to_string(), "--at", "50mA,100V"]);
    let rising = |of: &Value, path: &str, key: &str| {
        let [low, present, high] =
            ["low", "present", "high"].map(|mains| number(of, &format!("{path}/{mains}{key}")));
        assert!(
            low < present && present < high,
            "{path}{key}: {low} {present} {high}"
        );
    };
    rising(&all, "/no_load", "/rectifier_peak_inverse_volts");
    rising(&all, "/currents/9/mains", "/bus_crest_volts");
    let used = |limit: &str| {
        let mut uses = list(&all["points"][0], "uses").iter();
        uses.find(|one| one["limit"] == limit)
            .expect("a use")
            .clone()
    };
    rising(&used("plate_volts"), "/use_at", "");
    rising(&used("rectifier_peak_inverse"), "/use_at", "");
    let rail = &all["regulator"]["rail"];
    let deep = |mains: &str| -number(rail, &format!("/{mains}/mean_volts"));
    assert!(
        deep("low") < deep("present") && deep("present") < deep("high"),
        "{rail}"
    );
    // With mains that are at their lowest now, the lowest setting gives its own volts at low mains, and others at high.
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("low.ron");
    let text = fs::read_to_string(preset).expect("the preset");
    let low_now = text.replacen("present: \"120 V\"", "present: \"114 V\"", 1);
    assert_ne!(low_now, text);
    fs::write(&path, low_now).expect("written");
    let all = numbers(&[&path.display().to_string(), "--amps", "0"]);
    let zero = &all["regulator"]["zero_setting"];
    let off = |mains: &str| {
        let volts = number(zero, &format!("/output_volts/{mains}"));
        (volts - number(zero, "/set_volts")).abs()
    };
    assert!(off("low") < 1e-6 && off("high") > 1e-3, "{zero}");
}

/// The supply alone reaches at least as far as with what the resistor may take, and a weak resistor shows the difference.
#[test]
fn a_dummys_own_power_ends_its_line_and_not_the_supplys() {
    let preset = presets()
        .into_iter()
        .find(|path| path.ends_with("school-laboratory.ron"))
        .expect("the laboratory supply");
    let all = numbers(&[&preset.display().to_string(), "--amps", "0"]);
    let end = |dummy: &Value, key: &str| {
        let last = list(dummy, key).last().expect("a stretch").clone();
        (
            number(&last, "/to/output_volts"),
            last["to"]["ended_by"].clone(),
        )
    };
    let mut ended_by_itself = 0;
    for dummy in list(&all, "dummies") {
        let (together, by) = end(dummy, "stretches");
        let (alone, alone_by) = end(dummy, "supply_alone_stretches");
        let is_own = by == "own_power" || by == "own_volts";
        ended_by_itself += usize::from(is_own);
        assert_eq!(together < alone, is_own, "{dummy}");
        assert!(
            alone_by != "own_power" && alone_by != "own_volts",
            "{dummy}"
        );
    }
    assert!(ended_by_itself > 0, "no dummy that ends by itself");
}

#[test]
fn a_current_that_nothing_can_give_is_an_answer() {
    let preset = presets().remove(0).display().to_string();
    let all = numbers(&[&preset, "--amps", "50", "--at", "50,100"]);
    every_null_has_a_reason(&all, "");
    assert!(all["currents"][0]["mains"]["present"].is_null());
    assert_ne!(all["points"][0]["inside"], true);
}

#[test]
fn bad_files_are_named_with_field_found_and_expected() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = fs::read_to_string(presets().remove(0)).expect("a preset");
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).expect("a bad file");
        path.display().to_string()
    };
    complains(&["numbers", "no-such-file.ron"], &["no-such-file.ron"]);
    complains(&["numbers", "src"], &["src"]);
    let empty = write("empty.ron", "");
    complains(&["numbers", &empty], &["empty.ron", "expected"]);
    let newer = write("newer.ron", &good.replacen("format: 1", "format: 99", 1));
    complains(&["numbers", &newer], &["newer.ron", "format", "99"]);
    let wrong_unit = write("unit.ron", &good.replacen(" Hz\"", " V\"", 1));
    complains(
        &["numbers", &wrong_unit],
        &["unit.ron", "line ", "frequency", "Hz"],
    );
    let typo = write("typo.ron", &good.replacen("frequency", "frequenzy", 1));
    complains(&["numbers", &typo], &["typo.ron", "line ", "frequenzy"]);
    complains(
        &["picture", &typo, "-o", "never.png"],
        &["typo.ron", "frequenzy"],
    );
    let bytes = folder.path().join("bytes.ron");
    fs::write(&bytes, [0xff, 0xfe, 0x00]).expect("bytes");
    complains(&["numbers", &bytes.display().to_string()], &["bytes.ron"]);
}

#[test]
fn bad_arguments_say_what_would_do() {
    let preset = presets().remove(0).display().to_string();
    complains(
        &["numbers", &preset, "--at", "80mA"],
        &["--at", "80mA,120V"],
    );
    complains(&["numbers", &preset, "--at", "80mV,120V"], &["80mV"]);
    complains(&["numbers", &preset, "--amps", "1,,2"], &["--amps"]);
    complains(&["numbers"], &["FILE"]);
    complains(&["picture", &preset], &["OUT.png"]);
    complains(
        &["picture", &preset, "-o", "x.png", "--width", "3"],
        &["--width"],
    );
    complains(
        &["picture", &preset, "-o", "no/such/folder/x.png"],
        &["no/such/folder/x.png"],
    );
}

#[test]
fn a_picture_of_lines_has_its_words_and_is_the_same_on_every_run() {
    let folder = tempfile::tempdir().expect("a folder");
    let preset = presets()[0].to_string_lossy().into_owned();
    let draw = |name: &str| {
        let path = folder.path().join(name);
        let shown = path.to_string_lossy().into_owned();
        let output = sagline(&[
            "picture",
            &preset,
            "-o",
            &shown,
            "--theme",
            "print",
            "--width",
            "640",
            "--height",
            "480",
            "--caption",
            "Before <the> repair & after",
        ]);
        assert!(output.status.success(), "{name}: {}", said(&output));
        fs::read(path).expect("written")
    };
    let svg = draw("a.svg");
    assert_eq!(svg, draw("b.SVG"), "the same bytes");
    let text = String::from_utf8(svg).expect("SVG is text");
    for words in [
        "width=\"640\" height=\"480\"",
        ">dropout</text>",
        ">output range</text>",
        ">Before &lt;the&gt; repair &amp; after</text>",
        "Lethal voltage",
    ] {
        assert!(text.contains(words), "no {words}");
    }
    assert_eq!(
        text.matches("<g").count() - text.matches("<g>").count(),
        text.matches("</g>").count()
    );
    let pdf = draw("a.pdf");
    assert_eq!(pdf, draw("b.pdf"), "the same bytes");
    assert!(pdf.starts_with(b"%PDF-1."));
    let plain = String::from_utf8_lossy(&pdf);
    assert!(
        plain.contains("/MediaBox[0 0 640 480]"),
        "the size asked for"
    );
    assert_eq!(plain.matches("/MediaBox").count(), 1, "one page");
    assert!(plain.trim_end().ends_with("%%EOF"));
}

#[test]
fn every_view_goes_into_every_kind_of_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    let preset = presets()[0].to_string_lossy().into_owned();
    let other = presets()[1].to_string_lossy().into_owned();
    for view in ["envelope", "margins", "comparison", "cycle", "energy"] {
        for end in ["png", "svg", "pdf"] {
            let path = folder.path().join(format!("{view}.{end}"));
            let shown = path.to_string_lossy().into_owned();
            let output = sagline(&[
                "picture",
                &preset,
                "-o",
                &shown,
                "--view",
                view,
                "--with",
                &other,
                "--at",
                "20mA,200V",
            ]);
            assert!(output.status.success(), "{view} {end}: {}", said(&output));
            assert!(fs::metadata(&path).expect("written").len() > 2000);
            if view == "comparison" && end == "svg" {
                let text = fs::read_to_string(path).expect("SVG is text");
                assert!(
                    text.contains("at 200 V and 20 mA"),
                    "what changed, and where"
                );
            }
        }
    }
    complains(
        &["picture", &preset, "-o", "never.svg", "--view", "cycle"],
        &[
            "never.svg",
            "mains cycle",
            "expected output current and volts",
        ],
    );
    complains(
        &[
            "picture",
            &preset,
            "-o",
            "never.svg",
            "--view",
            "comparison",
            "--at",
            "20mA,200V",
        ],
        &["never.svg", "no earlier variant"],
    );
}

#[test]
fn every_preset_says_why_at_a_point_inside_and_outside() {
    for preset in presets() {
        let preset = preset.to_string_lossy().into_owned();
        let explained = |at: &str| {
            let output = sagline(&["explain", &preset, "--at", at]);
            assert!(output.status.success(), "{preset} {at}: {}", said(&output));
            String::from_utf8(output.stdout).expect("words")
        };
        let low = explained("165mA,5V");
        for words in [
            "\nAt 5 V and 165 mA\n",
            "What moves ",
            "mains",
            "estimates, not a rating plate",
        ] {
            assert!(low.contains(words), "{preset}: no {words:?} in\n{low}");
        }
        // One preset has a grid resistor above its maker's: no way leads back from that.
        let back = ["\nBack inside\n  ", "\nWhy no point is inside\n  "];
        assert!(back.iter().any(|s| low.contains(s)), "{preset}: {low}");
        let standing = ["\nWorks, but over a rating: ", "\nOut of reach: "];
        assert!(standing.iter().any(|s| low.contains(s)), "{preset}: {low}");
        // The half-wave supply ends at 120 V; the choke-input one begins above 200 V at so light a load.
        let inside = explained(if preset.contains("half-wave") {
            "8mA,115V"
        } else if preset.contains("series-pentodes") {
            "8mA,195V"
        } else {
            "8mA,220V"
        });
        if preset.contains("beam-tube-pair") {
            // Its maker ran a grid's resistor above the book: it works, and nothing of it is inside.
            assert!(inside.contains("Works, but over a rating: "), "{inside}");
            continue;
        }
        for words in ["Inside, ", "\nFirst met from here\n  Going up: "] {
            assert!(
                inside.contains(words),
                "{preset}: no {words:?} in\n{inside}"
            );
        }
        // Beyond everything: no empty heading, and still an answer.
        let far = explained("5A,2000V");
        assert!(far.contains("Out of reach"), "{far}");
        assert!(far.contains("\nBack inside\n  To "), "{far}");
    }
}

#[test]
fn the_worked_page_goes_from_the_mains_to_the_limits() {
    let preset = presets()[0].to_string_lossy().into_owned();
    let output = sagline(&["explain", &preset, "--at", "20mA,200V", "--worked"]);
    assert!(output.status.success(), "{}", said(&output));
    let page = String::from_utf8(output.stdout).expect("Markdown");
    let heads = [
        "# ",
        "## Transformer",
        "## Rectifier",
        "## Pass tubes",
        "## Limits, the tightest first",
        "## Before you touch it",
    ];
    let mut rest = page.as_str();
    for head in heads {
        let at = rest
            .find(head)
            .unwrap_or_else(|| panic!("no {head} in its place in\n{page}"));
        rest = rest.get(at..).unwrap_or_default();
    }
    complains(
        &["explain", &preset, "--at", "20mA"],
        &["80mA,120V", "20mA"],
    );
    complains(&["explain", &preset], &["--at"]);
}

#[test]
fn curves_are_one_table_of_comma_separated_values() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("curves.csv");
    let preset = presets()[0].to_string_lossy().into_owned();
    let shown = path.to_string_lossy().into_owned();
    let output = sagline(&["curves", &preset, "-o", &shown]);
    assert!(output.status.success(), "{}", said(&output));
    let text = fs::read_to_string(path).expect("written");
    assert_eq!(text.as_bytes(), sagline(&["curves", &preset]).stdout);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().expect("a header").clone();
    let units = ["output current (A)", "volts (V)", "current (A)", "use (1)"];
    assert!(header.iter().skip(4).eq(units), "{header:?}");
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    // A region begins with no current, and its lowest volts are not above its highest.
    let first = |meaning: &str| -> [f64; 2] {
        let row = rows
            .iter()
            .find(|row| &row[1] == "envelope" && &row[3] == meaning);
        [4, 5].map(|k| row.expect(meaning)[k].parse().expect("a number"))
    };
    let ([start, low], [_, high]) = (first("lowest output"), first("highest output"));
    assert!(start == 0.0 && low <= high, "{start} {low} {high}");
    complains(
        &["curves", &preset, "-o", "no/such/folder/x.csv"],
        &[
            "no/such/folder/x.csv",
            "found nothing there, expected a file that may be written",
        ],
    );
    complains(&["curves", "no-such-file.ron"], &["no-such-file.ron"]);
}

#[test]
fn a_picture_of_unknown_kind_is_refused() {
    let preset = presets()[0].to_string_lossy().into_owned();
    complains(
        &["picture", &preset, "-o", "never.bmp"],
        &["never.bmp", "found .bmp", "expected", ".png, .svg or .pdf"],
    );
    complains(&["picture", &preset, "-o", "never"], &["never", "expected"]);
    complains(
        &["picture", &preset, "-o", "no/such/folder/x.pdf"],
        &[
            "no/such/folder/x.pdf",
            "found nothing there, expected a file that may be written",
        ],
    );
}

#[test]
fn a_picture_is_drawn_without_a_display() {
    let folder = tempfile::tempdir().expect("a folder");
    let preset = presets().remove(0).display().to_string();
    for theme in ["light", "dark"] {
        let path = folder.path().join(format!("{theme}.png"));
        let shown = path.display().to_string();
        let output = sagline(&[
            "picture", &preset, "-o", &shown, "--width", "640", "--height", "480", "--theme", theme,
        ]);
        assert!(output.status.success(), "{}", said(&output));
        let picture = image::open(&path).expect("a PNG picture").to_rgba8();
        assert_eq!(picture.dimensions(), (640, 480));
        let ground = picture.get_pixel(1, 1);
        let drawn = picture.pixels().filter(|pixel| *pixel != ground).count();
        assert!(drawn > 5_000, "{theme}: {drawn} pixels drawn");
        assert_eq!(ground.0[0] > 128, theme == "light", "{theme}: {ground:?}");
    }
}

#[test]
fn without_a_display_the_window_names_what_works_instead() {
    let preset = presets().remove(0).display().to_string();
    for arguments in [vec![], vec![preset.as_str()]] {
        complains(
            &arguments,
            &["display", "sagline numbers", "sagline picture"],
        );
    }
}

#[test]
fn help_is_short_and_cautions() {
    let output = sagline(&["--help"]);
    assert!(output.status.success());
    let help = String::from_utf8(output.stdout).expect("text");
    for word in ["numbers", "picture", "lethal voltages", "estimates"] {
        assert!(help.contains(word), "no {word:?} in {help}");
    }
    assert!(help.lines().count() < 30, "{help}");
}

/// A control tube whose grid cannot be brought below its cathode holds nothing: no point is inside, and the table of regulation
/// says so over all currents.
#[test]
fn a_control_that_holds_nothing_is_said_over_all_currents() {
    let text = fs::read_to_string("presets/school-laboratory.ron").expect("the demo");
    let same_tap = (text.replace("cathode: BiasReference(1)", "cathode: Common"))
        .replace("foot: BiasReference(2)", "foot: Common");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("same-tap.ron");
    fs::write(&file, same_tap).expect("a file");
    let found = numbers(&[&file.to_string_lossy(), "--at", "20mA,200V"]);
    assert!(found["envelope"].as_array().expect("a list").is_empty());
    let point = &found["points"][0];
    assert_eq!(point["inside"], false);
    let verdict = point["verdict"].as_str().expect("words");
    assert!(verdict.contains("control-grid ceiling"), "{verdict}");
    let rows = found["regulator"]["regulation"].as_array().expect("rows");
    let amps: Vec<f64> = (rows.iter())
        .map(|row| row["output_amps"].as_f64().expect("a current"))
        .collect();
    assert!(amps.windows(2).all(|pair| pair[0] < pair[1]), "{amps:?}");
    assert_eq!(rows[0]["hold"], "fully_on");
}
