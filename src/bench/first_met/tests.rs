//! Ways back and what is met first, each against [`Envelope::point`], which solves the place anew and reads no curve.

use super::*;
use crate::bench::sensitivity::worth_moving;
use crate::parts::Supply;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::physics::Model;
use crate::physics::envelope::{LimitCurve, envelope};
use crate::physics::limit::Use;
use crate::physics::operation::Case;

fn supplies() -> Vec<Supply> {
    presets()
        .iter()
        .map(|(_, text)| read_checked(text, &Catalogue::built_in()).unwrap())
        .collect()
}

/// The tightest use at a place.
fn used(all: &Envelope, supply: &Supply, [amps, volts]: [f64; 2]) -> f64 {
    let point = all.point(&Model::of(supply).unwrap(), amps, volts).unwrap();
    if point.operation.is_none() {
        return f64::INFINITY;
    }
    point.tightest().and_then(Use::ratio).unwrap_or(0.0)
}

#[test]
fn every_way_back_ends_on_the_edge() {
    let mut found = 0;
    for supply in supplies() {
        let all = envelope(&Model::of(&supply).unwrap()).unwrap();
        // No way leads back where something is over wherever the point is.
        if !all.broken_everywhere.is_empty() {
            continue;
        }
        let [wide, high] = size(&all);
        for (across, up) in [
            (0.9, 0.05),
            (1.3, 0.5),
            (0.5, 1.4),
            (1.5, 1.5),
            (0.7, 0.02),
            (30.0, 0.3),
        ] {
            let at = [across * wide, up * high];
            let ohms = at[1] / at[0];
            let back = ways_back(&all, at, Some(ohms));
            assert!(back.never.is_empty(), "{}", supply.rectifier.kind.name);
            if used(&all, &supply, at) <= 1.0 {
                assert!(
                    back.ways.is_empty(),
                    "{} {at:?}: inside",
                    supply.rectifier.kind.name
                );
                continue;
            }
            assert!(
                !back.ways.is_empty(),
                "{} {at:?}: no way",
                supply.rectifier.kind.name
            );
            let lengths: Vec<f64> = (back.ways.iter())
                .map(|(_, to)| ((to[0] - at[0]) / wide).hypot((to[1] - at[1]) / high))
                .collect();
            assert!(lengths.is_sorted(), "the shortest first: {back:?}");
            for (way, to) in &back.ways {
                let about = format!("{} {at:?} {way:?} to {to:?}", supply.rectifier.kind.name);
                match way {
                    Adjustment::Volts => assert!((to[0] - at[0]).abs() < 1e-12, "{about}"),
                    Adjustment::Amps => assert!((to[1] - at[1]).abs() < 1e-9, "{about}"),
                    Adjustment::Load => assert!((to[1] - to[0] * ohms).abs() < 1e-6, "{about}"),
                    Adjustment::Both => {}
                }
                // A hundredth short of it is outside, a hundredth further is inside: on the edge, as the curves are drawn.
                let step = |share: f64| [0, 1].map(|k| at[k] + share * (to[k] - at[k]));
                let there = used(&all, &supply, *to);
                assert!(there < 1.01, "{about}: {there}");
                let [dx, dy] = [(to[0] - at[0]) / wide, (to[1] - at[1]) / high];
                let short = 1.0 - 0.01 / dx.hypot(dy).max(0.02);
                let before = used(&all, &supply, step(short));
                assert!(before > 0.995, "{about}: {before} before it");
                found += 1;
            }
        }
    }
    assert!(found > 30, "{found}");
}

#[test]
fn what_no_load_breaks_has_no_way_back() {
    let mut supply = supplies().remove(0);
    for stack in supply.filter.stacks_mut() {
        if let Some(rating) = &mut stack.working_volts {
            rating.value.0 *= 0.5;
        }
    }
    let all = envelope(&Model::of(&supply).unwrap()).unwrap();
    let back = ways_back(&all, [0.03, 200.0], None);
    assert!(back.ways.is_empty());
    assert!(back.never.contains(&Limit::CapacitorVolts(0)), "{back:?}");
}

#[test]
fn inside_the_boundary_that_is_run_into_is_explained_and_outside_what_is_exceeded() {
    let mut no_load_was_tightest = 0;
    for supply in supplies() {
        let all = envelope(&Model::of(&supply).unwrap()).unwrap();
        let [wide, high] = size(&all);
        for (across, up) in [(0.3, 0.6), (0.4, 0.95), (0.8, 0.9), (0.9, 0.05), (0.5, 1.6)] {
            let at = [across * wide, up * high];
            let point = all
                .point(&Model::of(&supply).unwrap(), at[0], at[1])
                .unwrap();
            let met = first_met(&all, at, None);
            let Some(one) = worth_moving(&point, &met) else {
                continue;
            };
            let about = format!(
                "{} {at:?}: {:?} {met:?}",
                supply.rectifier.kind.name, one.limit
            );
            if point.is_inside() {
                assert!(!one.limit.is_no_load(), "{about}");
                assert_eq!(met.first, Some(one.limit), "{about}");
                no_load_was_tightest += usize::from(point.uses[0].limit.is_no_load());
                let met = [met.up, met.down, met.right].into_iter().flatten();
                assert!(met.into_iter().any(|(l, _)| l == one.limit), "{about}");
            } else {
                assert!(one.ratio().unwrap() > 1.0, "{about}");
            }
        }
    }
    assert!(no_load_was_tightest > 2, "{no_load_was_tightest}");
}

#[test]
fn a_chosen_load_says_which_limit_is_met() {
    // 2.2 kΩ in the demo: up its line comes a limit that neither up nor to the right need be.
    let supply = supplies().remove(0);
    let all = envelope(&Model::of(&supply).unwrap()).unwrap();
    let ohms = 2200.0;
    let start = [0.4 * size(&all)[0], 0.4 * size(&all)[0] * ohms];
    assert!(stands_on(start, ohms) && !stands_on([start[0], 1.1 * start[1]], ohms));
    let met = first_met(&all, start, Some(ohms));
    let (limit, to) = met.along.unwrap();
    assert!((to[1] - to[0] * ohms).abs() < 1e-9 && to[0] > start[0]);
    let point = all
        .point(&Model::of(&supply).unwrap(), to[0], to[1])
        .unwrap();
    let there = point.uses.iter().find(|one| one.limit == limit).unwrap();
    assert!((there.ratio().unwrap() - 1.0).abs() < 0.01, "{there:?}");
    if !is_knob(limit) {
        assert_eq!(met.first, Some(limit));
    }
}

fn line(limit: Limit, curve: Curve) -> LimitCurve {
    LimitCurve {
        limit,
        system: None,
        case: Case::Present,
        at_low_present_high: [curve.clone(), curve.clone(), curve.clone()],
        published: None,
        curve,
    }
}

/// A plane of 0.2 A and 200 V with these limits.
fn plane(limits: Vec<LimitCurve>) -> Envelope {
    Envelope {
        amps: vec![0.0, 0.1, 0.3],
        columns: Vec::new(),
        limits,
        region: vec![[0.0, 40.0, 200.0], [0.2, 40.0, 200.0]],
        reach: Vec::new(),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
        kept: None,
    }
}

/// Amperes are measured by the envelope's width and volts by its height: 20 V up are nearer than 150 mA to the right, and 10 mA to the
/// right nearer than 100 V up.
#[test]
fn what_is_nearest_is_told_by_width_and_height() {
    let all = plane(vec![
        line(Limit::RectifierDc, Curve::Wall(0.2)),
        line(
            Limit::Dropout,
            Curve::Ceiling(vec![[0.0, 200.0], [0.3, 200.0]]),
        ),
        line(
            Limit::PlateVolts,
            Curve::Floor(vec![[0.0, 40.0], [0.3, 40.0]]),
        ),
    ]);
    for (at, first) in [
        ([0.05, 180.0], Limit::Dropout),
        ([0.19, 100.0], Limit::RectifierDc),
        ([0.05, 60.0], Limit::PlateVolts),
    ] {
        assert_eq!(first_met(&all, at, None).first, Some(first), "{at:?}");
    }
}

/// Above a ceiling that falls by 180 V over the last half of the width, the way to the left is the shorter one; above its level half
/// the way down is.
#[test]
fn the_shortest_way_back_comes_first() {
    let ceiling = vec![[0.0, 200.0], [0.1, 180.0], [0.2, 0.0]];
    let all = plane(vec![line(Limit::Dropout, Curve::Ceiling(ceiling))]);
    for (at, first, to) in [
        // 60 V are allowed up to 0.2 A · (1 − ½ · 60/180).
        (
            [0.19, 60.0],
            Adjustment::Amps,
            [0.2 - 0.1 * 60.0 / 180.0, 60.0],
        ),
        ([0.05, 195.0], Adjustment::Volts, [0.05, 190.0]),
    ] {
        let back = ways_back(&all, at, None);
        let (way, end) = back.ways[0];
        assert_eq!((way, back.ways.len()), (first, 2), "{back:?}");
        let miss = (end[0] - to[0]).abs() + (end[1] - to[1]).abs();
        assert!(miss < 1e-9, "{back:?}");
    }
}
