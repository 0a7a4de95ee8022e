//! All that is said of a supply's odds, as a text for a terminal or a page.

use crate::bench::odds::{Corner, Odds, Ranking};
use crate::explain::odds::{
    CORNER_AND_ODDS, MEASURE_NEXT, NOT_COVERED, WORST_CORNER, band, condition, corner, field,
    limit_odds, origin, reading, reading_band, to_measure, verdict,
};
use crate::explain::{cautions, limits, number, sentence, sentence_case};
use crate::parts::Work;
use crate::parts::spread::{Condition, Input};

/// What was found out about a supply.
#[derive(Debug, Clone, Copy)]
pub struct Found<'a> {
    /// Bands and odds.
    pub odds: &'a Odds,
    /// The worst corners, one for each question.
    pub corners: &'a [Corner],
    /// What to measure next, one for each question.
    pub rankings: &'a [Ranking],
    /// What was spread.
    pub inputs: &'a [Input],
}

/// Whether the spreads are listed at the end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// The answer alone.
    Answer,
    /// With every spread and its source.
    WithSpreads,
}

/// A part of what is said: its heading, which may be empty, and its lines.
struct Part {
    heading: String,
    lines: Vec<String>,
}

/// The text.
pub fn text(work: &Work, found: Found<'_>, told: Told) -> String {
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
    }
    page.extend(drawn(work, found));
    for Part { heading, lines } in parts(work, found, told) {
        page.extend([String::new(), heading]);
        page.extend(lines.iter().map(|line| format!("  {line}")));
    }
    page.extend([String::new(), NOT_COVERED.to_owned()]);
    page.extend([cautions::ESTIMATE.to_owned(), String::new()]);
    page.join("\n")
}

/// The same as a section of a page in Markdown.
pub fn section(work: &Work, found: Found<'_>) -> String {
    let mut page = vec!["## How sure it is".to_owned()];
    page.push(format!("{}.", drawn(work, found).join(". ")));
    for Part { heading, lines } in parts(work, found, Told::Answer) {
        let lines: Vec<String> = lines.iter().map(|line| format!("- {line}")).collect();
        page.push(format!("**{heading}**"));
        page.push(lines.join("\n"));
    }
    page.push(NOT_COVERED.to_owned());
    format!("{}\n", page.join("\n\n"))
}

/// What stands below a picture with a band: what it is, and of what it was drawn.
pub fn legend(odds: &Odds, condition_of: Condition) -> String {
    let [amps, volts] = odds.asked.at;
    format!(
        "Band: the dropout line of 9 in 10 such units ({} drawn; {}). {} at {}, {}.",
        odds.worked_out,
        condition(condition_of),
        verdict(odds),
        number::volts(volts),
        number::amps(amps)
    )
}

/// How many were drawn, and of what.
fn drawn(work: &Work, found: Found<'_>) -> Vec<String> {
    let odds = found.odds;
    let mut said = vec![format!(
        "{} such units drawn (seed {}), {} values not known exactly, {}",
        odds.worked_out,
        odds.asked.seed,
        found.inputs.len(),
        condition(work.condition)
    )];
    if odds.failed > 0 {
        said.push(format!(
            "{} more were no supplies, at the far ends of wide spreads",
            odds.failed
        ));
    }
    said
}

fn parts(work: &Work, found: Found<'_>, told: Told) -> Vec<Part> {
    let Found {
        odds,
        corners,
        rankings,
        inputs,
    } = found;
    let supply = &work.supply;
    let [amps, volts] = odds.asked.at;
    let mut parts = Vec::new();
    let mut part = |heading: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            let heading = heading.to_owned();
            parts.push(Part { heading, lines });
        }
    };
    let most = (odds.limits.iter()).filter(|one| one.over > 0 || one.used.high > NEAR);
    let at_point = core::iter::once(sentence(&verdict(odds)));
    let at_point = at_point.chain(most.map(|one| {
        let name = sentence_case(&limits::name(one.limit, supply));
        format!("{name}: {}", limit_odds(one))
    }));
    let heading = format!("At {}, {}", number::amps(amps), number::volts(volts));
    part(&heading, at_point.collect());
    let dropout = odds.dropout.iter();
    let dropout = dropout.map(|at| {
        let band = band(at.band, number::volts);
        format!("{}: {band}", number::amps(at.amps))
    });
    part("Dropout, nine units in ten", dropout.collect());
    let readings = odds.readings.iter();
    let readings = readings.map(|(of, found)| {
        let name = sentence_case(reading(*of));
        format!("{name}: {}", reading_band(*of, *found))
    });
    part(
        "What a meter would show there, nine units in ten",
        readings.collect(),
    );
    let mut worst: Vec<String> = (corners.iter())
        .map(|one| sentence(&corner(one, supply)))
        .collect();
    if !worst.is_empty() {
        worst.push(CORNER_AND_ODDS.to_owned());
    }
    part(WORST_CORNER, worst);
    let next = rankings.iter().flat_map(|one| to_measure(one, supply));
    part(MEASURE_NEXT, next.map(|said| sentence(&said)).collect());
    if told == Told::WithSpreads {
        let spreads = inputs.iter().map(|input| {
            let [low, high] = input.chance.ends().map(|end| number::change(end - 1.0));
            let name = sentence_case(&field(input.field, supply));
            format!("{name}: {low} to {high} ({})", origin(input.origin))
        });
        part("Spreads", spreads.collect());
    }
    parts
}

/// A limit of which less is used in nineteen of twenty units is not worth a line.
const NEAR: f64 = 0.9;
