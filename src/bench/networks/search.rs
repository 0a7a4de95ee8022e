//! The best of the listed networks, and of those that two of them make where the list ends before.

use std::cmp::Ordering;

use crate::bench::networks::listed::{Extent, Lists, Net, Plan, Stock, Wiring, joint, wired};
use crate::bench::networks::{FARTHEST, MOST_RESISTORS, Wanted};

/// Partners that are tried for one network on each side of the one that fits best.
const NEIGHBOURS: usize = 6;

/// How good a network is: the less, the better, from the first to the last.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rank {
    /// Step of how far it is off.
    step: u8,
    /// How many resistors it takes.
    many: usize,
    /// How much of what it bears it uses, as the share of its highest volts; without volts how little it bears (1/W).
    used: f64,
    /// How far it is off.
    off: f64,
}

impl Rank {
    fn order(&self, other: &Self) -> Ordering {
        (self.step.cmp(&other.step))
            .then(self.many.cmp(&other.many))
            .then(self.used.total_cmp(&other.used))
            .then(self.off.total_cmp(&other.off))
    }
}

/// Steps of how far a network is off: finer ones are lost in the tolerances.
fn step(off: f64) -> Option<u8> {
    let steps = [0.01, 0.02, 0.05, FARTHEST];
    let place = steps.iter().position(|most| off <= *most)?;
    u8::try_from(place).ok()
}

/// The rank of a network (ohms, highest volts); none if it is too far off or does not bear what is wanted.
fn rank([ohms, volts]: [f64; 2], many: usize, wanted: Wanted) -> Option<Rank> {
    let off = (ohms / wanted.ohms - 1.0).abs();
    let used = match wanted.volts {
        Some(across) => across / volts,
        None => ohms / (volts * volts),
    };
    if wanted.volts.is_some() && used > 1.0 {
        return None;
    }
    Some(Rank {
        step: step(off)?,
        many,
        used,
        off,
    })
}

/// The best so far, in order.
struct Best {
    most: usize,
    found: Vec<(Rank, Plan)>,
}

impl Best {
    fn is_good_enough(&self, rank: &Rank) -> bool {
        let last = self.found.last().filter(|_| self.found.len() >= self.most);
        last.is_none_or(|(worst, _)| rank.order(worst) == Ordering::Less)
    }

    /// Puts a network in its place; one that is there already is not put in again.
    fn put(&mut self, rank: Rank, plan: impl FnOnce() -> Option<Plan>) {
        if !self.is_good_enough(&rank) {
            return;
        }
        let Some(plan) = plan() else { return };
        if self.found.iter().any(|(_, known)| *known == plan) {
            return;
        }
        let place = self
            .found
            .partition_point(|(known, _)| known.order(&rank) != Ordering::Greater);
        self.found.insert(place, (rank, plan));
        self.found.truncate(self.most);
    }
}

/// The best networks for what is wanted, at most so many.
pub(super) fn best(stock: &Stock, lists: &Lists, wanted: Wanted, most: usize) -> Vec<Plan> {
    let mut best = Best {
        most,
        found: Vec::new(),
    };
    for size in 1..=MOST_RESISTORS {
        let (places, extent) = lists.of_size(size);
        let near = |bound: f64| {
            let below = |place: &u32| lists.net(*place).is_some_and(|net| net.ohms < bound);
            places.partition_point(below)
        };
        let slack = 1e-9;
        let from = near(wanted.ohms * (1.0 - FARTHEST - slack));
        let to = near(wanted.ohms * (1.0 + FARTHEST + slack));
        for place in places.get(from..to).unwrap_or_default() {
            let Some(net) = lists.net(*place) else {
                continue;
            };
            if let Some(rank) = rank([net.ohms, net.volts], size, wanted) {
                best.put(rank, || lists.plan(*place));
            }
        }
        if extent != Extent::All {
            for smaller in 1..=size / 2 {
                meet(stock, lists, (smaller, size - smaller, wanted), &mut best);
            }
        }
    }
    best.found.into_iter().map(|(_, plan)| plan).collect()
}

/// Puts networks of two sizes together, each with those that fit it best.
fn meet(
    stock: &Stock,
    lists: &Lists,
    (one, other, wanted): (usize, usize, Wanted),
    best: &mut Best,
) {
    let (partners, _) = lists.of_size(other);
    for place in lists.of_size(one).0 {
        let Some(net) = lists.net(*place) else {
            continue;
        };
        for wiring in [Wiring::Series, Wiring::Parallel] {
            let Some(needed) = needed(net, wiring, wanted) else {
                continue;
            };
            let below = |at: &u32| lists.net(*at).is_some_and(|net| net.ohms < needed);
            let middle = partners.partition_point(below);
            let above = partners.get(middle..).unwrap_or_default();
            let under = partners.get(..middle).unwrap_or_default();
            let near = (above.iter().take(NEIGHBOURS)).chain(under.iter().rev().take(NEIGHBOURS));
            for partner in near {
                let Some(with) = lists.net(*partner) else {
                    continue;
                };
                let found = rank(joint(net, with, wiring), one + other, wanted);
                let Some(rank) = found.filter(|rank| best.is_good_enough(rank)) else {
                    continue;
                };
                if stock.together(net.used, with.used).is_some() {
                    best.put(rank, || {
                        Some(wired(wiring, lists.plan(*place)?, lists.plan(*partner)?))
                    });
                }
            }
        }
    }
}

/// The ohms that a partner must have; none where there is no such partner, or where the network alone would not bear its share.
fn needed(net: &Net, wiring: Wiring, wanted: Wanted) -> Option<f64> {
    let (ohms, across) = if wiring == Wiring::Series {
        let share = net.ohms / wanted.ohms;
        (
            wanted.ohms - net.ohms,
            wanted.volts.map(|volts| volts * share),
        )
    } else {
        let siemens = 1.0 / wanted.ohms - 1.0 / net.ohms;
        (1.0 / siemens, wanted.volts)
    };
    // The whole may be off by a tenth, and its share of the volts with it.
    let bears = across.is_none_or(|across| across * (1.0 - FARTHEST) <= net.volts);
    (ohms > 0.0 && ohms.is_finite() && bears).then_some(ohms)
}
