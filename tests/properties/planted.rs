//! Units with a fault that is known, drawn with every tolerance and every meter's error by the whole physics: what is said of them.
//!
//! A few in the normal run; a study by hand: `SAGLINE_PLANTED=200 cargo test --release --test properties planted -- --nocapture`.

use std::sync::Arc;

use rayon::prelude::*;
use sagline::bench::diagnosis::cause::{Alternating, Cause, Range};
use sagline::bench::diagnosis::errors::{
    ALTERNATING_SCALE, AMMETER_SCALE, DIRECT_SCALE, LEAK_AMPS, LOAD_AMPS, own_error, range_of,
};
use sagline::bench::diagnosis::predicted::{Ground, Predicted};
use sagline::bench::diagnosis::{Asked, Diagnosis, PROBABLE, judge};
use sagline::bench::expected::Unit;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_work;
use sagline::parts::readings::{Connected, Reading, ReadingSet, What};
use sagline::parts::spread::Field;
use sagline::parts::{Amps, Volts, Work};
use sagline::physics::spread::{coordinate, normal_quantile, scale_field};
use sagline::physics::watch::Unwatched;

/// Numbers drawn for one unit, one after the other.
struct Draw {
    number: u32,
    dimension: usize,
}

impl Draw {
    fn share(&mut self) -> f64 {
        self.dimension += 1;
        coordinate(self.number, self.dimension, 0x5a61_0001)
    }

    fn normal(&mut self) -> f64 {
        normal_quantile(self.share())
    }
}

struct Study {
    work: Work,
    ground: Arc<Ground>,
    spots: Vec<(What, Connected)>,
    predicted: Predicted,
}

/// Whether one of the readings is 4 to 15 % off.
#[derive(Debug, Clone, Copy)]
enum Spoil {
    Nothing,
    OneReading,
}

/// A unit that was drawn, and what was read of it.
struct Planted {
    cause: Cause,
    size: f64,
    set: ReadingSet,
    /// The reading that was spoilt, by its number.
    spoilt: Option<usize>,
}

fn study(file: &str, [half, full]: [f64; 2], which: &[(What, usize)]) -> Option<Study> {
    let (_, text) = presets().iter().find(|(name, _)| *name == file)?;
    let work = read_work(text, &Catalogue::built_in()).ok()?;
    let load = |k: usize| match k {
        0 => Connected::Nothing,
        1 => Connected::Current(Amps(half)),
        _ => Connected::Current(Amps(full)),
    };
    let spots: Vec<(What, Connected)> = which.iter().map(|(what, k)| (*what, load(*k))).collect();
    let set = ReadingSet {
        readings: spots
            .iter()
            .map(|(what, load)| reading(*what, *load, 1.0))
            .collect(),
        ..ReadingSet::default()
    };
    let ground = Arc::new(Ground::of(&work, work.supply.mains.present.0).ok()?);
    let asked = Asked::on(Arc::clone(&ground), &work, &set);
    let predicted = asked.predicted(&Unwatched).ok()??;
    Some(Study {
        work,
        ground,
        spots,
        predicted,
    })
}

fn reading(what: What, load: Connected, value: f64) -> Reading {
    Reading {
        load,
        ..Reading::of(what, value)
    }
}

impl Study {
    fn causes(&self) -> Vec<Cause> {
        self.predicted
            .causes
            .iter()
            .map(|one| one.row.cause)
            .collect()
    }

    /// A unit with a cause, by the whole physics; `None` where one of the readings is not there to be read.
    fn plant(&self, cause: Cause, number: u32, spoil: Spoil) -> Option<Planted> {
        let mut draw = Draw {
            number,
            dimension: 0,
        };
        let dimensions = self.ground.spreading().dimensions();
        let own: Vec<f64> = (0..dimensions).map(|_| draw.share()).collect();
        // What was found of a value is that of the unit: its tolerance is in it.
        let replaced = cause.replaces(&self.work.supply);
        let mut factors = self.ground.spreading().factors(&own);
        for (input, factor) in self.ground.inputs().iter().zip(&mut factors) {
            if replaced.contains(&input.field) {
                *factor = 1.0;
            }
        }
        let mut unit: Unit = self.ground.unit(&factors);
        let nominal = self.work.supply.mains.present.0;
        let mains = 1.0 + 0.02 * draw.normal();
        scale_field(&mut unit.supply, Field::Mains, mains);
        unit.leak_amps = LEAK_AMPS * draw.normal().abs();
        unit.ammeter = 1.0 + AMMETER_SCALE * draw.normal();
        for (_, load) in &self.spots {
            if let Connected::Current(amps) = load
                && !unit.loads.iter().any(|(of, _)| of == load)
            {
                unit.loads
                    .push((*load, 1.0 + LOAD_AMPS / amps.0 * draw.normal()));
            }
        }
        let which = number % u32::from(self.work.supply.pass_stage.units);
        let which = u8::try_from(which).ok()?;
        let between = |share: f64, [from, to]: [f64; 2]| from + share * (to - from);
        let size = match cause.row().range {
            Range::There => 0.0,
            Range::Between(from, to) => between(draw.share(), [from, to]),
            Range::Either(one, other) => {
                let side = if draw.share() < 0.5 { one } else { other };
                between(draw.share(), side)
            }
        };
        cause.put_into(&mut unit, which, size);
        let [direct, alternating] =
            [DIRECT_SCALE, ALTERNATING_SCALE].map(|sigma| 1.0 + sigma * draw.normal());
        let set = ReadingSet {
            readings: self
                .spots
                .iter()
                .map(|(what, load)| reading(*what, *load, 1.0))
                .collect(),
            ..ReadingSet::default()
        };
        let asked = Asked::on(Arc::clone(&self.ground), &self.work, &set);
        let spots: Vec<_> = asked.spots().into_iter().take(self.spots.len()).collect();
        let shown = self.ground.rig(&spots).shown(&unit, &spots);
        let shown_mains = nominal * mains * alternating * (1.0 + 0.002 * draw.normal());
        let spoilt = match spoil {
            Spoil::Nothing => None,
            Spoil::OneReading => Some(usize::try_from(number).ok()? % spots.len()),
        };
        let mut readings = Vec::new();
        for (k, (spot, shown)) in spots.iter().zip(shown).enumerate() {
            let range = range_of(spot.what);
            let scale = match range {
                Alternating::No => direct,
                Alternating::Yes => alternating,
                Alternating::Neither => 1.0,
            };
            let own = own_error(spot.what);
            let [one, other] = [draw.normal(), draw.normal()];
            let mut value =
                scale * cause.on_meters(range, size) * shown.figure()? * (1.0 + own.share * one)
                    + own.fixed * other;
            if spoilt == Some(k) {
                let off = between(draw.share(), [0.04, 0.15]);
                value *= if draw.share() < 0.5 {
                    1.0 + off
                } else {
                    1.0 - off
                };
            }
            readings.push(Reading {
                mains: Some(Volts(shown_mains)),
                ..reading(spot.what, spot.load, value)
            });
        }
        Some(Planted {
            cause,
            size,
            set: ReadingSet {
                readings,
                ..ReadingSet::default()
            },
            spoilt,
        })
    }

    fn judge(&self, planted: &Planted) -> Diagnosis {
        let asked = Asked::on(Arc::clone(&self.ground), &self.work, &planted.set);
        judge(&asked, &self.predicted)
    }
}

/// What was said of many units.
#[derive(Debug, Default)]
struct Score {
    units: f64,
    first: f64,
    in_two: f64,
    sure: f64,
    right_when_sure: f64,
    misled: f64,
    named: f64,
    within_two: f64,
    bad_fits: f64,
    pairs: f64,
}

fn score(all: &[(Planted, Diagnosis)]) -> Score {
    let mut score = Score::default();
    for (planted, found) in all {
        let [first, second, ..] = found.suspects.as_slice() else {
            continue;
        };
        let is_right = first.row.cause == planted.cause;
        score.units += 1.0;
        score.first += f64::from(u8::from(is_right));
        score.in_two += f64::from(u8::from(is_right || second.row.cause == planted.cause));
        if first.share > PROBABLE {
            score.sure += 1.0;
            score.right_when_sure += f64::from(u8::from(is_right));
            score.misled += f64::from(u8::from(!is_right && found.share_of(planted.cause) < 0.02));
        }
        if is_right && !matches!(planted.cause.row().range, Range::There) {
            score.named += 1.0;
            let off = (first.size - planted.size).abs();
            score.within_two += f64::from(u8::from(off <= 2.0 * first.error));
        }
        score.bad_fits += f64::from(u8::from(!found.fit.is_good()));
        score.pairs += f64::from(u8::from(!found.pairs.is_empty()));
    }
    score
}

impl Score {
    #[expect(clippy::print_stdout, reason = "a study that is run by hand")]
    fn print(&self, what: &str) {
        let of = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { f64::NAN };
        println!(
            "{what}: {} units; first {:.2}, in two {:.2}, says > 80 % {:.2}, right then {:.2}, misled {:.3}, size within 2 s.e. {:.2}, \
             χ² too large {:.3}, pairs {:.3}",
            self.units,
            of(self.first, self.units),
            of(self.in_two, self.units),
            of(self.sure, self.units),
            of(self.right_when_sure, self.sure),
            of(self.misled, self.units),
            of(self.within_two, self.named),
            of(self.bad_fits, self.units),
            of(self.pairs, self.units),
        );
    }
}

fn run(study: &Study, rounds: u32, spoil: Spoil) -> Vec<(Planted, Diagnosis)> {
    let causes = study.causes();
    let asked: Vec<(Cause, u32)> = (0..rounds)
        .flat_map(|round| {
            let first = round * 64;
            causes.iter().copied().zip(first..)
        })
        .collect();
    asked
        .into_par_iter()
        .filter_map(|(cause, number)| {
            let planted = study.plant(cause, number, spoil)?;
            let found = study.judge(&planted);
            Some((planted, found))
        })
        .collect()
}

const EIGHT: [(What, usize); 7] = [
    (What::Bus, 0),
    (What::Bus, 1),
    (What::Bus, 2),
    (What::KnobUp, 2),
    (What::BusRipple, 2),
    (What::Rail, 2),
    (What::NegativeReference, 2),
];
const TO_THIRTEEN: [(What, usize); 5] = [
    (What::PassGrid, 1),
    (What::PassGrid, 2),
    (What::CathodeResistor(1), 2),
    (What::CathodeResistor(2), 2),
    (What::Droop, 2),
];
const TO_TWENTY: [(What, usize); 6] = [
    (What::FirstCapacitor, 2),
    (What::FirstRipple, 2),
    (What::RailRipple, 2),
    (What::WindingOhms, 0),
    (What::ChokeOhms(1), 0),
    (What::BleederOhms, 0),
];

fn school(readings: usize) -> Option<Study> {
    let all: Vec<(What, usize)> = match readings {
        8 => EIGHT.to_vec(),
        13 => [&EIGHT[..], &TO_THIRTEEN].concat(),
        _ => [&EIGHT[..], &TO_THIRTEEN, &TO_TWENTY].concat(),
    };
    study("school-laboratory.ron", [0.05, 0.1], &all)
}

fn small(readings: usize) -> Option<Study> {
    let fits = |(what, _): &(What, usize)| {
        !matches!(
            what,
            What::Rail | What::RailRipple | What::NegativeReference | What::ChokeOhms(_)
        )
    };
    let all: Vec<(What, usize)> = match readings {
        8 => EIGHT.to_vec(),
        13 => [&EIGHT[..], &TO_THIRTEEN].concat(),
        _ => [&EIGHT[..], &TO_THIRTEEN, &TO_TWENTY].concat(),
    };
    let mut all: Vec<(What, usize)> = all.into_iter().filter(fits).collect();
    all.push((What::Reference, 2));
    study("small-fixed-range.ron", [0.02, 0.04], &all)
}

/// Those that were said to be something else with more than 80 %, or whose size was more than two standard errors off.
#[expect(clippy::print_stdout, reason = "a study that is run by hand")]
fn print_wrong(all: &[(Planted, Diagnosis)]) {
    for (planted, found) in all {
        let Some(first) = found.best() else { continue };
        let off = (first.size - planted.size) / first.error;
        if first.row.cause != planted.cause {
            if first.share > PROBABLE {
                println!(
                    "   {:?} {:.3} taken for {:?} {:.3} ({:.3})",
                    planted.cause, planted.size, first.row.cause, first.size, first.share
                );
            }
        } else if off.abs() > 2.0 {
            println!(
                "   {:?} {:.3}: {:.3} ± {:.3}",
                planted.cause, planted.size, first.size, first.error
            );
        }
    }
}

/// How many rounds of all causes the study by hand has.
fn rounds_by_hand() -> Option<u32> {
    let units: u32 = std::env::var("SAGLINE_PLANTED").ok()?.parse().ok()?;
    Some(units.div_ceil(26).max(1))
}

/// The study by hand: prints how many were named right.
#[test]
fn planted_study() {
    let Some(rounds) = rounds_by_hand() else {
        return;
    };
    for (name, make) in [
        ("school", school as fn(usize) -> Option<Study>),
        ("small", small as fn(usize) -> Option<Study>),
    ] {
        for readings in [8, 13, 20] {
            let study = make(readings).unwrap();
            let clean = run(&study, rounds, Spoil::Nothing);
            score(&clean).print(&format!("{name} {readings}"));
            print_wrong(&clean);
            let spoilt = run(&study, rounds, Spoil::OneReading);
            score(&spoilt).print(&format!("{name} {readings}, one misread"));
            let named = spoilt
                .iter()
                .filter(|(planted, found)| found.doubtful.map(|(n, _)| n) == planted.spoilt);
            println!(
                "   the misread one named in {} of {}",
                named.count(),
                spoilt.len()
            );
            let sound: Vec<_> = (0..2 * rounds.max(24))
                .into_par_iter()
                .filter_map(|number| study.plant(Cause::Nothing, 5000 + number, Spoil::OneReading))
                .map(|planted| study.judge(&planted))
                .collect();
            let blamed: Vec<Cause> = sound
                .iter()
                .filter_map(Diagnosis::best)
                .filter(|one| one.share > PROBABLE && one.row.cause != Cause::Nothing)
                .map(|one| one.row.cause)
                .collect();
            println!(
                "   sound with one misread: blamed {} of {}: {blamed:?}",
                blamed.len(),
                sound.len()
            );
        }
    }
}

/// One unit of each cause and thirteen readings: a method that is broken falls below these bounds, which leave the study's own figures
/// (0.72 first, 0.95 right when it says more than 80 %) room for so few units.
#[test]
fn planted_faults_are_found() {
    let study = school(13).unwrap();
    let found = run(&study, 2, Spoil::Nothing);
    let score = score(&found);
    assert!(score.units >= 40.0, "{score:?}");
    assert!(score.first / score.units > 0.55, "{score:?}");
    assert!(score.in_two / score.units > 0.68, "{score:?}");
    assert!(score.right_when_sure / score.sure > 0.85, "{score:?}");
    assert!(score.within_two / score.named > 0.8, "{score:?}");
    assert!(score.bad_fits / score.units < 0.1, "{score:?}");
}

/// Sound units with a reading that is 4 to 15 % off: none of the parts is blamed.
#[test]
fn a_misread_reading_blames_no_sound_unit() {
    let study = school(13).unwrap();
    let blamed: Vec<_> = (0..24)
        .into_par_iter()
        .filter_map(|number| study.plant(Cause::Nothing, 3000 + number, Spoil::OneReading))
        .map(|planted| study.judge(&planted))
        .filter(|found| {
            let best = found.best();
            best.is_some_and(|one| one.share > PROBABLE && one.row.cause != Cause::Nothing)
        })
        .map(|found| found.best().map(|one| one.row.cause))
        .collect();
    assert!(blamed.len() <= 2, "{blamed:?}");
}
