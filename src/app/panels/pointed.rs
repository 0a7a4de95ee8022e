//! Where a pointer rests in the plane: why not there, or how much is left, in one line above the plane.

use egui::{Label, Rect, RichText, Ui};

use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::{Severity, limits, why};
use crate::parts::Supply;
use crate::physics::envelope::Point;

/// Draws the line into `line`, cut to its width.
pub(crate) fn pointed_ui(ui: &mut Ui, line: Rect, point: &Point, supply: &Supply) {
    let theme = Theme::of(ui.ctx());
    let ink = match limits::verdict(point, supply).severity {
        Severity::Fine => theme.envelope_text,
        Severity::Remark => theme.ink,
        Severity::Near => theme.near_text,
        Severity::Over => theme.over_text,
    };
    let said = RichText::new(theme::tied(&why::in_one_line(point, supply)))
        .font(theme::strong_font(theme::SMALL))
        .color(ink);
    let builder = egui::UiBuilder::new()
        .max_rect(line)
        .layout(egui::Layout::left_to_right(egui::Align::Center));
    ui.scope_builder(builder, |ui| {
        ui.add(Label::new(said).truncate().selectable(false))
    });
}
