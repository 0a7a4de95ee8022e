//! A drawing as a PDF file of one page. Letters stay letters; of their font only the used ones go along.

use egui::{Color32, Pos2};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::app::export::drawing::{Drawing, Ends, Ink};
use crate::app::export::lettering::{Face, Lettering, TypeCase};

/// Why there is no PDF.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// Nothing to draw on.
    #[error("page of {width} × {height} points, expected at least 1 × 1")]
    Size {
        /// To the right.
        width: f32,
        /// Down.
        height: f32,
    },
    /// The program's own font could not be read.
    #[error("found a font that cannot be read, expected the one that belongs to the program")]
    Font,
    /// The writer refused.
    #[error("the PDF could not be written: {0}")]
    Writer(String),
}

/// The drawing on one page, a point of the toolkit as a point of the paper (1/72 inch). The same bytes on every run.
///
/// # Errors
/// [`PdfError`] if the size is nonsense or the writer refuses.
pub fn pdf(drawing: &Drawing, title: &str) -> Result<Vec<u8>, PdfError> {
    let [width, height] = [drawing.size.x, drawing.size.y];
    let settings = PageSettings::from_wh(width, height)
        .filter(|_| width >= 1.0 && height >= 1.0)
        .ok_or(PdfError::Size { width, height })?;
    let composing = Composing::new()?;
    let mut document = krilla::Document::new();
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .creator("Sagline".to_owned())
            .language("en".to_owned()),
    );
    let mut page = document.start_page_with(settings);
    let mut surface = page.surface();
    let whole = egui::Rect::from_min_size(Pos2::ZERO, drawing.size);
    if let Some(path) = boxed(whole, 0.0) {
        paint(&mut surface, &path, drawing.ground, egui::Stroke::NONE);
    }
    for mark in &drawing.marks {
        let clip = boxed(mark.clip, 0.0).filter(|_| mark.clip != whole);
        if let Some(clip) = &clip {
            surface.push_clip_path(clip, &FillRule::NonZero);
        }
        ink(&mut surface, &mark.ink, &composing);
        if clip.is_some() {
            surface.pop();
        }
    }
    surface.finish();
    page.finish();
    document
        .finish()
        .map_err(|refused| PdfError::Writer(format!("{refused:?}")))
}

/// Our letters and the fonts that go into the file.
struct Composing {
    type_case: TypeCase,
    fonts: Vec<(Face, Font)>,
}

impl Composing {
    fn new() -> Result<Self, PdfError> {
        let fonts = Face::ALL
            .into_iter()
            .map(|face| Some((face, Font::new(face.bytes().into(), 0)?)))
            .collect::<Option<Vec<_>>>()
            .ok_or(PdfError::Font)?;
        Ok(Self {
            type_case: TypeCase::default(),
            fonts,
        })
    }
}

fn ink(surface: &mut Surface<'_>, ink: &Ink, composing: &Composing) {
    match ink {
        Ink::Path {
            runs,
            ends,
            fill,
            stroke,
        } => {
            if let Some(path) = path(runs, *ends) {
                paint(surface, &path, *fill, *stroke);
            }
        }
        Ink::Disc {
            centre,
            radius,
            fill,
            stroke,
        } => {
            let around = egui::Rect::from_center_size(*centre, egui::Vec2::splat(2.0 * radius));
            if let Some(path) = boxed(around, *radius) {
                paint(surface, &path, *fill, *stroke);
            }
        }
        Ink::Box {
            rect,
            corner,
            fill,
            stroke,
        } => {
            if let Some(path) = boxed(*rect, *corner) {
                paint(surface, &path, *fill, *stroke);
            }
        }
        Ink::Letters(lettering) => letters(surface, lettering, composing),
    }
}

fn path(runs: &[Vec<Pos2>], ends: Ends) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for run in runs {
        let mut points = run.iter();
        if let Some(first) = points.next() {
            builder.move_to(first.x, first.y);
        }
        for point in points {
            builder.line_to(point.x, point.y);
        }
        if ends == Ends::Joined {
            builder.close();
        }
    }
    builder.finish()
}

/// A rectangle with round corners; with corners of half its size it is a circle.
fn boxed(rect: egui::Rect, corner: f32) -> Option<Path> {
    let mut builder = PathBuilder::new();
    let corner = corner.min(0.5 * rect.width()).min(0.5 * rect.height());
    let (left, top, right, bottom) = (rect.left(), rect.top(), rect.right(), rect.bottom());
    if corner <= 0.0 {
        builder.push_rect(Rect::from_ltrb(left, top, right, bottom)?);
        return builder.finish();
    }
    // A cubic that leaves a quarter circle by less than 0.03 % of its radius: 4/3 · (√2 − 1).
    let pull = corner * (1.0 - 4.0 / 3.0 * (std::f32::consts::SQRT_2 - 1.0));
    builder.move_to(left + corner, top);
    builder.line_to(right - corner, top);
    builder.cubic_to(right - pull, top, right, top + pull, right, top + corner);
    builder.line_to(right, bottom - corner);
    builder.cubic_to(
        right,
        bottom - pull,
        right - pull,
        bottom,
        right - corner,
        bottom,
    );
    builder.line_to(left + corner, bottom);
    builder.cubic_to(
        left + pull,
        bottom,
        left,
        bottom - pull,
        left,
        bottom - corner,
    );
    builder.line_to(left, top + corner);
    builder.cubic_to(left, top + pull, left + pull, top, left + corner, top);
    builder.close();
    builder.finish()
}

fn paint(surface: &mut Surface<'_>, path: &Path, fill: Color32, stroke: egui::Stroke) {
    let fill = (fill != Color32::TRANSPARENT).then(|| filled(fill));
    let stroke = (!stroke.is_empty()).then(|| {
        let (paint, opacity) = colour(stroke.color);
        Stroke {
            paint: paint.into(),
            width: stroke.width,
            line_join: LineJoin::Bevel,
            opacity,
            ..Stroke::default()
        }
    });
    if fill.is_some() || stroke.is_some() {
        surface.set_fill(fill);
        surface.set_stroke(stroke);
        surface.draw_path(path);
    }
}

fn filled(fill: Color32) -> Fill {
    let (paint, opacity) = colour(fill);
    Fill {
        paint: paint.into(),
        opacity,
        rule: FillRule::NonZero,
    }
}

fn colour(colour: Color32) -> (rgb::Color, NormalizedF32) {
    let [r, g, b, a] = colour.to_srgba_unmultiplied();
    let opacity = NormalizedF32::new(f32::from(a) / 255.0).unwrap_or(NormalizedF32::ONE);
    (rgb::Color::new(r, g, b), opacity)
}

fn letters(surface: &mut Surface<'_>, lettering: &Lettering, composing: &Composing) {
    let face = lettering.face;
    let Some((_, font)) = composing.fonts.iter().find(|(which, _)| *which == face) else {
        return;
    };
    let size = lettering.size;
    let ends = lettering.offsets.iter().skip(1).chain([&lettering.width]);
    let glyphs: Vec<KrillaGlyph> = lettering
        .text
        .char_indices()
        .zip(lettering.offsets.iter().zip(ends))
        .map(|((place, letter), (start, end))| {
            // A letter that our font has not is set as its empty box.
            let id = composing.type_case.glyph(face, letter).unwrap_or(0);
            let advance = (end - start) / size;
            let bytes = place..place + letter.len_utf8();
            KrillaGlyph::new(GlyphId::new(id), advance, 0.0, 0.0, 0.0, bytes, None)
        })
        .collect();
    surface.set_fill(Some(filled(lettering.colour)));
    surface.set_stroke(None);
    let Pos2 { x, y } = lettering.at;
    surface.push_transform(&Transform::from_rotate_at(
        lettering.angle.to_degrees(),
        x,
        y,
    ));
    let start = Point::from_xy(x, y);
    surface.draw_glyphs(start, &glyphs, font.clone(), &lettering.text, size, false);
    surface.pop();
}
