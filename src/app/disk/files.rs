//! The only place that touches the disk: supplies, settings, a user's own types, the recovery copy.
//!
//! A file is written beside its place and then renamed over it, so a crash leaves the old one or the new one,
//! never half of one.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::{self, FileError};

/// Larger files are not supplies; reading them would only freeze the window (bytes).
const LARGEST: u64 = 4_000_000;

/// Why a file could not be read or written.
#[derive(Debug, thiserror::Error)]
pub(crate) enum DiskError {
    /// The system refused.
    #[error("{}: found {}, expected {expected}", path.display(), told(source))]
    Io {
        /// The file.
        path: PathBuf,
        /// What would do.
        expected: &'static str,
        /// What the system said.
        source: std::io::Error,
    },
    /// There is nothing in it.
    #[error("{}: found an empty file, expected the text of a supply or of one's own types", .0.display())]
    Empty(PathBuf),
    /// It is no text at all.
    #[error("{}: found bytes that are no text, expected the text of a supply or of one's own types", .0.display())]
    NotText(PathBuf),
    /// It is too large.
    #[error("{}: found {found} bytes, expected the text file of a supply, a few thousand bytes", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// Its size.
        found: u64,
    },
    /// It is text, but not a supply.
    #[error("{}: {error}", path.display())]
    NotASupply {
        /// The file.
        path: PathBuf,
        /// Line, field, what was found, what was expected.
        error: FileError,
    },
}

const READ: &str = "a text file that may be read";
const WRITE: &str = "a file that may be written, in a folder that is there";

fn io(path: &Path, expected: &'static str) -> impl FnOnce(std::io::Error) -> DiskError {
    let path = path.to_owned();
    move |source| DiskError::Io {
        path,
        expected,
        source,
    }
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

/// Reads the file of a supply.
///
/// # Errors
/// Says which file and what is wrong with it, with line and field where the text is at fault.
pub(crate) fn read_work(path: &Path, catalogue: &Catalogue) -> Result<Work, DiskError> {
    let text = read_text(path)?;
    file::read_work(&text, catalogue).map_err(|error| DiskError::NotASupply {
        path: path.to_owned(),
        error,
    })
}

/// What keeps the supply of a readable file from being computed: file, line, field, found, expected of each.
pub(crate) fn faults(path: &Path, catalogue: &Catalogue) -> Vec<String> {
    let checked = read_text(path).map(|text| file::read_work_checked(&text, catalogue));
    let Ok(Err(faults)) = checked else {
        return Vec::new();
    };
    faults
        .into_iter()
        .map(|fault| format!("{}: {fault}", path.display()))
        .collect()
}

/// Reads a text file of sensible size.
///
/// # Errors
/// If the system refuses, it is too large, or it is no text.
pub(crate) fn read_text(path: &Path) -> Result<String, DiskError> {
    let found = std::fs::metadata(path).map_err(io(path, READ))?.len();
    if found > LARGEST {
        return Err(DiskError::TooLarge {
            path: path.to_owned(),
            found,
        });
    }
    let bytes = std::fs::read(path).map_err(io(path, READ))?;
    if bytes.is_empty() {
        return Err(DiskError::Empty(path.to_owned()));
    }
    String::from_utf8(bytes).map_err(|_no_text| DiskError::NotText(path.to_owned()))
}

/// Writes a text file in one go: all of it is there, or the old one still is.
///
/// # Errors
/// If the system refuses; the old file is then untouched.
pub(crate) fn write_text(path: &Path, text: &str) -> Result<(), DiskError> {
    write_bytes(path, text.as_bytes())
}

/// Writes a file in one go: all of it is there, or the old one still is.
///
/// # Errors
/// If the system refuses; the old file is then untouched.
pub(crate) fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), DiskError> {
    // A link is followed, so that what it points to is written and the link stays.
    let target = std::fs::canonicalize(path).unwrap_or_else(|_new| path.to_owned());
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    let mut beside = named_like_a_new_file()
        .tempfile_in(&folder)
        .map_err(io(path, WRITE))?;
    beside
        .write_all(bytes)
        .and_then(|()| beside.as_file().sync_all())
        .map_err(io(path, WRITE))?;
    if let Ok(old) = std::fs::metadata(&target) {
        beside
            .as_file()
            .set_permissions(old.permissions())
            .map_err(io(path, WRITE))?;
    }
    beside
        .persist(&target)
        .map_err(|refused| io(path, WRITE)(refused.error))?;
    Ok(())
}

/// A temporary file is private by default; a user's file is to have the permissions of any new file.
fn named_like_a_new_file() -> tempfile::Builder<'static, 'static> {
    #[cfg_attr(not(unix), expect(unused_mut, reason = "only Unix has modes"))]
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder
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
mod tests {
    use super::*;

    #[test]
    fn a_text_is_written_whole_and_read_again() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("supply.ron");
        write_text(&path, "first").expect("new");
        write_text(&path, "second, 47 µF").expect("over it");
        assert_eq!(read_text(&path).expect("there"), "second, 47 µF");
        assert_eq!(ron_files(folder.path()), vec![path.clone()]);
        remove(&path).expect("gone");
        remove(&path).expect("gone already");
    }

    #[test]
    #[expect(
        clippy::disallowed_methods,
        reason = "a file that is no text cannot be written by our own means"
    )]
    fn what_cannot_be_read_is_named() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("noise.ron");
        std::fs::write(&path, [0xff, 0xfe, 0x00]).expect("written");
        let error = read_text(&path).expect_err("no text").to_string();
        assert!(
            error.contains("noise.ron") && error.contains("no text"),
            "{error}"
        );
        let error = read_text(&folder.path().join("none.ron")).expect_err("none");
        assert!(
            error
                .to_string()
                .ends_with("none.ron: found nothing there, expected a text file that may be read"),
            "{error}"
        );
        let error = read_text(folder.path()).expect_err("a folder").to_string();
        assert!(error.contains("found a folder, expected"), "{error}");
        let far = folder.path().join("none").join("supply.ron");
        let error = write_text(&far, "text").expect_err("no folder").to_string();
        assert!(
            error.contains("found nothing there, expected a file that may be written"),
            "{error}"
        );
    }

    #[test]
    fn a_typed_path_may_be_quoted() {
        assert_eq!(typed_path(" \"a b.ron\" "), Some(PathBuf::from("a b.ron")));
        assert_eq!(typed_path("  "), None);
        assert_eq!(
            with_extension(PathBuf::from("bench"), "ron"),
            PathBuf::from("bench.ron")
        );
        assert_eq!(
            with_extension(PathBuf::from("bench.txt"), "ron"),
            PathBuf::from("bench.txt")
        );
    }
}
