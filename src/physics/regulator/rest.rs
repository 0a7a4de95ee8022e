//! The regulator with nothing on the terminals: what its small tubes bear at the worst setting.

use crate::physics::device::gas_stack::StackState;
use crate::physics::model::{Model, RegulatorModel};
use crate::physics::operation::{AtRest, Case, Operation, ReferenceAtRest, WorstDissipation};
use crate::physics::regulator::Load;
use crate::physics::regulator::feedback::{WorkingPoint, working_point};
use crate::physics::regulator::floor::floor;

/// Settings that are tried, from the lowest to the highest.
const SETTINGS: u32 = 9;

/// What the regulator's small tubes bear with the bus of `operation`, which is one without load.
pub fn at_rest(model: &Model, case: Case, operation: &Operation) -> AtRest {
    let regulator = model.at(case).regulator.as_ref();
    regulator.map_or_else(AtRest::default, |regulator| of(model, regulator, operation))
}

fn of(whole: &Model, model: &RegulatorModel, operation: &Operation) -> AtRest {
    let output = &whole.supply.output;
    let bus = &operation.bus;
    let load = |volts: f64| Load {
        bus_volts: bus.mean_volts,
        amps: 0.0,
        volts,
    };
    let bottom = floor(model, operation).unwrap_or(0.0).max(0.0);
    let low = output.set_low.0.max(bottom);
    let high = model
        .lost_regulation_volts(operation)
        .map_or(output.set_high.0, |top| top.min(output.set_high.0))
        .max(low);
    let all: Vec<(f64, WorkingPoint)> = (0..SETTINGS)
        .filter_map(|k| {
            let volts = low + (high - low) * f64::from(k) / f64::from(SETTINGS - 1);
            Some((volts, working_point(model, load(volts)).ok()?))
        })
        .collect();
    let screen_volts = |w: &WorkingPoint| w.potentials.screen_volts();
    let typed = model.regulator.screen_volts.map(|v| v.0);
    let highest_screen = all.iter().filter_map(|(_, w)| screen_volts(w));
    let highest_screen = highest_screen.reduce(f64::max).or(typed);
    let plates = all.iter().map(|(set_volts, w)| WorstDissipation {
        set_volts: *set_volts,
        volts: w.control.plate_volts,
        amps: w.control.amps,
    });
    let screens = all.iter().filter_map(|(set_volts, w)| {
        Some(WorstDissipation {
            set_volts: *set_volts,
            volts: screen_volts(w)?,
            amps: w.control.screen_amps,
        })
    });
    let hotter =
        |a: WorstDissipation, b: WorstDissipation| if b.watts() > a.watts() { b } else { a };
    // Where the control tube is not known, its current is left out: it is small beside those of gas tubes.
    let currents: Vec<(f64, f64)> = if all.is_empty() {
        vec![(low, 0.0), (high, 0.0)]
    } else {
        all.iter().map(|(v, w)| (*v, w.cathode_amps())).collect()
    };
    let negative: Vec<(f64, StackState)> = (currents.iter())
        .filter_map(|(volts, amps)| Some((*volts, model.negative_carried(load(*volts), *amps)?)))
        .collect();
    let positive: Vec<(f64, StackState)> = (currents.iter())
        .filter_map(|(volts, amps)| Some((*volts, model.positive_carried(load(*volts), *amps)?)))
        .collect();
    AtRest {
        negative_least: of_tubes(&negative, |c| c.least_amps)
            .reduce(|a, b| if b.amps < a.amps { b } else { a }),
        negative_most: of_tubes(&negative, |c| c.most_amps).reduce(more),
        negative_dark_volts: model.working_rail().map(|r| r.unstruck_volts),
        positive_most: of_tubes(&positive, |c| c.most_amps).reduce(more),
        control_plate: plates.reduce(hotter),
        control_screen_volts: highest_screen,
        control_screen: screens.reduce(hotter),
        control_heater_volts: model.control_heater_volts(load(low)).ok(),
    }
}

/// A gas tube of a stack over the settings.
fn of_tubes(
    settings: &[(f64, StackState)],
    amps: fn(&StackState) -> f64,
) -> impl Iterator<Item = ReferenceAtRest> {
    settings
        .iter()
        .map(move |(set_volts, carried)| ReferenceAtRest {
            set_volts: *set_volts,
            feed_amps: carried.feed_amps,
            amps: amps(carried),
        })
}

fn more(a: ReferenceAtRest, b: ReferenceAtRest) -> ReferenceAtRest {
    if b.amps > a.amps { b } else { a }
}
