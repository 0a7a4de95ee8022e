//! What the output can have at all.

use crate::physics::limit::OperatingPoint;
use crate::physics::needs::Needs;

/// Output volts and the least drop of the pass tubes, against the valley of the bus (V).
pub(super) fn dropout(point: OperatingPoint<'_>, _: f64) -> Result<[f64; 2], Needs> {
    let operation = point.operation;
    let drop = (point.model.pass).least_drop(point.pass_current());
    Ok([
        point.volts + drop.ok_or(Needs::PassCurve)?,
        operation.bus.trough_volts,
    ])
}
