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

use crate::parts::catalogue::{BUILT_IN_FILES, Catalogue, Listed};
use crate::parts::file::entries::{Entries, LISTS};
use crate::parts::file::fault::{Fault, Lines, below};
use crate::parts::file::fields::{Fields, MOST_IN_LIST};
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{Notation, Reading, Sources};
use crate::parts::file::tree::{Tree, Value};
use crate::parts::file::{FORMAT, FileError, refuse_newer};
use crate::parts::{ControlTubeType, GasTubeType, PassTubeType, RectifierType};

/// An entry that was read as far as it makes sense.
struct EntryTree<'t> {
    list: &'static str,
    path: String,
    tree: Tree<'t>,
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
        let tree = Tree::of(text);
        if let Err(newer) = refuse_newer(text, &tree) {
            return vec![newer];
        }
        let whole = tree.read(frame);
        let (entries, sources) = if tree.fault.is_none() {
            let sources = tree.find("sources").and_then(|value| sources(value).ok());
            (entries(&tree), sources)
        } else {
            entries_of_broken(text)
        };
        let sources = sources.unwrap_or_default();
        // What is wrong between the entries is told if none of them is to blame.
        let is_blameless = entries.iter().all(|entry| entry.tree.fault.is_none());
        let frame_fault = whole.err().filter(|_| is_blameless);
        let lines = &Lines::of(text);
        let mut faults: Vec<FileError> = (frame_fault.into_iter())
            .map(|fault| fault.in_text(lines, tree.start("")))
            .collect();
        let none = Self::default();
        let context = &Reading::of(&sources, &none);
        for entry in entries.iter().take(LISTS.len() * MOST_IN_LIST) {
            let added = match entry.list {
                "rectifiers" => self.add_entry::<RectifierType>(lines, entry, context),
                "pass_tubes" => self.add_entry::<PassTubeType>(lines, entry, context),
                "control_tubes" => self.add_entry::<ControlTubeType>(lines, entry, context),
                _ => self.add_entry::<GasTubeType>(lines, entry, context),
            };
            faults.extend(added.err().into_iter().flatten());
        }
        faults
    }

    fn add_entry<T: Listed + Notation>(
        &mut self,
        lines: &Lines,
        entry: &EntryTree<'_>,
        context: &Reading<'_>,
    ) -> Result<(), Vec<FileError>> {
        let start = entry.tree.start("");
        let kind = (entry.tree.read(|value| T::read(value, context)))
            .map_err(|fault| vec![fault.below(&entry.path, start).in_text(lines, start)])?;
        let problems = kind.problems();
        if !problems.is_empty() {
            let at_fault = problems.into_iter().map(|problem| FileError {
                line: Some(lines.at(entry.tree.start(&problem.field))),
                field: below(&entry.path, &problem.field),
                found: problem.found,
                expected: problem.expected,
            });
            return Err(at_fault.collect());
        }
        let list = T::list_mut(self);
        match list.iter_mut().find(|old| old.name() == kind.name()) {
            Some(old) => *old = kind,
            None => list.push(kind),
        }
        Ok(())
    }

    /// Writes the types so that [`Self::add`] gives the same ones back.
    pub fn write(&self) -> String {
        let mut file = vec![Text::Plain(FORMAT.to_string()).field("format")];
        file.extend(self.lists());
        Text::group("", file).lines()
    }
}

/// Reads what stands around the entries.
fn frame(value: &Value<'_>) -> Result<(), Fault> {
    let known = [&["format", "sources"], LISTS.as_slice()].concat();
    let fields = Fields::of(value, "catalogue", &known)?;
    fields.get_by("format", None, |version| version.number::<u32>("1"))?;
    fields.get_by("sources", Some(Sources::new()), sources)?;
    for list in LISTS {
        fields.get_by(list, Some(Vec::new()), |value| {
            value.elements_of_list(|_read_later| Ok(()))
        })?;
    }
    fields.end(())
}

fn sources(value: &Value<'_>) -> Result<Sources, Fault> {
    value.map(|name| {
        let text = name.as_text().map(str::to_owned);
        text.ok_or_else(|| name.fault("text in quotes"))
    })
}

/// The entries of a text that makes sense.
fn entries<'t>(tree: &Tree<'t>) -> Vec<EntryTree<'t>> {
    let mut entries = Vec::new();
    for list in LISTS {
        let values = tree.find(list).map(Value::items).unwrap_or_default();
        entries.extend(values.iter().enumerate().map(|(index, item)| EntryTree {
            list,
            path: format!("{list}[{index}]"),
            tree: Tree {
                value: Some(item.value.clone()),
                fault: None,
            },
        }));
    }
    entries
}

/// The entries and short names of documents of a text that does not.
fn entries_of_broken(text: &str) -> (Vec<EntryTree<'_>>, Option<Sources>) {
    let entries = Entries::of(text);
    let sources = entries.sources.and_then(|range| {
        let tree = Tree::of_entry(text, range);
        tree.read(sources).ok()
    });
    let trees = entries.all.into_iter().map(|entry| EntryTree {
        list: entry.list,
        path: entry.path(),
        tree: entry.tree(text),
    });
    (trees.collect(), sources)
}
