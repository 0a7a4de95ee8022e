//! The drawer: the resistors one owns, whatever supply is on the bench.

mod lines;
mod spelling;
mod table;

use crate::parts::resistor::Resistor;

pub use lines::{LineFault, Lines, leftover, read_lines, write_line};
pub use spelling::{kind_named, mounting_named, tolerance_named};
pub use table::{kind_word, read_table, write_table};

/// Most resistors that one entry counts; also the most entries of a drawer.
pub const MOST: u8 = 200;

/// Resistors that are alike, and how many of them there are.
#[derive(Debug, Clone, PartialEq)]
pub struct Owned {
    /// How many, at least 1.
    pub count: u8,
    /// What each of them is.
    pub resistor: Resistor,
}

/// All that lies in the drawer, in the order in which it was put there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawer {
    /// The entries.
    pub resistors: Vec<Owned>,
}

impl Drawer {
    /// How many resistors there are in all.
    pub fn count(&self) -> usize {
        self.resistors
            .iter()
            .map(|owned| usize::from(owned.count))
            .sum()
    }

    /// Puts some in. What is just like an entry is counted with it.
    pub fn put(&mut self, new: Owned) {
        let alike = (self.resistors.iter_mut()).find(|old| old.resistor == new.resistor);
        match alike {
            Some(old) => old.count = old.count.saturating_add(new.count).min(MOST),
            None => self.resistors.push(new),
        }
    }
}
