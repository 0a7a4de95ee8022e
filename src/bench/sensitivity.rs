//! What would move a limit's boundary, and by how much: every change is made to the supply and solved anew.
//!
//! The boundary is followed where one would push against it: along the current at this voltage (dissipation and all
//! current limits), along the voltage at this current (dropout, plate volts). What is met nowhere, and what is judged
//! with nothing on the terminals, has no place in the plane; there the room that is left is compared.

use crate::bench::change::{is_open, left_open};
use crate::bench::first_met::{FirstMet, is_knob};
use crate::bench::variation::{Variation, of_supply, varied};
use crate::parts::catalogue::Catalogue;
use crate::physics::envelope::{Point, point_alone};
use crate::physics::failure::Failure;
use crate::physics::limit::boundary::{Accuracy, Allows, allows, excess, first_met, volts_met};
use crate::physics::limit::{self, Limit, OperatingPoint};
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::{operate, operate_many};
use crate::physics::watch::{Follow, Unwatched};

mod enough;

pub use enough::{Enough, enough};

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// The output current at which the limit is met, at this voltage (A).
    Amps,
    /// The output voltage at which the limit is met, at this current (V).
    Volts,
    /// Allowed less actual at this point (V, A or W, as the limit measures).
    Room,
}

/// Where the boundary went.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outcome {
    /// To here (A, V, or what the limit measures).
    To(f64),
    /// The limit is not met any more, as far as was looked.
    NeverMet,
    /// With this change its rating is not known: the limit is neither nearer nor farther.
    NoLongerJudged,
}

/// What one change does.
#[derive(Debug, Clone, PartialEq)]
pub struct Shift {
    /// The change.
    pub variation: Variation,
    /// Where the boundary went.
    pub outcome: Outcome,
    /// Boundary after less boundary before; infinite where it is not met any more.
    pub by: f64,
    /// True if the change gives more room.
    pub gains: bool,
    /// Limits that the change breaks at this point, while they hold now.
    pub breaks: Vec<Limit>,
    /// Other limits that are judged at the point now and would not be, because their ratings are not known.
    pub opens: Vec<Limit>,
    /// True if with the change the point itself keeps within this limit.
    pub holds: bool,
    /// Other limits that are exceeded at the point now and with the change as well.
    pub stays_over: Vec<Limit>,
}

/// All that moves a limit at a point.
#[derive(Debug, Clone, PartialEq)]
pub struct Sensitivity {
    /// The limit.
    pub limit: Limit,
    /// The point (A, V).
    pub at: [f64; 2],
    /// What is compared.
    pub axis: Axis,
    /// The boundary now (A, V, or what the limit measures).
    pub from: f64,
    /// True if the point keeps within this limit now.
    pub holds: bool,
    /// The changes that move it, the largest first.
    pub shifts: Vec<Shift>,
}

/// Currents that are looked at on the way to a boundary, and how sure it is then.
const STEPS: u32 = 40;
const SOLVED: Accuracy = Accuracy {
    agree: 0.0,
    solved: 1e-7,
};
/// How far is looked: this many times the larger of the point's current and the boundary now.
const REACH: f64 = 4.0;
/// Changes that move a boundary by less than this share of it (or of what is allowed) are not worth a word.
const LEAST_SHARE: f64 = 2e-3;

/// What moves a limit at a point (A, V). Takes a few dozen solutions: not for every frame.
///
/// # Errors
/// As [`operate`] for the supply as it is, or [`Failure::NotKnown`] if the limit is not known. A change that cannot be
/// computed is left out.
pub fn sensitivity(
    model: &Model,
    limit: Limit,
    at: [f64; 2],
    catalogue: &Catalogue,
) -> Result<Sensitivity, Failure> {
    sensitivity_followed(model, limit, at, catalogue, &Unwatched)
}

/// The same for someone who may lose interest: asked between the changes, and told what was found so far. Where it is
/// given up, what was found by then is the answer.
///
/// # Errors
/// As [`sensitivity`].
pub fn sensitivity_followed(
    model: &Model,
    limit: Limit,
    at: [f64; 2],
    catalogue: &Catalogue,
    watch: &dyn Follow<Option<Sensitivity>>,
) -> Result<Sensitivity, Failure> {
    let supply = &model.supply;
    let now = point_alone(model, at[0], at[1])?;
    let (axis, from) = boundary_now(model, limit, at, &now)?;
    let far = REACH
        * at[0]
            .max(if axis == Axis::Amps { from } else { 0.0 })
            .max(1e-3);
    let size = match axis {
        Axis::Amps | Axis::Volts => from.abs(),
        Axis::Room => limit::allowed(limit, supply).map_or(from.abs(), |rated| rated.value),
    };
    let mut found = Sensitivity {
        limit,
        at,
        axis,
        from,
        holds: holds(&now, limit),
        shifts: Vec::new(),
    };
    let variations = of_supply(supply, limit, catalogue);
    let count = variations.len();
    for (place, variation) in variations.into_iter().enumerate() {
        if !watch.may_go_on(place as f64 / count as f64) {
            break;
        }
        let shift = shift(model, &now, &found, variation, far);
        let is_worth_a_word = |shift: &Shift| {
            shift.by.abs() > LEAST_SHARE * size || shift.outcome == Outcome::NoLongerJudged
        };
        if let Some(shift) = shift.filter(is_worth_a_word) {
            // The largest first; of equals the one that came first.
            let before = (found.shifts).partition_point(|s| s.by.abs() >= shift.by.abs());
            found.shifts.insert(before, shift);
            watch.so_far(&Some(found.clone()));
        }
    }
    Ok(found)
}

/// What one change does to the boundary that `found` is about; `None` where it cannot be computed.
fn shift(
    model: &Model,
    now: &Point,
    found: &Sensitivity,
    variation: Variation,
    far: f64,
) -> Option<Shift> {
    let Sensitivity {
        limit, at, axis, ..
    } = *found;
    let new = model.changed(&varied(&model.supply, &variation)).ok()?;
    let then = point_alone(&new, at[0], at[1]).ok()?;
    // A limit that the changed supply does not have is met nowhere: a heater that is no longer raised.
    let outcome = if is_open(limit, &new.supply, &then) {
        Outcome::NoLongerJudged
    } else if limit::all(&new.supply).contains(&limit) {
        boundary(&new, limit, at, axis, far).ok()?
    } else {
        Outcome::NeverMet
    };
    let (by, gains) = match outcome {
        Outcome::To(to) => {
            let by = to - found.from;
            let is_floor = allows(limit, &model.supply) == Some(Allows::Above);
            (by, (by > 0.0) != (axis == Axis::Volts && is_floor))
        }
        Outcome::NeverMet => (f64::INFINITY, true),
        Outcome::NoLongerJudged => (0.0, false),
    };
    let mut opens = left_open(now, &then, &new.supply);
    opens.retain(|other| *other != limit);
    let mut stays_over = over(&then);
    stays_over.retain(|other| *other != limit && over(now).contains(other));
    Some(Shift {
        gains,
        holds: outcome != Outcome::NoLongerJudged && holds(&then, limit),
        stays_over,
        breaks: broken(now, &then, limit),
        opens,
        variation,
        outcome,
        by,
    })
}

/// The limit that is explained at a point. Outside the one that the verdict names, but one that a part decides before the
/// ends of the knob; inside the one that is met first from there, never one of those that are as near everywhere, nor the ends
/// of the knob unless nothing else is known. `None` where the bus collapses and there is no point to move a boundary to.
pub fn worth_moving<'a>(point: &'a Point, met: &FirstMet) -> Option<&'a limit::Use> {
    point.operation.as_ref()?;
    let find = |fits: &dyn Fn(&limit::Use) -> bool| {
        let mut known = point.uses.iter().filter(|one| one.ratio().is_some());
        known.find(|one| fits(one))
    };
    let said = point.tightest();
    said.filter(|one| one.is_over() && !is_knob(one.limit))
        .or_else(|| find(&|one| one.is_over() && !is_knob(one.limit)))
        .or_else(|| find(&limit::Use::is_over))
        .or_else(|| find(&|one| Some(one.limit) == met.first))
        .or_else(|| find(&|one| !is_knob(one.limit) && !one.limit.is_no_load()))
        .or_else(|| point.tightest())
}

/// What the change exceeds that is not exceeded now.
fn broken(now: &Point, then: &Point, but: Limit) -> Vec<Limit> {
    let before = over(now);
    let mut new = over(then);
    new.retain(|limit| *limit != but && !before.contains(limit));
    new
}

/// What is exceeded at a point.
fn over(point: &Point) -> Vec<Limit> {
    let over = point.uses.iter().filter(|one| one.is_over());
    over.map(|one| one.limit).collect()
}

/// True if a point keeps within a limit, or the supply does not have it.
fn holds(point: &Point, limit: Limit) -> bool {
    let all = point.operation.is_some();
    all && !point
        .uses
        .iter()
        .any(|one| one.limit == limit && one.is_over())
}

/// The axis that suits the limit here, and the boundary on it.
fn boundary_now(
    model: &Model,
    limit: Limit,
    at: [f64; 2],
    now: &Point,
) -> Result<(Axis, f64), Failure> {
    let axes: &[Axis] = match limit {
        _ if limit.is_no_load() => &[Axis::Room],
        Limit::Dropout
        | Limit::GridFloor
        | Limit::ControlGridCeiling
        | Limit::PlateVolts
        | Limit::SetRangeHigh
        | Limit::SetRangeLow => &[Axis::Volts],
        // At no volts that the output can have its plate may come as high as is allowed.
        Limit::ControlPlateVolts => &[Axis::Volts, Axis::Room],
        Limit::HeaterCathode | Limit::HeaterAboveCathode => &[Axis::Room],
        Limit::ReferenceLeast(_) if allows(limit, &model.supply).is_some() => &[Axis::Volts],
        Limit::PlateDissipation | Limit::ScreenDissipation | Limit::EnvelopeDissipation => {
            &[Axis::Amps, Axis::Volts]
        }
        _ => &[Axis::Amps, Axis::Room],
    };
    // A use far from 1 is met far from here.
    let ratio = now
        .uses
        .iter()
        .find(|u| u.limit == limit)
        .and_then(limit::Use::ratio);
    let far = REACH * at[0].max(1e-3) * (1.0 / ratio.unwrap_or(1.0).clamp(0.02, 1.0));
    for axis in axes {
        if let Outcome::To(from) = boundary(model, limit, at, *axis, far)? {
            return Ok((*axis, from));
        }
    }
    Err(Failure::MetNowhere)
}

/// The boundary on an axis, looking as far as the current `far`, in the worst of the cases by which the limit is judged.
fn boundary(
    model: &Model,
    limit: Limit,
    at: [f64; 2],
    axis: Axis,
    far: f64,
) -> Result<Outcome, Failure> {
    let rated = limit::allowed(limit, &model.supply)?;
    let (allowed, system) = (rated.value, rated.system);
    let search = Search {
        model,
        limit,
        allowed,
        at,
    };
    let is_floor = allows(limit, &model.supply) == Some(Allows::Above);
    let mut worst = Outcome::NeverMet;
    for &case in limit::judging_cases(limit, system) {
        let here = match axis {
            Axis::Amps => search.amps_met(case, far)?,
            Axis::Volts => search.volts_met(case)?,
            Axis::Room => Outcome::To(search.room(case)?),
        };
        worst = match (worst, here) {
            (Outcome::To(a), Outcome::To(b)) if axis == Axis::Volts && is_floor => {
                Outcome::To(a.max(b))
            }
            (Outcome::To(a), Outcome::To(b)) => Outcome::To(a.min(b)),
            (Outcome::NeverMet, other) | (other, Outcome::NeverMet) => other,
            (Outcome::NoLongerJudged, _) | (_, Outcome::NoLongerJudged) => Outcome::NoLongerJudged,
        };
    }
    Ok(worst)
}

/// A limit at a point of a supply.
struct Search<'a> {
    model: &'a Model,
    limit: Limit,
    allowed: f64,
    at: [f64; 2],
}

impl<'a> Search<'a> {
    fn point<'o>(&self, case: Case, operation: &'o Operation) -> OperatingPoint<'o>
    where
        'a: 'o,
    {
        OperatingPoint {
            model: self.model,
            case,
            operation,
            volts: self.at[1],
        }
    }

    /// The least current at which the limit is met at the point's volts, up to `far` (A).
    fn amps_met(&self, case: Case, far: f64) -> Result<Outcome, Failure> {
        let excess_at = |operation: &Operation| -> Result<f64, Failure> {
            let excess = excess(self.limit, self.point(case, operation), self.allowed);
            Ok(excess.ok_or(Failure::MetNowhere)??)
        };
        let raw = &self.model.raw;
        let grid: Vec<f64> = (0..=STEPS)
            .map(|k| far * f64::from(k) / f64::from(STEPS))
            .collect();
        let known = operate_many(raw, case, &grid)?
            .iter()
            .map(|operation| Ok([operation.output_amps, excess_at(operation)?]))
            .collect::<Result<Vec<[f64; 2]>, Failure>>()?;
        let mut solve = |amps: f64| excess_at(&operate(raw, case, amps)?);
        let met = first_met(&known, SOLVED, &mut solve)?;
        Ok(met.map_or(Outcome::NeverMet, Outcome::To))
    }

    /// The output volts at which the limit is met at the point's current (V).
    fn volts_met(&self, case: Case) -> Result<Outcome, Failure> {
        let operation = operate(&self.model.raw, case, self.at[0])?;
        let point = self.point(case, &operation).at_volts(0.0);
        let met = volts_met(self.limit, point, self.allowed)?;
        Ok(met.map_or(Outcome::NeverMet, Outcome::To))
    }

    /// What is left at the point, in the limit's own measure.
    fn room(&self, case: Case) -> Result<f64, Failure> {
        let is_no_load = self.limit.is_no_load();
        let amps = if is_no_load { 0.0 } else { self.at[0] };
        let operation = operate(&self.model.raw, case, amps)?;
        let [actual, allowed] = (self.limit).figures(self.point(case, &operation), self.allowed)?;
        Ok(self.limit.row().bound.room(actual, allowed))
    }
}

#[cfg(test)]
mod tests;
