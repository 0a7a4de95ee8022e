//! A negative rail on the high-voltage winding against bus and rail solved together as one circuit (`rail_on_winding.py`).
//!
//! With a stiff primary nothing is left out but what is promised everywhere. A resistance of the primary makes each drop a little of the
//! other's volts, which is left out: bus and rail then stand too high by less than 1 %. The winding's rms comes out on the safe side, by
//! less than 8 %.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read_checked;
use sagline::parts::{
    Amps, Connection, CrestFactor, Figure, Hertz, Ohms, RailWinding, RectifierLaw, SecondaryVolts,
    Supply, VoltAmps, Volts, WindingVolts,
};
use sagline::physics::Model;
use sagline::physics::operation::Case;
use sagline::physics::steady_state::operate;
use serde_json::Value;

fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap_or_else(|| panic!("no {key}"))
}

fn vacuum(case: &Value, key: &str) -> RectifierLaw {
    let of = |k: usize| case[key][k].as_f64().unwrap();
    RectifierLaw::Vacuum {
        drop: Figure::own(Volts(of(0))),
        at: Amps(of(1)),
    }
}

/// The school laboratory supply with the bus, the winding and the rail of a case; its regulator draws nothing from either.
fn supply(case: &Value) -> Supply {
    let find = |(name, _): &&(&str, &str)| *name == "school-laboratory.ron";
    let (_, text) = presets().iter().find(find).unwrap();
    let mut supply = read_checked(text, &Catalogue::built_in()).unwrap();
    supply.mains.frequency = Hertz(number(case, "hertz"));
    supply.mains.crest_factor = CrestFactor::SINE;
    supply.mains.present = Volts(number(case, "mains_volts"));
    let half = Volts(number(case, "half_volts"));
    let transformer = &mut supply.transformer;
    transformer.primary_volts = Volts(number(case, "mains_volts"));
    transformer.primary_resistance = Ohms(number(case, "primary_ohms"));
    transformer.auxiliary = VoltAmps(0.0);
    transformer.winding = WindingVolts::OpenCircuit(SecondaryVolts::One(half));
    transformer.secondary_resistance = Ohms(number(case, "half_ohms"));
    supply.rectifier.kind.law = vacuum(case, "plate_drop");
    supply.rectifier.plate_resistor = Ohms(number(case, "plate_resistor_ohms"));
    let only_capacitor = |filter: &mut sagline::parts::Filter, farads: f64| {
        filter.sections.clear();
        filter.bleeder = None;
        filter.internal_current = Amps(0.0);
        let first = filter.input_capacitor.as_mut().unwrap();
        first.unit.0 = farads;
        first.in_series = 1;
        first.balancing = None;
    };
    only_capacitor(&mut supply.filter, number(case, "bus_farads"));
    let rail = (supply.regulator.as_mut())
        .and_then(|r| r.bias_rail.as_mut())
        .unwrap();
    let tap = number(case, "tap");
    rail.winding = if tap < 1.0 {
        RailWinding::HighVoltageTap(Volts(tap * half.0))
    } else {
        RailWinding::HighVoltageEnd
    };
    rail.winding_resistance = None;
    rail.winding_rating = None;
    rail.rectifier.kind.law = vacuum(case, "rail_drop");
    rail.rectifier.connection = Connection::HalfWave;
    rail.rectifier.plate_resistor = Ohms(number(case, "rail_resistor_ohms"));
    only_capacitor(&mut rail.filter, number(case, "rail_farads"));
    rail.reference = None;
    rail.load = Amps(number(case, "rail_amps"));
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.cathode = sagline::parts::Tap::Common;
    regulator.divider.foot = sagline::parts::Tap::Common;
    supply
}

#[test]
fn bus_and_rail_on_one_winding_agree_with_both_solved_together() {
    let cases: Value = serde_json::from_str(include_str!("rail_on_winding.json")).unwrap();
    for case in cases.as_array().unwrap() {
        let (name, want) = (case["name"].as_str().unwrap(), &case["results"]);
        let supply = supply(case);
        let model = Model::of(&supply).unwrap();
        let at = model.at(Case::Present);
        let bus = operate(&supply.raw(), Case::Present, number(case, "bus_amps")).unwrap();
        let rail = &at.regulator.as_ref().unwrap().working_rail().unwrap();
        let stiff = number(case, "primary_ohms") == 0.0;
        let winding = model.winding_rms_amps(Case::Present, &bus).unwrap();
        let volts = if stiff { [-5e-4, 5e-4] } else { [0.0, 1e-2] };
        let amps = if stiff { [-3e-3, 3e-3] } else { [0.0, 8e-2] };
        for (what, got, key, [least, most]) in [
            ("bus", bus.bus.mean_volts, "bus_mean_volts", volts),
            (
                "rail",
                rail.operation.bus.mean_volts,
                "rail_mean_volts",
                volts,
            ),
            (
                "rail rms",
                rail.operation.winding_rms_amps,
                "rail_rms_amps",
                amps,
            ),
            ("winding rms", winding, "shared_rms_amps", amps),
        ] {
            let want = number(want, key);
            let miss = got / want - 1.0;
            println!(
                "{name}, {what}: got {got:.6} want {want:.6} {:.3} %",
                100.0 * miss
            );
            assert!(
                (least..=most).contains(&miss),
                "{name}, {what}: {got}, not {want}"
            );
        }
        // It is no small thing: without the rail's part the winding would come out too well.
        assert!(
            bus.winding_rms_amps < 0.97 * number(want, "shared_rms_amps"),
            "{name}"
        );
    }
}
