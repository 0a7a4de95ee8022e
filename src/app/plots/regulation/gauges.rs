//! Volts and currents at low, present and high mains on small rails, with the published range as a band.

use egui::{Painter, Pos2, Rect, Stroke, vec2};

use crate::app::theme;
use crate::app::theme::Theme;

/// Height of one gauge with its words (points).
pub(super) const HEIGHT: f32 = 44.0;
/// Of the rail.
const RAIL: f32 = 6.0;

/// A value at low, present and high mains.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gauge {
    /// What it is.
    pub(super) name: String,
    /// The three values in words.
    pub(super) words: String,
    /// The three values, without sign.
    pub(super) values: [f64; 3],
    /// Least and most allowed, if there is such a range.
    pub(super) range: Option<[f64; 2]>,
    /// That range in words.
    pub(super) range_words: String,
}

impl Gauge {
    fn end(&self) -> f64 {
        let most = self.values.iter().copied().fold(0.0, f64::max);
        let range = self.range.map_or(0.0, |[_, high]| high);
        (1.08 * most.max(range)).max(1e-9)
    }

    fn is_outside(&self, value: f64) -> bool {
        self.range
            .is_some_and(|[low, high]| value < low || value > high)
    }
}

/// Draws a gauge in `area`.
pub(super) fn paint_gauge(painter: &Painter, area: Rect, gauge: &Gauge, theme: &Theme) {
    let outside = gauge.values.iter().any(|v| gauge.is_outside(*v));
    let ink = if outside {
        theme.over_text
    } else {
        theme.middle
    };
    let small =
        |text: &str, ink| painter.layout_no_wrap(text.to_owned(), theme::font(theme::SMALL), ink);
    let words = small(&gauge.words, ink);
    let range = small(&gauge.range_words, theme.dim);
    let named = small(&gauge.name, theme.ink).size().x;
    let rail = Rect::from_min_size(area.left_top() + vec2(0.0, 17.0), vec2(area.width(), RAIL));
    let second = rail.bottom() + 2.0;
    // Where name and values do not fit side by side, the values go below.
    let fits = named + words.size().x + theme::GAP <= area.width();
    let name = elided(painter, &gauge.name, area.width(), theme);
    painter.galley(area.left_top(), name, theme.ink);
    let at = if fits {
        area.right_top() - vec2(words.size().x, 0.0)
    } else {
        Pos2::new(area.left(), second)
    };
    let left = area.right() - range.size().x;
    let free = fits || words.size().x + theme::GAP <= left - area.left();
    painter.galley(at, words, ink);
    if free {
        painter.galley(Pos2::new(left, second), range, theme.dim);
    }
    paint_rail(painter, rail, gauge, theme);
}

fn paint_rail(painter: &Painter, rail: Rect, gauge: &Gauge, theme: &Theme) {
    let end = gauge.end();
    let x = |value: f64| rail.left() + theme::share(value / end) * rail.width();
    painter.rect_filled(rail, 3.0, theme.line);
    if let Some([low, high]) = gauge.range {
        let band = Rect::from_x_y_ranges(x(low)..=x(high), rail.y_range());
        painter.rect_filled(band, 0.0, theme.envelope.gamma_multiply(0.55));
    }
    let ink = |value: f64| {
        if gauge.is_outside(value) {
            theme.over
        } else {
            theme.ink
        }
    };
    let [low, now, high] = gauge.values;
    for value in [low, high] {
        let span = rail.top() - 2.0..=rail.bottom() + 2.0;
        painter.vline(x(value), span, Stroke::new(1.5, ink(value)));
    }
    let at = Pos2::new(x(now), rail.center().y);
    painter.circle(at, 4.5, ink(now), Stroke::new(1.5, theme.ground));
}

fn elided(painter: &Painter, text: &str, room: f32, theme: &Theme) -> std::sync::Arc<egui::Galley> {
    let mut job = egui::text::LayoutJob::simple_singleline(
        text.to_owned(),
        theme::font(theme::SMALL),
        theme.ink,
    );
    job.wrap = egui::text::TextWrapping::truncate_at_width(room.max(20.0));
    painter.layout_job(job)
}
