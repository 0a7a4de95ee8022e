//! A supply that goes through text is the same supply.

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::{read, read_work, write};
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Confidence, Figure, Rating, RatingSystem, Source};
use crate::parts::rectifier::Heater;
use crate::parts::{
    BiasRail, CapacitorStack, Connection, Divider, Dummy, Filter, FilterSection, GasReference,
    HeaterTie, Mains, Output, PassStage, PassTubeType, PlateCharacteristic, PlateSupply, Rectifier,
    RectifierLaw, RectifierType, ReferenceFeed, Regulator, SeriesElement, Supply, Tap, Transformer,
    TriodeCoefficients, TubeRatings, WindingVolts, Work,
};

/// Any finite number, not only sane ones: what is written must come back, wise or not.
fn number() -> BoxedStrategy<f64> {
    prop_oneof![
        4 => (1_i32..100_000, -12_i32..4).prop_map(|(n, e)| f64::from(n) * 10_f64.powi(e)),
        4 => 1e-9..1e6_f64,
        2 => prop::num::f64::NORMAL | prop::num::f64::ZERO | prop::num::f64::NEGATIVE,
        1 => prop::num::f64::SUBNORMAL,
    ]
    .boxed()
}

fn quantity<T: Quantity + std::fmt::Debug>() -> BoxedStrategy<T> {
    number().prop_map(T::from_si).boxed()
}

fn maybe<T: Quantity + std::fmt::Debug>() -> BoxedStrategy<Option<T>> {
    prop::option::of(quantity()).boxed()
}

fn words() -> BoxedStrategy<String> {
    prop_oneof![
        3 => "[a-zA-Z0-9 ,.:()\\[\\]{}/*µΩ-]{0,20}",
        1 => any::<String>(),
        1 => "[\"\\\\#r\n\r\t /*]{0,12}",
    ]
    .boxed()
}

fn source() -> BoxedStrategy<Source> {
    let confidence = prop::sample::select(vec![
        Confidence::Seen,
        Confidence::Quoted,
        Confidence::CrossChecked,
        Confidence::MemoryHigh,
        Confidence::MemoryMedium,
        Confidence::MemoryLow,
        Confidence::Calculated,
        Confidence::Own,
    ]);
    prop_oneof![
        Just(Source::default()),
        (words(), confidence).prop_map(|(document, confidence)| Source {
            document,
            confidence
        }),
    ]
    .boxed()
}

fn rating<T: Quantity + std::fmt::Debug>() -> BoxedStrategy<Option<Rating<T>>> {
    let system = prop::sample::select(vec![
        RatingSystem::DesignCentre,
        RatingSystem::DesignMaximum,
        RatingSystem::AbsoluteMaximum,
    ]);
    prop::option::of(
        (quantity(), system, source()).prop_map(|(value, system, source)| Rating {
            value,
            system,
            source,
        }),
    )
    .boxed()
}

fn figure<T: Quantity + std::fmt::Debug>() -> BoxedStrategy<Figure<T>> {
    (quantity(), source())
        .prop_map(|(value, source)| Figure { value, source })
        .boxed()
}

fn heater() -> BoxedStrategy<Option<Heater>> {
    prop::option::of(
        (quantity(), quantity(), source()).prop_map(|(volts, amps, source)| Heater {
            volts,
            amps,
            source,
        }),
    )
    .boxed()
}

fn rectifier_type() -> BoxedStrategy<RectifierType> {
    let law = prop_oneof![
        (figure(), quantity()).prop_map(|(drop, at)| RectifierLaw::Vacuum { drop, at }),
        (quantity(), quantity(), quantity()).prop_map(|(saturation, emission, resistance)| {
            RectifierLaw::Silicon {
                saturation,
                emission,
                resistance,
            }
        }),
        figure().prop_map(|drop| RectifierLaw::MercuryVapour { drop }),
    ];
    (
        (words(), words(), any::<u8>(), law, heater()),
        (rating(), rating(), rating(), rating(), rating(), rating()),
        (prop::option::of(figure()), prop::option::of(figure())),
    )
        .prop_map(|((name, about, plates, law, heater), r, f)| RectifierType {
            name,
            about,
            plates,
            law,
            heater,
            peak_inverse: r.0,
            peak_current: r.1,
            dc_current: r.2,
            dc_current_choke_input: r.3,
            hot_switching_current: r.4,
            heater_cathode: r.5,
            least_supply_resistance: f.0,
            largest_first_capacitor: f.1,
        })
        .boxed()
}

fn characteristic() -> BoxedStrategy<PlateCharacteristic> {
    let point = (quantity(), quantity(), quantity(), source()).prop_map(
        |(plate, grid, current, source)| PlatePoint {
            plate,
            grid,
            current,
            source,
        },
    );
    let figures = (
        (quantity(), quantity()),
        (prop::option::of(number()), maybe(), maybe()),
        source(),
    )
        .prop_map(|((plate, grid), f, source)| SmallSignal {
            plate,
            grid,
            mu: f.0,
            plate_resistance: f.1,
            transconductance: f.2,
            source,
        });
    prop_oneof![
        (
            prop::collection::vec(point, 0..4),
            prop::collection::vec(figures, 0..3)
        )
            .prop_map(|(points, small_signal)| PlateCharacteristic::Published {
                points,
                small_signal
            }),
        (number(), number(), number(), number(), number()).prop_map(
            |(mu, exponent, kg1, kp, kvb)| PlateCharacteristic::Law(TriodeCoefficients {
                mu,
                exponent,
                kg1,
                kp,
                kvb
            })
        ),
        prop::collection::vec((quantity(), quantity()), 0..5)
            .prop_map(PlateCharacteristic::ZeroBias),
    ]
    .boxed()
}

fn pass_tube_type() -> BoxedStrategy<PassTubeType> {
    (
        (
            words(),
            words(),
            any::<u8>(),
            any::<bool>(),
            characteristic(),
            heater(),
            prop::option::of(figure()),
        ),
        (
            rating(),
            rating(),
            rating(),
            rating(),
            rating(),
            rating(),
            rating(),
        ),
    )
        .prop_map(|(t, r)| PassTubeType {
            name: t.0,
            about: t.1,
            units: t.2,
            triode_connected: t.3,
            screen_share: t.6,
            characteristic: t.4,
            ratings: TubeRatings {
                heater: t.5,
                plate_dissipation: r.0,
                screen_dissipation: r.6,
                plate_volts: r.2,
                heater_cathode: r.4,
                grid_resistor: r.5,
            },
            envelope_dissipation: r.1,
            plate_current: r.3,
        })
        .boxed()
}

fn mains() -> BoxedStrategy<Mains> {
    (quantity(), quantity(), quantity(), quantity(), quantity())
        .prop_map(|(nominal, present, low, high, frequency)| Mains {
            nominal,
            present,
            low,
            high,
            frequency,
        })
        .boxed()
}

fn transformer() -> BoxedStrategy<Transformer> {
    let winding = prop_oneof![
        quantity().prop_map(WindingVolts::OpenCircuit),
        (quantity(), quantity()).prop_map(|(volts, amps)| WindingVolts::Loaded { volts, amps }),
    ];
    (
        quantity(),
        winding,
        quantity(),
        quantity(),
        rating(),
        quantity(),
    )
        .prop_map(|t| Transformer {
            primary_volts: t.0,
            winding: t.1,
            primary_resistance: t.2,
            secondary_resistance: t.3,
            winding_rating: t.4,
            auxiliary: t.5,
        })
        .boxed()
}

fn rectifier(known: Vec<RectifierType>) -> BoxedStrategy<Rectifier> {
    let connection = prop::sample::select(vec![
        Connection::FullWaveCentreTap,
        Connection::Bridge,
        Connection::HalfWave,
    ]);
    let kind = prop_oneof![rectifier_type(), prop::sample::select(known)];
    (kind, connection, any::<u8>(), quantity())
        .prop_map(
            |(kind, connection, in_parallel, plate_resistor)| Rectifier {
                kind,
                connection,
                in_parallel,
                plate_resistor,
            },
        )
        .boxed()
}

fn stack() -> BoxedStrategy<CapacitorStack> {
    (
        (quantity(), any::<u8>(), any::<u8>()),
        (rating(), rating(), rating()),
        (maybe(), quantity()),
    )
        .prop_map(
            |((unit, in_series, strings), r, (balancing, tolerance))| CapacitorStack {
                unit,
                in_series,
                strings,
                working_volts: r.0,
                surge_volts: r.1,
                ripple_current: r.2,
                balancing,
                tolerance,
            },
        )
        .boxed()
}

fn filter() -> BoxedStrategy<Filter> {
    let series = prop_oneof![
        quantity().prop_map(SeriesElement::Resistor),
        (quantity(), quantity(), rating()).prop_map(|(inductance, resistance, rating)| {
            SeriesElement::Choke {
                inductance,
                resistance,
                rating,
            }
        }),
    ];
    let section =
        (series, stack()).prop_map(|(series, capacitor)| FilterSection { series, capacitor });
    (
        prop::option::of(stack()),
        prop::collection::vec(section, 0..4),
        maybe(),
        quantity(),
    )
        .prop_map(
            |(input_capacitor, sections, bleeder, internal_current)| Filter {
                input_capacitor,
                sections,
                bleeder,
                internal_current,
            },
        )
        .boxed()
}

fn pass_stage(known: Vec<PassTubeType>) -> BoxedStrategy<PassStage> {
    let tube = prop_oneof![pass_tube_type(), prop::sample::select(known)];
    (
        tube,
        any::<u8>(),
        quantity(),
        quantity(),
        quantity(),
        quantity(),
        (maybe(), prop::option::of(heater_tie())),
    )
        .prop_map(|p| PassStage {
            tube: p.0,
            units: p.1,
            cathode_resistor: p.2,
            plate_resistor: p.3,
            imbalance: p.4,
            grid_limit: p.5,
            tube_spread: p.6.0,
            heater: p.6.1,
        })
        .boxed()
}

fn heater_tie() -> BoxedStrategy<HeaterTie> {
    prop_oneof![
        Just(HeaterTie::Common),
        Just(HeaterTie::Cathode),
        quantity().prop_map(HeaterTie::Elevated),
    ]
    .boxed()
}

fn tap() -> BoxedStrategy<Tap> {
    prop_oneof![
        Just(Tap::Common),
        Just(Tap::Reference),
        any::<u8>().prop_map(Tap::BiasReference),
        Just(Tap::BiasRail),
    ]
    .boxed()
}

fn reference(catalogue: &Catalogue) -> BoxedStrategy<GasReference> {
    let tubes = prop::sample::select(catalogue.gas_tubes.clone());
    let fed_from = prop::sample::select(vec![
        ReferenceFeed::Bus,
        ReferenceFeed::Output,
        ReferenceFeed::BiasRail,
    ]);
    (
        prop::collection::vec(tubes, 0..4),
        quantity(),
        fed_from,
        quantity(),
    )
        .prop_map(|(tubes, feed_resistor, fed_from, drawn)| GasReference {
            tubes,
            feed_resistor,
            fed_from,
            drawn,
        })
        .boxed()
}

fn bias_rail(catalogue: &Catalogue) -> BoxedStrategy<BiasRail> {
    (
        (quantity(), quantity(), quantity()),
        rectifier(catalogue.rectifiers.clone()),
        filter(),
        prop::option::of(reference(catalogue)),
    )
        .prop_map(
            |((winding, winding_resistance, load), rectifier, filter, reference)| BiasRail {
                winding,
                winding_resistance,
                rectifier,
                filter,
                load,
                reference,
            },
        )
        // One name is one type in a file; two random rectifiers may share theirs.
        .prop_map(|mut rail| {
            rail.rectifier.kind.name.push_str(" of the rail");
            rail
        })
        .boxed()
}

fn regulator(catalogue: &Catalogue) -> BoxedStrategy<Regulator> {
    let mut changed = catalogue.control_tubes.clone();
    for tube in &mut changed {
        tube.name.push_str(" of my own");
    }
    changed.extend(catalogue.control_tubes.clone());
    let plate_supply = prop_oneof![
        Just(PlateSupply::Bus),
        quantity().prop_map(PlateSupply::Clean)
    ];
    (
        (prop::sample::select(changed), quantity(), plate_supply),
        (maybe(), maybe(), maybe()),
        (tap(), tap(), quantity()),
        prop::option::of(heater_tie()),
        prop::option::of(reference(catalogue)),
        prop::option::of(bias_rail(catalogue)),
    )
        .prop_map(|r| Regulator {
            control_tube: r.0.0,
            plate_load: r.0.1,
            plate_supply: r.0.2,
            screen_volts: r.1.0,
            least_plate_volts: r.1.1,
            preload: r.1.2,
            cathode: r.2.0,
            divider: Divider {
                foot: r.2.1,
                resistance: r.2.2,
            },
            heater: r.3,
            reference: r.4,
            bias_rail: r.5,
        })
        .boxed()
}

fn dummy() -> BoxedStrategy<Dummy> {
    (
        words(),
        quantity(),
        maybe(),
        maybe(),
        quantity(),
        quantity(),
    )
        .prop_map(|d| Dummy {
            name: d.0,
            resistance: d.1,
            power: d.2,
            working_volts: d.3,
            tolerance: d.4,
            derating: d.5,
        })
        .boxed()
}

fn work(catalogue: &Catalogue) -> BoxedStrategy<Work> {
    let output =
        (quantity(), quantity(), quantity()).prop_map(|(set_low, set_high, meter_shunt)| Output {
            set_low,
            set_high,
            meter_shunt,
        });
    (
        (words(), words()),
        (mains(), transformer()),
        rectifier(catalogue.rectifiers.clone()),
        filter(),
        pass_stage(catalogue.pass_tubes.clone()),
        (output, prop::option::of(regulator(catalogue))),
        prop::collection::vec(dummy(), 0..4),
    )
        .prop_map(|s| Work {
            name: s.0.0,
            notes: s.0.1,
            supply: Supply {
                mains: s.1.0,
                transformer: s.1.1,
                rectifier: s.2,
                filter: s.3,
                pass_stage: s.4,
                output: s.5.0,
                regulator: s.5.1,
            },
            dummies: s.6,
        })
        .boxed()
}

#[test]
fn a_round_trip_through_text_loses_nothing() {
    let catalogue = Catalogue::built_in();
    let mut runner = TestRunner::new(Config {
        cases: 2000,
        failure_persistence: None,
        ..Config::default()
    });
    runner
        .run(&work(&catalogue), |work| {
            let text = write(&work, &catalogue);
            match read_work(&text, &catalogue) {
                Ok(back) => prop_assert_eq!(back, work, "{}", text),
                Err(error) => prop_assert!(false, "{}\n{}", error, text),
            }
            Ok(())
        })
        .unwrap();
}

#[test]
fn no_mangled_text_panics() {
    let catalogue = Catalogue::built_in();
    let texts: Vec<&str> = presets().iter().map(|(_, text)| *text).collect();
    let mangled = (
        prop::sample::select(texts),
        prop::collection::vec((any::<prop::sample::Index>(), any::<char>(), 0..4_u8), 1..4),
    );
    let mut runner = TestRunner::new(Config {
        cases: 500,
        failure_persistence: None,
        ..Config::default()
    });
    runner
        .run(&mangled, |(text, strokes)| {
            let mut letters: Vec<char> = text.chars().collect();
            for (at, letter, stroke) in strokes {
                let at = at.index(letters.len());
                match stroke {
                    0 => letters.insert(at, letter),
                    1 => letters[at] = letter,
                    2 => letters.truncate(at + 1),
                    _ => drop(letters.remove(at)),
                }
            }
            let text: String = letters.into_iter().collect();
            if let Err(error) = read(&text, &catalogue) {
                let lines = text.lines().count() + 1;
                prop_assert!(
                    error.line.is_some_and(|l| (1..=lines).contains(&l)),
                    "{error}"
                );
                prop_assert!(
                    !error.field.is_empty()
                        && !error.found.is_empty()
                        && !error.expected.is_empty(),
                    "{error:?}"
                );
            }
            let _faults = Catalogue::default().add(&text);
            Ok(())
        })
        .unwrap();
}
