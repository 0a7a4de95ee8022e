//! The regulator: how far down the control tube can pull the pass grids, and how well the loop holds the output.
//!
//! Potentials are counted from the output's negative terminal. What does not depend on the load is worked out once for
//! each case of the mains, as a [`Stand`]: the negative rail, the references, the laws of the tubes. Read in this order:
//! [`control`] → [`mod@reference`] → [`bias_rail`] → this → [`floor`](mod@floor) → [`feedback`] → [`ceiling`](mod@ceiling) →
//! [`zero`] → [`sharing`].

pub mod bias_rail;
pub mod ceiling;
pub mod control;
pub mod feedback;
pub mod floor;
pub mod grid_circuit;
pub mod reference;
pub mod references;
pub mod rest;
mod root;
pub mod sharing;
pub mod zero;

#[cfg(test)]
mod tests;

use std::cell::RefCell;
use std::sync::Arc;

use crate::parts::{
    HeaterTie, PlateSupply, ReferenceFeed, Regulator, Supply, Tap, TriodeCoefficients,
};
use crate::physics::device::triode;
use crate::physics::operation::Case;
use crate::physics::pass_stage::{PlateLaw, law_of, unit_ohms};
use crate::physics::steady_state::mains_volts;
use bias_rail::{Line, Rail};
use control::{ControlLaw, control_law_of};
use reference::{Carried, Joining, Stack};

/// What the regulator stands on in one case, whatever the load.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The case.
    pub case: Case,
    /// The regulator as described.
    pub regulator: Regulator,
    /// The pass tube's law; what would have to be known where it has none for negative grids.
    pub pass: Result<TriodeCoefficients, &'static str>,
    /// The control tube's law.
    pub control: Result<ControlLaw, &'static str>,
    /// The positive reference.
    pub positive: Option<Stack>,
    /// The negative rail, if there is one; what went wrong where it gives no voltage.
    pub rail: Option<Result<Rail, String>>,
    /// The negative reference.
    pub negative: Option<Stack>,
    units: f64,
    cathode_ohms: f64,
    unit_ohms: f64,
    shunt_ohms: f64,
}

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

thread_local! {
    /// The stands of the supply asked last, one for each case: many limits ask for the same.
    static LAST: RefCell<Option<(Supply, Vec<Arc<Stand>>)>> = const { RefCell::new(None) };
}

/// What the supply's regulator stands on in a case; `None` if none is described.
pub fn stand(supply: &Supply, case: Case) -> Option<Arc<Stand>> {
    let regulator = supply.regulator.as_ref()?;
    LAST.with_borrow_mut(|last| {
        let known = last.as_ref().is_some_and(|(of, _)| same(of, supply));
        if !known {
            *last = Some((supply.clone(), Vec::new()));
        }
        let (_, stands) = last.as_mut()?;
        if let Some(stand) = stands.iter().find(|s| s.case == case) {
            return Some(Arc::clone(stand));
        }
        let new = Arc::new(Stand::of(supply, regulator, case));
        stands.push(Arc::clone(&new));
        Some(new)
    })
}

/// True if both have the same stands: dummies, notes, filter and rectifier of the bus do not matter.
fn same(a: &Supply, b: &Supply) -> bool {
    a.mains == b.mains
        && a.transformer == b.transformer
        && a.pass_stage == b.pass_stage
        && a.output == b.output
        && a.regulator == b.regulator
}

impl Stand {
    fn of(supply: &Supply, regulator: &Regulator, case: Case) -> Self {
        let rail = regulator.bias_rail.as_ref();
        let divider_amps = rail.map_or(0.0, |r| match regulator.divider.foot {
            Tap::BiasRail => {
                (r.winding.0 * core::f64::consts::SQRT_2) / regulator.divider.resistance.0
            }
            _ => 0.0,
        });
        let stage = &supply.pass_stage;
        Self {
            case,
            regulator: regulator.clone(),
            pass: match law_of(supply) {
                Some(PlateLaw::Triode(law)) => Ok(law),
                _ => Err("the pass tube's curves below zero bias"),
            },
            control: control_law_of(&regulator.control_tube, regulator.screen_volts),
            positive: regulator.reference.as_ref().map(Stack::of),
            rail: rail.map(|r| {
                bias_rail::solve(supply, r, (case, divider_amps)).map_err(|f| f.to_string())
            }),
            negative: rail.and_then(|r| r.reference.as_ref()).map(Stack::of),
            units: f64::from(stage.units.max(1)),
            cathode_ohms: stage.cathode_resistor.0,
            unit_ohms: unit_ohms(stage),
            shunt_ohms: supply.output.meter_shunt.0,
        }
    }

    /// What the negative reference carries while the divider sees `output_volts` and the control tube's cathode brings
    /// `cathode_amps`. `None` without a rail that works and has a reference.
    pub fn negative_carried(&self, output_volts: f64, cathode_amps: f64) -> Option<Carried> {
        let stack = self.negative.as_ref()?;
        let rail = self.rail.as_ref()?.as_ref().ok()?;
        let load = self.regulator.bias_rail.as_ref()?.load;
        // Currents that join come from above: they take the place of the tubes' own.
        let joining = self.joining(cathode_amps, output_volts);
        Some(stack.carry(rail.feed(load, 0.0), &joining))
    }

    fn joining(&self, cathode_amps: f64, output_volts: f64) -> [Joining; 2] {
        let at = |tap: Tap| match tap {
            Tap::BiasReference(tubes) => usize::from(tubes),
            _ => 0,
        };
        let foot = at(self.regulator.divider.foot);
        let below = self.negative.as_ref().map_or(0.0, |s| s.volts);
        [
            Joining {
                tubes: at(self.regulator.cathode),
                amps: -cathode_amps,
            },
            Joining {
                tubes: foot,
                amps: -(output_volts + below).max(0.0) / self.regulator.divider.resistance.0,
            },
        ]
    }

    /// What the positive reference carries, its feed at `feed_volts`. `None` without one.
    pub fn positive_carried(&self, feed_volts: f64, cathode_amps: f64) -> Option<Carried> {
        let stack = self.positive.as_ref()?;
        let whole = self.regulator.reference.as_ref()?.tubes.len();
        let joins = Joining {
            tubes: if self.regulator.cathode == Tap::Reference {
                whole
            } else {
                0
            },
            amps: cathode_amps,
        };
        let feed = Line {
            volts: feed_volts,
            ohms: 0.0,
        };
        Some(stack.carry(feed, &[joins]))
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
    fn tap(&self, tap: Tap, load: Load, cathode_amps: f64) -> Result<f64, &'static str> {
        match tap {
            Tap::Common => Ok(0.0),
            Tap::Reference => self
                .positive_carried(self.positive_feed_volts(load), cathode_amps)
                .map(|c| c.whole_volts())
                .ok_or("a positive reference"),
            Tap::BiasReference(tubes) => self
                .negative_carried(load.volts, cathode_amps)
                .map(|c| -c.volts(usize::from(tubes)))
                .ok_or("a negative rail that gives voltage, and its reference"),
            Tap::BiasRail => {
                let rail = self.rail.as_ref().and_then(|r| r.as_ref().ok());
                rail.map(|r| -r.operation.bus.mean_volts)
                    .ok_or("a negative rail that gives voltage")
            }
        }
    }

    /// Where the control tube's cathode and the divider's foot stand.
    ///
    /// # Errors
    /// What would have to be there.
    pub fn potentials(&self, load: Load, cathode_amps: f64) -> Result<Potentials, &'static str> {
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
    pub fn pass(&self, load: Load, foot_potential: f64) -> Result<Pass, &'static str> {
        let law = self.pass.as_ref().map_err(|needs| *needs)?;
        let all = load.amps + self.own_amps(load.volts, foot_potential);
        let unit_amps = (all / self.units).max(LEAST_UNIT_AMPS);
        let shunt = load.amps * self.shunt_ohms;
        let plate_volts = load.bus_volts - load.volts - shunt - unit_amps * self.unit_ohms;
        let grid_volts = triode::grid_volts(law, plate_volts.max(1.0), unit_amps);
        let cathode_potential = load.volts + shunt + unit_amps * self.cathode_ohms;
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
    pub fn control_heater_volts(&self, load: Load) -> Result<f64, &'static str> {
        let tie = self
            .regulator
            .heater
            .ok_or("to what the control tube's heater is tied")?;
        let cathode = self.potentials(load, 0.0)?.cathode;
        Ok(match tie {
            HeaterTie::Common => cathode,
            HeaterTie::Cathode => 0.0,
            HeaterTie::Elevated(volts) => cathode - volts.0,
        })
    }
}

/// Rms mains volts of a stand's case.
pub fn stand_mains_volts(supply: &Supply, stand: &Stand) -> f64 {
    mains_volts(supply, stand.case)
}
