//! What to read next: the reading that would tell most of which cause it is, for what it costs.
//!
//! What a reading would tell is its mutual information with the causes, `Σ p·E[ln p(y|k) − ln p(y)]` (nat), each node's reading being
//! normal, by Gauss and Hermite's rule in each.
//!
//! # Source
//! C. E. Shannon (1948), mutual information; nodes and weights of the rule of five points: Abramowitz and Stegun, table 25.10 (values from
//! memory).

use crate::bench::diagnosis::Ranked;
use crate::bench::diagnosis::cause::Cause;
use crate::bench::diagnosis::errors::risk;
use crate::bench::diagnosis::evidence::{Evidence, Taken, largest_place};
use crate::bench::diagnosis::predicted::Node;
use crate::bench::diagnosis::setting::Asked;
use crate::bench::expected::Spot;

/// A reading that may be taken next.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Where.
    pub spot: Spot,
    /// What it would tell (nat).
    pub tells: f64,
    /// What it costs.
    pub risk: f64,
    /// What it would show with each of the two likeliest causes: mean and standard deviation.
    pub with: Vec<(Cause, [f64; 2])>,
}

/// Less than this is not worth a reading (nat).
pub const WORTH: f64 = 0.05;
/// A cause this likely needs no further reading.
pub const SURE: f64 = 0.9;
/// Nodes less likely than this are left out.
const LEAST_SHARE: f64 = 1e-3;
/// How many are listed.
const LISTED: usize = 5;

/// Places and weights of the rule of five points, for a standard normal distribution.
const HERMITE: [[f64; 2]; 5] = [
    [-2.856_970_013_872_806, 0.011_257_411_327_720_7],
    [-1.355_626_179_974_266, 0.222_075_922_005_612_6],
    [0.0, 0.533_333_333_333_333_3],
    [1.355_626_179_974_266, 0.222_075_922_005_612_6],
    [2.856_970_013_872_806, 0.011_257_411_327_720_7],
];

/// A node that counts.
struct Counted<'a> {
    cause: usize,
    node: &'a Node,
    share: f64,
    doubtful: Option<usize>,
}

/// What to read next, the one most worth while first.
pub(super) fn next(asked: &Asked, evidence: &Evidence<'_>, ranked: &[Ranked<'_>]) -> Vec<Next> {
    if ranked.iter().any(|one| one.share >= SURE) {
        return Vec::new();
    }
    let counted = counted(ranked);
    let mut order: Vec<usize> = (0..ranked.len()).collect();
    let share = |k: usize| ranked.get(k).map_or(0.0, |one| one.share);
    order.sort_by(|a, b| share(*b).total_cmp(&share(*a)));
    let first_two: Vec<usize> = order.into_iter().take(2).collect();
    let mut all: Vec<Next> = asked
        .open()
        .filter_map(|(place, spot)| {
            let other = asked.would_be(place, spot);
            one(evidence, ranked, &counted, &first_two, (spot, other))
        })
        .filter(|next| next.tells >= WORTH)
        .collect();
    all.sort_by(|a, b| (b.tells / b.risk).total_cmp(&(a.tells / a.risk)));
    all.truncate(LISTED);
    all
}

fn counted<'a>(ranked: &'a [Ranked<'_>]) -> Vec<Counted<'a>> {
    let mut all = Vec::new();
    for (cause, one) in ranked.iter().enumerate() {
        for ((node, weighed), share) in one.weighed.iter().zip(one.shares()) {
            let share = share * one.share;
            if share >= LEAST_SHARE {
                all.push(Counted {
                    cause,
                    node,
                    share,
                    doubtful: largest_place(&weighed.ln_each).checked_sub(1),
                });
            }
        }
    }
    all
}

fn one(
    evidence: &Evidence<'_>,
    ranked: &[Ranked<'_>],
    counted: &[Counted<'_>],
    first_two: &[usize],
    (spot, other): (Spot, Taken),
) -> Option<Next> {
    // A node at which it is never reached says nothing of what it would show.
    let foretold: Vec<(usize, f64, [f64; 2])> = counted
        .iter()
        .filter_map(|one| {
            let shown = evidence.foretold(one.node, other, one.doubtful)?;
            Some((one.cause, one.share, shown))
        })
        .collect();
    let with = first_two.iter().filter_map(|cause| {
        let mine = foretold.iter().filter(|(of, _, _)| of == cause);
        let (share, mean) = mine
            .clone()
            .fold((0.0, 0.0), |(all, sum), (_, share, [mean, _])| {
                (all + share, sum + share * mean)
            });
        let mean = mean / share;
        let square = mine.fold(0.0, |sum, (_, part, [at, sigma])| {
            sum + part * (sigma * sigma + (at - mean) * (at - mean))
        });
        let row = ranked.get(*cause)?.nodes.row;
        (share > 0.0).then(|| (row.cause, [mean, (square / share).sqrt()]))
    });
    Some(Next {
        spot,
        with: with.collect(),
        tells: information(&foretold)?,
        risk: risk(spot.what),
    })
}

/// Mutual information of a reading and the causes (nat); each row is a cause, a share, mean and standard deviation. `None` of nothing.
fn information(rows: &[(usize, f64, [f64; 2])]) -> Option<f64> {
    let whole: f64 = rows.iter().map(|(_, share, _)| share).sum();
    if whole <= 0.0 {
        return None;
    }
    let of_cause = |cause: usize| -> f64 {
        rows.iter()
            .filter(|(of, _, _)| *of == cause)
            .map(|(_, share, _)| share)
            .sum()
    };
    let density = |y: f64, cause: Option<usize>| -> f64 {
        let mine = rows
            .iter()
            .filter(|(of, _, _)| cause.is_none_or(|cause| cause == *of));
        mine.map(|(_, share, [mean, sigma])| {
            let away = (y - mean) / sigma;
            share * (-0.5 * away * away).exp() / sigma
        })
        .sum()
    };
    let mut sum = 0.0;
    for (cause, share, [mean, sigma]) in rows {
        let own = of_cause(*cause);
        for [place, weight] in HERMITE {
            let y = mean + place * sigma;
            let [here, all] = [density(y, Some(*cause)) / own, density(y, None) / whole];
            sum += share / whole * weight * (here / all).ln();
        }
    }
    sum.is_finite().then_some(sum.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed cases: two causes whose readings lie far apart tell ln 2; two that lie on each other tell nothing; in between about what
    /// the integral gives (`scipy.integrate.quad` for means ±1 of sigma 1: 0.337 nat).
    #[test]
    fn what_a_reading_tells_is_the_mutual_information() {
        let two = |apart: f64| {
            let rows = [(0, 0.5, [-apart, 1.0]), (1, 0.5, [apart, 1.0])];
            information(&rows).unwrap()
        };
        assert!((two(20.0) - 2f64.ln()).abs() < 1e-9);
        assert!(two(0.0).abs() < 1e-12);
        assert!((two(1.0) - 0.336_831).abs() < 0.01, "{}", two(1.0));
        // One cause at two places is still one.
        let one = [(0, 0.5, [-9.0, 1.0]), (0, 0.5, [9.0, 1.0])];
        assert!(information(&one).unwrap().abs() < 1e-9);
    }
}
