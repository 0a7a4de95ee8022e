//! Where a limit is met: the one answer to that for the envelope, the margin map and what moves a limit.

use crate::parts::Supply;
use crate::physics::limit::{Edge, Limit, Met, OperatingPoint, Shape};
use crate::physics::needs::Needs;
use crate::physics::numeric::{Bracket, Tolerance, root_between};

/// On which side of a limit's line of volts one may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allows {
    /// Below it.
    Below,
    /// Above it.
    Above,
}

/// The side of its line that a limit allows; `None` where it draws no line of volts.
pub fn allows(limit: Limit, supply: &Supply) -> Option<Allows> {
    match limit.shape(supply) {
        Shape::Ceiling(_) => Some(Allows::Below),
        Shape::Floor(_) => Some(Allows::Above),
        Shape::Wall | Shape::Everywhere => None,
    }
}

/// Output volts at which a limit is met at the point's current, sought from the point's volts on (V); `None` where it is met at none,
/// or draws no line of volts.
///
/// # Errors
/// What would have to be known.
pub fn volts_met(
    limit: Limit,
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<Option<f64>, Needs> {
    match met(limit, point, allowed)? {
        Met::At(volts) => Ok(Some(volts).filter(|v| v.is_finite())),
        Met::NotHere | Met::NotBeyond => Ok(None),
    }
}

/// The same, with what is to be expected of other currents.
pub(in crate::physics) fn met(
    limit: Limit,
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<Met, Needs> {
    match edge(limit, &point.model.supply) {
        Some(edge) => met_on(edge, point, allowed),
        None => Ok(Met::NotHere),
    }
}

/// The line of volts that a limit draws; `None` where it draws none.
pub(in crate::physics) fn edge(limit: Limit, supply: &Supply) -> Option<Edge> {
    match limit.shape(supply) {
        Shape::Ceiling(edge) | Shape::Floor(edge) => Some(edge),
        Shape::Wall | Shape::Everywhere => None,
    }
}

/// Where a line of volts is met, as [`met`].
pub(in crate::physics) fn met_on(
    edge: Edge,
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<Met, Needs> {
    match edge {
        Edge::Level => Ok(Met::At(allowed)),
        Edge::FromBus(volts) => volts(point, allowed).map(Met::At).ok_or(Needs::PassCurve),
        Edge::Sought(met) => met(point, allowed),
    }
}

/// By how much a limit is passed at a point, in its own measure; below 0 where there is room. `None` where it is judged with nothing
/// connected.
pub fn excess(limit: Limit, point: OperatingPoint<'_>, allowed: f64) -> Option<Result<f64, Needs>> {
    let both = limit.at_point(point, allowed)?;
    Some(both.map(|[actual, allowed]| -limit.row().bound.room(actual, allowed)))
}

/// How sure a current has to be.
#[derive(Debug, Clone, Copy)]
pub struct Accuracy {
    /// Two curves through known points agree within this share of it.
    pub agree: f64,
    /// Else it is solved for within this share of it.
    pub solved: f64,
}

/// The first current at which an excess comes up to zero, from its values at rising currents (A): read off parabolas where those on
/// either side agree, else solved for. `None` where it does not.
///
/// # Errors
/// As `solve`.
pub fn first_met<E>(
    known: &[[f64; 2]],
    accuracy: Accuracy,
    solve: &mut dyn FnMut(f64) -> Result<f64, E>,
) -> Result<Option<f64>, E> {
    let Some(beyond) = known.iter().position(|[_, excess]| *excess >= 0.0) else {
        return Ok(None);
    };
    let value = |k: Option<usize>| k.and_then(|k| known.get(k)).copied();
    let (Some(low), Some(high)) = (value(beyond.checked_sub(1)), value(Some(beyond))) else {
        return Ok(Some(0.0));
    };
    let (before, after) = (value(beyond.checked_sub(2)), value(Some(beyond + 1)));
    let near = crossing(low, high, before.or(after));
    let other = crossing(low, high, after.or(before));
    if (near - other).abs() <= accuracy.agree * near {
        return Ok(Some(near));
    }
    let tolerance = Tolerance {
        width: accuracy.solved * high[0],
        value: 0.0,
    };
    match Bracket::of(low, high) {
        Ok(bracket) => bracket.root(tolerance, solve).map(Some),
        Err(end) => Ok(Some(end)),
    }
}

/// Where the parabola through two points of opposite sign and a third one, else the straight line, is zero between the two.
fn crossing(a: [f64; 2], b: [f64; 2], third: Option<[f64; 2]>) -> f64 {
    let slope = (b[1] - a[1]) / (b[0] - a[0]);
    let bend = third
        .filter(|c| (c[0] - a[0]).abs() > 0.0 && (c[0] - b[0]).abs() > 0.0)
        .map_or(0.0, |c| {
            ((c[1] - a[1]) / (c[0] - a[0]) - slope) / (c[0] - b[0])
        });
    root_between(a[0], b[0], Tolerance::fine(b[0]), |x| {
        a[1] + (x - a[0]) * (slope + bend * (x - b[0]))
    })
}
