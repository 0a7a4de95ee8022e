//! The types that a part can be: built-in ones from `assets/catalogue`, and the user's own.
//!
//! A catalogue text holds short names of documents and two lists:
//! `(format: 1, sources: {"short": "long"}, rectifiers: [ … ], pass_tubes: [ … ])`. How an entry is written
//! is explained at the top of the built-in files.

use std::sync::OnceLock;

use ron::value::RawValue;
use serde::Deserialize;

use crate::parts::check::{self, Problem};
use crate::parts::file::figure::Sources;
use crate::parts::file::place::{Places, join};
use crate::parts::file::types::{PassTubeForm, RectifierForm};
use crate::parts::file::{self, Extract, FileError};
use crate::parts::{PassTubeType, RectifierType};

/// Known types.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Catalogue {
    /// Rectifiers, in the order of the files.
    pub rectifiers: Vec<RectifierType>,
    /// Pass tubes, in the order of the files.
    pub pass_tubes: Vec<PassTubeType>,
}

/// The built-in catalogue: file name and text.
pub const BUILT_IN_FILES: [(&str, &str); 2] = [
    (
        "rectifiers.ron",
        include_str!("../../assets/catalogue/rectifiers.ron"),
    ),
    (
        "pass_tubes.ron",
        include_str!("../../assets/catalogue/pass_tubes.ron"),
    ),
];

/// The invented supplies that come with the program: file name and text, the demo first.
pub fn presets() -> &'static [(&'static str, &'static str)] {
    &[
        (
            "school-laboratory.ron",
            include_str!("../../presets/school-laboratory.ron"),
        ),
        (
            "choke-input.ron",
            include_str!("../../presets/choke-input.ron"),
        ),
        (
            "silicon-bridge.ron",
            include_str!("../../presets/silicon-bridge.ron"),
        ),
        (
            "small-fixed-range.ron",
            include_str!("../../presets/small-fixed-range.ron"),
        ),
        ("half-wave.ron", include_str!("../../presets/half-wave.ron")),
    ]
}

/// A catalogue text, its entries still unread: one that is wrong must not take the others with it.
#[derive(Deserialize)]
#[serde(rename = "catalogue", deny_unknown_fields)]
struct CatalogueForm {
    #[expect(dead_code, reason = "judged before the text is read")]
    format: u32,
    #[serde(default)]
    sources: Sources,
    #[serde(default)]
    rectifiers: Vec<Box<RawValue>>,
    #[serde(default)]
    pass_tubes: Vec<Box<RawValue>>,
}

impl Catalogue {
    /// The built-in types.
    pub fn built_in() -> Self {
        static BUILT_IN: OnceLock<Catalogue> = OnceLock::new();
        BUILT_IN
            .get_or_init(|| {
                let mut catalogue = Self::default();
                for (_, text) in BUILT_IN_FILES {
                    // A test asserts that there are none.
                    let _faults = catalogue.add(text);
                }
                catalogue
            })
            .clone()
    }

    /// Adds the types of a text in the same format as the built-in files; types of the same name are replaced.
    /// Every entry that can be read is added; what cannot is returned.
    pub fn add(&mut self, text: &str) -> Vec<FileError> {
        let places = Places::of(text);
        let form: Result<CatalogueForm, FileError> = file::refuse_newer(&places).and_then(|()| {
            file::parse(&Extract {
                text,
                places: &places,
                at: "",
            })
        });
        let form = match form {
            Ok(form) => form,
            Err(fault) => return vec![fault],
        };
        let mut faults = Vec::new();
        for (index, raw) in form.rectifiers.iter().enumerate() {
            let at = format!("rectifiers[{index}]");
            let read = entry::<RectifierForm>(raw, &places, &at).and_then(|entry| {
                let kind = entry.read(&form.sources);
                sound(check::rectifier_type(&kind), &places, &at).map(|()| kind)
            });
            match read {
                Ok(kind) => put(&mut self.rectifiers, kind, |t| &t.name),
                Err(wrong) => faults.extend(wrong),
            }
        }
        for (index, raw) in form.pass_tubes.iter().enumerate() {
            let at = format!("pass_tubes[{index}]");
            let read = entry::<PassTubeForm>(raw, &places, &at).and_then(|entry| {
                let tube = entry.read(&form.sources);
                sound(check::pass_tube_type(&tube), &places, &at).map(|()| tube)
            });
            match read {
                Ok(tube) => put(&mut self.pass_tubes, tube, |t| &t.name),
                Err(wrong) => faults.extend(wrong),
            }
        }
        faults
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

fn entry<'de, T: Deserialize<'de>>(
    raw: &'de RawValue,
    places: &Places<'_>,
    at: &str,
) -> Result<T, Vec<FileError>> {
    file::parse(&Extract {
        text: raw.get_ron(),
        places,
        at,
    })
    .map_err(|fault| vec![fault])
}

fn sound(problems: Vec<Problem>, places: &Places<'_>, at: &str) -> Result<(), Vec<FileError>> {
    if problems.is_empty() {
        return Ok(());
    }
    Err(problems
        .into_iter()
        .map(|problem| {
            let field = join(at, &problem.field);
            FileError {
                line: places.line(&field),
                field,
                found: problem.found,
                expected: problem.expected,
            }
        })
        .collect())
}

fn put<T>(list: &mut Vec<T>, new: T, name: impl Fn(&T) -> &String) {
    match list.iter_mut().find(|old| name(old) == name(&new)) {
        Some(old) => *old = new,
        None => list.push(new),
    }
}
