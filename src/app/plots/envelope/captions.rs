//! The labels of the picture, the most important first: none lies on another, few are crossed by a line.

use crate::app::plots::envelope::axes::RIGHT_MARGIN;
use crate::app::plots::envelope::canvas::{Canvas, Caption};
use crate::app::plots::envelope::layers::{Scene, bus_colour};
use crate::app::plots::envelope::limit_lines::{LimitLine, Shape, Weight, look};
use crate::app::plots::envelope::load_rays::{LoadRay, Selection};
use crate::app::plots::envelope::{LimitLabel, PlotInput, StressZone};
use crate::app::plots::geometry;
use crate::app::plots::labels::{Beside, beside_curve};
use crate::app::theme;
use crate::physics::envelope::Curve;
use crate::physics::limit::Limit;
use egui::{Pos2, Rect, Stroke, Vec2, vec2};

/// Where along a curve its name is tried, best first.
const SHARES: [f32; 11] = [
    0.85, 0.92, 0.75, 0.65, 0.55, 0.45, 0.35, 0.25, 0.15, 0.08, 0.98,
];
/// The same for the set range, whose line is long and flat: it reads best from its left end.
const SHARES_FROM_LEFT: [f32; 9] = [0.03, 0.1, 0.18, 0.28, 0.4, 0.52, 0.64, 0.76, 0.9];
/// How much of the hatch in the stress zone is covered by a label there.
const ON_HATCH: f32 = 0.85;
/// In a narrower frame only the selected load has its watts written at the ticks (points).
const NARROW: f32 = 480.0;
/// With more dummy loads than this, only the selected one has its watts written at the ticks.
const TICK_NAMES: usize = 3;

/// Draws all labels.
pub(super) fn paint_captions(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    if let (Some(zone), Some(areas)) = (input.zone, scene.zone) {
        paint_zone_captions(canvas, zone, areas);
    }
    for line in scene.limits.iter().rev() {
        if let Some(label) = label_of(input, line.limit) {
            paint_limit_caption(canvas, line, label);
        }
    }
    for ray in scene.rays.iter().rev() {
        paint_ray_caption(canvas, input, ray);
    }
    paint_companion_captions(canvas, input, scene);
    paint_point_captions(canvas, input);
    let name_all = scene.rays.len() <= TICK_NAMES && canvas.frame().width() >= NARROW;
    for ray in scene.rays.iter().rev() {
        if ray.selection == Selection::Selected || name_all {
            paint_tick_captions(canvas, ray);
        }
    }
    paint_ghost_captions(canvas, input);
    paint_reading_captions(canvas, input);
    paint_notes(canvas, input);
}

fn label_of<'a>(input: &PlotInput<'a>, limit: Limit) -> Option<&'a LimitLabel> {
    input.limits.iter().find(|l| l.limit == limit)
}

fn paint_zone_captions(canvas: &mut Canvas, zone: &StressZone, [near, over]: [Rect; 2]) {
    let theme = canvas.theme;
    let strong = theme::strong_font(theme::SMALL);
    let mut bus = canvas.caption(&zone.bus_words, strong.clone(), bus_colour(canvas, zone));
    bus.ground = ON_HATCH;
    let mark = canvas.at([0.0, zone.bus_volts]);
    let size = bus.size();
    let x = canvas.frame().left() + 24.0;
    let corners = [0.5, 0.0, 1.0].map(|up| Pos2::new(x, mark.y - size.y * up));
    if canvas.frame().contains(Pos2::new(x, mark.y)) {
        canvas.put(&bus, corners);
    }
    for (area, words, colour) in [
        (near, &zone.near_words, theme.near_text),
        (over, &zone.over_words, theme.over_text),
    ] {
        if !area.is_positive() {
            continue;
        }
        let mut caption = canvas.caption(words, strong.clone(), colour);
        caption.ground = ON_HATCH;
        let size = caption.size();
        let y = area.center().y - size.y * 0.5;
        let right = area.right() - size.x - 8.0;
        canvas.put(
            &caption,
            [
                Pos2::new(right, y),
                Pos2::new(right, area.bottom() + 2.0),
                Pos2::new(right - 60.0, y),
            ],
        );
    }
}

fn paint_limit_caption(canvas: &mut Canvas, line: &LimitLine, label: &LimitLabel) {
    let look = look(&canvas.theme, line.limit);
    let mut caption = match line.weight {
        Weight::Behind => canvas.caption(&label.name, theme::font(theme::SMALL), look.text),
        Weight::Edge | Weight::Tightest => {
            canvas.caption_with_detail(&label.name, &label.detail, look.text)
        }
    };
    if line.weight == Weight::Tightest {
        caption.edge = Some(look.line);
    }
    let inside: Vec<Pos2> = geometry::clip_polyline(&line.points, canvas.frame())
        .into_iter()
        .flatten()
        .collect();
    let size = caption.size();
    let corners = match line.shape {
        Shape::Wall => beside_wall(&inside, size),
        Shape::Ceiling if line.limit == Limit::Dropout => {
            beside_curve(&inside, size, 11.0, Beside::Below, &SHARES)
        }
        Shape::Ceiling => beside_curve(&inside, size, 4.0, Beside::Above, &SHARES_FROM_LEFT),
        Shape::Floor => beside_curve(&inside, size, 11.0, Beside::Below, &SHARES),
    };
    let Some(area) = canvas.put(&caption, corners) else {
        return;
    };
    if line.shape == Shape::Wall {
        // Walls may stand close together: a short lead shows whose name this is.
        if let Some(foot) = inside.first() {
            let from = Pos2::new(foot.x, area.center().y);
            let to = Pos2::new(
                if area.left() > foot.x {
                    area.left()
                } else {
                    area.right()
                },
                area.center().y,
            );
            canvas
                .painter
                .line_segment([from, to], Stroke::new(1.0, look.line));
            canvas.painter.circle_filled(from, 2.5, look.line);
        }
    }
}

/// Places right and left of a wall, from its top down.
fn beside_wall(wall: &[Pos2], size: Vec2) -> Vec<Pos2> {
    let (Some(bottom), Some(top)) = (wall.first(), wall.last()) else {
        return Vec::new();
    };
    let x = bottom.x;
    let mut corners = Vec::new();
    for from_wall in [14.0, -14.0 - size.x, 40.0, 80.0] {
        let mut y = top.y + 8.0;
        while y + size.y < bottom.y {
            corners.push(Pos2::new(x + from_wall, y));
            y += size.y + 3.0;
        }
    }
    corners
}

fn paint_ray_caption(canvas: &mut Canvas, input: &PlotInput<'_>, ray: &LoadRay) {
    let Some(load) = input.loads.get(ray.index) else {
        return;
    };
    let theme = canvas.theme;
    let caption = match ray.selection {
        Selection::Selected => {
            canvas.caption(load.label, theme::strong_font(theme::BODY), theme.ink)
        }
        Selection::Other => canvas.caption(load.label, theme::font(theme::SMALL), theme.middle),
    };
    let corners = along_ray(ray, caption.size());
    canvas.put(&caption, corners);
}

/// Places at the end of a ray and then back along it, on both sides.
fn along_ray(ray: &LoadRay, size: Vec2) -> Vec<Pos2> {
    let [start, end] = ray.ends;
    let mut corners = Vec::new();
    for step in 0..12_u8 {
        let share = 1.0 - 0.06 * f32::from(step);
        let at = start + (end - start) * share;
        corners.push(at + vec2(7.0, -size.y * 0.35));
        corners.push(at + vec2(-size.x - 7.0, -size.y * 0.65));
    }
    corners
}

fn paint_tick_captions(canvas: &mut Canvas, ray: &LoadRay) {
    let theme = canvas.theme;
    let colour = match ray.selection {
        Selection::Selected => theme.ink,
        Selection::Other => theme.dim,
    };
    for &(watts, at) in &ray.ticks {
        let text = if watts < 0.95 {
            format!("{watts:.1} W")
        } else {
            format!("{watts:.0} W")
        };
        let caption = canvas.caption(&text, theme::font(theme::SMALL), colour);
        let size = caption.size();
        canvas.put(
            &caption,
            [at + vec2(6.0, 0.0), at + vec2(-size.x - 6.0, -size.y)],
        );
    }
}

/// The mains volts at the right ends of the companions of the dropout line, beside the frame where they leave it.
fn paint_companion_captions(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    let frame = canvas.frame();
    let beside = Rect::from_min_max(frame.min, frame.max + vec2(RIGHT_MARGIN, 0.0));
    for (points, words) in scene
        .companions
        .iter()
        .zip([&input.words.low_mains, &input.words.high_mains])
    {
        let Some(points) = points else { continue };
        let Some(end) = geometry::clip_polyline(points, frame)
            .last()
            .and_then(|p| p.last().copied())
        else {
            continue;
        };
        let caption = canvas.caption(words, theme::font(theme::SMALL), canvas.theme.dropout_text);
        let size = caption.size();
        let corners =
            [0.0, 0.5, -0.5, 1.0, -1.0].map(|shift| end + vec2(2.0, size.y * (shift - 0.5)));
        if let Some(area) = canvas.places.place_in(beside, size, corners) {
            canvas.paint_caption(&canvas.margin_painter, &caption, area);
        }
    }
}

/// The point's volts and amperes where its guide lines meet the axes.
fn paint_point_captions(canvas: &mut Canvas, input: &PlotInput<'_>) {
    let Some(place) = input.place() else { return };
    let at = canvas.at(place);
    let frame = canvas.frame();
    let font = theme::strong_font(theme::SMALL);
    let volts = canvas.caption(&input.words.point_volts, font.clone(), canvas.theme.ink);
    let size = volts.size();
    let x = frame.left() + 3.0;
    canvas.put(
        &volts,
        [Pos2::new(x, at.y - size.y - 1.0), Pos2::new(x, at.y + 1.0)],
    );
    let amps = canvas.caption(&input.words.point_amps, font, canvas.theme.ink);
    let size = amps.size();
    let y = frame.bottom() - size.y - 3.0;
    canvas.put(
        &amps,
        [Pos2::new(at.x + 2.0, y), Pos2::new(at.x - size.x - 2.0, y)],
    );
}

fn paint_ghost_captions(canvas: &mut Canvas, input: &PlotInput<'_>) {
    for ghost in input.ghosts {
        let top: Vec<Pos2> = ghost
            .envelope
            .region
            .iter()
            .map(|r| canvas.at([r[0], r[2]]))
            .collect();
        let caption = canvas.caption(ghost.label, theme::font(theme::SMALL), canvas.theme.dim);
        let corners = beside_curve(&top, caption.size(), 3.0, Beside::Below, &SHARES);
        canvas.put(&caption, corners);
    }
}

fn paint_reading_captions(canvas: &mut Canvas, input: &PlotInput<'_>) {
    for cross in input.readings.iter().filter(|c| !c.label.is_empty()) {
        let at = canvas.at(cross.at);
        let caption = canvas.caption(&cross.label, theme::font(theme::SMALL), canvas.theme.middle);
        let size = caption.size();
        canvas.put(
            &caption,
            [
                at + vec2(7.0, -size.y),
                at + vec2(7.0, 0.0),
                at + vec2(-size.x - 7.0, -size.y),
            ],
        );
    }
}

/// What has no line in the picture but must be said: nothing allowed, older, not known, beyond the edges.
fn paint_notes(canvas: &mut Canvas, input: &PlotInput<'_>) {
    let frame = canvas.frame();
    let theme = canvas.theme;
    if !input.words.nothing_allowed.is_empty() {
        let mut caption = canvas.caption(
            &input.words.nothing_allowed,
            theme::strong_font(theme::BODY),
            theme.over_text,
        );
        caption.edge = Some(theme.over);
        let middle = frame.center() - caption.size() * 0.5;
        let step = caption.size().y;
        canvas.put(
            &caption,
            (0..12_u8).map(|k| middle + vec2(0.0, f32::from(k) * step * 0.5)),
        );
    }
    if input.age == crate::app::plots::envelope::Age::Older && !input.words.older.is_empty() {
        let caption = canvas.caption(
            &input.words.older,
            theme::strong_font(theme::BODY),
            theme.near_text,
        );
        put_note(
            canvas,
            &caption,
            Pos2::new(frame.center().x - caption.size().x * 0.5, frame.top() + 6.0),
        );
    }
    for line in &input.envelope.limits {
        let Some(label) = label_of(input, line.limit) else {
            continue;
        };
        match line.curve {
            // One that is judged without load has no line in the plane anyway.
            Curve::NotKnown(_) if !line.limit.is_no_load() => {
                paint_not_known(canvas, label, &input.words.not_known)
            }
            Curve::Wall(amps) if canvas.at([amps, 0.0]).x > frame.right() => {
                let caption = canvas.caption(
                    &format!("{} →", label.name),
                    theme::font(theme::SMALL),
                    theme.dim,
                );
                let right = frame.right() - caption.size().x - 4.0;
                put_note(
                    canvas,
                    &caption,
                    Pos2::new(right, frame.bottom() - caption.size().y - 4.0),
                );
            }
            _ => {}
        }
    }
}

/// A limit that cannot be drawn: a dash with a gap, and its name.
fn paint_not_known(canvas: &mut Canvas, label: &LimitLabel, not_known: &str) {
    let frame = canvas.frame();
    let theme = canvas.theme;
    let text = format!("       {} · {not_known}", label.name);
    let caption = canvas.caption(&text, theme::font(theme::SMALL), theme.middle);
    let corner = Pos2::new(
        frame.right() - caption.size().x - 4.0,
        frame.bottom() - caption.size().y - 4.0,
    );
    if let Some(area) = put_note(canvas, &caption, corner) {
        let left = area.left_center() + vec2(3.0, 0.0);
        canvas.stroke(
            &[left, left + vec2(18.0, 0.0)],
            Stroke::new(1.5, theme.middle),
            &[[4.0, 3.0]],
        );
    }
}

/// A note at a corner, or at the first free place above it, or below.
fn put_note(canvas: &mut Canvas, caption: &Caption, corner: Pos2) -> Option<Rect> {
    let step = caption.size().y + 3.0;
    let up = (0..16_u8).map(|k| corner - vec2(0.0, f32::from(k) * step));
    let down = (1..8_u8).map(|k| corner + vec2(0.0, f32::from(k) * step));
    canvas.put(caption, up.chain(down))
}
