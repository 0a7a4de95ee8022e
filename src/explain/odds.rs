//! How sure it is, in words: bands, odds, the worst corner, what to measure next, and what none of that covers.

mod names;
mod text;

pub use names::{batch, field, reading};
pub use text::{Found, Told, legend, section, text};

use crate::bench::odds::{Band, Corner, LimitOdds, Odds, Question, Ranked, Ranking, Reading};
use crate::explain::{limits, number, sentence_case};
use crate::parts::Supply;
use crate::parts::spread::{Condition, Electrolytics, Field, Input, Origin, Tubes, Usual, usual};
use crate::physics::spread::Mover;

/// What a spread does not cover, whatever it is.
pub const NOT_COVERED: &str = "Not covered: a wrong type, a leaky or open part, a shorted turn, a slip in the wiring; \
the odds are of units that are whole.";

/// While no unit has been drawn yet.
pub const DRAWING: &str = "Drawing such units…";
/// Where none can be drawn.
pub const CANNOT_BE: &str = "The odds could not be computed; the rest is still valid.";

/// A share of the units, in words that do not claim more than the samples say: `93 of 100`, `1 of 9`, `more than 99 of 100`.
pub fn share(part: u32, of: u32) -> String {
    /// Below this it is said as one of so many.
    const RARE: f64 = 0.2;
    if of == 0 {
        return "none worked out".to_owned();
    }
    let share = f64::from(part) / f64::from(of);
    if part == 0 {
        format!("none of {of}")
    } else if part == of {
        format!("all {of}")
    } else if share < 0.01 {
        "fewer than 1 of 100".to_owned()
    } else if share > 0.99 {
        "more than 99 of 100".to_owned()
    } else if share < RARE {
        format!("1 of {:.0}", 1.0 / share)
    } else {
        format!("{:.0} of 100", 100.0 * share)
    }
}

/// The verdict on the point: `Inside in 93 of 100 such units; over a rating in 1 of 20, out of reach in 1 of 50`.
pub fn verdict(odds: &Odds) -> String {
    let all = odds.worked_out;
    if all == 0 {
        return "None of the units that were drawn could be worked out".to_owned();
    }
    let others: Vec<String> = [
        (odds.over_a_rating, "over a rating"),
        (odds.out_of_reach, "out of reach"),
    ]
    .into_iter()
    .filter(|(part, _)| *part > 0)
    .map(|(part, what)| format!("{what} in {}", share(part, all)))
    .collect();
    let inside = format!("Inside in {} such units", share(odds.inside, all));
    if others.is_empty() {
        inside
    } else {
        format!("{inside}; {}", others.join(", "))
    }
}

/// What stands above the odds of a point, and the same in fewer words.
pub fn titles(odds: &Odds) -> [String; 2] {
    let [amps, volts] = odds.asked.at;
    let inside = format!("Inside in {}", share(odds.inside, odds.worked_out));
    let at = format!("{}, {}", number::volts(volts), number::amps(amps));
    [format!("{inside} such units at {at}"), inside]
}

/// In how many units a limit is exceeded: `over in 1 of 9 such units`; nothing where it never was.
pub fn over(one: &LimitOdds) -> Option<String> {
    (one.over > 0).then(|| format!("over in {} such units", share(one.over, one.judged)))
}

/// How far the drawing is: `so far 64 of 1000 drawn`; nothing at its end.
pub fn so_far(odds: &Odds) -> Option<String> {
    let drawn = odds.worked_out + odds.failed;
    (drawn < odds.asked.samples).then(|| format!("so far {drawn} of {} drawn", odds.asked.samples))
}

/// A band of volts or amperes: `214 to 236 V, middle 225 V`.
pub fn band(band: Band, value: impl Fn(f64) -> String) -> String {
    let [low, middle, high] = [band.low, band.middle, band.high].map(&value);
    if low == high {
        return format!("{middle} in all");
    }
    format!("{}, middle {middle}", from_to(&low, &high))
}

/// With one unit where both share it.
fn from_to(low: &str, high: &str) -> String {
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((figure, unit)), Some((_, same))) if unit == same => format!("{figure} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// A reading with its band.
pub fn reading_band(of: Reading, found: Band) -> String {
    if of.is_current() {
        band(found, number::amps)
    } else {
        band(found, number::volts)
    }
}

/// A limit's odds: `over in 1 of 9 such units; 62 to 108 % used, middle 84 %`.
pub fn limit_odds(one: &LimitOdds) -> String {
    let used = [one.used.low, one.used.middle, one.used.high].map(number::per_cent);
    let [low, middle, high] = used;
    let range = if low == high {
        format!("{middle} used")
    } else {
        format!("{} used, middle {middle}", from_to(&low, &high))
    };
    let over = over(one).unwrap_or_else(|| "never over".to_owned());
    format!("{over}; {range}")
}

/// What a question is about: `dropout at 80 mA`.
fn asked(question: Question, supply: &Supply) -> String {
    match question {
        Question::Dropout(amps) => format!("dropout at {}", number::amps(amps)),
        Question::Use(limit, [amps, volts]) => format!(
            "{} at {}, {}",
            limits::name(limit, supply),
            number::amps(amps),
            number::volts(volts)
        ),
    }
}

/// An answer to a question.
fn answer(question: Question, value: f64) -> String {
    match question {
        Question::Dropout(_) => number::volts(value),
        Question::Use(..) => format!("{} used", number::per_cent(value)),
    }
}

/// How many values of the corner are named: the rest hardly matters.
const NAMED: usize = 4;

/// The worst corner, with what makes it so.
pub fn corner(corner: &Corner, supply: &Supply) -> String {
    let ends: Vec<String> = (corner.ends.iter().take(NAMED))
        .map(|end| {
            format!(
                "{} {}",
                field(end.field, supply),
                number::change(end.factor - 1.0)
            )
        })
        .collect();
    let because = if ends.is_empty() {
        String::new()
    } else {
        format!(": {}", ends.join(", "))
    };
    format!(
        "{}: {} with every value at its worst end, against {} in the middle{because}",
        sentence_case(&asked(corner.question, supply)),
        answer(corner.question, corner.answer),
        answer(corner.question, corner.middle),
    )
}

/// Above the bands of readings.
pub const METER: &str = "What a meter would show, 9 units in 10";
/// Above the worst corners.
pub const WORST_CORNER: &str = "Worst corner";
/// Above the ranking.
pub const MEASURE_NEXT: &str = "What to measure next";
/// Where no single value matters.
pub const NOTHING_TO_MEASURE: &str = "No single measurement would tell much more";

/// Why the worst corner and the odds differ.
pub const CORNER_AND_ODDS: &str = "No such unit is worse than the corner, and hardly one is as bad: every value would have to be off the \
worst way at once. The odds say how many are.";

/// Below this share of the variance a value hardly matters.
const MATTERS: f64 = 0.05;
/// A band that stays wider than this share of what it is has hardly become narrower.
const NARROWER: f64 = 0.98;

/// What to measure next for a question, the most worth while first; a last sentence names what hardly matters.
pub fn to_measure(ranking: &Ranking, supply: &Supply) -> Vec<String> {
    let half = HALF_OF_NINE_TENTHS * ranking.sigma;
    let what = match ranking.question {
        Question::Dropout(_) => asked(ranking.question, supply),
        Question::Use(..) => format!("the use of {}", asked(ranking.question, supply)),
    };
    let is_worth_it = |one: &&Ranked| one.first.max(one.total) >= MATTERS && one.left < NARROWER;
    let (worth, rest): (Vec<&Ranked>, Vec<&Ranked>) = ranking.ranked.iter().partition(is_worth_it);
    // What parts have in common is told by measuring one of them.
    let worth = worth
        .iter()
        .filter_map(|one| match (one.mover, one.known_to) {
            (Mover::Own(of), Some(to)) => {
                let narrower = from_to_half(ranking.question, half, half * one.left);
                let (known, to) = (field(of, supply), fine_per_cent(to));
                Some(format!(
                    "Knowing {known} to {to} would narrow {what} {narrower}"
                ))
            }
            _ => None,
        });
    let mut said: Vec<String> = worth.take(NAMED).collect();
    let hardly: Vec<String> = (rest.iter())
        .filter_map(|one| match one.mover {
            Mover::Own(of) if one.first.max(one.total) < MATTERS => Some(field(of, supply)),
            Mover::Own(_) | Mover::Common(_) => None,
        })
        .take(3)
        .collect();
    if let [before @ .., last] = hardly.as_slice() {
        said.push(if before.is_empty() {
            format!("All else, such as {last}, hardly matters")
        } else {
            format!(
                "All else, such as {} or {last}, hardly matters",
                before.join(", ")
            )
        });
    }
    said
}

/// Half widths before and after, the unit once: `from ±18.4 to ±15.1 V`.
fn from_to_half(question: Question, before: f64, after: f64) -> String {
    let [before, after] = [before, after].map(|half| match question {
        Question::Dropout(_) => number::volts(half),
        Question::Use(..) => fine_per_cent(half),
    });
    match (before.split_once(' '), after.split_once(' ')) {
        (Some((figure, unit)), Some((_, same))) if unit == same => {
            format!("from ±{figure} to ±{after}")
        }
        _ => format!("from ±{before} to ±{after}"),
    }
}

/// A small share to a tenth of a per cent.
fn fine_per_cent(share: f64) -> String {
    number::change(share).trim_start_matches('+').to_owned()
}

/// Half the width of the middle nine tenths of a normal distribution, in standard deviations.
const HALF_OF_NINE_TENTHS: f64 = 1.644_854;

/// How worn tubes are taken to be.
pub fn tubes(tubes: Tubes) -> &'static str {
    match tubes {
        Tubes::New => "new",
        Tubes::Used => "used",
        Tubes::Tired => "tired",
    }
}

/// How worn electrolytics are taken to be.
pub fn electrolytics(electrolytics: Electrolytics) -> &'static str {
    match electrolytics {
        Electrolytics::Fresh => "fresh",
        Electrolytics::Old => "old",
        Electrolytics::Dried => "dried out",
    }
}

/// How worn the parts are taken to be.
pub fn condition(condition: Condition) -> String {
    format!(
        "{} tubes, {} electrolytics",
        tubes(condition.tubes),
        electrolytics(condition.electrolytics)
    )
}

/// How far a value is taken to be off: `±3 %`, `67 to 133 %`.
pub fn range(input: &Input) -> String {
    let [low, high] = input.chance.ends();
    if (low + high - 2.0).abs() < 1e-9 {
        format!("±{}", fine_per_cent(high - 1.0))
    } else {
        let [low, high] = [low, high].map(number::per_cent);
        from_to(&low, &high)
    }
}

/// How far a value is taken to be off, and why: `Taken to be right to ±3 %: common practice, no source`.
pub fn taken(input: &Input) -> String {
    let range = range(input);
    let within = if range.starts_with('±') {
        format!("Taken to be right to {range}")
    } else {
        format!("Taken to be {range} of this")
    };
    format!("{within}: {}", origin(input.origin))
}

/// What tubes of this age are taken to do.
pub fn of_tubes(supply: &Supply, tubes: Tubes) -> String {
    let condition = Condition {
        tubes,
        ..Condition::default()
    };
    let what = "Emission, of what the type has";
    aged(what, usual(supply, condition, Field::PassTube))
}

/// What electrolytics of this age are taken to hold.
pub fn of_electrolytics(supply: &Supply, electrolytics: Electrolytics) -> String {
    let condition = Condition {
        electrolytics,
        ..Condition::default()
    };
    let all = Field::all_of(supply).into_iter();
    let first =
        all.filter(|field| matches!(field, Field::InputCapacitor | Field::SectionCapacitor(_)));
    let usual = first
        .min()
        .and_then(|field| usual(supply, condition, field));
    aged("Capacitance, of what is printed", usual)
}

fn aged(what: &str, usual: Option<Usual>) -> String {
    let Some(usual) = usual else {
        return String::new();
    };
    let [low, high] = usual.chance.ends().map(number::per_cent);
    let range = from_to(&low, &high);
    format!(
        "{what}: {range}. From: {}. What is stated beside a value goes before",
        usual.source
    )
}

/// Why a spread is what it is.
pub fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::Stated => "as stated",
        Origin::Usual(source) => source,
        Origin::Guessed => "wide, for the value itself was guessed",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odds_never_claim_more_than_the_samples_say() {
        for (part, of, said) in [
            (0, 1000, "none of 1000"),
            (1000, 1000, "all 1000"),
            (3, 1000, "fewer than 1 of 100"),
            (999, 1000, "more than 99 of 100"),
            (930, 1000, "93 of 100"),
            (300, 1000, "30 of 100"),
            (111, 1000, "1 of 9"),
            (10, 1000, "1 of 100"),
            (0, 0, "none worked out"),
        ] {
            assert_eq!(share(part, of), said);
        }
    }

    #[test]
    fn a_spread_is_said_with_its_reason() {
        use crate::parts::spread::Chance;
        let input = |low, high, origin| Input {
            field: Field::Winding,
            chance: Chance::Even { low, high },
            origin,
            batch: None,
        };
        for (one, said) in [
            (
                input(0.97, 1.03, Origin::Usual("common practice, no source")),
                "Taken to be right to ±3 %: common practice, no source",
            ),
            (
                input(0.7, 1.0, Origin::Stated),
                "Taken to be 70 to 100 % of this: as stated",
            ),
        ] {
            assert_eq!(taken(&one), said);
        }
    }

    #[test]
    fn a_band_says_its_unit_once() {
        let found = Band {
            low: 214.2,
            middle: 225.0,
            high: 236.4,
        };
        assert_eq!(band(found, number::volts), "214 to 236 V, middle 225 V");
        let across = Band {
            low: 0.0008,
            middle: 0.001,
            high: 0.0012,
        };
        assert_eq!(band(across, number::amps), "800 µA to 1.2 mA, middle 1 mA");
        let none = Band {
            low: 5.0,
            middle: 5.0,
            high: 5.0,
        };
        assert_eq!(band(none, number::volts), "5 V in all");
    }
}
