//! Types of rectifiers and pass tubes: laws that can be evaluated, ratings that do not contradict each other.

use std::ops::RangeInclusive;

use crate::parts::check::{AMPS, Findings, Problem, VOLTS, bounds};
use crate::parts::escape::{is_unseen, shortened};
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::{Amps, Quantity, Volts};
use crate::parts::rectifier::Heater;
use crate::parts::{
    PassTubeType, PlateCharacteristic, RectifierLaw, RectifierType, Stage, TriodeCoefficients,
    TubeRatings,
};

const WATTS: RangeInclusive<f64> = 1e-3..=1e6;
/// Grid volts of a published point.
pub(super) const GRID_VOLTS: RangeInclusive<f64> = -5e3..=500.0;
/// Of the offset of a grid's volts (V): contact potential, and what a measured tube may bring with it.
const GRID_OFFSET: RangeInclusive<f64> = -500.0..=500.0;

/// The problems of a type of rectifier; fields count from the entry.
pub(in crate::parts) fn rectifier_type(kind: &RectifierType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::Rectifier);
    named(&mut f, &kind.name);
    bounds!(f, "", kind, { plates: 1.0..=12.0, });
    law(&mut f, &kind.law);
    heater(&mut f, kind.heater.as_ref());
    bounds!(f, "", kind, {
        peak_inverse: VOLTS,
        peak_current: AMPS,
        dc_current: AMPS,
        dc_current_choke_input: AMPS,
        hot_switching_current: AMPS,
        least_supply_resistance: 0.0..=100e3,
        largest_first_capacitor: 1e-9..=1.0,
        heater_cathode: VOLTS,
    });
    falls(
        &mut f,
        "peak_inverse_by_current",
        kind.peak_inverse_by_current.as_deref(),
        [0.0..=1e3, VOLTS],
    );
    falls(
        &mut f,
        "dc_current_by_volts",
        kind.dc_current_by_volts.as_deref(),
        [0.0..=100e3, AMPS],
    );
    if let Some(chart) = &kind.least_supply_resistance_by_volts {
        let rises = chart
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if a.0 < b.0 && a.1 <= b.1));
        for (k, (volts, ohms)) in chart.iter().enumerate() {
            let field = format!("least_supply_resistance_by_volts[{k}]");
            f.within(&field, volts, VOLTS);
            f.within(&field, ohms, 0.0..=100e3);
        }
        not_too_many(&mut f, "least_supply_resistance_by_volts", chart.len());
        if chart.is_empty() || !rises {
            let written: Vec<String> = chart.iter().map(|(v, r)| format!("{r} at {v}")).collect();
            f.add(
                "least_supply_resistance_by_volts",
                shortened(&written.join(", ")),
                "at least one resistance, rising with the rms plate volts",
            );
        }
    }
    if let (Some(peak), Some(dc)) = (&kind.peak_current, &kind.dc_current) {
        // Each device carries its even share of the direct current, in pulses that are higher than their mean.
        let share = Amps(dc.value.0 / f64::from(kind.plates.max(1)));
        if peak.value < share {
            f.add(
                "peak_current",
                peak.value.to_string(),
                format!("more than {share}, one device's share of the DC output"),
            );
        }
    }
    if let (Some(hot), Some(peak)) = (&kind.hot_switching_current, &kind.peak_current)
        && hot.value < peak.value
    {
        f.add(
            "hot_switching_current",
            hot.value.to_string(),
            format!("at least the steady-state peak of {}", peak.value),
        );
    }
    f.problems
}

pub(super) fn named(f: &mut Findings, name: &str) {
    const LONGEST: usize = 60;
    let wanted = "a type designation, such as \"5U4-GB\"";
    if name.trim().is_empty() {
        f.add("name", "nothing", wanted);
    } else if name.chars().nth(LONGEST).is_some() {
        let expected = format!("{wanted}, of at most {LONGEST} letters");
        f.add("name", shortened(name), expected);
    } else if name.contains(is_unseen) {
        let expected = format!("{wanted}, without control characters");
        f.add("name", shortened(name), expected);
    }
}

/// Points of one curve or lines of one chart: no sheet has more, and a fit goes over all of them many times.
const MOST_POINTS: usize = 300;

/// No more points than can be computed with.
pub(super) fn not_too_many(f: &mut Findings, field: &str, points: usize) {
    if points > MOST_POINTS {
        f.add(
            field,
            format!("{points} points"),
            format!("at most {MOST_POINTS}"),
        );
    }
}

/// A chart has points within these ranges, rises in what it goes over, and falls in what it allows.
fn falls<X: Quantity, Y: Quantity>(
    f: &mut Findings,
    field: &str,
    chart: Option<&[(X, Y)]>,
    [over, allowed]: [RangeInclusive<f64>; 2],
) {
    let Some(chart) = chart else { return };
    for (k, (x, y)) in chart.iter().enumerate() {
        let at = format!("{field}[{k}]");
        f.within(&at, x, over.clone());
        f.within(&at, y, allowed.clone());
    }
    not_too_many(f, field, chart.len());
    let falls = chart
        .windows(2)
        .all(|pair| matches!(pair, [a, b] if a.0 < b.0 && a.1 >= b.1));
    if chart.is_empty() || !falls {
        let written: Vec<String> = chart.iter().map(|(x, y)| format!("{y} at {x}")).collect();
        f.add(
            field,
            shortened(&written.join(", ")),
            "at least one point, each further one at more of the first and no more of the second",
        );
    }
}

fn law(f: &mut Findings, law: &RectifierLaw) {
    match law {
        RectifierLaw::Vacuum { drop, at } => {
            f.within("law.drop", drop, 0.1..=5e3);
            f.within("law.at", at, AMPS);
        }
        RectifierLaw::Silicon {
            saturation,
            emission,
            resistance,
        } => {
            f.within("law.saturation", saturation, 1e-18..=1e-2);
            f.within("law.emission", emission, 10e-3..=1.0);
            f.within("law.resistance", resistance, 0.0..=10e3);
        }
        RectifierLaw::MercuryVapour { drop } => f.within("law.drop", drop, 1.0..=100.0),
    }
}

fn heater(f: &mut Findings, heater: Option<&Heater>) {
    if let Some(heater) = heater {
        bounds!(f, "heater", heater, { volts: 0.1..=500.0, amps: 1e-3..=1e3, });
    }
}

/// The problems of what every tube is rated by.
pub(super) fn ratings(f: &mut Findings, ratings: &TubeRatings) {
    heater(f, ratings.heater.as_ref());
    bounds!(f, "", ratings, {
        plate_dissipation: WATTS,
        screen_dissipation: WATTS,
        plate_volts: VOLTS,
        heater_cathode: VOLTS,
        grid_resistor: 1.0..=1e9,
    });
}

/// The problems of a type of pass tube; fields count from the entry.
pub(in crate::parts) fn pass_tube_type(tube: &PassTubeType) -> Vec<Problem> {
    let mut f = Findings::of(Stage::PassStage);
    named(&mut f, &tube.name);
    bounds!(f, "", tube, { units: 1.0..=12.0, });
    characteristic(&mut f, "characteristic", &tube.characteristic);
    ratings(&mut f, &tube.ratings);
    bounds!(f, "", tube, {
        envelope_dissipation: WATTS,
        plate_current: AMPS,
        screen_share: 1e-3..=0.9,
    });
    falls(
        &mut f,
        "plate_volts_by_watts",
        tube.plate_volts_by_watts.as_deref(),
        [0.0..=1e6, VOLTS],
    );
    if let (Some(all), Some(one)) = (&tube.envelope_dissipation, &tube.ratings.plate_dissipation)
        && all.value < one.value
    {
        f.add(
            "envelope_dissipation",
            all.value.to_string(),
            format!("at least the {} of one unit", one.value),
        );
    }
    f.problems
}

/// The problems of what is known of a plate current; `field` holds it.
pub(super) fn characteristic(f: &mut Findings, field: &str, known: &PlateCharacteristic) {
    match known {
        PlateCharacteristic::Published {
            points,
            small_signal,
        } => published(f, field, points, small_signal),
        PlateCharacteristic::Law(coefficients) => triode(f, field, coefficients),
        PlateCharacteristic::ZeroBias(table) => zero_bias(f, field, table),
    }
}

fn published(f: &mut Findings, field: &str, points: &[PlatePoint], small_signal: &[SmallSignal]) {
    if points.is_empty() {
        f.add(
            &format!("{field}.points"),
            "none",
            "at least one point, such as (plate: \"250 V\", grid: \"-20 V\", current: \"40 mA\")",
        );
    }
    not_too_many(f, &format!("{field}.points"), points.len());
    not_too_many(f, &format!("{field}.small_signal"), small_signal.len());
    for (index, point) in points.iter().enumerate() {
        bounds!(f, &format!("{field}.points[{index}]"), point, {
            plate: VOLTS,
            grid: GRID_VOLTS,
            current: AMPS,
        });
    }
    for (index, figures) in small_signal.iter().enumerate() {
        bounds!(f, &format!("{field}.small_signal[{index}]"), figures, {
            plate: VOLTS,
            grid: GRID_VOLTS,
            mu: 0.1..=1e4,
            plate_resistance: 1.0..=1e8,
            transconductance: 1e-6..=10.0,
        });
    }
}

fn triode(f: &mut Findings, field: &str, law: &TriodeCoefficients) {
    bounds!(f, field, law, {
        mu: 0.1..=1e4,
        exponent: 0.5..=3.0,
        kg1: 1e-3..=1e9,
        kp: 1e-3..=1e6,
        kvb: 1e-6..=1e9,
        grid_offset: GRID_OFFSET,
    });
}

/// The problems of one point of a zero-bias curve.
pub(in crate::parts) fn zero_bias_point(volts: Volts, amps: Amps) -> Vec<Problem> {
    let mut f = Findings::of(Stage::PassStage);
    zero_bias_within(&mut f, "characteristic", volts, amps);
    f.problems
}

fn zero_bias_within(f: &mut Findings, field: &str, volts: Volts, amps: Amps) {
    f.within(field, &volts, 0.0..=100e3);
    f.within(field, &amps, 0.0..=1e3);
}

fn zero_bias(f: &mut Findings, field: &str, table: &[(Volts, Amps)]) {
    if table.len() < 2 {
        f.add(
            field,
            format!("{} points", table.len()),
            "at least two points of the zero-bias curve",
        );
    }
    not_too_many(f, field, table.len());
    for (volts, amps) in table {
        zero_bias_within(f, field, *volts, *amps);
    }
    for pair in table.windows(2) {
        let [(volts, amps), (next_volts, next_amps)] = pair else {
            continue;
        };
        if next_volts <= volts || next_amps <= amps {
            f.add(
                field,
                format!("{next_volts} {next_amps} after {volts} {amps}"),
                "volts and current that both rise from each point to the next",
            );
        }
    }
}
