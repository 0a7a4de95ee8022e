//! From solved columns to the line that each limit draws, and the region that all of them leave.

use std::borrow::Cow;

use crate::parts::Supply;
use crate::parts::{HeaterTie, ReferenceFeed};
use crate::physics::envelope::between::between;
use crate::physics::envelope::{Column, Curve, Envelope, LimitCurve};
use crate::physics::limit::{self, Limit, Place, Side};
use crate::physics::operation::{Case, Operation};
use crate::physics::pass_stage::{law_of, least_drop};
use crate::physics::regulator::floor::{control_ceiling_near, floor_near};
use crate::physics::regulator::sharing::worst_unit;
use crate::physics::regulator::zero::NO_REGULATOR;
use crate::physics::steady_state::operate;

/// The boundary of one limit, in the case that binds and at low, present and high mains.
pub(super) fn of_limit(envelope: &Envelope, supply: &Supply, limit: Limit) -> LimitCurve {
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
        supply,
        limit,
        allowed,
    };
    let cases = limit::judging_cases(limit, system);
    let (curve, case) = line.worst(cases);
    let at_low_present_high = [Case::Low, Case::Present, Case::High].map(|c| line.worst(&[c]).0);
    LimitCurve {
        limit,
        system,
        case,
        curve,
        at_low_present_high,
    }
}

/// A limit over the grid.
struct Line<'a> {
    envelope: &'a Envelope,
    supply: &'a Supply,
    limit: Limit,
    allowed: f64,
}

impl Line<'_> {
    /// The most restrictive of several cases, and which it is.
    fn worst(&self, cases: &[Case]) -> (Curve, Case) {
        let columns: Vec<&Column> = cases
            .iter()
            .filter_map(|c| self.envelope.column(*c))
            .collect();
        let first = cases.first().copied().unwrap_or(Case::Present);
        match self.limit {
            _ if self.limit.is_no_load() => self.everywhere(&columns, first),
            Limit::Dropout => self.ceiling(&columns, first),
            // Tied to the output, only the resistors' drop stands there, and that goes with the current.
            Limit::HeaterCathode if self.supply.pass_stage.heater == Some(HeaterTie::Cathode) => {
                self.wall(&columns, first)
            }
            Limit::GridFloor
            | Limit::ControlPlateVolts
            | Limit::HeaterCathode
            | Limit::HeaterAboveCathode => self.by_regulator(&columns, first),
            Limit::ReferenceLeast(Side::Positive) if self.fed_from_output() => {
                self.by_regulator(&columns, first)
            }
            Limit::SetRangeHigh => (Curve::Ceiling(self.level()), first),
            Limit::SetRangeLow => (Curve::Floor(self.level()), first),
            Limit::PlateDissipation
            | Limit::ScreenDissipation
            | Limit::EnvelopeDissipation
            | Limit::PlateVolts => self.floor(&columns, first),
            _ => self.wall(&columns, first),
        }
    }

    fn level(&self) -> Vec<[f64; 2]> {
        let end = self.envelope.amps.last().copied().unwrap_or(0.0);
        vec![[0.0, self.allowed], [end, self.allowed]]
    }

    fn everywhere(&self, columns: &[&Column], first: Case) -> (Curve, Case) {
        let mut worst: Option<(f64, Case)> = None;
        for column in columns {
            match limit::actual_no_load(self.limit, &column.no_load) {
                Ok(actual) => {
                    let ratio = limit::ratio(self.limit, actual, self.allowed);
                    if worst.is_none_or(|(most, _)| ratio > most) {
                        worst = Some((ratio, column.case));
                    }
                }
                Err(needs) => return (Curve::NotKnown(needs), first),
            }
        }
        worst.map_or((Curve::OutOfReach, first), |(ratio, case)| {
            (Curve::Everywhere(ratio), case)
        })
    }

    fn ceiling(&self, columns: &[&Column], first: Case) -> (Curve, Case) {
        let Some(column) = columns.first() else {
            return (Curve::OutOfReach, first);
        };
        if column.operations.is_empty() {
            // The bus collapses with nothing on the terminals.
            return (Curve::Wall(0.0), column.case);
        }
        let law = law_of(self.supply);
        // The tubes' law is exact and cheap; only the bus has to be read between solved currents.
        let operations = column.all_solved();
        let volts = |at: f64| {
            let trough = between(&operations, at)?.bus.trough_volts;
            Some(trough - least_drop(self.supply, law.as_ref(), at)?)
        };
        let mut points: Vec<[f64; 2]> = Vec::new();
        for at in with_middles(&with_middles(&currents(&operations))) {
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
        if let (Some(&[last, on]), Some(at)) = (points.last(), operations.last())
            && on > 0.0
            && at.output_amps <= last
            && column.operations.len() < self.envelope.amps.len()
        {
            points.push([last, 0.0]);
        }
        let curve = match volts(0.0) {
            // The trough is too low for any output at all.
            Some(at_start) if at_start < 0.0 => Curve::Wall(0.0),
            _ if points.len() < 2 => Curve::NotKnown("the pass tube's curve at this current"),
            _ => Curve::Ceiling(points),
        };
        (curve, column.case)
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

    fn floor(&self, columns: &[&Column], first: Case) -> (Curve, Case) {
        let solved: Vec<(Cow<'_, [Operation]>, Case)> =
            columns.iter().map(|c| (c.all_solved(), c.case)).collect();
        let mut bound: Option<(f64, Case)> = None;
        let mut highest_at = |at: f64| {
            let mut highest = f64::NEG_INFINITY;
            for (operations, case) in &solved {
                let volts =
                    between(operations, at).map_or(f64::NEG_INFINITY, |o| self.floor_volts(&o));
                if volts > highest {
                    highest = volts;
                }
                if bound.is_none_or(|(most, _)| volts > most) {
                    bound = Some((volts, *case));
                }
            }
            highest
        };
        // Grid points and the middles between them: a hyperbola drawn through the grid alone would sag.
        let longest = columns
            .iter()
            .map(|c| c.operations.len())
            .max()
            .unwrap_or(0);
        let mut grid = self
            .envelope
            .amps
            .get(..longest)
            .unwrap_or_default()
            .to_vec();
        grid.extend(columns.iter().flat_map(|c| currents(&c.tail)));
        grid.sort_by(f64::total_cmp);
        grid.dedup();
        let xs = with_middles(&with_middles(&grid));
        let heights: Vec<f64> = xs.iter().map(|x| highest_at(*x)).collect();
        let mut points: Vec<[f64; 2]> = Vec::new();
        for (k, (&x, &y)) in xs.iter().zip(&heights).enumerate() {
            let before = k
                .checked_sub(1)
                .and_then(|j| Some((*xs.get(j)?, *heights.get(j)?)));
            if let Some((x0, y0)) = before
                && (y0 < 0.0) != (y < 0.0)
            {
                points.push([
                    root(
                        x0,
                        x,
                        if y < 0.0 { Way::Down } else { Way::Up },
                        &mut highest_at,
                    ),
                    0.0,
                ]);
            }
            if y >= 0.0 {
                points.push([x, y]);
            }
        }
        // The bus collapses before the next current: the dropout line goes on to that, and so must this.
        if let (Some(&y), Some(&beyond)) = (heights.last(), self.envelope.amps.get(longest))
            && y >= 0.0
        {
            points.push([beyond, y]);
        }
        let case = bound.map_or(first, |(_, case)| case);
        if points.len() < 2 {
            (Curve::OutOfReach, case)
        } else {
            (Curve::Floor(points), case)
        }
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

    /// A line that the regulator draws: output volts for each current, from its neighbour's.
    fn by_regulator(&self, columns: &[&Column], first: Case) -> (Curve, Case) {
        let is_floor = self.relieved_by_output();
        let mut binding: Option<(f64, Case, Vec<[f64; 2]>)> = None;
        for column in columns {
            let solved = (self.envelope.amps)
                .get(..column.operations.len())
                .unwrap_or_default();
            let mut points = Vec::with_capacity(solved.len());
            // The last two volts: the lines are so smooth that the next lies nearly straight ahead.
            let (mut before, mut near) = (0.0, 0.0);
            for (&at, operation) in solved.iter().zip(&column.operations) {
                match self.regulator_volts(column, operation, 2.0 * near - before) {
                    Ok(Some(volts)) => (before, near) = (near, volts),
                    // Not met here, and still less with a bus pulled lower.
                    Ok(None) => break,
                    Err(needs) => return (Curve::NotKnown(needs), first),
                }
                points.push([at, near]);
                if points.len() == 1 {
                    before = near;
                }
            }
            // Lines of different mains hardly cross: the one that binds most at no load is taken whole.
            let Some(start) = points.first().map(|p| p[1]) else {
                continue;
            };
            let at_start = if is_floor { start } else { -start };
            if binding.as_ref().is_none_or(|(most, ..)| at_start > *most) {
                binding = Some((at_start, column.case, points));
            }
        }
        let Some((_, case, points)) = binding else {
            return (Curve::OutOfReach, first);
        };
        let points = within_the_plane(&points);
        let curve = match points.len() {
            0 | 1 if is_floor => Curve::OutOfReach,
            1 if self.limit == Limit::ControlPlateVolts && points.iter().all(|p| p[1] > 0.0) => {
                Curve::OutOfReach
            }
            // A ceiling below 0 V leaves nothing.
            0 | 1 => Curve::Wall(0.0),
            _ if is_floor => Curve::Floor(points),
            _ => Curve::Ceiling(points),
        };
        (curve, case)
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

    fn wall(&self, columns: &[&Column], first: Case) -> (Curve, Case) {
        let walls = columns
            .iter()
            .filter_map(|c| Some((self.wall_of(c)?, c.case)));
        walls
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map_or((Curve::OutOfReach, first), |(amps, case)| {
                (Curve::Wall(amps), case)
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

/// The output currents of solved operations (A).
fn currents(operations: &[Operation]) -> Vec<f64> {
    operations.iter().map(|o| o.output_amps).collect()
}

impl Column {
    /// Everything solved, to the collapse.
    pub(super) fn all_solved(&self) -> Cow<'_, [Operation]> {
        if self.tail.is_empty() {
            Cow::Borrowed(&self.operations)
        } else {
            Cow::Owned([self.operations.as_slice(), &self.tail].concat())
        }
    }
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

impl Envelope {
    /// Lowest and highest allowed volts at `amps`; `None` where the envelope has no point.
    pub fn allowed_volts(&self, amps: f64) -> Option<[f64; 2]> {
        let above = self.region.partition_point(|p| p[0] < amps);
        let b = self.region.get(above)?;
        let Some(a) = above.checked_sub(1).and_then(|k| self.region.get(k)) else {
            return (b[0] <= amps).then_some([b[1], b[2]]);
        };
        let span = b[0] - a[0];
        let share = if span > 0.0 {
            (amps - a[0]) / span
        } else {
            1.0
        };
        Some([a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share])
    }
}

impl LimitCurve {
    /// The current beyond which this limit leaves nothing (A), if there is one: a wall, or the end of a ceiling, for beyond that of the
    /// dropout line the bus has nothing left. Where the control tube's plate just cannot come so high any more, its ceiling ends
    /// and says nothing about what is beyond.
    pub fn end_amps(&self) -> Option<f64> {
        match &self.curve {
            Curve::Wall(amps) => Some(*amps),
            Curve::Ceiling(points) => {
                let [amps, volts] = *points.last()?;
                (self.limit != Limit::ControlPlateVolts || volts <= 0.0).then_some(amps)
            }
            _ => None,
        }
    }
}

impl Curve {
    /// Highest (ceiling) or lowest (floor) allowed volts at `amps`; `None` where the curve says nothing.
    pub fn volts_at(&self, amps: f64) -> Option<f64> {
        let (Self::Ceiling(points) | Self::Floor(points)) = self else {
            return None;
        };
        let above = points.partition_point(|p| p[0] < amps);
        let b = points.get(above)?;
        let Some(a) = above.checked_sub(1).and_then(|k| points.get(k)) else {
            return ((b[0] - amps).abs() <= 1e-12 * b[0].abs()).then_some(b[1]);
        };
        let span = b[0] - a[0];
        Some(if span > 0.0 {
            a[1] + (b[1] - a[1]) * (amps - a[0]) / span
        } else {
            b[1]
        })
    }
}

/// The part of the plane that is below every ceiling, above every floor and left of every wall: current, lowest and
/// highest volts. Where several separate stretches of current are left, the widest.
pub(super) fn region(envelope: &Envelope) -> Vec<[f64; 3]> {
    let curves = || envelope.limits.iter().map(|l| &l.curve);
    let ends = envelope.limits.iter().filter_map(LimitCurve::end_amps);
    let end = ends.fold(envelope.amps.last().copied().unwrap_or(0.0), f64::min);
    let mut xs = envelope.amps.clone();
    for curve in curves() {
        if let Curve::Ceiling(points) | Curve::Floor(points) = curve {
            xs.extend(points.iter().map(|p| p[0]));
        }
    }
    if end <= 0.0 {
        return Vec::new();
    }
    xs.retain(|x| *x < end);
    xs.push(end);
    xs.sort_by(f64::total_cmp);
    xs.dedup_by(|a, b| (*a - *b).abs() <= 1e-12 * end);
    let span_at = |x: f64| {
        let (mut low, mut high) = (0.0_f64, f64::INFINITY);
        for curve in curves() {
            match curve {
                Curve::Ceiling(_) => high = high.min(curve.volts_at(x).unwrap_or(f64::INFINITY)),
                Curve::Floor(_) => low = low.max(curve.volts_at(x).unwrap_or(0.0)),
                _ => {}
            }
        }
        [x, low, high]
    };
    let mut runs: Vec<Vec<[f64; 3]>> = vec![Vec::new()];
    let mut before: Option<[f64; 3]> = None;
    for x in xs {
        let here = span_at(x);
        let open = |s: &[f64; 3]| s[2] - s[1];
        let tip = before
            .filter(|b| (open(b) < 0.0) != (open(&here) < 0.0))
            .map(|b| {
                let share = open(&b) / (open(&b) - open(&here));
                let volts = b[1] + (here[1] - b[1]) * share;
                [b[0] + (here[0] - b[0]) * share, volts, volts]
            });
        if open(&here) >= 0.0 {
            if let Some(run) = runs.last_mut() {
                run.extend(tip);
                run.push(here);
            }
        } else if let Some(tip) = tip {
            if let Some(run) = runs.last_mut() {
                run.push(tip);
            }
            runs.push(Vec::new());
        }
        before = Some(here);
    }
    let width =
        |run: &[[f64; 3]]| run.last().map_or(0.0, |l| l[0]) - run.first().map_or(0.0, |f| f[0]);
    runs.into_iter()
        .max_by(|a, b| width(a).total_cmp(&width(b)))
        .unwrap_or_default()
}
