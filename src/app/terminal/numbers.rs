//! Everything that was worked out, as JSON: `sagline numbers`. DEVELOPERS.md documents the schema.
//!
//! Keys carry their unit. What is not known is `null`, with the reason beside it under the same key and
//! `_null_because`: never zero, never left out. Numbers are rounded to seven significant figures.

mod circuit;
mod diagnosis;
mod discharge;
mod dummies;
mod energy;
mod inrush;
mod limits;
mod networks;
mod odds;
mod plan;
mod record;
mod regulator;

pub(super) use diagnosis::print as diagnosis;
pub(super) use discharge::print as discharge;
pub(super) use inrush::print as inrush;
pub(super) use networks::print as networks;
pub(super) use odds::print as odds;
pub(super) use plan::print as plan;

use std::path::Path;

use serde_json::{Value, json};

use crate::app::terminal::numbers::record::{Record, layout};
use crate::app::terminal::request::{AmpsList, OutputPoint};
use crate::explain;
use crate::parts::Work;
use crate::physics::envelope::{Envelope, envelope};
use crate::physics::operation::Case;
use crate::physics::{Failure, Model};

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline numbers 1";

/// Low, present and high mains with their keys.
const MAINS: [(&str, Case); 3] = [
    ("low", Case::Low),
    ("present", Case::Present),
    ("high", Case::High),
];

/// The JSON text for a supply: at the program's own grid of output currents or at those asked for, and judged
/// at the points asked for.
///
/// # Errors
/// If the parts give no envelope.
pub(super) fn print(
    path: &Path,
    work: &Work,
    amps: Option<&AmpsList>,
    at: &[OutputPoint],
) -> Result<String, Failure> {
    let supply = &work.supply;
    let model = Model::of(supply)?;
    let envelope = envelope(&model)?;
    let grid = amps.map_or(envelope.amps.as_slice(), |list| list.0.as_slice());
    let rows = grid
        .iter()
        .map(|amps| row(&model, &envelope, *amps))
        .collect::<Vec<Value>>();
    let points = at
        .iter()
        .map(|point| limits::at_point(&model, &envelope, *point))
        .collect::<Vec<Value>>();
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("cautions", json!(explain::cautions::STANDING));
    whole.put("supply", description(work));
    whole.put("no_load", no_load(&envelope));
    regulator::put(&mut whole, &model, &envelope);
    whole.put("limits", limits::all(supply, &envelope));
    whole.put(
        "exceeded_with_no_load",
        envelope
            .broken_everywhere
            .iter()
            .map(|limit| Value::from(limit.key()))
            .collect::<Vec<_>>(),
    );
    whole.put("accepted", limits::accepted(supply));
    whole.put("envelope", region(&envelope.region));
    whole.put("reach", region(&envelope.reach));
    whole.put(
        "taken_from_reach",
        limits::taken_from_reach(&model, &envelope),
    );
    whole.put("currents", rows);
    whole.put("dummies", dummies::all(&work.dummies, supply, &envelope));
    whole.put("points", points);
    Ok(layout(&whole.into_map()))
}

fn description(work: &Work) -> Value {
    let supply = &work.supply;
    let mut mains = Record::default();
    mains.number("nominal_volts", supply.mains.nominal.0);
    mains.number("low_volts", supply.mains.low.0);
    mains.number("present_volts", supply.mains.present.0);
    mains.number("high_volts", supply.mains.high.0);
    mains.number("frequency_hertz", supply.mains.frequency.0);
    mains.number("crest_factor", supply.mains.crest_factor.0);
    let mut record = Record::default();
    record.put("name", work.name.as_str());
    record.put("mains", mains);
    record.put(
        "mains_remark",
        explain::mains::remark(supply).map(|finding| finding.sentence),
    );
    record.put("rectifier", supply.rectifier.kind.name.as_str());
    record.put("pass_tube", supply.pass_stage.tube.name.as_str());
    record.number("least_set_volts", supply.output.set_low.0);
    record.number("highest_set_volts", supply.output.set_high.0);
    record.into()
}

fn no_load(envelope: &Envelope) -> Record {
    let mut record = Record::default();
    for (key, case) in MAINS {
        match envelope.column(case) {
            Some(column) => record.put(key, circuit::no_load(column)),
            None => record.null(key, "this mains was not solved"),
        }
    }
    record
}

fn region(outline: &[[f64; 3]]) -> Vec<Value> {
    outline
        .iter()
        .map(|[amps, least, highest]| {
            let mut record = Record::default();
            record.number("output_amps", *amps);
            record.number("least_output_volts", *least);
            record.number("highest_output_volts", *highest);
            record.into()
        })
        .collect()
}

/// One output current: the circuit at three mains, the allowed volts, and every limit's bound and use.
fn row(model: &Model, envelope: &Envelope, amps: f64) -> Value {
    let mut record = Record::default();
    record.number("output_amps", amps);
    let mut mains = Record::default();
    for (key, case) in MAINS {
        match circuit::operation(model, envelope, case, amps) {
            Ok(operation) => mains.put(key, operation),
            Err(failure) => mains.null(key, &explain::failure::sentence(&failure)),
        }
    }
    record.put("mains", mains);
    let allowed = envelope.allowed_volts(amps);
    match allowed {
        Some([least, highest]) => {
            let mut volts = Record::default();
            volts.number("least", least);
            volts.number("highest", highest);
            record.put("allowed_output_volts", volts);
        }
        None => record.null(
            "allowed_output_volts",
            "no output voltage is allowed at this current",
        ),
    }
    // Some voltage must be named to judge limits that depend on it: the highest one allowed, or else asked for.
    let judged_at = allowed.map_or(model.supply.output.set_high.0, |[_, highest]| highest);
    record.number("limits_judged_at_output_volts", judged_at);
    match envelope.point(model, amps, judged_at) {
        Ok(point) => record.put("limits", limits::bounds_and_uses(envelope, &point)),
        Err(failure) => record.null("limits", &explain::failure::sentence(&failure)),
    }
    record.into()
}
