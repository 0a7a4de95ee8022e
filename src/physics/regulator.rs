//! The regulator: how far down the control tube can pull the pass grids, and how well the loop holds the output.
//!
//! Potentials are counted from the output's negative terminal. Read in this order: this → [`floor`](mod@floor) →
//! [`feedback`] → [`ceiling`](mod@ceiling) → [`zero`] → [`pass_current`] → [`sharing`].

pub mod ceiling;
pub mod feedback;
pub mod floor;
pub mod grid_circuit;
pub mod pass_current;
pub mod references;
pub mod rest;
pub mod sharing;
pub mod zero;

#[cfg(test)]
mod tests;

use crate::parts::{HeaterTie, PlateSupply, ReferenceFeed, Tap};
use crate::physics::device::gas_stack::{LinearSource, StackState, TapCurrent};
use crate::physics::device::triode;
use crate::physics::model::RegulatorModel;
use crate::physics::needs::Needs;

/// An instant or a mean of the bus, and what is connected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// The bus (V).
    pub bus_volts: f64,
    /// Output current (A).
    pub amps: f64,
    /// Output volts (V).
    pub volts: f64,
}

/// The pass tubes at a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// Current of one unit, even share (A).
    pub unit_amps: f64,
    /// Plate volts of one unit above its cathode (V).
    pub plate_volts: f64,
    /// Grid volts of one unit above its cathode (V).
    pub grid_volts: f64,
    /// Cathodes above the common (V).
    pub cathode_potential: f64,
    /// Grids above the common (V).
    pub grid_potential: f64,
}

/// Where cathode and divider's foot stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Potentials {
    /// Control tube's cathode above the common (V).
    pub cathode: f64,
    /// Divider's foot above the common (V).
    pub foot: f64,
}

/// Current below which the law of a pass unit is not asked (A): its grid volts would run through a logarithm.
const LEAST_UNIT_AMPS: f64 = 1e-6;

impl RegulatorModel {
    /// What the negative reference carries while the divider sees `output_volts` and the control tube's cathode brings
    /// `cathode_amps`. `None` without a rail that works and has a reference.
    pub fn negative_carried(&self, output_volts: f64, cathode_amps: f64) -> Option<StackState> {
        let stack = self.negative.as_ref()?;
        let feed = (self.working_rail()?).feed(self.regulator.bias_rail.as_ref()?.load);
        // Currents that join come from above: they take the place of the tubes' own.
        let joining = self.joining(cathode_amps, output_volts);
        Some(stack.carry(feed, &joining))
    }

    fn joining(&self, cathode_amps: f64, output_volts: f64) -> [TapCurrent; 2] {
        let at = |tap: Tap| match tap {
            Tap::BiasReference(tubes) => usize::from(tubes),
            _ => 0,
        };
        let foot = at(self.regulator.divider.foot);
        let below = self.negative.as_ref().map_or(0.0, |s| s.volts);
        [
            TapCurrent {
                tubes: at(self.regulator.cathode),
                amps: -cathode_amps,
            },
            TapCurrent {
                tubes: foot,
                amps: -(output_volts + below).max(0.0) / self.regulator.divider.resistance.0,
            },
        ]
    }

    /// What the positive reference carries, its feed at `feed_volts`. `None` without one.
    pub fn positive_carried(&self, feed_volts: f64, cathode_amps: f64) -> Option<StackState> {
        let stack = self.positive.as_ref()?;
        let whole = self.regulator.reference.as_ref()?.tubes.len();
        let joins = TapCurrent {
            tubes: if self.regulator.cathode == Tap::Reference {
                whole
            } else {
                0
            },
            amps: cathode_amps,
        };
        Some(stack.carry(LinearSource::stiff(feed_volts), &[joins]))
    }

    /// From where the positive reference is fed at a load (V).
    pub fn positive_feed_volts(&self, load: Load) -> f64 {
        match self.regulator.reference.as_ref().map(|r| r.fed_from) {
            Some(ReferenceFeed::Output) => load.volts,
            _ => load.bus_volts,
        }
    }

    /// Where a tap stands (V).
    ///
    /// # Errors
    /// What would have to be there.
    fn tap(&self, tap: Tap, load: Load, cathode_amps: f64) -> Result<f64, Needs> {
        match tap {
            Tap::Common => Ok(0.0),
            Tap::Reference => self
                .positive_carried(self.positive_feed_volts(load), cathode_amps)
                .map(|c| c.whole_volts())
                .ok_or(Needs::PositiveReference),
            Tap::BiasReference(tubes) => self
                .negative_carried(load.volts, cathode_amps)
                .map(|c| -c.volts(usize::from(tubes)))
                .ok_or(Needs::NegativeReference),
            Tap::BiasRail => {
                let rail = self.working_rail().ok_or(Needs::NegativeRail)?;
                Ok(-rail.operation.bus.mean_volts)
            }
        }
    }

    /// Where the control tube's cathode and the divider's foot stand.
    ///
    /// # Errors
    /// What would have to be there.
    pub fn potentials(&self, load: Load, cathode_amps: f64) -> Result<Potentials, Needs> {
        let cathode = self.tap(self.regulator.cathode, load, cathode_amps)?;
        let foot = if self.regulator.divider.foot == self.regulator.cathode {
            cathode
        } else {
            self.tap(self.regulator.divider.foot, load, cathode_amps)?
        };
        Ok(Potentials { cathode, foot })
    }

    /// Volts to which the control tube's plate load goes (V).
    pub fn plate_supply_volts(&self, load: Load) -> f64 {
        match self.regulator.plate_supply {
            PlateSupply::Bus => load.bus_volts,
            PlateSupply::Clean(volts) => load.volts + volts.0,
        }
    }

    /// Current that preload, divider and a reference fed from the output take from the output, so that the pass tubes carry it too (A).
    pub fn own_amps(&self, output_volts: f64, foot_potential: f64) -> f64 {
        let preload = self.regulator.preload.map_or(0.0, |r| output_volts / r.0);
        let reference = match &self.regulator.reference {
            Some(reference) if reference.fed_from == ReferenceFeed::Output => self
                .positive_carried(output_volts, 0.0)
                .map_or(0.0, |c| c.feed_amps),
            _ => 0.0,
        };
        preload + reference + (output_volts - foot_potential) / self.regulator.divider.resistance.0
    }

    /// The pass tubes at a load: what their grids need.
    ///
    /// # Errors
    /// What would have to be known.
    pub fn pass_at(&self, load: Load, foot_potential: f64) -> Result<Pass, Needs> {
        let (tubes, law) = (&self.pass, self.pass.triode()?);
        let all = load.amps + self.own_amps(load.volts, foot_potential);
        let unit_amps = (all / tubes.units).max(LEAST_UNIT_AMPS);
        let shunt = load.amps * tubes.shunt_ohms;
        let plate_volts = load.bus_volts - load.volts - shunt - unit_amps * tubes.unit_ohms();
        let grid_volts = triode::grid_volts(law, plate_volts.max(1.0), unit_amps);
        let cathode_potential = load.volts + shunt + unit_amps * tubes.stage.cathode_resistor.0;
        Ok(Pass {
            unit_amps,
            plate_volts,
            grid_volts,
            cathode_potential,
            grid_potential: cathode_potential + grid_volts,
        })
    }

    /// Volts by which the control tube's cathode is above its heater (V); `None` where the tie is not known.
    ///
    /// # Errors
    /// What would have to be there.
    pub fn control_heater_volts(&self, load: Load) -> Result<f64, Needs> {
        let tie = self.regulator.heater.ok_or(Needs::ControlHeaterTie)?;
        let cathode = self.potentials(load, 0.0)?.cathode;
        Ok(match tie {
            HeaterTie::Common => cathode,
            HeaterTie::Cathode => 0.0,
            HeaterTie::Elevated(volts) => cathode - volts.0,
        })
    }
}
