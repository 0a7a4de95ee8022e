//! Ratings accepted as built, in words: what was accepted and why, what to keep in mind, and what is wrong with an acceptance.

use crate::bench::acceptance::Taken;
use crate::explain::limits;
use crate::explain::{number, sentence_case};
use crate::parts::check::Problem;
use crate::parts::{Accepted, Stage, Supply};
use crate::physics::limit::{
    self, Bound, Limit, Measure, OfRail, Unfit, acceptance, published, unfit,
};

/// Share of the reach from which a rating that takes it away is asked about.
const WORTH_ASKING: f64 = 0.5;

/// Above the list of what was accepted.
pub const HEADING: &str = "Accepted as built";

/// Each rating that is accepted as built: `plate volts, control tube: accepted as built up to 412 V, by the book 300 V; as its maker ran it`.
pub fn sentences(supply: &Supply) -> Vec<String> {
    let limits = limit::all(supply);
    let one = |limit: &Limit| {
        let accepted = acceptance(*limit, supply)?;
        let up_to = up_to(*limit, supply)?;
        let name = sentence_case(&limits::name(*limit, supply));
        let reason = match accepted.reason.trim() {
            "" => String::new(),
            reason => format!("; {reason}"),
        };
        Some(format!("{name}: {up_to}{reason}"))
    };
    limits.iter().filter_map(one).collect()
}

/// The same below a picture, in one line; empty where nothing is accepted.
pub fn in_one_line(supply: &Supply) -> String {
    match sentences(supply).as_slice() {
        [] => String::new(),
        all => all.join(". "),
    }
}

/// `accepted as built up to 412 V, by the book 300 V`; `None` where nothing is accepted.
pub fn up_to(limit: Limit, supply: &Supply) -> Option<String> {
    let accepted = acceptance(limit, supply)?;
    let rated = published(limit, supply).ok()?.value;
    let way = match limit.row().bound {
        Bound::AtLeast | Bound::LowEnd => "down",
        Bound::AtMost | Bound::GridDrive => "up",
    };
    Some(format!(
        "accepted as built {way} to {}, by the book {}",
        number::measured(accepted.up_to.si(), limit.measure()),
        number::measured(rated, limit.measure())
    ))
}

/// Asks about the rating that alone takes most of the reach, where it is worth asking.
pub fn question(taken: &[Taken], supply: &Supply) -> Option<(Limit, String)> {
    let most = taken.first().filter(|one| one.share >= WORTH_ASKING)?;
    let name = sentence_case(&limits::name(most.limit, supply));
    // "100 %" is said only where nothing is left.
    let what = if most.share > 1.0 - 1e-9 {
        "all".to_owned()
    } else {
        number::per_cent(most.share.min(0.99))
    };
    Some((
        most.limit,
        format!(
            "{name}: this rating alone takes away {what} of what the supply does. Is the circuit the maker's own?"
        ),
    ))
}

/// What to keep in mind where a rating is accepted.
pub fn caution(limit: Limit) -> &'static str {
    match limit {
        Limit::HeaterCathode
        | Limit::HeaterAboveCathode
        | Limit::ControlHeaterCathode
        | Limit::RectifierHeaterCathode
        | Limit::Rail(OfRail::HeaterCathode) => {
            "Heater–cathode insulation that gives way puts the cathode's volts on the heater winding and on every part that is tied to it. \
             Measure its leakage hot before you rely on it."
        }
        Limit::CapacitorVolts(_)
        | Limit::CapacitorSurge(_)
        | Limit::Rail(OfRail::CapacitorVolts(_) | OfRail::CapacitorSurge(_)) => {
            "A capacitor over its rated volts may vent or burst, with the whole charge of the filter behind it. Measure its leakage at \
             these volts, with a cover on, before you rely on it."
        }
        Limit::RectifierPeakInverse | Limit::Rail(OfRail::PeakInverse) => {
            "A rectifier that flashes over shorts the winding: see that a fuse protects the transformer before you rely on it."
        }
        Limit::CapacitorRipple(_) => {
            "Ripple heats a capacitor from inside, an old one more. Feel for it with the mains plug out."
        }
        Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::ChokeCurrent(_)
        | Limit::Rail(OfRail::WindingRms | OfRail::RectifierDc | OfRail::RectifierPeak) => {
            "It is a matter of heat and of life: keep the time short, and see that a fuse protects the transformer."
        }
        Limit::SupplyResistance | Limit::FirstCapacitor => {
            "The charging peaks wear the rectifier's cathode, most of all when it is switched on hot: see that a fuse protects the transformer."
        }
        _ => {
            "Old makers ran tubes above the book, at the cost of tube life. How far beyond it is safe, no sheet says."
        }
    }
}

/// Acceptances that cannot be meant: a fault of the file, with its field.
pub fn faults(supply: &Supply) -> Vec<Problem> {
    problems(supply, |why| !is_moot(why))
}

/// Acceptances that mean nothing with the parts that are fitted now: each is said, and kept.
pub fn remarks(supply: &Supply) -> Vec<Problem> {
    problems(supply, is_moot)
}

/// True for what another part would give a meaning.
fn is_moot(why: &Unfit) -> bool {
    matches!(
        why,
        Unfit::WithinTheRating(..) | Unfit::RatingNotKnown(_) | Unfit::NotOfThisSupply
    )
}

fn problems(supply: &Supply, counts: impl Fn(&Unfit) -> bool) -> Vec<Problem> {
    let all = unfit(supply).into_iter().filter(|(_, why)| counts(why));
    all.filter_map(|(index, why)| Some(problem(supply.accepted.get(index)?, index, why, supply)))
        .collect()
}

fn problem(one: &Accepted, index: usize, why: Unfit, supply: &Supply) -> Problem {
    let name = |limit| limits::name(limit, supply);
    let (field, found, expected, about) = match why {
        Unfit::NoSuchLimit => (
            "rating",
            format!("\"{}\"", one.rating),
            format!("the name of a rating, such as {}", some_names(supply)),
            None,
        ),
        Unfit::NotOfThisSupply => (
            "rating",
            format!("\"{}\"", one.rating),
            "a rating that a part of this supply has; it is kept, and says nothing".to_owned(),
            None,
        ),
        Unfit::NotARating(limit) => (
            "rating",
            format!(
                "{}, which is what the supply does and no rating",
                name(limit)
            ),
            format!("the name of a rating, such as {}", some_names(supply)),
            Some(limit),
        ),
        Unfit::RatingNotKnown(limit) => (
            "rating",
            format!("{}, whose rating is not known", name(limit)),
            "a rating that is known; it is kept, and says nothing".to_owned(),
            Some(limit),
        ),
        Unfit::OtherMeasure(limit) => (
            "up_to",
            one.up_to.to_string(),
            format!("{} for {}", of_measure(limit.measure()), name(limit)),
            Some(limit),
        ),
        Unfit::WithinTheRating(limit, rated) => {
            let side = match limit.row().bound {
                Bound::AtLeast | Bound::LowEnd => "below",
                Bound::AtMost | Bound::GridDrive => "above",
            };
            (
                "up_to",
                one.up_to.to_string(),
                format!(
                    "more than the rating allows, {side} {}; it is kept, and says nothing",
                    number::measured(rated, limit.measure())
                ),
                Some(limit),
            )
        }
        Unfit::Twice(limit, first) => (
            "rating",
            format!("{} a second time", name(limit)),
            format!("it once, as in accepted[{first}]"),
            Some(limit),
        ),
    };
    Problem {
        stage: about.map_or(Stage::Output, Limit::stage),
        field: format!("accepted[{index}].{field}"),
        found,
        expected,
    }
}

/// Names of ratings that this supply has.
fn some_names(supply: &Supply) -> String {
    let all = limit::all(supply).into_iter();
    let names: Vec<String> = all
        .filter(|limit| limit.is_rating() && published(*limit, supply).is_ok())
        .map(|limit| format!("\"{}\"", limit.key()))
        .take(4)
        .collect();
    names.join(", ")
}

fn of_measure(measure: Measure) -> &'static str {
    match measure {
        Measure::Volts => "volts",
        Measure::Amps => "amperes",
        Measure::Watts => "watts",
        Measure::Ohms => "ohms",
        Measure::Farads => "farads",
    }
}

/// Short, for a list: `accepted to 412 V`.
pub fn mark(limit: Limit, supply: &Supply) -> Option<String> {
    let accepted = acceptance(limit, supply)?;
    let bound = number::measured(accepted.up_to.si(), limit.measure());
    Some(format!("accepted to {bound}"))
}

/// What accepting means.
pub const WHAT_IT_MEANS: &str = "The rating then counts up to this bound: the worst that the supply reaches at high mains, as it is now. \
     The published line stays on the plot, dotted; whatever is shown, printed or exported says what was accepted. Only for a circuit that \
     was built so and has lived with it.";

/// The reason that stands there until another is typed.
pub const USUAL_REASON: &str = "as its maker built it";
