//! The invented supplies that come with the program, named as they name themselves.

use std::sync::OnceLock;

use crate::parts::Supply;
use crate::parts::catalogue::{self, Catalogue};
use crate::parts::file::{FileError, read};

/// A supply that comes with the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Preset {
    /// Its name in the menu: the supply's own.
    pub(crate) name: String,
    text: &'static str,
}

/// All presets, the demo supply first.
pub(crate) fn all() -> &'static [Preset] {
    static ALL: OnceLock<Vec<Preset>> = OnceLock::new();
    ALL.get_or_init(|| {
        let types = Catalogue::built_in();
        catalogue::presets()
            .iter()
            .map(|(file, text)| Preset {
                name: read(text, &types).map_or_else(|_fault| (*file).to_owned(), |s| s.name),
                text,
            })
            .collect()
    })
}

impl Preset {
    /// The supply itself.
    ///
    /// # Errors
    /// If the file in the program is at fault; the test below sees to it that it is not.
    pub(crate) fn supply(&self, catalogue: &Catalogue) -> Result<Supply, FileError> {
        read(self.text, catalogue)
    }
}

/// The demo supply: what the window shows when nothing else is asked for.
///
/// # Errors
/// As [`Preset::supply`].
pub(crate) fn demo(catalogue: &Catalogue) -> Result<Supply, FileError> {
    let text = catalogue::presets().first().map_or("", |(_, text)| text);
    read(text, catalogue)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_is_a_supply_of_the_name_in_the_menu() {
        let catalogue = Catalogue::built_in();
        for preset in all() {
            let supply = preset.supply(&catalogue);
            assert_eq!(
                supply.map(|s| s.name),
                Ok(preset.name.clone()),
                "{}",
                preset.name
            );
        }
    }
}
