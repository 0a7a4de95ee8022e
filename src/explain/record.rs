//! One document of an evening for the binder or a web page, as Markdown: supply, plan, readings, what they say, what was accepted as
//! built, cautions.

use crate::bench::diagnosis::Diagnosis;
use crate::bench::plan::Prepared;
use crate::explain::diagnosis::{
    NOT_COVERED, agreeing, dangers, doubtful, explains, how_likely, verdict,
};
use crate::explain::{accepted, cautions, ended, number, odds, plan, readings, sentence_case};
use crate::parts::readings::{Reading, ReadingSet};
use crate::parts::{Supply, Work};

/// A set of readings with what it says.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The set.
    pub set: &'a ReadingSet,
    /// What it says.
    pub found: &'a Diagnosis,
}

/// A picture that stands in the document: what it shows, and where it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PictureAt {
    /// What it shows.
    pub title: String,
    /// Its file, beside the document.
    pub file: String,
}

/// The document of a work, written on this day.
pub fn page(
    work: &Work,
    steps: &[Prepared],
    told: &[Told<'_>],
    pictures: &[PictureAt],
    day: &str,
) -> String {
    let supply = &work.supply;
    let mut page = Vec::new();
    let name = if work.name.is_empty() {
        "Supply"
    } else {
        work.name.as_str()
    };
    page.push(format!("# {}", plain(name)));
    page.push(format!("Record of {day}. {}.", cautions::ESTIMATE));
    page.extend(
        cautions::STANDING
            .iter()
            .map(|caution| format!("> {caution}  ")),
    );
    if !work.notes.trim().is_empty() {
        page.push(plain(work.notes.trim()));
    }
    page.push("## The supply".to_owned());
    page.push(described(work));
    page.extend(as_found(supply).map(|said| format!("Found: {said}.")));
    let accepted = accepted::sentences(supply);
    if !accepted.is_empty() {
        page.push(format!("### {}", accepted::HEADING));
        page.extend(
            accepted
                .into_iter()
                .map(|said| format!("- {}", ended(&said))),
        );
    }
    for picture in pictures {
        page.push(format!("![{}]({})", plain(&picture.title), picture.file));
    }
    for one in told {
        page.push(format!("## Readings: {}", title(one.set)));
        page.extend(set(one, supply));
    }
    if let [first, .., last] = told {
        page.push("## Side by side".to_owned());
        page.push(side_by_side(first, last, supply));
    }
    page.push("## Plan".to_owned());
    for (k, one) in steps.iter().enumerate() {
        page.push(format!(
            "### {}. {}",
            k + 1,
            readings::phase(one.step.phase)
        ));
        let lines = plan::step_lines(one, supply).into_iter();
        page.push(
            lines
                .map(|line| format!("- {}", plain(&line)))
                .collect::<Vec<_>>()
                .join("\n"),
        );
    }
    if !told.is_empty() {
        page.push(NOT_COVERED.to_owned());
    }
    let mut whole = page.join("\n\n");
    whole.push('\n');
    whole
}

/// In one paragraph.
fn described(work: &Work) -> String {
    let supply = &work.supply;
    let range = format!(
        "{} to {}",
        number::volts(supply.output.set_low.0),
        number::volts(supply.output.set_high.0)
    );
    format!(
        "Mains {} at {}, winding {}, rectifier {}, pass tubes {} × {}, output {range}. Taken as {}.",
        supply.mains.present,
        supply.mains.frequency,
        supply.transformer.secondary_volts(),
        plain(&supply.rectifier.kind.name),
        supply.pass_stage.units,
        plain(&supply.pass_stage.tube.name),
        odds::condition(work.condition)
    )
}

/// What was found of its parts; `None` if all is as described.
pub fn as_found(supply: &Supply) -> Option<String> {
    let found = &supply.as_found;
    if found.is_as_described() {
        return None;
    }
    let mut all: Vec<String> = (found.pass_emission.iter().enumerate())
        .filter(|(_, share)| (share.0 - 1.0).abs() > 1e-9)
        .map(|(unit, share)| {
            if share.0 > 0.0 {
                format!("pass tube {} at {share}", unit + 1)
            } else {
                format!("pass tube {} dead", unit + 1)
            }
        })
        .collect();
    if (found.rectifier_emission.0 - 1.0).abs() > 1e-9 {
        all.push(format!("rectifier at {}", found.rectifier_emission));
    }
    if (found.control_emission.0 - 1.0).abs() > 1e-9 {
        all.push(format!("control tube at {}", found.control_emission));
    }
    if found.dead_plate {
        all.push("one rectifier plate dead".to_owned());
    }
    for (k, shorted) in (1..=u8::MAX).zip(&found.shorted_units) {
        if *shorted > 0 {
            let name = readings::capacitor_name(k, supply);
            all.push(format!("{shorted} shorted in the {name}"));
        }
    }
    if found.open_bleeder {
        all.push("bleeder open".to_owned());
    }
    if found.leak.0 > 0.0 {
        all.push(format!("{} of leak at the bus", found.leak));
    }
    Some(all.join(", "))
}

fn title(set: &ReadingSet) -> String {
    let both = [set.name.as_str(), set.day.as_str()];
    let both: Vec<&str> = both.into_iter().filter(|text| !text.is_empty()).collect();
    if both.is_empty() {
        "a set".to_owned()
    } else {
        plain(&both.join(", "))
    }
}

/// A table of the readings, and what they say.
fn set(one: &Told<'_>, supply: &Supply) -> Vec<String> {
    let Told { set, found } = *one;
    let mut rows = vec![
        "| | reading | mains | read | expected | |".to_owned(),
        "| ---: | --- | ---: | ---: | ---: | --- |".to_owned(),
    ];
    rows.extend(found.compared.iter().filter_map(|compared| {
        let reading = set.readings.get(compared.number)?;
        let mains = reading.mains.or(set.mains);
        let cells = [
            (compared.number + 1).to_string(),
            sentence_case(&readings::name(reading, supply)),
            mains.map_or_else(String::new, |volts| volts.to_string()),
            readings::read(reading.value),
            expected(reading, compared.expected, compared.sigma),
            with_note(readings::verdict(compared), reading),
        ];
        let cells = cells.map(|cell| plain(&cell));
        Some(format!("| {} |", cells.join(" | ")))
    }));
    let mut all = vec![rows.join("\n"), ended(&agreeing(found))];
    all.extend(
        dangers(found, supply)
            .into_iter()
            .map(|said| format!("**{}**", ended(&said))),
    );
    all.push(format!("**{}**", ended(&verdict(found, supply))));
    all.extend(doubtful(found, &set.readings, supply).map(|said| ended(&said)));
    let lines: Vec<String> = found
        .shown()
        .iter()
        .map(|suspect| {
            let said = explains(suspect, &set.readings, supply);
            format!(
                "- {}: {}",
                sentence_case(how_likely(suspect.share)),
                ended(&said)
            )
        })
        .collect();
    if found.counted > 0 && !lines.is_empty() {
        all.push(lines.join("\n"));
    }
    all.extend(found.remarks.iter().map(|remark| {
        let said = readings::remark(*remark, &set.readings, supply);
        ended(&said)
    }));
    all
}

fn expected(reading: &Reading, value: Option<f64>, sigma: f64) -> String {
    value.map_or_else(
        || "not known".to_owned(),
        |si| readings::band(reading.what, si, sigma),
    )
}

fn with_note(verdict: String, reading: &Reading) -> String {
    match &reading.note {
        Some(note) => format!("{verdict}; {note}"),
        None => verdict,
    }
}

/// What was read in both sets, the first and the last.
fn side_by_side(first: &Told<'_>, last: &Told<'_>, supply: &Supply) -> String {
    let mut rows = vec![
        format!("| reading | {} | {} |", title(first.set), title(last.set)),
        "| --- | ---: | ---: |".to_owned(),
    ];
    for reading in &first.set.readings {
        let same = |other: &&Reading| {
            other.what == reading.what && other.load == reading.load && other.set == reading.set
        };
        if let Some(other) = last.set.readings.iter().find(same) {
            let name = sentence_case(&readings::name(reading, supply));
            rows.push(format!(
                "| {} | {} | {} |",
                plain(&name),
                readings::read(reading.value),
                readings::read(other.value)
            ));
        }
    }
    rows.join("\n")
}

/// In one line, without what Markdown would take for its own.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars() {
        match letter {
            '\n' | '\r' | '\t' => out.push(' '),
            '|' | '*' | '_' | '`' | '<' | '>' | '[' | ']' | '\\' | '#' => {
                out.push('\\');
                out.push(letter);
            }
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_someone_typed_stays_text() {
        assert_eq!(plain("a|b\n# *c*"), "a\\|b \\# \\*c\\*");
    }
}
