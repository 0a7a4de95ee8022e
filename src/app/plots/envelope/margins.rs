//! The margin map: the envelope shaded by how much the tightest limit is used, with contour lines.
//!
//! One hue, that of "near a limit", that only grows stronger, so that it reads without colour vision and in print; the lines
//! carry the numbers.
//! Limits that are judged with nothing connected are the same everywhere and would only flatten the picture.

use crate::app::plots::envelope::PlotInput;
use crate::app::plots::envelope::canvas::Canvas;
use crate::app::plots::geometry::segments;
use crate::app::theme;
use crate::explain::{number, plot};
use crate::physics::envelope::{Counted, Envelope, MarginMap};
use egui::{Color32, Mesh, Pos2, Shape, Stroke, vec2};
use std::collections::{BTreeMap, VecDeque};

/// Uses at which a contour is drawn.
const LEVELS: [f64; 4] = [0.25, 0.5, 0.75, 0.9];
/// Rows of the mesh between the lowest and the highest allowed volts.
const ROWS: usize = 28;
/// Places along a contour at which its number is tried.
const TRIES: usize = 14;

/// Columns of the mesh are at most so far apart (points).
const FAR: f32 = 8.0;
/// Edges may be so far off between two columns (points).
const OFF: f32 = 0.25;

/// A contour line shorter than this goes without a number (points).
const SHORT: f32 = 60.0;

/// One contour line; a level may have several.
pub(super) struct Contour {
    level: f64,
    line: Vec<Pos2>,
}

/// A corner of the mesh: where, and how much is used.
type Corner = (Pos2, f64);

/// Shades the envelope in place of its even fill; gives the contours, to be named later.
pub(super) fn paint_margins(canvas: &Canvas, envelope: &Envelope, map: &MarginMap) -> Vec<Contour> {
    let region = thinned(&envelope.region, |at| canvas.at(at));
    let uses = map.grid(Counted::MovedByThePoint, &region, ROWS);
    let columns: Vec<Vec<Corner>> = region
        .iter()
        .zip(&uses)
        .map(|(&[amps, low, high], column)| {
            let (foot, head) = (canvas.at([amps, low]), canvas.at([amps, high]));
            column
                .iter()
                .enumerate()
                .map(|(row, used)| {
                    (
                        foot + (head - foot) * (row as f32 / (ROWS - 1) as f32),
                        *used,
                    )
                })
                .collect()
        })
        .collect();
    let mut mesh = Mesh::default();
    let mut pieces: [Vec<[Pos2; 2]>; LEVELS.len()] = Default::default();
    for (left, right) in columns.iter().zip(columns.iter().skip(1)) {
        for (near, far) in left.windows(2).zip(right.windows(2)) {
            let ([a, b], [c, d]) = (near, far) else {
                continue;
            };
            for triangle in [[*a, *b, *c], [*b, *c, *d]] {
                put_triangle(&mut mesh, triangle, canvas.theme.near);
                for (level, pieces) in LEVELS.iter().zip(&mut pieces) {
                    pieces.extend(crossing(triangle, *level));
                }
            }
        }
    }
    canvas.painter.add(Shape::mesh(mesh));
    let contours: Vec<Contour> = (LEVELS.into_iter().zip(&pieces))
        .flat_map(|(level, pieces)| {
            let lines = chained(pieces).into_iter();
            lines.map(move |line| Contour { level, line })
        })
        .collect();
    for contour in &contours {
        let width = if contour.level >= 0.9 { 1.6 } else { 1.0 };
        let stroke = Stroke::new(width, canvas.theme.ink.gamma_multiply(0.55));
        let line = contour.line.clone();
        canvas.painter.add(Shape::line(line, stroke));
    }
    contours
}

/// So many of a region's currents that both its edges stay where they are, within a fraction of a point of the screen, and that
/// they are not too far apart for the shading.
fn thinned(region: &[[f64; 3]], place: impl Fn([f64; 2]) -> Pos2) -> Vec<[f64; 3]> {
    let edges = |&[amps, low, high]: &[f64; 3]| [place([amps, low]), place([amps, high])];
    let mut kept: Vec<[f64; 3]> = Vec::new();
    let mut skipped: Vec<[Pos2; 2]> = Vec::new();
    for (k, here) in region.iter().enumerate() {
        let Some(from) = kept.last().map(edges) else {
            kept.push(*here);
            continue;
        };
        let to = edges(here);
        let is_near = to[0].x - from[0].x <= FAR;
        let is_straight = skipped.iter().all(|between| {
            (0..2).all(|edge| {
                let ([a, b], at) = ([from[edge], to[edge]], between[edge]);
                let share = (at.x - a.x) / (b.x - a.x).max(f32::EPSILON);
                (a.y + share * (b.y - a.y) - at.y).abs() <= OFF
            })
        });
        let goes_on = is_near && is_straight;
        if !goes_on && !skipped.is_empty() {
            kept.extend(k.checked_sub(1).and_then(|before| region.get(before)));
            skipped.clear();
        }
        skipped.push(to);
    }
    kept.extend(region.last().filter(|last| kept.last() != Some(last)));
    kept
}

/// Joins loose pieces end to end into as few lines as there are.
fn chained(pieces: &[[Pos2; 2]]) -> Vec<Vec<Pos2>> {
    let key = |p: Pos2| [p.x, p.y].map(|side| (16.0 * side).round().to_bits());
    let pieces: Vec<[Pos2; 2]> = pieces
        .iter()
        .filter(|[a, b]| key(*a) != key(*b))
        .copied()
        .collect();
    let mut at: BTreeMap<[u32; 2], Vec<usize>> = BTreeMap::new();
    for (place, piece) in pieces.iter().enumerate() {
        for end in piece {
            at.entry(key(*end)).or_default().push(place);
        }
    }
    let mut used = vec![false; pieces.len()];
    let next = |end: Pos2, used: &mut Vec<bool>| {
        let place = *at
            .get(&key(end))?
            .iter()
            .find(|place| used.get(**place) == Some(&false))?;
        *used.get_mut(place)? = true;
        let [a, b] = *pieces.get(place)?;
        Some(if key(a) == key(end) { b } else { a })
    };
    let mut lines = Vec::new();
    for (place, [a, b]) in pieces.iter().enumerate() {
        if used.get(place) != Some(&false) {
            continue;
        }
        if let Some(mark) = used.get_mut(place) {
            *mark = true;
        }
        let mut line = VecDeque::from([*a, *b]);
        while let Some(more) = line.back().and_then(|end| next(*end, &mut used)) {
            line.push_back(more);
        }
        while let Some(more) = line.front().and_then(|end| next(*end, &mut used)) {
            line.push_front(more);
        }
        lines.push(Vec::from(line));
    }
    lines
}

/// Numbers on the contours, where there is room, and what they say.
pub(super) fn paint_margin_captions(canvas: &mut Canvas, contours: &[Contour]) {
    let length = |line: &[Pos2]| -> f32 { segments(line).map(|[a, b]| a.distance(b)).sum() };
    for contour in contours.iter().filter(|c| length(&c.line) >= SHORT) {
        let text = number::per_cent(contour.level);
        let font = theme::font(theme::SMALL);
        let mut caption = canvas.caption(&text, font, canvas.theme.ink);
        caption.ground = theme::PLATE;
        let size = caption.size();
        let count = contour.line.len();
        // From the middle outwards.
        let corners: Vec<Pos2> = (0..TRIES)
            .filter_map(|k| {
                let out = k.div_ceil(2) * count / (TRIES + 1);
                let place = if k % 2 == 0 {
                    (count / 2).checked_sub(out)?
                } else {
                    count / 2 + out
                };
                Some(*contour.line.get(place)? - size * 0.5)
            })
            .collect();
        canvas.put(&caption, corners);
    }
    if contours.is_empty() {
        return;
    }
    let mut key = canvas.caption(
        plot::MARGIN_KEY,
        theme::font(theme::SMALL),
        canvas.theme.near_text,
    );
    key.ground = theme::PLATE;
    let (frame, size) = (canvas.frame().shrink(8.0), key.size());
    let corners = vec![
        frame.left_bottom() - vec2(0.0, size.y),
        frame.right_bottom() - size,
        frame.left_bottom() - vec2(0.0, 2.0 * size.y + 6.0),
        frame.right_bottom() - size - vec2(0.0, size.y + 6.0),
    ];
    canvas.put(&key, corners);
}

fn put_triangle(mesh: &mut Mesh, triangle: [Corner; 3], colour: Color32) {
    let base = u32::try_from(mesh.vertices.len()).unwrap_or(0);
    for (at, used) in triangle {
        mesh.colored_vertex(at, colour.gamma_multiply(strength(used)));
    }
    mesh.add_triangle(base, base + 1, base + 2);
}

/// How strong the hue is at a use.
fn strength(used: f64) -> f32 {
    let used = theme::share(used);
    0.03 + 0.35 * used * used
}

/// Where a level runs through a triangle.
fn crossing(triangle: [Corner; 3], level: f64) -> Option<[Pos2; 2]> {
    let [a, b, c] = triangle;
    let mut ends = [(a, b), (b, c), (c, a)]
        .into_iter()
        .filter(|((_, u), (_, v))| (*u < level) != (*v < level))
        .map(|((p, u), (q, v))| p + (q - p) * theme::share((level - u) / (v - u)));
    Some([ends.next()?, ends.next()?])
}

/// True if the map is to be drawn.
pub(super) fn wanted<'a>(input: &PlotInput<'a>) -> Option<&'a MarginMap> {
    input.map.filter(|_| input.envelope.region.len() > 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_contour_runs_where_the_level_is() {
        let corners = [
            (pos2(0.0, 0.0), 0.0),
            (pos2(10.0, 0.0), 1.0),
            (pos2(0.0, 10.0), 0.0),
        ];
        let piece = crossing(corners, 0.25).unwrap();
        for (got, want) in piece.into_iter().zip([pos2(2.5, 0.0), pos2(2.5, 7.5)]) {
            assert!(got.distance(want) < 1e-4, "{got:?}");
        }
        assert!(crossing(corners, 1.5).is_none());
    }

    #[test]
    #[expect(clippy::cast_possible_truncation, reason = "small whole numbers")]
    fn a_thinned_region_has_its_corner_and_its_ends() {
        let region: Vec<[f64; 3]> = (0..=400_u16)
            .map(|k| {
                let amps = f64::from(k);
                [amps, 0.0, (300.0_f64).min(500.0 - amps)]
            })
            .collect();
        let place = |[amps, volts]: [f64; 2]| pos2(amps as f32, -volts as f32);
        let kept = thinned(&region, place);
        assert!((50..60).contains(&kept.len()), "{}", kept.len());
        assert!(kept.contains(&[200.0, 0.0, 300.0]));
        assert_eq!((kept.first(), kept.last()), (region.first(), region.last()));
    }

    #[test]
    fn loose_pieces_become_one_line() {
        let p = |x: f32| pos2(x, 2.0 * x);
        let pieces = [
            [p(1.0), p(2.0)],
            [p(3.0), p(2.0)],
            [p(0.0), p(1.0)],
            [p(8.0), p(9.0)],
        ];
        let lines = chained(&pieces);
        assert_eq!(
            lines,
            [vec![p(0.0), p(1.0), p(2.0), p(3.0)], vec![p(8.0), p(9.0)]]
        );
    }

    #[test]
    fn more_use_is_never_fainter() {
        let steps: Vec<f32> = (0..=10).map(|k| strength(f64::from(k) / 10.0)).collect();
        assert!(steps.windows(2).all(|w| w[0] < w[1]));
    }
}
