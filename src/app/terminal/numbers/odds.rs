//! Bands and odds as JSON: `sagline odds --json`.

use std::path::Path;

use serde_json::Value;

use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::odds::{Band, Corner, Question, Ranking, Reading};
use crate::explain::odds::{Found, NOT_COVERED, batch, field, origin, reading};
use crate::parts::spread::{Field, Input};
use crate::parts::{Side, Supply, Work};
use crate::physics::spread::Mover;

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline odds 1";

/// The JSON text.
pub(in crate::app::terminal) fn print(path: &Path, work: &Work, found: Found<'_>) -> String {
    let supply = &work.supply;
    let odds = found.odds;
    let [amps, volts] = odds.asked.at;
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("not_covered", NOT_COVERED);
    whole.put("name", work.name.as_str());
    whole.put("samples", odds.worked_out);
    whole.put("seed", odds.asked.seed);
    whole.put("failed_samples", odds.failed);
    whole.put(
        "tubes",
        format!("{:?}", work.condition.tubes).to_lowercase(),
    );
    whole.put(
        "electrolytics",
        format!("{:?}", work.condition.electrolytics).to_lowercase(),
    );
    whole.number("output_amps", amps);
    whole.number("output_volts", volts);
    whole.put("inside", odds.inside);
    whole.put("over_a_rating", odds.over_a_rating);
    whole.put("out_of_reach", odds.out_of_reach);
    let dropout = odds.dropout.iter().map(|at| {
        let mut record = Record::default();
        record.number("output_amps", at.amps);
        put_band(&mut record, "dropout_volts", at.band);
        Value::from(record)
    });
    whole.put("dropout", dropout.collect::<Vec<_>>());
    let limits = odds.limits.iter().map(|one| {
        let mut record = Record::default();
        record.put("limit", one.limit.key());
        record.put("judged", one.judged);
        record.put("over", one.over);
        put_band(&mut record, "used", one.used);
        Value::from(record)
    });
    whole.put("limits", limits.collect::<Vec<_>>());
    let readings = odds.readings.iter().map(|(of, band)| {
        let mut record = Record::default();
        record.put("reading", key(*of));
        record.put("name", reading(*of));
        let unit = if of.is_current() { "amps" } else { "volts" };
        put_band(&mut record, unit, *band);
        Value::from(record)
    });
    whole.put("readings", readings.collect::<Vec<_>>());
    let corners = found.corners.iter().map(|one| corner(one, supply));
    whole.put("worst_corners", corners.collect::<Vec<_>>());
    let rankings = found.rankings.iter().map(|one| ranking(one, supply));
    whole.put("what_to_measure", rankings.collect::<Vec<_>>());
    let spreads = found.inputs.iter().map(|one| spread(one, supply));
    whole.put("spreads", spreads.collect::<Vec<_>>());
    layout(&whole.into_map())
}

/// The three points of a band, each a key that begins so.
fn put_band(record: &mut Record, name: &str, band: Band) {
    for (point, value) in [
        ("low", band.low),
        ("middle", band.middle),
        ("high", band.high),
    ] {
        record.number(&format!("{name}_{point}"), value);
    }
}

fn key(reading: Reading) -> &'static str {
    match reading {
        Reading::Dropout => "dropout",
        Reading::Bus => "bus_mean",
        Reading::Ripple => "bus_ripple_peak_to_peak",
        Reading::Rail => "rail",
        Reading::ReferenceVolts(Side::Positive) => "reference",
        Reading::ReferenceVolts(Side::Negative) => "negative_reference",
        Reading::ReferenceAmps(Side::Positive) => "reference_least",
        Reading::ReferenceAmps(Side::Negative) => "negative_reference_least",
        Reading::Zero => "lowest_setting",
    }
}

fn put_question(record: &mut Record, question: Question) {
    match question {
        Question::Dropout(amps) => {
            record.put("of", "dropout_volts");
            record.number("output_amps", amps);
        }
        Question::Use(limit, [amps, volts]) => {
            record.put("of", format!("use_of_{}", limit.key()));
            record.number("output_amps", amps);
            record.number("output_volts", volts);
        }
    }
}

fn put_field(record: &mut Record, of: Field, supply: &Supply) {
    match of.path() {
        Some(path) => record.put("field", path),
        None => record.null("field", "it has no field of its own in the file"),
    }
    record.put("name", field(of, supply));
}

fn corner(one: &Corner, supply: &Supply) -> Value {
    let mut record = Record::default();
    put_question(&mut record, one.question);
    record.number("worst", one.answer);
    record.number("middle", one.middle);
    let ends = one.ends.iter().map(|end| {
        let mut record = Record::default();
        put_field(&mut record, end.field, supply);
        record.number("factor", end.factor);
        record.number("relief", end.relief);
        Value::from(record)
    });
    record.put("ends", ends.collect::<Vec<_>>());
    record.into()
}

fn ranking(one: &Ranking, supply: &Supply) -> Value {
    let mut record = Record::default();
    put_question(&mut record, one.question);
    record.number("standard_deviation", one.sigma);
    let ranked = one.ranked.iter().map(|ranked| {
        let mut record = Record::default();
        match ranked.mover {
            Mover::Own(of) => put_field(&mut record, of, supply),
            Mover::Common(of) => {
                record.null("field", "it is what several parts have in common");
                record.put("name", batch(of));
            }
        }
        record.number("first_order_index", ranked.first);
        record.number("total_index", ranked.total);
        record.number_or(
            "measurable_to",
            ranked.known_to,
            "no single measurement tells it",
        );
        record.number("width_left_when_measured", ranked.left);
        Value::from(record)
    });
    record.put("ranked", ranked.collect::<Vec<_>>());
    record.into()
}

fn spread(one: &Input, supply: &Supply) -> Value {
    let mut record = Record::default();
    put_field(&mut record, one.field, supply);
    let [low, high] = one.chance.ends();
    record.number("least_factor", low);
    record.number("largest_factor", high);
    record.put("source", origin(one.origin));
    record.into()
}
