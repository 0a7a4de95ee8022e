//! The operating envelope: the part of the volt–ampere plane in which no limit is exceeded.
//!
//! Each case of the mains (and of the tolerances, where an absolute-maximum rating asks for them) is solved over one
//! grid of output currents, as far as anything is allowed and finer where the bus bends. Every limit is then a ceiling, a floor or a wall in the plane, or the same everywhere.

use rayon::prelude::*;

use crate::parts::RatingSystem;
use crate::physics::discharge::{Kept, kept_at_rest};
use crate::physics::failure::{Failure, NoOutput};
use crate::physics::limit::{self, Judged, Limit, OperatingPoint, Unloaded, Use};
use crate::physics::model::Model;
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::steady_state::{Start, operate, operate_near, solve_many};
use crate::physics::stress::{no_load, no_load_from};

mod boundary;
mod bus_line;
mod end;
mod grid;
mod map;
mod refine;
mod region;

use bus_line::BusLine;
use refine::Growing;

pub use map::{Counted, MarginMap, margin_map};

/// One case solved over the whole grid of output currents.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Which case.
    pub case: Case,
    /// Its rms mains volts.
    pub mains_volts: f64,
    /// One answer for each current of the grid; shorter than the grid where the bus collapses.
    pub operations: Vec<Operation>,
    /// Answers between the last of these and the collapse, rising in current, where limits are drawn there.
    pub tail: Vec<Operation>,
    /// The supply with nothing on its terminals.
    pub no_load: NoLoad,
    /// Where the search for other currents starts from: of all operations, rising in current.
    pub starts: Vec<Start>,
}

impl Column {
    /// Everything before the pass tubes at an output current (A): as it was solved, or from what was solved beside it.
    ///
    /// # Errors
    /// As [`operate_near`].
    fn operate(&self, model: &Model, amps: f64) -> Result<Operation, Failure> {
        for solved in [&self.operations, &self.tail] {
            let place = solved.binary_search_by(|o| o.output_amps.total_cmp(&amps));
            if let Some(known) = place.ok().and_then(|k| solved.get(k)) {
                return Ok(known.clone());
            }
        }
        Ok(operate_near(&model.raw, self.case, amps, &self.starts)?.operation)
    }
}

impl Column {
    /// The last current that was solved (A).
    pub fn last_amps(&self) -> Option<f64> {
        let last = self.tail.last().or(self.operations.last())?;
        Some(last.output_amps)
    }
}

/// The boundary that a limit draws in the plane.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// Allowed below this line of (A, V), rising in A.
    Ceiling(Vec<[f64; 2]>),
    /// Allowed above this line of (A, V), rising in A; where it leaves the plane below, the points end.
    Floor(Vec<[f64; 2]>),
    /// Allowed left of this current (A).
    Wall(f64),
    /// The same everywhere: `use` with nothing on the terminals.
    Everywhere(f64),
    /// Never met within the grid of currents.
    OutOfReach,
    /// Cannot be drawn: what would have to be known.
    NotKnown(Needs),
}

/// A limit with its boundary.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitCurve {
    /// Which limit.
    pub limit: Limit,
    /// Its rating system, if it is a rating.
    pub system: Option<RatingSystem>,
    /// The case that binds.
    pub case: Case,
    /// The boundary that binds.
    pub curve: Curve,
    /// The boundary at low, present and high mains.
    pub at_low_present_high: [Curve; 3],
    /// Where it is accepted as built: the boundary that the published rating would draw.
    pub published: Option<Curve>,
}

/// Where a point stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// The supply does it, and no known rating is exceeded but up to what is accepted as built.
    Inside,
    /// The supply does it, over a rating.
    OverARating,
    /// The supply does not do it; nothing need break for that.
    OutOfReach,
}

/// A point of the plane with everything known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Output current (A).
    pub amps: f64,
    /// Output volts (V).
    pub volts: f64,
    /// What goes on before the pass tubes, at present mains; `None` if the supply cannot give this current.
    pub operation: Option<Operation>,
    /// All limits; the tightest known one first, then the others, the unknown last.
    pub uses: Vec<Use>,
}

impl Point {
    /// The limit that says most about this point: one that it passes, first of those that say the supply does not do it, then of
    /// the ratings that move with the point, then of those that are the same everywhere. Inside the tightest that moves with it.
    pub fn tightest(&self) -> Option<&Use> {
        let known = || self.uses.iter().filter(|u| u.judged.is_ok());
        let moving = || known().filter(|u| !u.limit.is_no_load());
        let passed = || known().filter(|u| u.is_over());
        let beyond_reach = passed().find(|u| !u.limit.is_rating());
        let moving_over = || passed().find(|u| !u.limit.is_no_load());
        beyond_reach
            .or_else(moving_over)
            .or_else(|| passed().next())
            .or_else(|| moving().next())
            .or_else(|| known().next())
    }

    /// Where it stands.
    pub fn standing(&self) -> Standing {
        let over = |is_rating: bool| {
            let mut all = self.uses.iter();
            all.any(|u| u.limit.is_rating() == is_rating && u.is_over())
        };
        if self.operation.is_none() || over(false) {
            Standing::OutOfReach
        } else if over(true) {
            Standing::OverARating
        } else {
            Standing::Inside
        }
    }

    /// True if no known limit is exceeded.
    pub fn is_inside(&self) -> bool {
        self.standing() == Standing::Inside
    }
}

/// The operating envelope of a supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Envelope {
    /// Output currents of the grid, rising from 0 (A).
    pub amps: Vec<f64>,
    /// Solved cases; low, present and high are always there.
    pub columns: Vec<Column>,
    /// All limits with their boundaries.
    pub limits: Vec<LimitCurve>,
    /// The envelope itself: for each current in it, the lowest and highest allowed volts.
    /// Empty if there is no allowed point at all.
    pub region: Vec<[f64; 3]>,
    /// What the supply does at all, whatever its ratings say: for each current in it, the lowest and highest regulated volts. The
    /// envelope lies within it.
    pub reach: Vec<[f64; 3]>,
    /// Where even the mean of the bus is no longer enough, at present mains (A, V).
    pub lost_regulation: Vec<[f64; 2]>,
    /// Limits that are exceeded with nothing on the terminals, wherever the point is.
    pub broken_everywhere: Vec<Limit>,
    /// What the capacitors keep after switch-off, with nothing on the terminals at high mains; `None` where that was not asked for.
    pub kept: Option<Kept>,
}

impl Envelope {
    /// The column of a case. Nominal mains share the present ones' column where they are equal.
    pub fn column(&self, case: Case) -> Option<&Column> {
        self.columns.iter().find(|c| c.case == case).or_else(|| {
            let present = self.columns.iter().find(|c| c.case == Case::Present)?;
            (case == Case::Nominal).then_some(present)
        })
    }

    /// Everything before the pass tubes in a case at an output current (A), from what was solved beside it.
    ///
    /// # Errors
    /// [`Failure::Collapse`] if the bus cannot give this current, [`Failure::NotConverged`] if no steady state was found.
    pub fn operate(&self, model: &Model, case: Case, amps: f64) -> Result<Operation, Failure> {
        match self.column(case) {
            Some(column) => self.operate_in(column, model, amps),
            None => operate(&model.raw, case, amps),
        }
    }

    fn operate_in(&self, column: &Column, model: &Model, amps: f64) -> Result<Operation, Failure> {
        // What could not be had at a current of the grid cannot be had beyond it.
        match self.amps.get(column.operations.len()) {
            Some(collapsed) if *collapsed <= amps => Err(Failure::Collapse { amps }),
            _ => column.operate(model, amps),
        }
    }

    /// Everything known about a point (A, V), solved anew at its current.
    ///
    /// # Errors
    /// [`Failure::NotConverged`] if a steady state is not found.
    pub fn point(&self, model: &Model, amps: f64, volts: f64) -> Result<Point, Failure> {
        let amps = amps.max(0.0);
        let found: Vec<Result<(Case, Option<Operation>), Failure>> = (self.columns.par_iter())
            .map(|column| {
                Ok((
                    column.case,
                    sustained(self.operate_in(column, model, amps))?,
                ))
            })
            .collect();
        let solved: Vec<(Case, Option<Operation>)> = found.into_iter().collect::<Result<_, _>>()?;
        let at = |case: Case| {
            let own = solved.iter().find(|(c, _)| *c == case);
            own.or_else(|| {
                solved
                    .iter()
                    .find(|(c, _)| case == Case::Nominal && *c == Case::Present)
            })
            .and_then(|(_, o)| o.as_ref())
        };
        let mut uses: Vec<Use> = limit::all(&model.supply)
            .into_iter()
            .map(|l| self.judge(l, model, volts, &at))
            .collect();
        // Known before unknown, the tightest first; the signal path's order decides between equals.
        uses.sort_by(|a, b| {
            b.nearness()
                .unwrap_or(-1.0)
                .total_cmp(&a.nearness().unwrap_or(-1.0))
        });
        Ok(Point {
            amps,
            volts,
            operation: at(Case::Present).cloned(),
            uses,
        })
    }

    fn judge<'a>(
        &self,
        limit: Limit,
        model: &Model,
        volts: f64,
        at: &dyn Fn(Case) -> Option<&'a Operation>,
    ) -> Use {
        let rated = match limit::allowed(limit, &model.supply) {
            Ok(known) => known,
            Err(needs) => {
                return Use {
                    limit,
                    system: None,
                    confidence: None,
                    published: None,
                    judged: Err(needs),
                };
            }
        };
        let (allowed, system, confidence) = (rated.value, rated.system, rated.confidence);
        let published = limit::acceptance(limit, &model.supply)
            .and_then(|_| limit::published(limit, &model.supply).ok())
            .map(|rated| rated.value);
        let value = |case: Case| -> Result<Option<[f64; 2]>, Needs> {
            let unloaded = self.column(case).and_then(|column| {
                limit.unloaded(Unloaded {
                    model,
                    case,
                    no_load: &column.no_load,
                })
            });
            if let Some(actual) = unloaded {
                return Ok(Some([actual?, allowed]));
            }
            let point = at(case).map(|operation| OperatingPoint {
                model,
                case,
                operation,
                volts,
            });
            point
                .and_then(|point| limit.at_point(point, allowed))
                .transpose()
        };
        let mut worst: Option<(f64, Case, f64, f64)> = None;
        for &case in limit::judging_cases(limit, system) {
            match value(case) {
                Err(needs) => {
                    return Use {
                        limit,
                        system,
                        confidence,
                        published,
                        judged: Err(needs),
                    };
                }
                Ok(None) => {}
                Ok(Some([actual, allowed])) => {
                    let ratio = limit::ratio(limit, actual, allowed);
                    if worst.is_none_or(|(most, ..)| ratio > most) {
                        worst = Some((ratio, case, actual, allowed));
                    }
                }
            }
        }
        let Some((ratio, case, actual, allowed)) = worst else {
            return Use {
                limit,
                system,
                confidence,
                published,
                judged: Err(Needs::SustainedCurrent),
            };
        };
        let at_low_present_high =
            [Case::Low, Case::Present, Case::High].map(|case| match value(case) {
                Ok(Some([actual, allowed])) => limit::ratio(limit, actual, allowed),
                _ => f64::INFINITY,
            });
        let judged = Judged {
            ratio,
            actual,
            allowed,
            measure: limit.measure(),
            case,
            mains_volts: model.at(case).mains_volts,
            actual_now: value(Case::Present)
                .ok()
                .flatten()
                .map(|[actual, _]| actual),
            at_low_present_high,
        };
        Use {
            limit,
            system,
            confidence,
            published,
            judged: Ok(judged),
        }
    }
}

/// Everything known about one point (A, V) without working out the rest of the envelope: for trying a change of the
/// supply at one place.
///
/// # Errors
/// As [`envelope`] and [`Envelope::point`].
pub fn point_alone(model: &Model, amps: f64, volts: f64) -> Result<Point, Failure> {
    let columns = (grid::needed_cases(&model.supply).into_iter())
        .map(|case| {
            Ok(Column {
                case,
                mains_volts: model.at(case).mains_volts,
                operations: Vec::new(),
                tail: Vec::new(),
                no_load: no_load(model, case)?,
                starts: Vec::new(),
            })
        })
        .collect::<Result<_, Failure>>()?;
    let bare = Envelope {
        amps: Vec::new(),
        columns,
        limits: Vec::new(),
        region: Vec::new(),
        reach: Vec::new(),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
        kept: None,
    };
    bare.point(model, amps, volts)
}

/// A collapse is an answer here: that case has no operation at this current.
fn sustained<T>(result: Result<T, Failure>) -> Result<Option<T>, Failure> {
    match result {
        Ok(found) => Ok(Some(found)),
        Err(Failure::Collapse { .. }) => Ok(None),
        Err(other) => Err(other),
    }
}

/// One case over the grid of currents.
fn column(model: &Model, case: Case, amps: &[f64]) -> Result<Column, Failure> {
    let solved = solve_many(&model.raw, case, amps)?;
    let (operations, starts): (Vec<Operation>, Vec<Start>) = solved
        .into_iter()
        .map(|one| (one.operation, one.start))
        .unzip();
    let no_load = match operations.first() {
        Some(first) if model.raw_at_rest == model.raw => no_load_from(model, case, first.clone()),
        _ => no_load(model, case).map_err(|_collapse| Failure::NoOutput(NoOutput::NoBus))?,
    };
    Ok(Column {
        case,
        mains_volts: model.at(case).mains_volts,
        operations,
        tail: Vec::new(),
        no_load,
        starts,
    })
}

/// Works out the envelope.
///
/// # Errors
/// [`Failure::NoOutput`] if the supply gives no voltage, [`Failure::NotConverged`] if a steady state is not found.
pub fn envelope(model: &Model) -> Result<Envelope, Failure> {
    let mut amps = grid::currents(model)?;
    // The cases do not know each other, nor do the limits: each core takes its share of them.
    let columns: Vec<Result<Column, Failure>> = grid::needed_cases(&model.supply)
        .into_par_iter()
        .map(|case| column(model, case, &amps))
        .collect();
    let mut columns: Vec<Column> = columns.into_iter().collect::<Result<_, _>>()?;
    end::go_on(model, &mut amps, &mut columns)?;
    let mut columns: Vec<Growing> = columns.into_iter().map(Growing::new).collect();
    refine::refine(model, &mut amps, &mut columns)?;
    refine::follow_to_collapse(model, &amps, &mut columns)?;
    end::go_on_with_reach(model, &amps, &mut columns)?;
    let (columns, buses): (Vec<Column>, Vec<BusLine>) =
        columns.into_iter().map(|c| (c.column, c.bus)).unzip();
    let mut out = Envelope {
        amps,
        columns,
        limits: Vec::new(),
        region: Vec::new(),
        reach: Vec::new(),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
        kept: None,
    };
    out.kept =
        (out.column(Case::High)).map(|column| kept_at_rest(model, &column.no_load.operation));
    out.limits = limit::all(&model.supply)
        .into_par_iter()
        .map(|l| boundary::of_limit(&out, &buses, model, l))
        .collect();
    out.broken_everywhere = out
        .limits
        .iter()
        .filter(|l| matches!(l.curve, Curve::Everywhere(ratio) if ratio > 1.0))
        .map(|l| l.limit)
        .collect();
    out.lost_regulation = lost_regulation(&out, model);
    let grid_end = out.amps.last().copied().unwrap_or(0.0);
    out.region = region::region(&out, grid_end, &|_| true);
    // With a reference that stays dark nothing is regulated anywhere.
    if out.broken_everywhere.iter().all(|limit| limit.is_rating()) {
        let end = out.column(Case::Present).and_then(Column::last_amps);
        let end = end.unwrap_or(grid_end).max(grid_end);
        out.reach = region::region(&out, end, &|limit| !limit.is_rating());
    }
    Ok(out)
}

fn lost_regulation(envelope: &Envelope, model: &Model) -> Vec<[f64; 2]> {
    let present = envelope.column(Case::Present);
    let operations = present.iter().flat_map(|column| &column.operations);
    operations
        .filter_map(|at| {
            Some([
                at.output_amps,
                model.lost_regulation_volts(Case::Present, at)?,
            ])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;

    fn models() -> impl Iterator<Item = (&'static str, Model)> {
        let read = |text| read_checked(text, &Catalogue::built_in()).unwrap();
        let all = presets().iter();
        all.map(move |(name, text)| (*name, Model::of(&read(text)).unwrap()))
    }

    /// More mains, more volts on the plates: each number is of the mains in whose place it stands, at a point and on the line.
    #[test]
    fn low_present_and_high_stand_in_this_order() {
        for (name, model) in models() {
            let all = envelope(&model).unwrap();
            let amps = 0.5 * all.region.last().map_or(0.02, |r| r[0]);
            let point = all.point(&model, amps, 50.0).unwrap();
            for limit in [Limit::PlateVolts, Limit::RectifierPeakInverse] {
                let one = point.uses.iter().find(|u| u.limit == limit).unwrap();
                let Ok(judged) = one.judged else { continue };
                let [low, present, high] = judged.at_low_present_high;
                assert!(
                    low < present && present < high,
                    "{name} {limit:?}: {judged:?}"
                );
            }
            let dropout = all.limits.iter().find(|l| l.limit == Limit::Dropout);
            let [low, present, high] = &dropout.unwrap().at_low_present_high;
            let at = |curve: &Curve| curve.volts_at(amps).unwrap();
            assert!(at(low) < at(present) && at(present) < at(high), "{name}");
        }
    }

    /// Regulation is lost in the valleys first, and wholly where even the mean is too low: by as much as the mean is above the valley.
    #[test]
    fn regulation_is_lost_wholly_above_the_dropout_line() {
        for (name, model) in models() {
            let all = envelope(&model).unwrap();
            let present = all.column(Case::Present).unwrap();
            let line = all
                .limits
                .iter()
                .find(|l| l.limit == Limit::Dropout)
                .unwrap();
            let [_, dropout, _] = &line.at_low_present_high;
            let mut compared = 0;
            for ([amps, lost], at) in all.lost_regulation.iter().zip(&present.operations) {
                let Some(valley) = dropout.volts_at(*amps) else {
                    continue;
                };
                // What the regulator draws, and so the drop, rises a little with the output.
                let drop = |volts: f64| {
                    let current = model.pass_current(Case::Present, at, volts);
                    model.pass.least_drop(current).unwrap()
                };
                let want = at.bus.mean_volts - drop(*lost) - (at.bus.trough_volts - drop(valley));
                let miss = lost - valley - want;
                assert!(
                    miss.abs() < 1e-6 + 1e-3 * want,
                    "{name} {amps}: {miss} of {want} V"
                );
                compared += 1;
            }
            assert!(compared > 10, "{name}: {compared}");
        }
    }
}
