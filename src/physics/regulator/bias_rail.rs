//! The negative rail: a small supply of its own, solved by the same engine as the bus.
//!
//! It shares mains, primary resistance and auxiliary load with the high-voltage winding. What the high-voltage winding
//! drops in the primary is left out: some volts of the primary at full load, less than a spread of the winding's own.
//! Inside here it is a positive supply.

use crate::parts::{Amps, BiasRail, Supply, Transformer, WindingVolts};
use crate::physics::Failure;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::reference::{Carried, Stack};
use crate::physics::steady_state::operate;

/// Volts that fall straight with the current drawn: `volts − ohms·amps`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Without current (V).
    pub volts: f64,
    /// Slope (Ω).
    pub ohms: f64,
}

/// The rail in one case.
#[derive(Debug, Clone, PartialEq)]
pub struct Rail {
    /// Its steady state, as of a positive supply.
    pub operation: Operation,
    /// Current drawn from it there, bleeder apart (A).
    pub amps: f64,
    /// Its mean volts over current near there.
    pub line: Line,
    /// Mean volts before its reference has struck (V).
    pub unstruck_volts: f64,
}

/// The rail as a supply of its own.
fn as_supply(supply: &Supply, rail: &BiasRail) -> Supply {
    Supply {
        mains: supply.mains.clone(),
        transformer: Transformer {
            winding: WindingVolts::OpenCircuit(rail.winding),
            secondary_resistance: rail.winding_resistance,
            winding_rating: None,
            ..supply.transformer.clone()
        },
        rectifier: rail.rectifier.clone(),
        filter: rail.filter.clone(),
        // Of no account here; the same tube as the supply's keeps its fitted law at hand.
        pass_stage: supply.pass_stage.clone(),
        regulator: None,
        output: supply.output.clone(),
    }
}

/// The rail in a case, with `others_amps` drawn from it besides its own load and its reference.
///
/// # Errors
/// As [`operate`].
pub fn solve(
    supply: &Supply,
    rail: &BiasRail,
    (case, others_amps): (Case, f64),
) -> Result<Rail, Failure> {
    let alone = as_supply(supply, rail);
    let at = |amps: f64| operate(&alone, case, amps);
    let fixed = Amps(rail.load.0 + others_amps).0.max(0.0);
    let unstruck = at(fixed)?;
    let unstruck_volts = unstruck.bus.mean_volts;
    let stack = rail.reference.as_ref().map(Stack::of);
    // The reference's current falls straight with the rail's volts, the rail's volts nearly straight with the current:
    // secants, the last through two solutions near the answer.
    let feed_amps = |line: Line| {
        stack
            .as_ref()
            .map_or(0.0, |s| s.carry(moved(line, fixed), &[]).feed_amps)
    };
    let step = (0.5 * feed_amps(flat(unstruck_volts)))
        .max(0.05 * fixed)
        .max(1e-4);
    let second = at(fixed + step)?;
    let first_line = through(
        (fixed, unstruck_volts),
        (fixed + step, second.bus.mean_volts),
    );
    let drawn = feed_amps(first_line);
    if drawn <= 0.0 {
        return Ok(Rail {
            operation: unstruck,
            amps: fixed,
            line: first_line,
            unstruck_volts,
        });
    }
    let near = at(fixed + drawn)?;
    let near_volts = near.bus.mean_volts;
    let tangent = through(
        (fixed + step, second.bus.mean_volts),
        (fixed + drawn, near_volts),
    );
    let drawn_there = feed_amps(tangent).max(0.0);
    let operation = at(fixed + drawn_there)?;
    let line = through(
        (fixed + step, second.bus.mean_volts),
        (fixed + drawn_there, operation.bus.mean_volts),
    );
    Ok(Rail {
        amps: fixed + drawn_there,
        line,
        operation,
        unstruck_volts,
    })
}

fn flat(volts: f64) -> Line {
    Line { volts, ohms: 0.0 }
}

/// The same line seen by what is drawn on top of `amps`.
fn moved(line: Line, amps: f64) -> Line {
    Line {
        volts: line.volts - line.ohms * amps,
        ohms: line.ohms,
    }
}

fn through((a, at_a): (f64, f64), (b, at_b): (f64, f64)) -> Line {
    if (b - a).abs() < 1e-9 {
        return flat(at_b);
    }
    let ohms = ((at_a - at_b) / (b - a)).max(0.0);
    Line {
        volts: at_b + ohms * b,
        ohms,
    }
}

impl Rail {
    /// The rail as its reference sees it, with `others_amps` drawn besides load and reference.
    pub fn feed(&self, load: Amps, others_amps: f64) -> Line {
        moved(self.line, load.0 + others_amps)
    }

    /// What the reference carries with `others_amps` drawn from the rail besides.
    pub fn carried(&self, stack: &Stack, load: Amps) -> Carried {
        stack.carry(self.feed(load, 0.0), &[])
    }
}
