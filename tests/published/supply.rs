//! A bare supply to put published circuits into: no mains loss, no tolerance, nothing that the source does not name.

use sagline::parts::filter::CapacitorStack;
use sagline::parts::pass_stage::{PassStage, PassTubeType, PlateCharacteristic};
use sagline::parts::{
    Amps, AsFound, Connection, Copper, CrestFactor, Farads, Figure, Filter, FilterSection,
    Fraction, Henries, Hertz, Mains, Ohms, Output, Rectifier, RectifierLaw, RectifierType,
    SecondaryVolts, SeriesElement, Supply, Transformer, TubeRatings, VoltAmps, Volts, WindingVolts,
};

pub(crate) fn capacitor(farads: f64) -> CapacitorStack {
    CapacitorStack {
        unit: Farads(farads),
        in_series: 1,
        strings: 1,
        working_volts: None,
        surge_volts: None,
        ripple_current: None,
        balancing: None,
        tolerance: Fraction(0.0),
    }
}

pub(crate) fn capacitor_input(farads: f64) -> Filter {
    Filter {
        input_capacitor: Some(capacitor(farads)),
        sections: Vec::new(),
        bleeder: None,
        internal_current: Amps(0.0),
    }
}

pub(crate) fn choke_input(henries: f64, choke_ohms: f64, farads: f64) -> Filter {
    let series = SeriesElement::Choke {
        inductance: Henries(henries),
        resistance: Ohms(choke_ohms),
        measured: Copper::Warm,
        rating: None,
    };
    Filter {
        input_capacitor: None,
        sections: vec![FilterSection {
            series,
            capacitor: capacitor(farads),
        }],
        bleeder: None,
        internal_current: Amps(0.0),
    }
}

/// A vacuum law through `volts` at `amps`.
pub(crate) fn vacuum(volts: f64, amps: f64) -> RectifierLaw {
    RectifierLaw::Vacuum {
        drop: Figure::own(Volts(volts)),
        at: Amps(amps),
    }
}

/// As near to no drop at all as a published drop can be.
pub(crate) fn ideal() -> RectifierLaw {
    RectifierLaw::MercuryVapour {
        drop: Figure::own(Volts(0.0)),
    }
}

pub(crate) fn supply(
    law: RectifierLaw,
    emf_volts: f64,
    ohms: f64,
    hertz: f64,
    filter: Filter,
) -> Supply {
    let kind = RectifierType {
        name: "as published".to_owned(),
        about: String::new(),
        plates: 2,
        law,
        heater: None,
        peak_inverse: None,
        peak_current: None,
        dc_current: None,
        dc_current_choke_input: None,
        hot_switching_current: None,
        least_supply_resistance: None,
        least_supply_resistance_by_volts: None,
        dc_current_by_volts: None,
        peak_inverse_by_current: None,
        largest_first_capacitor: None,
        heater_cathode: None,
    };
    let tube = PassTubeType {
        name: "none".to_owned(),
        about: String::new(),
        units: 1,
        plate_volts_by_watts: None,
        triode_connected: false,
        screen_share: None,
        characteristic: PlateCharacteristic::ZeroBias(vec![(Volts(40.0), Amps(10.0))]),
        ratings: TubeRatings::default(),
        envelope_dissipation: None,
        plate_current: None,
    };
    Supply {
        accepted: Vec::new(),
        as_found: AsFound::default(),
        mains: Mains {
            nominal: Volts(100.0),
            present: Volts(100.0),
            low: Volts(95.0),
            high: Volts(105.0),
            frequency: Hertz(hertz),
            crest_factor: CrestFactor::SINE,
        },
        transformer: Transformer {
            primary_volts: Volts(100.0),
            winding: WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(emf_volts))),
            primary_resistance: Ohms(0.0),
            primary_measured: Copper::Warm,
            secondary_resistance: Ohms(ohms),
            second_half_resistance: None,
            secondary_measured: Copper::Warm,
            winding_rating: None,
            auxiliary: VoltAmps(0.0),
        },
        rectifier: Rectifier {
            kind,
            connection: Connection::FullWaveCentreTap,
            in_parallel: 1,
            in_series: 1,
            plate_resistor: Ohms(0.0),
            heater: None,
        },
        filter,
        pass_stage: PassStage {
            tube,
            units: 1,
            cathode_resistor: Ohms(0.0),
            plate_resistor: Ohms(0.0),
            imbalance: Fraction(0.0),
            tube_spread: None,
            heater: None,
            grid_limit: Volts(0.0),
        },
        regulator: None,
        output: Output {
            set_low: Volts(0.0),
            set_high: Volts(1000.0),
            meter_shunt: Ohms(0.0),
            meter_scale: None,
            stand_by: None,
        },
    }
}
