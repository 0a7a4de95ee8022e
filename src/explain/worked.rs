//! The worked page: from the mains to the limits of one point, each step with its formula, numbers and source.

use crate::bench::working::Working;
use crate::explain::{cautions, limits, number, why};
use crate::parts::{RectifierLaw, SeriesElement, Supply, WindingVolts};
use crate::physics::envelope::Point;
use crate::physics::limit::Use;

/// The page as Markdown. `working` is at the mains now; `judged` gives the figures of the case in which each use is
/// judged, where they are known.
pub fn page(
    supply: &Supply,
    point: &Point,
    working: &Working,
    judged: &dyn Fn(&Use) -> Option<Working>,
) -> String {
    let mut page = Page::default();
    page.text(&format!(
        "# {}: worked out at {} and {}",
        supply.name,
        number::volts(point.volts),
        number::amps(point.amps)
    ));
    page.text(&format!("{}.", limits::verdict(point, supply).sentence));
    page.text(&format!("All steps at {} mains, unless they say otherwise. Three figures are shown; more are carried.", number::volts(working.mains_volts)));
    transformer(&mut page, supply, working);
    rectifier(&mut page, supply, working);
    bus(&mut page, supply, working);
    pass_tubes(&mut page, supply, point, working);
    regulator(&mut page, supply, working);
    page.text("## Limits, the tightest first");
    for one in &point.uses {
        match (&one.judged, judged(one)) {
            (Ok(use_now), Some(then)) => {
                page.text(&format!(
                    "**{}** {}  \n{}{}",
                    limits::name(one.limit, supply),
                    number::per_cent(use_now.ratio),
                    why::formula(one, &then, supply, point),
                    limits::how_judged(one).map_or_else(String::new, |how| format!("  \n{how}"))
                ));
            }
            _ => page.text(&format!(
                "**{}** {}",
                limits::name(one.limit, supply),
                limits::not_known(one, supply)
            )),
        }
    }
    page.text("## Before you touch it");
    page.text(&cautions::STANDING.map(|c| format!("- {c}")).join("\n"));
    page.0
}

/// Paragraphs with a blank line between them.
#[derive(Debug, Default)]
struct Page(String);

impl Page {
    fn text(&mut self, text: &str) {
        if !self.0.is_empty() {
            self.0.push('\n');
        }
        self.0.push_str(text);
        self.0.push('\n');
    }

    /// A step: what, the formula, the numbers, the result, the source.
    fn step(&mut self, what: &str, formula: &str, numbers: &str, source: &str) {
        self.text(&format!(
            "**{what}**  \n{formula}  \n{numbers}  \n*{source}*"
        ));
    }
}

fn transformer(page: &mut Page, supply: &Supply, working: &Working) {
    let transformer = &supply.transformer;
    page.text("## Transformer");
    let (formula, numbers) = match transformer.winding {
        WindingVolts::OpenCircuit(volts) => (
            "N = open-circuit volts / rated primary volts",
            format!(
                "{volts} / {} = {:.3}",
                transformer.primary_volts, working.source.turns_ratio
            ),
        ),
        WindingVolts::Loaded { volts, amps } => (
            "V = N·(Vp − Rp·Iaux) − I·(Rs + N²·Rp), solved for N",
            format!(
                "{volts} at {amps} gives N = {:.3}",
                working.source.turns_ratio
            ),
        ),
    };
    page.step(
        "Turns ratio",
        formula,
        &numbers,
        "Ideal transformer with its winding resistances",
    );
    page.step(
        "E.m.f. now",
        "E = N·(Vm − Rp·Iaux)",
        &format!(
            "{:.3} × ({} − {} × {}) = {} rms, crest √2 × that = {}",
            working.source.turns_ratio,
            number::volts(working.mains_volts),
            transformer.primary_resistance,
            number::amps(working.auxiliary_amps),
            number::volts(working.source.emf_rms_volts),
            number::volts(working.crest_volts)
        ),
        "Heaters and core load the primary all the time",
    );
    page.step(
        "Supply resistance of each plate",
        "R = Rs + N²·Rp + plate resistor",
        &format!(
            "{} + {:.3}² × {} + {} = {}",
            transformer.secondary_resistance,
            working.source.turns_ratio,
            transformer.primary_resistance,
            supply.rectifier.plate_resistor,
            number::ohms(working.plate_ohms)
        ),
        "Total effective plate-supply impedance of the handbooks, Rt = Rs + n²·Rp (Mullard GZ34 sheet; value from memory)",
    );
}

fn rectifier(page: &mut Page, supply: &Supply, working: &Working) {
    let kind = &supply.rectifier.kind;
    page.text("## Rectifier");
    let (formula, numbers) = match &kind.law {
        RectifierLaw::Vacuum { drop, at } => (
            "i = K·v^1.5, K = I/V^1.5 from one published drop",
            format!("{}: {} at {at}, one plate", kind.name, drop.value),
        ),
        RectifierLaw::Silicon {
            saturation,
            emission,
            resistance,
        } => (
            "v = n·VT·ln(1 + i/Is) + i·R",
            format!(
                "{}: Is {saturation}, n·VT {emission}, R {resistance}",
                kind.name
            ),
        ),
        RectifierLaw::MercuryVapour { drop } => (
            "v constant while it conducts",
            format!("{}: {}", kind.name, drop.value),
        ),
    };
    let source = match &kind.law {
        RectifierLaw::Vacuum { drop, .. } | RectifierLaw::MercuryVapour { drop }
            if !drop.source.document.is_empty() =>
        {
            format!("Drop from {}", drop.source.document)
        }
        RectifierLaw::Vacuum { .. } => "Child–Langmuir law".to_owned(),
        RectifierLaw::Silicon { .. } => "Shockley's law with a series resistance".to_owned(),
        RectifierLaw::MercuryVapour { .. } => "Common practice, no source".to_owned(),
    };
    page.step("Law of one device", formula, &numbers, &source);
    let stress = &working.operation.rectifier;
    page.step(
        "Its pulses",
        "The waveform that repeats every period of the mains, found by shooting",
        &format!(
            "peak {}, mean {}, rms {}, conducting {:.0}° of the cycle; winding {} rms",
            number::amps(stress.peak_amps),
            number::amps(stress.mean_amps),
            number::amps(stress.rms_amps),
            stress.conduction_degrees,
            number::amps(working.operation.winding_rms_amps)
        ),
        "Periodic steady state of source, rectifier and filter, no approximation by charts",
    );
    if let Some(pulses) = &working.pulses {
        page.step(
            "From mean to peak and rms",
            "peak = mean × 360°/θ × kp, rms = mean × √(360°/θ) × kr, θ the angle of conduction",
            &format!(
                "360° / {:.1}° = {}; kp = {:.2}, kr of the winding = {:.2}; half a sine has π/2 = 1.57 and π/(2√2) = 1.11",
                stress.conduction_degrees,
                number::pure(360.0 / stress.conduction_degrees),
                pulses.crest_factor,
                pulses.form_factor
            ),
            "Definitions of mean, peak and rms over the cycle; kp and kr are those of the waveform found",
        );
    }
}

fn bus(page: &mut Page, supply: &Supply, working: &Working) {
    let operation = &working.operation;
    page.text("## Filter and bus");
    let mut filter: Vec<String> = Vec::new();
    if let Some(stack) = &supply.filter.input_capacitor {
        filter.push(number::farads(stack.farads()));
    }
    for section in &supply.filter.sections {
        filter.push(match &section.series {
            SeriesElement::Resistor(ohms) => ohms.to_string(),
            SeriesElement::Choke {
                inductance,
                resistance,
                ..
            } => format!("{inductance} with {resistance}"),
        });
        filter.push(number::farads(section.capacitor.farads()));
    }
    page.step(
        "Current from the rectifier",
        "output + internal current + bleeder + balancing resistors, on the mean",
        &format!(
            "{} + {} + {} and the balancing resistors = {}",
            number::amps(operation.output_amps),
            number::amps(supply.filter.internal_current.0),
            number::amps(working.bleeder_amps),
            number::amps(operation.rectified_amps)
        ),
        "A capacitor carries no direct current",
    );
    if !supply.filter.is_choke_input() {
        page.step(
            "Ripple current of the first capacitor",
            "√(Irms² − Imean²) of the rectifier, less what the filter takes on as ripple",
            &format!(
                "√({}² − {}²); found {}",
                number::amps(operation.rectified_rms_amps),
                number::amps(operation.rectified_amps),
                number::amps(operation.capacitor_rms_amps.first().copied().unwrap_or(0.0))
            ),
            "Currents of different frequencies add by their squares; a capacitor carries no direct current",
        );
    }
    page.step(
        "Bus",
        &format!("steady state behind {}", filter.join(" – ")),
        &format!(
            "mean {}, valley {}, crest {}: ripple {} peak to peak",
            number::volts(operation.bus.mean_volts),
            number::volts(operation.bus.trough_volts),
            number::volts(operation.bus.crest_volts),
            number::volts(operation.bus.ripple_volts())
        ),
        "The same repeating waveform",
    );
}

/// The grid-drive floor and the loop; nothing where no regulator is described.
fn regulator(page: &mut Page, supply: &Supply, working: &Working) {
    let Some(regulator) = &supply.regulator else {
        return;
    };
    page.text("## Regulator");
    if let Some(grids) = &working.grids {
        page.step(
            "Grid volts that the pass tubes need at the crest of the bus",
            "−Vgk at plate volts Va and current i of one unit, preload and divider included",
            &format!(
                "{} at Va = {} and i = {}: {} below the cathodes",
                supply.pass_stage.tube.name,
                number::volts(grids.plate_volts),
                number::amps(grids.unit_amps),
                number::volts(grids.drive.needed_volts)
            ),
            "The tube's law turned round",
        );
        page.step(
            "Grid volts that the control tube can give",
            "pass cathodes − (tap of the control tube's cathode + its least plate volts)",
            &format!(
                "{} − ({}) = {}",
                number::volts(grids.cathode_volts),
                number::volts(grids.bottom_volts),
                number::volts(grids.drive.given_volts)
            ),
            "The floor is where both are equal; below it the output stays higher than asked for",
        );
    }
    let Some(held) = &working.regulation else {
        return;
    };
    page.step(
        "Gain of the control tube",
        "A = gm·(ra ∥ RL)",
        &format!(
            "{}: {}",
            regulator.control_tube.name,
            number::pure(held.control_gain)
        ),
        "One amplifier stage with its plate load",
    );
    page.step(
        "Output resistance",
        "(rp/n) / (1 + µ(1 + A·β)), with what divider, preload, cathode resistors and references add",
        &format!(
            "rp = {}, n = {}, β = {:.3}: {}",
            number::ohms(held.pass_plate_resistance),
            supply.pass_stage.units,
            held.divider_share,
            number::ohms(held.output_ohms)
        ),
        "Small signals of a cathode follower driven by one stage (common practice, no source)",
    );
    page.step(
        "Hum at the output",
        "ripple of the bus × what comes through + ripple of the negative rail × what comes through",
        &format!(
            "{} of ripple on the bus, of which {} come through: {} peak to peak at the output",
            number::volts(working.operation.bus.ripple_volts()),
            number::per_cent(held.bus_share.abs()),
            number::volts(held.hum_volts)
        ),
        "Bus and rail taken as adding up",
    );
}

fn pass_tubes(page: &mut Page, supply: &Supply, point: &Point, working: &Working) {
    let stage = &supply.pass_stage;
    page.text("## Pass tubes");
    let share = if stage.units > 1 {
        format!(
            "{} / {} × {:.2} = {}",
            number::amps(point.amps),
            stage.units,
            1.0 + working.imbalance,
            number::amps(working.worst_amps)
        )
    } else {
        format!("all of it: {}", number::amps(working.worst_amps))
    };
    page.step(
        "Current of the worst one",
        "I/n × (1 + imbalance)",
        &share,
        if stage.tube_spread.is_some() {
            "Tubes in parallel never share evenly; the imbalance follows from the spread of the tubes and their resistors"
        } else {
            "Tubes in parallel never share evenly; the imbalance is the supply's own figure"
        },
    );
    let Some(drop) = working.operation.least_drop_volts else {
        page.text(
            "The curve of the tube is not known at this current, so neither is its least drop.",
        );
        return;
    };
    page.step(
        "Least drop",
        &format!("tube at {} of grid volts + cathode and plate resistor + meter shunt", stage.grid_limit),
        &format!("{} with an even share: {}", stage.tube.name, number::volts(drop)),
        "N. Koren's triode law (1996) fitted to published points, or the tube's own zero-bias table",
    );
    if let Some(dropout) = working.operation.dropout_volts() {
        page.step(
            "Dropout",
            "valley of the bus − least drop",
            &format!(
                "{} − {} = {}; asked for {}",
                number::volts(working.operation.bus.trough_volts),
                number::volts(drop),
                number::volts(dropout),
                number::volts(point.volts)
            ),
            "Above it ripple comes through to the output",
        );
    }
}
