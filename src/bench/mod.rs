//! What one does with the supply at the bench.

pub mod load_line;
