//! Text as the toolkit set it, broken into runs of one face, size and colour on one line.

use egui::emath::Rot2;
use egui::epaint::TextShape;
use egui::text::LayoutSection;
use egui::{Color32, FontFamily, Pos2};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider as _};

/// The two faces of the program; both lie in `assets/font`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Upright.
    Regular,
    /// Semi-bold.
    Strong,
}

impl Face {
    /// Both.
    pub const ALL: [Self; 2] = [Self::Regular, Self::Strong];

    /// Its font file.
    pub fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../../../assets/font/inter-regular-tabular.otf"),
            Self::Strong => include_bytes!("../../../assets/font/inter-semibold-tabular.otf"),
        }
    }

    /// Its weight, as style sheets count.
    pub fn weight(self) -> u16 {
        match self {
            Self::Regular => 400,
            Self::Strong => 600,
        }
    }
}

/// Both faces, ready to look letters up.
pub(super) struct TypeCase {
    faces: Vec<(Face, FontRef<'static>)>,
}

impl Default for TypeCase {
    fn default() -> Self {
        let faces = Face::ALL
            .into_iter()
            .filter_map(|face| Some((face, FontRef::new(face.bytes()).ok()?)))
            .collect();
        Self { faces }
    }
}

impl TypeCase {
    fn font(&self, face: Face) -> Option<&FontRef<'static>> {
        let (_, font) = self.faces.iter().find(|(which, _)| *which == face)?;
        Some(font)
    }

    /// The number of a letter in its font; `None` if the font has it not.
    pub(super) fn glyph(&self, face: Face, letter: char) -> Option<u32> {
        let glyph = self.font(face)?.charmap().map(letter)?;
        Some(glyph.to_u32()).filter(|id| *id > 0)
    }

    /// Units of a font for the size of its letters.
    pub(super) fn units_per_em(&self, face: Face) -> f32 {
        self.font(face).map_or(1000.0, |font| {
            let metrics = font.metrics(Size::unscaled(), LocationRef::default());
            f32::from(metrics.units_per_em)
        })
    }

    /// The outline of a letter as SVG path data, in units of the font, upwards; empty for a blank.
    pub(super) fn outline(&self, face: Face, glyph: u32) -> String {
        let mut pen = PathData::default();
        let outlines = self
            .font(face)
            .map(skrifa::MetadataProvider::outline_glyphs);
        if let Some(outline) = outlines.and_then(|all| all.get(GlyphId::new(glyph))) {
            let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
            if outline.draw(settings, &mut pen).is_err() {
                return String::new();
            }
        }
        pen.0
    }
}

/// Path data of SVG that grows with the pen.
#[derive(Default)]
struct PathData(String);

impl PathData {
    fn add(&mut self, letter: char, values: &[f32]) {
        let values: Vec<String> = values.iter().map(|v| format!("{v:.0}")).collect();
        self.0.push(letter);
        self.0.push_str(&values.join(" "));
    }
}

impl OutlinePen for PathData {
    fn move_to(&mut self, x: f32, y: f32) {
        self.add('M', &[x, y]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.add('L', &[x, y]);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.add('Q', &[cx, cy, x, y]);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.add('C', &[cx0, cy0, cx1, cy1, x, y]);
    }

    fn close(&mut self) {
        self.0.push('Z');
    }
}

/// A run of letters.
#[derive(Debug, Clone, PartialEq)]
pub struct Lettering {
    /// Beginning of its base line.
    pub at: Pos2,
    /// From there to the beginning of each letter (points).
    pub offsets: Vec<f32>,
    /// To the end of the last letter (points).
    pub width: f32,
    /// The letters.
    pub text: String,
    /// Their size (points).
    pub size: f32,
    /// Their face.
    pub face: Face,
    /// Their colour.
    pub colour: Color32,
    /// Clockwise, about `at` (radians).
    pub angle: f32,
}

/// A run that is still growing.
struct Growing {
    lettering: Lettering,
    /// Which section of the text it belongs to.
    section: usize,
    /// Where it begins within the text.
    start: f32,
}

/// The runs of a text.
pub(super) fn letterings(shape: &TextShape) -> Vec<Lettering> {
    let sections = &shape.galley.job.sections;
    let mut found: Vec<Lettering> = Vec::new();
    // Where in the text the next letter stands (bytes).
    let mut place = 0;
    for row in &shape.galley.rows {
        let mut current: Option<Growing> = None;
        for glyph in &row.row.glyphs {
            let section = sections
                .iter()
                .position(|s| place < s.byte_range.end.0)
                .unwrap_or(sections.len().saturating_sub(1));
            place += glyph.chr.len_utf8();
            let at = row.pos + glyph.pos.to_vec2();
            let grown = current.take_if(|growing| growing.section != section);
            found.extend(grown.map(|growing| growing.lettering));
            if current.is_none() {
                current = sections
                    .get(section)
                    .map(|format| begin(shape, format, at))
                    .map(|lettering| Growing {
                        lettering,
                        section,
                        start: at.x,
                    });
            }
            if let Some(Growing {
                lettering, start, ..
            }) = &mut current
            {
                let offset = at.x - *start;
                lettering.offsets.push(offset);
                lettering.width = offset + glyph.advance_width;
                lettering.text.push(glyph.chr);
            }
        }
        found.extend(current.map(|growing| growing.lettering));
        if row.ends_with_newline {
            place += 1;
        }
    }
    found.retain(|one| !one.text.trim().is_empty() && one.colour != Color32::TRANSPARENT);
    found
}

/// An empty run that begins there within the text.
fn begin(shape: &TextShape, section: &LayoutSection, at: Pos2) -> Lettering {
    let font = &section.format.font_id;
    let own = Some(section.format.color).filter(|c| *c != Color32::PLACEHOLDER);
    let colour = shape
        .override_text_color
        .or(own)
        .unwrap_or(shape.fallback_color);
    let from_pivot = Rot2::from_angle(shape.angle) * at.to_vec2();
    Lettering {
        at: shape.pos + from_pivot,
        offsets: Vec::new(),
        width: 0.0,
        text: String::new(),
        size: font.size,
        face: match font.family {
            FontFamily::Name(_) => Face::Strong,
            FontFamily::Proportional | FontFamily::Monospace => Face::Regular,
        },
        colour: colour.gamma_multiply(shape.opacity_factor),
        angle: shape.angle,
    }
}
