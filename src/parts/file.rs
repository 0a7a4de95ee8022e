//! A supply as text and back. No disk here: the caller reads and writes the file.

use crate::parts::Supply;
use crate::parts::catalogue::Catalogue;

/// Version of the text format.
pub const FORMAT: u32 = 1;

/// What is wrong in a text, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{field}: found {found}, expected {expected}", line.map(|l| format!("line {l}, ")).unwrap_or_default())]
pub struct FileError {
    /// Line, counted from 1, where it is known.
    pub line: Option<usize>,
    /// The field, as a path: `filter.sections[1].capacitor.unit`.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// Reads a supply.
///
/// # Errors
/// Names line, field, what was found and what was expected.
pub fn read(_text: &str, _catalogue: &Catalogue) -> Result<Supply, FileError> {
    Err(FileError {
        line: None,
        field: String::new(),
        found: String::new(),
        expected: String::new(),
    })
}

/// Writes a supply so that [`read`] gives the same one back.
pub fn write(_supply: &Supply, _catalogue: &Catalogue) -> String {
    String::new()
}
