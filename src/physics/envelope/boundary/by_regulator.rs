//! The lines that the regulator draws: floors and ceilings in the output volts, each current from its neighbour's.

use super::{Bound, Groups, Line, Solved, first};
use crate::parts::ReferenceFeed;
use crate::physics::envelope::region::volts_on;
use crate::physics::envelope::{Column, Curve};
use crate::physics::limit::{self, Limit};
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::floor::{control_ceiling_near, floor_near};

impl Line<'_> {
    pub(super) fn fed_from_output(&self) -> bool {
        let regulator = self.model.supply.regulator.as_ref();
        let reference = regulator.and_then(|r| r.reference.as_ref());
        reference.is_some_and(|r| r.fed_from == ReferenceFeed::Output)
    }

    /// True where a heater is above the cathodes at low output: then it is their rise that brings relief.
    fn relieved_by_output(&self) -> bool {
        matches!(
            self.limit,
            Limit::GridFloor | Limit::ReferenceLeast(_) | Limit::HeaterAboveCathode
        )
    }

    /// A line that the regulator draws.
    pub(super) fn by_regulator(&self, groups: Groups<'_>) -> [Bound; 4] {
        let is_floor = self.relieved_by_output();
        let more = if is_floor { f64::max } else { f64::min };
        let lines = self.each(groups, |solved| self.regulator_line(solved));
        groups.map(|group| {
            let mut binding: Option<(f64, Case)> = None;
            let mut all: Vec<&[[f64; 2]]> = Vec::with_capacity(group.len());
            for (case, line) in lines.of(group) {
                let points = match line {
                    Ok(points) => points,
                    Err(needs) => return (Curve::NotKnown(*needs), first(group)),
                };
                let Some(start) = points.first().map(|p| p[1]) else {
                    continue;
                };
                all.push(points);
                let at_start = if is_floor { start } else { -start };
                if binding.is_none_or(|(most, _)| at_start > most) {
                    binding = Some((at_start, case));
                }
            }
            let Some((_, case)) = binding else {
                return (Curve::OutOfReach, first(group));
            };
            let points = within_the_plane(&most_binding(&all, more));
            let curve = match points.len() {
                0 | 1 if is_floor => Curve::OutOfReach,
                1 if self.limit == Limit::ControlPlateVolts
                    && points.iter().all(|p| p[1] > 0.0) =>
                {
                    Curve::OutOfReach
                }
                // A ceiling below 0 V leaves nothing.
                0 | 1 => Curve::Wall(0.0),
                _ if is_floor => Curve::Floor(points),
                _ => Curve::Ceiling(points),
            };
            (curve, case)
        })
    }

    /// Output volts for each current of a case, from its neighbour's; where the line bends between two currents, in between too.
    fn regulator_line(&self, (column, bus): Solved<'_>) -> Result<Vec<[f64; 2]>, Needs> {
        let mut points = Vec::with_capacity(column.operations.len() + column.tail.len() + 1);
        // The last two volts: the lines are so smooth that the next lies nearly straight ahead.
        let (mut before, mut near) = (0.0, 0.0);
        let (mut is_whole, mut is_met) = (true, false);
        for operation in column.operations.iter().chain(&column.tail) {
            let Some(volts) = self.regulator_volts(column, operation, 2.0 * near - before)? else {
                // Not met here, and still less with a bus pulled lower.
                is_whole = false;
                break;
            };
            (before, near) = (near, volts);
            is_met |= volts < operation.bus.trough_volts;
            points.push([operation.output_amps, near]);
            if points.len() == 1 {
                before = near;
            }
        }
        if self.limit == Limit::ControlGridCeiling && !is_met {
            return Ok(Vec::new());
        }
        let mut points = with_bends(points, &mut |amps, near| {
            let operation = Operation {
                output_amps: amps,
                bus: bus.at(amps)?,
                ..Operation::default()
            };
            self.regulator_volts(column, &operation, near)
                .ok()
                .flatten()
        });
        if is_whole {
            self.go_on_to_collapse(column, &mut points);
        }
        Ok(points)
    }

    /// The bus collapses before the next current of the grid: the dropout line goes on to that, and so must the others.
    fn go_on_to_collapse(&self, column: &Column, points: &mut Vec<[f64; 2]>) {
        if let (Some(&beyond), Some(&[_, volts])) = (
            self.envelope.amps.get(column.operations.len()),
            points.last(),
        ) {
            points.push([beyond, volts]);
        }
    }

    /// Output volts of the line at an operation; `None` where the limit is not met at any.
    fn regulator_volts(
        &self,
        column: &Column,
        operation: &Operation,
        near: f64,
    ) -> Result<Option<f64>, Needs> {
        let regulator = || self.model.regulator(column.case);
        match self.limit {
            Limit::GridFloor => floor_near(regulator()?, operation, near).map(Some),
            // At currents at which there is none it stands at the valley of the bus, where nothing is held anyway.
            Limit::ControlGridCeiling => ceiling(regulator()?, operation)
                .map(|volts| Some(volts.unwrap_or(operation.bus.trough_volts))),
            Limit::ControlPlateVolts => {
                control_ceiling_near(regulator()?, operation, (self.allowed, near))
            }
            Limit::ReferenceLeast(_) => regulator()?
                .positive
                .as_ref()
                .map(|stack| Some(stack.feed_volts_for(self.allowed)))
                .ok_or(Needs::PositiveReference),
            _ => {
                let at_zero = limit::heater_volts(&self.model.pass, operation, 0.0)?;
                Ok(Some(if self.relieved_by_output() {
                    -self.allowed - at_zero
                } else {
                    self.allowed - at_zero
                }))
            }
        }
    }
}

/// A straight line between two points may miss the true one by so much (V), and by this share of its volts.
const STRAIGHT: [f64; 2] = [0.05, 1e-3];
/// Halvings of an interval at most: a kink is then found within a sixteenth of it.
const HALVINGS: u32 = 4;

/// A line with points in the middle wherever it bends so much that a straight piece would miss it.
fn with_bends(
    mut points: Vec<[f64; 2]>,
    volts: &mut dyn FnMut(f64, f64) -> Option<f64>,
) -> Vec<[f64; 2]> {
    for _ in 0..HALVINGS {
        // How far the middle of the two intervals beside a point lies off their chord, at most.
        let bends = |w: &[[f64; 2]]| {
            let [a, b, c] = w else { return false };
            let (left, right) = (b[0] - a[0], c[0] - b[0]);
            let turn = ((c[1] - b[1]) / right - (b[1] - a[1]) / left).abs();
            0.25 * turn * left.max(right) > STRAIGHT[0] + STRAIGHT[1] * b[1].abs()
        };
        let bent: Vec<bool> = points.windows(3).map(bends).collect();
        if !bent.contains(&true) {
            break;
        }
        let is_bent = |k: usize| bent.get(k).copied().unwrap_or(false);
        let mut finer = Vec::with_capacity(2 * points.len());
        for (k, pair) in points.windows(2).enumerate() {
            let [from, to] = pair else { continue };
            finer.push(*from);
            // The bend at either end of this interval.
            if is_bent(k) || k.checked_sub(1).is_some_and(is_bent) {
                let amps = 0.5 * (from[0] + to[0]);
                let found = volts(amps, 0.5 * (from[1] + to[1]));
                finer.extend(found.map(|found| [amps, found]));
            }
        }
        finer.extend(points.last());
        points = finer;
    }
    points
}

/// The highest of floors or the lowest of ceilings (by `more` of two), at the currents of all. Where the bus of one case
/// collapses its line ends, and those of the others go on.
fn most_binding(lines: &[&[[f64; 2]]], more: fn(f64, f64) -> f64) -> Vec<[f64; 2]> {
    if let [only] = lines {
        return only.to_vec();
    }
    let mut amps: Vec<f64> = lines
        .iter()
        .flat_map(|line| line.iter().map(|p| p[0]))
        .collect();
    amps.sort_by(f64::total_cmp);
    amps.dedup();
    (amps.into_iter())
        .filter_map(|at| {
            let there = lines.iter().filter_map(|line| volts_on(line, at));
            Some([at, there.reduce(more)?])
        })
        .collect()
}

/// The part of a line at and above 0 V, with its end on the axis; its first such stretch.
fn within_the_plane(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut out: Vec<[f64; 2]> = Vec::with_capacity(points.len());
    let mut before: Option<[f64; 2]> = None;
    for &here in points {
        if let Some(last) = before
            && (last[1] < 0.0) != (here[1] < 0.0)
        {
            let share = last[1] / (last[1] - here[1]);
            out.push([last[0] + (here[0] - last[0]) * share, 0.0]);
            if here[1] < 0.0 {
                break;
            }
        }
        if here[1] >= 0.0 {
            out.push(here);
        }
        before = Some(here);
    }
    out
}
