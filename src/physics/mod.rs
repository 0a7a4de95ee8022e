//! What the supply does: pure functions of the parts. No clock, disk, thread or window here.
//!
//! Read in this order: [`device`] (the laws of tubes and diodes) → [`source`] (mains and transformer as one
//! e.m.f. behind a resistance) → [`steady_state`] (the waveform that repeats) → [`pass_stage`] (how little the
//! pass tubes can drop) → [`regulator`](mod@regulator) (how low the output goes and how well it
//! is held) → [`limit`] (what must not be exceeded) → [`envelope`](mod@envelope) (where nothing is).

pub mod device;
pub mod energy;
pub mod envelope;
pub mod limit;
pub mod operation;
pub mod pass_stage;
pub mod regulator;
pub mod source;
pub mod steady_state;
pub mod stress;
pub mod watch;

pub use envelope::{Column, Curve, Envelope, LimitCurve, Point, envelope};
pub use limit::{Judged, Limit, Measure, Use};
pub use operation::{Bus, Case, ChokeStress, NoLoad, Operation, RectifierStress};

use crate::parts::check::Problem;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Failure {
    /// The description is not a supply; each problem names its field.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Description(Vec<Problem>),
    /// The rectifier never conducts, or the bus is at zero even without load.
    #[error("the supply gives no voltage: {0}")]
    NoOutput(String),
    /// The bus cannot give this current: it would have to fall to zero.
    #[error("the supply cannot give {amps} A: the bus collapses")]
    Collapse {
        /// Output current asked for (A).
        amps: f64,
    },
    /// The steady state was not found.
    #[error(
        "no steady state found at {amps} A after {steps} periods (closure error {residual:.1e}): a choke and a capacitor may resonate with the ripple, change one of them"
    )]
    NotConverged {
        /// Output current (A).
        amps: f64,
        /// Steps done.
        steps: u32,
        /// Remaining relative closure error.
        residual: f64,
    },
}
