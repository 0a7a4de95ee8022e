//! A published number with where it is from, and a rating with the system it is meant in.

use crate::parts::{SeriesElement, Supply};

/// The rating systems of IEC 60134 (the same three as EIA/JEDEC). Its serde is that of drafts; files have a form of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
pub enum RatingSystem {
    /// Judged at nominal mains with nominal parts: the maker already allowed for their normal swing.
    #[default]
    DesignCentre,
    /// Judged at the worst mains, with nominal parts.
    DesignMaximum,
    /// Judged at the worst corner of mains and part tolerances.
    AbsoluteMaximum,
}

/// How sure a number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Confidence {
    /// Read on the maker's or publisher's own document.
    Seen,
    /// Read on a secondary page that quotes the original.
    Quoted,
    /// From memory of the named document, and found again from first principles.
    CrossChecked,
    /// From memory of the named document, high confidence.
    MemoryHigh,
    /// From memory, medium confidence.
    MemoryMedium,
    /// From memory, low confidence.
    MemoryLow,
    /// Follows from other numbers of the same sheet.
    Calculated,
    /// Typed by the user.
    #[default]
    Own,
}

/// Where a number is from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Source {
    /// The document and place in it; empty for a number that the user typed.
    pub document: String,
    /// How sure it is.
    pub confidence: Confidence,
}

/// A number with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure<T> {
    /// The number.
    pub value: T,
    /// Where it is from.
    pub source: Source,
}

/// A limit that a maker puts on a part.
#[derive(Debug, Clone, PartialEq)]
pub struct Rating<T> {
    /// The number that must not be exceeded.
    pub value: T,
    /// How it is meant to be judged.
    pub system: RatingSystem,
    /// Where it is from.
    pub source: Source,
}

impl<T> Figure<T> {
    /// A number that the user typed.
    pub fn own(value: T) -> Self {
        Self {
            value,
            source: Source::default(),
        }
    }
}

impl<T> Rating<T> {
    /// A rating that the user typed.
    pub fn own(value: T, system: RatingSystem) -> Self {
        Self {
            value,
            system,
            source: Source::default(),
        }
    }
}

impl Supply {
    /// True if any rating of any part is meant in this system.
    pub fn has_rating_in(&self, system: RatingSystem) -> bool {
        let stage = &self.pass_stage.tube;
        let kind = &self.rectifier.kind;
        let regulator = self.regulator.as_ref().map(|r| &r.control_tube);
        let of_tubes = [Some(&stage.ratings), regulator.map(|tube| &tube.ratings)];
        let systems = [
            system_of(stage.envelope_dissipation.as_ref()),
            system_of(stage.plate_current.as_ref()),
            system_of(regulator.and_then(|tube| tube.screen_volts.as_ref())),
            system_of(kind.peak_inverse.as_ref()),
            system_of(kind.peak_current.as_ref()),
            system_of(kind.dc_current.as_ref()),
            system_of(kind.dc_current_choke_input.as_ref()),
            system_of(self.transformer.winding_rating.as_ref()),
        ];
        let of_filter = self.filter.stacks().flat_map(|stack| {
            [
                system_of(stack.working_volts.as_ref()),
                system_of(stack.surge_volts.as_ref()),
                system_of(stack.ripple_current.as_ref()),
            ]
        });
        let of_chokes = self.filter.sections.iter().map(|s| match &s.series {
            SeriesElement::Choke { rating, .. } => system_of(rating.as_ref()),
            SeriesElement::Resistor(_) => None,
        });
        let of_tubes = of_tubes.into_iter().flatten().flat_map(|of| {
            [
                system_of(of.plate_dissipation.as_ref()),
                system_of(of.screen_dissipation.as_ref()),
                system_of(of.plate_volts.as_ref()),
                system_of(of.heater_cathode.as_ref()),
                system_of(of.grid_resistor.as_ref()),
            ]
        });
        (systems.into_iter().chain(of_tubes))
            .chain(of_filter)
            .chain(of_chokes)
            .any(|found| found == Some(system))
    }
}

fn system_of<T>(rating: Option<&Rating<T>>) -> Option<RatingSystem> {
    rating.map(|r| r.system)
}
