//! Whether one change alone is enough: of a point beyond a limit, whether it brings the point inside as far as this limit
//! goes; of a point within it, how far the best one gets.

use crate::bench::sensitivity::{Sensitivity, Shift};
use crate::bench::variation::Variation;

/// Whether one change is enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Enough<'a> {
    /// The point is beyond the limit, and none of the changes brings it inside.
    None,
    /// The point is beyond the limit, and so many of the changes, each alone, bring it inside; of these one that does least
    /// harm, and of these the smallest.
    Alone(&'a Shift, usize),
    /// The point is within the limit, and this change of all gives most room.
    Farthest(&'a Shift),
    /// The point is within the limit; this change gives most room of those that break no other limit and leave none unjudged.
    FarthestUnharmed(&'a Shift),
    /// The point is within the limit, and none of the changes gives more room.
    NoFarther,
}

/// Whether one of the changes that were found is enough.
pub fn enough(found: &Sensitivity) -> Enough<'_> {
    // A change that does not help does not bring it inside either, however the figures are rounded.
    let helps = found.shifts.iter().filter(|shift| shift.gains);
    if found.holds {
        let unharmed = helps.clone().find(|shift| harm(shift) == 0);
        return match (helps.clone().next(), unharmed) {
            (Some(first), Some(shift)) if first != shift => Enough::FarthestUnharmed(shift),
            (Some(first), _) => Enough::Farthest(first),
            (None, _) => Enough::NoFarther,
        };
    }
    let alone: Vec<&Shift> = helps.filter(|shift| shift.holds).collect();
    // The largest stand first, so that of equals the last is the smallest.
    let best = (alone.iter().rev()).min_by_key(|shift| (harm(shift), is_mains(shift)));
    best.map_or(Enough::None, |shift| Enough::Alone(shift, alone.len()))
}

/// How many other limits the point would be over, or no longer judged by.
fn harm(shift: &Shift) -> usize {
    shift.breaks.len() + shift.opens.len()
}

/// The mains are what they are: a part is the better advice.
fn is_mains(shift: &Shift) -> bool {
    let mains = [Variation::LowerMains, Variation::HigherMains];
    mains.contains(&shift.variation)
}

#[cfg(test)]
mod tests;
