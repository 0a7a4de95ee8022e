//! What the pass tubes bear, and their dropout.

use super::{BASE, Change, NotKnown, Outside, Said, Subject, Text, Words, sheet};
use crate::bench::working::Working;
use crate::explain::number;
use crate::parts::{HeaterTie, Supply};

const PASS: Words = Words {
    owner: "the pass tube's rating",
    ..BASE
};

pub(super) const PASS_TUBE: Text = Text::Of(|of| format!("the {}", of.pass_tube()));

pub(super) static PLATE_VOLTS: Words = Words {
    name: Text::Fixed("plate volts"),
    part: |of| of.allowed(of.pass_tube()),
    sentence: |said| said.may("have", PASS_TUBE, " between plate and cathode"),
    formula: |said, working| {
        let crest = number::volts(working.operation.bus.crest_volts);
        let output = number::volts(said.volts);
        said.equals(format!("crest of the bus {crest} \u{2212} {output}"))
    },
    not_known: sheet("highest plate volts", PASS_TUBE),
    rating: "the pass tube's highest plate volts",
    term: "plate volts",
    ..PASS
};

pub(super) static PLATE_CURRENT: Words = Words {
    name: Text::Of(|of| {
        let triode = of.supply.pass_stage.tube.triode_connected;
        let electrode = if triode { "cathode" } else { "plate" };
        format!("{electrode} current")
    }),
    part: |of| of.allowed(&worst_unit(of.supply)),
    sentence: |said| said.may("carry", Text::Of(the_worst_unit), ""),
    formula: plate_current,
    not_known: sheet("highest cathode current", PASS_TUBE),
    rating: "the pass tube's highest plate current",
    term: "plate current",
    change: Change::UseAndCurrent,
    ..PASS
};

pub(super) static PLATE_DISSIPATION: Words = Words {
    name: Text::Of(|of| {
        let triode = of.supply.pass_stage.tube.triode_connected;
        let and_screen = if triode { " and screen" } else { "" };
        format!("plate{and_screen} dissipation")
    }),
    part: |of| of.allowed(&worst_unit(of.supply)),
    sentence: |said| said.may("burn", Text::Of(the_worst_unit), ""),
    formula: |said, working| {
        let amps = number::amps(working.worst_amps);
        said.equals(format!("{} × {amps}", over_tube(said, working)))
    },
    not_known: sheet("highest plate dissipation", PASS_TUBE),
    rating: "the pass tube's plate dissipation",
    term: "plate dissipation",
    ..PASS
};

pub(super) static SCREEN_DISSIPATION: Words = Words {
    name: Text::Fixed("screen dissipation"),
    // Known without the screen's share of the current, without which it is not judged.
    part: |of| {
        let rating = of
            .supply
            .pass_stage
            .tube
            .ratings
            .screen_dissipation
            .as_ref()?;
        let watts = number::watts(rating.value.0);
        Some(format!("{watts}, {}", worst_unit(of.supply)))
    },
    sentence: |said| {
        let screen = Text::Of(|of| format!("the screen of {}", the_worst_unit(of)));
        said.may("burn", screen, "")
    },
    formula: |said, working| {
        let amps = number::amps(working.worst_amps);
        let share = working.screen_share.map_or_else(String::new, number::pure);
        let over_tube = over_tube(said, working);
        said.equals(format!("{over_tube} × {amps} × {share} for the screen"))
    },
    // Not in the list of limits without a rating, so it is the share that is missing.
    not_known: NotKnown::Read {
        what: "screen's share of the current",
        of: PASS_TUBE,
        place: "from a row of the maker's data sheet with plate and screen at the same volts",
    },
    rating: "the pass tube's screen dissipation",
    term: "screen dissipation",
    ..PASS
};

pub(super) static ENVELOPE_DISSIPATION: Words = Words {
    name: Text::Fixed("dissipation of one bulb"),
    part: |of| of.allowed(&format!("one {}", of.pass_tube())),
    sentence: |said| {
        let (tube, burn) = (said.subject.pass_tube(), said.say("burn", "would burn"));
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("All sections of one {tube} together {burn} {actual}; they may burn {allowed}")
    },
    formula: |said, working| {
        let amps = number::amps(working.bulb_amps);
        said.equals(format!("{} × {amps}", over_tube(said, working)))
    },
    not_known: sheet("highest dissipation of one bulb", PASS_TUBE),
    rating: "the dissipation of a whole pass tube",
    term: "plate dissipation",
    ..PASS
};

const HEATER: Words = Words {
    part: |of| of.allowed(of.pass_tube()),
    not_known: sheet("highest heater–cathode volts", PASS_TUBE),
    rating: "the pass tube's heater–cathode volts",
    term: "heater–cathode volts",
    ..PASS
};

pub(super) static HEATER_CATHODE: Words = Words {
    name: Text::Fixed("heater–cathode volts"),
    sentence: |said| {
        let (heaters, stand) = (heaters(said), said.say("stand", "would stand"));
        let (actual, allowed) = (&said.actual, &said.allowed);
        let tied = match said.supply.pass_stage.heater {
            _ if said.judged.actual <= 0.0 => return raised_but_not(said, "below"),
            Some(HeaterTie::Cathode) => "tied to the output",
            Some(HeaterTie::Elevated(_)) => "raised above the output's negative terminal",
            _ => "tied to the output's negative terminal",
        };
        format!("{heaters} are {tied}: {actual} {stand} between heater and cathode; {allowed} may")
    },
    formula: heater_cathode,
    ..HEATER
};

pub(super) static HEATER_ABOVE_CATHODE: Words = Words {
    name: Text::Fixed("heater above cathode"),
    sentence: |said| {
        if said.judged.actual <= 0.0 {
            return raised_but_not(said, "above");
        }
        let (heaters, stand) = (heaters(said), said.say("stand", "would stand"));
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("{heaters} {stand} {actual} above their cathodes; {allowed} may")
    },
    formula: |said, working| match said.supply.pass_stage.heater {
        Some(HeaterTie::Elevated(up)) if said.judged.actual > 0.0 => said.equals(format!(
            "heaters {} \u{2212} output {} \u{2212} {} over the resistors",
            number::volts(up.0),
            number::volts(said.volts),
            number::volts(working.cathode_lift_volts)
        )),
        _ => heater_cathode(said, working),
    },
    ..HEATER
};

pub(super) static DROPOUT: Words = Words {
    name: Text::Fixed("dropout"),
    part: |of| Some(format!("{} at its least drop", of.pass_tube())),
    sentence: dropout,
    formula: |said, _| {
        format!(
            "output {} + least drop {} = {}; valley of the bus {}",
            number::volts(said.volts),
            number::volts(said.judged.actual - said.volts),
            said.actual,
            said.allowed
        )
    },
    term: "dropout line",
    owner: "the regulation",
    outside: Outside::Point("above the dropout line"),
    change: Change::Valley,
    ..BASE
};

/// The valley of the bus against what the output and the least drop need.
fn dropout(said: &Said<'_>) -> String {
    let (tube, need) = (said.subject.pass_tube(), said.say("need", "would need"));
    let (output, amps) = (number::volts(said.volts), number::amps(said.amps));
    let (only, tail) = if said.is_over() {
        (" only", ", so ripple would come through")
    } else {
        ("", "")
    };
    let (needed, valley) = (&said.actual, &said.allowed);
    format!(
        "{output} and the least drop of the {tube} {need} {needed}; at {amps} the valley of the bus has{only} {valley}{tail}"
    )
}

fn heaters(said: &Said<'_>) -> String {
    format!("The heaters of the {}", said.subject.pass_tube())
}

fn raised_but_not(said: &Said<'_>, side: &str) -> String {
    let heaters = heaters(said);
    format!("{heaters} are raised, but not {side} their cathodes here")
}

/// How far the pass cathodes stand from their heaters.
fn heater_cathode(said: &Said<'_>, working: &Working) -> String {
    if said.judged.actual <= 0.0 {
        return format!("no volts this way round; allowed {}", said.allowed);
    }
    let above = number::volts(working.cathode_lift_volts);
    let output = number::volts(said.volts);
    match said.supply.pass_stage.heater {
        Some(HeaterTie::Common) => {
            said.equals(format!("output {output} + {above} over the resistors"))
        }
        Some(HeaterTie::Elevated(up)) => said.equals(format!(
            "output {output} + {above} over the resistors \u{2212} {} of the heaters",
            number::volts(up.0)
        )),
        _ => format!("over the resistors {}", said.without_steps()),
    }
}

/// Mean volts over the worst unit: `(bus 462 V − 120 V − 1.9 V over the resistors)`.
fn over_tube(said: &Said<'_>, working: &Working) -> String {
    let bus = number::volts(working.operation.bus.mean_volts);
    let output = number::volts(said.volts);
    // Half a tenth of a volt would print as nothing worth reading.
    let less = if working.resistor_volts < 0.05 {
        String::new()
    } else {
        let volts = number::volts(working.resistor_volts);
        format!(" \u{2212} {volts} over the resistors")
    };
    format!("(bus {bus} \u{2212} {output}{less})")
}

fn plate_current(said: &Said<'_>, working: &Working) -> String {
    let stage = &said.supply.pass_stage;
    let (mut amps, units) = (number::amps(said.amps), stage.units);
    if working.regulator_bus_amps > 0.0 {
        let regulator = number::amps(working.regulator_bus_amps);
        amps = format!("({amps} + {regulator} of the regulator)");
    }
    if units <= 1 {
        return format!("all of {amps} through one; allowed {}", said.allowed);
    }
    said.equals(if stage.tube_spread.is_some() {
        format!("{amps} / {units} and what the spread of the tubes adds")
    } else {
        let share = 1.0 + working.imbalance;
        format!("{amps} / {units} × {share:.2} for the unequal share")
    })
}

/// `worst 6080 section`, `each 6080 section` without imbalance, `6V6-GT` where there is only one.
fn worst_unit(supply: &Supply) -> String {
    let stage = &supply.pass_stage;
    let unit = if stage.tube.units > 1 {
        format!("{} section", stage.tube.name)
    } else {
        stage.tube.name.clone()
    };
    match stage.units {
        0 | 1 => unit,
        _ if stage.imbalance.0 > 0.0 => format!("worst {unit}"),
        _ => format!("each {unit}"),
    }
}

fn the_worst_unit(of: Subject<'_>) -> String {
    let unit = worst_unit(of.supply);
    if unit.starts_with("each ") {
        unit
    } else {
        format!("the {unit}")
    }
}
