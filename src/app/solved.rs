//! A supply worked out: its envelope, its load lines, and what was asked for besides.

use crate::bench::load_line::{LoadLine, load_line};
use crate::parts::Supply;
use crate::parts::check::check;
use crate::physics::Failure;
use crate::physics::envelope::{Envelope, MarginMap, Point, envelope};

/// The last good picture and what belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Picture {
    /// The supply that it is of.
    pub(crate) supply: Supply,
    /// Its envelope.
    pub(crate) envelope: Envelope,
    /// One for each dummy of that supply.
    pub(crate) load_lines: Vec<LoadLine>,
    /// The margin map, once it was asked for.
    pub(crate) map: Option<MarginMap>,
    /// Everything known about the point.
    pub(crate) point: Option<Point>,
}

/// Works out everything about a supply but a point.
///
/// # Errors
/// Why it cannot be computed.
pub(crate) fn compute(supply: &Supply) -> Result<Picture, Failure> {
    let problems = check(supply);
    if !problems.is_empty() {
        return Err(Failure::Description(problems));
    }
    let envelope = envelope(supply)?;
    let load_lines = supply
        .dummies
        .iter()
        .map(|dummy| load_line(&envelope, dummy))
        .collect();
    Ok(Picture {
        supply: supply.clone(),
        envelope,
        load_lines,
        map: None,
        point: None,
    })
}
