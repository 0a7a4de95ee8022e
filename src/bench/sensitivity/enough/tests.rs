//! Whether one change is enough, against where the boundary went; and which one is named.

use super::*;
use crate::bench::sensitivity::{Axis, Outcome, sensitivity};
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::parts::{Farads, Ohms};
use crate::physics::Model;
use crate::physics::envelope::point_alone;
use crate::physics::limit::Limit;
use crate::physics::limit::boundary::{Allows, allows};

/// True if a boundary lies beyond the point, on its good side.
fn lies_beyond(found: &Sensitivity, outcome: Outcome, side: Option<Allows>) -> Option<bool> {
    let Outcome::To(to) = outcome else {
        return (outcome == Outcome::NeverMet).then_some(true);
    };
    let [amps, volts] = found.at;
    // Within a thousandth it is met, and either answer is right.
    let (room, size) = match found.axis {
        Axis::Amps => (to - amps, amps),
        Axis::Volts if side == Some(Allows::Above) => (volts - to, volts),
        Axis::Volts => (to - volts, volts),
        Axis::Room => (to, 1.0),
    };
    (room.abs() > 1e-3 * size).then_some(room > 0.0)
}

#[test]
fn a_change_is_enough_where_it_moves_the_boundary_beyond_the_point() {
    let catalogue = Catalogue::built_in();
    let (mut beyond, mut short) = (0, 0);
    for (_, text) in presets() {
        let supply = read_checked(text, &catalogue).unwrap();
        let model = Model::of(&supply).unwrap();
        let high = supply.output.set_high.0;
        // Volts that only more bus gives, at a current that the supply gives.
        for (limit, share) in [(Limit::Dropout, 0.8), (Limit::Dropout, 1.1)] {
            let at = [0.05, share * high];
            let Ok(found) = sensitivity(&model, limit, at, &catalogue) else {
                continue;
            };
            let now = point_alone(&model, at[0], at[1]).unwrap();
            let over = now.uses.iter().any(|u| u.limit == limit && u.is_over());
            assert_eq!(found.holds, !over);
            let side = allows(limit, &supply);
            for shift in &found.shifts {
                if let Some(expected) = lies_beyond(&found, shift.outcome, side) {
                    assert_eq!(shift.holds, expected, "{shift:?} at {at:?}");
                    beyond += usize::from(expected);
                    short += usize::from(!expected);
                }
            }
            match enough(&found) {
                Enough::None => assert!(!found.holds && found.shifts.iter().all(|s| !s.holds)),
                Enough::Alone(shift, _) => assert!(!found.holds && shift.holds),
                Enough::Farthest(shift) | Enough::FarthestUnharmed(shift) => {
                    assert!(found.holds && shift.gains);
                }
                Enough::NoFarther => assert!(found.shifts.iter().all(|s| !s.gains)),
            }
        }
    }
    assert!(beyond > 20 && short > 5, "{beyond} beyond, {short} short");
}

/// A change that moves dropout by so much, from 280 V.
fn by(variation: Variation, by: f64, breaks: &[Limit]) -> Shift {
    Shift {
        variation,
        outcome: Outcome::To(280.0 + by),
        by,
        gains: by > 0.0,
        breaks: breaks.to_vec(),
        opens: Vec::new(),
        holds: 280.0 + by >= 300.0,
        stays_over: Vec::new(),
    }
}

fn found(shifts: Vec<Shift>) -> Sensitivity {
    Sensitivity {
        limit: Limit::Dropout,
        at: [0.066, 300.0],
        axis: Axis::Volts,
        from: 280.0,
        holds: false,
        shifts,
    }
}

#[test]
fn the_smallest_part_that_breaks_nothing_is_named() {
    let part = |micro: f64| Variation::Capacitor(0, Farads(micro * 1e-6));
    let peak = [Limit::RectifierPeak];
    let all = found(vec![
        by(part(220.0), 60.0, &peak),
        by(part(100.0), 40.0, &[]),
        by(part(68.0), 25.0, &[]),
        by(Variation::HigherMains, 22.0, &[]),
        by(Variation::Bleeder(Ohms(1e5)), 21.0, &peak),
        by(Variation::MoreUnits, 5.0, &[]),
    ]);
    let Enough::Alone(shift, count) = enough(&all) else {
        panic!("{:?}", enough(&all));
    };
    assert_eq!((&shift.variation, count), (&part(68.0), 5));
    // The mains only where no part does it; what breaks another limit only where all do.
    let mains = found(vec![
        by(part(220.0), 60.0, &peak),
        by(Variation::HigherMains, 22.0, &[]),
    ]);
    assert!(matches!(enough(&mains), Enough::Alone(s, 2) if s.variation == Variation::HigherMains));
    let none = found(vec![by(part(68.0), 19.0, &[]), by(part(33.0), -30.0, &[])]);
    assert_eq!(enough(&none), Enough::None);
}

#[test]
fn of_a_point_inside_the_change_that_gets_farthest_is_named() {
    let part = |micro: f64| Variation::Capacitor(0, Farads(micro * 1e-6));
    let mut all = found(vec![
        by(part(220.0), 60.0, &[Limit::RectifierPeak]),
        by(part(100.0), 40.0, &[]),
        by(part(33.0), -30.0, &[]),
    ]);
    all.holds = true;
    assert!(matches!(enough(&all), Enough::FarthestUnharmed(s) if s.variation == part(100.0)));
    all.shifts.remove(1);
    assert!(matches!(enough(&all), Enough::Farthest(s) if s.variation == part(220.0)));
    all.shifts.remove(0);
    assert_eq!(enough(&all), Enough::NoFarther);
}
