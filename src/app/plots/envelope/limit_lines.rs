//! The line of each limit: where it runs on the screen and how it is drawn.

use crate::app::plots::envelope::PlotInput;
use crate::app::plots::envelope::canvas::{Canvas, Dash};
use crate::app::plots::geometry::Hatch;
use crate::app::theme::Theme;
use crate::parts::Stage;
use crate::physics::envelope::{Curve, Envelope, LimitCurve, Point};
use crate::physics::limit::Limit;
use egui::{Color32, Pos2, Vec2, vec2};

/// What shape a limit has in the plane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    /// Allowed below.
    Ceiling,
    /// Allowed above.
    Floor,
    /// Allowed to the left.
    Wall,
}

impl Shape {
    /// Towards the forbidden side on the screen.
    pub(super) fn forbidden(self) -> Vec2 {
        match self {
            Self::Ceiling => vec2(0.0, -1.0),
            Self::Floor => vec2(0.0, 1.0),
            Self::Wall => vec2(1.0, 0.0),
        }
    }
}

/// How much a limit matters for this envelope.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Weight {
    /// Something else is met before.
    Behind,
    /// It is part of the envelope's edge.
    Edge,
    /// The tightest at the point.
    Tightest,
}

/// A limit with a line in the plane.
#[derive(Debug, Clone)]
pub(super) struct LimitLine {
    /// Which limit.
    pub(super) limit: Limit,
    /// Its shape.
    pub(super) shape: Shape,
    /// How much it matters.
    pub(super) weight: Weight,
    /// On the screen, left to right or bottom to top; may leave the frame.
    pub(super) points: Vec<Pos2>,
}

/// All limits that have a line, those that matter least first.
pub(super) fn limit_lines(canvas: &Canvas, input: &PlotInput<'_>, wall_top: f32) -> Vec<LimitLine> {
    let tightest = input.point.and_then(Point::tightest).map(|u| u.limit);
    let mut lines: Vec<LimitLine> = input
        .envelope
        .limits
        .iter()
        .filter_map(|line| {
            let (shape, points) = on_screen(canvas, &line.curve, wall_top)?;
            let weight = if tightest == Some(line.limit) {
                Weight::Tightest
            } else if matches!(line.limit, Limit::Dropout | Limit::GridFloor)
                || is_edge(input.envelope, line)
            {
                Weight::Edge
            } else {
                Weight::Behind
            };
            if weight == Weight::Behind && is_small_print(line.limit) {
                return None;
            }
            Some(LimitLine {
                limit: line.limit,
                shape,
                weight,
                points,
            })
        })
        .collect();
    lines.sort_by_key(|l| l.weight);
    lines
}

/// True for what the regulator's small tubes bear: drawn only where it cuts the envelope.
fn is_small_print(limit: Limit) -> bool {
    limit.stage() == Stage::Regulator && limit != Limit::GridFloor
}

/// A boundary on the screen; a wall goes up to `wall_top`.
pub(super) fn on_screen(
    canvas: &Canvas,
    curve: &Curve,
    wall_top: f32,
) -> Option<(Shape, Vec<Pos2>)> {
    match curve {
        Curve::Ceiling(points) if points.len() > 1 => Some((Shape::Ceiling, canvas.line(points))),
        Curve::Floor(points) if points.len() > 1 => Some((Shape::Floor, canvas.line(points))),
        Curve::Wall(amps) => {
            let foot = canvas.at([*amps, 0.0]);
            let bottom = canvas.frame().bottom();
            Some((
                Shape::Wall,
                vec![Pos2::new(foot.x, bottom), Pos2::new(foot.x, wall_top)],
            ))
        }
        _ => None,
    }
}

/// True if a limit's boundary is part of the envelope's edge.
fn is_edge(envelope: &Envelope, line: &LimitCurve) -> bool {
    let Some(end) = envelope.region.last() else {
        return false;
    };
    let tallest = envelope.region.iter().map(|r| r[2]).fold(0.0, f64::max);
    let close = |points: &[[f64; 2]], column: &[f64; 3], which: usize| {
        let edge = column.get(which).copied().unwrap_or_default();
        height_at(points, column[0]).is_some_and(|v| (v - edge).abs() <= 0.004 * tallest)
    };
    match &line.curve {
        Curve::Ceiling(points) => envelope.region.iter().any(|r| close(points, r, 2)),
        Curve::Floor(points) => envelope
            .region
            .iter()
            .any(|r| r[1] > 0.0 && close(points, r, 1)),
        Curve::Wall(amps) => {
            (amps - end[0]).abs() <= 0.01 * end[0] && is_first_wall(envelope, *amps)
        }
        _ => false,
    }
}

/// True if no other wall stands further left.
fn is_first_wall(envelope: &Envelope, amps: f64) -> bool {
    envelope
        .limits
        .iter()
        .all(|l| !matches!(l.curve, Curve::Wall(other) if other < amps))
}

/// Volts of a boundary at a current, between its points.
fn height_at(points: &[[f64; 2]], amps: f64) -> Option<f64> {
    points.iter().zip(points.iter().skip(1)).find_map(|(a, b)| {
        if a[0] <= amps && amps <= b[0] && a[0] < b[0] {
            Some(a[1] + (b[1] - a[1]) * (amps - a[0]) / (b[0] - a[0]))
        } else {
            None
        }
    })
}

/// Colours, dash and strokes of a limit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    /// Of the line.
    pub(super) line: Color32,
    /// Of its name.
    pub(super) text: Color32,
    /// Lengths of dashes and gaps; none for a whole line.
    pub(super) dash: Dash,
    /// Width of the line where it is the envelope's edge.
    pub(super) width: f32,
    /// The strokes on the forbidden side.
    pub(super) hatch: Hatch,
}

/// How a limit is drawn.
///
/// What harms a part if exceeded has leaning strokes, close together; what the supply just does not do
/// (dropout, ends of the output range) has short square strokes, wide apart.
pub(super) fn look(theme: &Theme, limit: Limit) -> Look {
    let (line, text, dash, width): (Color32, Color32, Dash, f32) = match limit {
        Limit::Dropout => (theme.dropout, theme.dropout_text, &[], 2.2),
        Limit::SetRangeHigh | Limit::SetRangeLow => (theme.envelope, theme.envelope_text, &[], 1.8),
        Limit::PlateDissipation => (theme.dissipation, theme.dissipation_text, &[], 2.2),
        Limit::ScreenDissipation => (
            theme.dissipation,
            theme.dissipation_text,
            &[[6.0, 3.0], [2.0, 3.0]],
            1.8,
        ),
        Limit::EnvelopeDissipation => (
            theme.dissipation,
            theme.dissipation_text,
            &[[12.0, 3.0]],
            2.0,
        ),
        Limit::PlateCurrent => (
            theme.dissipation,
            theme.dissipation_text,
            &[[9.0, 4.0]],
            1.8,
        ),
        Limit::PlateVolts => (
            theme.dissipation,
            theme.dissipation_text,
            &[[3.0, 3.0]],
            1.8,
        ),
        Limit::GridFloor | Limit::ControlGridCeiling => {
            (theme.dropout, theme.dropout_text, &[[8.0, 3.0]], 2.0)
        }
        Limit::RectifierDc => (theme.winding, theme.winding_text, &[[3.0, 3.0]], 1.8),
        Limit::RectifierPeak => (
            theme.winding,
            theme.winding_text,
            &[[12.0, 3.0], [2.0, 3.0]],
            1.8,
        ),
        Limit::WindingRms => (theme.winding, theme.winding_text, &[[8.0, 4.0]], 1.8),
        Limit::ChokeCurrent(_) => (
            theme.winding,
            theme.winding_text,
            &[[6.0, 3.0], [2.0, 3.0], [2.0, 3.0]],
            1.8,
        ),
        Limit::CapacitorRipple(_) => (theme.near, theme.near_text, &[[5.0, 3.0]], 1.8),
        // What the regulator and the heaters bear.
        _ if limit.stage() == Stage::Regulator || limit.stage() == Stage::PassStage => {
            (theme.near, theme.near_text, &[[8.0, 3.0], [2.0, 3.0]], 1.8)
        }
        _ => (theme.near, theme.near_text, &[[2.0, 2.0]], 1.8),
    };
    let hatch = if limit.is_rating() {
        Hatch {
            spacing: 11.0,
            length: 9.0,
            lean: 0.8,
        }
    } else {
        Hatch {
            spacing: 18.0,
            length: 6.0,
            lean: 0.0,
        }
    };
    Look {
        line,
        text,
        dash,
        width,
        hatch,
    }
}
