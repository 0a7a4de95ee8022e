//! Every number of the format has a range: what lies outside is refused with its field and that range, what lies inside is not.

#![expect(
    clippy::unwrap_used,
    clippy::string_slice,
    clippy::float_cmp,
    reason = "of a text and a table that stand in this project"
)]

use sagline::parts::catalogue::Catalogue;
use sagline::parts::file::{FileError, read_work_checked};
use sagline::parts::{
    Amps, Farads, Fraction, Henries, Hertz, Ohms, Seconds, Siemens, VoltAmps, Volts, Watts,
};

const EVERY_FIELD: &str = include_str!("every-field.ron");

const MAINS_VOLTS: &str = "10 V to 1 kV";
const VOLTS: &str = "1 V to 100 kV";
const AMPS: &str = "1 µA to 1000 A";
const WATTS: &str = "1 mW to 1000 kW";
const GRID_VOLTS: &str = "-5 kV to 500 V";
const COUNT: &str = "1 to 32";
const CAPACITOR: &str = "1 nF to 100000 µF";
const COPPER: &str = "0 Ω to 100 kΩ";
const FEED: &str = "1 Ω to 100 MΩ";
const MU: &str = "0.1 to 10000";
const SLOPE: &str = "1 µS to 10 S";
const DROPPER: &str = "0 Ω to 1 MΩ";
const DIVIDER: &str = "100 Ω to 1 GΩ";
const RESISTOR: &str = "100 mΩ to 1 GΩ";
const EMISSION: &str = "2 % to 200 %";
const SETTING: &str = "0 V to 100 kV";
const HEATER_TIE: &str = "-10 kV to 10 kV";
const LIMITER: &str = "1 mΩ to 10 kΩ";
const SECONDS: &str = "1 ms to 3600 s";

/// The numbers of `every-field.ron` in its order: field and range.
const FIELDS: &[(&str, &str)] = &[
    ("format", "1 to 1"),
    ("mains.nominal", MAINS_VOLTS),
    // Of a nominal of 120 V: from 0.3 of it to twice it.
    ("mains.present", "36 V to 240 V"),
    ("mains.low", "36 V to 120 V"),
    ("mains.high", "120 V to 240 V"),
    ("mains.frequency", "10 Hz to 1 kHz"),
    ("mains.crest_factor", "1.331 to 1.4143"),
    ("transformer.primary_volts", MAINS_VOLTS),
    ("transformer.winding.volts", "1 V to 20 kV"),
    ("transformer.winding.amps", "1 µA to 100 A"),
    ("transformer.primary_resistance", "0 Ω to 10 kΩ"),
    ("transformer.secondary_resistance", COPPER),
    ("transformer.second_half_resistance", COPPER),
    ("transformer.winding_rating", "100 µA to 100 A"),
    ("transformer.auxiliary", "0 VA to 10 kVA"),
    ("rectifier.in_parallel", COUNT),
    ("rectifier.plate_resistor", COPPER),
    ("rectifier.heater", HEATER_TIE),
    ("filter.input_capacitor.unit", CAPACITOR),
    ("filter.input_capacitor.in_series", COUNT),
    ("filter.input_capacitor.strings", COUNT),
    ("filter.input_capacitor.working_volts", VOLTS),
    ("filter.input_capacitor.surge_volts", VOLTS),
    ("filter.input_capacitor.ripple_current", AMPS),
    ("filter.input_capacitor.balancing", "10 Ω to 1 GΩ"),
    ("filter.input_capacitor.tolerance", "0 % to 90 %"),
    ("filter.sections[0].series", "10 mΩ to 10 MΩ"),
    ("filter.sections[0].capacitor.unit", CAPACITOR),
    ("filter.sections[1].series.inductance", "1 µH to 1000 H"),
    ("filter.sections[1].series.resistance", COPPER),
    ("filter.sections[1].series.rating", AMPS),
    ("filter.sections[1].capacitor.unit", CAPACITOR),
    ("filter.bleeder", "1 Ω to 1 GΩ"),
    ("filter.internal_current", "0 A to 10 A"),
    ("pass_stage.units", "1 to 64"),
    ("pass_stage.cathode_resistor", DROPPER),
    ("pass_stage.plate_resistor", DROPPER),
    ("pass_stage.imbalance", "0 % to 100 %"),
    ("pass_stage.tube_spread", "0 % to 200 %"),
    ("pass_stage.heater", HEATER_TIE),
    ("pass_stage.grid_limit", "-1 kV to 200 V"),
    ("regulator.plate_load", "100 Ω to 100 MΩ"),
    ("regulator.plate_supply", "1 V to 10 kV"),
    ("regulator.screen_divider.upper", "100 Ω to 1 GΩ"),
    ("regulator.screen_divider.lower", "100 Ω to 1 GΩ"),
    // Of the one gas tube on the rail.
    ("regulator.cathode", "1 to 1"),
    ("regulator.least_plate_volts", "0 V to 5 kV"),
    ("regulator.divider.resistance", DIVIDER),
    ("regulator.divider.control.upper", "0 Ω to 1 GΩ"),
    ("regulator.divider.control.pot", "10 Ω to 1 GΩ"),
    ("regulator.divider.control.lower", "0 Ω to 1 GΩ"),
    ("regulator.divider.control.zero_adjuster", "1 Ω to 1 GΩ"),
    ("regulator.preload", "10 Ω to 1 GΩ"),
    ("regulator.reference.feed_resistor", FEED),
    ("regulator.reference.drawn", "0 A to 10 A"),
    ("regulator.reference.shunts[0].across", "1 to 1"),
    ("regulator.reference.shunts[0].resistance", "100 Ω to 1 GΩ"),
    ("regulator.bias_rail.winding", VOLTS),
    ("regulator.bias_rail.winding_resistance", COPPER),
    ("regulator.bias_rail.winding_rating", "100 µA to 100 A"),
    ("regulator.bias_rail.rectifier.in_series", COUNT),
    ("regulator.bias_rail.filter.input_capacitor.unit", CAPACITOR),
    ("regulator.bias_rail.load", "0 A to 1000 A"),
    ("regulator.bias_rail.reference.feed_resistor", FEED),
    ("output.set_low", "0 V to 100 kV"),
    ("output.set_high", VOLTS),
    ("output.meter_shunt", DROPPER),
    ("output.meter_scale", VOLTS),
    ("accepted[0].up_to", VOLTS),
    ("as_found.pass_emission[0]", "0 % to 200 %"),
    ("as_found.pass_emission[1]", "0 % to 200 %"),
    ("as_found.rectifier_emission", EMISSION),
    ("as_found.control_emission", EMISSION),
    // Of two units in series.
    ("as_found.shorted_units[0]", "0 to 1"),
    ("as_found.leak", "0 A to 1 A"),
    ("bench.plan[0].load", AMPS),
    ("bench.plan[0].set", SETTING),
    ("bench.sets[0].mains", MAINS_VOLTS),
    ("bench.sets[0].readings[0].what", "1 to 2"),
    ("bench.sets[0].readings[0].load", "100 mΩ to 1 GΩ"),
    ("bench.sets[0].readings[0].set", SETTING),
    ("bench.sets[0].readings[0].value", SETTING),
    ("bench.sets[0].readings[0].mains", MAINS_VOLTS),
    ("primary.mains_resistance", "0 Ω to 1 kΩ"),
    ("primary.mains_inductance", "0 H to 1 H"),
    ("primary.limiter.cold", LIMITER),
    ("primary.limiter.hot", LIMITER),
    ("primary.limiter.at", "1 mA to 100 A"),
    ("primary.limiter.time_constant", SECONDS),
    ("primary.fuse.rating", "1 mA to 100 A"),
    ("primary.core_rating", "100 mVA to 100 kVA"),
    ("primary.no_load.lower", MAINS_VOLTS),
    ("primary.no_load.lower", "1 µA to 100 A"),
    ("primary.no_load.higher", MAINS_VOLTS),
    ("primary.no_load.higher", "1 µA to 100 A"),
    ("primary.saturates_at", MAINS_VOLTS),
    ("primary.saturated_inductance", "1 µH to 100 H"),
    ("primary.heaters", "0 W to 10 kW"),
    ("dummies[0].resistance", RESISTOR),
    ("dummies[0].power", WATTS),
    ("dummies[0].working_volts", VOLTS),
    ("dummies[0].tolerance", "0 % to 90 %"),
    ("dummies[0].derating", "0.1 % to 100 %"),
    ("dummies[0].made_of[0].resistance", RESISTOR),
    ("dummies[0].made_of[0].power", WATTS),
    ("dummies[0].made_of[0].tolerance", "0 % to 90 %"),
    ("dummies[0].made_of[1][0].resistance", RESISTOR),
    ("dummies[0].made_of[1][0].power", WATTS),
    ("dummies[0].made_of[1][0].working_volts", VOLTS),
    ("dummies[0].made_of[1][0].derating", "0.1 % to 100 %"),
    ("dummies[0].made_of[1][1].resistance", RESISTOR),
    ("dummies[0].made_of[1][1].power", WATTS),
    ("own_types.rectifiers[0].plates", "1 to 12"),
    ("own_types.rectifiers[0].law.drop", "100 mV to 5 kV"),
    ("own_types.rectifiers[0].law.at", AMPS),
    ("own_types.rectifiers[0].heater.volts", "100 mV to 500 V"),
    ("own_types.rectifiers[0].heater.amps", "1 mA to 1000 A"),
    ("own_types.rectifiers[0].peak_inverse", VOLTS),
    (
        "own_types.rectifiers[0].peak_inverse_by_current[0]",
        "0 A to 1000 A",
    ),
    ("own_types.rectifiers[0].peak_inverse_by_current[0]", VOLTS),
    (
        "own_types.rectifiers[0].peak_inverse_by_current[1]",
        "0 A to 1000 A",
    ),
    ("own_types.rectifiers[0].peak_inverse_by_current[1]", VOLTS),
    ("own_types.rectifiers[0].peak_current", AMPS),
    ("own_types.rectifiers[0].dc_current", AMPS),
    (
        "own_types.rectifiers[0].dc_current_by_volts[0]",
        "0 V to 100 kV",
    ),
    ("own_types.rectifiers[0].dc_current_by_volts[0]", AMPS),
    (
        "own_types.rectifiers[0].dc_current_by_volts[1]",
        "0 V to 100 kV",
    ),
    ("own_types.rectifiers[0].dc_current_by_volts[1]", AMPS),
    ("own_types.rectifiers[0].dc_current_choke_input", AMPS),
    ("own_types.rectifiers[0].hot_switching_current", AMPS),
    ("own_types.rectifiers[0].least_supply_resistance", COPPER),
    (
        "own_types.rectifiers[0].least_supply_resistance_by_volts[0]",
        VOLTS,
    ),
    (
        "own_types.rectifiers[0].least_supply_resistance_by_volts[0]",
        COPPER,
    ),
    (
        "own_types.rectifiers[0].least_supply_resistance_by_volts[1]",
        VOLTS,
    ),
    (
        "own_types.rectifiers[0].least_supply_resistance_by_volts[1]",
        COPPER,
    ),
    (
        "own_types.rectifiers[0].largest_first_capacitor",
        "1 nF to 1000000 µF",
    ),
    ("own_types.rectifiers[0].heater_cathode", VOLTS),
    ("own_types.rectifiers[1].plates", "1 to 12"),
    (
        "own_types.rectifiers[1].law.saturation",
        "0.000000000001 µA to 10 mA",
    ),
    ("own_types.rectifiers[1].law.emission", "10 mV to 1 V"),
    ("own_types.rectifiers[1].law.resistance", "0 Ω to 10 kΩ"),
    ("own_types.pass_tubes[0].units", "1 to 12"),
    ("own_types.pass_tubes[0].screen_share", "0.1 % to 90 %"),
    (
        "own_types.pass_tubes[0].characteristic.points[0].plate",
        VOLTS,
    ),
    (
        "own_types.pass_tubes[0].characteristic.points[0].grid",
        GRID_VOLTS,
    ),
    (
        "own_types.pass_tubes[0].characteristic.points[0].current",
        AMPS,
    ),
    (
        "own_types.pass_tubes[0].characteristic.small_signal[0].plate",
        VOLTS,
    ),
    (
        "own_types.pass_tubes[0].characteristic.small_signal[0].grid",
        GRID_VOLTS,
    ),
    (
        "own_types.pass_tubes[0].characteristic.small_signal[0].mu",
        MU,
    ),
    (
        "own_types.pass_tubes[0].characteristic.small_signal[0].plate_resistance",
        FEED,
    ),
    (
        "own_types.pass_tubes[0].characteristic.small_signal[0].transconductance",
        SLOPE,
    ),
    ("own_types.pass_tubes[0].envelope_dissipation", WATTS),
    ("own_types.pass_tubes[0].plate_current", AMPS),
    (
        "own_types.pass_tubes[0].plate_volts_by_watts[0]",
        "0 W to 1000 kW",
    ),
    ("own_types.pass_tubes[0].plate_volts_by_watts[0]", VOLTS),
    (
        "own_types.pass_tubes[0].plate_volts_by_watts[1]",
        "0 W to 1000 kW",
    ),
    ("own_types.pass_tubes[0].plate_volts_by_watts[1]", VOLTS),
    ("own_types.pass_tubes[0].heater.volts", "100 mV to 500 V"),
    ("own_types.pass_tubes[0].heater.amps", "1 mA to 1000 A"),
    ("own_types.pass_tubes[0].plate_dissipation", WATTS),
    ("own_types.pass_tubes[0].screen_dissipation", WATTS),
    ("own_types.pass_tubes[0].plate_volts", VOLTS),
    ("own_types.pass_tubes[0].heater_cathode", VOLTS),
    ("own_types.pass_tubes[0].grid_resistor", "1 Ω to 1 GΩ"),
    ("own_types.control_tubes[0].units", "1 to 12"),
    (
        "own_types.control_tubes[0].kind.operating_points[0].plate",
        VOLTS,
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].screen",
        VOLTS,
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].grid",
        GRID_VOLTS,
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].plate_current",
        AMPS,
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].screen_current",
        "0 A to 1000 A",
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].plate_resistance",
        "1 Ω to 1 GΩ",
    ),
    (
        "own_types.control_tubes[0].kind.operating_points[0].transconductance",
        SLOPE,
    ),
    ("own_types.control_tubes[0].kind.knee[0].plate", VOLTS),
    ("own_types.control_tubes[0].kind.knee[0].screen", VOLTS),
    ("own_types.control_tubes[0].kind.knee[0].grid", GRID_VOLTS),
    (
        "own_types.control_tubes[0].kind.knee[0].plate_current",
        AMPS,
    ),
    ("own_types.control_tubes[0].kind.screen_mu", MU),
    ("own_types.control_tubes[0].screen_volts", VOLTS),
    ("own_types.gas_tubes[0].volts", VOLTS),
    ("own_types.gas_tubes[0].volts_low", VOLTS),
    ("own_types.gas_tubes[0].volts_high", VOLTS),
    ("own_types.gas_tubes[0].current_least", AMPS),
    ("own_types.gas_tubes[0].current_most", AMPS),
    ("own_types.gas_tubes[0].strike_volts", VOLTS),
    ("own_types.gas_tubes[0].supply_least", VOLTS),
    ("own_types.gas_tubes[0].regulation_volts", "1 mV to 1 kV"),
    (
        "own_types.gas_tubes[0].largest_shunt_capacitor",
        "1 pF to 1000 µF",
    ),
];

/// Something else that can stand in that file.
struct Other {
    /// Where what it stands for begins and ends.
    place: (&'static str, &'static str),
    text: &'static str,
    /// Its numbers: field and range.
    fields: &'static [(&'static str, &'static str)],
}

const OTHERS: &[Other] = &[
    Other {
        place: ("Loaded(", ")"),
        text: "OpenCircuit(\"350 V\")",
        fields: &[("transformer.winding", "1 V to 20 kV")],
    },
    Other {
        place: ("screen_divider: (", ")"),
        text: "screen_volts: \"100 V\"",
        fields: &[("regulator.screen_volts", "1 V to 5 kV")],
    },
    Other {
        place: ("heater: Cathode", ","),
        text: "heater: Elevated(\"40 V\"),",
        fields: &[("regulator.heater", HEATER_TIE)],
    },
    Other {
        place: ("Thermistor(", "60 s\")"),
        text: "SoftStart(resistance: \"47 Ω\", shorted_after: \"1 s\")",
        fields: &[
            ("primary.limiter.resistance", LIMITER),
            ("primary.limiter.shorted_after", SECONDS),
        ],
    },
    Other {
        place: ("Thermistor(", "60 s\")"),
        text: "Resistor(\"47 Ω\")",
        fields: &[("primary.limiter", LIMITER)],
    },
    Other {
        place: ("Vacuum(", "225 mA\")"),
        text: "MercuryVapour(drop: \"15 V\")",
        fields: &[("own_types.rectifiers[0].law.drop", "1 V to 100 V")],
    },
    Other {
        place: ("Published(", "                    ],\n                )"),
        text: "ZeroBias([(\"1 V\", \"1 mA\"), (\"40 V\", \"150 mA\")])",
        fields: &[
            ("own_types.pass_tubes[0].characteristic", "0 V to 100 kV"),
            ("own_types.pass_tubes[0].characteristic", "0 A to 1000 A"),
            ("own_types.pass_tubes[0].characteristic", "0 V to 100 kV"),
            ("own_types.pass_tubes[0].characteristic", "0 A to 1000 A"),
        ],
    },
    Other {
        place: ("Pentode(", "screen_mu: 38.0,\n                )"),
        text: "Triode(Law(mu: 38.0, exponent: 1.4, kg1: 1000.0, kp: 300.0, kvb: 300.0, grid_offset: \"0.6 V\"))",
        fields: &[
            ("own_types.control_tubes[0].kind.mu", MU),
            ("own_types.control_tubes[0].kind.exponent", "0.5 to 3"),
            ("own_types.control_tubes[0].kind.kg1", "0.001 to 1000000000"),
            ("own_types.control_tubes[0].kind.kp", "0.001 to 1000000"),
            (
                "own_types.control_tubes[0].kind.kvb",
                "0.000001 to 1000000000",
            ),
            (
                "own_types.control_tubes[0].kind.grid_offset",
                "-500 V to 500 V",
            ),
        ],
    },
];

#[test]
fn every_number_of_the_format_has_a_range() {
    let numbers = numbers_in(EVERY_FIELD);
    let named = numbers.iter().map(|number| &EVERY_FIELD[number.clone()]);
    assert_eq!(
        numbers.len(),
        FIELDS.len(),
        "{:?}",
        named.collect::<Vec<_>>()
    );
    for (number, (field, range)) in numbers.into_iter().zip(FIELDS) {
        keeps_its_range(EVERY_FIELD, number, field, range);
    }
    for Other {
        place,
        text,
        fields,
    } in OTHERS
    {
        let begin = EVERY_FIELD.find(place.0).unwrap();
        let length = EVERY_FIELD[begin..].find(place.1).unwrap() + place.1.len();
        let mut whole = EVERY_FIELD.to_owned();
        whole.replace_range(begin..begin + length, text);
        assert_eq!(said(&whole), [], "{text}");
        let numbers = numbers_in(text);
        assert_eq!(numbers.len(), fields.len(), "{text}");
        for (number, (field, range)) in numbers.into_iter().zip(*fields) {
            let number = begin + number.start..begin + number.end;
            keeps_its_range(&whole, number, field, range);
        }
    }
}

/// A self-biased point gives the tube's own volts, which have the range; its resistor has one of its own.
#[test]
fn a_self_biased_point_has_ranges_too() {
    let own = "plate: \"100 V\", grid: \"-20 V\", current: \"40 mA\"";
    let point = "own_types.pass_tubes[0].characteristic.points[0]";
    for (supply, resistor, field, range) in [
        ("1e300 V", "500 Ω", "plate", VOLTS),
        ("0 V", "500 Ω", "plate", VOLTS),
        ("-1 V", "500 Ω", "plate", VOLTS),
        ("300 V", "1e300 Ω", "cathode_resistor", DROPPER),
        ("300 V", "-1 Ω", "cathode_resistor", DROPPER),
        ("300 V", "1e6 Ω", "grid", GRID_VOLTS),
    ] {
        let biased =
            format!("supply: \"{supply}\", cathode_resistor: \"{resistor}\", current: \"40 mA\"");
        let faults = said(&EVERY_FIELD.replacen(own, &biased, 1));
        let field = format!("{point}.{field}");
        let is_told = |fault: &FileError| fault.field == field && fault.expected.contains(range);
        assert!(faults.iter().any(is_told), "{biased}: {faults:?}");
    }
    let pentode = "plate: \"250 V\",\n                            screen: \"100 V\",\n                            grid: \"-3 V\"";
    assert!(EVERY_FIELD.contains(pentode));
    for resistor in ["1e300 Ω", "-1 Ω"] {
        let biased = format!(
            "supply: \"253 V\", screen_supply: \"103 V\", cathode_resistor: \"{resistor}\""
        );
        let faults = said(&EVERY_FIELD.replacen(pentode, &biased, 1));
        let field = "own_types.control_tubes[0].kind.operating_points[0].cathode_resistor";
        let is_told = |fault: &FileError| fault.field == field && fault.expected.contains(DROPPER);
        assert!(faults.iter().any(is_told), "{biased}: {faults:?}");
    }
}

/// Puts absurd values, the ends of the range and what is just beyond them in place of a number.
fn keeps_its_range(whole: &str, place: std::ops::Range<usize>, field: &str, range: &str) {
    let (number, unit) = value(&whole[place.clone()]).unwrap();
    let ends: Vec<f64> = range
        .split(" to ")
        .map(|end| value(end).unwrap().0)
        .collect();
    let [low, high] = ends[..] else {
        panic!("{field}: {range}")
    };
    assert!(
        (low..=high).contains(&number),
        "{field}: {number} of {range}"
    );
    let is_whole = unit == Unit::Whole;
    let beyond = if is_whole { 1.0 } else { 1e-3 * high };
    let below = if low > 0.0 && !is_whole {
        0.999 * low
    } else {
        low - beyond
    };
    for tried in [
        1e300,
        -1e300,
        1e-300,
        0.0,
        -1.0,
        low,
        high,
        below,
        high + beyond,
    ] {
        if is_whole && tried == 1e-300 {
            continue;
        }
        let mut text = whole.to_owned();
        text.replace_range(place.clone(), &unit.written(tried));
        let faults = said(&text);
        let speaks_of_it = |fault: &&FileError| {
            fault.field == field
                && (fault.expected.contains(range)
                    || (is_whole && fault.expected.contains("whole number"))
                    // These say what else they may be.
                    || ["format", "regulator.cathode"].contains(&field))
        };
        let found = faults.iter().find(speaks_of_it);
        assert_eq!(
            found.is_none(),
            (low..=high).contains(&tried),
            "{field}: {tried:e} of {range}: {faults:?}"
        );
        // However long the value, one can read what is said of it.
        for fault in &faults {
            assert!(fault.to_string().chars().count() < 400, "{fault}");
        }
    }
    for no_number in ["NaN", "inf", "-inf"] {
        let mut text = whole.to_owned();
        text.replace_range(place.clone(), &unit.around(no_number));
        let faults = said(&text);
        assert!(
            faults.iter().any(|fault| fault.field.starts_with(field)),
            "{field}: {no_number}: {faults:?}"
        );
    }
}

fn said(text: &str) -> Vec<FileError> {
    read_work_checked(text, &Catalogue::default())
        .err()
        .unwrap_or_default()
}

/// What follows a number.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Unit {
    Whole,
    None,
    PerCent,
    In(&'static str),
}

impl Unit {
    /// A number in the SI unit as it stands in a file.
    fn written(self, si: f64) -> String {
        match self {
            Self::Whole if si.abs() < 1e9 => format!("{si:.0}"),
            Self::Whole | Self::None => format!("{si:e}"),
            Self::PerCent => self.around(&format!("{}", 100.0 * si)),
            Self::In(_) => self.around(&format!("{si:e}")),
        }
    }

    fn around(self, number: &str) -> String {
        match self {
            Self::Whole | Self::None => number.to_owned(),
            Self::PerCent => format!("\"{number} %\""),
            Self::In(unit) => format!("\"{number} {unit}\""),
        }
    }
}

/// A number as it stands in a file, with or without its quotes.
fn value(text: &str) -> Option<(f64, Unit)> {
    let text = text.trim_matches('"');
    let whole = text.parse::<i64>().ok().map(|_| Unit::Whole);
    if let Ok(number) = text.parse::<f64>() {
        return Some((number, whole.unwrap_or(Unit::None)));
    }
    macro_rules! first_of {
        ($($unit:literal $quantity:ident)*) => {
            $(if text.ends_with($unit) && let Ok($quantity(si)) = text.parse() {
                return Some((si, Unit::In($unit)));
            })*
        };
    }
    if let Ok(Fraction(share)) = text.parse() {
        return Some((share, Unit::PerCent));
    }
    first_of!("V" Volts "VA" VoltAmps "A" Amps "Ω" Ohms "F" Farads "Hz" Hertz "H" Henries "W" Watts "S" Siemens "s" Seconds);
    None
}

/// Where the numbers of a text stand (bytes), quotes included.
fn numbers_in(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(letter) = text[at..].chars().next() {
        let rest = &text[at..];
        let in_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
        let length = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if letter == '"' {
            let length = rest[1..].find('"').unwrap() + 2;
            if rest[1..].starts_with(in_number) && value(&rest[..length]).is_some() {
                found.push(at..at + length);
            }
            length
        } else if letter.is_alphanumeric() || letter == '_' {
            let in_word = |c: char| c.is_alphanumeric() || matches!(c, '_' | '.');
            let length = rest.find(|c| !in_word(c)).unwrap_or(rest.len());
            if letter.is_ascii_digit() {
                found.push(at..at + length);
            }
            length
        } else {
            letter.len_utf8()
        };
        at += length;
    }
    found
}
