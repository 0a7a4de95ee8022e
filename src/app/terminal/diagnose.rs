//! What the readings in a file say, in words or as figures: `sagline diagnose`.

use crate::app::terminal::DiagnoseArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::diagnosis::{Asked, judge};
use crate::explain::diagnosis::{Told, text};
use crate::parts::escape::{escaped, escaped_lines, shortened};
use crate::parts::readings::{Bench, ReadingSet};
use crate::physics::Failure;
use crate::physics::watch::Unwatched;

/// The text for a set of readings: the one that was asked for by name, else the latest that is no log.
///
/// # Errors
/// If the file has no such set, or its parts are no supply.
pub(super) fn print(wanted: &DiagnoseArguments, opened: &Opened) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let work = &opened.work;
    let set = set_named(&work.bench, wanted.set.as_deref())
        .map_err(|what| Complaint::about(&wanted.file, &what))?;
    let asked = Asked::of(work, set).map_err(about)?;
    // Nobody is asked whether they still want it.
    let Some(predicted) = asked.predicted(&Unwatched).map_err(about)? else {
        return Ok(String::new());
    };
    let found = judge(&asked, &predicted);
    if wanted.json {
        return Ok(numbers::diagnosis(&wanted.file, work, set, &found));
    }
    let told = if wanted.causes {
        Told::WithCauses
    } else {
        Told::Answer
    };
    Ok(escaped_lines(&text(work, set, &found, told)))
}

/// A set by its name, or the latest one.
///
/// # Errors
/// What was found and what would do.
pub(super) fn set_named<'a>(
    bench: &'a Bench,
    name: Option<&str>,
) -> Result<&'a ReadingSet, String> {
    let Some(name) = name else {
        return bench.latest().ok_or_else(|| {
            "found no readings, expected a set of them such as bench: (sets: [(readings: [(what: Bus, value: \"405 V\", mains: \"120 V\")])])"
                .to_owned()
        });
    };
    let found = bench.sets.iter().find(|set| set.name == name);
    found.ok_or_else(|| {
        let names = bench
            .sets
            .iter()
            .map(|set| format!("\"{}\"", escaped(&set.name)));
        let names: Vec<String> = names.collect();
        let expected = if names.is_empty() {
            "no set, for the file has none".to_owned()
        } else {
            format!("one of {}", names.join(", "))
        };
        format!(
            "--set: found \"{}\", expected {expected}",
            escaped(&shortened(name))
        )
    })
}
