//! Whether one change is enough, in words, read by a person.

use super::*;
use crate::bench::variation::Variation;
use crate::explain::samples::laboratory_supply;
use crate::parts::Farads;

fn shift(variation: Variation, to: f64, [from, asked]: [f64; 2]) -> Shift {
    Shift {
        variation,
        outcome: Outcome::To(to),
        by: to - from,
        gains: to > from,
        breaks: Vec::new(),
        opens: Vec::new(),
        holds: to >= asked,
        stays_over: Vec::new(),
    }
}

#[test]
fn whether_one_change_is_enough() {
    let supply = laboratory_supply();
    let asked = |volts: f64, shifts: Vec<Shift>| Sensitivity {
        limit: Limit::Dropout,
        at: [0.066, volts],
        axis: Axis::Volts,
        from: 280.0,
        holds: volts <= 280.0,
        shifts,
    };
    let larger = |to| shift(Variation::Capacitor(1, Farads(100e-6)), to, [280.0, 300.0]);
    let tube = |to| shift(Variation::MoreUnits, to, [280.0, 300.0]);
    let mut breaks = larger(320.0);
    breaks.breaks = vec![Limit::RectifierPeak];
    let mut others = tube(310.0);
    others.stays_over = vec![Limit::WindingRms];
    let mut gone = larger(0.0);
    (gone.outcome, gone.gains, gone.holds) = (Outcome::NeverMet, true, true);
    let mut dissipation = asked(200.0, vec![tube(0.09)]);
    (dissipation.limit, dissipation.axis) = (Limit::PlateDissipation, Axis::Amps);
    let mut room = asked(200.0, vec![tube(45.0)]);
    (room.limit, room.axis) = (Limit::CapacitorVolts(1), Axis::Room);
    let words = [
        asked(300.0, vec![larger(290.0), tube(285.0)]),
        asked(300.0, vec![larger(310.0)]),
        asked(300.0, vec![larger(310.0), tube(305.0)]),
        asked(300.0, vec![breaks.clone()]),
        asked(300.0, vec![others]),
        asked(200.0, vec![larger(310.0), tube(305.0)]),
        asked(200.0, vec![breaks]),
        asked(200.0, vec![gone]),
        asked(200.0, vec![tube(270.0)]),
        dissipation,
        room,
        asked(200.0, Vec::new()),
    ]
    .map(|found| enough(&found, &supply))
    .join("\n");
    insta::assert_snapshot!(words, @"");
}
