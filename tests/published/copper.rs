//! Copper measured cold, by its temperature coefficient: 0.39 % a kelvin, 50 K warmer at work.

use sagline::bench::bus_by_hand::BusByHand;
use sagline::bench::working::working;
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::read;
use sagline::parts::{Copper, Ohms, SeriesElement, Supply};
use sagline::physics::energy::{Energy, energy};
use sagline::physics::{Case, Model, Operation};

const WARMER: f64 = 1.0 + 0.003_9 * 50.0;

struct Figures {
    operation: Operation,
    energy: Energy,
    by_hand: BusByHand,
    rail_volts: f64,
}

fn figures(supply: &Supply) -> Figures {
    let model = Model::of(supply).unwrap();
    let point = [0.05, 120.0];
    let working = working(&model, Case::Present, point).unwrap();
    let rail = model
        .regulator(Case::Present)
        .ok()
        .and_then(|r| r.working_rail().cloned());
    Figures {
        operation: working.operation,
        energy: energy(&model, Case::Present, point).unwrap(),
        by_hand: working.bus_by_hand.unwrap(),
        rail_volts: rail.map_or(0.0, |rail| rail.unstruck_volts),
    }
}

/// Every winding of a supply, its resistance and how it was measured.
fn windings(supply: &mut Supply) -> Vec<(&mut Ohms, &mut Copper)> {
    let transformer = &mut supply.transformer;
    let mut all = vec![
        (
            &mut transformer.primary_resistance,
            &mut transformer.primary_measured,
        ),
        (
            &mut transformer.secondary_resistance,
            &mut transformer.secondary_measured,
        ),
    ];
    for section in &mut supply.filter.sections {
        if let SeriesElement::Choke {
            resistance,
            measured,
            ..
        } = &mut section.series
        {
            all.push((resistance, measured));
        }
    }
    let regulator = supply.regulator.as_mut();
    if let Some(rail) = regulator.and_then(|r| r.bias_rail.as_mut()) {
        let ohms = rail.winding_resistance.as_mut().unwrap();
        all.push((ohms, &mut rail.winding_measured));
    }
    all
}

/// Each winding in its turn, cold, is the winding that has what its copper comes to, warm: in bus and pulses, in the watts, in the bus
/// by hand and in the negative rail.
#[test]
fn copper_measured_cold_is_a_fifth_more_at_work() {
    let mut tried = 0;
    for name in ["school-laboratory.ron", "choke-input.ron"] {
        let (_, text) = presets().iter().find(|(file, _)| *file == name).unwrap();
        let as_typed = read(text, &Catalogue::built_in()).unwrap();
        let plain = figures(&as_typed);
        for k in 0..windings(&mut as_typed.clone()).len() {
            let (mut cold, mut warm) = (as_typed.clone(), as_typed.clone());
            *windings(&mut cold)[k].1 = Copper::Cold;
            windings(&mut warm)[k].0.0 *= WARMER;
            let (got, want) = (figures(&cold), figures(&warm));
            let volts = |of: &Figures| of.operation.bus.mean_volts;
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * b.abs();
            assert!(near(volts(&got), volts(&want)), "{name} {k}");
            assert!(near(got.rail_volts, want.rail_volts), "{name} {k}");
            assert!(
                near(got.by_hand.bus_volts, want.by_hand.bus_volts),
                "{name} {k}"
            );
            for (a, b) in got.energy.shares.iter().zip(&want.energy.shares) {
                assert!(
                    a.sink == b.sink && near(a.watts, b.watts),
                    "{name} {k}: {a:?} {b:?}"
                );
            }
            // And it matters.
            let lower = volts(&got) < volts(&plain) || got.rail_volts < plain.rail_volts;
            assert!(lower, "{name} {k}");
            tried += 1;
        }
    }
    assert!(tried >= 6, "{tried}");
}
