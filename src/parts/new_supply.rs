//! A supply made of a few answers. What was answered stands in it as it was said; what cannot be left open is guessed and marked
//! ([`crate::parts::guessed`]); all else is left as not known. A guess without a source beside it is common practice.

pub mod draft;
mod guess;
mod small;

use crate::parts::catalogue::Catalogue;
use crate::parts::new_supply::guess::{Circuit, Guessing};
use crate::parts::readings::Bench;
use crate::parts::spread::Condition;
use crate::parts::{
    AsFound, CapacitorStack, Connection, ControlTubeType, Copper, CrestFactor, Farads, Filter,
    FilterSection, Fraction, Henries, Hertz, Mains, Ohms, Output, PassStage, PassTubeType, Primary,
    Rating, RatingSystem, Rectifier, RectifierType, SecondaryVolts, SeriesElement, Supply,
    Transformer, VoltAmps, Volts, WindingVolts, Work,
};

/// A part of the filter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FilterPart {
    /// A capacitor.
    Capacitor(Farads),
    /// A choke.
    Choke(Henries),
    /// A resistor.
    Resistor(Ohms),
}

/// What is known of a negative rail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Rail {
    /// There is none.
    Absent,
    /// So many volts below the output's negative terminal, as a number above zero.
    Below(Volts),
}

/// The answers; `None` stands for "don't know".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Answers {
    /// Nominal rms volts of the mains.
    pub nominal: Option<Volts>,
    /// Its frequency.
    pub frequency: Option<Hertz>,
    /// Open-circuit rms volts of the high-voltage winding: of each half with a centre tap, else of all of it.
    pub winding: Option<SecondaryVolts>,
    /// How the rectifier is connected to it.
    pub connection: Option<Connection>,
    /// DC resistance of the primary, if measured.
    pub primary_resistance: Option<Ohms>,
    /// DC resistance of the winding (of each half), if measured.
    pub secondary_resistance: Option<Ohms>,
    /// The rectifier.
    pub rectifier: Option<RectifierType>,
    /// What stands first behind it; a choke or resistor here is followed by the capacitors of `then`.
    pub first: Option<FilterPart>,
    /// What follows, in order; empty for nothing.
    pub then: Option<Vec<FilterPart>>,
    /// Working volts of the capacitors.
    pub working_volts: Option<Volts>,
    /// The pass tubes' type.
    pub pass_tube: Option<PassTubeType>,
    /// How many of them, counted by envelopes.
    pub pass_tubes: Option<u8>,
    /// The control tube; without it the regulator is left undescribed.
    pub control_tube: Option<ControlTubeType>,
    /// The negative rail.
    pub rail: Option<Rail>,
    /// Lowest volts of the output's control.
    pub set_low: Option<Volts>,
    /// Highest volts of the output's control.
    pub set_high: Option<Volts>,
}

/// The supply of these answers, of which `check` says what cannot be; `None` if the catalogue lacks a type to guess.
pub fn new_supply(answers: &Answers, catalogue: &Catalogue) -> Option<Work> {
    let mut guessing = Guessing::default();
    let circuit = Circuit::of(answers, catalogue)?;
    let supply = Supply {
        mains: mains(answers, &mut guessing),
        transformer: transformer(answers, &circuit, &mut guessing),
        rectifier: rectifier(answers, &circuit, &mut guessing),
        filter: filter(answers, &mut guessing),
        pass_stage: pass_stage(answers, &circuit, &mut guessing),
        regulator: small::regulator(answers, &circuit, catalogue, &mut guessing),
        output: output(answers, &circuit, &mut guessing),
        accepted: Vec::new(),
        as_found: AsFound::default(),
    };
    // Without a control tube there is no place for a rail that was answered: it is not lost.
    let notes = match (&answers.control_tube, answers.rail) {
        (None, Some(Rail::Below(volts))) => {
            format!("Negative rail: {volts} below the output's negative terminal")
        }
        (None, Some(Rail::Absent)) => "No negative rail".to_owned(),
        _ => String::new(),
    };
    Some(Work {
        name: "New supply".to_owned(),
        notes,
        supply,
        dummies: Vec::new(),
        guessed: guessing.fields,
        spreads: Vec::new(),
        condition: Condition::default(),
        bench: Bench::default(),
        primary: Primary::default(),
    })
}

/// IEC 60038: 230 V where nothing is said. Low and high: ±5 % of 110 to 127 V (ANSI C84.1, range A), else ±10 % (IEC 60038). 60 Hz
/// goes with 110 to 127 V (IEC 60038), else 50 Hz. Today's mains are taken as nominal.
fn mains(answers: &Answers, guessing: &mut Guessing) -> Mains {
    let nominal = guessing.or("mains.nominal", answers.nominal, guess::NOMINAL);
    let american = (110.0..=127.0).contains(&nominal.0);
    let swing = if american { 0.05 } else { 0.1 };
    let tenth = |volts: f64| Volts((volts * 10.0).round() / 10.0);
    let usual = Hertz(if american { 60.0 } else { 50.0 });
    Mains {
        nominal,
        present: guessing.of("mains.present", nominal),
        low: guessing.of("mains.low", tenth(nominal.0 * (1.0 - swing))),
        high: guessing.of("mains.high", tenth(nominal.0 * (1.0 + swing))),
        frequency: guessing.or("mains.frequency", answers.frequency, usual),
        crest_factor: CrestFactor::SINE,
    }
}

fn transformer(answers: &Answers, circuit: &Circuit, guessing: &mut Guessing) -> Transformer {
    let nominal = answers.nominal.unwrap_or(guess::NOMINAL);
    let guess = SecondaryVolts::One(circuit.winding);
    let winding = guessing.or("transformer.winding", answers.winding, guess);
    Transformer {
        primary_volts: guessing.of("transformer.primary_volts", nominal),
        winding: WindingVolts::OpenCircuit(winding),
        primary_resistance: guessing.or(
            "transformer.primary_resistance",
            answers.primary_resistance,
            circuit.primary_resistance(nominal),
        ),
        primary_measured: copper(answers.primary_resistance),
        secondary_resistance: guessing.or(
            "transformer.secondary_resistance",
            answers.secondary_resistance,
            circuit.secondary_resistance(),
        ),
        second_half_resistance: None,
        secondary_measured: copper(answers.secondary_resistance),
        winding_rating: None,
        auxiliary: guessing.of("transformer.auxiliary", VoltAmps(circuit.auxiliary)),
    }
}

/// Who has measured a winding has done so with the plug out, cold; what is guessed counts as it is.
fn copper(measured: Option<Ohms>) -> Copper {
    measured.map_or(Copper::Warm, |_| Copper::Cold)
}

fn rectifier(answers: &Answers, circuit: &Circuit, guessing: &mut Guessing) -> Rectifier {
    Rectifier {
        kind: guessing.or(
            "rectifier.kind",
            answers.rectifier.clone(),
            circuit.rectifier.clone(),
        ),
        connection: guessing.or(
            "rectifier.connection",
            answers.connection,
            circuit.connection,
        ),
        in_parallel: guessing.of("rectifier.in_parallel", 1),
        in_series: 1,
        plate_resistor: guessing.of("rectifier.plate_resistor", Ohms(0.0)),
        heater: None,
    }
}

/// Parts in the order in which they were given. Between two capacitors stands something that was not said: a choke of 10 H. A choke
/// or resistor without a capacitor behind it gets one. An unknown first part is a capacitor of 8 µF (a usual one behind a vacuum
/// rectifier), an unknown rest one section with 16 µF.
fn filter(answers: &Answers, guessing: &mut Guessing) -> Filter {
    let stack = |unit| CapacitorStack {
        // Working volts of a capacitor are never to be exceeded.
        working_volts: (answers.working_volts)
            .map(|volts| Rating::own(volts, RatingSystem::AbsoluteMaximum)),
        ..CapacitorStack::single(unit)
    };
    let mut filter = Filter {
        input_capacitor: None,
        sections: Vec::new(),
        bleeder: guessing.of("filter.bleeder", None),
        internal_current: guessing.of("filter.internal_current", crate::parts::Amps(0.0)),
    };
    let first = answers
        .first
        .unwrap_or(FilterPart::Capacitor(guess::FIRST_CAPACITOR));
    let mut waiting = None;
    match first {
        FilterPart::Capacitor(unit) => {
            let unit = guessing.or(
                "filter.input_capacitor.unit",
                answers.first.map(|_| unit),
                unit,
            );
            filter.input_capacitor = Some(stack(unit));
        }
        series => waiting = Some(series),
    }
    let unknown = [FilterPart::Capacitor(guess::LATER_CAPACITOR)];
    let then = answers.then.as_deref().unwrap_or(&unknown);
    for part in then {
        match *part {
            FilterPart::Capacitor(unit) => {
                let at = filter.sections.len();
                let unit = guessing.or(
                    &format!("filter.sections[{at}].capacitor.unit"),
                    answers.then.as_ref().map(|_| unit),
                    unit,
                );
                let series = series_element(at, waiting.take(), guessing);
                let capacitor = stack(unit);
                filter.sections.push(FilterSection { series, capacitor });
            }
            series => {
                if waiting.is_some() {
                    push_with_guessed_capacitor(&mut filter, stack, waiting.take(), guessing);
                }
                waiting = Some(series);
            }
        }
    }
    if waiting.is_some() {
        push_with_guessed_capacitor(&mut filter, stack, waiting, guessing);
    }
    filter
}

fn push_with_guessed_capacitor(
    filter: &mut Filter,
    stack: impl Fn(Farads) -> CapacitorStack,
    series: Option<FilterPart>,
    guessing: &mut Guessing,
) {
    let at = filter.sections.len();
    let unit = guessing.of(
        &format!("filter.sections[{at}].capacitor.unit"),
        guess::LATER_CAPACITOR,
    );
    let series = series_element(at, series, guessing);
    let capacitor = stack(unit);
    filter.sections.push(FilterSection { series, capacitor });
}

fn series_element(at: usize, said: Option<FilterPart>, guessing: &mut Guessing) -> SeriesElement {
    let path = |name: &str| format!("filter.sections[{at}].series{name}");
    let henries = match said {
        Some(FilterPart::Resistor(ohms)) => return SeriesElement::Resistor(ohms),
        Some(FilterPart::Choke(henries)) => Some(henries),
        _ => None,
    };
    SeriesElement::Choke {
        inductance: guessing.or(&path(".inductance"), henries, guess::CHOKE),
        resistance: guessing.of(&path(".resistance"), guess::CHOKE_RESISTANCE),
        measured: Copper::Warm,
        rating: None,
    }
}

/// All sections of each envelope carry current. An imbalance of 10 % is a usual allowance where tubes are not matched.
fn pass_stage(answers: &Answers, circuit: &Circuit, guessing: &mut Guessing) -> PassStage {
    let tube = guessing.or(
        "pass_stage.tube",
        answers.pass_tube.clone(),
        circuit.pass_tube.clone(),
    );
    let units = guessing.or(
        "pass_stage.units",
        answers.pass_tubes.map(|_| circuit.units),
        circuit.units,
    );
    PassStage {
        tube,
        units,
        cathode_resistor: guessing.of("pass_stage.cathode_resistor", Ohms(0.0)),
        plate_resistor: guessing.of("pass_stage.plate_resistor", Ohms(0.0)),
        imbalance: guessing.of("pass_stage.imbalance", Fraction(0.1)),
        tube_spread: None,
        heater: None,
        grid_limit: guessing.of("pass_stage.grid_limit", Volts(0.0)),
    }
}

fn output(answers: &Answers, circuit: &Circuit, guessing: &mut Guessing) -> Output {
    Output {
        set_low: guessing.or("output.set_low", answers.set_low, circuit.set_low),
        set_high: guessing.or("output.set_high", answers.set_high, circuit.set_high),
        meter_scale: None,
        stand_by: None,
        meter_shunt: guessing.of("output.meter_shunt", Ohms(0.0)),
    }
}
