//! What must not be exceeded, and how much of it is used.

pub use crate::parts::Side;
use crate::parts::quantity::Quantity;
use crate::parts::{Confidence, Figure, Rating, RatingSystem, Supply};
use crate::physics::failure::Failure;
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::needs::Needs;
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::regulator::Load;
pub use crate::physics::regulator::grid_circuit::Whose;
use crate::physics::stress::no_load;

mod acceptance;
pub mod boundary;
mod chart;
#[expect(
    clippy::unnecessary_wraps,
    reason = "all rows of the table ask in one way"
)]
mod filter;
mod output;
#[expect(
    clippy::unnecessary_wraps,
    reason = "all rows of the table ask in one way"
)]
mod pass_tubes;
mod rail;
#[expect(
    clippy::unnecessary_wraps,
    reason = "all rows of the table ask in one way"
)]
mod rectifier;
mod references;
mod regulator;
mod row;
mod table;

pub use acceptance::{Unfit, acceptance, unfit};
pub use pass_tubes::tube_mean_volts;
pub use rail::OfRail;
pub use row::{Absent, Bound, Measure, Nature, Row};
pub(in crate::physics) use row::{Edge, Figures, Met, Shape};
pub use table::{Limit, ROWS, all};

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
    /// The actual value at present mains, as a meter would show it; `None` where the supply does not give the current there.
    pub actual_now: Option<f64>,
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
    /// How sure the published figure is; `None` for what no sheet says.
    pub confidence: Option<Confidence>,
    /// The published figure (V, A, W, Ω or F), where the rating is accepted as built up to what is then allowed.
    pub published: Option<f64>,
    /// The number, or what would have to be known.
    pub judged: Result<Judged, Needs>,
}

impl Use {
    /// `actual / allowed`, if known.
    pub fn ratio(&self) -> Option<f64> {
        self.judged.as_ref().ok().map(|j| j.ratio)
    }

    /// True if it is known to be exceeded.
    pub fn is_over(&self) -> bool {
        self.ratio().is_some_and(|ratio| ratio > 1.0)
    }

    /// How near it is, if known: the ratio, but 0 for a value of the circuit that is kept.
    pub fn nearness(&self) -> Option<f64> {
        self.ratio().map(|ratio| self.limit.nearness(ratio))
    }

    /// `1 − ratio`, if known.
    pub fn margin(&self) -> Option<f64> {
        self.ratio().map(|r| 1.0 - r)
    }
}

/// What a limit allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rated {
    /// How much (V, A, W, Ω or F).
    pub value: f64,
    /// The system of a rating; `None` for what is not one, or where its maker names none.
    pub system: Option<RatingSystem>,
    /// How sure the figure is; `None` for what no sheet says.
    pub confidence: Option<Confidence>,
}

impl Rated {
    /// What follows from the circuit, not from a sheet.
    pub(in crate::physics) fn by_circuit(value: f64) -> Self {
        Self {
            value,
            system: None,
            confidence: None,
        }
    }

    /// A published figure without a rating system.
    fn figure<T: Quantity>(of: &Figure<T>) -> Self {
        Self {
            value: of.value.si(),
            system: None,
            confidence: Some(of.source.confidence),
        }
    }

    /// The same with another value.
    fn with(self, value: f64) -> Self {
        Self { value, ..self }
    }
}

impl<T: Quantity> From<&Rating<T>> for Rated {
    fn from(rating: &Rating<T>) -> Self {
        Self {
            value: rating.value.si(),
            system: Some(rating.system),
            confidence: Some(rating.source.confidence),
        }
    }
}

/// What a limit allows, or what would have to be known.
pub type Allowed = Result<Rated, Needs>;

/// A rating of this limit.
fn rating<T: Quantity>(of: Option<&Rating<T>>) -> Allowed {
    of.map(Rated::from).ok_or(Needs::Rating)
}

/// What a limit allows: the published figure, or the bound up to which it is accepted as built.
///
/// # Errors
/// What would have to be known.
pub fn allowed(limit: Limit, supply: &Supply) -> Allowed {
    let rated = published(limit, supply)?;
    let bound = acceptance(limit, supply).map(|accepted| accepted.up_to.si());
    Ok(bound.map_or(rated, |bound| rated.with(bound)))
}

/// What a limit allows by the book, whatever was accepted.
///
/// # Errors
/// What would have to be known.
pub fn published(limit: Limit, supply: &Supply) -> Allowed {
    (limit.row().allowed)(supply, limit.number())
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
        // Its maker has allowed for the usual swing of the mains, with nothing connected as well.
        Some(RatingSystem::DesignCentre) => &[Case::Nominal],
        _ if limit.is_no_load() => &[Case::Present, Case::High],
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

    /// The point at the same current with other volts (V).
    #[must_use]
    pub fn at_volts(self, volts: f64) -> Self {
        Self { volts, ..self }
    }

    /// What is connected, with an instant or a mean of the bus (V).
    pub fn load(&self, bus_volts: f64) -> Load {
        Load {
            bus_volts,
            amps: self.operation.output_amps,
            volts: self.volts,
        }
    }
}

/// A supply with nothing on its terminals in one case.
#[derive(Debug, Clone, Copy)]
pub struct Unloaded<'a> {
    /// The supply.
    pub model: &'a Model,
    /// The case.
    pub case: Case,
    /// What then stands on its parts.
    pub no_load: &'a NoLoad,
}

impl Limit {
    /// What there is at a point and what is allowed there, `allowed` being the fixed number of most limits. `None` for what is
    /// judged with nothing connected: the point does not say it.
    pub fn at_point(
        self,
        point: OperatingPoint<'_>,
        allowed: f64,
    ) -> Option<Result<[f64; 2], Needs>> {
        match self.row().figures {
            Figures::Unloaded(_) => None,
            Figures::AtPoint(actual) => {
                Some(actual(point, self.number()).map(|actual| [actual, allowed]))
            }
            Figures::Both(both) => Some(both(point, allowed)),
        }
    }

    /// What there is with nothing connected; `None` for what depends on the load.
    pub fn unloaded(self, unloaded: Unloaded<'_>) -> Option<Result<f64, Needs>> {
        match self.row().figures {
            Figures::Unloaded(actual) => Some(actual(&unloaded, self.number())),
            Figures::AtPoint(_) | Figures::Both(_) => None,
        }
    }

    /// What there is and what is allowed, by whatever way it is judged: with nothing connected that is worked out anew.
    ///
    /// # Errors
    /// What would have to be known, or why the supply was not solved.
    pub fn figures(self, point: OperatingPoint<'_>, allowed: f64) -> Result<[f64; 2], Failure> {
        let n = self.number();
        match self.row().figures {
            Figures::Unloaded(actual) => {
                let no_load = no_load(point.model, point.case)?;
                let unloaded = Unloaded {
                    model: point.model,
                    case: point.case,
                    no_load: &no_load,
                };
                Ok([actual(&unloaded, n)?, allowed])
            }
            Figures::AtPoint(actual) => Ok([actual(point, n)?, allowed]),
            Figures::Both(both) => Ok(both(point, allowed)?),
        }
    }

    pub(in crate::physics) fn shape(self, supply: &Supply) -> Shape {
        (self.row().shape)(supply)
    }
}

/// `actual / allowed` in the sense of each limit: exactly 1 on its boundary.
pub fn ratio(limit: Limit, actual: f64, allowed: f64) -> f64 {
    limit.row().bound.ratio(actual, allowed)
}

#[cfg(test)]
mod tests;
