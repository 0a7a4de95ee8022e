//! What must not be exceeded, and how much of it is used.

use crate::parts::{RatingSystem, Stage};
use crate::physics::operation::Case;

/// A limit of the supply. Numbered ones count capacitor stacks or chokes from the rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Above it the valley of the bus ripple no longer leaves the pass tubes their least drop.
    Dropout,
    /// Highest volts that the control can ask for.
    SetRangeHigh,
    /// Lowest volts that the control can ask for.
    SetRangeLow,
    /// Plate (plate and screen) dissipation of the worst pass tube unit.
    PlateDissipation,
    /// Dissipation of all units of one pass tube envelope together.
    EnvelopeDissipation,
    /// Plate (cathode) current of the worst pass tube unit.
    PlateCurrent,
    /// Plate volts of the pass tubes.
    PlateVolts,
    /// DC output of the rectifier.
    RectifierDc,
    /// Steady-state peak current of a rectifier device.
    RectifierPeak,
    /// Peak inverse volts of a rectifier device, no load.
    RectifierPeakInverse,
    /// Rms current of the high-voltage winding.
    WindingRms,
    /// Ripple current of a capacitor.
    CapacitorRipple(u8),
    /// Direct current of a choke.
    ChokeCurrent(u8),
    /// Working volts of a capacitor, no load.
    CapacitorVolts(u8),
    /// Surge volts of a capacitor, no load.
    CapacitorSurge(u8),
}

impl Limit {
    /// The stage whose card shows it.
    pub fn stage(self) -> Stage {
        match self {
            Self::Dropout
            | Self::PlateDissipation
            | Self::EnvelopeDissipation
            | Self::PlateCurrent
            | Self::PlateVolts => Stage::PassStage,
            Self::SetRangeHigh | Self::SetRangeLow => Stage::Output,
            Self::RectifierDc | Self::RectifierPeak | Self::RectifierPeakInverse => {
                Stage::Rectifier
            }
            Self::WindingRms => Stage::Transformer,
            Self::CapacitorRipple(_)
            | Self::ChokeCurrent(_)
            | Self::CapacitorVolts(_)
            | Self::CapacitorSurge(_) => Stage::Filter,
        }
    }

    /// True if exceeding it harms a part; false if the supply just does not do it.
    pub fn is_rating(self) -> bool {
        !matches!(self, Self::Dropout | Self::SetRangeHigh | Self::SetRangeLow)
    }

    /// True if it does not depend on the load: it is judged with nothing on the terminals.
    pub fn is_no_load(self) -> bool {
        matches!(
            self,
            Self::RectifierPeakInverse | Self::CapacitorVolts(_) | Self::CapacitorSurge(_)
        )
    }
}

/// What is measured against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
}

/// A limit's use as a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// `actual / allowed`; above 1 the limit is exceeded.
    pub ratio: f64,
    /// The actual value (V, A or W).
    pub actual: f64,
    /// The allowed value (V, A or W).
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
    pub judged: Result<Judged, &'static str>,
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
