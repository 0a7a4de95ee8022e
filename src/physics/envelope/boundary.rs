//! From solved columns to the line that each limit draws, and the region that all of them leave.

use crate::parts::Supply;
use crate::parts::{HeaterTie, ReferenceFeed};
use crate::physics::envelope::bus_line::BusLine;
use crate::physics::envelope::{Column, Curve, Envelope, LimitCurve};
use crate::physics::limit::{self, Limit, Place, Side};
use crate::physics::operation::{Case, Operation};
use crate::physics::pass_stage::{law_of, least_drop};
use crate::physics::regulator::ceiling::ceiling;
use crate::physics::regulator::floor::{control_ceiling_near, floor_near};
use crate::physics::regulator::sharing::worst_unit;
use crate::physics::regulator::zero::NO_REGULATOR;
use crate::physics::steady_state::operate;

/// The boundary of one limit, in the case that binds and at low, present and high mains. `buses` are those of the
/// envelope's columns, to the collapse.
pub(super) fn of_limit(
    envelope: &Envelope,
    buses: &[BusLine],
    supply: &Supply,
    limit: Limit,
) -> LimitCurve {
    let (allowed, system) = match limit::allowed(limit, supply) {
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
        supply,
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
    supply: &'a Supply,
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
            Limit::HeaterCathode if self.supply.pass_stage.heater == Some(HeaterTie::Cathode) => {
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
        let law = law_of(self.supply);
        // The tubes' law is exact and cheap; only the bus has to be read between solved currents.
        let volts = |at: f64| {
            let trough = bus.at(at)?.trough_volts;
            Some(trough - least_drop(self.supply, law.as_ref(), at)?)
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
            _ if points.len() < 2 => Curve::NotKnown("the pass tube's curve at this current"),
            _ => Curve::Ceiling(points),
        }
    }

    /// Lowest allowed output volts for an operation; far below zero where the limit does not bind.
    fn floor_volts(&self, operation: &Operation) -> f64 {
        let stage = &self.supply.pass_stage;
        // Of a screen: what the tube may burn before its share is too much.
        let tube_watts = match (&stage.tube.screen_share, self.limit) {
            (Some(share), Limit::ScreenDissipation) => self.allowed / share.value.0,
            _ => self.allowed,
        };
        let watts_floor = |volts: f64, units: f64| {
            let worst = worst_unit(self.supply, operation, volts);
            let amps = (worst * units).min(operation.output_amps);
            if amps <= 0.0 {
                return f64::NEG_INFINITY;
            }
            limit::tube_mean_volts(self.supply, operation, worst) - tube_watts / amps
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

    fn fed_from_output(&self) -> bool {
        let regulator = self.supply.regulator.as_ref();
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
    fn by_regulator(&self, groups: Groups<'_>) -> [Bound; 4] {
        let is_floor = self.relieved_by_output();
        let lines = self.each(groups, |(column, _)| self.regulator_line(column));
        groups.map(|group| {
            let mut binding: Option<(f64, Case, &[[f64; 2]])> = None;
            for (case, line) in lines.of(group) {
                let points = match line {
                    Ok(points) => points,
                    Err(needs) => return (Curve::NotKnown(needs), first(group)),
                };
                // Lines of different mains hardly cross: the one that binds most at no load is taken whole.
                let Some(start) = points.first().map(|p| p[1]) else {
                    continue;
                };
                let at_start = if is_floor { start } else { -start };
                if binding.is_none_or(|(most, ..)| at_start > most) {
                    binding = Some((at_start, case, points));
                }
            }
            let Some((_, case, points)) = binding else {
                return (Curve::OutOfReach, first(group));
            };
            let points = within_the_plane(points);
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

    /// Output volts for each current of a case, from its neighbour's.
    fn regulator_line(&self, column: &Column) -> Result<Vec<[f64; 2]>, &'static str> {
        if self.limit == Limit::ControlGridCeiling {
            return self.control_grid_line(column);
        }
        let mut points = Vec::with_capacity(column.operations.len() + column.tail.len() + 1);
        // The last two volts: the lines are so smooth that the next lies nearly straight ahead.
        let (mut before, mut near) = (0.0, 0.0);
        for operation in column.operations.iter().chain(&column.tail) {
            match self.regulator_volts(column, operation, 2.0 * near - before)? {
                Some(volts) => (before, near) = (near, volts),
                // Not met here, and still less with a bus pulled lower.
                None => return Ok(points),
            }
            points.push([operation.output_amps, near]);
            if points.len() == 1 {
                before = near;
            }
        }
        self.go_on_to_collapse(column, &mut points);
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

    /// The control-grid ceiling of a case; without a point where there is none at any current. At currents at which there is
    /// none it stands at the valley of the bus, where nothing is held anyway.
    fn control_grid_line(&self, column: &Column) -> Result<Vec<[f64; 2]>, &'static str> {
        let stand = column.stand.as_deref().ok_or(NO_REGULATOR)?;
        let mut points = Vec::with_capacity(column.operations.len() + column.tail.len() + 1);
        let mut is_met = false;
        for operation in column.operations.iter().chain(&column.tail) {
            let volts = ceiling(stand, operation)?;
            is_met |= volts.is_some();
            points.push([
                operation.output_amps,
                volts.unwrap_or(operation.bus.trough_volts),
            ]);
        }
        if !is_met {
            return Ok(Vec::new());
        }
        self.go_on_to_collapse(column, &mut points);
        Ok(points)
    }

    /// Output volts of the line at an operation; `None` where the limit is not met at any.
    fn regulator_volts(
        &self,
        column: &Column,
        operation: &Operation,
        near: f64,
    ) -> Result<Option<f64>, &'static str> {
        let stand = || column.stand.as_deref().ok_or(NO_REGULATOR);
        match self.limit {
            Limit::GridFloor => floor_near(stand()?, operation, near).map(Some),
            Limit::ControlPlateVolts => {
                control_ceiling_near(stand()?, operation, (self.allowed, near))
            }
            Limit::ReferenceLeast(_) => stand()?
                .positive
                .as_ref()
                .map(|stack| Some(stack.feed_volts_for(self.allowed)))
                .ok_or("a positive reference"),
            _ => {
                let at_zero = limit::heater_volts(self.supply, operation, 0.0)?;
                Ok(Some(if self.relieved_by_output() {
                    -self.allowed - at_zero
                } else {
                    self.allowed - at_zero
                }))
            }
        }
    }

    fn walls(&self, groups: Groups<'_>) -> [Bound; 4] {
        let walls = self.each(groups, |(column, _)| self.wall_of(column));
        groups.map(|group| {
            let known = walls
                .of(group)
                .filter_map(|(case, wall)| Some(((*wall)?, case)));
            let least = known.min_by(|a, b| a.0.total_cmp(&b.0));
            least.map_or((Curve::OutOfReach, first(group)), |(amps, case)| {
                (Curve::Wall(amps), case)
            })
        })
    }

    /// Current at which the actual value reaches the allowed one, by the parabola through three points of the grid; where those on
    /// either side do not agree on it, it is solved for.
    fn wall_of(&self, column: &Column) -> Option<f64> {
        let excess = |operation: &Operation| {
            let place = Place {
                operation,
                stand: column.stand.as_deref(),
                volts: 0.0,
            };
            let excess = limit::actual(self.limit, self.supply, place).ok()? - self.allowed;
            // What must not fall short is exceeded when it does.
            let short = self.limit.is_least();
            Some((operation.output_amps, if short { -excess } else { excess }))
        };
        let value = |k: usize| column.operations.get(k).and_then(excess);
        let beyond = (0..column.operations.len())
            .find(|&k| value(k).is_some_and(|(_, excess)| excess >= 0.0))?;
        if beyond == 0 {
            return Some(0.0);
        }
        let (a, b) = (value(beyond - 1)?, value(beyond)?);
        let before = beyond.checked_sub(2).and_then(value);
        let after = value(beyond + 1);
        let near = crossing(a, b, before.or(after));
        let other = crossing(a, b, after.or(before));
        if (near - other).abs() <= AGREE * near {
            return Some(near);
        }
        let (mut low, mut high) = (a, b);
        for _ in 0..MOST_SOLVED {
            let third = if low == a { before.or(after) } else { Some(a) };
            let at = crossing(low, high, third);
            let operation = operate(self.supply, column.case, at).ok()?;
            let here = excess(&operation)?;
            if here.1.abs() <= AGREE * self.allowed {
                return Some(at);
            }
            if here.1 < 0.0 {
                low = here;
            } else {
                high = here;
            }
        }
        Some(crossing(low, high, None))
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

/// Two parabolas agree on a wall within this, and a wall is found within it, relative.
const AGREE: f64 = 5e-4;
/// So many currents are solved at most to find a wall.
const MOST_SOLVED: u32 = 12;

/// Where the parabola through two points of opposite sign and a third one, else the straight line, is zero between the two.
fn crossing(a: (f64, f64), b: (f64, f64), third: Option<(f64, f64)>) -> f64 {
    let slope = (b.1 - a.1) / (b.0 - a.0);
    let bend = third
        .filter(|c| (c.0 - a.0).abs() > 0.0 && (c.0 - b.0).abs() > 0.0)
        .map_or(0.0, |c| ((c.1 - a.1) / (c.0 - a.0) - slope) / (c.0 - b.0));
    root(a.0, b.0, Way::Up, &mut |x| {
        a.1 + (x - a.0) * (slope + bend * (x - b.0))
    })
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
