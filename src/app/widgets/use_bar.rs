//! A bar for the use of a limit. What it says is said twice, so that no eye needs its colour: well within it is solid, near
//! it is in blocks, over it is hatched, runs past the tick at 100 % and has an exclamation mark behind it.

use egui::{Color32, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, Vec2, pos2, vec2};

use crate::app::theme::{NEAR, Theme, share};

/// Room behind the tick at 100 % for what runs past it, and for the mark behind that (points).
const BEHIND: [f32; 2] = [7.0, 5.0];
/// Thickness of the bar (points).
const THICK: f32 = 5.0;

/// Draws the bar of a use (actual / allowed); `None` is drawn dashed: not known.
pub(crate) fn use_bar(ui: &mut Ui, ratio: Option<f64>, width: f32) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(width, THICK + 1.0), Sense::hover());
    let between = ui.visuals().panel_fill;
    let theme = Theme::of(ui.ctx());
    ui.painter().extend(shapes(rect, ratio, &theme, between));
    response
}

/// All that a bar consists of; `between` is seen between its blocks and strokes.
fn shapes(rect: Rect, ratio: Option<f64>, theme: &Theme, between: Color32) -> Vec<Shape> {
    let size = vec2(rect.width() - BEHIND[0] - BEHIND[1], THICK);
    let rail = Rect::from_min_size(rect.left_center() - vec2(0.0, 0.5 * THICK), size);
    let Some(ratio) = ratio else {
        let ends = [rail.left_center(), rail.right_center()];
        return Shape::dashed_line(&ends, Stroke::new(1.5, theme.dim), 4.0, 4.0);
    };
    let long = if ratio > 1.0 {
        // Farther where it is more over.
        rail.width() + BEHIND[0] * (0.55 + 0.45 * share(ratio - 1.0))
    } else {
        let least = if ratio > 0.0 { 3.0 } else { 0.0 };
        (rail.width() * share(ratio)).max(least)
    };
    let used = Rect::from_min_size(rail.min, vec2(long, THICK));
    let mut all = vec![
        Shape::rect_filled(rail, 0.5 * THICK, theme.line),
        Shape::rect_filled(used, 0.5 * THICK, theme.use_mark(ratio)),
    ];
    if ratio > 1.0 {
        all.extend(strokes(used, [4.0, THICK], Stroke::new(1.2, between)));
        let middle = pos2(rect.right() - 1.5, rail.center().y);
        all.extend(exclamation(middle, theme.over_text));
    } else if ratio >= NEAR {
        all.extend(strokes(used, [7.0, 0.0], Stroke::new(1.5, between)));
    }
    // The tick: what is allowed.
    let ends = [1.0, -1.0].map(|way| {
        let y = rail.center().y + way * (0.5 * THICK + 1.5);
        pos2(rail.right(), y)
    });
    all.push(Shape::line_segment(ends, Stroke::new(1.0, theme.middle)));
    all
}

/// Strokes across a bar, so far from each other, their upper ends leaning so far to the right.
fn strokes(bar: Rect, [apart, lean]: [f32; 2], stroke: Stroke) -> Vec<Shape> {
    let mut all = Vec::new();
    let mut x = bar.left() + apart;
    while x + lean < bar.right() {
        let ends = [pos2(x + lean, bar.top()), pos2(x, bar.bottom())];
        all.push(Shape::line_segment(ends, stroke));
        x += apart;
    }
    all
}

/// An exclamation mark, drawn: no face has one that small and that thick.
fn exclamation(middle: Pos2, colour: Color32) -> [Shape; 2] {
    let upper = [middle + Vec2::new(0.0, -4.5), middle + Vec2::new(0.0, 1.2)];
    let dot = middle + Vec2::new(0.0, 3.8);
    [
        Shape::line_segment(upper, Stroke::new(1.8, colour)),
        Shape::circle_filled(dot, 1.1, colour),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Strokes across the bar (not its tick), and how far what is filled runs past the tick (points).
    fn looks(ratio: f64) -> (usize, f32) {
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(200.0, 6.0));
        let tick = rect.right() - BEHIND[0] - BEHIND[1];
        let all = shapes(rect, Some(ratio), &Theme::dark(), Color32::BLACK);
        let strokes = all.iter().filter(|shape| {
            matches!(shape, Shape::LineSegment { stroke, .. } if stroke.color == Color32::BLACK)
        });
        let filled = all.iter().filter_map(|shape| match shape {
            Shape::Rect(one) => Some(one.rect.right() - tick),
            _ => None,
        });
        (strokes.count(), filled.fold(f32::MIN, f32::max))
    }

    #[test]
    fn near_and_over_are_told_without_their_colours() {
        let fine = looks(0.6);
        let near = looks(0.95);
        let over = looks(1.02);
        assert_eq!(fine.0, 0, "solid");
        assert!(near.0 > 10, "in blocks: {near:?}");
        assert!(over.0 > near.0, "hatched: {over:?}");
        assert!(
            fine.1 <= 0.0 && near.1 <= 0.0,
            "up to the tick: {fine:?} {near:?}"
        );
        assert!(over.1 > 3.0 && looks(1.8).1 > over.1, "past it: {over:?}");
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(44.0, 6.0));
        for shape in shapes(rect, Some(5.0), &Theme::dark(), Color32::BLACK) {
            let room = shape.visual_bounding_rect();
            assert!(room.left() >= -1.0 && room.right() <= 45.0, "{room:?}");
        }
    }
}
