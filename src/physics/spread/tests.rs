use super::*;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::parts::spread::{Chance, Electrolytics, Spread, StatedSpread, Tubes, inputs};
use crate::parts::{Fraction, Work};
use crate::physics::operation::Case;
use crate::physics::steady_state::operate;

fn works() -> impl Iterator<Item = (&'static str, Work)> {
    let read = |text| read_work(text, &Catalogue::built_in()).unwrap();
    presets()
        .iter()
        .map(move |(name, text)| (*name, read(text)))
}

/// The base has laws where the supply has points, and gives the same volts.
#[test]
fn factors_of_one_are_the_supply_itself() {
    for (name, work) in works() {
        let model = Model::of(&work.supply).unwrap();
        let spreading = Spreading::of(&model, &inputs(&work));
        let ones = vec![1.0; spreading.inputs().len()];
        let same = spreading.model(&ones).unwrap();
        for amps in [0.0, 0.02] {
            let dropout = |model: &Model| {
                let operation = operate(&model.raw, Case::Present, amps).unwrap();
                model.dropout_volts(Case::Present, &operation)
            };
            let [a, b] = [dropout(&model), dropout(&same)].map(Option::unwrap);
            assert!((a - b).abs() < 1e-6 * a.abs(), "{name} {amps}: {a} {b}");
        }
    }
}

/// Each input moves the supply and nothing but its own.
#[test]
fn each_input_changes_the_supply() {
    for (name, work) in works() {
        let model = Model::of(&work.supply).unwrap();
        let spreading = Spreading::of(&model, &inputs(&work));
        let ones = vec![1.0; spreading.inputs().len()];
        let base = spreading.supply(&ones);
        for (place, input) in spreading.inputs().iter().enumerate() {
            let mut factors = ones.clone();
            factors[place] = 1.01;
            let moved = spreading.supply(&factors);
            let has_law = matches!(
                base.pass_stage.tube.characteristic,
                PlateCharacteristic::Law(_)
            );
            if input.field == Field::PassAmplification && !has_law {
                continue;
            }
            assert!(moved != base, "{name} {:?}", input.field);
            let mut back = factors.clone();
            back[place] = 1.0;
            assert_eq!(spreading.supply(&back), base, "{name} {:?}", input.field);
        }
    }
}

/// Of all samples half are below the middle of each input, whatever it shares with others; tubes of one age go together, new ones do
/// not. The correlation of a Gaussian copula of ρ in ranks is 6/π·asin(ρ/2) (K. Pearson 1907; value from memory).
#[test]
fn what_is_of_one_batch_goes_together_and_keeps_its_own_distribution() {
    let (_, mut work) = works().next().unwrap();
    work.condition.tubes = Tubes::Used;
    work.condition.electrolytics = Electrolytics::Old;
    let model = Model::of(&work.supply).unwrap();
    let spreading = Spreading::of(&model, &inputs(&work));
    let count = 4096;
    let samples: Vec<Vec<f64>> = (0..count)
        .map(|k| spreading.factors(&coordinates(k, spreading.dimensions(), 7)))
        .collect();
    let ranks: Vec<Vec<f64>> = (0..spreading.inputs().len())
        .map(|input| {
            let mut order: Vec<usize> = (0..samples.len()).collect();
            order.sort_by(|a, b| samples[*a][input].total_cmp(&samples[*b][input]));
            let mut rank = vec![0.0; samples.len()];
            for (place, sample) in order.iter().enumerate() {
                rank[*sample] = (place as f64 + 0.5) / samples.len() as f64 - 0.5;
            }
            rank
        })
        .collect();
    let want = 6.0 / core::f64::consts::PI * (0.5 * Batch::COMMON).asin();
    for (a, one) in spreading.inputs().iter().enumerate() {
        let middle = quantile(one.chance, 0.5);
        let below = samples.iter().filter(|factors| factors[a] < middle).count();
        assert!(
            (below as f64 / samples.len() as f64 - 0.5).abs() < 0.01,
            "{:?}",
            one.field
        );
        let [low, high] = one.chance.ends();
        assert!(
            samples.iter().all(|f| (low..=high).contains(&f[a])),
            "{:?}",
            one.field
        );
        for (b, other) in spreading.inputs().iter().enumerate().skip(a + 1) {
            let together: f64 = ranks[a].iter().zip(&ranks[b]).map(|(x, y)| x * y).sum();
            let correlation = 12.0 * together / samples.len() as f64;
            let is_one_batch = one.batch.is_some() && one.batch == other.batch;
            let expected = if is_one_batch { want } else { 0.0 };
            assert!(
                (correlation - expected).abs() < 0.08,
                "{:?} {:?}: {correlation} {expected}",
                one.field,
                other.field
            );
        }
    }
}

/// A linear case by hand: the no-load crest of a winding behind nothing goes as its volts, which are even within 6 %: mean 1, sigma
/// 6 %/√3.
#[test]
fn a_linear_case_has_the_mean_and_sigma_of_its_input() {
    let (_, mut work) = works().next().unwrap();
    work.spreads = vec![StatedSpread {
        field: "transformer.winding".to_owned(),
        spread: Spread::Percent(Fraction(0.06)),
    }];
    let model = Model::of(&work.supply).unwrap();
    let inputs: Vec<Input> = inputs(&work)
        .into_iter()
        .filter(|input| input.field == Field::Winding)
        .collect();
    let chances: Vec<Chance> = inputs.iter().map(|input| input.chance).collect();
    assert_eq!(
        chances,
        [Chance::Even {
            low: 0.94,
            high: 1.06
        }]
    );
    let spreading = Spreading::of(&model, &inputs);
    let nominal = model.at(Case::Present).source.crest_volts();
    let crests: Vec<f64> = (0..1024)
        .map(|k| {
            spreading
                .sample(k, 3)
                .unwrap()
                .at(Case::Present)
                .source
                .crest_volts()
                / nominal
        })
        .collect();
    let mean = crests.iter().sum::<f64>() / crests.len() as f64;
    let sigma =
        (crests.iter().map(|c| (c - mean).powi(2)).sum::<f64>() / crests.len() as f64).sqrt();
    assert!((mean - 1.0).abs() < 1e-4, "{mean}");
    assert!(
        (sigma / (0.06 / 3.0_f64.sqrt()) - 1.0).abs() < 2e-3,
        "{sigma}"
    );
}

#[test]
fn a_coordinate_is_between_zero_and_one_and_follows_from_its_number_alone() {
    for seed in [0, 1, u32::MAX] {
        for dimension in [0, 1, 255, 256, 300, 5000] {
            let values: Vec<f64> = (0..256).map(|k| coordinate(k, dimension, seed)).collect();
            assert!(values.iter().all(|v| *v > 0.0 && *v < 1.0));
            // 256 points of a Sobol sequence, scrambled or not: one in each of 256 intervals.
            let mut cells: Vec<u64> = values
                .iter()
                .map(|v| (v * 256.0).floor().to_bits())
                .collect();
            cells.sort_unstable();
            cells.dedup();
            assert_eq!(cells.len(), 256, "{dimension} {seed}");
        }
    }
    assert!((coordinate(3, 1, 1) - coordinate(3, 257, 1)).abs() > 0.0);
    assert!((coordinate(3, 1, 1) - coordinate(3, 1, 2)).abs() > 0.0);
}
