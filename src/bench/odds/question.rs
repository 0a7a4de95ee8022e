//! A question with a number for an answer, cheap enough to be asked of thousands of supplies.

use crate::bench::odds::held_volts;
use crate::physics::envelope::Point;
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit, OperatingPoint};
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::steady_state::operate;

/// What is asked of each supply.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Question {
    /// Dropout at present mains and this output current (A): the answer is in V, 0 where nothing is held.
    Dropout(f64),
    /// How much of a limit is used at a point (A, V): 1 on its boundary.
    Use(Limit, [f64; 2]),
}

/// A use beyond this says nothing more.
const MOST_USE: f64 = 10.0;

impl Question {
    /// Of the limit that says most about a point, if one is known there.
    pub fn about(point: &Point) -> Option<Self> {
        let tightest = point.tightest()?;
        Some(Self::Use(tightest.limit, [point.amps, point.volts]))
    }

    /// The answer of one supply; `None` where there is none.
    pub fn answer(self, model: &Model) -> Option<f64> {
        match self {
            Self::Dropout(amps) => match operate(&model.raw, Case::Present, amps) {
                Ok(operation) => held_volts(model, &operation),
                Err(Failure::Collapse { .. }) => Some(0.0),
                Err(_) => None,
            },
            Self::Use(limit, at) => used(model, limit, at),
        }
    }

    /// True if a larger answer is the worse one.
    pub fn is_worse_above(self) -> bool {
        matches!(self, Self::Use(..))
    }
}

/// The worst of the cases by which the limit is judged.
fn used(model: &Model, limit: Limit, [amps, volts]: [f64; 2]) -> Option<f64> {
    let rated = limit::allowed(limit, &model.supply).ok()?;
    let mut worst: Option<f64> = None;
    for &case in limit::judging_cases(limit, rated.system) {
        let operation = match operate(&model.raw, case, amps) {
            Ok(operation) => operation,
            Err(Failure::Collapse { .. }) if case == Case::Present => return Some(MOST_USE),
            Err(Failure::Collapse { .. }) => continue,
            Err(_) => return None,
        };
        let point = OperatingPoint {
            model,
            case,
            operation: &operation,
            volts,
        };
        let [actual, allowed] = limit.figures(point, rated.value).ok()?;
        let ratio = limit::ratio(limit, actual, allowed);
        worst = Some(worst.map_or(ratio, |most| most.max(ratio)));
    }
    worst.map(|ratio| ratio.min(MOST_USE)).filter(|ratio| ratio.is_finite())
}
