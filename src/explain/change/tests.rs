//! Real changes of the presets, their words read for truth and tone.

use crate::bench::change::{Variant, compare};
use crate::bench::load_line::load_line;
use crate::explain::change::{findings, rows, what_differs};
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read;
use crate::parts::{Farads, Supply, Volts};
use crate::physics::envelope::envelope;

fn preset(file: &str) -> Supply {
    let (_, text) = presets().iter().find(|(name, _)| *name == file).unwrap();
    read(text, &Catalogue::built_in()).unwrap()
}

fn said(before: &Supply, after: &Supply, at: [f64; 2]) -> String {
    let [a, b] = [before, after].map(|supply| {
        let envelope = envelope(supply).unwrap();
        let point = envelope.point(supply, at[0], at[1]).unwrap();
        let lines: Vec<_> = supply
            .dummies
            .iter()
            .map(|d| load_line(&envelope, d))
            .collect();
        (envelope, point, lines)
    });
    let variant = |supply, of: &'static str| {
        let (envelope, point, load_lines) = if of == "before" { &a } else { &b };
        Variant {
            supply,
            envelope,
            point,
            load_lines,
        }
    };
    let comparison = compare(&variant(before, "before"), &variant(after, "after"));
    let mut text = format!("{}\n", what_differs(&comparison, before, after));
    for finding in findings(&comparison, before, after) {
        text += &format!("  {:?}: {}\n", finding.severity, finding.sentence);
    }
    assert!(!rows(&comparison, after).is_empty());
    text
}

fn changed(file: &str, at: [f64; 2], change: impl Fn(&mut Supply, &Catalogue)) -> String {
    let before = preset(file);
    let mut after = before.clone();
    change(&mut after, &Catalogue::built_in());
    said(&before, &after, at)
}

#[test]
fn the_laboratory_supply() {
    let file = "school-laboratory.ron";
    let at = [0.08, 250.0];
    let text = [
        changed(file, at, |s, _| {
            s.filter.input_capacitor.as_mut().unwrap().unit = Farads(470e-6);
        }),
        changed(file, at, |s, c| {
            s.rectifier.kind = c.rectifier("5Y3-GT").unwrap().clone();
        }),
        changed(file, at, |s, _| s.mains.present = Volts(108.0)),
        changed(file, at, |s, _| s.pass_stage.units = 1),
        changed(file, [0.1, 150.0], |s, _| s.pass_stage.units = 4),
    ]
    .join("\n");
    println!("{text}");
}

#[test]
fn the_other_presets() {
    let text = [
        changed("choke-input.ron", [0.09, 200.0], |s, _| {
            s.filter.sections[0].capacitor.unit = Farads(10e-6);
            s.pass_stage.units += 1;
        }),
        changed("silicon-bridge.ron", [0.04, 400.0], |s, c| {
            s.pass_stage.tube = c.pass_tube("6V6-GT").unwrap_or(&s.pass_stage.tube).clone();
            s.mains.high = Volts(260.0);
        }),
        changed("small-fixed-range.ron", [0.02, 200.0], |s, _| {
            s.filter.bleeder = None;
        }),
        changed("half-wave.ron", [0.02, 100.0], |s, _| {
            for stack in s.filter.stacks_mut() {
                stack.unit = Farads(stack.unit.0 * 0.2);
            }
        }),
    ]
    .join("\n");
    println!("{text}");
}

#[test]
fn nothing_changed_says_nothing() {
    let supply = preset("school-laboratory.ron");
    let envelope = envelope(&supply).unwrap();
    let point = envelope.point(&supply, 0.05, 200.0).unwrap();
    let variant = Variant {
        supply: &supply,
        envelope: &envelope,
        point: &point,
        load_lines: &[],
    };
    let comparison = compare(&variant, &variant);
    assert!(findings(&comparison, &supply, &supply).is_empty());
    assert!(rows(&comparison, &supply).is_empty());
    assert_eq!(what_differs(&comparison, &supply, &supply), "");
}
