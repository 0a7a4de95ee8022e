//! What the program remembers between runs: the theme, the recent files, and a user's own types.
//!
//! Everything lives in the configuration folder of the system: `settings.ron`, and own types in `types/*.ron`
//! in the same format as the built-in catalogue.

use std::path::{Path, PathBuf};

use ron::value::RawValue;
use serde::{Deserialize, Deserializer, Serialize};

use crate::app::disk::files::{self, DiskError};
use crate::app::work::theme_choice::ThemeChoice;

/// Recent files kept.
const RECENT: usize = 8;

/// What is remembered.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Settings {
    /// The theme.
    pub(crate) theme: ThemeChoice,
    /// Files opened or saved, the latest first.
    pub(crate) recent: Vec<PathBuf>,
    /// True once the caution of the first window was read.
    pub(crate) caution_read: bool,
    /// True once the tour was offered: it does not come by itself again.
    pub(crate) tour_offered: bool,
    /// Height of the dock below the plot, as it was drawn (points); 0 for the usual one.
    pub(crate) dock_height: u16,
}

/// The folders of this program; none where the system names none, or in a test.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Folders {
    /// Settings and own types.
    pub config: Option<PathBuf>,
    /// Recovery copies.
    pub recovery: Option<PathBuf>,
}

impl Folders {
    /// As the system has them.
    pub fn of_system() -> Self {
        directories::ProjectDirs::from("", "", "sagline").map_or_else(Self::default, |dirs| Self {
            config: Some(dirs.config_dir().to_owned()),
            recovery: Some(dirs.data_local_dir().join("recovery")),
        })
    }

    /// Where own types are looked for.
    pub(crate) fn types(&self) -> Option<PathBuf> {
        self.config.as_ref().map(|folder| folder.join("types"))
    }

    /// Where the drawer of resistors is kept: beside the recovery copies.
    pub(crate) fn drawer(&self) -> Option<PathBuf> {
        self.recovery
            .as_ref()
            .map(|folder| folder.with_file_name("drawer.ron"))
    }

    fn settings(&self) -> Option<PathBuf> {
        self.config
            .as_ref()
            .map(|folder| folder.join("settings.ron"))
    }
}

impl Settings {
    /// As they were left. An entry that cannot be read is said, the others hold; the file as it was is set aside, for the next save
    /// writes only what holds.
    pub(crate) fn load(folders: &Folders) -> (Self, Vec<String>) {
        let Some(path) = folders.settings().filter(|p| p.exists()) else {
            return (Self::default(), Vec::new());
        };
        let (settings, mut faults) = match files::read_text(&path) {
            Ok(text) => {
                let (settings, faults) = Self::read(&text);
                let named = faults
                    .iter()
                    .map(|said| format!("{}: {said}", files::shown_path(&path)));
                (settings, named.collect())
            }
            Err(error) => (Self::default(), vec![error.to_string()]),
        };
        if let Some(last) = faults.last_mut() {
            let kept = files::set_aside(&path).and_then(|kept| {
                settings.save(folders)?;
                Ok(kept)
            });
            match kept {
                Ok(kept) => {
                    *last = format!(
                        "{last}; the file as it was is kept in {}",
                        files::shown_path(&kept)
                    );
                }
                // It stands where it was.
                Err(DiskError::NotAFile { .. }) => {}
                Err(error) => faults.push(error.to_string()),
            }
        }
        (settings, faults)
    }

    /// What of a text can be read, and what is wrong with the rest.
    fn read(text: &str) -> (Self, Vec<String>) {
        const TRUE_OR_FALSE: &str = "true or false";
        let mut settings = Self::default();
        let entries: Entries<'_> = match ron::from_str(text) {
            Ok(entries) => entries,
            Err(error) => {
                let fault = format!(
                    "line {}: found {}, expected what this program writes there; the usual settings hold",
                    error.span.start.line,
                    error.code.to_string().replace('`', "")
                );
                return (settings, vec![fault]);
            }
        };
        let mut reading = EntryReading {
            text,
            faults: Vec::new(),
        };
        if let Some(theme) = reading.entry(entries.theme, "theme", "System, Dark or Light") {
            settings.theme = theme;
        }
        if let Some(read) = reading.entry(entries.caution_read, "caution_read", TRUE_OR_FALSE) {
            settings.caution_read = read;
        }
        if let Some(offered) = reading.entry(entries.tour_offered, "tour_offered", TRUE_OR_FALSE) {
            settings.tour_offered = offered;
        }
        if let Some(height) = reading.entry(
            entries.dock_height,
            "dock_height",
            "a whole number of points, 0 for the usual height",
        ) {
            settings.dock_height = height;
        }
        let recent: Option<Vec<&RawValue>> =
            reading.entry(entries.recent, "recent", "a list of files, [\"…\", \"…\"]");
        for (place, file) in recent.unwrap_or_default().into_iter().enumerate() {
            let name = format!("recent[{place}]");
            let path: Option<PathBuf> =
                reading.entry(Some(file), &name, "the path of a file in quotes");
            settings.recent.extend(path);
        }
        settings.recent.truncate(RECENT);
        (settings, reading.faults)
    }

    /// Writes them.
    ///
    /// # Errors
    /// If the system refuses.
    pub(crate) fn save(&self, folders: &Folders) -> Result<(), DiskError> {
        let (Some(folder), Some(path)) = (&folders.config, folders.settings()) else {
            return Ok(());
        };
        files::make_folder(folder)?;
        // A path that is no text cannot be written down.
        let mut settings = self.clone();
        settings.recent.retain(|path| path.to_str().is_some());
        match ron::ser::to_string_pretty(&settings, ron::ser::PrettyConfig::default()) {
            Ok(text) => files::write_text(&path, &text),
            // Better the settings of before than none.
            Err(_) => Ok(()),
        }
    }

    /// Puts a file on top of the recent ones.
    pub(crate) fn remember(&mut self, path: &Path) {
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_owned());
        self.recent.truncate(RECENT);
    }
}

/// The entries of the file as they stand there, each to be read for itself.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Entries<'t> {
    #[serde(borrow, deserialize_with = "as_it_stands")]
    theme: Option<&'t RawValue>,
    #[serde(borrow, deserialize_with = "as_it_stands")]
    recent: Option<&'t RawValue>,
    #[serde(borrow, deserialize_with = "as_it_stands")]
    caution_read: Option<&'t RawValue>,
    #[serde(borrow, deserialize_with = "as_it_stands")]
    tour_offered: Option<&'t RawValue>,
    #[serde(borrow, deserialize_with = "as_it_stands")]
    dock_height: Option<&'t RawValue>,
}

fn as_it_stands<'de, D: Deserializer<'de>>(entry: D) -> Result<Option<&'de RawValue>, D::Error> {
    <&RawValue>::deserialize(entry).map(Some)
}

struct EntryReading<'t> {
    text: &'t str,
    faults: Vec<String>,
}

impl<'t> EntryReading<'t> {
    /// An entry, if it is there and can be read.
    fn entry<T: Deserialize<'t>>(
        &mut self,
        entry: Option<&'t RawValue>,
        name: &str,
        expected: &str,
    ) -> Option<T> {
        let found = entry?.get_ron().trim();
        if let Ok(read) = ron::from_str(found) {
            return Some(read);
        }
        let before = (self.text.split_once(found)).map_or("", |(before, _)| before);
        let line = 1 + before.matches('\n').count();
        let short: String = found.chars().take(40).collect();
        self.faults.push(format!(
            "line {line}, {name}: found {short}, expected {expected}; the other settings hold"
        ));
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_come_back_as_they_were_saved() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = Folders {
            config: Some(folder.path().join("deep")),
            recovery: None,
        };
        let mut settings = Settings {
            theme: ThemeChoice::Light,
            ..Settings::default()
        };
        for name in ["a.ron", "b.ron", "a.ron"] {
            settings.remember(Path::new(name));
        }
        settings.save(&folders).expect("saved");
        assert_eq!(Settings::load(&folders), (settings.clone(), vec![]));
        assert_eq!(
            settings.recent,
            [PathBuf::from("a.ron"), PathBuf::from("b.ron")]
        );
    }

    fn folders(folder: &Path) -> Folders {
        Folders {
            config: Some(folder.to_owned()),
            recovery: None,
        }
    }

    #[test]
    fn a_bad_entry_is_said_and_set_aside_and_the_others_hold() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = folders(folder.path());
        let path = folder.path().join("settings.ron");
        let bad = "( // mine\n  theme: Purple,\n  recent: [\"a.ron\", 3, \"b.ron\"],\n  caution_read: true,\n  colour: 7,\n)\n";
        files::write_text(&path, bad).expect("written");
        let (settings, faults) = Settings::load(&folders);
        let good = Settings {
            recent: vec![PathBuf::from("a.ron"), PathBuf::from("b.ron")],
            caution_read: true,
            ..Settings::default()
        };
        assert_eq!(settings, good);
        assert_eq!(faults.len(), 2, "{faults:?}");
        for (fault, part) in faults.iter().zip([
            "settings.ron: line 2, theme: found Purple, expected System, Dark or Light",
            "settings.ron: line 3, recent[1]: found 3, expected the path of a file",
        ]) {
            assert!(fault.contains(part), "{fault}");
        }
        let aside = folder.path().join("settings-bad.ron");
        assert!(
            faults[1].contains(&aside.display().to_string()),
            "{faults:?}"
        );
        assert_eq!(files::read_text(&aside).expect("kept"), bad);
        // The next start has the good ones and nothing to say; another bad file does not take the place of the first.
        assert_eq!(Settings::load(&folders), (good, vec![]));
        files::write_text(&path, "((((").expect("written");
        let (settings, faults) = Settings::load(&folders);
        assert_eq!(settings, Settings::default());
        assert!(faults[0].contains("settings-bad-2.ron"), "{faults:?}");
        assert_eq!(files::read_text(&aside).expect("kept"), bad);
    }

    #[cfg(unix)]
    #[test]
    fn a_path_that_is_no_text_takes_no_other_setting_with_it() {
        use std::os::unix::ffi::OsStrExt as _;
        let folder = tempfile::tempdir().expect("a folder");
        let folders = folders(folder.path());
        let mut settings = Settings {
            theme: ThemeChoice::Light,
            ..Settings::default()
        };
        settings.remember(Path::new("a.ron"));
        let odd = std::ffi::OsStr::from_bytes(b"\xff.ron");
        settings.remember(Path::new(odd));
        settings.save(&folders).expect("saved");
        let (read, faults) = Settings::load(&folders);
        assert_eq!(faults, Vec::<String>::new());
        assert_eq!(
            (read.theme, read.recent),
            (ThemeChoice::Light, vec![PathBuf::from("a.ron")])
        );
    }
}
