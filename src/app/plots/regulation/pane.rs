//! One pane of curves against output current or output volts, each on a scale of ratios of its own: the first counts at the left
//! edge, the second at the right one.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, vec2};

use crate::app::plots::geometry::{
    clip_polyline, fill_hatch, nearest_on_polyline, nice_at_least, segments,
};
use crate::app::plots::labels::{Beside, LabelPlaces, Under, beside_curve};
use crate::app::theme;
use crate::app::theme::Theme;

/// Room left of a pane for its numbers (points).
const LEFT: f32 = 40.0;
/// Room right of it for those of the second curve.
const RIGHT: f32 = 44.0;
/// Room for one number above another (points).
const NUMBER: f32 = 14.0;
/// Length of the piece of a curve beside the unit of its axis (points).
const SAMPLE: f32 = 14.0;
/// Room below it.
const BOTTOM: f32 = 18.0;
/// Room above it for its title.
const TOP: f32 = 18.0;
/// Decades that a pane shows at most.
const DECADES: f64 = 6.0;
/// Below this height a name that a line crosses is left out: the other pane has it (points).
const ROOMY: f32 = 90.0;
/// Where along a curve its name is tried.
const SHARES: [f32; 12] = [
    0.05, 0.12, 0.2, 0.3, 0.4, 0.5, 0.58, 0.65, 0.73, 0.8, 0.88, 0.95,
];
/// From this distance on a thin line leads from a name to its curve (points).
const LEAD: f32 = 6.0;
/// How far from its curve a name is tried (points).
const GAPS: [f32; 4] = [3.0, 9.0, 15.0, 22.0];

/// A curve with its name.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Curve {
    /// What it is.
    pub(super) name: &'static str,
    /// The unit of its numbers, which stands on its axis.
    pub(super) unit: &'static str,
    /// Along the axis in amperes or volts; upwards in that unit.
    pub(super) points: Vec<[f64; 2]>,
    /// The point on it.
    pub(super) here: Option<[f64; 2]>,
}

/// Where along the axis the output is no longer held.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stop {
    /// From here on (A, V).
    pub(super) from: f64,
    /// Up to here.
    pub(super) to: f64,
    /// What begins there.
    pub(super) name: &'static str,
}

/// All that a pane shows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PaneSheet {
    /// Above it.
    pub(super) title: String,
    /// The unit of the axis, `mA` or `V`.
    pub(super) unit: &'static str,
    /// Right end of the axis (A, V).
    pub(super) end: f64,
    /// Where the point is (A, V).
    pub(super) at: f64,
    /// The curves; the first is drawn in full, the second dashed.
    pub(super) curves: Vec<Curve>,
    /// Where nothing is held.
    pub(super) stops: Vec<Stop>,
}

struct Scale {
    rect: Rect,
    end: f64,
    /// Powers of ten at the lower and upper edge.
    low: f64,
    high: f64,
    painter: Painter,
}

impl Scale {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    fn at(&self, along: f64, value: f64) -> Pos2 {
        let up = (value.max(1e-30).log10() - self.low) / (self.high - self.low);
        Pos2::new(
            self.rect.left() + (along / self.end) as f32 * self.rect.width(),
            self.rect.bottom() - up.clamp(-9.0, 9.0) as f32 * self.rect.height(),
        )
    }
}

/// The part of a pane's area that holds its curves.
fn inside(area: Rect) -> Rect {
    Rect::from_min_max(area.min + vec2(LEFT, TOP), area.max - vec2(RIGHT, BOTTOM))
}

/// Where along a pane's axis a place on the screen is (A, V); `None` outside.
pub(super) fn along(area: Rect, sheet: &PaneSheet, at: Pos2) -> Option<f64> {
    let rect = inside(area);
    (rect.is_positive() && rect.contains(at))
        .then(|| f64::from((at.x - rect.left()) / rect.width()) * sheet.end)
}

/// Draws the place along a pane's axis that is read off (A, V).
pub(super) fn paint_read(painter: &Painter, area: Rect, sheet: &PaneSheet, at: f64, theme: &Theme) {
    let rect = inside(area);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    let x = rect.left() + (at / sheet.end) as f32 * rect.width();
    painter.vline(x, rect.y_range(), Stroke::new(1.0, theme.ink));
}

/// Draws a pane in `area`.
pub(super) fn paint_pane(painter: &Painter, area: Rect, sheet: &PaneSheet, theme: &Theme) {
    let rect = inside(area);
    if !rect.is_positive() || sheet.end.is_nan() || sheet.end <= 0.0 {
        return;
    }
    let clipped = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let scales: Vec<Scale> = (sheet.curves.iter())
        .map(|curve| {
            let [low, high] = decades(curve);
            Scale {
                rect,
                end: sheet.end,
                low,
                high,
                painter: clipped.clone(),
            }
        })
        .collect();
    // Where along the axis something is, all of them agree about.
    let Some(scale) = scales.first() else { return };
    painter.text(
        Pos2::new(rect.left(), area.top()),
        Align2::LEFT_TOP,
        theme::tied(&sheet.title),
        theme::strong_font(theme::SMALL),
        theme.middle,
    );
    paint_scale(painter, scale, sheet.unit, theme);
    for (place, (curve, scale)) in sheet.curves.iter().zip(&scales).enumerate() {
        paint_axis(painter, scale, (place, curve.unit), theme);
    }
    let mut places = LabelPlaces::new(rect.shrink(3.0));
    paint_stops(scale, &sheet.stops, theme);
    for stop in &sheet.stops {
        for along in [stop.from, stop.to] {
            let x = scale.at(along, 1.0).x;
            places.avoid([Pos2::new(x, rect.top()), Pos2::new(x, rect.bottom())]);
        }
    }
    let here = scale.at(sheet.at, 1.0).x;
    if sheet.at <= sheet.end {
        scale.painter.extend(Shape::dashed_line(
            &[Pos2::new(here, rect.top()), Pos2::new(here, rect.bottom())],
            Stroke::new(1.0, theme.middle),
            2.5,
            2.5,
        ));
    }
    let lines: Vec<Vec<Pos2>> = sheet
        .curves
        .iter()
        .zip(&scales)
        .map(|(curve, scale)| {
            let points = curve.points.iter().map(|[x, y]| scale.at(*x, *y));
            points.collect()
        })
        .collect();
    for line in &lines {
        segments(line).for_each(|piece| places.avoid(piece));
    }
    for (place, (curve, line)) in sheet.curves.iter().zip(&lines).enumerate() {
        paint_curve(
            scales.get(place).unwrap_or(scale),
            place,
            curve,
            line,
            theme,
        );
    }
    for (place, (curve, line)) in sheet.curves.iter().zip(&lines).enumerate() {
        let name = CurveName {
            place,
            text: curve.name,
            line,
            here,
        };
        name_curve(scale, &mut places, &name, theme);
    }
    for stop in &sheet.stops {
        name_stop(scale, &mut places, stop, theme);
    }
}

/// The powers of ten between which a curve lies.
fn decades(curve: &Curve) -> [f64; 2] {
    let values = || {
        (curve.points.iter().chain(&curve.here))
            .map(|p| p[1])
            .filter(|v| v.is_finite() && *v > 0.0)
            .map(f64::log10)
    };
    let low = values().fold(f64::INFINITY, f64::min);
    let high = values().fold(f64::NEG_INFINITY, f64::max);
    if low > high {
        return [-1.0, 1.0];
    }
    // A little air, so that a flat curve does not lie on the frame.
    let (low, high) = ((low - 0.05).floor(), (high + 0.05).ceil());
    [low.max(high - DECADES), high.max(low + 1.0)]
}

fn colours(place: usize, theme: &Theme) -> (Color32, Color32) {
    if place == 0 {
        (theme.dropout, theme.dropout_text)
    } else {
        (theme.near, theme.near_text)
    }
}

fn paint_curve(scale: &Scale, place: usize, curve: &Curve, line: &[Pos2], theme: &Theme) {
    let (ink, _) = colours(place, theme);
    for piece in clip_polyline(line, scale.rect) {
        if place == 0 {
            scale.painter.line(piece, Stroke::new(2.0, ink));
        } else {
            let stroke = Stroke::new(2.0, ink);
            scale
                .painter
                .extend(Shape::dashed_line(&piece, stroke, 6.0, 4.0));
        }
    }
    if let Some([along, value]) = curve.here {
        let at = scale.at(along, value);
        scale.painter.circle_filled(at, 3.5, ink);
    }
}

/// The name of one of the curves.
struct CurveName<'a> {
    /// Which of them.
    place: usize,
    /// What is written.
    text: &'a str,
    /// The curve as drawn.
    line: &'a [Pos2],
    /// Where the point stands on the axis.
    here: f32,
}

fn name_curve(scale: &Scale, places: &mut LabelPlaces, name: &CurveName<'_>, theme: &Theme) {
    let CurveName {
        place,
        text,
        line,
        here,
    } = *name;
    let (_, ink) = colours(place, theme);
    let galley =
        scale
            .painter
            .layout_no_wrap(text.to_owned(), theme::strong_font(theme::SMALL), ink);
    let inside: Vec<Pos2> = clip_polyline(line, scale.rect)
        .into_iter()
        .flatten()
        .collect();
    let liked = if place == 0 {
        Beside::Above
    } else {
        Beside::Below
    };
    let size = galley.size();
    let beside = |gap| beside_curve(&inside, size, gap, liked, &SHARES);
    let is_low = scale.rect.height() < ROOMY;
    let all: Vec<Pos2> = GAPS.into_iter().flat_map(beside).collect();
    let area = |corner: &Pos2| Rect::from_min_size(*corner, size).expand(2.0);
    let is_clear = |corner: &Pos2| places.line_length_in(area(corner)) <= 0.0;
    let clear: Vec<Pos2> = all.iter().copied().filter(is_clear).collect();
    // The faint line of the point may run behind a name rather than that a curve does.
    let is_on_here = |corner: &Pos2| area(corner).x_range().contains(here);
    let (on_here, free): (Vec<Pos2>, Vec<Pos2>) = clear.into_iter().partition(is_on_here);
    let crossed = if is_low { Vec::new() } else { all };
    let corners = free.into_iter().chain(on_here).chain(crossed);
    if let Some((place, under)) = places.place_clear(size, corners) {
        if under == Under::Line || is_on_here(&place.min) {
            paint_ground(scale, place, theme);
        }
        scale.painter.galley(place.min, galley, ink);
        if let Some(line) = lead(scale, place, &inside, ink) {
            places.avoid(line);
        }
    }
}

/// A thin line from a name to its curve where it stands too far off to be read as that curve's; gives where it runs.
fn lead(scale: &Scale, name: Rect, curve: &[Pos2], ink: Color32) -> Option<[Pos2; 2]> {
    let sides = [
        name.center_top(),
        name.center_bottom(),
        name.left_center(),
        name.right_center(),
    ];
    let far = |at: &Pos2| name.clamp(*at).distance(*at);
    let own = (sides.into_iter())
        .filter_map(|side| nearest_on_polyline(curve, side))
        .min_by(|a, b| far(a).total_cmp(&far(b)))?;
    let line = [name.clamp(own), own];
    if line[0].distance(own) <= LEAD {
        return None;
    }
    let stroke = Stroke::new(1.0, ink.gamma_multiply(0.6));
    scale.painter.line_segment(line, stroke);
    Some(line)
}

/// Covers most of what a label would stand on.
fn paint_ground(scale: &Scale, area: Rect, theme: &Theme) {
    let ground = theme.ground.gamma_multiply(0.85);
    scale.painter.rect_filled(area.expand(1.0), 2.0, ground);
}

/// Hatches where nothing is held.
fn paint_stops(scale: &Scale, stops: &[Stop], theme: &Theme) {
    for stop in stops {
        let left = scale.at(stop.from.max(0.0), 1.0).x.min(scale.rect.right());
        let right = scale.at(stop.to, 1.0).x.clamp(left, scale.rect.right());
        let area = Rect::from_x_y_ranges(left..=right, scale.rect.y_range());
        if area.width() < 1.0 {
            continue;
        }
        let colour = theme.dropout.gamma_multiply(0.35);
        for stroke in fill_hatch(area, 9.0) {
            scale.painter.line_segment(stroke, Stroke::new(0.8, colour));
        }
        for x in [left, right] {
            if x > scale.rect.left() + 1.0 && x < scale.rect.right() - 1.0 {
                scale
                    .painter
                    .vline(x, scale.rect.y_range(), Stroke::new(1.4, theme.dropout));
            }
        }
    }
}

fn name_stop(scale: &Scale, places: &mut LabelPlaces, stop: &Stop, theme: &Theme) {
    let galley = scale.painter.layout_no_wrap(
        stop.name.to_owned(),
        theme::font(theme::SMALL),
        theme.dropout_text,
    );
    let size = galley.size();
    let (left, right) = (scale.at(stop.from, 1.0).x, scale.at(stop.to, 1.0).x);
    if right - left < 1.0 || left > scale.rect.right() {
        return;
    }
    let (left, right) = (left.max(scale.rect.left()), right.min(scale.rect.right()));
    let (top, bottom) = (scale.rect.top() + 4.0, scale.rect.bottom() - size.y - 4.0);
    let rows = [0.0, 1.0, 0.25, 0.5, 0.75].map(|up| bottom + (top - bottom) * up);
    let corners = rows.into_iter().flat_map(|y| {
        [
            0.5 * (left + right - size.x),
            left + 4.0,
            right - size.x - 4.0,
            left - size.x - 4.0,
            right + 4.0,
        ]
        .map(|x| Pos2::new(x, y))
    });
    if let Some((area, _)) = places.place_clear(size, corners) {
        paint_ground(scale, area, theme);
        scale.painter.galley(area.min, galley, theme.dropout_text);
    }
}

/// Frame and the numbers along it.
fn paint_scale(painter: &Painter, scale: &Scale, unit: &str, theme: &Theme) {
    let rect = scale.rect;
    painter.rect_stroke(
        rect,
        0.0,
        Stroke::new(1.0, theme.line),
        egui::StrokeKind::Inside,
    );
    let number = |at: Pos2, align: Align2, text: String| {
        painter.text(at, align, text, theme::font(theme::SMALL), theme.middle);
    };
    let factor = if unit == "mA" { 1e3 } else { 1.0 };
    let end = scale.end * factor;
    let step = nice_at_least(end * 46.0 / f64::from(rect.width()).max(1.0));
    let mut value = 0.0;
    while value <= end * (1.0 + 1e-9) {
        let at = scale.at(value / factor, 1.0).x;
        painter.line_segment(
            [
                Pos2::new(at, rect.bottom()),
                Pos2::new(at, rect.bottom() + 3.0),
            ],
            Stroke::new(1.0, theme.middle),
        );
        let last = value + step > end * (1.0 + 1e-9);
        let text = if last {
            format!("{} {unit}", plain(value, step))
        } else {
            plain(value, step)
        };
        let align = if rect.right() - at < 14.0 {
            Align2::RIGHT_TOP
        } else {
            Align2::CENTER_TOP
        };
        // The last one has the unit and stands inwards where the axis ends: it needs the room of the one before it.
        let next = scale.at((value + step) / factor, 1.0).x;
        let gives_way = !last
            && value + 2.0 * step > end * (1.0 + 1e-9)
            && rect.right() - next < 14.0
            && next - at < 64.0;
        if !gives_way {
            number(Pos2::new(at, rect.bottom() + 4.0), align, text);
        }
        value += step;
    }
}

/// The numbers of a curve at its edge of the pane, in its own ink, with its unit and a piece of it above them. The grid is that of the
/// first curve.
fn paint_axis(painter: &Painter, scale: &Scale, (place, unit): (usize, &str), theme: &Theme) {
    let rect = scale.rect;
    let (line, ink) = colours(place, theme);
    let (edge, outwards, align) = if place == 0 {
        (rect.left(), -1.0, Align2::RIGHT_CENTER)
    } else {
        (rect.right(), 1.0, Align2::LEFT_CENTER)
    };
    for value in marks(scale) {
        let at = Pos2::new(edge, scale.at(0.0, value).y);
        if place == 0 {
            let far = Pos2::new(rect.right(), at.y);
            (scale.painter).line_segment([at, far], Stroke::new(1.0, theme.grid));
        } else {
            let tick = [at, at + vec2(3.0, 0.0)];
            painter.line_segment(tick, Stroke::new(1.0, theme.middle));
        }
        let text = number_text(value);
        let font = theme::font(theme::SMALL);
        painter.text(at + vec2(6.0 * outwards, 0.0), align, text, font, ink);
    }
    let head = Pos2::new(edge + 6.0 * outwards, rect.top() - 11.0);
    let font = theme::strong_font(theme::SMALL);
    let written = painter.text(head, align, unit, font, ink);
    let from = if place == 0 {
        written.left_center() - vec2(SAMPLE + 4.0, 0.0)
    } else {
        written.right_center() + vec2(4.0, 0.0)
    };
    let sample = [from, from + vec2(SAMPLE, 0.0)];
    let stroke = Stroke::new(2.0, line);
    if place == 0 {
        painter.line_segment(sample, stroke);
    } else {
        painter.extend(Shape::dashed_line(&sample, stroke, 5.0, 4.0));
    }
}

/// The values that are written on an axis: as many of 1, 2 and 5 of each decade as have room.
fn marks(scale: &Scale) -> Vec<f64> {
    let decades = scale.high - scale.low;
    let room = f64::from(scale.rect.height()) / decades;
    let number = f64::from(NUMBER);
    let (within, step): (&[f64], f64) = if room * 2_f64.log10() >= number {
        (&[1.0, 2.0, 5.0], 1.0)
    } else {
        (&[1.0], (number / room).ceil().max(1.0))
    };
    let mut all = Vec::new();
    let mut power = scale.low;
    while power <= scale.high + 1e-9 {
        all.extend(within.iter().map(|share| share * ten_to(power)));
        power += step;
    }
    all.retain(|value| value.log10() <= scale.high + 1e-9);
    all
}

fn plain(value: f64, step: f64) -> String {
    let places = usize::from(step < 0.999);
    format!("{value:.places$}")
}

/// A value of an axis as a number: `0.02`, `10`, `1k`.
fn number_text(value: f64) -> String {
    if value >= 999.0 {
        return format!("{:.0}k", value / 1e3);
    }
    if value >= 0.999 {
        return format!("{value:.0}");
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of decades between 0 and 30"
    )]
    let places = (-(value * 1.000_001).log10().floor()).clamp(0.0, 30.0) as usize;
    format!("{value:.places$}")
}

/// Ten to a whole power.
fn ten_to(power: f64) -> f64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a whole number between −30 and 30"
    )]
    let power = power.clamp(-30.0, 30.0) as i32;
    10_f64.powi(power)
}
