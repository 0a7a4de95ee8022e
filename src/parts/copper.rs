//! Copper of a winding: whether its resistance was measured warm, as it works, or cold.

use crate::parts::quantity::Ohms;

/// How the resistance of a winding was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Copper {
    /// As it is at work, after an hour or so; or what was measured is taken as it stands.
    #[default]
    Warm,
    /// Before it was switched on.
    Cold,
}

impl Copper {
    /// By how much the resistance of copper rises with each kelvin (temperature coefficient near room temperature, tables of materials;
    /// value from memory).
    pub const PER_KELVIN: f64 = 0.003_9;
    /// How much warmer a winding is at work than cold (K; common practice, no source).
    pub const KELVINS: f64 = 50.0;

    /// What a measured resistance is at work (Ω).
    pub fn at_work(self, measured: Ohms) -> Ohms {
        match self {
            Self::Warm => measured,
            Self::Cold => Ohms(measured.0 * (1.0 + Self::PER_KELVIN * Self::KELVINS)),
        }
    }
}
