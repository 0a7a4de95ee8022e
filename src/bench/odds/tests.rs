use rayon::ThreadPoolBuilder;

use super::*;
use crate::parts::Work;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::parts::spread::{Chance, Input, inputs};
use crate::physics::envelope::{envelope, point_alone};
use crate::physics::limit::Use;
use crate::physics::spread::coordinates;

fn preset(name: &str) -> Work {
    let (_, text) = presets()
        .iter()
        .find(|(file, _)| file.contains(name))
        .unwrap();
    read_work(text, &Catalogue::built_in()).unwrap()
}

/// A supply to be drawn from, with the currents and the point at which it is looked at.
struct Case {
    spreading: Spreading,
    currents: Vec<f64>,
    at: [f64; 2],
}

fn case(name: &str) -> Case {
    let work = preset(name);
    let model = Model::of(&work.supply).unwrap();
    let envelope = envelope(&model).unwrap();
    let at = middle(&envelope);
    Case {
        spreading: Spreading::of(&model, &inputs(&work)),
        currents: currents(&envelope, at),
        at,
    }
}

impl Case {
    fn odds(&self, samples: u32, seed: u32) -> Odds {
        let asked = Asked {
            at: self.at,
            samples,
            seed,
        };
        odds(&self.spreading, &self.currents, asked).unwrap()
    }
}

/// The answers of so many drawn supplies.
fn answers(spreading: &Spreading, question: Question, samples: u32) -> Vec<f64> {
    let middle = spreading.model(&spreading.middle()).unwrap();
    let beside = Beside::of(&middle, question.amps());
    let answer = |number| {
        let drawn = spreading.factors(&coordinates(number, spreading.dimensions(), 6));
        question.answer(&spreading.model_for(&drawn, &[]).ok()?, &beside)
    };
    (0..samples).filter_map(answer).collect()
}

#[test]
fn the_same_seed_gives_the_same_bytes_on_any_number_of_threads() {
    let case = case("school");
    let on = |threads: usize| {
        let pool = ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| {
            let dropout = Question::Dropout(case.at[0]);
            let found = case.odds(100, 4);
            let corner = corner(&case.spreading, dropout).unwrap();
            let ranked = rankings(&case.spreading, [dropout], [8, 4]).unwrap();
            format!("{found:?} {corner:?} {ranked:?}")
        })
    };
    let one = on(1);
    assert_eq!(one, on(2));
    assert_eq!(one, on(8));
    assert!(one != format!("{:?}", case.odds(100, 5)));
}

/// Whoever lost interest is not kept waiting, and is told no half of a lot.
#[test]
fn a_lot_that_is_broken_off_is_left_out() {
    use std::sync::atomic::{AtomicU32, Ordering};

    use crate::physics::watch::{Follow, Watch};

    struct Leaves {
        asked: AtomicU32,
        told: AtomicU32,
    }
    impl Watch for Leaves {
        fn may_go_on(&self, _done: f64) -> bool {
            self.asked.fetch_add(1, Ordering::Relaxed) < FIRST_LOT + 5
        }
    }
    impl Follow<Odds> for Leaves {
        fn so_far(&self, part: &Odds) {
            self.told
                .store(part.worked_out + part.failed, Ordering::Relaxed);
        }
    }
    let case = case("school");
    let watch = Leaves {
        asked: AtomicU32::new(0),
        told: AtomicU32::new(0),
    };
    let asked = Asked {
        at: case.at,
        samples: 1000,
        seed: 4,
    };
    let found = odds_followed(&case.spreading, &case.currents, asked, &watch).unwrap();
    assert_eq!(found.worked_out + found.failed, FIRST_LOT);
    assert_eq!(watch.told.load(Ordering::Relaxed), FIRST_LOT);
    assert!(watch.asked.load(Ordering::Relaxed) < 3 * FIRST_LOT);
}

/// Units drawn with another seed are the planted ones: nine in ten of them are to lie in the band, be it of the line or of a reading.
#[test]
fn nine_in_ten_planted_units_lie_in_the_band() {
    for name in ["school", "choke-input"] {
        let case = case(name);
        let found = case.odds(1000, 1);
        let asked = Asked {
            at: case.at,
            samples: 200,
            seed: 99,
        };
        let tally = Tally::of(&case.spreading, &case.currents, asked).unwrap();
        let planted: Vec<Drawn> = (0..200)
            .map(|number| drawn(&case.spreading, &tally, number).unwrap())
            .collect();
        let share = |band: Band, of: &dyn Fn(&Drawn) -> Option<f64>| {
            let held = planted
                .iter()
                .filter_map(of)
                .filter(|value| band.holds(*value));
            held.count() as f64 / planted.len() as f64
        };
        assert_eq!(found.dropout.len(), case.currents.len());
        for (place, at) in found.dropout.iter().enumerate() {
            let held = share(at.band, &|unit| unit.dropout[place]);
            // Where nothing is held in more than one unit of twenty, 0 V is the low end, and all of those are in it.
            let want = if at.band.low > 0.0 { 0.9 } else { 0.95 };
            assert!((held - want).abs() <= 0.04, "{name} {} A: {held}", at.amps);
        }
        for (reading, band) in &found.readings {
            if band.half_width() < 1e-9 {
                continue;
            }
            let place = Reading::ALL.iter().position(|one| one == reading).unwrap();
            let held = share(*band, &|unit| unit.readings[place]);
            assert!((held - 0.9).abs() <= 0.05, "{name} {reading:?}: {held}");
        }
    }
}

/// A point on the middle of the dropout line is beyond it in half of the units, and far below and above it in none and in all.
#[test]
fn odds_at_the_dropout_line_go_from_none_to_all() {
    let mut case = case("school");
    let [amps, _] = case.at;
    let line = case.odds(400, 1).dropout;
    let band = line
        .iter()
        .find(|at| at.amps.to_bits() == amps.to_bits())
        .unwrap()
        .band;
    let mut over_at = |volts: f64| {
        case.at = [amps, volts];
        let found = case.odds(400, 2);
        let of = found
            .limits
            .iter()
            .find(|one| one.limit == Limit::Dropout)
            .unwrap();
        assert_eq!(found.inside + found.over_a_rating + found.out_of_reach, 400);
        assert!(found.out_of_reach >= of.over);
        f64::from(of.over) / f64::from(of.judged)
    };
    assert!(over_at(0.5 * band.low) <= 0.0);
    assert!((over_at(band.low) - 0.05).abs() < 0.03);
    assert!((over_at(band.middle) - 0.5).abs() < 0.05);
    assert!((over_at(band.high) - 0.95).abs() < 0.03);
    assert!(over_at(2.0 * band.high) >= 1.0);
}

#[test]
fn no_sample_is_worse_than_the_worst_corner() {
    for (name, _) in presets() {
        let case = case(name);
        let dropout = Question::Dropout(case.at[0]);
        let worst = corner(&case.spreading, dropout).unwrap().unwrap();
        let least =
            (answers(&case.spreading, dropout, 100).into_iter()).fold(f64::INFINITY, f64::min);
        assert!(worst.answer < least, "{name}: {} {least}", worst.answer);
        assert!(
            worst.answer < worst.middle && !worst.ends.is_empty(),
            "{name}"
        );
        // The one that is named first does most, and each makes it worse.
        assert!(
            worst
                .ends
                .windows(2)
                .all(|two| two[0].relief >= two[1].relief),
            "{name}"
        );
    }
}

/// Each spread by itself a quarter as wide: no band becomes wider beyond the noise, and where that value matters one becomes narrower.
#[test]
fn a_narrower_spread_never_widens_a_band() {
    let case = case("school");
    let all = case.spreading.inputs().to_vec();
    let width = |inputs: &[Input], samples: u32| {
        let work = preset("school");
        let model = Model::of(&work.supply).unwrap();
        let spreading = Spreading::of(&model, inputs);
        let volts = answers(&spreading, Question::Dropout(case.at[0]), samples);
        Band::of(&volts).unwrap().half_width()
    };
    let whole = width(&all, 96);
    let mut least = (whole, all.clone());
    for place in 0..all.len() {
        let mut narrower = all.clone();
        let [low, high] = narrower[place].chance.ends();
        let (middle, half) = (0.5 * (low + high), 0.125 * (high - low));
        narrower[place].chance = Chance::Even {
            low: middle - half,
            high: middle + half,
        };
        let now = width(&narrower, 96);
        assert!(now < 1.08 * whole, "{:?}: {now} {whole}", all[place].field);
        if now < least.0 {
            least = (now, narrower);
        }
    }
    // What narrows it most is told from the noise of so few samples by more of them.
    let (now, whole) = (width(&least.1, 512), width(&all, 512));
    assert!(now < 0.9 * whole, "{now} {whole}");
}

/// The share of the width that is left is held against the supplies drawn with that value known: narrowing the one that matters most by
/// so much narrows the band by so much.
#[test]
fn what_is_promised_of_a_measurement_comes_true() {
    let case = case("school");
    let dropout = Question::Dropout(case.at[0]);
    let ranking = rankings(&case.spreading, [dropout], [128, 2])
        .unwrap()
        .remove(0);
    let best = ranking.ranked[0];
    let crate::physics::spread::Mover::Own(field) = best.mover else {
        panic!("{best:?}");
    };
    let known = best.known_to.unwrap();
    let inputs: Vec<Input> = (case.spreading.inputs().iter().copied())
        .map(|mut input| {
            if input.field == field {
                let middle = crate::physics::spread::quantile(input.chance, 0.5);
                input.batch = None;
                input.chance = Chance::Even {
                    low: middle * (1.0 - known),
                    high: middle * (1.0 + known),
                };
            }
            input
        })
        .collect();
    let model = Model::of(&preset("school").supply).unwrap();
    let sigma = |spreading: &Spreading| {
        let all = answers(spreading, dropout, 512);
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        (all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / all.len() as f64).sqrt()
    };
    let [before, after] = [
        sigma(&case.spreading),
        sigma(&Spreading::of(&model, &inputs)),
    ];
    assert!(
        (ranking.sigma / before - 1.0).abs() < 0.15,
        "{} {before}",
        ranking.sigma
    );
    assert!(
        (after / before - best.left).abs() < 0.1,
        "{} {best:?}",
        after / before
    );
}

/// What is found from steady states of the supply in the middle, each limit in its own cases alone, is what is found from nothing.
#[test]
fn a_drawn_supply_solved_from_the_middle_is_the_one_solved_anew() {
    for (name, _) in presets() {
        let case = case(name);
        let asked = Asked {
            at: case.at,
            samples: FEWEST,
            seed: 11,
        };
        let tally = Tally::of(&case.spreading, &case.currents, asked).unwrap();
        let factors = vec![1.0; case.spreading.inputs().len()];
        let described = case.spreading.model(&factors).unwrap();
        let described = point_alone(&described, case.at[0], case.at[1]).unwrap();
        // What a maker asks of the circuit is asked of what is printed on the parts.
        let of_circuit = |limit: Limit| limit.row().nature == Nature::CircuitValue;
        for number in 0..4 {
            let near = drawn(&case.spreading, &tally, number).unwrap();
            let supply = case.spreading.sample(number, 11).unwrap().supply;
            let anew = Model::of(&supply).unwrap();
            let point = point_alone(&anew, case.at[0], case.at[1]).unwrap();
            let is_over = |used: &&Use| of_circuit(used.limit) && used.is_over();
            if [&point, &described].map(|p| p.uses.iter().any(|u| is_over(&u))) == [false; 2] {
                assert_eq!(near.standing, point.standing(), "{name} {number}");
            }
            for (limit, ratio) in tally.limits.iter().zip(&near.ratios) {
                let from = if of_circuit(*limit) {
                    &described
                } else {
                    &point
                };
                let other = from.uses.iter().find(|one| one.limit == *limit).unwrap();
                let [Some(one), Some(other)] = [*ratio, other.ratio()] else {
                    assert_eq!(ratio.is_some(), other.ratio().is_some(), "{name} {limit:?}");
                    continue;
                };
                // Volts to 0.05 %, currents to 0.3 % of a converged solution.
                assert!(
                    (one - other).abs() < 3e-3 * other.abs().max(0.01),
                    "{name} {limit:?}: {one} {other}"
                );
            }
        }
    }
}
