//! After switch-off: what the capacitors keep, and how long they keep it.
//!
//! With the mains off the rectifier blocks, and each filter is a chain of capacitors with resistors and chokes between them. What bleeds
//! it for certain is what is soldered in: bleeder, balancing resistors, a screen divider across the bus, gas tubes, which need no heater.
//! That is linear, and solved exactly ([`cold`]). Tubes bleed it too as long as their cathodes are warm ([`warm`]): a guess by its nature,
//! so whoever wants to touch reckons with the cold ones.
//!
//! Of each capacitor the crest of its ripple counts, for nobody knows the instant of switching off. The current of a choke at the input
//! runs out into the capacitor behind it within milliseconds: its energy is counted there. Leakage of the capacitors is left out, as are
//! panel meter and lamps: they make the wait shorter. The charge that a dielectric gives back after a short is left out as well: wait, and
//! measure again.

mod chain;
pub mod cold;
pub mod cooling;
mod ladder;
pub mod warm;

pub use chain::{Chain, GasPath, Link, Store};

use crate::parts::{Filter, ReferenceFeed, Regulator, ScreenFeed, SeriesElement, Tap};
use crate::physics::discharge::cold::Cold;
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};

/// DC volts from which touching is dangerous (V): the limit of energy source class 1 in IEC 62368-1.
pub const TOUCH_VOLTS: f64 = 60.0;
/// Volts below which a capacitor does nothing to a meter or a hand any more (V). Common practice, no source.
pub const DEAD_VOLTS: f64 = 10.0;

/// All capacitors of a supply at the instant of switching off.
#[derive(Debug, Clone, PartialEq)]
pub struct Charged {
    /// The filter of the bus, from the rectifier on.
    pub bus: Chain,
    /// That of the negative rail, which stands below the common; its volts are counted as if it were a positive supply.
    pub rail: Option<Chain>,
}

/// Whether the bleeder is whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bleeder {
    /// It is as described.
    Whole,
    /// It is open: a resistor that has burnt out, a joint that is dry.
    Open,
}

/// How long one chain keeps its charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wait {
    /// Until every capacitor is below [`TOUCH_VOLTS`] (s); `None` where that takes years.
    pub to_touch: Option<f64>,
    /// Until every capacitor is below [`DEAD_VOLTS`] (s); `None` where that takes years.
    pub to_dead: Option<f64>,
    /// The highest volts at the instant of switching off (V).
    pub volts: f64,
    /// The highest volts that are left after two years, if leakage does nothing (V).
    pub left_volts: f64,
}

/// What is kept, and how long, with all tubes cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// Energy in all capacitors and chokes (J).
    pub joules: f64,
    /// The bus.
    pub bus: Wait,
    /// The negative rail.
    pub rail: Option<Wait>,
}

impl Charged {
    /// The supply in a steady state in a case.
    pub fn of(model: &Model, case: Case, operation: &Operation) -> Self {
        let supply = &model.supply;
        let regulator = supply.regulator.as_ref();
        let mut bus = Chain::of(&supply.filter, operation);
        bus.fixed_siemens = regulator.map_or(0.0, screen_divider_siemens);
        bus.gas = regulator.and_then(gas_across_the_bus);
        let working = model.at(case).regulator.as_ref();
        let rail = regulator.and_then(|regulator| {
            let described = regulator.bias_rail.as_ref()?;
            let found = working?.working_rail()?;
            let mut rail = Chain::of(&described.filter, &found.operation);
            rail.gas = described.reference.as_ref().and_then(GasPath::of);
            Some(rail)
        });
        Self { bus, rail }
    }

    /// The same with the bleeder of the bus as told.
    #[must_use]
    pub fn with(&self, bleeder: Bleeder) -> Self {
        let mut changed = self.clone();
        if bleeder == Bleeder::Open {
            changed.bus.bleeder_siemens = 0.0;
        }
        changed
    }

    /// The same with every capacitor at the upper end of its tolerance.
    #[must_use]
    pub fn at_upper_tolerance(&self) -> Self {
        let mut changed = self.clone();
        let all = std::iter::once(&mut changed.bus).chain(&mut changed.rail);
        for store in all.flat_map(|chain| &mut chain.stores) {
            store.farads *= 1.0 + store.tolerance;
        }
        changed
    }

    /// Energy in all capacitors and chokes (J).
    pub fn joules(&self) -> f64 {
        self.bus.joules() + self.rail.as_ref().map_or(0.0, Chain::joules)
    }

    /// What is kept and how long, nothing but what is soldered in bleeding it.
    pub fn kept(&self) -> Kept {
        Kept {
            joules: self.joules(),
            bus: wait(&self.bus),
            rail: self.rail.as_ref().map(wait),
        }
    }
}

impl Kept {
    /// The longest wait until nothing stands above [`TOUCH_VOLTS`] (s); `None` where something stays charged.
    pub fn to_touch(&self) -> Option<f64> {
        let rail = self.rail.map_or(Some(0.0), |rail| rail.to_touch)?;
        Some(self.bus.to_touch?.max(rail))
    }
}

fn wait(chain: &Chain) -> Wait {
    let cold = Cold::of(chain);
    Wait {
        to_touch: cold.seconds_to(TOUCH_VOLTS),
        to_dead: cold.seconds_to(DEAD_VOLTS),
        volts: chain.highest_volts(),
        left_volts: cold.left_volts(),
    }
}

/// What is kept with nothing on the terminals: the worst that a supply leaves behind, at high mains.
pub fn kept_at_rest(model: &Model, at_high_mains: &Operation) -> Kept {
    Charged::of(model, Case::High, at_high_mains).kept()
}

/// A screen divider that stands across the bus (S). One whose foot is on gas tubes or on the rail counts as none: what it takes ends there.
fn screen_divider_siemens(regulator: &Regulator) -> f64 {
    match &regulator.screen_divider {
        Some(divider) if divider.fed_from == ScreenFeed::Bus && divider.foot == Tap::Common => {
            1.0 / (divider.upper.0 + divider.lower.0)
        }
        _ => 0.0,
    }
}

/// The positive reference, where it is fed from the bus.
fn gas_across_the_bus(regulator: &Regulator) -> Option<GasPath> {
    let reference = regulator.reference.as_ref()?;
    let fed = reference.fed_from == ReferenceFeed::Bus;
    fed.then(|| GasPath::of(reference)).flatten()
}

/// Inductance and direct current of a choke at the input (H, A), whose energy ends in the capacitor behind it.
fn input_choke(filter: &Filter, operation: &Operation) -> Option<[f64; 2]> {
    let first = filter.sections.first()?;
    let choke = operation.chokes.first()?;
    match (&filter.input_capacitor, &first.series) {
        (None, SeriesElement::Choke { inductance, .. }) => Some([inductance.0, choke.mean_amps]),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
