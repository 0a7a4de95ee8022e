//! The band of the dropout line: where it lies for nine units in ten, and in the middle of them.

use crate::app::plots::envelope::canvas::{Canvas, Dash};
use crate::app::plots::envelope::{Age, ToleranceBand};
use crate::bench::odds::BandAt;
use egui::{Mesh, Pos2, Rect, Shape, Stroke};

/// How strong the band is drawn; one from before fainter.
const FILL: [f32; 2] = [0.2, 0.1];
const EDGE: [f32; 2] = [0.75, 0.45];
/// The middle of the units, where it is not the line as described.
const MIDDLE: Dash = &[[7.0, 4.0]];
/// Nearer to the dropout line than this it would only make that thicker (points).
const APART: f32 = 3.0;

/// Fills the band between its edges, and gives the upper one on the screen; `line` is the dropout line there, as it is for the supply as
/// described.
pub(super) fn paint_band(
    canvas: &mut Canvas,
    band: &ToleranceBand<'_>,
    line: &[Pos2],
) -> Vec<Pos2> {
    let edge_of = |volts: fn(&BandAt) -> f64| -> Vec<Pos2> {
        let at = band.at.iter().map(|at| [at.amps, volts(at)]);
        canvas.line(&at.collect::<Vec<_>>())
    };
    let low = edge_of(|at| at.band.low);
    let middle = edge_of(|at| at.band.middle);
    let high = edge_of(|at| at.band.high);
    if low.len() < 2 {
        return Vec::new();
    }
    let strength = |[now, before]: [f32; 2]| match band.age {
        Age::Fresh => now,
        Age::Older => before,
    };
    let fill = canvas.theme.dropout.gamma_multiply(strength(FILL));
    let mut mesh = Mesh::default();
    let mut index = 0_u32;
    for (low, high) in low.iter().zip(&high) {
        mesh.colored_vertex(*low, fill);
        mesh.colored_vertex(*high, fill);
        if index >= 2 {
            mesh.add_triangle(index - 2, index - 1, index);
            mesh.add_triangle(index - 1, index, index + 1);
        }
        index += 2;
    }
    canvas.painter.add(Shape::mesh(mesh));
    let ink = canvas.theme.dropout.gamma_multiply(strength(EDGE));
    for edge in [&low, &high] {
        canvas.stroke(edge, Stroke::new(0.8, ink), &[]);
        canvas.avoid(edge);
    }
    if is_apart(&middle, line) {
        canvas.stroke(&middle, Stroke::new(1.0, ink), MIDDLE);
        canvas.avoid(&middle);
    }
    // What is written over it gets a ground.
    for (a, b) in low.iter().zip(high.iter().skip(1)) {
        canvas.hatched.push(Rect::from_two_pos(*a, *b));
    }
    high
}

/// True where the middle of the units lies clear of the line as described at some current.
fn is_apart(middle: &[Pos2], line: &[Pos2]) -> bool {
    middle.iter().any(|at| {
        let near = line.windows(2).find(|pair| match pair {
            [a, b] => (a.x..=b.x).contains(&at.x),
            _ => false,
        });
        let Some([a, b]) = near else {
            return false;
        };
        let share = if b.x > a.x {
            (at.x - a.x) / (b.x - a.x)
        } else {
            0.0
        };
        (a.y + share * (b.y - a.y) - at.y).abs() > APART
    })
}
