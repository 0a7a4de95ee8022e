//! The current of the gas references, and the volts with which they start.

use super::{BASE, Outside, Said, Subject, Text, Words, sheet};
use crate::explain::number;
use crate::explain::regulation::how_it_starts;
use crate::parts::{GasReference, ReferenceFeed, Supply};
use crate::physics::limit::Limit;
use crate::physics::operation::ReferenceAtRest;

const REFERENCE: Words = Words {
    part: |of| of.allowed(&tubes(of)),
    term: "gas reference",
    owner: "the reference's range",
    to_change: Text::Fixed("the gas reference or its feed resistor"),
    ..BASE
};

const EITHER_STRIKE: Words = Words {
    formula: |said, _| {
        let (actual, allowed) = (&said.actual, &said.allowed);
        let how = reference(said.subject).and_then(how_it_starts);
        let how = how.map_or_else(String::new, |how| format!(" ({how})"));
        format!("before the gas tubes strike {actual}; to start at least {allowed}{how}")
    },
    not_known: sheet(
        "starting volts",
        Text::Of(|of| format!("the gas reference ({})", tubes(of))),
    ),
    term: "starting volts",
    owner: "the start of the reference",
    to_change: Text::Fixed("the gas reference or the volts before it"),
    ..REFERENCE
};

pub(super) static STRIKE: Words = Words {
    name: Text::Fixed("reference, starting volts"),
    sentence: |said| strike(said, positive_feed(said.supply)),
    outside: Outside::Matter("the gas reference may stay dark"),
    ..EITHER_STRIKE
};

pub(super) static RAIL_STRIKE: Words = Words {
    name: Text::Fixed("rail reference, starting volts"),
    sentence: |said| strike(said, "the rail"),
    outside: Outside::Matter("the rail's gas reference may stay dark"),
    ..EITHER_STRIKE
};

pub(super) static LEAST: Words = Words {
    name: Text::Fixed("reference current, least"),
    sentence: least,
    formula: |said, working| {
        let fed = working.positive_feed.map(|fed| {
            format!(
                "(fed from {} \u{2212} {} before they carry any) / {}",
                number::volts_four(fed.feed_volts),
                number::volts_four(fed.dark_volts),
                number::ohms(fed.ohms)
            )
        });
        least_formula(said, fed)
    },
    outside: Outside::Matter("too little current for the gas reference"),
    ..REFERENCE
};

pub(super) static RAIL_LEAST: Words = Words {
    name: Text::Fixed("rail reference, least, no load"),
    sentence: least,
    formula: |said, working| {
        let at_rest = working.no_load.regulator.negative_least;
        least_formula(said, at_rest.map(|at| current(at, said.subject)))
    },
    outside: Outside::Matter("too little current for the rail's gas reference"),
    ..REFERENCE
};

pub(super) static MOST: Words = Words {
    name: Text::Fixed("reference current, most, no load"),
    sentence: most,
    formula: |said, working| {
        let at_rest = working.no_load.regulator.positive_most;
        said.equals(at_rest.map(|at| current(at, said.subject)))
    },
    ..REFERENCE
};

pub(super) static RAIL_MOST: Words = Words {
    name: Text::Fixed("rail reference, most, no load"),
    formula: |said, working| {
        let at_rest = working.no_load.regulator.negative_most;
        said.equals(at_rest.map(|at| current(at, said.subject)))
    },
    ..MOST
};

fn reference(of: Subject<'_>) -> Option<&GasReference> {
    let (Limit::ReferenceStrike(side) | Limit::ReferenceLeast(side) | Limit::ReferenceMost(side)) =
        of.limit
    else {
        return None;
    };
    of.supply.regulator.as_ref()?.gas_reference(side)
}

/// The gas tubes by their names: `0A2`, `3 × 0D3 and 0A3`.
fn tubes(of: Subject<'_>) -> String {
    let Some(reference) = reference(of) else {
        return String::new();
    };
    let mut list: Vec<(usize, &str)> = Vec::new();
    for tube in &reference.tubes {
        match list.iter_mut().find(|(_, name)| *name == tube.name) {
            Some((count, _)) => *count += 1,
            None => list.push((1, &tube.name)),
        }
    }
    let said: Vec<String> = list
        .into_iter()
        .map(|(count, name)| match count {
            1 => name.to_owned(),
            count => format!("{count} × {name}"),
        })
        .collect();
    said.join(" and ")
}

fn positive_feed(supply: &Supply) -> &'static str {
    let reference = supply.regulator.as_ref().and_then(|r| r.reference.as_ref());
    match reference.map(|r| r.fed_from) {
        Some(ReferenceFeed::Output) => "the output",
        _ => "the bus",
    }
}

fn strike(said: &Said<'_>, feed: &str) -> String {
    format!(
        "At {} mains {feed} {} {} while the gas reference ({}) is dark; {} {} every tube",
        said.mains(),
        said.say("gives", "would give only"),
        said.actual,
        tubes(said.subject),
        said.allowed,
        said.say("start", "would start")
    )
}

fn least(said: &Said<'_>) -> String {
    let (mains, tubes) = (said.mains(), tubes(said.subject));
    if said.judged.actual <= 0.0 {
        let is = said.say("is", "would be");
        return format!(
            "At {mains} mains the gas reference ({tubes}) {is} out: what feeds it is below its running volts"
        );
    }
    format!(
        "At {mains} mains the gas reference ({tubes}) {} {}; below {} its volts are no longer sure",
        said.say("carries", "would carry only"),
        said.actual,
        said.allowed
    )
}

fn least_formula(said: &Said<'_>, steps: Option<String>) -> String {
    if said.judged.actual <= 0.0 {
        return format!(
            "no current left for the gas tubes; at least {}",
            said.allowed
        );
    }
    said.equals(steps)
}

fn most(said: &Said<'_>) -> String {
    format!(
        "With no load at {} mains the gas reference ({}) {} {}; {} is allowed",
        said.mains(),
        tubes(said.subject),
        said.say("carries", "would carry"),
        said.actual,
        said.allowed
    )
}

/// Current of a gas tube from that of its feed resistor and what joins it or is taken from it.
fn current(at: ReferenceAtRest, of: Subject<'_>) -> String {
    let joining = at.amps - at.feed_amps;
    let set = number::volts(at.set_volts);
    let feed = number::amps(at.feed_amps);
    let others = number::amps(joining.abs());
    // Less than a hundredth of it is no step worth reading.
    let others = if joining.abs() < 0.01 * at.amps.abs() {
        String::new()
    } else if joining > 0.0 {
        format!(" + {others} of the other circuits")
    } else {
        let shunts = reference(of).and_then(|r| r.shunts.as_ref());
        let and = match shunts.map_or(0, Vec::len) {
            0 => "",
            1 => " and the shunt resistor",
            _ => " and the shunt resistors",
        };
        format!(" \u{2212} {others} for the other circuits{and}")
    };
    format!("set to {set}: through the feed resistor {feed}{others}")
}
