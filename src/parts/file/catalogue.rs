//! A catalogue as text and back.
//!
//! It holds short names of documents and up to four lists: `(format: 1, sources: {"short": "long"},
//! rectifiers: [ … ], pass_tubes: [ … ], control_tubes: [ … ], gas_tubes: [ … ])`. How an entry is written is
//! explained at the top of the built-in files.

#[cfg(test)]
mod tests;

use std::sync::OnceLock;

use ron::value::RawValue;
use serde::{Deserialize, Serialize};

use crate::parts::catalogue::{BUILT_IN_FILES, Catalogue};
use crate::parts::check::{self, Problem};
use crate::parts::file::figure::Sources;
use crate::parts::file::place::{Places, join};
use crate::parts::file::types::{ControlTubeForm, GasTubeForm, PassTubeForm, RectifierForm};
use crate::parts::file::{self, Extract, FileError};

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
    #[serde(default)]
    control_tubes: Vec<Box<RawValue>>,
    #[serde(default)]
    gas_tubes: Vec<Box<RawValue>>,
}

/// The same as it is written.
#[derive(Serialize)]
#[serde(rename = "catalogue")]
struct WrittenCatalogue {
    format: u32,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    rectifiers: Vec<RectifierForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pass_tubes: Vec<PassTubeForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    control_tubes: Vec<ControlTubeForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    gas_tubes: Vec<GasTubeForm>,
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
        let reading = Reading {
            places: &places,
            sources: &form.sources,
        };
        let mut faults = Vec::new();
        faults.extend(reading.list(
            ("rectifiers", &form.rectifiers),
            |entry: RectifierForm, sources| entry.read(sources),
            check::rectifier_type,
            |kind| put(&mut self.rectifiers, kind, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("pass_tubes", &form.pass_tubes),
            |entry: PassTubeForm, sources| entry.read(sources),
            check::pass_tube_type,
            |tube| put(&mut self.pass_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("control_tubes", &form.control_tubes),
            |entry: ControlTubeForm, sources| entry.read(sources),
            check::control_tube_type,
            |tube| put(&mut self.control_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("gas_tubes", &form.gas_tubes),
            |entry: GasTubeForm, sources| entry.read(sources),
            check::gas_tube_type,
            |tube| put(&mut self.gas_tubes, tube, |t| &t.name),
        ));
        faults
    }

    /// Writes the types so that [`Self::add`] gives the same ones back.
    pub fn write(&self) -> String {
        file::written(&WrittenCatalogue {
            format: file::FORMAT,
            rectifiers: self.rectifiers.iter().map(RectifierForm::of).collect(),
            pass_tubes: self.pass_tubes.iter().map(PassTubeForm::of).collect(),
            control_tubes: self.control_tubes.iter().map(ControlTubeForm::of).collect(),
            gas_tubes: self.gas_tubes.iter().map(GasTubeForm::of).collect(),
        })
    }
}

/// One text while its lists are read.
struct Reading<'a> {
    places: &'a Places<'a>,
    sources: &'a Sources,
}

impl Reading<'_> {
    /// Reads one list: every sound entry goes to `keep`; what is wrong with the others is returned.
    fn list<'de, Form: Deserialize<'de>, Type>(
        &self,
        (name, entries): (&str, &'de [Box<RawValue>]),
        read: impl Fn(Form, &Sources) -> Type,
        check: impl Fn(&Type) -> Vec<Problem>,
        mut keep: impl FnMut(Type),
    ) -> Vec<FileError> {
        let mut faults = Vec::new();
        for (index, raw) in entries.iter().enumerate() {
            let at = format!("{name}[{index}]");
            let sound = entry::<Form>(raw, self.places, &at).and_then(|form| {
                let kind = read(form, self.sources);
                sound(check(&kind), self.places, &at).map(|()| kind)
            });
            match sound {
                Ok(kind) => keep(kind),
                Err(wrong) => faults.extend(wrong),
            }
        }
        faults
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
