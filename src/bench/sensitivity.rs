//! What would move a limit's boundary, and by how much: every change is made to the supply and solved anew.
//!
//! The boundary is followed where one would push against it: along the current at this voltage (dissipation and all
//! current limits), along the voltage at this current (dropout, plate volts). What is met nowhere, and what is judged
//! with nothing on the terminals, has no place in the plane; there the room that is left is compared.

use crate::bench::reach::{Reach, is_knob};
use crate::bench::variation::{Variation, of_supply, varied};
use crate::parts::catalogue::Catalogue;
use crate::parts::{ReferenceFeed, Supply};
use crate::physics::Failure;
use crate::physics::envelope::{Point, point_alone};
use crate::physics::limit::{self, Limit, Place};
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::floor::{control_ceiling_near, floor};
use crate::physics::regulator::stand;
use crate::physics::regulator::zero::NO_REGULATOR;
use crate::physics::steady_state::{operate, operate_many};
use crate::physics::stress::no_load;
use crate::physics::watch::{Follow, Unwatched};

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
/// As [`operate`] for the supply as it is, or [`Failure::NoOutput`] if the limit is not known. A change that cannot be
/// computed is left out.
pub fn sensitivity(
    supply: &Supply,
    limit: Limit,
    at: [f64; 2],
    catalogue: &Catalogue,
) -> Result<Sensitivity, Failure> {
    sensitivity_followed(supply, limit, at, catalogue, &Unwatched)
}

/// The same for someone who may lose interest: asked between the changes, and told what was found so far. Where it is
/// given up, what was found by then is the answer.
///
/// # Errors
/// As [`sensitivity`].
pub fn sensitivity_followed(
    supply: &Supply,
    limit: Limit,
    at: [f64; 2],
    catalogue: &Catalogue,
    watch: &dyn Follow<Option<Sensitivity>>,
) -> Result<Sensitivity, Failure> {
    let now = point_alone(supply, at[0], at[1])?;
    let (axis, from) = boundary_now(supply, limit, at, &now)?;
    let far = REACH
        * at[0]
            .max(if axis == Axis::Amps { from } else { 0.0 })
            .max(1e-3);
    let size = match axis {
        Axis::Amps | Axis::Volts => from.abs(),
        Axis::Room => limit::allowed(limit, supply).map_or(from.abs(), |(allowed, _)| allowed),
    };
    let mut found = Sensitivity {
        limit,
        at,
        axis,
        from,
        shifts: Vec::new(),
    };
    let variations = of_supply(supply, limit, catalogue);
    let count = variations.len();
    for (place, variation) in variations.into_iter().enumerate() {
        if !watch.may_go_on(place as f64 / count as f64) {
            break;
        }
        let shift = shift(supply, &now, &found, variation, far);
        if let Some(shift) = shift.filter(|shift| shift.by.abs() > LEAST_SHARE * size) {
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
    supply: &Supply,
    now: &Point,
    found: &Sensitivity,
    variation: Variation,
    far: f64,
) -> Option<Shift> {
    let Sensitivity {
        limit, at, axis, ..
    } = *found;
    let new = varied(supply, &variation);
    let then = point_alone(&new, at[0], at[1]).ok()?;
    // A limit that the changed supply does not have is met nowhere: a heater that is no longer raised.
    let outcome = if limit::all(&new).contains(&limit) {
        boundary(&new, limit, at, axis, far).ok()?
    } else {
        Outcome::NeverMet
    };
    let by = match outcome {
        Outcome::To(to) => to - found.from,
        Outcome::NeverMet => f64::INFINITY,
    };
    Some(Shift {
        gains: outcome == Outcome::NeverMet
            || (by > 0.0) != (axis == Axis::Volts && is_floor(limit)),
        breaks: broken(now, &then, limit),
        variation,
        outcome,
        by,
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
    supply: &Supply,
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
        Limit::ReferenceLeast(_) if is_fed_from_output(supply) => &[Axis::Volts],
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
        if let Outcome::To(from) = boundary(supply, limit, at, *axis, far)? {
            return Ok((*axis, from));
        }
    }
    Err(Failure::NoOutput("this limit is met nowhere".to_owned()))
}

/// The boundary on an axis, looking as far as the current `far`.
fn boundary(
    supply: &Supply,
    limit: Limit,
    at: [f64; 2],
    axis: Axis,
    far: f64,
) -> Result<Outcome, Failure> {
    let (allowed, system) = limit::allowed(limit, supply)
        .map_err(|needs| Failure::NoOutput(format!("needed: {needs}")))?;
    let cases = limit::judging_cases(limit, system);
    match axis {
        Axis::Amps => {
            let mut first = f64::INFINITY;
            for case in cases {
                let search = Search {
                    supply,
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
        Axis::Volts => volts_at(supply, limit, allowed, (cases, at[0])),
        Axis::Room => {
            let mut room = f64::INFINITY;
            for case in cases {
                let actual = if limit.is_no_load() {
                    known(limit::actual_no_load(limit, &no_load(supply, *case)?))?
                } else {
                    actual(
                        supply,
                        limit,
                        (*case, &operate(supply, *case, at[0])?),
                        at[1],
                    )?
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
    supply: &Supply,
    limit: Limit,
    allowed: f64,
    (cases, amps): (&[Case], f64),
) -> Result<Outcome, Failure> {
    if matches!(limit, Limit::SetRangeHigh | Limit::SetRangeLow) {
        return Ok(Outcome::To(allowed));
    }
    let mut lowest = f64::NEG_INFINITY;
    for case in cases {
        let operation = operate(supply, *case, amps)?;
        if limit == Limit::Dropout {
            return operation.dropout_volts().map(Outcome::To).ok_or_else(|| {
                Failure::NoOutput("the pass tube's curve is not known here".to_owned())
            });
        }
        if matches!(
            limit,
            Limit::GridFloor
                | Limit::ControlGridCeiling
                | Limit::ControlPlateVolts
                | Limit::ReferenceLeast(_)
        ) {
            let needed = || Failure::NoOutput(format!("needed: {NO_REGULATOR}"));
            let stand = stand(supply, *case).ok_or_else(needed)?;
            let volts = match limit {
                Limit::GridFloor => floor(&stand, &operation).map(Some),
                Limit::ControlGridCeiling => ceiling(&stand, &operation),
                Limit::ControlPlateVolts => {
                    control_ceiling_near(&stand, &operation, (allowed, 0.0))
                }
                _ => (stand.positive.as_ref())
                    .map(|stack| Some(stack.feed_volts_for(allowed)))
                    .ok_or(NO_REGULATOR),
            };
            return known(volts).map(|volts| volts.map_or(Outcome::NeverMet, Outcome::To));
        }
        // Volts over the tube and watts in it both fall in proportion to the output's volts.
        let at_zero = actual(supply, limit, (*case, &operation), 0.0)?;
        let per_volt = at_zero - actual(supply, limit, (*case, &operation), 1.0)?;
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
    supply: &Supply,
    limit: Limit,
    (case, operation): (Case, &Operation),
    volts: f64,
) -> Result<f64, Failure> {
    let stand = stand(supply, case);
    let place = Place {
        operation,
        stand: stand.as_deref(),
        volts,
    };
    known(limit::actual(limit, supply, place))
}

fn known<T>(value: Result<T, &'static str>) -> Result<T, Failure> {
    value.map_err(|needs| Failure::NoOutput(format!("needed: {needs}")))
}

/// A limit followed along the current at one voltage in one case.
struct Search<'a> {
    supply: &'a Supply,
    limit: Limit,
    allowed: f64,
    case: Case,
    volts: f64,
}

impl Search<'_> {
    fn excess(&self, operation: &Operation) -> Result<f64, Failure> {
        let actual = actual(self.supply, self.limit, (self.case, operation), self.volts)?;
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
        for operation in operate_many(self.supply, self.case, &grid)? {
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
            let excess = self.excess(&operate(self.supply, self.case, amps)?)?;
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
