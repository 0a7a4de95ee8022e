//! Switching on and fuses, in words or as figures: `sagline inrush`.

use crate::app::terminal::InrushArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::fuses::{AskedSurges, Before, InrushInput, inrush, load_currents};
use crate::explain;
use crate::parts::escape::escaped_lines;
use crate::parts::spread::inputs;
use crate::physics::envelope::envelope;
use crate::physics::switch_on::NoSwitchOn;
use crate::physics::watch::Unwatched;
use crate::physics::{Failure, Model};

/// The text for a supply.
///
/// # Errors
/// If the parts give no envelope, or the core is none that works.
pub(super) fn print(wanted: &InrushArguments, opened: &Opened) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let work = &opened.work;
    let model = Model::of(&work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let inputs = inputs(work);
    let input = InrushInput {
        model: &model,
        primary: &work.primary,
        inputs: &inputs,
        currents: &load_currents(&envelope),
        asked: AskedSurges {
            samples: wanted.samples,
            seed: wanted.seed,
            before: if wanted.hot {
                Before::Hot
            } else {
                Before::Cold
            },
        },
    };
    let found = inrush(&input, &Unwatched).map_err(|why| match why {
        NoSwitchOn::Supply(failure) => about(failure),
        NoSwitchOn::Core(_) => opened.about(&explain::inrush::failure(&why, &work.primary)),
    })?;
    if wanted.json {
        return Ok(numbers::inrush(&wanted.file, work, &found));
    }
    Ok(escaped_lines(&explain::inrush::text(work, &found)))
}
