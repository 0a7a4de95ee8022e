//! What is met first from a point, going up, going down, to the right and along a load; and from a point outside the
//! shortest ways back. Read off the curves; cheap enough for a pointer that moves.

use crate::bench::load_line::{allows, crossings};
use crate::physics::envelope::{Curve, Envelope};
use crate::physics::limit::Limit;

/// The first limit in one direction and where it stands (V going up or down, A going right).
pub type Met = (Limit, f64);

/// What is met first in each direction; `None` where nothing is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FirstMet {
    /// Going up (V).
    pub up: Option<Met>,
    /// Going down (V).
    pub down: Option<Met>,
    /// To the right (A).
    pub right: Option<Met>,
    /// Up the load line that was chosen, if the point stands on it (A, V).
    pub along: Option<(Limit, [f64; 2])>,
    /// The one of these that a part decides and that one runs into first: up the load line, else the nearest as a share of the
    /// envelope's width and height.
    pub first: Option<Limit>,
}

/// What is met first from a point (A, V); `ohms` is the load line that was chosen, if the point stands on it.
pub fn first_met(envelope: &Envelope, [amps, volts]: [f64; 2], ohms: Option<f64>) -> FirstMet {
    let mut out = FirstMet::default();
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
    out.along = ohms.and_then(|ohms| along(envelope, amps, ohms));
    out.first = first(&out, [amps, volts], size(envelope));
    out
}

/// True for a point (A, V) on the line of a load (Ω): within a hundredth, as a hand sets it.
pub fn stands_on([amps, volts]: [f64; 2], ohms: f64) -> bool {
    volts > 0.0 && (amps * ohms - volts).abs() <= 0.01 * volts
}

/// What is met first up a load line.
fn along(envelope: &Envelope, amps: f64, ohms: f64) -> Option<(Limit, [f64; 2])> {
    let met = envelope.limits.iter().flat_map(|line| {
        let ahead = crossings(&line.curve, ohms).into_iter();
        ahead.filter(|at| *at > amps).map(|at| (line.limit, at))
    });
    met.min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(limit, at)| (limit, [at, at * ohms]))
}

/// The ends of the knob: no part decides them.
pub fn is_knob(limit: Limit) -> bool {
    matches!(limit, Limit::SetRangeHigh | Limit::SetRangeLow)
}

fn first(met: &FirstMet, [amps, volts]: [f64; 2], [wide, high]: [f64; 2]) -> Option<Limit> {
    if let Some((limit, _)) = met.along.filter(|(limit, _)| !is_knob(*limit)) {
        return Some(limit);
    }
    [
        met.up.map(|(limit, at)| (limit, (at - volts) / high)),
        met.right.map(|(limit, at)| (limit, (at - amps) / wide)),
        met.down.map(|(limit, at)| (limit, (volts - at) / high)),
    ]
    .into_iter()
    .flatten()
    .filter(|(limit, _)| !is_knob(*limit))
    .min_by(|a, b| a.1.total_cmp(&b.1))
    .map(|(limit, _)| limit)
}

/// Width and height of the envelope (A, V), for comparing ways in different units; of the grid where nothing is allowed.
fn size(envelope: &Envelope) -> [f64; 2] {
    let wide = envelope.region.last().map(|column| column[0]);
    let high = (envelope.region.iter().map(|column| column[2])).reduce(f64::max);
    [
        wide.or(envelope.amps.last().copied())
            .unwrap_or(0.0)
            .max(1e-6),
        high.filter(|v| v.is_finite()).unwrap_or(0.0).max(1e-3),
    ]
}

/// What one adjusts to come back inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Adjustment {
    /// Only the volts change.
    Volts,
    /// Only the current changes.
    Amps,
    /// Along the chosen load line.
    Load,
    /// Both change.
    Both,
}

/// Ways back inside from a point outside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WaysBack {
    /// Where each way ends, on the envelope's edge (A, V); the shortest first, as a share of the envelope's width and height.
    /// `Both` only where there is no other.
    pub ways: Vec<(Adjustment, [f64; 2])>,
    /// Limits that are exceeded with nothing on the terminals: no way leads back, the part has to change.
    pub never: Vec<Limit>,
    /// True where not one place of the plane is inside.
    pub nothing_is_inside: bool,
}

/// The ways back from a point (A, V); `ohms` as for [`first_met`]. There is none where the point is inside.
pub fn ways_back(envelope: &Envelope, at: [f64; 2], ohms: Option<f64>) -> WaysBack {
    if !envelope.broken_everywhere.is_empty() {
        return WaysBack {
            never: envelope.broken_everywhere.clone(),
            ..WaysBack::default()
        };
    }
    let [amps, volts] = at;
    let end = envelope.amps.last().copied().unwrap_or(0.0);
    if amps <= end && is_allowed(envelope, at) {
        return WaysBack::default();
    }
    let scale = size(envelope);
    let top = volts.max(2.0 * scale[1]);
    let mut ways: Vec<(Adjustment, [f64; 2])> = Vec::new();
    if amps <= end {
        let back = nearest(envelope, [[amps, 0.0], [amps, top]], at);
        ways.extend(back.map(|to| (Adjustment::Volts, to)));
    }
    let back = nearest(envelope, [[0.0, volts], [end, volts]], at);
    ways.extend(back.map(|to| (Adjustment::Amps, to)));
    if let Some(ohms) = ohms {
        let back = nearest(envelope, [[0.0, 0.0], [end, end * ohms]], at);
        ways.extend(back.map(|to| (Adjustment::Load, to)));
    }
    if ways.is_empty() {
        ways.extend(corner(envelope, at).map(|to| (Adjustment::Both, to)));
    }
    ways.sort_by(|a, b| distance(a.1, at, scale).total_cmp(&distance(b.1, at, scale)));
    WaysBack {
        nothing_is_inside: ways.is_empty(),
        ways,
        never: Vec::new(),
    }
}

fn distance(a: [f64; 2], b: [f64; 2], [wide, high]: [f64; 2]) -> f64 {
    ((a[0] - b[0]) / wide).hypot((a[1] - b[1]) / high)
}

fn is_allowed(envelope: &Envelope, [amps, volts]: [f64; 2]) -> bool {
    envelope.limits.iter().all(|line| allows(line, amps, volts))
}

/// The place on a straight line, from end to end, that is allowed and nearest to a point of it.
fn nearest(envelope: &Envelope, [a, b]: [[f64; 2]; 2], at: [f64; 2]) -> Option<[f64; 2]> {
    let place = |share: f64| [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
    let mut breaks = vec![0.0, 1.0];
    for line in &envelope.limits {
        passes(&line.curve, [a, b], &mut breaks);
    }
    breaks.sort_by(f64::total_cmp);
    let scale = size(envelope);
    breaks
        .iter()
        .zip(breaks.iter().skip(1))
        .filter(|(from, to)| *to - *from > 1e-9 && is_allowed(envelope, place(0.5 * (*from + *to))))
        .flat_map(|(from, to)| [place(*from), place(*to)])
        .min_by(|p, q| distance(*p, at, scale).total_cmp(&distance(*q, at, scale)))
}

/// Shares of the way along a straight line at which a curve passes it.
fn passes(curve: &Curve, [a, b]: [[f64; 2]; 2], shares: &mut Vec<f64>) {
    let points = match curve {
        Curve::Wall(at) => {
            let share = (at - a[0]) / (b[0] - a[0]);
            shares.extend((0.0 < share && share < 1.0).then_some(share));
            return;
        }
        Curve::Ceiling(points) | Curve::Floor(points) => points,
        Curve::Everywhere(_) | Curve::OutOfReach | Curve::NotKnown(_) => return,
    };
    // Which side of the line a point is on, and how far.
    let side = |p: &[f64; 2]| (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
    let length = (b[0] - a[0]).abs() > 0.0;
    for (p, q) in points.iter().zip(points.iter().skip(1)) {
        let (before, after) = (side(p), side(q));
        if (before < 0.0) == (after < 0.0) {
            continue;
        }
        let on = before / (before - after);
        let at = [p[0] + (q[0] - p[0]) * on, p[1] + (q[1] - p[1]) * on];
        let share = if length {
            (at[0] - a[0]) / (b[0] - a[0])
        } else {
            (at[1] - a[1]) / (b[1] - a[1])
        };
        shares.extend((0.0 < share && share < 1.0).then_some(share));
    }
    // A line that ends inside the plane ends what is allowed as well.
    for p in [points.first(), points.last()].into_iter().flatten() {
        let share = (p[0] - a[0]) / (b[0] - a[0]);
        shares.extend((0.0 < share && share < 1.0).then_some(share));
    }
}

/// The place of the envelope that is nearest to a point, whichever way one has to go.
fn corner(envelope: &Envelope, at: [f64; 2]) -> Option<[f64; 2]> {
    let [wide, high] = size(envelope);
    let columns = &envelope.region;
    let edge = |k: usize| columns.iter().map(move |c| [c[0], c[k]]);
    // Along the top to the right, and back below: its outline.
    let outline: Vec<[f64; 2]> = edge(2)
        .chain(edge(1).rev())
        .chain(edge(2).take(1))
        .collect();
    outline
        .iter()
        .zip(outline.iter().skip(1))
        .map(|(p, q)| {
            let [x, y] = [(q[0] - p[0]) / wide, (q[1] - p[1]) / high];
            let towards = (at[0] - p[0]) / wide * x + (at[1] - p[1]) / high * y;
            let share = (towards / (x * x + y * y).max(1e-12)).clamp(0.0, 1.0);
            [p[0] + (q[0] - p[0]) * share, p[1] + (q[1] - p[1]) * share]
        })
        .filter(|p| p[0].is_finite() && p[1].is_finite())
        .min_by(|p, q| distance(*p, at, [wide, high]).total_cmp(&distance(*q, at, [wide, high])))
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

#[cfg(test)]
mod tests;
