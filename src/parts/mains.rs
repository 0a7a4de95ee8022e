//! The mains: what the wall gives.

use crate::parts::quantity::{Hertz, Volts};

/// The mains voltage where the supply stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Mains {
    /// Nominal rms volts of the network, e.g. 120 V or 230 V. Design-centre ratings are judged here.
    pub nominal: Volts,
    /// Rms volts now: the mains slider.
    pub present: Volts,
    /// Lowest rms volts to reckon with (−5 % in ANSI C84.1 range A, −10 % in IEC 60038).
    pub low: Volts,
    /// Highest rms volts to reckon with.
    pub high: Volts,
    /// 50 or 60 Hz.
    pub frequency: Hertz,
}
