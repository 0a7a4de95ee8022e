//! Each shift against a boundary that is found another way: by halving on the uses of [`Envelope::point`], for a
//! supply changed by hand.

use super::*;
use crate::parts::catalogue::presets;
use crate::parts::file::read_checked;
use crate::physics::envelope::{Envelope, envelope};

fn supplies() -> Vec<Supply> {
    presets()
        .iter()
        .map(|(_, text)| read_checked(text, &Catalogue::built_in()).unwrap())
        .collect()
}

/// Where the use of a limit passes 1, by halving between two points of the plane (share of the way).
fn passes(envelope: &Envelope, supply: &Supply, limit: Limit, ends: [[f64; 2]; 2]) -> Option<f64> {
    let over = |share: f64| {
        let [a, b] = ends;
        let at = |k: usize| a[k] + share * (b[k] - a[k]);
        let point = envelope.point(supply, at(0), at(1)).unwrap();
        point
            .uses
            .iter()
            .find(|u| u.limit == limit)
            .unwrap()
            .ratio()
            .is_some_and(|r| r > 1.0)
    };
    // The first of a few steps that lies beyond.
    let beyond = (0..=50).map(|k| f64::from(k) / 50.0).find(|s| over(*s))?;
    let (mut low, mut high) = ((beyond - 0.02).max(0.0), beyond);
    for _ in 0..24 {
        let middle = 0.5 * (low + high);
        if over(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(0.5 * (low + high))
}

fn independent(supply: &Supply, found: &Sensitivity) -> Option<f64> {
    let envelope = envelope(supply).ok()?;
    let [amps, volts] = found.at;
    match found.axis {
        Axis::Amps => {
            let far = REACH * amps.max(found.from);
            passes(&envelope, supply, found.limit, [[0.0, volts], [far, volts]]).map(|s| s * far)
        }
        // A floor is over from below: walk down from high up. A ceiling the other way round.
        Axis::Volts => {
            let top = 2.0
                * envelope
                    .column(Case::High)?
                    .no_load
                    .operation
                    .bus
                    .crest_volts;
            if is_floor(found.limit) {
                passes(&envelope, supply, found.limit, [[amps, top], [amps, 0.0]])
                    .map(|s| top * (1.0 - s))
            } else {
                passes(&envelope, supply, found.limit, [[amps, 0.0], [amps, top]]).map(|s| top * s)
            }
        }
        Axis::Room => {
            let point = envelope.point(supply, amps, volts).ok()?;
            let judged = point
                .uses
                .iter()
                .find(|u| u.limit == found.limit)?
                .judged
                .ok()?;
            // Of what must not fall short there is room above.
            let short = matches!(found.limit, Limit::ReferenceLeast(_));
            let room = judged.allowed - judged.actual;
            Some(if short { -room } else { room })
        }
    }
}

#[test]
fn every_shift_equals_the_re_solved_difference_within_3_percent() {
    let mut checked = 0;
    for supply in supplies() {
        let end = envelope(&supply)
            .unwrap()
            .region
            .last()
            .map_or(0.05, |p| p[0]);
        for at in [
            [0.7 * end, 0.4 * supply.output.set_high.0],
            [0.9 * end, 0.8 * supply.output.set_high.0],
        ] {
            let point = point_alone(&supply, at[0], at[1]).unwrap();
            for one in point.uses.iter().filter(|u| u.ratio().is_some()).take(3) {
                let found = sensitivity(&supply, one.limit, at, &Catalogue::built_in()).unwrap();
                let Some(before) = independent(&supply, &found) else {
                    continue;
                };
                for shift in found.shifts.iter().step_by(4).filter(|s| s.by.is_finite()) {
                    let Some(after) = independent(&varied(&supply, &shift.variation), &found)
                    else {
                        // Below 0 V the other way sees no floor.
                        assert!(
                            matches!(shift.outcome, Outcome::To(v) if v <= 0.0),
                            "{shift:?}"
                        );
                        continue;
                    };
                    let want = after - before;
                    let slack = 0.03 * want.abs() + 1e-6 * before.abs();
                    assert!(
                        (shift.by - want).abs() <= slack,
                        "{} {:?} {at:?} {:?}: got {} want {want}",
                        supply.name,
                        found.limit,
                        shift.variation,
                        shift.by
                    );
                    checked += 1;
                }
            }
        }
    }
    assert!(checked > 20, "only {checked}");
}

#[test]
fn another_section_lets_more_current_through_the_dissipation() {
    let supply = supplies().remove(0);
    let found = sensitivity(
        &supply,
        Limit::PlateDissipation,
        [0.05, 120.0],
        &Catalogue::built_in(),
    )
    .unwrap();
    let more = found
        .shifts
        .iter()
        .find(|s| s.variation == Variation::MoreUnits)
        .unwrap();
    assert!(more.gains && more.by > 0.0, "{more:?}");
    let fewer = found
        .shifts
        .iter()
        .find(|s| s.variation == Variation::FewerUnits)
        .unwrap();
    assert!(!fewer.gains && fewer.by < 0.0, "{fewer:?}");
}
