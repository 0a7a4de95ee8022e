//! The envelope in the volt–ampere plane: the largest thing in the window.
//!
//! Amperes to the right, volts upwards. The allowed part is filled; every limit is a line with its name on it and
//! strokes on its forbidden side; dummy loads are rays with watt ticks; the point is a handle that one drags.
//! Nothing is computed here: numbers come from physics and bench, words from explain. The plot answers what the
//! user did, as [`PlotResponse`].
//!
//! Order of drawing: [`range`] (how much of the plane) → [`layers`] (areas and lines, far to near) →
//! [`captions`] (labels, most important first, none over another; [`names`] of lines never left out) → [`hand`] (pointer and keys).

mod axes;
mod canvas;
mod captions;
mod hand;
mod layers;
mod limit_lines;
mod load_rays;
mod margins;
mod names;
mod range;
mod reach;
mod sheet;
#[cfg(test)]
mod tests;
mod tolerance;

use crate::app::theme::Theme;
use crate::bench::load_line::LoadLine;
use crate::bench::odds::BandAt;
use crate::explain::plot;
use crate::physics::envelope::{Envelope, MarginMap, Point};
use crate::physics::limit::Limit;
use egui::Ui;

pub(crate) use hand::Grab;
pub(crate) use sheet::{PlotSheet, PlotState};

/// Everything that the plot draws.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlotInput<'a> {
    /// The envelope.
    pub(crate) envelope: &'a Envelope,
    /// The point and the limits there; none for a picture without one.
    pub(crate) point: Option<&'a Point>,
    /// Dummy loads in the order of the drawer.
    pub(crate) loads: &'a [PlotLoad<'a>],
    /// Which of them is selected.
    pub(crate) selected_load: Option<usize>,
    /// Names for the limits; one without a name here is drawn without a label.
    pub(crate) limits: &'a [LimitLabel],
    /// The band in which the bus capacitor is stressed, if its working volts are known.
    pub(crate) zone: Option<&'a StressZone>,
    /// Earlier variants, in outline.
    pub(crate) ghosts: &'a [Ghost<'a>],
    /// What was measured.
    pub(crate) readings: &'a [Cross],
    /// Whether the lines at low and high mains are drawn.
    pub(crate) mains_lines: MainsLines,
    /// Shades the envelope by the tightest limit, if asked for.
    pub(crate) map: Option<&'a MarginMap>,
    /// The band of the dropout line over the spreads of the parts, if asked for.
    pub(crate) band: Option<ToleranceBand<'a>>,
    /// Whether this is the envelope of the supply as it is described now.
    pub(crate) age: Age,
    /// The other words on the plot.
    pub(crate) words: &'a PlotWords,
}

impl PlotInput<'_> {
    /// Where the point is (A, V).
    fn place(&self) -> Option<[f64; 2]> {
        self.point.map(|p| [p.amps, p.volts])
    }
}

/// The band of the dropout line over the spreads of the parts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ToleranceBand<'a> {
    /// Where it is, rising in current.
    pub(crate) at: &'a [BandAt],
    /// Its name.
    pub(crate) name: &'a str,
    /// Whether it is of the supply as it is now.
    pub(crate) age: Age,
}

/// Whether the lines at low and high mains are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum MainsLines {
    /// They are.
    #[default]
    Shown,
    /// Those at present mains alone.
    LeftOut,
}

/// How faint an older picture is.
const OLDER_OPACITY: f32 = 0.55;

/// Whether a picture belongs to the present description.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Age {
    /// It does.
    #[default]
    Fresh,
    /// It was kept from before something went wrong; drawn faint.
    Older,
}

/// A dummy load on the plot.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlotLoad<'a> {
    /// Its line against the envelope.
    pub(crate) line: &'a LoadLine,
    /// What stands at the end of the line, e.g. `10 kΩ · 25 W`.
    pub(crate) label: &'a str,
}

/// The words for a limit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LimitLabel {
    /// Which limit.
    pub(crate) limit: Limit,
    /// Its name, e.g. `plate dissipation`.
    pub(crate) name: String,
    /// Second line where the limit matters, e.g. `13 W, worst section`; may be empty.
    pub(crate) detail: String,
}

/// The band of bus volts in which the last filter capacitor is stressed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StressZone {
    /// Bus volts at which it begins (V).
    pub(crate) near_volts: f64,
    /// Bus volts at which the working volts are exceeded (V).
    pub(crate) over_volts: f64,
    /// Highest instant of the bus with nothing on the terminals at high mains (V).
    pub(crate) bus_volts: f64,
    /// Name of the lower part, e.g. `filter stress zone, 90–100 % of 600 V`.
    pub(crate) near_words: String,
    /// Name of the upper part, e.g. `filter over its rating`.
    pub(crate) over_words: String,
    /// What stands at the bus mark, e.g. `556 V bus, no load, 126 V mains`.
    pub(crate) bus_words: String,
}

/// An earlier variant.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ghost<'a> {
    /// Its envelope.
    pub(crate) envelope: &'a Envelope,
    /// Its letter; that of a comparison from the command line has none.
    pub(crate) letter: Option<char>,
    /// What is different in it.
    pub(crate) label: &'a str,
    /// What stands at its line.
    pub(crate) at_line: AtLine,
    /// Whether it stays: what is only looked at for a moment must not move the axes.
    pub(crate) stay: Stay,
}

impl Ghost<'_> {
    /// Letter and label: `a: C1 10 µF`.
    pub(crate) fn name(&self) -> String {
        match self.letter {
            Some(letter) => format!("{letter}: {}", self.label),
            None => self.label.to_owned(),
        }
    }
}

/// What stands at the line of a ghost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AtLine {
    /// Its letter: the names stand above the plot.
    Letter,
    /// Letter, if any, and name.
    Name,
}

/// How long a ghost is in the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stay {
    /// Until it is removed.
    Kept,
    /// For a moment.
    Passing,
}

/// Something measured.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cross {
    /// Where (A, V).
    pub(crate) at: [f64; 2],
    /// Half the width of the error bars (A, V); 0 for none.
    pub(crate) error: [f64; 2],
    /// Its words; may be empty.
    pub(crate) label: String,
}

/// The other words on the plot.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct PlotWords {
    /// Accessible name of the plot.
    pub(crate) name: String,
    /// Accessible value: the point in words.
    pub(crate) value: String,
    /// Volts of the point, e.g. `300 V`.
    pub(crate) point_volts: String,
    /// Amperes of the point, e.g. `30 mA`.
    pub(crate) point_amps: String,
    /// Low mains, e.g. `114 V`.
    pub(crate) low_mains: String,
    /// High mains, e.g. `126 V`.
    pub(crate) high_mains: String,
    /// What stands behind the name of a limit that cannot be drawn, e.g. `not known`.
    pub(crate) not_known: String,
    /// Said in the middle if no point at all is allowed; else empty.
    pub(crate) nothing_allowed: String,
    /// What stands behind the name of a published line that is accepted as built: `by the book`.
    pub(crate) by_the_book: String,
    /// The name of what is within reach but over a rating, in full and short; empty where that is little.
    pub(crate) over_a_rating: [String; 2],
    /// Said in the corner of an older picture.
    pub(crate) older: String,
}

/// What the plot remembers between frames; not part of the document.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct PlotView {
    /// What the pointer holds.
    pub(crate) grab: Option<Grab>,
    /// Where the point was before the last press (A, V): a double click, which resets the view, puts it back.
    pub(crate) before_press: Option<[f64; 2]>,
    /// When that press was (s).
    pub(crate) pressed_at: Option<f64>,
    /// Set to forget zoom and shift in the next frame, e.g. after another file was opened.
    pub(crate) reset: bool,
}

/// Where the user moved the point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moved {
    /// New position (A, V); both finite and not negative.
    pub(crate) to: [f64; 2],
    /// The dummy load along whose line it went, if it did.
    pub(crate) along: Option<usize>,
}

/// What the user did.
#[derive(Debug, Clone)]
pub(crate) struct PlotResponse {
    /// The point was moved.
    pub(crate) moved: Option<Moved>,
    /// The line of this dummy load was grabbed.
    pub(crate) clicked_load: Option<usize>,
    /// Where the pointer rests in the plane without holding anything (A, V).
    pub(crate) rests_at: Option<[f64; 2]>,
    /// A line above the plane, right of the name of its upright axis, that is kept free.
    pub(crate) free_line: egui::Rect,
    /// The plot's own response: focus, hover.
    pub(crate) response: egui::Response,
}

/// Draws the plot in all the room that `ui` has.
pub(crate) fn envelope_plot_ui(
    ui: &mut Ui,
    input: &PlotInput<'_>,
    view: &mut PlotView,
) -> PlotResponse {
    let theme = Theme::of(ui.ctx());
    let wanted = axes::Wanted {
        range: range::shown_range(input),
        zoom: if std::mem::take(&mut view.reset) {
            axes::Zoom::Forget
        } else {
            axes::Zoom::Keep
        },
        loads: input.loads.len(),
    };
    let axes = axes::axes_ui(ui, wanted, &theme);
    let mut canvas = canvas::Canvas::new(ui, &axes, theme);
    let axes::Axes {
        response,
        free_line,
        ..
    } = axes;
    canvas.has_focus = response.has_focus();
    let (moved, clicked_load) = hand::interact(ui, &response, &canvas, input, view);
    if moved.is_some() {
        ui.ctx().request_discard("the point moves");
    }
    // Most of a frame's drawing is here: a pass that is thrown away goes without.
    if !ui.ctx().will_discard() {
        paint(&mut canvas, input);
    }
    response.widget_info(|| {
        let mut info = egui::WidgetInfo::labeled(
            egui::Role::GraphicsObject,
            ui.is_enabled(),
            input.words.name.as_str(),
        );
        let outlines: Vec<String> = input.ghosts.iter().map(Ghost::name).collect();
        let band = input.band.map(|band| plot::with_band(band.name));
        info.current_text_value = Some(format!(
            "{}{}{}",
            input.words.value,
            plot::outlines(&outlines),
            band.unwrap_or_default()
        ));
        info
    });
    let rests_at = hand::rests_at(ui, &response, &canvas, view);
    PlotResponse {
        moved,
        clicked_load,
        rests_at,
        free_line,
        response,
    }
}

/// Draws the plane; gives what was drawn and wanted a name.
fn paint(canvas: &mut canvas::Canvas, input: &PlotInput<'_>) -> layers::Scene {
    if input.age == Age::Older {
        canvas.painter.set_opacity(OLDER_OPACITY);
    }
    let scene = layers::paint_layers(canvas, input);
    captions::paint_captions(canvas, input, &scene);
    scene
}
