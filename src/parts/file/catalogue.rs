//! A catalogue as text and back.
//!
//! It holds short names of documents and up to four lists: `(format: 1, sources: {"short": "long"},
//! rectifiers: [ … ], pass_tubes: [ … ], control_tubes: [ … ], gas_tubes: [ … ])`. How an entry is written is
//! explained at the top of the built-in files.

#[cfg(test)]
mod slips;
#[cfg(test)]
mod tests;

use std::sync::OnceLock;

use ron::value::RawValue;
use serde::{Deserialize, Serialize};

use crate::parts::catalogue::{BUILT_IN_FILES, Catalogue};
use crate::parts::check::{self, Problem};
use crate::parts::file::figure::Sources;
use crate::parts::file::place::{LISTS, Pieces, Places, join};
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

impl CatalogueForm {
    /// All entries with their paths.
    fn entries(&self) -> Vec<(String, &RawValue)> {
        let lists = [
            &self.rectifiers,
            &self.pass_tubes,
            &self.control_tubes,
            &self.gas_tubes,
        ];
        LISTS
            .into_iter()
            .zip(lists)
            .flat_map(|(list, entries)| {
                let of_list = entries.iter().enumerate();
                of_list.map(move |(index, raw)| (format!("{list}[{index}]"), raw.as_ref()))
            })
            .collect()
    }
}

impl Catalogue {
    /// The built-in types, to add others to.
    pub fn built_in() -> Self {
        Self::built_in_ones().clone()
    }

    /// The built-in types themselves.
    pub fn built_in_ones() -> &'static Self {
        static BUILT_IN: OnceLock<Catalogue> = OnceLock::new();
        BUILT_IN.get_or_init(|| {
            let mut catalogue = Self::default();
            for (_, text) in BUILT_IN_FILES {
                // A test asserts that there are none.
                let _faults = catalogue.add(text);
            }
            catalogue
        })
    }

    /// Adds the types of a text in the same format as the built-in files; types of the same name are replaced.
    /// Every entry that can be read is added; what cannot is returned. A slip in one entry (a quote, a comma, a bracket)
    /// leaves the others as they are.
    pub fn add(&mut self, text: &str) -> Vec<FileError> {
        let places = Places::of(text);
        if let Err(newer) = file::refuse_newer(&places) {
            return vec![newer];
        }
        let whole: Result<CatalogueForm, FileError> = file::parse(&Extract {
            text,
            places: &places,
            at: "",
        });
        match whole {
            Ok(form) => self.add_entries(&form.entries(), &form.sources, &places),
            Err(fault) => self.add_pieces(text, fault),
        }
    }

    /// Adds every sound entry of a text that is none as a whole; `fault` is what is wrong with the whole.
    fn add_pieces(&mut self, text: &str, fault: FileError) -> Vec<FileError> {
        let pieces = Pieces::of(text);
        let mut places = Places::none(text);
        let mut entries = Vec::new();
        let mut faults = Vec::new();
        for piece in &pieces.entries {
            let (at, of_piece) = (piece.path(), piece.places(text));
            let extract = Extract {
                text: text.get(piece.range.clone()).unwrap_or_default(),
                places: &of_piece,
                at: &at,
            };
            match file::parse::<&RawValue>(&extract) {
                Ok(raw) => {
                    entries.push((at, raw));
                    places = places.and(of_piece);
                }
                // Read as what it is to be, the fault has its field.
                Err(wrong) => faults.push(fault_in(piece.list, &extract).unwrap_or(wrong)),
            }
        }
        // Else the slip is between the entries.
        if faults.is_empty() {
            faults.push(fault);
        }
        let sources = pieces
            .sources
            .and_then(|range| {
                file::parse(&Extract {
                    text: text.get(range)?,
                    places: &places,
                    at: "sources",
                })
                .ok()
            })
            .unwrap_or_default();
        faults.extend(self.add_entries(&entries, &sources, &places));
        faults
    }

    fn add_entries(
        &mut self,
        entries: &[(String, &RawValue)],
        sources: &Sources,
        places: &Places<'_>,
    ) -> Vec<FileError> {
        let reading = Reading {
            entries,
            places,
            sources,
        };
        let mut faults = Vec::new();
        faults.extend(reading.list(
            "rectifiers",
            |entry: RectifierForm, sources| entry.read(sources),
            check::rectifier_type,
            |kind| put(&mut self.rectifiers, kind, |t| &t.name),
        ));
        faults.extend(reading.list(
            "pass_tubes",
            |entry: PassTubeForm, sources| entry.read(sources),
            check::pass_tube_type,
            |tube| put(&mut self.pass_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            "control_tubes",
            |entry: ControlTubeForm, sources| entry.read(sources),
            check::control_tube_type,
            |tube| put(&mut self.control_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            "gas_tubes",
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
    /// The entries of all lists, each with its path.
    entries: &'a [(String, &'a RawValue)],
    places: &'a Places<'a>,
    sources: &'a Sources,
}

impl<'a> Reading<'a> {
    /// Reads one list: every sound entry goes to `keep`; what is wrong with the others is returned.
    fn list<Form: Deserialize<'a>, Type>(
        &self,
        name: &str,
        read: impl Fn(Form, &Sources) -> Type,
        check: impl Fn(&Type) -> Vec<Problem>,
        mut keep: impl FnMut(Type),
    ) -> Vec<FileError> {
        let mut faults = Vec::new();
        let of_list = |at: &str| at.strip_prefix(name).is_some_and(|at| at.starts_with('['));
        for (at, raw) in self.entries.iter().filter(|(at, _)| of_list(at)) {
            let sound = entry::<Form>(raw, self.places, at).and_then(|form| {
                let kind = read(form, self.sources);
                sound(check(&kind), self.places, at).map(|()| kind)
            });
            match sound {
                Ok(kind) => keep(kind),
                Err(wrong) => faults.extend(wrong),
            }
        }
        faults
    }
}

/// What keeps a text from being an entry of this list.
fn fault_in(list: &str, extract: &Extract<'_, '_>) -> Option<FileError> {
    match list {
        "rectifiers" => file::parse::<RectifierForm>(extract).err(),
        "pass_tubes" => file::parse::<PassTubeForm>(extract).err(),
        "control_tubes" => file::parse::<ControlTubeForm>(extract).err(),
        _ => file::parse::<GasTubeForm>(extract).err(),
    }
}

fn entry<'de, T: Deserialize<'de>>(
    raw: &'de RawValue,
    places: &Places<'_>,
    at: &str,
) -> Result<T, Vec<FileError>> {
    file::parse(&Extract {
        text: raw.trim().get_ron(),
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
