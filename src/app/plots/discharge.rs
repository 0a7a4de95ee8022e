//! After switch-off: volts on every capacitor against time on a logarithmic scale, with what is safe and what is dead marked, and beside
//! it how long that takes.
//!
//! Full lines are what one reckons with, all tubes cold; the bus with warm tubes and the output are thin beside them, the bus with its
//! bleeder open a dashed ghost.

use egui::{
    Align2, Color32, Painter, Pos2, Rect, Response, RichText, Sense, Shape, Stroke, Ui, vec2,
};

use crate::app::plots::geometry::{nice_at_least, segments};
use crate::app::plots::labels::{Beside, LabelPlaces, beside_curve};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::bench::run_down::{FIRST_SECONDS, RunDown};
use crate::explain::{discharge, number};
use crate::parts::Supply;
use crate::physics::discharge::{DEAD_VOLTS, TOUCH_VOLTS};

/// Room left of the pane for its numbers (points).
const LEFT: f32 = 48.0;
/// Room below for the times.
const BOTTOM: f32 = 20.0;
/// Least points between two numbers of the volts.
const NUMBER_GAP: f64 = 26.0;
/// Width of the words beside the pane, and the least that leaves them there (points).
const BESIDE: f32 = 270.0;
const WIDE: f32 = 640.0;
/// Height of the words below it on a narrow window: two lines (points).
const BELOW: f32 = 34.0;
/// Room above the highest volts, as a share of them.
const AIR: f64 = 0.14;
/// Curves that are nowhere farther apart than this share of the highest volts have one name.
const TOGETHER: f64 = 0.03;
/// Times that are numbered where they have room (s).
const TIMES: [f64; 20] = [
    0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0,
    3600.0, 7200.0, 18_000.0, 36_000.0, 86_400.0,
];
/// Where along a curve its name is tried.
const SHARES: [f32; 15] = [
    0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.7, 0.8, 0.05, 0.9,
];

/// The pane with its scales.
struct Pane {
    rect: Rect,
    highest: f64,
    last: f64,
    painter: Painter,
    theme: Theme,
}

/// A curve with its name.
struct Line {
    name: String,
    points: Vec<[f64; 2]>,
    colour: Color32,
    text: Color32,
    look: Look,
}

/// How a curve is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Full,
    Thin,
    Dashed,
}

impl Pane {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    fn at(&self, [seconds, volts]: [f64; 2]) -> Pos2 {
        let across = (seconds / FIRST_SECONDS).ln() / (self.last / FIRST_SECONDS).ln();
        let up = (volts / self.highest).clamp(-0.5, 2.0);
        Pos2::new(
            self.rect.left() + across as f32 * self.rect.width(),
            self.rect.bottom() - up as f32 * self.rect.height(),
        )
    }

    fn seconds_at(&self, x: f32) -> f64 {
        let share = f64::from((x - self.rect.left()) / self.rect.width().max(1.0));
        FIRST_SECONDS * (self.last / FIRST_SECONDS).powf(share)
    }

    fn level(&self, volts: f64) -> [Pos2; 2] {
        [self.at([FIRST_SECONDS, volts]), self.at([self.last, volts])]
    }
}

/// Draws it in all the room that `ui` has.
pub(crate) fn discharge_plot_ui(ui: &mut Ui, found: &RunDown, supply: &Supply) -> Response {
    let whole = ui.available_size();
    if whole.x <= WIDE {
        return ui
            .vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 2.0;
                let response = pane_ui(ui, whole - vec2(0.0, BELOW), (found, supply));
                let words = discharge::in_a_line(found);
                ui.add(small(&words, Theme::of(ui.ctx()).ink).wrap());
                response
            })
            .inner;
    }
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        let response = pane_ui(ui, whole - vec2(BESIDE, 0.0), (found, supply));
        words_ui(ui, found, supply);
        response
    })
    .inner
}

fn small(words: &str, colour: Color32) -> egui::Label {
    let text = RichText::new(theme::tied(words)).font(theme::font(theme::SMALL));
    egui::Label::new(text.color(colour))
}

fn pane_ui(ui: &mut Ui, size: egui::Vec2, (found, supply): (&RunDown, &Supply)) -> Response {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(size, Sense::hover());
    let rect = Rect::from_min_max(area.min + vec2(LEFT, 2.0), area.max - vec2(14.0, BOTTOM));
    let lines = lines(found, supply, &theme);
    let all = lines.iter().flat_map(|line| &line.points);
    let highest = all.fold(TOUCH_VOLTS, |most, [_, volts]| volts.max(most));
    let pane = Pane {
        rect,
        highest: highest * (1.0 + AIR),
        last: found.last_seconds.max(10.0 * FIRST_SECONDS),
        painter: ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())),
        theme,
    };
    scales(ui.painter(), &pane);
    let mut places = LabelPlaces::new(rect.shrink(2.0));
    levels(&pane, &mut places);
    for line in &lines {
        draw(&pane, &mut places, line);
    }
    for line in named_together(&lines, pane.highest) {
        name(&pane, &mut places, &line);
    }
    if let Some(pointer) = response.hover_pos().filter(|at| rect.contains(*at)) {
        read_out(ui.painter(), &pane, &lines, pointer);
    }
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::GraphicsObject, ui.is_enabled(), discharge::NAME);
        info.current_text_value = Some(discharge::in_words(found));
        info
    });
    response
}

/// All curves, the most important last, so that it lies over the others.
fn lines(found: &RunDown, supply: &Supply, theme: &Theme) -> Vec<Line> {
    let mut all = Vec::new();
    if !found.open_bus.is_empty() {
        all.push(Line {
            name: "bleeder open".to_owned(),
            points: found.open_bus.clone(),
            colour: theme.over,
            text: theme.over_text,
            look: Look::Dashed,
        });
    }
    let moments = &found.worst.warm.moments;
    let over_time = |volts: &dyn Fn(usize) -> f64| {
        let points = moments.iter().enumerate();
        let points = points.map(|(place, moment)| [moment.seconds, volts(place)]);
        points.filter(|[seconds, _]| *seconds > 0.0).collect()
    };
    let last = |place: usize| {
        moments
            .get(place)
            .and_then(|m| m.capacitors.last().copied())
    };
    all.push(Line {
        name: "bus, tubes warm".to_owned(),
        points: over_time(&|place| last(place).unwrap_or(0.0)),
        colour: theme.middle,
        text: theme.middle,
        look: Look::Thin,
    });
    all.push(Line {
        name: "output".to_owned(),
        points: over_time(&|place| moments.get(place).map_or(0.0, |m| m.output)),
        colour: theme.dropout,
        text: theme.dropout_text,
        look: Look::Thin,
    });
    if let Some(point) = &found.from_point {
        let points = point.warm.moments.iter().filter(|m| m.seconds > 0.0);
        all.push(Line {
            name: "bus, from the point".to_owned(),
            points: points
                .map(|m| [m.seconds, m.capacitors.last().copied().unwrap_or(0.0)])
                .collect(),
            colour: theme.ink,
            text: theme.ink,
            look: Look::Thin,
        });
    }
    let of = found.rail.len();
    for (place, points) in found.rail.iter().enumerate() {
        all.push(Line {
            name: discharge::rail_capacitor(place, of),
            points: points.clone(),
            colour: theme.winding,
            text: theme.winding_text,
            look: Look::Full,
        });
    }
    for (place, points) in found.cold.iter().enumerate() {
        all.push(Line {
            name: discharge::capacitor(place, supply),
            points: points.clone(),
            colour: theme.envelope,
            text: theme.envelope_text,
            look: Look::Full,
        });
    }
    all
}

/// Curves of one colour that lie on one another get one name, at the last of them.
fn named_together(lines: &[Line], highest: f64) -> Vec<Line> {
    let mut all: Vec<Line> = Vec::new();
    for line in lines.iter().rev() {
        let apart = |other: &Line| {
            let pairs = other.points.iter().zip(&line.points);
            pairs.map(|(a, b)| (a[1] - b[1]).abs()).fold(0.0, f64::max)
        };
        let like = all.iter_mut().find(|other| {
            other.colour == line.colour
                && other.look == line.look
                && apart(other) < TOGETHER * highest
        });
        match like {
            Some(other) => other.name = format!("{}, {}", line.name, other.name),
            None => all.push(Line {
                name: line.name.clone(),
                points: line.points.clone(),
                ..*line
            }),
        }
    }
    all
}

fn scales(painter: &Painter, pane: &Pane) {
    let theme = &pane.theme;
    let frame = Stroke::new(1.0, theme.line);
    painter.rect_stroke(pane.rect, 0.0, frame, egui::StrokeKind::Inside);
    let grid = Stroke::new(1.0, theme.grid);
    let font = theme::font(theme::SMALL);
    let step = nice_at_least(pane.highest * NUMBER_GAP / f64::from(pane.rect.height()).max(1.0));
    let mut volts = 0.0;
    while volts <= pane.highest {
        let [from, to] = pane.level(volts);
        painter.line_segment([from, to], grid);
        let is_last = volts + step > pane.highest;
        let unit = if is_last { " V" } else { "" };
        let at = from - vec2(6.0, 0.0);
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            format!("{volts:.0}{unit}"),
            font.clone(),
            theme.middle,
        );
        volts += step;
    }
    let mut free_from = f32::NEG_INFINITY;
    for seconds in TIMES.into_iter().filter(|seconds| *seconds <= pane.last) {
        let foot = pane.at([seconds, 0.0]);
        painter.line_segment([foot, pane.at([seconds, pane.highest])], grid);
        let galley = painter.layout_no_wrap(number::seconds(seconds), font.clone(), theme.middle);
        let half = 0.5 * galley.size().x;
        let left = (foot.x - half).max(pane.rect.left());
        if left > free_from && foot.x + half < pane.rect.right() + 12.0 {
            free_from = left + galley.size().x + 10.0;
            painter.galley(Pos2::new(left, foot.y + 4.0), galley, theme.middle);
        }
    }
}

/// What is safe to touch, and what is dead.
fn levels(pane: &Pane, places: &mut LabelPlaces) {
    let theme = &pane.theme;
    for (volts, colour) in [(TOUCH_VOLTS, theme.near), (DEAD_VOLTS, theme.middle)] {
        let line = pane.level(volts);
        let stroke = Stroke::new(1.2, colour);
        pane.painter
            .extend(Shape::dashed_line(&line, stroke, 3.0, 3.0));
        places.avoid(line);
    }
    for (volts, colour, text) in [
        (TOUCH_VOLTS, theme.near_text, discharge::DANGEROUS_ABOVE),
        (DEAD_VOLTS, theme.middle, discharge::DEAD_BELOW),
    ] {
        let [from, to] = pane.level(volts);
        let font = theme::font(theme::SMALL);
        let galley = pane.painter.layout_no_wrap(text.to_owned(), font, colour);
        let size = galley.size();
        // The upper one at the left, where the curves stand high; the lower one where it is above the frame.
        let corner = if volts > DEAD_VOLTS {
            from + vec2(6.0, -size.y - 1.0)
        } else {
            to + vec2(-size.x - 6.0, -size.y - 1.0)
        };
        if size.x > 0.5 * pane.rect.width() {
            continue;
        }
        places.take(Rect::from_min_size(corner, size));
        pane.painter.galley(corner, galley, colour);
    }
}

fn draw(pane: &Pane, places: &mut LabelPlaces, line: &Line) {
    let points: Vec<Pos2> = line.points.iter().map(|at| pane.at(*at)).collect();
    for pair in segments(&points) {
        places.avoid(pair);
    }
    match line.look {
        Look::Full => {
            pane.painter.line(points, Stroke::new(2.0, line.colour));
        }
        Look::Thin => {
            pane.painter.line(points, Stroke::new(1.2, line.colour));
        }
        Look::Dashed => {
            let stroke = Stroke::new(1.4, line.colour);
            pane.painter
                .extend(Shape::dashed_line(&points, stroke, 7.0, 5.0));
        }
    }
}

/// Writes the name of a curve beside it.
fn name(pane: &Pane, places: &mut LabelPlaces, line: &Line) {
    let within = pane.rect;
    let curve: Vec<Pos2> = (line.points.iter())
        .map(|at| pane.at(*at))
        .filter(|at| within.expand(1.0).contains(*at))
        .collect();
    let font = theme::strong_font(theme::SMALL);
    let galley = pane
        .painter
        .layout_no_wrap(line.name.clone(), font, line.text);
    let size = galley.size();
    let beside = |gap: f32| beside_curve(&curve, size, gap, Beside::Above, &SHARES);
    let corners = [4.0, 9.0].into_iter().flat_map(beside);
    let Some((area, under)) = places.place_clear(size, corners) else {
        return;
    };
    if under == crate::app::plots::labels::Under::Line {
        let ground = pane.theme.ground.gamma_multiply(0.8);
        pane.painter.rect_filled(area.expand(1.0), 2.0, ground);
    }
    pane.painter.galley(area.min, galley, line.text);
}

/// The instant under the pointer.
fn read_out(painter: &Painter, pane: &Pane, lines: &[Line], pointer: Pos2) {
    let seconds = pane.seconds_at(pointer.x);
    let theme = &pane.theme;
    painter.vline(
        pointer.x,
        pane.rect.top()..=pane.rect.bottom(),
        Stroke::new(1.0, theme.middle),
    );
    let mut said = vec![number::seconds(seconds)];
    said.extend(lines.iter().rev().filter_map(|line| {
        let volts = volts_at(&line.points, seconds)?;
        Some(format!("{} {}", line.name, number::volts(volts)))
    }));
    let font = theme::font(theme::SMALL);
    let galley = painter.layout_no_wrap(said.join("\n"), font, theme.ink);
    let size = galley.size();
    let left = if pointer.x + size.x + 16.0 < pane.rect.right() {
        pointer.x + 8.0
    } else {
        pointer.x - 8.0 - size.x
    };
    let corner = Pos2::new(left.max(pane.rect.left() + 4.0), pane.rect.top() + 4.0);
    let area = Rect::from_min_size(corner, size);
    painter.rect_filled(area.expand2(vec2(4.0, 2.0)), 3.0, theme.card);
    painter.galley(area.min, galley, theme.ink);
}

/// Volts of a curve at a time, on the straight line between two of its instants.
fn volts_at(points: &[[f64; 2]], seconds: f64) -> Option<f64> {
    let after = points.partition_point(|[at, _]| *at < seconds);
    let [t1, v1] = *points.get(after)?;
    let Some([t0, v0]) = after.checked_sub(1).and_then(|place| points.get(place)) else {
        return Some(v1);
    };
    let share = (seconds - t0) / (t1 - t0).max(1e-12);
    Some(v0 + share * (v1 - v0))
}

/// How long it takes, and what to do, beside the pane.
fn words_ui(ui: &mut Ui, found: &RunDown, supply: &Supply) {
    let theme = Theme::of(ui.ctx());
    ui.vertical(|ui| {
        ui.set_width(BESIDE - 4.0);
        ui.spacing_mut().item_spacing.y = 2.0;
        egui::ScrollArea::vertical()
            .id_salt("after switch-off")
            .auto_shrink([false, true])
            .show(ui, |ui| {
                for [heading, words] in discharge::beside(found, supply) {
                    let mut text = egui::text::LayoutJob::default();
                    text.wrap.max_width = BESIDE - 16.0;
                    let format = |font, color| egui::TextFormat {
                        font_id: font,
                        color,
                        ..egui::TextFormat::default()
                    };
                    let strong = theme::strong_font(theme::SMALL);
                    text.append(&format!("{heading}  "), 0.0, format(strong, theme.middle));
                    let plain = theme::font(theme::SMALL);
                    text.append(&theme::tied(&words), 0.0, format(plain, theme.ink));
                    ui.add(egui::Label::new(text).wrap());
                }
                ui.add_space(3.0);
                let to_do = small(discharge::TO_DO_IN_SHORT, theme.near_text);
                ui.add(to_do.wrap());
            });
    });
}
