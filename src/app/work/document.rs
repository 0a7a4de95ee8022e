//! What is saved and undone.

use std::path::PathBuf;

use crate::parts::Work;

/// The work that is open and where it lives on the disk.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Document {
    /// The work as it is now.
    pub(crate) work: Work,
    /// Its file; `None` for a preset or one that was never saved.
    pub(crate) path: Option<PathBuf>,
    /// The work as it is on the disk (or as the preset gave it).
    pub(crate) on_disk: Work,
    /// Counts the documents opened in this run: text half typed in one never shows up in the next.
    pub(crate) serial: u64,
}

impl Document {
    /// A work as it was read.
    pub(crate) fn opened(work: Work, path: Option<PathBuf>, serial: u64) -> Self {
        Self {
            on_disk: work.clone(),
            work,
            path,
            serial,
        }
    }

    /// True if there is something that a close would lose.
    pub(crate) fn is_changed(&self) -> bool {
        self.work != self.on_disk
    }
}
