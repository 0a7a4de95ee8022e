//! The mains transformer and its high-voltage winding.

use crate::parts::copper::Copper;
use crate::parts::quantity::{Amps, Ohms, VoltAmps, Volts};
use crate::parts::rating::Rating;

/// What is known of the high-voltage winding. Volts are rms, per half-winding for a centre-tapped one
/// and for the whole winding with a bridge or a half-wave rectifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WindingVolts {
    /// Measured without load at the rated primary volts.
    OpenCircuit(Volts),
    /// A nameplate rating: `volts` at `amps` rms, with all auxiliary windings loaded, at the rated primary volts.
    Loaded {
        /// Rms volts under that load.
        volts: Volts,
        /// Rms amperes of that load.
        amps: Amps,
    },
}

/// The mains transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct Transformer {
    /// Rms primary volts that the winding's volts belong to.
    pub primary_volts: Volts,
    /// The high-voltage winding.
    pub winding: WindingVolts,
    /// DC resistance of the primary.
    pub primary_resistance: Ohms,
    /// How that was measured.
    pub primary_measured: Copper,
    /// DC resistance of the half-winding (centre-tapped) or whole winding (bridge, half-wave).
    pub secondary_resistance: Ohms,
    /// How that was measured.
    pub secondary_measured: Copper,
    /// Rms current rating of the high-voltage winding, if known.
    pub winding_rating: Option<Rating<Amps>>,
    /// Apparent power of everything else on the transformer: heaters and core loss.
    pub auxiliary: VoltAmps,
}

impl Transformer {
    /// Resistance of the primary at work.
    pub fn primary_at_work(&self) -> Ohms {
        self.primary_measured.at_work(self.primary_resistance)
    }

    /// Resistance of the half-winding (whole winding) at work.
    pub fn secondary_at_work(&self) -> Ohms {
        self.secondary_measured.at_work(self.secondary_resistance)
    }

    /// Rms volts of the winding (of each half) as the maker states them: without load where that is known, else under its rated load.
    pub fn stated_volts(&self) -> Volts {
        match self.winding {
            WindingVolts::OpenCircuit(volts) | WindingVolts::Loaded { volts, .. } => volts,
        }
    }
}
