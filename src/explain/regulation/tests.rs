//! The words themselves, as snapshots.

use super::*;
use crate::bench::holding::holding;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read;
use crate::parts::{RailWinding, Volts};
use crate::physics::Model;
use crate::physics::envelope::envelope;

fn preset(name: &str) -> Supply {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    read(text, &Catalogue::built_in()).unwrap()
}

fn somewhere(supply: &Supply) -> Holding {
    let envelope = envelope(&Model::of(supply).unwrap()).unwrap();
    holding(&Model::of(supply).unwrap(), &envelope, [0.02, 200.0]).unwrap()
}

fn said(holding: &Holding, supply: &Supply) -> String {
    let all = findings(holding, supply);
    let words: Vec<String> = all
        .iter()
        .map(|f| format!("{:?}  {}", f.severity, f.sentence))
        .collect();
    words.join("\n")
}

#[test]
fn a_reference_that_gets_too_little_comes_first_and_nothing_is_held_then() {
    let supply = preset("school-laboratory");
    let mut holding = somewhere(&supply);
    let negative = holding.negative.as_mut().unwrap();
    negative.least_amps = [0.003_1, 0.006, 0.009];
    negative.allowed_amps = [0.005, 0.04];
    let words = said(&holding, &supply);
    let first = words.lines().next().unwrap();
    assert!(
        first.starts_with("Over  At low mains the ")
            && first.ends_with("gets 3.1 mA; it needs 5 mA: the output is no longer held"),
        "{words}"
    );
    assert!(!words.contains("is held from low to high mains"), "{words}");
    let negative = holding.negative.as_mut().unwrap();
    negative.lit = [false, true, true];
    negative.unstruck_volts = [300.0, 640.0, 660.0];
    assert!(said(&holding, &supply).contains("is out: there are only 300 V before its resistor"));
    let negative = holding.negative.as_mut().unwrap();
    negative.lit = [true; 3];
    negative.least_amps = [0.006, 0.009, 0.02];
    negative.most_amps = [0.006, 0.009, 0.02];
    negative.unstruck_volts = [300.0; 3];
    negative.volts = [181.0, 180.0, 182.5];
    assert!(said(&holding, &supply).contains("on the negative rail drifts by 2.5 V"));
    let negative = holding.negative.as_mut().unwrap();
    negative.most_amps = [0.02, 0.03, 0.041];
    assert!(said(&holding, &supply).contains("At high mains"));
    assert!(said(&holding, &supply).contains("carries 41 mA; it may carry 40 mA"));
}

#[test]
fn what_no_longer_holds_the_output_is_named() {
    let words = [Hold::Dropout, Hold::Valleys, Hold::Bottomed, Hold::FullyOn]
        .map(|hold| not_held(Case::Low, Settled { volts: 231.0, hold }))
        .join("\n");
    insta::assert_snapshot!(words, @r"
    At low mains the output falls to 231 V: the pass tubes are wide open and nothing holds it
    At low mains the output is not held in the valleys of the ripple: the bus comes through as hum
    At low mains the output stays at 231 V: the control tube cannot pull the pass grids further down
    At low mains the output comes up to 231 V only: the control tube is fully on and nothing holds it
    ");
}

#[test]
fn the_zero_setting() {
    let settled = |volts, hold| Settled { volts, hold };
    let zero = |low, high, hold| ZeroSetting {
        volts: 1.0,
        at_low_present_high: [settled(low, hold), settled(1.0, hold), settled(high, hold)],
        drift_volts: 2.0,
        floors: [None; 3],
        least_setting_volts: 2.7,
        least_usable_volts: 2.7,
        reverses: low < 0.0 || high < 0.0,
    };
    let words = [
        zero(-1.2, 2.0, Hold::Regulated),
        zero(2.0, -0.4, Hold::Regulated),
        zero(0.4, 1.6, Hold::Regulated),
        zero(45.0, 45.0, Hold::Bottomed),
    ]
    .map(|zero| zero_finding(&zero).sentence)
    .join("\n");
    insta::assert_snapshot!(words, @r"
    Turned down with nothing connected, the output reverses to −1.2 V at low mains; set to 2.7 V or more it never does
    Turned down with nothing connected, the output reverses to −400 mV at high mains; set to 2.7 V or more it never does
    Turned down with nothing connected, the output stands at 400 mV at low mains and at 1.6 V at high mains, and never reverses
    Turned down with nothing connected, the output stands at 45 V, whatever the mains: further down the control tube cannot pull the pass grids
    ");
}

#[test]
fn parts_and_reasons() {
    let mut supply = preset("small-fixed-range");
    assert_eq!(summary(&supply), "6AU6 · 85A2");
    let without = {
        supply.regulator = None;
        let envelope = envelope(&Model::of(&supply).unwrap()).unwrap();
        holding(&Model::of(&supply).unwrap(), &envelope, [0.02, 200.0]).unwrap_err()
    };
    assert!(not_known(&without).contains("describe the regulator"));
    let mut deep = preset("school-laboratory");
    assert!(
        summary(&deep).contains("negative rail on "),
        "{}",
        summary(&deep)
    );
    let rail = deep.regulator.as_mut().and_then(|r| r.bias_rail.as_mut());
    rail.unwrap().winding = RailWinding::Own(Volts(60.0));
    assert!(said(&somewhere(&deep), &deep).contains("is out"));
    assert_eq!(
        three([0.003_1, 0.006, 0.009_2], number::amps),
        "3.1 · 6 · 9.2 mA"
    );
    assert_eq!(range_words([0.005, 0.03]), "allowed 5 to 30 mA");
}
