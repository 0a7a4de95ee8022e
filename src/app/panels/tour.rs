//! A step of the tour in a small window; it can be moved, left, and taken up again from the menu.

use egui::{Align2, Label, RichText, vec2};

use crate::app::theme;
use crate::explain::tour::Step;

/// What was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TourAnswer {
    /// Do what the step is about.
    Do,
    /// Go to this step.
    Go(usize),
    /// It is over.
    Leave,
}

/// Draws a step, by its place; `None` while nothing is pressed.
pub(crate) fn tour_ui(ctx: &egui::Context, place: usize) -> Option<TourAnswer> {
    let step = *Step::ALL.get(place)?;
    let mut answer = None;
    let room = ctx.content_rect();
    egui::Window::new("Tour")
        .id(egui::Id::unique("tour"))
        .title_bar(false)
        .resizable(false)
        .pivot(Align2::LEFT_BOTTOM)
        .default_pos(room.left_bottom() + vec2((room.width() * 0.26).max(330.0), -132.0))
        .show(ctx, |ui| {
            ui.set_width(340.0);
            let count = format!("Step {} of {}", place + 1, Step::ALL.len());
            ui.weak(count);
            ui.label(RichText::new(step.title()).font(theme::strong_font(theme::HEADING)));
            ui.add(Label::new(theme::tied(step.text())).wrap());
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                let deed = ui.button(step.deed()).on_hover_text("Does it on the plot");
                if deed.clicked() {
                    answer = Some(TourAnswer::Do);
                }
            });
            ui.horizontal(|ui| {
                let back = ui.add_enabled(place > 0, egui::Button::new("Back"));
                if back.on_hover_text("The step before").clicked() {
                    answer = Some(TourAnswer::Go(place.saturating_sub(1)));
                }
                let last = place + 1 == Step::ALL.len();
                let (text, means) = if last {
                    ("Finish", TourAnswer::Leave)
                } else {
                    ("Next", TourAnswer::Go(place + 1))
                };
                if ui.button(text).on_hover_text("Goes on").clicked() {
                    answer = Some(means);
                }
                if !last
                    && ui
                        .button("Skip the tour")
                        .on_hover_text("It stays in the menu")
                        .clicked()
                {
                    answer = Some(TourAnswer::Leave);
                }
            });
        });
    answer
}
