//! The condition that a unit was found in: what its parts do differently from their type and marking, once somebody has found out.
//!
//! What may be off is a spread ([`crate::parts::spread`]) and moves nothing; what *is* off stands here, and everything that is worked
//! out goes by it.

use crate::parts::quantity::{Amps, Fraction};
use crate::parts::{CapacitorStack, Supply};

/// What was found of a unit's parts; by default that all are as described.
#[derive(Debug, Clone, PartialEq)]
pub struct AsFound {
    /// Plate current of each pass unit at equal volts, as a share of its type's; 0 is a dead one. Units beyond the end of the list are as
    /// their type.
    pub pass_emission: Vec<Fraction>,
    /// The rectifier's current at equal drop, as a share of its type's. Means nothing of silicon and mercury vapour.
    pub rectifier_emission: Fraction,
    /// The control tube's plate current at equal volts, as a share of its type's.
    pub control_emission: Fraction,
    /// One plate of a full-wave rectifier, or the half-winding at it, gives nothing; of a bridge one leg is open.
    pub dead_plate: bool,
    /// Units that are shorted in each capacitor's stack, from the rectifier to the bus; none beyond the end of the list.
    pub shorted_units: Vec<u8>,
    /// The bleeder is open.
    pub open_bleeder: bool,
    /// What capacitors and insulation leak from the bus.
    pub leak: Amps,
}

impl Default for AsFound {
    fn default() -> Self {
        Self {
            pass_emission: Vec::new(),
            rectifier_emission: Fraction(1.0),
            control_emission: Fraction(1.0),
            dead_plate: false,
            shorted_units: Vec::new(),
            open_bleeder: false,
            leak: Amps(0.0),
        }
    }
}

impl AsFound {
    /// True if everything is as described.
    pub fn is_as_described(&self) -> bool {
        *self == Self::default()
    }

    /// Shorted units of a capacitor's stack, counted from 0.
    pub fn shorted(&self, capacitor: usize) -> u8 {
        self.shorted_units.get(capacitor).copied().unwrap_or(0)
    }

    /// Emission of each of so many pass units, as a share of the type's.
    pub fn pass_units(&self, units: u8) -> Vec<f64> {
        let given = |unit: usize| self.pass_emission.get(unit).map_or(1.0, |share| share.0);
        (0..usize::from(units.max(1))).map(given).collect()
    }
}

impl Supply {
    /// True if a unit of this stack may be shorted and the rest still be a capacitor: several in series, in one string.
    pub fn can_lose_a_unit(stack: &CapacitorStack) -> bool {
        stack.in_series > 1 && stack.strings <= 1
    }
}
