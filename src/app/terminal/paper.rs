//! The envelope as a picture file: `sagline picture`.

use std::path::Path;

use crate::app::disk::files;
use crate::app::export::curves;
use crate::app::export::day::today;
use crate::app::export::picture::{
    Earlier, PictureBand, PictureOptions, PictureTheme, PictureWords, Subject, SwitchingSubject,
};
use crate::app::export::picture_file::PictureKind;
use crate::app::export::view::{PictureView, view_picture};
use crate::app::terminal::input::{self, Complaint, Opened};
use crate::app::terminal::odds::SEED;
use crate::app::terminal::{CurvesArguments, Paper, PictureArguments, View};
use crate::bench::fuses::{Before, worst_closing};
use crate::bench::odds::{self, Asked, BandAt, along, dropout_line};
use crate::explain::odds::legend;
use crate::parts::Work;
use crate::parts::escape::{self, escaped_lines};
use crate::parts::spread::inputs;
use crate::physics::envelope::{Envelope, Point, envelope};
use crate::physics::spread::Spreading;
use crate::physics::switch_on::{Closing, SwitchOn};
use crate::physics::{Failure, Model};

/// Draws and writes it.
///
/// # Errors
/// If the supply has no envelope, the picture cannot be drawn, or the file cannot be written.
pub(super) fn draw(opened: &Opened, wanted: &PictureArguments) -> Result<(), Complaint> {
    let kind = PictureKind::of(&wanted.output)
        .map_err(|unknown| Complaint::about(&wanted.output, &unknown))?;
    let work = &opened.work;
    let about = |failure: Failure| opened.fails(&failure);
    let model = Model::of(&work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let point = wanted
        .at
        .map(|at| envelope.point(&model, at.amps.0, at.volts.0))
        .transpose()
        .map_err(about)?;
    let others = wanted
        .with
        .iter()
        .map(|path| Other::read(path, point.as_ref()))
        .collect::<Result<Vec<Other>, Complaint>>()?;
    let against: Vec<Earlier<'_>> = others.iter().filter_map(Other::earlier).collect();
    let band = (wanted.band)
        .then(|| Banded::of(work, (&model, &envelope), (point.as_ref(), wanted.samples)))
        .transpose()
        .map_err(about)?;
    let today = today();
    let inputs = inputs(work);
    let switching = (wanted.view == View::SwitchingOn)
        .then(|| SwitchOn::of(&model, &work.primary, 0.0).ok())
        .flatten()
        .map(|on| worst_closing(&on, Before::Cold));
    let subject = Subject {
        name: &work.name,
        model: &model,
        dummies: &work.dummies,
        envelope: &envelope,
        point: point.as_ref(),
        selected_load: None,
        against: &against,
        band: band.as_ref().map(Banded::band),
        words: PictureWords {
            caption: wanted.caption.as_deref().unwrap_or_default(),
            legend: wanted.legend.as_deref().unwrap_or_default(),
            date: &today,
        },
        // The worst one; where there is no such core, the picture says why.
        switching: Some(SwitchingSubject {
            closing: switching.unwrap_or(Closing::cold(0.0, 0.0)),
            before: Before::Cold,
            primary: &work.primary,
            inputs: &inputs,
        }),
    };
    let options = PictureOptions {
        width: wanted.width,
        height: wanted.height,
        scale: wanted.scale,
        theme: match wanted.theme {
            Paper::Light => PictureTheme::Light,
            Paper::Dark => PictureTheme::Dark,
            Paper::Print => PictureTheme::Print,
        },
    };
    let view = match wanted.view {
        View::Envelope => PictureView::Envelope,
        View::Margins => PictureView::Margins,
        View::Comparison => PictureView::Comparison,
        View::Cycle => PictureView::Cycle,
        View::Discharge => PictureView::Discharge,
        View::Energy => PictureView::Energy,
        View::Regulation => PictureView::Regulation,
        View::SwitchingOn => PictureView::SwitchingOn,
    };
    let bytes = view_picture(view, subject, options)
        .and_then(|drawn| kind.bytes(&drawn, &work.name))
        .map_err(|error| Complaint::about(&wanted.output, &error))?;
    files::write_bytes(&wanted.output, &bytes).map_err(|error| Complaint(error.to_string()))?;
    files::sweep_beside(&wanted.output);
    Ok(())
}

/// The band of the dropout line, and what is said of it.
struct Banded {
    at: Vec<BandAt>,
    words: String,
}

impl Banded {
    fn of(
        work: &Work,
        (model, envelope): (&Model, &Envelope),
        (point, samples): (Option<&Point>, u32),
    ) -> Result<Self, Failure> {
        let at = point.map_or_else(|| odds::middle(envelope), |at| [at.amps, at.volts]);
        let asked = Asked {
            at,
            samples,
            seed: SEED,
        };
        let spreading = Spreading::of(model, &inputs(work));
        let found = odds::odds(&spreading, &odds::currents(envelope, at), asked)?;
        Ok(Self {
            at: along(dropout_line(envelope), &found.dropout),
            words: legend(&found, work.condition),
        })
    }

    fn band(&self) -> PictureBand<'_> {
        PictureBand {
            at: &self.at,
            words: &self.words,
        }
    }
}

/// A supply to compare with.
struct Other {
    work: Work,
    model: Model,
    envelope: Envelope,
    point: Option<Point>,
}

impl Other {
    fn read(path: &Path, point: Option<&Point>) -> Result<Self, Complaint> {
        let opened = input::opened(path)?;
        let about = |failure: Failure| opened.fails(&failure);
        let model = Model::of(&opened.work.supply).map_err(about)?;
        let envelope = envelope(&model).map_err(about)?;
        let point = point
            .map(|p| envelope.point(&model, p.amps, p.volts))
            .transpose()
            .map_err(about)?;
        let mut work = opened.work;
        work.name = escape::title(&work.name);
        Ok(Self {
            work,
            model,
            envelope,
            point,
        })
    }

    fn earlier(&self) -> Option<Earlier<'_>> {
        Some(Earlier {
            letter: None,
            name: &self.work.name,
            model: &self.model,
            dummies: &self.work.dummies,
            envelope: &self.envelope,
            point: self.point.as_ref()?,
        })
    }
}

/// The curves as text for standard output, or nothing if a file was named for them.
///
/// # Errors
/// If the supply has no envelope or the file cannot be written.
pub(super) fn curves(opened: &Opened, wanted: &CurvesArguments) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let model = Model::of(&opened.work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let text = curves::curves(&opened.work.name, &model, &envelope);
    let Some(output) = &wanted.output else {
        // Types carry the names that their authors gave them.
        return Ok(escaped_lines(&text));
    };
    files::write_text(output, &text).map_err(|error| Complaint(error.to_string()))?;
    files::sweep_beside(output);
    Ok(String::new())
}
