//! The words themselves, as snapshots.

use super::*;
use crate::explain::samples::{known, laboratory_supply, point};
use crate::physics::limit::Measure;

const ALL: [Limit; 18] = [
    Limit::Dropout,
    Limit::SetRangeHigh,
    Limit::SetRangeLow,
    Limit::PlateDissipation,
    Limit::EnvelopeDissipation,
    Limit::PlateCurrent,
    Limit::PlateVolts,
    Limit::RectifierDc,
    Limit::RectifierPeak,
    Limit::RectifierPeakInverse,
    Limit::WindingRms,
    Limit::CapacitorRipple(0),
    Limit::CapacitorRipple(1),
    Limit::ChokeCurrent(0),
    Limit::CapacitorVolts(0),
    Limit::CapacitorVolts(1),
    Limit::CapacitorSurge(0),
    Limit::CapacitorSurge(1),
];

fn measure(limit: Limit) -> (Measure, f64) {
    match limit {
        Limit::PlateDissipation | Limit::EnvelopeDissipation => (Measure::Watts, 13.0),
        Limit::PlateCurrent
        | Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::CapacitorRipple(_)
        | Limit::ChokeCurrent(_) => (Measure::Amps, 0.2),
        _ => (Measure::Volts, 300.0),
    }
}

#[test]
fn names_and_parts() {
    let supply = laboratory_supply();
    let words = ALL
        .map(|limit| {
            format!("{} | {}", name(limit, &supply), part(limit, &supply))
                .trim()
                .to_owned()
        })
        .join("\n");
    insta::assert_snapshot!(words, @r"
    dropout | 6080 at its least drop
    set range | 350 V
    set range, low end | 0 V
    plate dissipation | 13 W, worst 6080 section
    dissipation of one bulb |
    plate current | 125 mA, worst 6080 section
    plate volts | 250 V, 6080
    rectifier DC | 275 mA, whole 5U4-GB
    rectifier peak | 1 A, each 5U4-GB plate
    peak inverse, no load | 1.55 kV, each 5U4-GB plate
    winding rms | 183 mA, high-voltage half-winding
    ripple current, C1 |
    ripple current, bus |
    choke current |
    C1 volts, no load | 300 V
    bus volts, no load | 300 V, each of 2 in series
    C1 surge volts, no load |
    bus surge volts, no load |
    ");
}

#[test]
fn a_triode_connected_beam_tube_has_a_screen_to_burn() {
    let mut supply = laboratory_supply();
    supply.pass_stage.tube.name = "6V6-GT".to_owned();
    supply.pass_stage.tube.units = 1;
    supply.pass_stage.tube.triode_connected = true;
    supply.pass_stage.imbalance.0 = 0.0;
    assert_eq!(
        name(Limit::PlateDissipation, &supply),
        "plate and screen dissipation"
    );
    assert_eq!(part(Limit::PlateDissipation, &supply), "13 W, each 6V6-GT");
    supply.pass_stage.units = 1;
    assert_eq!(part(Limit::PlateDissipation, &supply), "13 W, 6V6-GT");
}

#[test]
fn why_it_is_allowed() {
    let supply = laboratory_supply();
    let here = point(0.1, 200.0, Vec::new());
    let words = ALL
        .map(|limit| {
            let (measure, allowed) = measure(limit);
            sentence(
                &known(limit, 0.62 * allowed, allowed, measure),
                &supply,
                &here,
            )
        })
        .join("\n");
    insta::assert_snapshot!(words, @r"
    200 V and the least drop of the 6080 need 186 V; at 100 mA the valley of the bus has 300 V
    The control can ask for 300 V at most; this point is at 200 V
    The control can ask for 0 V at least; this point is at 200 V
    The worst 6080 section burns 8.06 W; it may burn 13 W
    All sections of one 6080 together burn 8.06 W; they may burn 13 W
    The worst 6080 section carries 124 mA; it may carry 200 mA
    The 6080 has 186 V between plate and cathode; it may have 300 V
    Each 5U4-GB plate gives 124 mA DC; its share of what the 5U4-GB may give is 200 mA
    The current of each 5U4-GB plate reaches 124 mA at its peak; 200 mA is allowed
    With no load at 126 V mains each 5U4-GB plate sees 186 V of inverse volts; it may stand 300 V
    The high-voltage half-winding carries 124 mA rms; it may carry 200 mA
    Capacitor C1 carries 124 mA of ripple current; 200 mA is allowed
    The bus capacitor carries 124 mA of ripple current; 200 mA is allowed
    The choke carries 124 mA; it may carry 200 mA
    With no load at 126 V mains capacitor C1 stands at 186 V; it is made for 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 186 V; it is made for 300 V
    With no load at 126 V mains capacitor C1 stands at 186 V; its surge volts are 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 186 V; its surge volts are 300 V
    ");
}

#[test]
fn why_it_is_not_allowed() {
    let supply = laboratory_supply();
    let here = point(0.1, 200.0, Vec::new());
    let words = ALL
        .map(|limit| {
            let (measure, allowed) = measure(limit);
            sentence(
                &known(limit, 1.26 * allowed, allowed, measure),
                &supply,
                &here,
            )
        })
        .join("\n");
    insta::assert_snapshot!(words, @r"
    200 V and the least drop of the 6080 would need 378 V; at 100 mA the valley of the bus has only 300 V, so ripple would come through
    The control can ask for 300 V at most; this point is at 200 V
    The control can ask for 0 V at least; this point is at 200 V
    The worst 6080 section would burn 16.4 W; it may burn 13 W
    All sections of one 6080 together would burn 16.4 W; they may burn 13 W
    The worst 6080 section would carry 252 mA; it may carry 200 mA
    The 6080 would have 378 V between plate and cathode; it may have 300 V
    Each 5U4-GB plate would give 252 mA DC; its share of what the 5U4-GB may give is 200 mA
    The current of each 5U4-GB plate would reach 252 mA at its peak; 200 mA is allowed
    With no load at 126 V mains each 5U4-GB plate sees 378 V of inverse volts; it may stand 300 V
    The high-voltage half-winding would carry 252 mA rms; it may carry 200 mA
    Capacitor C1 would carry 252 mA of ripple current; 200 mA is allowed
    The bus capacitor would carry 252 mA of ripple current; 200 mA is allowed
    The choke would carry 252 mA; it may carry 200 mA
    With no load at 126 V mains capacitor C1 stands at 378 V; it is made for 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 378 V; it is made for 300 V
    With no load at 126 V mains capacitor C1 stands at 378 V; its surge volts are 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 378 V; its surge volts are 300 V
    ");
}

#[test]
fn what_is_not_known_says_where_to_read_it() {
    let mut supply = laboratory_supply();
    supply.transformer.winding_rating = None;
    let kind = &mut supply.rectifier.kind;
    (kind.peak_inverse, kind.peak_current, kind.dc_current) = (None, None, None);
    let tube = &mut supply.pass_stage.tube;
    (
        tube.ratings.plate_dissipation,
        tube.ratings.plate_volts,
        tube.plate_current,
    ) = (None, None, None);
    for stack in supply.filter.stacks_mut() {
        stack.working_volts = None;
    }
    let words = ALL
        .map(|limit| {
            let unknown = Use {
                limit,
                system: None,
                judged: Err("the pass tube's curve at this current"),
            };
            assert_eq!(how_judged(&unknown), None);
            not_known(&unknown, &supply)
        })
        .join("\n");
    insta::assert_snapshot!(words, @r"
    Dropout cannot be judged here without the pass tube's curve at this current
    Set range cannot be judged here without the pass tube's curve at this current
    Set range, low end cannot be judged here without the pass tube's curve at this current
    The highest plate dissipation of the 6080 is not known: read it in the maker's data sheet
    The highest dissipation of one bulb of the 6080 is not known: read it in the maker's data sheet
    The highest cathode current of the 6080 is not known: read it in the maker's data sheet
    The highest plate volts of the 6080 are not known: read them in the maker's data sheet
    The highest DC output of the 5U4-GB is not known: read it in the maker's data sheet
    The highest peak current of the 5U4-GB is not known: read it in the maker's data sheet
    The highest peak inverse volts of the 5U4-GB are not known: read them in the maker's data sheet
    The rms current rating of the high-voltage winding is not known: read it on the transformer's label or from its maker
    The ripple current rating of capacitor C1 is not known: read it in the capacitor's data sheet
    The ripple current rating of the bus capacitor is not known: read it in the capacitor's data sheet
    The current rating of the choke is not known: read it on the choke's label
    The working volts of capacitor C1 are not known: read them on the capacitor
    The working volts of the bus capacitor are not known: read them on the capacitor
    The surge volts of capacitor C1 are not known: read them on the capacitor or in its data sheet
    The surge volts of the bus capacitor are not known: read them on the capacitor or in its data sheet
    ");
}

#[test]
fn a_known_rating_is_not_asked_for_again() {
    let unknown = Use {
        limit: Limit::RectifierPeak,
        system: None,
        judged: Err("a current that the supply can give"),
    };
    insta::assert_snapshot!(not_known(&unknown, &laboratory_supply()), @"Rectifier peak cannot be judged here without a current that the supply can give");
}

#[test]
fn how_a_rating_was_judged() {
    let words = [
        known(Limit::PlateDissipation, 8.0, 13.0, Measure::Watts),
        known(Limit::CapacitorVolts(1), 280.0, 300.0, Measure::Volts),
        known(Limit::Dropout, 200.0, 400.0, Measure::Volts),
    ]
    .map(|u| how_judged(&u).unwrap_or_default())
    .join("\n");
    insta::assert_snapshot!(words, @r"
    Design-centre rating, judged at 120 V, nominal mains
    Absolute-maximum rating, judged at 126 V, high mains, every capacitor at its most
    Judged at 120 V, the mains now
    ");
}

#[test]
fn the_verdict() {
    let supply = laboratory_supply();
    let set_range = known(Limit::SetRangeHigh, 287.0, 350.0, Measure::Volts);
    let bus = known(Limit::CapacitorVolts(1), 278.0, 300.0, Measure::Volts);
    let burning = known(Limit::PlateDissipation, 16.4, 13.0, Measure::Watts);
    let winding = known(Limit::WindingRms, 0.19, 0.183, Measure::Amps);
    let unknown = Use {
        limit: Limit::ChokeCurrent(0),
        system: None,
        judged: Err("the choke's current rating"),
    };
    let mut collapsed = point(0.9, 100.0, vec![burning]);
    collapsed.operation = None;
    let words = [
        point(0.03, 287.0, vec![set_range, unknown]),
        point(0.03, 100.0, vec![bus, set_range]),
        point(0.1, 100.0, vec![burning, set_range]),
        point(0.15, 100.0, vec![burning, winding, set_range]),
        point(0.1, 100.0, vec![unknown]),
        collapsed,
    ]
    .map(|p| {
        let f = verdict(&p, &supply);
        format!("{:?}  {}", f.severity, f.sentence)
    })
    .join("\n");
    insta::assert_snapshot!(words, @r"
    Fine  Inside, 18 % left; first met: set range
    Near  Inside, 7 % left; tightest: bus volts, no load
    Over  Outside: plate dissipation 126 %
    Over  Outside: plate dissipation 126 %, and 1 more
    Remark  No limit is known here: fill in the ratings of the parts
    Over  Outside: the supply cannot give 900 mA, the bus collapses
    ");
}

#[test]
fn the_filter_stress_zone() {
    let supply = laboratory_supply();
    let words = [150.0, 278.0, 310.0]
        .map(|volts| {
            let uses = [
                known(Limit::CapacitorVolts(0), 100.0, 300.0, Measure::Volts),
                known(Limit::CapacitorVolts(1), volts, 300.0, Measure::Volts),
            ];
            filter_stress(&uses, &supply)
                .map_or_else(String::new, |f| format!("{:?}  {}", f.severity, f.sentence))
        })
        .join("\n");
    insta::assert_snapshot!(words, @r"
    Fine  With no load at 126 V mains the worst of the 2 in series (bus) stands at 150 V; it is made for 300 V
    Near  With no load at 126 V mains the worst of the 2 in series (bus) stands at 278 V; it is made for 300 V; in the last 10 % of it
    Over  With no load at 126 V mains the worst of the 2 in series (bus) stands at 310 V; it is made for 300 V; over its rating before anything is connected
    ");
    assert_eq!(filter_stress(&[], &supply), None);
}
