//! What would move a limit's boundary, and by how much: every change is made to the supply and solved anew.
//!
//! The boundary is followed where one would push against it: along the current at this voltage (dissipation and all
//! current limits), along the voltage at this current (dropout, plate volts). What is met nowhere, and what is judged
//! with nothing on the terminals, has no place in the plane; there the room that is left is compared.

use crate::bench::reach::{Reach, is_knob};
use crate::bench::variation::{Variation, of_supply, varied};
use crate::parts::catalogue::Catalogue;
use crate::parts::{ReferenceFeed, Supply};
use crate::physics::envelope::{Point, point_alone};
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit, OperatingPoint};
use crate::physics::model::Model;
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::floor::{control_ceiling_near, floor};
use crate::physics::steady_state::{operate, operate_many};
use crate::physics::stress::no_load;

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
    /// The changes that move it, the largest first.
    pub shifts: Vec<Shift>,
}

/// Currents that are looked at on the way to a boundary.
const STEPS: u32 = 40;
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
    let supply = &model.supply;
    let now = point_alone(model, at[0], at[1])?;
    let (axis, from) = boundary_now(model, limit, at, &now)?;
    let far = REACH
        * at[0]
            .max(if axis == Axis::Amps { from } else { 0.0 })
            .max(1e-3);
    let size = match axis {
        Axis::Amps | Axis::Volts => from.abs(),
        Axis::Room => limit::allowed(limit, supply).map_or(from.abs(), |(allowed, _)| allowed),
    };
    let mut shifts: Vec<Shift> = of_supply(supply, limit, catalogue)
        .into_iter()
        .filter_map(|variation| {
            let new = model.changed(&varied(supply, &variation)).ok()?;
            let then = point_alone(&new, at[0], at[1]).ok()?;
            // A limit that the changed supply does not have is met nowhere: a heater that is no longer raised.
            let outcome = if limit::all(&new.supply).contains(&limit) {
                boundary(&new, limit, at, axis, far).ok()?
            } else {
                Outcome::NeverMet
            };
            let by = match outcome {
                Outcome::To(to) => to - from,
                Outcome::NeverMet => f64::INFINITY,
            };
            Some(Shift {
                gains: outcome == Outcome::NeverMet
                    || (by > 0.0) != (axis == Axis::Volts && is_floor(limit)),
                breaks: broken(&now, &then, limit),
                variation,
                outcome,
                by,
            })
        })
        .filter(|shift| shift.by.abs() > LEAST_SHARE * size)
        .collect();
    shifts.sort_by(|a, b| b.by.abs().total_cmp(&a.by.abs()));
    Ok(Sensitivity {
        limit,
        at,
        axis,
        from,
        shifts,
    })
}

/// The limit that is explained at a point. Outside the tightest of those that are exceeded, one that a part decides before the
/// ends of the knob; inside the one that is met first from there, never one of those that are as near everywhere, nor the ends
/// of the knob unless nothing else is known. `None` where the bus collapses and there is no point to move a boundary to.
pub fn worth_moving<'a>(point: &'a Point, reach: &Reach) -> Option<&'a limit::Use> {
    point.operation.as_ref()?;
    let find = |fits: &dyn Fn(&limit::Use) -> bool| {
        let mut known = point.uses.iter().filter(|one| one.ratio().is_some());
        known.find(|one| fits(one))
    };
    let over = |one: &limit::Use| one.ratio().is_some_and(|ratio| ratio > 1.0);
    find(&|one| over(one) && !is_knob(one.limit))
        .or_else(|| find(&over))
        .or_else(|| find(&|one| Some(one.limit) == reach.first))
        .or_else(|| find(&|one| !is_knob(one.limit) && !one.limit.is_no_load()))
        .or_else(|| point.tightest())
}

/// True for limits that bound the voltage from below.
fn is_floor(limit: Limit) -> bool {
    matches!(
        limit,
        Limit::PlateDissipation
            | Limit::ScreenDissipation
            | Limit::EnvelopeDissipation
            | Limit::PlateVolts
            | Limit::GridFloor
            | Limit::HeaterAboveCathode
            | Limit::ReferenceLeast(_)
            | Limit::SetRangeLow
    )
}

/// True where it is the output that keeps the positive reference lit, whatever the current.
fn is_fed_from_output(supply: &Supply) -> bool {
    let regulator = supply.regulator.as_ref();
    let reference = regulator.and_then(|r| r.reference.as_ref());
    reference.is_some_and(|r| r.fed_from == ReferenceFeed::Output)
}

/// What the change exceeds that is not exceeded now.
fn broken(now: &Point, then: &Point, but: Limit) -> Vec<Limit> {
    let over = |point: &Point, limit: Limit| {
        point
            .uses
            .iter()
            .any(|u| u.limit == limit && u.ratio().is_some_and(|r| r > 1.0))
    };
    then.uses
        .iter()
        .map(|u| u.limit)
        .filter(|l| *l != but && over(then, *l) && !over(now, *l))
        .collect()
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
        Limit::ReferenceLeast(_) if is_fed_from_output(&model.supply) => &[Axis::Volts],
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

/// The boundary on an axis, looking as far as the current `far`.
fn boundary(
    model: &Model,
    limit: Limit,
    at: [f64; 2],
    axis: Axis,
    far: f64,
) -> Result<Outcome, Failure> {
    let (allowed, system) = limit::allowed(limit, &model.supply)?;
    let cases = limit::judging_cases(limit, system);
    match axis {
        Axis::Amps => {
            let mut first = f64::INFINITY;
            for case in cases {
                let search = Search {
                    model,
                    limit,
                    allowed,
                    case: *case,
                    volts: at[1],
                };
                first = first.min(search.first_amps(far)?.unwrap_or(f64::INFINITY));
            }
            Ok(if first.is_finite() {
                Outcome::To(first)
            } else {
                Outcome::NeverMet
            })
        }
        Axis::Volts => volts_at(model, limit, allowed, (cases, at[0])),
        Axis::Room => {
            let mut room = f64::INFINITY;
            for case in cases {
                let actual = if limit.is_no_load() {
                    limit::actual_no_load(limit, &no_load(model, *case)?)?
                } else {
                    let operation = operate(&model.raw, *case, at[0])?;
                    actual(model, limit, (*case, &operation), at[1])?
                };
                // Of what must not fall short there is room above.
                room = room.min(if limit.is_least() {
                    actual - allowed
                } else {
                    allowed - actual
                });
            }
            Ok(Outcome::To(room))
        }
    }
}

/// Output volts at which the limit is met at a current, in the worst of the cases.
fn volts_at(
    model: &Model,
    limit: Limit,
    allowed: f64,
    (cases, amps): (&[Case], f64),
) -> Result<Outcome, Failure> {
    if matches!(limit, Limit::SetRangeHigh | Limit::SetRangeLow) {
        return Ok(Outcome::To(allowed));
    }
    let mut lowest = f64::NEG_INFINITY;
    for case in cases {
        let operation = operate(&model.raw, *case, amps)?;
        if limit == Limit::Dropout {
            let volts = model.pass.dropout_volts(&operation);
            return Ok(Outcome::To(volts.ok_or(Needs::PassCurve)?));
        }
        if matches!(
            limit,
            Limit::GridFloor
                | Limit::ControlGridCeiling
                | Limit::ControlPlateVolts
                | Limit::ReferenceLeast(_)
        ) {
            let regulator = model.regulator(*case)?;
            let volts = match limit {
                Limit::GridFloor => floor(regulator, &operation).map(Some),
                Limit::ControlGridCeiling => ceiling(regulator, &operation),
                Limit::ControlPlateVolts => {
                    control_ceiling_near(regulator, &operation, (allowed, 0.0))
                }
                _ => (regulator.positive.as_ref())
                    .map(|stack| Some(stack.feed_volts_for(allowed)))
                    .ok_or(Needs::PositiveReference),
            };
            return Ok(volts?.map_or(Outcome::NeverMet, Outcome::To));
        }
        // Volts over the tube and watts in it both fall in proportion to the output's volts.
        let at_zero = actual(model, limit, (*case, &operation), 0.0)?;
        let per_volt = at_zero - actual(model, limit, (*case, &operation), 1.0)?;
        if per_volt > 0.0 {
            lowest = lowest.max((at_zero - allowed) / per_volt);
        }
    }
    Ok(if lowest.is_finite() {
        Outcome::To(lowest)
    } else {
        Outcome::NeverMet
    })
}

/// The actual value of a limit in a case, at `volts` of output.
fn actual(
    model: &Model,
    limit: Limit,
    (case, operation): (Case, &Operation),
    volts: f64,
) -> Result<f64, Failure> {
    let point = OperatingPoint {
        model,
        case,
        operation,
        volts,
    };
    Ok(limit::actual(limit, point)?)
}

/// A limit followed along the current at one voltage in one case.
struct Search<'a> {
    model: &'a Model,
    limit: Limit,
    allowed: f64,
    case: Case,
    volts: f64,
}

impl Search<'_> {
    fn excess(&self, operation: &Operation) -> Result<f64, Failure> {
        let actual = actual(self.model, self.limit, (self.case, operation), self.volts)?;
        Ok(if self.limit.is_least() {
            self.allowed - actual
        } else {
            actual - self.allowed
        })
    }

    /// The least current at which the limit is met, up to `far` (A).
    fn first_amps(&self, far: f64) -> Result<Option<f64>, Failure> {
        let grid: Vec<f64> = (0..=STEPS)
            .map(|k| far * f64::from(k) / f64::from(STEPS))
            .collect();
        let mut before: Option<(f64, f64)> = None;
        for operation in operate_many(&self.model.raw, self.case, &grid)? {
            let here = (operation.output_amps, self.excess(&operation)?);
            match before {
                Some(low) if here.1 >= 0.0 => return self.refine(low, here).map(Some),
                None if here.1 >= 0.0 => return Ok(Some(0.0)),
                _ => before = Some(here),
            }
        }
        Ok(None)
    }

    /// Regula falsi with halving of the end that stays (the Illinois method).
    fn refine(&self, mut low: (f64, f64), mut high: (f64, f64)) -> Result<f64, Failure> {
        let mut last = 0;
        for _ in 0..30 {
            if high.0 - low.0 <= 1e-7 * high.0 {
                break;
            }
            let amps = (low.0 * high.1 - high.0 * low.1) / (high.1 - low.1);
            let excess = self.excess(&operate(&self.model.raw, self.case, amps)?)?;
            if excess.abs() <= 1e-7 * self.allowed {
                return Ok(amps);
            }
            if excess < 0.0 {
                low = (amps, excess);
                if last == -1 {
                    high.1 *= 0.5;
                }
                last = -1;
            } else {
                high = (amps, excess);
                if last == 1 {
                    low.1 *= 0.5;
                }
                last = 1;
            }
        }
        Ok(0.5 * (low.0 + high.0))
    }
}

#[cfg(test)]
mod tests;
