//! Rasterises the toolkit's meshes on the processor: no display, no graphics library, the same bytes on every run.
//!
//! The rules are those of the toolkit's own painters: colours are premultiplied and blended in gamma space,
//! textures are filtered linearly and clamped at their edges, a pixel belongs to a triangle if its centre does
//! (top-left rule, so that the shared edge of two triangles is drawn once).

use egui::epaint::{ClippedPrimitive, ImageData, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, Pos2, Rect, TextureId, TexturesDelta, Vec2};
use image::RgbaImage;
use std::collections::HashMap;

/// Most pixels of one picture.
pub const MOST_PIXELS: u64 = 100_000_000;

/// Why there is no picture.
#[derive(Debug, thiserror::Error)]
pub enum RasterError {
    /// No pixels, or too many.
    #[error(
        "picture of {width} × {height} pixels, expected at least 1 × 1 and at most {MOST_PIXELS} pixels in all"
    )]
    Size {
        /// Pixels to the right.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The toolkit asked for something that only a graphics library can draw.
    #[error("found a shape that needs a graphics library, expected meshes only")]
    Callback,
}

/// Size of a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PixelSize {
    /// Pixels to the right.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Pixels per point of the toolkit.
    pub per_point: f32,
}

impl PixelSize {
    /// Of a picture that is so many points wide and high; nonsense gives no pixels.
    pub fn of(points: Vec2, per_point: f32) -> Self {
        let [width, height] =
            [points.x, points.y].map(|side| whole((side * per_point).round(), u32::MAX));
        Self {
            width,
            height,
            per_point,
        }
    }
}

/// Keeps the textures (letters, mostly) and draws meshes with them.
#[derive(Debug, Default)]
pub struct Raster {
    textures: HashMap<TextureId, ColorImage>,
}

impl Raster {
    /// Takes over new and changed textures, forgets those that are no longer needed.
    pub fn take_textures(&mut self, delta: &mut TexturesDelta) {
        // The order among textures does not matter; among the patches of one it is kept.
        delta.set.drain().for_each(|(id, patches)| {
            for patch in patches {
                let ImageData::Color(image) = &patch.image;
                match patch.pos {
                    None => {
                        self.textures.insert(id, image.as_ref().clone());
                    }
                    Some(corner) => {
                        if let Some(texture) = self.textures.get_mut(&id) {
                            put_patch(texture, corner, image);
                        }
                    }
                }
            }
        });
        delta.free.drain().for_each(|id| {
            self.textures.remove(&id);
        });
    }

    /// Draws tessellated shapes on an opaque ground.
    ///
    /// # Errors
    /// [`RasterError`] if the size is nonsense or a shape is not a mesh.
    pub fn paint(
        &self,
        primitives: &[ClippedPrimitive],
        size: PixelSize,
        ground: Color32,
    ) -> Result<RgbaImage, RasterError> {
        let (width, height) = (size.width, size.height);
        let pixels = u64::from(width) * u64::from(height);
        if pixels == 0 || pixels > MOST_PIXELS {
            return Err(RasterError::Size { width, height });
        }
        let [r, g, b, _] = ground.to_array();
        let mut picture = RgbaImage::from_pixel(width, height, image::Rgba([r, g, b, 255]));
        for primitive in primitives {
            match &primitive.primitive {
                Primitive::Mesh(mesh) => {
                    self.paint_mesh(&mut picture, mesh, primitive.clip_rect, size.per_point);
                }
                Primitive::Callback(_) => return Err(RasterError::Callback),
            }
        }
        Ok(picture)
    }

    fn paint_mesh(&self, picture: &mut RgbaImage, mesh: &Mesh, clip: Rect, per_point: f32) {
        let Some(texture) = self.textures.get(&mesh.texture_id) else {
            return;
        };
        let window = Window {
            left: whole((clip.left() * per_point).round(), picture.width()),
            right: whole((clip.right() * per_point).round(), picture.width()),
            top: whole((clip.top() * per_point).round(), picture.height()),
            bottom: whole((clip.bottom() * per_point).round(), picture.height()),
        };
        for corners in mesh.indices.chunks_exact(3) {
            let corner = |k: usize| {
                let vertex = mesh.vertices.get(usize::try_from(*corners.get(k)?).ok()?)?;
                let pos = Pos2::new(vertex.pos.x * per_point, vertex.pos.y * per_point);
                pos.is_finite().then_some(Vertex { pos, ..*vertex })
            };
            if let (Some(a), Some(b), Some(c)) = (corner(0), corner(1), corner(2)) {
                paint_triangle(picture, texture, [a, b, c], window);
            }
        }
    }
}

/// Copies a patch into a texture; what does not fit is left out.
fn put_patch(texture: &mut ColorImage, [left, top]: [usize; 2], patch: &ColorImage) {
    let ([texture_width, _], [width, _]) = (texture.size, patch.size);
    if width == 0 || left + width > texture_width {
        return;
    }
    for (row, source) in patch.pixels.chunks_exact(width).enumerate() {
        let start = (top + row) * texture_width + left;
        if let Some(target) = texture.pixels.get_mut(start..start + width) {
            target.copy_from_slice(source);
        }
    }
}

/// The pixels that may be touched; right and bottom are one beyond.
#[derive(Debug, Clone, Copy)]
struct Window {
    left: u32,
    right: u32,
    top: u32,
    bottom: u32,
}

/// A linear function over the picture: `x·dx + y·dy + at_origin`.
#[derive(Debug, Clone, Copy)]
struct Plane {
    dx: f32,
    dy: f32,
    at_origin: f32,
}

impl Plane {
    fn at(self, x: f32, y: f32) -> f32 {
        self.dx * x + self.dy * y + self.at_origin
    }
}

/// One edge of a triangle; positive inside.
#[derive(Debug, Clone, Copy)]
struct Edge {
    plane: Plane,
    /// Whether a centre exactly on the edge belongs to the triangle.
    owns_edge: bool,
}

impl Edge {
    fn between(from: Pos2, to: Pos2) -> Self {
        let d = to - from;
        Self {
            plane: Plane {
                dx: -d.y,
                dy: d.x,
                at_origin: d.y * from.x - d.x * from.y,
            },
            owns_edge: (d.y == 0.0 && d.x > 0.0) || d.y < 0.0,
        }
    }

    fn holds(self, x: f32, y: f32) -> bool {
        let value = self.plane.at(x, y);
        value > 0.0 || (value == 0.0 && self.owns_edge)
    }
}

fn paint_triangle(
    picture: &mut RgbaImage,
    texture: &ColorImage,
    mut corners: [Vertex; 3],
    window: Window,
) {
    let [a, b, c] = corners.map(|v| v.pos);
    let mut area = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    if area == 0.0 {
        return;
    }
    if area < 0.0 {
        corners.swap(1, 2);
        area = -area;
    }
    let [a, b, c] = corners.map(|v| v.pos);
    // Edge k lies opposite corner k: its value over the area is the corner's weight.
    let edges = [
        Edge::between(b, c),
        Edge::between(c, a),
        Edge::between(a, b),
    ];
    let shade = Shade::of(texture, &corners);
    let (top, bottom) = (a.y.min(b.y).min(c.y), a.y.max(b.y).max(c.y));
    let first = whole(top.floor(), picture.height()).max(window.top);
    let last = whole(bottom.ceil(), picture.height()).min(window.bottom);
    for row in first..last {
        let y = row as f32 + 0.5;
        let Some((from, to)) = span(&edges, y) else {
            continue;
        };
        // The span is widened by a pixel: the exact test below decides.
        let from = whole(from.floor() - 1.0, picture.width()).max(window.left);
        let to = whole(to.ceil() + 1.0, picture.width()).min(window.right);
        for column in from..to {
            let x = column as f32 + 0.5;
            if !edges.iter().all(|e| e.holds(x, y)) {
                continue;
            }
            let weights = edges.map(|e| e.plane.at(x, y) / area);
            blend(picture, column, row, shade.at(weights));
        }
    }
}

/// Where a row of pixel centres enters and leaves a triangle.
fn span(edges: &[Edge; 3], y: f32) -> Option<(f32, f32)> {
    let (mut from, mut to) = (f32::NEG_INFINITY, f32::INFINITY);
    for edge in edges {
        let rest = edge.plane.dy * y + edge.plane.at_origin;
        if edge.plane.dx > 0.0 {
            from = from.max(-rest / edge.plane.dx);
        } else if edge.plane.dx < 0.0 {
            to = to.min(-rest / edge.plane.dx);
        } else if rest < 0.0 {
            return None;
        }
    }
    (from <= to + 1.0).then_some((from, to))
}

/// What colour a triangle has at a place.
struct Shade<'a> {
    texture: &'a ColorImage,
    corners: [Vertex; 3],
    colours: [[f32; 4]; 3],
    /// The colour of the texture if it is the same all over: most shapes sit on its white spot.
    uniform: Option<[f32; 4]>,
}

impl<'a> Shade<'a> {
    fn of(texture: &'a ColorImage, corners: &[Vertex; 3]) -> Self {
        let [a, b, c] = corners.map(|v| v.uv);
        let uniform = (a == b && b == c).then(|| sample(texture, a));
        Self {
            texture,
            corners: *corners,
            colours: corners.map(|v| floats(v.color)),
            uniform,
        }
    }

    /// Premultiplied colour, 0 to 1, from the weights of the three corners.
    fn at(&self, weights: [f32; 3]) -> [f32; 4] {
        let mix = |values: [f32; 3]| {
            values[0] * weights[0] + values[1] * weights[1] + values[2] * weights[2]
        };
        let texel = self.uniform.unwrap_or_else(|| {
            let u = mix(self.corners.map(|v| v.uv.x));
            let v = mix(self.corners.map(|v| v.uv.y));
            sample(self.texture, Pos2::new(u, v))
        });
        let [a, b, c] = self.colours;
        [
            texel[0] * mix([a[0], b[0], c[0]]),
            texel[1] * mix([a[1], b[1], c[1]]),
            texel[2] * mix([a[2], b[2], c[2]]),
            texel[3] * mix([a[3], b[3], c[3]]),
        ]
    }
}

/// The texture at a place, filtered linearly, clamped at its edges.
fn sample(texture: &ColorImage, uv: Pos2) -> [f32; 4] {
    let [width, height] = texture.size;
    let (x, y) = (uv.x * width as f32 - 0.5, uv.y * height as f32 - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (fx, fy) = (x - left, y - top);
    let texel = |dx: f32, dy: f32| {
        let column = index(left + dx, width);
        let row = index(top + dy, height);
        texture
            .pixels
            .get(row * width + column)
            .map_or([0.0; 4], |&c| floats(c))
    };
    let (a, b, c, d) = (
        texel(0.0, 0.0),
        texel(1.0, 0.0),
        texel(0.0, 1.0),
        texel(1.0, 1.0),
    );
    let mix = |a: f32, b: f32, c: f32, d: f32| {
        (a * (1.0 - fx) + b * fx) * (1.0 - fy) + (c * (1.0 - fx) + d * fx) * fy
    };
    [
        mix(a[0], b[0], c[0], d[0]),
        mix(a[1], b[1], c[1], d[1]),
        mix(a[2], b[2], c[2], d[2]),
        mix(a[3], b[3], c[3], d[3]),
    ]
}

fn floats(colour: Color32) -> [f32; 4] {
    colour.to_array().map(|byte| f32::from(byte) / 255.0)
}

/// Lays a premultiplied colour over a pixel.
fn blend(picture: &mut RgbaImage, column: u32, row: u32, [r, g, b, a]: [f32; 4]) {
    if let Some(pixel) = picture.get_pixel_mut_checked(column, row) {
        let [under_r, under_g, under_b, _] = pixel.0;
        let over = |new: f32, old: u8| byte(new * 255.0 + f32::from(old) * (1.0 - a));
        pixel.0 = [over(r, under_r), over(g, under_g), over(b, under_b), 255];
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a byte before the cast"
)]
fn byte(value: f32) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

/// A whole number of pixels from 0 to `most`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped from 0 to a u32 before the cast"
)]
fn whole(value: f32, most: u32) -> u32 {
    value.clamp(0.0, most as f32) as u32
}

/// A place in a row of `length` texels.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the row before the cast"
)]
fn index(value: f32, length: usize) -> usize {
    value.clamp(0.0, length.saturating_sub(1) as f32) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::epaint::ImageDelta;
    use egui::epaint::textures::TextureOptions;
    use egui::{pos2, vec2};

    fn raster() -> Raster {
        let mut raster = Raster::default();
        let mut delta = TexturesDelta::default();
        let white = ColorImage::filled([2, 2], Color32::WHITE);
        delta.push(
            TextureId::default(),
            ImageDelta::full(white, TextureOptions::LINEAR),
        );
        raster.take_textures(&mut delta);
        raster
    }

    fn mesh(rect: Rect, colour: Color32) -> ClippedPrimitive {
        let mut mesh = Mesh::default();
        mesh.add_colored_rect(rect, colour);
        ClippedPrimitive {
            clip_rect: Rect::from_min_size(Pos2::ZERO, vec2(40.0, 40.0)),
            primitive: Primitive::Mesh(mesh),
        }
    }

    const SIZE: PixelSize = PixelSize {
        width: 40,
        height: 40,
        per_point: 1.0,
    };

    #[test]
    fn two_half_transparent_triangles_share_their_edge_without_seam_or_overlap() {
        let half = Color32::from_white_alpha(128);
        let shapes = [mesh(
            Rect::from_min_max(pos2(3.0, 5.0), pos2(30.0, 21.0)),
            half,
        )];
        let picture = raster().paint(&shapes, SIZE, Color32::BLACK).unwrap();
        for (x, y, pixel) in picture.enumerate_pixels() {
            let inside = (3..30).contains(&x) && (5..21).contains(&y);
            assert_eq!(pixel.0[0], if inside { 128 } else { 0 }, "{x} {y}");
            assert_eq!(pixel.0[3], 255);
        }
    }

    #[test]
    fn nothing_is_drawn_outside_the_clip() {
        let mut shape = mesh(
            Rect::from_min_max(pos2(-1e7, -5.0), pos2(1e7, 50.0)),
            Color32::WHITE,
        );
        shape.clip_rect = Rect::from_min_max(pos2(10.0, 10.0), pos2(12.0, 11.0));
        let picture = raster().paint(&[shape], SIZE, Color32::BLACK).unwrap();
        let lit = picture.pixels().filter(|p| p.0[0] == 255).count();
        assert_eq!(lit, 2);
    }

    #[test]
    fn nonsense_does_not_panic() {
        let nan = mesh(
            Rect::from_min_max(pos2(f32::NAN, 0.0), pos2(9.0, 9.0)),
            Color32::WHITE,
        );
        assert!(raster().paint(&[nan], SIZE, Color32::BLACK).is_ok());
        let none = PixelSize { width: 0, ..SIZE };
        assert!(matches!(
            raster().paint(&[], none, Color32::BLACK),
            Err(RasterError::Size { .. })
        ));
        let huge = PixelSize {
            width: u32::MAX,
            height: u32::MAX,
            ..SIZE
        };
        assert!(matches!(
            raster().paint(&[], huge, Color32::BLACK),
            Err(RasterError::Size { .. })
        ));
    }
}
