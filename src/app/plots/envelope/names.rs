//! The names of all lines of the plane. None is ever left out: it stands at its line, else on the rim where the line leaves the
//! plane, else at the nearest free place with a leader to its line.

use crate::app::plots::envelope::axes;
use crate::app::plots::envelope::canvas::{Canvas, Caption};
use crate::app::plots::envelope::layers::Scene;
use crate::app::plots::envelope::limit_lines::{LimitLine, Shape, Weight, look};
use crate::app::plots::envelope::load_rays::{LoadRay, Selection};
use crate::app::plots::envelope::{AtLine, Ghost, LimitLabel, PlotInput};
use crate::app::plots::geometry;
use crate::app::plots::labels::{Beside, LabelPlaces, beside_curve, nearest_in, spread};
use crate::app::theme;
use crate::explain::plot;
use crate::physics::envelope::Curve;
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
const LEADER: f32 = 6.0;
/// A name that is further than this from its line has a leader (points).
const LED_FROM: f32 = 13.0;
/// A load's name above the plane is in full only if none is further from the end of its line than this (points).
const OFF: f32 = 40.0;
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
    /// Of a load's name: a frame with a ground of its own.
    edge: Option<Stroke>,
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
    edge: Option<Stroke>,
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
    let (mut placed, mut rim) = limit_names(canvas, input, scene);
    let mut others = published_names(canvas, input, scene);
    others.extend(input.ghosts.iter().map(|ghost| ghost_name(canvas, ghost)));
    others.extend(band_name(canvas, input, scene));
    others.extend(mains_names(canvas, input, scene));
    others.extend(lost_name(canvas, scene));
    for name in others {
        let at_line = match name.likes {
            Likes::Line => at_line(canvas, &name),
            Likes::Rim => None,
        };
        match at_line {
            Some(area) => placed.push(Placed::of(name, area, None)),
            None => rim.push(name),
        }
    }
    let (above, beside): (Vec<&LoadRay>, Vec<&LoadRay>) =
        (scene.rays.iter()).partition(|ray| ray.ends[1].y <= canvas.frame().top() + 1.0);
    paint_above(canvas, input, above);
    for ray in beside {
        let label = input.loads.get(ray.index).map_or("", |load| load.label);
        // In full where it fits beside the plane.
        let full = chip_name(canvas, label, ray);
        rim.push(if reaches_rim(canvas, &full) {
            full
        } else {
            chip_name(canvas, short(label), ray)
        });
    }
    placed.extend(on_rim(canvas, rim));
    for one in &placed {
        paint(canvas, one);
    }
}

/// The name of the level axis stands at its end, beside the plane.
fn take_level_name(canvas: &mut Canvas) {
    let area = level_name_area(canvas);
    canvas.places.take(area);
    canvas.paint_caption(&level_name(canvas), area);
}

fn level_name(canvas: &Canvas) -> Caption {
    let text = axes::level_name(&canvas.transform);
    canvas.caption(text, theme::font(theme::SMALL), canvas.theme.middle)
}

fn level_name_area(canvas: &Canvas) -> Rect {
    let size = level_name(canvas).size();
    let corner = Pos2::new(canvas.frame().right() + 2.0, canvas.room.bottom() - size.y);
    Rect::from_min_size(corner, size)
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

/// The names of the limits at their lines, and those for the rim. Their numbers stand below them where there is room for these at
/// the line, and only if no other name has to leave its line for that.
fn limit_names(
    canvas: &mut Canvas,
    input: &PlotInput<'_>,
    scene: &Scene,
) -> (Vec<Placed>, Vec<Name>) {
    let before = canvas.places.clone();
    let mut best: Option<(Vec<Placed>, Vec<Name>, LabelPlaces)> = None;
    for most in [Numbers::Below, Numbers::LeftOut] {
        canvas.places = before.clone();
        let (mut placed, mut rim) = (Vec::new(), Vec::new());
        for line in scene.limits.iter().rev() {
            let Some(label) = label_of(input, line.limit) else {
                continue;
            };
            let mut name = limit_name(canvas, line, label, most);
            let mut area = at_line(canvas, &name);
            if area.is_none() && most == Numbers::Below {
                name = limit_name(canvas, line, label, Numbers::LeftOut);
                area = at_line(canvas, &name);
            }
            match area {
                Some(area) => placed.push(Placed::of(name, area, None)),
                None => rim.push(name),
            }
        }
        let is_all = rim.is_empty();
        if best
            .as_ref()
            .is_none_or(|(_, least, _)| rim.len() < least.len())
        {
            best = Some((placed, rim, canvas.places.clone()));
        }
        if is_all {
            break;
        }
    }
    let Some((placed, rim, places)) = best else {
        return Default::default();
    };
    canvas.places = places;
    (placed, rim)
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
        edge: None,
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

/// The band of the dropout line, at its upper edge.
fn band_name(canvas: &Canvas, input: &PlotInput<'_>, scene: &Scene) -> Option<Name> {
    let band = input.band.as_ref()?;
    let line = inside(canvas, &scene.band);
    let caption = canvas.caption(
        band.name,
        theme::font(theme::SMALL),
        canvas.theme.dropout_text,
    );
    let size = caption.size();
    Some(Name {
        // Above the band, lest it be read as the dropout line's own.
        at_line: beside_curve(&line, size, 3.0, Beside::Above, &SHARES),
        ..beside_line(caption, line, canvas.theme.dropout)
    })
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
        edge: None,
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
        edge: None,
    }
}

/// The line of a ghost that has its name: its dropout line, else the upper edge of its region.
pub(super) fn ghost_line(canvas: &Canvas, ghost: &Ghost<'_>) -> Vec<Pos2> {
    let dropout = ghost
        .envelope
        .limits
        .iter()
        .find(|l| l.limit == Limit::Dropout);
    if let Some(Curve::Ceiling(points)) = dropout.map(|line| &line.curve) {
        return canvas.line(points);
    }
    let top = ghost.envelope.region.iter();
    top.map(|r| canvas.at([r[0], r[2]])).collect()
}

/// A place at the line where hardly another line runs.
fn at_line(canvas: &mut Canvas, name: &Name) -> Option<Rect> {
    let size = name.caption.size();
    // What stands on its own line has that below it.
    let clean = CLEAN
        + if name.caption.ground >= 1.0 {
            1.5 * size.x
        } else {
            0.0
        };
    canvas.places.place_clean(size, &name.at_line, clean)
}

/// True if a line leaves the frame at its right side, and its name has room beside it.
fn reaches_rim(canvas: &Canvas, name: &Name) -> bool {
    let right = canvas.frame().right();
    let width = LEADER + name.caption.size().x;
    right + width <= canvas.room.right()
        && (name.line.last()).is_some_and(|end| (end.x - right).abs() < 1.5)
}

/// Names beside the plane, each as near to the end of its line as they may be above one another; what has no room there goes to the
/// nearest free place, with a leader to its line.
fn on_rim(canvas: &mut Canvas, names: Vec<Name>) -> Vec<Placed> {
    let (frame, room) = (canvas.frame(), canvas.room);
    let (mut rim, mut led): (Vec<Name>, Vec<Name>) =
        (names.into_iter()).partition(|name| reaches_rim(canvas, name));
    let end = |name: &Name| name.line.last().map_or(0.0, |end| end.y);
    rim.sort_by(|a, b| end(a).total_cmp(&end(b)));
    let foot = level_name_area(canvas).top();
    let placed = loop {
        let wanted: Vec<[f32; 2]> = (rim.iter())
            .map(|name| [end(name), name.caption.size().y])
            .collect();
        if let Some(tops) = spread(&wanted, 2.0, [room.top(), foot - 2.0]) {
            break tops;
        }
        // The rim is full: the last of them finds another place.
        led.extend(rim.pop());
    };
    let mut all = Vec::new();
    for (name, top) in rim.into_iter().zip(placed) {
        let corner = Pos2::new(frame.right() + LEADER, top);
        let area = Rect::from_min_size(corner, name.caption.size());
        canvas.places.take(area);
        let leader = name.line.last().map(|end| [area.left_center(), *end]);
        all.push(Placed::of(name, area, leader));
    }
    for name in led {
        let size = name.caption.size();
        if name.line.len() < 2 {
            continue;
        }
        let beside = Rect::from_min_max(Pos2::new(frame.right() + LEADER, room.top()), room.max);
        let bounds = [frame.shrink(2.0), beside];
        if let Some((area, _)) = canvas.places.place_near(&bounds, size, &name.line) {
            all.push(Placed::of(name, area, None));
        }
    }
    all
}

impl Placed {
    fn of(name: Name, area: Rect, leader: Option<[Pos2; 2]>) -> Self {
        // A name that stands off its line has a short leader, which shows whose it is.
        let leader = leader.or_else(|| {
            let at = nearest_in(&name.line, area.center())?;
            let from = area.clamp(at);
            (from.distance(at) > LED_FROM).then_some([from, at])
        });
        Self {
            caption: name.caption,
            area,
            leader,
            colour: name.colour,
            edge: name.edge,
        }
    }
}

fn paint(canvas: &Canvas, placed: &Placed) {
    let painter = &canvas.margin_painter;
    if let Some([from, to]) = placed.leader {
        painter.line_segment([from, to], Stroke::new(1.0, placed.colour));
        if placed.edge.is_none() {
            painter.circle_filled(to, 2.5, placed.colour);
        }
    }
    match placed.edge {
        Some(edge) => {
            painter.rect(
                placed.area,
                4.0,
                canvas.theme.card,
                edge,
                StrokeKind::Inside,
            );
            canvas.paint_letters(&placed.caption, placed.area);
        }
        None => canvas.paint_caption(&placed.caption, placed.area),
    }
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
        edge: Some(match ray.selection {
            Selection::Selected => Stroke::new(1.5, theme.ink),
            Selection::Other => Stroke::new(1.0, theme.line),
        }),
    }
}

/// Names of loads in a row above the plane, as near to the ends of their lines as they may be side by side.
fn paint_above(canvas: &mut Canvas, input: &PlotInput<'_>, mut rays: Vec<&LoadRay>) {
    rays.sort_by(|a, b| a.ends[1].x.total_cmp(&b.ends[1].x));
    let bounds = [canvas.frame().left() - 4.0, canvas.room.right()];
    let top = canvas.room.top();
    // All in full, else the selected one alone, else none; what then has no room goes into the plane.
    let mut names = Vec::new();
    let mut lefts = Vec::new();
    for full in [
        |_: Selection| true,
        |one| one == Selection::Selected,
        |_| false,
    ] {
        names = (rays.iter())
            .map(|ray| {
                let label = input.loads.get(ray.index).map_or("", |load| load.label);
                let text = if full(ray.selection) {
                    label
                } else {
                    short(label)
                };
                chip_name(canvas, text, ray)
            })
            .collect();
        let wanted: Vec<[f32; 2]> = (names.iter().zip(&rays))
            .map(|(name, ray)| [ray.ends[1].x, name.caption.size().x])
            .collect();
        let fits = spread(&wanted, 4.0, bounds);
        let off = |lefts: &Vec<f32>| {
            (lefts.iter().zip(&wanted))
                .map(|(left, [middle, length])| (left + 0.5 * length - middle).abs())
                .fold(0.0, f32::max)
        };
        // A name far off the end of its line is a longer way to read than one in fewer words.
        let is_found = fits.as_ref().is_some_and(|lefts| off(lefts) <= OFF);
        // With more than fit, as many as do.
        lefts = fits.unwrap_or_else(|| {
            (0..wanted.len())
                .rev()
                .find_map(|count| spread(wanted.get(..count)?, 4.0, bounds))
                .unwrap_or_default()
        });
        if is_found {
            break;
        }
    }
    let rest = names.split_off(lefts.len());
    for (name, left) in names.into_iter().zip(lefts) {
        let size = vec2(name.caption.size().x, CHIP);
        let area = Rect::from_min_size(Pos2::new(left, top), size);
        canvas.places.take(area);
        let end = name.line.last().copied().unwrap_or(area.center());
        let leader = [Pos2::new(area.center().x, area.bottom()), end];
        paint(canvas, &Placed::of(name, area, Some(leader)));
    }
    for name in rest {
        let (size, frame) = (name.caption.size(), canvas.frame().shrink(2.0));
        if let Some((area, leader)) = canvas.places.place_near(&[frame], size, &name.line) {
            paint(canvas, &Placed::of(name, area, Some(leader)));
        }
    }
}
