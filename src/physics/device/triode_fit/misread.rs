//! Points that no triode has: is it one of them that was misread?

use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::physics::device::triode_fit::refusal::{READING, fallen_from};
use crate::physics::device::triode_fit::{Effort, Fit, FitError, attempt, miss};

/// Fewer points than this leave open which of them is wrong.
const FEWEST: usize = 5;
/// Points that are tried at most: those that contradict most others, then those at the ends of the list.
const TRIED: usize = 16;
/// The others belong together if the law misses each by no more than this in current, or in volts as a share of the
/// largest; the misread one is missed by more than the first and by half as much again as the second.
const TOGETHER_AMPS: f64 = 0.2;
const TOGETHER_VOLTS: f64 = 0.02;
/// It must be the only explanation: the next best leaves this many times as large a miss.
const CLEARER: f64 = 2.0;

/// The one point without which all others are of one triode; `fault` is what was found with it.
pub(super) fn misread(
    points: &[PlatePoint],
    small_signal: &[SmallSignal],
    fault: &FitError,
) -> Option<FitError> {
    if points.len() < FEWEST {
        return None;
    }
    let most_volts = points.iter().map(|p| p.plate.0).fold(0.0, f64::max);
    let mut found: Vec<(f64, FitError)> = suspects(points, fault)
        .into_iter()
        .filter_map(|point| {
            let left_out = points.get(point)?;
            let others: Vec<PlatePoint> = points
                .iter()
                .enumerate()
                .filter(|(k, _)| *k != point)
                .map(|(_, p)| p.clone())
                .collect();
            let fit = attempt(&others, small_signal, Effort::Glance).ok()?;
            let largest = largest_miss(&fit, most_volts);
            let off = miss(&fit.law, left_out);
            let far = off.relative.abs() > TOGETHER_AMPS
                && off
                    .volts_off
                    .is_none_or(|v| v.abs() > 1.5 * TOGETHER_VOLTS * most_volts);
            let law_amps = off.law_amps;
            (far && largest <= 1.0).then_some((largest, FitError::OneMisread { point, law_amps }))
        })
        .collect();
    found.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    match found.as_slice() {
        [(_, one)] => Some(*one),
        [(best, one), (next, _), ..] if *next > CLEARER * best => Some(*one),
        _ => None,
    }
}

/// The largest miss, 1 where it is as large as points that belong together may have.
fn largest_miss(fit: &Fit, most_volts: f64) -> f64 {
    fit.misses
        .iter()
        .map(|miss| {
            let by_amps = miss.relative.abs() / TOGETHER_AMPS;
            let by_volts = miss
                .volts_off
                .map_or(f64::INFINITY, |v| v.abs() / (TOGETHER_VOLTS * most_volts));
            by_amps.min(by_volts)
        })
        .fold(0.0, f64::max)
}

/// The point that is named already, and the others in the order of how many they contradict.
fn suspects(points: &[PlatePoint], fault: &FitError) -> Vec<usize> {
    let mut contradicted = vec![0_usize; points.len()];
    for first in 0..points.len() {
        for second in fallen_from(points, first, READING) {
            for place in [first, second] {
                if let Some(count) = contradicted.get_mut(place) {
                    *count += 1;
                }
            }
        }
    }
    let mut order: Vec<usize> = (0..points.len()).collect();
    let named = |at: usize| matches!(fault, FitError::FarOff { point, .. } if *point == at);
    order.sort_by_key(|at| std::cmp::Reverse((named(*at), contradicted.get(*at).copied())));
    order.truncate(TRIED);
    order
}
