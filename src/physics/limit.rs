//! What must not be exceeded, and how much of it is used.

use crate::parts::RatingSystem;
pub use crate::parts::Side;
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::ceiling;
use crate::physics::regulator::floor::{self, Drive};
pub use crate::physics::regulator::grid_circuit::Whose;

mod actual;
mod allowed;
mod kinds;

pub use actual::{actual, actual_no_load, heater_volts, tube_mean_volts};
pub use allowed::allowed;
pub use kinds::{Limit, all};

/// What is measured against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Ohms.
    Ohms,
}

/// A limit's use as a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// `actual / allowed`; above 1 the limit is exceeded.
    pub ratio: f64,
    /// The actual value (V, A, W or Ω).
    pub actual: f64,
    /// The allowed value (V, A, W or Ω).
    pub allowed: f64,
    /// What it is measured in.
    pub measure: Measure,
    /// The case in which it was judged: the worst that its rating system asks for.
    pub case: Case,
    /// Rms mains volts of that case.
    pub mains_volts: f64,
    /// The ratio at low, present and high mains, for comparison.
    pub at_low_present_high: [f64; 3],
}

/// How much of a limit is used at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// Which limit.
    pub limit: Limit,
    /// The rating system that it was judged by; `None` for what is not a rating.
    pub system: Option<RatingSystem>,
    /// The number, or what would have to be known.
    pub judged: Result<Judged, Needs>,
}

impl Use {
    /// `actual / allowed`, if known.
    pub fn ratio(&self) -> Option<f64> {
        self.judged.as_ref().ok().map(|j| j.ratio)
    }

    /// `1 − ratio`, if known.
    pub fn margin(&self) -> Option<f64> {
        self.ratio().map(|r| 1.0 - r)
    }
}

/// The cases in which a limit is judged; the worst of them binds (IEC 60134 for the rating systems).
pub fn judging_cases(limit: Limit, system: Option<RatingSystem>) -> &'static [Case] {
    match system {
        // A reference has to work on any day, whatever its maker calls the range of its current.
        _ if matches!(
            limit,
            Limit::ReferenceLeast(_) | Limit::ReferenceMost(_) | Limit::ReferenceStrike(_)
        ) =>
        {
            &[Case::Low, Case::Present, Case::High]
        }
        None => &[Case::Present],
        _ if limit.is_no_load() => &[Case::Present, Case::High],
        Some(RatingSystem::DesignCentre) => &[Case::Nominal],
        Some(RatingSystem::DesignMaximum) => &[Case::Low, Case::Present, Case::High],
        Some(RatingSystem::AbsoluteMaximum) => &[
            Case::Present,
            Case::LowLeast,
            Case::LowMost,
            Case::HighLeast,
            Case::HighMost,
        ],
    }
}

/// A point of the plane in one case.
#[derive(Debug, Clone, Copy)]
pub struct OperatingPoint<'a> {
    /// The supply.
    pub model: &'a Model,
    /// The case.
    pub case: Case,
    /// Everything before the pass tubes, at the point's current.
    pub operation: &'a Operation,
    /// Output volts (V).
    pub volts: f64,
}

impl<'a> OperatingPoint<'a> {
    /// The regulator in its case.
    ///
    /// # Errors
    /// [`Needs::Regulator`] if none is described.
    pub fn regulator(&self) -> Result<&'a RegulatorModel, Needs> {
        self.model.regulator(self.case)
    }
}

/// What there is at a point and what a limit allows there. Mostly that is a fixed number, `allowed`; for dropout it is the valley of
/// the bus, for the grid-drive floor the grid volts that the control tube can give, for the control-grid ceiling those that the
/// sense divider can give.
///
/// # Errors
/// What would have to be known.
pub fn actual_and_allowed(
    limit: Limit,
    at: OperatingPoint<'_>,
    allowed: f64,
) -> Result<[f64; 2], Needs> {
    let both = |drive: Drive| [drive.needed_volts, drive.given_volts];
    match limit {
        Limit::GridFloor => floor::drive(at.regulator()?, at.operation, at.volts).map(both),
        Limit::ControlGridCeiling => {
            ceiling::drive(at.regulator()?, at.operation, at.volts).map(both)
        }
        Limit::Dropout => Ok([actual(limit, at)?, at.operation.bus.trough_volts]),
        _ => Ok([actual(limit, at)?, allowed]),
    }
}

/// `actual / allowed` in the sense of each limit: exactly 1 on its boundary.
pub fn ratio(limit: Limit, actual: f64, allowed: f64) -> f64 {
    match limit {
        // Of what must not fall short the reciprocal would run to infinity at none of it.
        Limit::SetRangeLow => allowed / actual.max(1e-3 * allowed),
        _ if limit.is_least() => allowed / actual.max(1e-3 * allowed),
        Limit::GridFloor | Limit::ControlGridCeiling => Drive {
            needed_volts: actual,
            given_volts: allowed,
        }
        .ratio(),
        _ => (actual / allowed).max(0.0),
    }
}
