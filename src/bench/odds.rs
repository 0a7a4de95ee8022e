//! How sure it is: what a supply does whose values are only known within their spreads, as bands and as odds.
//!
//! Many supplies are drawn as they might be in truth, and each is asked what the one described is asked. A band is where the middle nine
//! tenths of them lie; the odds of a point are the share of them that it is inside of.

mod along;
mod band;
mod corner;
mod judged;
mod question;
mod ranking;

pub use along::{along, dropout_line};
pub use band::Band;
pub use corner::{Corner, CornerEnd, corner, corner_followed};
use judged::Judged;
pub use question::Question;
pub use ranking::{Ranked, Ranking, USUAL_ROWS, rankings, rankings_followed, rows_for};

use rayon::prelude::*;

use crate::parts::Side;
use crate::physics::envelope::{Envelope, Standing};
use crate::physics::failure::Failure;
use crate::physics::limit::{self, Limit, Nature};
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::references::{ReferenceAt, references};
use crate::physics::regulator::zero::zero_setting_from;
use crate::physics::spread::{Beside, Spreading, coordinates};
use crate::physics::watch::{Follow, Unwatched};

/// The fewest samples from which bands are taken: the ends of a 90 % band then have more than one sample beyond them.
pub const FEWEST: u32 = 50;
/// The most samples: some seconds' work, and a few MB.
pub const MOST: u32 = 20_000;
/// How many samples are usual.
pub const USUAL: u32 = 1000;
/// Samples before the first bands are shown; each further lot is as large as all before it, up to the largest.
const FIRST_LOT: u32 = 32;
const LARGEST_LOT: u32 = 512;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The point (A, V).
    pub at: [f64; 2],
    /// How many supplies are drawn.
    pub samples: u32,
    /// Which ones: another seed draws others.
    pub seed: u32,
}

/// What one can read on a meter at the point, or with nothing connected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reading {
    /// Highest output that is still held, at the point's current (V).
    Dropout,
    /// Mean of the bus (V).
    Bus,
    /// Ripple of the bus, peak to peak (V).
    Ripple,
    /// The negative rail (V).
    Rail,
    /// Volts of the positive reference or of that of the negative rail (V).
    ReferenceVolts(Side),
    /// Least current of its tubes (A).
    ReferenceAmps(Side),
    /// The lowest setting that is held at any mains (V).
    Zero,
}

impl Reading {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Dropout,
        Self::Bus,
        Self::Ripple,
        Self::Rail,
        Self::ReferenceVolts(Side::Positive),
        Self::ReferenceAmps(Side::Positive),
        Self::ReferenceVolts(Side::Negative),
        Self::ReferenceAmps(Side::Negative),
        Self::Zero,
    ];

    /// Whether it is a current (A); else it is a voltage (V).
    pub fn is_current(self) -> bool {
        matches!(self, Self::ReferenceAmps(_))
    }
}

/// The band of the dropout line at a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandAt {
    /// Output current (A).
    pub amps: f64,
    /// Highest output that is still held (V); none at all counts as 0 V.
    pub band: Band,
}

/// The odds of one limit at the point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitOdds {
    /// Which.
    pub limit: Limit,
    /// In so many supplies it is known.
    pub judged: u32,
    /// In so many of these it is exceeded.
    pub over: u32,
    /// How much of it is used (1 on its boundary).
    pub used: Band,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// What was asked.
    pub asked: Asked,
    /// Supplies that were drawn and worked out so far.
    pub worked_out: u32,
    /// Supplies that were drawn and are none: at the far ends of wide spreads.
    pub failed: u32,
    /// The dropout line, rising in current.
    pub dropout: Vec<BandAt>,
    /// In so many supplies the point is inside.
    pub inside: u32,
    /// In so many it is over a rating and no more.
    pub over_a_rating: u32,
    /// In so many it is not reached.
    pub out_of_reach: u32,
    /// Each limit that is known in any, the one that is exceeded most often first, then the one that is used most.
    pub limits: Vec<LimitOdds>,
    /// Bands of what one can read; what a supply does not have is left out.
    pub readings: Vec<(Reading, Band)>,
}

/// Currents at which the dropout line is looked at: from none to the end of the reach, and that of the point (A).
pub fn currents(envelope: &Envelope, at: [f64; 2]) -> Vec<f64> {
    const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
    let outline = if envelope.reach.is_empty() {
        &envelope.region
    } else {
        &envelope.reach
    };
    let end = outline.last().map_or(0.0, |[amps, ..]| *amps);
    let mut all: Vec<f64> = SHARES
        .iter()
        .map(|share| in_two_figures(share * end))
        .collect();
    all.push(at[0]);
    all.sort_by(f64::total_cmp);
    all.dedup();
    all
}

/// As one would set it on an ammeter.
fn in_two_figures(amps: f64) -> f64 {
    format!("{amps:.1e}").parse().unwrap_or(amps)
}

/// A point to speak of where none is asked for: half of the way to the end of what is allowed, and there half of the way up (A, V).
pub fn middle(envelope: &Envelope) -> [f64; 2] {
    let end = envelope.region.last().or(envelope.reach.last());
    let amps = in_two_figures(0.5 * end.map_or(0.0, |[amps, ..]| *amps));
    let volts = envelope
        .allowed_volts(amps)
        .or_else(|| envelope.reach_volts(amps));
    let middle = volts.map_or(0.0, |[least, highest]| 0.5 * (least + highest));
    [amps, in_two_figures(middle)]
}

/// Odds and bands of a supply.
///
/// # Errors
/// [`Failure`] of the supply as described; a drawn one that fails is counted.
pub fn odds(spreading: &Spreading, currents: &[f64], asked: Asked) -> Result<Odds, Failure> {
    odds_followed(spreading, currents, asked, &Unwatched)
}

/// The same for someone who may lose interest: asked before each sample, and told what was found so far after each lot of them. A lot
/// that was broken off is left out.
///
/// # Errors
/// As [`odds`].
pub fn odds_followed(
    spreading: &Spreading,
    currents: &[f64],
    asked: Asked,
    watch: &(dyn Follow<Odds> + Sync),
) -> Result<Odds, Failure> {
    let wanted = asked.samples.clamp(FEWEST, MOST);
    let mut tally = Tally::of(spreading, currents, asked)?;
    let mut lot = FIRST_LOT;
    let mut done = 0;
    while done < wanted {
        let end = (done + lot).min(wanted);
        // Each follows from its number alone; they are put together in order.
        let drawn: Option<Vec<Option<Drawn>>> = (done..end)
            .into_par_iter()
            .map(|number| {
                let goes_on = watch.may_go_on(f64::from(number) / f64::from(wanted));
                goes_on.then(|| drawn(spreading, &tally, number).ok())
            })
            .collect();
        let Some(drawn) = drawn else {
            break;
        };
        for one in drawn {
            tally.add(one);
        }
        done = end;
        lot = done.min(LARGEST_LOT);
        watch.so_far(&tally.odds());
    }
    Ok(tally.odds())
}

/// What is read of one drawn supply.
struct Drawn {
    dropout: Vec<Option<f64>>,
    standing: Standing,
    ratios: Vec<Option<f64>>,
    readings: Vec<Option<f64>>,
}

fn drawn(spreading: &Spreading, tally: &Tally<'_>, number: u32) -> Result<Drawn, Failure> {
    let Asked { at, seed, .. } = tally.asked;
    let factors = spreading.factors(&coordinates(number, spreading.dimensions(), seed));
    let model = spreading.model_for(&factors, &tally.cases)?;
    let held = |beside: &Beside| match beside.loaded(&model, Case::Present) {
        Ok(operation) => Ok(held_volts(&model, &operation)),
        Err(Failure::Collapse { .. }) => Ok(Some(0.0)),
        Err(other) => Err(other),
    };
    let dropout = tally.along.iter().map(held).collect::<Result<_, _>>()?;
    let mut judged = Judged::new(&model, &tally.at_point, at[1]);
    let mut used = Vec::with_capacity(tally.limits.len());
    for (limit, judging) in tally.limits.iter().zip(&tally.judging) {
        let ratio = match judging {
            Judging::AsDescribed(ratio) => *ratio,
            Judging::AsDrawn => judged.used(*limit)?,
        };
        used.push((*limit, ratio));
    }
    let standing = judged.standing(&used)?;
    let meters = Meters {
        model: &model,
        operation: judged.loaded(Case::Present)?,
        volts: at[1],
        beside: &tally.at_point,
    };
    Ok(Drawn {
        dropout,
        standing,
        ratios: used.into_iter().map(|(_, ratio)| ratio).collect(),
        readings: Reading::ALL
            .iter()
            .map(|reading| meters.read(*reading))
            .collect(),
    })
}

/// Dropout at present mains (V), 0 where nothing is held; `None` where the pass tubes' curve is not known there.
fn held_volts(model: &Model, operation: &Operation) -> Option<f64> {
    let dropout = model.dropout_volts(Case::Present, operation)?;
    Some(dropout.max(0.0))
}

/// What meters would show at present mains.
struct Meters<'a> {
    model: &'a Model,
    operation: Option<&'a Operation>,
    /// Output volts (V).
    volts: f64,
    beside: &'a Beside,
}

impl Meters<'_> {
    fn reference(&self, side: Side) -> Option<ReferenceAt> {
        let regulator = self.model.regulator(Case::Present).ok()?;
        let [positive, negative] = references(regulator, self.operation?, self.volts);
        match side {
            Side::Positive => positive,
            Side::Negative => negative,
        }
    }

    fn read(&self, reading: Reading) -> Option<f64> {
        let model = self.model;
        match reading {
            Reading::Dropout => {
                let held = |operation| held_volts(model, operation);
                self.operation.map_or(Some(0.0), held)
            }
            Reading::Bus => Some(self.operation?.bus.mean_volts),
            Reading::Ripple => Some(self.operation?.bus.ripple_volts()),
            Reading::Rail => {
                let regulator = model.regulator(Case::Present).ok()?;
                Some(regulator.working_rail()?.operation.bus.mean_volts)
            }
            Reading::ReferenceVolts(side) => Some(self.reference(side)?.volts),
            Reading::ReferenceAmps(side) => {
                let [amps, _] = self.reference(side)?.least_amps;
                Some(amps)
            }
            Reading::Zero => {
                let solve = |case: Case, _none: f64| self.beside.unloaded(model, case);
                Some(zero_setting_from(model, &solve).ok()?.least_usable_volts)
            }
        }
    }
}

/// By what a limit of a drawn supply is judged.
enum Judging {
    /// By what was drawn.
    AsDrawn,
    /// By the supply as described, of which so much is used: makers ask for values of the circuit as they are printed on the parts, and
    /// designs stand exactly at them.
    AsDescribed(Option<f64>),
}

/// All that was drawn, before it is put in order.
struct Tally<'a> {
    asked: Asked,
    currents: &'a [f64],
    /// Where the search starts from at each of the currents, and at the point's.
    along: Vec<Beside>,
    at_point: Beside,
    /// Where the negative rail is needed.
    cases: Vec<Case>,
    limits: Vec<Limit>,
    /// One for each of them.
    judging: Vec<Judging>,
    failed: u32,
    standings: [u32; 3],
    dropout: Vec<Vec<f64>>,
    ratios: Vec<Vec<f64>>,
    readings: Vec<Vec<f64>>,
}

impl<'a> Tally<'a> {
    /// An empty one, for the limits that the supply as described has.
    fn of(spreading: &Spreading, currents: &'a [f64], asked: Asked) -> Result<Self, Failure> {
        let middle = spreading.model(&spreading.middle())?;
        let limits = limit::all(&middle.supply);
        let at_point = Beside::of(&middle, asked.at[0]);
        let described = spreading.model(&vec![1.0; spreading.inputs().len()])?;
        let mut judged = Judged::new(&described, &at_point, asked.at[1]);
        let judging = (limits.iter())
            .map(|limit| {
                Ok(match limit.row().nature {
                    Nature::CircuitValue => Judging::AsDescribed(judged.used(*limit)?),
                    Nature::Reach | Nature::Rating => Judging::AsDrawn,
                })
            })
            .collect::<Result<_, Failure>>()?;
        Ok(Self {
            asked,
            currents,
            along: currents
                .iter()
                .map(|amps| Beside::of(&middle, *amps))
                .collect(),
            at_point,
            judging,
            cases: judged::cases_of_rail(&middle.supply),
            failed: 0,
            standings: [0; 3],
            dropout: vec![Vec::new(); currents.len()],
            ratios: vec![Vec::new(); limits.len()],
            readings: vec![Vec::new(); Reading::ALL.len()],
            limits,
        })
    }

    fn add(&mut self, drawn: Option<Drawn>) {
        let Some(drawn) = drawn else {
            self.failed += 1;
            return;
        };
        let [inside, over, out] = &mut self.standings;
        *match drawn.standing {
            Standing::Inside => inside,
            Standing::OverARating => over,
            Standing::OutOfReach => out,
        } += 1;
        put(&mut self.dropout, drawn.dropout);
        put(&mut self.ratios, drawn.ratios);
        put(&mut self.readings, drawn.readings);
    }

    fn odds(&self) -> Odds {
        let [inside, over_a_rating, out_of_reach] = self.standings;
        let dropout = self.currents.iter().zip(&self.dropout);
        let limits = self.limits.iter().zip(&self.ratios);
        let mut limits: Vec<LimitOdds> = limits
            .filter_map(|(limit, ratios)| {
                Some(LimitOdds {
                    limit: *limit,
                    judged: count(ratios, |_| true),
                    over: count(ratios, |ratio| ratio > 1.0),
                    used: Band::of(ratios)?,
                })
            })
            .collect();
        limits.sort_by(|a, b| {
            let near = |one: &LimitOdds| one.limit.nearness(one.used.middle);
            b.over.cmp(&a.over).then(near(b).total_cmp(&near(a)))
        });
        Odds {
            asked: self.asked,
            worked_out: inside + over_a_rating + out_of_reach,
            failed: self.failed,
            dropout: dropout
                .filter_map(|(amps, volts)| {
                    let band = Band::of(volts)?;
                    Some(BandAt { amps: *amps, band })
                })
                .collect(),
            inside,
            over_a_rating,
            out_of_reach,
            limits,
            readings: (Reading::ALL.iter().zip(&self.readings))
                .filter_map(|(reading, values)| Some((*reading, Band::of(values)?)))
                .collect(),
        }
    }
}

fn put(lists: &mut [Vec<f64>], values: Vec<Option<f64>>) {
    for (list, value) in lists.iter_mut().zip(values) {
        list.extend(value.filter(|value| value.is_finite()));
    }
}

fn count(values: &[f64], fits: impl Fn(f64) -> bool) -> u32 {
    let fitting = values.iter().filter(|value| fits(**value));
    u32::try_from(fitting.count()).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests;
