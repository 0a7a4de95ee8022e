//! Gas-filled reference and regulator tubes: nearly the same volts over a range of currents.

use crate::parts::quantity::{Amps, Farads, Volts};
use crate::parts::rating::{Figure, Rating};

/// A type of gas tube with its published figures. `None` means not known.
#[derive(Debug, Clone, PartialEq)]
pub struct GasTubeType {
    /// Type designation, e.g. `0A2`.
    pub name: String,
    /// A few words: what it is.
    pub about: String,
    /// Typical running volts.
    pub volts: Figure<Volts>,
    /// Least running volts among tubes of the type.
    pub volts_low: Option<Volts>,
    /// Highest running volts among tubes of the type.
    pub volts_high: Option<Volts>,
    /// Least current: below it the glow leaves part of the cathode and the volts are no longer sure.
    pub current_least: Rating<Amps>,
    /// Highest current.
    pub current_most: Rating<Amps>,
    /// Volts at which it strikes.
    pub strike_volts: Option<Figure<Volts>>,
    /// Least volts of the supply before its feed resistor with which every tube of the type strikes.
    pub supply_least: Option<Figure<Volts>>,
    /// By how much the running volts change over the whole range of current.
    pub regulation_volts: Option<Figure<Volts>>,
    /// Largest capacitor across it that does not make it oscillate.
    pub largest_shunt_capacitor: Option<Figure<Farads>>,
}
