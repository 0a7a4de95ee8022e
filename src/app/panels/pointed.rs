//! Beside a pointer that rests in the plane: why not here, or how much is left, in two short lines.

use egui::{Label, PopupAnchor, Response, RichText, Tooltip};

use crate::app::theme::{self, Theme};
use crate::explain::{Severity, limits, why};
use crate::parts::Supply;
use crate::physics::envelope::Point;

/// Widest the lines get (points).
const WIDTH: f32 = 320.0;

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
    Tooltip::always_open(
        plot.ctx.clone(),
        plot.layer_id,
        plot.id.with("pointed at"),
        PopupAnchor::Pointer,
    )
    .gap(14.0)
    .width(WIDTH)
    .show(|ui| {
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
