//! Why a point is allowed or not, in words: `sagline explain`.

use crate::app::disk::own_types;
use crate::app::disk::settings::Folders;
use crate::app::export::day::today;
use crate::app::export::page::dated;
use crate::app::terminal::ExplainArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::odds::{Known, SEED};
use crate::bench::first_met::{first_met, ways_back};
use crate::bench::holding::holding;
use crate::bench::odds::Asked;
use crate::bench::sensitivity::{sensitivity, worth_moving};
use crate::bench::working::working;
use crate::explain::odds;
use crate::explain::why;
use crate::explain::worked;
use crate::parts::Work;
use crate::parts::escape::escaped_lines;
use crate::physics::envelope::envelope;
use crate::physics::operation::Case;
use crate::physics::{Failure, Model};

/// The text for a point of a supply.
///
/// # Errors
/// If the parts give no envelope, or no steady state is found at the point.
pub(super) fn print(wanted: &ExplainArguments, opened: &Opened) -> Result<String, Complaint> {
    let Work { name, supply, .. } = &opened.work;
    let about = |failure: &Failure| opened.fails(failure);
    let model = Model::of(supply).map_err(|f| about(&f))?;
    let envelope = envelope(&model).map_err(|f| about(&f))?;
    let at = [wanted.at.amps.0, wanted.at.volts.0];
    let point = envelope
        .point(&model, at[0], at[1])
        .map_err(|f| about(&f))?;
    if wanted.worked {
        let now = working(&model, Case::Present, at).map_err(|f| about(&f))?;
        let page = worked::page(name, supply, &point, &now, &|one| {
            working(&model, one.judged.as_ref().ok()?.case, at).ok()
        });
        let page = if wanted.odds {
            let asked = Asked {
                at,
                samples: wanted.samples,
                seed: SEED,
            };
            let known = Known::of(&opened.work, (&model, &envelope), asked);
            let known = known.map_err(|f| about(&f))?;
            worked::with_section(&page, &odds::section(&opened.work, known.found()))
        } else {
            page
        };
        return Ok(escaped_lines(&dated(&page, &today())));
    }
    // Faults in a file of own types were told when the supply was read.
    let (catalogue, _told) = own_types::catalogue(&Folders::of_system());
    let met = first_met(&envelope, at, None);
    let moves = worth_moving(&point, &met)
        .and_then(|one| sensitivity(&model, one.limit, at, &catalogue).ok());
    let held = holding(&model, &envelope, at);
    let answer = why::Answer {
        supply,
        envelope: &envelope,
        point: &point,
        met: &met,
        back: &ways_back(&envelope, at, None),
        figures: &|one| working(&model, one.judged.as_ref().ok()?.case, at).ok(),
        moves: moves.as_ref(),
        holding: Some(&held),
    };
    Ok(escaped_lines(&why::text(name, answer)))
}
