//! Is the description a supply at all? Every problem with its place, what was found and what was expected.
//!
//! The bounds are wide: they keep out what no bench ever saw (a typing slip in the unit) and what no law can take
//! (zero inductance), not what is merely unwise. Bounds without a note are common practice, no source.

mod filter;
mod regulator;
mod small_tubes;
mod types;

#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;

use crate::parts::quantity::Quantity;
use crate::parts::rating::Rating;
use crate::parts::{
    Dummy, Mains, Output, PassStage, Rectifier, Stage, Supply, Transformer, WindingVolts, Work,
};

pub(in crate::parts) use small_tubes::{control_tube_kind, control_tube_type, gas_tube_type};
pub(in crate::parts) use types::{pass_tube_type, rectifier_type, zero_bias_point};

/// Something in the description that cannot be computed with.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{field}: found {found}, expected {expected}")]
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
    all.extend(rectifier(&supply.rectifier));
    all.extend(filter::filter(&supply.filter));
    all.extend(pass_stage(&supply.pass_stage));
    if let Some(described) = &supply.regulator {
        all.extend(regulator::regulator(described));
    }
    all.extend(output(&supply.output));
    all
}

/// All problems of the supply, as [`check`] has them, then those of the dummy loads.
pub fn check_work(work: &Work) -> Vec<Problem> {
    let mut all = check(&work.supply);
    all.extend(dummies(&work.dummies));
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

    /// The value lies in the range, given in SI units; NaN and infinity never do.
    fn within<T: Quantity>(&mut self, field: &str, value: T, range: RangeInclusive<f64>) {
        if range.contains(&value.si()) {
            return;
        }
        let (low, high) = (T::from_si(*range.start()), T::from_si(*range.end()));
        let expected = if value.si() <= 0.0 && low.si() > 0.0 {
            format!("a value above zero, {low} to {high}")
        } else {
            format!("{low} to {high}")
        };
        self.add(field, value.to_string(), expected);
    }

    fn within_if_given<T: Quantity>(
        &mut self,
        field: &str,
        value: Option<T>,
        range: RangeInclusive<f64>,
    ) {
        if let Some(value) = value {
            self.within(field, value, range);
        }
    }

    fn rating<T: Quantity>(
        &mut self,
        field: &str,
        rating: Option<&Rating<T>>,
        range: RangeInclusive<f64>,
    ) {
        self.within_if_given(field, rating.map(|r| r.value), range);
    }

    fn count(&mut self, field: &str, value: u8, most: u8) {
        if !(1..=most).contains(&value) {
            self.add(field, value.to_string(), format!("1 to {most}"));
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

/// Rms volts of a mains or primary: from a small bench transformer to an industrial network.
const MAINS_VOLTS: RangeInclusive<f64> = 10.0..=1e3;
const VOLTS: RangeInclusive<f64> = 1.0..=100e3;
const AMPS: RangeInclusive<f64> = 1e-6..=1e3;

fn mains(mains: &Mains) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Mains);
    f.within("mains.nominal", mains.nominal, MAINS_VOLTS);
    let nominal = mains.nominal.0;
    if MAINS_VOLTS.contains(&nominal) {
        let around = 0.3 * nominal..=2.0 * nominal;
        f.within("mains.present", mains.present, around);
        f.within("mains.low", mains.low, 0.3 * nominal..=nominal);
        f.within("mains.high", mains.high, nominal..=2.0 * nominal);
    }
    f.within("mains.frequency", mains.frequency, 10.0..=1e3);
    f.problems
}

fn transformer(transformer: &Transformer) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Transformer);
    f.within(
        "transformer.primary_volts",
        transformer.primary_volts,
        MAINS_VOLTS,
    );
    match transformer.winding {
        WindingVolts::OpenCircuit(volts) => f.within("transformer.winding", volts, 1.0..=20e3),
        WindingVolts::Loaded { volts, amps } => {
            f.within("transformer.winding.volts", volts, 1.0..=20e3);
            f.within("transformer.winding.amps", amps, 1e-6..=100.0);
        }
    }
    f.within(
        "transformer.primary_resistance",
        transformer.primary_resistance,
        0.0..=10e3,
    );
    f.within(
        "transformer.secondary_resistance",
        transformer.secondary_resistance,
        0.0..=100e3,
    );
    f.rating(
        "transformer.winding_rating",
        transformer.winding_rating.as_ref(),
        100e-6..=100.0,
    );
    f.within("transformer.auxiliary", transformer.auxiliary, 0.0..=10e3);
    f.problems
}

fn rectifier(rectifier: &Rectifier) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Rectifier);
    f.problems
        .extend(below("rectifier.kind", rectifier_type(&rectifier.kind)));
    f.count("rectifier.in_parallel", rectifier.in_parallel, 32);
    f.within(
        "rectifier.plate_resistor",
        rectifier.plate_resistor,
        0.0..=100e3,
    );
    f.problems
}

fn pass_stage(stage: &PassStage) -> Vec<Problem> {
    let mut f = Findings::of(Stage::PassStage);
    f.problems
        .extend(below("pass_stage.tube", pass_tube_type(&stage.tube)));
    f.count("pass_stage.units", stage.units, 64);
    f.within(
        "pass_stage.cathode_resistor",
        stage.cathode_resistor,
        0.0..=1e6,
    );
    f.within("pass_stage.plate_resistor", stage.plate_resistor, 0.0..=1e6);
    f.within("pass_stage.imbalance", stage.imbalance, 0.0..=1.0);
    f.within_if_given("pass_stage.tube_spread", stage.tube_spread, 0.0..=2.0);
    f.within("pass_stage.grid_limit", stage.grid_limit, -1e3..=200.0);
    f.problems
}

fn output(output: &Output) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    f.within("output.set_low", output.set_low, 0.0..=100e3);
    f.within("output.set_high", output.set_high, VOLTS);
    f.not_above(
        "output.set_low",
        output.set_low,
        output.set_high,
        "the highest setting (set_high)",
    );
    f.within("output.meter_shunt", output.meter_shunt, 0.0..=1e6);
    f.problems
}

fn dummies(dummies: &[Dummy]) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Dummies);
    for (index, dummy) in dummies.iter().enumerate() {
        let at = |name: &str| format!("dummies[{index}].{name}");
        f.within(&at("resistance"), dummy.resistance, 0.1..=1e9);
        f.within_if_given(&at("power"), dummy.power, 1e-3..=1e6);
        f.within_if_given(&at("working_volts"), dummy.working_volts, VOLTS);
        f.within(&at("tolerance"), dummy.tolerance, 0.0..=0.9);
        f.within(&at("derating"), dummy.derating, 1e-3..=1.0);
    }
    f.problems
}

/// The problems of a type, with the path of the field that holds it.
fn below(path: &str, problems: Vec<Problem>) -> Vec<Problem> {
    problems
        .into_iter()
        .map(|problem| Problem {
            field: format!("{path}.{}", problem.field),
            ..problem
        })
        .collect()
}
