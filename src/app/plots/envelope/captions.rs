//! The labels of the picture, the most important first: none lies on another, few are crossed by a line.

use crate::app::plots::envelope::axes::RIGHT_MARGIN;
use crate::app::plots::envelope::canvas::{Canvas, Caption};
use crate::app::plots::envelope::layers::{Scene, bus_colour, published_line};
use crate::app::plots::envelope::limit_lines::{LimitLine, Shape, Weight, look};
use crate::app::plots::envelope::load_rays::{LoadRay, Selection};
use crate::app::plots::envelope::margins::paint_margin_captions;
use crate::app::plots::envelope::reach;
use crate::app::plots::envelope::{Age, LimitLabel, PlotInput, StressZone};
use crate::app::plots::geometry;
use crate::app::plots::labels::{Beside, beside_curve};
use crate::app::theme;
use crate::explain::number;
use crate::physics::envelope::Curve;
use crate::physics::limit::Limit;
use egui::{Pos2, Rect, Stroke, Vec2, vec2};

/// Where along a curve its name is tried, best first.
const SHARES: [f32; 11] = [
    0.85, 0.92, 0.75, 0.65, 0.55, 0.45, 0.35, 0.25, 0.15, 0.08, 0.98,
];
/// The same for the output range, whose line is long and flat: it reads best from its left end.
const SHARES_FROM_LEFT: [f32; 9] = [0.03, 0.1, 0.18, 0.28, 0.4, 0.52, 0.64, 0.76, 0.9];
/// How far the name of a load likes to be from other names (points).
const APART: f32 = 9.0;
/// How much of the hatch in the stress zone is covered by a label there.
const ON_HATCH: f32 = 0.85;

/// Draws all labels.
pub(super) fn paint_captions(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    if let (Some(zone), Some(areas)) = (input.zone, scene.zone) {
        paint_zone_captions(canvas, zone, areas);
    }
    paint_nothing_allowed(canvas, input);
    for line in scene.limits.iter().rev() {
        if let Some(label) = label_of(input, line.limit) {
            paint_limit_caption(canvas, line, label);
        }
    }
    paint_published_captions(canvas, input);
    paint_tightest_without_line(canvas, input);
    reach::paint_name(canvas, input, &scene.over_a_rating);
    for ray in scene.rays.iter().rev() {
        paint_ray_caption(canvas, input, scene, ray);
    }
    paint_companion_captions(canvas, input, scene);
    paint_floor_captions(canvas, input, scene);
    paint_point_captions(canvas, input);
    paint_margin_captions(canvas, &scene.contours);
    for ray in scene.rays.iter().rev() {
        paint_tick_captions(canvas, ray);
    }
    paint_ghost_captions(canvas, input);
    paint_reading_captions(canvas, input);
    paint_notes(canvas, input);
}

/// Names the published line of what is accepted as built.
fn paint_published_captions(canvas: &mut Canvas, input: &PlotInput<'_>) {
    for line in &input.envelope.limits {
        let points = line
            .published
            .as_ref()
            .and_then(|c| published_line(canvas, c));
        let (Some(points), Some(label)) = (points, label_of(input, line.limit)) else {
            continue;
        };
        let colour = look(&canvas.theme, line.limit).text;
        let text = format!("{}, {}", label.name, input.words.by_the_book);
        let caption = canvas.caption(&text, theme::font(theme::SMALL), colour);
        let inside: Vec<Pos2> = geometry::clip_polyline(&points, canvas.frame())
            .into_iter()
            .flatten()
            .collect();
        if let Some(&Curve::Wall(amps)) = line.published.as_ref() {
            // An upright line has its name beside it.
            let (x, size) = (canvas.at([amps, 0.0]).x, caption.size());
            let frame = canvas.frame();
            let corners = SHARES.map(|share| frame.top() + share * (frame.height() - size.y));
            let corners = corners
                .into_iter()
                .flat_map(|y| [Pos2::new(x + 4.0, y), Pos2::new(x - size.x - 4.0, y)]);
            canvas.put(&caption, corners);
            continue;
        }
        let above = beside_curve(&inside, caption.size(), 3.0, Beside::Above, &SHARES);
        let below = beside_curve(&inside, caption.size(), 3.0, Beside::Below, &SHARES);
        canvas.put(&caption, above.into_iter().chain(below));
    }
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
        Shape::Wall => {
            // Clear of lines, and of the strokes that a wall has on its right.
            let is_free = |at: &Pos2| {
                let mut area = Rect::from_min_size(*at, size);
                area.min.x -= STROKES;
                canvas.places.line_length_in(area) <= 0.0
            };
            let (free, crossed): (Vec<Pos2>, Vec<Pos2>) =
                beside_wall(&inside, size).into_iter().partition(is_free);
            free.into_iter().chain(crossed).collect()
        }
        Shape::Ceiling if line.limit == Limit::Dropout => {
            let beside = beside_dropout(&inside, size);
            let free =
                |at: &Pos2| canvas.places.line_length_in(Rect::from_min_size(*at, size)) <= 0.0;
            if beside.iter().any(free) {
                beside
            } else {
                // Its companions stand too close: the bare name goes on the line itself.
                caption = canvas.caption(&label.name, theme::strong_font(theme::BODY), look.text);
                caption.ground = 1.0;
                on_curve(&inside, caption.size())
            }
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

/// Places for the name of the dropout line: close below it or close above it, never beyond a companion.
fn beside_dropout(curve: &[Pos2], size: Vec2) -> Vec<Pos2> {
    let first = |gap, liked, share| {
        beside_curve(curve, size, gap, liked, &[share])
            .first()
            .copied()
    };
    SHARES
        .iter()
        .flat_map(|&share| {
            [
                first(8.0, Beside::Below, share),
                first(9.0, Beside::Above, share),
            ]
        })
        .flatten()
        .collect()
}

/// Places in the middle of the line itself.
fn on_curve(curve: &[Pos2], size: Vec2) -> Vec<Pos2> {
    SHARES
        .iter()
        .filter_map(|&share| {
            let above = beside_curve(curve, size, 0.0, Beside::Above, &[share]);
            let (above, below) = (above.first()?, above.get(1)?);
            Some(Pos2::new(above.x, 0.5 * (above.y + below.y)))
        })
        .collect()
}

/// Places right and left of a wall, from its top down.
fn beside_wall(wall: &[Pos2], size: Vec2) -> Vec<Pos2> {
    let (Some(bottom), Some(top)) = (wall.first(), wall.last()) else {
        return Vec::new();
    };
    let x = bottom.x;
    let mut corners = Vec::new();
    // The last ones reach over neighbours, with a longer lead, where walls stand too close for a name between them.
    let beyond = [-45.0, -65.0, -90.0, -120.0].map(|gap| gap - size.x);
    let near = [14.0, -14.0 - size.x, 9.0, -9.0 - size.x, 40.0, 80.0];
    for from_wall in near.into_iter().chain(beyond) {
        let mut y = top.y + 8.0;
        while y + size.y < bottom.y {
            corners.push(Pos2::new(x + from_wall, y));
            y += size.y + 3.0;
        }
    }
    corners
}

fn paint_ray_caption(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene, ray: &LoadRay) {
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
    // A name that lies on the line of another load would be read as that one's.
    let others: Vec<[Pos2; 2]> = scene
        .rays
        .iter()
        .filter(|other| other.index != ray.index)
        .map(|other| other.ends)
        .collect();
    let clear = corners.iter().copied().filter(|corner| {
        let area = Rect::from_min_size(*corner, caption.size()).expand(2.0);
        others
            .iter()
            .all(|[from, to]| geometry::clip_segment(*from, *to, area).is_none())
    });
    // Right beside the name of a limit it would be read as a part of that, and a wall through it makes it hard to read.
    let stands_apart = |corner: &Pos2| {
        let area = Rect::from_min_size(*corner, caption.size());
        canvas.places.is_apart(area, APART) && canvas.places.line_length_in(area) <= 0.0
    };
    let (apart, mut near): (Vec<Pos2>, Vec<Pos2>) = clear.partition(stands_apart);
    let crossed = |corner: &Pos2| {
        let area = Rect::from_min_size(*corner, caption.size());
        canvas.places.line_length_in(area)
    };
    near.sort_by(|a, b| crossed(a).total_cmp(&crossed(b)));
    let mut wanted = apart.into_iter().chain(near);
    let put = wanted.find_map(|corner| canvas.put(&caption, [corner]));
    if put.is_none() && ray.selection == Selection::Selected {
        canvas.put(&caption, corners);
    }
}

/// Places at the end of a ray and then back along it, below to the right and above to the left: never on the ray.
fn along_ray(ray: &LoadRay, size: Vec2) -> Vec<Pos2> {
    let [start, end] = ray.ends;
    let mut corners = vec![end + vec2(6.0, -size.y * 0.5)];
    for step in 0..24_u8 {
        let at = start + (end - start) * (1.0 - 0.03 * f32::from(step));
        for gap in [vec2(4.0, 3.0), vec2(9.0, 8.0)] {
            corners.push(at + gap);
            corners.push(at - size - gap);
        }
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
        let text = number::watts(watts);
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

/// The mains volts at the left ends of the floors at low and high mains, where they stand apart.
fn paint_floor_captions(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    let words = [&input.words.low_mains, &input.words.high_mains];
    for (points, words) in scene.floors.iter().zip(words) {
        let Some(start) = points.as_ref().and_then(|p| p.first().copied()) else {
            continue;
        };
        let caption = canvas.caption(words, theme::font(theme::SMALL), canvas.theme.dropout_text);
        let size = caption.size();
        let near = [-0.5, -0.2, -0.8].map(|up| start + vec2(6.0, size.y * up));
        let free = |at: &Pos2| canvas.places.line_length_in(Rect::from_min_size(*at, size)) < 12.0;
        if canvas.frame().contains(start + vec2(1.0, -1.0)) && near.iter().any(free) {
            canvas.put(&caption, near);
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

/// Says that the picture is an older one: not faint as the rest.
fn paint_older(canvas: &mut Canvas, words: &str) {
    let theme = canvas.theme;
    let mut caption = canvas.caption(words, theme::strong_font(theme::BODY), theme.near_text);
    caption.edge = Some(theme.near);
    let frame = canvas.frame();
    let corner = Pos2::new(frame.center().x - caption.size().x * 0.5, frame.top() + 6.0);
    let corners = (0..12_u8).map(|k| corner + vec2(0.0, f32::from(k) * 10.0));
    if let Some(area) = canvas.places.place(caption.size(), corners) {
        canvas.paint_caption(&canvas.margin_painter, &caption, area);
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

/// How far the strokes of a limit reach beside its line (points).
const STROKES: f32 = 8.0;
