//! What resistance the grids see, which the makers of their tubes limit.

use crate::parts::Supply;

/// Whose grid it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Whose {
    /// Those of the pass tubes.
    Pass,
    /// That of the control tube.
    Control,
}

/// What one grid sees (Ω), at the setting where it is most; `None` without a regulator.
///
/// Pass grids: the grid current of every unit flows through the same plate load, so each sees it as many times. A control tube
/// that conducts takes up some of that current; it is not counted on, for towards dropout it is cut off. The control grid: the
/// upper and the lower part of the sense divider in parallel, most in its middle (both common practice, no source).
pub fn grid_ohms(supply: &Supply, whose: Whose) -> Option<f64> {
    let regulator = supply.regulator.as_ref()?;
    Some(match whose {
        Whose::Pass => regulator.plate_load.0 * f64::from(supply.pass_stage.units.max(1)),
        Whose::Control => 0.25 * regulator.divider.resistance.0,
    })
}
