//! What a reading would show: of the supply as described, or of one with something wrong.
//!
//! A reading is asked for at a [`Spot`]: what is read, into which load, at which setting of the knob. All of it is the steady state at the
//! present mains; a meter's own error is not in it.

mod unit;

pub use unit::Unit;

use crate::parts::readings::{Connected, Reading, What};
use crate::parts::regulator::Side;
use crate::parts::{CapacitorStack, SeriesElement, Supply};
use crate::physics::device::triode;
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::references::references;
use crate::physics::regulator::sharing::unit_amps;
use crate::physics::regulator::zero::{setting, settle};
use crate::physics::steady_state::{Start, operate_near};

/// Where a reading is taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Of what.
    pub what: What,
    /// What is connected to the output.
    pub load: Connected,
    /// Output volts to which the knob is set (V); of no meaning where it is all the way up, or the plug is out.
    pub set_volts: f64,
}

impl Spot {
    /// That of a reading; a setting that was not noted is taken as [`usual_setting`].
    pub fn of(reading: &Reading, supply: &Supply) -> Self {
        let set = reading.set.map(|volts| volts.0);
        Self {
            what: reading.what,
            load: reading.load,
            set_volts: set.unwrap_or_else(|| usual_setting(supply)),
        }
    }
}

/// Where the knob stands for readings inside: at four fifths of the top of the output range (V), where everything is at work and no
/// sound supply has fallen out (common practice, no source).
pub fn usual_setting(supply: &Supply) -> f64 {
    (0.8 * supply.output.set_high.0).max(supply.output.set_low.0)
}

/// What a meter would show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// So much, in the unit of what is read.
    Reads(f64),
    /// Nothing: the supply does not get there.
    Never,
    /// It cannot be told, for something of the supply is not known.
    NotKnown,
}

impl Shown {
    /// The figure, if there is one.
    pub fn figure(self) -> Option<f64> {
        match self {
            Self::Reads(value) => Some(value),
            Self::Never | Self::NotKnown => None,
        }
    }
}

/// What a meter on ohms shows of an open circuit (Ω): the end of its last range.
const OPEN_OHMS: f64 = 20e6;

/// A supply with steady states near which those of units like it are sought.
pub struct Rig<'a> {
    model: &'a Model,
    near: Vec<Start>,
}

impl<'a> Rig<'a> {
    /// Of a supply, for readings at these spots.
    pub fn of(model: &'a Model, spots: &[Spot]) -> Self {
        let mut near = Vec::new();
        for spot in spots {
            let amps = spot.load.amps_at(spot.set_volts);
            if let Ok(solved) = operate_near(&model.raw, Case::Present, amps, &near) {
                solved.start.put_among(&mut near);
            }
        }
        Self { model, near }
    }

    /// What meters would show of a unit.
    pub fn shown(&self, unit: &Unit, spots: &[Spot]) -> Vec<Shown> {
        let Ok(model) = self.model.beside(&unit.whole(), &[]) else {
            return vec![Shown::Never; spots.len()];
        };
        let mut at = AtUnit {
            model: &model,
            unit,
            near: &self.near,
            known: Vec::new(),
        };
        spots.iter().map(|spot| at.shown(*spot)).collect()
    }
}

/// One unit, with the steady states that were solved for it.
struct AtUnit<'a> {
    model: &'a Model,
    unit: &'a Unit,
    near: &'a [Start],
    known: Vec<(f64, Result<Operation, Failure>)>,
}

impl AtUnit<'_> {
    fn shown(&mut self, spot: Spot) -> Shown {
        if spot.what.is_cold() || spot.what == What::WindingVolts {
            let found = self.apart_from_load(spot.what);
            return found.map_or(Shown::NotKnown, Shown::Reads);
        }
        match self.live(spot) {
            Ok(Some(value)) if value.is_finite() => Shown::Reads(value),
            Ok(_) | Err(Failure::NotConverged { .. }) => Shown::NotKnown,
            Err(_) => Shown::Never,
        }
    }

    /// What is read with the plug out, or with the rectifier pulled; `None` for a part that is not there.
    fn apart_from_load(&self, what: What) -> Option<f64> {
        let supply = &self.model.supply;
        let filter = &supply.filter;
        let place = |number: u8| usize::from(number).checked_sub(1);
        match what {
            What::WindingOhms => Some(supply.transformer.secondary_resistance.0),
            What::ChokeOhms(section) => match filter.sections.get(place(section)?)?.series {
                SeriesElement::Choke { resistance, .. } => Some(resistance.0),
                SeriesElement::Resistor(_) => None,
            },
            What::BleederOhms => {
                let balancing: f64 = filter.stacks().map(|s| 1.0 / s.balancing_ohms()).sum();
                let siemens = balancing + filter.bleeder.map_or(0.0, |ohms| 1.0 / ohms.0);
                Some(1.0 / siemens.max(1.0 / OPEN_OHMS))
            }
            What::Capacitance(capacitor) => {
                let stack = filter.stacks().nth(place(capacitor)?);
                stack.map(CapacitorStack::farads)
            }
            What::Leak => Some(self.unit.leak_amps),
            What::WindingVolts => Some(self.model.at(Case::Present).source.winding.emf_rms_volts),
            _ => None,
        }
    }

    fn operate(&mut self, amps: f64) -> Result<Operation, Failure> {
        let same = |known: &&(f64, Result<Operation, Failure>)| known.0.to_bits() == amps.to_bits();
        if let Some((_, found)) = self.known.iter().find(same) {
            return found.clone();
        }
        let found = operate_near(&self.model.raw, Case::Present, amps, self.near)
            .map(|solved| solved.operation);
        self.known.push((amps, found.clone()));
        found
    }

    /// What is read at work; `None` where the supply does not have it, or it cannot be told.
    fn live(&mut self, spot: Spot) -> Result<Option<f64>, Failure> {
        let factor = self.unit.load_factor(spot.load);
        if matches!(spot.what, What::KnobUp | What::StillHolds) {
            return self.knob_up(spot.load, factor);
        }
        let amps = factor * spot.load.amps_at(spot.set_volts);
        let operation = self.operate(amps)?;
        let model = self.model;
        let lost = model.lost_regulation_volts(Case::Present, &operation);
        let volts = spot.set_volts.min(lost.unwrap_or(spot.set_volts));
        let bus = operation.bus;
        Ok(match spot.what {
            What::Output => lost.map(|_| volts),
            What::Bus => Some(bus.mean_volts),
            What::BusRipple => Some(bus.ripple_volts()),
            What::FirstCapacitor => of_the_first(model, &operation.capacitor_mean_volts),
            What::FirstRipple => of_the_first(model, &operation.capacitor_ripple_rms_volts),
            What::Droop => self.droop(&operation, spot.set_volts)?,
            What::PassGrid => self.pass_grid(&operation, volts),
            What::CathodeResistor(unit) => self.cathode_resistor(unit, &operation, volts),
            What::Rail => Some(self.rail()?.bus.mean_volts),
            What::RailRipple => Some(self.rail()?.bus.ripple_volts()),
            What::Reference => self.reference(Side::Positive, &operation, volts),
            What::NegativeReference => self.reference(Side::Negative, &operation, volts),
            _ => None,
        })
    }

    fn rail(&self) -> Result<Operation, Failure> {
        let regulator = self.model.regulator(Case::Present)?;
        let rail = regulator.working_rail();
        Ok(rail.ok_or(Needs::NegativeRail)?.operation.clone())
    }

    /// The output with the knob all the way up: what the mean of the bus leaves, into a current or into a resistor, whose current is that
    /// output's own.
    fn knob_up(&mut self, load: Connected, factor: f64) -> Result<Option<f64>, Failure> {
        let Connected::Resistor(ohms) = load else {
            let operation = self.operate(factor * load.amps_at(0.0))?;
            return Ok(self.model.lost_regulation_volts(Case::Present, &operation));
        };
        let ohms = ohms.0 / factor;
        // Less output draws less current and leaves more: one crossing.
        let at_nothing = self.operate(0.0)?;
        let Some(most) = (self.model).lost_regulation_volts(Case::Present, &at_nothing) else {
            return Ok(None);
        };
        let mut failure = None;
        let tolerance = Tolerance {
            width: 1e-7 * most.abs(),
            value: 1e-6 * most.abs(),
        };
        let volts = root_between(0.0, most, tolerance, |volts| {
            match self.operate(volts / ohms) {
                Ok(operation) => {
                    let left = self.model.lost_regulation_volts(Case::Present, &operation);
                    volts - left.unwrap_or(0.0)
                }
                // The bus gives way: too much output.
                Err(Failure::Collapse { .. }) => volts,
                Err(other) => {
                    failure = Some(other);
                    volts
                }
            }
        });
        failure.map_or(Ok(Some(volts)), Err)
    }

    fn droop(&mut self, operation: &Operation, set_volts: f64) -> Result<Option<f64>, Failure> {
        let at_nothing = self.operate(0.0)?;
        let regulator = self.model.regulator(Case::Present)?;
        let fall = setting(regulator, &at_nothing, set_volts)
            .and_then(|share| settle(regulator, operation, share))
            .map(|settled| set_volts - settled.volts);
        Ok(fall.ok())
    }

    /// Pass current (A) and volts from the plate resistors to the common end of the cathode resistors.
    fn pass(&self, operation: &Operation, volts: f64) -> [f64; 2] {
        let model = self.model;
        let current = model.pass_current(Case::Present, operation, volts);
        let shunt = current.output_amps * model.pass.shunt_ohms;
        [current.amps(), operation.bus.mean_volts - volts - shunt]
    }

    /// What each unit carries that lives (A).
    fn each_amps(&self, operation: &Operation, volts: f64) -> Option<Vec<f64>> {
        let pass = &self.model.pass;
        let [amps, across] = self.pass(operation, volts);
        if pass.relative.is_empty() {
            return Some(vec![amps / pass.units; usize::from(pass.stage.units)]);
        }
        let law = pass.triode().ok()?;
        Some(unit_amps(&pass.stage, law, &pass.relative, [amps, across]))
    }

    /// Grid against cathode of the first unit that lives, no higher than the control tube can bring it (V).
    fn pass_grid(&self, operation: &Operation, volts: f64) -> Option<f64> {
        let pass = &self.model.pass;
        let law = pass.triode().ok()?;
        let first = *self.each_amps(operation, volts)?.first()?;
        let scale = pass.relative.first().copied().unwrap_or(1.0);
        let [_, across] = self.pass(operation, volts);
        let plate = across - first * pass.unit_ohms();
        let grid = triode::grid_volts(law, plate.max(1.0), (first / scale).max(1e-6));
        Some(grid.min(pass.stage.grid_limit.0))
    }

    fn cathode_resistor(&self, unit: u8, operation: &Operation, volts: f64) -> Option<f64> {
        let ohms = self.model.pass.stage.cathode_resistor.0;
        let number = usize::from(unit).checked_sub(1)?;
        if ohms <= 0.0 {
            return None;
        }
        let Some(place) = self.unit.live_place(number)? else {
            return Some(0.0);
        };
        Some(ohms * self.each_amps(operation, volts)?.get(place)?)
    }

    fn reference(&self, side: Side, operation: &Operation, volts: f64) -> Option<f64> {
        let regulator = self.model.regulator(Case::Present).ok()?;
        let [positive, negative] = references(regulator, operation, volts);
        let found = match side {
            Side::Positive => positive,
            Side::Negative => negative,
        };
        Some(found?.volts)
    }
}

/// Of the first capacitor, where it is not the bus itself.
fn of_the_first(model: &Model, each: &[f64]) -> Option<f64> {
    let filter = &model.supply.filter;
    let is_another = filter.input_capacitor.is_some() && !filter.sections.is_empty();
    is_another.then(|| each.first().copied()).flatten()
}
