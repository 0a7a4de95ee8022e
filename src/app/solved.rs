//! A supply worked out: its envelope, its load lines, and what was asked for besides.

use crate::bench::load_line::{LoadLine, load_line};
use crate::parts::Supply;
use crate::physics::envelope::{Envelope, MarginMap, Point, envelope};
use crate::physics::{Failure, Model};

/// The last good picture and what belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Picture {
    /// The supply that it is of.
    pub(crate) supply: Supply,
    /// That supply made ready.
    pub(crate) model: Model,
    /// Its envelope.
    pub(crate) envelope: Envelope,
    /// One for each dummy of that supply.
    pub(crate) load_lines: Vec<LoadLine>,
    /// The margin map, once it was asked for.
    pub(crate) map: Option<MarginMap>,
    /// Everything known about the point.
    pub(crate) point: Option<Point>,
}

/// Works out everything about a supply but a point; what is known of one like it is taken over.
///
/// # Errors
/// Why it cannot be computed.
pub(crate) fn compute(supply: &Supply, known: Option<&Picture>) -> Result<Picture, Failure> {
    let model = match known {
        Some(known) => known.model.changed(supply)?,
        None => Model::of(supply)?,
    };
    let envelope = envelope(&model)?;
    let load_lines = supply
        .dummies
        .iter()
        .map(|dummy| load_line(&envelope, dummy))
        .collect();
    Ok(Picture {
        supply: supply.clone(),
        model,
        envelope,
        load_lines,
        map: None,
        point: None,
    })
}
