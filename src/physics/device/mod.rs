//! The laws of the devices: rectifiers and pass tubes, one instant at a time.

pub mod rectifier;
pub mod triode;
pub mod triode_fit;
