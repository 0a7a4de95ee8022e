//! The condition that a unit was found in: what its parts do differently from their type and marking, once somebody has found out.
//!
//! What may be off is a spread ([`crate::parts::spread`]) and moves nothing; what *is* off stands here, and everything that is worked
//! out goes by it.

use crate::parts::quantity::{Amps, Fraction};
use crate::parts::{CapacitorStack, Connection, Supply};

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
    /// Takes away what was found of parts that are not there any more.
    pub fn forget_what_was_found_of_others(&mut self) {
        if self.as_found.is_as_described() {
            return;
        }
        let most: Vec<u8> = (self.filter.stacks())
            .map(|stack| {
                let can = Self::can_lose_a_unit(stack);
                if can { stack.in_series - 1 } else { 0 }
            })
            .collect();
        let found = &mut self.as_found;
        let units = usize::from(self.pass_stage.units);
        found.pass_emission.truncate(units);
        if found.pass_emission.len() == units && found.pass_emission.iter().all(|e| e.0 <= 0.0) {
            found.pass_emission.clear();
        }
        found.shorted_units.truncate(most.len());
        for (shorted, most) in found.shorted_units.iter_mut().zip(most) {
            *shorted = (*shorted).min(most);
        }
        found.dead_plate &= self.rectifier.connection != Connection::HalfWave;
    }

    /// True if a unit of this stack may be shorted and the rest still be a capacitor: several in series, in one string.
    pub fn can_lose_a_unit(stack: &CapacitorStack) -> bool {
        stack.in_series > 1 && stack.strings <= 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::check::check;
    use crate::parts::file::read;

    /// Parts change under what was found of them: nothing is left that the file could not have.
    #[test]
    fn what_was_found_of_parts_that_are_gone_goes() {
        let found = presets().iter().find(|(name, _)| name.contains("school"));
        let mut supply = read(found.unwrap().1, &Catalogue::built_in()).unwrap();
        supply.as_found = AsFound {
            pass_emission: vec![Fraction(0.0), Fraction(0.5)],
            dead_plate: true,
            shorted_units: vec![0, 1],
            open_bleeder: true,
            ..AsFound::default()
        };
        assert_eq!(check(&supply), []);
        supply.forget_what_was_found_of_others();
        assert_eq!(supply.as_found.shorted_units, [0, 1]);
        supply.pass_stage.units = 1;
        supply.filter.sections.clear();
        supply.rectifier.connection = Connection::HalfWave;
        assert!(!check(&supply).is_empty());
        supply.forget_what_was_found_of_others();
        assert_eq!(check(&supply), []);
        assert!(supply.as_found.open_bleeder && supply.as_found.pass_emission.is_empty());
    }
}
