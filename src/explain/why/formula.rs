//! The formula of a limit with the numbers of a point put in.

mod regulator;
mod waveform;

use crate::bench::working::Working;
use crate::explain::number;
use crate::parts::{Connection, HeaterTie, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Limit, Use};

/// The formula of a limit with the numbers of a point put in:
/// `(bus 462 V − 120 V − 1.9 V over the resistors) × 44 mA = 15 W; allowed 13 W`. Empty if the limit is not known.
pub fn formula(one_use: &Use, working: &Working, supply: &Supply, point: &Point) -> String {
    let Ok(judged) = &one_use.judged else {
        return String::new();
    };
    let volts = |v: f64| number::volts(v);
    let operation = &working.operation;
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let over_tube = format!(
        "(bus {} \u{2212} {}{})",
        volts(operation.bus.mean_volts),
        volts(point.volts),
        less(working.resistor_volts)
    );
    match one_use.limit {
        Limit::Dropout => format!(
            "output {} + least drop {} = {actual}; valley of the bus {allowed}",
            volts(point.volts),
            volts(working.least_drop_volts.unwrap_or(0.0))
        ),
        Limit::SetRangeHigh | Limit::SetRangeLow => {
            format!("asked for {}; range ends at {allowed}", volts(point.volts))
        }
        Limit::PlateDissipation => format!(
            "{over_tube} × {} = {actual}; allowed {allowed}",
            number::amps(working.worst_amps)
        ),
        Limit::ScreenDissipation => format!(
            "{over_tube} × {} × {} for the screen = {actual}; allowed {allowed}",
            number::amps(working.worst_amps),
            working.screen_share.map_or_else(String::new, number::pure)
        ),
        Limit::EnvelopeDissipation => format!(
            "{over_tube} × {} = {actual}; allowed {allowed}",
            number::amps(working.bulb_amps)
        ),
        Limit::PlateCurrent => plate_current(supply, working, point, (&actual, &allowed)),
        Limit::PlateVolts => format!(
            "crest of the bus {} \u{2212} {} = {actual}; allowed {allowed}",
            volts(operation.bus.crest_volts),
            volts(point.volts)
        ),
        Limit::RectifierPeakInverse => match supply.rectifier.connection {
            _ if supply.filter.input_capacitor.is_none()
                && supply.rectifier.connection == Connection::FullWaveCentreTap =>
            {
                format!(
                    "2 × crest of the winding {} = {actual}; allowed {allowed}",
                    volts(working.crest_volts)
                )
            }
            Connection::Bridge => format!("crest of the winding {actual}; allowed {allowed}"),
            _ => format!(
                "crest of the winding {} + capacitor {} = {actual}; allowed {allowed}",
                volts(working.crest_volts),
                volts(
                    working
                        .no_load
                        .operation
                        .capacitor_crest_volts
                        .first()
                        .copied()
                        .unwrap_or(0.0)
                )
            ),
        },
        Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n) => {
            stack_volts(n, working, supply, (&actual, &allowed))
        }
        Limit::GridFloor => grid_floor(working, (&actual, &allowed)),
        Limit::ControlGridCeiling => control_grid_ceiling(working, (&actual, &allowed)),
        Limit::HeaterCathode | Limit::HeaterAboveCathode if judged.actual <= 0.0 => {
            format!("no volts this way round; allowed {allowed}")
        }
        Limit::HeaterCathode | Limit::HeaterAboveCathode => {
            heater_cathode(one_use.limit, (working, supply, point), (&actual, &allowed))
        }
        Limit::ReferenceStrike(_) => {
            format!("before the gas tubes strike {actual}; to start at least {allowed}")
        }
        Limit::ReferenceLeast(_)
        | Limit::ReferenceMost(_)
        | Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode
        | Limit::GridResistor(_) => regulator::formula(one_use.limit, judged, working, supply),
        Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::CapacitorRipple(_)
        | Limit::ChokeCurrent(_) => waveform::formula(one_use.limit, judged, working, supply),
    }
}

/// How far the pass cathodes stand from their heaters.
fn heater_cathode(
    limit: Limit,
    (working, supply, point): (&Working, &Supply, &Point),
    (actual, allowed): (&str, &str),
) -> String {
    let above = number::volts(working.cathode_lift_volts);
    let output = number::volts(point.volts);
    match supply.pass_stage.heater {
        Some(HeaterTie::Common) => {
            format!("output {output} + {above} over the resistors = {actual}; allowed {allowed}")
        }
        Some(HeaterTie::Elevated(up)) if limit == Limit::HeaterAboveCathode => format!(
            "heaters {} \u{2212} output {output} \u{2212} {above} over the resistors = {actual}; allowed {allowed}",
            number::volts(up.0)
        ),
        Some(HeaterTie::Elevated(up)) => format!(
            "output {output} + {above} over the resistors \u{2212} {} of the heaters = {actual}; allowed {allowed}",
            number::volts(up.0)
        ),
        _ => format!("over the resistors {actual}; allowed {allowed}"),
    }
}

/// What the control tube can give, step by step, against what the grids need.
fn grid_floor(working: &Working, (needed, given): (&str, &str)) -> String {
    let Some(grids) = &working.grids else {
        return format!("grids below cathodes: needed {needed}; control tube gives {given}");
    };
    format!(
        "cathodes {} \u{2212} control tube at its least {} = {given} at most; needed {needed} at {} and {} a tube",
        number::volts_four(grids.cathode_volts),
        number::volts_four(grids.bottom_volts),
        number::volts(grids.plate_volts),
        number::amps(grids.unit_amps)
    )
}

fn control_grid_ceiling(working: &Working, (needed, given): (&str, &str)) -> String {
    let Some(at) = &working.control_in_valley else {
        return format!("grid below cathode: needed {needed}; the divider gives {given}");
    };
    // Below the grid-drive floor the pass grids call for a plate below its cathode: the current alone says enough.
    let plate = if at.control.plate_volts > 0.0 {
        format!("{} and ", number::volts(at.control.plate_volts))
    } else {
        String::new()
    };
    format!(
        "cathode {} \u{2212} foot of the divider {} = {given} at most; needed {needed} at {plate}{}",
        number::volts_four(at.potentials.cathode),
        number::volts_four(at.potentials.foot),
        number::amps(at.control.amps)
    )
}

fn less(resistor_volts: f64) -> String {
    // Half a tenth of a volt would print as nothing worth reading.
    if resistor_volts < 0.05 {
        String::new()
    } else {
        format!(
            " \u{2212} {} over the resistors",
            number::volts(resistor_volts)
        )
    }
}

fn plate_current(
    supply: &Supply,
    working: &Working,
    point: &Point,
    (actual, allowed): (&str, &str),
) -> String {
    let stage = &supply.pass_stage;
    let amps = number::amps(point.amps);
    if stage.units <= 1 {
        return format!("all of {amps} through one; allowed {allowed}");
    }
    if stage.tube_spread.is_some() {
        return format!(
            "{amps} / {} and what the spread of the tubes adds = {actual}; allowed {allowed}",
            stage.units
        );
    }
    format!(
        "{amps} / {} × {:.2} for the unequal share = {actual}; allowed {allowed}",
        stage.units,
        1.0 + working.imbalance
    )
}

fn stack_volts(
    n: u8,
    working: &Working,
    supply: &Supply,
    (actual, allowed): (&str, &str),
) -> String {
    let place = usize::from(n);
    let whole = working
        .no_load
        .operation
        .capacitor_crest_volts
        .get(place)
        .copied()
        .unwrap_or(0.0);
    match supply.filter.stacks().nth(place) {
        Some(stack) if stack.in_series > 1 => {
            let how = if stack.balancing.is_some() {
                "kept equal"
            } else {
                "the worst share by tolerance"
            };
            format!(
                "{} over {} in series, {how} = {actual}; allowed {allowed}",
                number::volts(whole),
                stack.in_series
            )
        }
        _ => format!("{actual} without load; allowed {allowed}"),
    }
}
