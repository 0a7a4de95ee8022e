//! The control tube: the small triode or pentode that compares the output with the reference and drives the pass grids.

use crate::parts::pass_stage::{PlateCharacteristic, PlatePoint};
use crate::parts::quantity::{Amps, Ohms, Siemens, Volts};
use crate::parts::rating::{Rating, Source};
use crate::parts::tube_ratings::TubeRatings;

/// A published operating point of a pentode.
#[derive(Debug, Clone, PartialEq)]
pub struct PentodePoint {
    /// Plate–cathode volts at the tube itself.
    pub plate: Volts,
    /// Screen–cathode volts at the tube itself.
    pub screen: Volts,
    /// Control grid–cathode volts.
    pub grid: Volts,
    /// Plate current.
    pub plate_current: Amps,
    /// Screen current.
    pub screen_current: Amps,
    /// Plate resistance.
    pub plate_resistance: Option<Ohms>,
    /// Transconductance, control grid to plate.
    pub transconductance: Siemens,
    /// Where it is from.
    pub source: Source,
}

/// A point of a pentode's plate curves at or below the knee, where the plate takes less of the current the lower it is.
#[derive(Debug, Clone, PartialEq)]
pub struct KneePoint {
    /// Plate–cathode volts at the tube itself.
    pub plate: Volts,
    /// Screen–cathode volts at the tube itself.
    pub screen: Volts,
    /// Control grid–cathode volts.
    pub grid: Volts,
    /// Plate current.
    pub plate_current: Amps,
    /// Where it is from.
    pub source: Source,
}

impl KneePoint {
    /// With the screen at these volts.
    pub fn at(point: &PlatePoint, screen: Volts) -> Self {
        Self {
            plate: point.plate,
            screen,
            grid: point.grid,
            plate_current: point.current,
            source: point.source.clone(),
        }
    }

    /// As a point of the plate curves at its screen volts.
    pub fn on_its_curve(&self) -> PlatePoint {
        PlatePoint {
            plate: self.plate,
            grid: self.grid,
            current: self.plate_current,
            source: self.source.clone(),
        }
    }
}

/// What is known of a control tube's currents.
#[derive(Debug, Clone, PartialEq)]
pub enum ControlTubeKind {
    /// A triode, or a pentode with its screen tied to the plate.
    Triode(PlateCharacteristic),
    /// A pentode with its screen at volts of its own.
    Pentode {
        /// Published operating points, at least one.
        operating_points: Vec<PentodePoint>,
        /// Amplification factor from control grid to screen; it says how far the grid must go to cut the tube off.
        screen_mu: Option<f64>,
        /// Points at the knee: without any it is not known how far the plate can be pulled.
        knee: Vec<KneePoint>,
    },
}

/// A type of control tube, per section where an envelope holds several. `None` means not known.
#[derive(Debug, Clone, PartialEq)]
pub struct ControlTubeType {
    /// Type designation, e.g. `6SJ7`.
    pub name: String,
    /// A few words: what it is.
    pub about: String,
    /// Sections in one envelope.
    pub units: u8,
    /// What is known of its currents.
    pub kind: ControlTubeKind,
    /// Heater, and the ratings that every tube has.
    pub ratings: TubeRatings,
    /// Highest screen volts.
    pub screen_volts: Option<Rating<Volts>>,
}

#[cfg(test)]
impl ControlTubeType {
    /// As if no plate resistance of a pentode were published.
    pub(crate) fn forget_plate_resistance(&mut self) {
        if let ControlTubeKind::Pentode {
            operating_points, ..
        } = &mut self.kind
        {
            for point in operating_points {
                point.plate_resistance = None;
            }
        }
    }
}
