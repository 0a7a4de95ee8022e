//! What one does with the supply at the bench.

pub mod acceptance;
pub mod bus_by_hand;
pub mod change;
pub mod diagnosis;
pub mod expected;
pub mod first_met;
pub mod holding;
pub mod indices;
pub mod load_line;
pub mod morph;
pub mod odds;
pub mod plan;
pub mod preferred;
pub mod sensitivity;
pub mod variation;
pub mod working;
