//! Steady states of a supply from which those of drawn supplies, some per cent off, are found within a few periods.

use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::{Start, operate_near};

/// Steady states at one output current and at none, in every case.
#[derive(Debug, Clone)]
pub struct Beside {
    amps: f64,
    found: Vec<Found>,
}

#[derive(Debug, Clone)]
struct Found {
    case: Case,
    loaded: Vec<Start>,
    at_rest: Vec<Start>,
}

impl Beside {
    /// Every case that there is.
    pub const CASES: [Case; 8] = [
        Case::Low,
        Case::Present,
        Case::High,
        Case::Nominal,
        Case::LowLeast,
        Case::LowMost,
        Case::HighLeast,
        Case::HighMost,
    ];

    /// Of a supply at an output current (A). Where it has no steady state those of others are sought from nothing.
    pub fn of(model: &Model, amps: f64) -> Self {
        let start = |raw, case, amps| operate_near(raw, case, amps, &[]).ok().map(|one| one.start);
        let found = Self::CASES.map(|case| Found {
            case,
            loaded: start(&model.raw, case, amps).into_iter().collect(),
            at_rest: start(&model.raw_at_rest, case, 0.0).into_iter().collect(),
        });
        Self {
            amps,
            found: found.to_vec(),
        }
    }

    /// The output current (A).
    pub fn amps(&self) -> f64 {
        self.amps
    }

    fn near(&self, case: Case) -> Option<&Found> {
        self.found.iter().find(|found| found.case == case)
    }

    /// Everything before the pass tubes of a drawn supply at that current.
    ///
    /// # Errors
    /// As [`operate_near`].
    pub fn loaded(&self, model: &Model, case: Case) -> Result<Operation, Failure> {
        let near = self.near(case).map_or([].as_slice(), |found| &found.loaded);
        Ok(operate_near(&model.raw, case, self.amps, near)?.operation)
    }

    /// The same at no output current, the regulator drawing as it does at the top of the set range.
    ///
    /// # Errors
    /// As [`operate_near`].
    pub fn unloaded(&self, model: &Model, case: Case) -> Result<Operation, Failure> {
        let near = self
            .near(case)
            .map_or([].as_slice(), |found| &found.at_rest);
        Ok(operate_near(&model.raw, case, 0.0, near)?.operation)
    }

    /// The same with the output turned down as far as it goes.
    ///
    /// # Errors
    /// As [`operate_near`].
    pub fn at_rest(&self, model: &Model, case: Case) -> Result<Operation, Failure> {
        let near = self
            .near(case)
            .map_or([].as_slice(), |found| &found.at_rest);
        Ok(operate_near(&model.raw_at_rest, case, 0.0, near)?.operation)
    }
}
