//! The worked page: from the mains to the limits of one point, each step with its formula, numbers and source.

mod bus;
mod tubes;

use crate::bench::working::Working;
use crate::explain::{accepted, cautions, ended, limits, number, why};
use crate::parts::{
    BiasRail, Copper, CrestFactor, Ohms, RailWinding, RectifierLaw, SeriesElement, Supply,
    Transformer, Volts, WindingVolts,
};
use crate::physics::circuit::source::{Source, Winding, harmonic};
use crate::physics::envelope::Point;
use crate::physics::limit::Use;

/// The page of the supply of this name as Markdown. `working` is at the mains now; `judged` gives the figures of the case in which each use is
/// judged, where they are known.
pub fn page(
    name: &str,
    supply: &Supply,
    point: &Point,
    working: &Working,
    judged: &dyn Fn(&Use) -> Option<Working>,
) -> String {
    let mut page = Page::default();
    page.text(&format!(
        "# {}: worked out at {} and {}",
        name,
        number::volts(point.volts),
        number::amps(point.amps)
    ));
    page.text(&ended(&limits::verdict(point, supply).sentence));
    page.text(&format!("All steps at {} mains, unless they say otherwise. Three figures are shown; more are carried.", number::volts(working.mains_volts)));
    page.text("Vm is the mains, Vp the rated primary volts, N the turns ratio, Rp and Rs the resistance of the primary and of the high-voltage winding (one half with a centre tap), Iaux what heaters and core take from the mains.");
    transformer(&mut page, supply, working);
    rectifier(&mut page, supply, working);
    bus::bus(&mut page, supply, working);
    tubes::pass_tubes(&mut page, supply, point, working);
    tubes::regulator(&mut page, supply, working);
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
    let accepted = accepted::sentences(supply);
    if !accepted.is_empty() {
        page.text(&format!("## {}", accepted::HEADING));
        for one in accepted {
            page.text(&format!("- {one}"));
        }
    }
    page.text(CAUTIONS);
    page.text(&cautions::STANDING.map(|c| format!("- {c}")).join("\n"));
    page.0
}

/// Above what is said last.
const CAUTIONS: &str = "## Before you touch it";

/// The page with one more section before its last, which stays there.
pub fn with_section(page: &str, section: &str) -> String {
    match page.rsplit_once(CAUTIONS) {
        Some((before, cautions)) => format!("{before}{section}\n{CAUTIONS}{cautions}"),
        None => format!("{page}\n{section}"),
    }
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

/// A resistance as it stands in the file, or, measured cold, what it is at work.
fn at_work(measured: Ohms, copper: Copper) -> String {
    match copper {
        Copper::Warm => measured.to_string(),
        Copper::Cold => number::ohms(copper.at_work(measured).0),
    }
}

/// The negative rail on the high-voltage winding, and what both carry together.
fn rail_in_winding(page: &mut Page, (supply, rail): (&Supply, &BiasRail), working: &Working) {
    if working.rail_in_winding_amps <= 0.0 {
        return;
    }
    let [half, _] = supply.transformer.stated_halves();
    let first = working.source.winding;
    let volts = supply.rail_volts(rail);
    let from = match rail.winding {
        RailWinding::HighVoltageTap(_) => {
            let emf = first.emf_rms_volts * volts.0 / half.0;
            let (emf, whole) = (number::volts(emf), number::volts(first.emf_rms_volts));
            format!("from a tap: {whole} × {volts} / {half} = {emf} e.m.f.")
        }
        _ => format!(
            "from the end: {} e.m.f.",
            number::volts(first.emf_rms_volts)
        ),
    };
    let alone = match working.operation.by_half {
        Some([first, _]) => first.rms_amps * f64::from(supply.rectifier.in_parallel.max(1)),
        None => working.operation.winding_rms_amps,
    };
    let (rail_amps, moved) = (working.rail_in_winding_amps, working.moved_by_the_rail_amps);
    let of_bus = match moved {
        0.0 => number::amps(alone),
        _ => format!("({} + {})", number::amps(alone), number::amps(moved)),
    };
    let mut numbers = format!(
        "{from}; √({of_bus}² + {}²) = {}",
        number::amps(rail_amps),
        number::amps((alone + moved).hypot(rail_amps))
    );
    if working.operation.by_half.is_some() {
        numbers.push_str(" in the first half");
    }
    let formula = if moved > 0.0 {
        "e.m.f. by turns; rms = √((bus + moved)² + rail²), for each conducts while the other is idle; moved = 5/8 × N·n·Rp / R × \
         rail, by the rail's drop in the primary"
    } else {
        "e.m.f. by turns; rms = √(bus² + rail²), for each conducts while the other is idle"
    };
    page.step(
        "Negative rail on the same winding",
        formula,
        &numbers,
        "Definition of the rms. What bus and rail drop of each other's volts in the primary is left out",
    );
}

/// What was measured cold and is reckoned warm.
fn warm_copper(page: &mut Page, supply: &Supply) {
    let transformer = &supply.transformer;
    let mut all = vec![
        (
            "primary".to_owned(),
            transformer.primary_resistance,
            transformer.primary_measured,
        ),
        (
            "high-voltage winding".to_owned(),
            transformer.secondary_resistance,
            transformer.secondary_measured,
        ),
    ];
    if let Some(ohms) = transformer.second_half_resistance {
        let half = "second half of it".to_owned();
        all.push((half, ohms, transformer.secondary_measured));
    }
    let mut chokes = 0;
    for section in &supply.filter.sections {
        if let SeriesElement::Choke {
            resistance,
            measured,
            ..
        } = section.series
        {
            chokes += 1;
            all.push((format!("choke {chokes}"), resistance, measured));
        }
    }
    let rail = supply.regulator.as_ref().and_then(|r| r.bias_rail.as_ref());
    if let Some((rail, ohms)) = rail.and_then(|rail| Some((rail, rail.winding_resistance?))) {
        let what = match rail.winding {
            RailWinding::Own(_) => "bias winding",
            _ => "high-voltage winding up to the rail",
        };
        all.push((what.to_owned(), ohms, rail.winding_measured));
    }
    let warmed: Vec<String> = (all.into_iter())
        .filter(|(_, _, copper)| *copper == Copper::Cold)
        .map(|(what, ohms, copper)| {
            format!("{what} {ohms} → {}", number::ohms(copper.at_work(ohms).0))
        })
        .collect();
    if warmed.is_empty() {
        return;
    }
    page.step(
        "Copper measured cold",
        "R at work = R cold × (1 + 0.39 %/K × 50 K) = 1.195 × R cold",
        &warmed.join(", "),
        "Temperature coefficient of copper; 50 K is common practice, no source",
    );
}

fn transformer(page: &mut Page, supply: &Supply, working: &Working) {
    let transformer = &supply.transformer;
    page.text("## Transformer");
    warm_copper(page, supply);
    let halves = halves(transformer, &working.source);
    let mut formula = "";
    let numbers: Vec<String> = (halves.iter())
        .map(|half| {
            let ratio = half.winding.turns_ratio;
            match transformer.winding {
                WindingVolts::OpenCircuit(_) => {
                    formula = "N = open-circuit volts / rated primary volts";
                    let Half { name, volts, .. } = half;
                    format!("{name}{volts} / {} = {ratio:.3}", transformer.primary_volts)
                }
                WindingVolts::Loaded { amps, .. } => {
                    formula = "V = N·(Vp − Rp·Iaux) − I·(Rs + N²·Rp), solved for N";
                    format!(
                        "{}N = {ratio:.3}, for {ratio:.3} × ({} − {} × {}) − {amps} × ({} + {ratio:.3}² × {}) = {}",
                        half.name,
                        transformer.primary_volts,
                        at_work(transformer.primary_resistance, transformer.primary_measured),
                        number::amps(transformer.auxiliary.0 / transformer.primary_volts.0),
                        half.ohms,
                        at_work(transformer.primary_resistance, transformer.primary_measured),
                        half.volts,
                    )
                }
            }
        })
        .collect();
    page.step(
        "Turns ratio",
        formula,
        &numbers.join("; "),
        "Ideal transformer with its winding resistances",
    );
    let crest = crest_factor(supply.mains.crest_factor);
    let emfs: Vec<String> = (halves.iter())
        .map(|half| {
            format!(
                "{}{:.3} × ({} − {} × {}) = {} rms, crest {crest} × that = {}",
                half.name,
                half.winding.turns_ratio,
                number::volts(working.mains_volts),
                at_work(transformer.primary_resistance, transformer.primary_measured),
                number::amps(working.auxiliary_amps),
                number::volts(half.winding.emf_rms_volts),
                number::volts(half.crest_volts)
            )
        })
        .collect();
    page.step(
        "E.m.f. now",
        "E = N·(Vm − Rp·Iaux), Iaux = power of heaters and core / Vm",
        &format!(
            "Iaux = {} / {} = {}; {}",
            transformer.auxiliary,
            number::volts(working.mains_volts),
            number::amps(working.auxiliary_amps),
            emfs.join("; ")
        ),
        "Heaters and core load the primary all the time",
    );
    mains_shape(page, supply.mains.crest_factor);
    let resistances: Vec<String> = (halves.iter())
        .map(|half| {
            format!(
                "{}{} + {:.3}² × {} + {} = {}",
                half.name,
                half.ohms,
                half.winding.turns_ratio,
                at_work(transformer.primary_resistance, transformer.primary_measured),
                supply.rectifier.plate_resistor,
                number::ohms(half.winding.ohms + supply.rectifier.plate_resistor.0)
            )
        })
        .collect();
    page.step(
        "Supply resistance of each plate",
        "R = Rs + N²·Rp + plate resistor",
        &resistances.join("; "),
        "Total effective plate-supply impedance of the handbooks, Rt = Rs + n²·Rp (Mullard GZ34 sheet; value from memory)",
    );
    unequal_halves(page, supply, working);
}

/// A winding, or half of one, as the page names it.
struct Half {
    /// Nothing where both are alike.
    name: &'static str,
    volts: Volts,
    /// Its resistance at work.
    ohms: String,
    winding: Winding,
    crest_volts: f64,
}

/// Both halves where they differ, else one.
fn halves(transformer: &Transformer, source: &Source) -> Vec<Half> {
    let copper = transformer.secondary_measured;
    if source.second_half.is_none() {
        return vec![Half {
            name: "",
            volts: transformer.stated_volts(),
            ohms: at_work(transformer.secondary_resistance, copper),
            winding: source.winding,
            crest_volts: source.crest_volts(),
        }];
    }
    let ohms = transformer.halves_at_work();
    let names = ["first half ", "second half "];
    let all = names.into_iter().zip(transformer.stated_halves()).zip(ohms);
    (all.zip(source.halves()).zip(source.crests()))
        .map(|((((name, volts), ohms), winding), crest_volts)| Half {
            name,
            volts,
            ohms: number::ohms(ohms.0),
            winding,
            crest_volts,
        })
        .collect()
}

/// What follows from halves that differ.
fn unequal_halves(page: &mut Page, supply: &Supply, working: &Working) {
    let Some(by_half) = working.operation.by_half else {
        return;
    };
    let transformer = &supply.transformer;
    let copper = match transformer.second_half_resistance {
        Some(_) => "each with its own resistance as measured",
        None => "which share the resistance by their turns",
    };
    let [first, second] = by_half.map(|half| {
        format!(
            "peak {}, mean {}, rms {}",
            number::amps(half.peak_amps),
            number::amps(half.mean_amps),
            number::amps(half.rms_amps)
        )
    });
    page.step(
        "Unequal halves of the winding",
        &format!("Two halves, {copper}: the waveform repeats only after a whole cycle of the mains, so that the ripple has a part at {}", number::hertz(supply.mains.frequency.0)),
        &format!("a device on the first half {first}; on the second {second}. Ratings are judged by the harder worked one"),
        "Each half followed in its turn; that the unequal mean currents magnetise the core one way is left out",
    );
}

fn crest_factor(crest: CrestFactor) -> String {
    if crest.is_sine() {
        "√2".to_owned()
    } else {
        number::pure(crest.0)
    }
}

/// How the tops of the mains are flattened; nothing of a clean sine.
fn mains_shape(page: &mut Page, crest: CrestFactor) {
    if crest.is_sine() {
        return;
    }
    let h = harmonic(crest);
    page.step(
        "Shape of the mains",
        "e = √2·E·(sin ωt + h·sin 3ωt − h·sin 5ωt)/√(1 + 2h²), crest factor = √2·(1 − 2h)/√(1 + 2h²), solved for h",
        &format!(
            "crest factor {} gives h = {} %: the crest stands {} % below that of a clean sine",
            number::pure(crest.0),
            number::pure(100.0 * h),
            number::pure(100.0 * (1.0 - crest.0 / CrestFactor::SINE.0))
        ),
        "Fourier's series; third and fifth harmonic taken as equal, as they flatten the tops of house mains",
    );
}

fn rectifier(page: &mut Page, supply: &Supply, working: &Working) {
    let kind = &supply.rectifier.kind;
    page.text("## Rectifier");
    let (formula, numbers) = match &kind.law {
        RectifierLaw::Vacuum { drop, at } => (
            "i = K·v^1.5, K = I/V^1.5 from one published drop",
            format!(
                "{}: {} at {at}, one plate, so K = {:.3} mA/V^1.5",
                kind.name,
                drop.value,
                1e3 * at.0 / drop.value.0.powf(1.5)
            ),
        ),
        RectifierLaw::Silicon {
            saturation,
            emission,
            resistance,
        } => (
            "v = n·VT·ln(1 + i/Is) + i·R",
            format!(
                "{}: Is {saturation}, n·VT {emission}, R {resistance}{}",
                kind.name,
                match supply.rectifier.in_series {
                    0 | 1 => String::new(),
                    many => format!("; {many} in series in each leg add their drops"),
                }
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
    if let Some(rail) = supply.rail_on_high_voltage() {
        rail_in_winding(page, (supply, rail), working);
    }
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
