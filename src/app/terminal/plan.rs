//! The steps of an evening, in words or as figures: `sagline plan`.

use std::path::Path;

use crate::app::disk::files;
use crate::app::export;
use crate::app::export::card::Sheet;
use crate::app::export::day::today;
use crate::app::export::picture::Subject;
use crate::app::export::picture_file::PictureKind;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::app::terminal::{PaperSize, PlanArguments};
use crate::bench::plan::{Prepared, prepared, steps};
use crate::explain::plan::text;
use crate::parts::Work;
use crate::parts::escape::escaped_lines;
use crate::physics::envelope::{Envelope, envelope};
use crate::physics::{Failure, Model};

/// The plan of a file: its own steps, else the suggested ones.
///
/// # Errors
/// If the parts give no envelope.
pub(super) fn print(wanted: &PlanArguments, opened: &Opened) -> Result<String, Complaint> {
    let work = &opened.work;
    let about = |failure: Failure| opened.fails(&failure);
    let model = Model::of(&work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let all = prepared(work, &steps(work), (&model, &envelope)).map_err(about)?;
    if let Some(file) = &wanted.card {
        card(wanted, file, work, (&model, &envelope, &all))?;
        return Ok(String::new());
    }
    if wanted.json {
        return Ok(numbers::plan(&wanted.file, work, &all));
    }
    Ok(escaped_lines(&text(work, &all)))
}

/// Writes the card.
fn card(
    wanted: &PlanArguments,
    file: &Path,
    work: &Work,
    (model, envelope, plan): (&Model, &Envelope, &[Prepared]),
) -> Result<(), Complaint> {
    let kind = PictureKind::of(file).map_err(|unknown| Complaint::about(file, &unknown))?;
    let today = today();
    let subject = Subject::of_work(work, (model, envelope), &today);
    let sheet = match wanted.paper {
        PaperSize::A4 => Sheet::A4,
        PaperSize::Letter => Sheet::Letter,
    };
    let bytes = export::card::card(subject, plan, sheet)
        .and_then(|drawn| kind.bytes(&drawn, &work.name))
        .map_err(|error| Complaint::about(file, &error))?;
    files::write_bytes(file, &bytes).map_err(|error| Complaint(error.to_string()))?;
    files::sweep_beside(file);
    Ok(())
}
