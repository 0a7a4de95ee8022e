//! From where to where the sense control sets the output, and what the zero adjuster does to its lower end.
//!
//! The wiper at the lower end of the pot passes on the least share of the output, so the output is highest there; at the upper end it
//! is lowest. A zero adjuster is a variable resistor at the foot of the divider: more of it passes on more.

use crate::parts::SenseControl;
use crate::physics::model::RegulatorModel;
use crate::physics::needs::Needs;
use crate::physics::operation::Operation;
use crate::physics::regulator::zero::settle;

/// What the sense control sets, with nothing connected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlRange {
    /// Lowest output, the zero adjuster in its middle (V).
    pub lowest_volts: f64,
    /// Highest output, the zero adjuster in its middle (V); where the supply has no more, that.
    pub highest_volts: f64,
    /// Lowest output with the zero adjuster at nothing and at all of its resistance (V); `None` without one.
    pub zero_volts: Option<[f64; 2]>,
}

/// The share of the output above the foot that the wiper passes on, with so many ohms of the pot and of the zero adjuster below it.
fn share(control: &SenseControl, of_pot: f64, adjusted: f64) -> f64 {
    let below = control.lower.0 + adjusted;
    (below + of_pot) / (below + control.pot.0 + control.upper.0)
}

/// The range with the bus of `operation`, which is one without load. `None` where the sense control is not described.
///
/// # Errors
/// What would have to be known.
pub fn control_range(
    model: &RegulatorModel,
    operation: &Operation,
) -> Result<Option<ControlRange>, Needs> {
    let Some(control) = &model.regulator.divider.control else {
        return Ok(None);
    };
    let adjuster = control.zero_adjuster.map(|ohms| ohms.0);
    let middle = 0.5 * adjuster.unwrap_or(0.0);
    let pot = control.pot.0;
    let at = |of_pot: f64, adjusted: f64| {
        let share = share(control, of_pot, adjusted);
        Ok(settle(model, operation, share)?.volts)
    };
    Ok(Some(ControlRange {
        lowest_volts: at(pot, middle)?,
        highest_volts: at(0.0, middle)?,
        zero_volts: match adjuster {
            Some(all) => Some([at(pot, 0.0)?, at(pot, all)?]),
            None => None,
        },
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::parts::{Ohms, Supply};
    use crate::physics::model::Model;
    use crate::physics::operation::Case;
    use crate::physics::regulator::Load;
    use crate::physics::regulator::feedback::working_point;
    use crate::physics::steady_state::operate;

    /// The school supply, its divider of 100 kΩ made of these: upper, pot, lower, zero adjuster.
    fn school([upper, pot, lower, zero]: [f64; 4]) -> Supply {
        let name = "school-laboratory.ron";
        let text = presets().iter().find(|p| p.0 == name).unwrap().1;
        let mut supply = read_checked(text, &Catalogue::built_in()).unwrap();
        let divider = &mut supply.regulator.as_mut().unwrap().divider;
        divider.control = Some(SenseControl {
            upper: Ohms(upper),
            pot: Ohms(pot),
            lower: Ohms(lower),
            zero_adjuster: Some(Ohms(zero)),
        });
        divider.resistance = divider.control.unwrap().whole();
        supply
    }

    /// The divider's own law: at each end the wiper stands where the control tube's grid does, by the ratio of the resistors.
    #[test]
    fn the_wiper_stands_where_the_grid_needs_it() {
        let ohms = [46e3, 28e3, 24e3, 4e3];
        let supply = school(ohms);
        let model = Model::of(&supply).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.0).unwrap();
        let regulator = model.regulator(Case::Present).unwrap();
        let range = control_range(regulator, &operation).unwrap().unwrap();
        let [first, last] = range.zero_volts.unwrap();
        let [upper, pot, lower, zero] = ohms;
        for (volts, below, above) in [
            (range.highest_volts, lower + 0.5 * zero, pot + upper),
            (range.lowest_volts, lower + 0.5 * zero + pot, upper),
            (first, lower + pot, upper),
            (last, lower + zero + pot, upper),
        ] {
            let load = Load {
                bus_volts: operation.bus.mean_volts,
                amps: 0.0,
                volts,
            };
            let at = working_point(regulator, load).unwrap();
            let grid = at.grid_potential();
            let foot = at.potentials.foot;
            let amps = (volts - foot) / (below + above);
            assert!((foot + amps * below - grid).abs() < 1e-3, "{volts} V");
        }
        // More of the adjuster passes on more, so the output is lower.
        assert!(last < range.lowest_volts && range.lowest_volts < first);
        assert!(range.highest_volts > range.lowest_volts + 50.0);
    }

    #[test]
    fn without_a_described_pot_nothing_is_said() {
        let mut supply = school([46e3, 28e3, 24e3, 4e3]);
        supply.regulator.as_mut().unwrap().divider.control = None;
        let model = Model::of(&supply).unwrap();
        let operation = operate(&model.raw, Case::Present, 0.0).unwrap();
        let regulator = model.regulator(Case::Present).unwrap();
        assert_eq!(control_range(regulator, &operation), Ok(None));
    }
}
