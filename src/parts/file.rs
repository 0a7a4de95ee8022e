//! A supply as text and back. No disk here: the caller reads and writes the file.
//!
//! The text is RON: groups in round brackets, lists in square ones, comments as in Rust, and every quantity
//! in quotes with its unit. A supply that another person gets is complete: types that the built-in
//! catalogue does not have stand in the file itself, under `own_types`. The presets show all of it.

mod catalogue;
mod fault;
pub(in crate::parts) mod figure;
mod layout;
pub(in crate::parts) mod place;
mod record;
mod regulator;
pub(in crate::parts) mod types;

#[cfg(test)]
mod tests;

use ron::ser::PrettyConfig;
use serde::Serialize;

use crate::parts::catalogue::Catalogue;
use crate::parts::check::{Problem, check_work};
use crate::parts::file::place::Places;
use crate::parts::file::record::SupplyForm;
use crate::parts::regulator::GasReference;
use crate::parts::{Supply, Work};

pub(in crate::parts) use fault::{Extract, parse};

/// Version of the text format.
pub const FORMAT: u32 = 1;

/// What is wrong in a text, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}{field}: found {found}, expected {expected}", line.map(|l| format!("line {l}, ")).unwrap_or_default())]
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
    read_at(text, &Places::of(text), catalogue)
}

/// Reads a whole file and checks it.
///
/// # Errors
/// The one fault for which the text cannot be read, or else everything that [`check_work`] has to say, with lines.
pub fn read_work_checked(text: &str, catalogue: &Catalogue) -> Result<Work, Vec<FileError>> {
    let places = Places::of(text);
    let work = read_at(text, &places, catalogue).map_err(|error| vec![error])?;
    let problems = check_work(&work);
    if problems.is_empty() {
        Ok(work)
    } else {
        Err(problems
            .into_iter()
            .map(|problem| located(problem, &work.supply, &places))
            .collect())
    }
}

/// Writes a file so that [`read_work`] gives the same back.
pub fn write(work: &Work, catalogue: &Catalogue) -> String {
    written(&SupplyForm::of(work, catalogue))
}

/// A record as the text of a file.
pub(in crate::parts) fn written(form: &impl Serialize) -> String {
    // All on one line, notes as they were typed; the lines are broken afterwards.
    let style = PrettyConfig::new()
        .depth_limit(0)
        .new_line("\n")
        .escape_strings(false);
    // Writing records of strings and numbers into a string has no way to fail.
    let text = fault::options()
        .to_string_pretty(form, style)
        .unwrap_or_default();
    layout::lines(&text)
}

fn read_at(text: &str, places: &Places<'_>, catalogue: &Catalogue) -> Result<Work, FileError> {
    refuse_newer(places)?;
    let form: SupplyForm = parse(&Extract {
        text,
        places,
        at: "",
    })?;
    form.read(catalogue).map_err(|unknown| FileError {
        line: places.line(unknown.field),
        field: unknown.field.to_owned(),
        found: format!("\"{}\", which is in no catalogue", unknown.name),
        expected: format!(
            "{}; a type of your own can stand under own_types",
            fault::choice(&unknown.name, unknown.known.iter().map(String::as_str))
        ),
    })
}

/// Before anything else: fields of a newer format are not faults of the user.
pub(in crate::parts) fn refuse_newer(places: &Places<'_>) -> Result<(), FileError> {
    let version = places.value("format").unwrap_or_default();
    match version.parse::<u32>() {
        Ok(newer) if newer > FORMAT => Err(FileError {
            line: places.line("format"),
            field: "format".to_owned(),
            found: format!("{newer}: the file is from a newer version of Sagline"),
            expected: format!("format {FORMAT}, the newest that this version understands"),
        }),
        Ok(older) if older < FORMAT => Err(FileError {
            line: places.line("format"),
            field: "format".to_owned(),
            found: older.to_string(),
            expected: format!("{FORMAT}, the only format so far"),
        }),
        // Ours; or missing or not a number: the parser says so with its place.
        _ => Ok(()),
    }
}

/// A problem with its line. What is wrong with a type is sought where the file writes the type out.
fn located(problem: Problem, supply: &Supply, places: &Places<'_>) -> FileError {
    let own = |stage: &str, list: &str, name: &str| {
        let rest = problem.field.strip_prefix(stage)?.strip_prefix('.')?;
        let at = (0..=u8::MAX)
            .map(|i| format!("own_types.{list}[{i}]"))
            .take_while(|at| places.value(at).is_some())
            .find(|at| {
                let written = places.value(&format!("{at}.name"));
                written.map(|w| w.trim_matches('"')) == Some(name)
            })?;
        Some(place::join(&at, rest))
    };
    let field = own("rectifier.kind", "rectifiers", &supply.rectifier.kind.name)
        .or_else(|| {
            own(
                "pass_stage.tube",
                "pass_tubes",
                &supply.pass_stage.tube.name,
            )
        })
        .or_else(|| {
            let regulator = supply.regulator.as_ref()?;
            let tubes = |stage: &str, reference: Option<&GasReference>| {
                (0..).zip(reference?.tubes.iter()).find_map(|(k, tube)| {
                    own(&format!("{stage}.tubes[{k}]"), "gas_tubes", &tube.name)
                })
            };
            let rail = regulator.bias_rail.as_ref();
            own(
                "regulator.control_tube",
                "control_tubes",
                &regulator.control_tube.name,
            )
            .or_else(|| tubes("regulator.reference", regulator.reference.as_ref()))
            .or_else(|| {
                let kind = &rail?.rectifier.kind.name;
                own("regulator.bias_rail.rectifier.kind", "rectifiers", kind)
            })
            .or_else(|| tubes("regulator.bias_rail.reference", rail?.reference.as_ref()))
        })
        .unwrap_or(problem.field);
    FileError {
        line: places.line(&field),
        field,
        found: problem.found,
        expected: problem.expected,
    }
}
