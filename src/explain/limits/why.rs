//! Why a point is allowed by a limit, or why not.

use crate::explain::limits::whose::{
    capacitor, capacitor_long, choke, device, the_worst_unit, winding,
};
use crate::explain::limits::{not_known, regulator};
use crate::explain::{number, sentence_case};
use crate::parts::Supply;
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Use};

/// Why the point is allowed by this limit, or why not, with its numbers.
pub fn sentence(one_use: &Use, supply: &Supply, point: &Point) -> String {
    match &one_use.judged {
        Ok(judged) => judged_sentence(one_use.limit, judged, supply, point),
        Err(_) => not_known(one_use, supply),
    }
}

fn judged_sentence(limit: Limit, judged: &Judged, supply: &Supply, point: &Point) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let stage = &supply.pass_stage;
    // "would" for what must not be done, "does" for what may.
    let over = judged.ratio > 1.0;
    let say = |inside: &'static str, outside: &'static str| if over { outside } else { inside };
    match limit {
        Limit::Dropout => dropout_sentence(judged, supply, point),
        Limit::SetRangeHigh => format!(
            "The control can ask for {allowed} at most; this point is at {}",
            number::volts(point.volts)
        ),
        Limit::SetRangeLow => format!(
            "The control can ask for {} at least; this point is at {}",
            number::volts(supply.output.set_low.0),
            number::volts(point.volts)
        ),
        Limit::PlateDissipation => format!(
            "{} {} {actual}; it may burn {allowed}",
            sentence_case(&the_worst_unit(supply)),
            say("burns", "would burn")
        ),
        Limit::ScreenDissipation => format!(
            "The screen of {} {} {actual}; it may burn {allowed}",
            the_worst_unit(supply),
            say("burns", "would burn")
        ),
        Limit::EnvelopeDissipation => format!(
            "All sections of one {} together {} {actual}; they may burn {allowed}",
            stage.tube.name,
            say("burn", "would burn")
        ),
        Limit::PlateCurrent => format!(
            "{} {} {actual}; it may carry {allowed}",
            sentence_case(&the_worst_unit(supply)),
            say("carries", "would carry")
        ),
        Limit::PlateVolts => format!(
            "The {} {} {actual} between plate and cathode; it may have {allowed}",
            stage.tube.name,
            say("has", "would have")
        ),
        Limit::WindingRms => format!(
            "The {} {} {actual} rms; it may carry {allowed}",
            winding(supply),
            say("carries", "would carry")
        ),
        Limit::ChokeCurrent(n) => format!(
            "The {} {} {actual}; it may carry {allowed}",
            choke(n, supply),
            say("carries", "would carry")
        ),
        Limit::GridFloor
        | Limit::ControlGridCeiling
        | Limit::HeaterCathode
        | Limit::HeaterAboveCathode
        | Limit::ReferenceLeast(_)
        | Limit::ReferenceMost(_)
        | Limit::ReferenceStrike(_)
        | Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode
        | Limit::GridResistor(_) => regulator::sentence(limit, judged, supply, point),
        Limit::RectifierDc | Limit::RectifierPeak | Limit::RectifierPeakInverse => {
            rectifier_sentence(limit, judged, supply)
        }
        Limit::CapacitorRipple(n) | Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n) => {
            capacitor_sentence(limit, n, judged, supply)
        }
    }
}

/// A sentence about dropout: the valley of the bus against what the output and the least drop need.
fn dropout_sentence(judged: &Judged, supply: &Supply, point: &Point) -> String {
    let needed = number::volts(judged.actual);
    let valley = number::volts(judged.allowed);
    let tube = &supply.pass_stage.tube.name;
    let output = number::volts(point.volts);
    let amps = number::amps(point.amps);
    if judged.ratio > 1.0 {
        format!(
            "{output} and the least drop of the {tube} would need {needed}; at {amps} the valley of the bus \
             has only {valley}, so ripple would come through"
        )
    } else {
        format!(
            "{output} and the least drop of the {tube} need {needed}; at {amps} the valley of the bus has {valley}"
        )
    }
}

fn rectifier_sentence(limit: Limit, judged: &Judged, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let would = judged.ratio > 1.0;
    let device = device(supply);
    let kind = &supply.rectifier.kind.name;
    match limit {
        Limit::RectifierDc => {
            let gives = if would { "would give" } else { "gives" };
            let may = if supply.rectifier.kind.plates > 1 {
                format!("its share of what the {kind} may give is {allowed}")
            } else {
                format!("it may give {allowed}")
            };
            format!("{} {gives} {actual} DC; {may}", sentence_case(&device))
        }
        Limit::RectifierPeak => format!(
            "The current of {device} {} {actual} at its peak; {allowed} is allowed",
            if would { "would reach" } else { "reaches" }
        ),
        _ => format!(
            "With no load at {} mains {device} sees {actual} of inverse volts; it may stand {allowed}",
            number::volts(judged.mains_volts)
        ),
    }
}

pub(super) fn capacitor_sentence(limit: Limit, n: u8, judged: &Judged, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let would = judged.ratio > 1.0;
    let whom = match supply.filter.stacks().nth(usize::from(n)) {
        Some(stack) if stack.in_series > 1 && !matches!(limit, Limit::CapacitorRipple(_)) => {
            format!(
                "the worst of the {} in series ({})",
                stack.in_series,
                capacitor(n, supply)
            )
        }
        _ => capacitor_long(n, supply),
    };
    match limit {
        Limit::CapacitorRipple(_) => format!(
            "{} {} {actual} of ripple current; {allowed} is allowed",
            sentence_case(&whom),
            if would { "would carry" } else { "carries" }
        ),
        Limit::CapacitorVolts(_) => format!(
            "With no load at {} mains {whom} stands at {actual}; it is made for {allowed}",
            number::volts(judged.mains_volts)
        ),
        _ => format!(
            "With no load at {} mains {whom} stands at {actual}; its surge volts are {allowed}",
            number::volts(judged.mains_volts)
        ),
    }
}
