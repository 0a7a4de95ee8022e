//! What the supply does: pure functions of the parts. No clock, disk, thread, window or memory here, and no words for people.
//!
//! Read in this order: [`numeric`] → [`device`] (the laws of tubes and diodes) → [`circuit`] (rectifier and filter, and one step of their
//! time) → [`steady_state`] (the waveform that repeats) → [`model`] (the supply made ready) → [`regulator`](mod@regulator) (how low the
//! output goes and how well it is held) → [`limit`] (what must not be exceeded) → [`envelope`](mod@envelope) (where nothing is). Beside
//! them [`spread`]: the same supply as it might be in truth.

pub mod circuit;
pub mod device;
pub mod discharge;
pub mod energy;
pub mod envelope;
pub mod failure;
pub mod limit;
pub mod model;
pub mod needs;
pub mod numeric;
pub mod operation;
pub mod regulator;
pub mod spread;
pub mod stand_by;
pub mod steady_state;
pub mod stress;
pub mod switch_on;
pub mod watch;

pub use envelope::{Column, Curve, Envelope, LimitCurve, Point, envelope};
pub use failure::Failure;
pub use limit::{Judged, Limit, Measure, Use};
pub use model::Model;
pub use needs::Needs;
pub use operation::{Bus, Case, ChokeStress, NoLoad, Operation, RectifierStress};
