//! A supply that goes through text is the same supply.

use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, TestRunner};

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::{read, read_work, write};
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Confidence, Figure, Rating, RatingSystem, Source};
use crate::parts::readings::{Bench, Connected, Meter, Phase, Reading, ReadingSet, Step, What};
use crate::parts::rectifier::Heater;
use crate::parts::spread::{Condition, Electrolytics, Size, Spread, StatedSpread, Tubes, Unit};
use crate::parts::{
    Accepted, Amount, AsFound, BiasRail, CapacitorStack, Connection, Copper, CoreBuild,
    CrestFactor, Divider, Dummy, Filter, FilterSection, Fraction, Fuse, FuseKind, FusePlace,
    GasReference, GasShunt, HeaterTie, Limiter, MadeOf, Mains, Mounting, NoLoadReadings, Output,
    PassStage, PassTubeType, PlateCharacteristic, PlateSupply, Primary, RailWinding, Rectifier,
    RectifierLaw, RectifierType, ReferenceFeed, Regulator, Resistor, ResistorKind, ScreenDivider,
    ScreenFeed, SecondaryVolts, SenseControl, SeriesElement, StandBy, Supply, Tap, Transformer,
    TriodeCoefficients, TubeRatings, Volts, WindingVolts, Work,
};

/// Makes random parts.
pub(super) struct Random {
    runner: TestRunner,
    catalogue: &'static Catalogue,
    words: BoxedStrategy<String>,
    numbers: BoxedStrategy<f64>,
}

impl Random {
    pub(super) fn new(catalogue: &'static Catalogue) -> Self {
        let words = prop_oneof![
            3 => "[a-zA-Z0-9 ,.:()\\[\\]{}/*µΩ-]{0,20}",
            1 => any::<String>(),
            1 => "[\"\\\\#r\n\r\t /*]{0,12}",
        ];
        // Any finite number, not only sane ones: what is written must come back, wise or not.
        let numbers = prop_oneof![
            4 => (1_i32..100_000, -12_i32..4).prop_map(|(n, e)| f64::from(n) * 10_f64.powi(e)),
            4 => 1e-9..1e6_f64,
            2 => prop::num::f64::NORMAL | prop::num::f64::ZERO | prop::num::f64::NEGATIVE,
            1 => prop::num::f64::SUBNORMAL,
        ];
        Self {
            runner: TestRunner::default(),
            catalogue,
            words: words.boxed(),
            numbers: numbers.boxed(),
        }
    }

    pub(super) fn of<S: Strategy>(&mut self, values: S) -> S::Value {
        let tree = values.new_tree(&mut self.runner).expect("a value");
        tree.current()
    }

    fn one<T: Clone>(&mut self, of: &[T]) -> T {
        let index = self.of(0..of.len());
        of[index].clone()
    }

    fn number(&mut self) -> f64 {
        self.of(self.numbers.clone())
    }

    fn count(&mut self) -> u8 {
        self.of(any::<u8>())
    }

    fn words(&mut self) -> String {
        self.of(self.words.clone())
    }

    fn maybe<T>(&mut self, value: impl Fn(&mut Self) -> T) -> Option<T> {
        self.of(any::<bool>()).then(|| value(self))
    }

    fn some<T>(&mut self, fewer_than: usize, value: impl Fn(&mut Self) -> T) -> Vec<T> {
        let count = self.of(0..fewer_than);
        (0..count).map(|_| value(self)).collect()
    }

    fn si<T: Quantity>(&mut self) -> T {
        T::from_si(self.number())
    }

    fn maybe_si<T: Quantity>(&mut self) -> Option<T> {
        self.maybe(Self::si)
    }

    fn resistor(&mut self) -> Resistor {
        Resistor {
            name: self.words(),
            resistance: self.si(),
            power: self.si(),
            tolerance: self.si(),
            working_volts: self.maybe_si(),
            kind: self.maybe(|r| r.one(&ResistorKind::ALL)),
            mounting: self.one(&Mounting::ALL),
            derating: self.maybe_si(),
        }
    }

    /// Wired this deep at most.
    fn made_of(&mut self, deepest: usize) -> MadeOf {
        let which = if deepest == 0 { 0 } else { self.of(0..3) };
        match which {
            0 => MadeOf::One(self.resistor()),
            1 => MadeOf::Series(self.some(4, |r| r.made_of(deepest - 1))),
            _ => MadeOf::Parallel(self.some(4, |r| r.made_of(deepest - 1))),
        }
    }

    fn source(&mut self) -> Source {
        let source = Source {
            document: self.words(),
            confidence: self.one(&[
                Confidence::Seen,
                Confidence::Quoted,
                Confidence::CrossChecked,
                Confidence::MemoryHigh,
                Confidence::MemoryMedium,
                Confidence::MemoryLow,
                Confidence::Calculated,
                Confidence::Own,
            ]),
        };
        self.one(&[Source::default(), source])
    }

    fn rating<T: Quantity>(&mut self) -> Option<Rating<T>> {
        self.maybe(|r| Rating {
            value: r.si(),
            system: r.one(&[
                RatingSystem::DesignCentre,
                RatingSystem::DesignMaximum,
                RatingSystem::AbsoluteMaximum,
            ]),
            source: r.source(),
        })
    }

    fn figure<T: Quantity>(&mut self) -> Figure<T> {
        Figure {
            value: self.si(),
            source: self.source(),
        }
    }

    fn heater(&mut self) -> Heater {
        Heater {
            filament: self.of(0..2) == 1,
            volts: self.si(),
            amps: self.si(),
            source: self.source(),
        }
    }

    fn rectifier_type(&mut self) -> RectifierType {
        RectifierType {
            name: self.words(),
            about: self.words(),
            plates: self.count(),
            law: match self.of(0..3) {
                0 => RectifierLaw::Vacuum {
                    drop: self.figure(),
                    at: self.si(),
                },
                1 => RectifierLaw::Silicon {
                    saturation: self.si(),
                    emission: self.si(),
                    resistance: self.si(),
                },
                _ => RectifierLaw::MercuryVapour {
                    drop: self.figure(),
                },
            },
            heater: self.maybe(Self::heater),
            peak_inverse: self.rating(),
            peak_current: self.rating(),
            dc_current: self.rating(),
            dc_current_choke_input: self.rating(),
            hot_switching_current: self.rating(),
            heater_cathode: self.rating(),
            least_supply_resistance: self.maybe(Self::figure),
            dc_current_by_volts: self.maybe(|r| r.some(3, |r| (r.si(), r.si()))),
            peak_inverse_by_current: self.maybe(|r| r.some(3, |r| (r.si(), r.si()))),
            least_supply_resistance_by_volts: self.maybe(|r| r.some(3, |r| (r.si(), r.si()))),
            largest_first_capacitor: self.maybe(Self::figure),
        }
    }

    fn characteristic(&mut self) -> PlateCharacteristic {
        match self.of(0..3) {
            0 => PlateCharacteristic::Published {
                points: self.some(4, |r| PlatePoint {
                    plate: r.si(),
                    grid: r.si(),
                    current: r.si(),
                    source: r.source(),
                }),
                small_signal: self.some(3, |r| SmallSignal {
                    plate: r.si(),
                    grid: r.si(),
                    mu: r.maybe(Self::number),
                    plate_resistance: r.maybe_si(),
                    transconductance: r.maybe_si(),
                    source: r.source(),
                }),
            },
            1 => PlateCharacteristic::Law(TriodeCoefficients {
                mu: self.number(),
                exponent: self.number(),
                kg1: self.number(),
                kp: self.number(),
                kvb: self.number(),
                grid_offset: self.si(),
            }),
            _ => PlateCharacteristic::ZeroBias(self.some(5, |r| (r.si(), r.si()))),
        }
    }

    fn pass_tube_type(&mut self) -> PassTubeType {
        PassTubeType {
            name: self.words(),
            about: self.words(),
            units: self.count(),
            plate_volts_by_watts: self.maybe(|r| r.some(3, |r| (r.si(), r.si()))),
            triode_connected: self.of(any::<bool>()),
            screen_share: self.maybe(Self::figure),
            characteristic: self.characteristic(),
            ratings: TubeRatings {
                heater: self.maybe(Self::heater),
                plate_dissipation: self.rating(),
                screen_dissipation: self.rating(),
                plate_volts: self.rating(),
                heater_cathode: self.rating(),
                grid_resistor: self.rating(),
            },
            envelope_dissipation: self.rating(),
            plate_current: self.rating(),
        }
    }

    fn rectifier(&mut self) -> Rectifier {
        let kinds = [self.rectifier_type(), self.one(&self.catalogue.rectifiers)];
        Rectifier {
            kind: self.one(&kinds),
            connection: self.one(&[
                Connection::FullWaveCentreTap,
                Connection::Bridge,
                Connection::HalfWave,
            ]),
            in_parallel: self.count(),
            in_series: self.count(),
            plate_resistor: self.si(),
            heater: self.maybe(Self::heater_tie),
        }
    }

    fn stack(&mut self) -> CapacitorStack {
        CapacitorStack {
            unit: self.si(),
            in_series: self.count(),
            strings: self.count(),
            working_volts: self.rating(),
            surge_volts: self.rating(),
            ripple_current: self.rating(),
            balancing: self.maybe_si(),
            tolerance: self.si(),
        }
    }

    fn filter(&mut self) -> Filter {
        Filter {
            input_capacitor: self.maybe(Self::stack),
            sections: self.some(4, |r| FilterSection {
                series: match r.of(0..2) {
                    0 => SeriesElement::Resistor(r.si()),
                    _ => SeriesElement::Choke {
                        inductance: r.si(),
                        resistance: r.si(),
                        measured: r.one(&[Copper::Warm, Copper::Cold]),
                        rating: r.rating(),
                    },
                },
                capacitor: r.stack(),
            }),
            bleeder: self.maybe_si(),
            internal_current: self.si(),
        }
    }

    fn pass_stage(&mut self) -> PassStage {
        let tubes = [self.pass_tube_type(), self.one(&self.catalogue.pass_tubes)];
        PassStage {
            tube: self.one(&tubes),
            units: self.count(),
            cathode_resistor: self.si(),
            plate_resistor: self.si(),
            imbalance: self.si(),
            grid_limit: self.si(),
            tube_spread: self.maybe_si(),
            heater: self.maybe(Self::heater_tie),
        }
    }

    fn heater_tie(&mut self) -> HeaterTie {
        let elevated = HeaterTie::Elevated(self.si());
        self.one(&[HeaterTie::Common, HeaterTie::Cathode, elevated])
    }

    fn tap(&mut self) -> Tap {
        let bias = Tap::BiasReference(self.count());
        self.one(&[Tap::Common, Tap::Reference, bias, Tap::BiasRail])
    }

    fn reference(&mut self) -> GasReference {
        GasReference {
            tubes: self.some(4, |r| r.one(&r.catalogue.gas_tubes)),
            feed_resistor: self.si(),
            fed_from: self.one(&[
                ReferenceFeed::Bus,
                ReferenceFeed::Output,
                ReferenceFeed::BiasRail,
            ]),
            drawn: self.si(),
            shunts: self.maybe(|r| r.some(3, Self::shunt)),
        }
    }

    fn shunt(&mut self) -> GasShunt {
        GasShunt {
            across: self.count(),
            resistance: self.si(),
        }
    }

    fn rail_winding(&mut self) -> RailWinding {
        let volts = self.si();
        self.one(&[
            RailWinding::Own(volts),
            RailWinding::HighVoltageEnd,
            RailWinding::HighVoltageTap(volts),
        ])
    }

    fn bias_rail(&mut self) -> BiasRail {
        let mut rectifier = self.rectifier();
        // One name is one type in a file; two random rectifiers may share theirs.
        rectifier.kind.name.push_str(" of the rail");
        BiasRail {
            winding: self.rail_winding(),
            winding_resistance: self.maybe_si(),
            winding_measured: self.one(&[Copper::Warm, Copper::Cold]),
            winding_rating: self.rating(),
            rectifier,
            filter: self.filter(),
            load: self.si(),
            reference: self.maybe(Self::reference),
        }
    }

    fn regulator(&mut self) -> Regulator {
        let mut control_tube = self.one(&self.catalogue.control_tubes);
        let own = self.one(&["", " of my own"]);
        control_tube.name.push_str(own);
        let clean = PlateSupply::Clean(self.si());
        Regulator {
            control_tube,
            plate_load: self.si(),
            plate_supply: self.one(&[PlateSupply::Bus, clean]),
            screen_volts: self.maybe_si(),
            screen_divider: self.maybe(|r| ScreenDivider {
                fed_from: r.one(&[ScreenFeed::Bus, ScreenFeed::CleanRail, ScreenFeed::Common]),
                upper: r.si(),
                lower: r.si(),
                foot: r.tap(),
            }),
            least_plate_volts: self.maybe_si(),
            preload: self.maybe_si(),
            cathode: self.tap(),
            divider: Divider {
                foot: self.tap(),
                resistance: self.si(),
                control: self.maybe(|r| SenseControl {
                    upper: r.si(),
                    pot: r.si(),
                    lower: r.si(),
                    zero_adjuster: r.maybe_si(),
                }),
            },
            heater: self.maybe(Self::heater_tie),
            reference: self.maybe(Self::reference),
            bias_rail: self.maybe(Self::bias_rail),
        }
    }

    pub(super) fn work(&mut self) -> Work {
        Work {
            name: self.words(),
            notes: self.words(),
            supply: self.supply(),
            dummies: self.some(4, |r| Dummy {
                name: r.words(),
                resistance: r.si(),
                power: r.maybe_si(),
                working_volts: r.maybe_si(),
                tolerance: r.si(),
                derating: r.maybe_si(),
                kind: r.maybe(|r| r.one(&ResistorKind::ALL)),
                mounting: r.one(&Mounting::ALL),
                made_of: r.maybe(|r| r.made_of(1)),
            }),
            guessed: self.some(3, Self::words),
            spreads: self.some(3, |r| StatedSpread {
                field: r.words(),
                spread: r.spread(),
            }),
            condition: Condition {
                tubes: self.one(&[Tubes::New, Tubes::Used, Tubes::Tired]),
                electrolytics: self.one(&[
                    Electrolytics::Fresh,
                    Electrolytics::Old,
                    Electrolytics::Dried,
                ]),
            },
            bench: self.bench(),
            primary: self.primary(),
        }
    }

    fn bench(&mut self) -> Bench {
        let load = |r: &mut Self| match r.of(0..3) {
            0 => Connected::Nothing,
            1 => Connected::Resistor(r.si()),
            _ => Connected::Current(r.si()),
        };
        Bench {
            meters: self.some(2, |r| Meter {
                name: r.words(),
                accuracy: r.spread(),
            }),
            plan: self.some(3, |r| Step {
                phase: r.one(&Phase::ALL),
                load: load(r),
                set: r.maybe_si(),
                note: r.maybe(Self::words),
            }),
            sets: self.some(3, |r| ReadingSet {
                name: r.words(),
                day: r.words(),
                well: r.of(any::<bool>()),
                mains: r.maybe_si(),
                readings: r.some(4, |r| {
                    let what = r.one(&[
                        What::KnobUp,
                        What::CathodeResistor(2),
                        What::Capacitance(1),
                        What::Leak,
                    ]);
                    Reading {
                        load: load(r),
                        set: r.maybe_si(),
                        meter: r.maybe(Self::words),
                        mains: r.maybe_si(),
                        time: r.maybe(Self::words),
                        note: r.maybe(Self::words),
                        ..Reading::of(what, r.number())
                    }
                }),
            }),
        }
    }

    fn primary(&mut self) -> Primary {
        let limiters = [
            Limiter::Resistor(self.si()),
            Limiter::SoftStart {
                resistance: self.si(),
                shorted_after: self.si(),
            },
            Limiter::Thermistor {
                cold: self.si(),
                hot: self.si(),
                at: self.si(),
                time_constant: self.si(),
            },
        ];
        Primary {
            mains_resistance: self.maybe_si(),
            mains_inductance: self.maybe_si(),
            limiter: self.maybe(|r| r.one(&limiters)),
            fuse: self.maybe(|r| Fuse {
                rating: r.si(),
                kind: r.one(&FuseKind::ALL),
                place: r.one(&[FusePlace::Line, FusePlace::BothLines, FusePlace::Secondary]),
            }),
            build: self.one(&[CoreBuild::Interleaved, CoreBuild::Butted, CoreBuild::Toroid]),
            core_rating: self.maybe_si(),
            no_load: self.maybe(|r| NoLoadReadings {
                lower: (r.si(), r.si()),
                higher: (r.si(), r.si()),
            }),
            saturates_at: self.maybe_si(),
            saturated_inductance: self.maybe_si(),
            heaters: self.maybe_si(),
        }
    }

    fn spread(&mut self) -> Spread {
        let unit = self.one(&[
            Unit::Volts,
            Unit::Amps,
            Unit::Ohms,
            Unit::Farads,
            Unit::Henries,
            Unit::VoltAmps,
        ]);
        let (share, digits) = (self.si(), self.of(any::<u16>()));
        let [a, b] = [self.number(), self.number()].map(|si| Size { si, unit });
        self.one(&[
            Spread::Percent(share),
            Spread::Absolute(a),
            Spread::Range(a, b),
            Spread::OfFullScale(share, a),
            Spread::Digits(share, digits, a),
        ])
    }

    fn secondary(&mut self) -> SecondaryVolts {
        match self.of(0..2) {
            0 => SecondaryVolts::One(self.si()),
            _ => SecondaryVolts::Halves(self.si(), self.si()),
        }
    }

    fn supply(&mut self) -> Supply {
        Supply {
            mains: Mains {
                nominal: self.si(),
                present: self.si(),
                low: self.si(),
                high: self.si(),
                frequency: self.si(),
                crest_factor: CrestFactor(self.number()),
            },
            transformer: Transformer {
                primary_volts: self.si(),
                winding: match self.of(0..2) {
                    0 => WindingVolts::OpenCircuit(self.secondary()),
                    _ => WindingVolts::Loaded {
                        volts: self.secondary(),
                        amps: self.si(),
                    },
                },
                primary_resistance: self.si(),
                primary_measured: self.one(&[Copper::Warm, Copper::Cold]),
                secondary_resistance: self.si(),
                second_half_resistance: self.maybe_si(),
                secondary_measured: self.one(&[Copper::Warm, Copper::Cold]),
                winding_rating: self.rating(),
                auxiliary: self.si(),
            },
            rectifier: self.rectifier(),
            filter: self.filter(),
            pass_stage: self.pass_stage(),
            regulator: self.maybe(Self::regulator),
            output: Output {
                set_low: self.si(),
                set_high: self.si(),
                meter_shunt: self.si(),
                meter_scale: self.maybe_si(),
                stand_by: self.one(&[
                    None,
                    Some(StandBy::NoSwitch),
                    Some(StandBy::CentreTap),
                    Some(StandBy::AfterFilter),
                ]),
            },
            accepted: self.some(3, |r| Accepted {
                rating: r.words(),
                up_to: Amount::Watts(r.si()),
                reason: r.words(),
            }),
            as_found: AsFound {
                pass_emission: self.some(3, Self::si),
                rectifier_emission: self.si(),
                control_emission: self.si(),
                dead_plate: self.of(any::<bool>()),
                shorted_units: self.some(3, |r| r.of(any::<u8>())),
                open_bleeder: self.of(any::<bool>()),
                leak: self.si(),
            },
        }
    }
}

#[test]
fn a_round_trip_through_text_loses_nothing() {
    let catalogue = Catalogue::built_in();
    let mut random = Random::new(Catalogue::built_in_ones());
    for _ in 0..2000 {
        let work = random.work();
        let text = write(&work, &catalogue);
        match read_work(&text, &catalogue) {
            Ok(back) => assert_eq!(back, work, "{text}"),
            Err(error) => panic!("{error}\n{text}"),
        }
    }
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
                if letters.is_empty() {
                    // Cut to one letter by the stroke before the last, which then took that away.
                    letters.push(letter);
                }
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

/// What is left out is what the trade takes for granted. Mains: 5 % either way in North America (ANSI C84.1, range A), 10 % elsewhere
/// (IEC 60038). Electrolytics: 20 % (letter M of IEC 60062). A tube: all units of one envelope.
#[test]
fn what_is_left_out_is_what_is_usual() {
    for (file, pass_stage, low, high) in [
        (
            "small-fixed-range.ron",
            "\"6V6-GT\",\n        units: 2",
            114.0,
            126.0,
        ),
        ("half-wave.ron", "\"12B4-A\"", 207.0, 253.0),
    ] {
        let (_, text) = presets().iter().find(|(name, _)| *name == file).unwrap();
        // A tube with two units, and no word of how many are in use.
        let text = text.replacen(pass_stage, "\"6080\"", 1);
        let supply = read(&text, &Catalogue::built_in()).unwrap();
        let mains = &supply.mains;
        assert_eq!((mains.low, mains.high), (Volts(low), Volts(high)), "{file}");
        assert_eq!(mains.present, mains.nominal, "{file}");
        assert_eq!(supply.pass_stage.units, 2, "{file}");
        for stack in supply.filter.stacks() {
            assert_eq!(
                (stack.tolerance, stack.strings),
                (Fraction(0.2), 1),
                "{file}"
            );
        }
    }
}
