//! The regulator: figures that can be computed with, and taps that are there.

use crate::parts::check::filter::filter;
use crate::parts::check::rectifier_type;
use crate::parts::check::{
    AMPS, Findings, Problem, VOLTS, below, bounds, control_tube_type, gas_tube_type, heater_tie,
    wiring,
};
use crate::parts::escape::shortened;
use crate::parts::regulator::{
    BiasRail, GasReference, PlateSupply, ReferenceFeed, Regulator, ScreenDivider, ScreenFeed,
    SenseControl, Tap,
};
use crate::parts::{Connection, Ohms, RailWinding, Stage, Supply};

/// Part of a divider within which its whole is the sum of its parts: as far as one reads resistors.
const SAME_DIVIDER: f64 = 0.01;
/// Most gas tubes in one stack.
const MOST_TUBES: usize = 8;

/// The problems of a regulator.
pub(super) fn regulator(regulator: &Regulator) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Regulator);
    f.problems.extend(below(
        "regulator.control_tube",
        control_tube_type(&regulator.control_tube),
    ));
    bounds!(f, "regulator", regulator, { plate_load: 100.0..=100e6, });
    if let PlateSupply::Clean(volts) = &regulator.plate_supply {
        f.within("regulator.plate_supply", volts, 1.0..=10e3);
    }
    bounds!(f, "regulator", regulator, { screen_volts: 1.0..=5e3, least_plate_volts: 0.0..=5e3, });
    if let Some(divider) = &regulator.screen_divider {
        screen_divider(&mut f, divider, regulator);
    }
    bounds!(f, "regulator.divider", regulator.divider, { resistance: 100.0..=1e9, });
    if let Some(control) = &regulator.divider.control {
        sense_control(&mut f, control, regulator.divider.resistance);
    }
    bounds!(f, "regulator", regulator, { preload: 10.0..=1e9, });
    heater_tie(&mut f, "regulator.heater", regulator.heater);
    tap(&mut f, "regulator.cathode", regulator.cathode, regulator);
    tap(
        &mut f,
        "regulator.divider.foot",
        regulator.divider.foot,
        regulator,
    );
    if let Some(positive) = &regulator.reference {
        reference(&mut f, "regulator.reference", positive);
        if positive.fed_from == ReferenceFeed::BiasRail {
            f.add(
                "regulator.reference.fed_from",
                "BiasRail",
                "Bus or Output for a positive reference",
            );
        }
    }
    if let Some(rail) = &regulator.bias_rail {
        bias_rail(&mut f, rail);
    }
    f.problems
        .into_iter()
        .map(|problem| Problem {
            stage: Stage::Regulator,
            ..problem
        })
        .collect()
}

/// A tap needs what it is a tap of.
fn tap(f: &mut Findings, field: &str, tap: Tap, regulator: &Regulator) {
    let rail = regulator.bias_rail.as_ref();
    match tap {
        Tap::Reference if regulator.reference.is_none() => {
            f.add(
                field,
                "Reference",
                "a positive reference (reference), or another tap",
            );
        }
        Tap::BiasRail if rail.is_none() => {
            f.add(
                field,
                "BiasRail",
                "a negative rail (bias_rail), or another tap",
            );
        }
        Tap::Common | Tap::Reference | Tap::BiasRail => {}
        Tap::BiasReference(tubes) => {
            let there = rail
                .and_then(|r| r.reference.as_ref())
                .map_or(0, |r| r.tubes.len());
            if tubes == 0 || usize::from(tubes) > there {
                let expected = match there {
                    0 => "a reference on the negative rail, or another tap".to_owned(),
                    there => format!("BiasReference(1) to BiasReference({there})"),
                };
                f.add(field, format!("BiasReference({tubes})"), expected);
            }
        }
    }
}

/// The parts of the sense divider make its whole.
fn sense_control(f: &mut Findings, control: &SenseControl, resistance: Ohms) {
    let path = "regulator.divider.control";
    bounds!(f, path, control, { upper: 0.0..=1e9, pot: 10.0..=1e9, lower: 0.0..=1e9, zero_adjuster: 1.0..=1e9, });
    let whole = control.whole();
    let share = (resistance.0 - whole.0).abs() / whole.0.max(1.0);
    if share > SAME_DIVIDER {
        let with = match control.zero_adjuster {
            Some(_) => "upper, pot, lower and half the zero adjuster",
            None => "upper, pot and lower",
        };
        f.add(
            "regulator.divider.resistance",
            resistance.to_string(),
            format!("{whole}, the sum of {with}"),
        );
    }
}

/// The screen's divider needs what it comes from and what it goes to.
fn screen_divider(f: &mut Findings, divider: &ScreenDivider, regulator: &Regulator) {
    let path = "regulator.screen_divider";
    bounds!(f, path, divider, { upper: 100.0..=1e9, lower: 100.0..=1e9, });
    if let Some(volts) = regulator.screen_volts {
        let found = format!("screen volts of {volts} and a divider for them");
        f.add(
            path,
            found,
            "one of the two: screen_volts or screen_divider",
        );
    }
    tap(f, &format!("{path}.foot"), divider.foot, regulator);
    let from = format!("{path}.fed_from");
    match divider.fed_from {
        ScreenFeed::Reference if regulator.reference.is_none() => {
            f.add(
                &from,
                "Reference",
                "a positive reference (reference), or another feed",
            );
        }
        ScreenFeed::CleanRail if regulator.plate_supply == PlateSupply::Bus => {
            f.add(
                &from,
                "CleanRail",
                "a clean rail for the plate load (plate_supply), or another feed",
            );
        }
        ScreenFeed::Reference if divider.foot == Tap::Reference => {
            f.add(&from, "Reference, like its foot", "a feed above its foot");
        }
        ScreenFeed::Common if divider.foot == Tap::Common => {
            f.add(&from, "Common, like its foot", "a feed above its foot");
        }
        _ => {}
    }
}

fn reference(f: &mut Findings, path: &str, reference: &GasReference) {
    if !(1..=MOST_TUBES).contains(&reference.tubes.len()) {
        f.add(
            &format!("{path}.tubes"),
            format!("{} gas tubes", reference.tubes.len()),
            format!("1 to {MOST_TUBES}"),
        );
    }
    for (k, tube) in reference.tubes.iter().enumerate() {
        f.problems
            .extend(below(&format!("{path}.tubes[{k}]"), gas_tube_type(tube)));
    }
    bounds!(f, path, reference, { feed_resistor: 1.0..=100e6, drawn: 0.0..=10.0, });
    shunts(f, &format!("{path}.shunts"), reference);
}

/// Each across a tube that is there, and no two across one.
fn shunts(f: &mut Findings, path: &str, reference: &GasReference) {
    let mut taken = Vec::new();
    for (k, shunt) in reference.shunts.iter().flatten().enumerate() {
        let (at, across) = (format!("{path}[{k}]"), shunt.across);
        let there = reference.tubes.len();
        if !(1..=there).contains(&usize::from(across)) {
            let expected = format!("1 to {there}, a tube of the stack, counted from the common");
            f.add(&format!("{at}.across"), across.to_string(), expected);
        } else if taken.contains(&across) {
            let found = format!("a second shunt resistor across tube {across}");
            f.add(&format!("{at}.across"), found, "one for each tube");
        }
        taken.push(across);
        bounds!(f, &at, shunt, { resistance: 100.0..=1e9, });
    }
}

/// What a rail from the high-voltage winding asks of that winding and of its own rectifier.
pub(super) fn rail_on_the_winding(supply: &Supply) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Regulator);
    let rail = supply.regulator.as_ref().and_then(|r| r.bias_rail.as_ref());
    let Some(rail) = rail.filter(|rail| rail.winding.own().is_none()) else {
        return f.problems;
    };
    let feed = match rail.winding {
        RailWinding::HighVoltageTap(volts) => {
            let volts = shortened(&volts.to_string());
            format!("HighVoltageTap(\"{volts}\")")
        }
        _ => "HighVoltageEnd".to_owned(),
    };
    let field = "regulator.bias_rail.winding";
    let [first, _] = supply.transformer.stated_halves();
    let whole = match supply.rectifier.connection {
        Connection::Bridge => {
            f.add(
                field,
                format!("{feed} with a bridge on that winding"),
                "a winding of its own, such as \"245 V\": with a bridge no point of the high-voltage winding stands at the common",
            );
            None
        }
        Connection::FullWaveCentreTap => Some("the first half of the high-voltage winding"),
        Connection::HalfWave => Some("the high-voltage winding"),
    };
    if let (RailWinding::HighVoltageTap(volts), Some(whole)) = (rail.winding, whole)
        && volts > first
    {
        let expected = format!("at most {first}, {whole}");
        f.add(field, feed.clone(), expected);
    }
    if let Some(rating) = &rail.winding_rating {
        f.add(
            "regulator.bias_rail.winding_rating",
            format!("{} with {feed}", shortened(&rating.value.to_string())),
            "no such field: the rail's current counts in the high-voltage winding, whose rating is transformer.winding_rating",
        );
    }
    let wiring = match rail.rectifier.connection {
        Connection::HalfWave => return f.problems,
        Connection::FullWaveCentreTap => "FullWaveCentreTap",
        Connection::Bridge => "Bridge",
    };
    f.add(
        "regulator.bias_rail.rectifier.connection",
        format!("{wiring} with {feed}"),
        "HalfWave: between one point of the winding and the common there is one path",
    );
    f.problems
}

fn bias_rail(f: &mut Findings, rail: &BiasRail) {
    let path = "regulator.bias_rail";
    if let RailWinding::Own(volts) | RailWinding::HighVoltageTap(volts) = &rail.winding {
        f.within("regulator.bias_rail.winding", volts, VOLTS);
    }
    bounds!(f, path, rail, { winding_resistance: 0.0..=100e3, winding_rating: 100e-6..=100.0, });
    let at = |name: &str| format!("{path}.{name}");
    if rail.winding.own().is_some() && rail.winding_resistance.is_none() {
        f.add(
            &at("winding_resistance"),
            "nothing",
            "this field, for example winding_resistance: \"200 Ω\"",
        );
    }
    let kind = rectifier_type(&rail.rectifier.kind);
    f.problems.extend(below(&at("rectifier.kind"), kind));
    wiring(f, &at("rectifier"), &rail.rectifier);
    f.problems.extend(below(path, filter(&rail.filter)));
    bounds!(f, path, rail, { load: 0.0..=*AMPS.end(), });
    if let Some(negative) = &rail.reference {
        reference(f, &at("reference"), negative);
        if negative.fed_from != ReferenceFeed::BiasRail {
            f.add(
                &at("reference.fed_from"),
                format!("{:?}", negative.fed_from),
                "BiasRail for the reference of the negative rail",
            );
        }
    }
}
