//! A dummy load against the envelope: which stretch of its line is allowed and what stops it at each end.

use crate::bench::derating::{bodies, celsius_at, most_by_volts, most_by_watts, seconds_at};
use crate::bench::networks::between_ohms;
use crate::parts::Dummy;
use crate::physics::envelope::{Curve, Envelope, LimitCurve};
use crate::physics::limit::Limit;

/// What ends a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The origin: the line starts there.
    Origin,
    /// A limit of the supply.
    Limit(Limit),
    /// The resistor's own power, derated.
    OwnPower,
    /// The resistor's own working volts.
    OwnVolts,
    /// The supply cannot give more current: the bus collapses.
    Collapse,
}

/// A stretch of the load line on which nothing is exceeded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Its lower end (A, V).
    pub from: [f64; 2],
    /// What ends it below.
    pub from_end: End,
    /// Its upper end (A, V).
    pub to: [f64; 2],
    /// What ends it above.
    pub to_end: End,
}

impl Stretch {
    /// Watts in the resistor at the upper end.
    pub fn to_watts(&self) -> f64 {
        self.to[0] * self.to[1]
    }

    /// The place after a share of the way from its lower end (A, V).
    pub fn at(&self, share: f64) -> [f64; 2] {
        let ([a, b], [c, d]) = (self.from, self.to);
        [a + share * (c - a), b + share * (d - b)]
    }
}

/// A dummy load against the envelope.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadLine {
    /// Resistance (Ω).
    pub ohms: f64,
    /// Lowest and highest resistance by its tolerance (Ω).
    pub between_ohms: [f64; 2],
    /// Allowed stretches of the supply and the resistor together, lowest first.
    pub stretches: Vec<Stretch>,
    /// Allowed stretches of the supply alone, lowest first.
    pub supply_stretches: Vec<Stretch>,
    /// What the supply does on this line at all, whatever its ratings say, as far as the resistor bears it; lowest first.
    pub reach: Vec<Stretch>,
    /// Highest point (A, V) that the resistor itself allows, and why; `None` if neither of its ratings is known.
    pub own_end: Option<([f64; 2], End)>,
    /// Limits of the supply that are exceeded with nothing connected, whatever the resistor.
    pub broken_everywhere: Vec<Limit>,
}

/// The power that a dummy bears for long where it is mounted (W): of several resistors together that at which the first of them has
/// what it bears; `None` where that is not known.
pub fn bears_watts(dummy: &Dummy) -> Option<f64> {
    let volts = most_by_watts(&bodies(dummy))?;
    Some(volts * volts / dummy.resistance.0)
}

/// How hot a dummy gets, and how long it bears where the supply alone would let it go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strain {
    /// The hottest surface at the upper end of what is allowed (°C), where its kind is known.
    pub celsius: Option<f64>,
    /// Where its own ratings stop it before the supply does: how long it bears the supply's own end (V), in seconds, and those
    /// volts.
    pub beyond: Option<(f64, f64)>,
}

impl LoadLine {
    /// The share of its own derated power that a dummy takes at the upper end of what is allowed, or where nothing is, at the end
    /// of the supply's reach; `None` where its power is not known or the line has no such end.
    pub fn own_share(&self, dummy: &Dummy) -> Option<f64> {
        let end = self.stretches.last().or(self.reach.last())?;
        Some(end.to_watts() / bears_watts(dummy)?)
    }

    /// What the dummy goes through at the upper end of what is allowed, and beyond it.
    pub fn strain(&self, dummy: &Dummy) -> Strain {
        let bodies = bodies(dummy);
        let end = self.stretches.last();
        let by_itself = end.is_some_and(|end| matches!(end.to_end, End::OwnPower | End::OwnVolts));
        let supply = self.supply_stretches.last().map(|stretch| stretch.to[1]);
        let beyond =
            supply.filter(|volts| by_itself && end.is_some_and(|end| *volts > 1.001 * end.to[1]));
        Strain {
            celsius: end.and_then(|end| celsius_at(&bodies, end.to[1])),
            beyond: beyond.and_then(|volts| Some((seconds_at(&bodies, volts)?, volts))),
        }
    }
}

/// Puts a dummy load against the envelope. Limits that are broken with nothing on the terminals do not
/// shorten a stretch: no resistor mends them; they stand beside it in [`LoadLine::broken_everywhere`].
pub fn load_line(envelope: &Envelope, dummy: &Dummy) -> LoadLine {
    let ohms = dummy.resistance.0;
    let grid_end = envelope.amps.last().copied().unwrap_or(0.0);
    let supply_stretches = stretches(envelope, ohms, grid_end, |_| true);
    let reach_end = envelope.reach.last().map_or(0.0, |r| r[0]);
    let own_end = own_end(dummy);
    let as_it_bears = |all: &[Stretch]| {
        let all = all.iter();
        all.filter_map(|s| clipped(s, own_end)).collect()
    };
    LoadLine {
        ohms,
        between_ohms: match &dummy.made_of {
            Some(made_of) => between_ohms(made_of),
            None => [-1.0, 1.0].map(|sign| ohms * (1.0 + sign * dummy.tolerance.0)),
        },
        stretches: as_it_bears(&supply_stretches),
        reach: as_it_bears(&stretches(envelope, ohms, reach_end, |limit| {
            !limit.is_rating()
        })),
        supply_stretches,
        own_end,
        broken_everywhere: envelope.broken_everywhere.clone(),
    }
}

/// Where the resistor's own ratings end its line: `V = √(P·R)` with the derated power, or its working volts.
fn own_end(dummy: &Dummy) -> Option<([f64; 2], End)> {
    let ohms = dummy.resistance.0;
    let bodies = bodies(dummy);
    let by_power = most_by_watts(&bodies).map(|volts| (volts, End::OwnPower));
    let of_whole = dummy.working_volts.map(|volts| volts.0);
    let by_volts = [most_by_volts(&bodies), of_whole].into_iter().flatten();
    let by_volts = by_volts
        .reduce(f64::min)
        .map(|volts| (volts, End::OwnVolts));
    let (volts, end) = [by_power, by_volts]
        .into_iter()
        .flatten()
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(([volts / ohms, volts], end))
}

fn clipped(stretch: &Stretch, own_end: Option<([f64; 2], End)>) -> Option<Stretch> {
    match own_end {
        Some((at, _)) if at[0] <= stretch.from[0] => None,
        Some((at, end)) if at[0] < stretch.to[0] => Some(Stretch {
            to: at,
            to_end: end,
            ..*stretch
        }),
        _ => Some(*stretch),
    }
}

/// Where the ray `V = I·R` meets a boundary (A).
pub(in crate::bench) fn crossings(curve: &Curve, ohms: f64) -> Vec<f64> {
    match curve {
        Curve::Wall(amps) => vec![*amps],
        Curve::Ceiling(points) | Curve::Floor(points) => {
            let above = |p: &[f64; 2]| p[1] - p[0] * ohms;
            points
                .iter()
                .zip(points.iter().skip(1))
                .filter(|(a, b)| (above(a) < 0.0) != (above(b) < 0.0))
                .map(|(a, b)| a[0] + (b[0] - a[0]) * above(a) / (above(a) - above(b)))
                .collect()
        }
        Curve::Everywhere(_) | Curve::OutOfReach | Curve::NotKnown(_) => Vec::new(),
    }
}

/// True if a boundary allows a place of the plane (A, V).
pub(in crate::bench) fn allows(line: &LimitCurve, amps: f64, volts: f64) -> bool {
    if line.end_amps().is_some_and(|end| amps > end) {
        return false;
    }
    let curve = &line.curve;
    match curve {
        Curve::Ceiling(_) => curve.volts_at(amps).is_none_or(|most| volts <= most),
        Curve::Floor(_) => curve.volts_at(amps).is_none_or(|least| volts >= least),
        Curve::Wall(_) | Curve::Everywhere(_) | Curve::OutOfReach | Curve::NotKnown(_) => true,
    }
}

/// The stretches that the limits which `counts` lets through leave of the line of a load (Ω) up to a current (A).
fn stretches(envelope: &Envelope, ohms: f64, end: f64, counts: fn(Limit) -> bool) -> Vec<Stretch> {
    let counted = || envelope.limits.iter().filter(|line| counts(line.limit));
    let mut breaks: Vec<(f64, End)> = vec![(0.0, End::Origin), (end, End::Collapse)];
    for line in counted() {
        breaks.extend(
            crossings(&line.curve, ohms)
                .into_iter()
                .filter(|i| 0.0 < *i && *i < end)
                .map(|i| (i, End::Limit(line.limit))),
        );
    }
    breaks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut stretches: Vec<Stretch> = Vec::new();
    for (from, to) in breaks.iter().zip(breaks.iter().skip(1)) {
        let middle = 0.5 * (from.0 + to.0);
        if to.0 - from.0 <= 1e-12 * end || !counted().all(|l| allows(l, middle, middle * ohms)) {
            continue;
        }
        let at = |amps: f64| [amps, amps * ohms];
        match stretches.last_mut() {
            Some(open) if (open.to[0] - from.0).abs() <= 1e-9 * end => {
                open.to = at(to.0);
                open.to_end = to.1;
            }
            _ => stretches.push(Stretch {
                from: at(from.0),
                from_end: from.1,
                to: at(to.0),
                to_end: to.1,
            }),
        }
    }
    stretches
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Fraction, Mounting, Ohms, Volts, Watts};
    use crate::physics::operation::Case;

    /// A plane of 1 A without a limit: what ends a stretch is the resistor or the plane.
    fn bare_plane() -> Envelope {
        Envelope {
            amps: vec![0.0, 0.5, 1.0],
            columns: Vec::new(),
            limits: Vec::new(),
            region: Vec::new(),
            reach: Vec::new(),
            lost_regulation: Vec::new(),
            broken_everywhere: Vec::new(),
            kept: None,
        }
    }

    /// `V = √(P·R)`: 100 W derated to 64 % at 10 kΩ are 800 V, 80 mA.
    #[test]
    fn a_resistor_ends_at_its_derated_power_or_its_working_volts() {
        for (derating, working_volts, volts, end) in [
            (1.0, None, 1000.0, End::OwnPower),
            (0.64, None, 800.0, End::OwnPower),
            (0.64, Some(900.0), 800.0, End::OwnPower),
            (0.64, Some(700.0), 700.0, End::OwnVolts),
        ] {
            let dummy = Dummy {
                name: String::new(),
                resistance: Ohms(10e3),
                power: Some(Watts(100.0)),
                working_volts: working_volts.map(Volts),
                tolerance: Fraction(0.0),
                derating: Some(Fraction(derating)),
                kind: None,
                mounting: Mounting::FreeAir,
                made_of: None,
            };
            let line = load_line(&bare_plane(), &dummy);
            let [stretch] = line.stretches.as_slice() else {
                panic!("one stretch: {line:?}");
            };
            assert_eq!(stretch.to_end, end, "{derating} {working_volts:?}");
            let miss = (stretch.to[1] - volts).abs() + (stretch.to[0] - volts / 10e3).abs();
            assert!(miss < 1e-9, "{:?}, wanted {volts} V", stretch.to);
            let alone = line.supply_stretches[0];
            assert_eq!(alone.to_end, End::Collapse, "{alone:?}");
        }
    }

    /// Ohm's law: 1 kΩ passes a floor of 100 V at 100 mA and a ceiling of 300 V at 300 mA; between them it is good.
    #[test]
    fn a_line_is_good_from_the_floor_to_the_ceiling() {
        let line = |limit: Limit, curve: Curve| LimitCurve {
            limit,
            system: None,
            case: Case::Present,
            at_low_present_high: [curve.clone(), curve.clone(), curve.clone()],
            published: None,
            curve,
        };
        let level = |volts: f64| vec![[0.0, volts], [1.0, volts]];
        let envelope = Envelope {
            limits: vec![
                line(Limit::PlateVolts, Curve::Floor(level(100.0))),
                line(Limit::Dropout, Curve::Ceiling(level(300.0))),
                line(Limit::RectifierDc, Curve::Wall(0.5)),
            ],
            ..bare_plane()
        };
        let dummy = Dummy {
            name: String::new(),
            resistance: Ohms(1e3),
            power: None,
            working_volts: None,
            tolerance: Fraction(0.0),
            derating: None,
            kind: None,
            mounting: Mounting::FreeAir,
            made_of: None,
        };
        let found = load_line(&envelope, &dummy);
        let [good] = found.stretches.as_slice() else {
            panic!("one stretch: {found:?}");
        };
        let ends = [End::Limit(Limit::PlateVolts), End::Limit(Limit::Dropout)];
        assert_eq!([good.from_end, good.to_end], ends);
        let miss = (good.from[0] - 0.1).abs() + (good.to[0] - 0.3).abs();
        assert!(miss < 1e-12, "{good:?}");
    }
}
