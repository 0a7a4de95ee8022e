//! What one does with the supply at the bench.

pub mod change;
pub mod holding;
pub mod load_line;
pub mod morph;
pub mod reach;
pub mod sensitivity;
pub mod variation;
pub mod working;
