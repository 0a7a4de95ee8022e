//! What is saved and undone.

use std::path::PathBuf;

use crate::parts::Work;

/// Where a work was read from.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Origin {
    /// Its file; `None` for a preset or one that was never saved.
    pub(crate) path: Option<PathBuf>,
    /// The text as it was read, or as it was last saved: its comments and its order stay when the work is saved. `None` where there
    /// is none.
    pub(crate) text: Option<String>,
}

/// The work that is open and where it lives on the disk.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Document {
    /// The work as it is now.
    pub(crate) work: Work,
    /// Where it was read from or saved.
    pub(crate) origin: Origin,
    /// The work as it is on the disk (or as the preset gave it); `None` where that is not known: then it is not saved.
    pub(crate) on_disk: Option<Work>,
    /// Counts the documents opened in this run: text half typed in one never shows up in the next.
    pub(crate) serial: u64,
}

impl Document {
    /// A work as it was read.
    pub(crate) fn opened(work: Work, origin: Origin, serial: u64) -> Self {
        Self {
            on_disk: Some(work.clone()),
            work,
            origin,
            serial,
        }
    }

    /// True if there is something that a close would lose.
    pub(crate) fn is_changed(&self) -> bool {
        self.on_disk.as_ref() != Some(&self.work)
    }
}
