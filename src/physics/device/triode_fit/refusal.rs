//! What cannot be a triode: found before and after a fit, named with the points concerned.

use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::physics::device::triode;

/// Currents of two points may be this much in the wrong order before they contradict each other: both were measured or
/// read off a printed curve, with 10 % each at worst (common practice, no source).
pub(super) const READING: f64 = 0.20;
/// A wrong order of this much explains why no law fits, if none does; if one does, it is worth a second look.
pub(super) const LITTLE: f64 = 0.05;
/// Published µ, rp and gm are each rounded to two figures; they may differ this much from µ = gm · rp.
const FIGURES: f64 = 0.10;
/// A fitted law that misses a point by more than this in current, and by more than [`FAR_VOLTS`] of the largest plate
/// volts, was given something that is no triode, or a slip in a unit.
const FAR_AMPS: f64 = 0.4;
const FAR_VOLTS: f64 = 0.06;
/// So does one that has twice or half the current, if half as many volts lie between.
const TWICE: f64 = 2.0;
/// A law with one point and figures goes through that point; if it misses it by more than this, they do not belong together.
const FAR_ALONE: f64 = 0.1;
/// Along one grid line a triode's current rises about as the plate volts or faster; a pentode's hardly does. Between the
/// two lies this power of the plate volts, over points whose plate volts are this many times apart.
const PENTODE_POWER: f64 = 0.4;
const PENTODE_APART: f64 = 1.5;
/// Grid volts times µ may exceed the plate volts by this factor where a current still flows: a real cut-off is gradual.
const CUT_OFF: f64 = 1.3;
/// Where a curve is drawn as cut off the law may still have this share of the largest current: the foot is gradual.
const IDLE: f64 = 0.15;

/// Why no law could be fitted. Points and figures are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FitError {
    /// Nothing says how much current flows.
    NoPoint,
    /// Neither µ nor a second grid voltage: the grid's effect is unknown.
    NoGridEffect,
    /// A point whose plate volts or current are not above zero.
    NotAboveZero(usize),
    /// A µ, plate resistance or transconductance that is not above zero.
    FigureNotAboveZero(usize),
    /// The second point has no less plate and grid volts than the first, and yet less current.
    CurrentFalls {
        /// The point with more current.
        first: usize,
        /// The point with more volts.
        second: usize,
    },
    /// All points but one are of one triode.
    OneMisread {
        /// The one that is not.
        point: usize,
        /// Current that the others lead one to expect there (A).
        law_amps: f64,
    },
    /// From the first point to the second the current hardly rises with the plate volts: a pentode's curve.
    Pentode {
        /// The point with less plate volts.
        first: usize,
        /// The point with more.
        second: usize,
    },
    /// With the published µ the grid of this point cuts the tube off, and yet it conducts.
    CutOff {
        /// The point.
        point: usize,
        /// The amplification factor given.
        mu: f64,
    },
    /// The three figures do not agree with µ = gm · rp.
    FiguresDisagree {
        /// Which.
        figures: usize,
        /// The amplification factor given.
        mu: f64,
        /// Transconductance times plate resistance.
        product: f64,
    },
    /// No triode law comes near this point.
    FarOff {
        /// The point that is missed most.
        point: usize,
        /// Current of the nearest law there (A).
        law_amps: f64,
    },
    /// The search came to no end.
    NoAgreement,
}

impl FitError {
    /// The same, with a point counted among those of the list counted by their places.
    pub(super) fn among(self, places: &[usize]) -> Self {
        let place = |point: usize| places.get(point).copied().unwrap_or(point);
        match self {
            Self::FarOff { point, law_amps } => Self::FarOff {
                point: place(point),
                law_amps,
            },
            Self::OneMisread { point, law_amps } => Self::OneMisread {
                point: place(point),
                law_amps,
            },
            other => other,
        }
    }
}

/// True if one misread point could be behind it.
pub(super) fn may_be_misread(fault: &FitError) -> bool {
    matches!(
        fault,
        FitError::CurrentFalls { .. } | FitError::Pentode { .. }
    )
}

/// The first thing in the figures that no triode can have.
pub(super) fn contradiction(
    points: &[PlatePoint],
    small_signal: &[SmallSignal],
) -> Option<FitError> {
    if points.iter().all(is_idle) {
        return Some(FitError::NoPoint);
    }
    let above = |value: f64| value.is_finite() && value > 0.0;
    if let Some(point) = points.iter().position(|p| {
        !(is_idle(p) || above(p.plate.0) && above(p.current.0) && p.grid.0.is_finite())
    }) {
        return Some(FitError::NotAboveZero(point));
    }
    for (place, figures) in small_signal.iter().enumerate() {
        let (mu, rp, gm) = numbers(figures);
        if [mu, rp, gm]
            .into_iter()
            .flatten()
            .any(|value| !above(value))
        {
            return Some(FitError::FigureNotAboveZero(place));
        }
        if let (Some(mu), Some(rp), Some(gm)) = (mu, rp, gm)
            && (gm * rp / mu - 1.0).abs() > FIGURES
        {
            return Some(FitError::FiguresDisagree {
                figures: place,
                mu,
                product: gm * rp,
            });
        }
    }
    falling(points, READING)
        .or_else(|| cut_off(points, small_signal))
        .or_else(|| flat(points))
}

/// A point without current, as the foot of a published curve is: it says where the tube is cut off, and no law goes
/// through it.
pub(super) fn is_idle(point: &PlatePoint) -> bool {
    point.current.0 == 0.0
        && point.plate.0 >= 0.0
        && point.plate.0.is_finite()
        && point.grid.0.is_finite()
}

fn cut_off(points: &[PlatePoint], small_signal: &[SmallSignal]) -> Option<FitError> {
    small_signal.iter().find_map(|figures| {
        let mu = figures.mu?;
        let point = points.iter().position(|p| {
            p.plate == figures.plate && p.grid == figures.grid && p.current.0 > 0.0
        })?;
        (-mu * figures.grid.0 > CUT_OFF * figures.plate.0).then_some(FitError::CutOff { point, mu })
    })
}

/// Most pairs along the grid lines rise as little as a pentode's.
fn flat(points: &[PlatePoint]) -> Option<FitError> {
    let (mut pairs, mut flat) = (0, Vec::new());
    for (first, a) in points.iter().enumerate().filter(|(_, a)| !is_idle(a)) {
        for (second, b) in points.iter().enumerate() {
            let apart = b.plate.0 / a.plate.0;
            if a.grid != b.grid || apart < PENTODE_APART {
                continue;
            }
            pairs += 1;
            if (b.current.0 / a.current.0).ln() < PENTODE_POWER * apart.ln() {
                flat.push(FitError::Pentode { first, second });
            }
        }
    }
    let most = 2 * flat.len() > pairs;
    flat.into_iter().next().filter(|_| most)
}

/// µ, rp and gm as bare numbers.
pub(super) fn numbers(figures: &SmallSignal) -> (Option<f64>, Option<f64>, Option<f64>) {
    (
        figures.mu,
        figures.plate_resistance.map(|r| r.0),
        figures.transconductance.map(|g| g.0),
    )
}

/// Two points whose currents are in the wrong order by more than `reading`, a share of the larger one.
pub(super) fn falling(points: &[PlatePoint], reading: f64) -> Option<FitError> {
    (0..points.len()).find_map(|first| {
        let second = fallen_from(points, first, reading).next()?;
        Some(FitError::CurrentFalls { first, second })
    })
}

/// The points that have no less volts than this one, and yet less current.
pub(super) fn fallen_from(
    points: &[PlatePoint],
    first: usize,
    reading: f64,
) -> impl Iterator<Item = usize> {
    points.iter().enumerate().filter_map(move |(second, b)| {
        let a = points.get(first)?;
        let more_volts = b.plate >= a.plate && b.grid >= a.grid;
        let less_current = b.current.0 < a.current.0 * (1.0 - reading);
        (first != second && more_volts && less_current).then_some(second)
    })
}

/// The two points that are most in the wrong order, and by what share; none within [`LITTLE`].
pub(super) fn most_fallen(points: &[PlatePoint]) -> Option<(usize, usize, f64)> {
    let by = |first: usize, second: usize| {
        let (a, b) = (points.get(first)?, points.get(second)?);
        Some(1.0 - b.current.0 / a.current.0)
    };
    (0..points.len())
        .flat_map(|first| {
            fallen_from(points, first, LITTLE)
                .filter_map(move |second| Some((first, second, by(first, second)?)))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2))
}

/// A point without current at which the law has a good deal of the largest one.
pub(super) fn awake(points: &[PlatePoint], fit: &super::Fit) -> Option<FitError> {
    let most_amps = fit.points.iter().map(|p| p.current.0).fold(0.0, f64::max);
    points
        .iter()
        .enumerate()
        .filter(|(_, p)| is_idle(p))
        .map(|(point, p)| {
            let law_amps = triode::plate_amps(&fit.law, p.plate.0, p.grid.0);
            FitError::FarOff { point, law_amps }
        })
        .find(|fault| matches!(fault, FitError::FarOff { law_amps, .. } if *law_amps > IDLE * most_amps))
}

/// The point that a fitted law misses by more than any reading error.
pub(super) fn far_off(points: &[PlatePoint], misses: &[super::PointMiss]) -> Option<FitError> {
    let most_volts = points.iter().map(|p| p.plate.0).fold(0.0, f64::max);
    let far = misses
        .iter()
        .enumerate()
        .filter(|(_, miss)| {
            let by_volts = |share: f64| miss.volts_off.is_none_or(|v| v.abs() > share * most_volts);
            let ratio = 1.0 + miss.relative;
            let twice = !(TWICE.recip()..=TWICE).contains(&ratio);
            let far = miss.relative.abs() > FAR_AMPS && by_volts(FAR_VOLTS);
            let alone = points.len() == 1 && miss.relative.abs() > FAR_ALONE;
            far || twice && by_volts(FAR_VOLTS / 2.0) || alone
        })
        .max_by(|(_, a), (_, b)| a.relative.abs().total_cmp(&b.relative.abs()));
    far.map(|(point, miss)| FitError::FarOff {
        point,
        law_amps: miss.law_amps,
    })
}
