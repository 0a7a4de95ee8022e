//! Axes, grid, zoom: what the plotting library does for the plane.

use crate::app::plots::envelope::range::Range;
use crate::app::plots::geometry::nice_at_least;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::plot;
use egui::{Align2, PointerButton, Pos2, Rangef, Rect, Response, Ui, Vec2};
use egui_plot::{AxisHints, GridInput, GridMark, Plot, PlotMemory, PlotTransform};

/// The line above the plane: name of the upright axis, and what is said of the place under the pointer (points).
pub(super) const HEAD: f32 = 16.0;
/// Room between that line and the frame for the names of the loads (points).
const TOP_RIM: f32 = 18.0;
/// The same where there are none: half a line of the topmost number (points).
const BARE_RIM: f32 = 8.0;
/// Room right of the frame for names: share of the width, least and most (points).
const RIGHT_RIM: [f32; 3] = [0.14, 66.0, 124.0];
/// Room left of the frame for the numbers of the upright axis (points).
const NUMBERS: f32 = 35.0;

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

/// How much of the plane is to be seen, and what stands around it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    /// The range unless one zoomed.
    pub(super) range: Range,
    /// What becomes of zoom and shift.
    pub(super) zoom: Zoom,
    /// How many loads want names above the plane.
    pub(super) loads: usize,
}

/// The axes as they were drawn.
pub(super) struct Axes {
    /// The response of the plane.
    pub(super) response: Response,
    /// From the plane to the screen.
    pub(super) transform: PlotTransform,
    /// The plane with the rims for names above and right of it.
    pub(super) room: Rect,
    /// What is free of the line above them.
    pub(super) free_line: Rect,
}

/// Draws the axes and the grid.
pub(super) fn axes_ui(ui: &mut Ui, wanted: Wanted, theme: &Theme) -> Axes {
    let Wanted { range, zoom, loads } = wanted;
    let id = ui.scope_id().with("envelope");
    let zoomed =
        PlotMemory::load(ui.ctx(), id).is_some_and(|m| !(m.auto_bounds.x && m.auto_bounds.y));
    let whole = ui.available_rect_before_wrap();
    let room = whole.size();
    let [share, least, most] = RIGHT_RIM;
    let right = (share * room.x).clamp(least, most);
    let top = if loads > 0 { TOP_RIM } else { BARE_RIM };
    let mut plot = Plot::new("envelope")
        .id(id)
        .width((room.x - right).max(80.0))
        .height((room.y - HEAD - top).max(60.0))
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
            hints(AxisHints::new_x(), theme).formatter(|mark, shown| amps_text(mark, *shown.end())),
        ])
        .custom_y_axes(vec![
            hints(AxisHints::new_y(), theme)
                .min_thickness(NUMBERS)
                .formatter(|mark, _| figure(mark, mark.value)),
        ]);
    if zoom == Zoom::Forget {
        plot = plot.reset();
    }
    ui.add_space(HEAD + top);
    let shown = plot.show(ui, |_| ());
    let frame = *shown.transform.frame();
    let corner = Pos2::new(frame.right() + right, frame.bottom());
    let room = Rect::from_min_max(Pos2::new(frame.left(), frame.top() - top), corner);
    let name = upright_name(ui, Pos2::new(frame.left(), whole.top()), theme);
    Axes {
        response: shown.response,
        transform: shown.transform,
        room,
        free_line: Rect::from_min_max(
            Pos2::new(name.right() + 16.0, whole.top()),
            Pos2::new(whole.right(), whole.top() + HEAD),
        ),
    }
}

/// Writes the name of the upright axis.
fn upright_name(ui: &Ui, corner: Pos2, theme: &Theme) -> Rect {
    let font = theme::font(theme::SMALL);
    let at = corner + Vec2::new(0.0, 0.5 * HEAD);
    ui.painter().text(
        at,
        Align2::LEFT_CENTER,
        plot::VOLTS_AXIS,
        font,
        theme.middle,
    )
}

/// The name of the level axis, as it is shown: in two lines, for the end of the axis.
pub(super) fn level_name(transform: &PlotTransform) -> &'static str {
    if in_milliamps(transform.bounds().max()[0]) {
        plot::MILLIAMPS_AXIS
    } else {
        plot::AMPS_AXIS
    }
}

fn in_milliamps(end: f64) -> bool {
    end < AMPS_FROM
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
    if in_milliamps(end) {
        let milli = GridMark {
            value: mark.value * 1e3,
            step_size: mark.step_size * 1e3,
        };
        figure(milli, milli.value)
    } else {
        figure(mark, mark.value)
    }
}

/// The number of a mark; its unit stands in the name of the axis.
fn figure(mark: GridMark, value: f64) -> String {
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
    format!("{value:.decimals$}")
}
