//! Pointer and keys on the plot: the point is the output knob.
//!
//! Press on the line of a dummy load: the point goes along it. Press on the handle: it goes along the selected
//! load's line if it stands on it, freely with Alt or without a selection. Press anywhere else: it comes there.
//! Arrows do the same when the plot has the focus, finely with Shift. A double click resets the view and leaves
//! the point where it was.

use crate::app::plots::envelope::canvas::Canvas;
use crate::app::plots::envelope::{Moved, PlotInput, PlotView};
use crate::app::plots::geometry::{nearest_on_polyline, nice_at_least, share_along_ray};
use egui::{CursorIcon, EventFilter, Key, Pos2, Response, Ui};

/// Reach of the handle (points).
const HANDLE_REACH: f32 = 14.0;
/// Reach of a load line (points).
const LINE_REACH: f32 = 7.0;
/// How near the point must be to a line to count as standing on it (points).
const ON_LINE: f32 = 3.0;
/// How long the pointer stands still before it is said why (s).
const REST: f32 = 0.35;
/// Longest time between two presses of a double click (s).
const DOUBLE_CLICK: f64 = 0.5;

/// What the pointer holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Grab {
    /// The point, anywhere.
    Free,
    /// The point, along the line of this dummy load.
    Along(usize),
}

/// What the user did: where the point went, and which dummy load was grabbed.
pub(super) fn interact(
    ui: &Ui,
    response: &Response,
    canvas: &Canvas,
    input: &PlotInput<'_>,
    view: &mut PlotView,
) -> (Option<Moved>, Option<usize>) {
    let Some(place) = input.place() else {
        return (None, None);
    };
    if let Some(moved) = keys(ui, response, canvas, input) {
        return (Some(moved), None);
    }
    if response.double_clicked() {
        view.grab = None;
        let back = view.before_press.map(|to| Moved {
            to,
            along: standing_on(canvas, input, to),
        });
        return (back, None);
    }
    let (pointer, pressed, down, now, alt) = ui.input(|i| {
        let pointer = &i.pointer;
        (
            pointer.latest_pos(),
            pointer.primary_pressed(),
            pointer.primary_down(),
            i.time,
            i.modifiers.alt,
        )
    });
    let Some(pointer) = pointer else {
        return (None, None);
    };
    if !down {
        view.grab = None;
    }
    point_out(ui, response, canvas, input, view);
    let mut clicked_load = None;
    // A tap on a touch pad may be over within one frame: it is then a click and nothing is held down.
    if pressed && (response.is_pointer_button_down_on() || response.clicked()) {
        response.request_focus();
        let again = view
            .pressed_at
            .is_some_and(|then| now - then < DOUBLE_CLICK);
        if !again || view.before_press.is_none() {
            view.before_press = Some(place);
        }
        view.pressed_at = Some(now);
        let grab = grab(canvas, input, pointer, alt.then_some(Grab::Free));
        if let Grab::Along(index) = grab {
            clicked_load = Some(index);
        }
        view.grab = Some(grab);
    }
    let moved = match view.grab {
        Some(Grab::Free) => Some(Moved {
            to: freely(canvas, pointer),
            along: None,
        }),
        Some(Grab::Along(index)) => along(canvas, input, index, pointer),
        None => None,
    };
    let moved = moved.filter(|m| differs(m.to[0], place[0]) || differs(m.to[1], place[1]));
    (moved, clicked_load)
}

/// The shape of the pointer says what a press would take hold of.
fn point_out(
    ui: &Ui,
    response: &Response,
    canvas: &Canvas,
    input: &PlotInput<'_>,
    view: &PlotView,
) {
    let Some(pointer) = response.hover_pos() else {
        return;
    };
    let near_handle = input
        .place()
        .is_some_and(|at| canvas.at(at).distance(pointer) <= HANDLE_REACH);
    let icon = if view.grab.is_some() {
        CursorIcon::Grabbing
    } else if near_handle || grab(canvas, input, pointer, None) != Grab::Free {
        CursorIcon::Grab
    } else {
        CursorIcon::Crosshair
    };
    ui.ctx().set_cursor_icon(icon);
}

/// Where the pointer rests in the plane (A, V), once it has stood still for a moment and holds nothing.
pub(super) fn rests_at(
    ui: &Ui,
    response: &Response,
    canvas: &Canvas,
    view: &PlotView,
) -> Option<[f64; 2]> {
    let pointer = response.hover_pos()?;
    let (still, down) = ui.input(|i| {
        (
            i.pointer.time_since_last_movement(),
            i.pointer.any_down() || i.pointer.any_released(),
        )
    });
    if down || view.grab.is_some() || !canvas.frame().contains(pointer) {
        return None;
    }
    if still < REST {
        let wait = std::time::Duration::from_secs_f32(REST - still + 0.01);
        ui.ctx().request_repaint_after(wait);
        return None;
    }
    let [amps, volts] = freely(canvas, pointer);
    Some([amps, volts])
}

fn differs(a: f64, b: f64) -> bool {
    (a - b).abs() > 1e-9 * a.abs().max(b.abs())
}

/// What a press takes hold of.
fn grab(canvas: &Canvas, input: &PlotInput<'_>, pointer: Pos2, forced: Option<Grab>) -> Grab {
    if let Some(forced) = forced {
        return forced;
    }
    if let Some(at) = input.place()
        && canvas.at(at).distance(pointer) <= HANDLE_REACH
    {
        return standing_on(canvas, input, at).map_or(Grab::Free, Grab::Along);
    }
    let nearest = (0..input.loads.len())
        .filter_map(|index| Some((index, distance_to_load(canvas, input, index, pointer)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    match nearest {
        Some((index, distance)) if distance <= LINE_REACH => Grab::Along(index),
        _ => Grab::Free,
    }
}

/// The selected dummy load, if the point stands on its line.
fn standing_on(canvas: &Canvas, input: &PlotInput<'_>, at: [f64; 2]) -> Option<usize> {
    let index = input.selected_load?;
    let distance = distance_to_load(canvas, input, index, canvas.at(at))?;
    (distance <= ON_LINE).then_some(index)
}

/// Origin and far end of a load line on the screen, well beyond the frame.
fn far_line(canvas: &Canvas, ohms: f64) -> Option<[Pos2; 2]> {
    if !(ohms.is_finite() && ohms > 0.0) {
        return None;
    }
    let bounds = canvas.transform.bounds();
    let volts = bounds.max()[1]
        .min(bounds.max()[0] * ohms)
        .max(f64::MIN_POSITIVE);
    Some([canvas.at([0.0, 0.0]), canvas.at([volts / ohms, volts])])
}

fn distance_to_load(canvas: &Canvas, input: &PlotInput<'_>, index: usize, p: Pos2) -> Option<f32> {
    let ends = far_line(canvas, input.loads.get(index)?.line.ohms)?;
    nearest_on_polyline(&ends, p).map(|q| q.distance(p))
}

/// The value under the pointer, kept in the frame and rounded to what a point of the screen can tell.
fn freely(canvas: &Canvas, pointer: Pos2) -> [f64; 2] {
    let value = canvas
        .transform
        .value_from_position(canvas.frame().clamp(pointer));
    let [amps_step, volts_step] = steps(canvas);
    [rounded(value.x, amps_step), rounded(value.y, volts_step)]
}

/// The place on a load line nearest to the pointer, its volts rounded.
fn along(canvas: &Canvas, input: &PlotInput<'_>, index: usize, pointer: Pos2) -> Option<Moved> {
    let ohms = input.loads.get(index)?.line.ohms;
    let [origin, end] = far_line(canvas, ohms)?;
    let place = origin + (end - origin) * share_along_ray(origin, end, pointer).min(1.0);
    let volts = canvas.transform.value_from_position(place).y;
    Some(on_load(index, ohms, rounded(volts, steps(canvas)[1])))
}

fn on_load(index: usize, ohms: f64, volts: f64) -> Moved {
    Moved {
        to: [volts / ohms, volts],
        along: Some(index),
    }
}

/// Round amperes and volts of about one point of the screen.
fn steps(canvas: &Canvas) -> [f64; 2] {
    canvas
        .transform
        .dvalue_dpos()
        .map(|per_point| nice_at_least(per_point.abs() * 0.6))
}

fn rounded(value: f64, step: f64) -> f64 {
    if value.is_finite() {
        ((value / step).round() * step).max(0.0)
    } else {
        0.0
    }
}

/// The arrow keys, if the plot has the focus.
fn keys(ui: &Ui, response: &Response, canvas: &Canvas, input: &PlotInput<'_>) -> Option<Moved> {
    if !response.has_focus() {
        return None;
    }
    let filter = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..Default::default()
    };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let (right, up, fine) = ui.input(|i| {
        let presses = |key| i.num_presses(key) as f64;
        (
            presses(Key::ArrowRight) - presses(Key::ArrowLeft),
            presses(Key::ArrowUp) - presses(Key::ArrowDown),
            i.modifiers.shift,
        )
    });
    if right == 0.0 && up == 0.0 {
        return None;
    }
    let steps = steps(canvas).map(|step| {
        if fine {
            step
        } else {
            nice_at_least(step * 5.0)
        }
    });
    let at = input.place()?;
    let bounds = canvas.transform.bounds();
    if let Some(index) = standing_on(canvas, input, at) {
        let ohms = input.loads.get(index)?.line.ohms;
        let volts = rounded(at[1] + (right + up) * steps[1], steps[1]).min(bounds.max()[1]);
        return Some(on_load(index, ohms, volts));
    }
    let amps = if right == 0.0 {
        at[0]
    } else {
        rounded(at[0] + right * steps[0], steps[0])
    };
    let volts = if up == 0.0 {
        at[1]
    } else {
        rounded(at[1] + up * steps[1], steps[1])
    };
    Some(Moved {
        to: [amps.min(bounds.max()[0]), volts.min(bounds.max()[1])],
        along: None,
    })
}
