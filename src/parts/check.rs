//! Is the description a supply at all? Every problem with its place, what was found and what was expected.

use crate::parts::{Stage, Supply};

/// Something in the description that cannot be computed with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: found {found}, expected {expected}")]
pub struct Problem {
    /// The stage that it belongs to.
    pub stage: Stage,
    /// The field, as a path in the file: `filter.sections[1].capacitor.unit`.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// All problems of a description, in the order of the signal path; empty when it can be computed.
pub fn check(_supply: &Supply) -> Vec<Problem> {
    Vec::new()
}
