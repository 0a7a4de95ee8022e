//! The formulas of what the regulator's small tubes bear.

use crate::bench::working::Working;
use crate::explain::number;
use crate::parts::{HeaterTie, Side, Supply};
use crate::physics::limit::{Judged, Limit, Whose};
use crate::physics::operation::{ReferenceAtRest, WorstDissipation};

/// The formula of one of them; a plain comparison where a step of it is not known.
pub(super) fn formula(limit: Limit, judged: &Judged, working: &Working, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let at_rest = &working.no_load.regulator;
    let steps = match limit {
        Limit::ReferenceLeast(_) if judged.actual <= 0.0 => {
            return format!("no current left for the gas tubes; at least {allowed}");
        }
        Limit::ReferenceLeast(Side::Positive) => working.positive_feed.map(|fed| {
            format!(
                "(fed from {} \u{2212} {} before they carry any) / {}",
                number::volts_four(fed.feed_volts),
                number::volts_four(fed.dark_volts),
                number::ohms(fed.ohms)
            )
        }),
        Limit::ReferenceLeast(Side::Negative) => at_rest.negative_least.map(reference),
        Limit::ReferenceMost(Side::Negative) => at_rest.negative_most.map(reference),
        Limit::ReferenceMost(Side::Positive) => at_rest.positive_most.map(reference),
        Limit::ControlPlateVolts => working.control_cathode_volts.map(|cathode| {
            format!(
                "plate at {}, cathode at {}: {} between them",
                number::volts_four(cathode + judged.actual),
                number::volts_four(cathode),
                number::volts_four(judged.actual)
            )
        }),
        Limit::ControlPlateDissipation => at_rest.control_plate.map(|at| burning("plate", at)),
        Limit::ControlScreenDissipation => at_rest.control_screen.map(|at| burning("screen", at)),
        Limit::ControlScreenVolts => Some("screen above cathode as described".to_owned()),
        Limit::ControlHeaterCathode => at_rest
            .control_heater_volts
            .map(|above| heater(above, supply)),
        Limit::GridResistor(whose) => supply.regulator.as_ref().map(|regulator| match whose {
            Whose::Pass => format!(
                "{} × plate load {}",
                grids(supply.pass_stage.units),
                regulator.plate_load
            ),
            Whose::Control => format!(
                "divider {} / 4, half above the tap beside half below",
                regulator.divider.resistance
            ),
        }),
        _ => None,
    };
    let least = if limit.is_least() {
        "at least"
    } else {
        "allowed"
    };
    match (steps, limit) {
        // The volts stand in the steps already.
        (Some(steps), Limit::ControlPlateVolts | Limit::ControlHeaterCathode) => {
            format!("{steps}; allowed {allowed}")
        }
        (Some(steps), _) => format!("{steps} = {actual}; {least} {allowed}"),
        (None, _) => format!("{actual}; {least} {allowed}"),
    }
}

/// Current of a gas tube from that of its feed resistor and what joins it or is taken from it.
fn reference(at: ReferenceAtRest) -> String {
    let joining = at.amps - at.feed_amps;
    let set = number::volts(at.set_volts);
    let feed = number::amps(at.feed_amps);
    // Less than a hundredth of it is no step worth reading.
    if joining.abs() < 0.01 * at.amps.abs() {
        format!("set to {set}: through the feed resistor {feed}")
    } else if joining > 0.0 {
        format!(
            "set to {set}: through the feed resistor {feed} + {} of the other circuits",
            number::amps(joining)
        )
    } else {
        format!(
            "set to {set}: through the feed resistor {feed} \u{2212} {} for the other circuits",
            number::amps(-joining)
        )
    }
}

fn burning(what: &str, at: WorstDissipation) -> String {
    format!(
        "set to {}: {what} {} × {}",
        number::volts(at.set_volts),
        number::volts(at.volts),
        number::amps(at.amps)
    )
}

/// Where cathode and heater of the control tube stand.
fn heater(cathode_above: f64, supply: &Supply) -> String {
    let tie = supply.regulator.as_ref().and_then(|r| r.heater);
    let from = match tie {
        Some(HeaterTie::Elevated(up)) => up.0,
        Some(HeaterTie::Common) => 0.0,
        _ => return "heater tied to the cathode: nothing between them".to_owned(),
    };
    format!(
        "cathode at {}, heater at {}: {} between them",
        number::volts_four(from + cathode_above),
        number::volts_four(from),
        number::volts_four(cathode_above.abs())
    )
}

fn grids(count: u8) -> String {
    match count {
        0 | 1 => "1 grid".to_owned(),
        count => format!("{count} grids"),
    }
}
