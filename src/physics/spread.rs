//! Supplies as they might be in truth: the one described, with each of its values moved within its spread.
//!
//! A sample is worked out from its number alone, so that it is the same whatever thread takes it and however many others there are. Its
//! values come from a scrambled Sobol sequence, which fills the spreads evenly. Values that parts of one batch have in common are drawn
//! by a normal (Gaussian) copula: the distribution of each stays what it is.
//!
//! # Source
//! I. M. Sobol', USSR Comput. Math. Math. Phys. 7 (1967) 86; A. B. Owen, scrambling (1995); B. Burley, "Practical Hash-based Owen
//! Scrambling", J. Computer Graphics Techniques 9 (2020) 1. Copula: R. B. Nelsen, "An Introduction to Copulas" (2006). Values from memory.

mod beside;
mod chance;

pub use beside::Beside;
pub use chance::{normal_below, normal_quantile, quantile};

use crate::parts::spread::{Batch, Field, Input};
use crate::parts::{ControlTubeKind, PlateCharacteristic, Supply};
use crate::physics::device::plate_law::PlateLaw;
use crate::physics::device::scaled::{
    put_law, scale_amplification, scale_control, scale_current, scale_rectifier,
};
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::Case;

/// The most samples that a sequence has.
pub const MOST_SAMPLES: u32 = 1 << 16;
/// Dimensions of one sequence; beyond them another one is begun that knows nothing of the first.
const DIMENSIONS: usize = 256;
/// Numbers between 0 and 1 come in steps of 2^−24; half of one keeps them from 0.
const HALF_STEP: f64 = 0.5 / 16_777_216.0;

/// One coordinate of a sample: a number between 0 and 1, neither of them, evenly distributed over the samples of a seed. `number` is below
/// [`MOST_SAMPLES`].
pub fn coordinate(number: u32, dimension: usize, seed: u32) -> f64 {
    let (sequence, dimension) = (dimension / DIMENSIONS, dimension % DIMENSIONS);
    let own_seed = u32::try_from(sequence)
        .unwrap_or(u32::MAX)
        .wrapping_mul(0x9e37_79b9)
        ^ seed;
    let dimension = u32::try_from(dimension).unwrap_or(0);
    f64::from(sobol_burley::sample(
        number % MOST_SAMPLES,
        dimension,
        own_seed,
    )) + HALF_STEP
}

/// The coordinates of a sample.
pub fn coordinates(number: u32, dimensions: usize, seed: u32) -> Vec<f64> {
    let all = 0..dimensions;
    all.map(|dimension| coordinate(number, dimension, seed))
        .collect()
}

/// One independent thing that moves a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mover {
    /// What a field has for itself.
    Own(Field),
    /// What all parts of a batch have in common.
    Common(Batch),
}

/// A supply and how its values are spread, ready to be drawn from.
#[derive(Debug, Clone)]
pub struct Spreading {
    /// The supply as described, its tubes' laws fitted.
    nominal: Model,
    inputs: Vec<Input>,
    /// Those batches that have parts here.
    batches: Vec<Batch>,
    /// Amplification factor and current scale of the tubes are changed in laws, not in published points.
    base: Supply,
}

impl Spreading {
    /// Of a supply and the values of it that are not known exactly.
    pub fn of(model: &Model, inputs: &[Input]) -> Self {
        let has = |batch: &Batch| inputs.iter().any(|input| input.batch == Some(*batch));
        Self {
            nominal: model.clone(),
            inputs: inputs.to_vec(),
            batches: Batch::ALL.into_iter().filter(has).collect(),
            base: with_laws(model),
        }
    }

    /// What is spread.
    pub fn inputs(&self) -> &[Input] {
        &self.inputs
    }

    /// The supply as described, with laws in place of its triodes' points: to be scaled by [`scale_field`].
    pub fn base(&self) -> &Supply {
        &self.base
    }

    /// It as described, ready to be asked.
    pub fn nominal(&self) -> &Model {
        &self.nominal
    }

    /// What moves it independently: one coordinate of a sample each, in this order.
    pub fn movers(&self) -> Vec<Mover> {
        let own = self.inputs.iter().map(|input| Mover::Own(input.field));
        own.chain(self.batches.iter().copied().map(Mover::Common))
            .collect()
    }

    /// How many coordinates a sample has.
    pub fn dimensions(&self) -> usize {
        self.inputs.len() + self.batches.len()
    }

    /// By what each input is multiplied at these coordinates.
    pub fn factors(&self, coordinates: &[f64]) -> Vec<f64> {
        let at = |place: usize| coordinates.get(place).copied().unwrap_or(0.5);
        let common = |batch: Batch| {
            let place = self.batches.iter().position(|one| *one == batch)?;
            Some(at(self.inputs.len() + place))
        };
        let of = |(place, input): (usize, &Input)| {
            let own = at(place);
            let share = match input.batch.and_then(common) {
                Some(common) => {
                    let [common, own] = [common, own].map(normal_quantile);
                    let weight = Batch::COMMON;
                    normal_below(weight.sqrt() * common + (1.0 - weight).sqrt() * own)
                }
                None => own,
            };
            quantile(input.chance, share)
        };
        self.inputs.iter().enumerate().map(of).collect()
    }

    /// Factors in the middle of each spread: as many are above as below.
    pub fn middle(&self) -> Vec<f64> {
        self.inputs
            .iter()
            .map(|input| quantile(input.chance, 0.5))
            .collect()
    }

    /// The supply with its inputs multiplied by these factors.
    pub fn supply(&self, factors: &[f64]) -> Supply {
        let mut supply = self.base.clone();
        for (input, factor) in self.inputs.iter().zip(factors) {
            scale_field(&mut supply, input.field, *factor);
        }
        supply
    }

    /// The same ready to be asked.
    ///
    /// # Errors
    /// As [`Model::of`]: at the far ends of wide spreads a transformer may make no sense.
    pub fn model(&self, factors: &[f64]) -> Result<Model, Failure> {
        self.nominal.beside(&self.supply(factors), &Beside::CASES)
    }

    /// The same, of which its negative rail is asked at the mains now and in these cases alone.
    ///
    /// # Errors
    /// As [`Self::model`].
    pub fn model_for(&self, factors: &[f64], cases: &[Case]) -> Result<Model, Failure> {
        self.nominal.beside(&self.supply(factors), cases)
    }

    /// A sample by its number, ready to be asked.
    ///
    /// # Errors
    /// As [`Self::model`].
    pub fn sample(&self, number: u32, seed: u32) -> Result<Model, Failure> {
        self.model(&self.factors(&coordinates(number, self.dimensions(), seed)))
    }
}

/// The supply with the laws of its triodes in place of the points to which they are fitted: to be scaled, and never fitted again.
fn with_laws(model: &Model) -> Supply {
    let mut supply = model.supply.clone();
    if let Some(PlateLaw::Triode(law)) = &model.pass.law {
        supply.pass_stage.tube.characteristic = PlateCharacteristic::Law(*law);
    }
    if let Some(regulator) = &mut supply.regulator
        && let ControlTubeKind::Triode(characteristic) = &mut regulator.control_tube.kind
    {
        put_law(characteristic);
    }
    supply
}

/// Makes a field so many times what it is, a tube's law among them.
pub fn scale_field(supply: &mut Supply, field: Field, factor: f64) {
    if !field.scale(supply, factor) {
        scale_tube(supply, field, factor);
    }
}

/// Changes a tube's law: so many times the current at equal volts, or so many times the amplification factor.
fn scale_tube(supply: &mut Supply, field: Field, factor: f64) {
    match field {
        Field::PassTube => scale_current(&mut supply.pass_stage.tube.characteristic, factor),
        Field::PassAmplification => {
            if let PlateCharacteristic::Law(law) = &mut supply.pass_stage.tube.characteristic {
                scale_amplification(law, factor);
            }
        }
        Field::Rectifier => scale_rectifier(&mut supply.rectifier.kind.law, factor),
        Field::ControlTube => {
            if let Some(regulator) = &mut supply.regulator {
                scale_control(&mut regulator.control_tube.kind, factor);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests;
