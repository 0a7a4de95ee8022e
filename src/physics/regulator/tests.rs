//! What the described presets must do, and what happens when something is lost.

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{PassTubeType, PlateCharacteristic, Supply, Tap, Volts};
use crate::physics::envelope::{Curve, envelope};
use crate::physics::limit::{Limit, Side};
use crate::physics::operation::Case;
use crate::physics::regulator::feedback::{Hold, regulation};
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::references::references;
use crate::physics::regulator::stand;
use crate::physics::regulator::zero::{held, zero_setting};
use crate::physics::steady_state::operate;

const MAINS: [Case; 3] = [Case::Low, Case::Present, Case::High];

fn preset(name: &str) -> Supply {
    let text = presets().iter().find(|p| p.0 == name).unwrap().1;
    read_checked(text, &Catalogue::built_in()).unwrap()
}

fn floor_at(supply: &Supply, case: Case, amps: f64) -> Result<f64, &'static str> {
    let operation = operate(supply, case, amps).unwrap();
    floor(&stand(supply, case).unwrap(), &operation)
}

#[test]
fn the_laboratory_supply_reaches_zero_on_any_mains() {
    let supply = preset("school-laboratory.ron");
    for case in MAINS {
        let floor = floor_at(&supply, case, 0.0).unwrap();
        assert!(floor < 0.0, "{case:?}: {floor} V");
        let stand = stand(&supply, case).unwrap();
        let operation = operate(&supply, case, 0.0).unwrap();
        let [None, Some(at)] = references(&stand, &operation, 0.0) else {
            panic!("one reference, on the negative rail");
        };
        assert!(at.lit && at.struck == Some(true), "{case:?}: {at:?}");
        assert!(
            at.least_amps[0] > at.least_amps[1] && at.most_amps[0] < at.most_amps[1],
            "{case:?}: {at:?}"
        );
    }
    let zero = zero_setting(&supply).unwrap();
    assert!(zero.reverses && zero.least_setting_volts > 0.0, "{zero:?}");
    // At the least setting that never reverses the lowest of the three mains gives 0 V.
    let lifted = {
        let mut supply = supply.clone();
        supply.output.set_low = Volts(zero.least_setting_volts);
        zero_setting(&supply).unwrap()
    };
    let lowest = lifted.at_low_present_high.map(|s| s.volts);
    let lowest = lowest.into_iter().fold(f64::INFINITY, f64::min);
    assert!(lowest.abs() < 1e-3 && !lifted.reverses, "{lifted:?}");
}

#[test]
fn a_fixed_range_supply_stops_above_its_reference() {
    let supply = preset("small-fixed-range.ron");
    for case in MAINS {
        let floor = floor_at(&supply, case, 0.0).unwrap();
        assert!(floor > 100.0 && floor < supply.output.set_low.0, "{floor}");
    }
    assert!(!zero_setting(&supply).unwrap().reverses);
    let drawn = envelope(&supply).unwrap();
    let line = drawn.limits.iter().find(|l| l.limit == Limit::GridFloor);
    assert!(matches!(line.unwrap().curve, Curve::Floor(_)));
}

/// The output's fall under load is the sum of what the small signals say: output resistance over the current, and the bus's
/// sag times its share.
#[test]
fn droop_agrees_with_the_small_signals() {
    let supply = preset("small-fixed-range.ron");
    let stand = stand(&supply, Case::Present).unwrap();
    let (amps, volts, steps) = (0.03, 200.0, 60);
    let at = |k: i32| {
        let operation = operate(
            &supply,
            Case::Present,
            amps * f64::from(k) / f64::from(steps),
        );
        let operation = operation.unwrap();
        let figures = regulation(&stand, &operation, volts).unwrap();
        (
            operation.bus.mean_volts,
            figures.output_ohms,
            figures.bus_share,
        )
    };
    let mut want = 0.0;
    for k in 1..=steps {
        let (a, b) = (at(k - 1), at(k));
        want += 0.5 * (a.1 + b.1) * amps / f64::from(steps);
        want += 0.5 * (a.2 + b.2) * (a.0 - b.0);
    }
    let got = held(&supply, amps, volts).unwrap().droop_volts;
    assert!((got / want - 1.0).abs() < 0.02, "got {got} want {want}");
}

#[test]
fn losing_the_rail_takes_zero_away() {
    let mut supply = preset("school-laboratory.ron");
    let mut last = floor_at(&supply, Case::Present, 0.0).unwrap();
    let full = supply
        .regulator
        .clone()
        .unwrap()
        .bias_rail
        .unwrap()
        .winding
        .0;
    // With 0.7 of it the gas tubes still burn, with less they are out and the taps sag.
    for share in [0.7, 0.4, 0.25] {
        supply
            .regulator
            .as_mut()
            .unwrap()
            .bias_rail
            .as_mut()
            .unwrap()
            .winding = Volts(full * share);
        let now = floor_at(&supply, Case::Present, 0.0).unwrap();
        assert!(now > last, "{share}: {last} → {now}");
        last = now;
    }
    let drawn = envelope(&supply).unwrap();
    let out = drawn
        .limits
        .iter()
        .find(|l| l.limit == Limit::ReferenceLeast(Side::Negative));
    assert!(matches!(out.unwrap().curve, Curve::Everywhere(r) if r > 1.0));
    assert!(
        drawn
            .broken_everywhere
            .contains(&Limit::ReferenceLeast(Side::Negative))
    );
    // Without any rail the tap is not there, and the check says so.
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.bias_rail = None;
    assert!(
        crate::parts::check::check(&supply)
            .iter()
            .any(|p| p.field == "regulator.cathode")
    );
    supply.regulator.as_mut().unwrap().cathode = Tap::Common;
    supply.regulator.as_mut().unwrap().divider.foot = Tap::Common;
    assert!(floor_at(&supply, Case::Present, 0.0).unwrap() > last);
}

#[test]
fn what_is_not_known_is_named() {
    let mut supply = preset("small-fixed-range.ron");
    supply.regulator.as_mut().unwrap().least_plate_volts = None;
    assert!(
        floor_at(&supply, Case::Present, 0.0)
            .unwrap_err()
            .contains("knee")
    );
    let supply = {
        let mut supply = preset("small-fixed-range.ron");
        supply.pass_stage.tube = PassTubeType {
            characteristic: PlateCharacteristic::ZeroBias(vec![
                (Volts(0.0), crate::parts::Amps(0.0)),
                (Volts(100.0), crate::parts::Amps(0.1)),
            ]),
            ..supply.pass_stage.tube
        };
        supply
    };
    assert!(
        floor_at(&supply, Case::Present, 0.0)
            .unwrap_err()
            .contains("zero bias")
    );
    let mut bare = supply;
    bare.regulator = None;
    assert!(stand(&bare, Case::Present).is_none());
    assert!(
        zero_setting(&bare)
            .unwrap_err()
            .to_string()
            .contains("the regulator")
    );
}

#[test]
fn the_loop_dies_towards_dropout() {
    let supply = preset("school-laboratory.ron");
    let stand = stand(&supply, Case::Present).unwrap();
    let operation = operate(&supply, Case::Present, 0.1).unwrap();
    let edge = operation.dropout_volts().unwrap();
    let mut last = f64::INFINITY;
    for below in [250.0, 200.0, 100.0, 50.0, 20.0, 2.0] {
        let now = regulation(&stand, &operation, edge - below).unwrap();
        assert!(
            now.loop_gain < last && now.hold == Hold::Regulated,
            "{now:?}"
        );
        last = now.loop_gain;
    }
}
