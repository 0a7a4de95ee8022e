//! One document of an evening: `sagline record`.

use std::path::{Path, PathBuf};

use crate::app::disk::files::{self, DiskError};
use crate::app::export::day::today;
use crate::app::export::picture::{PictureError, PictureOptions, PictureTheme, Subject};
use crate::app::export::picture_file::PictureKind;
use crate::app::export::view::{PictureView, view_picture};
use crate::app::terminal::RecordArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::bench::diagnosis::{Asked, Diagnosis, judge};
use crate::bench::plan::{prepared, steps};
use crate::explain::record::{PictureAt, Told, page};
use crate::parts::readings::ReadingSet;
use crate::physics::envelope::{Envelope, envelope};
use crate::physics::watch::Unwatched;
use crate::physics::{Failure, Model};

/// Writes the document, and beside it the picture that stands in it.
///
/// # Errors
/// If the supply has no envelope, or a file cannot be written.
pub(super) fn write(wanted: &RecordArguments, opened: &Opened) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let work = &opened.work;
    let model = Model::of(&work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let plan = prepared(work, &steps(work), (&model, &envelope)).map_err(about)?;
    let mut found: Vec<(&ReadingSet, Diagnosis)> = Vec::new();
    for set in work
        .bench
        .sets
        .iter()
        .filter(|set| !set.readings.is_empty())
    {
        let asked = Asked::of(work, set).map_err(about)?;
        // Nobody is asked whether they still want it.
        if let Some(predicted) = asked.predicted(&Unwatched).map_err(about)? {
            found.push((set, judge(&asked, &predicted)));
        }
    }
    let told: Vec<Told<'_>> = found
        .iter()
        .map(|(set, found)| Told { set, found })
        .collect();
    let day = today();
    let drawn = picture(opened, (&model, &envelope), &day)
        .map_err(|error| Complaint::about(&wanted.output, &error))?;
    let Some(beside) = beside(&wanted.output) else {
        return Err(Complaint::about(
            &wanted.output,
            &"found no name, expected that of a file such as record.md",
        ));
    };
    let picture = PictureAt {
        title: "Envelope".to_owned(),
        file: beside.name,
    };
    let text = page(work, &plan, &told, &[picture], &day);
    let failed = |error: DiskError| Complaint(error.to_string());
    files::write_bytes(&beside.path, &drawn).map_err(failed)?;
    files::write_text(&wanted.output, &text).map_err(failed)?;
    files::sweep_beside(&wanted.output);
    Ok(String::new())
}

/// A picture's file.
struct Beside {
    path: PathBuf,
    /// As the document names it: no spaces, which would end a link.
    name: String,
}

/// Beside the document, called as it is.
fn beside(document: &Path) -> Option<Beside> {
    let stem = document.file_stem()?.to_string_lossy();
    let fits = |letter: char| letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.');
    let stem: String = stem
        .chars()
        .map(|c| if fits(c) { c } else { '-' })
        .collect();
    let name = format!("{stem}-envelope.svg");
    Some(Beside {
        path: document.with_file_name(&name),
        name,
    })
}

/// The envelope on white.
fn picture(
    opened: &Opened,
    (model, envelope): (&Model, &Envelope),
    day: &str,
) -> Result<Vec<u8>, PictureError> {
    let work = &opened.work;
    let subject = Subject::of_work(work, (model, envelope), day);
    let options = PictureOptions {
        width: 1000,
        height: 700,
        scale: 1.0,
        theme: PictureTheme::Print,
    };
    let drawn = view_picture(PictureView::Envelope, subject, options)?;
    PictureKind::Svg.bytes(&drawn, &work.name)
}
