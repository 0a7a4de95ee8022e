//! The columns of the table of loads: where they stand in a wide dock and in a narrow one, and their heads.

use egui::{Align2, Pos2, Rangef, Rect, Sense, Ui};

use crate::app::panels::shown::Shown;
use crate::app::theme;

/// From this width on a row is one line; below it its cells have two (points).
const ONE_LINE: f32 = 640.0;
/// Between two columns (points).
const GAP: f32 = 10.0;
/// What a row is carried by (points).
const GRIP: f32 = 18.0;
/// The button that removes a load (points).
const REMOVE: f32 = 26.0;
/// Height of the heads (points).
const HEADS: f32 = 18.0;

/// Where the cells of a row stand (points), from left to right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Columns {
    /// By this one carries it.
    pub(super) grip: Rangef,
    /// Its ohms.
    pub(super) ohms: Rangef,
    /// What resistor it is; in two lines below the ohms.
    pub(super) resistor: Option<Rangef>,
    /// What the supply reaches on it.
    pub(super) reaches: Rangef,
    /// Where it has to stop.
    pub(super) stops: Rangef,
    /// The watts there; in two lines above its own rating.
    pub(super) watts: Option<Rangef>,
    /// Its own rating.
    pub(super) own: Rangef,
    /// The button that removes it.
    pub(super) remove: Rangef,
    /// Height of a row.
    pub(super) row_height: f32,
}

impl Columns {
    /// In a table that is so wide (points), counted from its left edge.
    pub(super) fn of(width: f32) -> Self {
        let one_line = width >= ONE_LINE;
        // Shares of what the fixed ones leave.
        let shares: &[f32] = if one_line {
            &[0.18, 0.19, 0.28, 0.17, 0.18]
        } else {
            &[0.28, 0.42, 0.30]
        };
        let ohms_width = if one_line { 78.0 } else { 92.0 };
        let fixed = GRIP + ohms_width + REMOVE + 12.0;
        let gaps = (shares.len() + 1) as f32 * GAP;
        let free = (width - fixed - gaps).max(1.0);
        let mut left = 4.0;
        let mut take = |width: f32, gap: f32| {
            let range = Rangef::new(left, left + width);
            left += width + gap;
            range
        };
        let grip = take(GRIP, 0.0);
        let ohms = take(ohms_width, GAP);
        let cells: Vec<Rangef> = shares.iter().map(|share| take(share * free, GAP)).collect();
        let remove = take(REMOVE, 0.0);
        let cell = |place: usize| cells.get(place).copied().unwrap_or(remove);
        let base = Self {
            grip,
            ohms,
            resistor: None,
            reaches: cell(0),
            stops: cell(1),
            watts: None,
            own: cell(2),
            remove,
            row_height: 42.0,
        };
        if one_line {
            Self {
                resistor: Some(cell(0)),
                reaches: cell(1),
                stops: cell(2),
                watts: Some(cell(3)),
                own: cell(4),
                row_height: 28.0,
                ..base
            }
        } else {
            base
        }
    }

    /// A cell of a row that has this area.
    pub(super) fn cell(row: Rect, column: Rangef) -> Rect {
        let x = row.left() + column.min..=row.left() + column.max;
        Rect::from_x_y_ranges(x, row.y_range())
    }
}

/// Draws the heads of the columns.
pub(super) fn heads_ui(ui: &mut Ui, shown: Shown<'_>, columns: &Columns) {
    let size = egui::vec2(ui.available_width(), HEADS);
    let (area, _) = ui.allocate_exact_size(size, Sense::hover());
    let two_lines = columns.resistor.is_none();
    let own = if two_lines {
        "watts, rating"
    } else {
        "own rating"
    };
    let heads = [
        (Some(columns.ohms), "load"),
        (columns.resistor, "resistor"),
        (Some(columns.reaches), "reaches"),
        (Some(columns.stops), "stops at"),
        (columns.watts, "watts there"),
        (Some(columns.own), own),
    ];
    for (column, text) in heads {
        let Some(column) = column else { continue };
        let cell = Columns::cell(area, column);
        ui.painter()
            .with_clip_rect(cell.intersect(ui.clip_rect()))
            .text(
                Pos2::new(cell.left(), cell.center().y),
                Align2::LEFT_CENTER,
                text,
                theme::font(theme::SMALL),
                shown.theme.dim,
            );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_never_overlap_and_stay_within_the_table() {
        for width in [380.0, 456.0, 600.0, 639.0, 640.0, 788.0, 1196.0, 2000.0] {
            let c = Columns::of(width);
            let all = [
                Some(c.grip),
                Some(c.ohms),
                c.resistor,
                Some(c.reaches),
                Some(c.stops),
                c.watts,
                Some(c.own),
                Some(c.remove),
            ];
            let all: Vec<Rangef> = all.into_iter().flatten().collect();
            for pair in all.windows(2) {
                assert!(pair[0].max <= pair[1].min + 0.01, "{width}: {pair:?}");
                assert!(pair[0].span() > 15.0, "{width}: {pair:?}");
            }
            assert!(c.remove.max <= width, "{width}: {:?}", c.remove);
        }
    }
}
