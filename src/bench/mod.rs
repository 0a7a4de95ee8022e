//! What one does with the supply at the bench.

pub mod acceptance;
pub mod bleeder;
pub mod bus_by_hand;
pub mod capacitor_stack;
pub mod change;
pub mod derating;
pub mod diagnosis;
pub mod expected;
pub mod first_met;
pub mod fuses;
pub mod holding;
pub mod indices;
pub mod load_line;
pub mod morph;
pub mod networks;
pub mod odds;
pub mod plan;
pub mod preferred;
pub mod reforming;
pub mod run_down;
pub mod sensitivity;
pub mod showing;
pub mod variation;
pub mod warm_up;
pub mod working;
