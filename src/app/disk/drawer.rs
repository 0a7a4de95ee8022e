//! The drawer of resistors on the disk: one file for all supplies, in the data folder of the user.

use std::path::{Path, PathBuf};

use crate::app::disk::files::{self, DiskError};
use crate::app::disk::settings::Folders;
use crate::parts::Drawer;
use crate::parts::drawer::read_lines;
use crate::parts::file::{read_drawer, write_drawer};

/// The file, and what it held when this program last read or wrote it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct KeptDrawer {
    path: Option<PathBuf>,
    text: Option<String>,
}

impl KeptDrawer {
    /// Reads the drawer. Of a file with a fault nothing is taken: the fault is said, and the file stays as it is until the drawer is
    /// changed here; then it is set aside.
    pub(crate) fn load(folders: &Folders) -> (Self, Drawer, Vec<String>) {
        let path = folders.drawer();
        let mut file = Self { path, text: None };
        let Some(path) = file.path.clone().filter(|path| path.exists()) else {
            return (file, Drawer::default(), Vec::new());
        };
        let text = match files::read_text(&path) {
            Ok(text) => text,
            Err(DiskError::Empty(_)) => return (file, Drawer::default(), Vec::new()),
            Err(error) => return (file, Drawer::default(), vec![error.to_string()]),
        };
        match read_drawer(&text) {
            Ok(drawer) => {
                file.text = Some(text);
                (file, drawer, Vec::new())
            }
            Err(faults) => (file, Drawer::default(), files::told_of(&path, &faults)),
        }
    }

    /// Writes the drawer. What stands in the file and did not come from here is kept under another name, which is given back.
    ///
    /// # Errors
    /// If the system refuses.
    pub(crate) fn save(&mut self, drawer: &Drawer) -> Result<Option<PathBuf>, DiskError> {
        let Some(path) = &self.path else {
            return Ok(None);
        };
        let there = match files::read_text(path) {
            Ok(text) => Some(text),
            Err(DiskError::Empty(_)) => None,
            Err(error) if error.is_not_there() => None,
            Err(DiskError::NotAFile {
                path,
                found,
                expected,
            }) => {
                return Err(DiskError::NotAFile {
                    path,
                    found,
                    expected,
                });
            }
            // No text: whatever it is, it is not ours.
            Err(_) => Some(String::new()),
        };
        let is_anothers = there.is_some() && there != self.text;
        let kept = if is_anothers {
            Some(files::set_aside(path)?)
        } else {
            None
        };
        if let Some(folder) = path.parent() {
            files::make_folder(folder)?;
        }
        let text = write_drawer(drawer);
        files::write_text(path, &text)?;
        // What a crash left beside it while it was written.
        files::sweep_beside(path);
        self.text = Some(text);
        Ok(kept)
    }
}

/// Reads a drawer from any file: one of this program, a table, or lines as one jots them down.
///
/// # Errors
/// Every fault with its file and line.
pub(crate) fn read_any(path: &Path) -> Result<Drawer, Vec<String>> {
    let text = files::read_text(path).map_err(|error| vec![error.to_string()])?;
    if text.trim_start().starts_with('(') || path.extension().is_some_and(|end| end == "ron") {
        return read_drawer(&text).map_err(|faults| files::told_of(path, &faults));
    }
    let lines = read_lines(&text);
    if !lines.faults.is_empty() {
        return Err(files::told_of(path, &lines.faults));
    }
    let mut drawer = Drawer::default();
    for (_, owned) in lines.read {
        drawer.put(owned);
    }
    Ok(drawer)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folders(folder: &Path) -> Folders {
        Folders {
            config: None,
            recovery: Some(folder.join("recovery")),
        }
    }

    fn drawer(text: &str) -> Drawer {
        let mut drawer = Drawer::default();
        for (_, owned) in read_lines(text).read {
            drawer.put(owned);
        }
        drawer
    }

    #[test]
    fn a_drawer_comes_back_and_what_another_wrote_is_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = folders(folder.path());
        let (mut file, empty, faults) = KeptDrawer::load(&folders);
        assert_eq!((empty, faults), (Drawer::default(), Vec::new()));
        let mine = drawer("4 x 10k 25W ww");
        assert_eq!(file.save(&mine).expect("saved"), None);
        let (mut again, read, faults) = KeptDrawer::load(&folders);
        assert_eq!((read, faults), (mine, Vec::new()));
        // Another window writes; then this one does.
        let others = drawer("1k 5W");
        assert_eq!(again.save(&others).expect("saved"), None);
        let kept = file
            .save(&drawer("2k 5W"))
            .expect("saved")
            .expect("set aside");
        let text = files::read_text(&kept).expect("read");
        assert_eq!(read_drawer(&text), Ok(others));
    }

    #[test]
    fn a_file_with_a_fault_is_said_and_not_written_over() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = folders(folder.path());
        let path = folder.path().join("drawer.ron");
        let bad = "(format: 1, resistors: [\n(resistance: \"10 kΩ\", power: 25)])";
        files::write_text(&path, bad).expect("written");
        let (mut file, read, faults) = KeptDrawer::load(&folders);
        assert_eq!(read, Drawer::default());
        let said = faults.first().expect("a fault");
        assert!(
            said.contains("line 2") && said.contains("resistors[0].power"),
            "{said}"
        );
        let kept = file
            .save(&drawer("2k 5W"))
            .expect("saved")
            .expect("set aside");
        assert_eq!(files::read_text(&kept).expect("read"), bad);
    }
}
