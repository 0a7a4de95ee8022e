//! A unit as it might be in truth: the supply with its values moved, and what else differs at its bench.

use crate::parts::readings::Connected;
use crate::parts::{Fraction, Supply};

/// A unit at a bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// The supply, but for emission of single pass units and leak.
    pub supply: Supply,
    /// Emission of each pass unit over the type's; 0 is a dead one.
    pub emission: Vec<f64>,
    /// What leaks from the bus (A).
    pub leak_amps: f64,
    /// True current over that of the ammeter, of loads that are set by it.
    pub ammeter: f64,
    /// True current over the one that was meant, of single loads.
    pub loads: Vec<(Connected, f64)>,
}

impl Unit {
    /// A unit that is as its supply says.
    pub fn of(supply: Supply) -> Self {
        let emission = vec![1.0; usize::from(supply.pass_stage.units.max(1))];
        Self {
            supply,
            emission,
            leak_amps: 0.0,
            ammeter: 1.0,
            loads: Vec::new(),
        }
    }

    /// The supply with all of it.
    pub fn whole(&self) -> Supply {
        let mut whole = self.supply.clone();
        let is_alike = self
            .emission
            .iter()
            .all(|share| share.to_bits() == 1f64.to_bits());
        if !is_alike {
            whole.as_found.pass_emission = self.emission.iter().map(|e| Fraction(*e)).collect();
        }
        whole.as_found.leak.0 += self.leak_amps;
        whole
    }

    /// True current of a load over the one that was meant.
    pub fn load_factor(&self, load: Connected) -> f64 {
        let meter = match load {
            Connected::Current(_) => self.ammeter,
            Connected::Nothing | Connected::Resistor(_) => 1.0,
        };
        let own = self.loads.iter().find(|(of, _)| *of == load);
        meter * own.map_or(1.0, |(_, factor)| *factor)
    }

    /// Place of a unit, counted from 0, among those that live: `None` if there is no such unit, an inner one if it is dead.
    pub fn live_place(&self, unit: usize) -> Option<Option<usize>> {
        let own = *self.emission.get(unit)?;
        let before = self.emission.iter().take(unit);
        Some((own > 0.0).then(|| before.filter(|share| **share > 0.0).count()))
    }
}
