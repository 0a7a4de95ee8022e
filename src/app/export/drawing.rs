//! What the toolkit drew, as lines, areas and text: the common ground of SVG and PDF.
//!
//! The screen's own drawing code runs without a screen; what it leaves is translated here, mark by mark, so that a
//! picture file cannot differ from the window. Lengths are points of the toolkit, the origin is the top left corner.

use std::collections::BTreeMap;

use egui::epaint::{ClippedShape, ColorMode, PathShape, PathStroke, RectShape, StrokeKind};
use egui::{Color32, Mesh, Pos2, Rect, Shape, Stroke, Vec2};

use crate::app::export::lettering::{Lettering, letterings};

/// A picture as marks.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// Width and height (points).
    pub size: Vec2,
    /// What everything lies on.
    pub ground: Color32,
    /// The marks, the lowest first.
    pub marks: Vec<Mark>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Nothing of it is seen outside.
    pub clip: Rect,
    /// What it is.
    pub ink: Ink,
}

/// A line, an area, a disc, or letters.
#[derive(Debug, Clone, PartialEq)]
pub enum Ink {
    /// Straight pieces: each of `runs` is one.
    Path {
        /// Points of each piece.
        runs: Vec<Vec<Pos2>>,
        /// Whether each piece returns to its beginning.
        ends: Ends,
        /// Inside; transparent for none.
        fill: Color32,
        /// Along the line; empty for none.
        stroke: Stroke,
    },
    /// A circle.
    Disc {
        /// Its centre.
        centre: Pos2,
        /// To the middle of its line (points).
        radius: f32,
        /// Inside; transparent for none.
        fill: Color32,
        /// Along the line; empty for none.
        stroke: Stroke,
    },
    /// A rectangle with its sides along the axes.
    Box {
        /// To the middle of its line.
        rect: Rect,
        /// Radius of the corners (points).
        corner: f32,
        /// Inside; transparent for none.
        fill: Color32,
        /// Along the line; empty for none.
        stroke: Stroke,
    },
    /// Letters of one size, face and colour on one line.
    Letters(Lettering),
}

/// Whether a path returns to its beginning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// It does not.
    Open,
    /// It does.
    Joined,
}

impl Drawing {
    /// Translates what the toolkit drew.
    pub fn of(shapes: &[ClippedShape], size: Vec2, ground: Color32) -> Self {
        let mut drawing = Self {
            size,
            ground,
            marks: Vec::new(),
        };
        let whole = Rect::from_min_size(Pos2::ZERO, size);
        for ClippedShape {
            clip_rect, shape, ..
        } in shapes
        {
            let clip = clip_rect.intersect(whole);
            if clip.is_positive() {
                drawing.take(shape, clip);
            }
        }
        drawing
    }

    fn take(&mut self, shape: &Shape, clip: Rect) {
        match shape {
            // Tapering bands come from scroll areas only; a picture has neither those nor callbacks.
            Shape::Noop | Shape::Callback(_) | Shape::Band(_) => {}
            Shape::Vec(shapes) => {
                for one in shapes {
                    self.take(one, clip);
                }
            }
            Shape::LineSegment { points, stroke } => self.line_segment(*points, *stroke, clip),
            Shape::Path(path) => self.path(path, clip),
            Shape::Rect(rect) => self.rect(rect, clip),
            Shape::Circle(circle) => {
                // The toolkit draws a circle's line outside of its radius.
                let radius = circle.radius + 0.5 * line_width(circle.stroke);
                self.add(
                    clip,
                    Ink::Disc {
                        centre: circle.center,
                        radius,
                        fill: circle.fill,
                        stroke: circle.stroke,
                    },
                );
            }
            Shape::Mesh(mesh) => self.mesh(mesh, clip),
            Shape::Text(text) => {
                for lettering in letterings(text) {
                    self.add(clip, Ink::Letters(lettering));
                }
            }
            Shape::CubicBezier(curve) => {
                let path = PathShape {
                    points: curve.flatten(Some(0.05)),
                    closed: curve.closed,
                    fill: curve.fill,
                    stroke: curve.stroke.clone(),
                };
                self.path(&path, clip);
            }
            Shape::QuadraticBezier(curve) => {
                let path = PathShape {
                    points: curve.flatten(Some(0.05)),
                    closed: curve.closed,
                    fill: curve.fill,
                    stroke: curve.stroke.clone(),
                };
                self.path(&path, clip);
            }
            Shape::Ellipse(ellipse) => {
                let path = PathShape {
                    points: ring(ellipse.center, ellipse.radius),
                    closed: true,
                    fill: ellipse.fill,
                    stroke: PathStroke::from(ellipse.stroke),
                };
                self.path(&path, clip);
            }
        }
    }

    fn add(&mut self, clip: Rect, ink: Ink) {
        if is_finite(&ink) {
            self.marks.push(Mark { clip, ink });
        }
    }

    /// Strokes of a dashed or hatched line follow one another: they become one path.
    fn line_segment(&mut self, points: [Pos2; 2], stroke: Stroke, clip: Rect) {
        if stroke.is_empty() || !points.iter().all(|p| p.is_finite()) {
            return;
        }
        if let Some(Mark {
            clip: before,
            ink:
                Ink::Path {
                    runs,
                    ends: Ends::Open,
                    fill: Color32::TRANSPARENT,
                    stroke: same,
                },
        }) = self.marks.last_mut()
            && *before == clip
            && *same == stroke
        {
            runs.push(points.to_vec());
            return;
        }
        self.add(
            clip,
            Ink::Path {
                runs: vec![points.to_vec()],
                ends: Ends::Open,
                fill: Color32::TRANSPARENT,
                stroke,
            },
        );
    }

    fn path(&mut self, path: &PathShape, clip: Rect) {
        let color = match &path.stroke.color {
            ColorMode::Solid(color) => *color,
            // A colour that changes along a line is not used by our plots.
            ColorMode::UV(_) => Color32::TRANSPARENT,
        };
        let ends = if path.closed {
            Ends::Joined
        } else {
            Ends::Open
        };
        self.add(
            clip,
            Ink::Path {
                runs: vec![path.points.clone()],
                ends,
                fill: path.fill,
                stroke: Stroke::new(path.stroke.width, color),
            },
        );
    }

    fn rect(&mut self, shape: &RectShape, clip: Rect) {
        let half = 0.5 * line_width(shape.stroke);
        let rect = match shape.stroke_kind {
            StrokeKind::Inside => shape.rect.shrink(half),
            StrokeKind::Middle => shape.rect,
            StrokeKind::Outside => shape.rect.expand(half),
        };
        self.add(
            clip,
            Ink::Box {
                rect,
                corner: f32::from(shape.corner_radius.nw),
                fill: shape.fill,
                stroke: shape.stroke,
            },
        );
    }

    /// Areas of one colour are joined along their common edges: triangles side by side would show seams.
    fn mesh(&mut self, mesh: &Mesh, clip: Rect) {
        for (fill, triangles) in by_colour(mesh) {
            let runs = outlines(mesh, &triangles);
            if !runs.is_empty() {
                self.add(
                    clip,
                    Ink::Path {
                        runs,
                        ends: Ends::Joined,
                        fill: Color32::from_rgba_premultiplied(fill[0], fill[1], fill[2], fill[3]),
                        stroke: Stroke::NONE,
                    },
                );
            }
        }
    }
}

/// Width of a line that is seen.
fn line_width(stroke: Stroke) -> f32 {
    if stroke.is_empty() { 0.0 } else { stroke.width }
}

fn is_finite(ink: &Ink) -> bool {
    match ink {
        Ink::Path { runs, .. } => runs.iter().flatten().all(|p| p.is_finite()),
        Ink::Disc { centre, radius, .. } => centre.is_finite() && radius.is_finite(),
        Ink::Box { rect, .. } => rect.is_finite(),
        Ink::Letters(lettering) => lettering.at.is_finite(),
    }
}

/// Points of an ellipse, close enough for any print.
fn ring(centre: Pos2, radius: Vec2) -> Vec<Pos2> {
    (0..96_u8)
        .map(|k| {
            let angle = f32::from(k) / 96.0 * std::f32::consts::TAU;
            centre + Vec2::new(radius.x * angle.cos(), radius.y * angle.sin())
        })
        .collect()
}

/// A triangle by the places of its corners in the mesh.
type Triangle = [u32; 3];

/// The triangles of a mesh by colour (premultiplied); one of several colours gets their mean.
fn by_colour(mesh: &Mesh) -> BTreeMap<[u8; 4], Vec<Triangle>> {
    let mut sorted: BTreeMap<[u8; 4], Vec<Triangle>> = BTreeMap::new();
    for corners in mesh.indices.chunks_exact(3) {
        let &[a, b, c] = corners else { continue };
        let Some(colours) = corner_colours(mesh, [a, b, c]) else {
            continue;
        };
        let mut mean = [0; 4];
        for (channel, value) in mean.iter_mut().enumerate() {
            let sum: u16 = colours
                .iter()
                .filter_map(|colour| colour.get(channel))
                .map(|&byte| u16::from(byte))
                .sum();
            *value = u8::try_from(sum / 3).unwrap_or(u8::MAX);
        }
        if mean[3] > 0 {
            sorted.entry(mean).or_default().push([a, b, c]);
        }
    }
    sorted
}

fn corner_colours(mesh: &Mesh, corners: Triangle) -> Option<[[u8; 4]; 3]> {
    let colour = |place| Some(vertex(mesh, place)?.color.to_array());
    let [a, b, c] = corners;
    Some([colour(a)?, colour(b)?, colour(c)?])
}

fn vertex(mesh: &Mesh, place: u32) -> Option<&egui::epaint::Vertex> {
    mesh.vertices.get(usize::try_from(place).ok()?)
}

/// The outlines of joined triangles: the edges that belong to one of them only, chained to rings.
fn outlines(mesh: &Mesh, triangles: &[Triangle]) -> Vec<Vec<Pos2>> {
    let at = |place| vertex(mesh, place).map(|v| v.pos);
    // From each corner to the corners that follow it; an edge and its way back cancel.
    let mut edges: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for &[a, b, c] in triangles {
        let (Some(pa), Some(pb), Some(pc)) = (at(a), at(b), at(c)) else {
            continue;
        };
        let turn = (pb.x - pa.x) * (pc.y - pa.y) - (pb.y - pa.y) * (pc.x - pa.x);
        if turn == 0.0 || !turn.is_finite() {
            continue;
        }
        let ring = if turn > 0.0 { [a, b, c] } else { [a, c, b] };
        for (from, to) in [(ring[0], ring[1]), (ring[1], ring[2]), (ring[2], ring[0])] {
            if let Some(count) = edges.get_mut(&(to, from)).filter(|count| **count > 0) {
                *count -= 1;
            } else {
                *edges.entry((from, to)).or_default() += 1;
            }
        }
    }
    let mut next: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for ((from, to), count) in edges {
        for _ in 0..count {
            next.entry(from).or_default().push(to);
        }
    }
    let mut rings = Vec::new();
    while let Some(start) = next.keys().next().copied() {
        let (mut ring, mut place) = (Vec::new(), start);
        while let Some(followers) = next.get_mut(&place) {
            ring.extend(at(place));
            let follower = followers.pop();
            if followers.is_empty() {
                next.remove(&place);
            }
            match follower {
                Some(follower) => place = follower,
                None => break,
            }
        }
        if ring.len() > 2 {
            rings.push(ring);
        }
    }
    rings
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn clipped(shape: Shape) -> ClippedShape {
        ClippedShape {
            clip_rect: Rect::EVERYTHING,
            transform_after_tessellation: egui::emath::TSTransform::IDENTITY,
            shape,
        }
    }

    #[test]
    fn triangles_of_one_colour_become_one_outline() {
        let mut mesh = Mesh::default();
        for at in [
            pos2(0.0, 0.0),
            pos2(0.0, 10.0),
            pos2(5.0, 0.0),
            pos2(5.0, 10.0),
        ] {
            mesh.colored_vertex(at, Color32::RED);
        }
        // One clockwise, one not, as a strip is drawn.
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(1, 2, 3);
        let shapes = [clipped(Shape::mesh(mesh))];
        let drawing = Drawing::of(&shapes, Vec2::splat(20.0), Color32::WHITE);
        let [
            Mark {
                ink: Ink::Path { runs, .. },
                ..
            },
        ] = drawing.marks.as_slice()
        else {
            panic!("one path, not {:?}", drawing.marks);
        };
        assert_eq!(runs.len(), 1);
        assert_eq!(runs[0].len(), 4, "{runs:?}");
    }

    #[test]
    fn strokes_alike_become_one_path_and_nonsense_is_left_out() {
        let stroke = Stroke::new(1.0, Color32::BLUE);
        let line = |y: f32| clipped(Shape::line_segment([pos2(0.0, y), pos2(9.0, y)], stroke));
        let shapes = [line(1.0), line(2.0), line(f32::NAN)];
        let drawing = Drawing::of(&shapes, Vec2::splat(20.0), Color32::WHITE);
        assert_eq!(drawing.marks.len(), 1, "{:?}", drawing.marks);
    }
}
