//! What a change made better and what it now breaks, in words, the most important first.

mod blame;
#[cfg(test)]
mod tests;
pub mod variant;

use crate::bench::change::{Comparison, DummyChange, LimitChange, Pair, Quantity, Turn, left_open};
use crate::explain::limits::words::{Change, Outside, words};
use crate::explain::{Finding, NEAR, Number, Severity, limits, number, plot, sentence_case};
use crate::parts::{Stage, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit};

/// A change smaller than this share is not worth a sentence; it still stands in the table (common practice, no
/// source: typical tubes spread more).
const WORTH_SAYING: f64 = 0.02;
/// Said when nothing differs.
pub const NO_CHANGE: &str = "Nothing differs at this point";

/// Beside the slider from ghost to now, where all numbers can be on the way.
pub const IN_BETWEEN_VALUES: &str = "In between: all values part of the way";
/// Beside it at either end.
pub const AT_AN_END: &str = "Slide to see what lies in between";
/// Beside it where the parts differ in kind.
pub const IN_BETWEEN_OUTLINES: &str =
    "In between: the parts differ in kind, so only the outlines are blended";
/// On the plot, at the outline in between.
pub const IN_BETWEEN: &str = "in between";

/// One row of numbers side by side.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// What it is, in lower case.
    pub what: String,
    /// In the earlier variant.
    pub before: String,
    /// In the later one.
    pub after: String,
}

/// Above the changes, where they stand alone: `Since “As opened”, at 300 V and 30 mA`.
pub fn title(ghost: &str, comparison: &Comparison) -> String {
    let [amps, volts] = comparison.at;
    format!(
        "Since “{ghost}”, at {} and {}",
        number::volts(volts),
        number::amps(amps)
    )
}

/// Where not all changes have room: `and 3 smaller changes`.
pub fn more(count: usize) -> String {
    match count {
        1 => "and one smaller change".to_owned(),
        n => format!("and {n} smaller changes"),
    }
}

/// The parts that differ, as one line: `the larger C1, the 6080 in place of the EL34`. Empty if none.
pub fn what_differs(comparison: &Comparison, before: &Supply, after: &Supply) -> String {
    let parts: Vec<String> = comparison
        .parts
        .iter()
        .map(|piece| blame::name(*piece, before, after))
        .collect();
    sentence_case(&parts.join(", "))
}

/// What changed, the most important first: newly broken, newly allowed, still broken, then by size.
pub fn findings(comparison: &Comparison, before: &Supply, after: &Supply) -> Vec<Finding> {
    let mut found: Vec<(Weight, Finding)> = Vec::new();
    for change in &comparison.limits {
        found.extend(limit_finding(change, before, after));
    }
    for (what, pair) in &comparison.quantities {
        found.extend(quantity_finding(*what, pair, comparison));
    }
    for change in &comparison.dummies {
        found.extend(dummy_finding(change));
    }
    // Stable: the signal path's order decides between equals.
    // What differs by rounding alone stays in order.
    let size = |of: &Weight| (of.size * 1e9).round();
    found.sort_by(|(a, _), (b, _)| a.class.cmp(&b.class).then(size(b).total_cmp(&size(a))));
    found.into_iter().map(|(_, finding)| finding).collect()
}

/// All numbers that differ, side by side.
pub fn rows(comparison: &Comparison, after: &Supply) -> Vec<Row> {
    let quantities = comparison
        .quantities
        .iter()
        .filter(|(_, pair)| pair.differs())
        .map(|(what, pair)| Row {
            what: quantity_name(*what, comparison),
            before: quantity_text(*what, pair.before),
            after: quantity_text(*what, pair.after),
        });
    let uses = comparison
        .limits
        .iter()
        .filter(|change| change.ratio().differs() || allowed_differs(change))
        .map(|change| Row {
            what: limits::name(change.limit, after),
            before: judged_text(change.judged.before),
            after: judged_text(change.judged.after),
        });
    let uses: Vec<Row> = uses.collect();
    quantities
        // A limit of the same name says it with what is allowed.
        .filter(|row| uses.iter().all(|one| one.what != row.what))
        .chain(uses.iter().cloned())
        // What differs by less than three figures show is no difference to read.
        .filter(|row| row.before != row.after)
        .collect()
}

/// What a candidate would make of the point, before it is chosen: `allowed here, 12 % left: plate volts`. What is judged `now` and
/// not known of the candidate is said, and is no recommendation.
pub fn candidate(point: &Point, supply: &Supply, now: Option<&Point>) -> Finding {
    let open = now.map_or_else(Vec::new, |now| left_open(now, point, supply));
    let mut finding = as_far_as_known(point, supply);
    if !open.is_empty() && finding.severity != Severity::Over {
        let names: Vec<String> = open.iter().map(|l| limits::name(*l, supply)).collect();
        finding.severity = Severity::Remark;
        finding.sentence = format!(
            "{}; no longer judged: {}",
            finding.sentence,
            names.join(", ")
        );
    }
    finding
}

fn as_far_as_known(point: &Point, supply: &Supply) -> Finding {
    let verdict = limits::verdict(point, supply);
    let sentence = match point
        .tightest()
        .and_then(|u| Some((u.limit, u.nearness()?)))
    {
        _ if point.operation.is_none() => "the bus would collapse here".to_owned(),
        Some((limit, ratio)) if ratio > 1.0 => match words(limit).outside {
            Outside::Point(place) => format!("this point is {place}"),
            _ => format!("would be over here: {}", limits::over(limit, ratio, supply)),
        },
        Some((limit, ratio)) => format!(
            "allowed here, {}: {}",
            number::left(1.0 - ratio),
            limits::name(limit, supply)
        ),
        None => "no limit is known".to_owned(),
    };
    Finding {
        sentence,
        ..verdict
    }
}

/// A candidate with which the supply cannot be worked out.
pub fn no_candidate() -> Finding {
    Finding {
        about: Stage::PassStage,
        severity: Severity::Remark,
        sentence: "cannot be worked out".to_owned(),
        numbers: Vec::new(),
    }
}

/// How a finding ranks.
#[derive(Debug, Clone, Copy)]
struct Weight {
    class: Class,
    size: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Class {
    NewlyBroken,
    NewlyAllowed,
    StillBroken,
    LeftOpen,
    Size,
}

fn is_over(change: &LimitChange) -> bool {
    change.judged.after.is_some_and(|j| j.ratio > 1.0)
}

fn limit_finding(
    change: &LimitChange,
    before: &Supply,
    after: &Supply,
) -> Option<(Weight, Finding)> {
    let class = match change.turn {
        Turn::NewlyBroken => Class::NewlyBroken,
        Turn::NewlyAllowed => Class::NewlyAllowed,
        Turn::StillBroken => Class::StillBroken,
        Turn::NowJudged if is_over(change) => Class::NewlyBroken,
        Turn::NoLongerJudged | Turn::NowJudged => Class::LeftOpen,
        Turn::StillKept => Class::Size,
    };
    let ratio = change.ratio();
    let size = match (ratio.before, ratio.after) {
        // A limit that one variant does not have, or does not know, is told by the parts that differ.
        (Some(a), Some(b)) => (b - a).abs(),
        _ if class == Class::Size => return None,
        _ => 1.0,
    };
    // The bus says the same of the dropout line while it is not met.
    if class == Class::Size && (size < WORTH_SAYING || is_valley(change.limit)) {
        return None;
    }
    let severity = match change.turn {
        Turn::NewlyBroken | Turn::StillBroken => Severity::Over,
        Turn::NowJudged if is_over(change) => Severity::Over,
        Turn::NewlyAllowed => Severity::Fine,
        Turn::StillKept
            if ratio
                .after
                .is_some_and(|r| change.limit.nearness(r) >= NEAR) =>
        {
            Severity::Near
        }
        Turn::StillKept | Turn::NoLongerJudged | Turn::NowJudged => Severity::Remark,
    };
    let finding = Finding {
        about: change.limit.stage(),
        severity,
        sentence: limit_sentence(change, before, after),
        numbers: vec![Number {
            what: limits::name(change.limit, after),
            text: judged_text(change.judged.after),
        }],
    };
    Some((Weight { class, size }, finding))
}

fn limit_sentence(change: &LimitChange, before: &Supply, after: &Supply) -> String {
    let name = sentence_case(&limits::name(change.limit, after));
    let numbers = limit_numbers(change);
    let bound = bound_text(change);
    let by = || blame::turned(change, before, after);
    let allowed = change
        .judged
        .after
        .map(|j| number::measured(j.allowed, j.measure))
        .unwrap_or_default();
    match change.turn {
        Turn::NewlyBroken if is_valley(change.limit) => {
            format!(
                "{name}: {numbers}, now too little to regulate here: {}",
                by()
            )
        }
        Turn::NewlyBroken if change.limit.is_least() => {
            format!("{name} {numbers}, now under its {allowed}: {}", by())
        }
        Turn::NewlyBroken if change.limit.is_rating() => {
            format!("{name} {numbers}, now over its {allowed}: {}", by())
        }
        Turn::NewlyBroken => format!("{name} {numbers}, now out of reach: {}", by()),
        Turn::NewlyAllowed if is_valley(change.limit) => {
            format!("{name}: {numbers}, enough again to regulate here: {}", by())
        }
        Turn::NewlyAllowed if change.judged.after.is_none() => {
            format!(
                "{name} was over its rating and is no longer there: {}",
                by()
            )
        }
        Turn::NoLongerJudged if change.judged.before.is_some_and(|j| j.ratio > 1.0) => {
            format!("{name} was over and is no longer judged: the rating is not known")
        }
        Turn::NoLongerJudged => {
            format!("{name} is no longer judged: the rating is not known")
        }
        Turn::NowJudged if is_over(change) => {
            format!("{name} {numbers}, over: its rating was not known before")
        }
        Turn::NowJudged => format!("{name} {numbers}, now judged: its rating was not known before"),
        Turn::NewlyAllowed if change.limit.is_rating() => {
            format!("{name} {numbers}, back within its {allowed}: {}", by())
        }
        Turn::NewlyAllowed => format!("{name} {numbers}, within reach again: {}", by()),
        Turn::StillBroken => {
            let trend = match (change.ratio().before, change.ratio().after) {
                (Some(a), Some(b)) if b > a * (1.0 + WORTH_SAYING) => {
                    ", over before and now further"
                }
                (Some(a), Some(b)) if b < a * (1.0 - WORTH_SAYING) => {
                    ", less than before and still over"
                }
                _ => ", over before and still",
            };
            format!("{name} {numbers}{trend}")
        }
        Turn::StillKept => format!("{name} {numbers}{bound}"),
    }
}

/// `620 → 940 mA of 1 A`; `940 mA of 1 A → 960 mA of 800 mA` where the allowed value differs too.
fn limit_numbers(change: &LimitChange) -> String {
    let (Some(before), Some(after)) = (change.judged.before, change.judged.after) else {
        return judged_text(change.judged.after.or(change.judged.before));
    };
    let say = |value: f64| number::measured(value, after.measure);
    match words(change.limit).change {
        Change::Valley => format!(
            "the bus valley {}, this point needs {}",
            arrow(&say(before.allowed), &say(after.allowed)),
            say(after.actual)
        ),
        Change::Allowed => arrow(&say(before.allowed), &say(after.allowed)),
        _ if allowed_differs(change) => {
            format!(
                "{} → {}",
                number::of_allowed(&before),
                number::of_allowed(&after)
            )
        }
        _ if change.turn == Turn::NewlyBroken || change.turn == Turn::NewlyAllowed => {
            arrow(&say(before.actual), &say(after.actual))
        }
        _ if say(before.actual) == say(after.actual) => number::of_allowed(&after),
        _ => format!(
            "{} of {}",
            arrow(&say(before.actual), &say(after.actual)),
            say(after.allowed)
        ),
    }
}

fn allowed_differs(change: &LimitChange) -> bool {
    let allowed = Pair {
        before: change.judged.before.map(|j| j.allowed),
        after: change.judged.after.map(|j| j.allowed),
    };
    !is_valley(change.limit) && allowed.size() > 1e-3
}

/// What a wall now allows: `, good for 120 → 143 mA`. Empty where the limit has no such bound in both.
fn bound_text(change: &LimitChange) -> String {
    use crate::physics::limit::Measure;
    let is_wall = words(change.limit).change == Change::UseAndCurrent;
    let (Some(before), Some(after)) = (change.bound.before, change.bound.after) else {
        return String::new();
    };
    if !is_wall || change.bound.size() < WORTH_SAYING {
        return String::new();
    }
    let say = |value: f64| number::measured(value, Measure::Amps);
    format!(
        "; reached at {} of output",
        arrow(&say(before), &say(after))
    )
}

fn is_valley(limit: Limit) -> bool {
    words(limit).change == Change::Valley
}

fn quantity_finding(
    what: Quantity,
    pair: &Pair<f64>,
    comparison: &Comparison,
) -> Option<(Weight, Finding)> {
    let limit_known = |limit: Limit| {
        comparison
            .limits
            .iter()
            .any(|l| l.limit == limit && l.judged.after.is_some() && l.judged.before.is_some())
    };
    // What a limit already says is not said twice; the mean and the lowest volts stand in the table.
    let said_elsewhere = match what {
        Quantity::RectifierPeak => limit_known(Limit::RectifierPeak),
        Quantity::WindingRms => limit_known(Limit::WindingRms),
        Quantity::BusMean | Quantity::BusTrough | Quantity::HighestVolts => true,
        _ => false,
    };
    let size = pair.size();
    if said_elsewhere || size < WORTH_SAYING {
        return None;
    }
    let sentence = quantity_sentence(what, pair, comparison);
    Some((
        Weight {
            class: Class::Size,
            size,
        },
        Finding {
            about: quantity_stage(what),
            severity: Severity::Remark,
            numbers: vec![Number {
                what: quantity_name(what, comparison),
                text: quantity_text(what, pair.after),
            }],
            sentence,
        },
    ))
}

fn quantity_sentence(what: Quantity, pair: &Pair<f64>, comparison: &Comparison) -> String {
    let name = sentence_case(&quantity_name(what, comparison));
    match (what, pair.before, pair.after) {
        (Quantity::Area, Some(before), Some(after)) if before > 0.0 => {
            if after > 0.0 {
                let verb = if after > before { "gains" } else { "loses" };
                let share = number::per_cent((after / before - 1.0).abs());
                format!("The envelope {verb} {share} of its area")
            } else {
                "The envelope is gone: no point is allowed".to_owned()
            }
        }
        (Quantity::Area, _, _) => {
            "There is an envelope now; before, no point was allowed".to_owned()
        }
        _ => format!(
            "{name} {}",
            arrow(
                &quantity_text(what, pair.before),
                &quantity_text(what, pair.after)
            )
        ),
    }
}

fn quantity_stage(what: Quantity) -> Stage {
    match what {
        Quantity::BusNoLoad | Quantity::BusMean | Quantity::BusTrough | Quantity::BusRipple => {
            Stage::Filter
        }
        Quantity::RectifierPeak => Stage::Rectifier,
        Quantity::WindingRms => Stage::Transformer,
        Quantity::Dropout => Stage::PassStage,
        Quantity::LeastVolts
        | Quantity::HighestVolts
        | Quantity::LargestCurrent
        | Quantity::Area => Stage::Output,
    }
}

fn quantity_name(what: Quantity, comparison: &Comparison) -> String {
    let amps = number::amps(comparison.at[0]);
    match what {
        Quantity::BusNoLoad => "bus without load at high mains".to_owned(),
        Quantity::BusMean => "bus mean".to_owned(),
        Quantity::BusTrough => "bus valley".to_owned(),
        Quantity::BusRipple => "bus ripple".to_owned(),
        Quantity::Dropout => format!("dropout line at {amps}"),
        Quantity::RectifierPeak => "rectifier peak".to_owned(),
        Quantity::WindingRms => "winding rms".to_owned(),
        Quantity::LeastVolts => format!("lowest volts allowed at {amps}"),
        Quantity::HighestVolts => format!("highest volts allowed at {amps}"),
        Quantity::LargestCurrent => "largest current allowed".to_owned(),
        Quantity::Area => "area of the envelope".to_owned(),
    }
}

fn quantity_text(what: Quantity, value: Option<f64>) -> String {
    let Some(value) = value else {
        return "none".to_owned();
    };
    match what {
        Quantity::RectifierPeak | Quantity::WindingRms | Quantity::LargestCurrent => {
            number::amps(value)
        }
        Quantity::Area => number::watts(value).replace('W', "VA"),
        _ => number::volts(value),
    }
}

fn judged_text(judged: Option<Judged>) -> String {
    judged.map_or_else(
        || "not known".to_owned(),
        |judged| number::of_allowed(&judged),
    )
}

fn dummy_finding(change: &DummyChange) -> Option<(Weight, Finding)> {
    let name = plot::load_label(&change.dummy);
    let pair = &change.to_volts;
    let size = pair.size();
    if size < WORTH_SAYING {
        return None;
    }
    let (severity, sentence) = match (pair.before, pair.after) {
        (Some(before), Some(after)) => (
            Severity::Remark,
            format!(
                "{name} good to {}",
                arrow(&number::volts(before), &number::volts(after))
            ),
        ),
        (Some(before), None) => (
            Severity::Over,
            format!(
                "{name} was good to {} and is now good nowhere",
                number::volts(before)
            ),
        ),
        (None, Some(after)) => (
            Severity::Fine,
            format!(
                "{name} was good nowhere and is now good to {}",
                number::volts(after)
            ),
        ),
        (None, None) => return None,
    };
    let class = match severity {
        Severity::Over => Class::NewlyBroken,
        Severity::Fine => Class::NewlyAllowed,
        _ => Class::Size,
    };
    // The limit that stops a dummy is told before the dummy.
    let size = if class == Class::Size { size } else { 0.0 };
    Some((
        Weight { class, size },
        Finding {
            about: Stage::Dummies,
            severity,
            sentence,
            numbers: Vec::new(),
        },
    ))
}

/// `620 → 940 mA`: the unit once where both share it.
fn arrow(before: &str, after: &str) -> String {
    match (before.split_once(' '), after.split_once(' ')) {
        (Some((first, unit)), Some((_, same))) if unit == same => format!("{first} → {after}"),
        _ => format!("{before} → {after}"),
    }
}
