//! Two things wrong at once, where no single one goes with the readings: what each moves added up, then the best of them solved.

use rayon::prelude::*;

use crate::bench::diagnosis::cause::{Cause, Row};
use crate::bench::diagnosis::errors::is_ripple;
use crate::bench::diagnosis::evidence::{Evidence, ln_sum};
use crate::bench::diagnosis::predicted::{CauseNodes, Node};
use crate::bench::diagnosis::setting::Asked;

/// Two causes at once.
#[derive(Debug, Clone, PartialEq)]
pub struct PairSuspect {
    /// Both, with the pass unit they are of where that matters, and the size that goes best.
    pub of: [(Row, u8, f64); 2],
    /// How much likelier the readings make them than the best single cause: natural logarithm of the ratio.
    pub ahead: f64,
}

/// Sizes of each that are tried.
const TRIED: usize = 7;
/// How many are solved and listed.
const LISTED: usize = 3;

/// The pairs that go better with the readings than the best single cause, of which `single` is the logarithm of weight and likelihood.
pub(super) fn pairs(asked: &Asked, evidence: &Evidence<'_>, single: f64) -> Vec<PairSuspect> {
    let causes = &evidence.predicted().causes;
    let weights: f64 = causes.iter().map(|cause| cause.row.weight).sum();
    let both: Vec<[&CauseNodes; 2]> = causes
        .iter()
        .enumerate()
        .flat_map(|(k, one)| causes.iter().skip(k + 1).map(move |other| [one, other]))
        .filter(|[one, other]| may_meet(one.row.cause, other.row.cause))
        .collect();
    let mut all: Vec<PairSuspect> = both
        .par_iter()
        .filter_map(|[one, other]| pair(evidence, [one, other], weights, single))
        .collect();
    all.sort_by(|a, b| b.ahead.total_cmp(&a.ahead));
    all.truncate(LISTED);
    for pair in &mut all {
        pair.ahead += solved_less_added(asked, evidence, pair);
    }
    all.retain(|pair| pair.ahead > 0.0);
    all.sort_by(|a, b| b.ahead.total_cmp(&a.ahead));
    all
}

/// False where one says what the other denies, or nothing.
fn may_meet(one: Cause, other: Cause) -> bool {
    let denies = |a: Cause, b: Cause| match (a, b) {
        (Cause::Nothing, _)
        | (Cause::WindingLow, Cause::WindingHigh)
        | (Cause::OnePassWeak | Cause::PassWeak, Cause::OnePassDead) => true,
        (Cause::ReferenceLow(side), Cause::ReferenceHigh(of)) => side == of,
        (Cause::CapacitorDried(a), Cause::UnitShorted(b)) => a == b,
        _ => false,
    };
    !denies(one, other) && !denies(other, one)
}

fn thinned(nodes: &[Node]) -> impl Iterator<Item = &Node> {
    let step = nodes.len().div_ceil(TRIED).max(1);
    nodes.iter().step_by(step)
}

fn pair(
    evidence: &Evidence<'_>,
    [one, other]: [&CauseNodes; 2],
    weights: f64,
    single: f64,
) -> Option<PairSuspect> {
    let mut lns = Vec::new();
    let mut best: Option<(f64, &Node, &Node)> = None;
    for a in thinned(&one.nodes) {
        for b in thinned(&other.nodes) {
            let Some(weighed) = evidence.weigh(&added(evidence, a, b)) else {
                continue;
            };
            lns.push(weighed.ln);
            if best.is_none_or(|(ln, _, _)| weighed.ln > ln) {
                best = Some((weighed.ln, a, b));
            }
        }
    }
    let (_, a, b) = best?;
    let tried = thinned(&one.nodes).count() * thinned(&other.nodes).count();
    let prior = (one.row.weight * other.row.weight / (2.0 * weights)).ln();
    let ln = prior + ln_sum(&lns) - (tried.max(1) as f64).ln();
    Some(PairSuspect {
        of: [(one.row, a.unit, a.size), (other.row, b.unit, b.size)],
        ahead: ln - single,
    })
    .filter(|pair| pair.ahead > -SOLVED_ANYWAY)
}

/// A pair that is so little behind may come out ahead once it is solved.
const SOLVED_ANYWAY: f64 = 2.0;

/// What two causes together show, each by itself known: added up, and multiplied for what goes as the ripple.
fn added(evidence: &Evidence<'_>, a: &Node, b: &Node) -> Node {
    let predicted = evidence.predicted();
    let shows = predicted.spots.iter().enumerate().map(|(k, spot)| {
        let of = |values: &[Option<f64>]| values.get(k).copied().flatten();
        let (a, b, sound) = (of(&a.shows)?, of(&b.shows)?, of(&predicted.sound)?);
        Some(if is_ripple(spot.what) && sound > 0.0 {
            a * b / sound
        } else {
            a + b - sound
        })
    });
    Node {
        unit: 0,
        size: 0.0,
        shows: shows.collect(),
        replaces: a.replaces.iter().chain(&b.replaces).copied().collect(),
    }
}

/// By how much better (worse) a pair goes with the readings at its best sizes where it is solved.
fn solved_less_added(asked: &Asked, evidence: &Evidence<'_>, pair: &PairSuspect) -> f64 {
    let [a, b] = pair.of;
    let put = [a, b].map(|(row, unit, size)| (row.cause, unit, size));
    let node = |one: (Cause, u8, f64)| asked.with(&[one]);
    let [first, second] = put.map(node);
    let solved = evidence.weigh(&asked.with(&put));
    let sum = evidence.weigh(&added(evidence, &first, &second));
    match (solved, sum) {
        (Some(solved), Some(sum)) => solved.ln - sum.ln,
        _ => f64::NEG_INFINITY,
    }
}
