//! The laws of the devices, one instant at a time: rectifiers, tubes, gas tubes.

pub mod control_tube;
pub mod gas_stack;
pub mod plate_law;
pub mod rectifier;
pub mod scaled;
pub mod triode;
pub mod triode_fit;
