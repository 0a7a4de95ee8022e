//! What readings say as JSON: `sagline diagnose --json`.

use std::path::Path;

use serde_json::Value;

use crate::app::terminal::numbers::record::{Record, layout};
use crate::bench::diagnosis::cause::{Danger, Range, Row, SizeOf};
use crate::bench::diagnosis::{Compared, Diagnosis, PairSuspect, Suspect};
use crate::bench::expected::Spot;
use crate::explain::diagnosis::{self, NOT_COVERED, explains, name, verdict};
use crate::explain::readings;
use crate::parts::readings::{Reading, ReadingSet, What};
use crate::parts::spread::Unit;
use crate::parts::{Supply, Work};

/// Name and version of the schema; a change that could break a reader raises the number.
const SCHEMA: &str = "sagline diagnosis 1";

/// The JSON text.
pub(in crate::app::terminal) fn print(
    path: &Path,
    work: &Work,
    set: &ReadingSet,
    found: &Diagnosis,
) -> String {
    let supply = &work.supply;
    let mut whole = Record::default();
    whole.put("schema", SCHEMA);
    whole.put("program", concat!("sagline ", env!("CARGO_PKG_VERSION")));
    whole.put("file", path.display().to_string());
    whole.put("not_covered", NOT_COVERED);
    whole.put("name", work.name.as_str());
    whole.put("set", set.name.as_str());
    whole.put("day", set.day.as_str());
    whole.number("mains_volts", found.mains_volts);
    whole.put("verdict", verdict(found, supply));
    whole.put("dangers", diagnosis::dangers(found, supply));
    whole.put("readings_that_count", found.counted);
    whole.number("chi_square", found.fit.chi_square);
    whole.number("chi_square_bound", found.fit.bound);
    match found.doubtful {
        Some((number, share)) => {
            whole.put("doubtful_reading", number + 1);
            whole.number("doubtful_share", share);
        }
        None => whole.null("doubtful_reading", "none stands out"),
    }
    let remarks = found.remarks.iter();
    let remarks: Vec<String> = remarks
        .map(|one| readings::remark(*one, &set.readings, supply))
        .collect();
    whole.put("remarks", remarks);
    let compared = found.compared.iter();
    let compared = compared.filter_map(|one| reading(one, set.readings.get(one.number)?, supply));
    whole.put("readings", compared.collect::<Vec<_>>());
    let causes = found.suspects.iter().map(|one| suspect(one, set, supply));
    whole.put("causes", causes.collect::<Vec<_>>());
    let pairs = found.pairs.iter().map(|one| pair(one, supply));
    whole.put("pairs", pairs.collect::<Vec<_>>());
    let next = found.next.iter().map(|one| {
        let mut record = Record::default();
        put_spot(&mut record, one.spot, supply);
        record.number("information_nat", one.tells);
        record.number("risk", one.risk);
        let unit = unit_key(one.spot.what);
        let with = one.with.iter().map(|(cause, [mean, sigma])| {
            let mut record = Record::default();
            record.put("cause", name(*cause, 0, supply));
            record.number(unit, *mean);
            record.number("standard_deviation", *sigma);
            Value::from(record)
        });
        record.put("would_show", with.collect::<Vec<_>>());
        Value::from(record)
    });
    whole.put("next", next.collect::<Vec<_>>());
    let values = found.narrowed.iter().map(|one| {
        let mut record = Record::default();
        match one.field.path() {
            Some(path) => record.put("field", path),
            None => record.null("field", "it has no field of its own in the file"),
        }
        record.number("factor", one.factor);
        record.number("standard_deviation_before", one.before);
        record.number("standard_deviation", one.after);
        match one.next {
            Some(spot) => record.put("most_would_help", readings::spot(spot, supply)),
            None => record.null("most_would_help", "nothing would help much"),
        }
        Value::from(record)
    });
    whole.put("values_if_nothing_is_wrong", values.collect::<Vec<_>>());
    layout(&whole.into_map())
}

pub(super) fn unit_key(what: What) -> &'static str {
    match what.unit() {
        Unit::Amps => "amps",
        Unit::Ohms => "ohms",
        Unit::Farads => "farads",
        _ => "volts",
    }
}

fn put_spot(record: &mut Record, spot: Spot, supply: &Supply) {
    record.put("reading", format!("{:?}", spot.what));
    record.put("name", readings::spot(spot, supply));
    record.put("load", spot.load.to_string());
    record.number("set_volts", spot.set_volts);
}

fn reading(compared: &Compared, of: &Reading, supply: &Supply) -> Option<Value> {
    let mut record = Record::default();
    record.put("number", compared.number.checked_add(1)?);
    put_spot(&mut record, Spot::of(of, supply), supply);
    let unit = unit_key(of.what);
    record.number(&format!("read_{unit}"), of.value.si);
    record.number_or(
        &format!("expected_{unit}"),
        compared.expected,
        "it cannot be told of this supply",
    );
    record.number("standard_deviation", compared.sigma);
    record.number("off_by_sigmas", compared.off_by);
    record.put("verdict", readings::verdict(compared));
    Some(record.into())
}

fn put_size(record: &mut Record, row: Row, size: f64, error: Option<f64>) {
    if row.range == Range::There {
        record.null("size", "it is there or not");
        return;
    }
    record.number("size", size);
    if let Some(error) = error {
        record.number("size_standard_error", error);
    }
    record.put(
        "size_is",
        match row.size_of {
            SizeOf::Share => "share of what it should be",
            SizeOf::Factor => "times what it should be",
            SizeOf::Volts => "volts",
            SizeOf::Amps => "amperes",
            SizeOf::Error => "share by which it reads high",
        },
    );
}

fn suspect(one: &Suspect, set: &ReadingSet, supply: &Supply) -> Value {
    let mut record = Record::default();
    record.put("cause", name(one.row.cause, one.unit, supply));
    record.number("share", one.share);
    record.number("weight", one.row.weight);
    put_size(&mut record, one.row, one.size, Some(one.error));
    record.put("dangerous_by_itself", one.row.danger == Danger::OfItsOwn);
    record.put("explains", one.explains);
    record.put("of_readings_off", one.of_off);
    record.put("says", explains(one, &set.readings, supply));
    record.into()
}

fn pair(one: &PairSuspect, supply: &Supply) -> Value {
    let mut record = Record::default();
    record.put("says", diagnosis::pair(one, supply));
    record.number("ahead_of_the_best_single_cause_nat", one.ahead);
    let of = one.of.iter().map(|(row, unit, size)| {
        let mut record = Record::default();
        record.put("cause", name(row.cause, *unit, supply));
        put_size(&mut record, *row, *size, None);
        Value::from(record)
    });
    record.put("causes", of.collect::<Vec<_>>());
    record.into()
}
