//! What the supply does over a rating: the part of its reach outside the envelope, hatched and named after what takes it away.

use crate::app::plots::envelope::PlotInput;
use crate::app::plots::envelope::canvas::Canvas;
use crate::app::theme;
use crate::physics::envelope::Envelope;
use egui::{Mesh, Pos2, Shape, Stroke, vec2};

/// Distance of the columns into which the area is cut (points).
const STEP: f32 = 3.0;
/// Distance of the strokes (points).
const SPACING: f32 = 13.0;
/// How many places are tried for the name.
const TRIES: usize = 60;
/// Heights at which it may stand, as shares of the room.
const HEIGHTS: [f32; 5] = [0.5, 0.3, 0.7, 0.1, 0.9];

/// The area over a rating at one place across the screen: one or two stretches from top to bottom (points).
struct Column {
    x: f32,
    spans: [Option<[f32; 2]>; 2],
}

/// The area over a rating, cut into columns.
pub(super) struct OverARating(Vec<Column>);

impl OverARating {
    /// It in upright strips.
    pub(super) fn areas(&self) -> impl Iterator<Item = egui::Rect> {
        self.0.iter().flat_map(|column| {
            (column.spans.iter().flatten()).map(|[top, bottom]| {
                egui::Rect::from_x_y_ranges(column.x..=column.x + STEP, *top..=*bottom)
            })
        })
    }
}

/// Fills the area faintly and hatches it.
pub(super) fn paint_over_a_rating(canvas: &Canvas, envelope: &Envelope) -> OverARating {
    let columns = columns(canvas, envelope);
    let fill = canvas.theme.near_fill.gamma_multiply(0.7);
    let mut mesh = Mesh::default();
    for (left, right) in columns.iter().zip(columns.iter().skip(1)) {
        if right.x - left.x > 1.5 * STEP {
            continue;
        }
        for (a, b) in left.spans.iter().zip(&right.spans) {
            // Where a stretch begins or ends between two columns it tapers.
            let (a, b) = match (a, b) {
                (Some(a), Some(b)) => (*a, *b),
                (Some(a), None) => (*a, [0.5 * (a[0] + a[1]); 2]),
                (None, Some(b)) => ([0.5 * (b[0] + b[1]); 2], *b),
                (None, None) => continue,
            };
            let index = u32::try_from(mesh.vertices.len()).unwrap_or(0);
            for (x, y) in [
                (left.x, a[0]),
                (left.x, a[1]),
                (right.x, b[0]),
                (right.x, b[1]),
            ] {
                mesh.colored_vertex(Pos2::new(x, y), fill);
            }
            mesh.add_triangle(index, index + 1, index + 2);
            mesh.add_triangle(index + 1, index + 2, index + 3);
        }
    }
    canvas.painter.add(Shape::mesh(mesh));
    let line = Stroke::new(0.8, canvas.theme.near.gamma_multiply(0.5));
    canvas.strokes(&hatch(canvas, &columns), line);
    OverARating(columns)
}

/// Names it where there is most room, in fewer words where there is little.
pub(super) fn paint_name(canvas: &mut Canvas, input: &PlotInput<'_>, area: &OverARating) {
    let [long, short] = &input.words.over_a_rating;
    if !long.is_empty() && !put_name(canvas, long, area) {
        put_name(canvas, short, area);
    }
}

fn put_name(canvas: &mut Canvas, words: &str, area: &OverARating) -> bool {
    let font = theme::strong_font(theme::SMALL);
    let mut caption = canvas.caption(words, font, canvas.theme.near_text);
    caption.ground = theme::PLATE;
    let size = caption.size();
    let half = size * 0.5;
    let fits = |at: Pos2| {
        let sides = [at.x - half.x, at.x + half.x];
        sides.into_iter().all(|x| {
            // The columns stand in order.
            let first = area.0.partition_point(|column| column.x < x - STEP);
            let near = area.0.iter().skip(first);
            near.take_while(|column| column.x <= x + STEP)
                .any(|column| {
                    let mut spans = column.spans.iter().flatten();
                    spans.any(|s| s[0] <= at.y - half.y && at.y + half.y <= s[1])
                })
        })
    };
    // Only within the area: beside it the name would be read as that of something else.
    let mut places: Vec<(f32, Pos2)> = Vec::new();
    for column in &area.0 {
        for [top, bottom] in column.spans.iter().flatten() {
            let room = bottom - top;
            if room < size.y {
                continue;
            }
            for share in HEIGHTS {
                let at = Pos2::new(column.x, top + half.y + share * (room - size.y));
                let off_middle = (share - 0.5).abs() * 20.0;
                if fits(at) {
                    places.push((room.min(120.0) - off_middle, at));
                }
            }
        }
    }
    places.sort_by(|a, b| b.0.total_cmp(&a.0));
    let spread = places.len().div_ceil(TRIES).max(1);
    let corners = places.into_iter().step_by(spread);
    let corners = corners.map(|(_, at)| at - vec2(half.x, half.y));
    canvas.put(&caption, corners).is_some()
}

/// The area in columns across the frame.
fn columns(canvas: &Canvas, envelope: &Envelope) -> Vec<Column> {
    let frame = canvas.frame();
    let (Some(first), Some(last)) = (envelope.reach.first(), envelope.reach.last()) else {
        return Vec::new();
    };
    let (from, to) = (
        canvas.at([first[0], 0.0]).x.max(frame.left()),
        canvas.at([last[0], 0.0]).x.min(frame.right()),
    );
    if to <= from {
        return Vec::new();
    }
    let nothing_allowed = !envelope.broken_everywhere.is_empty();
    let y = |volts: f64| canvas.at([0.0, volts]).y.clamp(frame.top(), frame.bottom());
    let steps = ((to - from) / STEP).ceil().max(1.0);
    let mut columns = Vec::new();
    let mut step = 0.0;
    while step <= steps {
        let x = from + (to - from) * (step / steps);
        step += 1.0;
        let amps = canvas.transform.value_from_position(Pos2::new(x, 0.0)).x;
        let amps = amps.clamp(first[0], last[0]);
        let Some([low, high]) = envelope.reach_volts(amps) else {
            continue;
        };
        let (top, bottom) = (y(high), y(low));
        let allowed = envelope.allowed_volts(amps).filter(|_| !nothing_allowed);
        let spans = match allowed {
            None => [Some([top, bottom]), None],
            Some([low, high]) => [Some([top, y(high)]), Some([y(low), bottom])],
        };
        // Thinner than a line it is no area.
        let spans = spans.map(|span| span.filter(|s| s[1] - s[0] > 1.0));
        columns.push(Column { x, spans });
    }
    columns
}

/// Strokes rising to the right, cut at the area.
fn hatch(canvas: &Canvas, columns: &[Column]) -> Vec<[Pos2; 2]> {
    let frame = canvas.frame();
    let (Some(first), Some(last)) = (columns.first(), columns.last()) else {
        return Vec::new();
    };
    // Phase from the screen, so that nothing swims when the area grows.
    let start = first.x - frame.height();
    let mut foot = (start / SPACING).floor() * SPACING;
    let mut strokes = Vec::new();
    while foot < last.x {
        let mut open: Option<[Pos2; 2]> = None;
        for column in columns {
            let at = Pos2::new(column.x, frame.bottom() - (column.x - foot));
            let mut spans = column.spans.iter().flatten();
            let is_in = spans.any(|[top, bottom]| *top <= at.y && at.y <= *bottom);
            match (&mut open, is_in) {
                (Some([_, end]), true) => *end = at,
                (None, true) => open = Some([at, at]),
                (_, false) => strokes.extend(open.take()),
            }
        }
        strokes.extend(open);
        foot += SPACING;
    }
    strokes.retain(|[a, b]| b.x > a.x);
    strokes
}
