//! Bias rails and loops against `regulator.json`, which `regulator.py` wrote with `SciPy` and `NumPy`.

#![expect(
    clippy::unwrap_used,
    reason = "a reference that cannot be read is a failed test"
)]

use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_checked;
use sagline::parts::{
    Amps, BiasRail, CapacitorStack, Connection, ControlTubeKind, Copper, Divider, Farads, Figure,
    Filter, FilterSection, Fraction, GasReference, GasTubeType, Ohms, PentodePoint,
    PlateCharacteristic, PlateSupply, RailWinding, Rating, RatingSystem, RectifierLaw,
    ReferenceFeed, Regulator, SecondaryVolts, SeriesElement, Siemens, Source, Supply, Tap,
    TriodeCoefficients, VoltAmps, Volts, WindingVolts,
};
use sagline::physics::device::gas_stack::{GasStack, LinearSource};
use sagline::physics::model::{Model, NegativeRail, negative_rail, raw_rail};
use sagline::physics::operation::{Bus, Case, Operation};
use sagline::physics::regulator::feedback::regulation;
use serde_json::Value;

fn reference() -> Value {
    serde_json::from_str(include_str!("regulator.json")).unwrap()
}

fn number(value: &Value, key: &str) -> f64 {
    value[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key} in {value}"))
}

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

fn demo() -> Supply {
    let mut supply = read_checked(presets()[0].1, &Catalogue::built_in()).unwrap();
    supply.regulator = None;
    supply
}

/// A gas tube of the reference's own numbers.
fn gas_tube([volts, least, most, over]: [f64; 4]) -> GasTubeType {
    let range = |amps: f64| Rating::own(Amps(amps), RatingSystem::DesignCentre);
    GasTubeType {
        name: "gas".to_owned(),
        about: String::new(),
        volts: Figure::own(Volts(volts)),
        volts_low: None,
        volts_high: None,
        current_least: range(least),
        current_most: range(most),
        strike_volts: None,
        supply_least: None,
        regulation_volts: Some(Figure::own(Volts(over))),
        largest_shunt_capacitor: None,
    }
}

fn stack(farads: f64) -> CapacitorStack {
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

fn bias_rail(case: &Value, base: &Supply) -> BiasRail {
    let mut rectifier = base.rectifier.clone();
    rectifier.plate_resistor = Ohms(0.0);
    rectifier.in_parallel = 1;
    rectifier.in_series = 1;
    rectifier.connection = match case["connection"].as_str() {
        Some("half_wave") => Connection::HalfWave,
        _ => Connection::FullWaveCentreTap,
    };
    rectifier.kind.law = RectifierLaw::Vacuum {
        drop: Figure::own(Volts(number(&case["law"], "drop_volts"))),
        at: Amps(number(&case["law"], "at_amps")),
    };
    let tubes: Vec<GasTubeType> = list(case, "lines")
        .iter()
        .map(|line| gas_tube([0, 1, 2, 3].map(|k| line[k].as_f64().unwrap())))
        .collect();
    BiasRail {
        winding: RailWinding::Own(Volts(number(case, "winding_volts"))),
        winding_resistance: Some(Ohms(number(case, "winding_ohms"))),
        winding_measured: Copper::Warm,
        winding_rating: None,
        rectifier,
        filter: Filter {
            input_capacitor: Some(stack(number(case, "first_farads"))),
            sections: list(case, "sections")
                .iter()
                .map(|section| FilterSection {
                    series: SeriesElement::Resistor(Ohms(section[0].as_f64().unwrap())),
                    capacitor: stack(section[1].as_f64().unwrap()),
                })
                .collect(),
            bleeder: None,
            internal_current: Amps(0.0),
        },
        load: Amps(number(case, "load_amps")),
        reference: case["feed_ohms"].as_f64().map(|feed| GasReference {
            tubes,
            feed_resistor: Ohms(feed),
            fed_from: ReferenceFeed::BiasRail,
            drawn: Amps(0.0),
            shunts: None,
        }),
    }
}

/// Volts within 0.05 %, gas current within 0.1 %, ripple within 1 % (of which a constant current in place of a resistor
/// takes its part).
#[test]
fn bias_rails_agree_with_a_general_purpose_solver() {
    let mut worst = [0.0_f64; 3];
    for case in list(&reference(), "rails") {
        let mut supply = demo();
        let primary = number(case, "primary_volts");
        supply.mains.frequency.0 = number(case, "hertz");
        supply.mains.present = Volts(number(case, "mains_volts"));
        supply.transformer.primary_volts = Volts(primary);
        supply.transformer.primary_resistance = Ohms(number(case, "primary_ohms"));
        supply.transformer.auxiliary = VoltAmps(number(case, "auxiliary_va"));
        supply.transformer.winding = WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(300.0)));
        let rail = bias_rail(case, &supply);
        let got = negative_rail(
            &raw_rail(&supply, &rail).unwrap(),
            &rail,
            Case::Present,
            0.0,
            &[],
        )
        .unwrap();
        let gas_amps = rail.reference.as_ref().map_or(0.0, |reference| {
            GasStack::of(reference)
                .carry(got.feed(rail.load), &[])
                .feed_amps
        });
        let want = &case["result"];
        let name = case["name"].as_str().unwrap();
        let mut apart = |k: usize, got: f64, key: &str, allowed: f64| {
            let want = number(want, key);
            let miss = if want == 0.0 { got } else { got / want - 1.0 }.abs();
            worst[k] = worst[k].max(miss);
            println!("{name}, {key}: got {got} want {want}");
            assert!(miss <= allowed, "{name}, {key}: got {got} want {want}");
        };
        apart(0, got.operation.bus.mean_volts, "mean_volts", 5e-4);
        apart(1, gas_amps, "gas_amps", 1e-3);
        apart(2, got.operation.bus.ripple_volts(), "ripple_volts", 1e-2);
    }
    println!(
        "worst: mean {:.2e}, gas current {:.2e}, ripple {:.2e}",
        worst[0], worst[1], worst[2]
    );
}

/// The supply of a loop case, but for its negative rail's steady state.
fn loop_supply(case: &Value, whole: &Value) -> Supply {
    let mut supply = demo();
    let law = |key: &str| number(&whole["pass_tube"], key);
    let stage = &mut supply.pass_stage;
    stage.tube.characteristic = PlateCharacteristic::Law(TriodeCoefficients {
        mu: law("mu"),
        exponent: law("exponent"),
        kg1: law("kg1"),
        kp: law("kp"),
        kvb: law("kvb"),
        grid_offset: Volts(law("grid_offset")),
    });
    stage.units = u8::try_from(case["units"].as_u64().unwrap()).unwrap();
    stage.cathode_resistor = Ohms(number(case, "cathode_ohms"));
    stage.plate_resistor = Ohms(number(case, "plate_ohms"));
    supply.output.meter_shunt = Ohms(number(case, "shunt_ohms"));
    let catalogue = Catalogue::built_in();
    let point = |key: &str| number(&whole["control"], key);
    let mut control_tube = catalogue.control_tube("6SJ7").unwrap().clone();
    control_tube.kind = ControlTubeKind::Pentode {
        operating_points: vec![PentodePoint {
            plate: Volts(250.0),
            screen: Volts(point("screen_volts")),
            grid: Volts(point("grid_volts")),
            plate_current: Amps(point("plate_amps")),
            screen_current: Amps(point("screen_amps")),
            plate_resistance: Some(Ohms(point("plate_ohms"))),
            transconductance: Siemens(point("transconductance")),
            source: Source::default(),
        }],
        screen_mu: None,
        knee: Vec::new(),
    };
    let reference = |side: &Value, fed_from: ReferenceFeed| GasReference {
        tubes: list(side, "tubes")
            .iter()
            .map(|name| catalogue.gas_tube(name.as_str().unwrap()).unwrap().clone())
            .collect(),
        feed_resistor: Ohms(number(side, "feed")),
        fed_from,
        drawn: Amps(0.0),
        shunts: None,
    };
    let positive = case.get("positive").map(|side| {
        let feed = match side["fed_from"].as_str() {
            Some("output") => ReferenceFeed::Output,
            _ => ReferenceFeed::Bus,
        };
        reference(side, feed)
    });
    let rail = case.get("negative").map(|side| BiasRail {
        winding: RailWinding::Own(Volts(300.0)),
        winding_resistance: Some(Ohms(300.0)),
        winding_measured: Copper::Warm,
        winding_rating: None,
        rectifier: supply.rectifier.clone(),
        filter: supply.filter.clone(),
        load: Amps(0.0),
        reference: Some(reference(side, ReferenceFeed::BiasRail)),
    });
    let tap = |key: &str| match case[key].as_str().unwrap() {
        "common" => Tap::Common,
        "positive" => Tap::Reference,
        other => Tap::BiasReference(other.split(' ').nth(1).unwrap().parse().unwrap()),
    };
    supply.regulator = Some(Regulator {
        control_tube,
        plate_load: Ohms(number(case, "load_ohms")),
        plate_supply: case["clean"]
            .as_f64()
            .map_or(PlateSupply::Bus, |v| PlateSupply::Clean(Volts(v))),
        screen_volts: Some(Volts(point("screen_volts"))),
        cathode: tap("cathode"),
        least_plate_volts: Some(Volts(20.0)),
        divider: Divider {
            control: None,
            resistance: Ohms(number(case, "divider_ohms")),
            foot: tap("foot"),
        },
        screen_divider: None,
        preload: case["preload"].as_f64().map(Ohms),
        heater: None,
        reference: positive,
        bias_rail: rail,
    });
    supply
}

/// The working point within 0.1 %, output resistance and the ripple's ways within 1 %: the program leaves the divider's small
/// slope under load at the gas tubes' junctions to first order.
#[test]
fn loops_agree_with_a_nodal_solution() {
    let whole = reference();
    let mut worst = [0.0_f64; 2];
    for case in list(&whole, "loops") {
        let supply = loop_supply(case, &whole);
        let (bus, amps, volts) = (
            number(case, "bus"),
            number(case, "amps"),
            number(case, "volts"),
        );
        let operation = Operation {
            output_amps: amps,
            bus: Bus {
                mean_volts: bus,
                trough_volts: bus,
                crest_volts: bus,
                ripple_rms_volts: 0.0,
            },
            ..Operation::default()
        };
        let model = Model::of(&supply).unwrap();
        let mut regulator = model.regulator(Case::Present).unwrap().clone();
        if let Some(side) = case.get("negative") {
            regulator.rail = Some(Ok(NegativeRail {
                starts: Vec::new(),
                operation: operation.clone(),
                amps: 0.0,
                source: LinearSource {
                    volts: number(side, "volts"),
                    ohms: number(side, "ohms"),
                },
                unstruck_volts: number(side, "volts"),
            }));
        }
        let got = regulation(&regulator, &operation, volts).unwrap();
        let want = &case["result"];
        let name = case["name"].as_str().unwrap();
        let mut near = |k: usize, got: f64, key: &str, allowed: f64| {
            let want = number(want, key);
            let miss = if want == 0.0 { got } else { got / want - 1.0 }.abs();
            worst[k] = worst[k].max(miss);
            assert!(miss <= allowed, "{name}, {key}: got {got} want {want}");
        };
        near(0, got.pass.unit_amps, "unit_amps", 1e-3);
        near(0, got.pass.grid_volts, "pass_grid_volts", 1e-3);
        near(0, got.control.amps, "control_amps", 1e-3);
        near(0, got.divider_share, "divider_share", 1e-3);
        near(1, got.output_ohms, "output_ohms", 1e-2);
        near(1, got.bus_share, "bus_share", 1e-2);
        near(1, got.rail_share, "rail_share", 1e-2);
    }
    println!(
        "worst: working point {:.2e}, small signals {:.2e}",
        worst[0], worst[1]
    );
}
