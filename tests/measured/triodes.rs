//! Part of a tube's curves is fitted, the plate volts of the others are predicted: out of sample.

use sagline::parts::pass_stage::PlatePoint;
use sagline::parts::{Amps, Source, TriodeCoefficients, Volts};
use sagline::physics::device::triode;
use sagline::physics::device::triode_fit::fit;

use crate::points::{Curve, EF80_TRIODE, EL500_TRIODE};

fn points(curves: &[Curve], which: impl Fn(f64) -> bool) -> Vec<PlatePoint> {
    let chosen = curves.iter().filter(|(grid, _)| which(*grid));
    chosen
        .flat_map(|(grid, along)| along.iter().map(|(plate, ma)| at(*grid, *plate, *ma)))
        .collect()
}

fn at(grid: f64, plate: f64, milliamperes: f64) -> PlatePoint {
    PlatePoint {
        plate: Volts(plate),
        grid: Volts(grid),
        current: Amps(1e-3 * milliamperes),
        source: Source::default(),
    }
}

/// Largest and median miss of the predicted plate volts, relative.
fn misses(law: &TriodeCoefficients, points: &[PlatePoint]) -> [f64; 2] {
    let miss = |p: &PlatePoint| {
        let volts = triode::plate_volts(law, p.current.0, p.grid.0).unwrap();
        (volts / p.plate.0 - 1.0).abs()
    };
    let mut all: Vec<f64> = points.iter().map(miss).collect();
    all.sort_by(f64::total_cmp);
    [all[all.len() - 1], all[all.len() / 2]]
}

/// Fitted to the curves at these grid volts; worst miss of the others.
fn predicted(curves: &[Curve], fitted: &[f64], report: &mut String) -> f64 {
    let is_fitted = |grid: f64| fitted.contains(&grid);
    let law = fit(&points(curves, is_fitted), &[]).unwrap().law;
    let [worst, median] = misses(&law, &points(curves, |grid| !is_fitted(grid)));
    *report += &format!(
        "fitted to {fitted:?} V: worst {:.2} %, median {:.2} %, {law:?}\n",
        1e2 * worst,
        1e2 * median
    );
    worst
}

/// Curves between and above the fitted ones, from every pair of the four and from triples: within 2 %. Two pairs miss that, both of curves half a
/// volt apart that leave the one with most points a volt and half a volt above them: 4.2 % and 3.1 %, at less than a milliampere. The law
/// could do better with other weights, but then other pairs do worse; 20 mV of the tracer's grid volts are 4 % of µ there.
#[test]
fn an_ef80s_curves_are_predicted_within_2_percent() {
    let mut report = String::new();
    for (fitted, within) in [
        (&[-4.0, -3.0][..], 0.02),
        (&[-4.0, -2.5], 0.02),
        (&[-3.5, -2.5], 0.02),
        (&[-3.0, -2.5], 0.02),
        (&[-4.0, -3.5, -3.0], 0.02),
        (&[-4.0, -3.5, -2.5], 0.02),
        (&[-4.0, -3.0, -2.5], 0.02),
        (&[-3.5, -3.0, -2.5], 0.02),
        (&[-3.5, -3.0], 0.032),
        (&[-4.0, -3.5], 0.043),
    ] {
        let worst = predicted(&EF80_TRIODE, fitted, &mut report);
        assert!(worst <= within, "\n{report}");
    }
    println!("{report}");
}

/// From any two of the four curves. Without an offset of the grid volts the two deepest miss by 18 %.
#[test]
fn an_el500s_curves_are_predicted_within_6_percent() {
    let mut report = String::new();
    for fitted in [
        [-25.0, -22.0],
        [-25.0, -19.0],
        [-25.0, -16.0],
        [-22.0, -19.0],
        [-22.0, -16.0],
        [-19.0, -16.0],
    ] {
        let worst = predicted(&EL500_TRIODE, &fitted, &mut report);
        assert!(worst <= 0.06, "\n{report}");
    }
    println!("{report}");
}

/// An oxide cathode's contact potential is 0.5 to 0.8 V (common practice): the EF80's curves alone say so. This EL500 wants more.
#[test]
fn all_curves_together_say_what_the_offset_is() {
    let [ef80, el500] = [&EF80_TRIODE, &EL500_TRIODE].map(|curves| {
        let found = fit(&points(curves, |_| true), &[]).unwrap();
        let [worst, _] = misses(&found.law, &found.points);
        assert!(worst < 0.015, "{worst}: {:?}", found.law);
        found.law.grid_offset.0
    });
    assert!((0.4..0.9).contains(&ef80), "{ef80} V");
    assert!(el500 < -10.0, "{el500} V");
}

/// One point left out, the others fitted: all of both tubes.
#[test]
fn a_point_left_out_is_predicted_by_the_others() {
    for (curves, within) in [(&EF80_TRIODE, 0.02), (&EL500_TRIODE, 0.015)] {
        let all = points(curves, |_| true);
        for left_out in 0..all.len() {
            let mut others = all.clone();
            let point = others.remove(left_out);
            let law = fit(&others, &[]).unwrap().law;
            let [miss, _] = misses(&law, std::slice::from_ref(&point));
            assert!(miss < within, "{point:?}: {miss}");
        }
    }
}

/// gm over current where both were measured: 3.5 to 3.9 per volt at 0.04 to 0.2 mA. The law is no steeper anywhere, down to a
/// microampere; a law without a tail says 33 per volt at 6 µA.
#[test]
fn no_tube_is_steeper_than_tubes_are() {
    let law = fit(&points(&EF80_TRIODE, |_| true), &[]).unwrap().law;
    for plate in [20.0, 50.0, 100.0, 200.0] {
        for amps in [1e-6, 6e-6, 40e-6, 0.2e-3, 1e-3] {
            let grid = triode::grid_volts(&law, plate, amps);
            let (gm, _, _) = triode::small_signal(&law, plate, grid);
            assert!(gm / amps <= 4.51, "{plate} V {amps} A: {} /V", gm / amps);
        }
    }
    // Between −3.5 and −3 V at 98 to 99 V of plate, and between −3 and −2.5 V.
    let steep = (0.48_f64 / 0.08).ln() / 0.5;
    let grid = triode::grid_volts(&law, 98.7, 0.2e-3);
    let (gm, _, _) = triode::small_signal(&law, 98.7, grid);
    assert!(
        (gm / 0.2e-3 / steep - 1.0).abs() < 0.1,
        "{} of {steep} /V",
        gm / 0.2e-3
    );
}
