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
    /// What is special about it, in a sentence: the first of its comments.
    pub(crate) about: String,
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
                about: about(text),
                text,
            })
            .collect()
    })
}

/// The first sentence of a text's comments.
fn about(text: &str) -> String {
    let comment = |line: &str| line.strip_prefix("//").map(|words| words.trim().to_owned());
    let words: Vec<String> = text.lines().map_while(comment).collect();
    let paragraph = words.split(String::is_empty).next().unwrap_or_default();
    let paragraph = paragraph.join(" ");
    let sentence = paragraph.split_inclusive(". ").next().unwrap_or_default();
    sentence.trim().trim_end_matches('.').to_owned()
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
    fn every_preset_says_in_one_line_what_it_is() {
        for preset in all() {
            let length = preset.about.chars().count();
            assert!(
                preset.about.starts_with("An invented") && (30..140).contains(&length),
                "{}: {:?}",
                preset.name,
                preset.about
            );
        }
        assert_eq!(about("// One\n// two. Three\n(x)"), "One two");
    }

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
