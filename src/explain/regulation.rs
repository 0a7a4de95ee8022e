//! Words for the regulator: how well the output is held, and why not.

mod described;
#[cfg(test)]
mod tests;

pub use described::{
    NO_IMBALANCE, NOT_DESCRIBED, how_it_starts, imbalance, screen_feed, stack, start, summary, tap,
};

use crate::bench::holding::{Holding, MAINS as CASES, ReferenceRange};
use crate::explain::needs::needs;
use crate::explain::{Finding, Number, Severity, ended, failure, number};
use crate::parts::{Output, Regulator, Stage, Supply};
use crate::physics::failure::Failure;
use crate::physics::needs::Needs;
use crate::physics::operation::Case;
use crate::physics::regulator::control_range::ControlRange;
use crate::physics::regulator::feedback::{Hold, Regulation};
use crate::physics::regulator::zero::{Settled, ZeroSetting};

/// Accessible name of the view.
pub const NAME: &str = "How the output is held";
/// Above values that are given for three mains.
pub const MAINS: &str = "low · now · high mains";
/// Names of the curves, each with the unit of its axis.
pub const CURVES: [[&str; 2]; 2] = [["output resistance", "Ω"], ["hum, peak to peak", "mV"]];
/// Where the pass tubes are wide open.
pub const DROPOUT: &str = "dropout";
/// Where the control tube is fully on.
pub const CEILING: &str = "ceiling";
/// Where the control tube cannot pull the pass grids further.
pub const FLOOR: &str = "floor";

/// Above the view: `Regulation at 250 V, 40 mA`.
pub fn title(holding: &Holding) -> String {
    let [amps, volts] = holding.at;
    format!(
        "Regulation at {}, {}",
        number::volts(volts),
        number::amps(amps)
    )
}

/// In place of the view where nothing is known.
pub fn not_known(why: &Failure) -> String {
    match why {
        Failure::NotKnown(Needs::Regulator) => {
            "Not known: describe the regulator, in its card on the left".to_owned()
        }
        Failure::NotKnown(missing) => format!("Not known here without {}", needs(*missing)),
        other => failure::sentence(other),
    }
}

/// Above the curves over current: `Against output current, at 250 V`.
pub fn over_amps(holding: &Holding) -> String {
    format!(
        "Against output current, at {}",
        number::volts(holding.at[1])
    )
}

/// Above the curves over volts: `Against output volts, at 40 mA`.
pub fn over_volts(holding: &Holding) -> String {
    format!("Against output volts, at {}", number::amps(holding.at[0]))
}

/// The figures at the point, in the order in which they are shown.
pub fn figures(holding: &Holding) -> Vec<Number> {
    let here = &holding.here;
    let held = &holding.held;
    let figure = |what: &str, text: String| Number {
        what: what.to_owned(),
        text,
    };
    vec![
        figure("output resistance", number::ohms(here.output_ohms)),
        figure(
            "loop gain",
            if here.loop_gain > 0.0 {
                number::pure(here.loop_gain)
            } else {
                "none".to_owned()
            },
        ),
        figure("hum, peak to peak", number::volts(here.hum_volts)),
        figure(
            "load regulation, fall from no load",
            number::volts(held.droop_volts),
        ),
        figure(
            "line regulation, low to high mains",
            number::volts(held.mains_volts),
        ),
    ]
}

/// The loop at a place of its curves, in two short lines: where and whether it holds, and its figures; with them the fall from no load
/// (V) where it is known.
pub fn read_out(at: &Regulation, fall_volts: Option<f64>) -> [String; 2] {
    let holds = match at.hold {
        Hold::Regulated => "held",
        Hold::Valleys => "not held in the valleys of the bus",
        Hold::Dropout => "lost to dropout",
        Hold::Bottomed => "below the lowest regulated output",
        Hold::FullyOn => "above the control-grid ceiling",
    };
    let gain = if at.loop_gain > 0.0 {
        format!(", loop gain {}", number::pure(at.loop_gain))
    } else {
        String::new()
    };
    let fall = fall_volts
        .filter(|_| at.amps > 0.0)
        .map(|volts| format!(", {} lower than with no load", number::volts(volts)))
        .unwrap_or_default();
    [
        format!(
            "{}, {}: {holds}{fall}",
            number::volts(at.volts),
            number::amps(at.amps)
        ),
        format!(
            "output resistance {}, hum {}{gain}",
            number::ohms(at.output_ohms),
            number::volts(at.hum_volts)
        ),
    ]
}

/// What is to be said about the point, the worst first.
pub fn findings(holding: &Holding, supply: &Supply) -> Vec<Finding> {
    let mut all = Vec::new();
    let mut drifts = Vec::new();
    let Some(regulator) = &supply.regulator else {
        return all;
    };
    for (range, reference, called) in [
        (
            &holding.negative,
            regulator
                .bias_rail
                .as_ref()
                .and_then(|r| r.reference.as_ref()),
            "on the negative rail",
        ),
        (
            &holding.positive,
            regulator.reference.as_ref(),
            "of the positive reference",
        ),
    ] {
        if let (Some(range), Some(reference)) = (range, reference) {
            let name = format!("the {} {called}", stack(reference));
            let trouble = reference_finding(holding, range, &name);
            if trouble.is_none() {
                drifts.push(drift(range, &name));
            }
            all.extend(trouble);
        }
    }
    // With a reference out of its range nothing is held, whatever the loop would do.
    let reference_is_out = all.iter().any(|f: &Finding| f.severity == Severity::Over);
    let loop_says = held(holding);
    if !reference_is_out
        || loop_says
            .as_ref()
            .is_some_and(|f| f.severity == Severity::Over)
    {
        all.extend(loop_says);
    }
    all.extend(holding.zero.as_ref().ok().map(zero_finding));
    all.extend(
        holding
            .control
            .iter()
            .flat_map(|range| control_findings(range, &supply.output)),
    );
    all.extend(drifts);
    all.sort_by_key(|finding| core::cmp::Reverse(finding.severity));
    all
}

fn finding(severity: Severity, sentence: String) -> Finding {
    Finding {
        about: Stage::Regulator,
        severity,
        sentence,
        numbers: Vec::new(),
    }
}

/// `low mains`, with capital where a sentence begins.
fn mains(case: Case) -> &'static str {
    match case {
        Case::Low | Case::LowLeast | Case::LowMost => "low mains",
        Case::High | Case::HighLeast | Case::HighMost => "high mains",
        Case::Present | Case::Nominal => "the mains now",
    }
}

/// Whether the loop holds the output at all mains; the first of them at which it does not.
fn held(holding: &Holding) -> Option<Finding> {
    let [_, volts] = holding.at;
    let lost = |hold: Hold| hold != Hold::Regulated;
    // The present mains first: what is wrong there matters most.
    let order = [1, 0, 2];
    let worst = order.into_iter().find_map(|k: usize| {
        let settled = holding.held.at_low_present_high.get(k)?;
        lost(settled.hold).then_some((*CASES.get(k)?, *settled))
    });
    let Some((case, settled)) = worst else {
        return (!lost(holding.here.hold)).then(|| {
            finding(
                Severity::Fine,
                format!("{} is held from low to high mains", number::volts(volts)),
            )
        });
    };
    Some(finding(Severity::Over, not_held(case, settled)))
}

/// Why the output is not where it is set to.
fn not_held(case: Case, settled: Settled) -> String {
    let at = mains(case);
    let volts = number::volts(settled.volts);
    match settled.hold {
        Hold::Dropout => format!(
            "At {at} the output falls to {volts}: the pass tubes are wide open and nothing holds it"
        ),
        Hold::Valleys => format!(
            "At {at} the output is not held in the valleys of the ripple: the bus comes through as hum"
        ),
        // With its grid above its cathode at every setting, as where the rail under its cathode is gone.
        Hold::FullyOn => format!(
            "At {at} the output comes up to {volts} only: the control tube is fully on and nothing holds it"
        ),
        Hold::Bottomed => format!(
            "At {at} the output stays at {volts}: the control tube cannot pull the pass grids further down"
        ),
        Hold::Regulated => format!("At {at} the output is held at {volts}"),
    }
}

/// A gas reference: out of its range at some mains, not struck, or well.
fn reference_finding(holding: &Holding, range: &ReferenceRange, name: &str) -> Option<Finding> {
    let [least, most] = range.allowed_amps;
    let each = || CASES.into_iter().enumerate();
    if let Some((k, case)) = each().find(|(k, _)| range.lit.get(*k) == Some(&false)) {
        let before = range.unstruck_volts.get(k).copied();
        let has = before.map_or_else(String::new, |volts| {
            format!(
                ": there are only {} before its resistor",
                number::volts(volts)
            )
        });
        return Some(finding(
            Severity::Over,
            format!(
                "At {} {name} is out{has}; the output is no longer held",
                mains(case)
            ),
        ));
    }
    let low = each().find_map(|(k, case)| {
        let amps = range.least_amps.get(k).copied()?;
        (amps < least).then_some((case, amps))
    });
    if let Some((case, amps)) = low {
        return Some(finding(
            Severity::Over,
            format!(
                "At {} {name} gets {}; it needs {}: the output is no longer held",
                mains(case),
                number::amps(amps),
                number::amps(least)
            ),
        ));
    }
    let high = each().find_map(|(k, case)| {
        let amps = range.most_amps.get(k).copied()?;
        (amps > most).then_some((case, amps))
    });
    if let Some((case, amps)) = high {
        return Some(finding(
            Severity::Over,
            format!(
                "At {} {name} carries {}; it may carry {}",
                mains(case),
                number::amps(amps),
                number::amps(most)
            ),
        ));
    }
    not_struck(holding, range, name)
}

/// A reference that is well still moves with what feeds it, and the output with it.
fn drift(range: &ReferenceRange, name: &str) -> Finding {
    let most = range.volts.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let least = range.volts.into_iter().fold(f64::INFINITY, f64::min);
    finding(
        Severity::Fine,
        format!(
            "From low to high mains {name} drifts by {}",
            number::volts(most - least)
        ),
    )
}

/// True tubes of the type may want more volts to strike than there are.
fn not_struck(holding: &Holding, range: &ReferenceRange, name: &str) -> Option<Finding> {
    let needed = range.strike_volts?;
    let [low, ..] = range.unstruck_volts;
    let [mains_low, ..] = holding.mains_volts;
    (low < needed).then(|| {
        finding(
            Severity::Near,
            format!(
                "At {} mains {name} may not strike: there are {} before its resistor, and {} strike every tube of its type",
                number::volts(mains_low),
                number::volts(low),
                number::volts(needed)
            ),
        )
    })
}

/// What the lower end of the knob really gives.
pub fn zero_finding(zero: &ZeroSetting) -> Finding {
    let [low, _, high] = zero.at_low_present_high.map(|s| s.volts);
    if zero.reverses {
        let (at, volts) = if low < high {
            ("low", low)
        } else {
            ("high", high)
        };
        return finding(
            Severity::Near,
            format!(
                "Turned down with nothing connected, the output reverses to {} at {at} mains; set to {} or more it never \
                 does",
                number::volts(volts),
                number::volts(zero.least_setting_volts)
            ),
        );
    }
    let bottomed = zero
        .at_low_present_high
        .iter()
        .any(|s| matches!(s.hold, Hold::Bottomed | Hold::FullyOn));
    let (low, high) = (number::volts(low), number::volts(high));
    let span = if low == high {
        format!("stands at {low}, whatever the mains")
    } else {
        format!("stands at {low} at low mains and at {high} at high mains")
    };
    let tail = if bottomed {
        ": further down the control tube cannot pull the pass grids"
    } else {
        ", and never reverses"
    };
    finding(
        Severity::Remark,
        format!("Turned down with nothing connected, the output {span}{tail}"),
    )
}

/// Part of the output range by which the sense control may fall short of it.
const SHORT: f64 = 0.02;

/// From where to where the sense control reaches, and what the zero adjuster does.
pub fn control_findings(range: &ControlRange, output: &Output) -> Vec<Finding> {
    let [low, high] = [output.set_low.0, output.set_high.0];
    let near = SHORT * (high - low);
    let reaches = format!(
        "With nothing connected the sense control reaches from {} to {}",
        number::volts(range.lowest_volts),
        number::volts(range.highest_volts)
    );
    let is_short = range.lowest_volts > low + near || range.highest_volts < high - near;
    let (severity, tail) = if is_short {
        let set = format!("{} to {}", number::volts(low), number::volts(high));
        (Severity::Near, format!("; the output range says {set}"))
    } else {
        (Severity::Remark, String::new())
    };
    let mut all = vec![finding(severity, reaches + &tail)];
    all.extend(zero_adjuster(range, output).map(|said| finding(Severity::Remark, said)));
    all
}

/// What the zero adjuster does to the lowest output, in volts and as a part of the meter's scale.
pub fn zero_adjuster(range: &ControlRange, output: &Output) -> Option<String> {
    let [first, last] = range.zero_volts?;
    let moved = (first - last).abs();
    let of_scale = output.meter_scale.map_or_else(String::new, |scale| {
        format!(
            ", {} of the meter's {}",
            number::per_cent(moved / scale.0),
            number::volts(scale.0)
        )
    });
    Some(format!(
        "The zero adjuster moves the lowest output from {} to {}: by {}{of_scale}",
        number::volts(first),
        number::volts(last),
        number::volts(moved)
    ))
}

/// The worst finding alone and all figures, for those who cannot see the view.
pub fn in_words(holding: &Holding, supply: &Supply) -> String {
    let figures = figures(holding);
    let figures: Vec<String> = figures
        .iter()
        .map(|f| format!("{} {}", f.what, f.text))
        .collect();
    let sentences: Vec<String> = findings(holding, supply)
        .into_iter()
        .map(|f| ended(&f.sentence))
        .collect();
    format!("{}. {}", figures.join(", "), sentences.join(" "))
}

/// Gas-tube currents at three mains: `3.1 · 6 · 9.2 mA`.
pub fn three(values: [f64; 3], text: fn(f64) -> String) -> String {
    let [low, now, high] = values.map(text);
    let units = [&low, &now, &high].map(|t| t.split_once(' '));
    if let [Some((a, x)), Some((b, y)), Some((c, z))] = units
        && x == y
        && y == z
    {
        return format!("{a} · {b} · {c} {z}");
    }
    format!("{low} · {now} · {high}")
}

/// A range: `5 to 30 mA`.
pub fn range_words([least, most]: [f64; 2]) -> String {
    let (low, high) = (number::amps(least), number::amps(most));
    match (low.split_once(' '), high.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => {
            format!("allowed {number} to {high}")
        }
        _ => format!("allowed {low} to {high}"),
    }
}

/// Name of a gauge of the gas tubes on the rail.
pub fn on_rail(regulator: &Regulator) -> String {
    let rail = regulator.bias_rail.as_ref();
    rail.and_then(|r| r.reference.as_ref())
        .map_or_else(String::new, |r| format!("{} on the rail", stack(r)))
}

/// Name of a gauge of the positive reference.
pub fn positive(regulator: &Regulator) -> String {
    regulator
        .reference
        .as_ref()
        .map_or_else(String::new, |r| format!("{} reference", stack(r)))
}

/// Name of the gauge of the negative rail.
pub const RAIL: &str = "negative rail";
