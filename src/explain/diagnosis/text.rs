//! All that readings say, as a text for a terminal or a page.

use crate::bench::diagnosis::cause::{LoadsBy, table};
use crate::bench::diagnosis::{Compared, Diagnosis, Suspect};
use crate::explain::diagnosis::{
    NOT_COVERED, VALUES, agreeing, cause, dangers, doubtful, explains, fit, how_likely, name, next,
    pair, value, verdict,
};
use crate::explain::{cautions, ended, number, readings, sentence_case};
use crate::parts::Work;
use crate::parts::readings::{Connected, Reading, ReadingSet};

/// Whether the table of causes is listed at the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// The answer alone.
    Answer,
    /// With every cause, its weight beforehand and its range.
    WithCauses,
}

/// The text.
pub fn text(work: &Work, set: &ReadingSet, found: &Diagnosis, told: Told) -> String {
    let supply = &work.supply;
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
    }
    let title = [set.name.as_str(), set.day.as_str()];
    let title: Vec<&str> = title.into_iter().filter(|text| !text.is_empty()).collect();
    page.push(if title.is_empty() {
        "Readings".to_owned()
    } else {
        format!("Readings, {}", title.join(", "))
    });
    page.extend(
        dangers(found, supply)
            .into_iter()
            .map(|said| format!("! {}", ended(&said))),
    );
    section(&mut page, "What was read");
    page.extend(rows(work, set, found));
    page.push(format!("  {}", agreeing(found)));
    page.extend(
        (found.remarks.iter())
            .map(|one| format!("  {}", readings::remark(*one, &set.readings, supply))),
    );
    section(&mut page, "What that says");
    page.push(format!("  {}", verdict(found, supply)));
    page.extend(doubtful(found, &set.readings, supply).map(|said| format!("  {said}")));
    let line = |one: &&Suspect| {
        format!(
            "  {}: {}",
            sentence_case(how_likely(one.share)),
            explains(one, &set.readings, supply)
        )
    };
    if found.counted > 0 {
        page.extend(found.shown().iter().map(line));
        page.extend(
            found
                .pairs
                .iter()
                .map(|one| format!("  Two at once: {}", pair(one, supply))),
        );
        page.push(format!("  {}", fit(found)));
    }
    if !found.next.is_empty() {
        section(&mut page, "What to read next");
        let next_rows = found.next.iter().take(3);
        page.extend(next_rows.map(|one| format!("  {}", next(one, found, supply))));
    }
    let values = found.narrowed.iter().take(MOST_VALUES);
    let values: Vec<String> = values
        .map(|one| format!("  {}", value(one, supply)))
        .collect();
    if !values.is_empty() && found.counted > 0 {
        section(&mut page, VALUES);
        page.extend(values);
    }
    if told == Told::WithCauses {
        section(
            &mut page,
            "Causes, their weights beforehand and their ranges",
        );
        page.extend(table_rows(work, set));
    }
    page.extend([String::new(), NOT_COVERED.to_owned()]);
    page.extend([cautions::ESTIMATE.to_owned(), String::new()]);
    page.join("\n")
}

/// Values that are told.
const MOST_VALUES: usize = 6;

fn section(page: &mut Vec<String>, title: &str) {
    page.extend([String::new(), title.to_owned()]);
}

/// A line a reading: what, what was read, what was expected, how that stands.
fn rows(work: &Work, set: &ReadingSet, found: &Diagnosis) -> Vec<String> {
    let one = |compared: &Compared| {
        let reading = set.readings.get(compared.number)?;
        let expected = compared.expected.map_or_else(
            || "not known".to_owned(),
            |si| readings::band(reading.what, si, compared.sigma),
        );
        Some(format!(
            "  {}. {}: {}, expected {expected}; {}",
            compared.number + 1,
            sentence_case(&readings::name(reading, &work.supply)),
            readings::read(reading.value),
            readings::verdict(compared)
        ))
    };
    found.compared.iter().filter_map(one).collect()
}

/// The table of causes, as it was used.
fn table_rows(work: &Work, set: &ReadingSet) -> Vec<String> {
    let by_ammeter = |one: &Reading| matches!(one.load, Connected::Current(_));
    let by = if set.readings.iter().any(by_ammeter) || set.readings.is_empty() {
        LoadsBy::Ammeter
    } else {
        LoadsBy::Resistor
    };
    let rows = table(&work.supply, by);
    rows.iter()
        .map(|row| {
            format!(
                "  {}: weight {}, {}",
                sentence_case(&name(row.cause, 0, &work.supply)),
                number::pure(row.weight),
                cause::range(row)
            )
        })
        .collect()
}
