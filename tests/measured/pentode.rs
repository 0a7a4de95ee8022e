//! A pentode's law from one point of a measured tube, held against its other points, and against the same tube as a triode.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::control_tube::{ControlTubeKind, KneePoint, PentodePoint};
use sagline::parts::{Amps, ControlTubeType, Ohms, Siemens, Source, Volts};
use sagline::physics::device::control_tube::{ControlLaw, control_law};
use sagline::physics::device::triode;

use crate::points::{EF80_PENTODE, EF80_SCREEN, EF80_TRIODE};

/// The EF80 by its point in the middle, with 150 V on the plate at −2.5 V; its transconductance is the chord of half a volt either way,
/// its plate resistance that to 299 V.
fn tube(knee: Vec<KneePoint>) -> ControlTubeType {
    let [(_, low), (grid, middle), (_, high)] = EF80_PENTODE;
    let (plate, plate_ma, screen_ma) = middle[2];
    let ControlTubeType { kind, .. } = Catalogue::built_in().control_tube("EF80").unwrap().clone();
    let ControlTubeKind::Pentode { screen_mu, .. } = kind else {
        panic!("a pentode");
    };
    let point = PentodePoint {
        plate: Volts(plate),
        screen: Volts(EF80_SCREEN),
        grid: Volts(grid),
        plate_current: Amps(1e-3 * plate_ma),
        screen_current: Amps(1e-3 * screen_ma),
        plate_resistance: Some(Ohms(1e3 * (middle[3].0 - plate) / (middle[3].1 - plate_ma))),
        transconductance: Siemens(1e-3 * (high[2].1 - low[2].1)),
        source: Source::default(),
    };
    ControlTubeType {
        kind: ControlTubeKind::Pentode {
            operating_points: vec![point],
            screen_mu,
            knee,
        },
        ..Catalogue::built_in().control_tube("EF80").unwrap().clone()
    }
}

fn knee(of: usize) -> KneePoint {
    let (grid, curve) = EF80_PENTODE[of];
    KneePoint {
        plate: Volts(curve[0].0),
        screen: Volts(EF80_SCREEN),
        grid: Volts(grid),
        plate_current: Amps(1e-3 * curve[0].1),
        source: Source::default(),
    }
}

fn cathode_law(tube: &ControlTubeType) -> sagline::parts::TriodeCoefficients {
    let ControlLaw::Pentode(law) = control_law(tube, Some(Volts(EF80_SCREEN))).unwrap() else {
        panic!("a pentode");
    };
    law.cathode
}

/// Plate and screen together hardly depend on the plate: the screen volts at which the law has the measured sum are the measured ones
/// within 2 %, at every grid and from a plate of 60 V to 299 V; 3 % at 23 V, where electrons that turn round before the plate come back.
#[test]
fn the_cathode_current_follows_grid_and_screen() {
    let law = cathode_law(&tube(Vec::new()));
    let mut worst = 0.0_f64;
    for (grid, curve) in EF80_PENTODE {
        for (plate, plate_ma, screen_ma) in curve {
            let volts = triode::plate_volts(&law, 1e-3 * (plate_ma + screen_ma), grid).unwrap();
            let miss = volts / EF80_SCREEN - 1.0;
            worst = worst.max(miss.abs());
            let within = if plate < 30.0 { 0.03 } else { 0.02 };
            assert!(
                miss.abs() < within,
                "{grid} V, plate {plate} V: {volts} V of screen"
            );
        }
    }
    println!("worst {:.2} %", 1e2 * worst);
}

/// The same law at the screen volts of the triode connection, 98 to 198 V, down to 0.2 mA: out of sample in screen and grid volts, from one
/// point of 10.9 mA. Grid volts within 0.15 V; below, the plate helps the screen.
#[test]
fn it_is_the_law_of_the_same_tube_as_a_triode() {
    let law = cathode_law(&tube(Vec::new()));
    let mut worst = 0.0_f64;
    for (grid, curve) in EF80_TRIODE {
        for (volts, ma) in curve.iter().filter(|(_, ma)| *ma >= 0.2) {
            let miss = triode::grid_volts(&law, *volts, 1e-3 * ma) - grid;
            worst = worst.max(miss.abs());
            assert!(
                miss.abs() < 0.15,
                "{grid} V, {volts} V, {ma} mA: {miss:+} V"
            );
        }
    }
    println!("worst {worst:.3} V of grid");
}

/// The knee from the one point that lies deepest below it, 23 V at −2 V: what the cathode gives for the measured plate current at the other
/// grids is the measured sum within 8 %. Without a knee it is 20 % and 25 % short at −2.5 V and −2 V.
#[test]
fn the_knee_follows_from_one_point() {
    let [with, without] = [vec![knee(2)], Vec::new()]
        .map(|knee| control_law(&tube(knee), Some(Volts(EF80_SCREEN))).unwrap());
    let mut shortest = 0.0_f64;
    for (grid, curve) in EF80_PENTODE {
        for (plate, plate_ma, screen_ma) in curve.into_iter().take(2) {
            let miss = |law: &ControlLaw| {
                let got = law.point(plate, 1e-3 * plate_ma).unwrap();
                1e3 * (got.amps + got.screen_amps) / (plate_ma + screen_ma) - 1.0
            };
            println!("{grid} V, {plate} V: {:+.1} %", 1e2 * miss(&with));
            assert!(
                miss(&with).abs() < 0.08,
                "{grid} V, {plate} V: {:+}",
                miss(&with)
            );
            shortest = shortest.min(miss(&without));
        }
    }
    assert!(shortest < -0.2, "{shortest}");
}

/// Half the transconductance at the knee is lost to the screen, and the plate resistance falls to that of the diode line.
#[test]
fn below_the_knee_the_gain_dies() {
    let law = control_law(&tube(vec![knee(1)]), Some(Volts(EF80_SCREEN))).unwrap();
    let [high, low] = [150.0, 10.0].map(|plate| law.point(plate, 2e-3).unwrap());
    assert!(
        low.transconductance < 0.8 * high.transconductance,
        "{low:?} {high:?}"
    );
    assert!(
        low.plate_resistance < 0.1 * high.plate_resistance,
        "{low:?} {high:?}"
    );
    // 470 kΩ from 300 V: pulled to where the diode line has what the resistor lets through, a volt or three.
    let least = law.least_plate_volts(300.0, 470e3).unwrap();
    assert!((1.0..8.0).contains(&least), "{least}");
}
