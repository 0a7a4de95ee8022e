//! What winding, rectifier and capacitors of the negative rail bear.

use super::filter::stack_name;
use super::rectifier::{heater_steps, in_series, one_device, stands_heater};
use super::{BASE, NotKnown, Said, Subject, Text, Words, sheet};
use crate::explain::sentence_case;
use crate::parts::{BiasRail, Connection};

fn rail(of: Subject<'_>) -> Option<&BiasRail> {
    of.supply.regulator.as_ref()?.bias_rail.as_ref()
}

/// `the rail's 6X4`.
const KIND: Text = Text::Of(|of| match rail(of) {
    Some(rail) => format!("the rail's {}", rail.rectifier.kind.name),
    None => "the rail's rectifier".to_owned(),
});

/// `each 6X4 plate`.
fn device(of: Subject<'_>) -> String {
    rail(of).map_or_else(String::new, |rail| one_device(&rail.rectifier))
}

const RECTIFIER: Words = Words {
    part: |of| of.allowed(device(of).trim_start_matches("the ")),
    owner: "the rating of the rail's rectifier",
    to_change: Text::Of(|of| format!("{} or what the rail gives", KIND.of(of))),
    ..BASE
};

pub(super) static WINDING_RMS: Words = Words {
    name: Text::Fixed("rail winding rms"),
    sentence: |said| {
        let mains = said.mains();
        let carries = said.say("carries", "would carry");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("At {mains} mains the rail's winding {carries} {actual} rms; {allowed} is allowed")
    },
    not_known: NotKnown::Read {
        what: "rms current rating",
        of: Text::Fixed("the rail's winding"),
        place: "on the transformer's label",
    },
    rating: "the rms current rating of the rail's winding",
    term: "winding rms",
    owner: "the rating of the rail's winding",
    to_change: Text::Fixed("the rail's winding or what the rail gives"),
    ..BASE
};

pub(super) static RECTIFIER_DC: Words = Words {
    name: Text::Fixed("rail rectifier output current"),
    sentence: |said| {
        let (mains, device) = (said.mains(), device(said.subject));
        let gives = said.say("gives", "would give");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("At {mains} mains {device} of the rail {gives} {actual} DC; it may give {allowed}")
    },
    not_known: sheet("highest DC output", KIND),
    rating: "the DC output rating of the rail's rectifier",
    term: "rectifier output current",
    ..RECTIFIER
};

pub(super) static RECTIFIER_PEAK: Words = Words {
    name: Text::Fixed("rail rectifier peak"),
    sentence: |said| {
        let (mains, device) = (said.mains(), device(said.subject));
        let reaches = said.say("reaches", "would reach");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!(
            "At {mains} mains the current of {device} of the rail {reaches} {actual} at its peak; {allowed} is allowed"
        )
    },
    not_known: sheet("highest peak current", KIND),
    rating: "the peak current rating of the rail's rectifier",
    term: "rectifier peak",
    ..RECTIFIER
};

pub(super) static PEAK_INVERSE: Words = Words {
    name: Text::Fixed("rail rectifier peak inverse"),
    sentence: |said| {
        let (mains, device) = (said.mains(), device(said.subject));
        let sees = said.say("sees", "would see");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!(
            "At {mains} mains {device} of the rail {sees} {actual} of inverse volts; it may stand {allowed}"
        )
    },
    formula: |said, _| said.equals(inverse_steps(said)),
    not_known: sheet("highest peak inverse volts", KIND),
    rating: "the peak inverse rating of the rail's rectifier",
    term: "peak inverse volts",
    to_change: Text::Of(|of| format!("{} or the volts on it", KIND.of(of))),
    ..RECTIFIER
};

pub(super) static HEATER_CATHODE: Words = Words {
    name: Text::Fixed("rail rectifier heater–cathode volts"),
    sentence: |said| stands_heater(said, KIND),
    formula: |said, _| {
        let tie = rail(said.subject).and_then(|rail| rail.rectifier.heater);
        heater_steps(said, tie)
    },
    not_known: sheet("highest heater–cathode volts", KIND),
    rating: "the heater–cathode volts of the rail's rectifier",
    term: "heater–cathode volts",
    to_change: Text::Of(|of| format!("{} or what its heater is tied to", KIND.of(of))),
    ..RECTIFIER
};

const CAPACITOR: Words = Words {
    part: |of| of.allowed(&one_unit(of)),
    owner: "the rating of the rail's capacitor",
    to_change: Text::Of(|of| format!("{} or the volts on it", whole_name(of))),
    ..BASE
};

pub(super) static CAPACITOR_VOLTS: Words = Words {
    name: Text::Of(|of| format!("{} volts", label(of))),
    sentence: |said| format!("{}; it is made for {}", stands_at(said), said.allowed),
    not_known: NotKnown::Read {
        what: "working volts",
        of: Text::Of(whole_name),
        place: "on the capacitor",
    },
    rating: "the working volts of the rail's capacitor",
    term: "capacitor volts, no load",
    ..CAPACITOR
};

pub(super) static CAPACITOR_SURGE: Words = Words {
    name: Text::Of(|of| format!("{} surge volts", label(of))),
    sentence: |said| format!("{}; its surge volts are {}", stands_at(said), said.allowed),
    not_known: NotKnown::Read {
        what: "surge volts",
        of: Text::Of(whole_name),
        place: "on the capacitor or in its data sheet",
    },
    rating: "the surge volts of the rail's capacitor",
    term: "surge volts",
    ..CAPACITOR
};

/// `rail C1`, or `rail C` where there is one.
fn label(of: Subject<'_>) -> String {
    match rail(of).map_or(0, |rail| rail.filter.stacks().count()) {
        0 | 1 => "rail C".to_owned(),
        _ => format!("rail C{}", u32::from(of.n()) + 1),
    }
}

/// The capacitor inside a sentence: `capacitor C1 of the rail`.
fn whole_name(of: Subject<'_>) -> String {
    match label(of).trim_start_matches("rail ") {
        "C" => "the rail's capacitor".to_owned(),
        one => format!("capacitor {one} of the rail"),
    }
}

fn one_unit(of: Subject<'_>) -> String {
    let stack = rail(of).and_then(|rail| rail.filter.stacks().nth(usize::from(of.n())));
    stack_name(stack)
}

fn stands_at(said: &Said<'_>) -> String {
    let of = said.subject;
    let stack = rail(of).and_then(|rail| rail.filter.stacks().nth(usize::from(of.n())));
    let whom = match stack {
        Some(stack) if stack.in_series > 1 => format!(
            "the worst of the {} in series of {}",
            stack.in_series,
            whole_name(of)
        ),
        _ => whole_name(of),
    };
    let (mains, actual) = (said.mains(), &said.actual);
    sentence_case(&format!("at {mains} mains {whom} stands at {actual}"))
}

fn inverse_steps(said: &Said<'_>) -> Option<String> {
    let rail = rail(said.subject)?;
    let choke_input = rail.filter.input_capacitor.is_none();
    let steps = match rail.rectifier.connection {
        Connection::FullWaveCentreTap if choke_input => "2 × crest of the rail's winding",
        Connection::Bridge => "crest of the rail's winding",
        _ => "crest of the rail's winding + its first capacitor",
    };
    let shared = in_series(&rail.rectifier);
    Some(if shared.is_empty() {
        steps.to_owned()
    } else {
        format!("({steps}){shared}")
    })
}
