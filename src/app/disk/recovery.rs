//! A copy of unsaved work, kept up to date while one works and offered again after a crash.
//!
//! Each running program has a file of its own, named after its process; a file whose process no longer runs
//! was left behind.

use std::path::{Path, PathBuf};

use crate::app::disk::files::{self, DiskError};
use crate::app::work::document::Document;
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::file;

/// Time after a change until the copy is written (s): long enough not to write during a drag.
pub(crate) const AFTER_SECONDS: f64 = 3.0;

/// The first line of a copy says which file it belongs to.
const OF_FILE: &str = "// unsaved work of ";

/// The copy of this program.
#[derive(Debug, Default)]
pub(crate) struct Recovery {
    file: Option<PathBuf>,
    written: Option<Work>,
    changed_at: Option<f64>,
    seen: Option<Work>,
}

/// Work found from a program that did not end well.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeftBehind {
    /// The work.
    pub(crate) work: Work,
    /// The file it belongs to, if it was ever saved.
    pub(crate) path: Option<PathBuf>,
    /// The copy itself.
    pub(crate) copy: PathBuf,
}

impl Recovery {
    /// Copies go to this folder; with none there are no copies.
    pub(crate) fn in_folder(folder: Option<&Path>) -> Self {
        Self {
            file: folder.map(|f| f.join(format!("{}.ron", std::process::id()))),
            ..Self::default()
        }
    }

    /// Writes the copy if it is due. Gives the time until it will be (s), if something is waiting.
    ///
    /// # Errors
    /// If the system refuses to write.
    pub(crate) fn keep(
        &mut self,
        document: &Document,
        catalogue: &Catalogue,
        now_seconds: f64,
    ) -> Result<Option<f64>, DiskError> {
        if !document.is_changed() {
            self.changed_at = None;
            return self.clear().map(|()| None);
        }
        if self.written.as_ref() == Some(&document.work) {
            return Ok(None);
        }
        if self.seen.as_ref() != Some(&document.work) {
            self.seen = Some(document.work.clone());
            self.changed_at = Some(now_seconds);
        }
        let waited = now_seconds - self.changed_at.unwrap_or(now_seconds);
        if waited < AFTER_SECONDS {
            return Ok(Some(AFTER_SECONDS - waited));
        }
        self.write(document, catalogue).map(|()| None)
    }

    /// Removes the copy: the work is saved or was given up.
    ///
    /// # Errors
    /// If the system refuses.
    pub(crate) fn clear(&mut self) -> Result<(), DiskError> {
        if self.written.take().is_none() {
            return Ok(());
        }
        self.file.as_deref().map_or(Ok(()), files::remove)
    }

    fn write(&mut self, document: &Document, catalogue: &Catalogue) -> Result<(), DiskError> {
        // Even if it fails it is not tried again before the next change.
        self.written = Some(document.work.clone());
        let Some(file) = &self.file else {
            return Ok(());
        };
        if let Some(folder) = file.parent() {
            files::make_folder(folder)?;
        }
        let of_file = document
            .path
            .as_ref()
            .map_or_else(|| "a new supply".to_owned(), |p| p.display().to_string());
        let text = file::write(&document.work, catalogue);
        files::write_text(file, &format!("{OF_FILE}{of_file}\n{text}"))
    }
}

/// Keeps the work on which a job failed, with what the program said, for a report; gives its file.
///
/// # Errors
/// If the system refuses.
pub(crate) fn keep_for_report(
    folder: &Path,
    work: &Work,
    said: &str,
    catalogue: &Catalogue,
) -> Result<PathBuf, DiskError> {
    files::make_folder(folder)?;
    let path = folder.join("report.ron");
    let said = said.replace('\n', "\n// ");
    let text = file::write(work, catalogue);
    files::write_text(&path, &format!("// {said}\n{text}"))?;
    Ok(path)
}

/// The first copy in the folder whose program no longer runs.
pub(crate) fn left_behind(folder: &Path, catalogue: &Catalogue) -> Option<LeftBehind> {
    files::ron_files(folder).into_iter().find_map(|copy| {
        let process: u32 = copy.file_stem()?.to_str()?.parse().ok()?;
        if process == std::process::id() || Path::new(&format!("/proc/{process}")).exists() {
            return None;
        }
        let text = files::read_text(&copy).ok()?;
        let work = file::read_work(&text, catalogue).ok()?;
        let path = text
            .lines()
            .next()
            .and_then(|line| line.strip_prefix(OF_FILE))
            .map(PathBuf::from)
            .filter(|p| p.is_absolute());
        Some(LeftBehind { work, path, copy })
    })
}
