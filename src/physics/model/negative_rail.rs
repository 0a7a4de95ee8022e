//! The negative rail: a small supply of its own, solved by the same engine as the bus.
//!
//! It shares mains, primary resistance and auxiliary load with the high-voltage winding. What the high-voltage winding
//! drops in the primary is left out: some volts of the primary at full load, less than a spread of the winding's own.
//! Inside here it is a positive supply.
//!
//! A rail from the high-voltage winding itself hangs on the end or a tap of its first half. Its diode conducts while that end is
//! negative, the bus's plate on it while it is positive: the copper that they share never carries both at once, so that neither drops
//! volts of the other there, and the squares of their rms currents add up. The primary carries the rail's pulses along with those of
//! the other half. What they drop of each other there is left out of the bus and of the rail, which then stand some tenths of a per
//! cent too high; that it moves some of the bus's current to the first half is counted
//! ([`Model::moved_by_the_rail_amps`](super::Model::moved_by_the_rail_amps)).

use crate::parts::{Amps, BiasRail, Copper, Ohms, RailWinding, RawSupply, Supply, Volts};
use crate::physics::circuit::source::{TransformerFault, first_half_turns};
use crate::physics::device::gas_stack::{GasStack, LinearSource};
use crate::physics::failure::Failure;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::{Start, operate_near};

/// The rail in one case.
#[derive(Debug, Clone, PartialEq)]
pub struct NegativeRail {
    /// Its steady state, as of a positive supply.
    pub operation: Operation,
    /// Current drawn from it there, bleeder apart (A).
    pub amps: f64,
    /// Its mean volts over current near there.
    pub source: LinearSource,
    /// Mean volts before its reference has struck (V).
    pub unstruck_volts: f64,
    /// Where the search for that of a supply nearly like it starts from, in the order in which they are asked for.
    pub starts: Vec<Start>,
}

/// What makes a negative rail, as a positive supply. On the high-voltage winding turns, and resistance where it is not stated, go as the
/// stated volts.
///
/// # Errors
/// A loaded rating of the high-voltage winding that no turns ratio can give.
pub fn raw_rail(supply: &Supply, rail: &BiasRail) -> Result<RawSupply, TransformerFault> {
    let stated = rail.winding_resistance;
    let measured = rail.winding_measured;
    if let RailWinding::Own(volts) = rail.winding {
        let resistance = (stated.unwrap_or(Ohms(0.0)), measured);
        return Ok(supply.raw_rail(rail, volts, resistance));
    }
    let transformer = &supply.transformer;
    let ([half, _], [ohms, _]) = (transformer.stated_halves(), transformer.halves_at_work());
    let share = supply.rail_volts(rail).0 / half.0;
    let volts = first_half_turns(transformer)? * transformer.primary_volts.0 * share;
    let resistance = match stated {
        Some(stated) => (stated, measured),
        None => (Ohms(ohms.0 * share), Copper::Warm),
    };
    Ok(supply.raw_rail(rail, Volts(volts), resistance))
}

/// The rail in a case, with `others_amps` drawn from it besides its own load and its reference; `raw` is what makes it. `near` are the
/// starts of a rail nearly like it, or none.
///
/// # Errors
/// As [`operate_near`].
pub fn negative_rail(
    raw: &RawSupply,
    rail: &BiasRail,
    case: Case,
    others_amps: f64,
    near: &[Start],
) -> Result<NegativeRail, Failure> {
    let mut starts: Vec<Start> = Vec::new();
    // Each from its like alone: between two that are of different supplies there is no slope.
    let mut at = |amps: f64| {
        let like = near
            .get(starts.len())
            .map_or([].as_slice(), std::slice::from_ref);
        let solved = operate_near(raw, case, amps, like)?;
        starts.push(solved.start);
        Ok::<Operation, Failure>(solved.operation)
    };
    let fixed = Amps(rail.load.0 + others_amps).0.max(0.0);
    let unstruck = at(fixed)?;
    let unstruck_volts = unstruck.bus.mean_volts;
    let stack = rail.reference.as_ref().map(GasStack::of);
    // The reference's current falls straight with the rail's volts, the rail's volts nearly straight with the current:
    // secants, the last through two solutions near the answer.
    let feed_amps = |source: LinearSource| {
        stack
            .as_ref()
            .map_or(0.0, |s| s.carry(source.beyond(fixed), &[]).feed_amps)
    };
    let step = (0.5 * feed_amps(LinearSource::stiff(unstruck_volts)))
        .max(0.05 * fixed)
        .max(1e-4);
    let second = [fixed + step, at(fixed + step)?.bus.mean_volts];
    let first_source = LinearSource::through([fixed, unstruck_volts], second);
    let drawn = feed_amps(first_source);
    if drawn <= 0.0 {
        return Ok(NegativeRail {
            operation: unstruck,
            amps: fixed,
            source: first_source,
            unstruck_volts,
            starts,
        });
    }
    let near = [fixed + drawn, at(fixed + drawn)?.bus.mean_volts];
    let drawn_there = feed_amps(LinearSource::through(second, near)).max(0.0);
    let amps = fixed + drawn_there;
    let operation = at(amps)?;
    Ok(NegativeRail {
        source: LinearSource::through(second, [amps, operation.bus.mean_volts]),
        amps,
        operation,
        unstruck_volts,
        starts,
    })
}

impl NegativeRail {
    /// The rail as its reference sees it, besides its own load.
    pub fn feed(&self, load: Amps) -> LinearSource {
        self.source.beyond(load.0)
    }
}
