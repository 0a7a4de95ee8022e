//! Ratings accepted as built: up to the owner's bound they do not count as exceeded.
//!
//! Makers ran tubes above the book, and such units worked for decades. A rating that the supply's own design exceeds may be
//! accepted up to a bound; what later passes the bound is over again.

use crate::parts::{Accepted, Amount, Amps, Farads, Ohms, Supply, Volts, Watts};
use crate::physics::limit::{Limit, Measure, Nature, ROWS, all, published};

/// Why an acceptance says nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unfit {
    /// There is no limit of this name.
    NoSuchLimit,
    /// There is one, but none of the supply's parts has it.
    NotOfThisSupply,
    /// What the supply does, not a rating: nothing breaks beyond it, so there is nothing to accept.
    NotARating(Limit),
    /// The rating itself is not known.
    RatingNotKnown(Limit),
    /// The bound is of another kind than the rating.
    OtherMeasure(Limit),
    /// The bound lies within the rating, which is this (in its SI unit).
    WithinTheRating(Limit, f64),
    /// An earlier acceptance, counted from 0, is of the same rating.
    Twice(Limit, usize),
}

/// The acceptance of a limit, if there is one that says anything.
pub fn acceptance(limit: Limit, supply: &Supply) -> Option<&Accepted> {
    if supply.accepted.is_empty() {
        return None;
    }
    let key = limit.key();
    let found = supply.accepted.iter().find(|one| one.rating == key)?;
    fits(limit, found, supply).is_ok().then_some(found)
}

/// The acceptances that say nothing, by their place, and why.
pub fn unfit(supply: &Supply) -> Vec<(usize, Unfit)> {
    if supply.accepted.is_empty() {
        return Vec::new();
    }
    let limits = all(supply);
    let mut out = Vec::new();
    for (index, one) in supply.accepted.iter().enumerate() {
        let why = match limits.iter().find(|limit| limit.key() == one.rating) {
            None if is_name_of_a_limit(&one.rating) => Err(Unfit::NotOfThisSupply),
            None => Err(Unfit::NoSuchLimit),
            Some(&limit) => {
                let earlier = supply.accepted.iter().take(index);
                match earlier.into_iter().position(|e| e.rating == one.rating) {
                    Some(first) => Err(Unfit::Twice(limit, first)),
                    None => fits(limit, one, supply),
                }
            }
        };
        out.extend(why.err().map(|why| (index, why)));
    }
    out
}

fn fits(limit: Limit, one: &Accepted, supply: &Supply) -> Result<(), Unfit> {
    if limit.row().nature == Nature::Reach {
        return Err(Unfit::NotARating(limit));
    }
    let rated = published(limit, supply).map_err(|_needs| Unfit::RatingNotKnown(limit))?;
    let rated = rated.value;
    if measure(one.up_to) != limit.measure() {
        return Err(Unfit::OtherMeasure(limit));
    }
    // Beyond the rating is on its bad side: that is where a thing as large as the bound would be over.
    if limit.row().bound.room(one.up_to.si(), rated) >= 0.0 {
        return Err(Unfit::WithinTheRating(limit, rated));
    }
    Ok(())
}

/// True for the name of any limit, whichever capacitor or choke it counts.
fn is_name_of_a_limit(name: &str) -> bool {
    let pattern: String = (name.split('_'))
        .map(|word| match word.parse::<u8>() {
            Ok(1..) => "#",
            _ => word,
        })
        .collect::<Vec<_>>()
        .join("_");
    ROWS.iter().any(|row| row.key == pattern)
}

/// What an amount is measured in.
fn measure(amount: Amount) -> Measure {
    match amount {
        Amount::Volts(_) => Measure::Volts,
        Amount::Amps(_) => Measure::Amps,
        Amount::Watts(_) => Measure::Watts,
        Amount::Ohms(_) => Measure::Ohms,
        Amount::Farads(_) => Measure::Farads,
    }
}

impl Measure {
    /// So much of it, in its SI unit.
    pub fn amount(self, value: f64) -> Amount {
        match self {
            Self::Volts => Amount::Volts(Volts(value)),
            Self::Amps => Amount::Amps(Amps(value)),
            Self::Watts => Amount::Watts(Watts(value)),
            Self::Ohms => Amount::Ohms(Ohms(value)),
            Self::Farads => Amount::Farads(Farads(value)),
        }
    }
}
