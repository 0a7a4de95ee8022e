//! A published number with where it is from, and a rating with the system it is meant in.

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
