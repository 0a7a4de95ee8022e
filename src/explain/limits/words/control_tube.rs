//! What the control tube bears.

use super::{BASE, Said, Text, Words, sheet};
use crate::bench::working::Working;
use crate::explain::{number, regulation};
use crate::parts::HeaterTie;
use crate::physics::operation::WorstDissipation;

pub(super) const CONTROL_TUBE: Text = Text::Of(|of| format!("the {}", of.control_tube()));

const ITS_SCREEN: Text = Text::Of(|of| format!("the screen of the {}", of.control_tube()));

const CONTROL: Words = Words {
    part: |of| of.allowed(of.control_tube()),
    term: "control tube",
    owner: "the control tube's rating",
    ..BASE
};

pub(super) static PLATE_VOLTS: Words = Words {
    name: Text::Fixed("control tube plate volts"),
    sentence: |said| {
        let held = " between plate and cathode, as its plate holds the pass grids";
        said.may("have", CONTROL_TUBE, held)
    },
    formula: |said, working| {
        let steps = working.control_cathode_volts.map(|cathode| {
            format!(
                "plate at {}, cathode at {}: {} between them",
                number::volts_four(cathode + said.judged.actual),
                number::volts_four(cathode),
                number::volts_four(said.judged.actual)
            )
        });
        with_volts(said, steps)
    },
    not_known: sheet("highest plate volts", CONTROL_TUBE),
    rating: "the control tube's highest plate volts",
    ..CONTROL
};

pub(super) static PLATE_DISSIPATION: Words = Words {
    name: Text::Fixed("control tube dissipation, no load"),
    sentence: |said| {
        let at_rest = " on its plate at its worst setting with no load";
        said.may("burn", CONTROL_TUBE, at_rest)
    },
    formula: |said, working| {
        let at_rest = working.no_load.regulator.control_plate;
        said.equals(at_rest.map(|at| burning("plate", at)))
    },
    not_known: sheet("highest plate dissipation", CONTROL_TUBE),
    rating: "the control tube's plate dissipation",
    to_change: Text::Of(|of| format!("the {} or its plate load", of.control_tube())),
    ..CONTROL
};

const SCREEN: Words = Words {
    to_change: Text::Of(|of| {
        let regulator = of.supply.regulator.as_ref();
        let divided = regulator.is_some_and(|r| r.screen_divider.is_some());
        let what = if divided { "divider" } else { "volts" };
        format!("the {} or its screen {what}", of.control_tube())
    }),
    ..CONTROL
};

pub(super) static SCREEN_VOLTS: Words = Words {
    name: Text::Fixed("control tube screen volts"),
    sentence: |said| said.may("have", ITS_SCREEN, " above its cathode"),
    formula: |said, _| said.equals(screen_comes_from(said)),
    not_known: sheet("highest screen volts", CONTROL_TUBE),
    rating: "the control tube's highest screen volts",
    ..SCREEN
};

pub(super) static SCREEN_DISSIPATION: Words = Words {
    name: Text::Fixed("control tube screen, no load"),
    sentence: |said| said.may("burn", ITS_SCREEN, " at its worst setting with no load"),
    formula: |said, working| {
        let at_rest = working.no_load.regulator.control_screen;
        said.equals(at_rest.map(|at| burning("screen", at)))
    },
    not_known: sheet("highest screen dissipation", CONTROL_TUBE),
    rating: "the control tube's screen dissipation",
    ..SCREEN
};

pub(super) static HEATER_CATHODE: Words = Words {
    name: Text::Fixed("control tube heater–cathode volts"),
    sentence: |said| {
        let (tube, stand) = (
            said.subject.control_tube(),
            said.say("stand", "would stand"),
        );
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("Between heater and cathode of the {tube} {stand} {actual}; {allowed} may")
    },
    formula: heater_cathode,
    not_known: sheet("highest heater–cathode volts", CONTROL_TUBE),
    rating: "the control tube's heater–cathode volts",
    term: "heater–cathode volts",
    to_change: Text::Of(|of| format!("the {} or what its heater is tied to", of.control_tube())),
    ..CONTROL
};

/// What gives the screen its volts.
fn screen_comes_from(said: &Said<'_>) -> String {
    let regulator = said.supply.regulator.as_ref();
    let divided = regulator.and_then(|r| Some((r, r.screen_divider.as_ref()?)));
    divided.map_or_else(
        || "screen above cathode as described".to_owned(),
        |(regulator, divider)| {
            format!(
                "screen above cathode at the setting with most, no load: {} from {}, {} to {}, less what the screen draws",
                divider.upper,
                regulation::screen_feed(divider.fed_from),
                divider.lower,
                regulation::tap(divider.foot, regulator)
            )
        },
    )
}

fn burning(electrode: &str, at: WorstDissipation) -> String {
    format!(
        "set to {}: {electrode} {} × {}",
        number::volts(at.set_volts),
        number::volts(at.volts),
        number::amps(at.amps)
    )
}

/// Where cathode and heater stand.
fn heater_cathode(said: &Said<'_>, working: &Working) -> String {
    let steps = working.no_load.regulator.control_heater_volts.map(|above| {
        let from = match said.supply.regulator.as_ref().and_then(|r| r.heater) {
            Some(HeaterTie::Elevated(up)) => up.0,
            Some(HeaterTie::Common) => 0.0,
            _ => return "heater tied to the cathode: nothing between them".to_owned(),
        };
        format!(
            "cathode at {}, heater at {}: {} between them",
            number::volts_four(from + above),
            number::volts_four(from),
            number::volts_four(above.abs())
        )
    });
    with_volts(said, steps)
}

/// Steps in which the volts stand already.
fn with_volts(said: &Said<'_>, steps: Option<String>) -> String {
    let steps = steps.unwrap_or_else(|| said.actual.clone());
    format!("{steps}; allowed {}", said.allowed)
}
