//! How the output is held around a point: the loop there, along both axes, at all three mains, and what it stands on.

use crate::physics::envelope::{Curve, Envelope};
use crate::physics::failure::Failure;
use crate::physics::limit::{Limit, Side};
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::control_range::{ControlRange, control_range};
use crate::physics::regulator::feedback::{Hold, Regulation, regulation};
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::references::{ReferenceAt, references};
use crate::physics::regulator::zero::{
    Held, ZeroSetting, held_from, setting, settle, zero_setting_from,
};

/// Steps along the volts.
const STEPS: u32 = 72;
/// How far the axes go beyond where the output is held.
const BEYOND: f64 = 1.12;
/// Low, present and high mains.
pub const MAINS: [Case; 3] = [Case::Low, Case::Present, Case::High];

/// A gas reference at low, present and high mains, the point's load connected.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceRange {
    /// Current of the tube that has least (A).
    pub least_amps: [f64; 3],
    /// Current of the tube that has most (A).
    pub most_amps: [f64; 3],
    /// Least and highest current that its tubes allow (A).
    pub allowed_amps: [f64; 2],
    /// Whether the tubes burn.
    pub lit: [bool; 3],
    /// Volts before the feed resistor while the tubes have not struck yet (V).
    pub unstruck_volts: [f64; 3],
    /// Volts there with which every tube strikes (V), where they are published.
    pub strike_volts: Option<f64>,
    /// Volts of the whole stack (V).
    pub volts: [f64; 3],
}

/// Everything about how the output is held at a point.
#[derive(Debug, Clone, PartialEq)]
pub struct Holding {
    /// Where (A, V).
    pub at: [f64; 2],
    /// The mains at low, present and high (V).
    pub mains_volts: [f64; 3],
    /// The loop at the point, present mains.
    pub here: Regulation,
    /// The same setting under load and at other mains.
    pub held: Held,
    /// The loop over output current at the point's volts, rising.
    pub over_amps: Vec<Regulation>,
    /// By how much the output has fallen from no load at each of those (V), as far as it is held from no load on: where it settles at the
    /// setting that gives the point's volts with no load.
    pub fall_volts: Vec<f64>,
    /// The loop over output volts at the point's current, rising.
    pub over_volts: Vec<Regulation>,
    /// Floor at the point's current, present mains (V); below zero where it is out of the way.
    pub floor_volts: Option<f64>,
    /// Control-grid ceiling at the point's current, present mains (V), if there is one below the bus.
    pub ceiling_volts: Option<f64>,
    /// Output current from which on that ceiling stands below the point's volts, present mains (A).
    pub ceiling_amps: Option<f64>,
    /// Dropout at the point's current, present mains (V).
    pub dropout_volts: Option<f64>,
    /// Output current at which the point's volts are lost to dropout, present mains (A).
    pub dropout_amps: Option<f64>,
    /// Output current below which the floor stands above the point's volts, present mains (A).
    pub floor_amps: Option<f64>,
    /// Mean volts of the negative rail at low, present and high mains (V), counted from the common: negative.
    pub rail_volts: Option<[f64; 3]>,
    /// The positive reference.
    pub positive: Option<ReferenceRange>,
    /// The gas tubes on the negative rail.
    pub negative: Option<ReferenceRange>,
    /// The lowest setting against the mains; what would have to be known.
    pub zero: Result<ZeroSetting, Failure>,
    /// From where to where the sense control reaches, present mains; `None` where it is not described, or cannot be told.
    pub control: Option<ControlRange>,
}

/// Works out how the output is held at a point (A, V).
///
/// # Errors
/// What would have to be known, or why the bus was not solved.
pub fn holding(
    model: &Model,
    envelope: &Envelope,
    [amps, volts]: [f64; 2],
) -> Result<Holding, Failure> {
    let solve = |case: Case, amps: f64| envelope.operate(model, case, amps);
    let at = |case: Case| -> Result<AtMains<'_>, Failure> {
        Ok(AtMains {
            regulator: model.regulator(case)?,
            operation: solve(case, amps)?,
        })
    };
    let [low, present, high] = MAINS;
    let mains = [at(low)?, at(present)?, at(high)?];
    let [
        _,
        AtMains {
            regulator: now,
            operation,
        },
        _,
    ] = &mains;
    let here = regulation(now, operation, volts)?;
    let rail = mains
        .iter()
        .map(|at| Some(-at.regulator.working_rail()?.operation.bus.mean_volts))
        .collect::<Option<Vec<f64>>>();
    let dropout_amps = crossing(envelope, Limit::Dropout, volts);
    let (over_amps, fall_volts) = over_amps(now, envelope, volts, dropout_amps);
    Ok(Holding {
        at: [amps, volts],
        mains_volts: MAINS.map(|case| model.at(case).mains_volts),
        here,
        held: held_from(model, &solve, amps, volts)?,
        over_amps,
        fall_volts,
        over_volts: over_volts(now, operation, volts.max(model.supply.output.set_high.0)),
        floor_volts: floor(now, operation).ok(),
        ceiling_volts: ceiling(now, operation).ok().flatten(),
        ceiling_amps: ceiling_amps(envelope, volts),
        dropout_volts: now.dropout_volts(operation),
        dropout_amps,
        floor_amps: floor_amps(now, envelope, volts),
        rail_volts: rail.and_then(|list| list.try_into().ok()),
        positive: range(&mains, volts, Side::Positive),
        negative: range(&mains, volts, Side::Negative),
        zero: zero_setting_from(model, &solve),
        control: (solve(present, 0.0).ok())
            .and_then(|unloaded| control_range(now, &unloaded).ok().flatten()),
    })
}

/// Where the control-grid ceiling falls below `volts` (A); `None` if it does nowhere.
fn ceiling_amps(envelope: &Envelope, volts: f64) -> Option<f64> {
    let limit = Limit::ControlGridCeiling;
    let line = envelope.limits.iter().find(|l| l.limit == limit)?;
    let [_, present, _] = &line.at_low_present_high;
    match present {
        Curve::Wall(amps) => Some(*amps),
        Curve::Ceiling(points) if points.first().is_some_and(|p| p[1] < volts) => Some(0.0),
        _ => crossing(envelope, limit, volts),
    }
}

/// Where a limit's line at present mains falls to `volts` (A).
fn crossing(envelope: &Envelope, limit: Limit, volts: f64) -> Option<f64> {
    let line = envelope.limits.iter().find(|l| l.limit == limit)?;
    let [_, present, _] = &line.at_low_present_high;
    let (Curve::Ceiling(points) | Curve::Floor(points)) = present else {
        return None;
    };
    points.iter().zip(points.iter().skip(1)).find_map(|(a, b)| {
        let falls = a[1] >= volts && b[1] < volts;
        falls.then(|| a[0] + (b[0] - a[0]) * (a[1] - volts) / (a[1] - b[1]))
    })
}

/// Where the floor falls to `volts` (A); `None` if it is below them from the start.
fn floor_amps(now: &RegulatorModel, envelope: &Envelope, volts: f64) -> Option<f64> {
    let column = envelope.column(Case::Present)?;
    let height = |operation: &Operation| floor(now, operation).ok();
    let above = |operation: &&Operation| height(operation).is_some_and(|floor| floor > volts);
    let last = column.operations.iter().take_while(above).count();
    let before = column.operations.get(last.checked_sub(1)?)?;
    let Some(after) = column.operations.get(last) else {
        return Some(before.output_amps);
    };
    let (a, b) = (height(before)?, height(after)?);
    let share = (a - volts) / (a - b).max(1e-9);
    Some(before.output_amps + share * (after.output_amps - before.output_amps))
}

/// The loop at the currents of the envelope's grid, as far as there is something to see, and the output's fall from no load, as far
/// as it is held from there on.
fn over_amps(
    now: &RegulatorModel,
    envelope: &Envelope,
    volts: f64,
    dropout_amps: Option<f64>,
) -> (Vec<Regulation>, Vec<f64>) {
    let Some(column) = envelope.column(Case::Present) else {
        return (Vec::new(), Vec::new());
    };
    let widest = envelope.region.last().map_or(0.0, |r| r[0]);
    let end = BEYOND * dropout_amps.unwrap_or(widest).max(1e-3);
    let along: Vec<(Regulation, &Operation)> = column
        .operations
        .iter()
        .take_while(|operation| operation.output_amps <= end)
        .filter_map(|operation| Some((regulation(now, operation, volts).ok()?, operation)))
        .collect();
    // One setting, chosen with no load. Summed up from the slopes it is 7 % off behind a first capacitor, whose volts fall steeply from
    // no load on.
    let share = column
        .operations
        .first()
        .and_then(|operation| setting(now, operation, volts).ok());
    let held = along
        .iter()
        .take_while(|(at, _)| at.hold == Hold::Regulated);
    let falls = held
        .map_while(|(_, operation)| Some(volts - settle(now, operation, share?).ok()?.volts))
        .collect();
    (along.into_iter().map(|(at, _)| at).collect(), falls)
}

/// The loop over volts, from nothing to a little beyond dropout.
fn over_volts(now: &RegulatorModel, operation: &Operation, otherwise: f64) -> Vec<Regulation> {
    let lost = now.lost_regulation_volts(operation);
    let end = lost.map_or(otherwise, |volts| BEYOND * volts.max(1.0));
    let end = end.min(operation.bus.mean_volts);
    (0..=STEPS)
        .filter_map(|k| {
            let volts = end * f64::from(k) / f64::from(STEPS);
            regulation(now, operation, volts).ok()
        })
        .collect()
}

/// The regulator and what feeds it at one of the mains.
struct AtMains<'a> {
    regulator: &'a RegulatorModel,
    operation: Operation,
}

/// A reference in all three cases.
fn range(mains: &[AtMains<'_>], volts: f64, side: Side) -> Option<ReferenceRange> {
    let all = mains
        .iter()
        .map(|at| {
            let [positive, negative] = references(at.regulator, &at.operation, volts);
            match side {
                Side::Positive => positive,
                Side::Negative => negative,
            }
        })
        .collect::<Option<Vec<ReferenceAt>>>()?;
    let each: [ReferenceAt; 3] = all.try_into().ok()?;
    let [first, ..] = each;
    Some(ReferenceRange {
        least_amps: each.map(|r| r.least_amps[0]),
        most_amps: each.map(|r| r.most_amps[0]),
        allowed_amps: [first.least_amps[1], first.most_amps[1]],
        lit: each.map(|r| r.lit),
        unstruck_volts: each.map(|r| r.available_volts),
        strike_volts: first.strike_volts,
        volts: each.map(|r| r.volts),
    })
}

impl Holding {
    /// True if the loop holds the output at the point at all three mains.
    pub fn is_held(&self) -> bool {
        let regulated = |hold: Hold| hold == Hold::Regulated;
        regulated(self.here.hold)
            && self
                .held
                .at_low_present_high
                .iter()
                .all(|s| regulated(s.hold))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Supply;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read;
    use crate::parts::{RailWinding, Tap, Volts};
    use crate::physics::envelope::envelope;
    use crate::physics::regulator::zero::held;
    use crate::physics::steady_state::operate;

    fn described() -> Vec<Supply> {
        presets()
            .iter()
            .filter_map(|(_, text)| read(text, &Catalogue::built_in()).ok())
            .filter(|supply| supply.regulator.is_some())
            .collect()
    }

    fn around(supply: &Supply, share: f64, amps: f64) -> Holding {
        let volts =
            supply.output.set_low.0 + share * (supply.output.set_high.0 - supply.output.set_low.0);
        let envelope = envelope(&Model::of(supply).unwrap()).unwrap();
        holding(&Model::of(supply).unwrap(), &envelope, [amps, volts]).unwrap()
    }

    /// The fall along the curve is what the small signals say, summed up finely (output resistance over the current, and the bus's sag times
    /// its share), and that of the point. With a capacitor input, a 6AU6-A behind a 6080, the sum over the grid of the picture alone was
    /// 7 % off.
    #[test]
    fn the_fall_along_the_curve_is_that_of_the_small_signals() {
        let mut big = described()
            .into_iter()
            .find(|s| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_none()))
            .unwrap();
        let catalogue = Catalogue::built_in();
        big.pass_stage.tube = catalogue.pass_tube("6080").unwrap().clone();
        big.regulator.as_mut().unwrap().control_tube =
            catalogue.control_tube("6AU6-A").unwrap().clone();
        let mut compared = 0;
        let mut all = described();
        all.push(big);
        for supply in &mut all {
            // The grid volts of a pentode do not follow its plate; neither may the small signals here.
            let tube = &mut supply.regulator.as_mut().unwrap().control_tube;
            tube.forget_plate_resistance();
            let found = around(supply, 0.9, 0.02);
            let along = found.over_amps.iter().zip(&found.fall_volts);
            let Some((at, fall)) = along.clone().find(|(at, _)| at.amps >= 0.02) else {
                continue;
            };
            let model = Model::of(supply).unwrap();
            let now = model.regulator(Case::Present).unwrap();
            let mut summed = 0.0;
            let mut before: Option<(f64, f64, f64)> = None;
            for k in 0..=60 {
                let amps = at.amps * f64::from(k) / 60.0;
                let operation = operate(&model.raw, Case::Present, amps).unwrap();
                let here = regulation(now, &operation, found.at[1]).unwrap();
                let here = (here.output_ohms, here.bus_share, operation.bus.mean_volts);
                if let Some(last) = before {
                    summed += 0.5 * (last.0 + here.0) * at.amps / 60.0;
                    summed += 0.5 * (last.1 + here.1) * (last.2 - here.2);
                }
                before = Some(here);
            }
            let settled = held(&model, at.amps, found.at[1]).unwrap().droop_volts;
            let name = &supply.rectifier.kind.name;
            assert!(
                (fall / settled - 1.0).abs() < 0.01,
                "{name}: {fall} {settled}"
            );
            assert!(
                (fall / summed - 1.0).abs() < 0.02,
                "{name}: {fall} {summed}"
            );
            compared += 1;
        }
        assert!(compared >= 3, "{compared}");
    }

    #[test]
    fn inside_the_envelope_the_loop_holds_and_beyond_dropout_it_does_not() {
        let all = described();
        assert!(all.len() >= 2);
        for supply in &all {
            let inside = around(supply, 0.75, 0.02);
            assert!(
                inside.is_held(),
                "{}: {inside:?}",
                supply.rectifier.kind.name
            );
            assert!(
                inside.here.loop_gain > 10.0,
                "{}",
                supply.rectifier.kind.name
            );
            let [_, now, _] = inside.held.at_low_present_high;
            assert!((now.volts + inside.held.droop_volts - inside.at[1]).abs() < 1e-6);
            let beyond = around(supply, 3.0, 0.02);
            assert!(
                !beyond.is_held() && beyond.here.loop_gain <= 0.0,
                "{}",
                supply.rectifier.kind.name
            );
            assert!(beyond.here.output_ohms > 3.0 * inside.here.output_ohms);
        }
    }

    #[test]
    fn curves_rise_along_their_axis_and_end_beyond_dropout() {
        for supply in &described() {
            let all = around(supply, 0.6, 0.02);
            for pair in all.over_amps.windows(2) {
                assert!(pair[0].amps < pair[1].amps);
            }
            for pair in all.over_volts.windows(2) {
                assert!(pair[0].volts < pair[1].volts);
            }
            let dropout = all.dropout_volts.unwrap();
            let last = all.over_volts.last().unwrap();
            assert!(last.volts > dropout, "{}", supply.rectifier.kind.name);
            assert_eq!(last.hold, Hold::Dropout, "{}", supply.rectifier.kind.name);
        }
    }

    /// At the current at which the volts are said to be lost to dropout, dropout is at those volts.
    #[test]
    fn dropout_is_met_at_the_current_that_is_said() {
        for supply in &described() {
            let found = around(supply, 0.9, 0.01);
            let model = Model::of(supply).unwrap();
            let amps = found.dropout_amps.unwrap();
            let there = operate(&model.raw, Case::Present, amps).unwrap();
            let edge = model.dropout_volts(Case::Present, &there).unwrap();
            let miss = edge - found.at[1];
            assert!(miss.abs() < 2e-3 * edge, "{amps} A: {miss} of {edge} V");
        }
    }

    /// Where the loop itself says that the control tube is fully on, there and only there the ceiling has come down.
    #[test]
    fn the_ceiling_begins_where_the_control_tube_is_fully_on() {
        let mut supply = described()
            .into_iter()
            .find(|s| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_some()))
            .unwrap();
        let with_rail = around(&supply, 0.6, 0.02);
        assert_eq!(
            (with_rail.ceiling_volts, with_rail.ceiling_amps),
            (None, None)
        );
        let regulator = supply.regulator.as_mut().unwrap();
        regulator.bias_rail = None;
        (regulator.cathode, regulator.divider.foot) = (Tap::Common, Tap::Common);
        let lost = around(&supply, 0.6, 0.02);
        let ceiling = lost.ceiling_volts.unwrap();
        assert_eq!(lost.ceiling_amps, Some(0.0));
        assert_eq!(lost.here.hold, Hold::FullyOn);
        for at in &lost.over_volts {
            let below_dropout = at.hold != Hold::Dropout;
            assert_eq!(
                at.hold == Hold::FullyOn,
                below_dropout && at.volts > ceiling,
                "{at:?}"
            );
        }
    }

    #[test]
    fn without_mains_enough_the_rail_reference_goes_out() {
        let mut supply = described()
            .into_iter()
            .find(|s| s.regulator.as_ref().is_some_and(|r| r.bias_rail.is_some()))
            .unwrap();
        let rail = |supply: &mut Supply, volts: f64| {
            let rail = supply.regulator.as_mut().and_then(|r| r.bias_rail.as_mut());
            rail.unwrap().winding = RailWinding::Own(Volts(volts));
        };
        rail(&mut supply, 60.0);
        let low = around(&supply, 0.5, 0.02);
        let negative = low.negative.unwrap();
        assert_eq!(negative.lit, [false; 3]);
        assert!(low.rail_volts.unwrap().iter().all(|v| *v < 0.0));
    }
}
