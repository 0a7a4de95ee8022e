//! Nothing that cannot be computed with passes, and nothing sane is held up.

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::check::{check, check_work};
use crate::parts::file::{read, read_work};
use crate::parts::{
    Amps, Farads, Fraction, Henries, Hertz, Ohms, PlateCharacteristic, Rating, RatingSystem,
    RectifierLaw, SeriesElement, Stage, Supply, TriodeCoefficients, VoltAmps, Volts, Watts,
};

fn demo() -> Supply {
    read(presets()[0].1, &Catalogue::built_in()).unwrap()
}

fn own<T>(value: T) -> Rating<T> {
    Rating::own(value, RatingSystem::DesignCentre)
}

/// The change makes exactly the problem named.
fn one_problem(stage: Stage, field: &str, change: impl Fn(&mut Supply)) {
    let mut supply = demo();
    change(&mut supply);
    let problems = check(&supply);
    let found: Vec<(Stage, &str)> = problems
        .iter()
        .map(|p| (p.stage, p.field.as_str()))
        .collect();
    assert_eq!(found, [(stage, field)], "{problems:#?}");
}

#[test]
fn each_stage_names_what_cannot_be() {
    let nan = f64::NAN;
    one_problem(Stage::Mains, "mains.present", |s| {
        s.mains.present = Volts(300.0);
    });
    one_problem(Stage::Mains, "mains.low", |s| s.mains.low = Volts(121.0));
    one_problem(Stage::Mains, "mains.high", |s| s.mains.high = Volts(119.0));
    one_problem(Stage::Mains, "mains.nominal", |s| {
        s.mains.nominal = Volts(nan);
    });
    one_problem(Stage::Mains, "mains.frequency", |s| {
        s.mains.frequency = Hertz(0.0);
    });
    one_problem(Stage::Transformer, "transformer.auxiliary", |s| {
        s.transformer.auxiliary = VoltAmps(f64::INFINITY);
    });
    one_problem(Stage::Transformer, "transformer.winding_rating", |s| {
        s.transformer.winding_rating = Some(own(Amps(0.0)));
    });
    one_problem(
        Stage::Transformer,
        "transformer.secondary_resistance",
        |s| {
            s.transformer.secondary_resistance = Ohms(-1.0);
        },
    );
    one_problem(Stage::Rectifier, "rectifier.in_parallel", |s| {
        s.rectifier.in_parallel = 0;
    });
    one_problem(Stage::Rectifier, "rectifier.kind.law.at", |s| {
        if let RectifierLaw::Vacuum { at, .. } = &mut s.rectifier.kind.law {
            *at = Amps(0.0);
        }
    });
    one_problem(
        Stage::Rectifier,
        "rectifier.kind.hot_switching_current",
        |s| {
            s.rectifier.kind.hot_switching_current = Some(own(Amps(0.5)));
        },
    );
    one_problem(Stage::PassStage, "pass_stage.units", |s| {
        s.pass_stage.units = 0;
    });
    one_problem(Stage::PassStage, "pass_stage.imbalance", |s| {
        s.pass_stage.imbalance = Fraction(nan);
    });
    one_problem(
        Stage::PassStage,
        "pass_stage.tube.envelope_dissipation",
        |s| {
            s.pass_stage.tube.envelope_dissipation = Some(own(Watts(12.0)));
        },
    );
    one_problem(Stage::Output, "output.set_low", |s| {
        s.output.set_low = Volts(351.0);
    });
    let mut work = read_work(presets()[0].1, &Catalogue::built_in()).unwrap();
    assert_eq!(check_work(&work), []);
    work.dummies[1].derating = Some(Fraction(1.1));
    let found = check_work(&work);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].stage, Stage::Dummies);
    assert_eq!(found[0].field, "dummies[1].derating");
}

#[test]
fn a_filter_has_parts_that_can_exist() {
    one_problem(Stage::Filter, "filter", |s| {
        s.filter.input_capacitor = None;
        s.filter.sections.clear();
    });
    one_problem(Stage::Filter, "filter.sections", |s| {
        let section = s.filter.sections[0].clone();
        s.filter.sections = vec![section; 13];
    });
    one_problem(Stage::Filter, "filter.sections[0].series.inductance", |s| {
        if let SeriesElement::Choke { inductance, .. } = &mut s.filter.sections[0].series {
            *inductance = Henries(0.0);
        }
    });
    one_problem(Stage::Filter, "filter.sections[0].series", |s| {
        s.filter.sections[0].series = SeriesElement::Resistor(Ohms(0.0));
    });
    one_problem(Stage::Filter, "filter.sections[0].capacitor.unit", |s| {
        s.filter.sections[0].capacitor.unit = Farads(-1e-6);
    });
    one_problem(
        Stage::Filter,
        "filter.sections[0].capacitor.surge_volts",
        |s| {
            s.filter.sections[0].capacitor.surge_volts = Some(own(Volts(200.0)));
        },
    );
    one_problem(Stage::Filter, "filter.bleeder", |s| {
        s.filter.bleeder = Some(Ohms(0.0));
    });
}

#[test]
fn a_tube_has_a_law_that_can_be_evaluated() {
    let table = |points: &[(f64, f64)]| {
        PlateCharacteristic::ZeroBias(points.iter().map(|(v, i)| (Volts(*v), Amps(*i))).collect())
    };
    for bad in [
        table(&[(0.0, 0.0)]),
        table(&[(0.0, 0.0), (40.0, 0.15), (40.0, 0.2)]),
        table(&[(0.0, 0.0), (40.0, f64::NAN)]),
        PlateCharacteristic::Published {
            points: Vec::new(),
            small_signal: Vec::new(),
        },
        PlateCharacteristic::Law(TriodeCoefficients {
            mu: 2.0,
            exponent: 1.4,
            kg1: -600.0,
            kp: 20.0,
            kvb: 300.0,
            grid_offset: Volts(0.0),
        }),
    ] {
        let mut supply = demo();
        supply.pass_stage.tube.characteristic = bad.clone();
        let problems = check(&supply);
        assert!(!problems.is_empty(), "{bad:?}");
        for problem in problems {
            assert_eq!(problem.stage, Stage::PassStage);
            assert!(
                problem.field.starts_with("pass_stage.tube.characteristic"),
                "{problem}"
            );
        }
    }
}
