//! A question with a number for an answer, cheap enough to be asked of thousands of supplies.

use crate::bench::odds::{Odds, held_volts};
use crate::parts::Supply;
use crate::physics::envelope::Point;
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit, Nature, OperatingPoint};
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::spread::Beside;

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
    /// What is worth asking at the point of these odds: dropout at its current, and the use of the limit that is exceeded most often, or
    /// else of the one that says most about the point as described.
    pub fn worth_asking(odds: &Odds, point: &Point) -> Vec<Self> {
        // What makers ask of the circuit is no matter of chance.
        let is_chance = |limit: &Limit| limit.row().nature != Nature::CircuitValue;
        let exceeded = odds.limits.iter().filter(|one| one.over > 0);
        let exceeded = exceeded.map(|one| one.limit).find(is_chance);
        let tightest = point.tightest().map(|one| one.limit).filter(is_chance);
        // Of the line itself the volts say more.
        let limit = exceeded
            .or(tightest)
            .filter(|limit| *limit != Limit::Dropout);
        let of_limit = limit.map(|limit| Self::Use(limit, [point.amps, point.volts]));
        [Some(Self::Dropout(point.amps)), of_limit]
            .into_iter()
            .flatten()
            .collect()
    }

    /// The output current that it is asked at (A).
    pub fn amps(self) -> f64 {
        match self {
            Self::Dropout(amps) | Self::Use(_, [amps, _]) => amps,
        }
    }

    /// The cases in which a supply's negative rail is needed for the answer, that at present mains aside.
    pub fn cases(self, supply: &Supply) -> Vec<Case> {
        match self {
            Self::Dropout(_) => Vec::new(),
            Self::Use(limit, _) => {
                let system = limit::allowed(limit, supply)
                    .ok()
                    .and_then(|rated| rated.system);
                limit::judging_cases(limit, system).to_vec()
            }
        }
    }

    /// The answer of one supply, from steady states of another nearly like it at the same current; `None` where there is none.
    pub fn answer(self, model: &Model, beside: &Beside) -> Option<f64> {
        match self {
            Self::Dropout(_) => match beside.loaded(model, Case::Present) {
                Ok(operation) => held_volts(model, &operation),
                Err(Failure::Collapse { .. }) => Some(0.0),
                Err(_) => None,
            },
            Self::Use(limit, [_, volts]) => used(model, limit, volts, beside),
        }
    }

    /// True if a larger answer is the worse one.
    pub fn is_worse_above(self) -> bool {
        matches!(self, Self::Use(..))
    }
}

/// The worst of the cases by which the limit is judged.
fn used(model: &Model, limit: Limit, volts: f64, beside: &Beside) -> Option<f64> {
    let rated = limit::allowed(limit, &model.supply).ok()?;
    let mut worst: Option<f64> = None;
    for &case in limit::judging_cases(limit, rated.system) {
        let operation = match beside.loaded(model, case) {
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
    worst
        .map(|ratio| ratio.min(MOST_USE))
        .filter(|ratio| ratio.is_finite())
}
