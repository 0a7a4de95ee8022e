//! A plan in words: what each step does, what to watch, when to stop, what to be careful of.
//!
//! The steps are common practice, no source; where a figure stands, it is worked out.

use crate::bench::plan::{Figure, Prepared};
use crate::explain::regulation::{zero_adjuster, zero_finding};
use crate::explain::{cautions, ended, limits, number, readings, sentence_case};
use crate::parts::readings::{Connected, Phase};
use crate::parts::{RectifierLaw, Supply, Work};
use crate::physics::regulator::control_range::ControlRange;
use crate::physics::regulator::zero::ZeroSetting;

/// What one does in a step.
pub fn what_to_do(phase: Phase, supply: &Supply) -> String {
    let is_tube = !supply.rectifier.kind.is_silicon();
    match phase {
        Phase::ColdInspection => {
            "Plug out, bus measured dead. Look for leaks, burnt resistors, cracked sleeving; compare values, tubes and fuse with the description; measure the cold resistances".to_owned()
        }
        Phase::Leakage => {
            "Plug out. Primary to chassis and high voltage to chassis on an insulation tester, by someone who knows its volts; reform the electrolytics on a current-limited supply of your own and note the leak at their working volts".to_owned()
        }
        Phase::BringUp if is_tube && has_heated_cathode(supply) => {
            "Through a lamp limiter or on a variac, never touched while on. A variac does little here: below about four fifths of its heater volts the tube rectifier gives nothing, then the bus comes all at once. Reform the electrolytics by themselves first".to_owned()
        }
        Phase::BringUp => {
            "Through a lamp limiter or on a variac, never touched while on: in steps of a fifth, some minutes each, the bus watched".to_owned()
        }
        Phase::StandBy => {
            "High voltage off, heaters on, until all are warm: a minute, ten for references to settle".to_owned()
        }
        Phase::NoLoad => "High voltage on, nothing connected".to_owned(),
        Phase::LightLoad => "A small load first".to_owned(),
        Phase::Loaded => "More load, the knob untouched".to_owned(),
        Phase::KnobUp => {
            "Knob all the way up, briefly: read where the output falls out, then turn it down".to_owned()
        }
        Phase::HotChecks => {
            "Chassis open, live: clip the meter on with the plug out and the bus dead, switch on, read, switch off. One hand".to_owned()
        }
        Phase::ZeroSetting => {
            "Nothing connected, warm for ten minutes: knob at its lower end, then the zero adjuster. Read it on a multimeter; a panel meter cannot show it".to_owned()
        }
        Phase::MainsVariation => {
            "On a variac at the low, then at the high mains: the output must stay where it is".to_owned()
        }
        Phase::ShutDown => "Knob down, load off, high voltage off, mains off, plug out".to_owned(),
        Phase::Discharge => {
            "Through a resistor, one hand; measure the bus, the first capacitor and the negative rail dead, then touch".to_owned()
        }
    }
}

/// An indirectly heated or filamentary vacuum rectifier: it needs its heater's volts.
fn has_heated_cathode(supply: &Supply) -> bool {
    matches!(
        supply.rectifier.kind.law,
        RectifierLaw::Vacuum { .. } | RectifierLaw::MercuryVapour { .. }
    )
}

/// What to watch in a step, and when to stop.
pub fn when_to_stop(phase: Phase) -> &'static str {
    match phase {
        Phase::ColdInspection => "Stop at anything that is not as described",
        Phase::Leakage => {
            "Stop where a leak does not fall, or insulation is below 1 MΩ: replace first"
        }
        Phase::BringUp => "Stop at a lamp that stays bright, a smell, a hum that grows",
        Phase::StandBy => "Stop at a heater that stays dark",
        Phase::NoLoad => {
            "Stop at a bus above what is expected, a plate that glows, a noise; do not leave it so"
        }
        Phase::LightLoad | Phase::Loaded => {
            "Stop at a plate that glows, an output that falls, a load that smokes"
        }
        Phase::KnobUp => {
            "Stop after some seconds: the pass tubes and the load are at their hardest"
        }
        Phase::HotChecks => "Stop at anything that moves by itself",
        Phase::ZeroSetting => {
            "Stop where the output goes below zero: an electrolytic on it would be reversed"
        }
        Phase::MainsVariation => "Stop above the high mains of the description",
        Phase::ShutDown => "Wait for the bus to fall",
        Phase::Discharge => "Nothing is touched before a meter says so",
    }
}

/// Where the knob stands.
pub fn knob(of: &Prepared) -> String {
    match (of.step.phase, of.step.set) {
        (Phase::KnobUp, _) => "all the way up".to_owned(),
        (_, Some(volts)) => volts.to_string(),
        (_, None) => String::new(),
    }
}

/// What is connected, with its watts.
pub fn load(of: &Prepared) -> String {
    let name = match of.step.load {
        Connected::Nothing => return "nothing".to_owned(),
        other => other.to_string(),
    };
    match of.load_watts() {
        Some(watts) if watts > 0.0 => format!("{name}, {}", number::watts(watts)),
        _ => name,
    }
}

/// A figure with its band: `bus 391 V ± 12 V`.
pub fn figure(of: &Figure, supply: &Supply) -> String {
    format!(
        "{} {}",
        readings::what(of.what, supply),
        readings::band(of.what, of.value, of.sigma)
    )
}

/// What stands against the point, and what the capacitors bear with nothing connected.
pub fn stands(of: &Prepared, supply: &Supply) -> Vec<String> {
    let Some(point) = &of.point else {
        return Vec::new();
    };
    let mut all = vec![limits::verdict(point, supply).sentence];
    if of.step.phase == Phase::NoLoad
        && let Some(used) = of.with_nothing_connected().first()
        && let Ok(judged) = &used.judged
    {
        all.push(format!(
            "With nothing connected at high mains: {} at {}",
            limits::name(used.limit, supply),
            number::of_allowed(judged)
        ));
    }
    if let Some(zero) = &of.zero {
        all.extend(zero_lines(zero, of.control.as_ref(), supply));
    }
    all
}

/// How to set the zero: at which volts, on which meter, what moves it.
fn zero_lines(zero: &ZeroSetting, control: Option<&ControlRange>, supply: &Supply) -> Vec<String> {
    let mut all = vec![zero_finding(zero).sentence];
    all.extend(control.and_then(|range| zero_adjuster(range, &supply.output)));
    if let Some(scale) = supply.output.meter_scale {
        // A pointer is read to a quarter of a per cent of its scale (common practice, no source).
        let least = 0.0025 * scale.0;
        all.push(format!(
            "The panel meter of {scale} shows nothing below {}: use a multimeter",
            number::volts(least)
        ));
    }
    all
}

/// The plan as a text.
pub fn text(work: &Work, all: &[Prepared]) -> String {
    let supply = &work.supply;
    let mut page = Vec::new();
    if !work.name.is_empty() {
        page.push(work.name.clone());
    }
    page.push(format!(
        "Plan at {} mains; figures with twice their standard deviation, the spreads of the parts and a hand meter's error in them",
        number::volts(supply.mains.present.0)
    ));
    page.extend(
        cautions::STANDING
            .iter()
            .map(|caution| format!("! {caution}")),
    );
    for (k, one) in all.iter().enumerate() {
        page.push(String::new());
        page.push(format!("{}. {}", k + 1, readings::phase(one.step.phase)));
        page.extend(
            step_lines(one, supply)
                .into_iter()
                .map(|line| format!("   {line}")),
        );
    }
    page.extend([String::new(), cautions::ESTIMATE.to_owned(), String::new()]);
    page.join("\n")
}

/// The lines of a step.
pub fn step_lines(of: &Prepared, supply: &Supply) -> Vec<String> {
    let mut lines = vec![ended(&what_to_do(of.step.phase, supply))];
    if of.at.is_some() {
        lines.push(format!("Load {}; knob {}", load(of), knob(of)));
    }
    if let Some([amps, volts]) = of.at.filter(|[amps, _]| *amps > 0.0) {
        lines.push(format!(
            "Output {} at {}",
            number::volts(volts),
            number::amps(amps)
        ));
    }
    let figures: Vec<String> = of.figures.iter().map(|one| figure(one, supply)).collect();
    if !figures.is_empty() {
        lines.push(format!("Expected: {}", figures.join("; ")));
    }
    lines.extend(stands(of, supply));
    lines.push(ended(when_to_stop(of.step.phase)));
    lines.extend(of.step.note.iter().map(|note| sentence_case(note)));
    lines
}
