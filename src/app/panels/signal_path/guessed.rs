//! Which rows of a card stand for the fields that are marked as guessed.

use crate::app::panels::shown::rows::place;
use crate::app::widgets::fields::Mark;
use crate::parts::{Stage, Work};

/// The marks of a card, by row.
pub(super) fn marks(work: &Work, stage: Stage) -> Vec<Mark> {
    let of_card = |field: &String| {
        let place = place(field, &work.supply)?;
        (place.stage == stage).then(|| Mark {
            row: place.row,
            field: field.clone(),
        })
    };
    work.guessed.iter().filter_map(of_card).collect()
}
