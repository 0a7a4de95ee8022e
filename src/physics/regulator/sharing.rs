//! How unequal pass tubes share: the worst unit among nominal ones, tamed by the cathode resistors.

use crate::parts::{PassStage, TriodeCoefficients};
use crate::physics::device::triode;
use crate::physics::model::{PassCurrent, PassTubes};
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::Operation;

/// Current of the worst unit at `volts` of output, all units together carrying `current` (A): worked out from the tubes' spread
/// where that is given and the tube has a law, else from the imbalance as given.
pub fn worst_unit(
    pass: &PassTubes,
    operation: &Operation,
    current: PassCurrent,
    volts: f64,
) -> f64 {
    let amps = current.amps();
    if !pass.relative.is_empty()
        && let Ok(law) = pass.triode()
    {
        let across = operation.bus.mean_volts - volts - current.output_amps * pass.shunt_ohms;
        let each = unit_amps(&pass.stage, law, &pass.relative, [amps, across]);
        return each.into_iter().fold(0.0, f64::max);
    }
    match (pass.stage.tube_spread, pass.triode()) {
        (Some(spread), Ok(law)) => {
            let across = operation.bus.mean_volts - volts - current.output_amps * pass.shunt_ohms;
            worst_amps(&pass.stage, law, amps, across, spread.0)
        }
        _ => pass.worst_unit_amps_as_given(amps),
    }
}

/// By how much of its even share the worst unit exceeds it; 0 at no current.
pub fn imbalance(pass: &PassTubes, operation: &Operation, current: PassCurrent, volts: f64) -> f64 {
    let even = current.amps() / pass.units;
    if even <= 0.0 {
        return 0.0;
    }
    worst_unit(pass, operation, current, volts) / even - 1.0
}

/// Current of the worst unit (A), whose plate current is `1 + spread` times the others' at equal volts, with
/// `plate_path_volts` from the plate resistors to the common end of the cathode resistors.
///
/// All grids are at one potential. The nominal units' current `i` gives the grids' place, `Vgk(i) + i·Rk`; from that
/// follows the worst one's; `i` is sought that makes the sum the pass current.
pub fn worst_amps(
    stage: &PassStage,
    law: &TriodeCoefficients,
    pass_amps: f64,
    plate_path_volts: f64,
    spread: f64,
) -> f64 {
    let units = f64::from(stage.units.max(1));
    if stage.units <= 1 || pass_amps <= 0.0 {
        return pass_amps.max(0.0);
    }
    let (cathode, plate) = (stage.cathode_resistor.0, stage.plate_resistor.0);
    // Volts from the cathodes' common end up to the grids, for a unit of this scale at this current.
    let grids = |amps: f64, scale: f64| {
        let across = (plate_path_volts - amps * (cathode + plate)).max(1.0);
        triode::grid_volts(law, across, amps / scale) + amps * cathode
    };
    let scale = 1.0 + spread;
    let fine = Tolerance::fine(pass_amps);
    let sum = |amps: f64| {
        let wanted = grids(amps, 1.0);
        let worst = root_between(amps, amps * scale, fine, |i| grids(i, scale) - wanted);
        (worst, (units - 1.0) * amps + worst - pass_amps)
    };
    let nominal = root_between(pass_amps / (units + spread), pass_amps / units, fine, |i| {
        sum(i).1
    });
    sum(nominal).0
}

/// Current of each unit (A), of whose plate currents at equal volts `relative` are the shares; together they carry `pass_amps` with
/// `across_volts` from the plate resistors to the common end of the cathode resistors.
///
/// All grids are at one potential, `Vgk(i) + i·Rk` above the common end. The current of the strongest unit is sought whose place makes
/// the sum of all the pass current.
pub fn unit_amps(
    stage: &PassStage,
    law: &TriodeCoefficients,
    relative: &[f64],
    [pass_amps, across_volts]: [f64; 2],
) -> Vec<f64> {
    let strongest = relative.iter().copied().fold(0.0, f64::max);
    if pass_amps <= 0.0 || strongest <= 0.0 {
        return vec![0.0; relative.len()];
    }
    let (cathode, plate) = (stage.cathode_resistor.0, stage.plate_resistor.0);
    let grids = |amps: f64, scale: f64| {
        let across = (across_volts - amps * (cathode + plate)).max(1.0);
        triode::grid_volts(law, across, amps / scale) + amps * cathode
    };
    let fine = Tolerance::fine(pass_amps);
    let least = 1e-9 * pass_amps;
    let each = |most: f64| -> Vec<f64> {
        let wanted = grids(most, strongest);
        let of = |share: &f64| {
            if *share <= 0.0 {
                0.0
            } else if *share >= strongest {
                most
            } else {
                root_between(least, most, fine, |amps| grids(amps, *share) - wanted)
            }
        };
        relative.iter().map(of).collect()
    };
    let even = pass_amps / relative.len() as f64;
    let most = root_between(even, pass_amps, fine, |most| {
        each(most).iter().sum::<f64>() - pass_amps
    });
    each(most)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read;
    use crate::parts::{Ohms, PassStage};
    use crate::physics::model::Model;

    fn demo() -> (PassStage, TriodeCoefficients) {
        let supply = read(presets()[0].1, &Catalogue::built_in()).unwrap();
        let law = *Model::of(&supply).unwrap().pass.triode().unwrap();
        (supply.pass_stage, law)
    }

    #[test]
    fn the_units_carry_the_whole_current_at_one_grid_potential() {
        let (mut stage, law) = demo();
        stage.units = 4;
        let (amps, volts, spread) = (0.2, 150.0, 0.3);
        let worst = worst_amps(&stage, &law, amps, volts, spread);
        let other = (amps - worst) / 3.0;
        let rk = stage.cathode_resistor.0;
        // The law forwards, not turned round: both grids at the place of the nominal units'.
        let place = triode::grid_volts(&law, volts - other * rk, other) + other * rk;
        let back = 1.3 * triode::plate_amps(&law, volts - worst * rk, place - worst * rk);
        assert!((back / worst - 1.0).abs() < 1e-6, "{worst} {back}");
    }

    /// Two units of 1.3 to 1 are those of a spread of 30 %; and of any list all stand at one grid potential.
    #[test]
    fn unlike_units_share_as_a_spread_does() {
        let (stage, law) = demo();
        let mean = 1.15;
        let mut scaled = law;
        scaled.kg1 /= mean;
        let each = unit_amps(&stage, &scaled, &[1.3 / mean, 1.0 / mean], [0.1, 150.0]);
        let worst = worst_amps(&stage, &law, 0.1, 150.0, 0.3);
        assert!((each[0] / worst - 1.0).abs() < 1e-6, "{each:?} {worst}");
        let weak = unit_amps(&stage, &law, &[1.6, 0.4, 0.0], [0.1, 150.0]);
        let rk = stage.cathode_resistor.0;
        assert!((weak.iter().sum::<f64>() - 0.1).abs() < 1e-6, "{weak:?}");
        assert!(weak[2].abs() < f64::MIN_POSITIVE);
        let place = |amps: f64, share: f64| {
            triode::grid_volts(&law, 150.0 - amps * rk, amps / share) + amps * rk
        };
        let miss = place(weak[0], 1.6) - place(weak[1], 0.4);
        assert!(miss.abs() < 1e-3, "{miss} V");
    }

    #[test]
    fn a_cathode_resistor_tames_the_spread() {
        let (mut stage, law) = demo();
        let mut before = f64::INFINITY;
        for ohms in [0.0, 22.0, 47.0, 100.0, 220.0] {
            stage.cathode_resistor = Ohms(ohms);
            let worst = worst_amps(&stage, &law, 0.1, 150.0, 0.3);
            assert!(worst < before && worst > 0.05, "{ohms} Ω: {worst}");
            before = worst;
        }
        stage.cathode_resistor = Ohms(0.0);
        // Without resistors the currents are as the tubes: 1.3 to 1.
        let bare = worst_amps(&stage, &law, 0.1, 150.0, 0.3);
        assert!((bare - 0.1 * 1.3 / 2.3).abs() < 1e-6, "{bare}");
    }
}
