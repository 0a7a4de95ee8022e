//! A painter that knows the plane, the theme, and where labels already are.

use crate::app::plots::envelope::axes::Axes;
use crate::app::plots::geometry;
use crate::app::plots::labels::LabelPlaces;
use crate::app::theme;
use crate::app::theme::Theme;
use egui::{Color32, FontId, Galley, Painter, Pos2, Rect, Shape, Stroke, Ui, Vec2};
use egui_plot::{PlotPoint, PlotTransform};
use std::sync::Arc;

/// Lengths of dash and gap, in turn; none for a whole line.
pub(super) type Dash = &'static [[f32; 2]];

/// Where and how one draws.
pub(super) struct Canvas {
    /// Clipped to the frame of the plane.
    pub(super) painter: Painter,
    /// Clipped to the frame with its rims: for all that is written. It is never faint.
    pub(super) margin_painter: Painter,
    /// From the plane (A, V) to the screen.
    pub(super) transform: PlotTransform,
    /// Colours.
    pub(super) theme: Theme,
    /// The frame with the rims for names above and right of it.
    pub(super) room: Rect,
    /// Labels so far.
    pub(super) places: LabelPlaces,
    /// Areas that are filled with strokes: what is written there needs a ground.
    pub(super) hatched: Vec<Rect>,
    /// Whether the keys move the point.
    pub(super) has_focus: bool,
}

/// A piece of text that waits for its place.
pub(super) struct Caption {
    galley: Arc<Galley>,
    /// A second, smaller line.
    second: Option<Arc<Galley>>,
    /// Colour of a thin frame around it, if any.
    pub(super) edge: Option<Color32>,
    /// How much of what is under it is covered (0 to 1) where no line runs through.
    pub(super) ground: f32,
}

impl Caption {
    /// Size on the screen with the air inside its ground.
    pub(super) fn size(&self) -> Vec2 {
        let mut size = self.galley.size();
        if let Some(second) = &self.second {
            size.x = size.x.max(second.size().x);
            size.y += second.size().y - 1.0;
        }
        size + Vec2::new(6.0, 2.0)
    }
}

impl Canvas {
    pub(super) fn new(ui: &Ui, axes: &Axes, theme: Theme) -> Self {
        let transform = axes.transform;
        let frame = *transform.frame();
        let beside = axes.room.expand(2.0);
        Self {
            painter: ui.painter().with_clip_rect(frame.intersect(ui.clip_rect())),
            margin_painter: ui
                .painter()
                .with_clip_rect(beside.intersect(ui.clip_rect())),
            transform,
            theme,
            room: axes.room,
            places: LabelPlaces::new(frame.shrink(2.0)),
            hatched: Vec::new(),
            has_focus: false,
        }
    }

    pub(super) fn frame(&self) -> Rect {
        *self.transform.frame()
    }

    /// A point of the plane (A, V) on the screen.
    pub(super) fn at(&self, [amps, volts]: [f64; 2]) -> Pos2 {
        self.transform
            .position_from_point(&PlotPoint::new(amps, volts))
    }

    /// Points of the plane on the screen.
    pub(super) fn line(&self, points: &[[f64; 2]]) -> Vec<Pos2> {
        points.iter().map(|&p| self.at(p)).collect()
    }

    /// Draws a polyline, whole or dashed, cut at the frame.
    pub(super) fn stroke(&self, points: &[Pos2], stroke: Stroke, dash: Dash) {
        for piece in geometry::clip_polyline(points, self.frame().expand(4.0)) {
            if dash.is_empty() {
                self.painter.add(Shape::line(piece, stroke));
            } else {
                let (dashes, gaps): (Vec<f32>, Vec<f32>) =
                    dash.iter().map(|d| (d[0], d[1])).unzip();
                self.painter.extend(Shape::dashed_line_with_offset(
                    &piece, stroke, &dashes, &gaps, 0.0,
                ));
            }
        }
    }

    /// Labels avoid this line where they can.
    pub(super) fn avoid(&mut self, points: &[Pos2]) {
        for segment in geometry::segments(points) {
            self.places.avoid(segment);
        }
    }

    /// Draws loose strokes.
    pub(super) fn strokes(&self, strokes: &[[Pos2; 2]], stroke: Stroke) {
        self.painter
            .extend(strokes.iter().map(|&s| Shape::line_segment(s, stroke)));
    }

    /// Text that waits for its place.
    pub(super) fn caption(&self, text: &str, font: FontId, colour: Color32) -> Caption {
        Caption {
            galley: self.painter.layout_no_wrap(text.to_owned(), font, colour),
            second: None,
            edge: None,
            ground: 0.0,
        }
    }

    /// The same with a second, smaller line (none if empty).
    pub(super) fn caption_with_detail(&self, text: &str, detail: &str, colour: Color32) -> Caption {
        let mut caption = self.caption(text, theme::strong_font(theme::BODY), colour);
        if !detail.is_empty() {
            let small = theme::font(theme::SMALL);
            caption.second = Some(
                self.painter
                    .layout_no_wrap(detail.to_owned(), small, colour),
            );
        }
        caption
    }

    /// Puts a caption at the best of the candidate corners; says where.
    pub(super) fn put(
        &mut self,
        caption: &Caption,
        corners: impl IntoIterator<Item = Pos2>,
    ) -> Option<Rect> {
        let area = self.places.place(caption.size(), corners)?;
        self.paint_caption(caption, area);
        Some(area)
    }

    /// Draws a caption in its place.
    pub(super) fn paint_caption(&self, caption: &Caption, area: Rect) {
        let painter = &self.margin_painter;
        let edge = caption
            .edge
            .map_or(Stroke::NONE, |colour| Stroke::new(1.0, colour));
        let is_crossed = self.places.line_length_in(area) > 0.0
            || self.hatched.iter().any(|hatched| hatched.intersects(area));
        let ground = if is_crossed || caption.edge.is_some() {
            caption.ground.max(theme::PLATE)
        } else {
            caption.ground
        };
        painter.rect(
            area,
            3.0,
            self.theme.ground.gamma_multiply(ground),
            edge,
            egui::StrokeKind::Inside,
        );
        self.paint_letters(caption, area);
    }

    /// Writes it without a ground.
    pub(super) fn paint_letters(&self, caption: &Caption, area: Rect) {
        let painter = &self.margin_painter;
        let corner = area.min + Vec2::new(3.0, 1.0);
        painter.galley(corner, Arc::clone(&caption.galley), self.theme.ink);
        if let Some(second) = &caption.second {
            let below = corner + Vec2::new(0.0, caption.galley.size().y - 1.0);
            painter.galley(below, Arc::clone(second), self.theme.ink);
        }
    }
}
