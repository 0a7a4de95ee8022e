use super::*;
use crate::parts::rating::{Confidence, RatingSystem};
use crate::parts::{Amps, ControlTubeKind, PlateCharacteristic, RectifierLaw, TubeRatings, Volts};

#[test]
fn a_self_biased_point_gives_the_tubes_own_volts() {
    // RCA Receiving Tube Manual, 6AS7-G: plate SUPPLY 135 V, cathode resistor 250 Ω, 125 mA (value from memory).
    // 250 Ω · 125 mA = 31.25 V of bias, which the plate is short of.
    let catalogue = Catalogue::built_in();
    for name in ["6AS7-G", "6080"] {
        let tube = catalogue.pass_tube(name).unwrap();
        let PlateCharacteristic::Published { points, .. } = &tube.characteristic else {
            panic!("{name} has published points");
        };
        let point = points.iter().find(|p| p.current == Amps(0.125)).unwrap();
        assert_eq!((point.plate, point.grid), (Volts(103.75), Volts(-31.25)));
    }
}

#[test]
fn small_signal_figures_obey_mu_is_gm_times_rp() {
    for tube in Catalogue::built_in().pass_tubes {
        let PlateCharacteristic::Published { small_signal, .. } = tube.characteristic else {
            continue;
        };
        for f in small_signal {
            if let (Some(mu), Some(rp), Some(gm)) = (f.mu, f.plate_resistance, f.transconductance) {
                let product = rp.0 * gm.0;
                // Makers round each of the three to two figures.
                assert!(
                    (product / mu - 1.0).abs() < 0.03,
                    "{}: {product} {mu}",
                    tube.name
                );
            }
        }
    }
}

#[test]
fn every_number_names_its_source() {
    let catalogue = Catalogue::built_in();
    for kind in &catalogue.rectifiers {
        let ratings = [
            kind.peak_inverse.as_ref().map(|r| &r.source),
            kind.peak_current.as_ref().map(|r| &r.source),
            kind.dc_current.as_ref().map(|r| &r.source),
            kind.dc_current_choke_input.as_ref().map(|r| &r.source),
            kind.hot_switching_current.as_ref().map(|r| &r.source),
            kind.least_supply_resistance.as_ref().map(|r| &r.source),
            kind.largest_first_capacitor.as_ref().map(|r| &r.source),
            kind.heater_cathode.as_ref().map(|r| &r.source),
            kind.heater.as_ref().map(|h| &h.source),
            match &kind.law {
                RectifierLaw::Vacuum { drop, .. } | RectifierLaw::MercuryVapour { drop } => {
                    Some(&drop.source)
                }
                RectifierLaw::Silicon { .. } => None,
            },
        ];
        sourced(&kind.name, ratings.into_iter().flatten());
    }
    for tube in &catalogue.pass_tubes {
        rated(&tube.name, &tube.ratings);
        let ratings = [
            tube.envelope_dissipation.as_ref().map(|r| &r.source),
            tube.plate_current.as_ref().map(|r| &r.source),
        ];
        sourced(&tube.name, ratings.into_iter().flatten());
        published(&tube.name, &tube.characteristic);
    }
}

#[test]
fn every_number_of_a_control_or_gas_tube_names_its_source() {
    let catalogue = Catalogue::built_in();
    for tube in &catalogue.control_tubes {
        rated(&tube.name, &tube.ratings);
        sourced(&tube.name, tube.screen_volts.iter().map(|r| &r.source));
        match &tube.kind {
            ControlTubeKind::Triode(known) => published(&tube.name, known),
            ControlTubeKind::Pentode {
                operating_points, ..
            } => sourced(&tube.name, operating_points.iter().map(|p| &p.source)),
        }
    }
    for tube in &catalogue.gas_tubes {
        let figures = [
            Some(&tube.volts.source),
            Some(&tube.current_least.source),
            Some(&tube.current_most.source),
            tube.strike_volts.as_ref().map(|v| &v.source),
            tube.supply_least.as_ref().map(|v| &v.source),
            tube.regulation_volts.as_ref().map(|v| &v.source),
            tube.largest_shunt_capacitor.as_ref().map(|v| &v.source),
        ];
        sourced(&tube.name, figures.into_iter().flatten());
    }
}

#[test]
fn the_built_in_types_survive_writing_and_reading() {
    let catalogue = Catalogue::built_in();
    let mut again = Catalogue::default();
    assert_eq!(again.add(&catalogue.write()), []);
    assert_eq!(again, catalogue);
}

#[test]
fn the_trades_usual_control_and_gas_tubes_are_there() {
    let catalogue = Catalogue::built_in();
    for name in ["6SJ7", "6AU6", "6SH7", "12AX7", "6SL7-GT", "EF86", "6AK5"] {
        assert!(catalogue.control_tube(name).is_some(), "{name}");
    }
    for name in ["0A2", "0B2", "0A3", "0B3", "0C3", "0D3", "5651", "85A2"] {
        assert!(catalogue.gas_tube(name).is_some(), "{name}");
    }
}

#[test]
fn a_self_biased_pentode_carries_both_currents_in_its_cathode() {
    // RCA Receiving Tube Manual, 6AU6: 100 V supplies, 150 Ω, 5.0 and 2.1 mA (value from memory):
    // 150 Ω · 7.1 mA = 1.065 V of bias.
    let catalogue = Catalogue::built_in();
    let ControlTubeKind::Pentode {
        operating_points, ..
    } = &catalogue.control_tube("6AU6").unwrap().kind
    else {
        panic!("a pentode");
    };
    let point = &operating_points[0];
    assert!((point.grid.0 + 1.065).abs() < 1e-9, "{point:?}");
    assert!((point.plate.0 - 98.935).abs() < 1e-9, "{point:?}");
}

#[test]
fn a_faulty_control_tube_is_refused_with_its_place_and_the_next_is_read() {
    let mut catalogue = Catalogue::default();
    let faults = catalogue.add(
        r#"(format: 1, control_tubes: [
            (name: "bad", kind: Triode(Published(points: [(plate: "100 V", grid: "-1 V", current: "0 A")]))),
            (name: "good", kind: Triode(Published(points: [(plate: "100 V", grid: "-1 V", current: "1 mA")]))),
        ], gas_tubes: [
            (name: "swapped", volts: "150 V", current_least: "30 mA", current_most: "5 mA"),
        ])"#,
    );
    let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "line 2, control_tubes[0].kind.points[0].current: found 0 A, expected a value above zero, 1 µA to 1000 A",
            "line 5, gas_tubes[0].current_least: found 30 mA, expected less than 5 mA, the highest current",
        ]
    );
    assert_eq!(catalogue.control_tubes.len(), 1);
}

fn rated(name: &str, ratings: &TubeRatings) {
    let all = [
        ratings.plate_dissipation.as_ref().map(|r| &r.source),
        ratings.screen_dissipation.as_ref().map(|r| &r.source),
        ratings.plate_volts.as_ref().map(|r| &r.source),
        ratings.heater_cathode.as_ref().map(|r| &r.source),
        ratings.grid_resistor.as_ref().map(|r| &r.source),
        ratings.heater.as_ref().map(|h| &h.source),
    ];
    sourced(name, all.into_iter().flatten());
}

fn published(name: &str, characteristic: &PlateCharacteristic) {
    if let PlateCharacteristic::Published {
        points,
        small_signal,
    } = characteristic
    {
        let sources = points.iter().map(|p| &p.source);
        sourced(name, sources.chain(small_signal.iter().map(|s| &s.source)));
    }
}

fn sourced<'s>(name: &str, sources: impl Iterator<Item = &'s crate::parts::Source>) {
    for source in sources {
        // A short name that is not in the list of sources would stand as it is, in one word.
        assert!(source.document.contains(' '), "{name}: {source:?}");
        assert_ne!(source.confidence, Confidence::Own, "{name}: {source:?}");
    }
}

#[test]
fn a_type_of_the_same_name_replaces_the_built_in_one() {
    let mut catalogue = Catalogue::built_in();
    let count = catalogue.rectifiers.len();
    let faults = catalogue.add(
        r#"(format: 1, sources: {"note": "my own note book"}, rectifiers: [(
            name: "5U4-GB", plates: 2, rating_system: DesignMaximum,
            law: Vacuum(drop: ("46 V", Own, "note"), at: "225 mA"),
            peak_inverse: "1500 V",
            dc_current: ("250 mA", AbsoluteMaximum, Seen, "note"),
        )])"#,
    );
    assert_eq!(faults, []);
    assert_eq!(catalogue.rectifiers.len(), count);
    let kind = catalogue.rectifier("5U4-GB").unwrap();
    let systems = (
        kind.peak_inverse.as_ref().unwrap().system,
        kind.dc_current.as_ref().unwrap().system,
    );
    assert_eq!(
        systems,
        (RatingSystem::DesignMaximum, RatingSystem::AbsoluteMaximum)
    );
    assert_eq!(
        kind.dc_current.as_ref().unwrap().source.document,
        "my own note book"
    );
}
