//! The circuit and how one step of its time goes, for any e.m.f. and any load: what the repeating waveform is made of.

pub(in crate::physics) mod network;
pub(in crate::physics) mod port;
pub(in crate::physics) mod radau;
pub mod source;
pub(in crate::physics) mod step;
