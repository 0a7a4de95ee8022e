//! The invented supplies that come with the program, embedded as the text files they are.

use crate::parts::catalogue::Catalogue;
use crate::parts::file::{FileError, read};
use crate::parts::Supply;

/// A supply that comes with the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Preset {
    /// Its name in the menu.
    pub(crate) name: &'static str,
    text: &'static str,
}

/// All presets, the demo supply first.
pub(crate) const ALL: &[Preset] = &[];

impl Preset {
    /// The supply itself.
    pub(crate) fn supply(&self, catalogue: &Catalogue) -> Result<Supply, FileError> {
        read(self.text, catalogue)
    }
}
