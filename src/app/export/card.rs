//! The bench card: the plan on one sheet of paper, black on white, with the envelope and blank columns for what is read.

use egui::{Align2, Color32, Pos2, Rect, Stroke, Ui};

use crate::app::export::picture::{
    Picture, PictureError, PictureOptions, PictureTheme, Subject, plane_picture,
};
use crate::app::theme::{self, Theme};
use crate::bench::plan::Prepared;
use crate::explain::{cautions, plan, readings};
use crate::parts::Supply;

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    /// 210 × 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 × 11 inch (ANSI A).
    Letter,
}

impl Sheet {
    /// Width and height (points of 1/72 inch).
    pub fn points(self) -> [u32; 2] {
        match self {
            Self::A4 => [595, 842],
            Self::Letter => [612, 792],
        }
    }
}

/// Height of a step's row (points).
const ROW: f32 = 27.0;
/// Height of the heads (points).
const HEADS: f32 = 18.0;
/// Height of a line of cautions (points).
const LINE: f32 = 13.0;

/// The card of a plan.
///
/// # Errors
/// [`PictureError`] as for a picture.
pub fn card(
    subject: Subject<'_>,
    steps: &[Prepared],
    sheet: Sheet,
) -> Result<Picture, PictureError> {
    let [width, height] = sheet.points();
    let options = PictureOptions {
        width,
        height,
        scale: 1.0,
        theme: PictureTheme::Print,
    };
    let supply = &subject.model.supply;
    plane_picture(subject, None, options, |ui| table_ui(ui, supply, steps))
}

/// Shares of the width: step, load, knob, expected, then what is read.
const COLUMNS: [(&str, f32); 8] = [
    ("step", 0.19),
    ("load", 0.13),
    ("knob", 0.08),
    ("expected, twice the standard deviation", 0.30),
    ("mains", 0.075),
    ("V", 0.075),
    ("mA", 0.075),
    ("note", 0.075),
];

fn table_ui(ui: &mut Ui, supply: &Supply, steps: &[Prepared]) {
    let cautions = cautions::STANDING.len() as f32 * LINE;
    let wanted = HEADS + ROW * steps.len() as f32 + cautions + 10.0;
    // The envelope keeps a quarter of the sheet.
    let height = wanted.min(0.72 * ui.available_height());
    let row = ((height - HEADS - cautions - 10.0) / steps.len().max(1) as f32).min(ROW);
    egui::Panel::bottom("bench card")
        .exact_size(height)
        .frame(egui::Frame::NONE.inner_margin(egui::Margin {
            left: 8,
            right: 8,
            top: 4,
            bottom: 0,
        }))
        .show_separator_line(false)
        .show(ui, |ui| {
            let area = ui.max_rect();
            let mut top = area.top();
            let band = |top: f32, height: f32| {
                Rect::from_min_size(
                    Pos2::new(area.left(), top),
                    egui::vec2(area.width(), height),
                )
            };
            cells_ui(
                ui,
                band(top, HEADS),
                &COLUMNS.map(|(head, _)| head.to_owned()),
                Ink::Dim,
            );
            top += HEADS;
            for (k, step) in steps.iter().enumerate() {
                cells_ui(ui, band(top, row), &cells(k, step, supply), Ink::Full);
                top += row;
            }
            top += 4.0;
            let theme = Theme::of(ui.ctx());
            for caution in cautions::STANDING {
                let at = Pos2::new(area.left(), top);
                let font = theme::font(9.0);
                ui.painter()
                    .text(at, Align2::LEFT_TOP, caution, font, theme.ink);
                top += LINE;
            }
        });
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ink {
    Full,
    Dim,
}

fn cells(k: usize, step: &Prepared, supply: &Supply) -> [String; 8] {
    let figures: Vec<String> = step
        .figures
        .iter()
        .take(2)
        .map(|one| plan::figure(one, supply))
        .collect();
    let nothing = String::new;
    let (load, knob) = match step.at {
        Some(_) => (plan::load(step), plan::knob(step)),
        None => (nothing(), nothing()),
    };
    [
        format!("{}. {}", k + 1, readings::phase(step.step.phase)),
        load,
        knob,
        figures.join("; "),
        nothing(),
        nothing(),
        nothing(),
        nothing(),
    ]
}

fn cells_ui(ui: &Ui, area: Rect, cells: &[String; 8], ink: Ink) {
    let theme = Theme::of(ui.ctx());
    let colour: Color32 = match ink {
        Ink::Full => theme.ink,
        Ink::Dim => theme.middle,
    };
    let line = Stroke::new(0.6, theme.line);
    let mut left = area.left();
    for ((_, share), text) in COLUMNS.iter().zip(cells) {
        let width = share * area.width();
        let cell = Rect::from_min_size(
            Pos2::new(left, area.top()),
            egui::vec2(width, area.height()),
        );
        if ink == Ink::Full {
            ui.painter()
                .rect_stroke(cell, 0.0, line, egui::StrokeKind::Middle);
        }
        let room = cell.shrink2(egui::vec2(3.0, 1.0));
        let mut job = egui::text::LayoutJob::simple(
            text.clone(),
            theme::font(if ink == Ink::Full { 8.5 } else { 8.0 }),
            colour,
            room.width(),
        );
        job.wrap.max_rows = 2;
        let galley = ui.painter().layout_job(job);
        let at = Align2::LEFT_CENTER.anchor_size(room.left_center(), galley.size());
        ui.painter().galley(at.min, galley, colour);
        left += width;
    }
}
