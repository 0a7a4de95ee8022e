//! The readings of a set made ready to be judged: where each was taken, at which mains, and what has to be said of it.

use std::sync::Arc;

use crate::bench::diagnosis::Compared;
use crate::bench::diagnosis::cause::Cause;
use crate::bench::diagnosis::errors::{Shared, of_reading, own_error, range_of};
use crate::bench::diagnosis::evidence::{Evidence, Taken};
use crate::bench::diagnosis::predicted::{Ground, Node, Predicted, predicted};
use crate::bench::expected::{Shown, Spot, Unit, usual_setting};
use crate::parts::readings::{Bench, Connected, Reading, ReadingSet, What};
use crate::parts::spread::{Field, Input};
use crate::parts::{Amps, Ohms, SeriesElement, Supply, Work};
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::Case;
use crate::physics::spread::scale_field;
use crate::physics::steady_state::operate;
use crate::physics::watch::Watch;

/// Something that has to be said of a reading, by its number in the set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Remark {
    /// The mains were not read with it: these were taken (V).
    MainsTaken(usize, f64),
    /// It is above the crest of the winding as described, at that mains (V).
    AboveTheCrest(usize, f64),
    /// What it would be cannot be told of this supply, so that it does not count.
    NotPredicted(usize),
    /// It is at the end of the knob's range, so that it only says "at least".
    AtTheKnobsEnd(usize),
}

/// One reading of the set or of a log.
struct Entry {
    reading: Reading,
    /// Its number in the set; `None` in a log.
    number: Option<usize>,
    log: Option<usize>,
    mains_volts: Option<f64>,
    at_least: bool,
}

/// The readings of a set, ready to be judged.
pub struct Asked {
    ground: Arc<Ground>,
    bench: Bench,
    mains_volts: f64,
    entries: Vec<Entry>,
    candidates: Vec<Spot>,
}

/// A reading this far above the end of the knob's range is none at its end.
const NEAR_THE_END: f64 = 0.01;
/// A meter may show this much more than there is.
const METERS_SHARE: f64 = 0.02;

impl Asked {
    /// Of a set of a work.
    ///
    /// # Errors
    /// [`Failure`] of the supply.
    pub fn of(work: &Work, set: &ReadingSet) -> Result<Self, Failure> {
        let mains = mains_of(work, set);
        Ok(Self::on(Arc::new(Ground::of(work, mains)?), work, set))
    }

    /// The same where the supply at these mains is ready already.
    pub fn on(ground: Arc<Ground>, work: &Work, set: &ReadingSet) -> Self {
        let supply = &work.supply;
        let set_high = supply.output.set_high.0;
        let entry = |reading: &Reading, number: Option<usize>, log: Option<usize>| {
            let of_set = if log.is_none() { set.mains } else { None };
            let is_at_the_end = reading.what == What::KnobUp
                && (reading.value.si / set_high - 1.0).abs() < NEAR_THE_END;
            Entry {
                number,
                log,
                mains_volts: reading.mains.or(of_set).map(|volts| volts.0),
                at_least: reading.what == What::StillHolds || is_at_the_end,
                reading: reading.clone(),
            }
        };
        let own = set.readings.iter().enumerate();
        let mut entries: Vec<Entry> = own
            .map(|(number, reading)| entry(reading, Some(number), None))
            .collect();
        let logs = work.bench.sets.iter().filter(|one| one.well && *one != set);
        for (log, one) in logs.enumerate() {
            entries.extend(one.readings.iter().map(|reading| {
                let mut entry = entry(reading, None, Some(log));
                entry.mains_volts = entry.mains_volts.or(one.mains.map(|volts| volts.0));
                entry
            }));
        }
        let loads = loads_of(&ground, entries.iter().map(|entry| entry.reading.load));
        let mains_volts = ground.sound.supply.mains.present.0;
        Self {
            candidates: candidates(&ground.sound.supply, loads),
            ground,
            bench: work.bench.clone(),
            mains_volts,
            entries,
        }
    }

    /// What is spread of the supply, but for the mains.
    pub fn inputs(&self) -> &[Input] {
        self.ground.inputs()
    }

    /// The mains that the predictions are of (V).
    pub fn mains_volts(&self) -> f64 {
        self.mains_volts
    }

    /// All spots: those of the readings in their order, then those where one might read next.
    pub fn spots(&self) -> Vec<Spot> {
        let supply = &self.ground.sound.supply;
        let own = self.entries.iter();
        own.map(|entry| Spot::of(&entry.reading, supply))
            .chain(self.candidates.iter().copied())
            .collect()
    }

    /// The predictions for them.
    ///
    /// # Errors
    /// As [`predicted`].
    pub fn predicted(&self, watch: &dyn Watch) -> Result<Option<Predicted>, Failure> {
        predicted(&self.ground, &self.spots(), watch)
    }

    /// The readings that count, brought to one mains.
    pub fn taken(&self, predicted: &Predicted) -> Vec<Taken> {
        let at = self.at_their_mains(predicted);
        let all = self.entries.iter().zip(at).enumerate();
        all.filter_map(|(spot, (entry, there))| {
            if entry.reading.what == What::Output {
                return None;
            }
            let here = predicted.sound.get(spot).copied()??;
            let (shared, own) = of_reading(&self.bench, &entry.reading);
            Some(Taken {
                spot,
                value: moved(entry.reading.what, entry.reading.value.si, [there?, here]),
                at_least: entry.at_least,
                shared,
                own,
                mains_read: entry.mains_volts.is_some(),
                log: entry.log,
            })
        })
        .collect()
    }

    /// What the sound unit shows at the mains of each reading.
    fn at_their_mains(&self, predicted: &Predicted) -> Vec<Option<f64>> {
        let spots = self.spots();
        let own = spots.get(..self.entries.len()).unwrap_or_default();
        let mut known: Vec<(u64, Vec<Option<f64>>)> = Vec::new();
        let rig = self.ground.rig(own);
        let all = self.entries.iter().enumerate();
        all.map(|(spot, entry)| {
            let mains = entry.mains_volts.unwrap_or(self.mains_volts);
            // To a tenth of a volt, as a meter shows it.
            let tenths = (mains * 10.0).round();
            if entry.reading.what == What::WindingVolts {
                // A ratio of turns, at any volts: a low ratio test among them.
                let here = predicted.sound.get(spot).copied().flatten();
                return here.map(|volts| volts * mains / self.mains_volts);
            }
            let is_here = (mains / self.mains_volts - 1.0).abs() < 1e-4;
            if is_here || entry.reading.what.is_cold() {
                return predicted.sound.get(spot).copied()?;
            }
            let place = known
                .iter()
                .position(|(at, _)| *at == tenths.to_bits())
                .unwrap_or_else(|| {
                    let mut unit: Unit = self.ground.sound.clone();
                    let factor = tenths / 10.0 / self.mains_volts;
                    scale_field(&mut unit.supply, Field::Mains, factor);
                    let shown = rig.shown(&unit, own).into_iter();
                    let shown = shown.map(Shown::figure).collect();
                    known.push((tenths.to_bits(), shown));
                    known.len() - 1
                });
            known.get(place)?.1.get(spot).copied()?
        })
        .collect()
    }

    /// The number in the set of the reading at a spot; `None` for a log's.
    pub fn number_of(&self, spot: usize) -> Option<usize> {
        self.entries.get(spot)?.number
    }

    /// Where one might read next: their places among the spots, each once and not taken yet.
    pub fn open(&self) -> impl Iterator<Item = (usize, Spot)> {
        let taken: Vec<Spot> = self.spots().into_iter().take(self.entries.len()).collect();
        let is_taken = move |spot: &Spot| {
            taken.iter().any(|one| {
                one.what == spot.what && (one.load == spot.load || !spot.what.depends_on_load())
            })
        };
        let first = self.entries.len();
        let all = self.candidates.iter().copied().enumerate();
        all.filter(move |(_, spot)| !is_taken(spot))
            .map(move |(k, spot)| (first + k, spot))
    }

    /// A reading that might be taken, as it would count.
    pub fn would_be(&self, place: usize, spot: Spot) -> Taken {
        Taken {
            spot: place,
            value: 0.0,
            at_least: false,
            shared: Shared::Usual(range_of(spot.what)),
            own: own_error(spot.what),
            mains_read: true,
            log: None,
        }
    }

    /// Each reading of the set beside what was expected.
    pub fn compared(&self, predicted: &Predicted, evidence: &Evidence<'_>) -> Vec<Compared> {
        let at = self.at_their_mains(predicted);
        let all = self.entries.iter().zip(at).enumerate();
        all.filter_map(|(spot, (entry, expected))| {
            let number = entry.number?;
            let (shared, own) = of_reading(&self.bench, &entry.reading);
            let value = entry.reading.value.si;
            let sigma = evidence.sigma_of(Taken {
                spot,
                value,
                at_least: entry.at_least,
                shared,
                own,
                mains_read: entry.mains_volts.is_some(),
                log: None,
            });
            let off = expected.map_or(0.0, |expected| (value - expected) / sigma);
            Some(Compared {
                number,
                expected,
                sigma,
                off_by: if entry.at_least { off.max(0.0) } else { off },
            })
        })
        .collect()
    }

    /// What has to be said of the readings.
    pub fn remarks(&self, predicted: &Predicted) -> Vec<Remark> {
        let crest = |mains: f64| {
            let model = Model::of(&self.ground.sound.supply).ok()?;
            let crest = model.at(Case::Present).source.crest_volts();
            Some(crest * mains / self.mains_volts)
        };
        let mut all = Vec::new();
        for (spot, entry) in self.entries.iter().enumerate() {
            let Some(number) = entry.number else {
                continue;
            };
            let what = entry.reading.what;
            let mains = entry.mains_volts.unwrap_or(self.mains_volts);
            if entry.mains_volts.is_none() && !what.is_cold() {
                all.push(Remark::MainsTaken(number, mains));
            }
            let is_of_the_bus = matches!(
                what,
                What::Bus | What::FirstCapacitor | What::KnobUp | What::StillHolds | What::Output
            );
            if is_of_the_bus
                && let Some(crest) = crest(mains)
                && entry.reading.value.si > (1.0 + METERS_SHARE) * crest
            {
                all.push(Remark::AboveTheCrest(number, crest));
            }
            if predicted.sound.get(spot).copied().flatten().is_none() {
                all.push(Remark::NotPredicted(number));
            }
            if entry.at_least && what == What::KnobUp {
                all.push(Remark::AtTheKnobsEnd(number));
            }
        }
        all
    }

    /// What all spots show of a unit with several causes at once, solved.
    pub fn with(&self, causes: &[(Cause, u8, f64)]) -> Node {
        let spots = self.spots();
        let supply = &self.ground.sound.supply;
        let replaced = causes.iter().flat_map(|(cause, ..)| cause.replaces(supply));
        let replaced: Vec<Field> = replaced.collect();
        let mut unit = self.ground.with_described(&replaced);
        for (cause, which, size) in causes {
            cause.put_into(&mut unit, *which, *size);
        }
        let shown = self.ground.rig(&spots).shown(&unit, &spots).into_iter();
        let read = |(shown, spot): (Shown, &Spot)| {
            let range = range_of(spot.what);
            let off: f64 = causes
                .iter()
                .map(|(cause, _, size)| cause.on_meters(range, *size))
                .product();
            Some(shown.figure()? * off)
        };
        Node {
            unit: 0,
            size: 0.0,
            shows: shown.zip(&spots).map(read).collect(),
            replaces: replaced,
        }
    }
}

/// A value that was read at other mains: as it would have been here.
fn moved(what: What, value: f64, [there, here]: [f64; 2]) -> f64 {
    let ratio = here / there;
    if what == What::WindingVolts || (0.5..2.0).contains(&ratio) {
        value * ratio
    } else {
        value + here - there
    }
}

/// The mains of a set (V): the middle of those that were read, else the present ones.
fn mains_of(work: &Work, set: &ReadingSet) -> f64 {
    // A ratio test has its own low volts.
    let is_at_mains = |one: &&Reading| one.what != What::WindingVolts && !one.what.is_cold();
    let own = set.readings.iter().filter(is_at_mains);
    let own = own.filter_map(|one| one.mains.or(set.mains));
    let mut read: Vec<f64> = own.map(|volts| volts.0).collect();
    read.sort_by(f64::total_cmp);
    let present = work.supply.mains.present.0;
    read.get(read.len() / 2).copied().unwrap_or(present)
}

/// Half and full load for readings: the largest that was used and half of it or the next, else what the supply can give.
fn loads_of(ground: &Ground, used: impl Iterator<Item = Connected>) -> [Connected; 2] {
    let set = usual_setting(&ground.sound.supply);
    let mut used: Vec<Connected> = used.filter(|load| *load != Connected::Nothing).collect();
    used.sort_by(|a, b| a.amps_at(set).total_cmp(&b.amps_at(set)));
    used.dedup();
    match used.as_slice() {
        [.., half, full] => [*half, *full],
        [one] => [half_of(*one), *one],
        [] => usual_loads(&ground.sound.supply).map(|amps| Connected::Current(Amps(amps))),
    }
}

fn half_of(load: Connected) -> Connected {
    match load {
        Connected::Nothing => Connected::Nothing,
        Connected::Resistor(ohms) => Connected::Resistor(Ohms(2.0 * ohms.0)),
        Connected::Current(amps) => Connected::Current(Amps(0.5 * amps.0)),
    }
}

/// Half and full load to try a supply with (A): the full one is where the top of the output range is just lost at present mains, no more
/// than its winding may carry for half of it, in two figures.
pub fn usual_loads(supply: &Supply) -> [f64; 2] {
    const MOST_AMPS: f64 = 2.0;
    let Ok(model) = Model::of(supply) else {
        return [0.0; 2];
    };
    let left = |amps: f64| {
        operate(&model.raw, Case::Present, amps)
            .ok()
            .and_then(|operation| model.dropout_volts(Case::Present, &operation))
            .unwrap_or(0.0)
    };
    let wanted = supply.output.set_high.0;
    let tolerance = Tolerance {
        width: 1e-4,
        value: 0.2,
    };
    let most = supply.transformer.winding_rating.as_ref();
    let most = most.map_or(MOST_AMPS, |rating| (0.5 * rating.value.0).min(MOST_AMPS));
    let full = if left(most) >= wanted {
        most
    } else {
        root_between(0.0, most, tolerance, |amps| wanted - left(amps))
    };
    let in_two: f64 = format!("{full:.1e}").parse().unwrap_or(full);
    [0.5 * in_two, in_two]
}

/// Where one might read, in no order.
fn candidates(supply: &Supply, [half, full]: [Connected; 2]) -> Vec<Spot> {
    let set_volts = usual_setting(supply);
    let spot = |what: What, load: Connected| Spot {
        what,
        load,
        set_volts,
    };
    let none = Connected::Nothing;
    let mut all = vec![
        spot(What::KnobUp, half),
        spot(What::KnobUp, full),
        spot(What::Droop, full),
        spot(What::Bus, none),
        spot(What::Bus, half),
        spot(What::Bus, full),
        spot(What::BusRipple, full),
        spot(What::FirstCapacitor, full),
        spot(What::FirstRipple, full),
        spot(What::Rail, full),
        spot(What::RailRipple, full),
        spot(What::Reference, full),
        spot(What::NegativeReference, full),
        spot(What::PassGrid, half),
        spot(What::PassGrid, full),
        spot(What::WindingVolts, none),
        spot(What::WindingOhms, none),
        spot(What::BleederOhms, none),
        spot(What::Leak, none),
    ];
    if supply.pass_stage.cathode_resistor.0 > 0.0 {
        let units = 1..=supply.pass_stage.units;
        all.extend(units.map(|unit| spot(What::CathodeResistor(unit), full)));
    }
    for (k, section) in (1..=u8::MAX).zip(&supply.filter.sections) {
        if matches!(section.series, SeriesElement::Choke { .. }) {
            all.push(spot(What::ChokeOhms(k), none));
        }
    }
    let stacks = (1..=u8::MAX).zip(supply.filter.stacks());
    all.extend(stacks.map(|(k, _)| spot(What::Capacitance(k), none)));
    all
}

/// What can be said of a set's readings without working anything out: those whose mains are not known.
pub fn remarks_of(work: &Work, set: &ReadingSet) -> Vec<Remark> {
    let present = mains_of(work, set);
    let all = set.readings.iter().enumerate();
    all.filter(|(_, one)| one.mains.or(set.mains).is_none() && !one.what.is_cold())
        .map(|(number, _)| Remark::MainsTaken(number, present))
        .collect()
}
