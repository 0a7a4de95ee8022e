//! A supply as text and back. No disk here: the caller reads and writes the file.
//!
//! The text is RON: groups in round brackets, lists in square ones, comments as in Rust, and every quantity
//! in quotes with its unit. A supply that another person gets is complete: types that the built-in
//! catalogue does not have stand in the file itself, under `own_types`. The presets show all of it.

mod catalogue;
mod difference;
mod drawer;
mod entries;
mod fault;
mod fields;
mod figure;
mod layout;
mod notation;
mod scan;
mod supply;
mod tree;
mod types;
mod update;
mod values;

#[cfg(test)]
mod tests;

use crate::parts::catalogue::Catalogue;
use crate::parts::check::{Problem, check_work};
use crate::parts::escape::escaped;
use crate::parts::file::fault::Fault;
use crate::parts::file::notation::Notation as _;
use crate::parts::file::tree::Tree;
use crate::parts::own_catalogue::OwnType;
use crate::parts::{Supply, Work};

pub use difference::{Difference, differences};
pub use drawer::{read_drawer, write_drawer};
pub(in crate::parts) use entries::Entries;
pub(in crate::parts) use fault::Lines;
pub(in crate::parts) use tree::Value;

/// Version of the text format.
pub const FORMAT: u32 = 1;

/// What is wrong in a text, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{}: found {}, expected {}", line.map(|l| format!("line {l}, ")).unwrap_or_default(), escaped(field), escaped(found), escaped(expected))]
pub struct FileError {
    /// Line, counted from 1, where it is known.
    pub line: Option<usize>,
    /// The field, as a path: `filter.sections[1].capacitor.unit`.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// Reads the supply of a file, without what stands beside it; see [`read_work`].
///
/// # Errors
/// As [`read_work`].
pub fn read(text: &str, catalogue: &Catalogue) -> Result<Supply, FileError> {
    read_work(text, catalogue).map(|work| work.supply)
}

/// Reads and checks a file for its supply alone; see [`read_work_checked`].
///
/// # Errors
/// As [`read_work_checked`].
pub fn read_checked(text: &str, catalogue: &Catalogue) -> Result<Supply, Vec<FileError>> {
    read_work_checked(text, catalogue).map(|work| work.supply)
}

/// Reads a whole file. It is a description then, but perhaps not one that can be computed with:
/// [`check_work`] says that, and [`read_work_checked`] does both.
///
/// # Errors
/// Names line, field, what was found and what was expected.
pub fn read_work(text: &str, catalogue: &Catalogue) -> Result<Work, FileError> {
    read_tree(text, &Tree::of(text), catalogue)
}

/// Reads a whole file and checks it.
///
/// # Errors
/// The one fault for which the text cannot be read, or else everything that [`check_work`] has to say, with lines.
pub fn read_work_checked(text: &str, catalogue: &Catalogue) -> Result<Work, Vec<FileError>> {
    let tree = Tree::of(text);
    let work = read_tree(text, &tree, catalogue).map_err(|error| vec![error])?;
    let problems = check_work(&work);
    if problems.is_empty() {
        Ok(work)
    } else {
        let lines = Lines::of(text);
        Err(problems
            .into_iter()
            .map(|problem| located(problem, &lines, &tree))
            .collect())
    }
}

/// The line of a field (counted from 1), or of what holds it; none if the text has nothing of it.
pub fn line_of(text: &str, field: &str) -> Option<usize> {
    let tree = Tree::of(text);
    let stage = field.split(['.', '[']).next().unwrap_or(field);
    tree.find(stage)?;
    Some(Lines::of(text).at(tree.start(field)))
}

/// Problems that were found with the supply of a text, each with its line.
pub fn with_lines(problems: Vec<Problem>, text: &str) -> Vec<FileError> {
    let tree = Tree::of(text);
    let lines = Lines::of(text);
    let all = problems.into_iter();
    all.map(|problem| located(problem, &lines, &tree)).collect()
}

/// Writes a file so that [`read_work`] gives the same back, here and where there are no other types than the built-in ones.
pub fn write(work: &Work, catalogue: &Catalogue) -> String {
    supply::write(work, catalogue).lines()
}

/// A file's text brought up to this work: what differs is written anew in its place, and comments, order and spelling of all else
/// stay. What goes, goes with the comment in its line. None where that cannot be done, because the text is no supply that can be
/// read, or because the new text would not read as the work.
pub fn updated(text: &str, work: &Work, catalogue: &Catalogue) -> Option<String> {
    let readable = refuse_newer(text, &Tree::of(text)).is_ok();
    readable.then(|| update::updated(text, work, catalogue))?
}

/// How many comments a text has.
pub fn comment_count(text: &str) -> usize {
    update::comments(text).len()
}

/// A type as it is written in a catalogue.
pub(in crate::parts) fn entry(own: &OwnType) -> String {
    let text = match own {
        OwnType::Pass(tube) => tube.write(None),
        OwnType::Control(tube) => tube.write(None),
    };
    text.lines()
}

fn read_tree(text: &str, tree: &Tree<'_>, catalogue: &Catalogue) -> Result<Work, FileError> {
    refuse_newer(text, tree)?;
    supply::read(tree, catalogue).map_err(|fault| fault.in_text(&Lines::of(text), tree.start("")))
}

/// Before anything else: fields of a newer format are not faults of the user.
fn refuse_newer(text: &str, tree: &Tree<'_>) -> Result<(), FileError> {
    let version = tree.find("format").map_or("", |value| value.text);
    let (found, expected) = match version.parse::<u32>() {
        Ok(newer) if newer > FORMAT => (
            format!("{newer}: the file is from a newer version of Sagline"),
            format!("format {FORMAT}, the newest that this version understands"),
        ),
        Ok(older) if older < FORMAT => (
            older.to_string(),
            format!("{FORMAT}, the only format so far"),
        ),
        // Ours; or missing or not a number: reading says so with its place.
        _ => return Ok(()),
    };
    let start = tree.start("format");
    Err(Fault::at(start, found, expected)
        .below("format", start)
        .in_text(&Lines::of(text), start))
}

/// A problem with its line. What is wrong with a type is told where the file writes the type out.
fn located(problem: Problem, lines: &Lines, tree: &Tree<'_>) -> FileError {
    let field = in_own_types(&problem.field, tree).unwrap_or(problem.field);
    FileError {
        line: Some(lines.at(tree.start(&field))),
        field,
        found: problem.found,
        expected: problem.expected,
    }
}

/// The path of a type's field among the types that stand in the file itself, if the type is one of them.
fn in_own_types(field: &str, tree: &Tree<'_>) -> Option<String> {
    // The type stands where the path leads to a name, though it goes on.
    let steps = field.match_indices(['.', '[']);
    let (name, stage, rest) = steps.into_iter().find_map(|(at, _)| {
        let (stage, rest) = field.split_at_checked(at)?;
        let name = tree.find(stage)?.as_text()?;
        Some((name, stage, rest.trim_start_matches('.')))
    })?;
    let list = match stage.rsplit('.').next()? {
        "kind" => "rectifiers",
        "tube" => "pass_tubes",
        "control_tube" => "control_tubes",
        _ => "gas_tubes",
    };
    let own = tree.find(&format!("own_types.{list}"))?.items();
    let named = |name_of: &tree::Item<'_>| {
        let value = name_of.value.find("name");
        value.and_then(|value| value.as_text()) == Some(name)
    };
    let index = own.iter().position(named)?;
    Some(format!("own_types.{list}[{index}].{rest}"))
}
