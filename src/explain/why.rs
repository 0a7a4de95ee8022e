//! Why not here: the limit, the formula with the numbers put in, what is met first, what leads back inside, and what would
//! move the limit.

mod text;
mod variation;

pub use crate::explain::limits::formula;
pub use text::{Answer, text};
pub use variation::change;

use crate::bench::first_met::{Adjustment, FirstMet, Met, WaysBack};
use crate::bench::sensitivity::{self, Axis, Enough, Outcome, Sensitivity, Shift};
use crate::explain::limits::words::{Subject, words};
use crate::explain::{cautions, limits, number, sentence, sentence_case};
use crate::parts::Supply;
use crate::physics::envelope::{Envelope, Point};
use crate::physics::limit::boundary::{Allows, allows};
use crate::physics::limit::{Limit, Measure};
use crate::physics::operation::Case;

/// A change and what it does, ready for two columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moved {
    /// The change: `third 6080 section`.
    pub what: String,
    /// How far the boundary goes: `+38 mA`.
    pub by: String,
    /// Which way it goes.
    pub way: Way,
    /// What it breaks or leaves open, or empty: `then over: rectifier peak`.
    pub breaks: String,
}

/// Whether a change helps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// It gives more room.
    Gains,
    /// It takes room.
    Takes,
    /// Whether it does is not known.
    Open,
}

/// What is said where no limit lies in any direction.
pub const NOTHING_MET: &str = "Nothing further: no line lies in any direction";

/// What is met first in each direction: `up: output range at 350 V`.
pub fn first_met(met: &FirstMet, supply: &Supply) -> Vec<String> {
    let say = |way: &str, met: Option<Met>, text: fn(f64) -> String| {
        met.map(|(limit, at)| format!("{way}: {} at {}", limits::name(limit, supply), text(at)))
    };
    [
        say("Going up", met.up, number::volts),
        say("Going down", met.down, number::volts),
        say("To the right", met.right, number::amps),
    ]
    .into_iter()
    .flatten()
    .chain(met.along.map(|(limit, [amps, volts])| {
        format!(
            "Up the load line: {} at {} and {}",
            limits::name(limit, supply),
            number::volts(volts),
            number::amps(amps)
        )
    }))
    .collect()
}

/// Above what leads back inside, or above why nothing does.
pub fn back_heading(back: &WaysBack) -> &'static str {
    if back.ways.is_empty() {
        "Why no point is inside"
    } else {
        "Back inside"
    }
}

/// What leads back inside from a point (A, V) outside, the shortest way first: `Down to 214 V at this current`. Or why nothing
/// does. Empty inside.
pub fn way_back(back: &WaysBack, [amps, volts]: [f64; 2], supply: &Supply) -> Vec<String> {
    if back.nothing_is_inside {
        return vec![
            "With these parts no place of the plane is inside: some part has to change".to_owned(),
        ];
    }
    let never = back.never.iter().map(|&limit| {
        format!(
            "{} is over wherever the point is: change {}",
            sentence_case(&limits::name(limit, supply)),
            words(limit).to_change.of(Subject { limit, supply })
        )
    });
    let ways = back.ways.iter().map(|(way, [to_amps, to_volts])| {
        let lower = match way {
            Adjustment::Amps => *to_amps < amps,
            _ => *to_volts < volts,
        };
        let direction = if lower { "Down" } else { "Up" };
        let to_amps = number::amps(number::no_nearer(*to_amps, amps));
        let to_volts = number::volts(number::no_nearer(*to_volts, volts));
        match way {
            Adjustment::Volts => format!("{direction} to {to_volts} at this current"),
            Adjustment::Amps => format!("{direction} to {to_amps} at these volts"),
            Adjustment::Load => format!("{direction} the load line to {to_volts} and {to_amps}"),
            Adjustment::Both => format!("To {to_volts} and {to_amps}; neither alone leads back"),
        }
    });
    never.chain(ways).collect()
}

/// What the shifts are measured along: `Current at which it is met, at 120 V`.
pub fn axis(found: &Sensitivity) -> String {
    let [amps, volts] = found.at;
    match found.axis {
        Axis::Amps => format!(
            "Met at {}, at {} of output",
            number::amps(found.from),
            number::volts(volts)
        ),
        Axis::Volts if found.from < 0.0 => format!("Not met above 0 V at {}", number::amps(amps)),
        Axis::Volts => format!(
            "Met at {}, at {} of output",
            number::volts(found.from),
            number::amps(amps)
        ),
        Axis::Room => format!(
            "{} {}; each change adds or subtracts",
            number::measured(found.from.abs(), found.limit.measure()),
            if found.from < 0.0 { "over" } else { "to spare" }
        ),
    }
}

/// What moves a limit, the largest first; empty where nothing of what was tried does.
pub fn what_moves_it(found: &Sensitivity, supply: &Supply) -> Vec<Moved> {
    found
        .shifts
        .iter()
        .map(|shift| moved(shift, found, supply))
        .collect()
}

fn moved(shift: &Shift, found: &Sensitivity, supply: &Supply) -> Moved {
    let unit = match found.axis {
        Axis::Amps => Measure::Amps,
        Axis::Volts => Measure::Volts,
        Axis::Room => found.limit.measure(),
    };
    let by = match shift.outcome {
        Outcome::NeverMet => "no longer met".to_owned(),
        Outcome::NoLongerJudged => "no longer judged".to_owned(),
        Outcome::To(_) => {
            let text = number::measured(shift.by.abs(), unit);
            let sign = if shift.by < 0.0 { '\u{2212}' } else { '+' };
            format!("{sign}{text}")
        }
    };
    let said = |words: &str, list: &[Limit]| {
        let names: Vec<String> = list.iter().map(|l| limits::name(*l, supply)).collect();
        (!names.is_empty()).then(|| format!("{words}: {}", names.join(", ")))
    };
    let over = said("but then over", &shift.breaks);
    let open = said("no longer judged", &shift.opens);
    let way = match shift.outcome {
        Outcome::NoLongerJudged => Way::Open,
        _ if shift.gains => Way::Gains,
        _ => Way::Takes,
    };
    Moved {
        what: change(&shift.variation, supply),
        by,
        way,
        breaks: [over, open]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("; "),
    }
}

/// Whether one change alone is enough, as a sentence; empty where no change moves the limit:
/// `None of these alone reaches 300 V.`, `C1 units 47 µF → 68 µF alone is enough.` or, of a point that is inside,
/// `One change alone gets as far as 318 V at 66 mA: another 6080 section.`
pub fn enough(found: &Sensitivity, supply: &Supply) -> String {
    let [amps, volts] = found.at;
    let is_floor = allows(found.limit, supply) == Some(Allows::Above);
    if found.shifts.is_empty() {
        return String::new();
    }
    let names = |list: &[Limit]| {
        let names: Vec<String> = list.iter().map(|l| limits::name(*l, supply)).collect();
        // Some names have a comma of their own.
        names.join("; ")
    };
    // What the change would do to others, at the end of its sentence.
    let harm = |shift: &Shift| match (shift.breaks.as_slice(), shift.opens.as_slice()) {
        ([], []) => String::new(),
        ([], opens) => format!(", but {} can then no longer be judged", names(opens)),
        ([one], _) => format!(", but {} is then over", names(&[*one])),
        (breaks, _) => format!(", but then over: {}", names(breaks)),
    };
    match sensitivity::enough(found) {
        Enough::None => match found.axis {
            Axis::Volts if is_floor => {
                format!(
                    "None of these alone comes down to {}.",
                    number::volts(volts)
                )
            }
            Axis::Volts => format!("None of these alone reaches {}.", number::volts(volts)),
            Axis::Amps => format!("None of these alone reaches {}.", number::amps(amps)),
            Axis::Room => "None of these alone is enough.".to_owned(),
        },
        Enough::Alone(shift, count) => {
            let what = change(&shift.variation, supply);
            let still = names(&shift.stays_over);
            let for_this = match (shift.stays_over.as_slice(), harm(shift)) {
                ([], harm) => harm,
                (_, harm) => {
                    let for_this = limits::name(found.limit, supply);
                    format!(" for {for_this}{harm}; still over: {still}")
                }
            };
            match count {
                1 => format!("{} alone is enough{for_this}.", sentence_case(&what)),
                _ => format!("{count} of these are each enough alone, such as {what}{for_this}."),
            }
        }
        Enough::Farthest(shift) => {
            farthest("One change alone", (shift, &harm(shift)), found, supply)
        }
        Enough::FarthestUnharmed(shift) => farthest(
            "One change that breaks no other limit",
            (shift, ""),
            found,
            supply,
        ),
        Enough::NoFarther => "None of these gives more room.".to_owned(),
    }
}

/// How far a change gets a point that is inside, and what else it does.
fn farthest(
    one: &str,
    (shift, harm): (&Shift, &str),
    found: &Sensitivity,
    supply: &Supply,
) -> String {
    let what = change(&shift.variation, supply);
    let Outcome::To(to) = shift.outcome else {
        return format!("{} alone does away with it{harm}.", sentence_case(&what));
    };
    let [amps, volts] = [number::amps(found.at[0]), number::volts(found.at[1])];
    let is_floor = allows(found.limit, supply) == Some(Allows::Above);
    let far = match found.axis {
        // Lower than that nobody wants it.
        Axis::Volts if is_floor => {
            format!("gets down to {} at {amps}", number::volts(to.max(0.0)))
        }
        Axis::Volts => format!("gets as far as {} at {amps}", number::volts(to)),
        Axis::Amps => format!("gets as far as {} at {volts}", number::amps(to)),
        Axis::Room => {
            let room = number::measured(to.abs(), found.limit.measure());
            format!("leaves {room} to spare")
        }
    };
    format!("{one} {far}: {what}{harm}.")
}

/// What is said where nothing that was tried moves a limit.
pub fn nothing_moves_it(limit: Limit) -> &'static str {
    words(limit).unmoved
}

/// The caution that belongs to the point: what stands on the terminals, or on the bus.
pub fn caution(envelope: &Envelope, point: &Point) -> Option<String> {
    let bus = envelope.column(Case::Present).and_then(|column| {
        let volts = column.no_load.operation.bus.crest_volts;
        cautions::bus(volts, envelope.kept.as_ref())
    });
    bus.or_else(|| cautions::terminals(point.volts))
        .map(|finding| finding.sentence)
}

/// A place that is pointed at, in one line: `232 V, 102 mA: inside, 5 % left; first met: dropout`.
pub fn in_one_line(point: &Point, supply: &Supply) -> String {
    let verdict = limits::verdict(point, supply).sentence;
    let mut letters = verdict.chars();
    let first: Vec<char> = letters
        .next()
        .into_iter()
        .flat_map(char::to_lowercase)
        .collect();
    format!(
        "{}, {}: {}",
        number::volts(point.volts),
        number::amps(point.amps),
        first.into_iter().chain(letters).collect::<String>()
    )
}

/// Why not here, or how much is left, for a place that is pointed at: the place with its verdict, and the tightest limit's
/// sentence. Two short lines.
pub fn pointed_at(point: &Point, supply: &Supply) -> [String; 2] {
    let place = format!(
        "{}, {}",
        number::volts(point.volts),
        number::amps(point.amps)
    );
    let verdict = limits::verdict(point, supply).sentence;
    let reason = point
        .tightest()
        .filter(|_| point.operation.is_some())
        .map_or_else(String::new, |one| limits::sentence(one, supply, point));
    [sentence(&format!("{place}. {verdict}")), sentence(&reason)]
}

#[cfg(test)]
mod tests;
