//! What the capacitors keep after switch-off, in words or as figures: `sagline discharge`.

use crate::app::terminal::DischargeArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::bleeder::choose;
use crate::bench::capacitor_stack::shared;
use crate::bench::odds::middle;
use crate::bench::reforming::{Reforming, reforming};
use crate::bench::run_down::run_down;
use crate::bench::warm_up::warm_up;
use crate::explain::discharge::{Found, text};
use crate::parts::Supply;
use crate::parts::escape::escaped_lines;
use crate::physics::discharge::TOUCH_VOLTS;
use crate::physics::envelope::envelope;
use crate::physics::operation::Case;
use crate::physics::stand_by::{Waiting, endurance, places, waiting};
use crate::physics::stress::no_load;
use crate::physics::{Failure, Model};

/// Working volts from which a capacitor without a word of its kind is worth reforming: small ones are replaced (V).
const WORTH_REFORMING: f64 = 100.0;

/// The text for a supply.
///
/// # Errors
/// If the parts give no envelope, or no steady state is found.
pub(super) fn print(wanted: &DischargeArguments, opened: &Opened) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let work = &opened.work;
    let supply = &work.supply;
    let model = Model::of(supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let at = wanted
        .at
        .map_or_else(|| middle(&envelope), |at| [at.amps.0, at.volts.0]);
    let run_down = run_down(&model, &envelope, at).map_err(about)?;
    let unloaded = no_load(&model, Case::High).map_err(about)?;
    let places = (places(&supply.rectifier).into_iter())
        .map(|place| waiting(&model, place))
        .collect::<Result<Vec<Waiting>, Failure>>()
        .map_err(about)?;
    let volts = &unloaded.operation.capacitor_crest_volts;
    let leakage = wanted.leakage.map(|amps| amps.0);
    let found = Found {
        run_down: &run_down,
        bleeder: (wanted.bleed_in)
            .map(|time| (time.0, choose(&run_down.worst.charged, TOUCH_VOLTS, time.0))),
        waiting: &places,
        endurance: endurance(supply, &unloaded),
        stacks: &shared(&supply.filter, volts, leakage),
        reforming: &to_reform(supply),
        warm_up: &warm_up(supply),
    };
    if wanted.json {
        return Ok(numbers::discharge(&wanted.file, work, found));
    }
    Ok(escaped_lines(&text(work, found)))
}

/// The capacitors of the filter whose working volts are known, each kind once.
fn to_reform(supply: &Supply) -> Vec<(usize, Reforming)> {
    let mut all: Vec<(usize, Reforming)> = Vec::new();
    for (place, stack) in supply.filter.stacks().enumerate() {
        let working = stack
            .working_volts
            .as_ref()
            .map_or(0.0, |rated| rated.value.0);
        let found = (working >= WORTH_REFORMING)
            .then(|| reforming(stack.unit.0, working))
            .flatten();
        if let Some(found) = found
            && all.iter().all(|(_, known)| *known != found)
        {
            all.push((place, found));
        }
    }
    all
}
