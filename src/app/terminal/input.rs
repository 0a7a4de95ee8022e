//! The supply file named on the command line, read as the window reads it; `-` is standard input.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use crate::app::disk::files;
use crate::app::disk::own_types;
use crate::app::disk::settings::Folders;
use crate::explain::{accepted, failure};
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::{FileError, line_of, with_lines};
use crate::physics::Failure;

/// What is said on standard error: one fault a line, each with its file.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(super) struct Complaint(pub(super) String);

impl Complaint {
    /// Something about a file.
    pub(super) fn about(path: &Path, what: &impl ToString) -> Self {
        Self(format!("{}: {}", files::shown_path(path), what.to_string()))
    }
}

/// A supply that was read, and the text that it stands in.
pub(super) struct Opened {
    /// The supply and what stands beside it.
    pub(super) work: Work,
    path: PathBuf,
    text: String,
}

impl Opened {
    /// A fault of what stands at the head of the sentence, `primary.no_load: found …`, with its line.
    pub(super) fn about(&self, sentence: &str) -> Complaint {
        let field = sentence.split(':').next().unwrap_or_default();
        let line = line_of(&self.text, field);
        let place = line.map_or_else(String::new, |line| format!("line {line}, "));
        Complaint::about(&self.path, &format!("{place}{sentence}"))
    }

    /// A fault of the supply as a whole, with the lines of the parts that it speaks of.
    pub(super) fn fails(&self, failure: &Failure) -> Complaint {
        let parts = failure::parts(failure).into_iter();
        let lines: Vec<String> = parts
            .filter_map(|part| line_of(&self.text, &part))
            .map(|line| line.to_string())
            .collect();
        let place = match lines.as_slice() {
            [] => String::new(),
            [one] => format!("line {one}, "),
            several => format!("lines {}, ", several.join(" and ")),
        };
        let sentence = failure::sentence(failure);
        Complaint::about(&self.path, &format!("{place}{sentence}"))
    }
}

/// Reads a supply that can be computed with.
///
/// # Errors
/// Names the file, and for each fault the line, the field, what was found and what was expected.
pub(super) fn opened(path: &Path) -> Result<Opened, Complaint> {
    let read = if path == Path::new(files::STANDARD_INPUT) {
        files::read_standard_input()
    } else {
        files::read_text(path)
    };
    let text = read.map_err(|error| Complaint(error.to_string()))?;
    let told = |faults: &[FileError]| files::told_of(path, faults).join("\nsagline: ");
    let work = files::checked(&text, &catalogue()).map_err(|faults| Complaint(told(&faults)))?;
    let moot = accepted::remarks(&work.supply);
    if !moot.is_empty() {
        // With standard error closed there is nobody to tell.
        let remarks = told(&with_lines(moot, &text));
        let _closed = writeln!(std::io::stderr().lock(), "sagline: {remarks}");
    }
    Ok(Opened {
        work,
        path: path.to_owned(),
        text,
    })
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
