//! What is actual and what is allowed, against closed forms.

use super::*;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{Amps, Farads, Fraction, Ohms, Watts};
use crate::physics::steady_state::operate;
use std::collections::BTreeSet;

fn preset(file: &str) -> Supply {
    let (_, text) = presets().iter().find(|(name, _)| *name == file).unwrap();
    read_checked(text, &Catalogue::built_in()).unwrap()
}

/// What there is of a limit at a point (A, V) at present mains.
fn actual(supply: &Supply, limit: Limit, [amps, volts]: [f64; 2]) -> f64 {
    let model = Model::of(supply).unwrap();
    let operation = operate(&model.raw, Case::Present, amps).unwrap();
    let point = OperatingPoint {
        model: &model,
        case: Case::Present,
        operation: &operation,
        volts,
    };
    limit.at_point(point, 1.0).unwrap().unwrap()[0]
}

/// The question asked the wrong way round has no answer, least of all a number.
#[test]
fn every_limit_is_judged_at_a_point_or_with_nothing_connected_never_both() {
    for (file, _) in presets() {
        let supply = preset(file);
        let model = Model::of(&supply).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.01).unwrap();
        let no_load = no_load(&model, Case::Present).unwrap();
        let point = OperatingPoint {
            model: &model,
            case: Case::Present,
            operation: &operation,
            volts: 100.0,
        };
        let unloaded = Unloaded {
            model: &model,
            case: Case::Present,
            no_load: &no_load,
        };
        for limit in all(&supply) {
            let answers = [
                limit.at_point(point, 1.0).is_some(),
                limit.unloaded(unloaded).is_some(),
                boundary::excess(limit, point, 1.0).is_some(),
            ];
            let is_no_load = limit.is_no_load();
            assert_eq!(answers, [!is_no_load, is_no_load, !is_no_load], "{limit:?}");
        }
    }
}

/// Strings of equal capacitors are one capacitor of as many times the farads, and share its current evenly.
#[test]
fn a_capacitors_ripple_current_is_shared_by_its_strings() {
    let mut one = preset("school-laboratory.ron");
    for stack in one.filter.stacks_mut() {
        stack.balancing = None;
        stack.strings = 1;
    }
    for strings in [2, 3] {
        let mut several = one.clone();
        for stack in several.filter.stacks_mut() {
            stack.unit = Farads(stack.unit.0 / f64::from(strings));
            stack.strings = strings;
        }
        for n in [0, 1] {
            let limit = Limit::CapacitorRipple(n);
            let at = [0.08, 200.0];
            let want = actual(&one, limit, at) / f64::from(strings);
            let got = actual(&several, limit, at);
            assert!(want > 1e-4, "no ripple to share: {want} A");
            assert!((got / want - 1.0).abs() < 1e-9, "{limit:?}: {got} {want}");
        }
    }
}

/// A bulb of two units burns what flows through both, which is never more than flows at all. Ohm's law: the volts over
/// the worst tube are the bus less its resistors' drop, the shunt's and the output.
#[test]
fn a_bulb_carries_no_more_than_the_output_current() {
    let mut supply = preset("school-laboratory.ron");
    let stage = &mut supply.pass_stage;
    stage.tube.units = 2;
    stage.tube.envelope_dissipation = Some(Rating::own(Watts(50.0), RatingSystem::DesignCentre));
    stage.tube_spread = None;
    stage.cathode_resistor = Ohms(100.0);
    stage.plate_resistor = Ohms(0.0);
    supply.output.meter_shunt = Ohms(10.0);
    let [amps, volts] = [0.08, 150.0];
    let bus = operate(&supply.raw(), Case::Present, amps).unwrap();
    // Units in use, imbalance; the worst one's share of the current and the bulb's.
    for (units, imbalance, worst, bulb) in [
        (1, 0.0, 1.0, 1.0),
        (2, 0.2, 0.6, 1.0),
        (2, 0.0, 0.5, 1.0),
        (4, 0.2, 0.3, 0.6),
    ] {
        let mut supply = supply.clone();
        supply.pass_stage.units = units;
        supply.pass_stage.imbalance = Fraction(imbalance);
        let across = bus.bus.mean_volts - volts - amps * 10.0 - worst * amps * 100.0;
        let want = across * bulb * amps;
        let got = actual(&supply, Limit::EnvelopeDissipation, [amps, volts]);
        assert!(
            (got / want - 1.0).abs() < 1e-9,
            "{units}: got {got} want {want}"
        );
        let unit = actual(&supply, Limit::PlateDissipation, [amps, volts]);
        let want = across * worst * amps;
        assert!(
            (unit / want - 1.0).abs() < 1e-9,
            "{units}: got {unit} want {want}"
        );
        // Its line lies where it burns what is allowed.
        let model = Model::of(&supply).unwrap();
        let point = OperatingPoint {
            model: &model,
            case: Case::Present,
            operation: &bus,
            volts: 0.0,
        };
        let line = boundary::volts_met(Limit::EnvelopeDissipation, point, got).unwrap();
        assert!((line.unwrap() - volts).abs() < 1e-6, "{units}: {line:?}");
    }
}

/// A maker's figure is for the envelope: each of its plates may carry its part. Behind a choke the one for choke input counts, where it
/// is published.
#[test]
fn a_plate_may_carry_its_part_of_the_envelopes_current() {
    for (file, choke_input, want) in [
        ("choke-input.ron", Some(0.3), 0.15),
        ("choke-input.ron", None, 0.1),
        ("school-laboratory.ron", Some(0.3), 0.1),
    ] {
        let mut supply = preset(file);
        let kind = &mut supply.rectifier.kind;
        let rated = |amps: f64| Rating::own(Amps(amps), RatingSystem::DesignCentre);
        kind.plates = 2;
        kind.dc_current_by_volts = None;
        kind.dc_current = Some(rated(0.2));
        kind.dc_current_choke_input = choke_input.map(rated);
        let amps = allowed(Limit::RectifierDc, &supply).unwrap().value;
        assert!(
            (amps - want).abs() < 1e-12,
            "{file} {choke_input:?}: {amps}"
        );
    }
}

#[test]
fn the_table_has_no_kind_and_no_key_twice() {
    let kinds: BTreeSet<Limit> = ROWS.iter().map(|row| row.limit).collect();
    let keys: BTreeSet<&str> = ROWS.iter().map(|row| row.key).collect();
    assert_eq!([kinds.len(), keys.len()], [ROWS.len(); 2]);
    for row in &ROWS {
        assert_eq!(row.limit.row().key, row.key);
    }
}
