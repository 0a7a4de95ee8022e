//! A supply worked out: its envelope, its load lines, and what was asked for besides.

use crate::bench::load_line::{LoadLine, load_line};
use crate::parts::check::check;
use crate::parts::{Dummy, Supply};
use crate::physics::Failure;
use crate::physics::envelope::{Envelope, MarginMap, Point, envelope};

/// A good picture of a supply and what belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Picture {
    /// The supply that it is of.
    pub(crate) supply: Supply,
    /// Its envelope.
    pub(crate) envelope: Envelope,
    /// The dummy loads that were put against it.
    pub(crate) dummies: Vec<Dummy>,
    /// One for each of them.
    pub(crate) load_lines: Vec<LoadLine>,
    /// The margin map, once it was asked for.
    pub(crate) map: Option<MarginMap>,
    /// Everything known about the point.
    pub(crate) point: Option<Point>,
}

impl Picture {
    /// Puts these dummy loads against the envelope, in place of those before.
    pub(crate) fn load_with(&mut self, dummies: &[Dummy]) {
        dummies.clone_into(&mut self.dummies);
        self.load_lines = load_lines(&self.envelope, dummies);
    }
}

/// The line of each dummy load.
pub(crate) fn load_lines(envelope: &Envelope, dummies: &[Dummy]) -> Vec<LoadLine> {
    dummies.iter().map(|one| load_line(envelope, one)).collect()
}

/// Works out everything about a supply but a point and loads.
///
/// # Errors
/// Why it cannot be computed.
pub(crate) fn solve(supply: &Supply) -> Result<Picture, Failure> {
    let problems = check(supply);
    if !problems.is_empty() {
        return Err(Failure::Description(problems));
    }
    Ok(Picture {
        supply: supply.clone(),
        envelope: envelope(supply)?,
        dummies: Vec::new(),
        load_lines: Vec::new(),
        map: None,
        point: None,
    })
}
