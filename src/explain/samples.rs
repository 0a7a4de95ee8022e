//! An invented supply and hand-built answers for the tests of words.

use crate::parts::pass_stage::TriodeCoefficients;
use crate::parts::rating::{Figure, Rating, RatingSystem};
use crate::parts::{
    Amps, AsFound, CapacitorStack, Connection, Copper, CrestFactor, Dummy, Farads, Filter,
    FilterSection, Fraction, Henries, Hertz, Mains, Mounting, Ohms, Output, PassStage,
    PassTubeType, PlateCharacteristic, Rectifier, RectifierLaw, RectifierType, SecondaryVolts,
    SeriesElement, Supply, Transformer, TubeRatings, VoltAmps, Volts, Watts, WindingVolts,
};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Measure, Use};
use crate::physics::operation::{Case, Operation};

fn centre<T>(value: T) -> Rating<T> {
    Rating::own(value, RatingSystem::DesignCentre)
}

fn stack(farads: f64, in_series: u8) -> CapacitorStack {
    CapacitorStack {
        unit: Farads(farads),
        in_series,
        strings: 1,
        working_volts: Some(Rating::own(Volts(300.0), RatingSystem::AbsoluteMaximum)),
        surge_volts: None,
        ripple_current: None,
        balancing: Some(Ohms(220e3)),
        tolerance: Fraction(0.2),
    }
}

/// A resistor with its power, without a name.
pub(crate) fn dummy(ohms: f64, watts: f64) -> Dummy {
    Dummy {
        name: String::new(),
        resistance: Ohms(ohms),
        power: Some(Watts(watts)),
        working_volts: None,
        tolerance: Fraction(0.05),
        derating: None,
        kind: None,
        mounting: Mounting::FreeAir,
        made_of: None,
    }
}

fn clean_mains() -> Mains {
    Mains {
        nominal: Volts(120.0),
        present: Volts(120.0),
        low: Volts(114.0),
        high: Volts(126.0),
        frequency: Hertz(60.0),
        crest_factor: CrestFactor::SINE,
    }
}

/// 0–350 V / 120 mA with a 5U4-GB, a choke filter and a 6080; its numbers are for words only.
pub(crate) fn laboratory_supply() -> Supply {
    Supply {
        mains: clean_mains(),
        transformer: Transformer {
            primary_volts: Volts(117.0),
            winding: WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(365.0))),
            primary_resistance: Ohms(2.0),
            primary_measured: Copper::Warm,
            secondary_resistance: Ohms(60.0),
            second_half_resistance: None,
            secondary_measured: Copper::Warm,
            winding_rating: Some(centre(Amps(0.183))),
            auxiliary: VoltAmps(60.0),
        },
        rectifier: Rectifier {
            kind: RectifierType {
                name: "5U4-GB".to_owned(),
                about: "full-wave vacuum rectifier".to_owned(),
                plates: 2,
                law: RectifierLaw::Vacuum {
                    drop: Figure::own(Volts(44.0)),
                    at: Amps(0.225),
                },
                heater: None,
                peak_inverse: Some(centre(Volts(1550.0))),
                peak_current: Some(centre(Amps(1.0))),
                dc_current: Some(centre(Amps(0.275))),
                dc_current_choke_input: None,
                hot_switching_current: None,
                least_supply_resistance: None,
                least_supply_resistance_by_volts: None,
                dc_current_by_volts: None,
                peak_inverse_by_current: None,
                largest_first_capacitor: None,
                heater_cathode: None,
            },
            connection: Connection::FullWaveCentreTap,
            in_parallel: 1,
            in_series: 1,
            plate_resistor: Ohms(0.0),
            heater: None,
        },
        filter: Filter {
            input_capacitor: Some(stack(47e-6, 1)),
            sections: vec![FilterSection {
                series: SeriesElement::Choke {
                    inductance: Henries(8.0),
                    resistance: Ohms(150.0),
                    measured: Copper::Warm,
                    rating: None,
                },
                capacitor: stack(100e-6, 2),
            }],
            bleeder: Some(Ohms(100e3)),
            internal_current: Amps(0.005),
        },
        pass_stage: PassStage {
            tube: PassTubeType {
                name: "6080".to_owned(),
                about: "twin power triode".to_owned(),
                units: 2,
                plate_volts_by_watts: None,
                triode_connected: false,
                screen_share: None,
                characteristic: PlateCharacteristic::Law(TriodeCoefficients {
                    mu: 2.0,
                    exponent: 1.5,
                    kg1: 500.0,
                    kp: 20.0,
                    kvb: 300.0,
                    grid_offset: Volts(0.0),
                }),
                ratings: TubeRatings {
                    plate_dissipation: Some(centre(Watts(13.0))),
                    plate_volts: Some(centre(Volts(250.0))),
                    ..TubeRatings::default()
                },
                envelope_dissipation: None,
                plate_current: Some(centre(Amps(0.125))),
            },
            units: 2,
            cathode_resistor: Ohms(47.0),
            plate_resistor: Ohms(0.0),
            imbalance: Fraction(0.1),
            tube_spread: None,
            heater: None,
            grid_limit: Volts(0.0),
        },
        regulator: None,
        output: Output {
            set_low: Volts(0.0),
            set_high: Volts(350.0),
            meter_shunt: Ohms(1.0),
            meter_scale: None,
            stand_by: None,
        },
        accepted: Vec::new(),
        as_found: AsFound::default(),
    }
}

/// A known use.
pub(crate) fn known(limit: Limit, actual: f64, allowed: f64, measure: Measure) -> Use {
    let (system, case, mains_volts) = if limit.is_no_load() {
        (Some(RatingSystem::AbsoluteMaximum), Case::HighMost, 126.0)
    } else if limit.is_rating() {
        (Some(RatingSystem::DesignCentre), Case::Nominal, 120.0)
    } else {
        (None, Case::Present, 120.0)
    };
    // Of what must not fall short it is the other way round.
    let ratio = if limit.is_least() {
        allowed / actual
    } else {
        actual / allowed
    };
    Use {
        limit,
        system,
        confidence: None,
        published: None,
        judged: Ok(Judged {
            ratio,
            actual,
            allowed,
            measure,
            case,
            mains_volts,
            actual_now: None,
            at_low_present_high: [ratio; 3],
        }),
    }
}

/// A point with these uses, which must come tightest first.
pub(crate) fn point(amps: f64, volts: f64, uses: Vec<Use>) -> Point {
    Point {
        amps,
        volts,
        operation: Some(Operation {
            output_amps: amps,
            ..Operation::default()
        }),
        uses,
    }
}
