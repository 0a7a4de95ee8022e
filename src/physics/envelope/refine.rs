//! Where the grid of currents is too coarse for the bus: further currents are solved there.

use rayon::prelude::*;

use crate::physics::envelope::bus_line::{BusLine, root_amps};
use crate::physics::envelope::{Column, sustained};
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::{Solved, operate_near};

/// What the last point of a cubic may change in the middle of an interval, relative to the trough: more, and the interval
/// is halved.
pub(super) const SMOOTH: f64 = 5e-5;
/// The stretch before a collapse is halved so many times: what is left is less than a line's width.
const HALVES_TO_COLLAPSE: u32 = 8;
/// So many currents are added at most to the stretch before a collapse.
const MOST_IN_TAIL: usize = 24;
/// So many currents are added at most: each bend takes three or four, and each corner of the mains and tolerances bends elsewhere.
const MOST_ADDED: usize = 96;
/// No interval gets narrower than this share of the whole grid (in the square root of the current).
const NARROWEST: f64 = 2e-4;
/// Fewer solved currents than this do not draw a line.
const FEW: usize = 12;

/// A column that may still get currents, and its bus as a line.
pub(super) struct Growing {
    pub(super) column: Column,
    pub(super) bus: BusLine,
}

impl Growing {
    pub(super) fn new(column: Column) -> Self {
        let bus = BusLine::of(&column.operations);
        Self { column, bus }
    }

    /// One more answer beyond all that are there.
    pub(super) fn push_to_tail(&mut self, solved: Solved) {
        let operation = self.take(self.bus.len(), solved);
        self.column.tail.push(operation);
    }

    /// True if the bus collapses within the interval that ends at `above` and so early that hardly a current was solved: the
    /// limits on the way there would be drawn from nothing.
    fn collapses_early(&self, above: usize) -> bool {
        self.bus.len() == above && above < FEW
    }

    /// The answer of this case at one more current (A); `None` where its bus collapses.
    pub(super) fn solve(&self, model: &Model, amps: f64) -> Result<Option<Solved>, Failure> {
        let column = &self.column;
        sustained(operate_near(&model.raw, column.case, amps, &column.starts))
    }

    /// Puts one more answer in place `k` of the bus and returns its figures, for the column.
    fn take(&mut self, k: usize, solved: Solved) -> Operation {
        let Solved { operation, start } = solved;
        self.bus.insert(k, &operation);
        start.put_among(&mut self.column.starts);
        operation
    }
}

/// The current in the middle of the interval that ends at `above`, halfway between the square roots of its ends (A).
fn middle(amps: &[f64], above: usize) -> Option<f64> {
    let middle =
        0.5 * (root_amps(*amps.get(above.checked_sub(1)?)?) + root_amps(*amps.get(above)?));
    Some(middle * middle)
}

/// How much the interval that ends at `above` is worth halving, by the case that needs it most; not at all up to 1.
fn worth(columns: &[Growing], amps: &[f64], above: usize) -> f64 {
    let width = match (
        above.checked_sub(1).and_then(|k| amps.get(k)),
        amps.get(above),
    ) {
        (Some(&from), Some(&to)) => root_amps(to) - root_amps(from),
        _ => return 0.0,
    };
    if width <= NARROWEST * amps.last().copied().map_or(0.0, root_amps) {
        return 0.0;
    }
    let of = |column: &Growing| {
        if column.collapses_early(above) {
            return f64::INFINITY;
        }
        column.bus.relative_error(above, SMOOTH).unwrap_or(0.0)
    };
    columns.iter().map(of).fold(0.0, f64::max)
}

/// The place that is most worth halving, if any is.
fn worst(worths: &[f64]) -> Option<usize> {
    let above_one = worths.iter().enumerate().filter(|(_, worth)| **worth > 1.0);
    above_one
        .max_by(|a, b| a.1.total_cmp(b.1))
        .map(|(above, _)| above)
}

/// Solves further currents where the bus bends more than the grid can follow, the worst first.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
pub(super) fn refine(
    model: &Model,
    amps: &mut Vec<f64>,
    columns: &mut [Growing],
) -> Result<(), Failure> {
    let all = |columns: &[Growing], amps: &[f64]| -> Vec<f64> {
        (0..amps.len())
            .map(|above| worth(columns, amps, above))
            .collect()
    };
    let mut worths = all(columns, amps);
    for _ in 0..MOST_ADDED {
        let Some(above) = worst(&worths) else { break };
        let Some(at) = middle(amps, above) else { break };
        let found: Vec<Result<Option<Solved>, Failure>> = columns
            .par_iter()
            .map(|column| {
                // A column that has collapsed already ends before.
                if column.bus.len() < above {
                    return Ok(None);
                }
                column.solve(model, at)
            })
            .collect();
        let mut has_ended = false;
        for (growing, solved) in columns.iter_mut().zip(found) {
            if let Some(solved) = solved? {
                let operation = growing.take(above, solved);
                growing.column.operations.insert(above, operation);
            } else {
                // What cannot be had at this current cannot be had beyond it.
                has_ended |= growing.bus.len() > above;
                growing.bus.truncate(above);
                growing.column.operations.truncate(above);
            }
        }
        amps.insert(above, at);
        if has_ended {
            worths = all(columns, amps);
            continue;
        }
        worths.insert(above, 0.0);
        let around = BusLine::around(above);
        for (place, own) in worths.iter_mut().enumerate() {
            if around.contains(&place) {
                *own = worth(columns, amps, place);
            }
        }
    }
    Ok(())
}

/// Solves the last stretch before the bus collapses in halves, for those cases that still have output there or whose limits bound that
/// of the present mains.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
pub(super) fn follow_to_collapse(
    model: &Model,
    amps: &[f64],
    columns: &mut [Growing],
) -> Result<(), Failure> {
    let gives = |operation: Option<&Operation>| {
        let volts = operation.and_then(|o| model.pass.dropout_volts(o));
        volts.is_some_and(|volts| volts > 0.0)
    };
    let present: Vec<bool> = columns
        .iter()
        .find(|c| c.column.case == Case::Present)
        .map(|c| {
            let operations = c.column.operations.iter();
            operations.map(|o| gives(Some(o))).collect()
        })
        .unwrap_or_default();
    for growing in columns {
        let last = growing.column.operations.last();
        let (Some(&to), Some(from)) = (amps.get(growing.bus.len()), last) else {
            continue;
        };
        let bounds = present.get(growing.bus.len() - 1) == Some(&true);
        if !gives(last) && !bounds {
            continue;
        }
        let (mut low, mut high) = (from.output_amps, to);
        for _ in 0..HALVES_TO_COLLAPSE {
            let middle = 0.5 * (low + high);
            match growing.solve(model, middle)? {
                Some(solved) => {
                    growing.push_to_tail(solved);
                    low = middle;
                }
                None => high = middle,
            }
        }
        refine_tail(model, growing)?;
    }
    Ok(())
}

/// Solves further currents in the tail of a column where the bus bends more than its halves can follow, the worst first.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
fn refine_tail(model: &Model, growing: &mut Growing) -> Result<(), Failure> {
    let first = growing.column.operations.len();
    for _ in 0..MOST_IN_TAIL {
        let worths: Vec<f64> = (0..growing.bus.len())
            .map(|above| match growing.bus.relative_error(above, SMOOTH) {
                Some(worth) if above >= first => worth,
                _ => 0.0,
            })
            .collect();
        let Some(above) = worst(&worths) else { break };
        let Some(at) = middle(growing.bus.amps(), above) else {
            break;
        };
        let Some(solved) = growing.solve(model, at)? else {
            break;
        };
        let operation = growing.take(above, solved);
        growing.column.tail.insert(above - first, operation);
    }
    Ok(())
}
