//! The pass tubes: their type, how many share the current, and what stands around them.

use crate::parts::quantity::{Amps, Fraction, Ohms, Siemens, Volts, Watts};
use crate::parts::rating::{Figure, Rating, Source};
use crate::parts::regulator::HeaterTie;
use crate::parts::tube_ratings::TubeRatings;

/// One published point of the plate family.
#[derive(Debug, Clone, PartialEq)]
pub struct PlatePoint {
    /// Plate–cathode volts at the tube itself.
    pub plate: Volts,
    /// Grid–cathode volts.
    pub grid: Volts,
    /// Plate current (plate and screen together for a triode-connected beam tube).
    pub current: Amps,
    /// Where it is from.
    pub source: Source,
}

/// Published small-signal figures at one point; any may be missing.
#[derive(Debug, Clone, PartialEq)]
pub struct SmallSignal {
    /// Plate–cathode volts at the tube itself.
    pub plate: Volts,
    /// Grid–cathode volts.
    pub grid: Volts,
    /// Amplification factor.
    pub mu: Option<f64>,
    /// Plate resistance.
    pub plate_resistance: Option<Ohms>,
    /// Transconductance.
    pub transconductance: Option<Siemens>,
    /// Where they are from.
    pub source: Source,
}

/// Coefficients of the triode law used here; see `physics::device::triode`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TriodeCoefficients {
    /// Amplification factor µ.
    pub mu: f64,
    /// Exponent x, near 1.5.
    pub exponent: f64,
    /// Current scale `k_g1` (V^x/A).
    pub kg1: f64,
    /// Knee `k_p`.
    pub kp: f64,
    /// Knee `k_vb` (V²).
    pub kvb: f64,
    /// Volts that act with those at the grid's pin: the contact potential, some 0.6 V with an oxide cathode.
    pub grid_offset: Volts,
}

/// What is known of a tube's plate current.
#[derive(Debug, Clone, PartialEq)]
pub enum PlateCharacteristic {
    /// Published points and small-signal figures, to which the law is fitted.
    Published {
        /// Points of the plate family.
        points: Vec<PlatePoint>,
        /// Small-signal figures.
        small_signal: Vec<SmallSignal>,
    },
    /// The law's coefficients themselves.
    Law(TriodeCoefficients),
    /// Only the zero-bias curve as a table of plate volts and current, rising in both.
    ZeroBias(Vec<(Volts, Amps)>),
}

/// A type of pass tube, per unit (section) where an envelope holds several. `None` means not known.
#[derive(Debug, Clone, PartialEq)]
pub struct PassTubeType {
    /// Type designation, e.g. `6080`.
    pub name: String,
    /// A few words: what it is and how it is connected.
    pub about: String,
    /// Units in one envelope.
    pub units: u8,
    /// True for a beam tube or pentode whose screen is tied to the plate: the law gives both currents.
    pub triode_connected: bool,
    /// Share of both currents that the screen takes while it is tied to the plate, as a published row with both at the same
    /// volts gives it; for a triode-connected tube only.
    pub screen_share: Option<Figure<Fraction>>,
    /// What is known of its plate current.
    pub characteristic: PlateCharacteristic,
    /// Heater, and the ratings that every tube has.
    pub ratings: TubeRatings,
    /// Highest plate dissipation of all units of one envelope together, where it is less than their sum.
    pub envelope_dissipation: Option<Rating<Watts>>,
    /// Highest plate (cathode) current of one unit.
    pub plate_current: Option<Rating<Amps>>,
    /// Highest plate volts by plate dissipation of one unit, where the maker gives a chart: falling from the rated plate volts.
    pub plate_volts_by_watts: Option<Vec<(Watts, Volts)>>,
}

/// The pass stage as wired.
#[derive(Debug, Clone, PartialEq)]
pub struct PassStage {
    /// The type in use.
    pub tube: PassTubeType,
    /// Units (sections) in parallel, at least 1.
    pub units: u8,
    /// Resistor in each cathode.
    pub cathode_resistor: Ohms,
    /// Resistor in each plate.
    pub plate_resistor: Ohms,
    /// The worst unit carries (1 + this) times its even share. Ignored where `tube_spread` is given.
    pub imbalance: Fraction,
    /// By how much the plate current of the worst unit exceeds that of the others at equal volts; the imbalance is
    /// then worked out from it and the resistors. `None`: the imbalance is as given.
    pub tube_spread: Option<Fraction>,
    /// To what their heaters are tied; `None` means not known.
    pub heater: Option<HeaterTie>,
    /// Highest grid–cathode volts that the control tube can give: 0 V when it is cut off and no grid current flows.
    pub grid_limit: Volts,
}
