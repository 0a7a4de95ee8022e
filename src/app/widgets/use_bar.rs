//! A bar for the use of a limit. What it says is said twice, so that no eye needs its colour: well within it is solid, near
//! it is in blocks, over it is hatched, runs past the tick at 100 % and has an exclamation mark behind it.

use egui::{Color32, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, Vec2, pos2, vec2};

use crate::app::theme::{NEAR, Theme, share};

/// Room behind the tick at 100 % for what runs past it, and for the mark behind that (points).
const BEHIND: [f32; 2] = [7.0, 5.0];
/// Thickness of the bar (points).
const THICK: f32 = 5.0;

/// Draws the bar of a use (actual / allowed); `None` is drawn dashed: not known.
pub(crate) fn use_bar(ui: &mut Ui, ratio: Option<f64>, width: f32) -> Response {
    let theme = Theme::of(ui.ctx());
    let (rect, response) = ui.allocate_exact_size(vec2(width, THICK + 1.0), Sense::hover());
    let painter = ui.painter();
    let size = vec2(rect.width() - BEHIND[0] - BEHIND[1], THICK);
    let rail = Rect::from_min_size(rect.left_center() - vec2(0.0, 0.5 * THICK), size);
    let Some(ratio) = ratio else {
        painter.extend(Shape::dashed_line(
            &[rail.left_center(), rail.right_center()],
            Stroke::new(1.5, theme.dim),
            4.0,
            4.0,
        ));
        return response;
    };
    painter.rect_filled(rail, 0.5 * THICK, theme.line);
    let colour = theme.use_mark(ratio);
    // What is over runs past the tick, farther where it is more over.
    let past = BEHIND[0] * (0.55 + 0.45 * share(ratio - 1.0));
    let least = if ratio > 0.0 { 3.0 } else { 0.0 };
    let long = if ratio > 1.0 {
        rail.width() + past
    } else {
        (rail.width() * share(ratio)).max(least)
    };
    let used = Rect::from_min_size(rail.min, vec2(long, THICK));
    painter.rect_filled(used, 0.5 * THICK, colour);
    if ratio >= NEAR {
        let between = ui.visuals().panel_fill;
        let cut = painter.with_clip_rect(used.intersect(painter.clip_rect()));
        if ratio > 1.0 {
            hatch(&cut, used, between);
            exclamation(
                painter,
                pos2(rect.right() - 1.5, rail.center().y),
                theme.over_text,
            );
        } else {
            blocks(&cut, used, between);
        }
    }
    // The tick: what is allowed.
    let tick = rail.right();
    let ends = [0.5 * THICK + 1.5, -0.5 * THICK - 1.5].map(|y| pos2(tick, rail.center().y + y));
    painter.line_segment(ends, Stroke::new(1.0, theme.middle));
    response
}

/// Slanting lines across a bar.
fn hatch(painter: &Painter, bar: Rect, colour: Color32) {
    let mut x = bar.left();
    while x < bar.right() + THICK {
        let ends = [pos2(x, bar.top()), pos2(x - THICK, bar.bottom())];
        painter.line_segment(ends, Stroke::new(1.2, colour));
        x += 4.0;
    }
}

/// Gaps across a bar.
fn blocks(painter: &Painter, bar: Rect, colour: Color32) {
    let mut x = bar.right() - 7.0;
    while x > bar.left() {
        let ends = [pos2(x, bar.top()), pos2(x, bar.bottom())];
        painter.line_segment(ends, Stroke::new(1.5, colour));
        x -= 7.0;
    }
}

/// An exclamation mark, drawn: no face has one that small and that thick.
fn exclamation(painter: &Painter, middle: Pos2, colour: Color32) {
    let upper = [middle + Vec2::new(0.0, -4.5), middle + Vec2::new(0.0, 1.2)];
    painter.line_segment(upper, Stroke::new(1.8, colour));
    painter.circle_filled(middle + Vec2::new(0.0, 3.8), 1.1, colour);
}
