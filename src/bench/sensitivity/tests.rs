//! Each shift against a boundary that is found another way: by halving on the uses of [`Envelope::point`], for a
//! supply changed by hand.

use super::*;
use crate::bench::variation::OfRegulator;
use crate::parts::catalogue::presets;
use crate::parts::file::read_checked;
use crate::parts::{Fraction, RatingSystem, Stage, Supply, Tap, Volts};
use crate::physics::Model;
use crate::physics::envelope::{Curve, Envelope, envelope};
use crate::physics::limit::Side;

fn supplies() -> Vec<Supply> {
    presets()
        .iter()
        .map(|(_, text)| read_checked(text, &Catalogue::built_in()).unwrap())
        .collect()
}

/// Where the use of a limit passes 1, by halving between two points of the plane (share of the way).
fn passes(envelope: &Envelope, model: &Model, limit: Limit, ends: [[f64; 2]; 2]) -> Option<f64> {
    let over = |share: f64| {
        let [a, b] = ends;
        let at = |k: usize| a[k] + share * (b[k] - a[k]);
        let point = envelope.point(model, at(0), at(1)).unwrap();
        point
            .uses
            .iter()
            .find(|u| u.limit == limit)
            .unwrap()
            .ratio()
            .is_some_and(|r| r > 1.0)
    };
    // The first of a few steps that lies beyond.
    let beyond = (0..=50).map(|k| f64::from(k) / 50.0).find(|s| over(*s))?;
    let (mut low, mut high) = ((beyond - 0.02).max(0.0), beyond);
    for _ in 0..24 {
        let middle = 0.5 * (low + high);
        if over(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(0.5 * (low + high))
}

fn independent(supply: &Supply, found: &Sensitivity) -> Option<f64> {
    let model = &Model::of(supply).ok()?;
    let envelope = envelope(model).ok()?;
    let [amps, volts] = found.at;
    match found.axis {
        Axis::Amps => {
            // A little farther than the search, so that what lies at its very end is passed here as well.
            let far = 1.01 * REACH * amps.max(found.from);
            passes(&envelope, model, found.limit, [[0.0, volts], [far, volts]]).map(|s| s * far)
        }
        // A floor is over from below: walk down from high up. A ceiling the other way round.
        Axis::Volts => {
            let top = 2.0
                * envelope
                    .column(Case::High)?
                    .no_load
                    .operation
                    .bus
                    .crest_volts;
            if allows(found.limit, supply) == Some(Allows::Above) {
                passes(&envelope, model, found.limit, [[amps, top], [amps, 0.0]])
                    .map(|s| top * (1.0 - s))
            } else {
                passes(&envelope, model, found.limit, [[amps, 0.0], [amps, top]]).map(|s| top * s)
            }
        }
        Axis::Room => {
            let point = envelope.point(model, amps, volts).ok()?;
            let judged = point
                .uses
                .iter()
                .find(|u| u.limit == found.limit)?
                .judged
                .ok()?;
            // Of what must not fall short there is room above.
            let short = found.limit.is_least();
            let room = judged.allowed - judged.actual;
            Some(if short { -room } else { room })
        }
    }
}

/// What is looked at, of every preset: all of it takes minutes and is run when the solver or the search changes, with
/// `SAGLINE_EVERY_SHIFT` set while it is compiled; else as much as half a minute holds.
struct Looked {
    points: &'static [[f64; 2]],
    limits: usize,
    every: usize,
}

const EVERYTHING: Looked = Looked {
    points: &[[0.3, 0.2], [0.7, 0.4], [0.9, 0.8], [1.2, 0.6]],
    limits: usize::MAX,
    every: 1,
};

const USUAL: Looked = Looked {
    points: &[[0.7, 0.4], [0.9, 0.8]],
    limits: 3,
    every: 3,
};

#[test]
fn every_shift_equals_the_re_solved_difference_within_3_percent() {
    let full = option_env!("SAGLINE_EVERY_SHIFT").is_some();
    let looked = if full { EVERYTHING } else { USUAL };
    let mut worst = (0.0, String::new());
    let mut checked = 0;
    for supply in supplies() {
        let end = envelope(&Model::of(&supply).unwrap())
            .unwrap()
            .region
            .last()
            .map_or(0.05, |p| p[0]);
        for [across, up] in looked.points {
            let at = [across * end, up * supply.output.set_high.0];
            let point = point_alone(&Model::of(&supply).unwrap(), at[0], at[1]).unwrap();
            let known = point.uses.iter().filter(|u| u.ratio().is_some());
            for one in known.take(looked.limits) {
                let found = match sensitivity(
                    &Model::of(&supply).unwrap(),
                    one.limit,
                    at,
                    &Catalogue::built_in(),
                ) {
                    Ok(found) => found,
                    // A limit that is met nowhere has no boundary to move.
                    Err(Failure::NotKnown(_) | Failure::MetNowhere) => continue,
                    Err(other) => panic!(
                        "{} {:?} {at:?}: {other:?}",
                        supply.rectifier.kind.name, one.limit
                    ),
                };
                let every = |k: usize, _: &Shift| k.is_multiple_of(looked.every);
                checked += check(&supply, &found, &every, &mut worst);
            }
        }
    }
    assert!(
        worst.0 <= 0.03,
        "{checked} shifts, the worst {:.4} of itself: {}",
        worst.0,
        worst.1
    );
    assert!(checked > 30, "only {checked}");
}

#[test]
fn the_regulators_parts_move_its_limits_by_as_much_as_they_say() {
    let of_regulator = |_: usize, s: &Shift| matches!(s.variation, Variation::Regulator(_));
    let mut worst = (0.0, String::new());
    let mut moved: Vec<Limit> = Vec::new();
    for supply in supplies().iter().filter(|s| s.regulator.is_some()) {
        let all = envelope(&Model::of(supply).unwrap()).unwrap();
        let end = all.region.last().unwrap()[0];
        let at = [0.7 * end, 0.6 * supply.output.set_high.0];
        let concerned = |l: &Limit| l.stage() == Stage::Regulator || *l == Limit::HeaterCathode;
        for limit in limit::all(supply).into_iter().filter(concerned) {
            let found = match sensitivity(
                &Model::of(supply).unwrap(),
                limit,
                at,
                &Catalogue::built_in(),
            ) {
                Ok(found) => found,
                Err(Failure::NotKnown(_) | Failure::MetNowhere) => continue,
                Err(other) => panic!("{} {limit:?}: {other:?}", supply.rectifier.kind.name),
            };
            if check(supply, &found, &of_regulator, &mut worst) > 0 {
                moved.push(limit);
            }
        }
    }
    assert!(worst.0 <= 0.03, "{:.4}: {}", worst.0, worst.1);
    for limit in [
        Limit::GridFloor,
        Limit::HeaterCathode,
        Limit::ReferenceLeast(Side::Negative),
        Limit::ReferenceMost(Side::Negative),
        Limit::ControlPlateVolts,
        Limit::ControlPlateDissipation,
        Limit::ControlScreenVolts,
        Limit::ControlHeaterCathode,
    ] {
        assert!(
            moved.contains(&limit),
            "nothing of the regulator moves {limit:?}: {moved:?}"
        );
    }
}

/// Checks the chosen shifts of one limit; how many there were.
fn check(
    supply: &Supply,
    found: &Sensitivity,
    chosen: &dyn Fn(usize, &Shift) -> bool,
    worst: &mut (f64, String),
) -> usize {
    let Some(before) = independent(supply, found) else {
        return 0;
    };
    let mut checked = 0;
    let all = (0..).zip(&found.shifts);
    let is_moved = |s: &Shift| s.by.is_finite() && s.outcome != Outcome::NoLongerJudged;
    for (_, shift) in all.filter(|(k, s)| chosen(*k, s) && is_moved(s)) {
        let about = format!(
            "{} {:?} {:?} {shift:?}",
            supply.rectifier.kind.name, found.limit, found.at
        );
        let Some(after) = independent(&varied(supply, &shift.variation), found) else {
            // Below 0 V the other way sees no floor.
            assert!(
                matches!(shift.outcome, Outcome::To(v) if v <= 0.0),
                "{about}"
            );
            continue;
        };
        let want = after - before;
        let miss = (shift.by - want).abs();
        assert!(
            miss <= 0.03 * want.abs() + 1e-6 * before.abs(),
            "{about}: want {want}"
        );
        let share = miss / want.abs();
        if share > worst.0 {
            *worst = (share, about);
        }
        checked += 1;
    }
    checked
}

/// Every rating as an absolute maximum, so that the corners of the tolerances judge as well.
fn all_absolute(mut supply: Supply) -> Supply {
    let worst = RatingSystem::AbsoluteMaximum;
    for stack in supply.filter.stacks_mut() {
        stack.tolerance = Fraction(0.2);
        stack
            .ripple_current
            .iter_mut()
            .for_each(|r| r.system = worst);
    }
    supply
        .transformer
        .winding_rating
        .iter_mut()
        .for_each(|r| r.system = worst);
    let kind = &mut supply.rectifier.kind;
    let currents = [&mut kind.peak_current, &mut kind.dc_current];
    currents
        .into_iter()
        .flatten()
        .for_each(|r| r.system = worst);
    let control = supply
        .regulator
        .as_mut()
        .map(|r| &mut r.control_tube.ratings);
    for ratings in [Some(&mut supply.pass_stage.tube.ratings), control]
        .into_iter()
        .flatten()
    {
        ratings
            .plate_volts
            .iter_mut()
            .for_each(|r| r.system = worst);
        ratings
            .plate_dissipation
            .iter_mut()
            .for_each(|r| r.system = worst);
        ratings
            .screen_dissipation
            .iter_mut()
            .for_each(|r| r.system = worst);
    }
    supply
        .pass_stage
        .tube
        .plate_current
        .iter_mut()
        .for_each(|r| r.system = worst);
    supply
}

/// The boundary that is said to move is the one that is drawn: the same worst of all cases by which the rating is judged.
#[test]
fn the_boundary_in_words_is_the_envelopes_own() {
    let mut compared: Vec<Limit> = Vec::new();
    for mut supply in supplies().into_iter().map(all_absolute) {
        // So that the control tube's plate meets its rating at volts that the output can have.
        if let Some(regulator) = &mut supply.regulator
            && let Some(rating) = &mut regulator.control_tube.ratings.plate_volts
        {
            rating.value = Volts(0.7 * supply.output.set_high.0);
        }
        let model = Model::of(&supply).unwrap();
        let drawn = envelope(&model).unwrap();
        let end = drawn.region.last().map_or(0.05, |r| r[0]);
        let at = [0.7 * end, 0.6 * supply.output.set_high.0];
        let now = point_alone(&model, at[0], at[1]).unwrap();
        for line in &drawn.limits {
            let Ok((axis, from)) = boundary_now(&model, line.limit, at, &now) else {
                continue;
            };
            let want = match (axis, &line.curve) {
                (Axis::Volts, curve @ (Curve::Ceiling(_) | Curve::Floor(_))) => {
                    curve.volts_at(at[0])
                }
                (Axis::Amps, Curve::Wall(amps)) => Some(*amps),
                _ => None,
            };
            let Some(want) = want else { continue };
            assert!(
                (from / want - 1.0).abs() < 1e-3,
                "{} {:?}: {from} in words, {want} in the plane",
                supply.rectifier.kind.name,
                line.limit
            );
            compared.push(line.limit);
        }
    }
    for limit in [
        Limit::ControlPlateVolts,
        Limit::PlateVolts,
        Limit::WindingRms,
        Limit::ChokeCurrent(0),
        Limit::Dropout,
    ] {
        assert!(compared.contains(&limit), "{limit:?} not in {compared:?}");
    }
}

/// A floor that comes down gives room, one that goes up takes it: more volts over the tubes raise the floor of their plate volts.
#[test]
fn a_floor_that_comes_down_is_a_gain() {
    let laboratory = |s: &Supply| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_some());
    let supply = supplies().into_iter().find(laboratory).unwrap();
    let model = Model::of(&supply).unwrap();
    let all = Catalogue::built_in();
    let found = sensitivity(&model, Limit::PlateVolts, [0.08, 100.0], &all).unwrap();
    assert_eq!(allows(found.limit, &supply), Some(Allows::Above));
    for (variation, gains) in [
        (Variation::LowerMains, true),
        (Variation::HigherMains, false),
    ] {
        let shift = found.shifts.iter().find(|s| s.variation == variation);
        let shift = shift.unwrap();
        assert!(
            shift.gains == gains && (shift.by < 0.0) == gains,
            "{shift:?}"
        );
    }
}

#[test]
fn another_section_lets_more_current_through_the_dissipation() {
    let supply = supplies()
        .into_iter()
        .find(|s| s.pass_stage.tube.name == "6080")
        .unwrap();
    let found = sensitivity(
        &Model::of(&supply).unwrap(),
        Limit::PlateDissipation,
        [0.15, 110.0],
        &Catalogue::built_in(),
    )
    .unwrap();
    let more = found
        .shifts
        .iter()
        .find(|s| s.variation == Variation::MoreUnits)
        .unwrap();
    assert!(more.gains && more.by > 0.0, "{more:?}");
    let fewer = found
        .shifts
        .iter()
        .find(|s| s.variation == Variation::FewerUnits)
        .unwrap();
    assert!(!fewer.gains && fewer.by < 0.0, "{fewer:?}");
}

/// A grid that hangs between the output and its own cathode's tap can never be below its cathode.
#[test]
fn a_cathode_above_the_dividers_foot_brings_the_control_back() {
    let laboratory = |s: &Supply| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_some());
    let mut supply = supplies().into_iter().find(laboratory).unwrap();
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.cathode = Tap::BiasReference(2);
    regulator.divider.foot = Tap::BiasReference(2);
    let found = sensitivity(
        &Model::of(&supply).unwrap(),
        Limit::ControlGridCeiling,
        [0.05, 200.0],
        &Catalogue::built_in(),
    )
    .unwrap();
    assert!(found.axis == Axis::Volts && found.from < 200.0, "{found:?}");
    let up = Variation::Regulator(OfRegulator::Cathode(Tap::BiasReference(1)));
    let shift = found.shifts.iter().find(|s| s.variation == up).unwrap();
    assert!(
        shift.gains && shift.outcome == Outcome::NeverMet,
        "{shift:?}"
    );
}
