//! Types of control tubes and gas tubes: figures that can be computed with and do not contradict each other.

use crate::parts::check::types::{GRID_VOLTS, characteristic, named, number, ratings};
use crate::parts::check::{AMPS, Findings, Problem, VOLTS};
use crate::parts::control_tube::{ControlTubeKind, ControlTubeType, PentodePoint};
use crate::parts::gas_tube::GasTubeType;
use crate::parts::{Amps, Stage};

/// The problems of a type of control tube; fields count from the entry.
pub(in crate::parts) fn control_tube_type(tube: &ControlTubeType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    named(&mut f, &tube.name);
    f.count("units", tube.units, 12);
    kind(&mut f, &tube.kind);
    ratings(&mut f, &tube.ratings);
    f.rating("screen_volts", tube.screen_volts.as_ref(), VOLTS);
    f.problems
}

/// The problems of what is known of a tube's currents; fields count from the entry.
pub(in crate::parts) fn control_tube_kind(known: &ControlTubeKind) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    kind(&mut f, known);
    f.problems
}

fn kind(f: &mut Findings, kind: &ControlTubeKind) {
    match kind {
        ControlTubeKind::Triode(published) => characteristic(f, "kind", published),
        ControlTubeKind::Pentode {
            operating_points,
            screen_mu,
        } => {
            pentode(f, operating_points);
            if let Some(mu) = screen_mu {
                number(f, "kind.screen_mu", *mu, 0.1..=1e4);
            }
        }
    }
}

fn pentode(f: &mut Findings, points: &[PentodePoint]) {
    if points.is_empty() {
        f.add(
            "kind.operating_points",
            "none",
            "at least one point, such as (plate: \"250 V\", screen: \"100 V\", grid: \"-3 V\", plate_current: \"3 mA\", screen_current: \"0.8 mA\", transconductance: \"1.65 mS\")",
        );
    }
    for (index, point) in points.iter().enumerate() {
        let at = |name: &str| format!("kind.operating_points[{index}].{name}");
        f.within(&at("plate"), point.plate, VOLTS);
        f.within(&at("screen"), point.screen, VOLTS);
        f.within(&at("grid"), point.grid, GRID_VOLTS);
        f.within(&at("plate_current"), point.plate_current, AMPS);
        f.within(&at("screen_current"), point.screen_current, 0.0..=1e3);
        f.within_if_given(&at("plate_resistance"), point.plate_resistance, 1.0..=1e9);
        f.within(&at("transconductance"), point.transconductance, 1e-6..=10.0);
    }
}

/// The problems of a type of gas tube; fields count from the entry.
pub(in crate::parts) fn gas_tube_type(tube: &GasTubeType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    named(&mut f, &tube.name);
    f.within("volts", tube.volts.value, VOLTS);
    if let Some(low) = tube.volts_low {
        f.within("volts_low", low, VOLTS);
        f.not_above("volts_low", low, tube.volts.value, "the typical volts");
    }
    if let Some(high) = tube.volts_high {
        f.within("volts_high", high, VOLTS);
        f.not_above(
            "volts",
            tube.volts.value,
            high,
            "the highest volts of the type",
        );
    }
    f.within("current_least", tube.current_least.value, AMPS);
    f.within("current_most", tube.current_most.value, AMPS);
    if tube.current_least.value >= tube.current_most.value {
        let Amps(most) = tube.current_most.value;
        f.add(
            "current_least",
            tube.current_least.value.to_string(),
            format!("less than {}, the highest current", Amps(most)),
        );
    }
    let strike = tube.strike_volts.as_ref().map(|v| v.value);
    let supply = tube.supply_least.as_ref().map(|v| v.value);
    f.within_if_given("strike_volts", strike, VOLTS);
    f.within_if_given("supply_least", supply, VOLTS);
    if let Some(strike) = strike {
        f.not_above("volts", tube.volts.value, strike, "at which it strikes");
        if let Some(supply) = supply {
            f.not_above("strike_volts", strike, supply, "the least supply");
        }
    }
    f.within_if_given(
        "regulation_volts",
        tube.regulation_volts.as_ref().map(|v| v.value),
        1e-3..=1e3,
    );
    f.within_if_given(
        "largest_shunt_capacitor",
        tube.largest_shunt_capacitor.as_ref().map(|c| c.value),
        1e-12..=1e-3,
    );
    f.problems
}
