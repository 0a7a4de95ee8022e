//! A supply worked out: its envelope, its load lines, and what was asked for besides.

use std::sync::Arc;

use crate::bench::acceptance::{Taken, taken_if_much};
use crate::bench::load_line::{LoadLine, load_line};
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::{Envelope, MarginMap, Point, envelope};
use crate::physics::{Failure, Model};

/// A good picture of a supply and what belongs to it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Picture {
    /// The supply that it is of.
    pub(crate) supply: Supply,
    /// That supply made ready.
    pub(crate) model: Arc<Model>,
    /// Its envelope.
    pub(crate) envelope: Arc<Envelope>,
    /// Which ratings take much of its reach away, the one that takes most first; empty where none does.
    pub(crate) taken: Vec<Taken>,
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

/// Works out everything about a supply but a point and loads; the laws of tubes that a known one has as well are taken over.
///
/// # Errors
/// Why it cannot be computed.
pub(crate) fn solve(supply: &Supply, known: Option<&Picture>) -> Result<Picture, Failure> {
    let model = match known {
        Some(known) => known.model.changed(supply)?,
        None => Model::of(supply)?,
    };
    let envelope = envelope(&model)?;
    Ok(Picture {
        supply: supply.clone(),
        taken: taken_if_much(&envelope),
        envelope: Arc::new(envelope),
        model: Arc::new(model),
        dummies: Vec::new(),
        load_lines: Vec::new(),
        map: None,
        point: None,
    })
}
