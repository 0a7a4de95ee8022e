//! Ratings that makers give as a chart.
//!
//! Sources: GE and RCA sheets of the 5U4-GB (from memory): 300 mA at 300 V rms per plate, 275 at 450, 162 at 550, capacitor input.
//! Mullard sheet of the GZ34 (from memory): 250 mA up to 450 V, 200 at 500, 160 at 550. 5R4-GY as a secondary tube-data page quotes
//! its maker's sheet: 2,800 V of inverse at 150 mA, 2,400 at 175, 2,100 at 250. 6S33S-V (6C33C-B), from memory: 450 V up to 30 W.

use sagline::parts::catalogue::Catalogue;
use sagline::parts::{SecondaryVolts, Supply, Volts, WindingVolts};
use sagline::physics::envelope::point_alone;
use sagline::physics::limit::{Limit, allowed};
use sagline::physics::{Model, Use};

use crate::supply::{capacitor_input, choke_input, supply, vacuum};

fn with(kind: &str, rms_volts: f64, ohms: f64) -> Supply {
    let mut bare = supply(
        vacuum(44.0, 0.225),
        rms_volts,
        ohms,
        60.0,
        capacitor_input(10e-6),
    );
    let catalogue = Catalogue::built_in();
    bare.rectifier.kind = catalogue.rectifier(kind).unwrap().clone();
    bare.pass_stage.tube = catalogue.pass_tube("6080").unwrap().clone();
    bare
}

/// What is allowed of the whole envelope (A): the limit judges one plate of two.
fn whole_amps(supply: &Supply) -> f64 {
    2.0 * allowed(Limit::RectifierDc, supply).unwrap().value
}

#[test]
fn direct_current_falls_with_the_plate_volts_and_the_rating_ends_with_the_chart() {
    for (kind, volts, amps) in [
        ("5U4-GB", 300.0, 0.3),
        ("5U4-GB", 450.0, 0.275),
        ("5U4-GB", 550.0, 0.162),
        ("GZ34", 450.0, 0.25),
        ("GZ34", 500.0, 0.2),
        ("GZ34", 550.0, 0.16),
        ("5U4-GB", 560.0, 0.0),
    ] {
        let found = whole_amps(&with(kind, volts, 100.0));
        assert!(
            (found - amps).abs() < 1e-9,
            "{kind} at {volts} V: {found} A"
        );
    }
    // Beyond the chart any current is too much; behind a choke another rating holds.
    let mut beyond = with("5U4-GB", 600.0, 100.0);
    let point = point_alone(&Model::of(&beyond).unwrap(), 0.02, 200.0).unwrap();
    let used = point.uses.iter().find(|u| u.limit == Limit::RectifierDc);
    assert!(used.and_then(Use::ratio).unwrap() > 10.0);
    beyond.filter = choke_input(10.0, 0.0, 10e-6);
    assert!((whole_amps(&beyond) - 0.348).abs() < 1e-9);
}

#[test]
fn inverse_volts_go_with_the_current() {
    let use_of = |volts: f64, amps: f64, limit: Limit| {
        let supply = with("5R4-GY", volts, 250.0);
        let point = point_alone(&Model::of(&supply).unwrap(), amps, 300.0).unwrap();
        let used = point.uses.iter().find(|u| u.limit == limit).unwrap();
        used.judged.unwrap()
    };
    // With nothing connected 2,800 V hold, whatever it could give.
    let unloaded = use_of(900.0, 0.0, Limit::RectifierPeakInverse);
    assert!((unloaded.allowed - 2800.0).abs() < 1e-9);
    assert!(
        unloaded.ratio < 1.0 && unloaded.actual > 2400.0,
        "{unloaded:?}"
    );
    for (amps, volts) in [(0.1499, 2800.0), (0.1749, 2400.0), (0.2499, 2100.0)] {
        let loaded = use_of(600.0, amps, Limit::RectifierInverseLoaded);
        assert!(
            (loaded.allowed / volts - 1.0).abs() < 2e-3,
            "{amps} A: {loaded:?}"
        );
        // Of a winding's crest and the first capacitor the second falls under load.
        assert!(
            loaded.actual < 2.0 * 2_f64.sqrt() * 600.0 && loaded.actual > 1100.0,
            "{loaded:?}"
        );
    }
}

#[test]
fn plate_volts_go_with_the_watts() {
    let mut bare = with("5U4-GB", 360.0, 60.0);
    bare.pass_stage.tube = Catalogue::built_in().pass_tube("6C33C-B").unwrap().clone();
    bare.output.set_high = Volts(400.0);
    bare.transformer.winding = WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(360.0)));
    let model = Model::of(&bare).unwrap();
    let judged = |amps: f64, volts: f64| {
        let point = point_alone(&model, amps, volts).unwrap();
        let used = point
            .uses
            .iter()
            .find(|u| u.limit == Limit::PlateVolts)
            .unwrap();
        let watts = point
            .uses
            .iter()
            .find(|u| u.limit == Limit::PlateDissipation)
            .unwrap();
        (used.judged.unwrap(), watts.judged.unwrap().actual)
    };
    // Up to 30 W a plate may have 450 V, above them 250 V: the sheet gives a step, and no line between.
    assert!((judged(0.005, 100.0).0.allowed - 450.0).abs() < 1e-9);
    let mut between = 0;
    for amps in [0.1, 0.12, 0.15, 0.18] {
        let (volts, watts) = judged(amps, 100.0);
        if (31.0..60.0).contains(&watts) {
            assert!((volts.allowed - 250.0).abs() < 1e-6, "{watts} W: {volts:?}");
            between += 1;
        }
    }
    assert!(between > 1);
}
