//! A raw supply: what makes a direct voltage that nothing regulates. A bench supply has one for its bus, and a small one for its
//! negative rail.

use crate::parts::{
    BiasRail, Filter, Mains, Rectifier, SecondaryVolts, Supply, Transformer, WindingVolts,
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

    /// What makes a negative rail, as a positive supply: a winding of its own on the same transformer, whose primary and auxiliary
    /// load it shares.
    pub fn raw_rail(&self, rail: &BiasRail) -> RawSupply {
        RawSupply {
            mains: self.mains.clone(),
            transformer: Transformer {
                winding: WindingVolts::OpenCircuit(SecondaryVolts::One(rail.winding)),
                secondary_resistance: rail.winding_resistance,
                second_half_resistance: None,
                secondary_measured: rail.winding_measured,
                winding_rating: None,
                ..self.transformer.clone()
            },
            rectifier: rail.rectifier.clone(),
            filter: rail.filter.clone(),
        }
    }
}
