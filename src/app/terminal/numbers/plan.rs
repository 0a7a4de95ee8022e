//! A plan as JSON: `sagline plan --json`.

use std::path::Path;

use serde_json::Value;

use crate::app::terminal::numbers::diagnosis::unit_key;
use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::plan::{Figure, Prepared};
use crate::explain::{cautions, plan, readings};
use crate::parts::{Supply, Work};

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline plan 1";

/// The JSON text.
pub(in crate::app::terminal) fn print(path: &Path, work: &Work, all: &[Prepared]) -> String {
    let supply = &work.supply;
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("cautions", cautions::STANDING.to_vec());
    whole.put("name", work.name.as_str());
    whole.number("mains_volts", supply.mains.present.0);
    let steps = all.iter().map(|one| step(one, supply));
    whole.put("steps", steps.collect::<Vec<_>>());
    layout(&whole.into_map())
}

fn step(of: &Prepared, supply: &Supply) -> Value {
    let mut record = Record::default();
    record.put("phase", format!("{:?}", of.step.phase));
    record.put("title", readings::phase(of.step.phase));
    record.put("what_to_do", plan::what_to_do(of.step.phase, supply));
    record.put("load", of.step.load.to_string());
    let set = of.step.set.map(|volts| volts.0);
    record.number_or(
        "set_volts",
        set,
        "the knob does not matter, or is all the way up",
    );
    let reason = "nothing is on";
    record.number_or("output_amps", of.at.map(|[amps, _]| amps), reason);
    record.number_or("output_volts", of.at.map(|[_, volts]| volts), reason);
    let figures = of.figures.iter().map(|one| figure(one, supply));
    record.put("expected", figures.collect::<Vec<_>>());
    record.put("stands", plan::stands(of, supply));
    record.put("when_to_stop", plan::when_to_stop(of.step.phase));
    match &of.step.note {
        Some(note) => record.put("note", note.as_str()),
        None => record.null("note", "none is written"),
    }
    record.into()
}

fn figure(of: &Figure, supply: &Supply) -> Value {
    let mut record = Record::default();
    record.put("reading", format!("{:?}", of.what));
    record.put("name", readings::what(of.what, supply));
    record.number(unit_key(of.what), of.value);
    record.number("standard_deviation", of.sigma);
    record.into()
}
