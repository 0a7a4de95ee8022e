//! The invented supplies that come with the program, named as they name themselves.

use std::sync::OnceLock;

use crate::app::work::document::Origin;
use crate::parts::Work;
use crate::parts::catalogue::{self, Catalogue};
use crate::parts::file::{FileError, read_work};

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
                name: read_work(text, &types).map_or_else(|_fault| (*file).to_owned(), |s| s.name),
                text,
            })
            .collect()
    })
}

impl Preset {
    /// The work itself.
    ///
    /// # Errors
    /// If the file in the program is at fault; the test below sees to it that it is not.
    pub(crate) fn work(&self, catalogue: &Catalogue) -> Result<Work, FileError> {
        read_work(self.text, catalogue)
    }

    /// Where it comes from: its text has comments that a copy keeps.
    pub(crate) fn origin(&self) -> Origin {
        Origin {
            path: None,
            text: Some(self.text.to_owned()),
        }
    }
}

/// The demo supply: what the window shows when nothing else is asked for.
///
/// # Errors
/// As [`Preset::work`].
pub(crate) fn demo(catalogue: &Catalogue) -> Result<Work, FileError> {
    read_work(demo_text(), catalogue)
}

/// Where the demo supply comes from.
pub(crate) fn demo_origin() -> Origin {
    Origin {
        path: None,
        text: Some(demo_text().to_owned()),
    }
}

fn demo_text() -> &'static str {
    catalogue::presets().first().map_or("", |(_, text)| text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_preset_is_a_supply_of_the_name_in_the_menu() {
        let catalogue = Catalogue::built_in();
        for preset in all() {
            let work = preset.work(&catalogue);
            assert_eq!(
                work.map(|w| w.name),
                Ok(preset.name.clone()),
                "{}",
                preset.name
            );
        }
    }
}
