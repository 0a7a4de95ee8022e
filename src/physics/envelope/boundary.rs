//! From solved columns to the line that each limit draws.

use crate::parts::HeaterTie;
use crate::physics::envelope::bus_line::BusLine;
use crate::physics::envelope::{Column, Curve, Envelope, LimitCurve};
use crate::physics::limit::{self, Limit, Side};
use crate::physics::model::Model;
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::sharing::worst_unit;

mod by_regulator;
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
        Ok(known) => known,
        Err(needs) => {
            let gap = || Curve::NotKnown(needs);
            return LimitCurve {
                limit,
                system: None,
                case: Case::Present,
                curve: gap(),
                at_low_present_high: [gap(), gap(), gap()],
            };
        }
    };
    let line = Line {
        envelope,
        buses,
        model,
        limit,
        allowed,
    };
    let [(curve, case), low, present, high] = line.curves([
        limit::judging_cases(limit, system),
        &[Case::Low],
        &[Case::Present],
        &[Case::High],
    ]);
    LimitCurve {
        limit,
        system,
        case,
        curve,
        at_low_present_high: [low.0, present.0, high.0],
    }
}

/// A limit over the grid.
struct Line<'a> {
    envelope: &'a Envelope,
    buses: &'a [BusLine],
    model: &'a Model,
    limit: Limit,
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

impl<'a> Line<'a> {
    /// The most restrictive of each group of cases, and which it is.
    fn curves(&self, groups: Groups<'_>) -> [Bound; 4] {
        match self.limit {
            _ if self.limit.is_no_load() => self.everywhere(groups),
            Limit::Dropout => self.ceilings(groups),
            // Tied to the output, only the resistors' drop stands there, and that goes with the current.
            Limit::HeaterCathode
                if self.model.supply.pass_stage.heater == Some(HeaterTie::Cathode) =>
            {
                self.walls(groups)
            }
            Limit::GridFloor
            | Limit::ControlGridCeiling
            | Limit::ControlPlateVolts
            | Limit::HeaterCathode
            | Limit::HeaterAboveCathode => self.by_regulator(groups),
            Limit::ReferenceLeast(Side::Positive) if self.fed_from_output() => {
                self.by_regulator(groups)
            }
            Limit::SetRangeHigh => groups.map(|g| (Curve::Ceiling(self.level()), first(g))),
            Limit::SetRangeLow => groups.map(|g| (Curve::Floor(self.level()), first(g))),
            Limit::PlateDissipation
            | Limit::ScreenDissipation
            | Limit::EnvelopeDissipation
            | Limit::PlateVolts => self.floors(groups),
            _ => self.walls(groups),
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
        let end = self.envelope.amps.last().copied().unwrap_or(0.0);
        vec![[0.0, self.allowed], [end, self.allowed]]
    }

    fn everywhere(&self, groups: Groups<'_>) -> [Bound; 4] {
        let ratios = self.each(groups, |(column, _)| {
            limit::actual_no_load(self.limit, &column.no_load)
                .map(|actual| limit::ratio(self.limit, actual, self.allowed))
        });
        groups.map(|group| {
            let mut worst: Option<(f64, Case)> = None;
            for (case, ratio) in ratios.of(group) {
                match *ratio {
                    Ok(ratio) if worst.is_none_or(|(most, _)| ratio > most) => {
                        worst = Some((ratio, case));
                    }
                    Ok(_) => {}
                    Err(needs) => return (Curve::NotKnown(needs), first(group)),
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

    fn ceiling(&self, (column, bus): Solved<'_>) -> Curve {
        if column.operations.is_empty() {
            // The bus collapses with nothing on the terminals.
            return Curve::Wall(0.0);
        }
        // The tubes' law is exact and cheap; only the bus has to be read between solved currents.
        let volts = |at: f64| {
            let trough = bus.at(at)?.trough_volts;
            Some(trough - self.model.pass.least_drop(at)?)
        };
        let mut points: Vec<[f64; 2]> = Vec::new();
        for at in with_middles(&with_middles(bus.amps())) {
            let Some(here) = volts(at) else { break };
            if here < 0.0 {
                if let Some(&[before, _]) = points.last() {
                    points.push([
                        root(before, at, Way::Down, &mut |x| volts(x).unwrap_or(0.0)),
                        0.0,
                    ]);
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

    /// Lowest allowed output volts for an operation; far below zero where the limit does not bind.
    fn floor_volts(&self, operation: &Operation) -> f64 {
        let pass = &*self.model.pass;
        let stage = &pass.stage;
        // Of a screen: what the tube may burn before its share is too much.
        let tube_watts = match (&stage.tube.screen_share, self.limit) {
            (Some(share), Limit::ScreenDissipation) => self.allowed / share.value.0,
            _ => self.allowed,
        };
        let watts_floor = |volts: f64, units: f64| {
            let worst = worst_unit(pass, operation, volts);
            let amps = (worst * units).min(operation.output_amps);
            if amps <= 0.0 {
                return f64::NEG_INFINITY;
            }
            limit::tube_mean_volts(pass, operation, worst) - tube_watts / amps
        };
        // With a spread of the tubes the worst one's share hangs a little on the volts: what is left after three rounds
        // is less than a line's width. Without it the first round is exact.
        let rounds = if stage.tube_spread.is_some() { 4 } else { 1 };
        let settled =
            |units: f64| (0..rounds).fold(0.0_f64, |volts, _| watts_floor(volts.max(0.0), units));
        match self.limit {
            Limit::PlateDissipation | Limit::ScreenDissipation => settled(1.0),
            Limit::EnvelopeDissipation => settled(f64::from(stage.tube.units.max(1))),
            _ => operation.bus.crest_volts - self.allowed,
        }
    }

    /// Lowest allowed output volts of a case at a current; far below zero beyond what was solved.
    fn floor_at(&self, bus: &BusLine, amps: f64) -> f64 {
        bus.at(amps).map_or(f64::NEG_INFINITY, |bus| {
            self.floor_volts(&Operation {
                output_amps: amps,
                bus,
                ..Operation::default()
            })
        })
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
        let heights = self.each(groups, |(_, bus)| -> Vec<f64> {
            xs.iter().map(|x| self.floor_at(bus, *x)).collect()
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
                let all = own.iter().map(|(_, bus)| self.floor_at(bus, at));
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
            let way = if y < 0.0 { Way::Down } else { Way::Up };
            points.push([root(x0, x, way, height_at), 0.0]);
        }
        if y >= 0.0 {
            points.push([x, y]);
        }
        before = Some([x, y]);
    }
    points
}

/// Which way a function crosses zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Up,
    Down,
}

/// Where `f` changes sign between `a` and `b`.
fn root(a: f64, b: f64, way: Way, f: &mut dyn FnMut(f64) -> f64) -> f64 {
    let (mut low, mut high) = (a, b);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == (way == Way::Down) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// A grid and the middles between its points, in the square root of the current.
fn with_middles(grid: &[f64]) -> Vec<f64> {
    let middles = grid
        .iter()
        .zip(grid.iter().skip(1))
        .flat_map(|(a, b)| [*a, 0.25 * (a.sqrt() + b.sqrt()) * (a.sqrt() + b.sqrt())]);
    middles.chain(grid.last().copied()).collect()
}
