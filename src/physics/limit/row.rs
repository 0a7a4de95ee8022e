//! What a row of the table of limits consists of.

use crate::parts::{Stage, Supply};
use crate::physics::limit::{Allowed, Limit, OperatingPoint, Unloaded};
use crate::physics::needs::Needs;
use crate::physics::regulator::floor::Drive;

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
    /// Farads.
    Farads,
}

/// What passing a limit means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nature {
    /// The supply just does not do it.
    Reach,
    /// It harms a part.
    Rating,
    /// A value of the circuit that a tube's maker asks for. Harm as above, but built into the supply: it is kept or it is
    /// not, and designs stand exactly at it.
    CircuitValue,
}

/// What it means where a supply does not have a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Absent {
    /// The part is not there, or it does not apply to it: there is nothing to exceed.
    NotApplicable,
    /// Few makers publish it, so it is listed only where it is known: absent it is not known.
    NotKnown,
}

/// Which side of what is allowed is the good one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// It must not exceed what is allowed.
    AtMost,
    /// It must not fall short of it, as the least current of a gas tube. Its use goes as one over what there is, so that it is 1 where
    /// there is just enough and falls steeply where little is asked for; it never jumps.
    AtLeast,
    /// The low end of what can be asked for.
    LowEnd,
    /// Volts by which a grid must be below its cathode, against those by which it can be brought below: [`Drive::ratio`].
    GridDrive,
}

/// Where the figures of a limit come from, `n` being its number.
#[derive(Clone, Copy)]
pub(in crate::physics) enum Figures {
    /// From the supply with nothing connected: what there is, the same wherever the point is.
    Unloaded(fn(&Unloaded<'_>, n: u8) -> Result<f64, Needs>),
    /// From the point: what there is.
    AtPoint(fn(OperatingPoint<'_>, n: u8) -> Result<f64, Needs>),
    /// From the point and what is allowed in general: what there is and what is allowed there.
    Both(fn(OperatingPoint<'_>, allowed: f64) -> Result<[f64; 2], Needs>),
}

/// What a limit draws in the plane.
#[derive(Clone, Copy)]
pub(in crate::physics) enum Shape {
    /// Nothing: it is the same everywhere.
    Everywhere,
    /// A current beyond which nothing is allowed, whatever the volts.
    Wall,
    /// A line of volts below which one may go.
    Ceiling(Edge),
    /// A line of volts above which one may go.
    Floor(Edge),
}

/// The line of a ceiling or a floor.
#[derive(Clone, Copy)]
pub(in crate::physics) enum Edge {
    /// At what is allowed, whatever the current.
    Level,
    /// Follows from the bus in closed form: the volts (far below zero where it does not bind); `None` where they are not known.
    FromBus(fn(OperatingPoint<'_>, allowed: f64) -> Option<f64>),
    /// Has to be sought, from the point's volts on.
    Sought(fn(OperatingPoint<'_>, allowed: f64) -> Result<Met, Needs>),
}

/// At which output volts a limit is met at a current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::physics) enum Met {
    /// At these (V).
    At(f64),
    /// At none at this current, though perhaps at a larger one.
    NotHere,
    /// At none at this current, and still less with a bus pulled lower.
    NotBeyond,
}

/// Everything that there is to say about a kind of limit without words.
pub struct Row {
    /// The limit; of capacitors and chokes the first stands for all.
    pub limit: Limit,
    /// Its name for machines; `#` stands for its number, counted from 1.
    pub key: &'static str,
    /// The stage whose card shows it.
    pub stage: Stage,
    /// What passing it means.
    pub nature: Nature,
    /// What it is measured in.
    pub measure: Measure,
    /// Which side is the good one.
    pub bound: Bound,
    /// What it means where the supply does not have it.
    pub absent: Absent,
    /// How many of it a supply has: one for each capacitor or choke, none where the part is not there.
    pub(in crate::physics) count: fn(&Supply) -> usize,
    /// What is allowed, with the rating system if it is a rating.
    pub(in crate::physics) allowed: fn(&Supply, n: u8) -> Allowed,
    /// What there is.
    pub(in crate::physics) figures: Figures,
    /// What it draws.
    pub(in crate::physics) shape: fn(&Supply) -> Shape,
}

impl Bound {
    /// `actual / allowed`, or the other way round: exactly 1 on the boundary, above 1 beyond.
    pub fn ratio(self, actual: f64, allowed: f64) -> f64 {
        match self {
            // Of what must not fall short the reciprocal would run to infinity at none of it.
            Self::AtLeast | Self::LowEnd => allowed / actual.max(1e-3 * allowed),
            Self::GridDrive => Drive {
                needed_volts: actual,
                given_volts: allowed,
            }
            .ratio(),
            // Where a maker's chart has ended nothing is allowed.
            Self::AtMost => (actual / allowed.max(1e-9 * actual)).max(0.0),
        }
    }

    /// How far what there is lies on the good side of what is allowed, in the limit's own measure; below 0 beyond it.
    pub fn room(self, actual: f64, allowed: f64) -> f64 {
        match self {
            Self::AtLeast | Self::LowEnd => actual - allowed,
            Self::AtMost | Self::GridDrive => allowed - actual,
        }
    }
}
