//! What is met first from a point: going up, going down, and to the right. Read off the curves; cheap enough for a
//! pointer that moves.

use crate::physics::envelope::{Curve, Envelope};
use crate::physics::limit::Limit;

/// The first limit in one direction and where it stands (V going up or down, A going right).
pub type Met = (Limit, f64);

/// What is met first in three directions; `None` where nothing is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Reach {
    /// Going up (V).
    pub up: Option<Met>,
    /// Going down (V).
    pub down: Option<Met>,
    /// To the right (A).
    pub right: Option<Met>,
}

/// What is met first from a point (A, V).
pub fn reach(envelope: &Envelope, [amps, volts]: [f64; 2]) -> Reach {
    let mut out = Reach::default();
    for line in &envelope.limits {
        let limit = line.limit;
        match &line.curve {
            Curve::Ceiling(points) => {
                if let Some(top) = line.curve.volts_at(amps).filter(|top| *top >= volts)
                    && out.up.is_none_or(|(_, v)| top < v)
                {
                    out.up = Some((limit, top));
                }
                nearer(&mut out.right, limit, crossing(points, [amps, volts]));
            }
            Curve::Floor(points) => {
                if let Some(bottom) = line.curve.volts_at(amps).filter(|bottom| *bottom <= volts)
                    && out.down.is_none_or(|(_, v)| bottom > v)
                {
                    out.down = Some((limit, bottom));
                }
                nearer(&mut out.right, limit, crossing(points, [amps, volts]));
            }
            Curve::Wall(at) if *at >= amps => nearer(&mut out.right, limit, Some(*at)),
            _ => {}
        }
    }
    out
}

fn nearer(right: &mut Option<Met>, limit: Limit, at: Option<f64>) {
    if let Some(at) = at
        && right.is_none_or(|(_, a)| at < a)
    {
        *right = Some((limit, at));
    }
}

/// The first current right of the point at which a line of (A, V) passes its voltage.
fn crossing(points: &[[f64; 2]], [amps, volts]: [f64; 2]) -> Option<f64> {
    points
        .iter()
        .zip(points.iter().skip(1))
        .filter(|(a, b)| (a[1] < volts) != (b[1] < volts))
        .map(|(a, b)| a[0] + (b[0] - a[0]) * (volts - a[1]) / (b[1] - a[1]))
        .find(|at| *at > amps)
}
