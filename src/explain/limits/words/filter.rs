//! What capacitors and chokes bear.

use super::rectifier::{drawn, pulses};
use super::{BASE, Change, NotKnown, Said, Subject, Text, Words};
use crate::bench::working::{Capacitor, Working};
use crate::explain::{number, sentence_case};
use crate::parts::{CapacitorStack, SeriesElement, Supply};

const CAPACITOR: Words = Words {
    part: |of| of.allowed(&one_unit(of)),
    owner: "the capacitor's rating",
    to_change: Text::Of(|of| format!("{} or the volts on it", whole_name(of))),
    ..BASE
};

const fn printed(what: &'static str, place: &'static str) -> NotKnown {
    let of = Text::Of(whole_name);
    NotKnown::Read { what, of, place }
}

pub(super) static CAPACITOR_VOLTS: Words = Words {
    name: Text::Of(|of| format!("{} volts, no load", label(of.n(), of.supply))),
    sentence: |said| format!("{}; it is made for {}", stands_at(said), said.allowed),
    formula: stack_volts,
    not_known: printed("working volts", "on the capacitor"),
    rating: "the capacitor's working volts",
    term: "capacitor volts, no load",
    ..CAPACITOR
};

pub(super) static CAPACITOR_SURGE: Words = Words {
    name: Text::Of(|of| format!("{} surge volts, no load", label(of.n(), of.supply))),
    sentence: |said| format!("{}; its surge volts are {}", stands_at(said), said.allowed),
    formula: stack_volts,
    not_known: printed("surge volts", "on the capacitor or in its data sheet"),
    rating: "the capacitor's surge volts",
    term: "surge volts",
    ..CAPACITOR
};

pub(super) static CAPACITOR_RIPPLE: Words = Words {
    name: Text::Of(|of| format!("ripple current, {}", label(of.n(), of.supply))),
    sentence: |said| {
        let whom = sentence_case(&whole_name(said.subject));
        let carries = said.say("carries", "would carry");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("{whom} {carries} {actual} of ripple current; {allowed} is allowed")
    },
    formula: |said, working| pulses(said, ripple(said.subject, working)),
    not_known: printed("ripple current rating", "in the capacitor's data sheet"),
    rating: "the capacitor's ripple current rating",
    term: "ripple current",
    change: Change::UseAndCurrent,
    ..CAPACITOR
};

const THE_CHOKE: Text = Text::Of(|of| format!("the {}", choke(of.n(), of.supply)));

pub(super) static CHOKE_CURRENT: Words = Words {
    name: Text::Of(|of| format!("{} current", choke(of.n(), of.supply))),
    sentence: |said| said.may("carry", THE_CHOKE, ""),
    formula: |said, working| {
        let behind = behind_choke(said.subject.n(), said.supply);
        said.equals(drawn(working, said.supply, behind))
    },
    not_known: NotKnown::Read {
        what: "current rating",
        of: THE_CHOKE,
        place: "on the choke's label",
    },
    rating: "the choke's current rating",
    term: "choke current",
    owner: "the choke's rating",
    change: Change::UseAndCurrent,
    ..BASE
};

fn stack(of: Subject<'_>) -> Option<&CapacitorStack> {
    of.supply.filter.stacks().nth(usize::from(of.n()))
}

/// `C2`, or `bus` for the last one, which is the bus.
pub(in crate::explain) fn label(n: u8, supply: &Supply) -> String {
    if usize::from(n) + 1 == supply.filter.stacks().count() {
        "bus".to_owned()
    } else {
        format!("C{}", u32::from(n) + 1)
    }
}

/// A capacitor inside a sentence, without its article: `C1`, `bus capacitor`. Counted from the rectifier, from 0.
pub(in crate::explain) fn capacitor_name(n: u8, supply: &Supply) -> String {
    label(n, supply).replace("bus", "bus capacitor")
}

/// The capacitor inside a sentence: `capacitor C1`, `the bus capacitor`.
fn whole_name(of: Subject<'_>) -> String {
    match label(of.n(), of.supply).as_str() {
        "bus" => "the bus capacitor".to_owned(),
        other => format!("capacitor {other}"),
    }
}

/// `choke`, or `choke 2` where there are several.
pub(in crate::explain) fn choke(n: u8, supply: &Supply) -> String {
    let sections = supply.filter.sections.iter();
    let chokes = sections.filter(|s| matches!(s.series, SeriesElement::Choke { .. }));
    if chokes.count() > 1 {
        format!("choke {}", u32::from(n) + 1)
    } else {
        "choke".to_owned()
    }
}

/// Which of its units a rating is for; empty for one alone.
pub(in crate::explain) fn one_unit(of: Subject<'_>) -> String {
    stack_name(stack(of))
}

/// The same of any stack.
pub(super) fn stack_name(stack: Option<&CapacitorStack>) -> String {
    match stack.map_or((1, 1), |s| (s.in_series, s.strings)) {
        (0 | 1, 0 | 1) => String::new(),
        (0 | 1, strings) => format!("each of {strings} in parallel"),
        (in_series, _) => format!("each of {in_series} in series"),
    }
}

fn stands_at(said: &Said<'_>) -> String {
    let whom = match stack(said.subject) {
        Some(stack) if stack.in_series > 1 => format!(
            "the worst of the {} in series ({})",
            stack.in_series,
            label(said.subject.n(), said.supply)
        ),
        _ => whole_name(said.subject),
    };
    let (mains, actual) = (said.mains(), &said.actual);
    format!("With no load at {mains} mains {whom} stands at {actual}")
}

fn stack_volts(said: &Said<'_>, working: &Working) -> String {
    let crests = &working.no_load.operation.capacitor_crest_volts;
    let whole = crests.get(usize::from(said.subject.n())).copied();
    match stack(said.subject) {
        Some(stack) if stack.in_series > 1 => {
            let how = if stack.balancing.is_some() {
                "kept equal"
            } else {
                "the worst share by tolerance"
            };
            said.equals(format!(
                "{} over {} in series, {how}",
                number::volts(whole.unwrap_or(0.0)),
                stack.in_series
            ))
        }
        _ => format!("{} without load; allowed {}", said.actual, said.allowed),
    }
}

/// The capacitor behind the n-th choke.
fn behind_choke(n: u8, supply: &Supply) -> usize {
    let sections = supply.filter.sections.iter().enumerate();
    let mut chokes = sections.filter(|(_, s)| matches!(s.series, SeriesElement::Choke { .. }));
    let section = chokes.nth(usize::from(n)).map_or(0, |(place, _)| place);
    section + usize::from(supply.filter.input_capacitor.is_some())
}

/// Share of the first capacitor's ripple current above which the filter behind it takes on much of it.
const MUCH: f64 = 0.1;
/// Share of it below which that would not show in the sum.
const SHOWS: f64 = 0.005;

/// A capacitor carries no direct current, and currents of different frequencies add by their squares.
fn ripple(of: Subject<'_>, working: &Working) -> Option<String> {
    let share = match stack(of).map_or(1, |s| s.strings.max(1)) {
        1 => String::new(),
        many => format!(" / {many} strings"),
    };
    let operation = &working.operation;
    // Where the filter takes on much of it, the sum of squares says little.
    if of.n() == 0
        && let Some(ripple) = &working.ripple
        && ripple.into_filter_amps.abs() < MUCH * ripple.rms_amps
    {
        let steps = format!(
            "√(rectifier {} rms² \u{2212} {} mean²)",
            number::amps(operation.rectified_rms_amps),
            number::amps(operation.rectified_amps)
        );
        let taken = ripple.into_filter_amps;
        let amps = number::amps(taken.abs());
        let and_taken = if taken.abs() < SHOWS * ripple.rms_amps {
            String::new()
        } else if taken < 0.0 {
            format!(" + {amps} of ripple back from the filter")
        } else {
            format!(" \u{2212} {amps} of ripple into the filter")
        };
        return Some(match (and_taken.is_empty(), share.is_empty()) {
            (false, false) => format!("({steps}{and_taken}){share}"),
            _ => format!("{steps}{and_taken}{share}"),
        });
    }
    let Capacitor {
        farads,
        ripple_rms_volts,
        harmonics,
        ..
    } = working.capacitors.get(usize::from(of.n()))?;
    Some(format!(
        "2π × {} × {} × {} rms of ripple × {:.2} for its harmonics{share}",
        number::hertz(working.ripple_hertz),
        number::farads(*farads),
        number::volts(*ripple_rms_volts),
        (*harmonics)?
    ))
}
