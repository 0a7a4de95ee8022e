//! The labels of the picture, the most important first: none lies on another, few are crossed by a line.

use crate::app::plots::envelope::canvas::{Canvas, Caption};
use crate::app::plots::envelope::layers::{Scene, bus_colour};
use crate::app::plots::envelope::load_rays::{LoadRay, Selection};
use crate::app::plots::envelope::margins::paint_margin_captions;
use crate::app::plots::envelope::names::STROKES;
use crate::app::plots::envelope::{Age, LimitLabel, PlotInput, StressZone, names, reach};
use crate::app::theme;
use crate::explain::number;
use crate::physics::envelope::Curve;
use crate::physics::limit::Limit;
use egui::{Pos2, Rect, Stroke, vec2};

/// Draws all labels.
pub(super) fn paint_captions(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    if let (Some(zone), Some(areas)) = (input.zone, scene.zone) {
        paint_zone_captions(canvas, zone, areas);
    }
    paint_nothing_allowed(canvas, input);
    names::paint_names(canvas, input, scene);
    paint_tightest_without_line(canvas, input);
    reach::paint_name(canvas, input, &scene.over_a_rating);
    paint_point_captions(canvas, input);
    paint_margin_captions(canvas, &scene.contours);
    for ray in scene.rays.iter().rev() {
        paint_tick_captions(canvas, ray);
    }
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
    bus.ground = theme::PLATE;
    if canvas.at([0.0, zone.near_volts]).y < canvas.frame().top() {
        let words = format!("{} ↑", zone.near_words);
        let caption = canvas.caption(&words, theme::font(theme::SMALL), theme.middle);
        let (frame, size) = (canvas.frame(), caption.size());
        let right = frame.right() - size.x - 6.0;
        let corners = [0.0, 60.0, 120.0].map(|left| Pos2::new(right - left, frame.top() + 3.0));
        canvas.put(&caption, corners);
    }
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
        caption.ground = theme::PLATE;
        let size = caption.size();
        let y = area.center().y - size.y * 0.5;
        let right = area.right() - size.x - 8.0;
        canvas.put(
            &caption,
            [
                Pos2::new(right, y.max(canvas.frame().top() + 2.0)),
                Pos2::new(right, canvas.frame().top() + 2.0),
                Pos2::new(right - 60.0, y.max(canvas.frame().top() + 2.0)),
                Pos2::new(right, area.bottom() + 2.0),
                Pos2::new(right, area.bottom() + 20.0),
            ],
        );
    }
}

/// Says in the middle that no point is allowed, and why.
fn paint_nothing_allowed(canvas: &mut Canvas, input: &PlotInput<'_>) {
    let theme = canvas.theme;
    let words = &input.words.nothing_allowed;
    if words.is_empty() {
        return;
    }
    let mut caption = canvas.caption(words, theme::strong_font(theme::BODY), theme.over_text);
    if let Some((what, which)) = words.split_once(": ")
        && caption.size().x > canvas.frame().width() - 8.0
    {
        // On a small plot in two lines.
        caption = canvas.caption_with_detail(what, which, theme.over_text);
    }
    caption.edge = Some(theme.over);
    let middle = canvas.frame().center() - caption.size() * 0.5;
    let corners = (0..24_u8).map(|k| {
        let step = f32::from(k.div_ceil(2)) * 6.0;
        middle + vec2(0.0, if k % 2 == 0 { step } else { -step })
    });
    canvas.put(&caption, corners);
}

/// A limit that is the same everywhere has no line: if it is the tightest, and near, its name stands at the point.
fn paint_tightest_without_line(canvas: &mut Canvas, input: &PlotInput<'_>) {
    let Some((point, tightest)) = input.point.and_then(|p| Some((p, p.tightest()?))) else {
        return;
    };
    let ratio = tightest.ratio().unwrap_or(0.0);
    let is_said = input.envelope.broken_everywhere.contains(&tightest.limit);
    if is_said || !tightest.limit.is_no_load() || ratio < theme::NEAR {
        return;
    }
    let Some(label) = label_of(input, tightest.limit) else {
        return;
    };
    let text = format!("{} {}", label.name, number::per_cent(ratio));
    let font = theme::strong_font(theme::SMALL);
    let mut caption = canvas.caption(&text, font, canvas.theme.use_text(ratio));
    caption.edge = Some(canvas.theme.use_mark(ratio));
    let (at, size) = (canvas.at([point.amps, point.volts]), caption.size());
    let beside = [
        vec2(18.0, -size.y - 6.0),
        vec2(18.0, 6.0),
        vec2(-size.x - 18.0, -size.y - 6.0),
        vec2(-size.x - 18.0, 6.0),
        vec2(-size.x * 0.5, 20.0),
        vec2(-size.x * 0.5, -size.y - 20.0),
    ];
    canvas.put(&caption, beside.map(|shift| at + shift));
}

fn paint_tick_captions(canvas: &mut Canvas, ray: &LoadRay) {
    let theme = canvas.theme;
    let colour = match ray.selection {
        Selection::Selected => theme.ink,
        Selection::Other => theme.middle,
    };
    for &(watts, at) in &ray.ticks {
        let text = number::watts(watts);
        let caption = canvas.caption(&text, theme::font(theme::SMALL), colour);
        let size = caption.size();
        canvas.put(
            &caption,
            [at + vec2(6.0, 0.0), at + vec2(-size.x - 6.0, -size.y)],
        );
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

/// What has no line in the picture but must be said: older, not known, beyond the edges.
fn paint_notes(canvas: &mut Canvas, input: &PlotInput<'_>) {
    let frame = canvas.frame();
    let theme = canvas.theme;
    if input.age == Age::Older {
        paint_older(canvas, &input.words.older);
    }
    for line in &input.envelope.limits {
        let Some(label) = label_of(input, line.limit) else {
            continue;
        };
        match line.curve {
            // One that is judged without load has no line in the plane anyway, and a regulator that is not described is no gap
            // in the picture.
            Curve::NotKnown(_) if !line.limit.is_no_load() && line.limit != Limit::GridFloor => {
                paint_not_known(canvas, label, &input.words.not_known);
            }
            Curve::Wall(amps) if canvas.at([amps, 0.0]).x > frame.right() => {
                let caption = canvas.caption(
                    &format!("{} →", label.name),
                    theme::font(theme::SMALL),
                    theme.middle,
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

/// Says that the picture is an older one: not faint as the rest.
fn paint_older(canvas: &mut Canvas, words: &str) {
    let theme = canvas.theme;
    let mut caption = canvas.caption(words, theme::strong_font(theme::BODY), theme.near_text);
    caption.edge = Some(theme.near);
    let frame = canvas.frame();
    let corner = Pos2::new(frame.center().x - caption.size().x * 0.5, frame.top() + 6.0);
    let corners = (0..12_u8).map(|k| corner + vec2(0.0, f32::from(k) * 10.0));
    if let Some(area) = canvas.places.place(caption.size(), corners) {
        canvas.paint_caption(&caption, area);
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

/// A note at a right lower corner, or at the first good place above it or to its left.
fn put_note(canvas: &mut Canvas, caption: &Caption, corner: Pos2) -> Option<Rect> {
    let step = caption.size().y + 3.0;
    let rows = (0..14_u8).map(|k| f32::from(k) * step);
    let shifts = (0..30_u8).map(|k| f32::from(k) * 12.0);
    let places: Vec<Pos2> = rows
        .flat_map(|up| shifts.clone().map(move |left| corner - vec2(left, up)))
        .collect();
    // Clear of a line and of the strokes beside it, else of the line, else where least of it runs.
    let area = |at: Pos2| Rect::from_min_size(at, caption.size());
    let clear = [STROKES, 0.0].into_iter().find_map(|air| {
        let free = |at: &Pos2| canvas.places.is_clear(area(*at).expand(air));
        places.iter().copied().find(free)
    });
    match clear {
        Some(at) => canvas.put(caption, [at]),
        None => canvas.put(caption, places),
    }
}
