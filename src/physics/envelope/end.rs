//! How far the grid of currents goes: until no output volts are left at its end.
//!
//! Where the first limit of current binds is estimated from ratings (`grid`), and that may be short: of what a supply has only
//! some are rated, and the estimate takes usual service. Where something is still allowed at the last current of the grid, the
//! outline would end there though no limit does.

use rayon::prelude::*;

use crate::physics::envelope::bus_line::root_amps;
use crate::physics::envelope::refine::Growing;
use crate::physics::envelope::{Column, sustained};
use crate::physics::failure::Failure;
use crate::physics::limit::boundary::{excess, met};
use crate::physics::limit::{self, Limit, Met, OperatingPoint, Shape};
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::{Solved, operate, solve_many};

/// The grid never goes further (A), whatever is still allowed there.
pub(super) const MOST_AMPS: f64 = 1e3;

/// The end found may be so many times as far as where the plane ends.
const OVERSHOOT: f64 = 2.0;

/// Each case at one current; `None` where its bus collapses.
type AllCases<'a> = [(Case, Option<&'a Operation>)];

/// Nominal mains share the present ones' operation where they are equal.
fn at<'a>(solved: &AllCases<'a>, case: Case) -> Option<&'a Operation> {
    let of = |case: Case| solved.iter().find(|(c, _)| *c == case);
    of(case)
        .or_else(|| of(Case::Present).filter(|_| case == Case::Nominal))
        .and_then(|(_, operation)| *operation)
}

/// True if no output volts are allowed at a current: the bus of the present mains is gone, a current is exceeded, or the highest
/// floor is as high as the lowest ceiling.
fn is_closed(model: &Model, solved: &AllCases<'_>) -> bool {
    is_closed_by(model, solved, |_| true)
}

/// The same by those limits alone that `counts` lets through.
fn is_closed_by(model: &Model, solved: &AllCases<'_>, counts: fn(Limit) -> bool) -> bool {
    if at(solved, Case::Present).is_none() {
        return true;
    }
    let supply = &model.supply;
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for limit in limit::all(supply)
        .into_iter()
        .filter(|limit| counts(*limit))
    {
        let Ok(rated) = limit::allowed(limit, supply) else {
            continue;
        };
        let allowed = rated.value;
        let cases = limit::judging_cases(limit, rated.system).iter();
        for (case, operation) in cases.filter_map(|case| Some((*case, at(solved, *case)?))) {
            let point = OperatingPoint {
                model,
                case,
                operation,
                volts: 0.0,
            };
            match limit.shape(supply) {
                Shape::Everywhere => {}
                Shape::Wall => {
                    if matches!(excess(limit, point, allowed), Some(Ok(excess)) if excess >= 0.0) {
                        return true;
                    }
                }
                Shape::Ceiling(_) => {
                    if let Ok(Met::At(volts)) = met(limit, point, allowed) {
                        high = high.min(volts);
                    }
                }
                Shape::Floor(_) => {
                    if let Ok(Met::At(volts)) = met(limit, point, allowed) {
                        low = low.max(volts);
                    }
                }
            }
        }
    }
    high <= low
}

/// The same at a current (A) that is not in the grid.
fn is_closed_at(model: &Model, cases: &[Case], amps: f64) -> Result<bool, Failure> {
    let found: Vec<Result<Option<Operation>, Failure>> = (cases.par_iter())
        .map(|case| sustained(operate(&model.raw, *case, amps)))
        .collect();
    let found: Vec<Option<Operation>> = found.into_iter().collect::<Result<_, _>>()?;
    let solved: Vec<(Case, Option<&Operation>)> = (cases.iter().copied())
        .zip(found.iter().map(Option::as_ref))
        .collect();
    Ok(is_closed(model, &solved))
}

/// A current at which nothing is allowed any more, beyond one at which something is (A): at most [`OVERSHOOT`] times too far.
fn first_closed(model: &Model, cases: &[Case], mut open: f64) -> Result<f64, Failure> {
    let (mut closed, mut factor) = (MOST_AMPS, OVERSHOOT);
    while open * factor < MOST_AMPS {
        if is_closed_at(model, cases, open * factor)? {
            closed = open * factor;
            break;
        }
        open *= factor;
        // An estimate that is short by so much may be short by any amount.
        factor *= factor;
    }
    while closed > OVERSHOOT * open {
        let middle = (open * closed).sqrt();
        if is_closed_at(model, cases, middle)? {
            closed = middle;
        } else {
            open = middle;
        }
    }
    Ok(closed)
}

/// Goes on with the grid to where nothing is allowed any more, in steps as wide in the square root of the current as they would be
/// had it gone so far from the start.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
pub(super) fn go_on(
    model: &Model,
    amps: &mut Vec<f64>,
    columns: &mut [Column],
) -> Result<(), Failure> {
    let count = amps.len();
    let Some(&last) = amps.last() else {
        return Ok(());
    };
    let solved: Vec<(Case, Option<&Operation>)> = (columns.iter())
        .map(|column| (column.case, column.operations.get(count - 1)))
        .collect();
    if last <= 0.0 || last >= MOST_AMPS || is_closed(model, &solved) {
        return Ok(());
    }
    // What has collapsed already has nothing to say further on.
    let cases: Vec<Case> = (solved.iter())
        .filter(|(_, operation)| operation.is_some())
        .map(|(case, _)| *case)
        .collect();
    let end = first_closed(model, &cases, last)?;
    let (from, to) = (root_amps(last), root_amps(end));
    // As many as the grid has, spread over all of it: those that are left are beyond it.
    let steps = ((1.0 - from / to) * (count - 1) as f64).ceil().max(1.0);
    let further: Vec<f64> = (1..=count)
        .map(|k| k as f64)
        .take_while(|k| *k <= steps)
        .map(|k| (from + (to - from) * k / steps).powi(2))
        .collect();
    let found: Vec<Result<Vec<Solved>, Failure>> = (columns.par_iter())
        .map(|column| {
            if column.operations.len() < count {
                return Ok(Vec::new());
            }
            solve_many(&model.raw, column.case, &further)
        })
        .collect();
    for (column, found) in columns.iter_mut().zip(found) {
        for Solved { operation, start } in found? {
            column.operations.push(operation);
            column.starts.push(start);
        }
    }
    amps.extend(further);
    Ok(())
}

/// Each further current of the reach is so many times the one before.
const REACH_STEP: f64 = 1.2;
/// Currents that are solved together on the way to the end of the reach, and how many such lots at most.
const LOT: i32 = 4;
const MOST_LOTS: i32 = 6;
/// The collapse is enclosed by so many halvings.
const HALVES: u32 = 8;

/// Goes on at present mains, which say what the supply does at all, to where nothing is regulated any more: in the tail of the
/// column, beyond the grid that the ratings end.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state is not found.
pub(super) fn go_on_with_reach(
    model: &Model,
    amps: &[f64],
    columns: &mut [Growing],
) -> Result<(), Failure> {
    let present = columns.iter_mut().find(|g| g.column.case == Case::Present);
    let (Some(growing), Some(&last)) = (present, amps.last()) else {
        return Ok(());
    };
    let gives = |operation: &Operation| {
        let solved = [(Case::Present, Some(operation))];
        let drops = model.pass.dropout_volts(operation);
        drops.is_some_and(|volts| volts > 0.0)
            && !is_closed_by(model, &solved, |limit| !limit.is_rating())
    };
    let is_whole = growing.column.operations.len() == amps.len();
    if !is_whole || last <= 0.0 || !growing.column.operations.last().is_some_and(gives) {
        return Ok(());
    }
    let mut low = last;
    for _ in 0..MOST_LOTS {
        let further: Vec<f64> = (1..=LOT).map(|k| low * REACH_STEP.powi(k)).collect();
        let found = solve_many(&model.raw, Case::Present, &further)?;
        let collapse = further.get(found.len()).copied();
        for solved in found {
            low = solved.operation.output_amps;
            let goes_on = gives(&solved.operation);
            growing.push_to_tail(solved);
            if !goes_on {
                return Ok(());
            }
        }
        if let Some(mut high) = collapse {
            for _ in 0..HALVES {
                let middle = 0.5 * (low + high);
                match growing.solve(model, middle)? {
                    Some(solved) => {
                        growing.push_to_tail(solved);
                        low = middle;
                    }
                    None => high = middle,
                }
            }
            return Ok(());
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::parts::{Fraction, SeriesElement, Supply};
    use crate::physics::envelope::{column, envelope, grid};

    fn supplies() -> impl Iterator<Item = (&'static str, Supply)> {
        let read = |text| read_checked(text, &Catalogue::built_in()).unwrap();
        (presets().iter()).map(move |(name, text)| (*name, read(text)))
    }

    /// The outline's end is where a limit is, not where the grid happens to end: just beyond it nothing is allowed. A spread of the
    /// tubes that is given counts instead of their imbalance, by which the grid of currents is estimated.
    #[test]
    fn the_outline_goes_on_to_a_limit() {
        let mut gone_on = 0;
        for (name, mut supply) in supplies() {
            supply.pass_stage.units = supply.pass_stage.units.max(4);
            supply.pass_stage.imbalance = Fraction(1.0);
            supply.pass_stage.tube_spread = Some(Fraction(0.02));
            // Of the other currents none is in the way.
            supply.transformer.winding_rating = None;
            supply.rectifier.kind.peak_current = None;
            supply.rectifier.kind.dc_current = None;
            supply.rectifier.kind.dc_current_choke_input = None;
            for section in &mut supply.filter.sections {
                if let SeriesElement::Choke { rating, .. } = &mut section.series {
                    *rating = None;
                }
            }
            let model = Model::of(&supply).unwrap();
            let drawn = envelope(&model).unwrap();
            let first = grid::currents(&model).unwrap();
            gone_on += usize::from(drawn.amps.last() > first.last());
            let Some(&[amps, low, high]) = drawn.region.last() else {
                panic!("{name}: nothing is allowed");
            };
            for volts in [low, 0.5 * (low + high), high] {
                let beyond = drawn.point(&model, 1.002 * amps, volts).unwrap();
                let mut moved = beyond.uses.iter().filter(|u| !u.limit.is_no_load());
                let is_met = moved.any(|u| u.ratio().is_some_and(|ratio| ratio > 1.0));
                assert!(
                    is_met || beyond.operation.is_none(),
                    "{name} beyond {amps} A, {volts} V"
                );
            }
        }
        assert!(gone_on > 0, "the estimate would do for all of them");
    }

    /// What a frame waits for: no current more where the estimate does.
    #[test]
    fn where_nothing_is_left_at_the_end_of_the_grid_nothing_is_added() {
        for (name, supply) in supplies() {
            let model = Model::of(&supply).unwrap();
            let drawn = envelope(&model).unwrap();
            assert_eq!(
                drawn.amps.last(),
                grid::currents(&model).unwrap().last(),
                "{name}"
            );
        }
    }

    /// From a grid of microamperes, too: no more currents than the grid has of its own, and no further than twice the way.
    #[test]
    fn however_short_the_grid_is_its_end_is_found() {
        for (name, supply) in supplies() {
            let model = Model::of(&supply).unwrap();
            let end = envelope(&model).unwrap().region.last().unwrap()[0];
            for short in [0.9, 0.1, 1e-3, 1e-6] {
                let mut amps: Vec<f64> = (0..20_u32)
                    .map(|k| short * end * (f64::from(k) / 19.0).powi(2))
                    .collect();
                let mut columns: Vec<Column> = grid::needed_cases(&supply)
                    .into_iter()
                    .map(|case| column(&model, case, &amps).unwrap())
                    .collect();
                go_on(&model, &mut amps, &mut columns).unwrap();
                let last = *amps.last().unwrap();
                assert!(
                    last > 0.999 * end && last < 2.001 * end,
                    "{name}: {last} for {end} A"
                );
                assert!(amps.len() <= 40 && amps.is_sorted(), "{name}: {amps:?}");
            }
        }
    }
}
