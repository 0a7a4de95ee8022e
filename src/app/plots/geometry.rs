//! Plane geometry of the plots, in screen points (x to the right, y down). Pure: no painter, no state.
//!
//! Everything here answers a question that a pencil would: where does the line leave the sheet, where do the
//! hatch strokes go, which point of the line is nearest, which round numbers make good ticks.

use egui::{Pos2, Rect, Vec2};

/// The part of the segment `a`–`b` inside `frame` (Liang and Barsky's clipping), if any.
///
/// # Source
/// Y.-D. Liang, B. A. Barsky, ACM Transactions on Graphics 3 (1984) 1 (from memory).
pub(crate) fn clip_segment(a: Pos2, b: Pos2, frame: Rect) -> Option<[Pos2; 2]> {
    if !(a.is_finite() && b.is_finite()) {
        return None;
    }
    let d = b - a;
    let (mut enter, mut leave) = (0.0_f32, 1.0_f32);
    let sides = [
        (-d.x, a.x - frame.left()),
        (d.x, frame.right() - a.x),
        (-d.y, a.y - frame.top()),
        (d.y, frame.bottom() - a.y),
    ];
    for (outward, room) in sides {
        if outward == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if outward < 0.0 {
            enter = enter.max(room / outward);
        } else {
            leave = leave.min(room / outward);
        }
    }
    (enter <= leave).then(|| [a + d * enter, a + d * leave])
}

/// The pieces of a polyline inside `frame`.
pub(crate) fn clip_polyline(points: &[Pos2], frame: Rect) -> Vec<Vec<Pos2>> {
    let mut pieces: Vec<Vec<Pos2>> = Vec::new();
    for [a, b] in segments(points) {
        let Some([from, to]) = clip_segment(a, b, frame) else {
            continue;
        };
        match pieces.last_mut() {
            Some(piece) if piece.last().is_some_and(|end| end.distance(from) < 0.01) => {
                piece.push(to);
            }
            _ => pieces.push(vec![from, to]),
        }
    }
    pieces
}

/// The segments of a polyline.
pub(crate) fn segments(points: &[Pos2]) -> impl Iterator<Item = [Pos2; 2]> + '_ {
    points
        .iter()
        .zip(points.iter().skip(1))
        .map(|(&a, &b)| [a, b])
}

/// How the strokes on the forbidden side of a limit are set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Hatch {
    /// From one stroke to the next along the line.
    pub(crate) spacing: f32,
    /// Length of a stroke.
    pub(crate) length: f32,
    /// 0 is square to the line, 1 leans by 45°.
    pub(crate) lean: f32,
}

/// Strokes along a polyline on the side that `forbidden` points to.
pub(crate) fn hatch_strokes(points: &[Pos2], forbidden: Vec2, hatch: Hatch) -> Vec<[Pos2; 2]> {
    let mut strokes = Vec::new();
    if hatch.spacing < 1.0 {
        return strokes;
    }
    let mut until_next = hatch.spacing * 0.5;
    for [a, b] in segments(points) {
        let length = a.distance(b);
        if length < 1e-3 {
            continue;
        }
        let along = (b - a) / length;
        let square = along.rot90();
        let square = if square.dot(forbidden) < 0.0 {
            -square
        } else {
            square
        };
        // Always lean to the right of the screen, so that all strokes of a picture run alike.
        let lean = if along.x < 0.0 || (along.x == 0.0 && along.y > 0.0) {
            -along
        } else {
            along
        };
        let stroke = (square + lean * hatch.lean).normalized() * hatch.length;
        let mut at = until_next;
        while at <= length {
            let foot = a + along * at;
            strokes.push([foot, foot + stroke]);
            at += hatch.spacing;
        }
        until_next = at - length;
    }
    strokes
}

/// Slanted lines (45°, rising to the right) that fill `area`, clipped to it.
pub(crate) fn fill_hatch(area: Rect, spacing: f32) -> Vec<[Pos2; 2]> {
    let mut lines = Vec::new();
    if !area.is_positive() || spacing < 1.0 {
        return lines;
    }
    let height = area.height();
    // Phase from the screen, not from the area: neighbouring areas join and nothing swims when one grows.
    let phase = (area.left() + area.bottom()).rem_euclid(spacing);
    let mut foot = area.left() - height - phase;
    while foot < area.right() {
        let from = Pos2::new(foot, area.bottom());
        let to = Pos2::new(foot + height, area.top());
        lines.extend(clip_segment(from, to, area));
        foot += spacing;
    }
    lines
}

/// Share of the way from `start` to `end` (0 at start, above 1 beyond the end, never below 0) nearest to `p`.
pub(crate) fn share_along_ray(start: Pos2, end: Pos2, p: Pos2) -> f32 {
    let d = end - start;
    let square = d.length_sq();
    if square <= 0.0 {
        return 0.0;
    }
    ((p - start).dot(d) / square).max(0.0)
}

/// The point of a polyline nearest to `p`.
pub(crate) fn nearest_on_polyline(points: &[Pos2], p: Pos2) -> Option<Pos2> {
    segments(points)
        .map(|[a, b]| a + (b - a) * share_along_ray(a, b, p).min(1.0))
        .min_by(|u, v| u.distance_sq(p).total_cmp(&v.distance_sq(p)))
}

/// The least number of the series 1-2-5 (by powers of ten) that is at least `least`; 1 for nonsense.
pub(crate) fn nice_at_least(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    let decade = 10.0_f64.powi(decade_of(least));
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|step| step * decade)
        .find(|&step| step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * decade)
}

/// The power of ten just below `value` > 0.
fn decade_of(value: f64) -> i32 {
    let exponent = value.log10().floor().clamp(-30.0, 30.0);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped to ±30 on the line above"
    )]
    let exponent = exponent as i32;
    exponent
}

/// Watts of the series 1-2-5 that make good ticks on a resistor's load line, highest first.
///
/// On such a line the volts go with the root of the watts: a tick of `watts` is the share
/// √(watts/`end_watts`) of the way to the end. `points_long` is the length of the line on the screen;
/// ticks keep `least_gap` from each other and from the end, and nearly twice that from the origin, where all
/// lines meet.
pub(crate) fn watt_ticks(end_watts: f64, points_long: f64, least_gap: f64) -> Vec<f64> {
    let mut ticks = Vec::new();
    if !(end_watts.is_finite() && end_watts > 0.0 && points_long.is_finite()) {
        return ticks;
    }
    let place = |watts: f64| (watts / end_watts).sqrt() * points_long;
    let mut last = points_long;
    let mut decade = decade_of(end_watts);
    for _ in 0..6 {
        for step in [5.0, 2.0, 1.0] {
            let watts = step * 10.0_f64.powi(decade);
            let at = place(watts);
            if at >= 1.8 * least_gap && at <= last - least_gap {
                ticks.push(watts);
                last = at;
            }
        }
        decade -= 1;
    }
    ticks
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{pos2, vec2};

    const FRAME: Rect = Rect {
        min: Pos2::new(0.0, 0.0),
        max: Pos2::new(100.0, 50.0),
    };

    #[test]
    fn a_segment_through_the_frame_is_cut_at_both_sides() {
        let cut = clip_segment(pos2(-10.0, 25.0), pos2(110.0, 25.0), FRAME);
        assert_eq!(cut, Some([pos2(0.0, 25.0), pos2(100.0, 25.0)]));
        assert_eq!(
            clip_segment(pos2(-10.0, 60.0), pos2(110.0, 60.0), FRAME),
            None
        );
        assert_eq!(
            clip_segment(pos2(-10.0, 40.0), pos2(10.0, 80.0), FRAME),
            None
        );
        assert_eq!(
            clip_segment(pos2(f32::NAN, 40.0), pos2(10.0, 80.0), FRAME),
            None
        );
    }

    #[test]
    fn a_polyline_that_leaves_and_comes_back_gives_two_pieces() {
        let line = [
            pos2(10.0, 10.0),
            pos2(20.0, -10.0),
            pos2(30.0, 10.0),
            pos2(40.0, 10.0),
        ];
        let pieces = clip_polyline(&line, FRAME);
        assert_eq!(pieces.len(), 2, "{pieces:?}");
        assert_eq!(pieces[1].len(), 3, "{pieces:?}");
    }

    #[test]
    fn hatch_strokes_lie_on_the_forbidden_side_whatever_the_direction_of_the_line() {
        let line = [pos2(0.0, 20.0), pos2(50.0, 30.0), pos2(100.0, 20.0)];
        let back: Vec<_> = line.iter().rev().copied().collect();
        let hatch = Hatch {
            spacing: 10.0,
            length: 6.0,
            lean: 0.7,
        };
        for points in [&line[..], &back[..]] {
            let strokes = hatch_strokes(points, vec2(0.0, -1.0), hatch);
            assert!((9..=11).contains(&strokes.len()), "{}", strokes.len());
            for [foot, tip] in strokes {
                assert!(tip.y < foot.y && tip.x > foot.x - 0.5, "{foot:?} {tip:?}");
                assert!((foot.distance(tip) - 6.0).abs() < 1e-3);
            }
        }
    }

    #[test]
    fn filling_strokes_stay_in_their_area() {
        let area = Rect::from_min_max(pos2(3.0, 7.0), pos2(61.0, 29.0));
        let lines = fill_hatch(area, 8.0);
        assert!(lines.len() > 8);
        for p in lines.into_iter().flatten() {
            assert!(area.expand(0.01).contains(p), "{p:?}");
        }
        assert!(fill_hatch(Rect::NOTHING, 8.0).is_empty());
    }

    #[test]
    fn projection_on_a_ray_stops_at_its_start_and_goes_beyond_its_end() {
        let (o, e) = (pos2(0.0, 0.0), pos2(10.0, 0.0));
        assert!((share_along_ray(o, e, pos2(5.0, 7.0)) - 0.5).abs() < 1e-6);
        assert!((share_along_ray(o, e, pos2(25.0, -7.0)) - 2.5).abs() < 1e-6);
        assert!(share_along_ray(o, e, pos2(-5.0, 7.0)).abs() < 1e-6);
        assert!(share_along_ray(o, o, pos2(-5.0, 7.0)).abs() < 1e-6);
    }

    #[test]
    fn nearest_point_of_a_polyline() {
        let line = [pos2(0.0, 0.0), pos2(10.0, 0.0), pos2(10.0, 10.0)];
        assert_eq!(
            nearest_on_polyline(&line, pos2(4.0, 3.0)),
            Some(pos2(4.0, 0.0))
        );
        assert_eq!(
            nearest_on_polyline(&line, pos2(30.0, 30.0)),
            Some(pos2(10.0, 10.0))
        );
        assert_eq!(nearest_on_polyline(&[], pos2(0.0, 0.0)), None);
    }

    #[test]
    fn nice_numbers_are_of_the_1_2_5_series() {
        for (least, want) in [
            (0.9, 1.0),
            (1.0, 1.0),
            (1.1, 2.0),
            (0.021, 0.05),
            (340.0, 500.0),
            (510.0, 1000.0),
        ] {
            assert!((nice_at_least(least) / want - 1.0).abs() < 1e-9, "{least}");
        }
        for nonsense in [0.0, -3.0, f64::NAN, f64::INFINITY] {
            assert!((nice_at_least(nonsense) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn watt_ticks_keep_their_distance() {
        // By hand, places √(W/25)·400: 358, 253, 179, 113, 80, (0.5 W: 57, too near), (0.2 W: 36, too near to the origin).
        let ticks = watt_ticks(25.0, 400.0, 30.0);
        assert_eq!(ticks, vec![20.0, 10.0, 5.0, 2.0, 1.0]);
        let places: Vec<f64> = ticks
            .iter()
            .map(|w| (w / 25.0_f64).sqrt() * 400.0)
            .collect();
        assert!(places.windows(2).all(|p| p[0] - p[1] >= 30.0), "{places:?}");
        assert!(watt_ticks(0.0, 400.0, 30.0).is_empty());
        assert!(watt_ticks(f64::NAN, 400.0, 30.0).is_empty());
    }
}
