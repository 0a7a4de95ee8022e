//! Limits in words: their short names, why a point is or is not allowed, and what is not known.

pub(super) mod words;

#[cfg(test)]
mod tests;

pub(super) use words::filter::{capacitor_name, choke};

use crate::bench::working::Working;
use crate::explain::limits::words::{NotKnown, Outside, Said, Subject, words};
use crate::explain::needs;
use crate::explain::{Finding, Number, Severity, number, sentence_case};
use crate::parts::{RatingSystem, Stage, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Use, allowed};
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
        Ok(judged) => (words(limit).sentence)(&Said::of(Subject { limit, supply }, judged, point)),
        Err(_) => not_known(one_use, supply),
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
    (words(limit).formula)(&said, working)
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
    let system = one_use.system.map(system_name);
    if !words(one_use.limit).moved_by_mains {
        return system.map(|system| format!("{system} rating"));
    }
    let place = judged_at(judged);
    Some(match system {
        Some(system) => format!("{system} rating, judged {place}"),
        None => format!("Judged {place}"),
    })
}

/// The name of a rating system, with a capital.
pub fn system_name(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "Design-centre",
        RatingSystem::DesignMaximum => "Design-maximum",
        RatingSystem::AbsoluteMaximum => "Absolute-maximum",
    }
}

/// Is the point allowed, how much is left, and what is met first?
/// `Inside, 18 % left; first met: set range` or `Outside: plate dissipation 126 %`.
pub fn verdict(point: &Point, supply: &Supply) -> Finding {
    let tightest = point.tightest();
    let ratio = tightest.and_then(Use::nearness);
    let severity = match (&point.operation, ratio) {
        (None, _) => Severity::Over,
        (_, Some(ratio)) => Severity::of_ratio(ratio),
        (_, None) => Severity::Remark,
    };
    let sentence = match (tightest, ratio) {
        _ if point.operation.is_none() => format!(
            "Outside: the supply cannot give {}, the bus collapses",
            number::amps(point.amps)
        ),
        (Some(one_use), Some(ratio)) if ratio > 1.0 => outside(one_use, point, supply, ratio),
        (Some(one_use), Some(ratio)) => {
            // A no-load limit is as near everywhere: one does not meet it by moving the point.
            let met = if one_use.limit.is_no_load() {
                "tightest"
            } else {
                "first met"
            };
            format!(
                "Inside, {}; {met}: {}",
                number::left(1.0 - ratio),
                name(one_use.limit, supply)
            )
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

fn outside(one_use: &Use, point: &Point, supply: &Supply, ratio: f64) -> String {
    let others = point
        .uses
        .iter()
        .filter(|u| u.ratio().is_some_and(|r| r > 1.0))
        .count()
        .saturating_sub(1);
    let tail = match others {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    let what = match words(one_use.limit).outside {
        Outside::Point(place) => place.to_owned(),
        Outside::Matter(matter) => matter.to_owned(),
        Outside::Share => over(one_use.limit, ratio, supply),
    };
    format!("Outside: {what}{tail}")
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
