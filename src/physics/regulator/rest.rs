//! The regulator with nothing on the terminals: what its small tubes bear at the worst setting.

use crate::parts::Supply;
use crate::physics::operation::{AtRest, Case, Operation};
use crate::physics::regulator::feedback::{Working, working};
use crate::physics::regulator::floor::floor;
use crate::physics::regulator::{Load, Stand, stand};

/// Settings that are tried, from the lowest to the highest.
const SETTINGS: u32 = 9;

/// What the regulator's small tubes bear with the bus of `operation`, which is one without load.
pub fn at_rest(supply: &Supply, case: Case, operation: &Operation) -> AtRest {
    stand(supply, case).map_or_else(AtRest::default, |stand| of(supply, &stand, operation))
}

fn of(supply: &Supply, stand: &Stand, operation: &Operation) -> AtRest {
    let bus = &operation.bus;
    let load = |volts: f64| Load {
        bus_volts: bus.mean_volts,
        amps: 0.0,
        volts,
    };
    let bottom = floor(stand, operation).unwrap_or(0.0).max(0.0);
    let low = supply.output.set_low.0.max(bottom);
    let high = operation
        .lost_regulation_volts()
        .map_or(supply.output.set_high.0, |top| {
            top.min(supply.output.set_high.0)
        })
        .max(low);
    let all: Vec<(f64, Working)> = (0..SETTINGS)
        .filter_map(|k| {
            let volts = low + (high - low) * f64::from(k) / f64::from(SETTINGS - 1);
            Some((volts, working(stand, load(volts)).ok()?))
        })
        .collect();
    let most = |of: &dyn Fn(&Working) -> f64| all.iter().map(|(_, w)| of(w)).reduce(f64::max);
    let screen = stand.regulator.screen_volts.map(|v| v.0);
    let cathode_amps = |w: &Working| w.control.amps + w.control.screen_amps;
    // Where the control tube is not known, its current is left out: it is small beside those of gas tubes.
    let currents: Vec<(f64, f64)> = if all.is_empty() {
        vec![(low, 0.0), (high, 0.0)]
    } else {
        all.iter().map(|(v, w)| (*v, cathode_amps(w))).collect()
    };
    let negative = currents
        .iter()
        .filter_map(|(volts, amps)| stand.negative_carried(*volts, *amps))
        .map(|c| [c.least_amps, c.most_amps])
        .reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]);
    let positive = currents
        .iter()
        .filter_map(|(volts, amps)| {
            stand.positive_carried(stand.positive_feed_volts(load(*volts)), *amps)
        })
        .map(|c| c.most_amps)
        .reduce(f64::max);
    let rail = stand.rail.as_ref().and_then(|r| r.as_ref().ok());
    AtRest {
        negative_amps: negative,
        negative_dark_volts: rail.map(|r| r.unstruck_volts),
        positive_most_amps: positive,
        control_plate_watts: most(&|w| (w.control.plate_volts * w.control.amps).max(0.0)),
        control_screen_volts: screen,
        control_screen_watts: screen.and_then(|volts| most(&|w| w.control.screen_amps * volts)),
        control_heater_volts: stand.control_heater_volts(load(low)).ok().map(f64::abs),
    }
}
