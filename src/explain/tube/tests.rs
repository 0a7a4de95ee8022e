//! What is said about a tube's figures, read.

use super::*;
use crate::parts::catalogue::Catalogue;
use crate::parts::{Amps, PlateCharacteristic, Source, Volts};
use crate::physics::device::triode_fit;

fn of(name: &str) -> Fit {
    let catalogue = Catalogue::built_in();
    let tube = catalogue.pass_tube(name).unwrap();
    let PlateCharacteristic::Published {
        points,
        small_signal,
    } = &tube.characteristic
    else {
        panic!("published points");
    };
    triode_fit::fit(points, small_signal).unwrap()
}

#[test]
fn the_judgement_says_how_far_the_line_is_extrapolated() {
    let said = |name: &str, at: f64| {
        let found = of(name);
        let line = zero_bias(&found.zero_bias(at).unwrap());
        format!(
            "{name}: {}\n  {:?}: {}",
            fit(&found).sentence,
            line.severity,
            line.sentence
        )
    };
    let text = [
        said("6080", 0.125),
        said("6080", 0.3),
        said("2A3", 0.06),
        said("6528", 0.185),
    ]
    .join("\n");
    insta::assert_snapshot!(text, @r"
    6080: The law meets 10 points; it is furthest off at 250 V, −140 V: +22.2 % or −5.67 V
      Fine: Zero-bias line is held by published points: 40.7 V ±8 % at 125 mA
    6080: The law meets 10 points; it is furthest off at 250 V, −140 V: +22.2 % or −5.67 V
      Remark: Zero-bias line is extrapolated beyond its points, which end at 150 mA: 71.2 V ±9 % at 300 mA
    2A3: The law goes by the one point: −0.7 % or +351 mV
      Near: Zero-bias line is extrapolated: 63.2 V ±13 % at 60 mA; the nearest point has 4 times the plate volts
    6528: The law goes by the one point: +0.4 % or −179 mV
      Remark: Zero-bias line is extrapolated: 64.5 V ±3 % at 185 mA; the nearest point has 1.6 times the plate volts
    ");
}

#[test]
fn a_slip_that_all_points_share_is_guessed() {
    let point = |plate: f64, grid: f64| PlatePoint {
        plate: Volts(plate),
        grid: Volts(grid),
        current: Amps(0.06),
        source: Source::default(),
    };
    let unsigned = refusal(&FitError::NoAgreement, &[point(250.0, 45.0)], &[]);
    let kilovolts = refusal(&FitError::NoAgreement, &[point(0.25, -45.0)], &[]);
    let below = refusal(&FitError::NotAboveZero(0), &[point(-250.0, -45.0)], &[]);
    assert!(!below.contains("kV"), "{below}");
    let far_off = FitError::FarOff {
        point: 0,
        law_amps: 0.01,
    };
    let asked = refusal(&far_off, &[point(250.0, 45.0)], &[]);
    assert!(
        asked.ends_with("misread? All grid volts are above zero: is their sign missing?"),
        "{asked}"
    );
    insta::assert_snapshot!(format!("{unsigned}\n{kilovolts}"), @r"
    The figures contradict each other: no triode law comes near them. All grid volts are above zero: is their sign missing?
    The figures contradict each other: no triode law comes near them. All plate volts are below 5 V: are they kV?
    ");
}

#[test]
fn the_grid_volts_of_a_family_are_all_in_volts() {
    let shown = [0.0, -0.0, -0.5, -1.0, -7.5, -140.0].map(grid);
    assert_eq!(
        shown,
        [
            "0 V",
            "0 V",
            "\u{2212}0.5 V",
            "\u{2212}1 V",
            "\u{2212}7.5 V",
            "\u{2212}140 V"
        ]
    );
}

#[test]
fn refusals_name_the_line() {
    let point = |plate: f64, grid: f64, current: f64| PlatePoint {
        plate: Volts(plate),
        grid: Volts(grid),
        current: Amps(current),
        source: Source::default(),
    };
    let points = [
        point(250.0, -45.0, 0.06),
        point(300.0, -45.0, 0.02),
        point(250.0, -45.0, 0.08),
    ];
    let errors = [
        FitError::NoPoint,
        FitError::NoGridEffect,
        FitError::NotAboveZero(1),
        FitError::CurrentFalls {
            first: 0,
            second: 1,
        },
        FitError::CurrentFalls {
            first: 2,
            second: 0,
        },
        FitError::OneMisread {
            point: 1,
            law_amps: 0.0842,
        },
        FitError::Pentode {
            first: 0,
            second: 1,
        },
        FitError::CutOff { point: 0, mu: 9.5 },
        FitError::FiguresDisagree {
            figures: 0,
            mu: 42.0,
            product: 4.2,
        },
        FitError::FarOff {
            point: 0,
            law_amps: 0.0123,
        },
        FitError::NoAgreement,
    ];
    let text: Vec<String> = errors
        .iter()
        .map(|error| refusal(error, &points, &[1, 3, 4]))
        .collect();
    insta::assert_snapshot!(text.join("\n"), @r"
    A point is missing: plate volts, grid volts and the current there
    What the grid does is not known: give µ, or points at two grid voltages; a zero-bias curve alone has a table of its own
    Plate volts and current must be above zero; see line 3 (300 V, −45 V)
    The current falls though the volts rise, which no triode does: line 3 (300 V, −45 V) against line 1 (250 V, −45 V)
    Two currents at the same volts: line 1 (250 V, −45 V) against line 4 (250 V, −45 V)
    All other points are of one triode, which passes 84.2 mA at line 3 (300 V, −45 V): is a number or a unit misread there?
    The current hardly rises with the plate volts, as a pentode's does: line 3 (300 V, −45 V) against line 1 (250 V, −45 V); points of a triode are wanted, or with the screen tied to the plate
    A µ of 9.5 cuts the tube off at line 1 (250 V, −45 V): grid volts times µ are more than the plate volts
    µ is 42 but gm times rp is 4.2: one of the three is misread
    No triode fits all of it: the nearest one passes 12.3 mA at line 1 (250 V, −45 V); is a number or a unit misread?
    The figures contradict each other: no triode law comes near them
    ");
}
