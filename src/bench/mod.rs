//! What one does with the supply at the bench.

pub mod acceptance;
pub mod bus_by_hand;
pub mod change;
pub mod first_met;
pub mod fuses;
pub mod holding;
pub mod indices;
pub mod load_line;
pub mod morph;
pub mod odds;
pub mod preferred;
pub mod sensitivity;
pub mod variation;
pub mod working;
