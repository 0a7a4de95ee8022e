//! Which theme is wanted.

use serde::{Deserialize, Serialize};

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
    /// All of them.
    pub(crate) const ALL: [Self; 3] = [Self::System, Self::Dark, Self::Light];

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
