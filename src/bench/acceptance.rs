//! Which rating takes most of what the supply does, and how far a rating would have to be accepted as built.

use crate::bench::change::area;
use crate::physics::envelope::{Column, Curve, Envelope};
use crate::physics::failure::Failure;
use crate::physics::limit::{Bound, Limit, OperatingPoint, Unloaded, judging_cases, published};
use crate::physics::model::Model;
use crate::physics::operation::{Case, Operation};
use crate::physics::steady_state::operate;

/// Share of the reach that is worth no word about the rest.
const NEARLY_ALL: f64 = 0.9;

/// A rating and the part of the reach that it alone takes away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Which rating.
    pub limit: Limit,
    /// Share of the reach's area in the volt–ampere plane, as far as the supply is used (0 to 1).
    pub share: f64,
}

/// The ratings that take something of the reach, the one that takes most first. Empty where the supply has no reach.
pub fn taken_away(envelope: &Envelope) -> Vec<Taken> {
    let whole = area(&envelope.reach_in_use());
    if whole <= 0.0 {
        return Vec::new();
    }
    let broken = |limit: &Limit| envelope.broken_everywhere.contains(limit);
    // One without a line in the plane takes nothing of it, unless it is exceeded with nothing connected.
    let draws =
        |curve: &Curve| matches!(curve, Curve::Ceiling(_) | Curve::Floor(_) | Curve::Wall(_));
    let mut all: Vec<Taken> = (envelope.limits.iter())
        .filter(|line| draws(&line.curve) || broken(&line.limit))
        .map(|line| line.limit)
        .filter(|limit| limit.is_rating())
        .map(|limit| Taken {
            limit,
            share: 1.0 - (area(&envelope.left_by(limit)) / whole).clamp(0.0, 1.0),
        })
        .filter(|taken| taken.share > 1e-6)
        .collect();
    all.sort_by(|a, b| b.share.total_cmp(&a.share));
    all
}

/// The same, but where ratings leave nearly all of the reach: then it is not worth the time.
pub fn taken_if_much(envelope: &Envelope) -> Vec<Taken> {
    let left = if envelope.broken_everywhere.is_empty() {
        area(&envelope.region)
    } else {
        0.0
    };
    if left > NEARLY_ALL * area(&envelope.reach_in_use()) {
        return Vec::new();
    }
    taken_away(envelope)
}

/// The most (of what must not fall short: the least) that a rating's part bears anywhere in the reach as far as it is used, in its own unit: at
/// high mains and wherever its rating system judges it. `None` where that lies within the rating or is not known.
///
/// # Errors
/// [`Failure::NotConverged`] if a steady state at the end of the reach is not found.
pub fn highest_in_reach(
    model: &Model,
    envelope: &Envelope,
    limit: Limit,
) -> Result<Option<f64>, Failure> {
    let Ok(by_the_book) = published(limit, &model.supply) else {
        return Ok(None);
    };
    let (rated, system) = (by_the_book.value, by_the_book.system);
    let mut worst: Option<f64> = None;
    let bound = limit.row().bound;
    let mut see = |actual: f64| {
        if actual.is_finite() && worst.is_none_or(|most| bound.room(actual, most) < 0.0) {
            worst = Some(actual);
        }
    };
    let judged = judging_cases(limit, system);
    let counts = |case: Case| case == Case::High || judged.contains(&case);
    for column in envelope.columns.iter().filter(|c| counts(c.case)) {
        let unloaded = limit.unloaded(Unloaded {
            model,
            case: column.case,
            no_load: &column.no_load,
        });
        if let Some(actual) = unloaded {
            actual.into_iter().for_each(&mut see);
            continue;
        }
        for (operation, volts) in along_the_edge(model, envelope, column)? {
            let point = OperatingPoint {
                model,
                case: column.case,
                operation: &operation,
                volts,
            };
            if let Some(Ok([actual, _])) = limit.at_point(point, rated) {
                see(actual);
            }
        }
    }
    Ok(worst.filter(|worst| bound.room(*worst, rated) < 0.0))
}

/// Solved places on the lower and the upper edge of the reach, its end among them.
fn along_the_edge(
    model: &Model,
    envelope: &Envelope,
    column: &Column,
) -> Result<Vec<(Operation, f64)>, Failure> {
    let Some(&[end, ..]) = envelope.reach_in_use().last() else {
        return Ok(Vec::new());
    };
    let solved = column.operations.iter().filter(|o| o.output_amps <= end);
    let mut all: Vec<Operation> = solved.cloned().collect();
    match operate(&model.raw, column.case, end) {
        Ok(last) => all.push(last),
        Err(Failure::Collapse { .. }) => {}
        Err(other) => return Err(other),
    }
    Ok(all
        .into_iter()
        .filter_map(|operation| {
            let [low, high] = envelope.reach_volts(operation.output_amps)?;
            Some([low, high].map(|volts| (operation.clone(), volts)))
        })
        .flatten()
        .collect())
}

/// The bound up to which a rating would be accepted as built: three figures, on the far side of the worst that was found.
pub fn bound_as_built(worst: f64, bound: Bound) -> f64 {
    if worst <= 0.0 || !worst.is_finite() {
        return worst;
    }
    // By text, for a power of ten divides no decimal exactly.
    let figures = format!("{worst:.2e}");
    let near: f64 = figures.parse().unwrap_or(worst);
    let step = 10_f64.powf(worst.log10().floor() - 2.0);
    let far = match bound {
        Bound::AtLeast | Bound::LowEnd if near > worst => near - step,
        Bound::AtMost | Bound::GridDrive if near < worst => near + step,
        _ => near,
    };
    format!("{far:.2e}").parse().unwrap_or(far)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bound_lies_beyond_what_was_found() {
        for (worst, bound, want) in [
            (411.3, Bound::AtMost, 412.0),
            (412.0, Bound::AtMost, 412.0),
            (0.123_401, Bound::AtMost, 0.124),
            (999.6, Bound::AtMost, 1000.0),
            (14.26, Bound::AtLeast, 14.2),
            (0.004_999, Bound::AtLeast, 0.004_99),
        ] {
            let found = bound_as_built(worst, bound);
            assert!((found - want).abs() < 1e-12, "{worst}: {found}");
        }
    }
}
