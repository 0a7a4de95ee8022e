//! A drawing as SVG text.
//!
//! Letters are drawn by their outlines, each kept once: many programs ignore a font inside a picture and would set
//! wider letters over one another. The text itself lies over them unseen, to be searched, copied and read aloud.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use egui::{Color32, Pos2, Rect, Stroke};

use crate::app::export::drawing::{Drawing, Ends, Ink};
use crate::app::export::lettering::{Face, Lettering, TypeCase};

/// The drawing as SVG; the same text on every run. `title` is what a screen reader says.
pub fn svg(drawing: &Drawing, title: &str) -> String {
    let mut clips: Vec<Rect> = Vec::new();
    let mut body = String::new();
    let mut letters = Letters::default();
    let mut open = None;
    for mark in &drawing.marks {
        let place = clips
            .iter()
            .position(|c| *c == mark.clip)
            .unwrap_or_else(|| {
                clips.push(mark.clip);
                clips.len() - 1
            });
        if open != Some(place) {
            if open.is_some() {
                body.push_str("</g>\n");
            }
            add(
                &mut body,
                format_args!("<g clip-path=\"url(#clip{place})\">\n"),
            );
            open = Some(place);
        }
        match &mark.ink {
            Ink::Letters(lettering) => letters.set(&mut body, lettering),
            other => ink(&mut body, other),
        }
    }
    if open.is_some() {
        body.push_str("</g>\n");
    }
    let [width, height] = [drawing.size.x, drawing.size.y].map(number);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" role=\"img\">\n<title>{}</title>\n<defs>\n",
        escaped(title)
    );
    text.push_str("<style>text{font-family:Inter,sans-serif;white-space:pre}</style>\n");
    for ((face, id), outline) in &letters.outlines {
        let weight = face.weight();
        add(
            &mut text,
            format_args!("<path id=\"w{weight}g{id}\" d=\"{outline}\"/>\n"),
        );
    }
    for (place, clip) in clips.iter().enumerate() {
        add(&mut text, format_args!("<clipPath id=\"clip{place}\">"));
        rect(&mut text, *clip, "");
        text.push_str("</clipPath>\n");
    }
    text.push_str("</defs>\n");
    let ground = paint("fill", drawing.ground);
    add(
        &mut text,
        format_args!("<rect width=\"{width}\" height=\"{height}\"{ground}/>\n"),
    );
    text.push_str(&body);
    text.push_str("</svg>\n");
    text
}

/// Writing into a text cannot fail.
fn add(text: &mut String, piece: std::fmt::Arguments<'_>) {
    let _always_fits = text.write_fmt(piece);
}

fn ink(text: &mut String, ink: &Ink) {
    match ink {
        Ink::Path {
            runs,
            ends,
            fill,
            stroke,
        } => {
            let look = look(*fill, *stroke);
            if !look.is_empty() {
                add(text, format_args!("<path d=\""));
                for run in runs {
                    path(text, run, *ends);
                }
                add(text, format_args!("\"{look}/>\n"));
            }
        }
        Ink::Disc {
            centre,
            radius,
            fill,
            stroke,
        } => {
            let look = look(*fill, *stroke);
            if !look.is_empty() {
                let [x, y, r] = [centre.x, centre.y, *radius].map(number);
                add(
                    text,
                    format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"{look}/>\n"),
                );
            }
        }
        Ink::Box {
            rect: area,
            corner,
            fill,
            stroke,
        } => {
            let mut look = look(*fill, *stroke);
            if !look.is_empty() {
                if *corner > 0.0 {
                    add(&mut look, format_args!(" rx=\"{}\"", number(*corner)));
                }
                rect(text, *area, &look);
                text.push('\n');
            }
        }
        // Letters need their outlines and are set apart.
        Ink::Letters(_) => {}
    }
}

fn path(text: &mut String, points: &[Pos2], ends: Ends) {
    let mut letter = 'M';
    for point in points {
        let [x, y] = [point.x, point.y].map(number);
        add(text, format_args!("{letter}{x} {y}"));
        letter = 'L';
    }
    if ends == Ends::Joined {
        text.push('Z');
    }
}

fn rect(text: &mut String, rect: Rect, look: &str) {
    let [x, y, width, height] = [rect.left(), rect.top(), rect.width(), rect.height()].map(number);
    add(
        text,
        format_args!("<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"{look}/>"),
    );
}

/// The letters used so far.
#[derive(Default)]
struct Letters {
    type_case: TypeCase,
    /// Outline of each, in units of the font.
    outlines: BTreeMap<(Face, u32), String>,
}

impl Letters {
    fn set(&mut self, text: &mut String, lettering: &Lettering) {
        let glyphs: Option<Vec<u32>> = lettering
            .text
            .chars()
            .map(|letter| self.type_case.glyph(lettering.face, letter))
            .collect();
        let turned = lettering.angle.abs() > 1e-6;
        if turned {
            let [degrees, x, y] =
                [lettering.angle.to_degrees(), lettering.at.x, lettering.at.y].map(number);
            add(
                text,
                format_args!("<g transform=\"rotate({degrees} {x} {y})\">"),
            );
        }
        let colour = paint("fill", lettering.colour);
        match glyphs {
            Some(glyphs) => {
                self.outlined(text, lettering, &glyphs, &colour);
                plain(text, lettering, " fill-opacity=\"0\"");
            }
            // A letter that our font has not: the viewer's own will do.
            None => plain(text, lettering, &colour),
        }
        if turned {
            text.push_str("</g>");
        }
        text.push('\n');
    }

    fn outlined(&mut self, text: &mut String, lettering: &Lettering, glyphs: &[u32], colour: &str) {
        let face = lettering.face;
        let scale = lettering.size / self.type_case.units_per_em(face);
        add(text, format_args!("<g{colour}>"));
        for (&id, offset) in glyphs.iter().zip(&lettering.offsets) {
            let type_case = &self.type_case;
            let outline = self
                .outlines
                .entry((face, id))
                .or_insert_with(|| type_case.outline(face, id));
            if outline.is_empty() {
                continue;
            }
            let [x, y] = [lettering.at.x + offset, lettering.at.y].map(number);
            let weight = face.weight();
            add(
                text,
                format_args!(
                    "<use xlink:href=\"#w{weight}g{id}\" transform=\"matrix({scale:.5} 0 0 -{scale:.5} {x} {y})\"/>"
                ),
            );
        }
        text.push_str("</g>");
    }
}

/// The text itself, as long as it was set.
fn plain(text: &mut String, lettering: &Lettering, look: &str) {
    let [x, y, width, size] = [
        lettering.at.x,
        lettering.at.y,
        lettering.width,
        lettering.size,
    ]
    .map(number);
    let weight = lettering.face.weight();
    add(
        text,
        format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" font-weight=\"{weight}\" textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\"{look}>{}</text>",
            escaped(&lettering.text)
        ),
    );
}

/// Attributes of fill and line; empty if neither is seen.
fn look(fill: Color32, stroke: Stroke) -> String {
    let (filled, lined) = (fill != Color32::TRANSPARENT, !stroke.is_empty());
    let mut look = match (filled, lined) {
        (false, false) => return String::new(),
        (true, _) => paint("fill", fill),
        (false, true) => " fill=\"none\"".to_owned(),
    };
    if lined {
        look.push_str(&paint("stroke", stroke.color));
        add(
            &mut look,
            format_args!(" stroke-width=\"{}\"", number(stroke.width)),
        );
    }
    look
}

fn paint(attribute: &str, colour: Color32) -> String {
    let [r, g, b, a] = colour.to_srgba_unmultiplied();
    let mut text = format!(" {attribute}=\"#{r:02x}{g:02x}{b:02x}\"");
    if a < u8::MAX {
        let share = f32::from(a) / 255.0;
        add(
            &mut text,
            format_args!(" {attribute}-opacity=\"{share:.3}\""),
        );
    }
    text
}

/// A hundredth of a point is finer than any printer.
fn number(value: f32) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

fn escaped(text: &str) -> String {
    let mut clean = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => clean.push_str("&amp;"),
            '<' => clean.push_str("&lt;"),
            '>' => clean.push_str("&gt;"),
            // Control characters have no place in XML.
            letter if letter.is_control() => clean.push(' '),
            letter => clean.push(letter),
        }
    }
    clean
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_text_is_harmless() {
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.50), "12.5");
        assert_eq!(number(100.0), "100");
        assert_eq!(escaped("<b>&\u{1}"), "&lt;b&gt;&amp; ");
    }
}
