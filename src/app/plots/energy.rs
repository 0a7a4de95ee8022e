//! Where the watts go, as a flow: it comes in at the left as wide as the mains watts, and every part takes its share out
//! of it on the way to the load.
//!
//! A watt is equally wide everywhere, so the widths at the right add up to the width at the left. What is too thin for
//! a pixel is drawn fainter instead of wider. The first to leave runs to the lowest row: no two flows cross.

use egui::{Align2, Color32, Mesh, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, vec2};

use crate::app::theme;
use crate::app::theme::Theme;
use crate::explain::energy as words;
use crate::parts::Supply;
use crate::physics::energy::{Energy, Share, Sink};

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EnergyInput<'a> {
    /// The flow.
    pub(crate) energy: &'a Energy,
    /// Whose.
    pub(crate) supply: &'a Supply,
    /// How much of the pass tubes' dissipation is in use, if known.
    pub(crate) dissipation: Option<f64>,
}

/// One flow on the screen.
#[derive(Debug, Clone, Copy)]
struct Flow<'a> {
    share: &'a Share,
    /// Width of it everywhere.
    width: f32,
    /// Its upper edge where it comes in.
    enters: f32,
    /// Where it leaves the straight.
    bends: f32,
    /// Its middle where it ends.
    ends: f32,
}

/// Width of the words at the right (points).
const WORDS: f32 = 236.0;
/// Flows narrower than this have no line between them (points).
const LEAST_PARTED: f32 = 2.5;
/// Steps of a bend.
const STEPS: u16 = 40;

/// Draws the flow in all the room that `ui` has.
pub(crate) fn energy_plot_ui(ui: &mut Ui, input: EnergyInput<'_>) -> Response {
    let theme = Theme::of(ui.ctx());
    let (area, response) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    let painter = ui.painter().with_clip_rect(area.intersect(ui.clip_rect()));
    let rows = input.energy.shares.len();
    let row_room = area.height() / rows.max(1) as f32;
    let (font, least_row) = if row_room >= 21.0 {
        (theme::BODY, 18.0)
    } else {
        (theme::SMALL, 13.5_f32.min(row_room))
    };
    let column = area.right() - WORDS;
    let room = Rect::from_min_max(
        area.min + vec2(0.0, 2.0),
        Pos2::new(column, area.bottom() - 2.0),
    );
    let flows = flows(input.energy, room, least_row);
    for flow in &flows {
        let colour = colour(flow.share.sink, input.dissipation, &theme);
        paint_flow(&painter, flow, room, colour);
        if flow.width > LEAST_PARTED {
            // Neighbours are told apart without colour too; a line on the edge takes nothing from the width.
            let edge = path(flow, room)
                .into_iter()
                .map(|middle| middle - vec2(0.0, 0.5 * flow.width))
                .collect();
            painter.add(Shape::line(edge, Stroke::new(0.8, theme.ground)));
        }
    }
    for flow in &flows {
        let words = Column { left: column, font };
        row_words(&painter, flow, input, words, &theme);
    }
    response.widget_info(|| {
        let mut info =
            egui::WidgetInfo::labeled(egui::Role::GraphicsObject, ui.is_enabled(), words::NAME);
        info.current_text_value = Some(words::in_words(input.energy, input.supply));
        info
    });
    response
}

/// Places all flows: the load on top, what leaves first at the bottom.
fn flows(energy: &Energy, room: Rect, least_row: f32) -> Vec<Flow<'_>> {
    let scale = points_per_watt(energy, room.height(), least_row);
    let count = energy.shares.len().max(1) as f32;
    let mut enters = room.top();
    let mut row = room.top();
    let mut out = Vec::with_capacity(energy.shares.len());
    for (place, share) in energy.shares.iter().rev().enumerate() {
        let width = narrow(share.watts) * scale;
        let height = width.max(least_row);
        // The load (place 0) goes farthest before it bends.
        let along = 1.0 - (place as f32 + 0.5) / count;
        out.push(Flow {
            share,
            width,
            enters,
            bends: room.left() + room.width() * (0.1 + 0.5 * along),
            ends: row + 0.5 * height,
        });
        enters += width;
        row += height;
    }
    out
}

/// The scale with which all rows together just fill the height.
fn points_per_watt(energy: &Energy, height: f32, least_row: f32) -> f32 {
    let filled = |scale: f32| -> f32 {
        energy
            .shares
            .iter()
            .map(|s| (narrow(s.watts) * scale).max(least_row))
            .sum()
    };
    let total = narrow(energy.sum_watts()).max(1e-6);
    let (mut low, mut high) = (0.0, height / total);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if filled(middle) <= height {
            low = middle;
        } else {
            high = middle;
        }
    }
    // Where the rows fill it all, the widest flow is as wide as its row.
    let widest = (energy.shares.iter().map(|s| narrow(s.watts))).fold(1e-6, f32::max);
    low.max(least_row / widest)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a width on the screen needs no more"
)]
fn narrow(watts: f64) -> f32 {
    watts as f32
}

fn colour(sink: Sink, dissipation: Option<f64>, theme: &Theme) -> Color32 {
    let full = match sink {
        Sink::Load => theme.envelope,
        Sink::PassTubes if dissipation.is_some_and(|ratio| ratio > 1.0) => theme.over,
        Sink::PassTubes => theme.dissipation.gamma_multiply(0.8),
        Sink::PassResistors | Sink::MeterShunt => theme.dissipation.gamma_multiply(0.5),
        Sink::Rectifier | Sink::PlateResistors => theme.near.gamma_multiply(0.85),
        Sink::PrimaryCopper | Sink::SecondaryCopper => theme.winding.gamma_multiply(0.85),
        Sink::Auxiliary => theme.dim.gamma_multiply(0.6),
        Sink::Choke(_)
        | Sink::FilterResistor(_)
        | Sink::Balancing
        | Sink::Bleeder
        | Sink::Internal
        | Sink::NegativeRail => theme.dropout.gamma_multiply(0.8),
    };
    full.gamma_multiply(0.85)
}

/// One flow: straight as far as it goes along, then down to its row.
fn paint_flow(painter: &Painter, flow: &Flow<'_>, room: Rect, colour: Color32) {
    let middles = path(flow, room);
    painter.add(Shape::mesh(ribbon(&middles, flow.width, colour)));
}

/// The middle of a flow from the left edge to its row.
fn path(flow: &Flow<'_>, room: Rect) -> Vec<Pos2> {
    let start = flow.enters + 0.5 * flow.width;
    let end = room.right() - 8.0;
    let mut middles = vec![Pos2::new(room.left(), start)];
    for step in 0..=STEPS {
        let t = f32::from(step) / f32::from(STEPS);
        let eased = t * t * (3.0 - 2.0 * t);
        middles.push(Pos2::new(
            flow.bends + (end - flow.bends) * t,
            start + (flow.ends - start) * eased,
        ));
    }
    middles
}

/// A band of this vertical width around a line, its edges smoothed over one point: what it covers is its width.
fn ribbon(middles: &[Pos2], width: f32, colour: Color32) -> Mesh {
    let half = 0.5 * width;
    let (inner, outer) = ((half - 0.5).max(0.0), half + 0.5);
    let strength = if width < 1.0 { width / outer } else { 1.0 };
    let full = colour.gamma_multiply(strength);
    let mut mesh = Mesh::default();
    let mut base = 0_u32;
    for middle in middles {
        for (off, shade) in [
            (-outer, Color32::TRANSPARENT),
            (-inner, full),
            (inner, full),
            (outer, Color32::TRANSPARENT),
        ] {
            mesh.colored_vertex(*middle + vec2(0.0, off), shade);
        }
        if base >= 4 {
            for k in 0..3 {
                let (a, b) = (base - 4 + k, base + k);
                mesh.add_triangle(a, a + 1, b);
                mesh.add_triangle(a + 1, b, b + 1);
            }
        }
        base += 4;
    }
    mesh
}

/// Where the words stand (points).
#[derive(Clone, Copy)]
struct Column {
    left: f32,
    font: f32,
}

fn row_words(
    painter: &Painter,
    flow: &Flow<'_>,
    input: EnergyInput<'_>,
    column: Column,
    theme: &Theme,
) {
    let (column, size) = (column.left, column.font);
    let matters = matches!(flow.share.sink, Sink::Load | Sink::PassTubes);
    let font = if matters {
        theme::strong_font(size)
    } else {
        theme::font(size)
    };
    let ink = match flow.share.sink {
        Sink::PassTubes if input.dissipation.is_some_and(|ratio| ratio > 1.0) => theme.over_text,
        Sink::Load => theme.envelope_text,
        _ => theme.ink,
    };
    painter.text(
        Pos2::new(column, flow.ends),
        Align2::LEFT_CENTER,
        words::name(flow.share.sink, input.supply),
        font.clone(),
        ink,
    );
    painter.text(
        Pos2::new(column + WORDS - 4.0, flow.ends),
        Align2::RIGHT_CENTER,
        words::amount(flow.share, input.energy),
        font,
        if matters { ink } else { theme.middle },
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_in_proportion_and_flows_do_not_cross() {
        let share = |sink, watts| Share { sink, watts };
        let energy = Energy {
            amps: 0.1,
            volts: 100.0,
            mains_watts: 80.0,
            shares: vec![
                share(Sink::Auxiliary, 30.0),
                share(Sink::Rectifier, 0.02),
                share(Sink::PassTubes, 39.98),
                share(Sink::Load, 10.0),
            ],
        };
        let room = Rect::from_min_size(Pos2::ZERO, vec2(300.0, 200.0));
        let flows = flows(&energy, room, 14.0);
        for flow in &flows {
            let per_watt = flow.width / narrow(flow.share.watts);
            let first = flows[0].width / 10.0;
            assert!((per_watt / first - 1.0).abs() < 1e-4, "{flow:?}");
        }
        for pair in flows.windows(2) {
            assert!(pair[0].ends < pair[1].ends && pair[0].bends > pair[1].bends);
            assert!((pair[0].enters + pair[0].width - pair[1].enters).abs() < 1e-3);
        }
        let last = flows.last().unwrap();
        assert!(last.ends + 0.5 * last.width <= 201.0, "{last:?}");
    }
}
