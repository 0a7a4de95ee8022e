//! The only place that touches the disk: supplies, settings, a user's own types, the recovery copy.
//!
//! A file is written beside its place and then renamed over it, so a crash leaves the old one or the new one,
//! never half of one. What a crash left beside it is swept away by the next run: the file beside is locked while it is
//! written, so that one still being written stays.
//!
//! Only regular files are read and replaced: a pipe or a device could keep the program waiting, or never end.

use std::fmt::Display;
use std::fs::{File, FileType, OpenOptions, TryLockError};
use std::io::{ErrorKind, Read, Write as _};
use std::path::{Path, PathBuf};

use crate::explain::accepted;
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::escape::escaped;
use crate::parts::file::{self, FileError};

/// Larger files are not supplies; reading them would only freeze the window (bytes). Nothing is read beyond it.
const LARGEST: u64 = 4_000_000;

/// How the name of a file begins and ends while it is written beside its place.
const BESIDE: (&str, &str) = (".sagline-", ".new");

/// Files of one name that may have been set aside before one of them is replaced.
const MOST_ASIDE: u32 = 1000;

/// Links that may lead to each other before the last one's file.
const MOST_LINKS: usize = 40;

/// Why a file could not be read or written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum DiskError {
    /// The system refused.
    #[error("{}: found {}, expected {expected}", shown_path(path), told(source))]
    Io {
        /// The file.
        path: PathBuf,
        /// What would do.
        expected: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
    /// It is a folder, a pipe, a device: nothing that is read to its end or replaced.
    #[error("{}: found {found}, expected {expected}", shown_path(path))]
    NotAFile {
        /// Its place.
        path: PathBuf,
        /// What is there.
        found: &'static str,
        /// What would do.
        expected: &'static str,
    },
    /// It is not to be written.
    #[error("{}: found a file that is read only, expected one that may be written; it was left as it is", shown_path(.0))]
    ReadOnly(PathBuf),
    /// There is nothing in it.
    #[error("{}: found an empty file, expected the text of a supply or of one's own types", shown_path(.0))]
    Empty(PathBuf),
    /// It is text, in another encoding.
    #[error(
        "{}: found {encoding}, expected UTF-8: save it as UTF-8",
        shown_path(path)
    )]
    OtherEncoding {
        /// The file.
        path: PathBuf,
        /// Its encoding.
        encoding: &'static str,
    },
    /// It is no text at all.
    #[error(
        "{}: line {line}: found bytes that are no UTF-8 text, expected the text of a supply or of one's own types, saved as UTF-8",
        shown_path(path)
    )]
    NotText {
        /// The file.
        path: PathBuf,
        /// The first line that is no text, counted from 1.
        line: usize,
    },
    /// It is too large.
    #[error("{}: found more than {} MB, expected the text file of a supply, a few thousand bytes", shown_path(.0), LARGEST / 1_000_000)]
    TooLarge(PathBuf),
    /// It is text, but not a supply.
    #[error("{}: {error}", shown_path(path))]
    NotASupply {
        /// The file.
        path: PathBuf,
        /// Line, field, what was found, what was expected.
        error: FileError,
    },
}

impl DiskError {
    /// True where there is no such file.
    pub(crate) fn is_not_there(&self) -> bool {
        matches!(self, Self::Io { source, .. } if source.kind() == ErrorKind::NotFound)
    }
}

const READ: &str = "a text file that may be read";
const WRITE: &str = "a file that may be written, in a folder that is there";
const ROOM: &str = "room for the file: make some, or save it elsewhere";
const REPLACE: &str = "a file, or a name that is not taken yet";
/// How standard input is called where a file is asked for.
pub(crate) const STANDARD_INPUT: &str = "-";

fn io(path: &Path, expected: &'static str) -> impl FnOnce(std::io::Error) -> DiskError {
    let path = path.to_owned();
    move |source| DiskError::Io {
        path,
        expected: match source.kind() {
            ErrorKind::StorageFull => ROOM,
            _ => expected,
        },
        source,
    }
}

/// A path as it can stand in a sentence: what a terminal would obey is escaped.
pub(crate) fn shown_path(path: &Path) -> String {
    escaped(&path.to_string_lossy())
}

/// What the system said of what may be written: found and expected.
pub(crate) fn refused(error: &std::io::Error) -> String {
    format!("found {}, expected room for all of the answer", told(error))
}

/// What the system said, in our words where we have some.
fn told(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "nothing there".to_owned(),
        ErrorKind::PermissionDenied => "that this user has no permission".to_owned(),
        ErrorKind::IsADirectory => "a folder".to_owned(),
        ErrorKind::NotADirectory => "a file where a folder should be".to_owned(),
        ErrorKind::StorageFull => "no space left on the disk".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "a disk that is read only".to_owned(),
        _ => error.to_string(),
    }
}

/// Reads the file of a supply: the work, and its text.
///
/// # Errors
/// Says which file and what is wrong with it, with line and field where the text is at fault.
pub(crate) fn read_work(path: &Path, catalogue: &Catalogue) -> Result<(Work, String), DiskError> {
    let text = read_text(path)?;
    match file::read_work(&text, catalogue) {
        Ok(work) => Ok((work, text)),
        Err(error) => Err(DiskError::NotASupply {
            path: path.to_owned(),
            error,
        }),
    }
}

/// Reads a text and checks all of it, what is accepted as built included.
///
/// # Errors
/// The one fault for which the text cannot be read, or else everything that is wrong with the supply, with lines.
pub(crate) fn checked(text: &str, catalogue: &Catalogue) -> Result<Work, Vec<FileError>> {
    let work = file::read_work_checked(text, catalogue)?;
    let faults = accepted::faults(&work.supply);
    if faults.is_empty() {
        Ok(work)
    } else {
        Err(file::with_lines(faults, text))
    }
}

/// What keeps the supply of a readable file from being computed: file, line, field, found, expected of each.
pub(crate) fn faults(path: &Path, catalogue: &Catalogue) -> Vec<String> {
    let checked = read_text(path).map(|text| checked(&text, catalogue));
    let Ok(Err(faults)) = checked else {
        return Vec::new();
    };
    told_of(path, &faults)
}

/// Faults that are told one by one; how many more there are is said after them.
const MOST_TOLD: usize = 20;

/// The faults of a file, each with its name.
pub(crate) fn told_of(path: &Path, faults: &[impl Display]) -> Vec<String> {
    let name = shown_path(path);
    let mut told: Vec<String> = (faults.iter().take(MOST_TOLD))
        .map(|fault| format!("{name}: {fault}"))
        .collect();
    if let more @ 1.. = faults.len().saturating_sub(MOST_TOLD) {
        told.push(format!("{name}: found {more} more faults, expected none"));
    }
    told
}

/// Reads a text file of sensible size.
///
/// # Errors
/// If it is no regular file, the system refuses, it is too large, or it is no text.
pub(crate) fn read_text(path: &Path) -> Result<String, DiskError> {
    // Before it is opened: opening a pipe waits for its other end, opening some devices does something.
    let known = std::fs::metadata(path).map_err(io(path, READ))?;
    only_a_file(path, known.file_type(), READ)?;
    let file = without_waiting(OpenOptions::new().read(true))
        .open(path)
        .map_err(io(path, READ))?;
    // Another may have taken its place in between.
    let opened = file.metadata().map_err(io(path, READ))?;
    only_a_file(path, opened.file_type(), READ)?;
    text_of(path, file)
}

/// Reads the text that comes by standard input.
///
/// # Errors
/// As [`read_text`], under the name [`STANDARD_INPUT`].
pub(crate) fn read_standard_input() -> Result<String, DiskError> {
    text_of(Path::new(STANDARD_INPUT), std::io::stdin().lock())
}

/// The text, read up to the limit and no further.
fn text_of(path: &Path, source: impl Read) -> Result<String, DiskError> {
    let mut bytes = Vec::new();
    source
        .take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(io(path, READ))?;
    if bytes.len() as u64 > LARGEST {
        return Err(DiskError::TooLarge(path.to_owned()));
    }
    if bytes.is_empty() {
        return Err(DiskError::Empty(path.to_owned()));
    }
    if let Some(encoding) = other_encoding(&bytes) {
        let path = path.to_owned();
        return Err(DiskError::OtherEncoding { path, encoding });
    }
    String::from_utf8(bytes).map_err(|no_text| {
        let sound = no_text.as_bytes().get(..no_text.utf8_error().valid_up_to());
        let ends = sound
            .unwrap_or_default()
            .iter()
            .filter(|byte| **byte == b'\n');
        DiskError::NotText {
            path: path.to_owned(),
            line: 1 + ends.count(),
        }
    })
}

/// The encoding that a text has in place of UTF-8: by its byte-order mark, or because every second byte of its beginning is zero,
/// as it is where letters of the Latin alphabet are written in two bytes each.
fn other_encoding(bytes: &[u8]) -> Option<&'static str> {
    const BEGINNING: usize = 64;
    match bytes {
        [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..] => return Some("UTF-32"),
        [0xff, 0xfe, _, ..] | [0xfe, 0xff, _, ..] => return Some("UTF-16"),
        _ => {}
    }
    let pairs = bytes.as_chunks::<2>().0;
    let beginning = pairs.get(..BEGINNING).unwrap_or(pairs);
    let are_all = |of: fn(&[u8; 2]) -> bool| beginning.len() > 1 && beginning.iter().all(of);
    let in_two_bytes = are_all(|[a, b]| *a == 0 && *b != 0) || are_all(|[a, b]| *a != 0 && *b == 0);
    in_two_bytes.then_some("UTF-16")
}

/// Where a pipe stands in a file's place all the same, opening it does not wait for the other end.
fn without_waiting(options: &mut OpenOptions) -> &mut OpenOptions {
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        let flags = rustix::fs::OFlags::NONBLOCK.bits();
        options.custom_flags(flags.cast_signed());
    }
    options
}

fn only_a_file(path: &Path, kind: FileType, expected: &'static str) -> Result<(), DiskError> {
    if kind.is_file() {
        return Ok(());
    }
    Err(DiskError::NotAFile {
        path: path.to_owned(),
        found: called(kind),
        expected,
    })
}

/// What is there in place of a file.
fn called(kind: FileType) -> &'static str {
    if kind.is_dir() {
        return "a folder";
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        if kind.is_fifo() {
            return "a pipe";
        }
        if kind.is_socket() {
            return "a socket";
        }
        if kind.is_char_device() || kind.is_block_device() {
            return "a device";
        }
    }
    "something that is no file"
}

/// Writes a text file in one go: all of it is there, or the old one still is.
///
/// # Errors
/// As [`write_bytes`].
pub(crate) fn write_text(path: &Path, text: &str) -> Result<(), DiskError> {
    write_bytes(path, text.as_bytes())
}

/// Writes a file in one go: all of it is there, or the old one still is. A link is followed, so that what it points to is
/// written and the link stays.
///
/// # Errors
/// If what is there is no file or read only, or the system refuses; what is there is then untouched.
pub(crate) fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), DiskError> {
    let target = end_of_links(path).map_err(io(path, WRITE))?;
    let old = may_be_replaced(path, &target)?;
    let folder = folder_of(&target);
    let mut beside = named_like_a_new_file()
        .tempfile_in(&folder)
        .map_err(io(path, WRITE))?;
    // Where files cannot be locked, the sweep of another run may take this one for what a crash left; the rename then fails
    // and says so.
    let _as_good_as_it_gets = beside.as_file().try_lock();
    beside
        .write_all(bytes)
        .and_then(|()| beside.as_file().sync_all())
        .map_err(io(path, WRITE))?;
    if let Some(permissions) = old {
        beside
            .as_file()
            .set_permissions(permissions)
            .map_err(io(path, WRITE))?;
    }
    beside
        .persist(&target)
        .map_err(|refused| io(path, WRITE)(refused.error))?;
    sync_folder(&folder);
    Ok(())
}

/// Where a path leads by its links, be there a file or not.
fn end_of_links(path: &Path) -> std::io::Result<PathBuf> {
    let mut at = path.to_owned();
    for _ in 0..MOST_LINKS {
        let is_link = std::fs::symlink_metadata(&at).is_ok_and(|known| known.is_symlink());
        if !is_link {
            return Ok(at);
        }
        let leads_to = std::fs::read_link(&at)?;
        at = folder_of(&at).join(leads_to);
    }
    Err(std::io::Error::other(
        "a link that leads round in a circle or over too many others",
    ))
}

fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// The permissions of the file that is replaced; none where the name is free.
fn may_be_replaced(path: &Path, target: &Path) -> Result<Option<std::fs::Permissions>, DiskError> {
    let known = match std::fs::metadata(target) {
        Ok(known) => known,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(io(path, WRITE)(error)),
    };
    only_a_file(path, known.file_type(), REPLACE)?;
    let permissions = known.permissions();
    // A rename asks the folder alone: whether the file itself may be written is asked here.
    let opened = without_waiting(OpenOptions::new().write(true)).open(target);
    let refused = opened.is_err_and(|error| error.kind() == ErrorKind::PermissionDenied);
    if permissions.readonly() || refused {
        return Err(DiskError::ReadOnly(path.to_owned()));
    }
    Ok(Some(permissions))
}

/// The new name outlives a loss of power, too, where the system lets one say so for a folder.
fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    let _as_good_as_it_gets = File::open(folder).and_then(|folder| folder.sync_all());
    #[cfg(not(unix))]
    let _nothing_to_do = folder;
}

/// A temporary file is private by default; a user's file is to have the permissions of any new file.
fn named_like_a_new_file() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(BESIDE.0).suffix(BESIDE.1);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
}

/// Removes from a folder what a crash left of files that were being written. What another program is writing stays.
pub(crate) fn sweep(folder: &Path) {
    for path in all_in(folder) {
        let is_ours = (path.file_name())
            .and_then(|name| name.to_str())
            .is_some_and(|name| name.starts_with(BESIDE.0) && name.ends_with(BESIDE.1));
        if is_ours && holder(&path) == Holder::Nobody {
            // What stays is in nobody's way.
            let _stays = std::fs::remove_file(&path);
        }
    }
}

/// [`sweep`] of the folder in which this file is.
pub(crate) fn sweep_beside(path: &Path) {
    if let Ok(target) = end_of_links(path) {
        sweep(&folder_of(&target));
    }
}

/// Whether another's reader may be let loose on this place: a file of sensible size, or nothing yet.
pub(crate) fn is_free_or_readable(path: &Path) -> bool {
    match std::fs::metadata(path) {
        Ok(known) => known.is_file() && known.len() <= LARGEST,
        Err(error) => error.kind() == ErrorKind::NotFound,
    }
}

/// Who has locked a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Holder {
    /// A program that runs.
    Running,
    /// Nobody; it is a file.
    Nobody,
    /// There is no such file, or none that can be asked.
    NotKnown,
}

/// Who has locked this file.
pub(crate) fn holder(path: &Path) -> Holder {
    // A pipe must not be opened.
    if !std::fs::symlink_metadata(path).is_ok_and(|known| known.is_file()) {
        return Holder::NotKnown;
    }
    let Ok(file) = without_waiting(OpenOptions::new().read(true)).open(path) else {
        return Holder::NotKnown;
    };
    // Shared, so that two programs that ask at once do not take each other for the holder.
    match file.try_lock_shared() {
        Ok(()) => Holder::Nobody,
        Err(TryLockError::WouldBlock) => Holder::Running,
        Err(TryLockError::Error(_)) => Holder::NotKnown,
    }
}

/// A file that says, as long as this value lives, that its program runs; the system lets go of it however that ends.
#[derive(Debug)]
pub(crate) struct Held {
    path: PathBuf,
    _locked: File,
}

impl Held {
    /// Takes the file, and makes it where there is none; `None` if another program has it.
    ///
    /// # Errors
    /// If the system refuses to make it.
    pub(crate) fn take(path: &Path) -> Result<Option<Self>, DiskError> {
        const LOCK: &str = "a file that may be made and locked";
        if let Ok(known) = std::fs::metadata(path) {
            only_a_file(path, known.file_type(), LOCK)?;
        }
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        let file = without_waiting(&mut options)
            .open(path)
            .map_err(io(path, LOCK))?;
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => Ok(None),
            // Swept away before it was locked: another name is sought.
            Ok(()) if !path.exists() => Ok(None),
            // On a disk that knows no locks the file stands alone.
            Ok(()) | Err(TryLockError::Error(_)) => Ok(Some(Self {
                path: path.to_owned(),
                _locked: file,
            })),
        }
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        // Left behind it would be swept away by the next run.
        let _stays = std::fs::remove_file(&self.path);
    }
}

/// Makes a folder with all above it.
///
/// # Errors
/// If the system refuses.
pub(crate) fn make_folder(folder: &Path) -> Result<(), DiskError> {
    std::fs::create_dir_all(folder).map_err(io(folder, "a folder that may be made"))
}

/// The `.ron` files of a folder, in order of name; none if there is no such folder.
pub(crate) fn ron_files(folder: &Path) -> Vec<PathBuf> {
    let mut paths = all_in(folder);
    paths.retain(|path| {
        path.extension()
            .is_some_and(|e| e.eq_ignore_ascii_case("ron"))
    });
    paths.sort();
    paths
}

/// All that is in a folder; nothing if there is no such folder.
pub(crate) fn all_in(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    entries
        .filter_map(Result::ok)
        .map(|entry| entry.path())
        .collect()
}

/// Whether anything has this name, be it a link that leads nowhere.
pub(crate) fn is_there(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok()
}

/// Removes a file; it is no fault if it is gone already.
///
/// # Errors
/// If the system refuses.
pub(crate) fn remove(path: &Path) -> Result<(), DiskError> {
    match std::fs::remove_file(path) {
        Err(error) if error.kind() != ErrorKind::NotFound => {
            Err(io(path, "a file that may be removed")(error))
        }
        _ => Ok(()),
    }
}

/// Gives a file a name that is not taken, beside its own: `settings.ron` becomes `settings-bad.ron`, or `settings-bad-2.ron`.
///
/// # Errors
/// If it is no file, or the system refuses.
pub(crate) fn set_aside(path: &Path) -> Result<PathBuf, DiskError> {
    const ASIDE: &str = "a file that may be given another name";
    // A link stays, and leads to what is written there next.
    let target = end_of_links(path).map_err(io(path, ASIDE))?;
    let known = std::fs::symlink_metadata(&target).map_err(io(path, ASIDE))?;
    only_a_file(path, known.file_type(), ASIDE)?;
    let [stem, end] = [target.file_stem(), target.extension()]
        .map(|part| part.map_or_else(String::new, |part| part.display().to_string()));
    let aside = (1..=MOST_ASIDE)
        .map(|n| match n {
            1 => format!("{stem}-bad.{end}"),
            n => format!("{stem}-bad-{n}.{end}"),
        })
        .map(|name| target.with_file_name(name))
        .find(|aside| std::fs::symlink_metadata(aside).is_err());
    let aside = aside.unwrap_or_else(|| target.with_extension("bad"));
    std::fs::rename(&target, &aside).map_err(io(path, ASIDE))?;
    Ok(aside)
}

/// The path with this extension, if it has none.
pub(crate) fn with_extension(path: PathBuf, end: &str) -> PathBuf {
    if path.extension().is_some() {
        path
    } else {
        path.with_extension(end)
    }
}

/// A path as typed: blanks and quotes around it go, `~` is the home folder.
pub(crate) fn typed_path(text: &str) -> Option<PathBuf> {
    let bare = text.trim().trim_matches(['"', '\'']).trim();
    if bare.is_empty() {
        return None;
    }
    match (bare.strip_prefix("~/"), directories::BaseDirs::new()) {
        (Some(rest), Some(base)) => Some(base.home_dir().join(rest)),
        _ => Some(PathBuf::from(bare)),
    }
}

/// The name in the user's home folder, where one can be found.
pub(crate) fn at_home(name: &str) -> PathBuf {
    directories::UserDirs::new().map_or_else(
        || PathBuf::from(name),
        |dirs| {
            dirs.document_dir()
                .unwrap_or_else(|| dirs.home_dir())
                .join(name)
        },
    )
}

#[cfg(test)]
mod tests;
