//! Why there is no answer, as a value. The sentences are elsewhere.

use crate::parts::check::Problem;
use crate::physics::circuit::source::TransformerFault;
use crate::physics::needs::Needs;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// The description is not a supply; each problem names its field.
    Description(Vec<Problem>),
    /// No transformer is like that.
    Transformer(TransformerFault),
    /// Something would have to be known.
    NotKnown(Needs),
    /// There is no voltage to begin with.
    NoOutput(NoOutput),
    /// The bus cannot give this current: it would have to fall to zero.
    Collapse {
        /// Output current asked for (A).
        amps: f64,
    },
    /// The steady state was not found.
    NotConverged {
        /// Output current (A).
        amps: f64,
        /// Periods computed.
        periods: u32,
        /// Remaining relative closure error.
        residual: f64,
    },
    /// The limit asked about is met nowhere.
    MetNowhere,
}

/// Why a supply gives no voltage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoOutput {
    /// Its filter has no capacitor.
    NoCapacitor,
    /// Its filter has so many capacitors and chokes, more than are computed.
    TooManyParts(usize),
    /// The bus is at zero even with nothing on the terminals.
    NoBus,
}

impl From<Needs> for Failure {
    fn from(needs: Needs) -> Self {
        Self::NotKnown(needs)
    }
}

impl From<TransformerFault> for Failure {
    fn from(fault: TransformerFault) -> Self {
        Self::Transformer(fault)
    }
}
