//! What resistance the grids see, against what the makers of their tubes allow.
//!
//! A remark and no limit of the envelope: as long as the loop holds, the control tube takes up what current the pass grids
//! send it; it is with the control tube cut off, towards dropout, that they hang on the plate load alone.

use crate::parts::Supply;

/// Whose grid it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// Those of the pass tubes.
    Pass,
    /// That of the control tube.
    Control,
}

/// A grid circuit with more resistance than its maker allows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GridCircuit {
    /// Whose grid.
    pub whose: Whose,
    /// What one grid sees (Ω).
    pub ohms: f64,
    /// What its maker allows (Ω).
    pub allowed_ohms: f64,
}

/// The grid circuits with more than their makers allow; those without a published figure are left out.
///
/// The grid current of every unit flows through the same plate load, so each sees it as many times; of the sense divider the
/// upper and the lower part are in parallel, most in its middle (both common practice, no source).
pub fn too_large(supply: &Supply) -> Vec<GridCircuit> {
    let Some(regulator) = &supply.regulator else {
        return Vec::new();
    };
    let stage = &supply.pass_stage;
    let units = f64::from(stage.units.max(1));
    let pass = (stage.tube.ratings.grid_resistor.as_ref()).map(|rating| GridCircuit {
        whose: Whose::Pass,
        ohms: regulator.plate_load.0 * units,
        allowed_ohms: rating.value.0,
    });
    let control =
        (regulator.control_tube.ratings.grid_resistor.as_ref()).map(|rating| GridCircuit {
            whose: Whose::Control,
            ohms: 0.25 * regulator.divider.resistance.0,
            allowed_ohms: rating.value.0,
        });
    [pass, control]
        .into_iter()
        .flatten()
        .filter(|grid| grid.ohms > grid.allowed_ohms)
        .collect()
}
