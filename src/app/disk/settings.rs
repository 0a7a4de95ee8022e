//! What the program remembers between runs: the theme, the recent files, and a user's own types.
//!
//! Everything lives in the configuration folder of the system: `settings.ron`, and own types in `types/*.ron`
//! in the same format as the built-in catalogue.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use crate::app::disk::files::{self, DiskError};

/// Recent files kept.
const RECENT: usize = 8;

/// Which theme the window wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) enum ThemeChoice {
    /// What the system says.
    #[default]
    System,
    /// Near-black.
    Dark,
    /// Paper-white.
    Light,
}

impl ThemeChoice {
    /// The next one of the switch.
    pub(crate) fn next(self) -> Self {
        match self {
            Self::System => Self::Dark,
            Self::Dark => Self::Light,
            Self::Light => Self::System,
        }
    }

    /// Its name.
    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::System => "System theme",
            Self::Dark => "Dark theme",
            Self::Light => "Light theme",
        }
    }

    /// In the toolkit's words.
    pub(crate) fn preference(self) -> egui::ThemePreference {
        match self {
            Self::System => egui::ThemePreference::System,
            Self::Dark => egui::ThemePreference::Dark,
            Self::Light => egui::ThemePreference::Light,
        }
    }
}

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

    fn settings(&self) -> Option<PathBuf> {
        self.config
            .as_ref()
            .map(|folder| folder.join("settings.ron"))
    }
}

impl Settings {
    /// As they were left. What cannot be read is said, and the usual settings hold.
    pub(crate) fn load(folders: &Folders) -> (Self, Option<String>) {
        let Some(path) = folders.settings().filter(|p| p.exists()) else {
            return (Self::default(), None);
        };
        let text = match files::read_text(&path) {
            Ok(text) => text,
            Err(error) => return (Self::default(), Some(error.to_string())),
        };
        match ron::from_str(&text) {
            Ok(settings) => (settings, None),
            Err(error) => (
                Self::default(),
                Some(format!(
                    "{}: line {}: found {}, expected what this program writes there; the usual settings hold",
                    files::shown_path(&path),
                    error.span.start.line,
                    error.code.to_string().replace('`', "")
                )),
            ),
        }
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
        let text =
            ron::ser::to_string_pretty(self, ron::ser::PrettyConfig::default()).unwrap_or_default();
        files::write_text(&path, &text)
    }

    /// Puts a file on top of the recent ones.
    pub(crate) fn remember(&mut self, path: &Path) {
        self.recent.retain(|p| p != path);
        self.recent.insert(0, path.to_owned());
        self.recent.truncate(RECENT);
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
        assert_eq!(Settings::load(&folders), (settings.clone(), None));
        assert_eq!(
            settings.recent,
            [PathBuf::from("a.ron"), PathBuf::from("b.ron")]
        );
    }

    #[test]
    fn broken_settings_are_said_and_replaced() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = Folders {
            config: Some(folder.path().to_owned()),
            recovery: None,
        };
        files::write_text(&folder.path().join("settings.ron"), "(theme: Purple)").expect("written");
        let (settings, fault) = Settings::load(&folders);
        assert_eq!(settings, Settings::default());
        assert!(fault.is_some_and(|f| f.contains("settings.ron")));
    }
}
