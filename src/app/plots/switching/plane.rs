//! The time–current plane: what melts a fuse in which time, and what the switching on brings by then.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, vec2};

use crate::app::plots::switching::{SwitchingInput, small};
use crate::app::theme::{self, Theme};
use crate::bench::fuses::{DrawnSurge, FuseCurve, FuseJudged, Inrush};
use crate::explain::inrush;
use crate::explain::number;
use crate::parts::fuse_table::Family;

/// Shortest and longest time (s).
const TIMES: [f64; 2] = [1e-3, 300.0];
/// How far a gate is drawn to the side on which it is open.
const OPEN: f64 = 5.0;
/// Points of a curve.
const POINTS: u32 = 90;

struct Plane {
    rect: Rect,
    /// Lowest and highest current (A).
    amps: [f64; 2],
    painter: Painter,
}

/// Draws it.
pub(super) fn plane_ui(ui: &Ui, rect: Rect, input: &SwitchingInput<'_>) {
    let theme = Theme::of(ui.ctx());
    let plane = Plane {
        rect,
        amps: range(input),
        painter: ui.painter().with_clip_rect(rect.intersect(ui.clip_rect())),
    };
    plane.scale(ui.painter(), &theme);
    let mut legend = Vec::new();
    if let Some(all) = input.all {
        if let Some(fuse) = shown_fuse(all) {
            plane.fuse(fuse, &theme);
            legend.push((
                format!("melts {}", inrush::short_name(fuse.kind, fuse.rating)),
                theme.dropout_text,
            ));
        }
        let high = upper(all);
        let worst = plane.curve(|seconds| high_at(&high, seconds));
        plane.painter.extend(Shape::dashed_line(
            &worst,
            Stroke::new(1.5, theme.near),
            5.0,
            3.0,
        ));
    }
    let own = plane.curve(|seconds| own_rms(input, seconds));
    plane.painter.line(own, Stroke::new(2.0, theme.near));
    let [.., this, most] = inrush::CURVES;
    legend.push((this.to_owned(), theme.near_text));
    if input.all.is_some() {
        legend.push((most.to_owned(), theme.near_text));
    }
    let mut at = rect.right_top() + vec2(-6.0, 4.0);
    for (text, ink) in legend {
        let font = theme::font(theme::SMALL);
        // In as many rows as a narrow plane asks for.
        let galley = ui
            .painter()
            .layout(text, font, ink, (rect.width() - 12.0).max(40.0));
        let area = Align2::RIGHT_TOP.anchor_size(at, galley.size());
        let plate = theme.ground.gamma_multiply(theme::PLATE);
        (plane.painter).rect_filled(area.expand2(vec2(2.0, 0.0)), 2.0, plate);
        plane.painter.galley(area.min, galley, ink);
        at.y = area.bottom() + 1.0;
    }
}

/// The fuse that is fitted, else the one that is recommended.
fn shown_fuse(all: &Inrush) -> Option<&FuseJudged> {
    all.fitted
        .as_ref()
        .or_else(|| all.picks.first().map(|pick| &pick.fuse))
}

/// Rms that this closing has brought up to a time (A).
fn own_rms(input: &SwitchingInput<'_>, seconds: f64) -> f64 {
    let transient = &input.switched.transient;
    let end = transient.instants.last().map_or(0.0, |one| one.seconds);
    let brought = if seconds <= end {
        transient.heating_at(seconds)
    } else {
        let own = transient.heating_at(end);
        let later = input.all.map_or_else(
            // Until more is known, the last cycle goes on.
            || {
                transient
                    .last_cycle_rms(input.switched.cycle_seconds)
                    .powi(2)
                    * (seconds - end)
            },
            |all| {
                let settling = &all.surges.settling;
                settling.heating_at(seconds) - settling.heating_at(end)
            },
        );
        own + later.max(0.0)
    };
    (brought / seconds).max(0.0).sqrt()
}

/// Times and the rms that nineteen of twenty closings stay below (A).
fn upper(all: &Inrush) -> Vec<[f64; 2]> {
    let surges = &all.surges;
    let mut order: Vec<&DrawnSurge> = surges.drawn.iter().collect();
    let place = order.len() * 19 / 20;
    order.sort_by(|a, b| {
        a.surge
            .first_cycle_heating
            .total_cmp(&b.surge.first_cycle_heating)
    });
    let Some(one) = order.get(place.min(order.len().saturating_sub(1))) else {
        return Vec::new();
    };
    times()
        .map(|seconds| {
            [
                seconds,
                (surges.heating_at(one, seconds) / seconds).max(0.0).sqrt(),
            ]
        })
        .collect()
}

fn high_at(high: &[[f64; 2]], seconds: f64) -> f64 {
    let behind = high.partition_point(|[at, _]| *at < seconds * 0.999);
    high.get(behind).map_or(f64::NAN, |[_, amps]| *amps)
}

fn times() -> impl Iterator<Item = f64> {
    let [from, to] = TIMES;
    (0..=POINTS).map(move |k| from * (to / from).powf(f64::from(k) / f64::from(POINTS)))
}

fn range(input: &SwitchingInput<'_>) -> [f64; 2] {
    let crest = input.switched.transient.crest_amps;
    let (least, most) = match input.all {
        Some(all) => {
            let high = all.surges.crest().map_or(crest, |band| band.high);
            let rating = shown_fuse(all).map_or(0.0, |fuse| fuse.rating);
            let quiet = all.running.first().map_or(0.01 * crest, |one| one.rms_amps);
            (0.7 * quiet.max(1e-3), high.max(crest).max(15.0 * rating))
        }
        None => (0.01 * crest, crest),
    };
    [least, 1.5 * most.max(10.0 * least)]
}

impl Plane {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place on the screen needs no more"
    )]
    fn at(&self, seconds: f64, amps: f64) -> Pos2 {
        let place =
            |value: f64, [from, to]: [f64; 2]| ((value / from).ln() / (to / from).ln()) as f32;
        Pos2::new(
            self.rect.left() + place(seconds, TIMES) * self.rect.width(),
            self.rect.bottom() - place(amps, self.amps).clamp(-5.0, 5.0) * self.rect.height(),
        )
    }

    fn curve(&self, amps: impl Fn(f64) -> f64) -> Vec<Pos2> {
        times()
            .map(|seconds| (seconds, amps(seconds)))
            .filter(|(_, amps)| amps.is_finite() && *amps > 0.0)
            .map(|(seconds, amps)| self.at(seconds, amps))
            .collect()
    }

    fn scale(&self, painter: &Painter, theme: &Theme) {
        let edge = Stroke::new(1.0, theme.line);
        painter.rect_stroke(self.rect, 0.0, edge, egui::StrokeKind::Inside);
        let grid = Stroke::new(1.0, theme.grid);
        let decades = (-4..=4).map(|power| 10f64.powi(power));
        for amps in decades
            .clone()
            .flat_map(|decade| [1.0, 3.0].map(|k| k * decade))
        {
            if amps > self.amps[0] && amps < self.amps[1] {
                let from = self.at(TIMES[0], amps);
                painter.hline(self.rect.x_range(), from.y, grid);
                small(
                    painter,
                    from - vec2(6.0, 0.0),
                    (Align2::RIGHT_CENTER, &number::amps(amps)),
                    theme.middle,
                );
            }
        }
        let mut free_from = f32::NEG_INFINITY;
        for seconds in decades {
            if (TIMES[0]..=TIMES[1]).contains(&seconds) {
                let at = Pos2::new(self.at(seconds, self.amps[0]).x, self.rect.bottom());
                painter.vline(at.x, self.rect.y_range(), grid);
                let align = if seconds > TIMES[0] {
                    Align2::CENTER_TOP
                } else {
                    Align2::LEFT_TOP
                };
                let text = inrush::time(seconds);
                let font = theme::font(theme::SMALL);
                let width = painter
                    .layout_no_wrap(text.clone(), font, theme.middle)
                    .size()
                    .x;
                let left = align.anchor_size(at, vec2(width, 1.0)).left();
                if left < free_from {
                    continue;
                }
                free_from = left + width + 6.0;
                small(painter, at + vec2(0.0, 4.0), (align, &text), theme.middle);
            }
        }
    }

    /// From the weakest to the strongest of its kind, and the gates of its standard.
    fn fuse(&self, fuse: &FuseJudged, theme: &Theme) {
        let of = FuseCurve::of(fuse.kind, fuse.rating, 0.0);
        let [weakest, strongest] = [0.0, 1.0].map(|strength| {
            let curve = of.with_strength(strength);
            self.curve(|seconds| curve.amps_for(seconds))
        });
        for pair in weakest.windows(2).zip(strongest.windows(2)) {
            if let ([a, b], [c, d]) = pair {
                let corners = vec![*a, *b, *d, *c];
                let fill = theme.dropout.gamma_multiply(0.18);
                self.painter
                    .add(Shape::convex_polygon(corners, fill, Stroke::NONE));
            }
        }
        for line in [weakest, strongest] {
            self.painter.line(line, Stroke::new(1.3, theme.dropout));
        }
        for gate in Family::of(fuse.kind).gates_of(fuse.rating) {
            let amps = gate.multiple * fuse.rating;
            // Where the standard has only one of the times, the line shows to which side it is open.
            let ends = match (gate.least_seconds, gate.most_seconds) {
                (Some(least), Some(most)) => [least, most],
                (Some(least), None) => [least, OPEN * least],
                (None, Some(most)) => [most / OPEN, most],
                (None, None) => continue,
            };
            let [from, to] = ends.map(|seconds| self.at(seconds.clamp(TIMES[0], TIMES[1]), amps));
            let line = Stroke::new(1.5, theme.dropout_text);
            self.painter.line_segment([from, to], line);
            for (end, is_there) in [(from, gate.least_seconds), (to, gate.most_seconds)] {
                if is_there.is_some() {
                    let up = vec2(0.0, 4.0);
                    self.painter.line_segment([end - up, end + up], line);
                }
            }
        }
    }
}
