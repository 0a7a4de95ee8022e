//! A chain with all tubes cold: what is soldered in, and gas tubes as long as they burn.

use nalgebra::DVector;

use crate::physics::discharge::chain::{Chain, Gas};
use crate::physics::discharge::ladder::Ladder;

/// Its volts over time.
#[derive(Debug, Clone, PartialEq)]
pub struct Cold {
    chain: Chain,
    phases: Vec<Phase>,
}

/// A stretch of time in which the chain is one linear network.
#[derive(Debug, Clone, PartialEq)]
struct Phase {
    /// When it begins (s).
    from: f64,
    start: DVector<f64>,
    ladder: Ladder,
}

impl Cold {
    /// From the instant of switching off.
    pub fn of(chain: &Chain) -> Self {
        Self::from_state(chain, chain.start())
    }

    /// From any state of the chain.
    pub(super) fn from_state(chain: &Chain, start: DVector<f64>) -> Self {
        let mut phases = Vec::new();
        let mut dark_from = Some((0.0, start.clone()));
        if let Some(gas) = &chain.gas
            && chain.bus_in(&start) > gas.volts
        {
            let ladder = Ladder::of(&chain.matrix(Gas::Lit, 0.0));
            let bus = |state: &DVector<f64>| chain.bus_in(state);
            dark_from = (ladder.falls_to(&start, gas.volts, &bus))
                .map(|seconds| (seconds, ladder.after(&start, seconds)));
            phases.push(Phase {
                from: 0.0,
                start,
                ladder,
            });
        }
        if let Some((from, start)) = dark_from {
            let ladder = Ladder::of(&chain.matrix(Gas::Dark, 0.0));
            phases.push(Phase {
                from,
                start,
                ladder,
            });
        }
        Self {
            chain: chain.clone(),
            phases,
        }
    }

    /// From when on every capacitor is below these volts (s); `None` where that takes more than two years: nothing bleeds it.
    pub fn seconds_to(&self, volts: f64) -> Option<f64> {
        let figure = |state: &DVector<f64>| self.chain.highest_in(state);
        let last = self.phases.last()?;
        let in_last = last.ladder.falls_to(&last.start, volts, &figure)?;
        if in_last > 0.0 || self.phases.len() == 1 {
            return Some(last.from + in_last);
        }
        // It was there before the gas tubes went out.
        let first = self.phases.first()?;
        let found = first.ladder.falls_to(&first.start, volts, &figure);
        Some(found.map_or(last.from, |seconds| seconds.min(last.from)))
    }

    /// Volts of every capacitor (V), and amperes of every choke between them (A), after a time; from the rectifier on.
    pub fn at(&self, seconds: f64) -> [Vec<f64>; 2] {
        let phase = self.phases.iter().rev().find(|phase| phase.from <= seconds);
        let Some(phase) = phase.or(self.phases.first()) else {
            return [Vec::new(), Vec::new()];
        };
        let state = phase.ladder.after(&phase.start, seconds - phase.from);
        self.chain.parts_of(&state)
    }

    /// The highest volts that are left after two years (V).
    pub fn left_volts(&self) -> f64 {
        let left = self.volts_at(f64::INFINITY);
        left.into_iter()
            .fold(0.0, |most, volts| volts.abs().max(most))
    }

    /// Volts of every capacitor after a time (V), from the rectifier on.
    pub fn volts_at(&self, seconds: f64) -> Vec<f64> {
        let [volts, _] = self.at(seconds);
        volts
    }
}
