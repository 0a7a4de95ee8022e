//! The pass tubes between bus and output: how little they can drop, and what stands around them.

use crate::parts::{PassStage, Supply, TriodeCoefficients};
use crate::physics::device::plate_law::PlateLaw;
use crate::physics::needs::Needs;

/// The pass tubes as wired, with their law.
#[derive(Debug, Clone, PartialEq)]
pub struct PassTubes {
    /// As described.
    pub stage: PassStage,
    /// The law of one unit; `None` where nothing can be fitted.
    pub law: Option<PlateLaw>,
    /// Units that share the current, at least 1.
    pub units: f64,
    /// Plate current of each unit at equal volts, over their mean; empty where they are alike.
    pub relative: Vec<f64>,
    /// Meter shunt and fuse between the cathodes and the output (Ω).
    pub shunt_ohms: f64,
}

/// What goes through the pass tubes, all units together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PassCurrent {
    /// What is connected takes this, through the meter shunt as well (A).
    pub output_amps: f64,
    /// The described regulator takes this from the output's positive terminal: sense divider, preload, a reference fed from the
    /// output (A), not negative.
    pub regulator_amps: f64,
}

impl PassCurrent {
    /// The whole pass current (A).
    pub fn amps(self) -> f64 {
        self.output_amps + self.regulator_amps
    }
}

/// Current below which the law of a unit with negative grid is not asked (A): far less than any feedback divider draws.
const LEAST_UNIT_AMPS: f64 = 1e-5;

impl PassTubes {
    /// Of a supply whose tube has this law.
    pub(super) fn new(supply: &Supply, law: Option<PlateLaw>) -> Self {
        Self {
            stage: supply.pass_stage.clone(),
            law,
            units: f64::from(supply.pass_stage.units.max(1)),
            relative: (supply.as_found.pass_emission.iter())
                .map(|share| share.0)
                .collect(),
            shunt_ohms: supply.output.meter_shunt.0,
        }
    }

    /// The smooth law of one unit.
    ///
    /// # Errors
    /// A zero-bias curve says nothing of other grid volts.
    pub fn triode(&self) -> Result<&TriodeCoefficients, Needs> {
        match &self.law {
            Some(PlateLaw::Triode(law)) => Ok(law),
            _ => Err(Needs::PassCurvesBelowZeroBias),
        }
    }

    /// Resistance in series with one unit: cathode and plate resistor (Ω).
    pub fn unit_ohms(&self) -> f64 {
        self.stage.cathode_resistor.0 + self.stage.plate_resistor.0
    }

    /// Least volts between bus and output terminals: an even share of the pass current through each unit with its grid
    /// as high as it may go, its resistors, and the meter shunt (V). `None` where the tube's curve is not known.
    pub fn least_drop(&self, current: PassCurrent) -> Option<f64> {
        let grid_limit = self.stage.grid_limit.0;
        // With a grid held negative the drop runs through a logarithm towards no current; the last microamperes mean nothing.
        let least = if grid_limit < 0.0 {
            LEAST_UNIT_AMPS
        } else {
            0.0
        };
        let share = (current.amps() / self.units).max(least);
        let tube = self.law.as_ref()?.plate_volts(share, grid_limit)?;
        Some(tube + share * self.unit_ohms() + current.output_amps * self.shunt_ohms)
    }

    /// Current of the worst unit by the imbalance as given (A): `(1 + imbalance)/units` of the pass current, but never more than all.
    pub fn worst_unit_amps_as_given(&self, pass_amps: f64) -> f64 {
        pass_amps * ((1.0 + self.stage.imbalance.0) / self.units).min(1.0)
    }

    /// Volts by which the cathodes are above the output, with an even share of the current (V): over their resistors
    /// and the meter shunt.
    pub fn cathode_lift(&self, current: PassCurrent) -> f64 {
        current.output_amps * self.shunt_ohms
            + current.amps() / self.units * self.stage.cathode_resistor.0
    }
}
