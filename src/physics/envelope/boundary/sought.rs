//! Lines that have to be sought, most of them the regulator's: floors and ceilings in the output volts, each current from its
//! neighbour's.

use super::{Bound, Groups, OverGrid, Side, Solved, first};
use crate::physics::envelope::region::volts_on;
use crate::physics::envelope::{Column, Curve};
use crate::physics::limit::Met;
use crate::physics::limit::boundary::met_on;
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, Operation};

impl OverGrid<'_> {
    pub(super) fn sought(&self, groups: Groups<'_>, allows: Side) -> [Bound; 4] {
        let is_floor = allows == Side::Above;
        let more = if is_floor { f64::max } else { f64::min };
        let lines = self.each(groups, |solved| self.sought_line(solved));
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
            let mut line = most_binding(&all, more);
            if !is_floor && line.iter().any(|p| p[1] >= 0.0) {
                // Where a ceiling only rises out of 0 V further on, it leaves nothing before: beside its line it would say nothing.
                for p in line.iter_mut().take_while(|p| p[1] < 0.0) {
                    p[1] = 0.0;
                }
            }
            let points = within_the_plane(&line);
            let curve = match points.as_slice() {
                [] | [_] if is_floor => Curve::OutOfReach,
                // Met at one current only, and at none beyond.
                [[_, volts]] if *volts > 0.0 => Curve::OutOfReach,
                // A ceiling below 0 V leaves nothing.
                [] | [_] => Curve::Wall(0.0),
                _ if is_floor => Curve::Floor(points),
                _ => Curve::Ceiling(points),
            };
            (curve, case)
        })
    }

    /// Output volts for each current of a case, from its neighbour's; where the line bends between two currents, in between too. Empty
    /// where it is met at no current.
    fn sought_line(&self, (column, bus): Solved<'_>) -> Result<Vec<[f64; 2]>, Needs> {
        let seek = |operation: &Operation, near: f64| {
            let point = self.point(column.case, operation, near);
            self.edge
                .map_or(Ok(Met::NotHere), |edge| met_on(edge, point, self.allowed))
        };
        // At currents at which it is not met it stands at the valley of the bus, where nothing is held anyway.
        let volts_of = |met: Met, operation: &Operation| match met {
            Met::At(volts) => Some(volts),
            Met::NotHere => Some(operation.bus.trough_volts),
            Met::NotBeyond => None,
        };
        let mut points = Vec::with_capacity(column.operations.len() + column.tail.len() + 1);
        // The last two volts: the lines are so smooth that the next lies nearly straight ahead.
        let (mut before, mut near) = (0.0, 0.0);
        let (mut is_whole, mut is_met) = (true, false);
        for operation in column.operations.iter().chain(&column.tail) {
            let found = seek(operation, 2.0 * near - before)?;
            let Some(volts) = volts_of(found, operation) else {
                is_whole = false;
                break;
            };
            (before, near) = (near, volts);
            is_met |= found != Met::NotHere;
            points.push([operation.output_amps, near]);
            if points.len() == 1 {
                before = near;
            }
        }
        if !is_met {
            return Ok(Vec::new());
        }
        let mut points = with_bends(points, &mut |amps, near| {
            let operation = Operation {
                output_amps: amps,
                bus: bus.at(amps)?,
                ..Operation::default()
            };
            volts_of(seek(&operation, near).ok()?, &operation)
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
