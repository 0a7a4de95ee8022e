//! What the described presets must do, and what happens when something is lost.

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{
    Figure, Fraction, HeaterTie, Ohms, PassTubeType, PlateCharacteristic, PlateSupply, RailWinding,
    Rating, RatingSystem, ReferenceFeed, Supply, Tap, Volts, Watts,
};
use crate::physics::envelope::{Curve, Envelope, LimitCurve, envelope};
use crate::physics::failure::Failure;
use crate::physics::limit::{Judged, Limit, Measure, Side, Whose, all};
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::needs::Needs;
use crate::physics::operation::Case;
use crate::physics::regulator::feedback::{Hold, regulation};
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::references::references;
use crate::physics::regulator::zero::{held, zero_setting};
use crate::physics::steady_state::operate;
use crate::physics::stress::no_load;

const MAINS: [Case; 3] = [Case::Low, Case::Present, Case::High];

fn preset(name: &str) -> Supply {
    let text = presets().iter().find(|p| p.0 == name).unwrap().1;
    read_checked(text, &Catalogue::built_in()).unwrap()
}

/// The regulator of a supply in a case.
fn regulator_in(supply: &Supply, case: Case) -> RegulatorModel {
    let model = Model::of(supply).unwrap();
    model.regulator(case).unwrap().clone()
}

fn floor_at(supply: &Supply, case: Case, amps: f64) -> Result<f64, Needs> {
    let operation = operate(&Model::of(supply).unwrap().raw, case, amps).unwrap();
    floor(&regulator_in(supply, case), &operation)
}

/// Kirchhoff's voltage law: a plate behind a resistor is nowhere above what that hangs on.
#[test]
fn a_control_tubes_plate_is_never_above_its_supply() {
    let supply = preset("school-laboratory.ron");
    let envelope = envelope(&Model::of(&supply).unwrap()).unwrap();
    for (amps, volts) in [(0.02, 200.0), (0.1, 340.0), (0.175, 338.0)] {
        let point = envelope
            .point(&Model::of(&supply).unwrap(), amps, volts)
            .unwrap();
        let judged = point
            .uses
            .iter()
            .find(|u| u.limit == Limit::ControlPlateVolts);
        let judged = judged.unwrap().judged.as_ref().unwrap();
        let operation = operate(&Model::of(&supply).unwrap().raw, judged.case, amps).unwrap();
        // The cathode stands on the 0A3: 75 V below common, 80 V at most.
        let most = operation.bus.trough_volts + 80.0;
        assert!(judged.actual < most, "{amps} A, {volts} V: {judged:?}");
    }
}

#[test]
fn the_laboratory_supply_reaches_zero_on_any_mains() {
    let supply = preset("school-laboratory.ron");
    for case in MAINS {
        let floor = floor_at(&supply, case, 0.0).unwrap();
        assert!(floor < 0.0, "{case:?}: {floor} V");
        let model = regulator_in(&supply, case);
        let operation = operate(&Model::of(&supply).unwrap().raw, case, 0.0).unwrap();
        let [None, Some(at)] = references(&model, &operation, 0.0) else {
            panic!("one reference, on the negative rail");
        };
        assert!(at.lit && at.struck == Some(true), "{case:?}: {at:?}");
        assert!(
            at.least_amps[0] > at.least_amps[1] && at.most_amps[0] < at.most_amps[1],
            "{case:?}: {at:?}"
        );
    }
    let zero = zero_setting(&Model::of(&supply).unwrap()).unwrap();
    assert!(zero.reverses && zero.least_setting_volts > 0.0, "{zero:?}");
    // At the least setting that never reverses the lowest of the three mains gives 0 V.
    let lifted = {
        let mut supply = supply.clone();
        supply.output.set_low = Volts(zero.least_setting_volts);
        zero_setting(&Model::of(&supply).unwrap()).unwrap()
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
    assert!(!zero_setting(&Model::of(&supply).unwrap()).unwrap().reverses);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let line = drawn.limits.iter().find(|l| l.limit == Limit::GridFloor);
    assert!(matches!(line.unwrap().curve, Curve::Floor(_)));
}

/// The output's fall under load is the sum of what the small signals say: output resistance over the current, and the bus's
/// sag times its share.
#[test]
fn droop_agrees_with_the_small_signals() {
    let supply = preset("small-fixed-range.ron");
    let model = regulator_in(&supply, Case::Present);
    let (amps, volts, steps) = (0.03, 200.0, 60);
    let at = |k: i32| {
        let operation = operate(
            &Model::of(&supply).unwrap().raw,
            Case::Present,
            amps * f64::from(k) / f64::from(steps),
        );
        let operation = operation.unwrap();
        let figures = regulation(&model, &operation, volts).unwrap();
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
    let got = held(&Model::of(&supply).unwrap(), amps, volts)
        .unwrap()
        .droop_volts;
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
        .own()
        .unwrap()
        .0;
    // With 0.7 of it the gas tubes still burn, with half of it and less they are out and the taps sag.
    for share in [0.7, 0.5, 0.25] {
        supply
            .regulator
            .as_mut()
            .unwrap()
            .bias_rail
            .as_mut()
            .unwrap()
            .winding = RailWinding::Own(Volts(full * share));
        let now = floor_at(&supply, Case::Present, 0.0).unwrap();
        assert!(now > last, "{share}: {last} → {now}");
        last = now;
    }
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
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

/// With cathode and divider's foot on the same, the grid can never be below its cathode: whatever is asked for, the control tube
/// stays fully on. What the plane says, what a point says and where the output settles must be the same.
#[test]
fn without_its_rail_the_control_holds_nothing() {
    let mut supply = preset("school-laboratory.ron");
    let limit = Limit::ControlGridCeiling;
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    assert_eq!(line_of(&drawn, limit).curve, Curve::OutOfReach);
    let with_rail = use_of(&drawn, &supply, limit, [0.05, 200.0]);
    // The foot is one 0C3 below the cathode: 105 V, within the spread of the type's running volts over its range of current.
    assert!(
        (with_rail.allowed - 105.0).abs() < 5.0 && with_rail.ratio < 0.1,
        "{with_rail:?}"
    );
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.bias_rail = None;
    regulator.cathode = Tap::Common;
    regulator.divider.foot = Tap::Common;
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let point = drawn
        .point(&Model::of(&supply).unwrap(), 0.05, 200.0)
        .unwrap();
    assert!(!point.is_inside());
    let judged = use_of(&drawn, &supply, limit, [0.05, 200.0]);
    assert!(judged.ratio > 1.0 && judged.allowed == 0.0, "{judged:?}");
    assert!(drawn.region.is_empty(), "{:?}", drawn.region);
    let settled = held(&Model::of(&supply).unwrap(), 0.05, 200.0)
        .unwrap()
        .at_low_present_high;
    assert!(
        settled
            .iter()
            .all(|s| s.hold == Hold::FullyOn && s.volts < 100.0),
        "{settled:?}"
    );
    let model = regulator_in(&supply, Case::Present);
    let operation = operate(&Model::of(&supply).unwrap().raw, Case::Present, 0.05).unwrap();
    let now = regulation(&model, &operation, 200.0).unwrap();
    assert!(now.hold == Hold::FullyOn && now.loop_gain == 0.0, "{now:?}");
}

/// The same with a range that begins at 0 V: an outline of 0 V alone would be no empty one, and no point of it would be inside.
#[test]
fn where_the_control_holds_not_even_zero_volts_nothing_is_within_reach() {
    let mut supply = preset("school-laboratory.ron");
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.bias_rail = None;
    regulator.cathode = Tap::Common;
    regulator.divider.foot = Tap::Common;
    supply.output.set_low = Volts(0.0);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let line = &line_of(&drawn, Limit::ControlGridCeiling).curve;
    assert_eq!(*line, Curve::Wall(0.0));
    assert!(drawn.region.is_empty(), "{:?}", drawn.region);
    assert!(drawn.reach.is_empty(), "{:?}", drawn.reach);
}

#[test]
fn what_is_not_known_is_named() {
    let mut supply = preset("small-fixed-range.ron");
    supply.regulator.as_mut().unwrap().least_plate_volts = None;
    assert_eq!(
        floor_at(&supply, Case::Present, 0.0),
        Err(Needs::ControlKnee)
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
    assert_eq!(
        floor_at(&supply, Case::Present, 0.0),
        Err(Needs::PassCurvesBelowZeroBias)
    );
    let mut bare = supply;
    bare.regulator = None;
    assert_eq!(
        zero_setting(&Model::of(&bare).unwrap()),
        Err(Failure::NotKnown(Needs::Regulator))
    );
}

#[test]
fn the_loop_dies_towards_dropout() {
    let supply = preset("school-laboratory.ron");
    let model = regulator_in(&supply, Case::Present);
    let operation = operate(&Model::of(&supply).unwrap().raw, Case::Present, 0.1).unwrap();
    let edge = model.dropout_volts(&operation).unwrap();
    let mut last = f64::INFINITY;
    for below in [250.0, 200.0, 100.0, 50.0, 20.0, 2.0] {
        let now = regulation(&model, &operation, edge - below).unwrap();
        assert!(
            now.loop_gain < last && now.hold == Hold::Regulated,
            "{now:?}"
        );
        last = now.loop_gain;
    }
}

fn line_of(drawn: &Envelope, limit: Limit) -> &LimitCurve {
    drawn.limits.iter().find(|l| l.limit == limit).unwrap()
}

fn use_of(drawn: &Envelope, supply: &Supply, limit: Limit, at: [f64; 2]) -> Judged {
    let point = drawn
        .point(&Model::of(supply).unwrap(), at[0], at[1])
        .unwrap();
    let found = point.uses.iter().find(|u| u.limit == limit).unwrap();
    found.judged.unwrap()
}

/// 0A3 and 0C3 start from the running volts of both, 180 V, and the 30 V that the 0A3 asks for more (RCA, 105 V for 75 V).
#[test]
fn gas_tubes_that_do_not_strike_on_a_low_day_are_a_limit() {
    let mut supply = preset("school-laboratory.ron");
    let limit = Limit::ReferenceStrike(Side::Negative);
    let judged = use_of(
        &envelope(&Model::of(&supply).unwrap()).unwrap(),
        &supply,
        limit,
        [0.05, 100.0],
    );
    assert!((judged.allowed - 210.0).abs() < 1e-9 && judged.case == Case::Low);
    assert!(judged.ratio < 1.0, "{judged:?}");
    // A winding that makes it on a good day only: 210 V before they strike lie between its low and its high mains.
    let rail = supply
        .regulator
        .as_mut()
        .unwrap()
        .bias_rail
        .as_mut()
        .unwrap();
    let volts = rail.winding.own().unwrap().0;
    rail.winding = RailWinding::Own(Volts(volts * 210.0 / (judged.actual * 1.03)));
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let judged = use_of(&drawn, &supply, limit, [0.05, 100.0]);
    assert!(
        judged.ratio > 1.0 && judged.at_low_present_high[2] < 1.0,
        "{judged:?}"
    );
    assert!(drawn.broken_everywhere.contains(&limit));
    // Not published: not known, and no limit.
    let rail = supply
        .regulator
        .as_mut()
        .unwrap()
        .bias_rail
        .as_mut()
        .unwrap();
    let tube = &mut rail.reference.as_mut().unwrap().tubes[0];
    (tube.strike_volts, tube.supply_least) = (None, None);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    assert!(matches!(line_of(&drawn, limit).curve, Curve::NotKnown(_)));
}

/// A positive reference on the bus strikes as long as the bus holds: a wall in the current.
#[test]
fn a_reference_on_a_sagging_bus_strikes_up_to_a_current() {
    let mut supply = preset("small-fixed-range.ron");
    let reference = supply
        .regulator
        .as_mut()
        .unwrap()
        .reference
        .as_mut()
        .unwrap();
    reference.fed_from = ReferenceFeed::Bus;
    let tube = &mut reference.tubes[0];
    tube.supply_least.as_mut().unwrap().value = Volts(320.0);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let line = line_of(&drawn, Limit::ReferenceStrike(Side::Positive));
    let Curve::Wall(amps) = line.curve else {
        panic!("{line:?}");
    };
    assert_eq!(line.case, Case::Low);
    let bus = operate(&Model::of(&supply).unwrap().raw, Case::Low, amps)
        .unwrap()
        .bus
        .mean_volts;
    assert!((bus - 320.0).abs() < 0.1, "{bus}");
}

/// |V − elevation| ≤ rating has two ends: both are lines, and both uses are 1 on them.
#[test]
fn a_heater_raised_into_the_set_range_has_a_limit_on_either_side() {
    let mut supply = preset("small-fixed-range.ron");
    (supply.output.set_low, supply.output.set_high) = (Volts(0.0), Volts(300.0));
    supply.pass_stage.heater = Some(HeaterTie::Elevated(Volts(150.0)));
    // So that the output current alone goes through the cathode resistors.
    supply.regulator = None;
    supply
        .pass_stage
        .tube
        .ratings
        .heater_cathode
        .as_mut()
        .unwrap()
        .value = Volts(90.0);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let Curve::Floor(floor) = &line_of(&drawn, Limit::HeaterAboveCathode).curve else {
        panic!("a floor");
    };
    let Curve::Ceiling(ceiling) = &line_of(&drawn, Limit::HeaterCathode).curve else {
        panic!("a ceiling");
    };
    for (points, limit, from_heater) in [
        (floor, Limit::HeaterAboveCathode, -90.0),
        (ceiling, Limit::HeaterCathode, 90.0),
    ] {
        for &[amps, volts] in points {
            let at_cathode = volts + 0.5 * amps * supply.pass_stage.cathode_resistor.0;
            assert!(
                (at_cathode - 150.0 - from_heater).abs() < 1e-6,
                "{amps} {volts}"
            );
        }
        let [amps, volts] = points[points.len() / 2];
        assert!((use_of(&drawn, &supply, limit, [amps, volts]).ratio - 1.0).abs() < 1e-6);
    }
    assert!(drawn.region.iter().all(|r| r[1] > 59.0 && r[2] < 241.0));
}

/// The line of the control tube's plate and its use are one thing: 1 on the line wherever there is one, less than 1 at any output
/// that the bus can give where there is none.
#[test]
fn the_control_tubes_plate_is_used_up_on_its_line_and_nowhere_else() {
    for plate_supply in [PlateSupply::Bus, PlateSupply::Clean(Volts(60.0))] {
        let mut supply = preset("school-laboratory.ron");
        let operation = operate(&Model::of(&supply).unwrap().raw, Case::Present, 0.1).unwrap();
        let regulator = supply.regulator.as_mut().unwrap();
        regulator.plate_supply = plate_supply;
        // With the cathode some 70 V below the common the bus at 100 mA just cannot lift the plate so high.
        let allowed = operation.bus.trough_volts + 75.0;
        regulator.control_tube.ratings.plate_volts =
            Some(Rating::own(Volts(allowed), RatingSystem::DesignCentre));
        let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
        let Curve::Ceiling(points) = &line_of(&drawn, Limit::ControlPlateVolts).curve else {
            panic!("a ceiling");
        };
        for &[amps, volts] in points.iter().step_by(5) {
            let used = use_of(&drawn, &supply, Limit::ControlPlateVolts, [amps, volts]);
            assert!((used.ratio - 1.0).abs() < 1e-4, "{amps} {volts} {used:?}");
        }
        let end = points.last().unwrap()[0];
        let grid = *drawn.amps.last().unwrap();
        if plate_supply == PlateSupply::Bus {
            assert!((0.04..0.12).contains(&end), "{end}");
            for amps in [1.1 * end, 1.3 * end] {
                let used = use_of(&drawn, &supply, Limit::ControlPlateVolts, [amps, 600.0]);
                assert!(used.ratio < 1.0, "{amps} {used:?}");
            }
        } else {
            // As far as anything was solved: beyond the grid to where nothing is regulated.
            assert!(end > grid - 1e-9, "{end} {grid}");
        }
        // And the end of that line takes nothing from the envelope.
        assert!(drawn.region.last().unwrap()[0] > 0.13, "{:?}", drawn.region);
    }
}

/// Four grids on one resistor: each may have a quarter (the 6080's 1 MΩ, RCA).
/// The use of a grid-resistor limit at any point.
fn grid_use(supply: &Supply, whose: Whose) -> Judged {
    let drawn = envelope(&Model::of(supply).unwrap()).unwrap();
    let limit = Limit::GridResistor(whose);
    assert!(matches!(line_of(&drawn, limit).curve, Curve::Everywhere(_)));
    let point = drawn
        .point(&Model::of(supply).unwrap(), 0.05, 250.0)
        .unwrap();
    let found = point.uses.iter().find(|u| u.limit == limit).unwrap();
    found.judged.unwrap()
}

#[test]
fn grids_on_one_plate_load_share_what_the_maker_allows() {
    let mut supply = preset("choke-input.ron");
    assert_eq!(supply.pass_stage.units, 4);
    supply.pass_stage.tube.ratings.grid_resistor =
        Some(Rating::own(Ohms(1e6), RatingSystem::DesignCentre));
    for (load, over) in [(249e3, false), (251e3, true)] {
        supply.regulator.as_mut().unwrap().plate_load = Ohms(load);
        let used = grid_use(&supply, Whose::Pass);
        assert!((used.actual - 4.0 * load).abs() < 1e-3, "{used:?}");
        assert_eq!(used.measure, Measure::Ohms);
        assert_eq!(used.ratio > 1.0, over, "{used:?}");
    }
    // Of a control tube: half of the divider above the tap and half below are a quarter of the whole.
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.control_tube.ratings.grid_resistor =
        Some(Rating::own(Ohms(1e5), RatingSystem::DesignCentre));
    (regulator.divider.resistance, regulator.divider.control) = (Ohms(4.4e5), None);
    let used = grid_use(&supply, Whose::Control);
    assert!((used.actual - 1.1e5).abs() < 1e-6 && (used.ratio - 1.1).abs() < 1e-9);
}

#[test]
fn a_grid_resistor_is_a_limit_only_where_its_maker_gives_one() {
    let mut supply = preset("school-laboratory.ron");
    let has = |supply: &Supply, whose| all(supply).contains(&Limit::GridResistor(whose));
    assert!(has(&supply, Whose::Pass));
    assert!(!has(&supply, Whose::Control));
    supply.pass_stage.tube.ratings.grid_resistor = None;
    assert!(!has(&supply, Whose::Pass));
    let mut supply = preset("school-laboratory.ron");
    supply.regulator = None;
    assert!(!has(&supply, Whose::Pass));
}

/// The screen takes its share of what plate and screen burn together, and its own rating bounds that.
#[test]
fn a_screen_tied_to_its_plate_burns_its_share() {
    let mut supply = preset("school-laboratory.ron");
    let share = 0.13;
    let own = |watts: f64| Some(Rating::own(Watts(watts), RatingSystem::DesignCentre));
    supply.pass_stage.tube.screen_share = Some(Figure::own(Fraction(share)));
    // Both limits met at the same watts, so their lines must be one.
    supply.pass_stage.tube.ratings.plate_dissipation = own(20.0);
    supply.pass_stage.tube.ratings.screen_dissipation = own(20.0 * share);
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    let [plate, screen] = [Limit::PlateDissipation, Limit::ScreenDissipation]
        .map(|limit| line_of(&drawn, limit).curve.clone());
    let (Curve::Floor(plate), Curve::Floor(screen)) = (plate, screen) else {
        panic!("two floors");
    };
    assert_eq!(plate.len(), screen.len());
    for (a, b) in plate.iter().zip(&screen) {
        assert!(
            (a[0] - b[0]).abs() < 1e-9 && (a[1] - b[1]).abs() < 1e-6,
            "{a:?} {b:?}"
        );
    }
    let point = drawn
        .point(&Model::of(&supply).unwrap(), 0.1, 100.0)
        .unwrap();
    let watts = |limit: Limit| {
        let used = point.uses.iter().find(|u| u.limit == limit).unwrap();
        used.judged.as_ref().unwrap().actual
    };
    let (both, screen) = (
        watts(Limit::PlateDissipation),
        watts(Limit::ScreenDissipation),
    );
    assert!((screen / both - share).abs() < 1e-12, "{screen} of {both}");
    // Without the share there is no telling.
    supply.pass_stage.tube.screen_share = None;
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    assert!(matches!(
        line_of(&drawn, Limit::ScreenDissipation).curve,
        Curve::NotKnown(_)
    ));
}

#[test]
fn without_a_regulator_the_floor_is_listed_as_not_known() {
    let supply = preset("silicon-bridge.ron");
    assert!(supply.regulator.is_none());
    let drawn = envelope(&Model::of(&supply).unwrap()).unwrap();
    assert!(matches!(
        line_of(&drawn, Limit::GridFloor).curve,
        Curve::NotKnown(_)
    ));
    let point = drawn
        .point(&Model::of(&supply).unwrap(), 0.02, 300.0)
        .unwrap();
    let floor = point
        .uses
        .iter()
        .find(|u| u.limit == Limit::GridFloor)
        .unwrap();
    assert_eq!(floor.judged, Err(Needs::Regulator));
    assert!(point.is_inside());
}

/// A setting that was chosen at the mains of today gives just its volts there: where those are the lowest (highest) that are
/// reckoned with, the output settles there at low (high) mains, and elsewhere at the others.
#[test]
fn each_of_the_mains_settles_in_its_own_place() {
    for (name, amps) in [
        ("school-laboratory.ron", 0.05),
        ("small-fixed-range.ron", 0.03),
    ] {
        let now = preset(name);
        for (place, other) in [(0, 2), (2, 0)] {
            let mut supply = now.clone();
            supply.mains.present = [now.mains.low, now.mains.present, now.mains.high][place];
            let model = Model::of(&supply).unwrap();
            let zero = zero_setting(&model).unwrap();
            let away = zero
                .at_low_present_high
                .map(|s| (s.volts - zero.volts).abs());
            assert!(away[place] < 1e-6, "{name} {place}: {zero:?}");
            assert!(away[other] > 1e-3, "{name} {place}: {zero:?}");
            for (case, floor) in MAINS.into_iter().zip(zero.floors) {
                let want = floor_at(&supply, case, 0.0).unwrap();
                assert!(
                    (floor.unwrap() - want).abs() < 1e-9,
                    "{name} {case:?}: {zero:?}"
                );
            }
            let held = held(&model, amps, 200.0).unwrap();
            let at = held.at_low_present_high.map(|s| s.volts);
            assert!((at[place] - at[1]).abs() < 1e-6, "{name} {place}: {held:?}");
            assert!((at[other] - at[1]).abs() > 1e-3, "{name} {place}: {held:?}");
        }
    }
}

/// Kirchhoff and Ohm, nothing connected at 0 V: a divider whose foot stands on the negative rail draws the rail's volts over its
/// resistance from it. Those are no more than the crest of the winding, from which the program reckons the current.
#[test]
fn a_divider_on_the_rail_loads_it() {
    let rail_of = |supply: &Supply| {
        let regulator = regulator_in(supply, Case::Present);
        regulator.working_rail().unwrap().clone()
    };
    let ohms = 33e3;
    let mut bare = preset("school-laboratory.ron");
    let divider = &mut bare.regulator.as_mut().unwrap().divider;
    (divider.resistance, divider.control) = (Ohms(ohms), None);
    let crest = rail_winding(&bare) * core::f64::consts::SQRT_2;
    let mut hung = bare.clone();
    hung.regulator.as_mut().unwrap().divider.foot = Tap::BiasRail;
    let loaded_by = |amps: f64| {
        let mut supply = bare.clone();
        let rail = supply.regulator.as_mut().unwrap().bias_rail.as_mut();
        rail.unwrap().load.0 += amps;
        rail_of(&supply)
    };
    let got = rail_of(&hung);
    let least = loaded_by(got.unstruck_volts / ohms);
    let most = loaded_by(1.000_001 * crest / ohms);
    assert!(least.unstruck_volts < 0.99 * rail_of(&bare).unstruck_volts);
    for (what, got, [least, most]) in [
        (
            "sag",
            -got.unstruck_volts,
            [-least.unstruck_volts, -most.unstruck_volts],
        ),
        ("current", got.amps, [least.amps, most.amps]),
    ] {
        assert!(
            (least..=most).contains(&got),
            "{what} {got}: {least} to {most}"
        );
    }
}

fn rail_winding(supply: &Supply) -> f64 {
    let regulator = supply.regulator.as_ref().unwrap();
    let rail = regulator.bias_rail.as_ref().unwrap();
    rail.winding.own().unwrap().0
}

/// A heater raised by so many volts is so much nearer to a cathode that stands above the common.
#[test]
fn a_raised_heater_is_nearer_to_the_control_tubes_cathode() {
    let mut supply = preset("small-fixed-range.ron");
    let mut at = |tie: HeaterTie| {
        supply.regulator.as_mut().unwrap().heater = Some(tie);
        let model = Model::of(&supply).unwrap();
        let no_load = no_load(&model, Case::Present).unwrap();
        no_load.regulator.control_heater_volts.unwrap()
    };
    // The 85A2 under the cathode: 85 V.
    let common = at(HeaterTie::Common);
    assert!((83.0..87.0).contains(&common), "{common}");
    let raised = at(HeaterTie::Elevated(Volts(60.0)));
    assert!((common - 60.0 - raised).abs() < 1e-9, "{raised}");
    assert!(at(HeaterTie::Cathode).abs() < 1e-12);
}
