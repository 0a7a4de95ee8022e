//! What one works on and keeps in a file: the supply, and beside it what moves no volt.

use crate::parts::readings::Bench;
use crate::parts::spread::{Condition, StatedSpread};
use crate::parts::{Dummy, Primary, Supply};

/// A supply with its name, its notes and the loads at hand. Plan and readings stand here too.
#[derive(Debug, Clone, PartialEq)]
pub struct Work {
    /// What the supply is called.
    pub name: String,
    /// Free notes of the user; never lost.
    pub notes: String,
    /// The supply itself: all that the answers depend on.
    pub supply: Supply,
    /// Dummy loads at hand.
    pub dummies: Vec<Dummy>,
    /// Fields whose values nobody measured, as the file names them (`transformer.secondary_resistance`); see [`crate::parts::guessed`].
    pub guessed: Vec<String>,
    /// How far values may be off, where that is known better than by their kind; see [`crate::parts::spread`].
    pub spreads: Vec<StatedSpread>,
    /// How worn the parts are of which that is not known.
    pub condition: Condition,
    /// Meters, plan and readings.
    pub bench: Bench,
    /// The primary side: what switching on depends on, and no volt of the supply at work.
    pub primary: Primary,
}
