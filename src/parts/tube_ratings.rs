//! What every receiving tube is rated by, pass tube or control tube alike.

use crate::parts::quantity::{Ohms, Volts, Watts};
use crate::parts::rating::Rating;
use crate::parts::rectifier::Heater;

/// Heater and ratings of a tube, per section where an envelope holds several. `None` means not known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TubeRatings {
    /// Heater of one envelope.
    pub heater: Option<Heater>,
    /// Highest plate dissipation of one section (plate and screen if triode-connected).
    pub plate_dissipation: Option<Rating<Watts>>,
    /// Highest screen dissipation of a beam tube or pentode.
    pub screen_dissipation: Option<Rating<Watts>>,
    /// Highest plate volts.
    pub plate_volts: Option<Rating<Volts>>,
    /// Highest heater–cathode volts.
    pub heater_cathode: Option<Rating<Volts>>,
    /// Largest grid-circuit resistance with cathode bias.
    pub grid_resistor: Option<Rating<Ohms>>,
}
