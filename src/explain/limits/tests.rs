//! The words themselves, as snapshots.

use super::*;
use crate::explain::samples::{known, laboratory_supply, point};
use crate::parts::TubeRatings;
use crate::parts::catalogue::{Catalogue, presets};
use crate::parts::file::read_checked;
use crate::physics::limit::Measure;
use crate::physics::needs::Needs;

/// Every kind of limit there is, of capacitors the first and the last.
fn every() -> Vec<Limit> {
    (Limit::KINDS.into_iter())
        .flat_map(|kind| match kind {
            Limit::CapacitorVolts(_) => vec![kind, Limit::CapacitorVolts(1)],
            Limit::CapacitorSurge(_) => vec![kind, Limit::CapacitorSurge(1)],
            Limit::CapacitorRipple(_) => vec![kind, Limit::CapacitorRipple(1)],
            _ => vec![kind],
        })
        .collect()
}

/// What `say` says of every kind of limit, one a line.
fn lines(say: impl Fn(Limit) -> String) -> String {
    let said: Vec<String> = every().into_iter().map(say).collect();
    said.join("\n")
}

/// With a regulator that has everything: a reference of its own, and a rail with another.
fn with_regulator() -> Supply {
    let read = |name: &str| {
        let text = presets().iter().find(|p| p.0 == name).unwrap().1;
        read_checked(text, &Catalogue::built_in())
            .unwrap()
            .regulator
            .unwrap()
    };
    let mut regulator = read("school-laboratory.ron");
    regulator.reference = read("small-fixed-range.ron").reference;
    Supply {
        regulator: Some(regulator),
        ..laboratory_supply()
    }
}

fn allowed_of(limit: Limit) -> f64 {
    match limit.measure() {
        Measure::Watts => 13.0,
        Measure::Amps => 0.2,
        Measure::Volts => 300.0,
        Measure::Ohms => 500e3,
        Measure::Farads => 40e-6,
    }
}

#[test]
fn names_and_parts() {
    let supply = with_regulator();
    let words = lines(|limit| {
        format!("{} | {}", name(limit, &supply), part(limit, &supply))
            .trim()
            .to_owned()
    });
    insta::assert_snapshot!(words, @r"
    winding rms | 183 mA, high-voltage half-winding
    rectifier output current | 275 mA, whole 5U4-GB
    rectifier peak | 1 A, each 5U4-GB plate
    peak inverse, no load | 1.55 kV, each 5U4-GB plate
    peak inverse, loaded | the 5U4-GB, by its current
    supply resistance |
    first capacitor |
    rectifier heater–cathode volts, no load |
    C1 volts, no load | 300 V
    bus volts, no load | 300 V, each of 2 in series
    C1 surge volts, no load |
    bus surge volts, no load |
    ripple current, C1 |
    ripple current, bus |
    choke current |
    plate volts | 250 V, 6080
    plate current | 125 mA, worst 6080 section
    plate dissipation | 13 W, worst 6080 section
    screen dissipation |
    dissipation of one bulb |
    heater–cathode volts |
    heater above cathode |
    dropout | 6080 at its least drop
    lowest regulated output | 6AU6-A at its least plate volts
    control-grid ceiling | 6AU6-A on the sense divider
    reference, starting volts | 125 V, 85A2
    reference current, least | 1 mA, 85A2
    reference current, most, no load | 10 mA, 85A2
    rail winding rms | 75 mA
    rail rectifier output current | 35 mA, each 6X4 plate
    rail rectifier peak | 210 mA, each 6X4 plate
    rail rectifier peak inverse | 1.25 kV, each 6X4 plate
    rail rectifier heater–cathode volts | 450 V, each 6X4 plate
    rail C1 volts | 450 V
    rail C1 surge volts | 525 V
    rail reference, starting volts | 210 V, 0A3 and 0C3
    rail reference, least, no load | 5 mA, 0A3 and 0C3
    rail reference, most, no load | 40 mA, 0A3 and 0C3
    control tube plate volts | 330 V, 6AU6-A
    control tube dissipation, no load | 3.5 W, 6AU6-A
    control tube screen volts | 165 V, 6AU6-A
    control tube screen, no load | 750 mW, 6AU6-A
    control tube heater–cathode volts | 200 V, 6AU6-A
    pass tube grid resistor |
    control tube grid resistor |
    output range, low end | 0 V
    output range | 350 V
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

/// Every limit's sentence where so much of what is allowed is used.
fn sentences(share: f64) -> String {
    let supply = with_regulator();
    let here = point(0.1, 200.0, Vec::new());
    lines(|limit| {
        let allowed = allowed_of(limit);
        let had = if limit.is_least() {
            allowed / share
        } else {
            share * allowed
        };
        sentence(&known(limit, had, allowed, limit.measure()), &supply, &here)
    })
}

#[test]
fn why_it_is_allowed() {
    insta::assert_snapshot!(sentences(0.62), @r"
    The high-voltage half-winding carries 124 mA rms; it may carry 200 mA
    Each 5U4-GB plate gives 124 mA DC; its share of what the 5U4-GB may give is 200 mA
    The current of each 5U4-GB plate reaches 124 mA at its peak; 200 mA is allowed
    With no load at 126 V mains each 5U4-GB plate sees 186 V of inverse volts; it may stand 300 V
    With 100 mA of output each 5U4-GB plate sees 186 V of inverse volts; giving that much it may stand 300 V
    Each 5U4-GB plate has 806 kΩ of winding and resistors before it; its maker asks for 500 kΩ at least
    The first capacitor has 24.8 µF; the maker of the 5U4-GB allows 40 µF
    With no load at 126 V mains 186 V stand between heater and cathode of the 5U4-GB; 300 V may
    With no load at 126 V mains capacitor C1 stands at 186 V; it is made for 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 186 V; it is made for 300 V
    With no load at 126 V mains capacitor C1 stands at 186 V; its surge volts are 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 186 V; its surge volts are 300 V
    Capacitor C1 carries 124 mA of ripple current; 200 mA is allowed
    The bus capacitor carries 124 mA of ripple current; 200 mA is allowed
    The choke carries 124 mA; it may carry 200 mA
    The 6080 has 186 V between plate and cathode; it may have 300 V
    The worst 6080 section carries 124 mA; it may carry 200 mA
    The worst 6080 section burns 8.06 W; it may burn 13 W
    The screen of the worst 6080 section burns 8.06 W; it may burn 13 W
    All sections of one 6080 together burn 8.06 W; they may burn 13 W
    The heaters of the 6080 are tied to the output's negative terminal: 186 V stand between heater and cathode; 300 V may
    The heaters of the 6080 stand 186 V above their cathodes; 300 V may
    200 V and the least drop of the 6080 need 186 V; at 100 mA the valley of the bus has 300 V
    At 200 V and 100 mA the grids of the 6080 are 186 V below their cathodes; the 6AU6-A can pull them down by 300 V
    At 200 V and 100 mA the grid of the 6AU6-A is 186 V below its cathode; the sense divider can bring it down to 300 V below it
    At 120 V mains the output gives 484 V while the gas reference (85A2) is dark; 300 V start every tube
    At 120 V mains the gas reference (85A2) carries 323 mA; below 200 mA its volts are no longer sure
    With no load at 126 V mains the gas reference (85A2) carries 124 mA; 200 mA is allowed
    At 126 V mains the rail's winding carries 124 mA rms; 200 mA is allowed
    At 126 V mains each 6X4 plate of the rail gives 124 mA DC; it may give 200 mA
    At 126 V mains the current of each 6X4 plate of the rail reaches 124 mA at its peak; 200 mA is allowed
    At 126 V mains each 6X4 plate of the rail sees 186 V of inverse volts; it may stand 300 V
    With no load at 126 V mains 186 V stand between heater and cathode of the rail's 6X4; 300 V may
    At 126 V mains capacitor C1 of the rail stands at 186 V; it is made for 300 V
    At 126 V mains capacitor C1 of the rail stands at 186 V; its surge volts are 300 V
    At 126 V mains the rail gives 484 V while the gas reference (0A3 and 0C3) is dark; 300 V start every tube
    At 126 V mains the gas reference (0A3 and 0C3) carries 323 mA; below 200 mA its volts are no longer sure
    With no load at 126 V mains the gas reference (0A3 and 0C3) carries 124 mA; 200 mA is allowed
    The 6AU6-A has 186 V between plate and cathode, as its plate holds the pass grids; it may have 300 V
    The 6AU6-A burns 8.06 W on its plate at its worst setting with no load; it may burn 13 W
    The screen of the 6AU6-A has 186 V above its cathode; it may have 300 V
    The screen of the 6AU6-A burns 8.06 W at its worst setting with no load; it may burn 13 W
    Between heater and cathode of the 6AU6-A stand 186 V; 300 V may
    2 grids of the 6080 share one plate load, so that each sees 310 kΩ; the maker allows 500 kΩ
    The grid of the 6AU6-A sees up to 310 kΩ of the sense divider; the maker allows 500 kΩ
    The control can ask for 0 V at least; this point is at 200 V
    The control can ask for 300 V at most; this point is at 200 V
    ");
}

#[test]
fn why_it_is_not_allowed() {
    insta::assert_snapshot!(sentences(1.26), @r"
    The high-voltage half-winding would carry 252 mA rms; it may carry 200 mA
    Each 5U4-GB plate would give 252 mA DC; its share of what the 5U4-GB may give is 200 mA
    The current of each 5U4-GB plate would reach 252 mA at its peak; 200 mA is allowed
    With no load at 126 V mains each 5U4-GB plate sees 378 V of inverse volts; it may stand 300 V
    With 100 mA of output each 5U4-GB plate sees 378 V of inverse volts; giving that much it may stand 300 V
    Each 5U4-GB plate has only 397 kΩ of winding and resistors before it; its maker asks for 500 kΩ at least
    The first capacitor has 50.4 µF; the maker of the 5U4-GB allows 40 µF
    With no load at 126 V mains 378 V would stand between heater and cathode of the 5U4-GB; 300 V may
    With no load at 126 V mains capacitor C1 stands at 378 V; it is made for 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 378 V; it is made for 300 V
    With no load at 126 V mains capacitor C1 stands at 378 V; its surge volts are 300 V
    With no load at 126 V mains the worst of the 2 in series (bus) stands at 378 V; its surge volts are 300 V
    Capacitor C1 would carry 252 mA of ripple current; 200 mA is allowed
    The bus capacitor would carry 252 mA of ripple current; 200 mA is allowed
    The choke would carry 252 mA; it may carry 200 mA
    The 6080 would have 378 V between plate and cathode; it may have 300 V
    The worst 6080 section would carry 252 mA; it may carry 200 mA
    The worst 6080 section would burn 16.4 W; it may burn 13 W
    The screen of the worst 6080 section would burn 16.4 W; it may burn 13 W
    All sections of one 6080 together would burn 16.4 W; they may burn 13 W
    The heaters of the 6080 are tied to the output's negative terminal: 378 V would stand between heater and cathode; 300 V may
    The heaters of the 6080 would stand 378 V above their cathodes; 300 V may
    200 V and the least drop of the 6080 would need 378 V; at 100 mA the valley of the bus has only 300 V, so ripple would come through
    At 200 V and 100 mA the grids of the 6080 would have to be 378 V below their cathodes; the 6AU6-A can pull them down by 300 V only, so the output would stay higher
    At 200 V and 100 mA the grid of the 6AU6-A would have to be 378 V below its cathode; the sense divider can bring it no lower than 300 V below it, so the tube stays fully on and the output lower than asked for
    At 120 V mains the output would give only 238 V while the gas reference (85A2) is dark; 300 V would start every tube
    At 120 V mains the gas reference (85A2) would carry only 159 mA; below 200 mA its volts are no longer sure
    With no load at 126 V mains the gas reference (85A2) would carry 252 mA; 200 mA is allowed
    At 126 V mains the rail's winding would carry 252 mA rms; 200 mA is allowed
    At 126 V mains each 6X4 plate of the rail would give 252 mA DC; it may give 200 mA
    At 126 V mains the current of each 6X4 plate of the rail would reach 252 mA at its peak; 200 mA is allowed
    At 126 V mains each 6X4 plate of the rail would see 378 V of inverse volts; it may stand 300 V
    With no load at 126 V mains 378 V would stand between heater and cathode of the rail's 6X4; 300 V may
    At 126 V mains capacitor C1 of the rail stands at 378 V; it is made for 300 V
    At 126 V mains capacitor C1 of the rail stands at 378 V; its surge volts are 300 V
    At 126 V mains the rail would give only 238 V while the gas reference (0A3 and 0C3) is dark; 300 V would start every tube
    At 126 V mains the gas reference (0A3 and 0C3) would carry only 159 mA; below 200 mA its volts are no longer sure
    With no load at 126 V mains the gas reference (0A3 and 0C3) would carry 252 mA; 200 mA is allowed
    The 6AU6-A would have 378 V between plate and cathode, as its plate holds the pass grids; it may have 300 V
    The 6AU6-A would burn 16.4 W on its plate at its worst setting with no load; it may burn 13 W
    The screen of the 6AU6-A would have 378 V above its cathode; it may have 300 V
    The screen of the 6AU6-A would burn 16.4 W at its worst setting with no load; it may burn 13 W
    Between heater and cathode of the 6AU6-A would stand 378 V; 300 V may
    2 grids of the 6080 share one plate load, so that each sees 630 kΩ; the maker allows 500 kΩ only
    The grid of the 6AU6-A sees up to 630 kΩ of the sense divider; the maker allows 500 kΩ only
    The control can ask for 0 V at least; this point is at 200 V
    The control can ask for 300 V at most; this point is at 200 V
    ");
}

#[test]
fn what_is_not_known_says_where_to_read_it() {
    let mut supply = with_regulator();
    if let Some(regulator) = &mut supply.regulator {
        let tube = &mut regulator.control_tube;
        (tube.ratings, tube.screen_volts) = (TubeRatings::default(), None);
        for tube in (regulator.reference.iter_mut()).flat_map(|r| &mut r.tubes) {
            (tube.strike_volts, tube.supply_least) = (None, None);
        }
    }
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
    let words = lines(|limit| {
        let unknown = Use {
            limit,
            system: None,
            confidence: None,
            published: None,
            judged: Err(Needs::PassCurve),
        };
        assert_eq!(how_judged(&unknown), None);
        not_known(&unknown, &supply)
    });
    insta::assert_snapshot!(words, @r"
    The rms current rating of the high-voltage winding is not known: read it on the transformer's label or from its maker
    The highest DC output of the 5U4-GB is not known: read it in the maker's data sheet
    The highest peak current of the 5U4-GB is not known: read it in the maker's data sheet
    The highest peak inverse volts of the 5U4-GB are not known: read them in the maker's data sheet
    The highest peak inverse volts of the 5U4-GB are not known: read them in the maker's data sheet
    Supply resistance cannot be judged here without the pass tube's curve at this current
    First capacitor cannot be judged here without the pass tube's curve at this current
    The highest heater–cathode volts of the 5U4-GB are not known: read them in the maker's data sheet
    The working volts of capacitor C1 are not known: read them on the capacitor
    The working volts of the bus capacitor are not known: read them on the capacitor
    The surge volts of capacitor C1 are not known: read them on the capacitor or in its data sheet
    The surge volts of the bus capacitor are not known: read them on the capacitor or in its data sheet
    The ripple current rating of capacitor C1 is not known: read it in the capacitor's data sheet
    The ripple current rating of the bus capacitor is not known: read it in the capacitor's data sheet
    The current rating of the choke is not known: read it on the choke's label
    The highest plate volts of the 6080 are not known: read them in the maker's data sheet
    The highest cathode current of the 6080 is not known: read it in the maker's data sheet
    The highest plate dissipation of the 6080 is not known: read it in the maker's data sheet
    The screen's share of the current of the 6080 is not known: read it from a row of the maker's data sheet with plate and screen at the same volts
    The highest dissipation of one bulb of the 6080 is not known: read it in the maker's data sheet
    The highest heater–cathode volts of the 6080 are not known: read them in the maker's data sheet
    The highest heater–cathode volts of the 6080 are not known: read them in the maker's data sheet
    Dropout cannot be judged here without the pass tube's curve at this current
    Lowest regulated output cannot be judged here without the pass tube's curve at this current
    Control-grid ceiling cannot be judged here without the pass tube's curve at this current
    The starting volts of the gas reference (85A2) are not known: read them in the maker's data sheet
    Reference current, least cannot be judged here without the pass tube's curve at this current
    Reference current, most, no load cannot be judged here without the pass tube's curve at this current
    Rail winding rms cannot be judged here without the pass tube's curve at this current
    Rail rectifier output current cannot be judged here without the pass tube's curve at this current
    Rail rectifier peak cannot be judged here without the pass tube's curve at this current
    Rail rectifier peak inverse cannot be judged here without the pass tube's curve at this current
    Rail rectifier heater–cathode volts cannot be judged here without the pass tube's curve at this current
    Rail C1 volts cannot be judged here without the pass tube's curve at this current
    Rail C1 surge volts cannot be judged here without the pass tube's curve at this current
    Rail reference, starting volts cannot be judged here without the pass tube's curve at this current
    Rail reference, least, no load cannot be judged here without the pass tube's curve at this current
    Rail reference, most, no load cannot be judged here without the pass tube's curve at this current
    The highest plate volts of the 6AU6-A are not known: read them in the maker's data sheet
    The highest plate dissipation of the 6AU6-A is not known: read it in the maker's data sheet
    The highest screen volts of the 6AU6-A are not known: read them in the maker's data sheet
    The highest screen dissipation of the 6AU6-A is not known: read it in the maker's data sheet
    The highest heater–cathode volts of the 6AU6-A are not known: read them in the maker's data sheet
    The largest grid resistor of the 6080 is not known: read it in the maker's data sheet
    The largest grid resistor of the 6AU6-A is not known: read it in the maker's data sheet
    Output range, low end cannot be judged here without the pass tube's curve at this current
    Output range cannot be judged here without the pass tube's curve at this current
    ");
}

#[test]
fn a_known_rating_is_not_asked_for_again() {
    let unknown = Use {
        limit: Limit::RectifierPeak,
        system: None,
        confidence: None,
        published: None,
        judged: Err(Needs::SustainedCurrent),
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
        confidence: None,
        published: None,
        judged: Err(Needs::Rating),
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
    Fine  Inside, 18 % left; first met: output range
    Fine  Inside, 18 % left; first met: output range
    Over  Works, but over a rating: plate dissipation 126 %
    Over  Works, but over a rating: plate dissipation 126 %, and 1 more
    Remark  No limit is known here: fill in the ratings of the parts
    Over  Out of reach: the bus collapses before it gives 900 mA
    ");
}

#[test]
fn grids_may_be_too_high_on_either_side_of_their_cathodes() {
    let supply = with_regulator();
    let here = point(0.1, 200.0, Vec::new());
    let said = |limit, needed: f64, given: f64| {
        let mut one = known(limit, needed, given, Measure::Volts);
        let judged = one.judged.as_mut().unwrap();
        (judged.actual, judged.allowed) = (needed, given);
        judged.ratio = crate::physics::limit::ratio(limit, needed, given);
        sentence(&one, &supply, &here)
    };
    let words = [
        said(Limit::GridFloor, -3.0, 20.0),
        said(Limit::GridFloor, -3.0, -10.0),
        said(Limit::GridFloor, 3.0, -10.0),
        said(Limit::ControlGridCeiling, -0.4, 20.0),
        said(Limit::ControlGridCeiling, 1.5, 0.0),
        said(Limit::ControlGridCeiling, -0.4, -5.0),
    ]
    .join("\n");
    insta::assert_snapshot!(words, @r"
    At 200 V and 100 mA the grids of the 6080 need not be pulled below their cathodes
    At 200 V and 100 mA the grids of the 6080 would have to come down to 3 V above their cathodes; the 6AU6-A cannot bring its plate down that far, so the output would stay higher
    At 200 V and 100 mA the grids of the 6080 would have to be 3 V below their cathodes; the 6AU6-A cannot bring its plate down to the cathodes at all
    At 200 V and 100 mA the grid of the 6AU6-A is 400 mV above its cathode; the sense divider can bring it down to 20 V below it
    At 200 V and 100 mA the grid of the 6AU6-A would have to be 1.5 V below its cathode; the sense divider can bring it no lower than its cathode, so the tube stays fully on and the output lower than asked for
    At 200 V and 100 mA the grid of the 6AU6-A would have to be 400 mV above its cathode; the sense divider can bring it no lower than 5 V above it, so the tube stays fully on and the output lower than asked for
    ");
}

#[test]
fn every_limit_has_an_owner_and_something_to_change() {
    let supply = with_regulator();
    let supply = &supply;
    for limit in Limit::KINDS {
        let row = words(limit);
        assert!(!row.owner.is_empty(), "{limit:?}");
        // Where it is over everywhere no point leads back inside.
        let to_change = row.to_change.of(Subject { limit, supply });
        assert!(!to_change.is_empty() || !limit.is_no_load(), "{limit:?}");
    }
}
