//! The control tube's screen on a divider: Ohm's and Kirchhoff's laws, and what the small signals make of it.

use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{Ohms, ScreenDivider, ScreenFeed, Supply, Tap, Volts};
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::Load;
use crate::physics::regulator::feedback::{regulation, working_point};
use crate::physics::regulator::zero::{setting, settle};
use crate::physics::steady_state::operate;

/// The school supply, its screen on this divider.
fn school(fed_from: ScreenFeed, [upper, lower]: [f64; 2], foot: Tap) -> Supply {
    let name = "school-laboratory.ron";
    let text = presets().iter().find(|p| p.0 == name).unwrap().1;
    let mut supply = read_checked(text, &Catalogue::built_in()).unwrap();
    let regulator = supply.regulator.as_mut().unwrap();
    regulator.screen_volts = None;
    regulator.screen_divider = Some(ScreenDivider {
        fed_from,
        upper: Ohms(upper),
        lower: Ohms(lower),
        foot,
    });
    supply
}

const WAYS: [(ScreenFeed, [f64; 2], Tap); 4] = [
    (ScreenFeed::Bus, [330e3, 47e3], Tap::Common),
    (ScreenFeed::Output, [150e3, 22e3], Tap::Common),
    (ScreenFeed::Output, [100e3, 100e3], Tap::BiasReference(1)),
    (ScreenFeed::Common, [10e3, 100e3], Tap::BiasReference(2)),
];

fn at(operation: &Operation, volts: f64) -> Load {
    Load {
        bus_volts: operation.bus.mean_volts,
        amps: operation.output_amps,
        volts,
    }
}

/// What flows to the screen's node through both resistors is what the screen takes, and the pass tubes carry what hangs on the output.
#[test]
fn currents_at_the_screen_obey_kirchhoff() {
    for (fed_from, [upper, lower], foot) in WAYS {
        let supply = school(fed_from, [upper, lower], foot);
        let model = Model::of(&supply).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.05).unwrap();
        let regulator = model.regulator(Case::Present).unwrap();
        let load = at(&operation, 200.0);
        let found = working_point(regulator, load).unwrap();
        let screen = found.potentials.screen.unwrap();
        let from = match fed_from {
            ScreenFeed::Bus => load.bus_volts,
            ScreenFeed::Output => 200.0,
            _ => 0.0,
        };
        let amps = found.cathode_amps();
        let to = match foot {
            Tap::BiasReference(tubes) => {
                let carried = regulator.negative_carried(load, amps).unwrap();
                -carried.volts(usize::from(tubes))
            }
            _ => 0.0,
        };
        let flows = (from - screen) / upper - (screen - to) / lower;
        let miss = flows - found.control.screen_amps;
        assert!(miss.abs() < 1e-8, "{fed_from:?}: {miss} A");
        let own = regulator.own_amps(load, found.potentials);
        let rest = (200.0 - found.potentials.foot) / 100e3;
        let want = match fed_from {
            ScreenFeed::Output => rest + (from - screen) / upper,
            _ => rest,
        };
        assert!((own - want).abs() < 1e-12, "{fed_from:?}: {own} A");
    }
}

/// A stiff divider that gives 75 V does what 75 V do.
#[test]
fn a_stiff_divider_is_as_good_as_its_volts() {
    let foot = Tap::BiasReference(1);
    let divided = school(ScreenFeed::Common, [150.0, 150e6], foot);
    let mut typed = divided.clone();
    let regulator = typed.regulator.as_mut().unwrap();
    regulator.screen_divider = None;
    let figures = |supply: &Supply| {
        let model = Model::of(supply).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.05).unwrap();
        let regulator = model.regulator(Case::Present).unwrap();
        regulation(regulator, &operation, 200.0).unwrap()
    };
    let divided = figures(&divided);
    let volts = divided.potentials.screen_volts().unwrap();
    assert!((volts - 75.0).abs() < 2.0, "{volts} V");
    typed.regulator.as_mut().unwrap().screen_volts = Some(Volts(volts));
    let typed = figures(&typed);
    let grids = divided.control.grid_volts - typed.control.grid_volts;
    assert!(grids.abs() < 1e-6, "{grids} V");
    let steep = divided.control.transconductance / typed.control.transconductance;
    assert!((steep - 1.0).abs() < 1e-6, "{steep}");
}

/// Output resistance and share of the bus are those of the output as it settles a little further on at the same setting.
#[test]
fn the_small_signals_are_those_of_the_settled_output() {
    for (fed_from, ohms, foot) in WAYS {
        let mut supply = school(fed_from, ohms, foot);
        // The grid volts of a pentode do not follow its plate; neither may the small signals here.
        let tube = &mut supply.regulator.as_mut().unwrap().control_tube;
        tube.forget_plate_resistance();
        let model = Model::of(&supply).unwrap();
        let regulator = model.regulator(Case::Present).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.05).unwrap();
        let share = setting(regulator, &operation, 150.0).unwrap();
        let figures = regulation(regulator, &operation, 150.0).unwrap();
        let settled = |bus: f64, amps: f64| {
            let mut moved = operation.clone();
            moved.bus.mean_volts += bus;
            moved.output_amps += amps;
            settle(regulator, &moved, share).unwrap().volts
        };
        let by_bus = (settled(5.0, 0.0) - settled(-5.0, 0.0)) / 10.0;
        let miss = by_bus / figures.bus_share - 1.0;
        assert!(miss.abs() < 0.01, "{fed_from:?}: {by_bus} {figures:?}");

        let by_load = (settled(0.0, -0.002) - settled(0.0, 0.002)) / 0.004;
        let miss = by_load / figures.output_ohms - 1.0;
        assert!(miss.abs() < 0.01, "{fed_from:?}: {by_load} {figures:?}");
    }
}
