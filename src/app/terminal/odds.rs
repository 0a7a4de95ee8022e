//! How sure it is, in words or as figures: `sagline odds`.

use crate::app::terminal::OddsArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::odds::{self, Asked, Corner, Question, rankings, rows_for};
use crate::explain::odds::{Found, Told, text};
use crate::parts::escape::escaped_lines;
use crate::parts::spread::inputs;
use crate::physics::envelope::envelope;
use crate::physics::spread::Spreading;
use crate::physics::{Failure, Model};

/// The text for a supply.
///
/// # Errors
/// If the parts give no envelope, or no steady state is found at the point.
pub(super) fn print(wanted: &OddsArguments, opened: &Opened) -> Result<String, Complaint> {
    let about = |failure: Failure| opened.fails(&failure);
    let work = &opened.work;
    let model = Model::of(&work.supply).map_err(about)?;
    let envelope = envelope(&model).map_err(about)?;
    let at = wanted
        .at
        .map_or_else(|| odds::middle(&envelope), |at| [at.amps.0, at.volts.0]);
    let inputs = inputs(work);
    let spreading = Spreading::of(&model, &inputs);
    let asked = Asked {
        at,
        samples: wanted.samples,
        seed: wanted.seed,
    };
    let currents = odds::currents(&envelope, at);
    let found = odds::odds(&spreading, &currents, asked).map_err(about)?;
    let point = envelope.point(&model, at[0], at[1]).map_err(about)?;
    let questions = Question::worth_asking(&found, &point);
    let corners = (questions.iter())
        .filter_map(|question| odds::corner(&spreading, *question).transpose())
        .collect::<Result<Vec<Corner>, Failure>>()
        .map_err(about)?;
    let sampled = [rows_for(wanted.samples), wanted.seed];
    let rankings = match *questions.as_slice() {
        [one, other] => rankings(&spreading, [one, other], sampled),
        [one] => rankings(&spreading, [one], sampled),
        _ => Ok(Vec::new()),
    }
    .map_err(about)?;
    let found = Found {
        odds: &found,
        corners: &corners,
        rankings: &rankings,
        inputs: &inputs,
    };
    if wanted.json {
        return Ok(numbers::odds(&wanted.file, work, found));
    }
    let told = if wanted.spreads {
        Told::WithSpreads
    } else {
        Told::Answer
    };
    Ok(escaped_lines(&text(work, found, told)))
}
