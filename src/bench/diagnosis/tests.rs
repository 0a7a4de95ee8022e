use super::*;
use crate::bench::diagnosis::adopt::adopted;
use crate::bench::diagnosis::errors::{OwnError, Shared};
use crate::bench::diagnosis::evidence::Taken;
use crate::bench::diagnosis::predicted::{Unknown, UnknownOf};
use crate::bench::expected::Spot;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_work;
use crate::parts::readings::{Connected, Reading, What};
use crate::parts::spread::Field;
use crate::parts::{Amps, Volts};
use crate::physics::watch::Unwatched;

fn spot(what: What) -> Spot {
    Spot {
        what,
        load: Connected::Nothing,
        set_volts: 100.0,
    }
}

fn taken(spot: usize, value: f64) -> Taken {
    Taken {
        spot,
        value,
        at_least: false,
        shared: Shared::Usual(cause::Alternating::Neither),
        own: OwnError {
            share: 0.0,
            fixed: 1.0,
        },
        mains_read: true,
        log: None,
    }
}

/// Two readings that one unknown moves together, in a world of two values.
fn world() -> Predicted {
    let node = |size: f64, shows: [f64; 2]| Node {
        unit: 0,
        size,
        shows: shows.map(Some).to_vec(),
        replaces: Vec::new(),
    };
    let cause = |cause: Cause, nodes: Vec<Node>| CauseNodes {
        row: cause.row(),
        nodes,
    };
    Predicted {
        spots: vec![spot(What::Bus), spot(What::Rail)],
        sound: vec![Some(400.0), Some(200.0)],
        unknowns: vec![Unknown {
            of: UnknownOf::Own(Field::Winding),
            moves: vec![3.0, 2.0],
            batch: None,
        }],
        causes: vec![
            cause(Cause::Nothing, vec![node(0.0, [400.0, 200.0])]),
            cause(Cause::RailLow, vec![node(0.8, [400.0, 160.0])]),
        ],
    }
}

/// By hand: C = [[10, 6], [6, 5]], |C| = 14, C⁻¹ = [[5, −6], [−6, 10]]/14. For a distance of (3, 0): χ² = 45/14. Misread by itself the
/// first has a variance of 12 % of 403 V and three times its own volt more.
#[test]
fn the_likelihood_is_that_of_the_closed_form() {
    let predicted = world();
    let evidence = Evidence::of(&predicted, &[taken(0, 403.0), taken(1, 200.0)]);
    let weighed = evidence.weigh(&predicted.causes[0].nodes[0]).unwrap();
    let plain = -0.5 * 45.0 / 14.0 - 0.5 * 14f64.ln() + 0.7f64.ln();
    assert!((weighed.ln_each[0] - plain).abs() < 1e-9, "{weighed:?}");
    let more = (0.12_f64 * 403.0 + 3.0).powi(2);
    let det = (10.0 + more) * 5.0 - 36.0;
    let square = 9.0 * 5.0 / det;
    let misread = -0.5 * square - 0.5 * det.ln() + 0.15f64.ln();
    assert!((weighed.ln_each[1] - misread).abs() < 1e-9, "{weighed:?}");
    assert!((ln_sum(&weighed.ln_each) - weighed.ln).abs() < 1e-12);
}

/// A reading that only says "at least" is worth the share of a normal distribution above it: by itself, and given another.
#[test]
fn at_least_is_the_share_above() {
    let predicted = world();
    let mut least = taken(0, 403.0);
    least.at_least = true;
    let evidence = Evidence::of(&predicted, &[least, taken(1, 205.0)]);
    let weighed = evidence.weigh(&predicted.causes[0].nodes[0]).unwrap();
    // Given 5 V more on the rail: mean 400 + 6/5·5 = 406, variance 10 − 36/5 = 2.8.
    let share = crate::physics::spread::normal_below((406.0 - 403.0) / 2.8f64.sqrt());
    let plain = -0.5 * 25.0 / 5.0 - 0.5 * 5f64.ln() + 0.7f64.ln() + share.ln();
    assert!(
        (weighed.ln_each[0] - plain).abs() < 1e-9,
        "{weighed:?} {plain}"
    );
}

/// What the next reading would show, given one: mean and variance by hand as above.
#[test]
fn a_further_reading_is_foretold() {
    let predicted = world();
    let evidence = Evidence::of(&predicted, &[taken(1, 205.0)]);
    let node = &predicted.causes[0].nodes[0];
    let [mean, sigma] = evidence.foretold(node, taken(0, 0.0), None).unwrap();
    assert!((mean - 406.0).abs() < 1e-9, "{mean}");
    assert!((sigma - 2.8f64.sqrt()).abs() < 1e-9, "{sigma}");
}

fn school() -> Work {
    let found = presets().iter().find(|(name, _)| name.contains("school"));
    read_work(found.unwrap().1, &Catalogue::built_in()).unwrap()
}

fn reading(what: What, amps: f64, value: f64) -> Reading {
    Reading {
        load: if amps > 0.0 {
            Connected::Current(Amps(amps))
        } else {
            Connected::Nothing
        },
        mains: Some(Volts(120.0)),
        ..Reading::of(what, value)
    }
}

/// Readings as the supply would give them, some parts changed.
fn as_if(work: &Work, change: impl Fn(&mut Work), asked: &[(What, f64)]) -> ReadingSet {
    use crate::bench::expected::{Rig, Unit};
    use crate::physics::model::Model;
    let mut other = work.clone();
    change(&mut other);
    let model = Model::of(&other.supply).unwrap();
    let empty: Vec<Reading> = asked
        .iter()
        .map(|(what, amps)| reading(*what, *amps, 1.0))
        .collect();
    let spots: Vec<Spot> = empty
        .iter()
        .map(|one| Spot::of(one, &work.supply))
        .collect();
    let unit = Unit::of(model.supply.clone());
    let shown = Rig::of(&model, &spots).shown(&unit, &spots);
    let both = asked.iter().zip(shown);
    ReadingSet {
        readings: both
            .map(|((what, amps), shown)| reading(*what, *amps, shown.figure().unwrap()))
            .collect(),
        ..ReadingSet::default()
    }
}

const THIRTEEN: [(What, f64); 12] = [
    (What::Bus, 0.0),
    (What::Bus, 0.05),
    (What::Bus, 0.1),
    (What::KnobUp, 0.1),
    (What::BusRipple, 0.1),
    (What::Rail, 0.1),
    (What::NegativeReference, 0.1),
    (What::PassGrid, 0.05),
    (What::PassGrid, 0.1),
    (What::CathodeResistor(1), 0.1),
    (What::CathodeResistor(2), 0.1),
    (What::Droop, 0.1),
];

fn found(work: &Work, set: &ReadingSet) -> Diagnosis {
    diagnose(work, set, &Unwatched).unwrap().unwrap()
}

/// A sound unit agrees with all that was expected of it; one whose pass tubes are at 60 % is named so, and taken over the supply then
/// gives those readings.
#[test]
fn weak_tubes_are_named_and_taken_over() {
    let work = school();
    let sound = found(&work, &as_if(&work, |_| {}, &THIRTEEN));
    assert!(
        sound.compared.iter().all(|one| one.off_by.abs() < 0.5),
        "{sound:?}"
    );
    assert!(sound.fit.is_good() && sound.doubtful.is_none() && sound.pairs.is_empty());
    assert_eq!(sound.best().unwrap().row.cause, Cause::Nothing);
    let weaken = |work: &mut Work| {
        let share = crate::parts::Fraction(0.6);
        work.supply.as_found.pass_emission = vec![share; 2];
    };
    let set = as_if(&work, weaken, &THIRTEEN);
    let weak = found(&work, &set);
    let best = weak.best().unwrap();
    assert_eq!(best.row.cause, Cause::PassWeak, "{weak:?}");
    assert!((best.size - 0.6).abs() < 2.0 * best.error, "{best:?}");
    assert!(best.explains >= 3 && best.left_over.is_empty(), "{best:?}");
    let after = adopted(&work, best).unwrap();
    let again = found(&after, &set);
    assert_eq!(again.best().unwrap().row.cause, Cause::Nothing);
    assert!(
        again.compared.iter().all(|one| one.off_by.abs() < 1.0),
        "{again:?}"
    );
}

/// Of the usual readings none tells weak tubes from grids that do not come up: both are named, and what would tell is the output with
/// the knob up, or a grid, at half load.
#[test]
fn what_readings_cannot_tell_apart_is_said_with_what_would() {
    let work = school();
    let weaken = |work: &mut Work| {
        let share = crate::parts::Fraction(0.6);
        work.supply.as_found.pass_emission = vec![share; 2];
    };
    let asked = [THIRTEEN[0], THIRTEEN[2], THIRTEEN[3], THIRTEEN[5]];
    let weak = found(&work, &as_if(&work, weaken, &asked));
    assert!(weak.best().unwrap().share < PROBABLE, "{weak:?}");
    let [weak_share, grids] = [Cause::PassWeak, Cause::PassGrids].map(|c| weak.share_of(c));
    assert!(weak_share > 0.05 && grids > 0.05, "{weak_share} {grids}");
    let next = weak.next.first().unwrap();
    assert!(next.tells > next::WORTH && next.with.len() == 2, "{next:?}");
}

#[test]
fn what_is_impossible_or_not_read_is_said() {
    let work = school();
    let mut high = reading(What::Bus, 0.0, 480.0);
    high.mains = None;
    let set = ReadingSet {
        readings: vec![high, reading(What::Reference, 0.0, 85.0)],
        ..ReadingSet::default()
    };
    let said = found(&work, &set).remarks;
    let has = |wanted: &dyn Fn(&Remark) -> bool| said.iter().any(wanted);
    assert!(has(
        &|r| matches!(r, Remark::MainsTaken(0, volts) if (volts - 120.0).abs() < 1e-9)
    ));
    assert!(
        has(&|r| matches!(r, Remark::AboveTheCrest(0, _))),
        "{said:?}"
    );
    // The school supply has no positive reference.
    assert!(has(&|r| matches!(r, Remark::NotPredicted(1))), "{said:?}");
}

/// Nothing read says nothing: the causes are as likely as beforehand.
#[test]
fn without_readings_the_weights_are_left() {
    let work = school();
    let set = ReadingSet::default();
    let found = found(&work, &set);
    let whole: f64 = found.suspects.iter().map(|one| one.row.weight).sum();
    for one in &found.suspects {
        assert!((one.share - one.row.weight / whole).abs() < 1e-9, "{one:?}");
    }
    assert!(found.compared.is_empty() && found.counted == 0);
}

/// A transformer that nobody labelled: its volts and its resistance were guessed; from a bus, a cold resistance and a low ratio test they
/// are told with their errors, and taken over.
#[test]
fn an_unlabelled_transformer_is_told_from_readings() {
    let mut work = school();
    work.guessed = ["transformer.winding", "transformer.secondary_resistance"]
        .map(str::to_owned)
        .to_vec();
    let truth = |work: &mut Work| {
        Field::Winding.scale(&mut work.supply, 1.06);
        Field::SecondaryResistance.scale(&mut work.supply, 1.3);
    };
    let asked = [
        (What::WindingOhms, 0.0),
        (What::WindingVolts, 0.0),
        (What::Bus, 0.0),
        (What::Bus, 0.1),
    ];
    let mut set = as_if(&work, truth, &asked);
    // The ratio test at a tenth of the mains shows a tenth.
    set.readings[1].value.si *= 0.1;
    set.readings[1].mains = Some(Volts(12.0));
    let told = found(&work, &set);
    assert!(
        (told.mains_volts - 120.0).abs() < 1e-9,
        "{}",
        told.mains_volts
    );
    let of = |told: &Diagnosis, field: Field| {
        let mut all = told.narrowed.iter();
        all.find(|one| one.field == field).cloned()
    };
    for (field, factor, known_to) in [
        (Field::Winding, 1.06, 0.015),
        (Field::SecondaryResistance, 1.3, 0.05),
    ] {
        let one = of(&told, field).unwrap();
        assert!(
            one.after < known_to && one.after < 0.5 * one.before,
            "{one:?}"
        );
        let off = (one.factor / factor).ln().abs();
        assert!(off < 3.0 * one.after, "{one:?}");
        work = narrowed::adopted_value(&work, &one).unwrap();
    }
    assert!(work.guessed.is_empty());
    let again = found(&work, &set);
    assert!(
        again.compared.iter().all(|one| one.off_by.abs() < OFF),
        "{again:?}"
    );
}

/// A cause that stands in place of the unknown leaves the readings nothing in common: C = D, by hand χ² = 9, |C| = 1. A log keeps it.
#[test]
fn a_cause_stands_in_place_of_its_own_spread() {
    let mut predicted = world();
    predicted.causes[0].nodes[0].replaces = vec![Field::Winding];
    let evidence = Evidence::of(&predicted, &[taken(0, 403.0), taken(1, 200.0)]);
    let weighed = evidence.weigh(&predicted.causes[0].nodes[0]).unwrap();
    let plain = -0.5 * 9.0 + 0.7f64.ln();
    assert!((weighed.ln_each[0] - plain).abs() < 1e-9, "{weighed:?}");
    let mut log = taken(0, 403.0);
    log.log = Some(0);
    let evidence = Evidence::of(&predicted, &[log, taken(1, 200.0)]);
    let weighed = evidence.weigh(&predicted.causes[0].nodes[0]).unwrap();
    // The log: variance 10, distance 3; the other: variance 1.
    let plain = -0.5 * 9.0 / 10.0 - 0.5 * 10f64.ln() + 0.7f64.ln();
    assert!((weighed.ln_each[0] - plain).abs() < 1e-9, "{weighed:?}");
}
