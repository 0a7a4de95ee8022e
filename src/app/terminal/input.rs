//! The supply file named on the command line, read as the window reads it; `-` is standard input.

use std::io::Write as _;
use std::path::Path;

use crate::app::disk::files;
use crate::app::disk::own_types;
use crate::app::disk::settings::Folders;
use crate::explain::accepted;
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::{FileError, with_lines};

/// What is said on standard error: one fault a line, each with its file.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(super) struct Complaint(pub(super) String);

impl Complaint {
    /// Something about a file.
    pub(super) fn about(path: &Path, what: &impl ToString) -> Self {
        Self(format!("{}: {}", path.display(), what.to_string()))
    }
}

/// Reads a supply that can be computed with.
///
/// # Errors
/// Names the file, and for each fault the line, the field, what was found and what was expected.
pub(super) fn work(path: &Path) -> Result<Work, Complaint> {
    let read = if path == Path::new(files::STANDARD_INPUT) {
        files::read_standard_input()
    } else {
        files::read_text(path)
    };
    let text = read.map_err(|error| Complaint(error.to_string()))?;
    let of_this_file = |faults: Vec<FileError>| {
        let all = faults.iter();
        all.map(|fault| format!("{}: {fault}", path.display()))
            .collect::<Vec<_>>()
            .join("\nsagline: ")
    };
    let work =
        files::checked(&text, &catalogue()).map_err(|faults| Complaint(of_this_file(faults)))?;
    let moot = accepted::remarks(&work.supply);
    if !moot.is_empty() {
        // With standard error closed there is nobody to tell.
        let remarks = of_this_file(with_lines(moot, &text));
        let _closed = writeln!(std::io::stderr().lock(), "sagline: {remarks}");
    }
    Ok(work)
}

/// The built-in types and the user's own. What is wrong with a file of own types is said, and the rest is used.
fn catalogue() -> Catalogue {
    let (catalogue, faults) = own_types::catalogue(&Folders::of_system());
    for fault in faults {
        // With standard error closed there is nobody to tell.
        let _closed = writeln!(std::io::stderr().lock(), "sagline: {fault}");
    }
    catalogue
}
