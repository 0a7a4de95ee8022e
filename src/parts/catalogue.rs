//! The types that a part can be: built-in ones from `assets/catalogue`, and the user's own.

use crate::parts::file::FileError;
use crate::parts::{PassTubeType, RectifierType};

/// Known types.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Catalogue {
    /// Rectifiers, in the order of the files.
    pub rectifiers: Vec<RectifierType>,
    /// Pass tubes, in the order of the files.
    pub pass_tubes: Vec<PassTubeType>,
}

impl Catalogue {
    /// The built-in types.
    pub fn built_in() -> Self {
        Self::default()
    }

    /// Adds the types of a text in the same format as the built-in files; types of the same name are replaced.
    /// Every entry that can be read is added; what cannot is returned.
    pub fn add(&mut self, _text: &str) -> Vec<FileError> {
        Vec::new()
    }

    /// The rectifier of that name.
    pub fn rectifier(&self, name: &str) -> Option<&RectifierType> {
        self.rectifiers.iter().find(|t| t.name == name)
    }

    /// The pass tube of that name.
    pub fn pass_tube(&self, name: &str) -> Option<&PassTubeType> {
        self.pass_tubes.iter().find(|t| t.name == name)
    }
}
