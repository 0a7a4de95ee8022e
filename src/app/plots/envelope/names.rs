//! The names of all lines of the plane. None is ever left out: it stands at its line, else on the rim where the line leaves the
//! plane, else at the nearest free place with a leader to its line.

use crate::app::plots::envelope::axes;
use crate::app::plots::envelope::canvas::{Canvas, Caption};
use crate::app::plots::envelope::layers::Scene;
use crate::app::plots::envelope::limit_lines::{LimitLine, Shape, Weight, look};
use crate::app::plots::envelope::load_rays::{LoadRay, Selection};
use crate::app::plots::envelope::{AtLine, Ghost, LimitLabel, PlotInput};
use crate::app::plots::geometry;
use crate::app::plots::labels::{Beside, beside_curve, nearest_in, spread};
use crate::app::theme;
use crate::explain::plot;
use crate::physics::limit::Limit;
use egui::{Color32, Pos2, Rect, Stroke, StrokeKind, Vec2, vec2};

/// Where along a curve its name is tried, best first.
const SHARES: [f32; 11] = [
    0.85, 0.92, 0.75, 0.65, 0.55, 0.45, 0.35, 0.25, 0.15, 0.08, 0.98,
];
/// The same for the set range, whose line is long and flat: it reads best from its left end.
const SHARES_FROM_LEFT: [f32; 9] = [0.03, 0.1, 0.18, 0.28, 0.4, 0.52, 0.64, 0.76, 0.9];
/// How far the strokes of a limit reach beside its line (points).
pub(super) const STROKES: f32 = 8.0;
/// So much of other lines may run under a name at its own line (points); with more it goes to the rim.
const CLEAN: f32 = 6.0;
/// From the frame to a name on the right rim (points).
const LEADER: f32 = 9.0;
/// How far a name on the rim may be moved from the end of its line (points).
const FAR: f32 = 72.0;
/// Height of a load's name above the plane (points).
const CHIP: f32 = 15.0;

/// A name with the places it would like.
struct Name {
    caption: Caption,
    /// At the line, best first.
    at_line: Vec<Pos2>,
    /// The line in the frame.
    line: Vec<Pos2>,
    colour: Color32,
    likes: Likes,
}

/// Where a name likes to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Likes {
    /// At its line.
    Line,
    /// On the rim.
    Rim,
}

/// A name in its place.
struct Placed {
    caption: Caption,
    area: Rect,
    /// From the name to its line.
    leader: Option<[Pos2; 2]>,
    colour: Color32,
}

/// How a name came to its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum How {
    AtLine,
    OnRim,
    Led,
}

/// Whether the numbers of a limit stand below its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Numbers {
    Below,
    LeftOut,
}

/// Names all lines.
pub(super) fn paint_names(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    take_level_name(canvas);
    let mut placed = limit_names(canvas, input, scene);
    for name in [
        published_names(canvas, input, scene),
        mains_names(canvas, input, scene),
        lost_name(canvas, scene),
    ] {
        for name in name {
            placed.extend(place(canvas, name).map(|(placed, _)| placed));
        }
    }
    for ghost in input.ghosts {
        let name = ghost_name(canvas, ghost);
        placed.extend(place(canvas, name).map(|(placed, _)| placed));
    }
    for one in &placed {
        paint(canvas, one);
    }
    paint_load_names(canvas, input, scene);
}

/// The name of the level axis stands at its end, beside the plane.
fn take_level_name(canvas: &mut Canvas) {
    let text = axes::level_name(&canvas.transform);
    let caption = canvas.caption(text, theme::font(theme::SMALL), canvas.theme.middle);
    let size = caption.size();
    let corner = Pos2::new(canvas.frame().right() + 5.0, canvas.room.bottom() - size.y);
    let area = Rect::from_min_size(corner, size);
    canvas.places.take(area);
    canvas.paint_caption(&caption, area);
}

fn label_of<'a>(input: &PlotInput<'a>, limit: Limit) -> Option<&'a LimitLabel> {
    input.limits.iter().find(|l| l.limit == limit)
}

/// The part of a line that is in the frame.
fn inside(canvas: &Canvas, points: &[Pos2]) -> Vec<Pos2> {
    geometry::clip_polyline(points, canvas.frame())
        .into_iter()
        .flatten()
        .collect()
}

/// The names of the limits, with their numbers below them unless a name would have to leave its line for that.
fn limit_names(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) -> Vec<Placed> {
    let before = canvas.places.clone();
    let mut best: Option<(usize, Vec<Placed>, crate::app::plots::labels::LabelPlaces)> = None;
    for numbers in [Numbers::Below, Numbers::LeftOut] {
        canvas.places = before.clone();
        let mut placed = Vec::new();
        let mut away = 0;
        for line in scene.limits.iter().rev() {
            let Some(label) = label_of(input, line.limit) else {
                continue;
            };
            let name = limit_name(canvas, line, label, numbers);
            match place(canvas, name) {
                Some((one, how)) => {
                    away += usize::from(how > How::AtLine);
                    placed.push(one);
                }
                None => away += 100,
            }
        }
        let is_better = best.as_ref().is_none_or(|(least, ..)| away < *least);
        if is_better {
            best = Some((away, placed, canvas.places.clone()));
        }
        if away == 0 {
            break;
        }
    }
    let Some((_, placed, places)) = best else {
        return Vec::new();
    };
    canvas.places = places;
    placed
}

fn limit_name(canvas: &Canvas, line: &LimitLine, label: &LimitLabel, numbers: Numbers) -> Name {
    let look = look(&canvas.theme, line.limit);
    let mut caption = match (line.weight, numbers) {
        (Weight::Behind, _) => canvas.caption(&label.name, theme::font(theme::SMALL), look.text),
        (_, Numbers::Below) => canvas.caption_with_detail(&label.name, &label.detail, look.text),
        (_, Numbers::LeftOut) => canvas.caption_with_detail(&label.name, "", look.text),
    };
    if line.weight == Weight::Tightest {
        caption.edge = Some(look.line);
    }
    let inside = inside(canvas, &line.points);
    let size = caption.size();
    let at_line = match line.shape {
        // Clear of the strokes that a wall has on its right.
        Shape::Wall => beside_wall(&inside, size),
        Shape::Ceiling if line.limit == Limit::Dropout => beside_dropout(&inside, size),
        Shape::Ceiling => beside_curve(&inside, size, 4.0, Beside::Above, &SHARES_FROM_LEFT),
        Shape::Floor => beside_curve(&inside, size, 11.0, Beside::Below, &SHARES),
    };
    Name {
        caption,
        at_line,
        line: inside,
        colour: look.line,
        likes: Likes::Line,
    }
}

/// The published lines of what is accepted as built.
fn published_names(canvas: &Canvas, input: &PlotInput<'_>, scene: &Scene) -> Vec<Name> {
    let name = |(limit, points): &(Limit, Vec<Pos2>)| {
        let label = label_of(input, *limit)?;
        let look = look(&canvas.theme, *limit);
        let text = format!("{}, {}", label.name, input.words.by_the_book);
        let caption = canvas.caption(&text, theme::font(theme::SMALL), look.text);
        let line = inside(canvas, points);
        Some(beside_line(caption, line, look.line))
    };
    scene.published.iter().filter_map(name).collect()
}

/// What runs at low and at high mains: the dropout line, and the lowest regulated output where it stands apart.
fn mains_names(canvas: &Canvas, input: &PlotInput<'_>, scene: &Scene) -> Vec<Name> {
    let words = [&input.words.low_mains, &input.words.high_mains];
    let lines = scene.companions.iter().chain(&scene.floors);
    lines
        .zip(words.into_iter().cycle())
        .filter_map(|(points, words)| {
            let line = inside(canvas, points.as_ref()?);
            let colour = canvas.theme.dropout_text;
            let caption = canvas.caption(words, theme::font(theme::SMALL), colour);
            Some(Name {
                likes: Likes::Rim,
                ..beside_line(caption, line, canvas.theme.dropout)
            })
        })
        .collect()
}

fn lost_name(canvas: &Canvas, scene: &Scene) -> Vec<Name> {
    let line = inside(canvas, &scene.lost);
    let colour = canvas.theme.dropout_text;
    let caption = canvas.caption(plot::REGULATION_LOST, theme::font(theme::SMALL), colour);
    vec![beside_line(caption, line, canvas.theme.dropout)]
}

/// A name that stands above or below its line, or beside it where that is upright.
fn beside_line(caption: Caption, line: Vec<Pos2>, colour: Color32) -> Name {
    let size = caption.size();
    let is_upright = (line.first().zip(line.last())).is_some_and(|(a, b)| (a.x - b.x).abs() < 0.5);
    let at_line = if is_upright {
        beside_wall(&line, size)
    } else {
        [Beside::Above, Beside::Below]
            .into_iter()
            .flat_map(|side| beside_curve(&line, size, 3.0, side, &SHARES))
            .collect()
    };
    Name {
        caption,
        at_line,
        line,
        colour,
        likes: Likes::Line,
    }
}

/// Letter or name of a ghost, on its line.
fn ghost_name(canvas: &Canvas, ghost: &Ghost<'_>) -> Name {
    let theme = canvas.theme;
    let points = ghost_line(canvas, ghost);
    let line = inside(canvas, &points);
    let letter = ghost.letter.filter(|_| ghost.at_line == AtLine::Letter);
    let mut caption = match letter {
        Some(letter) => {
            let font = theme::strong_font(theme::SMALL);
            canvas.caption(&letter.to_string(), font, theme.ink)
        }
        None => canvas.caption(&ghost.name(), theme::font(theme::SMALL), theme.middle),
    };
    let size = caption.size();
    let at_line = if letter.is_some() {
        caption.ground = 1.0;
        caption.edge = Some(theme.middle);
        on_curve(&line, size)
    } else {
        beside_curve(&line, size, 3.0, Beside::Below, &SHARES)
    };
    Name {
        caption,
        at_line,
        line,
        colour: theme.middle,
        likes: Likes::Line,
    }
}

/// The line of a ghost that has its name: its dropout line, else the upper edge of its region.
pub(super) fn ghost_line(canvas: &Canvas, ghost: &Ghost<'_>) -> Vec<Pos2> {
    let dropout = ghost
        .envelope
        .limits
        .iter()
        .find(|l| l.limit == Limit::Dropout);
    match dropout.map(|line| &line.curve) {
        Some(crate::physics::envelope::Curve::Ceiling(points)) => canvas.line(points),
        _ => {
            let top = ghost.envelope.region.iter();
            top.map(|r| canvas.at([r[0], r[2]])).collect()
        }
    }
}

/// The best place for a name, and how it came there. `None` only where no room is left at all, or there is no line.
fn place(canvas: &mut Canvas, name: Name) -> Option<(Placed, How)> {
    let size = name.caption.size();
    if name.line.len() < 2 {
        return None;
    }
    let on_line = |canvas: &mut Canvas, most: f32| {
        let clean = |corner: &Pos2| {
            let area = Rect::from_min_size(*corner, size);
            canvas.places.line_length_in(area) <= most
        };
        let corner = name.at_line.iter().copied().filter(clean);
        let corners: Vec<Pos2> = corner.collect();
        canvas.places.place(size, corners)
    };
    // A letter stands on its own line.
    let clean = CLEAN
        + if name.caption.ground >= 1.0 {
            1.5 * size.x
        } else {
            0.0
        };
    let mut found = None;
    if name.likes == Likes::Rim {
        found = on_rim(canvas, &name, size).map(|(area, leader)| (area, leader, How::OnRim));
    }
    if found.is_none() {
        let area = on_line(canvas, clean);
        found = area.map(|area| (area, None, How::AtLine));
    }
    if found.is_none() {
        found = on_rim(canvas, &name, size).map(|(area, leader)| (area, leader, How::OnRim));
    }
    if found.is_none() {
        let near = canvas.places.place_near(canvas.room, size, &name.line);
        found = near.map(|(area, leader)| (area, Some(leader), How::Led));
    }
    let (area, leader, how) = match found {
        Some(found) => found,
        None => (on_line(canvas, f32::INFINITY)?, None, How::Led),
    };
    // Names beside a wall stand off it: a short leader shows whose name this is.
    let leader = leader.or_else(|| {
        let at = nearest_in(&name.line, area.center())?;
        let from = area.clamp(at);
        (from.distance(at) > STROKES).then_some([from, at])
    });
    let placed = Placed {
        caption: name.caption,
        area,
        leader,
        colour: name.colour,
    };
    Some((placed, how))
}

/// A place on the right rim, beside where the line leaves the frame.
fn on_rim(canvas: &mut Canvas, name: &Name, size: Vec2) -> Option<(Rect, Option<[Pos2; 2]>)> {
    let frame = canvas.frame();
    let end = *name.line.last()?;
    if (end.x - frame.right()).abs() > 1.5 || frame.right() + LEADER + size.x > canvas.room.right()
    {
        return None;
    }
    let x = frame.right() + LEADER;
    let steps = (0..(FAR / 2.0) as u8).map(|k| {
        let by = f32::from(k.div_ceil(2)) * 4.0;
        if k % 2 == 0 { by } else { -by }
    });
    let corners = steps.map(|by| Pos2::new(x, end.y - 0.5 * size.y + by));
    let area = canvas.places.place_in(canvas.room, size, corners)?;
    Some((area, Some([area.left_center(), end])))
}

fn paint(canvas: &Canvas, placed: &Placed) {
    if let Some([from, to]) = placed.leader {
        let painter = &canvas.margin_painter;
        painter.line_segment([from, to], Stroke::new(1.0, placed.colour));
        painter.circle_filled(to, 2.5, placed.colour);
    }
    canvas.paint_caption(&placed.caption, placed.area);
}

/// Places for the name of the dropout line: close below it or close above it, never beyond a companion; else on the line itself.
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
    for from_wall in [14.0, -14.0 - size.x, 9.0, -9.0 - size.x, 40.0] {
        let mut y = top.y + 8.0;
        while y + size.y < bottom.y {
            corners.push(Pos2::new(x + from_wall, y));
            y += size.y + 3.0;
        }
    }
    corners
}

/// The loads are named where their lines leave the plane.
fn paint_load_names(canvas: &mut Canvas, input: &PlotInput<'_>, scene: &Scene) {
    let frame = canvas.frame();
    let (above, beside): (Vec<&LoadRay>, Vec<&LoadRay>) =
        (scene.rays.iter()).partition(|ray| ray.ends[1].y <= frame.top() + 1.0);
    paint_above(canvas, input, above);
    for ray in beside.into_iter().rev() {
        let Some(load) = input.loads.get(ray.index) else {
            continue;
        };
        let end = ray.ends[1];
        let texts = [load.label, short(load.label)];
        let placed = texts.iter().find_map(|text| {
            let name = chip_name(canvas, text, ray);
            let size = name.caption.size();
            let (area, leader) = on_rim(canvas, &name, size)?;
            Some((name, area, leader))
        });
        if let Some((name, area, leader)) = placed {
            paint_chip(canvas, &name.caption, area, ray);
            paint_lead(canvas, leader.unwrap_or([area.left_center(), end]), ray);
        } else {
            let name = chip_name(canvas, short(load.label), ray);
            let size = name.caption.size();
            if let Some((area, leader)) = canvas.places.place_near(canvas.room, size, &name.line) {
                paint_lead(canvas, leader, ray);
                paint_chip(canvas, &name.caption, area, ray);
            }
        }
    }
}

/// The resistance alone.
pub(super) fn short(label: &str) -> &str {
    label.split(" · ").next().unwrap_or(label)
}

fn chip_name(canvas: &Canvas, text: &str, ray: &LoadRay) -> Name {
    let theme = canvas.theme;
    let (font, ink) = match ray.selection {
        Selection::Selected => (theme::strong_font(theme::SMALL), theme.ink),
        Selection::Other => (theme::font(theme::SMALL), theme.middle),
    };
    Name {
        caption: canvas.caption(text, font, ink),
        at_line: Vec::new(),
        line: ray.ends.to_vec(),
        colour: ink,
        likes: Likes::Rim,
    }
}

/// Names in a row above the plane, as near to the ends of their lines as they may be side by side.
fn paint_above(canvas: &mut Canvas, input: &PlotInput<'_>, mut rays: Vec<&LoadRay>) {
    rays.sort_by(|a, b| a.ends[1].x.total_cmp(&b.ends[1].x));
    let bounds = [canvas.frame().left() - 4.0, canvas.room.right()];
    let top = canvas.room.top();
    // All in full, else the selected one alone, else none.
    for full in [|_: Selection| true, |s| s == Selection::Selected, |_| false] {
        let names: Vec<Name> = rays
            .iter()
            .filter_map(|ray| {
                let label = input.loads.get(ray.index)?.label;
                let text = if full(ray.selection) {
                    label
                } else {
                    short(label)
                };
                Some(chip_name(canvas, text, ray))
            })
            .collect();
        let wanted: Vec<[f32; 2]> = (names.iter().zip(&rays))
            .map(|(name, ray)| [ray.ends[1].x, name.caption.size().x])
            .collect();
        let Some(lefts) = spread(&wanted, 4.0, bounds) else {
            continue;
        };
        for ((name, ray), left) in names.iter().zip(&rays).zip(lefts) {
            let size = vec2(name.caption.size().x, CHIP);
            let area = Rect::from_min_size(Pos2::new(left, top), size);
            canvas.places.take(area);
            paint_lead(
                canvas,
                [Pos2::new(area.center().x, area.bottom()), ray.ends[1]],
                ray,
            );
            paint_chip(canvas, &name.caption, area, ray);
        }
        return;
    }
    for ray in rays {
        let Some(load) = input.loads.get(ray.index) else {
            continue;
        };
        let name = chip_name(canvas, short(load.label), ray);
        let size = name.caption.size();
        if let Some((area, leader)) = canvas.places.place_near(canvas.room, size, &name.line) {
            paint_lead(canvas, leader, ray);
            paint_chip(canvas, &name.caption, area, ray);
        }
    }
}

fn edge_of(canvas: &Canvas, ray: &LoadRay) -> Stroke {
    match ray.selection {
        Selection::Selected => Stroke::new(1.5, canvas.theme.ink),
        Selection::Other => Stroke::new(1.0, canvas.theme.line),
    }
}

fn paint_lead(canvas: &Canvas, ends: [Pos2; 2], ray: &LoadRay) {
    let stroke = match ray.selection {
        Selection::Selected => Stroke::new(1.2, canvas.theme.ink),
        Selection::Other => Stroke::new(0.9, canvas.theme.middle),
    };
    canvas.margin_painter.line_segment(ends, stroke);
}

fn paint_chip(canvas: &Canvas, caption: &Caption, area: Rect, ray: &LoadRay) {
    let edge = edge_of(canvas, ray);
    canvas
        .margin_painter
        .rect(area, 4.0, canvas.theme.card, edge, StrokeKind::Inside);
    canvas.paint_letters(caption, area);
}
