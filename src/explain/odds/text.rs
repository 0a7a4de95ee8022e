//! All that is said of a supply's odds, as a text for a terminal or a page.

use crate::bench::odds::{Corner, Odds, Ranking};
use crate::explain::odds::{
    CORNER_AND_ODDS, MEASURE_NEXT, NOT_COVERED, WORST_CORNER, band, condition, corner, field, limit_odds, origin, reading,
    reading_band, to_measure, verdict,
};
use crate::explain::{cautions, limits, number, sentence, sentence_case};
use crate::parts::Work;
use crate::parts::spread::Input;

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

/// The text.
pub fn text(work: &Work, found: Found<'_>, told: Told) -> String {
    let Found {
        odds,
        corners,
        rankings,
        inputs,
    } = found;
    let supply = &work.supply;
    let [amps, volts] = odds.asked.at;
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
    }
    page.push(format!(
        "{} such units drawn (seed {}), {} values not known exactly, {}",
        odds.worked_out,
        odds.asked.seed,
        inputs.len(),
        condition(work.condition)
    ));
    if odds.failed > 0 {
        page.push(format!(
            "{} more were no supplies, at the far ends of wide spreads",
            odds.failed
        ));
    }
    let section = |page: &mut Vec<String>, title: String| page.extend([String::new(), title]);
    section(
        &mut page,
        format!("At {}, {}", number::amps(amps), number::volts(volts)),
    );
    page.push(format!("  {}", sentence(&verdict(odds))));
    let most = odds
        .limits
        .iter()
        .filter(|one| one.over > 0 || one.used.high > NEAR);
    for one in most {
        page.push(format!(
            "  {}: {}",
            sentence_case(&limits::name(one.limit, supply)),
            limit_odds(one)
        ));
    }
    section(&mut page, "Dropout, nine units in ten".to_owned());
    for at in &odds.dropout {
        page.push(format!(
            "  {}: {}",
            number::amps(at.amps),
            band(at.band, number::volts)
        ));
    }
    section(
        &mut page,
        "What a meter would show there, nine units in ten".to_owned(),
    );
    for (of, found) in &odds.readings {
        page.push(format!(
            "  {}: {}",
            sentence_case(reading(*of)),
            reading_band(*of, *found)
        ));
    }
    if !corners.is_empty() {
        section(&mut page, WORST_CORNER.to_owned());
        page.extend(
            corners
                .iter()
                .map(|one| format!("  {}", sentence(&corner(one, supply)))),
        );
        page.push(format!("  {CORNER_AND_ODDS}"));
    }
    let next: Vec<String> = rankings
        .iter()
        .flat_map(|one| to_measure(one, supply))
        .collect();
    if !next.is_empty() {
        section(&mut page, MEASURE_NEXT.to_owned());
        page.extend(next.iter().map(|said| format!("  {}", sentence(said))));
    }
    if told == Told::WithSpreads {
        section(&mut page, "Spreads".to_owned());
        page.extend(inputs.iter().map(|input| {
            let [low, high] = input.chance.ends().map(|end| number::change(end - 1.0));
            format!(
                "  {}: {low} to {high} ({})",
                sentence_case(&field(input.field, supply)),
                origin(input.origin)
            )
        }));
    }
    page.extend([String::new(), NOT_COVERED.to_owned()]);
    page.extend([cautions::ESTIMATE.to_owned(), String::new()]);
    page.join("\n")
}

/// A limit of which less is used in nineteen of twenty units is not worth a line.
const NEAR: f64 = 0.9;
