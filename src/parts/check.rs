//! Is the description a supply at all? Every problem with its place, what was found and what was expected.
//!
//! The bounds are wide: they keep out what no bench ever saw (a typing slip in the unit) and what no law can take
//! (zero inductance), not what is merely unwise. Bounds without a note are common practice, no source.

mod as_found;
mod bench;
mod filter;
mod primary;
mod regulator;
mod resistors;
mod small_tubes;
mod types;

#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;

use crate::parts::escape::{escaped, shortened};
use crate::parts::guessed::standing;
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Figure, Rating};
use crate::parts::spread;
use crate::parts::{
    Accepted, Amount, Connection, CrestFactor, Dummy, HeaterTie, Mains, Output, PassStage,
    Rectifier, SecondaryVolts, Stage, StandBy, Supply, Transformer, Volts, WindingVolts, Work,
};

pub(in crate::parts) use resistors::drawer;
pub(in crate::parts) use small_tubes::{control_tube_kind, control_tube_type, gas_tube_type};
pub(in crate::parts) use types::{pass_tube_type, rectifier_type, zero_bias_point};

/// Something in the description that cannot be computed with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "{}: found {}, expected {}",
    escaped(field),
    escaped(found),
    escaped(expected)
)]
pub struct Problem {
    /// The stage that it belongs to.
    pub stage: Stage,
    /// The field, as a path in the file: `filter.sections[1].capacitor.unit`.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// All problems of a description, in the order of the signal path; empty when it can be computed.
pub fn check(supply: &Supply) -> Vec<Problem> {
    let mut all = Vec::new();
    all.extend(mains(&supply.mains));
    all.extend(transformer(&supply.transformer));
    all.extend(halves(supply));
    all.extend(rectifier(&supply.rectifier));
    all.extend(filter::filter(&supply.filter));
    all.extend(pass_stage(&supply.pass_stage));
    if let Some(described) = &supply.regulator {
        all.extend(regulator::regulator(described));
        all.extend(regulator::rail_on_the_winding(supply));
    }
    all.extend(output(&supply.output));
    all.extend(stand_by(supply));
    all.extend(accepted(&supply.accepted));
    all.extend(as_found::as_found(supply));
    all
}

/// All problems of the supply, as [`check`] has them, then those of the dummy loads, of the marks of what is guessed, of the spreads and of the readings.
pub fn check_work(work: &Work) -> Vec<Problem> {
    let mut all = check(&work.supply);
    all.extend(dummies(&work.dummies));
    all.extend(guessed(work));
    all.extend(spreads(work));
    all.extend(bench::bench(work));
    all.extend(primary::primary(work));
    all
}

/// The problems of one stage as they are found.
struct Findings {
    stage: Stage,
    problems: Vec<Problem>,
}

impl Findings {
    fn of(stage: Stage) -> Self {
        Self {
            stage,
            problems: Vec::new(),
        }
    }

    fn add(&mut self, field: &str, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(Problem {
            stage: self.stage,
            field: field.to_owned(),
            found: found.into(),
            expected: expected.into(),
        });
    }

    /// The value, if it is given, lies in the range, given in SI units; NaN and infinity never do.
    fn within(&mut self, field: &str, value: &impl Bounded, range: RangeInclusive<f64>) {
        if let Some(outside) = value.outside(range) {
            self.add(field, outside.found, outside.expected);
        }
    }

    /// `low` must not exceed `high`; the field named is that of `low`.
    fn not_above<T: Quantity>(&mut self, field: &str, low: T, high: T, what_high_is: &str) {
        if low > high {
            self.add(
                field,
                low.to_string(),
                format!("at most {high}, {what_high_is}"),
            );
        }
    }
}

/// A value that lies outside its bounds.
struct Outside {
    found: String,
    expected: String,
}

/// What can have bounds: a quantity, a count, a number, and a rating or figure of them, known or not.
trait Bounded {
    /// What is said if it lies outside.
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside>;
}

impl<T: Quantity> Bounded for T {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        let (low, high) = (T::from_si(*range.start()), T::from_si(*range.end()));
        let above_zero = if self.si() <= 0.0 && low.si() > 0.0 {
            "a value above zero, "
        } else {
            ""
        };
        (!range.contains(&self.si())).then(|| Outside {
            found: shortened(&self.to_string()),
            expected: format!("{above_zero}{low} to {high}"),
        })
    }
}

impl Bounded for f64 {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        (!range.contains(self)).then(|| Outside {
            // The short form: a number with its power of ten, where its digits would fill the line.
            found: format!("{self:?}").trim_end_matches(".0").to_owned(),
            expected: format!("{} to {}", range.start(), range.end()),
        })
    }
}

impl Bounded for u8 {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        f64::from(*self).outside(range)
    }
}

impl<T: Bounded> Bounded for Option<T> {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        self.as_ref()?.outside(range)
    }
}

impl<T: Bounded> Bounded for Rating<T> {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        self.value.outside(range)
    }
}

impl<T: Bounded> Bounded for Figure<T> {
    fn outside(&self, range: RangeInclusive<f64>) -> Option<Outside> {
        self.value.outside(range)
    }
}

/// Bounds of fields of a part: `bounds!(findings, "path of the part", part, { field: range, … })`.
macro_rules! bounds {
    ($findings:ident, $path:expr, $part:expr, { $($field:ident: $range:expr,)* }) => {
        $($findings.within(&crate::parts::check::field($path, stringify!($field)), &$part.$field, $range);)*
    };
}
use bounds;

/// The path of a field of a part.
fn field(path: &str, name: &str) -> String {
    if path.is_empty() {
        name.to_owned()
    } else {
        format!("{path}.{name}")
    }
}

/// Dummy loads of one supply: each has a line in the plot and a row in the window.
const MOST_DUMMIES: usize = 200;
/// Potential of a heater against the output's common terminal.
const HEATER_VOLTS: RangeInclusive<f64> = -10e3..=10e3;
/// Rms volts of a mains or primary: from a small bench transformer to an industrial network.
const MAINS_VOLTS: RangeInclusive<f64> = 10.0..=1e3;
const VOLTS: RangeInclusive<f64> = 1.0..=100e3;
const AMPS: RangeInclusive<f64> = 1e-6..=1e3;

fn mains(mains: &Mains) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Mains);
    bounds!(f, "mains", mains, { nominal: MAINS_VOLTS, });
    let nominal = mains.nominal.0;
    if MAINS_VOLTS.contains(&nominal) {
        bounds!(f, "mains", mains, {
            present: 0.3 * nominal..=2.0 * nominal,
            low: 0.3 * nominal..=nominal,
            high: nominal..=2.0 * nominal,
        });
    }
    bounds!(f, "mains", mains, { frequency: 10.0..=1e3, });
    crest_factor(&mut f, mains.crest_factor);
    f.problems
}

/// Rms is never below the mean, so that nothing has a crest factor below 1; what mains have is a sine with its top flattened, not a
/// dented one, nor a peaked one.
fn crest_factor(f: &mut Findings, crest: CrestFactor) {
    let (least, sine) = (CrestFactor::LEAST.0, 1.4143);
    if !(least..=sine).contains(&crest.0) {
        f.add(
            "mains.crest_factor",
            shortened(&format!("{:?}", crest.0)),
            format!(
                "{least} to {sine}: a clean sine has 1.414, mains of today mostly 1.36 to 1.40"
            ),
        );
    }
}

fn transformer(transformer: &Transformer) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Transformer);
    bounds!(f, "transformer", transformer, { primary_volts: MAINS_VOLTS, });
    match &transformer.winding {
        WindingVolts::OpenCircuit(volts) => secondary(&mut f, "transformer.winding", *volts),
        WindingVolts::Loaded { volts, amps } => {
            secondary(&mut f, "transformer.winding.volts", *volts);
            f.within("transformer.winding.amps", amps, 1e-6..=100.0);
        }
    }
    bounds!(f, "transformer", transformer, {
        primary_resistance: 0.0..=10e3,
        secondary_resistance: 0.0..=100e3,
        second_half_resistance: 0.0..=100e3,
        winding_rating: 100e-6..=100.0,
        auxiliary: 0.0..=10e3,
    });
    f.problems
}

/// Volts of a winding, or of both of its halves.
fn secondary(f: &mut Findings, field: &str, volts: SecondaryVolts) {
    let all = match volts {
        SecondaryVolts::One(volts) => vec![volts],
        SecondaryVolts::Halves(first, second) => vec![first, second],
    };
    for volts in all {
        f.within(field, &volts, 1.0..=20e3);
    }
}

/// Halves of a winding belong to a rectifier that takes turns on them from their tap.
fn halves(supply: &Supply) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Transformer);
    let transformer = &supply.transformer;
    let how = match supply.rectifier.connection {
        Connection::FullWaveCentreTap => return f.problems,
        Connection::Bridge => "a bridge",
        Connection::HalfWave => "a half-wave rectifier",
    };
    if let SecondaryVolts::Halves(first, second) = transformer.secondary_volts() {
        let field = match transformer.winding {
            WindingVolts::OpenCircuit(_) => "transformer.winding",
            WindingVolts::Loaded { .. } => "transformer.winding.volts",
        };
        f.add(
            field,
            shortened(&format!("{} with {how}", transformer.secondary_volts())),
            format!(
                "the whole winding in one figure, such as \"{}\", or a full-wave rectifier from the centre tap",
                Volts(first.0 + second.0)
            ),
        );
    }
    if let Some(ohms) = transformer.second_half_resistance {
        f.add(
            "transformer.second_half_resistance",
            shortened(&format!("{ohms} with {how}")),
            "no such field: the resistance of the whole winding stands in secondary_resistance",
        );
    }
    f.problems
}

fn rectifier(rectifier: &Rectifier) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Rectifier);
    f.problems
        .extend(below("rectifier.kind", rectifier_type(&rectifier.kind)));
    wiring(&mut f, "rectifier", rectifier);
    f.problems
}

/// How a rectifier is wired.
fn wiring(f: &mut Findings, path: &str, rectifier: &Rectifier) {
    bounds!(f, path, rectifier, {
        in_parallel: 1.0..=32.0,
        in_series: 1.0..=32.0,
        plate_resistor: 0.0..=100e3,
    });
    if rectifier.in_series > 1 && !rectifier.kind.is_silicon() {
        f.add(
            &field(path, "in_series"),
            rectifier.in_series.to_string(),
            "1: only silicon diodes stand in series in one leg",
        );
    }
    heater_tie(f, &field(path, "heater"), rectifier.heater);
}

fn pass_stage(stage: &PassStage) -> Vec<Problem> {
    let mut f = Findings::of(Stage::PassStage);
    f.problems
        .extend(below("pass_stage.tube", pass_tube_type(&stage.tube)));
    bounds!(f, "pass_stage", stage, {
        units: 1.0..=64.0,
        cathode_resistor: 0.0..=1e6,
        plate_resistor: 0.0..=1e6,
        imbalance: 0.0..=1.0,
        tube_spread: 0.0..=2.0,
        grid_limit: -1e3..=200.0,
    });
    heater_tie(&mut f, "pass_stage.heater", stage.heater);
    f.problems
}

/// What a heater is tied to.
fn heater_tie(f: &mut Findings, field: &str, tie: Option<HeaterTie>) {
    if let Some(HeaterTie::Elevated(volts)) = tie {
        f.within(field, &volts, HEATER_VOLTS);
    }
}

fn output(output: &Output) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    bounds!(f, "output", output, { set_low: 0.0..=100e3, set_high: VOLTS, });
    f.not_above(
        "output.set_low",
        output.set_low,
        output.set_high,
        "the highest setting (set_high)",
    );
    bounds!(f, "output", output, { meter_shunt: 0.0..=1e6, meter_scale: VOLTS, });
    f.problems
}

/// A switch in a centre tap wants one that carries the bus's current.
fn stand_by(supply: &Supply) -> Option<Problem> {
    let how = match supply.rectifier.connection {
        Connection::FullWaveCentreTap => return None,
        Connection::Bridge => "a bridge",
        Connection::HalfWave => "a half-wave rectifier",
    };
    let in_tap = supply.output.stand_by == Some(StandBy::CentreTap);
    in_tap.then(|| Problem {
        stage: Stage::Output,
        field: "output.stand_by".to_owned(),
        found: format!("CentreTap with {how}"),
        expected: "BeforeFilter, AfterFilter, Output or NoSwitch: no centre tap carries the current of the bus here"
            .to_owned(),
    })
}

/// Whether each is a rating of the supply, and beyond it, is not asked here.
fn accepted(accepted: &[Accepted]) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    for (index, one) in accepted.iter().enumerate() {
        let field = &format!("accepted[{index}].up_to");
        match &one.up_to {
            Amount::Volts(volts) => f.within(field, volts, VOLTS),
            Amount::Amps(amps) => f.within(field, amps, AMPS),
            Amount::Watts(watts) => f.within(field, watts, 1e-3..=1e6),
            Amount::Ohms(ohms) => f.within(field, ohms, 0.0..=1e9),
            Amount::Farads(farads) => f.within(field, farads, 1e-12..=1.0),
        }
    }
    f.problems
}

fn dummies(dummies: &[Dummy]) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Dummies);
    if dummies.len() > MOST_DUMMIES {
        f.add(
            "dummies",
            format!("{} dummy loads", dummies.len()),
            format!("at most {MOST_DUMMIES}"),
        );
    }
    for (index, dummy) in dummies.iter().enumerate() {
        bounds!(f, &format!("dummies[{index}]"), dummy, {
            resistance: 0.1..=1e9,
            power: 1e-3..=1e6,
            working_volts: VOLTS,
            tolerance: 0.0..=0.9,
            derating: 1e-3..=1.0,
        });
        resistors::make_up(&mut f, index, dummy);
    }
    f.problems
}

/// A mark must name a field that is there, and that can be guessed.
fn guessed(work: &Work) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Mains);
    for (index, field) in work.guessed.iter().enumerate() {
        if standing(&work.supply, field).is_none() {
            f.add(
                &format!("guessed[{index}]"),
                format!("\"{}\"", escaped(&shortened(field))),
                "a field of this supply that can be guessed, such as \"transformer.secondary_resistance\"",
            );
        }
    }
    f.problems
}

/// A spread must name a field that has one, once, and be one of its value.
fn spreads(work: &Work) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Mains);
    for (index, stated) in work.spreads.iter().enumerate() {
        let path = &format!("spreads[{index}]");
        let mut before = work.spreads.iter().take(index);
        if before.any(|other| other.field == stated.field) {
            let found = format!("\"{}\" a second time", escaped(&shortened(&stated.field)));
            f.add(&field(path, "field"), found, "each field once");
        } else if let Some((part, found, expected)) = spread::fault(&work.supply, stated) {
            let name = match part {
                spread::Part::Field => "field",
                spread::Part::Spread => "spread",
            };
            f.add(&field(path, name), escaped(&shortened(&found)), expected);
        }
    }
    f.problems
}

/// The problems of a type, with the path of the field that holds it.
fn below(path: &str, problems: Vec<Problem>) -> Vec<Problem> {
    problems
        .into_iter()
        .map(|problem| Problem {
            field: field(path, &problem.field),
            ..problem
        })
        .collect()
}
