//! What a card says of a value that cannot be: beside its row, in the row's words.

use crate::app::panels::shown::rows::place;
use crate::app::widgets::fields::Fault;
use crate::explain::failure;
use crate::parts::check::Problem;
use crate::parts::{Stage, Supply};

/// Those of a card that have a row, and the others in whole sentences.
pub(super) fn of_card(
    problems: &[Problem],
    supply: &Supply,
    stage: Stage,
) -> (Vec<Fault>, Vec<String>) {
    let (mut faults, mut others) = (Vec::new(), Vec::new());
    for problem in problems {
        match place(&problem.field, supply) {
            Some(place) if place.stage == stage => faults.push(Fault {
                words: failure::at_field(&place.row, problem),
                row: place.row,
                folds: place.folds,
            }),
            None if problem.stage == stage => others.push(problem.to_string()),
            Some(_) | None => {}
        }
    }
    (faults, others)
}
