//! The mains transformer and its high-voltage winding.

use crate::parts::copper::Copper;
use crate::parts::quantity::{Amps, Ohms, SecondaryVolts, VoltAmps, Volts};
use crate::parts::rating::Rating;

/// What is known of the high-voltage winding. Volts are rms, of each half for a centre-tapped one
/// and of the whole winding with a bridge or a half-wave rectifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WindingVolts {
    /// Measured without load at the rated primary volts.
    OpenCircuit(SecondaryVolts),
    /// A nameplate rating: `volts` at `amps` rms, with all auxiliary windings loaded, at the rated primary volts.
    Loaded {
        /// Rms volts under that load.
        volts: SecondaryVolts,
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
    /// DC resistance of each half (centre-tapped), or of the whole winding (bridge, half-wave). Where the halves have other volts, and
    /// the second has no resistance of its own, it is the mean of both, which share it by their turns.
    pub secondary_resistance: Ohms,
    /// DC resistance of the second half of a centre-tapped winding, where it was measured apart; the other is then that of the first.
    pub second_half_resistance: Option<Ohms>,
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

    /// Resistance of each half (whole winding) at work: of the first where they differ.
    pub fn secondary_at_work(&self) -> Ohms {
        let [first, _] = self.halves_at_work();
        first
    }

    /// Resistance of both halves of a centre-tapped winding at work: as stated for each, else shared by turns. Turns go as the stated
    /// volts; of a loaded rating that leaves out what its drops differ by.
    pub fn halves_at_work(&self) -> [Ohms; 2] {
        let measured = |ohms: Ohms| self.secondary_measured.at_work(ohms);
        let mean = self.secondary_resistance;
        let [a, b] = self.stated_halves().map(|volts| volts.0);
        match self.second_half_resistance {
            Some(second) => [measured(mean), measured(second)],
            // The share of equal halves is one to the last bit.
            None => [a, b].map(|volts| measured(Ohms(mean.0 * (volts / (0.5 * (a + b)))))),
        }
    }

    /// Rms volts of the winding as they are stated: without load where that is known, else under its rated load.
    pub fn secondary_volts(&self) -> SecondaryVolts {
        match self.winding {
            WindingVolts::OpenCircuit(volts) | WindingVolts::Loaded { volts, .. } => volts,
        }
    }

    /// The same of both halves; twice the one figure where there is one.
    pub fn stated_halves(&self) -> [Volts; 2] {
        self.secondary_volts().halves()
    }

    /// The same of the higher half, by which ratings are read off.
    pub fn stated_volts(&self) -> Volts {
        self.secondary_volts().higher()
    }

    /// True where the halves of a centre-tapped winding are not alike, in volts or in resistance.
    pub fn has_unequal_halves(&self) -> bool {
        let [a, b] = self.stated_halves();
        let second = self.second_half_resistance;
        a != b || second.is_some_and(|ohms| ohms != self.secondary_resistance)
    }
}
