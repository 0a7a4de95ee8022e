//! The operating envelope: the part of the volt–ampere plane in which no limit is exceeded.

use crate::parts::{RatingSystem, Supply};
use crate::physics::Failure;
use crate::physics::limit::{Limit, Use};
use crate::physics::operation::{Case, NoLoad, Operation};

/// One case solved over the whole grid of output currents.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Which case.
    pub case: Case,
    /// Its rms mains volts.
    pub mains_volts: f64,
    /// One answer for each current of the grid; shorter than the grid where the bus collapses.
    pub operations: Vec<Operation>,
    /// The supply with nothing on its terminals.
    pub no_load: NoLoad,
}

/// The boundary that a limit draws in the plane.
#[derive(Debug, Clone, PartialEq)]
pub enum Curve {
    /// Allowed below this line of (A, V), rising in A.
    Ceiling(Vec<[f64; 2]>),
    /// Allowed above this line of (A, V), rising in A; where it leaves the plane below, the points end.
    Floor(Vec<[f64; 2]>),
    /// Allowed left of this current (A).
    Wall(f64),
    /// The same everywhere: `use` with nothing on the terminals.
    Everywhere(f64),
    /// Never met within the grid of currents.
    OutOfReach,
    /// Cannot be drawn: what would have to be known.
    NotKnown(&'static str),
}

/// A limit with its boundary.
#[derive(Debug, Clone, PartialEq)]
pub struct LimitCurve {
    /// Which limit.
    pub limit: Limit,
    /// Its rating system, if it is a rating.
    pub system: Option<RatingSystem>,
    /// The case that binds.
    pub case: Case,
    /// The boundary that binds.
    pub curve: Curve,
    /// The boundary at low, present and high mains.
    pub at_low_present_high: [Curve; 3],
}

/// A point of the plane with everything known about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Output current (A).
    pub amps: f64,
    /// Output volts (V).
    pub volts: f64,
    /// What goes on before the pass tubes, at present mains; `None` if the supply cannot give this current.
    pub operation: Option<Operation>,
    /// All limits; the tightest known one first, then the others, the unknown last.
    pub uses: Vec<Use>,
}

impl Point {
    /// The tightest limit.
    pub fn tightest(&self) -> Option<&Use> {
        self.uses.iter().find(|u| u.judged.is_ok())
    }

    /// True if no known limit is exceeded.
    pub fn is_inside(&self) -> bool {
        self.operation.is_some()
            && self
                .tightest()
                .and_then(Use::ratio)
                .is_none_or(|r| r <= 1.0)
    }
}

/// The operating envelope of a supply.
#[derive(Debug, Clone, PartialEq)]
pub struct Envelope {
    /// Output currents of the grid, rising from 0 (A).
    pub amps: Vec<f64>,
    /// Solved cases; low, present and high are always there.
    pub columns: Vec<Column>,
    /// All limits with their boundaries.
    pub limits: Vec<LimitCurve>,
    /// The envelope itself: for each current in it, the lowest and highest allowed volts.
    /// Empty if there is no allowed point at all.
    pub region: Vec<[f64; 3]>,
    /// Limits that are exceeded with nothing on the terminals, wherever the point is.
    pub broken_everywhere: Vec<Limit>,
}

impl Envelope {
    /// The column of a case, if it was needed.
    pub fn column(&self, case: Case) -> Option<&Column> {
        self.columns.iter().find(|c| c.case == case)
    }

    /// Everything known about a point (A, V).
    pub fn point(&self, _supply: &Supply, _amps: f64, _volts: f64) -> Result<Point, Failure> {
        Err(Failure::Description(Vec::new()))
    }
}

/// Works out the envelope.
///
/// # Errors
/// [`Failure::Description`] if the parts are not a supply, [`Failure::NoOutput`] if they give no voltage.
pub fn envelope(_supply: &Supply) -> Result<Envelope, Failure> {
    Err(Failure::Description(Vec::new()))
}
