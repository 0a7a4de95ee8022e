//! Limits in words: their short names, why a point is or is not allowed, and what is not known.

pub(super) mod regulator;
mod unknown;
pub(super) mod whose;
mod why;

#[cfg(test)]
mod tests;

pub use unknown::not_known;
pub use why::sentence;

use crate::explain::limits::whose::{
    capacitor, choke, choke_rating, one_device, rectifier_dc, unit_rating, winding, worst_unit,
};
use crate::explain::{Finding, NEAR, Number, Severity, number};
use crate::parts::{RatingSystem, Stage, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, Side, Use};
use crate::physics::operation::Case;

/// Short name for a label or a list: `plate dissipation`, `bus volts, no load`.
pub fn name(limit: Limit, supply: &Supply) -> String {
    let triode = supply.pass_stage.tube.triode_connected;
    match limit {
        Limit::Dropout => "dropout".to_owned(),
        Limit::SetRangeHigh => "set range".to_owned(),
        Limit::SetRangeLow => "set range, low end".to_owned(),
        Limit::PlateDissipation if triode => "plate and screen dissipation".to_owned(),
        Limit::PlateDissipation => "plate dissipation".to_owned(),
        Limit::ScreenDissipation => "screen dissipation".to_owned(),
        Limit::EnvelopeDissipation => "dissipation of one bulb".to_owned(),
        Limit::PlateCurrent if triode => "cathode current".to_owned(),
        Limit::PlateCurrent => "plate current".to_owned(),
        Limit::PlateVolts => "plate volts".to_owned(),
        Limit::RectifierDc => "rectifier DC".to_owned(),
        Limit::RectifierPeak => "rectifier peak".to_owned(),
        Limit::RectifierPeakInverse => "peak inverse, no load".to_owned(),
        Limit::WindingRms => "winding rms".to_owned(),
        Limit::CapacitorRipple(n) => format!("ripple current, {}", capacitor(n, supply)),
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
        | Limit::GridResistor(_) => regulator::name(limit).to_owned(),
        Limit::ChokeCurrent(n) => format!("{} current", choke(n, supply)),
        Limit::CapacitorVolts(n) => format!("{} volts, no load", capacitor(n, supply)),
        Limit::CapacitorSurge(n) => format!("{} surge volts, no load", capacitor(n, supply)),
    }
}

/// A capacitor inside a sentence, without its article: `C1`, `bus capacitor`. Counted from the rectifier, from 0.
pub fn capacitor_name(n: u8, supply: &Supply) -> String {
    match capacitor(n, supply).as_str() {
        "bus" => "bus capacitor".to_owned(),
        other => other.to_owned(),
    }
}

/// The allowed value and the part it belongs to, as a second line under the name: `13 W, worst 6080 section`.
/// Empty where there is nothing to add or the rating is not known.
pub fn part(limit: Limit, supply: &Supply) -> String {
    let tube = &supply.pass_stage.tube;
    let kind = &supply.rectifier.kind;
    let stack = |n: u8| supply.filter.stacks().nth(usize::from(n));
    let text = match limit {
        Limit::Dropout => Some(format!("{} at its least drop", tube.name)),
        Limit::SetRangeHigh => Some(number::volts(supply.output.set_high.0)),
        Limit::SetRangeLow => Some(number::volts(supply.output.set_low.0)),
        Limit::PlateDissipation => tube
            .ratings
            .plate_dissipation
            .as_ref()
            .map(|r| format!("{}, {}", number::watts(r.value.0), worst_unit(supply))),
        Limit::ScreenDissipation => (tube.ratings.screen_dissipation.as_ref())
            .map(|r| format!("{}, {}", number::watts(r.value.0), worst_unit(supply))),
        Limit::EnvelopeDissipation => tube
            .envelope_dissipation
            .as_ref()
            .map(|r| format!("{}, one {}", number::watts(r.value.0), tube.name)),
        Limit::PlateCurrent => tube
            .plate_current
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), worst_unit(supply))),
        Limit::PlateVolts => tube
            .ratings
            .plate_volts
            .as_ref()
            .map(|r| format!("{}, {}", number::volts(r.value.0), tube.name)),
        Limit::RectifierDc => rectifier_dc(supply)
            .map(|r| format!("{}, whole {}", number::amps(r.value.0), kind.name)),
        Limit::RectifierPeak => kind
            .peak_current
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), one_device(supply))),
        Limit::RectifierPeakInverse => kind
            .peak_inverse
            .as_ref()
            .map(|r| format!("{}, {}", number::volts(r.value.0), one_device(supply))),
        Limit::WindingRms => supply
            .transformer
            .winding_rating
            .as_ref()
            .map(|r| format!("{}, {}", number::amps(r.value.0), winding(supply))),
        Limit::CapacitorRipple(n) => stack(n).and_then(|s| {
            unit_rating(
                s,
                s.ripple_current.as_ref().map(|r| number::amps(r.value.0)),
            )
        }),
        Limit::CapacitorVolts(n) => stack(n).and_then(|s| {
            unit_rating(
                s,
                s.working_volts.as_ref().map(|r| number::volts(r.value.0)),
            )
        }),
        Limit::CapacitorSurge(n) => stack(n)
            .and_then(|s| unit_rating(s, s.surge_volts.as_ref().map(|r| number::volts(r.value.0)))),
        Limit::ChokeCurrent(n) => choke_rating(n, supply).map(|r| number::amps(r.value.0)),
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
        | Limit::GridResistor(_) => regulator::part(limit, supply),
    };
    text.unwrap_or_default()
}

/// A limit at a point as a finding: its sentence, how near it is, its numbers.
pub fn finding(one_use: &Use, supply: &Supply, point: &Point) -> Finding {
    let numbers = match &one_use.judged {
        Ok(judged) => vec![
            Number {
                what: name(one_use.limit, supply),
                text: number::of_allowed(judged),
            },
            Number {
                what: "used".to_owned(),
                text: number::per_cent(judged.ratio),
            },
        ],
        Err(_) => Vec::new(),
    };
    Finding {
        about: one_use.limit.stage(),
        severity: one_use.ratio().map_or(Severity::Remark, Severity::of_ratio),
        sentence: sentence(one_use, supply, point),
        numbers,
    }
}

/// At which mains and by which rating system it was judged:
/// `Design-centre rating, judged at 120 V, nominal mains`. `None` for what is not known, and for the ends of the knob, which no
/// mains move.
pub fn how_judged(one_use: &Use) -> Option<String> {
    if matches!(one_use.limit, Limit::SetRangeHigh | Limit::SetRangeLow) {
        return None;
    }
    let judged = one_use.judged.as_ref().ok()?;
    // Nor a resistor.
    if let (Limit::GridResistor(_), Some(system)) = (one_use.limit, one_use.system) {
        return Some(format!("{} rating", system_name(system)));
    }
    let place = judged_at(judged);
    Some(match one_use.system {
        Some(system) => format!("{} rating, judged {place}", system_name(system)),
        None => format!("Judged {place}"),
    })
}

/// The name of a rating system, with a capital.
pub fn system_name(system: RatingSystem) -> &'static str {
    match system {
        RatingSystem::DesignCentre => "Design-centre",
        RatingSystem::DesignMaximum => "Design-maximum",
        RatingSystem::AbsoluteMaximum => "Absolute-maximum",
    }
}

/// Is the point allowed, how much is left, and what is met first?
/// `Inside, 18 % left; first met: set range` or `Outside: plate dissipation 126 %`.
pub fn verdict(point: &Point, supply: &Supply) -> Finding {
    let tightest = point.tightest();
    let ratio = tightest.and_then(Use::ratio);
    let severity = match (&point.operation, ratio) {
        (None, _) => Severity::Over,
        (_, Some(ratio)) => Severity::of_ratio(ratio),
        (_, None) => Severity::Remark,
    };
    let sentence = match (tightest, ratio) {
        _ if point.operation.is_none() => format!(
            "Outside: the supply cannot give {}, the bus collapses",
            number::amps(point.amps)
        ),
        (Some(one_use), Some(ratio)) if ratio > 1.0 => outside(one_use, point, supply, ratio),
        (Some(one_use), Some(ratio)) => {
            // A no-load limit is as near everywhere: one does not meet it by moving the point.
            let met = if one_use.limit.is_no_load() {
                "tightest"
            } else {
                "first met"
            };
            format!(
                "Inside, {}; {met}: {}",
                number::left(1.0 - ratio),
                name(one_use.limit, supply)
            )
        }
        _ => "No limit is known here: fill in the ratings of the parts".to_owned(),
    };
    Finding {
        about: tightest.map_or(Stage::Output, |u| u.limit.stage()),
        severity,
        sentence,
        numbers: tightest
            .and_then(|u| u.judged.as_ref().ok().map(|j| (u.limit, j)))
            .map(|(limit, judged)| Number {
                what: name(limit, supply),
                text: number::of_allowed(judged),
            })
            .into_iter()
            .collect(),
    }
}

fn outside(one_use: &Use, point: &Point, supply: &Supply, ratio: f64) -> String {
    let others = point
        .uses
        .iter()
        .filter(|u| u.ratio().is_some_and(|r| r > 1.0))
        .count()
        .saturating_sub(1);
    let tail = match others {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    match one_use.limit {
        // So many per cent of a knob's end say nothing to anyone.
        Limit::SetRangeHigh => format!("Outside: above the set range{tail}"),
        Limit::SetRangeLow => format!("Outside: below the set range{tail}"),
        // Nor does a share of what must not fall short, which runs to infinity.
        Limit::GridFloor => format!("Outside: below the grid-drive floor{tail}"),
        Limit::ControlGridCeiling => format!("Outside: above the control-grid ceiling{tail}"),
        Limit::ReferenceStrike(Side::Positive) => {
            format!("Outside: the gas reference may stay dark{tail}")
        }
        Limit::ReferenceStrike(Side::Negative) => {
            format!("Outside: the rail's gas reference may stay dark{tail}")
        }
        Limit::ReferenceLeast(Side::Positive) => {
            format!("Outside: too little current for the gas reference{tail}")
        }
        Limit::ReferenceLeast(Side::Negative) => {
            format!("Outside: too little current for the rail's gas reference{tail}")
        }
        limit => format!(
            "Outside: {} {}{tail}",
            name(limit, supply),
            number::per_cent(ratio)
        ),
    }
}

/// The filter with nothing on the terminals, said once for the band at the top of the plot: the tightest of
/// its no-load limits. `None` if no working or surge volts are known.
pub fn filter_stress(uses: &[Use], supply: &Supply) -> Option<Finding> {
    let (one_use, judged) = uses
        .iter()
        .filter(|u| matches!(u.limit, Limit::CapacitorVolts(_) | Limit::CapacitorSurge(_)))
        .filter_map(|u| u.judged.as_ref().ok().map(|judged| (u, judged)))
        .max_by(|a, b| a.1.ratio.total_cmp(&b.1.ratio))?;
    let (Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n)) = one_use.limit else {
        return None;
    };
    let severity = Severity::of_ratio(judged.ratio);
    let tail = match severity {
        Severity::Over => "; over its rating before anything is connected".to_owned(),
        Severity::Near => format!("; in the last {} of it", number::per_cent(1.0 - NEAR)),
        _ => String::new(),
    };
    Some(Finding {
        about: one_use.limit.stage(),
        severity,
        sentence: format!(
            "{}{tail}",
            why::capacitor_sentence(one_use.limit, n, judged, supply)
        ),
        numbers: vec![Number {
            what: name(one_use.limit, supply),
            text: number::of_allowed(judged),
        }],
    })
}

fn judged_at(judged: &Judged) -> String {
    let volts = number::volts(judged.mains_volts);
    match judged.case {
        Case::Low => format!("at {volts}, low mains"),
        Case::Present => format!("at {volts}, the mains now"),
        Case::High => format!("at {volts}, high mains"),
        Case::Nominal => format!("at {volts}, nominal mains"),
        Case::LowLeast => format!("at {volts}, low mains, every capacitor at its least"),
        Case::LowMost => format!("at {volts}, low mains, every capacitor at its most"),
        Case::HighLeast => format!("at {volts}, high mains, every capacitor at its least"),
        Case::HighMost => format!("at {volts}, high mains, every capacitor at its most"),
    }
}
