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
    let larger = |to| shift(Variation::Capacitor(1, Farads(150e-6)), to, [280.0, 300.0]);
    let tube = |to| shift(Variation::MoreUnits, to, [280.0, 300.0]);
    let mut breaks = larger(320.0);
    breaks.breaks = vec![Limit::RectifierPeak];
    let mut others = tube(310.0);
    others.stays_over = vec![Limit::WindingRms];
    let mut gone = larger(0.0);
    (gone.outcome, gone.gains, gone.holds) = (Outcome::NeverMet, true, true);
    let mut dissipation = asked(200.0, vec![tube(0.09)]);
    (dissipation.limit, dissipation.axis) = (Limit::PlateDissipation, Axis::Amps);
    dissipation.shifts[0].gains = true;
    let mut room = asked(200.0, vec![tube(45.0)]);
    (room.limit, room.axis) = (Limit::CapacitorVolts(1), Axis::Room);
    room.shifts[0].gains = true;
    let words = [
        asked(300.0, vec![larger(290.0), tube(285.0)]),
        asked(300.0, vec![larger(310.0)]),
        asked(300.0, vec![larger(310.0), tube(305.0)]),
        asked(300.0, vec![breaks.clone()]),
        asked(300.0, vec![others]),
        asked(200.0, vec![larger(310.0), tube(305.0)]),
        asked(200.0, vec![breaks.clone()]),
        asked(200.0, vec![breaks, tube(305.0)]),
        asked(200.0, vec![gone]),
        asked(200.0, vec![tube(270.0)]),
        dissipation,
        room,
        asked(200.0, Vec::new()),
    ]
    .map(|found| enough(&found, &supply))
    .join("\n");
    insta::assert_snapshot!(words, @r"
    None of these alone reaches 300 V.
    Bus capacitor units 100 µF → 150 µF alone is enough.
    2 of these are each enough alone, such as another 6080 section.
    Bus capacitor units 100 µF → 150 µF alone is enough, but rectifier peak is then over.
    Another 6080 section alone is enough for dropout; still over: winding rms.
    One change alone gets as far as 310 V at 66 mA: bus capacitor units 100 µF → 150 µF.
    One change alone gets as far as 320 V at 66 mA: bus capacitor units 100 µF → 150 µF, but rectifier peak is then over.
    One change that breaks no other limit gets as far as 305 V at 66 mA: another 6080 section.
    Bus capacitor units 100 µF → 150 µF alone does away with it.
    None of these gives more room.
    One change alone gets as far as 90 mA at 200 V: another 6080 section.
    One change alone leaves 45 V to spare: another 6080 section.
    ");
}
