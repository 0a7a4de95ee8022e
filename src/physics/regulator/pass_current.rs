//! The pass current: what is connected, and what the regulator itself draws from the output's positive terminal. Everything that the
//! pass tubes drop, burn and carry is reckoned with the whole of it.
//!
//! What the regulator draws rises with the output, so the dropout line is where `V + drop(I + drawn(V))` comes up to the bus.

use crate::physics::model::{CaseModel, Model, PassCurrent, PassTubes, RegulatorModel};
use crate::physics::numeric::{Tolerance, fixed_point, root_between};
use crate::physics::operation::{Case, Operation};
use crate::physics::regulator::Load;

/// Rounds in which the output and what the regulator draws there are brought together.
const ROUNDS: u32 = 12;
/// Parts of the bus within which they count as together.
const TOGETHER: f64 = 1e-10;

impl RegulatorModel {
    /// What sense divider, preload and a reference fed from the output draw through the pass tubes (A), not negative.
    pub fn drawn_amps(&self, bus_volts: f64, volts: f64) -> f64 {
        let volts = volts.max(0.0);
        let load = Load {
            bus_volts,
            amps: 0.0,
            volts,
        };
        self.own_amps(load, self.of_dividers(load)).max(0.0)
    }

    /// Highest output volts at which the valley of the ripple is still regulated (V).
    pub fn dropout_volts(&self, operation: &Operation) -> Option<f64> {
        let trough = operation.bus.trough_volts;
        highest_output(&self.pass, Some(self), operation, trough)
    }

    /// Output volts at which even the mean of the bus is no longer enough (V).
    pub fn lost_regulation_volts(&self, operation: &Operation) -> Option<f64> {
        let mean = operation.bus.mean_volts;
        highest_output(&self.pass, Some(self), operation, mean)
    }
}

impl CaseModel {
    /// What goes through the pass tubes at an output (V).
    pub fn pass_current(&self, operation: &Operation, volts: f64) -> PassCurrent {
        pass_current(self.regulator.as_ref(), operation, volts)
    }
}

impl Model {
    /// What goes through the pass tubes at an output (V).
    pub fn pass_current(&self, case: Case, operation: &Operation, volts: f64) -> PassCurrent {
        self.at(case).pass_current(operation, volts)
    }

    /// Highest output volts at which the valley of the ripple is still regulated (V): the dropout line. `None` where the tube's curve
    /// is not known.
    pub fn dropout_volts(&self, case: Case, operation: &Operation) -> Option<f64> {
        let trough = operation.bus.trough_volts;
        self.highest_output(case, operation, trough)
    }

    /// Output volts at which even the mean of the bus is no longer enough (V): regulation is wholly lost.
    pub fn lost_regulation_volts(&self, case: Case, operation: &Operation) -> Option<f64> {
        let mean = operation.bus.mean_volts;
        self.highest_output(case, operation, mean)
    }

    fn highest_output(&self, case: Case, operation: &Operation, level_volts: f64) -> Option<f64> {
        let regulator = self.at(case).regulator.as_ref();
        highest_output(&self.pass, regulator, operation, level_volts)
    }
}

fn pass_current(
    regulator: Option<&RegulatorModel>,
    operation: &Operation,
    volts: f64,
) -> PassCurrent {
    let bus_volts = operation.bus.mean_volts;
    PassCurrent {
        output_amps: operation.output_amps,
        regulator_amps: regulator.map_or(0.0, |r| r.drawn_amps(bus_volts, volts)),
    }
}

/// Output volts that the least drop leaves of a bus at `level_volts` (V).
fn highest_output(
    pass: &PassTubes,
    regulator: Option<&RegulatorModel>,
    operation: &Operation,
    level_volts: f64,
) -> Option<f64> {
    let left = |volts: f64| {
        let drop = pass.least_drop(pass_current(regulator, operation, volts))?;
        Some(level_volts - drop)
    };
    if regulator.is_none() {
        return left(level_volts);
    }
    let fine = TOGETHER * level_volts.abs();
    if let Ok(volts) = fixed_point(level_volts, fine, ROUNDS, &left)? {
        return Some(volts);
    }
    // A preload that takes more than the tubes can give: what is left falls faster than the output rises.
    let [low, high] = [left(level_volts)?, left(0.0)?];
    let excess = |volts: f64| left(volts).map_or(f64::NAN, |left| volts - left);
    Some(root_between(
        low,
        high,
        Tolerance::fine(level_volts),
        excess,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::Supply;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_checked;
    use crate::parts::{Amps, Fraction, Ohms};
    use crate::physics::envelope::{Point, envelope};
    use crate::physics::limit::Limit;
    use crate::physics::steady_state::operate;

    const CASES: [Case; 3] = [Case::Low, Case::Present, Case::High];

    fn described() -> impl Iterator<Item = (&'static str, Supply)> {
        let all = presets().iter();
        all.map(|(name, text)| (*name, read_checked(text, &Catalogue::built_in()).unwrap()))
            .filter(|(_, supply)| supply.regulator.is_some())
    }

    /// On the dropout line the regulation, which asks the tubes' law for the grid volts that the whole current needs, has driven the grids
    /// as high as they may go: the two know one current. Without what the regulator draws the grids came out a volt too high.
    #[test]
    fn at_dropout_the_grids_are_as_high_as_they_may_go() {
        let mut compared = 0;
        for (name, supply) in described() {
            let model = Model::of(&supply).unwrap();
            for case in CASES {
                for amps in [0.01, 0.03, 0.05, 0.09] {
                    let Ok(operation) = operate(&model.raw, case, amps) else {
                        continue;
                    };
                    let Some(volts) = model.dropout_volts(case, &operation) else {
                        continue;
                    };
                    let load = Load {
                        bus_volts: operation.bus.trough_volts,
                        amps,
                        volts,
                    };
                    let regulator = model.regulator(case).unwrap();
                    let at = regulator.potentials(load, 0.0).unwrap();
                    let Ok(pass) = regulator.pass_at(load, at) else {
                        continue;
                    };
                    let limit = supply.pass_stage.grid_limit.0;
                    let miss = pass.grid_volts - limit;
                    assert!(miss.abs() < 0.02, "{name} {case:?} {amps} A: {miss} V");
                    compared += 1;
                }
            }
        }
        assert!(compared > 30, "{compared}");
    }

    fn judged(point: &Point, limit: Limit) -> f64 {
        let found = point.uses.iter().find(|u| u.limit == limit).unwrap();
        found.judged.as_ref().unwrap().at_low_present_high[1]
            * found.judged.as_ref().unwrap().allowed
    }

    /// Ohm's and Kirchhoff's laws for the school supply at 100 V and 50 mA: 280 V stand across its sense divider of 100 kΩ, 2.8 mA that go
    /// through the two tubes with the output's 50 mA. At the top of its output range, 430 V, they are 4.3 mA.
    #[test]
    fn plates_burn_and_cathodes_carry_what_the_divider_draws() {
        let (_, mut supply) = described()
            .find(|(name, _)| *name == "school-laboratory.ron")
            .unwrap();
        supply.pass_stage.imbalance = Fraction(0.0);
        let model = Model::of(&supply).unwrap();
        let around = envelope(&model).unwrap();
        let point = around.point(&model, 0.05, 100.0).unwrap();
        let bus = point.operation.as_ref().unwrap().bus.mean_volts;
        let unit = 0.0528 / 2.0;
        let watts = (bus - 100.0 - 0.05 - unit * 22.0) * unit;
        let got = judged(&point, Limit::PlateDissipation);
        assert!((got / watts - 1.0).abs() < 2e-3, "{got} W of {watts} W");
        let got = judged(&point, Limit::PlateCurrent);
        assert!((got / (0.0543 / 2.0) - 1.0).abs() < 2e-3, "{got} A");
    }

    /// A preload draws by Ohm's law, through the rectifier as well, and no milliampere of it counts twice.
    #[test]
    fn the_bus_carries_what_the_regulator_draws_once() {
        let (_, mut supply) = described()
            .find(|(name, _)| *name == "school-laboratory.ron")
            .unwrap();
        let rectified = |supply: &Supply| {
            let model = Model::of(supply).unwrap();
            let found = operate(&model.raw, Case::Present, 0.05).unwrap();
            found.rectified_amps - found.bus.mean_volts / supply.filter.bleeder.unwrap().0
        };
        supply.filter.bleeder = Some(Ohms(1e9));
        supply.filter.internal_current = Amps(0.0);
        for stack in (supply.filter.input_capacitor.iter_mut())
            .chain(supply.filter.sections.iter_mut().map(|s| &mut s.capacitor))
        {
            stack.balancing = None;
        }
        let divider = (250.0 + 180.0) / 100e3;
        let bare = rectified(&supply);
        assert!((bare - 0.05 - divider).abs() < 5e-5, "{bare} A");
        supply.regulator.as_mut().unwrap().preload = Some(Ohms(50e3));
        let loaded = rectified(&supply);
        assert!((loaded - bare - 0.005).abs() < 2e-5, "{loaded} A, {bare} A");
        supply.regulator = None;
        let alone = rectified(&supply);
        assert!((alone - 0.05).abs() < 2e-5, "{alone} A");
    }
}
