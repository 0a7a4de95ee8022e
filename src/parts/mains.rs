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
    /// Their shape.
    pub crest_factor: CrestFactor,
}

/// Crest of the mains over their rms volts: √2 for a clean sine, less where the tops are flat.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct CrestFactor(pub f64);

impl CrestFactor {
    /// Of a clean sine.
    pub const SINE: Self = Self(core::f64::consts::SQRT_2);
    /// Below this, a third and a fifth harmonic of the same size would no longer flatten the top, but dent it.
    pub const LEAST: Self = Self(1.331);
    /// What one writes for a clean sine lies this little off: no meter tells the two apart.
    const AS_WRITTEN: f64 = 0.0005;

    /// True where a clean sine is meant, as is by 1.414.
    pub fn is_sine(self) -> bool {
        (self.0 - Self::SINE.0).abs() < Self::AS_WRITTEN
    }
}

impl Default for CrestFactor {
    fn default() -> Self {
        Self::SINE
    }
}
