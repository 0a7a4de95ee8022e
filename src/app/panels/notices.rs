//! The strip below the bar: notices, and why the picture is an older one.

use egui::{Align, Frame, Label, Layout, Margin, RichText, Ui};

use crate::app::command::Command;
use crate::app::notices::{Notice, Offer, Tone};
use crate::app::shown::{Commands, Shown};
use crate::app::theme;

/// True if there is anything to say.
pub(crate) fn has_any(shown: Shown<'_>, notices: &[Notice]) -> bool {
    !notices.is_empty() || shown.answers.failure.is_some()
}

/// Draws the strip.
pub(crate) fn notices_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    notices: &[Notice],
    commands: &mut Commands,
) {
    if let Some(failure) = &shown.answers.failure {
        strip(ui, shown, Tone::Fault, |ui| {
            let older = if shown.answers.picture.is_some() {
                "The picture is an older one. "
            } else {
                ""
            };
            text_ui(ui, &format!("{older}{failure}"), 0.0);
        });
    }
    for (place, notice) in notices.iter().enumerate() {
        strip(ui, shown, notice.tone, |ui| {
            let (accept, dismiss) = match &notice.offer {
                Offer::None => (None, "Put away"),
                Offer::CautionRead => (None, "Understood"),
                Offer::Tour => (Some("Start the tour"), "No, thank you"),
                Offer::Restore(_) => (Some("Take it up"), "Throw it away"),
            };
            let buttons = if accept.is_some() { 210.0 } else { 110.0 };
            text_ui(ui, &notice.text, buttons);
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button(dismiss).clicked() {
                    commands.push(Command::Dismiss(place));
                }
                if let Some(accept) = accept
                    && ui.button(accept).clicked()
                {
                    commands.push(Command::Accept(place));
                }
            });
        });
    }
}

fn text_ui(ui: &mut Ui, text: &str, keep_free: f32) {
    let width = (ui.available_width() - keep_free).max(100.0);
    ui.allocate_ui_with_layout(
        egui::vec2(width, 20.0),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_min_width(width);
            ui.add(Label::new(RichText::new(theme::tied(text))).wrap());
        },
    );
}

fn strip(ui: &mut Ui, shown: Shown<'_>, tone: Tone, add: impl FnOnce(&mut Ui)) {
    let (edge, fill) = match tone {
        Tone::Remark => (shown.theme.dropout, shown.theme.card),
        Tone::Caution => (shown.theme.near, shown.theme.near_fill),
        Tone::Fault => (shown.theme.over, shown.theme.over_fill),
    };
    Frame::new()
        .fill(fill)
        .stroke(egui::Stroke::new(1.0, edge))
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(12, 6))
        .outer_margin(Margin::symmetric(0, 2))
        .show(ui, |ui| {
            ui.horizontal(add);
        });
}
