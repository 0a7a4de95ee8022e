//! From solved columns to the line that each limit draws.

use crate::physics::envelope::bus_line::BusLine;
use crate::physics::envelope::{Column, Curve, Envelope, LimitCurve};
use crate::physics::limit::boundary::{Allows as Side, edge, met_on};
use crate::physics::limit::{self, Edge, Limit, Met, OperatingPoint, Shape, Unloaded};
use crate::physics::model::Model;
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::{Case, Operation};

mod sought;
mod walls;

/// The boundary of one limit, in the case that binds and at low, present and high mains. `buses` are those of the
/// envelope's columns, to the collapse.
pub(super) fn of_limit(
    envelope: &Envelope,
    buses: &[BusLine],
    model: &Model,
    limit: Limit,
) -> LimitCurve {
    let (allowed, system) = match limit::allowed(limit, &model.supply) {
        Ok(known) => (known.value, known.system),
        Err(needs) => {
            let gap = || Curve::NotKnown(needs);
            return LimitCurve {
                limit,
                system: None,
                case: Case::Present,
                curve: gap(),
                at_low_present_high: [gap(), gap(), gap()],
                published: None,
            };
        }
    };
    let line = |allowed: f64| OverGrid {
        envelope,
        buses,
        model,
        limit,
        edge: edge(limit, &model.supply),
        allowed,
    };
    let judged_in = limit::judging_cases(limit, system);
    let [(curve, case), low, present, high] =
        line(allowed).curves([judged_in, &[Case::Low], &[Case::Present], &[Case::High]]);
    LimitCurve {
        limit,
        system,
        case,
        curve,
        at_low_present_high: [low.0, present.0, high.0],
        published: limit::acceptance(limit, &model.supply)
            .and_then(|_| limit::published(limit, &model.supply).ok())
            .map(|rated| {
                let [(curve, _), ..] = line(rated.value).curves([judged_in; 4]);
                curve
            }),
    }
}

/// A limit over the grid.
struct OverGrid<'a> {
    envelope: &'a Envelope,
    buses: &'a [BusLine],
    model: &'a Model,
    limit: Limit,
    /// The line of volts that it draws, if it does.
    edge: Option<Edge>,
    allowed: f64,
}

/// The most restrictive of several cases is asked for, and that of each mains alone.
type Groups<'g> = [&'g [Case]; 4];

/// A curve and the case in which it is met.
type Bound = (Curve, Case);

/// A column with its bus as a line.
type Solved<'a> = (&'a Column, &'a BusLine);

/// Something worked out once for each case.
struct Each<T>(Vec<(Case, T)>);

impl<T> Each<T> {
    /// Those of a group, in its order.
    fn of<'s>(&'s self, group: &'s [Case]) -> impl Iterator<Item = (Case, &'s T)> {
        let found = |case: &Case| self.0.iter().find(|(c, _)| c == case);
        group
            .iter()
            .filter_map(found)
            .map(|(case, value)| (*case, value))
    }
}

fn first(group: &[Case]) -> Case {
    group.first().copied().unwrap_or(Case::Present)
}

impl<'a> OverGrid<'a> {
    /// The most restrictive of each group of cases, and which it is.
    fn curves(&self, groups: Groups<'_>) -> [Bound; 4] {
        match self.limit.shape(&self.model.supply) {
            Shape::Everywhere => self.everywhere(groups),
            Shape::Wall => self.walls(groups),
            Shape::Ceiling(Edge::Level) => groups.map(|g| (Curve::Ceiling(self.level()), first(g))),
            Shape::Floor(Edge::Level) => groups.map(|g| (Curve::Floor(self.level()), first(g))),
            Shape::Ceiling(Edge::FromBus(_)) => self.ceilings(groups),
            Shape::Floor(Edge::FromBus(_)) => self.floors(groups),
            Shape::Ceiling(Edge::Sought(_)) => self.sought(groups, Side::Below),
            Shape::Floor(Edge::Sought(_)) => self.sought(groups, Side::Above),
        }
    }

    /// A point of the plane at an operation.
    fn point<'o>(&self, case: Case, operation: &'o Operation, volts: f64) -> OperatingPoint<'o>
    where
        'a: 'o,
    {
        OperatingPoint {
            model: self.model,
            case,
            operation,
            volts,
        }
    }

    /// Volts of a line that follows from the bus, between solved currents too (V); `None` beyond what was solved or where they are not
    /// known.
    fn volts_from_bus(&self, (column, bus): Solved<'_>, amps: f64) -> Option<f64> {
        let operation = Operation {
            output_amps: amps,
            bus: bus.at(amps)?,
            ..Operation::default()
        };
        let point = self.point(column.case, &operation, 0.0);
        match met_on(self.edge?, point, self.allowed) {
            Ok(Met::At(volts)) => Some(volts),
            _ => None,
        }
    }

    /// The columns of some cases, each once. Nominal mains may be the present ones.
    fn columns(&self, groups: Groups<'_>) -> Vec<(Case, Solved<'a>)> {
        let mut out: Vec<(Case, Solved<'a>)> = Vec::new();
        for &case in groups.iter().copied().flatten() {
            if out.iter().any(|(c, _)| *c == case) {
                continue;
            }
            let Some(column) = self.envelope.column(case) else {
                continue;
            };
            let mut all = self.envelope.columns.iter().zip(self.buses);
            if let Some(solved) = all.find(|(c, _)| c.case == column.case) {
                out.push((case, solved));
            }
        }
        out
    }

    fn each<T>(&self, groups: Groups<'_>, work_out: impl Fn(Solved<'a>) -> T) -> Each<T> {
        let columns = self.columns(groups).into_iter();
        Each(columns.map(|(case, s)| (case, work_out(s))).collect())
    }

    fn level(&self) -> Vec<[f64; 2]> {
        let grid_end = self.envelope.amps.last().copied();
        let solved = self.envelope.columns.iter().filter_map(Column::last_amps);
        let end = solved.chain(grid_end).fold(0.0, f64::max);
        vec![[0.0, self.allowed], [end, self.allowed]]
    }

    fn everywhere(&self, groups: Groups<'_>) -> [Bound; 4] {
        let bound = self.limit.row().bound;
        let ratios = self.each(groups, |(column, _)| {
            let unloaded = Unloaded {
                model: self.model,
                case: column.case,
                no_load: &column.no_load,
            };
            let actual = self.limit.unloaded(unloaded);
            actual.map(|actual| actual.map(|actual| bound.ratio(actual, self.allowed)))
        });
        groups.map(|group| {
            let mut worst: Option<(f64, Case)> = None;
            for (case, ratio) in ratios.of(group) {
                match *ratio {
                    Some(Ok(ratio)) if worst.is_none_or(|(most, _)| ratio > most) => {
                        worst = Some((ratio, case));
                    }
                    Some(Err(needs)) => return (Curve::NotKnown(needs), first(group)),
                    Some(Ok(_)) | None => {}
                }
            }
            worst.map_or((Curve::OutOfReach, first(group)), |(ratio, case)| {
                (Curve::Everywhere(ratio), case)
            })
        })
    }

    /// The dropout line has one case in each group.
    fn ceilings(&self, groups: Groups<'_>) -> [Bound; 4] {
        let curves = self.each(groups, |solved| self.ceiling(solved));
        groups.map(|group| {
            let own = curves.of(group).next();
            own.map_or((Curve::OutOfReach, first(group)), |(case, curve)| {
                (curve.clone(), case)
            })
        })
    }

    fn ceiling(&self, solved: Solved<'_>) -> Curve {
        let (column, bus) = solved;
        if column.operations.is_empty() {
            // The bus collapses with nothing on the terminals.
            return Curve::Wall(0.0);
        }
        // The tubes' law is exact and cheap; only the bus has to be read between solved currents.
        let volts = |at: f64| self.volts_from_bus(solved, at);
        let mut points: Vec<[f64; 2]> = Vec::new();
        for at in with_middles(&with_middles(bus.amps())) {
            let Some(here) = volts(at) else { break };
            if here < 0.0 {
                if let Some(&[before, _]) = points.last() {
                    let fine = Tolerance::fine(at);
                    let end = root_between(before, at, fine, |x| volts(x).unwrap_or(0.0));
                    points.push([end, 0.0]);
                }
                break;
            }
            points.push([at, here]);
        }
        // Beyond what was solved the bus is gone all at once.
        if let (Some(&[last, on]), Some(&at)) = (points.last(), bus.amps().last())
            && on > 0.0
            && at <= last
            && column.operations.len() < self.envelope.amps.len()
        {
            points.push([last, 0.0]);
        }
        match volts(0.0) {
            // The trough is too low for any output at all.
            Some(at_start) if at_start < 0.0 => Curve::Wall(0.0),
            _ if points.len() < 2 => Curve::NotKnown(Needs::PassCurve),
            _ => Curve::Ceiling(points),
        }
    }

    /// Lowest allowed output volts of a case at a current; far below zero beyond what was solved.
    fn floor_at(&self, solved: Solved<'_>, amps: f64) -> f64 {
        let volts = self.volts_from_bus(solved, amps);
        volts.unwrap_or(f64::NEG_INFINITY)
    }

    fn floors(&self, groups: Groups<'_>) -> [Bound; 4] {
        let columns = self.columns(groups);
        // Grid points and the middles between them: a hyperbola drawn through the grid alone would sag.
        let mut grid = self.envelope.amps.clone();
        grid.extend(columns.iter().flat_map(|(_, (column, _))| {
            column.tail.iter().map(|operation| operation.output_amps)
        }));
        grid.sort_by(f64::total_cmp);
        grid.dedup();
        let xs = with_middles(&with_middles(&grid));
        let heights = self.each(groups, |solved| -> Vec<f64> {
            xs.iter().map(|x| self.floor_at(solved, *x)).collect()
        });
        groups.map(|group| {
            let own: Vec<Solved<'a>> = (group.iter())
                .filter_map(|case| columns.iter().find(|(c, _)| c == case))
                .map(|(_, solved)| *solved)
                .collect();
            let end = (own.iter().filter_map(|(_, bus)| bus.amps().last().copied()))
                .fold(f64::NEG_INFINITY, f64::max);
            let solved = xs.partition_point(|x| *x <= end);
            let mut highest = vec![f64::NEG_INFINITY; solved];
            let mut bound: Option<(f64, Case)> = None;
            for (case, heights) in heights.of(group) {
                for (most, volts) in highest.iter_mut().zip(heights) {
                    *most = most.max(*volts);
                    if bound.is_none_or(|(most, _)| *volts > most) {
                        bound = Some((*volts, case));
                    }
                }
            }
            let mut highest_at = |at: f64| {
                let all = own.iter().map(|solved| self.floor_at(*solved, at));
                all.fold(f64::NEG_INFINITY, f64::max)
            };
            let mut points = floor_line(
                xs.get(..solved).unwrap_or_default(),
                &highest,
                &mut highest_at,
            );
            // The bus collapses before the next current: the dropout line goes on to that, and so must this.
            let longest = own.iter().map(|(c, _)| c.operations.len()).max();
            let beyond = longest.and_then(|k| self.envelope.amps.get(k));
            if let (Some(&y), Some(&beyond)) = (highest.last(), beyond)
                && y >= 0.0
            {
                points.push([beyond, y]);
            }
            let curve = if points.len() < 2 {
                Curve::OutOfReach
            } else {
                Curve::Floor(points)
            };
            (curve, bound.map_or(first(group), |(_, case)| case))
        })
    }
}

/// The part of a floor at and above 0 V, with its ends on the axis.
fn floor_line(xs: &[f64], heights: &[f64], height_at: &mut dyn FnMut(f64) -> f64) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = Vec::new();
    let mut before: Option<[f64; 2]> = None;
    for (&x, &y) in xs.iter().zip(heights) {
        if let Some([x0, y0]) = before
            && (y0 < 0.0) != (y < 0.0)
        {
            let end = root_between(x0, x, Tolerance::fine(x), &mut *height_at);
            points.push([end, 0.0]);
        }
        if y >= 0.0 {
            points.push([x, y]);
        }
        before = Some([x, y]);
    }
    points
}

/// A grid and the middles between its points, in the square root of the current.
fn with_middles(grid: &[f64]) -> Vec<f64> {
    let middles = grid
        .iter()
        .zip(grid.iter().skip(1))
        .flat_map(|(a, b)| [*a, 0.25 * (a.sqrt() + b.sqrt()) * (a.sqrt() + b.sqrt())]);
    middles.chain(grid.last().copied()).collect()
}
