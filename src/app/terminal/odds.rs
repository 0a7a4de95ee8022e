//! How sure it is, in words or as figures: `sagline odds`; and for pictures and pages that say it too.

use crate::app::terminal::OddsArguments;
use crate::app::terminal::input::{Complaint, Opened};
use crate::app::terminal::numbers;
use crate::bench::odds::{self, Asked, Corner, Odds, Question, Ranking, rankings, rows_for};
use crate::explain::odds::{Found, Told, text};
use crate::parts::Work;
use crate::parts::escape::escaped_lines;
use crate::parts::spread::{Input, inputs};
use crate::physics::envelope::{Envelope, envelope};
use crate::physics::spread::Spreading;
use crate::physics::{Failure, Model};

/// Which units are drawn where nobody says so: the same as in the window.
pub(super) const SEED: u32 = 1;

/// All that is found out about a work.
pub(super) struct Known {
    odds: Odds,
    corners: Vec<Corner>,
    rankings: Vec<Ranking>,
    inputs: Vec<Input>,
}

impl Known {
    /// What is asked of a work, its model and its envelope.
    ///
    /// # Errors
    /// If no steady state is found at the point.
    pub(super) fn of(
        work: &Work,
        (model, envelope): (&Model, &Envelope),
        asked: Asked,
    ) -> Result<Self, Failure> {
        let inputs = inputs(work);
        let spreading = Spreading::of(model, &inputs);
        let at = asked.at;
        let found = odds::odds(&spreading, &odds::currents(envelope, at), asked)?;
        let point = envelope.point(model, at[0], at[1])?;
        let questions = Question::worth_asking(&found, &point);
        let corners = (questions.iter())
            .filter_map(|question| odds::corner(&spreading, *question).transpose())
            .collect::<Result<Vec<Corner>, Failure>>()?;
        let sampled = [rows_for(asked.samples), asked.seed];
        let rankings = match *questions.as_slice() {
            [one, other] => rankings(&spreading, [one, other], sampled)?,
            [one] => rankings(&spreading, [one], sampled)?,
            _ => Vec::new(),
        };
        Ok(Self {
            odds: found,
            corners,
            rankings,
            inputs,
        })
    }

    /// It, to be put into words.
    pub(super) fn found(&self) -> Found<'_> {
        Found {
            odds: &self.odds,
            corners: &self.corners,
            rankings: &self.rankings,
            inputs: &self.inputs,
        }
    }
}

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
    let asked = Asked {
        at,
        samples: wanted.samples,
        seed: wanted.seed,
    };
    let known = Known::of(work, (&model, &envelope), asked).map_err(about)?;
    let found = known.found();
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
