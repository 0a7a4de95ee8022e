//! A network of resistors as a small circuit: each a rectangle (IEC 60617) with its ohms above and its watts below.

use egui::{
    Align2, Painter, Pos2, Rect, Response, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use crate::app::theme::{self, Theme};
use crate::bench::networks::{Element, Network};
use crate::explain::{networks, number};
use crate::parts::MadeOf;

/// Room of one resistor with its words (points).
const ONE: Vec2 = vec2(82.0, 42.0);
/// Its rectangle (points).
const BODY: Vec2 = vec2(36.0, 10.0);
/// From a branch to the line that joins them (points).
const LEAD: f32 = 8.0;
/// Of a terminal (points).
const TERMINAL: f32 = 2.5;
/// Beside the network (points).
const END: f32 = 10.0;

/// How large a network is drawn (points).
pub(crate) fn size(made_of: &MadeOf) -> Vec2 {
    inner(made_of) + vec2(2.0 * END, 0.0)
}

fn inner(made_of: &MadeOf) -> Vec2 {
    match made_of {
        MadeOf::One(_) => ONE,
        MadeOf::Series(parts) => parts.iter().map(inner).fold(Vec2::ZERO, |whole, part| {
            vec2(whole.x + part.x, whole.y.max(part.y))
        }),
        MadeOf::Parallel(parts) => {
            let all = parts.iter().map(inner).fold(Vec2::ZERO, |whole, part| {
                vec2(whole.x.max(part.x), whole.y + part.y)
            });
            all + vec2(2.0 * LEAD, 0.0)
        }
    }
}

/// Draws a network, as large as [`size`] says.
pub(crate) fn network_ui(ui: &mut Ui, network: &Network) -> Response {
    let theme = Theme::of(ui.ctx());
    let size = size(&network.made_of);
    let (area, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| {
        let name = format!("Circuit of {}", networks::wiring(&network.made_of));
        WidgetInfo::labeled(egui::Role::GraphicsObject, true, name)
    });
    let mut pen = Pen {
        painter: ui.painter().clone(),
        theme,
        elements: network.elements.iter(),
    };
    // Half a line's width more, else the edge of a list cuts the terminals.
    let inward = TERMINAL + 1.0;
    let ends = [
        area.left_center() + vec2(inward, 0.0),
        area.right_center() - vec2(inward, 0.0),
    ];
    for end in ends {
        pen.painter.circle_stroke(end, TERMINAL, pen.wire());
    }
    let inside = area.shrink2(vec2(END, 0.0));
    pen.line(ends[0] + vec2(TERMINAL, 0.0), inside.left_center());
    pen.line(inside.right_center(), ends[1] - vec2(TERMINAL, 0.0));
    pen.part(&network.made_of, inside);
    response
}

struct Pen<'a> {
    painter: Painter,
    theme: Theme,
    /// The elements that are still to be drawn, in the order in which they stand in the network.
    elements: std::slice::Iter<'a, Element>,
}

impl Pen<'_> {
    fn wire(&self) -> Stroke {
        Stroke::new(1.2, self.theme.middle)
    }

    fn line(&self, from: Pos2, to: Pos2) {
        self.painter.line_segment([from, to], self.wire());
    }

    /// A part from the middle of the left edge of its area to the middle of the right one.
    fn part(&mut self, made_of: &MadeOf, area: Rect) {
        match made_of {
            MadeOf::One(_) => self.one(area),
            MadeOf::Series(parts) => {
                let mut left = area.left();
                for part in parts {
                    let width = inner(part).x;
                    let x = left..=left + width;
                    self.part(part, Rect::from_x_y_ranges(x, area.y_range()));
                    left += width;
                }
                self.line(pos2(left, area.center().y), area.right_center());
            }
            MadeOf::Parallel(parts) => self.parallel(parts, area),
        }
    }

    fn parallel(&mut self, parts: &[MadeOf], area: Rect) {
        let whole: f32 = parts.iter().map(|part| inner(part).y).sum();
        let mut top = area.center().y - 0.5 * whole;
        let mut middles = Vec::new();
        for part in parts {
            let size = inner(part);
            let row = Rect::from_x_y_ranges(area.x_range(), top..=top + size.y);
            let branch = row.shrink2(vec2(LEAD, 0.0));
            self.line(row.left_center(), branch.left_center());
            self.part(part, branch.with_max_x(branch.left() + size.x));
            self.line(
                pos2(branch.left() + size.x, row.center().y),
                row.right_center(),
            );
            middles.push(row.center().y);
            top += size.y;
        }
        if let (Some(first), Some(last)) = (middles.first(), middles.last()) {
            for x in [area.left(), area.right()] {
                self.line(pos2(x, *first), pos2(x, *last));
            }
        }
    }

    fn one(&mut self, area: Rect) {
        let body = Rect::from_center_size(area.center(), BODY);
        self.line(area.left_center(), body.left_center());
        self.line(body.right_center(), area.right_center());
        let Some(element) = self.elements.next() else {
            return;
        };
        let share = element.watts.map(|watts| watts / element.bears_watts);
        let edge = share.map_or(self.theme.middle, |share| self.theme.use_mark(share));
        let inside = egui::StrokeKind::Inside;
        self.painter
            .rect(body, 1.0, self.theme.card, Stroke::new(1.4, edge), inside);
        let small = theme::font(theme::SMALL);
        let ohms = number::ohms(element.resistor.resistance.0);
        let above = body.center_top() - vec2(0.0, 1.0);
        self.painter.text(
            above,
            Align2::CENTER_BOTTOM,
            ohms,
            small.clone(),
            self.theme.ink,
        );
        let watts = element.watts.map_or_else(
            || number::watts(element.bears_watts),
            |watts| {
                format!(
                    "{} of {}",
                    number::watts(watts),
                    number::watts(element.bears_watts)
                )
            },
        );
        let watts = watts.replace(" W of ", " of ");
        let below = body.center_bottom() + vec2(0.0, 1.0);
        self.painter
            .text(below, Align2::CENTER_TOP, watts, small, self.theme.middle);
    }
}
