//! The steps of an evening, in words or as figures: `sagline plan`.

use crate::app::terminal::PlanArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::plan::{Prepared, prepared, steps};
use crate::explain::plan::text;
use crate::parts::Work;
use crate::parts::escape::escaped_lines;
use crate::physics::envelope::envelope;
use crate::physics::{Failure, Model};

/// The plan of a file: its own steps, else the suggested ones.
///
/// # Errors
/// If the parts give no envelope.
pub(super) fn print(wanted: &PlanArguments, opened: &Opened) -> Result<String, Complaint> {
    let work = &opened.work;
    let all = of_work(work).map_err(|failure| opened.fails(&failure))?;
    if wanted.json {
        return Ok(numbers::plan(&wanted.file, work, &all));
    }
    Ok(escaped_lines(&text(work, &all)))
}

/// The steps with what they would show.
///
/// # Errors
/// [`Failure`] of the supply.
pub(super) fn of_work(work: &Work) -> Result<Vec<Prepared>, Failure> {
    let model = Model::of(&work.supply)?;
    let envelope = envelope(&model)?;
    prepared(work, &steps(work), (&model, &envelope))
}
