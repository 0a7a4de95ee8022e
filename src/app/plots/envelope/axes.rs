//! Axes, grid, zoom: what the plotting library does for the plane.

use crate::app::plots::envelope::range::Range;
use crate::app::plots::geometry::nice_at_least;
use crate::app::theme;
use crate::app::theme::Theme;
use egui::{PointerButton, Rangef, Response, Ui, Vec2};
use egui_plot::{AxisHints, GridInput, GridMark, Plot, PlotMemory, PlotTransform};

/// Room right of the frame, for the mains volts at the ends of the companions.
pub(crate) const RIGHT_MARGIN: f32 = 48.0;
/// Room above the frame, for half a line of the topmost number.
const TOP_MARGIN: f32 = 8.0;
/// Least points between two grid lines.
const GRID_POINTS: f64 = 52.0;
/// Currents from here on are shown in amperes (A).
const AMPS_FROM: f64 = 1.5;

/// What becomes of zoom and shift.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Zoom {
    /// They stay.
    Keep,
    /// The automatic range comes back.
    Forget,
}

/// Draws the axes and the grid; gives the response of the plane and its transform to the screen.
pub(crate) fn axes_ui(
    ui: &mut Ui,
    range: Range,
    theme: &Theme,
    zoom: Zoom,
) -> (Response, PlotTransform) {
    let id = ui.scope_id().with("envelope");
    let zoomed =
        PlotMemory::load(ui.ctx(), id).is_some_and(|m| !(m.auto_bounds.x && m.auto_bounds.y));
    let room = ui.available_size();
    let mut plot = Plot::new("envelope")
        .id(id)
        .width((room.x - RIGHT_MARGIN).max(80.0))
        .height((room.y - TOP_MARGIN).max(60.0))
        .include_x(0.0)
        .include_x(range.amps)
        .include_y(0.0)
        .include_y(range.volts)
        .set_margin_fraction(Vec2::ZERO)
        .show_background(false)
        .show_x(false)
        .show_y(false)
        .show_crosshair(false)
        .pan_pointer_button(PointerButton::Middle)
        .allow_scroll(zoomed)
        .allow_axis_zoom_drag(false)
        .grid_color(theme.grid)
        .grid_fade(0.0)
        .grid_spacing(Rangef::new(8.0, 9.0))
        .x_grid_spacer(|input| marks(&input))
        .y_grid_spacer(|input| marks(&input))
        .custom_x_axes(vec![
            hints(AxisHints::new_x(), theme)
                .formatter(move |mark, shown| amps_text(mark, *shown.end())),
        ])
        .custom_y_axes(vec![
            hints(AxisHints::new_y(), theme)
                .min_thickness(52.0)
                .formatter(move |mark, shown| with_unit(mark, mark.value, *shown.end(), "V")),
        ]);
    if zoom == Zoom::Forget {
        plot = plot.reset();
    }
    ui.add_space(TOP_MARGIN);
    let shown = plot.show(ui, |_| ());
    (shown.response, shown.transform)
}

fn hints<'a>(hints: AxisHints<'a>, theme: &Theme) -> AxisHints<'a> {
    hints
        .tick_label_color(theme.middle)
        .tick_label_font(theme::font(theme::SMALL))
        .label_spacing(Rangef::new(14.0, 15.0))
}

fn marks(input: &GridInput) -> Vec<GridMark> {
    let (low, high) = input.bounds;
    // The library gives the value of its least spacing (8 points, see above).
    let step_size = nice_at_least(input.base_step_size / 8.0 * GRID_POINTS);
    let first = (low / step_size).ceil();
    let count = ((high - low) / step_size).clamp(0.0, 200.0);
    let mut marks = Vec::new();
    let mut k = 0.0;
    while k <= count {
        let value = (first + k) * step_size;
        if value <= high + 1e-9 * step_size {
            marks.push(GridMark { value, step_size });
        }
        k += 1.0;
    }
    marks
}

fn amps_text(mark: GridMark, end: f64) -> String {
    if end < AMPS_FROM {
        let milli = GridMark {
            value: mark.value * 1e3,
            step_size: mark.step_size * 1e3,
        };
        with_unit(milli, milli.value, end * 1e3, "mA")
    } else {
        with_unit(mark, mark.value, end, "A")
    }
}

/// The number of a mark; the last mark before the end of the axis carries the unit.
fn with_unit(mark: GridMark, value: f64, end: f64, unit: &str) -> String {
    let decimals = if mark.step_size >= 0.999 {
        0
    } else if mark.step_size >= 0.0999 {
        1
    } else if mark.step_size >= 0.00999 {
        2
    } else {
        3
    };
    // No "-0".
    let value = if value.abs() < mark.step_size * 1e-6 {
        0.0
    } else {
        value
    };
    if value + mark.step_size > end * (1.0 + 1e-9) {
        format!("{value:.decimals$} {unit}")
    } else {
        format!("{value:.decimals$}")
    }
}
