//! One mains cycle: volts above, amperes below, over the same time.
//!
//! The winding's halves reach over the bus for a moment, the rectifier conducts, the capacitors carry the bus through the
//! rest. Marked are the trough, the angle of conduction, and the level at which the pass tubes run out of volts.

use egui::{Align2, Color32, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, vec2};

use crate::app::plots::geometry::nice_at_least;
use crate::app::plots::labels::{Beside, LabelPlaces};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::cycle;
use crate::physics::steady_state::{Instant, Waveform};

/// Room left of the panes for their numbers (points).
const LEFT: f32 = 60.0;
/// Room below for time and angle.
const BOTTOM: f32 = 20.0;
/// Between the panes.
const GAP: f32 = 12.0;
/// The upper pane's part of the height.
const UPPER: f32 = 0.6;
/// Least points between two numbers of an axis.
const NUMBER_GAP: f64 = 26.0;
/// A dropout level further below the trough than this many times what the volts swing is only named.
const REACH: f64 = 3.0;
/// From this width on there is room for angle and time at every mark.
const WIDE: f32 = 520.0;
/// Quarters of the cycle that are marked.
const QUARTERS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CycleInput<'a> {
    /// The waveform.
    pub(crate) wave: &'a Waveform,
    /// Output volts and least drop together (V), if known.
    pub(crate) dropout_volts: Option<f64>,
}

/// Part of the drawing with its own vertical scale.
struct Pane {
    rect: Rect,
    low: f64,
    high: f64,
    seconds: f64,
    painter: Painter,
}

impl Pane {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    fn at(&self, seconds: f64, value: f64) -> Pos2 {
        let across = (seconds / self.seconds) as f32;
        let up = ((value - self.low) / (self.high - self.low)).clamp(-50.0, 50.0) as f32;
        Pos2::new(
            self.rect.left() + across * self.rect.width(),
            self.rect.bottom() - up * self.rect.height(),
        )
    }

    fn curve(&self, wave: &Waveform, of: impl Fn(&Instant) -> f64) -> Vec<Pos2> {
        wave.instants
            .iter()
            .map(|i| self.at(i.seconds, of(i)))
            .collect()
    }

    fn level(&self, volts: f64) -> [Pos2; 2] {
        [self.at(0.0, volts), self.at(self.seconds, volts)]
    }
}

/// Draws the cycle in all the room that `ui` has.
pub(crate) fn cycle_plot_ui(ui: &mut Ui, input: CycleInput<'_>) -> Response {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let frame = Rect::from_min_max(area.min + vec2(LEFT, 2.0), area.max - vec2(12.0, BOTTOM));
    let split = frame.top() + (frame.height() - GAP) * UPPER;
    let pane = |rect: Rect, [low, high]: [f64; 2]| Pane {
        rect,
        low,
        high,
        seconds: input.wave.cycle_seconds,
        painter: ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())),
    };
    let volts = pane(
        Rect::from_min_max(frame.min, Pos2::new(frame.right(), split)),
        volts_range(input),
    );
    let amps = pane(
        Rect::from_min_max(Pos2::new(frame.left(), split + GAP), frame.max),
        amps_range(input.wave),
    );
    for (pane, unit) in [(&volts, "V"), (&amps, "mA")] {
        scale(ui.painter(), pane, unit, &theme);
    }
    times(ui.painter(), &amps, &theme);
    conduction(&volts, &amps, input.wave, &theme);
    paint_volts(&volts, input, &theme);
    paint_amps(&amps, input.wave, &theme);
    if let Some(pointer) = response.hover_pos().filter(|p| frame.contains(*p)) {
        read_out(ui.painter(), [&volts, &amps], pointer, (input.wave, &theme));
    }
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::GraphicsObject, ui.is_enabled(), cycle::NAME);
        info.current_text_value = Some(cycle::in_words(input.wave, input.dropout_volts));
        info
    });
    response
}

/// Lowest and highest volts shown: what the bus and the first capacitor do, the winding's crest, and the dropout level
/// unless it lies far below.
fn volts_range(input: CycleInput<'_>) -> [f64; 2] {
    let instants = &input.wave.instants;
    let all = || {
        instants
            .iter()
            .flat_map(|i| i.capacitor_volts.iter().copied())
    };
    let top = instants
        .iter()
        .map(|i| i.rectified_volts)
        .chain(all())
        .fold(0.0, f64::max);
    let least = all().fold(top, f64::min);
    let swing = (top - least).max(0.02 * top).max(1e-3);
    let low = match input.dropout_volts {
        Some(volts) if volts > least - REACH * swing => least.min(volts),
        _ => least - 0.5 * swing,
    };
    let air = 0.12 * (top - low).max(1e-3);
    [low - air, top + air]
}

fn amps_range(wave: &Waveform) -> [f64; 2] {
    let most = wave
        .instants
        .iter()
        .flat_map(|i| i.plate_amps.iter().chain(&i.choke_amps).copied())
        .fold(1e-6, f64::max);
    [0.0, 1.22 * most]
}

/// Frame, grid and numbers of a pane; amperes are given in thousandths.
fn scale(painter: &Painter, pane: &Pane, unit: &str, theme: &Theme) {
    painter.rect_stroke(
        pane.rect,
        0.0,
        Stroke::new(1.0, theme.line),
        egui::StrokeKind::Inside,
    );
    let factor = if unit == "mA" { 1e3 } else { 1.0 };
    let (low, high) = (pane.low * factor, pane.high * factor);
    let step = nice_at_least((high - low) * NUMBER_GAP / f64::from(pane.rect.height()).max(1.0));
    let mut value = (low / step).ceil() * step;
    let mut last = None;
    while value <= high {
        let [from, to] = pane.level(value / factor);
        painter.line_segment([from, to], Stroke::new(1.0, theme.grid));
        last = Some((from, value));
        let text = number(value, step);
        if value + step <= high {
            side_text(painter, from, &text, theme);
        }
        value += step;
    }
    if let Some((from, value)) = last {
        side_text(
            painter,
            from,
            &format!("{} {unit}", number(value, step)),
            theme,
        );
    }
}

fn number(value: f64, step: f64) -> String {
    let places = if step >= 0.999 { 0 } else { 2 };
    let value = if value.abs() < 1e-6 * step {
        0.0
    } else {
        value
    };
    format!("{value:.places$}")
}

fn side_text(painter: &Painter, at: Pos2, text: &str, theme: &Theme) {
    painter.text(
        at - vec2(6.0, 0.0),
        Align2::RIGHT_CENTER,
        text,
        theme::font(theme::SMALL),
        theme.middle,
    );
}

/// Angle and time under the lower pane.
fn times(painter: &Painter, pane: &Pane, theme: &Theme) {
    for quarter in QUARTERS {
        let at = pane.at(quarter * pane.seconds, pane.low);
        painter.line_segment([at, at + vec2(0.0, 4.0)], Stroke::new(1.0, theme.middle));
        let align = if quarter <= 0.0 {
            Align2::LEFT_TOP
        } else if quarter >= 1.0 {
            Align2::RIGHT_TOP
        } else {
            Align2::CENTER_TOP
        };
        let degrees = 360.0 * quarter;
        let millis = 1e3 * quarter * pane.seconds;
        let text = if pane.rect.width() > WIDE {
            format!("{degrees:.0}° · {millis:.2} ms")
        } else if quarter >= 1.0 {
            format!("{millis:.1} ms")
        } else {
            format!("{degrees:.0}°")
        };
        painter.text(
            at + vec2(0.0, 5.0),
            align,
            text,
            theme::font(theme::SMALL),
            theme.middle,
        );
    }
}

/// Shades the time in which the first plate conducts, through both panes.
fn conduction(volts: &Pane, amps: &Pane, wave: &Waveform, theme: &Theme) {
    let Some([from, to]) = wave.conduction else {
        return;
    };
    for pane in [volts, amps] {
        let band = Rect::from_min_max(pane.at(from, pane.high), pane.at(to, pane.low));
        pane.painter.rect_filled(band, 0.0, theme.near_fill);
        for seconds in [from, to] {
            pane.painter.extend(Shape::dashed_line(
                &[pane.at(seconds, pane.low), pane.at(seconds, pane.high)],
                Stroke::new(1.0, theme.near.gamma_multiply(0.7)),
                3.0,
                3.0,
            ));
        }
    }
}

fn paint_volts(pane: &Pane, input: CycleInput<'_>, theme: &Theme) {
    let wave = input.wave;
    let mut places = LabelPlaces::new(pane.rect.shrink(2.0));
    avoid_band(pane, &mut places, wave);
    let [first_name, second_name, bus_name, ..] = cycle::CURVES;
    let halves =
        [0, 1].map(|half| pane.curve(wave, |i| i.half_volts.get(half).copied().unwrap_or(0.0)));
    let [first, second] = &halves;
    pane.painter
        .line(first.clone(), Stroke::new(1.3, theme.winding));
    pane.painter.extend(Shape::dashed_line(
        second,
        Stroke::new(1.3, theme.winding),
        5.0,
        4.0,
    ));
    let reservoir = pane.curve(wave, |i| i.capacitor_volts.first().copied().unwrap_or(0.0));
    let has_filter = wave
        .instants
        .first()
        .is_some_and(|i| i.capacitor_volts.len() > 1);
    if has_filter {
        pane.painter
            .line(reservoir.clone(), Stroke::new(1.3, theme.middle));
    }
    let bus = pane.curve(wave, Instant::bus_volts);
    pane.painter
        .line(bus.clone(), Stroke::new(2.2, theme.envelope));
    for line in [first, second, &reservoir, &bus] {
        avoid(&mut places, line);
    }
    if let Some(volts) = input.dropout_volts {
        paint_dropout(pane, &mut places, (volts, theme));
    }
    for (mark, text) in [
        (wave.trough, cycle::trough(wave)),
        (wave.crest, cycle::crest(wave)),
    ] {
        let at = pane.at(mark.seconds, mark.volts);
        pane.painter.circle_filled(at, 3.5, theme.envelope);
        label(pane, &mut places, (at, &text), theme.envelope_text);
    }
    let crest_of = |line: &[Pos2]| {
        line.iter()
            .copied()
            .reduce(|a, b| if b.y < a.y { b } else { a })
    };
    if let Some(at) = crest_of(first) {
        label(pane, &mut places, (at, first_name), theme.winding_text);
    }
    let Some(at) = farthest_apart(&bus, &reservoir) else {
        return;
    };
    let colour = theme.envelope_text;
    if !has_filter {
        label(pane, &mut places, (at[0], bus_name), colour);
        return;
    }
    let sides = if at[1].y <= at[0].y {
        [Beside::Below, Beside::Above]
    } else {
        [Beside::Above, Beside::Below]
    };
    label_beside(pane, &mut places, (at[0], bus_name, sides[0]), colour);
    label_beside(
        pane,
        &mut places,
        (at[1], second_name, sides[1]),
        theme.middle,
    );
}

/// Where two lines over the same instants are farthest apart, in the last quarter of the cycle.
fn farthest_apart(a: &[Pos2], b: &[Pos2]) -> Option<[Pos2; 2]> {
    let pairs = a.iter().zip(b).skip(a.len() * 3 / 4).take(a.len() / 5);
    pairs
        .max_by(|p, q| (p.0.y - p.1.y).abs().total_cmp(&(q.0.y - q.1.y).abs()))
        .map(|(a, b)| [*a, *b])
}

fn paint_dropout(pane: &Pane, places: &mut LabelPlaces, (volts, theme): (f64, &Theme)) {
    if volts >= pane.low {
        let level = pane.level(volts);
        pane.painter.extend(Shape::dashed_line(
            &level,
            Stroke::new(1.8, theme.dropout),
            9.0,
            4.0,
        ));
        places.avoid(level);
        let [left, _] = level;
        let text = cycle::dropout(volts);
        label(
            pane,
            places,
            (left + vec2(4.0, 0.0), &text),
            theme.dropout_text,
        );
    } else {
        let text = cycle::dropout_below(volts);
        let at = pane.rect.left_bottom() + vec2(4.0, -2.0);
        label(pane, places, (at, &text), theme.dropout_text);
    }
}

fn paint_amps(pane: &Pane, wave: &Waveform, theme: &Theme) {
    let mut places = LabelPlaces::new(pane.rect.shrink(2.0));
    avoid_band(pane, &mut places, wave);
    let [.., plate_name, choke_name] = cycle::CURVES;
    let has_choke = wave
        .instants
        .first()
        .is_some_and(|i| !i.choke_amps.is_empty());
    let choke = pane.curve(wave, |i| i.choke_amps.first().copied().unwrap_or(0.0));
    let [first, second] =
        [0, 1].map(|plate| pane.curve(wave, |i| i.plate_amps.get(plate).copied().unwrap_or(0.0)));
    if has_choke {
        pane.painter
            .line(choke.clone(), Stroke::new(1.3, theme.dropout));
        avoid(&mut places, &choke);
    }
    pane.painter
        .line(first.clone(), Stroke::new(2.0, theme.near));
    pane.painter.extend(Shape::dashed_line(
        &second,
        Stroke::new(2.0, theme.near),
        5.0,
        3.0,
    ));
    avoid(&mut places, &first);
    avoid(&mut places, &second);
    let height = |line: &[Pos2]| line.iter().map(|p| p.y).fold(f32::INFINITY, f32::min);
    if let Some([_, to]) = wave.conduction {
        // Right of the pulse there is room: its height, and how long it lasts.
        let foot = pane.at(to, 0.0) + vec2(8.0, 0.0);
        let top = height(&first);
        let peak = format!("{plate_name}, {}", cycle::peak(wave));
        let corner = Pos2::new(foot.x, top);
        label(pane, &mut places, (corner, &peak), theme.near_text);
        let corner = Pos2::new(foot.x, top + 16.0);
        let text = cycle::conduction(wave);
        label(pane, &mut places, (corner, &text), theme.near_text);
    }
    if has_choke && let Some(at) = choke.get(choke.len() * 15 / 16) {
        label(pane, &mut places, (*at, choke_name), theme.dropout_text);
    }
}

/// Keeps labels off the edges of the shaded time.
fn avoid_band(pane: &Pane, places: &mut LabelPlaces, wave: &Waveform) {
    for seconds in wave.conduction.into_iter().flatten() {
        places.avoid([pane.at(seconds, pane.low), pane.at(seconds, pane.high)]);
    }
}

fn avoid(places: &mut LabelPlaces, line: &[Pos2]) {
    for pair in line.windows(2) {
        if let [a, b] = pair {
            places.avoid([*a, *b]);
        }
    }
}

/// Writes a label near a place where it is free.
fn label(pane: &Pane, places: &mut LabelPlaces, (at, text): (Pos2, &str), colour: Color32) {
    let galley =
        pane.painter
            .layout_no_wrap(theme::tied(text), theme::strong_font(theme::SMALL), colour);
    let size = galley.size();
    let mut corners = Vec::new();
    for distance in [4.0, 14.0, 26.0, 40.0] {
        corners.extend(beside(at, size, distance, Beside::Above));
        corners.extend(beside(at, size, distance, Beside::Below));
        corners.push(at + vec2(distance + 4.0, -0.5 * size.y));
        corners.push(at + vec2(-distance - 4.0 - size.x, -0.5 * size.y));
    }
    if let Some(area) = places.place(size, corners) {
        pane.painter.galley(area.min, galley, colour);
    }
}

/// Corners of a label over or under a place.
fn beside(at: Pos2, size: egui::Vec2, distance: f32, side: Beside) -> [Pos2; 3] {
    let down = match side {
        Beside::Above => -size.y - distance,
        Beside::Below => distance,
    };
    [0.0, -0.5, -1.0].map(|across| at + vec2(size.x * across, down))
}

/// Writes a label on one side of a place.
fn label_beside(
    pane: &Pane,
    places: &mut LabelPlaces,
    (at, text, side): (Pos2, &str, Beside),
    colour: Color32,
) {
    let font = theme::strong_font(theme::SMALL);
    let galley = (pane.painter).layout_no_wrap(theme::tied(text), font, colour);
    let size = galley.size();
    let corners = [4.0, 14.0, 26.0, 40.0].map(|distance| beside(at, size, distance, side));
    if let Some(area) = places.place(size, corners.into_iter().flatten()) {
        pane.painter.galley(area.min, galley, colour);
    }
}

/// The instant under the pointer.
fn read_out(
    painter: &Painter,
    [volts, amps]: [&Pane; 2],
    pointer: Pos2,
    (wave, theme): (&Waveform, &Theme),
) {
    let share = f64::from((pointer.x - volts.rect.left()) / volts.rect.width().max(1.0));
    let seconds = share * wave.cycle_seconds;
    let index = wave.instants.partition_point(|i| i.seconds < seconds);
    let Some(instant) = wave.instants.get(index) else {
        return;
    };
    let x = volts.at(instant.seconds, 0.0).x;
    let line = Stroke::new(1.0, theme.middle);
    painter.vline(x, volts.rect.top()..=amps.rect.bottom(), line);
    let galley = painter.layout_no_wrap(
        cycle::instant(instant, wave),
        theme::font(theme::SMALL),
        theme.ink,
    );
    let size = galley.size();
    let left = if x + size.x + 12.0 < volts.rect.right() {
        x + 6.0
    } else {
        x - 6.0 - size.x
    };
    let area = Rect::from_min_size(
        Pos2::new(left.max(volts.rect.left()), volts.rect.top() + 4.0),
        size,
    );
    painter.rect_filled(area.expand2(vec2(4.0, 2.0)), 3.0, theme.card);
    painter.galley(area.min, galley, theme.ink);
}
