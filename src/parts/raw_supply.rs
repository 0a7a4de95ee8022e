//! A raw supply: what makes a direct voltage that nothing regulates. A bench supply has one for its bus, and a small one for its
//! negative rail.

use crate::parts::{
    BiasRail, Copper, Filter, Mains, Ohms, RailWinding, Rectifier, SecondaryVolts, Supply,
    Transformer, Volts, WindingVolts,
};

/// Mains, transformer, rectifier and filter.
#[derive(Debug, Clone, PartialEq)]
pub struct RawSupply {
    /// The mains.
    pub mains: Mains,
    /// The transformer with the winding that feeds this rectifier.
    pub transformer: Transformer,
    /// The rectifier.
    pub rectifier: Rectifier,
    /// The filter.
    pub filter: Filter,
}

impl Supply {
    /// What makes the bus.
    pub fn raw(&self) -> RawSupply {
        RawSupply {
            mains: self.mains.clone(),
            transformer: self.transformer.clone(),
            rectifier: self.rectifier.clone(),
            filter: self.filter.clone(),
        }
    }

    /// What makes a negative rail, as a positive supply, from a winding of so many volts and this resistance on the same transformer,
    /// whose primary and auxiliary load it shares.
    pub fn raw_rail(&self, rail: &BiasRail, volts: Volts, resistance: (Ohms, Copper)) -> RawSupply {
        RawSupply {
            mains: self.mains.clone(),
            transformer: Transformer {
                winding: WindingVolts::OpenCircuit(SecondaryVolts::One(volts)),
                secondary_resistance: resistance.0,
                second_half_resistance: None,
                secondary_measured: resistance.1,
                winding_rating: None,
                ..self.transformer.clone()
            },
            rectifier: rail.rectifier.clone(),
            filter: rail.filter.clone(),
        }
    }

    /// A negative rail that hangs on the high-voltage winding, if there is one.
    pub fn rail_on_high_voltage(&self) -> Option<&BiasRail> {
        let rail = self.regulator.as_ref()?.bias_rail.as_ref()?;
        rail.winding.own().is_none().then_some(rail)
    }

    /// Rms volts of what feeds a negative rail, as they are stated.
    pub fn rail_volts(&self, rail: &BiasRail) -> Volts {
        match rail.winding {
            RailWinding::Own(volts) | RailWinding::HighVoltageTap(volts) => volts,
            RailWinding::HighVoltageEnd => {
                let [first, _] = self.transformer.stated_halves();
                first
            }
        }
    }
}
