//! Beside a pointer that rests in the plane: why not here, or how much is left, in two short lines.

use egui::{Label, PopupAnchor, RectAlign, Response, RichText, Tooltip};

use crate::app::theme::{self, Theme};
use crate::explain::{Severity, limits, why};
use crate::parts::Supply;
use crate::physics::envelope::Point;

/// Widest the lines get (points).
const WIDTH: f32 = 320.0;
/// Narrowest they get in a small window (points).
const NARROWEST: f32 = 200.0;

/// Draws the lines.
pub(crate) fn pointed_ui(plot: &Response, point: &Point, supply: &Supply) {
    let theme = Theme::of(&plot.ctx);
    let ink = match limits::verdict(point, supply).severity {
        Severity::Fine => theme.envelope_text,
        Severity::Remark => theme.ink,
        Severity::Near => theme.near_text,
        Severity::Over => theme.over_text,
    };
    let [verdict, reason] = why::pointed_at(point, supply);
    let mut tip = Tooltip::always_open(
        plot.ctx.clone(),
        plot.layer_id,
        plot.id.with("pointed at"),
        PopupAnchor::Pointer,
    )
    .gap(14.0)
    .width(WIDTH);
    // It goes to the side where the plot has room: the panels beside it say more about the same place.
    if let Some(pointer) = plot.hover_pos() {
        let [left, right] = [pointer.x - plot.rect.left(), plot.rect.right() - pointer.x];
        let room = left.max(right).clamp(NARROWEST, WIDTH);
        tip = tip.width(room);
        if right < room && left > right {
            tip.popup = tip.popup.align(RectAlign::BOTTOM_END);
        }
    }
    tip.show(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        let verdict = RichText::new(theme::tied(&verdict))
            .font(theme::strong_font(theme::BODY))
            .color(ink);
        ui.add(Label::new(verdict).wrap());
        if !reason.is_empty() {
            let reason = RichText::new(theme::tied(&reason)).color(theme.ink);
            ui.add(Label::new(reason).wrap());
        }
    });
}
