//! The switch of the margin map beside the plane.

use egui::{Button, RichText, Stroke, Ui, WidgetInfo};

use crate::app::theme;
use crate::app::widgets::quantity_field::keep_seen;
use crate::app::work::view::View;

/// Draws the switch of the margin map in the right lower corner of the plot's room, beside the plane; says what was asked
/// for, if anything.
pub(crate) fn margin_toggle_ui(ui: &mut Ui, room: egui::Rect, view: &View) -> Option<bool> {
    let on = view.map;
    let colours = theme::Theme::of(ui.ctx());
    let size = egui::vec2(44.0, 20.0);
    let area = egui::Rect::from_min_size(room.right_bottom() - size - egui::vec2(0.0, 22.0), size);
    let (ink, edge) = if on {
        (colours.ink, colours.dropout)
    } else {
        (colours.middle, colours.line)
    };
    let text = RichText::new("margin")
        .font(theme::font(theme::SMALL))
        .color(ink);
    let button = Button::new(text)
        .fill(colours.card)
        .stroke(Stroke::new(if on { 1.5 } else { 1.0 }, edge));
    ui.spacing_mut().button_padding = egui::vec2(2.0, 2.0);
    let response = ui
        .put(area, button)
        .on_hover_text(
            "Shades the envelope by the tightest limit at each point, the stronger the nearer; the lines say how much of \
             it is used. What is judged with nothing connected is left out: it is the same everywhere",
        );
    keep_seen(ui, &response);
    response
        .widget_info(|| WidgetInfo::selected(egui::Role::CheckBox, true, on, "Shade by margin"));
    response.clicked().then_some(!on)
}
