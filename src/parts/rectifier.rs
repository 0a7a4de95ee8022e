//! The rectifier: its type, how it is connected, and the resistors in its plate leads.

use crate::parts::quantity::{Amps, Farads, Ohms, Volts};
use crate::parts::rating::{Figure, Rating, Source};
use crate::parts::regulator::HeaterTie;

/// How the devices are connected to the winding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Connection {
    /// Two half-windings, one plate on each.
    #[default]
    FullWaveCentreTap,
    /// Four devices on the whole winding, two in series at any time.
    Bridge,
    /// One device on the whole winding.
    HalfWave,
}

/// The law of one device (one plate, one diode), as published.
#[derive(Debug, Clone, PartialEq)]
pub enum RectifierLaw {
    /// High-vacuum plate: three-halves-power law through one published drop.
    Vacuum {
        /// Drop of one plate.
        drop: Figure<Volts>,
        /// At this plate current.
        at: Amps,
    },
    /// Silicon junction: `v = n·V_T·ln(1 + i/I_s)` plus `i` times a series resistance.
    Silicon {
        /// Saturation current.
        saturation: Amps,
        /// Emission coefficient times the thermal voltage, e.g. 1.8 × 25.85 mV.
        emission: Volts,
        /// Bulk resistance.
        resistance: Ohms,
    },
    /// Mercury vapour: a constant drop while it conducts.
    MercuryVapour {
        /// That drop, about 15 V.
        drop: Figure<Volts>,
    },
}

/// A heater or filament.
#[derive(Debug, Clone, PartialEq)]
pub struct Heater {
    /// Rated volts.
    pub volts: Volts,
    /// Rated amperes.
    pub amps: Amps,
    /// True for a filament that is the cathode itself: nothing insulates the two, and no rating of that applies.
    pub filament: bool,
    /// Where they are from.
    pub source: Source,
}

/// A type of rectifier with its published ratings. `None` means that the rating is not known.
#[derive(Debug, Clone, PartialEq)]
pub struct RectifierType {
    /// Type designation, e.g. `5U4-GB`.
    pub name: String,
    /// A few words: what it is.
    pub about: String,
    /// Devices in one envelope.
    pub plates: u8,
    /// The law of one device.
    pub law: RectifierLaw,
    /// Heater, if it has one.
    pub heater: Option<Heater>,
    /// Highest peak inverse volts of one device.
    pub peak_inverse: Option<Rating<Volts>>,
    /// The same by DC output current, where the maker gives a chart: falling. Beyond its end the rating ends.
    pub peak_inverse_by_current: Option<Vec<(Amps, Volts)>>,
    /// Highest steady-state peak current of one device.
    pub peak_current: Option<Rating<Amps>>,
    /// Highest DC output current of the envelope with capacitor input.
    pub dc_current: Option<Rating<Amps>>,
    /// The same with capacitor input by rms plate volts, where the maker gives a chart: falling. Beyond its end the rating ends.
    pub dc_current_by_volts: Option<Vec<(Volts, Amps)>>,
    /// Highest DC output current of the envelope with choke input, where it differs.
    pub dc_current_choke_input: Option<Rating<Amps>>,
    /// Highest transient (hot-switching) peak current of one device.
    pub hot_switching_current: Option<Rating<Amps>>,
    /// Least total effective plate-supply resistance per plate with capacitor input.
    pub least_supply_resistance: Option<Figure<Ohms>>,
    /// The same by rms plate volts, where the maker gives several: rising in both.
    pub least_supply_resistance_by_volts: Option<Vec<(Volts, Ohms)>>,
    /// Largest first capacitor.
    pub largest_first_capacitor: Option<Figure<Farads>>,
    /// Highest heater–cathode volts.
    pub heater_cathode: Option<Rating<Volts>>,
}

impl RectifierType {
    /// True for silicon, which comes one diode at a time.
    pub fn is_silicon(&self) -> bool {
        matches!(self.law, RectifierLaw::Silicon { .. })
    }
}

/// The rectifier as wired.
#[derive(Debug, Clone, PartialEq)]
pub struct Rectifier {
    /// The type in use.
    pub kind: RectifierType,
    /// How it is connected.
    pub connection: Connection,
    /// Devices in parallel in each position, at least 1.
    pub in_parallel: u8,
    /// Silicon diodes in series in each leg, at least 1: they add their drops and share the inverse volts. Tubes stand alone.
    pub in_series: u8,
    /// Resistor in each plate lead (each device has its own).
    pub plate_resistor: Ohms,
    /// Its heater winding; `None` means not known.
    pub heater: Option<HeaterTie>,
}
