//! The small plot of the editor: the law's curves, the points they were fitted to, and a stroke from each point to its
//! place on the law.

use egui::{Align2, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, Vec2, vec2};

use crate::app::panels::tube_editor::Judged;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::{number, tube};
use crate::parts::pass_stage::PlateCharacteristic;
use crate::parts::tube_draft::DraftCurrents;
use crate::physics::device::triode_fit::Fit;

/// Room for the numbers of the axes (points).
const LEFT: f32 = 46.0;
const BOTTOM: f32 = 20.0;
/// Marks of an axis, about.
const MARKS: f64 = 6.0;

/// Draws what there is to draw.
pub(super) fn family_ui(ui: &mut Ui, size: Vec2, judged: &Judged) {
    let colours = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(size, Sense::hover());
    ui.painter().rect(
        area,
        theme::RADIUS,
        colours.ground,
        Stroke::new(1.0, colours.line),
        egui::StrokeKind::Inside,
    );
    let frame = Rect::from_min_max(area.min + vec2(LEFT, 14.0), area.max - vec2(34.0, BOTTOM));
    let mut said = "nothing to draw yet".to_owned();
    if let (Some(family), Some(Ok(fit))) = (&judged.family, &judged.fit) {
        let plane = Plane::new(ui, frame, [family.plate_volts, family.amps]);
        plane.axes(&colours);
        for curve in family.curves.iter().rev() {
            let zero = curve.grid == 0.0;
            let (ink, width) = if zero {
                (colours.dropout, 2.2)
            } else {
                (colours.dim, 1.2)
            };
            plane.line(&curve.points, Stroke::new(width, ink));
        }
        // From the zero-bias line on; where two ends are too close the next goes without.
        let mut taken: Vec<Rect> = Vec::new();
        for curve in &family.curves {
            let ink = if curve.grid == 0.0 {
                colours.dropout_text
            } else {
                colours.middle
            };
            plane.end_label(&curve.points, &tube::grid(curve.grid), ink, &mut taken);
        }
        plane.points(fit, &colours);
        said = format!(
            "{} curves, {} points; {}",
            family.curves.len(),
            fit.points.len(),
            tube::fit(fit).sentence
        );
    } else if let Ok(DraftCurrents::Triode { characteristic, .. }) = &judged.currents {
        let bare = bare_points(characteristic);
        let most = |axis: usize| {
            bare.iter()
                .filter_map(|p| p.get(axis).copied())
                .fold(0.0, f64::max)
        };
        if most(0) > 0.0 && most(1) > 0.0 {
            let plane = Plane::new(ui, frame, [1.25 * most(0), 1.3 * most(1)]);
            plane.axes(&colours);
            if matches!(characteristic, PlateCharacteristic::ZeroBias(_)) {
                // Below its first point the line goes straight to zero, as the dropout line takes it.
                let line: Vec<[f64; 2]> = core::iter::once([0.0, 0.0])
                    .chain(bare.iter().copied())
                    .collect();
                plane.line(&line, Stroke::new(2.2, colours.dropout));
                plane.end_label(&bare, "0 V", colours.dropout_text, &mut Vec::new());
            }
            for point in &bare {
                plane
                    .painter
                    .circle_filled(plane.at(*point), 4.0, colours.ink);
            }
            said = format!("{} points, no fitted curve", bare.len());
        }
    }
    response.widget_info(|| {
        let mut info = egui::WidgetInfo::labeled(
            egui::Role::GraphicsObject,
            ui.is_enabled(),
            "Curves of the tube",
        );
        info.current_text_value = Some(said.clone());
        info
    });
    response.on_hover_text(tube::family_hover(judged.draft.purpose));
}

fn bare_points(characteristic: &PlateCharacteristic) -> Vec<[f64; 2]> {
    match characteristic {
        PlateCharacteristic::Published { points, .. } => points
            .iter()
            .map(|p| [p.plate.0, p.current.0])
            .filter(|[v, a]| *v > 0.0 && *a > 0.0)
            .collect(),
        PlateCharacteristic::ZeroBias(table) => table.iter().map(|(v, a)| [v.0, a.0]).collect(),
        PlateCharacteristic::Law(_) => Vec::new(),
    }
}

/// The volt–ampere plane of the plate.
struct Plane {
    frame: Rect,
    ends: [f64; 2],
    painter: Painter,
    beside: Painter,
}

impl Plane {
    fn new(ui: &Ui, frame: Rect, ends: [f64; 2]) -> Self {
        Self {
            frame,
            ends,
            painter: ui
                .painter()
                .with_clip_rect(frame.expand(4.0).intersect(ui.clip_rect())),
            beside: ui.painter().clone(),
        }
    }

    fn at(&self, [volts, amps]: [f64; 2]) -> Pos2 {
        let [right, top] = self.ends;
        Pos2::new(
            self.frame.left() + theme::share(volts / right) * self.frame.width(),
            self.frame.bottom() - theme::share(amps / top) * self.frame.height(),
        )
    }

    fn axes(&self, colours: &Theme) {
        let small = theme::font(theme::SMALL);
        let [right, top] = self.ends;
        for volts in marks(right) {
            let x = self.at([volts, 0.0]).x;
            self.painter
                .vline(x, self.frame.y_range(), Stroke::new(1.0, colours.grid));
            self.beside.text(
                Pos2::new(x, self.frame.bottom() + 3.0),
                Align2::CENTER_TOP,
                number::volts(volts),
                small.clone(),
                colours.middle,
            );
        }
        for amps in marks(top) {
            let y = self.at([0.0, amps]).y;
            self.painter
                .hline(self.frame.x_range(), y, Stroke::new(1.0, colours.grid));
            self.beside.text(
                Pos2::new(self.frame.left() - 4.0, y),
                Align2::RIGHT_CENTER,
                number::amps(amps),
                small.clone(),
                colours.middle,
            );
        }
    }

    fn line(&self, points: &[[f64; 2]], stroke: Stroke) {
        let [right, top] = self.ends;
        let inside = points
            .iter()
            .take_while(|[volts, amps]| *volts <= right && *amps <= top)
            .map(|p| self.at(*p))
            .collect();
        self.painter.add(Shape::line(inside, stroke));
    }

    /// The grid volts at the upper end of a curve, unless another's stand there.
    fn end_label(
        &self,
        points: &[[f64; 2]],
        text: &str,
        ink: egui::Color32,
        taken: &mut Vec<Rect>,
    ) {
        let [right, top] = self.ends;
        let end = points
            .iter()
            .take_while(|[volts, amps]| *volts <= right && *amps <= top)
            .last();
        let Some(end) = end.map(|p| self.at(*p)) else {
            return;
        };
        let (place, anchor) = if end.x > self.frame.right() - 4.0 {
            (end + vec2(4.0, 0.0), Align2::LEFT_CENTER)
        } else {
            // Clear of a point that may sit there.
            let above = if end.y > self.frame.top() + 8.0 {
                6.0
            } else {
                1.0
            };
            (end - vec2(0.0, above), Align2::CENTER_BOTTOM)
        };
        let font = theme::font(theme::SMALL);
        let galley = self.beside.layout_no_wrap(text.to_owned(), font, ink);
        let area = anchor.anchor_size(place, galley.size());
        if taken.iter().any(|other| other.expand(3.0).intersects(area)) {
            return;
        }
        self.beside.galley(area.min, galley, ink);
        taken.push(area);
    }

    fn points(&self, fit: &Fit, colours: &Theme) {
        for (point, miss) in fit.points.iter().zip(&fit.misses) {
            let own = self.at([point.plate.0, point.current.0]);
            let ink = if tube::severity_of(miss) == crate::explain::Severity::Fine {
                colours.ink
            } else {
                colours.near
            };
            if let Some(off) = miss.volts_off {
                let law = self.at([point.plate.0 + off, point.current.0]);
                self.painter.line_segment([own, law], Stroke::new(2.0, ink));
            }
            self.painter
                .circle(own, 4.0, ink, Stroke::new(1.0, colours.ground));
        }
    }
}

/// Round values from zero to the end, about as many as [`MARKS`].
fn marks(end: f64) -> Vec<f64> {
    let rough = end / MARKS;
    if !(rough.is_finite() && rough > 0.0) {
        return Vec::new();
    }
    let mut power = 1e-6;
    while power * 10.0 <= rough {
        power *= 10.0;
    }
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| *step >= rough)
        .unwrap_or(rough);
    let mut at = 0.0;
    let mut marks = Vec::new();
    while at <= end && marks.len() < 20 {
        marks.push(at);
        at += step;
    }
    marks
}
