//! Types of control tubes and gas tubes: figures that can be computed with and do not contradict each other.

use crate::parts::check::types::{GRID_VOLTS, characteristic, named, not_too_many, ratings};
use crate::parts::check::{AMPS, Findings, Problem, VOLTS, bounds};
use crate::parts::control_tube::{ControlTubeKind, ControlTubeType, PentodePoint};
use crate::parts::gas_tube::GasTubeType;
use crate::parts::{Amps, Stage};

/// The problems of a type of control tube; fields count from the entry.
pub(in crate::parts) fn control_tube_type(tube: &ControlTubeType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    named(&mut f, &tube.name);
    bounds!(f, "", tube, { units: 1.0..=12.0, });
    kind(&mut f, &tube.kind);
    ratings(&mut f, &tube.ratings);
    bounds!(f, "", tube, { screen_volts: VOLTS, });
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
            knee,
        } => {
            pentode(f, operating_points);
            f.within("kind.screen_mu", screen_mu, 0.1..=1e4);
            not_too_many(f, "kind.knee", knee.len());
            for (index, point) in knee.iter().enumerate() {
                bounds!(f, &format!("kind.knee[{index}]"), point, {
                    plate: VOLTS,
                    screen: VOLTS,
                    grid: GRID_VOLTS,
                    plate_current: AMPS,
                });
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
    not_too_many(f, "kind.operating_points", points.len());
    for (index, point) in points.iter().enumerate() {
        bounds!(f, &format!("kind.operating_points[{index}]"), point, {
            plate: VOLTS,
            screen: VOLTS,
            grid: GRID_VOLTS,
            plate_current: AMPS,
            screen_current: 0.0..=1e3,
            plate_resistance: 1.0..=1e9,
            transconductance: 1e-6..=10.0,
        });
    }
}

/// The problems of a type of gas tube; fields count from the entry.
pub(in crate::parts) fn gas_tube_type(tube: &GasTubeType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Output);
    named(&mut f, &tube.name);
    bounds!(f, "", tube, { volts: VOLTS, volts_low: VOLTS, });
    if let Some(low) = tube.volts_low {
        f.not_above("volts_low", low, tube.volts.value, "the typical volts");
    }
    bounds!(f, "", tube, { volts_high: VOLTS, });
    if let Some(high) = tube.volts_high {
        f.not_above(
            "volts",
            tube.volts.value,
            high,
            "the highest volts of the type",
        );
    }
    bounds!(f, "", tube, { current_least: AMPS, current_most: AMPS, });
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
    bounds!(f, "", tube, { strike_volts: VOLTS, supply_least: VOLTS, });
    if let Some(strike) = strike {
        f.not_above("volts", tube.volts.value, strike, "at which it strikes");
        if let Some(supply) = supply {
            f.not_above("strike_volts", strike, supply, "the least supply");
        }
    }
    bounds!(f, "", tube, { regulation_volts: 1e-3..=1e3, largest_shunt_capacitor: 1e-12..=1e-3, });
    f.problems
}
