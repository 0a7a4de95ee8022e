//! Switching on: the current through the plug against time for one closing, how the crests of many are spread beside it, and the
//! time–current plane with a fuse's gates and the transient's own curve.
//!
//! The closing is drawn with the hand: across for the instant of closing, up and down for what stayed in the core.

mod plane;

use egui::{Align2, CursorIcon, Painter, Pos2, Rect, Response, Sense, Stroke, Ui, vec2};

use crate::app::answers::below::Switched;
use crate::app::plots::geometry::nice_at_least;
use crate::app::plots::switching::plane::plane_ui;
use crate::app::theme::{self, Theme};
use crate::bench::fuses::Inrush;
use crate::explain::inrush;
use crate::explain::number;
use crate::physics::switch_on::{Instant, Transient};

/// Room left of a pane for its numbers (points).
const LEFT: f32 = 48.0;
/// Room below for times.
const BOTTOM: f32 = 18.0;
/// Between the panes.
const GAP: f32 = 10.0;
/// Share of the width that the current has; the rest is the time–current plane.
const SHARE: f32 = 0.56;
/// Width of the spread of crests beside the current, as a part of its pane.
const SPREAD: f32 = 0.2;
/// Least points between two numbers of an axis.
const NUMBER_GAP: f64 = 26.0;
/// Bars of the spread.
const BARS: usize = 24;

/// What is drawn.
#[derive(Clone, Copy)]
pub(crate) struct SwitchingInput<'a> {
    /// One closing.
    pub(crate) switched: &'a Switched,
    /// Many, as far as they are drawn.
    pub(crate) all: Option<&'a Inrush>,
}

impl<'a> SwitchingInput<'a> {
    /// One closing alone.
    pub(crate) fn alone(switched: &'a Switched) -> Self {
        Self {
            switched,
            all: None,
        }
    }
}

/// What was done to the picture.
pub(crate) struct SwitchingAnswer {
    /// By how much the closing was drawn on (degrees, and share of the working flux).
    pub(crate) dragged: Option<[f64; 2]>,
}

/// Draws it in all the room that `ui` has.
pub(crate) fn switching_plot_ui(ui: &mut Ui, input: &SwitchingInput<'_>) -> SwitchingAnswer {
    let theme = Theme::of(ui.ctx());
    let (area, _) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let split = area.left() + SHARE * area.width();
    let current = Rect::from_min_max(
        area.min + vec2(LEFT, 4.0),
        Pos2::new(split, area.bottom() - BOTTOM),
    );
    let plane = Rect::from_min_max(
        Pos2::new(split + GAP + LEFT, area.top() + 4.0),
        area.max - vec2(8.0, BOTTOM),
    );
    let id = egui::Id::unique("closing of the switch");
    let response = ui.interact(current, id, Sense::drag());
    let pane = Pane::of(ui, current, input);
    pane.scale(ui.painter(), &theme);
    pane.spread(input, &theme);
    pane.curves(&input.switched.transient, &theme);
    plane_ui(ui, plane, input);
    name(ui, &response, input);
    if response.hovered() || response.dragged() {
        ui.ctx().set_cursor_icon(CursorIcon::Move);
    }
    let moved = response.drag_delta();
    let share = |points: f32, of: f32| f64::from(points / of.max(1.0));
    // Where the pointer came from before it took hold is no part of the stroke.
    let is_stroke = response.dragged() && !response.drag_started();
    let dragged = (is_stroke && moved != egui::Vec2::ZERO).then(|| {
        [
            360.0 * share(moved.x, current.width()),
            -2.0 * input.switched.most_residual * share(moved.y, current.height()),
        ]
    });
    SwitchingAnswer { dragged }
}

fn name(ui: &Ui, response: &Response, input: &SwitchingInput<'_>) {
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::GraphicsObject, ui.is_enabled(), inrush::NAME);
        info.current_text_value = Some(inrush::in_words(&input.switched.transient, input.all));
        info
    });
}

/// Current against time.
struct Pane {
    rect: Rect,
    /// Where the curve ends and the spread of crests begins.
    end: f32,
    seconds: f64,
    low: f64,
    high: f64,
    painter: Painter,
}

impl Pane {
    fn of(ui: &Ui, rect: Rect, input: &SwitchingInput<'_>) -> Self {
        let transient = &input.switched.transient;
        let amps = || transient.instants.iter().map(|one| one.primary_amps);
        let highest = amps().fold(0.0, f64::max);
        let lowest = amps().fold(0.0, f64::min);
        // One scale for all closings, as long as none is far beyond it.
        let common = input
            .all
            .and_then(|all| all.surges.crest())
            .map_or(0.0, |band| band.high);
        let top = 1.08 * highest.max(common).max(1e-3);
        Self {
            rect,
            end: rect.right()
                - if input.all.is_some() {
                    SPREAD * rect.width()
                } else {
                    0.0
                },
            seconds: transient.instants.last().map_or(1.0, |one| one.seconds),
            // Room for the mains' own swing, and for the names below it.
            low: (1.08 * lowest).min(-0.4 * top),
            high: top,
            painter: ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())),
        }
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    fn at(&self, seconds: f64, amps: f64) -> Pos2 {
        let across = (seconds / self.seconds) as f32;
        let up = ((amps - self.low) / (self.high - self.low)).clamp(-5.0, 5.0) as f32;
        Pos2::new(
            self.rect.left() + across * (self.end - self.rect.left()),
            self.rect.bottom() - up * self.rect.height(),
        )
    }

    fn scale(&self, painter: &Painter, theme: &Theme) {
        let edge = Stroke::new(1.0, theme.line);
        painter.rect_stroke(self.rect, 0.0, edge, egui::StrokeKind::Inside);
        let height = f64::from(self.rect.height()).max(1.0);
        let step = nice_at_least((self.high - self.low) * NUMBER_GAP / height);
        let mut value = (self.low / step).ceil() * step;
        while value <= self.high {
            let from = self.at(0.0, value);
            let to = Pos2::new(self.rect.right(), from.y);
            let ink = if value.abs() < 1e-9 * step {
                theme.line
            } else {
                theme.grid
            };
            painter.line_segment([from, to], Stroke::new(1.0, ink));
            let is_last = value + step > self.high;
            let text = if is_last {
                format!("{} A", number::pure(value))
            } else {
                number::pure(value)
            };
            small(
                painter,
                from - vec2(6.0, 0.0),
                (Align2::RIGHT_CENTER, &text),
                theme.middle,
            );
            value += step;
        }
        let step =
            nice_at_least(self.seconds * 70.0 / f64::from(self.end - self.rect.left()).max(1.0));
        let mut seconds = 0.0;
        while seconds <= self.seconds * 1.0001 {
            let at = Pos2::new(self.at(seconds, 0.0).x, self.rect.bottom());
            painter.line_segment([at, at + vec2(0.0, 4.0)], Stroke::new(1.0, theme.middle));
            let align = if seconds > 0.0 {
                Align2::CENTER_TOP
            } else {
                Align2::LEFT_TOP
            };
            small(
                painter,
                at + vec2(0.0, 4.0),
                (align, &inrush::time(seconds)),
                theme.middle,
            );
            seconds += step;
        }
    }

    fn curve(&self, transient: &Transient, of: impl Fn(&Instant) -> f64) -> Vec<Pos2> {
        transient
            .instants
            .iter()
            .map(|one| self.at(one.seconds, of(one)))
            .collect()
    }

    fn curves(&self, transient: &Transient, theme: &Theme) {
        let highest_volts = transient
            .instants
            .iter()
            .fold(1e-9_f64, |most, one| most.max(one.mains_volts.abs()));
        // The mains, for their phase alone: as high as a third of the pane.
        let third = 0.3 * self.high;
        let mains = self.curve(transient, |one| third * one.mains_volts / highest_volts);
        self.painter.extend(egui::Shape::dashed_line(
            &mains,
            Stroke::new(1.0, theme.dim),
            2.0,
            4.0,
        ));
        let magnetising = self.curve(transient, |one| one.magnetising_amps);
        self.painter
            .line(magnetising, Stroke::new(1.3, theme.winding));
        let primary = self.curve(transient, |one| one.primary_amps);
        self.painter.line(primary, Stroke::new(2.0, theme.near));
        let [through, core, ..] = inrush::CURVES;
        let mut at = Pos2::new(self.end - 8.0, self.rect.bottom() - 18.0);
        for (text, ink) in [
            ("mains", theme.middle),
            (core, theme.winding_text),
            (through, theme.near_text),
        ] {
            let font = theme::font(theme::SMALL);
            let width = (self.painter)
                .layout_no_wrap(text.to_owned(), font, ink)
                .size()
                .x;
            // What has no room beside the others stands above them.
            if at.x - width < self.rect.left() + 4.0 {
                at = Pos2::new(self.end - 8.0, at.y - 14.0);
            }
            named(&self.painter, at, (Align2::RIGHT_CENTER, text), ink);
            at.x -= width + 12.0;
        }
    }

    /// How the crests of many closings are spread, along the same scale.
    fn spread(&self, input: &SwitchingInput<'_>, theme: &Theme) {
        let Some(all) = input.all else {
            return;
        };
        let mut bars = [0_u32; BARS];
        for one in &all.surges.drawn {
            let share = one.surge.crest_amps / self.high;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "held between 0 and the number of bars"
            )]
            let place = (share * BARS as f64).clamp(0.0, (BARS - 1) as f64) as usize;
            if let Some(bar) = bars.get_mut(place) {
                *bar += 1;
            }
        }
        // By their square root: the few high ones are those that blow a fuse.
        let most = bars.iter().copied().max().unwrap_or(1).max(1);
        let room = self.rect.right() - self.end - 6.0;
        for (place, bar) in bars.iter().enumerate().filter(|(_, bar)| **bar > 0) {
            let [from, to] = [place, place + 1].map(|k| self.high * k as f64 / BARS as f64);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a width on the screen needs no more"
            )]
            let width = (f64::from(*bar) / f64::from(most)).sqrt() as f32 * room;
            let [low, high] = [from, to].map(|amps| self.at(0.0, amps).y);
            let area = Rect::from_min_max(
                Pos2::new(self.end + 3.0, high + 0.5),
                Pos2::new(self.end + 3.0 + width, low - 0.5),
            );
            self.painter
                .rect_filled(area, 0.0, theme.near.gamma_multiply(0.55));
        }
        self.painter
            .vline(self.end, self.rect.y_range(), Stroke::new(1.0, theme.line));
        let count = all.surges.drawn.len();
        let at = Pos2::new(self.rect.right() - 4.0, self.rect.bottom() - 18.0);
        // Its name where there is room for it; the words above say it in any case.
        let texts = [format!("{count} crests"), count.to_string()];
        let fits = |text: &String| {
            let font = theme::font(theme::SMALL);
            let galley = (self.painter).layout_no_wrap(text.clone(), font, theme.middle);
            galley.size().x <= room
        };
        if let Some(text) = texts.iter().find(|text| fits(text)) {
            small(
                &self.painter,
                at,
                (Align2::RIGHT_CENTER, text),
                theme.middle,
            );
        }
        let own = self.at(0.0, input.switched.transient.crest_amps).y;
        self.painter.hline(
            self.end..=self.rect.right(),
            own,
            Stroke::new(1.5, theme.near_text),
        );
    }
}

/// Small text on a plate of its own, over whatever curves are there; gives its width.
fn named(painter: &Painter, at: Pos2, (align, text): (Align2, &str), ink: egui::Color32) -> f32 {
    let galley = painter.layout_no_wrap(text.to_owned(), theme::font(theme::SMALL), ink);
    let area = align.anchor_size(at, galley.size());
    let plate = Theme::of(painter.ctx()).ground.gamma_multiply(theme::PLATE);
    painter.rect_filled(area.expand2(vec2(2.0, 0.0)), 2.0, plate);
    painter.galley(area.min, galley, ink);
    area.width()
}

/// Small text; gives its width.
fn small(painter: &Painter, at: Pos2, (align, text): (Align2, &str), ink: egui::Color32) -> f32 {
    painter
        .text(at, align, text, theme::font(theme::SMALL), ink)
        .width()
}
