//! What is said about every limit of every preset, kept as text beside this file and read by a human eye for truth and
//! tone: `tests/words/<preset>.md`.
//!
//! Words must be the same to the letter; a number may move by a unit of its last shown figure, so that a sharper solver
//! does not change what was read. After a change of words look at the difference and accept it by running with
//! `SAGLINE_ACCEPT_WORDS` set.

#![expect(
    clippy::expect_used,
    clippy::disallowed_methods,
    reason = "a test stops where something is missing, and writes the text that is accepted"
)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use sagline::bench::first_met::{first_met, ways_back};
use sagline::bench::sensitivity::{sensitivity, worth_moving};
use sagline::bench::working::working;
use sagline::explain::{limits, why};
use sagline::parts::Supply;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_work_checked;
use sagline::physics::Model;
use sagline::physics::envelope::{Curve, Envelope, LimitCurve, envelope};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/words")
}

/// A value to two figures: the points are round, so that they stay where they are.
fn round(value: f64) -> f64 {
    format!("{value:.1e}").parse().unwrap_or(value)
}

/// A point a tenth beyond the limit's line; where it has none in the plane, a middling one.
fn beyond(line: &LimitCurve, all: &Envelope, supply: &Supply) -> [f64; 2] {
    let end = all.region.last().map_or(0.05, |column| column[0]);
    let amps = round(0.6 * end);
    let middle = [amps, round(0.6 * supply.output.set_high.0)];
    match &line.curve {
        Curve::Wall(most) => [round(1.1 * most), middle[1]],
        Curve::Ceiling(_) => [
            amps,
            line.curve
                .volts_at(amps)
                .map_or(middle[1], |v| round(1.1 * v)),
        ],
        Curve::Floor(points) => {
            // A floor that is not met here is met at a higher current.
            let at = line
                .curve
                .volts_at(amps)
                .filter(|v| *v > 0.0)
                .map(|v| [amps, v])
                .or_else(|| points.last().copied());
            at.map_or(middle, |[amps, volts]| [round(amps), round(0.8 * volts)])
        }
        _ => middle,
    }
}

fn of_limit(text: &mut String, line: &LimitCurve, model: &Model, all: &Envelope) {
    let supply = &model.supply;
    let [amps, volts] = beyond(line, all, supply);
    let point = all.point(model, amps, volts).expect("a point");
    let one = point
        .uses
        .iter()
        .find(|u| u.limit == line.limit)
        .expect("every limit is judged or said to be unknown");
    let _ = writeln!(
        text,
        "\n**{}** at {volts} V, {} mA  ",
        limits::name(line.limit, supply),
        1e3 * amps
    );
    let Ok(judged) = &one.judged else {
        let _ = writeln!(text, "{}", limits::not_known(one, supply));
        return;
    };
    let figures = working(model, judged.case, [amps, volts]).ok();
    let formula = figures.map(|f| why::formula(one, &f, supply, &point));
    for words in [
        limits::sentence(one, supply, &point),
        formula.unwrap_or_default(),
        limits::how_judged(one).unwrap_or_default(),
    ] {
        if !words.is_empty() {
            let _ = writeln!(text, "{words}  ");
        }
    }
}

/// The whole answer of `sagline explain` at a point.
fn answer(name: &str, model: &Model, all: &Envelope, [amps, volts]: [f64; 2]) -> String {
    let supply = &model.supply;
    let point = all.point(model, amps, volts).expect("a point");
    let catalogue = Catalogue::built_in();
    let met = first_met(all, [amps, volts], None);
    let moves = worth_moving(&point, &met)
        .and_then(|one| sensitivity(model, one.limit, [amps, volts], &catalogue).ok());
    let answer = why::Answer {
        supply,
        envelope: all,
        point: &point,
        met: &met,
        back: &ways_back(all, [amps, volts], None),
        figures: &|one| working(model, one.judged.as_ref().ok()?.case, [amps, volts]).ok(),
        moves: moves.as_ref(),
        // How the output is held has its own words and tests.
        holding: None,
    };
    why::text(name, answer)
}

fn page(text: &str) -> String {
    let work = read_work_checked(text, &Catalogue::built_in()).expect("a preset");
    let model = Model::of(&work.supply).expect("a model");
    let all = envelope(&model).expect("an envelope");
    let mut page = format!("# {}\n\nEvery limit, a tenth beyond its line\n", work.name);
    for line in &all.limits {
        of_limit(&mut page, line, &model, &all);
    }
    let end = all.region.last().map_or(0.05, |column| column[0]);
    for (what, at) in [
        ("Inside", [0.4 * end, 0.9 * work.supply.output.set_high.0]),
        (
            "Low volts at a high current",
            [0.9 * end, 0.1 * work.supply.output.set_high.0],
        ),
        (
            "Beyond everything",
            [20.0 * end, 4.0 * work.supply.output.set_high.0],
        ),
    ] {
        let said = answer(&work.name, &model, &all, at.map(round));
        let _ = write!(page, "\n## {what}\n\n```text\n{said}```\n");
    }
    page
}

/// A text cut into numbers and what stands between them.
fn pieces(text: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let number = |c: char| c.is_ascii_digit() || c == '.';
        let ends = rest
            .find(|c: char| number(c) != number(first))
            .unwrap_or(rest.len());
        let (piece, after) = rest.split_at(ends);
        pieces.push(piece);
        rest = after;
    }
    pieces
}

/// True for the same text, or the same number but for one unit of its last figure.
fn same(old: &str, new: &str) -> bool {
    if old == new {
        return true;
    }
    let (Ok(a), Ok(b)) = (old.parse::<f64>(), new.parse::<f64>()) else {
        return false;
    };
    let places = |text: &str| text.split_once('.').map_or(0, |(_, after)| after.len());
    let unit = 0.1_f64.powi(i32::try_from(places(old).min(places(new))).unwrap_or(0));
    // Trailing zeros are not shown: 12 may stand for 12.0.
    let unit = unit.min(0.011 * a.abs());
    (a - b).abs() <= 1.01 * unit
}

#[test]
fn what_is_said_about_every_limit_of_every_preset_was_read() {
    let accept = std::env::var_os("SAGLINE_ACCEPT_WORDS").is_some();
    let mut differs = String::new();
    for (name, text) in presets() {
        let path = folder().join(format!("{}.md", name.trim_end_matches(".ron")));
        let new = page(text);
        let old = std::fs::read_to_string(&path).unwrap_or_default();
        let equal = old.lines().count() == new.lines().count()
            && old.lines().zip(new.lines()).all(|(a, b)| {
                let (a, b) = (pieces(a), pieces(b));
                a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| same(a, b))
            });
        if equal {
            continue;
        }
        if accept {
            std::fs::write(&path, &new).expect("written");
            continue;
        }
        let lines = old.lines().chain(std::iter::repeat("")).zip(new.lines());
        for (a, b) in lines.filter(|(a, b)| a != b).take(20) {
            let _ = writeln!(differs, "{name}\n  was  {a}\n  now  {b}");
        }
    }
    assert!(differs.is_empty(), "{differs}");
}

#[test]
fn a_unit_of_the_last_figure_is_the_same_number_and_more_is_not() {
    for (a, b) in [("12.3", "12.4"), ("519", "520"), ("12", "12.1"), ("0", "0")] {
        assert!(same(a, b), "{a} {b}");
    }
    for (a, b) in [
        ("12.3", "12.5"),
        ("519", "522"),
        ("12", "13"),
        ("up", "down"),
    ] {
        assert!(!same(a, b), "{a} {b}");
    }
    assert_eq!(pieces("at 12.5 V, C1"), ["at ", "12.5", " V, C", "1"]);
}
