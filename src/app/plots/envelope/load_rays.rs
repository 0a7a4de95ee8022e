//! The lines of the dummy loads: rays from the origin with watt ticks, bold where nothing is exceeded.

use crate::app::plots::envelope::PlotInput;
use crate::app::plots::envelope::canvas::{Canvas, Dash};
use crate::app::plots::geometry;
use egui::{Pos2, Rect, Shape, Stroke, Vec2, vec2};

/// Ticks keep this distance from each other (points).
const TICK_GAP: f64 = 40.0;
/// With more dummy loads than this, only the selected one has watt ticks.
const TICKED_LOADS: usize = 4;
/// In a narrower frame only the selected load has watt ticks (points).
const NARROW: f32 = 480.0;
/// Shortest ray worth drawing (points).
const LEAST_LENGTH: f32 = 8.0;

/// Dash of the part of a line that is not allowed.
const BEYOND: Dash = &[[6.0, 3.0]];

/// A dummy load's line on the screen.
#[derive(Debug, Clone)]
pub(super) struct LoadRay {
    /// Its place among the dummy loads.
    pub(super) index: usize,
    /// From the origin to where the line leaves the frame.
    pub(super) ends: [Pos2; 2],
    /// Stretches on which nothing is exceeded.
    pub(super) allowed: Vec<[Pos2; 2]>,
    /// Where the resistor itself gives up, if that is in the picture.
    pub(super) own_end: Option<Pos2>,
    /// Watts and places of the ticks.
    pub(super) ticks: Vec<(f64, Pos2)>,
    /// Whether it is the selected one.
    pub(super) selection: Selection,
    /// Of the selected one: what its tolerance spans, from the origin.
    pub(super) band: Vec<Pos2>,
}

/// Whether a dummy load is the selected one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Selection {
    /// Its line is bold.
    Selected,
    /// One of the others.
    Other,
}

/// The rays of all dummy loads, the selected one last.
pub(super) fn load_rays(canvas: &Canvas, input: &PlotInput<'_>) -> Vec<LoadRay> {
    let mut rays: Vec<LoadRay> = input
        .loads
        .iter()
        .enumerate()
        .filter_map(|(index, _)| ray(canvas, input, index))
        .collect();
    rays.sort_by_key(|r| r.selection == Selection::Selected);
    rays
}

fn ray(canvas: &Canvas, input: &PlotInput<'_>, index: usize) -> Option<LoadRay> {
    let line = input.loads.get(index)?.line;
    if !(line.ohms.is_finite() && line.ohms > 0.0) {
        return None;
    }
    let bounds = canvas.transform.bounds();
    let [amps, volts] = bounds.max();
    let end_volts = volts.min(amps * line.ohms);
    let on_line = |volts: f64| canvas.at([volts / line.ohms, volts]);
    let ends = [on_line(0.0), on_line(end_volts)];
    if ends[0].distance(ends[1]) < LEAST_LENGTH {
        return None;
    }
    let end_watts = end_volts * end_volts / line.ohms;
    let selection = if input.selected_load == Some(index) {
        Selection::Selected
    } else {
        Selection::Other
    };
    let has_ticks = selection == Selection::Selected
        || (input.loads.len() <= TICKED_LOADS && canvas.frame().width() >= NARROW);
    let ticks = if has_ticks {
        geometry::watt_ticks(end_watts, f64::from(ends[0].distance(ends[1])), TICK_GAP)
    } else {
        Vec::new()
    };
    let ticks = ticks
        .into_iter()
        .map(|watts| (watts, on_line((watts * line.ohms).sqrt())))
        .collect();
    Some(LoadRay {
        index,
        ends,
        allowed: line
            .stretches
            .iter()
            .map(|s| [canvas.at(s.from), canvas.at(s.to)])
            .collect(),
        own_end: line
            .own_end
            .map(|(at, _)| canvas.at(at))
            .filter(|p| canvas.frame().contains(*p) && p.y >= ends[1].y),
        ticks,
        selection,
        band: if selection == Selection::Selected {
            band(canvas, line.between_ohms)
        } else {
            Vec::new()
        },
    })
}

/// The corners of what lies between two resistances (Ω): the origin, where each line leaves the frame, and the frame's corner if it
/// lies between them.
fn band(canvas: &Canvas, [low, high]: [f64; 2]) -> Vec<Pos2> {
    let [amps, volts] = canvas.transform.bounds().max();
    if !(low > 0.0 && high > low && high.is_finite()) {
        return Vec::new();
    }
    let end = |ohms: f64| {
        let top = volts.min(amps * ohms);
        canvas.at([top / ohms, top])
    };
    let mut corners = vec![canvas.at([0.0, 0.0]), end(low)];
    if low * amps < volts && volts < high * amps {
        corners.push(canvas.at([amps, volts]));
    }
    corners.push(end(high));
    corners
}

/// Draws the rays with their ticks.
pub(super) fn paint_rays(canvas: &mut Canvas, rays: &[LoadRay]) {
    let theme = canvas.theme;
    for ray in rays {
        let (colour, thin, bold) = match ray.selection {
            Selection::Selected => (theme.ink, 1.2, 2.6),
            Selection::Other => (theme.middle, 0.9, 1.9),
        };
        if !ray.band.is_empty() {
            let faint = colour.gamma_multiply(0.10);
            let shape = Shape::convex_polygon(ray.band.clone(), faint, Stroke::NONE);
            canvas.painter.add(shape);
        }
        canvas.stroke(
            &ray.ends,
            Stroke::new(thin, colour.gamma_multiply(0.75)),
            BEYOND,
        );
        for stretch in &ray.allowed {
            canvas.stroke(stretch, Stroke::new(bold, colour), &[]);
        }
        let along = (ray.ends[1] - ray.ends[0]).normalized();
        let across = along.rot90() * 5.0;
        for &(_, at) in &ray.ticks {
            canvas
                .painter
                .line_segment([at - across, at + across], Stroke::new(1.2, colour));
        }
        if let Some(at) = ray.own_end {
            let r = 4.5;
            let corners = [vec2(0.0, -r), vec2(r, 0.0), vec2(0.0, r), vec2(-r, 0.0)];
            let diamond = corners.into_iter().map(|c| at + c).collect();
            canvas.painter.add(Shape::convex_polygon(
                diamond,
                theme.ground,
                Stroke::new(1.6, theme.near),
            ));
            canvas
                .places
                .take(Rect::from_center_size(at, Vec2::splat(2.0 * r)));
        }
        canvas.places.avoid(ray.ends);
    }
}
