//! What the supply is: plain data, no laws.
//!
//! A [`Supply`] is the signal path from the wall to the terminals:
//! mains → transformer → rectifier → filter → pass stage → output. It is small, `Clone + PartialEq`, and holds nothing
//! that was computed. [`Work`] is the supply with what stands beside it: name, notes, dummy loads.

pub mod accepted;
pub mod as_found;
pub mod catalogue;
pub mod check;
pub mod control_tube;
pub mod copper;
pub mod drawer;
pub mod escape;
pub mod file;
pub mod filter;
pub mod fuse_table;
pub mod gas_tube;
pub mod guessed;
pub mod mains;
pub mod new_supply;
pub mod output;
pub mod own_catalogue;
pub mod pass_stage;
pub mod point_lines;
pub mod primary;
pub mod quantity;
pub mod rating;
pub mod raw_supply;
pub mod readings;
pub mod rectifier;
pub mod regulator;
pub mod resistor;
pub mod spread;
pub mod transformer;
pub mod tube_draft;
pub mod tube_ratings;
pub mod work;

pub use accepted::{Accepted, Amount};
pub use as_found::AsFound;
pub use control_tube::{ControlTubeKind, ControlTubeType, KneePoint, PentodePoint};
pub use copper::Copper;
pub use drawer::{Drawer, Owned};
pub use filter::{CapacitorStack, Filter, FilterSection, SeriesElement};
pub use gas_tube::GasTubeType;
pub use mains::{CrestFactor, Mains};
pub use output::{Dummy, Output, StandBy};
pub use pass_stage::{PassStage, PassTubeType, PlateCharacteristic, TriodeCoefficients};
pub use primary::{CoreBuild, Fuse, FuseKind, FusePlace, Limiter, NoLoadReadings, Primary};
pub use quantity::{
    Amps, Farads, Fraction, Henries, Hertz, Ohms, SecondaryVolts, Seconds, Siemens, VoltAmps,
    Volts, Watts,
};
pub use rating::{Confidence, Figure, Rating, RatingSystem, Source};
pub use raw_supply::RawSupply;
pub use rectifier::{Connection, Rectifier, RectifierLaw, RectifierType};
pub use regulator::{
    BiasRail, Divider, GasReference, GasShunt, HeaterTie, PlateSupply, RailWinding, ReferenceFeed,
    Regulator, ScreenDivider, ScreenFeed, SenseControl, Side, Tap,
};
pub use resistor::{MadeOf, Mounting, Resistor, ResistorKind};
pub use transformer::{Transformer, WindingVolts};
pub use tube_ratings::TubeRatings;
pub use work::Work;

/// A bench supply, part by part: electrical only, nothing that moves no volt.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// The mains.
    pub mains: Mains,
    /// The transformer.
    pub transformer: Transformer,
    /// The rectifier.
    pub rectifier: Rectifier,
    /// The filter.
    pub filter: Filter,
    /// The pass tubes.
    pub pass_stage: PassStage,
    /// The regulator; `None` if it is not described, and what depends on it is then not known.
    pub regulator: Option<Regulator>,
    /// The output and its control.
    pub output: Output,
    /// Ratings accepted as built; empty where the book holds.
    pub accepted: Vec<Accepted>,
    /// What was found of its parts that they do differently from their type and marking.
    pub as_found: AsFound,
}

/// A stage of the signal path; each has a card in the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// The mains.
    Mains,
    /// The transformer.
    Transformer,
    /// The rectifier.
    Rectifier,
    /// The filter.
    Filter,
    /// The pass tubes.
    PassStage,
    /// The control tube and its references.
    Regulator,
    /// The output and its control.
    Output,
    /// The dummy loads.
    Dummies,
}

impl Stage {
    /// The stages that have a card, in order, mains first.
    pub const PATH: [Self; 7] = [
        Self::Mains,
        Self::Transformer,
        Self::Rectifier,
        Self::Filter,
        Self::PassStage,
        Self::Regulator,
        Self::Output,
    ];
}
