//! What all limits together leave, and how their curves are read.

use crate::physics::envelope::{Curve, Envelope, LimitCurve};
use crate::physics::limit::Limit;

impl Envelope {
    /// The reach as far as the grid of currents goes: a bit beyond the first limit of current, where a supply is used.
    pub fn reach_in_use(&self) -> Vec<[f64; 3]> {
        self.reach_within(&|_| false)
    }

    /// What one rating alone leaves of that; nothing, where it is exceeded with nothing on the terminals.
    pub fn left_by(&self, rating: Limit) -> Vec<[f64; 3]> {
        if self.broken_everywhere.contains(&rating) {
            return Vec::new();
        }
        self.reach_within(&|limit| limit == rating)
    }

    fn reach_within(&self, counts: &dyn Fn(Limit) -> bool) -> Vec<[f64; 3]> {
        if self.reach.is_empty() {
            return Vec::new();
        }
        let end = self.amps.last().copied().unwrap_or(0.0);
        region(self, end, &|limit| counts(limit) || !limit.is_rating())
    }

    /// Lowest and highest allowed volts at `amps`; `None` where the envelope has no point.
    pub fn allowed_volts(&self, amps: f64) -> Option<[f64; 2]> {
        volts_within(&self.region, amps)
    }

    /// Lowest and highest volts that the supply regulates at `amps`; `None` where it regulates none.
    pub fn reach_volts(&self, amps: f64) -> Option<[f64; 2]> {
        volts_within(&self.reach, amps)
    }
}

/// Lowest and highest volts of a region at `amps`, between its neighbours; `None` outside.
fn volts_within(region: &[[f64; 3]], amps: f64) -> Option<[f64; 2]> {
    let above = region.partition_point(|p| p[0] < amps);
    let b = region.get(above)?;
    let Some(a) = above.checked_sub(1).and_then(|k| region.get(k)) else {
        return (b[0] <= amps).then_some([b[1], b[2]]);
    };
    let span = b[0] - a[0];
    let share = if span > 0.0 {
        (amps - a[0]) / span
    } else {
        1.0
    };
    Some([a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share])
}

impl LimitCurve {
    /// The current beyond which this limit leaves nothing (A), if there is one: a wall, or the end of a ceiling, for beyond that of the
    /// dropout line the bus has nothing left. Where a ceiling of the regulator ends above 0 V, it says nothing about what is beyond.
    pub fn end_amps(&self) -> Option<f64> {
        match &self.curve {
            Curve::Wall(amps) => Some(*amps),
            Curve::Ceiling(points) => {
                let [amps, volts] = *points.last()?;
                (self.limit == Limit::Dropout || volts <= 0.0).then_some(amps)
            }
            _ => None,
        }
    }
}

impl Curve {
    /// Highest (ceiling) or lowest (floor) allowed volts at `amps`; `None` where the curve says nothing.
    pub fn volts_at(&self, amps: f64) -> Option<f64> {
        let (Self::Ceiling(points) | Self::Floor(points)) = self else {
            return None;
        };
        volts_on(points, amps)
    }
}

/// Volts of a line of (A, V), rising in A, at `amps`; `None` beyond its ends.
pub(super) fn volts_on(points: &[[f64; 2]], amps: f64) -> Option<f64> {
    let above = points.partition_point(|p| p[0] < amps);
    let b = points.get(above)?;
    let Some(a) = above.checked_sub(1).and_then(|k| points.get(k)) else {
        return ((b[0] - amps).abs() <= 1e-12 * b[0].abs()).then_some(b[1]);
    };
    let span = b[0] - a[0];
    Some(if span > 0.0 {
        a[1] + (b[1] - a[1]) * (amps - a[0]) / span
    } else {
        b[1]
    })
}

/// A stretch nowhere higher than this share of its volts is none: nobody could set it, and the lines are known no better.
const SLIVER: f64 = 5e-4;

/// The part of the plane that is below every ceiling, above every floor and left of every wall of the limits that `counts` lets
/// through, up to a current (A): current, lowest and highest volts. Where several separate stretches of current are left, the widest.
pub(super) fn region(
    envelope: &Envelope,
    end: f64,
    counts: &dyn Fn(Limit) -> bool,
) -> Vec<[f64; 3]> {
    let counted: Vec<&LimitCurve> = (envelope.limits.iter())
        .filter(|line| counts(line.limit))
        .collect();
    let ends = counted.iter().filter_map(|line| line.end_amps());
    let end = ends.fold(end, f64::min);
    if end <= 0.0 {
        return Vec::new();
    }
    let that = |fits: fn(&Curve) -> bool| -> Vec<&Curve> {
        (counted.iter().map(|line| &line.curve))
            .filter(|curve| fits(curve))
            .collect()
    };
    let ceilings = that(|c| matches!(c, Curve::Ceiling(_)));
    let floors = that(|c| matches!(c, Curve::Floor(_)));
    let mut xs = envelope.amps.clone();
    for curve in ceilings.iter().chain(&floors) {
        if let Curve::Ceiling(points) | Curve::Floor(points) = curve {
            xs.extend(points.iter().map(|p| p[0]));
        }
    }
    xs.retain(|x| *x < end);
    xs.push(end);
    xs.sort_unstable_by(f64::total_cmp);
    xs.dedup_by(|a, b| (*a - *b).abs() <= 1e-12 * end);
    xs = with_crossings(&xs, &ceilings, &floors);
    let span_at = |x: f64| {
        let volts = |curves: &[&Curve], none: f64, best: fn(f64, f64) -> f64| {
            (curves.iter().filter_map(|curve| curve.volts_at(x))).fold(none, best)
        };
        let high = volts(&ceilings, f64::INFINITY, f64::min);
        [x, volts(&floors, 0.0, f64::max), high]
    };
    let mut runs: Vec<Vec<[f64; 3]>> = vec![Vec::new()];
    let mut before: Option<[f64; 3]> = None;
    for x in xs {
        let here = span_at(x);
        let open = |s: &[f64; 3]| s[2] - s[1];
        let tip = before
            .filter(|b| (open(b) < 0.0) != (open(&here) < 0.0))
            .map(|b| {
                let share = open(&b) / (open(&b) - open(&here));
                let volts = b[1] + (here[1] - b[1]) * share;
                [b[0] + (here[0] - b[0]) * share, volts, volts]
            });
        if open(&here) >= 0.0 {
            if let Some(run) = runs.last_mut() {
                run.extend(tip);
                run.push(here);
            }
        } else if let Some(tip) = tip {
            if let Some(run) = runs.last_mut() {
                run.push(tip);
            }
            runs.push(Vec::new());
        }
        before = Some(here);
    }
    // Where a floor and a ceiling are one and the same line, what is between them is no more than what their volts are uncertain by.
    runs.retain(|run| run.iter().any(|[_, low, high]| high - low > SLIVER * high));
    let width =
        |run: &[[f64; 3]]| run.last().map_or(0.0, |l| l[0]) - run.first().map_or(0.0, |f| f[0]);
    runs.into_iter()
        .max_by(|a, b| width(a).total_cmp(&width(b)))
        .unwrap_or_default()
}

/// The currents, and between them those at which another line becomes the lowest ceiling or the highest floor. Between two
/// neighbours every line is straight, so that is where both cross; a region without its corners would lose them.
fn with_crossings(xs: &[f64], ceilings: &[&Curve], floors: &[&Curve]) -> Vec<f64> {
    let mut all = Vec::with_capacity(xs.len() + 8);
    for (&from, &to) in xs.iter().zip(xs.iter().skip(1)) {
        all.push(from);
        let mut found: Vec<f64> = [(ceilings, 1.0), (floors, -1.0)]
            .into_iter()
            .filter_map(|(curves, sign)| crossing(curves, sign, [from, to]))
            .collect();
        found.sort_by(f64::total_cmp);
        all.extend(found);
    }
    all.extend(xs.last());
    all
}

/// Where the curve that is the least (by `sign`, 1 or −1, of its volts) at one end crosses that at the other; `None` where it is
/// the same.
fn crossing(curves: &[&Curve], sign: f64, [from, to]: [f64; 2]) -> Option<f64> {
    let least = |at: f64| {
        let known =
            (curves.iter().enumerate()).filter_map(|(k, c)| Some((k, sign * c.volts_at(at)?)));
        known.min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let ((first, first_volts), (last, last_volts)) = (least(from)?, least(to)?);
    if first == last {
        return None;
    }
    let other = |k: usize, at: f64| Some(sign * curves.get(k)?.volts_at(at)?);
    let (before, after) = (
        other(last, from)? - first_volts,
        other(first, to)? - last_volts,
    );
    let share = before / (before + after);
    (share > 1e-9 && share < 1.0 - 1e-9).then_some(from + share * (to - from))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::operation::Case;

    /// A ceiling that comes down to 0 V leaves nothing beyond; one of the regulator that ends higher says nothing there; beyond the
    /// dropout line's end there is no bus.
    #[test]
    fn what_ends_a_plane_is_told_from_what_only_ends() {
        for (limit, curve, want) in [
            (
                Limit::ControlPlateVolts,
                Curve::Ceiling(vec![[0.0, 90.0], [0.1, 0.0]]),
                Some(0.1),
            ),
            (
                Limit::ControlPlateVolts,
                Curve::Ceiling(vec![[0.0, 90.0], [0.1, 40.0]]),
                None,
            ),
            (
                Limit::Dropout,
                Curve::Ceiling(vec![[0.0, 90.0], [0.2, 40.0]]),
                Some(0.2),
            ),
            (Limit::WindingRms, Curve::Wall(0.3), Some(0.3)),
            (
                Limit::PlateVolts,
                Curve::Floor(vec![[0.0, 90.0], [0.1, 0.0]]),
                None,
            ),
        ] {
            let line = LimitCurve {
                limit,
                system: None,
                case: Case::Present,
                at_low_present_high: [curve.clone(), curve.clone(), curve.clone()],
                published: None,
                curve,
            };
            assert_eq!(line.end_amps(), want, "{line:?}");
        }
    }
}
