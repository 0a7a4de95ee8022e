//! The bus between the currents of the grid, and where the grid is too coarse for it.
//!
//! Between solved currents the bus is read off a cubic in the square root of the current, on which it is nearly straight. At a
//! choke's critical current it bends all at once, and no cubic follows that: the points of each are chosen so that they do not
//! reach across a bend (the rule of essentially non-oscillatory interpolation: of two wider stencils the one that is less
//! bent), and the interval that holds it is halved until what is left does not show, the worst interval first.
//!
//! # Source
//! A. Harten, B. Engquist, S. Osher, S. Chakravarthy, Uniformly high order accurate essentially non-oscillatory schemes III,
//! J. Comput. Phys. 71 (1987) 231 (from memory; the tests check a bend and a smooth line).

use crate::parts::Supply;
use crate::physics::Failure;
use crate::physics::envelope::{Column, sustained};
use crate::physics::operation::{Bus, Case, Operation};
use crate::physics::steady_state::operate;

/// What the last point of a cubic may change in the middle of an interval, relative to the trough: more, and the interval
/// is halved.
const SMOOTH: f64 = 5e-5;
/// The grain of the solved volts, relative to the crest: what changes less cannot be told from it.
const GRAIN: f64 = 1e-6;
/// A stencil reaches so many currents beyond an interval.
const REACH: usize = 2;
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
/// The two wider stencils are rather even: only where one is so many times as bent does it count as across a bend.
const UNEVEN: f64 = 2.0;

/// A current on the scale on which the bus is nearly straight.
fn bend(amps: f64) -> f64 {
    amps.max(0.0).sqrt()
}

/// A divided difference of the trough over some neighbours.
fn difference(near: &[Operation]) -> f64 {
    match near {
        [] => 0.0,
        [only] => only.bus.trough_volts,
        [first, .., last] => {
            let (upper, lower) = (
                difference(near.get(1..).unwrap_or_default()),
                difference(near.get(..near.len() - 1).unwrap_or_default()),
            );
            (upper - lower) / (bend(last.output_amps) - bend(first.output_amps))
        }
    }
}

/// The solved currents from which the interval that ends at `above` is read, `width` of them: of each pair of wider stencils the
/// one that is less bent, and the even one where they are alike.
fn stencil(operations: &[Operation], above: usize, width: usize) -> &[Operation] {
    let (mut first, mut last) = (above.saturating_sub(1), above);
    while last + 1 - first < width {
        let lower = first.checked_sub(1).and_then(|k| operations.get(k..=last));
        let upper = operations.get(first..=last + 1);
        let goes_up = match (lower, upper) {
            (None, None) => break,
            (Some(_), None) => false,
            (None, Some(_)) => true,
            (Some(lower), Some(upper)) => {
                let [below, beyond] = [difference(lower).abs(), difference(upper).abs()];
                let leaning = (above - first).cmp(&(last + 1 - above));
                match leaning {
                    core::cmp::Ordering::Less => beyond * UNEVEN < below,
                    core::cmp::Ordering::Equal => beyond < below,
                    core::cmp::Ordering::Greater => beyond <= below * UNEVEN,
                }
            }
        };
        if goes_up {
            last += 1;
        } else {
            first -= 1;
        }
    }
    operations.get(first..=last).unwrap_or_default()
}

/// The polynomial through `near`, at a current.
fn polynomial(near: &[Operation], at: f64) -> Bus {
    let mut out = Bus::default();
    for (k, point) in near.iter().enumerate() {
        let others = near.iter().enumerate().filter(|(j, _)| *j != k);
        let weight: f64 = others
            .map(|(_, o)| {
                (bend(at) - bend(o.output_amps)) / (bend(point.output_amps) - bend(o.output_amps))
            })
            .product();
        out.mean_volts += weight * point.bus.mean_volts;
        out.crest_volts += weight * point.bus.crest_volts;
        out.trough_volts += weight * point.bus.trough_volts;
    }
    out
}

/// The bus at a current between those solved: what ceilings and floors need, nothing else. `None` beyond the last.
pub(super) fn between(operations: &[Operation], at: f64) -> Option<Operation> {
    let above = operations.partition_point(|o| o.output_amps < at);
    let here = operations.get(above)?;
    if here.output_amps <= at || above == 0 {
        return Some(here.clone());
    }
    Some(Operation {
        output_amps: at,
        bus: polynomial(stencil(operations, above, 4), at),
        ..Operation::default()
    })
}

/// The current in the middle of the interval that ends at `above`, on the scale on which the bus is nearly straight (A).
fn middle(amps: &[f64], above: usize) -> Option<f64> {
    let middle = 0.5 * (bend(*amps.get(above.checked_sub(1)?)?) + bend(*amps.get(above)?));
    Some(middle * middle)
}

/// How much the bus bends within the interval that ends at `above`, in parts of what does not show: above 1 it is worth halving.
fn bent(operations: &[Operation], above: usize) -> Option<f64> {
    let (from, to) = (
        operations.get(above.checked_sub(1)?)?,
        operations.get(above)?,
    );
    let at = middle(&[from.output_amps, to.output_amps], 1)?;
    let [fine, coarse] = [4, 3].map(|width| polynomial(stencil(operations, above, width), at));
    let most = [
        fine.mean_volts - coarse.mean_volts,
        fine.crest_volts - coarse.crest_volts,
        fine.trough_volts - coarse.trough_volts,
    ]
    .into_iter()
    .fold(0.0_f64, |most, volts| most.max(volts.abs()));
    let least = SMOOTH * fine.trough_volts.max(0.0) + GRAIN * fine.crest_volts;
    Some(most / least)
}

/// True if the bus collapses within the interval that ends at `above` and so early that hardly a current was solved: the limits on the
/// way there would be drawn from nothing.
fn collapses_early(operations: &[Operation], above: usize) -> bool {
    operations.len() == above && above < FEW
}

/// How much the interval that ends at `above` is worth halving, by the case that needs it most; not at all up to 1.
fn worth(columns: &[Column], amps: &[f64], above: usize) -> f64 {
    let width = match (
        above.checked_sub(1).and_then(|k| amps.get(k)),
        amps.get(above),
    ) {
        (Some(&from), Some(&to)) => bend(to) - bend(from),
        _ => return 0.0,
    };
    if width <= NARROWEST * amps.last().copied().map_or(0.0, bend) {
        return 0.0;
    }
    let of = |column: &Column| {
        if collapses_early(&column.operations, above) {
            return f64::INFINITY;
        }
        bent(&column.operations, above).unwrap_or(0.0)
    };
    columns.iter().map(of).fold(0.0, f64::max)
}

/// Solves further currents where the bus bends more than the grid can follow, the worst first.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
pub(super) fn refine(
    supply: &Supply,
    amps: &mut Vec<f64>,
    columns: &mut [Column],
) -> Result<(), Failure> {
    let mut worths: Vec<f64> = (0..amps.len())
        .map(|above| worth(columns, amps, above))
        .collect();
    for _ in 0..MOST_ADDED {
        let worst = worths
            .iter()
            .enumerate()
            .filter(|(_, worth)| **worth > 1.0)
            .max_by(|a, b| a.1.total_cmp(b.1));
        let Some((above, _)) = worst else { break };
        let Some(at) = middle(amps, above) else { break };
        let mut found = Vec::with_capacity(columns.len());
        for column in columns.iter() {
            // A column that has collapsed already ends before.
            let reaches = column.operations.len() >= above;
            found.push(if reaches {
                sustained(operate(supply, column.case, at))?
            } else {
                None
            });
        }
        for (column, operation) in columns.iter_mut().zip(found) {
            if let Some(operation) = operation {
                column.operations.insert(above, operation);
            } else {
                // What cannot be had at this current cannot be had beyond it.
                column.operations.truncate(above);
            }
        }
        amps.insert(above, at);
        worths.insert(above, 0.0);
        // The stencils of the intervals around may reach into the halves; those of a case that has ended there are gone.
        let around = above.saturating_sub(REACH)..worths.len();
        for (place, own) in worths
            .iter_mut()
            .enumerate()
            .take(around.end)
            .skip(around.start)
        {
            if place <= above + REACH + 1 || *own > 1.0 {
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
    supply: &Supply,
    amps: &[f64],
    columns: &mut [Column],
) -> Result<(), Failure> {
    let gives = |operation: Option<&Operation>| {
        let volts = operation.and_then(Operation::dropout_volts);
        volts.is_some_and(|volts| volts > 0.0)
    };
    let present: Vec<bool> = columns
        .iter()
        .find(|c| c.case == Case::Present)
        .map(|c| c.operations.iter().map(|o| gives(Some(o))).collect())
        .unwrap_or_default();
    for column in columns {
        let last = column.operations.last();
        let (Some(&to), Some(from)) = (amps.get(column.operations.len()), last) else {
            continue;
        };
        let bounds = present.get(column.operations.len() - 1) == Some(&true);
        if !gives(last) && !bounds {
            continue;
        }
        let (mut low, mut high) = (from.output_amps, to);
        for _ in 0..HALVES_TO_COLLAPSE {
            let middle = 0.5 * (low + high);
            match sustained(operate(supply, column.case, middle))? {
                Some(operation) => {
                    column.tail.push(operation);
                    low = middle;
                }
                None => high = middle,
            }
        }
        refine_tail(supply, column)?;
    }
    Ok(())
}

/// Solves further currents in the tail of a column where the bus bends more than its halves can follow, the worst first.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
fn refine_tail(supply: &Supply, column: &mut Column) -> Result<(), Failure> {
    let first = column.operations.len();
    let mut all = column.all_solved().into_owned();
    for _ in 0..MOST_IN_TAIL {
        let worst = (first..all.len())
            .filter_map(|above| Some((above, bent(&all, above)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1));
        let Some((above, worth)) = worst else { break };
        let currents = [above - 1, above].map(|k| all.get(k).map_or(0.0, |o| o.output_amps));
        let (true, Some(at)) = (worth > 1.0, middle(&currents, 1)) else {
            break;
        };
        let Some(operation) = sustained(operate(supply, column.case, at))? else {
            break;
        };
        all.insert(above, operation);
    }
    column.tail = all.split_off(first);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn operations(volts: impl Fn(f64) -> f64) -> Vec<Operation> {
        (0..30_u32)
            .map(|k| {
                let output_amps = (f64::from(k) / 100.0).powi(2);
                let volts = volts(output_amps.sqrt());
                Operation {
                    output_amps,
                    bus: Bus {
                        mean_volts: volts,
                        trough_volts: volts,
                        crest_volts: volts,
                        ..Bus::default()
                    },
                    ..Operation::default()
                }
            })
            .collect()
    }

    #[test]
    fn a_smooth_line_is_followed_and_left_alone() {
        let line = |x: f64| 500.0 - 200.0 * x + 90.0 * (4.0 * x).sin();
        let grid = operations(line);
        for k in 0..280_u32 {
            let x = f64::from(k) / 1000.0;
            let read = between(&grid, x * x).unwrap();
            assert!(
                (read.bus.trough_volts - line(x)).abs() < 1e-5 * 500.0,
                "{x}: {read:?}"
            );
        }
        assert!((1..30).all(|above| bent(&grid, above).is_none_or(|bent| bent <= 1.0)));
    }

    #[test]
    fn a_bend_spoils_only_the_interval_that_holds_it() {
        let line = |x: f64| 500.0 - 900.0 * x.min(0.1234) - 30.0 * x;
        let grid = operations(line);
        for k in 0..280_u32 {
            let x = f64::from(k) / 1000.0;
            let read = between(&grid, x * x).unwrap();
            if !(0.12..0.13).contains(&x) {
                assert!(
                    (read.bus.trough_volts - line(x)).abs() < 1e-9,
                    "{x}: {read:?}"
                );
            }
        }
        let bent: Vec<usize> = (1..30)
            .filter(|above| bent(&grid, *above).is_some_and(|bent| bent > 1.0))
            .collect();
        assert_eq!(bent, [13]);
    }
}
