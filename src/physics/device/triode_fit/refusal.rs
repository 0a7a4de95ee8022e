//! What cannot be a triode: found before and after a fit, named with the points concerned.

use crate::parts::pass_stage::{PlatePoint, SmallSignal};

/// Currents of two points may be this much in the wrong order before they contradict each other: both were read off
/// a printed curve, with 5 % each (common practice, no source).
const READING: f64 = 0.10;
/// Published µ, rp and gm are each rounded to two figures; they may differ this much from µ = gm · rp.
const FIGURES: f64 = 0.10;
/// A fitted law that misses a point by more than this in current, and by more than [`FAR_VOLTS`] of the largest plate
/// volts, was given something that is no triode, or a slip in a unit.
const FAR_AMPS: f64 = 0.4;
const FAR_VOLTS: f64 = 0.06;

/// Why no law could be fitted. Points and figures are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum FitError {
    /// Nothing says how much current flows.
    #[error("a point with plate volts, grid volts and a current")]
    NoPoint,
    /// Neither µ nor a second grid voltage: the grid's effect is unknown.
    #[error("the amplification factor, or points at two grid voltages")]
    NoGridEffect,
    /// A point whose plate volts or current are not above zero.
    #[error("plate volts and current above zero in point {0}")]
    NotAboveZero(usize),
    /// A µ, plate resistance or transconductance that is not above zero.
    #[error("µ, rp and gm above zero in figures {0}")]
    FigureNotAboveZero(usize),
    /// The second point has no less plate and grid volts than the first, and yet less current.
    #[error("a current that rises with the volts from point {first} to point {second}")]
    CurrentFalls {
        /// The point with more current.
        first: usize,
        /// The point with more volts.
        second: usize,
    },
    /// The three figures do not agree with µ = gm · rp.
    #[error("figures {figures} with µ = gm · rp: {product} instead of {mu}")]
    FiguresDisagree {
        /// Which.
        figures: usize,
        /// The amplification factor given.
        mu: f64,
        /// Transconductance times plate resistance.
        product: f64,
    },
    /// No triode law comes near this point.
    #[error("points of one triode: the nearest law has {law_amps} A at point {point}")]
    FarOff {
        /// The point that is missed most.
        point: usize,
        /// Current of the nearest law there (A).
        law_amps: f64,
    },
    /// The search came to no end.
    #[error("published figures that agree with each other")]
    NoAgreement,
}

/// The first thing in the figures that no triode can have.
pub(super) fn contradiction(
    points: &[PlatePoint],
    small_signal: &[SmallSignal],
) -> Option<FitError> {
    if points.is_empty() {
        return Some(FitError::NoPoint);
    }
    let above = |value: f64| value.is_finite() && value > 0.0;
    if let Some(point) = points
        .iter()
        .position(|p| !(above(p.plate.0) && above(p.current.0) && p.grid.0.is_finite()))
    {
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
    falling(points)
}

/// µ, rp and gm as bare numbers.
pub(super) fn numbers(figures: &SmallSignal) -> (Option<f64>, Option<f64>, Option<f64>) {
    (
        figures.mu,
        figures.plate_resistance.map(|r| r.0),
        figures.transconductance.map(|g| g.0),
    )
}

fn falling(points: &[PlatePoint]) -> Option<FitError> {
    for (first, a) in points.iter().enumerate() {
        for (second, b) in points.iter().enumerate() {
            let more_volts = b.plate >= a.plate && b.grid >= a.grid;
            if first != second && more_volts && b.current.0 < a.current.0 * (1.0 - READING) {
                return Some(FitError::CurrentFalls { first, second });
            }
        }
    }
    None
}

/// The point that a fitted law misses by more than any reading error.
pub(super) fn far_off(points: &[PlatePoint], misses: &[super::PointMiss]) -> Option<FitError> {
    let most_volts = points.iter().map(|p| p.plate.0).fold(0.0, f64::max);
    let far = misses
        .iter()
        .enumerate()
        .filter(|(_, miss)| {
            let by_volts = miss
                .volts_off
                .is_none_or(|v| v.abs() > FAR_VOLTS * most_volts);
            by_volts && miss.relative.abs() > FAR_AMPS
        })
        .max_by(|(_, a), (_, b)| a.relative.abs().total_cmp(&b.relative.abs()));
    far.map(|(point, miss)| FitError::FarOff {
        point,
        law_amps: miss.law_amps,
    })
}
