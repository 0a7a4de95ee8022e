//! What readings say of a unit: which single cause goes best with them, every tolerance and every meter's scale integrated out.
//!
//! Never one fit of everything: of planted faults that named a quarter right where this names half of them with the same eight readings,
//! and more with more. How it is done stands in [`evidence`], what may be wrong in [`cause`], how far a reading may be off in [`errors`].

pub mod adopt;
pub mod cause;
mod curve;
pub mod errors;
pub mod evidence;
pub mod narrowed;
pub mod next;
mod pairs;
pub mod predicted;
mod setting;

#[cfg(test)]
mod tests;

pub use pairs::PairSuspect;
pub use setting::{Asked, Remark, remarks_of, usual_loads};

use statrs::distribution::{ChiSquared, ContinuousCDF as _};

use crate::bench::diagnosis::cause::{Cause, Danger, Row};
use crate::bench::diagnosis::evidence::{Evidence, Weighed, largest_place, ln_sum};
use crate::bench::diagnosis::narrowed::{Narrowed, narrowed};
use crate::bench::diagnosis::next::{Next, next};
use crate::bench::diagnosis::pairs::pairs;
use crate::bench::diagnosis::predicted::{CauseNodes, Node, Predicted};
use crate::parts::Work;
use crate::parts::readings::ReadingSet;
use crate::physics::failure::Failure;
use crate::physics::watch::Watch;

/// A cause, as the readings have it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// Its row of the table.
    pub row: Row,
    /// The pass unit that it is of, counted from 0, where that matters.
    pub unit: u8,
    /// How likely it is, of all causes that are known (0 to 1).
    pub share: f64,
    /// Its size.
    pub size: f64,
    /// Standard deviation of the size.
    pub error: f64,
    /// So many of the readings that are off…
    pub explains: usize,
    /// …which are so many.
    pub of_off: usize,
    /// Readings that are still off with it, by their number, with what is left (in the unit of the reading: read less expected).
    pub left_over: Vec<(usize, f64)>,
}

/// A reading beside what was expected of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// Its number in the set.
    pub number: usize,
    /// What the supply as described would show at that mains; `None` where it cannot be told, or is never reached.
    pub expected: Option<f64>,
    /// Standard deviation of that, with the spreads of the supply and the meter's error.
    pub sigma: f64,
    /// Reading less expected, in standard deviations; of a reading that only says "at least", none where it is kept.
    pub off_by: f64,
}

/// Beyond so many standard deviations a reading is off.
pub const OFF: f64 = 2.0;

/// How the best cause goes with the readings as a whole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Square of the distance in standard deviations.
    pub chi_square: f64,
    /// Above this one in a hundred right answers lies.
    pub bound: f64,
}

impl Fit {
    /// False if none of the causes that are known explains the readings.
    pub fn is_good(self) -> bool {
        self.chi_square <= self.bound
    }
}

/// What the readings say.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// The mains that the predictions are of (V).
    pub mains_volts: f64,
    /// The readings beside what was expected.
    pub compared: Vec<Compared>,
    /// The causes, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// The reading that was likely misread, by its number, and how likely that is; `None` where none stands out.
    pub doubtful: Option<(usize, f64)>,
    /// How the best goes with the readings.
    pub fit: Fit,
    /// Pairs of causes that go better with the readings than any single one, best first; empty where a single one does.
    pub pairs: Vec<PairSuspect>,
    /// What to read next, the one most worth while first; empty where nothing would tell more.
    pub next: Vec<Next>,
    /// What they say of the values of a sound unit, those that were narrowed most first.
    pub narrowed: Vec<Narrowed>,
    /// What else has to be said of the readings.
    pub remarks: Vec<Remark>,
    /// So many readings counted.
    pub counted: usize,
}

/// From this share on a cause is almost certain.
pub const ALMOST_CERTAIN: f64 = 0.95;
/// From this share on it is probable.
pub const PROBABLE: f64 = 0.8;
/// From this share on a cause that endangers by itself is said first.
pub const DANGEROUS: f64 = 0.1;
/// Causes below this share are not shown.
pub const SHOWN: f64 = 0.05;
/// From this share on a reading is doubtful.
const DOUBTFUL: f64 = 0.5;

/// What the readings of a set say, the logs of the same bench taken as knowledge of the unit.
///
/// # Errors
/// [`Failure`] of the supply. `None` where whoever asked has lost interest.
pub fn diagnose(
    work: &Work,
    set: &ReadingSet,
    watch: &dyn Watch,
) -> Result<Option<Diagnosis>, Failure> {
    let asked = Asked::of(work, set)?;
    let Some(predicted) = asked.predicted(watch)? else {
        return Ok(None);
    };
    Ok(Some(judge(&asked, &predicted)))
}

/// What readings say, the predictions being known.
pub fn judge(asked: &Asked, predicted: &Predicted) -> Diagnosis {
    let taken = asked.taken(predicted);
    let evidence = Evidence::of(predicted, &taken);
    let weighed = weigh(&evidence);
    let mut ranked = rank(&evidence, &weighed);
    let best = ranked
        .iter()
        .map(|r| r.ln)
        .fold(f64::NEG_INFINITY, f64::max);
    let whole = ln_sum(&ranked.iter().map(|r| r.ln).collect::<Vec<_>>());
    for one in &mut ranked {
        one.share = if whole.is_finite() {
            (one.ln - whole).exp()
        } else {
            0.0
        };
    }
    let judged = evidence.exact().iter().filter(|one| one.log.is_none());
    let counted = judged.count();
    let chi_square = ranked
        .iter()
        .filter(|r| r.ln >= best)
        .map(|r| r.chi_square)
        .fold(f64::INFINITY, f64::min);
    let all_exact = evidence.exact().len();
    let fit = Fit {
        chi_square: if chi_square.is_finite() {
            chi_square
        } else {
            0.0
        },
        bound: bound(all_exact),
    };
    let stretch = (fit.chi_square / all_exact.max(1) as f64).sqrt().max(1.0);
    let off = off(&evidence);
    let mut suspects: Vec<Suspect> = ranked
        .iter()
        .map(|one| suspect(asked, &evidence, one, stretch, &off))
        .collect();
    suspects.sort_by(|a, b| b.share.total_cmp(&a.share));
    let doubtful = doubtful(asked, &evidence, &ranked);
    // Where a single cause does well, pairs would only be guesses.
    let pairs = if fit.chi_square > bound_at(all_exact, PAIRS_FROM) {
        pairs(asked, &evidence, best)
    } else {
        Vec::new()
    };
    Diagnosis {
        mains_volts: asked.mains_volts(),
        compared: asked.compared(predicted, &evidence),
        next: next(asked, &evidence, &ranked),
        narrowed: narrowed(asked, &evidence),
        suspects,
        doubtful,
        fit,
        pairs,
        remarks: asked.remarks(predicted),
        counted,
    }
}

/// Pairs are looked at where fewer than one in ten right answers would go worse with the readings.
const PAIRS_FROM: f64 = 0.9;

fn bound(readings: usize) -> f64 {
    bound_at(readings, 0.99)
}

/// Value below which this share of a χ² distribution lies.
fn bound_at(readings: usize, share: f64) -> f64 {
    ChiSquared::new(readings.max(1) as f64).map_or(f64::INFINITY, |law| law.inverse_cdf(share))
}

/// A cause with its nodes weighed.
pub(in crate::bench::diagnosis) struct Ranked<'a> {
    nodes: &'a CauseNodes,
    /// Each node with how well it goes; those that are never reached are left out.
    weighed: Vec<(&'a Node, &'a Weighed)>,
    /// Logarithm of weight and likelihood.
    ln: f64,
    share: f64,
    chi_square: f64,
}

impl Ranked<'_> {
    /// The best node.
    fn best(&self) -> Option<(&Node, &Weighed)> {
        let lns: Vec<f64> = self.weighed.iter().map(|(_, w)| w.ln).collect();
        self.weighed.get(largest_place(&lns)).copied()
    }

    /// Its nodes with their shares of all that is likely.
    fn shares(&self) -> Vec<f64> {
        let lns: Vec<f64> = self.weighed.iter().map(|(_, w)| w.ln).collect();
        let whole = ln_sum(&lns);
        lns.iter().map(|ln| (ln - whole).exp()).collect()
    }
}

fn weigh(evidence: &Evidence<'_>) -> Vec<Vec<Option<Weighed>>> {
    let causes = evidence.predicted().causes.iter();
    causes
        .map(|cause| {
            cause
                .nodes
                .iter()
                .map(|node| evidence.weigh(node))
                .collect()
        })
        .collect()
}

fn rank<'a>(evidence: &'a Evidence<'_>, weighed: &'a [Vec<Option<Weighed>>]) -> Vec<Ranked<'a>> {
    let causes = evidence.predicted().causes.iter().zip(weighed);
    causes
        .map(|(cause, each)| {
            let known: Vec<(&Node, &Weighed)> = cause
                .nodes
                .iter()
                .zip(each)
                .filter_map(|(node, weighed)| Some((node, weighed.as_ref()?)))
                .collect();
            let lns: Vec<f64> = known.iter().map(|(_, w)| w.ln).collect();
            let mean = ln_sum(&lns) - (cause.nodes.len().max(1) as f64).ln();
            let best = lns.is_empty().then_some(f64::INFINITY);
            let chi_square = best.unwrap_or_else(|| {
                let place = largest_place(&lns);
                known
                    .get(place)
                    .map_or(f64::INFINITY, |(_, w)| w.chi_square)
            });
            Ranked {
                nodes: cause,
                weighed: known,
                ln: cause.row.weight.ln() + mean,
                share: 0.0,
                chi_square,
            }
        })
        .collect()
}

/// Readings that are off at the sound unit, by their place among the exact ones.
fn off(evidence: &Evidence<'_>) -> Vec<bool> {
    let sound = &evidence.predicted().sound;
    let sigmas = evidence.sigmas();
    let all = evidence.exact().iter().zip(sigmas);
    all.map(|(one, sigma)| {
        let shown = sound.get(one.spot).copied().flatten();
        one.log.is_none() && shown.is_none_or(|shown| (one.value - shown).abs() > OFF * sigma)
    })
    .collect()
}

fn suspect(
    asked: &Asked,
    evidence: &Evidence<'_>,
    ranked: &Ranked<'_>,
    stretch: f64,
    off: &[bool],
) -> Suspect {
    let row = ranked.nodes.row;
    let of_off = off.iter().filter(|off| **off).count();
    let Some((best, _)) = ranked.best() else {
        return Suspect {
            row,
            unit: 0,
            share: 0.0,
            size: 0.0,
            error: 0.0,
            explains: 0,
            of_off,
            left_over: Vec::new(),
        };
    };
    // Of two ranges the one it is likelier to be in; of several units the likeliest.
    let alike = |node: &Node| node.unit == best.unit && (node.size < 0.0) == (best.size < 0.0);
    let shares = ranked.shares();
    let chosen: Vec<(f64, f64)> = ranked
        .weighed
        .iter()
        .zip(&shares)
        .filter(|((node, _), _)| alike(node))
        .map(|((node, _), share)| (node.size, *share))
        .collect();
    let whole: f64 = chosen.iter().map(|(_, share)| share).sum();
    let mean = chosen.iter().map(|(size, share)| size * share).sum::<f64>() / whole;
    let variance = chosen
        .iter()
        .map(|(size, share)| share * (size - mean) * (size - mean))
        .sum::<f64>()
        / whole;
    // Between two nodes it may be anywhere.
    let ends = chosen.iter().fold(
        [f64::INFINITY, f64::NEG_INFINITY],
        |[low, high], (size, _)| [low.min(*size), high.max(*size)],
    );
    let step = (ends[1] - ends[0]) / chosen.len().saturating_sub(1).max(1) as f64;
    let variance = variance + step * step / 12.0;
    let near = |node: &&(&Node, &Weighed)| alike(node.0);
    let at_mean = ranked
        .weighed
        .iter()
        .filter(near)
        .min_by(|a, b| (a.0.size - mean).abs().total_cmp(&(b.0.size - mean).abs()))
        .map_or(best, |(node, _)| node);
    let left_over = left_over(asked, evidence, at_mean);
    let is_left = |place: usize| left_over.iter().any(|(of, _, _)| *of == place);
    let explains = off
        .iter()
        .enumerate()
        .filter(|(place, off)| **off && !is_left(*place))
        .count();
    Suspect {
        row,
        unit: best.unit,
        share: ranked.share,
        size: mean,
        error: stretch * variance.max(0.0).sqrt(),
        explains,
        of_off,
        left_over: left_over
            .into_iter()
            .map(|(_, number, miss)| (number, miss))
            .collect(),
    }
}

/// Readings that are off at a node: place among the exact ones, number in the set, what is left.
fn left_over(asked: &Asked, evidence: &Evidence<'_>, node: &Node) -> Vec<(usize, usize, f64)> {
    let Some((shows, sigmas)) = evidence.at(node) else {
        return Vec::new();
    };
    let all = evidence.exact().iter().zip(shows.iter().zip(&sigmas));
    all.enumerate()
        .filter(|(_, (one, (shown, sigma)))| {
            one.log.is_none() && (one.value - *shown).abs() > OFF * **sigma
        })
        .filter_map(|(place, (one, (shown, _)))| {
            Some((place, asked.number_of(one.spot)?, one.value - shown))
        })
        .collect()
}

/// The reading that was likely misread, over all causes.
fn doubtful(asked: &Asked, evidence: &Evidence<'_>, ranked: &[Ranked<'_>]) -> Option<(usize, f64)> {
    let mut likely = vec![0.0; evidence.exact().len()];
    for one in ranked {
        for ((_, weighed), share) in one.weighed.iter().zip(one.shares()) {
            let whole = ln_sum(&weighed.ln_each);
            for (sum, ln) in likely.iter_mut().zip(weighed.ln_each.iter().skip(1)) {
                *sum += one.share * share * (ln - whole).exp();
            }
        }
    }
    let place = largest_place(&likely);
    let (one, share) = (evidence.exact().get(place)?, *likely.get(place)?);
    (share > DOUBTFUL && one.log.is_none())
        .then(|| Some((asked.number_of(one.spot)?, share)))
        .flatten()
}

impl Diagnosis {
    /// Causes worth showing: those with a danger of their own first, then the likeliest three.
    pub fn shown(&self) -> Vec<&Suspect> {
        let is_danger =
            |one: &&Suspect| one.row.danger == Danger::OfItsOwn && one.share > DANGEROUS;
        let mut all: Vec<&Suspect> = self.suspects.iter().filter(is_danger).collect();
        let rest = self.suspects.iter().filter(|one| !is_danger(one));
        let rest: Vec<&Suspect> = rest.take(3).filter(|one| one.share > SHOWN).collect();
        all.extend(rest);
        all
    }

    /// The likeliest cause.
    pub fn best(&self) -> Option<&Suspect> {
        self.suspects.first()
    }

    /// How likely a cause is (0 to 1).
    pub fn share_of(&self, cause: Cause) -> f64 {
        let found = self.suspects.iter().find(|one| one.row.cause == cause);
        found.map_or(0.0, |one| one.share)
    }
}
