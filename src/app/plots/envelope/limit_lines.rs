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
/// (dropout, ends of the output range) has short square strokes, wide apart. No two kinds have dash and strokes in common: on grey
/// paper there is nothing else to tell them by.
pub(super) fn look(theme: &Theme, limit: Limit) -> Look {
    let (line, text) = match limit {
        Limit::Dropout | Limit::GridFloor | Limit::ControlGridCeiling => {
            (theme.dropout, theme.dropout_text)
        }
        Limit::SetRangeHigh | Limit::SetRangeLow => (theme.envelope, theme.envelope_text),
        Limit::PlateDissipation
        | Limit::ScreenDissipation
        | Limit::EnvelopeDissipation
        | Limit::PlateCurrent
        | Limit::PlateVolts => (theme.dissipation, theme.dissipation_text),
        Limit::RectifierDc | Limit::RectifierPeak | Limit::WindingRms | Limit::ChokeCurrent(_) => {
            (theme.winding, theme.winding_text)
        }
        _ => (theme.near, theme.near_text),
    };
    let (dash, width): (Dash, f32) = match limit {
        Limit::Dropout | Limit::PlateDissipation => (&[], 2.2),
        Limit::SetRangeHigh | Limit::SetRangeLow => (&[[20.0, 3.0]], 1.8),
        Limit::EnvelopeDissipation => (&[[12.0, 3.0]], 2.0),
        Limit::GridFloor | Limit::ControlGridCeiling => (&[[8.0, 3.0]], 2.0),
        Limit::WindingRms => (&[[7.0, 4.0]], 1.8),
        Limit::CapacitorRipple(_) => (&[[4.5, 3.0]], 1.8),
        Limit::RectifierDc => (&[[3.0, 3.0]], 1.8),
        Limit::ScreenDissipation => (&[[6.0, 3.0], [2.0, 3.0]], 1.8),
        Limit::RectifierPeak => (&[[11.0, 3.0], [2.0, 3.0]], 1.8),
        Limit::ChokeCurrent(_) => (&[[6.0, 3.0], [2.0, 3.0], [2.0, 3.0]], 1.8),
        Limit::PlateCurrent => (&[[12.0, 3.0], [2.0, 3.0], [2.0, 3.0]], 1.8),
        Limit::PlateVolts => (&[[7.0, 2.5], [2.0, 2.5], [2.0, 2.5], [2.0, 2.5]], 1.8),
        // What the regulator and the heaters bear.
        _ if limit.stage() == Stage::Regulator || limit.stage() == Stage::PassStage => {
            (&[[17.0, 3.0], [2.0, 3.0]], 1.8)
        }
        _ => (&[[2.0, 2.0]], 1.8),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;

    /// A colour in linear light, 0 to 1.
    fn linear(colour: Color32) -> [f64; 3] {
        [colour.r(), colour.g(), colour.b()].map(|byte| {
            let c = f64::from(byte) / 255.0;
            if c <= 0.04045 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        })
    }

    /// CIE 1976 L*a*b* of linear sRGB with white D65.
    fn lab(rgb: [f64; 3]) -> [f64; 3] {
        let [r, g, b] = rgb.map(|c| c.clamp(0.0, 1.0));
        let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.95047;
        let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.08883;
        let f = |t: f64| {
            if t > 0.008_856 {
                t.cbrt()
            } else {
                7.787 * t + 16.0 / 116.0
            }
        };
        [
            116.0 * f(y) - 16.0,
            500.0 * (f(x) - f(y)),
            200.0 * (f(y) - f(z)),
        ]
    }

    /// How eyes see: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE Transactions on Visualization and Computer Graphics 15
    /// (2009) 1291, the table's matrices for severity 1.0, on linear RGB; grey print by relative luminance.
    const EYES: [(&str, [[f64; 3]; 3]); 5] = [
        (
            "all cones",
            [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        ),
        (
            "protanopia",
            [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
        ),
        (
            "deuteranopia",
            [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
        ),
        (
            "tritanopia",
            [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        ),
        ("grey print", [[0.2126, 0.7152, 0.0722]; 3]),
    ];

    /// Thin lines whose colours are nearer than this (ΔE*ab 1976) are not told apart by them: ten times what is just seen on
    /// large areas side by side.
    const CLOSE: f64 = 23.0;

    fn apart_by_colour(a: Color32, b: Color32, eye: [[f64; 3]; 3]) -> f64 {
        let seen = |colour: Color32| {
            let rgb = linear(colour);
            lab(eye.map(|row| row.iter().zip(rgb).map(|(m, c)| m * c).sum()))
        };
        let (a, b) = (seen(a), seen(b));
        a.iter()
            .zip(b)
            .map(|(a, b)| (a - b).powi(2))
            .sum::<f64>()
            .sqrt()
    }

    /// True if two dashes are told apart: by how many strokes make one round, or by a first stroke that is a third longer.
    fn apart_by_dash(a: Dash, b: Dash) -> bool {
        let first = |dash: Dash| dash.first().map_or(f32::INFINITY, |stroke| stroke[0]);
        let (long, short) = (first(a).max(first(b)), first(a).min(first(b)));
        a.len() != b.len() || (long.is_finite() && long / short > 1.33)
    }

    /// All limits that any preset has.
    fn limits() -> Vec<Limit> {
        let mut limits = Vec::new();
        for (_, text) in presets() {
            let work = read_work(text, &Catalogue::built_in()).unwrap();
            for limit in crate::physics::limit::all(&work.supply) {
                if !limits.contains(&limit) {
                    limits.push(limit);
                }
            }
        }
        limits
    }

    #[test]
    fn no_two_kinds_of_limit_are_told_apart_by_colour_alone_by_any_eye() {
        let mut alike = Vec::new();
        for theme in [Theme::dark(), Theme::light(), Theme::print()] {
            let limits = limits();
            for (k, a) in limits.iter().enumerate() {
                for b in limits.iter().skip(k + 1) {
                    let (one, other) = (look(&theme, *a), look(&theme, *b));
                    let is_same_kind = one.line == other.line
                        && one.dash == other.dash
                        && one.hatch == other.hatch;
                    if is_same_kind
                        || one.hatch != other.hatch
                        || apart_by_dash(one.dash, other.dash)
                    {
                        continue;
                    }
                    for (eye, matrix) in EYES {
                        let apart = apart_by_colour(one.line, other.line, matrix);
                        if apart < CLOSE {
                            alike.push(format!("{a:?} and {b:?}, {eye}: {apart:.0}"));
                        }
                    }
                }
            }
        }
        assert!(alike.is_empty(), "{alike:#?}");
    }

    /// Near, over, envelope and dropout, as they are used where no line has a dash: bars and fills. Near and over have a mark each.
    #[test]
    fn near_and_over_are_not_taken_for_good_by_any_eye_that_sees_colour() {
        for theme in [Theme::dark(), Theme::light()] {
            for (eye, matrix) in EYES.into_iter().filter(|(eye, _)| *eye != "grey print") {
                for bad in [theme.near, theme.over] {
                    for good in [theme.envelope, theme.dropout] {
                        let apart = apart_by_colour(bad, good, matrix);
                        assert!(apart >= CLOSE, "{eye}: {bad:?} {good:?}: {apart:.0}");
                    }
                }
            }
        }
    }

    #[test]
    fn the_ghosts_are_told_apart_by_their_dashes() {
        use crate::app::theme::ghost_dash;
        let letters = [Some('a'), Some('b'), Some('c'), Some('d'), None];
        for (k, a) in letters.into_iter().enumerate() {
            for b in letters.into_iter().skip(k + 1) {
                assert!(apart_by_dash(ghost_dash(a), ghost_dash(b)), "{a:?} {b:?}");
            }
        }
    }
}
