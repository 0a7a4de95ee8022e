//! Random supplies within sane ranges: every connection, law and filter shape.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use sagline::parts::filter::CapacitorStack;
use sagline::parts::pass_stage::{
    PassStage, PassTubeType, PlateCharacteristic, TriodeCoefficients,
};
use sagline::parts::rating::{Rating, RatingSystem};
use sagline::parts::{
    Amps, AsFound, Connection, Copper, CrestFactor, Farads, Figure, Filter, FilterSection,
    Fraction, Henries, Hertz, Mains, Ohms, Output, Rectifier, RectifierLaw, RectifierType,
    SecondaryVolts, SeriesElement, Supply, Transformer, TubeRatings, VoltAmps, Volts, Watts,
    WindingVolts,
};

/// From `low` to `high`, even on a logarithmic scale.
pub(crate) fn spread(low: f64, high: f64) -> impl Strategy<Value = f64> + Clone {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

fn system() -> impl Strategy<Value = RatingSystem> + Clone {
    prop_oneof![
        Just(RatingSystem::DesignCentre),
        Just(RatingSystem::DesignMaximum),
        Just(RatingSystem::AbsoluteMaximum)
    ]
}

fn rated<T: std::fmt::Debug + Clone + 'static>(
    value: impl Strategy<Value = f64> + Clone + 'static,
    unit: fn(f64) -> T,
) -> impl Strategy<Value = Option<Rating<T>>> {
    option::of((value, system()).prop_map(move |(v, s)| Rating::own(unit(v), s)))
}

fn law() -> impl Strategy<Value = RectifierLaw> + Clone {
    prop_oneof![
        3 => (spread(10.0, 80.0), spread(0.05, 0.3))
            .prop_map(|(v, i)| RectifierLaw::Vacuum { drop: Figure::own(Volts(v)), at: Amps(i) }),
        1 => spread(1e-10, 1e-7).prop_map(|s| RectifierLaw::Silicon {
            saturation: Amps(s),
            emission: Volts(0.0465),
            resistance: Ohms(0.05)
        }),
        1 => (10.0..20.0).prop_map(|v| RectifierLaw::MercuryVapour { drop: Figure::own(Volts(v)) }),
    ]
}

/// A stack of at least 0.1 µF.
fn stack() -> impl Strategy<Value = CapacitorStack> + Clone {
    (
        spread(0.3e-6, 1000e-6),
        1..=3_u8,
        1..=2_u8,
        option::of(spread(47e3, 1e6)),
        0.0..0.3,
    )
        .prop_map(
            |(unit, in_series, strings, balancing, tolerance)| CapacitorStack {
                unit: Farads(unit),
                in_series,
                strings,
                working_volts: Some(Rating::own(Volts(450.0), RatingSystem::AbsoluteMaximum)),
                surge_volts: None,
                ripple_current: Some(Rating::own(Amps(0.6), RatingSystem::DesignMaximum)),
                balancing: balancing.map(Ohms),
                tolerance: Fraction(tolerance),
            },
        )
}

fn section() -> impl Strategy<Value = FilterSection> + Clone {
    let series = prop_oneof![
        spread(20.0, 5e3).prop_map(|r| SeriesElement::Resistor(Ohms(r))),
        (
            spread(0.5, 30.0),
            20.0..400.0,
            option::of(spread(0.05, 0.4))
        )
            .prop_map(|(l, r, rating)| SeriesElement::Choke {
                inductance: Henries(l),
                resistance: Ohms(r),
                measured: Copper::Warm,
                rating: rating.map(|a| Rating::own(Amps(a), RatingSystem::DesignCentre)),
            }),
    ];
    (series, stack()).prop_map(|(series, capacitor)| FilterSection { series, capacitor })
}

pub(crate) fn filter() -> impl Strategy<Value = Filter> {
    let shape = prop_oneof![
        (stack().prop_map(Some), vec(section(), 0..=3)),
        (Just(None), vec(section(), 1..=2)),
    ];
    (
        shape,
        option::of(spread(10e3, 1e6)),
        prop_oneof![Just(0.0), spread(1e-4, 1e-2)],
    )
        .prop_map(|((input_capacitor, sections), bleeder, internal)| Filter {
            input_capacitor,
            sections,
            bleeder: bleeder.map(Ohms),
            internal_current: Amps(internal),
        })
}

fn rectifier() -> impl Strategy<Value = Rectifier> {
    let connection = prop_oneof![
        Just(Connection::FullWaveCentreTap),
        Just(Connection::Bridge),
        Just(Connection::HalfWave)
    ];
    let ratings = (
        rated(spread(700.0, 3000.0), Volts),
        rated(spread(0.2, 2.0), Amps),
        rated(spread(0.05, 0.4), Amps),
    );
    (
        law(),
        connection,
        1..=2_u8,
        prop_oneof![Just(0.0), 10.0..200.0],
        ratings,
    )
        .prop_map(
            |(
                law,
                connection,
                in_parallel,
                plate_ohms,
                (peak_inverse, peak_current, dc_current),
            )| Rectifier {
                kind: RectifierType {
                    name: "random".to_owned(),
                    about: String::new(),
                    plates: 2,
                    law,
                    heater: None,
                    peak_inverse,
                    peak_current,
                    dc_current,
                    dc_current_choke_input: None,
                    hot_switching_current: None,
                    least_supply_resistance: None,
                    least_supply_resistance_by_volts: None,
                    dc_current_by_volts: None,
                    peak_inverse_by_current: None,
                    largest_first_capacitor: None,
                    heater_cathode: None,
                },
                connection,
                in_parallel,
                in_series: 1,
                plate_resistor: Ohms(plate_ohms),
                heater: None,
            },
        )
}

fn pass_stage() -> impl Strategy<Value = PassStage> {
    let law = (
        spread(2.0, 12.0),
        1.3..1.6,
        spread(300.0, 4000.0),
        3.0..20.0,
        spread(50.0, 1000.0),
        -5.0..2.0,
    )
        .prop_map(
            |(mu, exponent, kg1, knee, kvb, offset)| TriodeCoefficients {
                mu,
                exponent,
                kg1,
                kp: mu * knee,
                kvb,
                grid_offset: Volts(offset),
            },
        );
    let ratings = (
        rated(spread(5.0, 60.0), Watts),
        rated(spread(200.0, 800.0), Volts),
        rated(spread(0.04, 0.4), Amps),
    );
    (law, ratings, 1..=6_u8, 0.0..100.0, 0.0..0.3, -10.0..=0.0).prop_map(
        |(
            law,
            (plate_dissipation, plate_volts, plate_current),
            units,
            cathode_ohms,
            imbalance,
            grid_limit,
        )| {
            PassStage {
                tube: PassTubeType {
                    name: "random".to_owned(),
                    about: String::new(),
                    units: 2,
                    plate_volts_by_watts: None,
                    triode_connected: false,
                    screen_share: None,
                    characteristic: PlateCharacteristic::Law(law),
                    ratings: TubeRatings {
                        plate_dissipation,
                        plate_volts,
                        ..TubeRatings::default()
                    },
                    envelope_dissipation: None,
                    plate_current,
                },
                units,
                cathode_resistor: Ohms(cathode_ohms),
                plate_resistor: Ohms(0.0),
                imbalance: Fraction(imbalance),
                tube_spread: None,
                heater: None,
                grid_limit: Volts(grid_limit),
            }
        },
    )
}

/// Any supply.
pub(crate) fn supply() -> impl Strategy<Value = Supply> {
    let mains = (
        prop_oneof![Just((120.0, 60.0)), Just((230.0, 50.0))],
        0.93..1.07,
        0.9..0.97,
        1.03..1.1,
    )
        .prop_map(|((nominal, hertz), present, low, high)| Mains {
            nominal: Volts(nominal),
            present: Volts(nominal * present),
            low: Volts(nominal * low),
            high: Volts(nominal * high),
            frequency: Hertz(hertz),
            crest_factor: CrestFactor::SINE,
        });
    let transformer = (
        spread(150.0, 700.0),
        spread(15.0, 200.0),
        spread(0.5, 6.0),
        rated(spread(0.05, 0.5), Amps),
    )
        .prop_map(|(emf, secondary, primary, winding_rating)| {
            (emf, secondary, primary, winding_rating)
        });
    (
        mains,
        transformer,
        rectifier(),
        filter(),
        pass_stage(),
        spread(100.0, 600.0),
    )
        .prop_map(
            |(
                mains,
                (emf, secondary, primary, winding_rating),
                rectifier,
                filter,
                pass_stage,
                set_high,
            )| Supply {
                accepted: Vec::new(),
                as_found: AsFound::default(),
                transformer: Transformer {
                    primary_volts: mains.nominal,
                    winding: WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(emf))),
                    primary_resistance: Ohms(primary),
                    primary_measured: Copper::Warm,
                    secondary_resistance: Ohms(secondary),
                    second_half_resistance: None,
                    secondary_measured: Copper::Warm,
                    winding_rating,
                    auxiliary: VoltAmps(30.0),
                },
                mains,
                rectifier,
                filter,
                pass_stage,
                regulator: None,
                output: Output {
                    set_low: Volts(0.0),
                    set_high: Volts(set_high),
                    meter_shunt: Ohms(1.0),
                    meter_scale: None,
                    stand_by: None,
                },
            },
        )
}

/// Mostly one, else far from it.
fn factor(low: f64, high: f64) -> impl Strategy<Value = f64> + Clone {
    prop_oneof![2 => Just(1.0), 1 => spread(low, 1.0), 1 => spread(1.0, high)]
}

/// A supply some of whose parts are far from sane: picofarads, thin windings, a thousand henries, dozens of devices in parallel.
pub(crate) fn extreme_supply() -> impl Strategy<Value = Supply> {
    let transformer = (factor(1e-3, 300.0), factor(1e-3, 100.0), factor(0.1, 4.0));
    let filter = (factor(1e-6, 10.0), factor(1e-4, 10.0), factor(1e-2, 300.0));
    let rectifier = (
        prop_oneof![2 => Just(1_u8), 1 => Just(32_u8)],
        prop_oneof![2 => Just(1.0), 1 => Just(0.0)],
    );
    (supply(), transformer, filter, rectifier, factor(0.4, 8.0)).prop_map(
        |(
            mut supply,
            (secondary, primary, volts),
            (first, others, series),
            (in_parallel, plate),
            hertz,
        )| {
            let transformer = &mut supply.transformer;
            transformer.secondary_resistance.0 *= secondary;
            transformer.primary_resistance.0 *= primary;
            if let WindingVolts::OpenCircuit(open) = &mut transformer.winding {
                *open = open.with(*open, |of, _| of * volts);
            }
            supply.mains.frequency.0 *= hertz;
            supply.rectifier.in_parallel *= in_parallel;
            supply.rectifier.plate_resistor.0 *= plate;
            for (k, stack) in supply.filter.stacks_mut().enumerate() {
                stack.unit.0 *= if k == 0 { first } else { others };
            }
            for section in &mut supply.filter.sections {
                match &mut section.series {
                    SeriesElement::Resistor(ohms) => ohms.0 *= series,
                    SeriesElement::Choke { inductance, .. } => inductance.0 *= series,
                }
            }
            supply
        },
    )
}
