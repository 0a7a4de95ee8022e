//! A bar for the use of a limit: full at 100 %, coloured by how near it is.

use crate::app::theme::{Theme, share};

/// Draws the bar of a use (actual / allowed); `None` is drawn dashed: not known.
pub(crate) fn use_bar(ui: &mut egui::Ui, ratio: Option<f64>, width: f32) -> egui::Response {
    let theme = Theme::of(ui.ctx());
    let (rect, response) = ui.allocate_exact_size(egui::vec2(width, 6.0), egui::Sense::hover());
    let rail = egui::Rect::from_center_size(rect.center(), egui::vec2(rect.width(), 5.0));
    let painter = ui.painter();
    match ratio {
        Some(ratio) => {
            painter.rect_filled(rail, 2.5, theme.line);
            let part = share(ratio);
            let mut used = rail;
            used.set_width((rail.width() * part).max(if ratio > 0.0 { 3.0 } else { 0.0 }));
            painter.rect_filled(used, 2.5, theme.use_mark(ratio));
        }
        None => {
            painter.extend(egui::Shape::dashed_line(
                &[rail.left_center(), rail.right_center()],
                egui::Stroke::new(1.5, theme.dim),
                4.0,
                4.0,
            ));
        }
    }
    response
}
