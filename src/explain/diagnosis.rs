//! What readings say of a unit, in words: how sure, what explains what, what cannot be told apart, what to read next.

mod cause;
mod text;

pub use cause::{danger, name, range, sized, sized_as_subject};
pub use text::{Told, text};

use crate::bench::diagnosis::cause::{Cause, Danger, Row};
use crate::bench::diagnosis::narrowed::Narrowed;
use crate::bench::diagnosis::next::Next;
use crate::bench::diagnosis::{
    ALMOST_CERTAIN, DANGEROUS, Diagnosis, OFF, PROBABLE, PairSuspect, Suspect,
};
use crate::explain::{number, odds, readings, sentence_case};
use crate::parts::Supply;
use crate::parts::readings::Reading;
use crate::parts::spread::{Measured, Size};

/// What none of this covers.
pub const NOT_COVERED: &str = "Single causes of a list, and pairs of them: what is not on the list can look like one that is. Wrong values in the \
description do, too; compare it with the unit first.";

/// Small numbers as words, as one says them.
fn counted(number: usize) -> String {
    const WORDS: [&str; 10] = [
        "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    ];
    WORDS
        .get(number)
        .map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

/// The first sentence: what it is, or between what it cannot be told.
pub fn verdict(found: &Diagnosis, supply: &Supply) -> String {
    let [first, second, ..] = found.suspects.as_slice() else {
        return "Nothing to compare with".to_owned();
    };
    if found.counted == 0 {
        return "No reading counts yet".to_owned();
    }
    if !found.fit.is_good() && found.pairs.is_empty() {
        return format!(
            "None of the causes known here explains these readings; {} comes nearest",
            name(first.row.cause, first.unit, supply)
        );
    }
    if let Some(pair) = found.pairs.first() {
        return format!(
            "No single cause explains these readings as well as two at once: {}",
            self::pair(pair, supply)
        );
    }
    let named = sized(first, supply);
    if first.share >= ALMOST_CERTAIN {
        format!("Almost certainly {named}")
    } else if first.share >= PROBABLE {
        format!("Probably {named}")
    } else {
        format!(
            "Cannot tell {} from {}",
            name(first.row.cause, first.unit, supply),
            name(second.row.cause, second.unit, supply)
        )
    }
}

/// What a cause explains: `Pass tubes at 70 % ± 7 % explain all four readings that are off`.
pub fn explains(one: &Suspect, taken: &[Reading], supply: &Supply) -> String {
    let (subject, verb) = sized_as_subject(one, supply);
    let mut said = match (one.of_off, one.explains) {
        (0, _) => format!("{subject}: no reading is off"),
        (all, 0) => {
            let of = if all == 1 {
                "the one reading"
            } else {
                "any of the readings"
            };
            format!("{subject} {} {of} that {} off", verb.does_not(), are(all))
        }
        (1, _) => format!("{subject} {} the one reading that is off", verb.explains()),
        (all, same) if all == same => format!(
            "{subject} {} all {} readings that are off",
            verb.explains(),
            counted(all)
        ),
        (all, some) => format!(
            "{subject} {} {} of the {} readings that are off",
            verb.explains(),
            counted(some),
            counted(all)
        ),
    };
    let left = one.left_over.iter().take(2).filter_map(|(number, miss)| {
        let reading = taken.get(*number)?;
        let side = if *miss > 0.0 { "high" } else { "low" };
        let by = readings::value(reading.what, miss.abs());
        Some(format!(
            "; {} stays {by} {side}",
            readings::name(reading, supply)
        ))
    });
    said.extend(left);
    said
}

fn are(count: usize) -> &'static str {
    if count == 1 { "is" } else { "are" }
}

/// How likely, in words.
pub fn how_likely(share: f64) -> &'static str {
    if share >= ALMOST_CERTAIN {
        "almost certain"
    } else if share >= PROBABLE {
        "probable"
    } else if share >= 0.3 {
        "fits as well as others"
    } else if share >= 0.1 {
        "possible"
    } else {
        "unlikely"
    }
}

/// Two causes at once.
pub fn pair(pair: &PairSuspect, supply: &Supply) -> String {
    let [a, b] = pair.of;
    let of = |(row, unit, size): (Row, u8, f64)| cause::at_size(row, unit, size, supply);
    format!("{} and {}", of(a), of(b))
}

/// What to read next: `Read the bus at 100 mA: about 391 V would mean weak pass tubes, 404 V a weak rectifier`.
pub fn next(one: &Next, found: &Diagnosis, supply: &Supply) -> String {
    let read = readings::spot(one.spot, supply);
    let unit_of = |cause: Cause| {
        let suspect = found.suspects.iter().find(|s| s.row.cause == cause);
        suspect.map_or(0, |s| s.unit)
    };
    let values: Vec<String> = one
        .with
        .iter()
        .map(|(cause, [mean, sigma])| {
            format!(
                "{} would mean {}",
                readings::band(one.spot.what, *mean, *sigma),
                name(*cause, unit_of(*cause), supply)
            )
        })
        .collect();
    if values.is_empty() {
        format!("Read: {read}")
    } else {
        format!("Read: {read}; {}", values.join(", "))
    }
}

/// How the reading that does not fit is named.
pub fn doubtful(found: &Diagnosis, taken: &[Reading], supply: &Supply) -> Option<String> {
    let (number, _) = found.doubtful?;
    let reading = taken.get(number)?;
    Some(format!(
        "Reading {}, {}, does not go with the others; read it again",
        number + 1,
        readings::name(reading, supply)
    ))
}

/// Dangers of their own that are not unlikely, to be said before all else.
pub fn dangers(found: &Diagnosis, supply: &Supply) -> Vec<String> {
    let all = found.suspects.iter();
    let dangerous = all.filter(|one| one.row.danger == Danger::OfItsOwn && one.share > DANGEROUS);
    dangerous
        .filter_map(|one| {
            let warned = danger(one.row.cause)?;
            let named = sentence_case(&name(one.row.cause, one.unit, supply));
            Some(format!("{named} ({}): {warned}", how_likely(one.share)))
        })
        .collect()
}

/// Which readings agree with a sound unit.
pub fn agreeing(found: &Diagnosis) -> String {
    let told: Vec<_> = found
        .compared
        .iter()
        .filter(|one| one.expected.is_some())
        .collect();
    let within = told.iter().filter(|one| one.off_by.abs() <= OFF);
    let (within, all) = (within.count(), told.len());
    match all {
        0 => "No reading to compare".to_owned(),
        _ if within == all => format!("All {} agree with a sound unit", readings_of(all)),
        _ => format!("{within} of {} agree with a sound unit", readings_of(all)),
    }
}

fn readings_of(count: usize) -> String {
    if count == 1 {
        "1 reading".to_owned()
    } else {
        format!("{count} readings")
    }
}

/// What the readings say of a value if nothing is wrong: `Winding volts: 296 V ± 1.2 %, described as 290 V`.
pub fn value(one: &Narrowed, supply: &Supply) -> String {
    let name = sentence_case(&odds::field(one.field, supply));
    let spread = number::change(2.0 * one.after);
    let spread = spread.trim_start_matches('+');
    let said = match one.field.size(supply) {
        Some(Measured::In(size)) => {
            let si = size.si * one.factor;
            let three = format!("{si:.2e}").parse().unwrap_or(si);
            let now = Size { si: three, ..size };
            format!("{name}: {now} ± {spread}, described as {size}")
        }
        _ => format!("{name}: {} ± {spread}", number::per_cent(one.factor)),
    };
    match one.next {
        Some(spot) => format!("{said}; most would help: {}", readings::spot(spot, supply)),
        None => said,
    }
}

/// Above what the readings say of values.
pub const VALUES: &str = "Values, if nothing is wrong, with twice their standard deviation";

/// How well the best cause goes with the readings as a whole.
pub fn fit(found: &Diagnosis) -> String {
    format!(
        "χ² {} for the best cause; one right answer in a hundred has more than {}",
        number::pure(found.fit.chi_square),
        number::pure(found.fit.bound)
    )
}
