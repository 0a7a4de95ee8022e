//! Limits in words: their short names, why a point is or is not allowed, and what is not known.

mod listed;
pub(super) mod words;

#[cfg(test)]
mod tests;

pub use listed::{ALWAYS_THERE, MOVING, NOT_JUDGED, always_there, figures, listed_name, more};
pub(super) use words::filter::{capacitor_name, choke};

use crate::bench::first_met::FirstMet;
use crate::bench::working::Working;
use crate::explain::limits::words::{NotKnown, Outside, Said, Subject, words};
use crate::explain::{Finding, Number, Severity, number, sentence_case};
use crate::explain::{accepted, needs};
use crate::parts::{Confidence, RatingSystem, Stage, Supply};
use crate::physics::envelope::{Point, Standing};
use crate::physics::limit::{Judged, Limit, Use, allowed, ratio as limit_ratio};
use crate::physics::needs::Needs;
use crate::physics::operation::Case;

/// Short name for a label or a list: `plate dissipation`, `bus volts, no load`.
pub fn name(limit: Limit, supply: &Supply) -> String {
    words(limit).name.of(Subject { limit, supply })
}

/// The allowed value and the part it belongs to, as a second line under the name: `13 W, worst 6080 section`.
/// Empty where there is nothing to add or the rating is not known.
pub fn part(limit: Limit, supply: &Supply) -> String {
    (words(limit).part)(Subject { limit, supply }).unwrap_or_default()
}

/// Why the point is allowed by this limit, or why not, with its numbers.
pub fn sentence(one_use: &Use, supply: &Supply, point: &Point) -> String {
    let limit = one_use.limit;
    match &one_use.judged {
        Ok(judged) => {
            let said = Said::of(Subject { limit, supply }, judged, point);
            let sentence = (words(limit).sentence)(&said);
            with_acceptance(sentence, limit, supply)
        }
        Err(_) => not_known(one_use, supply),
    }
}

/// A sentence that names what is allowed also says whose word that is, where it is not the book's.
fn with_acceptance(sentence: String, limit: Limit, supply: &Supply) -> String {
    match accepted::up_to(limit, supply) {
        Some(up_to) => format!("{sentence}; {up_to}"),
        None => sentence,
    }
}

/// The formula of a limit with the numbers of a point put in:
/// `(bus 462 V − 120 V − 1.9 V over the resistors) × 44 mA = 15 W; allowed 13 W`. Empty if the limit is not known.
pub fn formula(one_use: &Use, working: &Working, supply: &Supply, point: &Point) -> String {
    let limit = one_use.limit;
    let Ok(judged) = &one_use.judged else {
        return String::new();
    };
    let said = Said::of(Subject { limit, supply }, judged, point);
    with_acceptance((words(limit).formula)(&said, working), limit, supply)
}

/// What is missing to judge a limit, and where on the real thing to read it. Empty if the use is known.
pub fn not_known(one_use: &Use, supply: &Supply) -> String {
    let limit = one_use.limit;
    let Err(missing) = one_use.judged else {
        return String::new();
    };
    match words(limit).not_known {
        // The rating is known, but something else is not: the part's label would not help.
        _ if allowed(limit, supply).is_ok() => without(limit, missing, supply),
        NotKnown::Needs => without(limit, missing, supply),
        NotKnown::Sentence(sentence) => sentence.to_owned(),
        NotKnown::Read { what, of, place } => {
            // "Volts" are many in the trade's mouth, a current or a power is one.
            let (are, them) = if what.ends_with("volts") {
                ("are", "them")
            } else {
                ("is", "it")
            };
            let of = of.of(Subject { limit, supply });
            format!("The {what} of {of} {are} not known: read {them} {place}")
        }
    }
}

fn without(limit: Limit, missing: Needs, supply: &Supply) -> String {
    let name = sentence_case(&name(limit, supply));
    format!(
        "{name} cannot be judged here without {}",
        needs::of_limit(limit, missing)
    )
}

/// At which mains and by which rating system it was judged:
/// `Design-centre rating, judged at 120 V, nominal mains`. `None` for what is not known, and for the ends of the knob, which no
/// mains move.
pub fn how_judged(one_use: &Use) -> Option<String> {
    let judged = one_use.judged.as_ref().ok()?;
    let system = one_use.system.map(|system| {
        let name = system_name(system);
        match one_use.confidence.and_then(how_sure) {
            Some(how_sure) => format!("{name} rating, {how_sure}"),
            None => format!("{name} rating"),
        }
    });
    if !words(one_use.limit).moved_by_mains {
        return system;
    }
    let place = judged_at(judged);
    let judged_there = match system {
        Some(system) => format!("{system}, judged {place}"),
        None => format!("Judged {place}"),
    };
    Some(match now(judged) {
        Some(now) => format!("{judged_there}; {now} at the mains now, as a meter would show it"),
        None => judged_there,
    })
}

/// What there is at present mains, where a rating is judged at nominal mains and that makes a difference to the figures shown.
fn now(judged: &Judged) -> Option<String> {
    if judged.case != Case::Nominal {
        return None;
    }
    let shown = |value| number::measured(value, judged.measure);
    let now = judged.actual_now.map(shown)?;
    (now != shown(judged.actual)).then_some(now)
}

/// How sure a published figure is, where that must be kept in mind.
fn how_sure(confidence: Confidence) -> Option<&'static str> {
    match confidence {
        Confidence::Seen | Confidence::Own => None,
        Confidence::Quoted => Some("as a secondary page quotes it"),
        Confidence::CrossChecked => Some("from memory and found again by calculation"),
        Confidence::MemoryHigh => Some("from memory of the sheet"),
        Confidence::MemoryMedium | Confidence::MemoryLow => {
            Some("from memory and not sure: read it on the sheet")
        }
        Confidence::Calculated => Some("worked out from the sheet"),
    }
}

/// The name of a rating system, with a capital.
pub fn system_name(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "Design-centre",
        RatingSystem::DesignMaximum => "Design-maximum",
        RatingSystem::AbsoluteMaximum => "Absolute-maximum",
    }
}

/// Where the point stands, how much is left, and what is met first:
/// `Inside, 18 % left; first met: output range`, `Works, but over a rating: plate dissipation 126 %` or
/// `Out of reach: above the dropout line`.
pub fn verdict(point: &Point, supply: &Supply) -> Finding {
    verdict_with(point, None, supply)
}

/// The same, with what is met first in each direction: `Inside, 18 % left; first met: output range, 52 V up; winding rms, 104 mA right`.
pub fn verdict_with(point: &Point, met: Option<&FirstMet>, supply: &Supply) -> Finding {
    let tightest = point.tightest();
    let ratio = tightest.and_then(Use::nearness);
    let severity = match (point.standing(), ratio) {
        (Standing::OutOfReach | Standing::OverARating, _) => Severity::Over,
        (Standing::Inside, Some(ratio)) => Severity::of_ratio(ratio),
        (Standing::Inside, None) => Severity::Remark,
    };
    let sentence = match (point.standing(), tightest, ratio) {
        _ if point.operation.is_none() => format!(
            "Out of reach: the bus collapses before it gives {}",
            number::amps(point.amps)
        ),
        (Standing::OutOfReach, Some(one_use), Some(ratio)) => {
            let what = matter(one_use, supply, ratio);
            format!("Out of reach: {what}{}", and_more(point))
        }
        (Standing::OverARating, Some(one_use), Some(ratio)) => {
            let what = matter(one_use, supply, ratio);
            let always = if one_use.limit.is_no_load() {
                ", wherever the point is"
            } else {
                ""
            };
            format!(
                "Works, but over a rating: {what}{always}{}",
                and_more(point)
            )
        }
        (_, Some(one_use), Some(ratio)) => {
            let left = number::left(1.0 - ratio);
            let beyond_the_book = beyond_the_book(point);
            let ahead = met.map(|met| ahead(point, met, supply));
            let ahead = match ahead.as_deref() {
                Some([]) => String::new(),
                Some(all) => format!("; first met: {}", all.join("; ")),
                // A no-load limit is as near everywhere: one does not meet it by moving the point.
                None if one_use.limit.is_no_load() => {
                    format!("; tightest: {}", name(one_use.limit, supply))
                }
                None => format!("; first met: {}", name(one_use.limit, supply)),
            };
            format!("Inside, {left}{beyond_the_book}{ahead}")
        }
        _ => "No limit is known here: fill in the ratings of the parts".to_owned(),
    };
    Finding {
        about: tightest.map_or(Stage::Output, |u| u.limit.stage()),
        severity,
        sentence,
        numbers: tightest
            .and_then(|u| u.judged.as_ref().ok().map(|j| (u.limit, j)))
            .map(|(limit, judged)| Number {
                what: name(limit, supply),
                text: number::of_allowed(judged),
            })
            .into_iter()
            .collect(),
    }
}

/// The nearest limit up or down and the one to the right, with how far: `output range, 52 V up`.
fn ahead(point: &Point, met: &FirstMet, supply: &Supply) -> Vec<String> {
    let up = met.up.map(|(limit, at)| (limit, at - point.volts, "up"));
    let down = met
        .down
        .map(|(limit, at)| (limit, point.volts - at, "down"));
    let volts = [up, down].into_iter().flatten();
    let volts = volts.min_by(|a, b| a.1.total_cmp(&b.1));
    let volts = volts
        .map(|(limit, by, way)| format!("{}, {} {way}", name(limit, supply), number::volts(by)));
    let amps = met.right.map(|(limit, at)| {
        let by = number::amps(at - point.amps);
        format!("{}, {by} right", name(limit, supply))
    });
    [volts, amps].into_iter().flatten().collect()
}

/// What is said where something is over the book, but not over what was accepted.
fn beyond_the_book(point: &Point) -> String {
    let beyond = |one: &&Use| match (&one.judged, one.published) {
        (Ok(judged), Some(rated)) => limit_ratio(one.limit, judged.actual, rated) > 1.0,
        _ => false,
    };
    match point.uses.iter().filter(beyond).count() {
        0 => String::new(),
        1 => ", one rating over the book as accepted".to_owned(),
        n => format!(", {n} ratings over the book as accepted"),
    }
}

/// How many more limits are exceeded than the one that is named.
fn and_more(point: &Point) -> String {
    let over = point.uses.iter().filter(|u| u.is_over()).count();
    match over.saturating_sub(1) {
        0 => String::new(),
        n => format!(", and {n} more"),
    }
}

fn matter(one_use: &Use, supply: &Supply, ratio: f64) -> String {
    match words(one_use.limit).outside {
        Outside::Point(place) => place.to_owned(),
        Outside::Matter(matter) => matter.to_owned(),
        Outside::Share => over(one_use.limit, ratio, supply),
    }
}

/// `plate dissipation 126 %`.
pub(super) fn over(limit: Limit, ratio: f64, supply: &Supply) -> String {
    format!("{} {}", name(limit, supply), number::per_cent(ratio))
}

fn judged_at(judged: &Judged) -> String {
    let volts = number::volts(judged.mains_volts);
    match judged.case {
        Case::Low => format!("at {volts}, low mains"),
        Case::Present => format!("at {volts}, the mains now"),
        Case::High => format!("at {volts}, high mains"),
        Case::Nominal => format!("at {volts}, nominal mains"),
        Case::LowLeast => format!("at {volts}, low mains, every capacitor at its least"),
        Case::LowMost => format!("at {volts}, low mains, every capacitor at its most"),
        Case::HighLeast => format!("at {volts}, high mains, every capacitor at its least"),
        Case::HighMost => format!("at {volts}, high mains, every capacitor at its most"),
    }
}
