//! Draws panels of the window without a window: for files, for the README, for picture tests.

use crate::app::answers::solved::load_lines;
use crate::app::export::drawing::Drawing;
use crate::app::export::pdf::PdfError;
use crate::app::export::raster::{PixelSize, Raster, RasterError};
use crate::app::plots::envelope::{
    Age, AtLine, Ghost, PlotSheet, PlotState, PlotView, Stay, ToleranceBand, envelope_plot_ui,
};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::bench::acceptance::taken_if_much;
use crate::bench::fuses::Before;
use crate::bench::odds::BandAt;
use crate::explain::plot::TOLERANCE_BAND;
use crate::explain::{accepted, number};
use crate::parts::escape;
use crate::parts::spread::Input;
use crate::parts::{Dummy, Primary, Work};
use crate::physics::Model;
use crate::physics::envelope::{Envelope, MarginMap, Point};
use crate::physics::switch_on::Closing;
use egui::{Margin, Pos2, RawInput, Rect, RichText, Ui, Vec2};
use image::RgbaImage;

/// Frames that are run before one is drawn: fonts, axes and measures need two to settle.
const FRAMES: usize = 3;

/// How a picture is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PictureOptions {
    /// Width in points (pixels at scale 1).
    pub width: u32,
    /// Height in points.
    pub height: u32,
    /// Pixels per point, 0.5 to 4.
    pub scale: f32,
    /// Its colours.
    pub theme: PictureTheme,
}

/// The colours of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PictureTheme {
    /// Paper-white, as in the window.
    #[default]
    Light,
    /// Near-black, as in the window.
    Dark,
    /// White ground and dark ink: dashes, hatches and names tell the limits apart without any colour.
    Print,
}

impl Default for PictureOptions {
    fn default() -> Self {
        Self {
            width: 1000,
            height: 700,
            scale: 1.0,
            theme: PictureTheme::Light,
        }
    }
}

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// The meshes could not be drawn.
    #[error(transparent)]
    Raster(#[from] RasterError),
    /// The scale is nonsense.
    #[error("scale {found}, expected 0.5 to 4")]
    Scale {
        /// What was asked for.
        found: f32,
    },
    /// The picture could not be written as PNG.
    #[error("the picture could not be written as PNG: {0}")]
    Png(#[from] image::ImageError),
    /// The view is of one point, and there is none.
    #[error("found no point for the {view}, expected output current and volts")]
    NoPoint {
        /// Which view.
        view: &'static str,
    },
    /// A comparison needs something to compare with.
    #[error("found no earlier variant for the comparison, expected a ghost or another supply")]
    NoOther,
    /// The view's point cannot be solved.
    #[error("the {view} cannot be drawn: {why}")]
    Unsolved {
        /// Which view.
        view: &'static str,
        /// What the physics says.
        why: String,
    },
    /// The picture could not be written as PDF.
    #[error(transparent)]
    Pdf(#[from] PdfError),
}

/// What a picture shows.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// What the supply is called.
    pub name: &'a str,
    /// The supply.
    pub model: &'a Model,
    /// The dummy loads that are drawn.
    pub dummies: &'a [Dummy],
    /// Its envelope.
    pub envelope: &'a Envelope,
    /// A point with its limits, if one is to be shown.
    pub point: Option<&'a Point>,
    /// The dummy load whose line is bold.
    pub selected_load: Option<usize>,
    /// Earlier variants that it is compared with; the changes are those since the first.
    pub against: &'a [Earlier<'a>],
    /// The band of the dropout line over the spreads of the parts, if one is to be shown.
    pub band: Option<PictureBand<'a>>,
    /// Lines of one's own under the plot.
    pub words: PictureWords<'a>,
    /// How it is switched on, where that is to be shown.
    pub switching: Option<SwitchingSubject<'a>>,
}

impl<'a> Subject<'a> {
    /// A supply with its dummy loads and nothing else, on this day.
    pub fn of_work(
        work: &'a Work,
        (model, envelope): (&'a Model, &'a Envelope),
        date: &'a str,
    ) -> Self {
        Self {
            name: &work.name,
            model,
            dummies: &work.dummies,
            envelope,
            point: None,
            selected_load: None,
            against: &[],
            band: None,
            switching: None,
            words: PictureWords {
                date,
                ..PictureWords::default()
            },
        }
    }
}

/// How a supply is switched on.
#[derive(Debug, Clone, Copy)]
pub struct SwitchingSubject<'a> {
    /// The closing whose current is drawn.
    pub closing: Closing,
    /// What the supply was before, of all that are drawn.
    pub before: Before,
    /// The primary side.
    pub primary: &'a Primary,
    /// The supply's values that are not known exactly.
    pub inputs: &'a [Input],
}

/// The band of the dropout line over the spreads of the parts.
#[derive(Debug, Clone, Copy)]
pub struct PictureBand<'a> {
    /// Where it is, rising in current.
    pub at: &'a [BandAt],
    /// What stands of it below the plot.
    pub words: &'a str,
}

/// An earlier variant of a supply.
#[derive(Debug, Clone, Copy)]
pub struct Earlier<'a> {
    /// The letter at its line, if it has one.
    pub letter: Option<char>,
    /// What it is called.
    pub name: &'a str,
    /// It, made ready.
    pub model: &'a Model,
    /// The dummy loads at hand then.
    pub dummies: &'a [Dummy],
    /// Its envelope.
    pub envelope: &'a Envelope,
    /// Everything known at the same point.
    pub point: &'a Point,
}

/// Lines of one's own under a picture; empty for none.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct PictureWords<'a> {
    /// What the picture shows.
    pub caption: &'a str,
    /// How to read it.
    pub legend: &'a str,
    /// The day on which it is made; beside the supply's name.
    pub date: &'a str,
}

/// Stands under every picture.
const CAUTION: &str = "Estimates from typical tubes. Lethal voltage, and capacitors stay charged: mains plug out, discharge, measure the bus dead before you touch.";

/// The envelope of a supply as a picture, with its name, its mains and a caution. The same bytes on every run.
///
/// # Errors
/// [`PictureError`] if size or scale are nonsense.
pub fn picture(subject: Subject<'_>, options: PictureOptions) -> Result<RgbaImage, PictureError> {
    plane_picture(subject, None, options, |_| ())?.raster()
}

/// The same, laid out for any kind of file: shaded by the map if there is one, with what `below` draws under the plot.
///
/// # Errors
/// [`PictureError::Scale`] if the scale is nonsense.
pub(crate) fn plane_picture(
    subject: Subject<'_>,
    map: Option<&MarginMap>,
    options: PictureOptions,
    mut below: impl FnMut(&mut Ui),
) -> Result<Picture, PictureError> {
    let Subject {
        model,
        envelope,
        point,
        ..
    } = subject;
    let sheet = PlotSheet::of(
        &model.supply,
        envelope,
        &taken_if_much(envelope),
        point,
        subject.dummies,
    );
    let lines = load_lines(envelope, subject.dummies);
    let loads = sheet.loads(&lines);
    let ghosts: Vec<Ghost<'_>> = subject
        .against
        .iter()
        .map(|earlier| Ghost {
            envelope: earlier.envelope,
            letter: earlier.letter,
            label: earlier.name,
            at_line: AtLine::Name,
            stay: Stay::Kept,
        })
        .collect();
    let state = PlotState {
        selected_load: subject.selected_load,
        ghosts: &ghosts,
        map,
        band: subject.band.map(|band| ToleranceBand {
            at: band.at,
            name: TOLERANCE_BAND,
            age: Age::Fresh,
        }),
        ..PlotState::default()
    };
    let input = sheet.input(envelope, point, &loads, state);
    let mut view = PlotView::default();
    framed_picture(subject, options, |ui| {
        below(ui);
        envelope_plot_ui(ui, &input, &mut view);
    })
}

/// Any view of a supply between its name and the caution.
///
/// # Errors
/// [`PictureError::Scale`] if the scale is nonsense.
pub(crate) fn framed_picture(
    subject: Subject<'_>,
    options: PictureOptions,
    mut draw: impl FnMut(&mut Ui),
) -> Result<Picture, PictureError> {
    lay_out(options, |ui| {
        let margin = Margin {
            left: 8,
            right: 0,
            top: 12,
            bottom: 10,
        };
        egui::Frame::NONE.inner_margin(margin).show(ui, |ui| {
            title_ui(ui, subject);
            let below =
                egui::Panel::bottom("caution").frame(egui::Frame::NONE.inner_margin(Margin {
                    left: 8,
                    right: 16,
                    top: 8,
                    bottom: 0,
                }));
            below
                .show_separator_line(false)
                .show(ui, |ui| below_ui(ui, subject));
            draw(ui);
        });
    })
}

fn below_ui(ui: &mut Ui, subject: Subject<'_>) {
    let theme = Theme::of(ui.ctx());
    let words = subject.words;
    let accepted = accepted::in_one_line(&subject.model.supply);
    let band = subject.band.map_or("", |band| band.words);
    for (text, font, colour) in [
        (words.caption, theme::font(theme::BODY), theme.ink),
        (words.legend, theme::font(theme::SMALL), theme.middle),
        (band, theme::font(theme::SMALL), theme.middle),
        (accepted.as_str(), theme::font(theme::SMALL), theme.middle),
        (CAUTION, theme::font(theme::SMALL), theme.near_text),
    ] {
        if !text.is_empty() {
            ui.label(RichText::new(theme::tied(text)).font(font).color(colour));
        }
    }
}

fn title_ui(ui: &mut Ui, subject: Subject<'_>) {
    let theme = Theme::of(ui.ctx());
    let margin = Margin {
        left: 8,
        right: 8,
        top: 0,
        bottom: 0,
    };
    let frame = egui::Frame::NONE.inner_margin(margin);
    frame.show(ui, |ui| {
        ui.horizontal_wrapped(|ui| title_words_ui(ui, subject, &theme));
    });
}

fn title_words_ui(ui: &mut Ui, subject: Subject<'_>, theme: &Theme) {
    let supply = &subject.model.supply;
    ui.label(
        RichText::new(escape::title(subject.name))
            .font(theme::strong_font(theme::HEADING))
            .color(theme.ink),
    );
    let mains = format!(
        "{} · {} mains, {} to {}",
        number::volts(supply.mains.present.0),
        supply.mains.frequency,
        number::volts(supply.mains.low.0),
        number::volts(supply.mains.high.0),
    );
    let point = subject.point.map(|point| {
        let (volts, amps) = (number::volts(point.volts), number::amps(point.amps));
        format!("point at {volts}, {amps}")
    });
    let date = Some(subject.words.date.to_owned()).filter(|date| !date.is_empty());
    for words in [Some(mains), point, date].into_iter().flatten() {
        let words = RichText::new(theme::tied(&words)).font(theme::font(theme::BODY));
        ui.add_space(theme::GAP);
        ui.label(words.color(theme.middle));
    }
}

/// A picture that is laid out and waits to become pixels, SVG or PDF.
pub struct Picture {
    ctx: egui::Context,
    raster: Raster,
    shapes: Vec<egui::epaint::ClippedShape>,
    size: Vec2,
    scale: f32,
}

impl Picture {
    /// As pixels.
    ///
    /// # Errors
    /// [`PictureError`] if there would be no pixels or too many, or a shape cannot be drawn.
    pub fn raster(&self) -> Result<RgbaImage, PictureError> {
        let meshes = self.ctx.tessellate(self.shapes.clone(), self.scale);
        let pixels = PixelSize::of(self.size, self.scale);
        let ground = Theme::of(&self.ctx).ground;
        Ok(self.raster.paint(&meshes, pixels, ground)?)
    }

    /// As lines, areas and letters.
    pub fn drawing(&self) -> Drawing {
        Drawing::of(&self.shapes, self.size, Theme::of(&self.ctx).ground)
    }
}

/// Runs a drawing function in a context of its own, without display or graphics library, and draws the result.
///
/// # Errors
/// [`PictureError`] if size or scale are nonsense or a shape cannot be drawn.
pub fn draw_without_display(
    options: PictureOptions,
    draw: impl FnMut(&mut Ui),
) -> Result<RgbaImage, PictureError> {
    lay_out(options, draw)?.raster()
}

/// Runs a drawing function in a context of its own, without display or graphics library.
fn lay_out(
    options: PictureOptions,
    mut draw: impl FnMut(&mut Ui),
) -> Result<Picture, PictureError> {
    if !(0.5..=4.0).contains(&options.scale) {
        return Err(PictureError::Scale {
            found: options.scale,
        });
    }
    let ctx = egui::Context::default();
    theme::install(&ctx);
    match options.theme {
        PictureTheme::Light => ctx.set_theme(egui::Theme::Light),
        PictureTheme::Dark => ctx.set_theme(egui::Theme::Dark),
        PictureTheme::Print => theme::install_print(&ctx),
    }
    let size = Vec2::new(options.width as f32, options.height as f32);
    let mut raster = Raster::default();
    let mut shapes = Vec::new();
    for frame in 0..FRAMES {
        let mut input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, size)),
            time: Some(frame as f64),
            max_texture_side: Some(8192),
            ..RawInput::default()
        };
        if let Some(viewport) = input.viewports.get_mut(&egui::ViewportId::ROOT) {
            viewport.native_pixels_per_point = Some(options.scale);
        }
        let mut output = ctx.run_ui(input, &mut draw);
        raster.take_textures(&mut output.textures_delta);
        shapes = std::mem::take(&mut output.shapes);
    }
    Ok(Picture {
        ctx,
        raster,
        shapes,
        size,
        scale: options.scale,
    })
}

/// A picture as the bytes of a PNG file.
///
/// # Errors
/// [`PictureError::Png`] if the encoder refuses.
pub fn png(picture: &RgbaImage) -> Result<Vec<u8>, PictureError> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, image::ImageFormat::Png)?;
    Ok(bytes.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples;
    use crate::physics::envelope::envelope;

    #[test]
    fn a_picture_of_a_supply_is_the_same_to_the_byte_on_every_run() {
        let supply = samples::laboratory_supply();
        let dummies = vec![samples::dummy(10e3, 25.0), samples::dummy(4.7e3, 50.0)];
        let model = Model::of(&supply).unwrap();
        let envelope = envelope(&model).unwrap();
        let point = envelope.point(&model, 0.03, 250.0).unwrap();
        let subject = Subject {
            name: "Bench",
            model: &model,
            dummies: &dummies,
            envelope: &envelope,
            point: Some(&point),
            selected_load: Some(0),
            against: &[],
            band: None,
            words: PictureWords::default(),
            switching: None,
        };
        let options = PictureOptions {
            width: 640,
            height: 420,
            ..PictureOptions::default()
        };
        let draw = || png(&picture(subject, options).unwrap()).unwrap();
        let (first, second) = (draw(), draw());
        assert!(first == second);
        if let Some(folder) = std::env::var_os("SAGLINE_SHEETS") {
            for theme in [PictureTheme::Dark, PictureTheme::Light] {
                let options = PictureOptions {
                    width: 1000,
                    height: 700,
                    theme,
                    ..options
                };
                let file = std::path::Path::new(&folder).join(format!("supply-{theme:?}.png"));
                #[expect(clippy::disallowed_methods, reason = "a scratch picture to look at")]
                std::fs::write(file, png(&picture(subject, options).unwrap()).unwrap()).unwrap();
            }
        }
    }

    #[test]
    fn nonsense_is_refused() {
        let options = PictureOptions {
            scale: f32::NAN,
            ..PictureOptions::default()
        };
        assert!(matches!(
            draw_without_display(options, |_| ()),
            Err(PictureError::Scale { .. })
        ));
        let options = PictureOptions {
            width: 0,
            ..PictureOptions::default()
        };
        assert!(matches!(
            draw_without_display(options, |_| ()),
            Err(PictureError::Raster(_))
        ));
        let options = PictureOptions {
            width: 1_000_000,
            height: 1_000_000,
            ..PictureOptions::default()
        };
        assert!(matches!(
            draw_without_display(options, |_| ()),
            Err(PictureError::Raster(_))
        ));
    }
}
