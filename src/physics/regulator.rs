//! The regulator: how far down the control tube can pull the pass grids, and how well the loop holds the output.
//!
//! Potentials are counted from the output's negative terminal. Read in this order: this → [`floor`](mod@floor) →
//! [`feedback`] → [`ceiling`](mod@ceiling) → [`zero`] → [`pass_current`] → [`sharing`].

pub mod ceiling;
pub mod control_range;
pub mod feedback;
pub mod floor;
pub mod grid_circuit;
pub mod pass_current;
pub mod references;
pub mod rest;
pub mod sharing;
pub mod zero;

#[cfg(test)]
mod screen_tests;
#[cfg(test)]
mod tests;

use crate::parts::{HeaterTie, PlateSupply, ReferenceFeed, ScreenFeed, Tap};
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
    /// Control tube's screen above the common (V); `None` for a triode, or where it is not known.
    pub screen: Option<f64>,
}

impl Potentials {
    /// Screen volts above the cathode (V), where they are known.
    pub fn screen_volts(self) -> Option<f64> {
        self.screen.map(|screen| screen - self.cathode)
    }
}

/// Current below which the law of a pass unit is not asked (A): its grid volts would run through a logarithm.
const LEAST_UNIT_AMPS: f64 = 1e-6;

/// Where the taps of a regulator stand at a load; each reference is asked once, if a tap is on it.
struct Taps<'a> {
    model: &'a RegulatorModel,
    load: Load,
    positive: Option<StackState>,
    negative: Option<StackState>,
}

impl<'a> Taps<'a> {
    /// Those of them that are `asked` for, while the control tube's cathode brings `cathode_amps`.
    fn new(model: &'a RegulatorModel, load: Load, cathode_amps: f64, asked: &[Tap]) -> Self {
        let divider = model.regulator.screen_divider.as_ref();
        let of_divider = divider.map(|d| (d.foot, d.fed_from));
        let is_fed = of_divider.is_some_and(|(_, from)| from == ScreenFeed::Reference);
        let foot = of_divider.map(|(foot, _)| foot);
        let mut on_positive = is_fed;
        let mut on_negative = false;
        for tap in asked.iter().chain(&foot) {
            on_positive |= *tap == Tap::Reference;
            on_negative |= matches!(tap, Tap::BiasReference(_));
        }
        let positive = on_positive.then(|| model.positive_carried(load, cathode_amps));
        let negative = on_negative.then(|| model.negative_carried(load, cathode_amps));
        Self {
            model,
            load,
            positive: positive.flatten(),
            negative: negative.flatten(),
        }
    }

    /// Where a tap stands (V).
    ///
    /// # Errors
    /// What would have to be there.
    fn volts(&self, tap: Tap) -> Result<f64, Needs> {
        match tap {
            Tap::Common => Ok(0.0),
            Tap::Reference => (self.positive.as_ref())
                .map(StackState::whole_volts)
                .ok_or(Needs::PositiveReference),
            Tap::BiasReference(tubes) => (self.negative.as_ref())
                .map(|carried| -carried.volts(usize::from(tubes)))
                .ok_or(Needs::NegativeReference),
            Tap::BiasRail => {
                let rail = self.model.working_rail().ok_or(Needs::NegativeRail)?;
                Ok(-rail.operation.bus.mean_volts)
            }
        }
    }
}

impl RegulatorModel {
    /// What the negative reference carries at a load while the control tube's cathode brings `cathode_amps`. `None` without a rail
    /// that works and has a reference.
    pub fn negative_carried(&self, load: Load, cathode_amps: f64) -> Option<StackState> {
        let stack = self.negative.as_ref()?;
        let feed = (self.working_rail()?).feed(self.regulator.bias_rail.as_ref()?.load);
        // Currents that join come from above: they take the place of the tubes' own.
        let joining = self.joining(cathode_amps, load);
        Some(stack.carry(feed, &joining))
    }

    fn joining(&self, cathode_amps: f64, load: Load) -> [TapCurrent; 3] {
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
                amps: -(load.volts + below).max(0.0) / self.regulator.divider.resistance.0,
            },
            TapCurrent {
                tubes: (self.regulator.screen_divider.as_ref()).map_or(0, |d| at(d.foot)),
                amps: -self.screen_divider_amps(load),
            },
        ]
    }

    /// What the positive reference carries at a load while the control tube's cathode brings `cathode_amps`. `None` without one.
    pub fn positive_carried(&self, load: Load, cathode_amps: f64) -> Option<StackState> {
        let stack = self.positive.as_ref()?;
        let whole = self.regulator.reference.as_ref()?.tubes.len();
        let on = |is_on: bool| if is_on { whole } else { 0 };
        let divider = self.regulator.screen_divider.as_ref();
        let screen_amps = self.screen_divider_amps(load);
        let joining = [
            TapCurrent {
                tubes: on(self.regulator.cathode == Tap::Reference),
                amps: cathode_amps,
            },
            TapCurrent {
                tubes: on(divider.is_some_and(|d| d.foot == Tap::Reference)),
                amps: screen_amps,
            },
            TapCurrent {
                tubes: on(divider.is_some_and(|d| d.fed_from == ScreenFeed::Reference)),
                amps: -screen_amps,
            },
        ];
        let feed_volts = self.positive_feed_volts(load);
        Some(stack.carry(LinearSource::stiff(feed_volts), &joining))
    }

    /// From where the positive reference is fed at a load (V).
    pub fn positive_feed_volts(&self, load: Load) -> f64 {
        match self.regulator.reference.as_ref().map(|r| r.fed_from) {
            Some(ReferenceFeed::Output) => load.volts,
            _ => load.bus_volts,
        }
    }

    /// Where the control tube's cathode, its screen and the divider's foot stand, the screen drawing nothing.
    ///
    /// # Errors
    /// What would have to be there.
    pub fn potentials(&self, load: Load, cathode_amps: f64) -> Result<Potentials, Needs> {
        self.potentials_with(load, cathode_amps, 0.0)
    }

    /// The same with `screen_amps` of the cathode's current coming from the screen's divider.
    ///
    /// # Errors
    /// What would have to be there.
    pub fn potentials_with(
        &self,
        load: Load,
        cathode_amps: f64,
        screen_amps: f64,
    ) -> Result<Potentials, Needs> {
        let asked = [self.regulator.cathode, self.regulator.divider.foot];
        let taps = Taps::new(self, load, cathode_amps, &asked);
        let [cathode, foot] = [taps.volts(asked[0])?, taps.volts(asked[1])?];
        let screen = match self.regulator.screen_divider {
            None => self.regulator.screen_volts.map(|volts| cathode + volts.0),
            Some(_) => self.screen_on_divider(&taps, screen_amps)?,
        };
        Ok(Potentials {
            cathode,
            foot,
            screen,
        })
    }

    /// As much of it as says what the dividers draw, the control tube drawing nothing. What hangs on a rail that gives no voltage hangs
    /// loose, somewhere about the common.
    fn of_dividers(&self, load: Load) -> Potentials {
        let foot = self.regulator.divider.foot;
        let taps = Taps::new(self, load, 0.0, &[foot]);
        Potentials {
            cathode: 0.0,
            foot: taps.volts(foot).unwrap_or(0.0),
            screen: self.screen_on_divider(&taps, 0.0).unwrap_or(None),
        }
    }

    /// Volts that a divider gives the screen, which takes `screen_amps` (V); `None` without one.
    fn screen_on_divider(&self, taps: &Taps<'_>, screen_amps: f64) -> Result<Option<f64>, Needs> {
        let Some(divider) = &self.regulator.screen_divider else {
            return Ok(None);
        };
        let from = match divider.fed_from {
            ScreenFeed::Reference => taps.volts(Tap::Reference)?,
            other => self.screen_feed_volts(other, taps.load),
        };
        let to = taps.volts(divider.foot)?;
        let (upper, lower) = (divider.upper.0, divider.lower.0);
        let drop = screen_amps * upper * lower;
        Ok(Some((from * lower + to * upper - drop) / (upper + lower)))
    }

    /// Where the screen's divider comes from (V), references at their running volts.
    fn screen_feed_volts(&self, from: ScreenFeed, load: Load) -> f64 {
        match from {
            ScreenFeed::Bus => load.bus_volts,
            ScreenFeed::CleanRail => self.plate_supply_volts(load),
            ScreenFeed::Output => load.volts,
            ScreenFeed::Reference => self.positive.as_ref().map_or(0.0, |stack| stack.volts),
            ScreenFeed::Common => 0.0,
        }
    }

    /// What the screen's divider takes out of one gas reference or brings into another (A): the volts of its ends, references at
    /// their running volts, over its resistors. What the screen itself takes is in the cathode's current.
    fn screen_divider_amps(&self, load: Load) -> f64 {
        let Some(divider) = &self.regulator.screen_divider else {
            return 0.0;
        };
        let below = |tubes: u8| {
            let stack = self.negative.as_ref();
            stack.map_or(0.0, |stack| stack.volts_to(usize::from(tubes)))
        };
        let to = match divider.foot {
            Tap::Common => 0.0,
            Tap::Reference => self.screen_feed_volts(ScreenFeed::Reference, load),
            Tap::BiasReference(tubes) => -below(tubes),
            Tap::BiasRail => -(self.working_rail()).map_or(0.0, |r| r.operation.bus.mean_volts),
        };
        let from = self.screen_feed_volts(divider.fed_from, load);
        ((from - to) / (divider.upper.0 + divider.lower.0)).max(0.0)
    }

    /// Volts to which the control tube's plate load goes (V).
    pub fn plate_supply_volts(&self, load: Load) -> f64 {
        match self.regulator.plate_supply {
            PlateSupply::Bus => load.bus_volts,
            PlateSupply::Clean(volts) => load.volts + volts.0,
        }
    }

    /// Current that preload, dividers and a reference fed from the output take from the output, so that the pass tubes carry it too
    /// (A).
    pub fn own_amps(&self, load: Load, at: Potentials) -> f64 {
        let regulator = &self.regulator;
        let preload = regulator.preload.map_or(0.0, |r| load.volts / r.0);
        let reference = match &regulator.reference {
            Some(reference) if reference.fed_from == ReferenceFeed::Output => {
                (self.positive_carried(load, 0.0)).map_or(0.0, |c| c.feed_amps)
            }
            _ => 0.0,
        };
        // A clean rail stands on the output: what it gives comes from there.
        let screen = match (&regulator.screen_divider, at.screen) {
            (Some(divider), Some(screen))
                if matches!(divider.fed_from, ScreenFeed::Output | ScreenFeed::CleanRail) =>
            {
                (self.screen_feed_volts(divider.fed_from, load) - screen) / divider.upper.0
            }
            _ => 0.0,
        };
        preload + reference + screen + (load.volts - at.foot) / regulator.divider.resistance.0
    }

    /// The pass tubes at a load: what their grids need.
    ///
    /// # Errors
    /// What would have to be known.
    pub fn pass_at(&self, load: Load, at: Potentials) -> Result<Pass, Needs> {
        let (tubes, law) = (&self.pass, self.pass.triode()?);
        let all = load.amps + self.own_amps(load, at);
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
