//! Areas and lines of the picture, far to near. Labels come later, when all lines are known.

use crate::app::plots::envelope::canvas::{Canvas, Dash};
use crate::app::plots::envelope::limit_lines::{
    LimitLine, Shape as LimitShape, Weight, limit_lines, look, on_screen,
};
use crate::app::plots::envelope::load_rays::{LoadRay, load_rays, paint_rays};
use crate::app::plots::envelope::margins::{self, Contour};
use crate::app::plots::envelope::reach::{OverARating, paint_over_a_rating};
use crate::app::plots::envelope::tolerance::paint_band;
use crate::app::plots::envelope::{Cross, Ghost, MainsLines, PlotInput, StressZone};
use crate::app::plots::geometry;
use crate::app::theme;
use crate::app::widgets::landmark::Landmark;
use crate::bench::odds::dropout_line;
use crate::physics::envelope::{Curve, Envelope, Point};
use crate::physics::limit::{Limit, Use};
use egui::{Color32, Mesh, Pos2, Rect, Shape, Stroke, Vec2, vec2};

/// What was drawn and now wants labels.
pub(super) struct Scene {
    /// Limits, the least important first.
    pub(super) limits: Vec<LimitLine>,
    /// Dummy loads.
    pub(super) rays: Vec<LoadRay>,
    /// The dropout lines at low and high mains.
    pub(super) companions: [Option<Vec<Pos2>>; 2],
    /// The lowest regulated output at low and high mains.
    pub(super) floors: [Option<Vec<Pos2>>; 2],
    /// Where regulation is lost.
    pub(super) lost: Vec<Pos2>,
    /// The published lines of what is accepted as built.
    pub(super) published: Vec<(Limit, Vec<Pos2>)>,
    /// The lower and the upper part of the stress zone, as far as they are in the frame.
    pub(super) zone: Option<[Rect; 2]>,
    /// The upper edge of the dropout line's band, if it is shown.
    pub(super) band: Vec<Pos2>,
    /// Contours of the margin map, if it is shown.
    pub(super) contours: Vec<Contour>,
    /// What is within reach but over a rating.
    pub(super) over_a_rating: OverARating,
}

const COMPANION: Dash = &[];
const DOTTED: Dash = &[[1.5, 3.0]];
const GUIDE: Dash = &[[2.5, 2.5]];

/// Draws everything but the labels.
pub(super) fn paint_layers(canvas: &mut Canvas, input: &PlotInput<'_>) -> Scene {
    let frame = canvas.frame();
    let zone = input.zone.map(|zone| zone_areas(canvas, zone));
    let wall_top = zone.map_or(frame.top(), |[near, _]| {
        near.bottom().clamp(frame.top(), frame.bottom())
    });
    let over_a_rating = paint_over_a_rating(canvas, input.envelope);
    canvas.hatched.extend(over_a_rating.areas());
    let contours = if let Some(map) = margins::wanted(input) {
        canvas.hatched.push(frame);
        margins::paint_margins(canvas, input.envelope, map)
    } else {
        paint_region(canvas, input.envelope);
        Vec::new()
    };
    if let (Some(areas), Some(zone)) = (zone, input.zone) {
        paint_zone(canvas, areas, zone);
    }
    let band = paint_tolerance(canvas, input);
    for ghost in input.ghosts {
        paint_ghost(canvas, ghost);
    }
    let lost = paint_lost_regulation(canvas, input);
    let [companions, floors] = match input.mains_lines {
        MainsLines::Shown => {
            [Limit::Dropout, Limit::GridFloor].map(|limit| paint_companions(canvas, input, limit))
        }
        MainsLines::LeftOut => Default::default(),
    };
    let limits = limit_lines(canvas, input, wall_top);
    for line in &limits {
        paint_limit(canvas, line, has_room(&limits, line));
    }
    let published = paint_published(canvas, input.envelope);
    paint_axes(canvas);
    let mut rays = load_rays(canvas, input);
    for ray in &mut rays {
        // In the stress zone they would only be in the way of its name.
        ray.ticks.retain(|(_, at)| at.y > wall_top);
    }
    paint_rays(canvas, &rays);
    for cross in input.readings {
        paint_cross(canvas, cross);
    }
    if let Some(point) = input.point {
        paint_point(canvas, point);
    }
    Scene {
        limits,
        rays,
        companions,
        floors,
        lost,
        published,
        zone,
        band,
        contours,
        over_a_rating,
    }
}

/// The envelope itself: a strip from the lowest to the highest allowed volts.
fn paint_region(canvas: &Canvas, envelope: &Envelope) {
    let region = &envelope.region;
    // Where something is exceeded with nothing connected, no part of the plane is good.
    if region.len() < 2 || !envelope.broken_everywhere.is_empty() {
        return;
    }
    let (fill, edge) = (canvas.theme.envelope_fill, canvas.theme.envelope);
    let mut mesh = Mesh::default();
    let mut index = 0_u32;
    let (mut low, mut high) = (Vec::new(), Vec::new());
    for &[amps, lowest, highest] in region {
        low.push(canvas.at([amps, lowest]));
        high.push(canvas.at([amps, highest]));
    }
    for (&l, &h) in low.iter().zip(&high) {
        mesh.colored_vertex(l, fill);
        mesh.colored_vertex(h, fill);
        if index >= 2 {
            mesh.add_triangle(index - 2, index - 1, index);
            mesh.add_triangle(index - 1, index, index + 1);
        }
        index += 2;
    }
    canvas.painter.add(Shape::mesh(mesh));
    let outline: Vec<Pos2> = low.into_iter().chain(high.into_iter().rev()).collect();
    canvas
        .painter
        .add(Shape::closed_line(outline, Stroke::new(1.0, edge)));
}

/// The band of the dropout line at present mains.
fn paint_tolerance(canvas: &mut Canvas, input: &PlotInput<'_>) -> Vec<Pos2> {
    let Some(band) = &input.band else {
        return Vec::new();
    };
    let line = canvas.line(dropout_line(input.envelope));
    paint_band(canvas, band, &line)
}

/// Where a rating is accepted as built: the line of the published one, thin and dotted.
fn paint_published(canvas: &mut Canvas, envelope: &Envelope) -> Vec<(Limit, Vec<Pos2>)> {
    let mut published = Vec::new();
    for line in &envelope.limits {
        let Some(points) = line
            .published
            .as_ref()
            .and_then(|c| published_line(canvas, c))
        else {
            continue;
        };
        let colour = look(&canvas.theme, line.limit).line;
        canvas.stroke(&points, Stroke::new(1.2, colour), DOTTED);
        canvas.avoid(&points);
        published.push((line.limit, points));
    }
    published
}

/// A curve on the screen, whatever its kind; `None` where it draws nothing.
fn published_line(canvas: &Canvas, curve: &Curve) -> Option<Vec<Pos2>> {
    let frame = canvas.frame();
    match curve {
        Curve::Ceiling(points) | Curve::Floor(points) => Some(canvas.line(points)),
        Curve::Wall(amps) => {
            let x = canvas.at([*amps, 0.0]).x;
            Some(vec![
                Pos2::new(x, frame.bottom()),
                Pos2::new(x, frame.top()),
            ])
        }
        Curve::Everywhere(_) | Curve::OutOfReach | Curve::NotKnown(_) => None,
    }
}

/// The two parts of the stress zone on the screen, cut at the frame.
fn zone_areas(canvas: &Canvas, zone: &StressZone) -> [Rect; 2] {
    let frame = canvas.frame();
    let near = canvas
        .at([0.0, zone.near_volts])
        .y
        .clamp(frame.top(), frame.bottom());
    let over = canvas
        .at([0.0, zone.over_volts])
        .y
        .clamp(frame.top(), frame.bottom());
    [
        Rect::from_x_y_ranges(frame.x_range(), over..=near),
        Rect::from_x_y_ranges(frame.x_range(), frame.top()..=over),
    ]
}

fn paint_zone(canvas: &mut Canvas, [near, over]: [Rect; 2], zone: &StressZone) {
    let theme = canvas.theme;
    for (area, fill, line) in [
        (near, theme.near_fill, theme.near),
        (over, theme.over_fill, theme.over),
    ] {
        if !area.is_positive() {
            continue;
        }
        canvas.painter.rect_filled(area, 0.0, fill);
        let hatch = geometry::fill_hatch(area, 9.0);
        canvas.strokes(&hatch, Stroke::new(0.8, line.gamma_multiply(0.45)));
        let edge = [area.left_bottom(), area.right_bottom()];
        let dash: Dash = if line == theme.near {
            &[[3.0, 3.0]]
        } else {
            &[]
        };
        canvas.stroke(&edge, Stroke::new(1.4, line), dash);
        canvas.places.avoid(edge);
        canvas.hatched.push(area);
    }
    let mark = canvas.at([0.0, zone.bus_volts]);
    let left = canvas.frame().left();
    let colour = bus_colour(canvas, zone);
    let points = vec![
        Pos2::new(left, mark.y - 5.0),
        Pos2::new(left + 9.0, mark.y),
        Pos2::new(left, mark.y + 5.0),
    ];
    canvas.painter.line_segment(
        [Pos2::new(left, mark.y), Pos2::new(left + 20.0, mark.y)],
        Stroke::new(2.5, colour),
    );
    canvas
        .painter
        .add(Shape::convex_polygon(points, colour, Stroke::NONE));
}

/// The colour of the bus mark: where it stands.
pub(super) fn bus_colour(canvas: &Canvas, zone: &StressZone) -> Color32 {
    if zone.bus_volts > zone.over_volts {
        canvas.theme.over_text
    } else if zone.bus_volts >= zone.near_volts {
        canvas.theme.near_text
    } else {
        canvas.theme.middle
    }
}

/// Its region, and its dropout line: that often moves where the region, cut by the output range, does not.
fn paint_ghost(canvas: &mut Canvas, ghost: &Ghost<'_>) {
    let dash = theme::ghost_dash(ghost.letter);
    let region = &ghost.envelope.region;
    let dropout = ghost
        .envelope
        .limits
        .iter()
        .find(|l| l.limit == Limit::Dropout);
    if let Some(Curve::Ceiling(points)) = dropout.map(|l| &l.curve) {
        let line = canvas.line(points);
        canvas.stroke(&line, Stroke::new(1.0, canvas.theme.middle), dash);
        canvas.avoid(&line);
    }
    if region.len() < 2 {
        return;
    }
    let low = region.iter().map(|r| canvas.at([r[0], r[1]]));
    let high = region.iter().rev().map(|r| canvas.at([r[0], r[2]]));
    let mut outline: Vec<Pos2> = low.chain(high).collect();
    outline.extend(outline.first().copied());
    canvas.stroke(&outline, Stroke::new(1.3, canvas.theme.middle), dash);
    canvas.avoid(&outline);
}

/// Where even the mean of the bus no longer suffices, at present mains.
fn paint_lost_regulation(canvas: &mut Canvas, input: &PlotInput<'_>) -> Vec<Pos2> {
    let points = canvas.line(&input.envelope.lost_regulation);
    canvas.stroke(&points, Stroke::new(1.0, canvas.theme.dropout), DOTTED);
    canvas.avoid(&points);
    points
}

/// A line that is no rating at low and at high mains, thin.
fn paint_companions(
    canvas: &mut Canvas,
    input: &PlotInput<'_>,
    limit: Limit,
) -> [Option<Vec<Pos2>>; 2] {
    let line = input.envelope.limits.iter().find(|l| l.limit == limit);
    let Some(line) = line else {
        return [None, None];
    };
    let dash = if limit == Limit::Dropout {
        COMPANION
    } else {
        look(&canvas.theme, limit).dash
    };
    let [low, _, high] = &line.at_low_present_high;
    [low, high].map(|curve| {
        if *curve == line.curve {
            return None;
        }
        let (_, points) = on_screen(canvas, curve, canvas.frame().top())?;
        if limit != Limit::Dropout {
            let (_, present) = on_screen(canvas, &line.curve, canvas.frame().top())?;
            // Three lines in one make mud.
            if apart(&points, &present) < APART {
                return None;
            }
        }
        let stroke = Stroke::new(1.0, canvas.theme.dropout.gamma_multiply(0.65));
        canvas.stroke(&points, stroke, dash);
        canvas.avoid(&points);
        Some(points)
    })
}

/// Least points between a floor and its companion.
const APART: f32 = 7.0;

/// How far two lines stand apart at their left ends (points).
fn apart(a: &[Pos2], b: &[Pos2]) -> f32 {
    match (a.first(), b.first()) {
        (Some(a), Some(b)) => (a.y - b.y).abs(),
        _ => 0.0,
    }
}

/// Whether the strokes of a limit would run into a neighbour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Room {
    Free,
    Crowded,
}

/// A wall of little weight has no strokes where another stands close by: they would make one dark bar.
fn has_room(limits: &[LimitLine], line: &LimitLine) -> Room {
    let place = |l: &LimitLine| l.points.first().map_or(0.0, |p| p.x);
    let crowded = line.shape == LimitShape::Wall
        && line.weight == Weight::Behind
        && limits
            .iter()
            .filter(|other| other.shape == LimitShape::Wall && other.limit != line.limit)
            .any(|other| (place(other) - place(line)).abs() < 16.0);
    if crowded { Room::Crowded } else { Room::Free }
}

fn paint_limit(canvas: &mut Canvas, line: &LimitLine, room: Room) {
    let look = look(&canvas.theme, line.limit);
    let frame = canvas.frame();
    let (width, strength) = match line.weight {
        Weight::Behind => (1.1, 0.8),
        Weight::Edge => (look.width, 1.0),
        Weight::Tightest => (look.width + 0.4, 1.0),
    };
    let colour = look.line.gamma_multiply(strength);
    if line.weight == Weight::Tightest {
        canvas.stroke(
            &line.points,
            Stroke::new(9.0, look.line.gamma_multiply(0.22)),
            &[],
        );
    }
    canvas.stroke(&line.points, Stroke::new(width, colour), look.dash);
    let mut hatch = look.hatch;
    if line.weight == Weight::Behind {
        hatch.length *= 0.6;
        hatch.spacing *= 1.6;
    }
    for piece in geometry::clip_polyline(&line.points, frame) {
        let strokes = geometry::hatch_strokes(&piece, line.shape.forbidden(), hatch);
        if room == Room::Free {
            canvas.strokes(&strokes, Stroke::new(1.0, colour.gamma_multiply(0.85)));
        }
        canvas.avoid(&piece);
    }
}

/// The two axes themselves.
fn paint_axes(canvas: &Canvas) {
    let frame = canvas.frame();
    let stroke = Stroke::new(1.0, canvas.theme.line);
    canvas
        .margin_painter
        .line_segment([frame.left_top(), frame.left_bottom()], stroke);
    canvas
        .margin_painter
        .line_segment([frame.left_bottom(), frame.right_bottom()], stroke);
}

/// A reading: a cross with its error bars.
fn paint_cross(canvas: &mut Canvas, cross: &Cross) {
    let centre = canvas.at(cross.at);
    let stroke = Stroke::new(1.8, canvas.theme.readings);
    let thin = Stroke::new(1.0, canvas.theme.readings);
    let arm = 5.0;
    let far = canvas.at([cross.at[0] + cross.error[0], cross.at[1] + cross.error[1]]);
    let (ex, ey) = ((far.x - centre.x).abs(), (far.y - centre.y).abs());
    for (half, along, across) in [
        (ex, vec2(1.0, 0.0), vec2(0.0, 3.0)),
        (ey, vec2(0.0, 1.0), vec2(3.0, 0.0)),
    ] {
        if half > arm {
            canvas
                .painter
                .line_segment([centre - along * half, centre + along * half], thin);
            for end in [centre - along * half, centre + along * half] {
                canvas
                    .painter
                    .line_segment([end - across, end + across], thin);
            }
        }
        canvas
            .painter
            .line_segment([centre - along * arm, centre + along * arm], stroke);
    }
    canvas
        .places
        .take(Rect::from_center_size(centre, Vec2::splat(2.0 * arm)));
}

/// The point: guide lines to both axes, the way to the tightest limit, the handle.
fn paint_point(canvas: &mut Canvas, point: &Point) {
    let at = canvas.at([point.amps, point.volts]);
    let theme = canvas.theme;
    let frame = canvas.frame();
    let guide = Stroke::new(1.0, theme.middle);
    canvas.stroke(&[Pos2::new(frame.left(), at.y), at], guide, GUIDE);
    canvas.stroke(&[Pos2::new(at.x, frame.bottom()), at], guide, GUIDE);
    canvas.places.avoid([Pos2::new(frame.left(), at.y), at]);
    canvas.places.avoid([Pos2::new(at.x, frame.bottom()), at]);
    let ratio = point.tightest().and_then(Use::ratio);
    let colour = match ratio {
        _ if point.operation.is_none() => theme.over,
        Some(ratio) if ratio >= theme::NEAR => theme.use_mark(ratio),
        _ => theme.ink,
    };
    let around = Rect::from_center_size(at, Vec2::splat(36.0));
    Landmark::Ring.stands_at(canvas.painter.ctx(), around);
    canvas
        .painter
        .circle_filled(at, 15.0, colour.gamma_multiply(0.16));
    canvas
        .painter
        .circle(at, 6.5, theme.ground, Stroke::new(3.0, colour));
    if ratio.is_some_and(|r| r > 1.0) || point.operation.is_none() {
        // Not by colour alone: a point that is not allowed is crossed out.
        let arm = vec2(3.2, 3.2);
        canvas
            .painter
            .line_segment([at - arm, at + arm], Stroke::new(1.6, colour));
    }
    if canvas.has_focus {
        canvas
            .painter
            .circle_stroke(at, 11.0, Stroke::new(1.8, theme.dropout));
    }
    canvas
        .places
        .take(Rect::from_center_size(at, Vec2::splat(24.0)));
}
