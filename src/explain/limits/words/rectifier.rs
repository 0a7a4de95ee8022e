//! What the rectifier and the high-voltage winding bear.
//!
//! Mean and rms of pulses over the cycle follow from the definitions of both, and half a sine has π/2 and π/(2√2).

use super::{BASE, Change, NotKnown, Outside, Said, Text, Words, sheet};
use crate::bench::working::Working;
use crate::explain::{number, sentence_case};
use crate::parts::{Connection, HeaterTie, Rectifier, RectifierLaw, Supply};

const KIND: Text = Text::Of(|of| format!("the {}", of.supply.rectifier.kind.name));

const RECTIFIER: Words = Words {
    part: |of| of.allowed(device(of.supply).trim_start_matches("the ")),
    owner: "the rectifier's rating",
    ..BASE
};

pub(super) static DC: Words = Words {
    name: Text::Fixed("rectifier output current"),
    // Judged for one device, published for the whole.
    part: |of| {
        let kind = &of.supply.rectifier.kind;
        let choke_input = of.supply.filter.input_capacitor.is_none();
        let rating = (kind.dc_current_choke_input.as_ref())
            .filter(|_| choke_input)
            .or(kind.dc_current.as_ref())?;
        let amps = number::amps(rating.value.0);
        Some(format!("{amps}, whole {}", kind.name))
    },
    sentence: direct,
    formula: |said, working| said.equals(direct_steps(working, said.supply)),
    not_known: sheet("highest DC output", KIND),
    rating: "the rectifier's DC output rating",
    term: "rectifier output current",
    change: Change::UseAndCurrent,
    ..RECTIFIER
};

pub(super) static PEAK: Words = Words {
    name: Text::Fixed("rectifier peak"),
    sentence: |said| {
        let device = device(said.supply);
        let reaches = said.say("reaches", "would reach");
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!("The current of {device} {reaches} {actual} at its peak; {allowed} is allowed")
    },
    formula: |said, working| pulses(said, peak_steps(working)),
    not_known: sheet("highest peak current", KIND),
    rating: "the rectifier's peak current rating",
    term: "rectifier peak",
    change: Change::UseAndCurrent,
    ..RECTIFIER
};

pub(super) static PEAK_INVERSE: Words = Words {
    name: Text::Fixed("peak inverse, no load"),
    sentence: |said| {
        let (mains, device) = (said.mains(), device(said.supply));
        let (actual, allowed) = (&said.actual, &said.allowed);
        format!(
            "With no load at {mains} mains {device} sees {actual} of inverse volts; it may stand {allowed}"
        )
    },
    formula: peak_inverse,
    not_known: sheet("highest peak inverse volts", KIND),
    rating: "the rectifier's peak inverse rating",
    term: "peak inverse volts",
    to_change: Text::Of(|of| format!("{} or the volts on it", KIND.of(of))),
    ..RECTIFIER
};

/// A chart over the current: the more it gives, the less it stands.
pub(super) static PEAK_INVERSE_LOADED: Words = Words {
    name: Text::Fixed("peak inverse, loaded"),
    part: |of| Some(format!("{}, by its current", KIND.of(of))),
    sentence: |said| {
        let device = device(said.supply);
        let (actual, allowed) = (&said.actual, &said.allowed);
        let amps = number::amps(said.amps);
        format!(
            "With {amps} of output {device} sees {actual} of inverse volts; giving that much it may stand {allowed}"
        )
    },
    formula: |said, _| {
        let shared = in_series(&said.supply.rectifier);
        said.equals(if shared.is_empty() {
            "crest of the winding + first capacitor".to_owned()
        } else {
            format!("(crest of the winding + first capacitor){shared}")
        })
    },
    not_known: sheet("highest peak inverse volts", KIND),
    rating: "the rectifier's peak inverse rating",
    term: "peak inverse volts",
    change: Change::UseAndCurrent,
    ..RECTIFIER
};

pub(super) static HEATER_CATHODE: Words = Words {
    name: Text::Fixed("rectifier heater–cathode volts, no load"),
    sentence: |said| stands_heater(said, KIND),
    formula: |said, _| heater_steps(said, said.supply.rectifier.heater),
    not_known: sheet("highest heater–cathode volts", KIND),
    rating: "the rectifier's heater–cathode volts",
    term: "heater–cathode volts",
    to_change: Text::Of(|of| format!("{} or what its heater is tied to", KIND.of(of))),
    ..RECTIFIER
};

pub(super) fn stands_heater(said: &Said<'_>, whose: Text) -> String {
    let (mains, whose) = (said.mains(), whose.of(said.subject));
    let stand = said.say("stand", "would stand");
    let (actual, allowed) = (&said.actual, &said.allowed);
    format!(
        "With no load at {mains} mains {actual} {stand} between heater and cathode of {whose}; {allowed} may"
    )
}

/// From where the volts are counted.
pub(super) fn heater_steps(said: &Said<'_>, tie: Option<HeaterTie>) -> String {
    let from = match tie {
        Some(HeaterTie::Cathode) => "heater tied to the cathode: nothing between them".to_owned(),
        Some(HeaterTie::Elevated(volts)) => format!(
            "heater at {}, cathode at its furthest from there: {}",
            number::volts(volts.0),
            said.actual
        ),
        _ => format!(
            "heater at the output's negative terminal, cathode at its furthest from there: {}",
            said.actual
        ),
    };
    format!("{from}; allowed {}", said.allowed)
}

pub(super) static SUPPLY_RESISTANCE: Words = Words {
    name: Text::Fixed("supply resistance"),
    sentence: |said| {
        let device = sentence_case(&device(said.supply));
        let (actual, least) = (&said.actual, &said.allowed);
        let only = said.say("", "only ");
        format!(
            "{device} has {only}{actual} of winding and resistors before it; its maker asks for {least} at least"
        )
    },
    formula: |said, working| {
        let [first, second] = working.source.halves();
        let winding = first.ohms.min(second.ohms);
        let own = said.supply.rectifier.plate_resistor.0;
        let together = match said.supply.rectifier.in_parallel {
            0 | 1 => String::new(),
            many => format!(" × {many} in parallel"),
        };
        let which = match working.source.second_half {
            Some(_) => "half-winding with less",
            None => "winding",
        };
        said.equals(format!(
            "{which} and reflected primary {}{together} + plate resistor {}",
            number::ohms(winding),
            number::ohms(own)
        ))
    },
    rating: "the least supply resistance that the rectifier's maker asks for",
    term: "supply resistance",
    to_change: Text::Of(|of| format!("{} or the resistance before it", KIND.of(of))),
    outside: Outside::Matter("too little resistance before the rectifier"),
    moved_by_mains: false,
    ..RECTIFIER
};

pub(super) static FIRST_CAPACITOR: Words = Words {
    name: Text::Fixed("first capacitor"),
    part: |of| of.allowed(&of.supply.rectifier.kind.name),
    sentence: |said| {
        let (actual, allowed) = (&said.actual, &said.allowed);
        let kind = &said.supply.rectifier.kind.name;
        format!("The first capacitor has {actual}; the maker of the {kind} allows {allowed}")
    },
    rating: "the largest first capacitor that the rectifier's maker allows",
    term: "first capacitor",
    to_change: Text::Of(|of| format!("the first capacitor or {}", KIND.of(of))),
    moved_by_mains: false,
    ..RECTIFIER
};

pub(super) static WINDING_RMS: Words = Words {
    name: Text::Fixed("winding rms"),
    part: |of| of.allowed(winding(of.supply)),
    sentence: |said| {
        let winding = Text::Of(|of| format!("the {}", winding(of.supply)));
        let rms = match said.supply.rail_on_high_voltage() {
            Some(_) => " rms with the negative rail's current",
            None => " rms",
        };
        said.may("carry", winding, rms)
    },
    formula: |said, working| pulses(said, winding_steps(working, said.supply)),
    not_known: NotKnown::Read {
        what: "rms current rating",
        of: Text::Fixed("the high-voltage winding"),
        place: "on the transformer's label or from its maker",
    },
    rating: "the winding's rms current rating",
    term: "winding rms",
    owner: "the winding's rating",
    change: Change::UseAndCurrent,
    ..BASE
};

/// What one device is called: a tube has plates, silicon has diodes; one alone is not each of several.
fn device(supply: &Supply) -> String {
    one_device(&supply.rectifier)
}

/// The same of any rectifier.
pub(super) fn one_device(rectifier: &Rectifier) -> String {
    let kind = &rectifier.kind;
    let alone = rectifier.connection == Connection::HalfWave && rectifier.in_parallel <= 1;
    match kind.law {
        RectifierLaw::Silicon { .. } if alone => format!("the {} diode", kind.name),
        _ if alone && kind.plates <= 1 => format!("the {}", kind.name),
        RectifierLaw::Silicon { .. } => format!("each {} diode", kind.name),
        _ if kind.plates > 1 => format!("each {} plate", kind.name),
        _ => format!("each {}", kind.name),
    }
}

fn winding(supply: &Supply) -> &'static str {
    match supply.rectifier.connection {
        Connection::FullWaveCentreTap => "high-voltage half-winding",
        Connection::Bridge | Connection::HalfWave => "high-voltage winding",
    }
}

fn direct(said: &Said<'_>) -> String {
    let kind = &said.supply.rectifier.kind;
    let may = if kind.plates > 1 {
        format!("its share of what the {} may give is", kind.name)
    } else {
        "it may give".to_owned()
    };
    let device = sentence_case(&device(said.supply));
    let gives = said.say("gives", "would give");
    let (actual, allowed) = (&said.actual, &said.allowed);
    format!("{device} {gives} {actual} DC; {may} {allowed}")
}

/// Steps from the pulses of the rectifier, which has none where it carries no current.
pub(super) fn pulses(said: &Said<'_>, steps: Option<String>) -> String {
    match steps {
        Some(steps) => said.equals(steps),
        None => format!(
            "{}: the rectifier carries no current here; allowed {}",
            said.actual, said.allowed
        ),
    }
}

/// Everything that is drawn from the rectifier, through the capacitors from `first` on.
pub(super) fn drawn(working: &Working, supply: &Supply, first: usize) -> String {
    let balancing: f64 = (working.capacitors.iter().skip(first))
        .map(|capacitor| capacitor.balancing_amps)
        .sum();
    [
        ("output", working.operation.output_amps),
        ("regulator", working.regulator_bus_amps),
        ("internal", supply.filter.internal_current.0),
        ("bleeder", working.bleeder_amps),
        ("balancing", balancing),
    ]
    .into_iter()
    .filter(|(what, amps)| *amps > 0.0 || *what == "output")
    .map(|(what, amps)| format!("{what} {}", number::amps(amps)))
    .collect::<Vec<_>>()
    .join(" + ")
}

/// The share of one device in what is drawn.
fn direct_steps(working: &Working, supply: &Supply) -> String {
    let sum = drawn(working, supply, 0);
    let sides = match (supply.rectifier.connection, working.operation.by_half) {
        (Connection::HalfWave, _) => String::new(),
        (_, Some([a, b])) => {
            let share = a.mean_amps.max(b.mean_amps) / (a.mean_amps + b.mean_amps);
            format!(" × {:.1} % by the harder worked half", 100.0 * share)
        }
        (_, None) => " / 2 by turns".to_owned(),
    };
    let together = match supply.rectifier.in_parallel {
        0 | 1 => String::new(),
        many => format!(" / {many} in parallel"),
    };
    if sides.is_empty() && together.is_empty() {
        return sum;
    }
    format!("({sum}){sides}{together}")
}

fn peak_steps(working: &Working) -> Option<String> {
    let pulses = working.pulses.as_ref()?;
    Some(format!(
        "mean {} × 360° / {:.1}° of conduction × {:.2} for the pulse's shape (half a sine has 1.57)",
        number::amps(working.operation.rectifier.mean_amps),
        working.operation.rectifier.conduction_degrees,
        pulses.crest_factor
    ))
}

fn winding_steps(working: &Working, supply: &Supply) -> Option<String> {
    let rail = number::amps(working.rail_in_winding_amps);
    let of_bus = bus_pulses(working, supply);
    let alone = working.operation.winding_rms_amps;
    if working.rail_in_winding_amps <= 0.0 || working.winding_rms_amps <= alone {
        return of_bus;
    }
    Some(match (of_bus, working.operation.by_half) {
        (None, _) => format!("{rail} of the negative rail alone"),
        (Some(steps), None) => {
            let moved = moved(working);
            format!("√(({steps}{moved})² + ({rail} of the negative rail)²)")
        }
        (Some(_), Some(_)) => {
            let (all, rail_amps) = (working.winding_rms_amps, working.rail_in_winding_amps);
            let first = (all * all - rail_amps * rail_amps).max(0.0).sqrt();
            format!(
                "√(({} of the first half's pulses)² + ({rail} of the negative rail)²)",
                number::amps(first)
            )
        }
    })
}

/// ` + 3 mA moved here by the rail's drop in the primary`; nothing where that is none.
fn moved(working: &Working) -> String {
    match working.moved_by_the_rail_amps {
        amps if amps > 0.0 => format!(
            " + {} moved here by the rail's drop in the primary",
            number::amps(amps)
        ),
        _ => String::new(),
    }
}

/// What the pulses of the bus alone make in the winding.
fn bus_pulses(working: &Working, supply: &Supply) -> Option<String> {
    let pulses = working.pulses.as_ref()?;
    // The whole winding of a bridge carries the pulses of both sides.
    let (of_side, cycle) = match supply.rectifier.connection {
        Connection::Bridge => (" of one side", "2 × 360°"),
        Connection::FullWaveCentreTap => (" of one side", "360°"),
        Connection::HalfWave => ("", "360°"),
    };
    Some(format!(
        "mean {}{of_side} × √({cycle} / {:.1}° of conduction) × {:.2} for the pulse's shape (half a sine has 1.11)",
        number::amps(pulses.side_mean_amps),
        working.operation.rectifier.conduction_degrees,
        pulses.form_factor
    ))
}

/// What is shared by diodes in series: ` / 3 in series`; nothing of one by itself.
pub(super) fn in_series(rectifier: &Rectifier) -> String {
    match rectifier.in_series {
        0 | 1 => String::new(),
        many => format!(" / {many} in series"),
    }
}

fn peak_inverse(said: &Said<'_>, working: &Working) -> String {
    let crest = number::volts(working.crest_volts);
    let choke_input = said.supply.filter.input_capacitor.is_none();
    let shared = in_series(&said.supply.rectifier);
    let [open, close] = if shared.is_empty() {
        ["", ""]
    } else {
        ["(", ")"]
    };
    match said.supply.rectifier.connection {
        Connection::FullWaveCentreTap if choke_input => {
            said.equals(if working.source.second_half.is_none() {
                format!("2 × crest of the winding {crest}{shared}")
            } else {
                let [one, other] = working.source.crests().map(number::volts);
                format!("{open}crest of one half {one} + of the other {other}{close}{shared}")
            })
        }
        Connection::Bridge if !shared.is_empty() => {
            said.equals(format!("crest of the winding {crest}{shared}"))
        }
        Connection::Bridge => format!("crest of the winding {}", said.without_steps()),
        _ => {
            let crests = &working.no_load.operation.capacitor_crest_volts;
            let capacitor = number::volts(crests.first().copied().unwrap_or(0.0));
            said.equals(format!(
                "{open}crest of the winding {crest} + capacitor {capacitor}{close}{shared}"
            ))
        }
    }
}
