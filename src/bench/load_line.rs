//! A dummy load against the envelope: which stretch of its line is allowed and what stops it at each end.

use crate::parts::{Dummy, Supply};
use crate::physics::envelope::Envelope;
use crate::physics::limit::Limit;

/// What ends a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The origin: the line starts there.
    Origin,
    /// A limit of the supply.
    Limit(Limit),
    /// The resistor's own power, derated.
    OwnPower,
    /// The resistor's own working volts.
    OwnVolts,
    /// The supply cannot give more current: the bus collapses.
    Collapse,
}

/// A stretch of the load line on which nothing is exceeded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Its lower end (A, V).
    pub from: [f64; 2],
    /// What ends it below.
    pub from_end: End,
    /// Its upper end (A, V).
    pub to: [f64; 2],
    /// What ends it above.
    pub to_end: End,
}

impl Stretch {
    /// Watts in the resistor at the upper end.
    pub fn to_watts(&self) -> f64 {
        self.to[0] * self.to[1]
    }
}

/// A dummy load against the envelope.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadLine {
    /// Resistance (Ω).
    pub ohms: f64,
    /// Allowed stretches of the supply and the resistor together, lowest first.
    pub stretches: Vec<Stretch>,
    /// Allowed stretches of the supply alone, lowest first.
    pub supply_stretches: Vec<Stretch>,
    /// Highest point (A, V) that the resistor itself allows, and why; `None` if neither of its ratings is known.
    pub own_end: Option<([f64; 2], End)>,
}

/// Puts a dummy load against the envelope.
pub fn load_line(_supply: &Supply, _envelope: &Envelope, dummy: &Dummy) -> LoadLine {
    LoadLine {
        ohms: dummy.resistance.0,
        stretches: Vec::new(),
        supply_stretches: Vec::new(),
        own_end: None,
    }
}
