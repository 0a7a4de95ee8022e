//! What the window gives away: picture files, curves, and the clipboard.

use std::path::{Path, PathBuf};

use crate::app::answers::Standing;
use crate::app::answers::ghosts::selected;
use crate::app::disk::dialogs::Purpose;
use crate::app::disk::files;
use crate::app::export::curves::curves;
use crate::app::export::day::today;
use crate::app::export::page::{dated, worked_page};
use crate::app::export::picture::{
    Earlier, PictureBand, PictureError, PictureOptions, PictureTheme, PictureWords, Subject,
};
use crate::app::export::picture_file::PictureKind;
use crate::app::export::view::{PictureView, view_picture};
use crate::app::panels::notices::{Notice, Stands};
use crate::app::panels::picture_export::{PictureAnswer, PictureRequest, picture_export_ui};
use crate::app::theme::Theme;
use crate::app::window::App;
use crate::app::window::session::file_stem;
use crate::app::window::state::Asked;
use crate::bench::odds::BandAt;
use crate::explain::{odds, table};
use crate::parts::spread::Condition;

/// Said where something needs a picture and none could be computed yet.
const NOTHING: &str = "Found no picture to give away, expected a supply that can be computed";

impl App {
    /// Asks what picture is wanted.
    pub(crate) fn begin_picture(&mut self, ctx: &egui::Context) {
        let theme = if Theme::of(ctx).dark {
            PictureTheme::Dark
        } else {
            PictureTheme::Light
        };
        self.state.asked = Some(Asked::Picture(Box::new(PictureRequest {
            view: PictureView::of(self.ledger.view()),
            options: PictureOptions {
                theme,
                ..PictureOptions::default()
            },
            caption: String::new(),
            legend: String::new(),
            path: self.suggested(Purpose::Picture).display().to_string(),
            wrong: None,
        })));
    }

    /// Shows the question for a picture and does what was answered; what goes wrong is said in it.
    pub(crate) fn ask_picture(&mut self, mut request: Box<PictureRequest>, ctx: &egui::Context) {
        let answer = picture_export_ui(ctx, &mut request);
        if matches!(answer, Some(PictureAnswer::Copy | PictureAnswer::Write)) {
            self.know_how_sure(ctx);
        }
        let done = match answer {
            None => {
                self.state.asked = Some(Asked::Picture(request));
                return;
            }
            Some(PictureAnswer::Choose) => {
                self.state.asked = Some(Asked::Picture(request));
                self.ask_for(Purpose::Picture, None, ctx);
                return;
            }
            Some(PictureAnswer::Cancel) => Ok(None),
            Some(PictureAnswer::Copy) => self
                .copy_picture(&request, ctx)
                .map(|()| Some("The picture is on the clipboard".to_owned())),
            Some(PictureAnswer::Write) => self.write_picture(&request).map(Some),
        };
        match done {
            Ok(said) => {
                if let Some(said) = said {
                    self.tell_done(said);
                }
            }
            Err(wrong) => {
                request.wrong = Some(wrong);
                self.state.asked = Some(Asked::Picture(request));
            }
        }
    }

    fn write_picture(&self, request: &PictureRequest) -> Result<String, String> {
        let path = files::typed_path(&request.path)
            .ok_or("Found no file name, expected one that ends in .png, .svg or .pdf")?;
        let kind = PictureKind::of(&path).map_err(|error| error.to_string())?;
        let picture = self.picture_of(request)?;
        let bytes = kind
            .bytes(&picture, &self.ledger.document().work.name)
            .map_err(|error| error.to_string())?;
        files::write_bytes(&path, &bytes).map_err(|error| error.to_string())?;
        Ok(format!("The picture is in {}", files::shown_path(&path)))
    }

    fn copy_picture(&self, request: &PictureRequest, ctx: &egui::Context) -> Result<(), String> {
        let picture = self.picture_of(request)?;
        let pixels = picture.raster().map_err(|error| error.to_string())?;
        let size = [pixels.width(), pixels.height()].map(|side| usize::try_from(side).unwrap_or(0));
        ctx.copy_image(egui::ColorImage::from_rgba_unmultiplied(
            size,
            pixels.as_raw(),
        ));
        Ok(())
    }

    fn picture_of(
        &self,
        request: &PictureRequest,
    ) -> Result<crate::app::export::picture::Picture, String> {
        let known = self.answers.picture.as_ref().ok_or(NOTHING)?;
        let against = self.earlier();
        let today = today();
        let work = &self.ledger.document().work;
        let band = self.known_band(work.condition);
        let subject = Subject {
            name: &self.ledger.document().work.name,
            model: &known.model,
            dummies: &known.dummies,
            envelope: &known.envelope,
            point: known.point.as_ref(),
            selected_load: self
                .ledger
                .view()
                .dummy
                .filter(|d| *d < known.load_lines.len()),
            against: &against,
            band: band.as_ref().map(|(at, words)| PictureBand { at, words }),
            words: PictureWords {
                caption: &request.caption,
                legend: &request.legend,
                date: &today,
            },
        };
        view_picture(request.view, subject, request.options)
            .map_err(|error: PictureError| error.to_string())
    }

    /// The band that is shown on the plane, if it is of the supply as it is, with what is said of it.
    fn known_band(&self, condition: Condition) -> Option<(&[BandAt], String)> {
        let how_sure = &self.calculation.how_sure;
        let is_shown = self.ledger.view().layers.tolerance;
        let drawn = how_sure.drawn().filter(|_| is_shown)?;
        (how_sure.standing() == Standing::Now)
            .then(|| (drawn.band.as_slice(), odds::legend(&drawn.odds, condition)))
    }

    /// The ghosts that are worked out, the selected one first.
    fn earlier(&self) -> Vec<Earlier<'_>> {
        let selected = selected(self.ledger.view());
        let others = self
            .ledger
            .view()
            .ghosts
            .iter()
            .filter(|kept| selected.is_none_or(|s| !std::ptr::eq(s, *kept)));
        selected
            .into_iter()
            .chain(others)
            .filter_map(|kept| {
                let picture = self.answers.variants.picture(&kept.work.supply)?;
                Some(Earlier {
                    letter: Some(kept.letter),
                    name: &kept.name,
                    model: &picture.model,
                    dummies: &kept.work.dummies,
                    envelope: &picture.envelope,
                    point: picture.point.as_ref()?,
                })
            })
            .collect()
    }

    /// Where a file of this purpose is suggested to go.
    pub(crate) fn suggested(&self, purpose: Purpose) -> PathBuf {
        let stem = file_stem(&self.ledger.document().work.name);
        let name = match purpose {
            Purpose::Open => return PathBuf::new(),
            Purpose::Save => match &self.ledger.document().origin.path {
                Some(path) => return path.clone(),
                None => format!("{stem}.ron"),
            },
            Purpose::Curves => format!("{stem}.csv"),
            Purpose::Page => format!("{stem}-worked.md"),
            Purpose::Picture => format!("{stem}.png"),
        };
        files::at_home(&name)
    }

    /// Says what was done, in place of what was done before: such notices must not pile up over the plot.
    fn tell_done(&mut self, said: String) {
        self.notices.retain(|n| n.stands != Stands::UntilTheNext);
        self.notices.push(Notice::done(said));
    }

    /// Writes the calculation at the point to this file.
    pub(crate) fn write_page(&mut self, path: &Path) -> Result<(), String> {
        let known = self.answers.picture.as_ref().ok_or(NOTHING)?;
        let point = known.point.as_ref().ok_or(NOTHING)?;
        let work = &self.ledger.document().work;
        let sure = (self.calculation.how_sure.found()).map(|found| odds::section(work, found));
        let page = worked_page(&work.name, &known.model, point, sure).ok_or(NOTHING)?;
        let page = dated(&page, &today());
        files::write_text(path, &page).map_err(|error| error.to_string())?;
        let said = format!("The worked page is in {}", files::shown_path(path));
        self.tell_done(said);
        Ok(())
    }

    /// The dialog's answer to the question for a picture.
    pub(crate) fn take_picture_path(&mut self, path: Option<PathBuf>) {
        let Some(Asked::Picture(request)) = &mut self.state.asked else {
            return;
        };
        match path {
            Some(mut path) => {
                if path.extension().is_none() {
                    let now = PictureKind::of(Path::new(request.path.trim())).unwrap_or_default();
                    path = path.with_extension(now.end());
                }
                request.path = path.display().to_string();
                request.wrong = None;
            }
            None => {
                request.wrong =
                    Some("No file dialog can be shown here; type the path of the file.".to_owned());
            }
        }
    }

    /// Puts the list of limits at the point on the clipboard.
    pub(crate) fn copy_table(&mut self, ctx: &egui::Context) {
        self.know_all(ctx);
        let known = self.answers.picture.as_ref();
        match known.and_then(|known| Some((known.point.as_ref()?, &known.supply))) {
            Some((point, supply)) => {
                ctx.copy_text(table::at_point(
                    &self.ledger.document().work.name,
                    point,
                    supply,
                ));
                let said = "The limits at this point are on the clipboard, columns apart by tabs";
                self.tell_done(said.to_owned());
            }
            None => self.notices.push(Notice::fault(NOTHING.to_owned())),
        }
    }

    /// Writes all curves to this file.
    pub(crate) fn write_curves(&mut self, path: &Path) -> Result<(), String> {
        let known = self.answers.picture.as_ref().ok_or(NOTHING)?;
        let name = &self.ledger.document().work.name;
        let text = curves(name, &known.model, &known.envelope);
        files::write_text(path, &text).map_err(|error| error.to_string())?;
        let said = format!("The curves are in {}", files::shown_path(path));
        self.tell_done(said);
        Ok(())
    }
}
