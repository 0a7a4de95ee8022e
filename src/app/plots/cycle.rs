//! One mains cycle: volts above, amperes below, over the same time.
//!
//! The winding's halves reach over the bus for a moment, the rectifier conducts, the capacitors carry the bus through the
//! rest. Marked are the trough, the angle of conduction, and the level at which the pass tubes run out of volts.

mod names;

use egui::{Align2, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, vec2};

use crate::app::plots::cycle::names::{
    CurveName, Label, MarkName, label_curve, label_mark, label_winding,
};
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
/// Where along a curve its name is tried.
const SHARES: [f32; 21] = [
    0.0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8,
    0.85, 0.9, 0.95, 1.0,
];
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
        read_out(ui.painter(), [&volts, &amps], pointer, input.wave, &theme);
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
        paint_dropout(pane, &mut places, volts, theme);
    }
    for (mark, text, liked) in [
        (wave.trough, cycle::trough(wave), Beside::Below),
        (wave.crest, cycle::crest(wave), Beside::Above),
    ] {
        let at = pane.at(mark.seconds, mark.volts);
        pane.painter.circle_filled(at, 3.5, theme.envelope);
        let name = MarkName {
            at,
            text: &text,
            liked,
            colour: theme.envelope_text,
        };
        label_mark(pane, &mut places, name);
    }
    label_winding(pane, &mut places, first, first_name, theme.winding_text);
    let Some(at) = farthest_apart(&bus, &reservoir) else {
        return;
    };
    let [bus_side, reservoir_side] = if has_filter && at[1].y > at[0].y {
        [Beside::Above, Beside::Below]
    } else {
        [Beside::Below, Beside::Above]
    };
    let share = (at[0].x - pane.rect.left()) / pane.rect.width().max(1.0);
    let green = CurveName {
        curve: &bus,
        text: bus_name,
        share,
        side: bus_side,
        colour: theme.envelope_text,
    };
    label_curve(pane, &mut places, green);
    if has_filter {
        let grey = CurveName {
            curve: &reservoir,
            text: second_name,
            share,
            side: reservoir_side,
            colour: theme.middle,
        };
        label_curve(pane, &mut places, grey);
    }
}

/// Where two lines over the same instants are farthest apart, in the last quarter of the cycle.
fn farthest_apart(a: &[Pos2], b: &[Pos2]) -> Option<[Pos2; 2]> {
    let pairs = a.iter().zip(b).skip(a.len() * 3 / 4).take(a.len() / 5);
    pairs
        .max_by(|p, q| (p.0.y - p.1.y).abs().total_cmp(&(q.0.y - q.1.y).abs()))
        .map(|(a, b)| [*a, *b])
}

fn paint_dropout(pane: &Pane, places: &mut LabelPlaces, volts: f64, theme: &Theme) {
    if volts >= pane.low {
        let level = pane.level(volts);
        pane.painter.extend(Shape::dashed_line(
            &level,
            Stroke::new(1.8, theme.dropout),
            9.0,
            4.0,
        ));
        places.avoid(level);
        let text = cycle::dropout(volts);
        let blue = CurveName {
            curve: &level,
            text: &text,
            share: 0.0,
            side: Beside::Above,
            colour: theme.dropout_text,
        };
        label_curve(pane, places, blue);
    } else {
        let texts = cycle::dropout_below(volts);
        let labels = texts.map(|text| Label::new(pane, &text, theme.dropout_text));
        let corners = |label: &Label| {
            let size = label.size();
            let lowest = pane.rect.left_bottom() + vec2(4.0, -3.0 - size.y);
            let room = (pane.rect.width() - size.x - 8.0).max(0.0);
            SHARES.map(|share| lowest + vec2(room * share, 0.0))
        };
        let fits = |label: &Label| {
            corners(label)
                .iter()
                .any(|corner| places.is_clear(Rect::from_min_size(*corner, label.size())))
        };
        let [long, short] = labels;
        let label = if fits(&long) { long } else { short };
        let corners = corners(&label);
        label.put(pane, places, corners);
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
    if let Some([from, to]) = wave.conduction {
        // Beside the pulse, from its top down: its height, and how long it lasts.
        let top = height(&first);
        let [left, right] = [from, to].map(|seconds| pane.at(seconds, 0.0).x);
        let peak = format!("{plate_name}, {}", cycle::peak(wave));
        for text in [peak, cycle::conduction(wave)] {
            let label = Label::new(pane, &text, theme.near_text);
            let size = label.size();
            let rows = (0..12_u8).map(|row| f32::from(row) * 4.0 - 8.0);
            let corners: Vec<Pos2> = [right + 8.0, left - 8.0 - size.x, right + 30.0]
                .into_iter()
                .flat_map(|x| rows.clone().map(move |down| Pos2::new(x, top + down)))
                .collect();
            label.put(pane, &mut places, corners);
        }
    }
    if has_choke {
        let blue = CurveName {
            curve: &choke,
            text: choke_name,
            share: 0.95,
            side: Beside::Above,
            colour: theme.dropout_text,
        };
        label_curve(pane, &mut places, blue);
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

/// The instant under the pointer.
fn read_out(
    painter: &Painter,
    [volts, amps]: [&Pane; 2],
    pointer: Pos2,
    wave: &Waveform,
    theme: &Theme,
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
