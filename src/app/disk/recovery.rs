//! A copy of unsaved work, kept up to date while one works and offered again after a crash.
//!
//! Each running program has a copy of its own, and beside it a file that it holds locked: the system lets go of that
//! however the program ends. A copy whose lock nobody holds was left behind, whatever became of the number in its name.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use crate::app::disk::files::{self, DiskError, Held, Holder};
use crate::app::work::document::{Document, Origin};
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::file;

/// Longest time from a change until its copy is begun (s), however steadily others follow: with it a change is on the disk
/// within a second.
pub(crate) const WITHIN_SECONDS: f64 = 0.4;

/// The first line of a copy says which file it belongs to.
const OF_FILE: &str = "// unsaved work of ";
/// The second, with which text of that file the work began.
const BEGUN_WITH: &str = "// begun with the text of checksum ";

/// Copies of one process number that may lie about before there are no more names.
const MOST_NAMES: u32 = 1000;

/// The copy of this program.
#[derive(Debug, Default)]
pub(crate) struct Recovery {
    folder: Option<PathBuf>,
    place: Option<Place>,
    /// What the last copy holds, and of which file.
    given: Option<(Work, Option<PathBuf>)>,
    /// When the first change came that is in no copy (s).
    changed_at: Option<f64>,
    /// Copies of others whose work this program took up; they go when its own copy stands, or is needed no longer.
    taken_up: Arc<Mutex<Vec<PathBuf>>>,
}

/// Where the copy is written; the name is this program's while the lock is held.
#[derive(Debug)]
struct Place {
    copy: PathBuf,
    _lock: Held,
}

/// What is to be done about the copy.
#[derive(Debug)]
pub(crate) enum Due {
    /// Nothing.
    Nothing,
    /// Something, after this time (s).
    In(f64),
    /// This, away from the frame. Of several the latest alone needs to be done.
    Now(Task),
}

/// The copy written anew, or removed.
#[derive(Debug)]
pub(crate) struct Task {
    copy: PathBuf,
    content: Option<Box<Content>>,
    taken_up: Arc<Mutex<Vec<PathBuf>>>,
}

/// What a copy is to hold. Its text is made where it is written: that takes longer than a frame should.
#[derive(Debug)]
struct Content {
    /// What the copy says of itself.
    head: String,
    work: Work,
    /// The text whose comments and order stay.
    base: Option<String>,
    catalogue: Catalogue,
}

impl Content {
    fn text(self) -> String {
        let base = self.base.as_deref();
        let updated = base.and_then(|base| file::updated(base, &self.work, &self.catalogue));
        let text = updated.unwrap_or_else(|| file::write(&self.work, &self.catalogue));
        self.head + &text
    }
}

impl Task {
    /// Does it. What was taken up from others goes only after this program's own copy stands.
    ///
    /// # Errors
    /// If the system refuses.
    pub(crate) fn run(self) -> Result<(), DiskError> {
        match self.content {
            Some(content) => files::write_text(&self.copy, &content.text())?,
            None => files::remove(&self.copy)?,
        }
        let mut taken_up = self.taken_up.lock().unwrap_or_else(PoisonError::into_inner);
        for copy in std::mem::take(&mut *taken_up) {
            throw_away(&copy)?;
        }
        Ok(())
    }
}

/// Work found from a program that did not end well.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LeftBehind {
    /// The work.
    pub(crate) work: Work,
    /// The file it belongs to, if it was ever saved.
    pub(crate) path: Option<PathBuf>,
    /// The text of the copy without what it says of itself.
    pub(crate) text: String,
    /// The checksum of the file's text with which the work began, if the copy says it.
    pub(crate) begun_with: Option<u64>,
    /// The copy itself.
    pub(crate) copy: PathBuf,
}

impl Recovery {
    /// Copies go to this folder; with none there are no copies.
    pub(crate) fn in_folder(folder: Option<&Path>) -> Self {
        Self {
            folder: folder.map(Path::to_owned),
            ..Self::default()
        }
    }

    /// What is to be done about the copy of this document. The first change that is in no copy starts the clock, not the
    /// last: one who never rests has a copy all the same.
    ///
    /// # Errors
    /// If there is no place for a copy.
    pub(crate) fn keep(
        &mut self,
        document: &Document,
        catalogue: &Catalogue,
        now_seconds: f64,
    ) -> Result<Due, DiskError> {
        if !document.is_changed() {
            return Ok(self.clear().map_or(Due::Nothing, Due::Now));
        }
        let is_given = |(work, path): &(Work, Option<PathBuf>)| {
            *work == document.work && *path == document.origin.path
        };
        if self.given.as_ref().is_some_and(is_given) {
            self.changed_at = None;
            return Ok(Due::Nothing);
        }
        let changed_at = *self.changed_at.get_or_insert(now_seconds);
        // A clock that was set back must not put it off.
        let waited = (now_seconds - changed_at).abs();
        if waited < WITHIN_SECONDS {
            return Ok(Due::In(WITHIN_SECONDS - waited));
        }
        self.copy_now(document, catalogue)
    }

    /// The copy of this document, without waiting.
    ///
    /// # Errors
    /// If there is no place for a copy.
    pub(crate) fn copy_now(
        &mut self,
        document: &Document,
        catalogue: &Catalogue,
    ) -> Result<Due, DiskError> {
        // Even if it fails it is not tried again before the next change.
        self.changed_at = None;
        let Origin { path, text } = &document.origin;
        self.given = Some((document.work.clone(), path.clone()));
        let Some(copy) = self.place()? else {
            return Ok(Due::Nothing);
        };
        let named = path.as_ref().map(|path| path.display().to_string());
        // A name of two lines would end in the text of the supply.
        let named = named.filter(|name| !name.contains(['\n', '\r']));
        let named = named.unwrap_or_else(|| "a new supply".to_owned());
        let mut head = format!("{OF_FILE}{named}\n");
        if let (Some(_), Some(text)) = (path, text) {
            head = format!("{head}{BEGUN_WITH}{:016x}\n", checksum(text));
        }
        let content = Content {
            head,
            work: document.work.clone(),
            base: text.clone(),
            catalogue: catalogue.clone(),
        };
        Ok(Due::Now(Task {
            copy,
            content: Some(Box::new(content)),
            taken_up: Arc::clone(&self.taken_up),
        }))
    }

    /// The copy goes: the work is saved or was given up. Nothing if there is none.
    pub(crate) fn clear(&mut self) -> Option<Task> {
        self.changed_at = None;
        self.given.take()?;
        Some(Task {
            copy: self.place.as_ref()?.copy.clone(),
            content: None,
            taken_up: Arc::clone(&self.taken_up),
        })
    }

    /// This program goes on with what another left: that copy goes when one of its own stands.
    pub(crate) fn takes_up(&mut self, copy: PathBuf) {
        self.given = None;
        self.taken_up
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(copy);
    }

    /// Where the copy is written. The name is sought with the first copy: one that another program left under the same
    /// number stays.
    fn place(&mut self) -> Result<Option<PathBuf>, DiskError> {
        let Some(folder) = &self.folder else {
            return Ok(None);
        };
        if self.place.is_none() {
            files::make_folder(folder)?;
            let process = std::process::id();
            self.place = (1..MOST_NAMES)
                .map(|n| match n {
                    1 => folder.join(format!("{process}.ron")),
                    n => folder.join(format!("{process}-{n}.ron")),
                })
                .find_map(|copy| match Held::take(&lock_of(&copy)) {
                    // The lock was asked for first: whoever has it may be about to write its copy.
                    Ok(Some(lock)) if !copy.exists() => Some(Ok(Place { copy, _lock: lock })),
                    Ok(_) => None,
                    Err(error) => Some(Err(error)),
                })
                .transpose()?;
        }
        Ok(self.place.as_ref().map(|place| place.copy.clone()))
    }
}

/// The file that is held while a copy's program runs.
fn lock_of(copy: &Path) -> PathBuf {
    copy.with_extension("lock")
}

/// Removes a copy that was left behind, and what its program held.
///
/// # Errors
/// If the system refuses.
pub(crate) fn throw_away(copy: &Path) -> Result<(), DiskError> {
    files::remove(copy)?;
    files::remove(&lock_of(copy))
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

/// The copies in the folder whose program no longer runs; of each that cannot be read a sentence with its name, and it stays.
/// Sweeps away what is of no use to anyone.
pub(crate) fn left_behind(folder: &Path, catalogue: &Catalogue) -> (Vec<LeftBehind>, Vec<String>) {
    files::sweep(folder);
    let (mut found, mut unreadable) = (Vec::new(), Vec::new());
    for copy in files::ron_files(folder) {
        if !is_named_as_a_copy(&copy) || files::holder(&lock_of(&copy)) == Holder::Running {
            continue;
        }
        match read(copy.clone(), catalogue) {
            Ok(one) => found.push(one),
            // Its program saved the work and ended between two looks.
            Err(_) if !files::is_there(&copy) => {}
            Err(error) => unreadable.push(format!(
                "{error}. This copy of unsaved work is from a time when Sagline did not close properly; it is kept"
            )),
        }
    }
    for lock in files::all_in(folder) {
        let is_lock = lock.extension().is_some_and(|end| end == "lock");
        let copy = lock.with_extension("ron");
        if is_lock
            && is_named_as_a_copy(&copy)
            && !files::is_there(&copy)
            && files::holder(&lock) == Holder::Nobody
        {
            // What stays is in nobody's way.
            let _stays = files::remove(&lock);
        }
    }
    (found, unreadable)
}

/// The number of a process, perhaps a second number behind a hyphen, and `.ron`.
fn is_named_as_a_copy(path: &Path) -> bool {
    let stem = path.file_stem().and_then(|stem| stem.to_str());
    stem.is_some_and(|stem| {
        stem.split('-')
            .all(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()))
    })
}

fn read(copy: PathBuf, catalogue: &Catalogue) -> Result<LeftBehind, DiskError> {
    let text = files::read_text(&copy)?;
    let work = match file::read_work(&text, catalogue) {
        Ok(work) => work,
        Err(error) => return Err(DiskError::NotASupply { path: copy, error }),
    };
    let (first, rest) = text.split_once('\n').unwrap_or((&text, ""));
    let Some(path) = first.strip_prefix(OF_FILE) else {
        return Ok(LeftBehind {
            work,
            path: None,
            text,
            begun_with: None,
            copy,
        });
    };
    let second = rest.split_once('\n');
    let begun = second.and_then(|(line, rest)| Some((line.strip_prefix(BEGUN_WITH)?, rest)));
    Ok(LeftBehind {
        work,
        path: Some(PathBuf::from(path)).filter(|path| path.is_absolute()),
        text: begun.map_or(rest, |(_, rest)| rest).to_owned(),
        begun_with: begun.and_then(|(sum, _)| u64::from_str_radix(sum, 16).ok()),
        copy,
    })
}

/// A number that tells a text from another: FNV-1a of Fowler, Noll and Vo with 64 bits, the same in every version of this program.
pub(crate) fn checksum(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests;
