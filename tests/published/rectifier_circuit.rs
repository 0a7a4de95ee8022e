//! What makers ask of the circuit around a rectifier: least supply resistance, largest first capacitor.
//!
//! Source: GE and RCA sheets of the 5U4-GB (from memory), "total effective plate-supply impedance per plate" with a 40 µF input
//! capacitor: 21 Ω at 300 V rms per plate, 67 Ω at 450 V, 97 Ω at 550 V. Its row of typical operation at 450 V uses just that.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::{Connection, Ohms, RectifierLaw, Supply};
use sagline::physics::energy::{Sink, energy};
use sagline::physics::envelope::point_alone;
use sagline::physics::steady_state::operate;
use sagline::physics::{Case, Limit, Model};

use crate::supply::{capacitor_input, choke_input, supply, vacuum};

fn with_5u4gb(rms_volts: f64, ohms: f64, farads: f64) -> Supply {
    let mut bare = supply(
        vacuum(44.0, 0.225),
        rms_volts,
        ohms,
        60.0,
        capacitor_input(farads),
    );
    let catalogue = Catalogue::built_in();
    bare.rectifier.kind = catalogue.rectifier("5U4-GB").unwrap().clone();
    // A whole supply needs pass tubes; nothing of them is asked here.
    bare.pass_stage.tube = catalogue.pass_tube("6080").unwrap().clone();
    bare
}

fn used(supply: &Supply, limit: Limit) -> Option<f64> {
    let point = point_alone(&Model::of(supply).unwrap(), 0.05, 100.0).unwrap();
    point.uses.iter().find(|u| u.limit == limit)?.ratio()
}

#[test]
fn the_makers_own_rows_use_just_what_is_asked_for() {
    for (volts, ohms) in [(300.0, 21.0), (450.0, 67.0), (550.0, 97.0)] {
        let row = with_5u4gb(volts, ohms, 40e-6);
        for limit in [Limit::SupplyResistance, Limit::FirstCapacitor] {
            let ratio = used(&row, limit).unwrap();
            assert!((ratio - 1.0).abs() < 1e-9, "{volts} V, {limit:?}: {ratio}");
        }
    }
}

#[test]
fn between_the_makers_points_one_reads_along_a_straight_line_and_beyond_them_their_end() {
    for (volts, ohms) in [(375.0, 44.0), (500.0, 82.0), (200.0, 21.0), (600.0, 97.0)] {
        let ratio = used(&with_5u4gb(volts, ohms, 10e-6), Limit::SupplyResistance).unwrap();
        assert!((ratio - 1.0).abs() < 1e-9, "{volts} V: {ratio}");
    }
}

#[test]
fn a_plate_resistor_adds_to_it_and_plates_in_parallel_share_the_winding() {
    let mut bare = with_5u4gb(450.0, 20.0, 40e-6);
    assert!(used(&bare, Limit::SupplyResistance).unwrap() > 3.0);
    bare.rectifier.plate_resistor = Ohms(47.0);
    assert!((used(&bare, Limit::SupplyResistance).unwrap() - 1.0).abs() < 1e-9);
    // Two in parallel: each sees twice the winding, and half of the first capacitor is its own to charge.
    bare.rectifier.in_parallel = 2;
    assert!((used(&bare, Limit::SupplyResistance).unwrap() - 67.0 / 87.0).abs() < 1e-9);
    assert!((used(&bare, Limit::FirstCapacitor).unwrap() - 0.5).abs() < 1e-9);
}

#[test]
fn behind_a_choke_nothing_of_that_is_asked() {
    let mut bare = with_5u4gb(450.0, 5.0, 40e-6);
    bare.filter = choke_input(10.0, 100.0, 100e-6);
    for limit in [Limit::SupplyResistance, Limit::FirstCapacitor] {
        assert_eq!(used(&bare, limit), None);
    }
}

/// Kirchhoff: what is in series adds its volts. Diodes in series are one of so many times the emission and bulk resistance, and each
/// takes its share of the inverse volts.
#[test]
fn diodes_in_series_add_their_drops_and_share_the_inverse_volts() {
    let mut bare = with_5u4gb(150.0, 20.0, 40e-6);
    bare.rectifier.kind = Catalogue::built_in().rectifier("1N4007").unwrap().clone();
    for connection in [
        Connection::FullWaveCentreTap,
        Connection::Bridge,
        Connection::HalfWave,
    ] {
        bare.rectifier.connection = connection;
        let (mut in_series, mut as_one) = (bare.clone(), bare.clone());
        in_series.rectifier.in_series = 3;
        if let RectifierLaw::Silicon {
            emission,
            resistance,
            ..
        } = &mut as_one.rectifier.kind.law
        {
            emission.0 *= 3.0;
            resistance.0 *= 3.0;
        }
        let bus = |supply: &Supply| operate(&supply.raw(), Case::Present, 0.05).unwrap().bus;
        let (got, want) = (bus(&in_series).mean_volts, bus(&as_one).mean_volts);
        assert!(
            (got / want - 1.0).abs() < 1e-9,
            "{connection:?}: {got} {want}"
        );
        assert!(got < bus(&bare).mean_volts - 1.0, "{connection:?}: {got}");
        let inverse = |supply: &Supply| used(supply, Limit::RectifierPeakInverse).unwrap();
        let share = inverse(&in_series) / inverse(&as_one);
        assert!((share - 1.0 / 3.0).abs() < 1e-9, "{connection:?}: {share}");
        let watts = |supply: &Supply| {
            let flow = energy(&Model::of(supply).unwrap(), Case::Present, [0.05, 50.0]).unwrap();
            assert!(
                (flow.sum_watts() / flow.mains_watts - 1.0).abs() < 2e-3,
                "{flow:?}"
            );
            flow.watts(Sink::Rectifier)
        };
        let share = watts(&in_series) / watts(&as_one);
        assert!((share - 1.0).abs() < 1e-6, "{connection:?}: {share}");
    }
}
