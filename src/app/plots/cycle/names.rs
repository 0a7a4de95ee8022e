//! The names on the cycle: beside their curves and marks, on no line.

use std::sync::Arc;

use egui::{Color32, Galley, Pos2, Rect, Stroke, Vec2, vec2};

use crate::app::plots::cycle::{Pane, SHARES};
use crate::app::plots::labels::{Beside, LabelPlaces, Under, beside_curve};
use crate::app::theme;
use crate::app::theme::Theme;

/// How far from its mark a label may stand, best first (points).
const DISTANCES: [f32; 9] = [4.0, 8.0, 13.0, 18.0, 24.0, 30.0, 38.0, 48.0, 60.0];
/// From this distance on a thin line leads from a label back to its mark (points).
const LEAD: f32 = 9.0;
/// Steps down a flank of the winding at which its name is tried.
const FLANK: usize = 12;

/// Text that waits for its place.
pub(super) struct Label {
    galley: Arc<Galley>,
    colour: Color32,
}

impl Label {
    pub(super) fn new(pane: &Pane, text: &str, colour: Color32) -> Self {
        let font = theme::strong_font(theme::SMALL);
        Self {
            galley: (pane.painter).layout_no_wrap(theme::tied(text), font, colour),
            colour,
        }
    }

    pub(super) fn size(&self) -> Vec2 {
        self.galley.size()
    }

    /// Writes it at the first of the corners where it touches no line; says where.
    pub(super) fn put(
        self,
        pane: &Pane,
        places: &mut LabelPlaces,
        corners: impl IntoIterator<Item = Pos2>,
    ) -> Option<Rect> {
        let (area, under) = places.place_clear(self.size(), corners)?;
        if under == Under::Line {
            let ground = Theme::of(pane.painter.ctx()).ground.gamma_multiply(0.8);
            pane.painter.rect_filled(area.expand(1.0), 2.0, ground);
        }
        pane.painter.galley(area.min, self.galley, self.colour);
        Some(area)
    }
}

/// What belongs to a place.
#[derive(Clone, Copy)]
pub(super) struct MarkName<'a> {
    /// The place.
    pub(super) at: Pos2,
    /// What is written.
    pub(super) text: &'a str,
    /// Where it is best.
    pub(super) liked: Beside,
    /// Its colour.
    pub(super) colour: Color32,
}

/// Writes what belongs to a place: near it, or farther off with a thin line that leads back.
pub(super) fn label_mark(pane: &Pane, places: &mut LabelPlaces, name: MarkName<'_>) {
    let MarkName {
        at,
        text,
        liked,
        colour,
    } = name;
    let label = Label::new(pane, text, colour);
    let corners = around(at, label.size(), pane.rect.shrink(2.0), liked);
    let Some(area) = label.put(pane, places, corners) else {
        return;
    };
    let foot = area.clamp(at);
    if foot.distance(at) > LEAD {
        let lead = Stroke::new(1.0, colour.gamma_multiply(0.6));
        pane.painter.line_segment([at, foot], lead);
        places.avoid([at, foot]);
    }
}

/// Corners of a label around a place, the near ones and the liked side first; all in the pane.
fn around(at: Pos2, size: Vec2, within: Rect, liked: Beside) -> Vec<Pos2> {
    let room = (within.width() - size.x).max(0.0);
    let mut corners = Vec::new();
    for distance in DISTANCES {
        let (up, down) = (-size.y - distance, distance);
        let rows = match liked {
            Beside::Above => [up, down],
            Beside::Below => [down, up],
        };
        for row in rows {
            // Over or under it in its whole width, then just beside.
            for across in [0.0, -0.5, -1.0, -0.25, -0.75] {
                corners.push(at + vec2(size.x * across, row));
            }
            corners.push(at + vec2(distance, row));
            corners.push(at + vec2(-size.x - distance, row));
        }
        corners.push(at + vec2(distance + 4.0, -0.5 * size.y));
        corners.push(at + vec2(-distance - 4.0 - size.x, -0.5 * size.y));
    }
    for corner in &mut corners {
        corner.x = corner.x.clamp(within.left(), within.left() + room);
    }
    corners
}

/// The name of a curve.
#[derive(Clone, Copy)]
pub(super) struct CurveName<'a> {
    /// The curve.
    pub(super) curve: &'a [Pos2],
    /// What is written.
    pub(super) text: &'a str,
    /// Share of the curve's way where it is best.
    pub(super) share: f32,
    /// On which side.
    pub(super) side: Beside,
    /// Its colour.
    pub(super) colour: Color32,
}

/// Writes the name of a curve along it, on one side, as near as may be to the share of its way.
pub(super) fn label_curve(pane: &Pane, places: &mut LabelPlaces, name: CurveName<'_>) {
    let CurveName {
        curve,
        text,
        share,
        side,
        colour,
    } = name;
    let label = Label::new(pane, text, colour);
    let mut shares = SHARES;
    shares.sort_by(|a, b| (a - share).abs().total_cmp(&(b - share).abs()));
    let beside = |gap| {
        let both = beside_curve(curve, label.size(), gap, side, &shares);
        let on_side = both.len() / 2;
        both.into_iter().take(on_side)
    };
    let corners: Vec<Pos2> = beside(4.0).chain(beside(9.0)).collect();
    label.put(pane, places, corners);
}

/// Writes the winding's name under its crest, or else beside a flank of it.
pub(super) fn label_winding(
    pane: &Pane,
    places: &mut LabelPlaces,
    curve: &[Pos2],
    text: &str,
    colour: Color32,
) {
    let label = Label::new(pane, text, colour);
    let size = label.size();
    let Some((place, crest)) =
        (curve.iter().copied().enumerate()).reduce(|a, b| if b.1.y < a.1.y { b } else { a })
    else {
        return;
    };
    let mut corners = vec![crest + vec2(-0.5 * size.x, 5.0)];
    // Down both flanks at once.
    for step in 1..=FLANK {
        let off = step * curve.len() / (4 * FLANK);
        let right = curve.get(place + off);
        let left = place.checked_sub(off).and_then(|place| curve.get(place));
        corners.extend(right.map(|at| *at + vec2(6.0, -0.5 * size.y)));
        corners.extend(left.map(|at| *at + vec2(-6.0 - size.x, -0.5 * size.y)));
    }
    label.put(pane, places, corners);
}
