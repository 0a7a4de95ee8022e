//! The control-grid ceiling: the highest output that the control can hold.
//!
//! More output asks for more grid volts on the pass tubes, so for less current through the control tube and a lower grid. Its
//! grid hangs on the sense divider between the output and the divider's foot: it can come down to the foot, no further. Above
//! the ceiling the control tube stays fully on at every setting and the output comes up to the ceiling only. With a foot well
//! below the cathode there is none; where a negative rail is lost and both hang on the same, there is.

use crate::physics::model::RegulatorModel;
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, try_root_between};
use crate::physics::operation::Operation;
use crate::physics::regulator::Load;
use crate::physics::regulator::feedback::working_point;
use crate::physics::regulator::floor::Drive;

/// Share of the bus over which the slope at 0 V is taken.
const STEP: f64 = 1e-3;

/// What the control tube's grid needs in the valley of the bus, where its plate is highest, and what the divider can give it.
///
/// # Errors
/// What would have to be known.
pub fn drive(model: &RegulatorModel, operation: &Operation, volts: f64) -> Result<Drive, Needs> {
    let valley = Load {
        bus_volts: operation.bus.trough_volts,
        amps: operation.output_amps,
        volts,
    };
    let at = working_point(model, valley)?;
    Ok(Drive {
        needed_volts: -at.control.grid_volts,
        given_volts: at.potentials.cathode - at.potentials.foot,
    })
}

/// Highest output volts at this operation's current (V), 0 V where there are none; `None` where the bus ends before.
///
/// # Errors
/// What would have to be known.
pub fn ceiling(model: &RegulatorModel, operation: &Operation) -> Result<Option<f64>, Needs> {
    Ok(ceiling_below_zero_too(model, operation)?.map(|volts| volts.max(0.0)))
}

/// The same as a line that goes on below 0 V: where the control cannot hold even that, as far below as the tangent there leads. So
/// the current at which the last output is lost is where the line crosses 0 V, and a line wholly below leaves no output at all.
///
/// # Errors
/// What would have to be known.
pub fn ceiling_below_zero_too(
    model: &RegulatorModel,
    operation: &Operation,
) -> Result<Option<f64>, Needs> {
    let short = |volts: f64| -> Result<f64, Needs> {
        let drive = drive(model, operation, volts)?;
        Ok(drive.needed_volts - drive.given_volts)
    };
    let top = operation.bus.trough_volts.max(0.0);
    if short(top)? <= 0.0 {
        return Ok(None);
    }
    let at_zero = short(0.0)?;
    if at_zero > 0.0 {
        let step = STEP * top.max(1.0);
        let slope = (short(step)? - at_zero) / step;
        // More output never asks for less.
        let below = if slope > 0.0 { at_zero / slope } else { top };
        return Ok(Some(-below.min(top.max(1.0))));
    }
    try_root_between(0.0, top, Tolerance::fine(top), &mut { short }).map(Some)
}
