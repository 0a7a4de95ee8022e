//! The formulas of what the repeating waveform gives: relations that hold for every waveform, with its figures put in.
//!
//! Mean and rms of pulses over the cycle follow from the definitions of both, and half a sine has π/2 and π/(2√2); a
//! capacitor carries no direct current; currents of different frequencies add by their squares.

use crate::bench::working::{Capacitor, Working};
use crate::explain::number;
use crate::parts::{Connection, SeriesElement, Supply};
use crate::physics::limit::{Judged, Limit};

/// The formula of one of them.
pub(super) fn formula(limit: Limit, judged: &Judged, working: &Working, supply: &Supply) -> String {
    let actual = number::measured(judged.actual, judged.measure);
    let allowed = number::measured(judged.allowed, judged.measure);
    let steps = match limit {
        Limit::RectifierDc => Some(direct(working, supply)),
        Limit::ChokeCurrent(n) => Some(drawn(working, supply, behind_choke(n, supply))),
        Limit::RectifierPeak => peak(working),
        Limit::WindingRms => winding(working, supply),
        Limit::CapacitorRipple(n) => ripple(usize::from(n), working, supply),
        _ => None,
    };
    match steps {
        Some(steps) => format!("{steps} = {actual}; allowed {allowed}"),
        None => format!("{actual}: the rectifier carries no current here; allowed {allowed}"),
    }
}

/// Everything that is drawn from the rectifier, through the capacitors from `first` on.
fn drawn(working: &Working, supply: &Supply, first: usize) -> String {
    let balancing: f64 = (working.capacitors.iter().skip(first))
        .map(|capacitor| capacitor.balancing_amps)
        .sum();
    [
        ("output", working.operation.output_amps),
        ("internal", supply.filter.internal_current.0),
        ("bleeder", working.bleeder_amps),
        ("balancing", balancing),
    ]
    .into_iter()
    .filter(|(what, amps)| *amps > 0.0 || *what == "output")
    .map(|(what, amps)| format!("{what} {}", number::amps(amps)))
    .collect::<Vec<_>>()
    .join(" + ")
}

/// The capacitor behind the n-th choke.
fn behind_choke(n: u8, supply: &Supply) -> usize {
    let sections = supply.filter.sections.iter().enumerate();
    let mut chokes = sections.filter(|(_, s)| matches!(s.series, SeriesElement::Choke { .. }));
    let section = chokes.nth(usize::from(n)).map_or(0, |(place, _)| place);
    section + usize::from(supply.filter.input_capacitor.is_some())
}

/// The share of one device in what is drawn.
fn direct(working: &Working, supply: &Supply) -> String {
    let sum = drawn(working, supply, 0);
    let sides = match supply.rectifier.connection {
        Connection::HalfWave => "",
        Connection::FullWaveCentreTap | Connection::Bridge => " / 2 by turns",
    };
    let together = match supply.rectifier.in_parallel {
        0 | 1 => String::new(),
        many => format!(" / {many} in parallel"),
    };
    if sides.is_empty() && together.is_empty() {
        return sum;
    }
    format!("({sum}){sides}{together}")
}

fn peak(working: &Working) -> Option<String> {
    let pulses = working.pulses.as_ref()?;
    Some(format!(
        "mean {} × 360° / {:.1}° of conduction × {:.2} for the pulse's shape (half a sine has 1.57)",
        number::amps(working.operation.rectifier.mean_amps),
        working.operation.rectifier.conduction_degrees,
        pulses.crest_factor
    ))
}

fn winding(working: &Working, supply: &Supply) -> Option<String> {
    let pulses = working.pulses.as_ref()?;
    // The whole winding of a bridge carries the pulses of both sides.
    let (of_side, cycle) = match supply.rectifier.connection {
        Connection::Bridge => (" of one side", "2 × 360°"),
        Connection::FullWaveCentreTap => (" of one side", "360°"),
        Connection::HalfWave => ("", "360°"),
    };
    Some(format!(
        "mean {}{of_side} × √({cycle} / {:.1}° of conduction) × {:.2} for the pulse's shape (half a sine has 1.11)",
        number::amps(pulses.side_mean_amps),
        working.operation.rectifier.conduction_degrees,
        pulses.form_factor
    ))
}

/// Share of the first capacitor's ripple current above which the filter behind it takes on much of it.
const MUCH: f64 = 0.1;
/// Share of it below which that would not show in the sum.
const SHOWS: f64 = 0.005;

fn ripple(n: usize, working: &Working, supply: &Supply) -> Option<String> {
    let strings = supply
        .filter
        .stacks()
        .nth(n)
        .map_or(1, |s| s.strings.max(1));
    let share = match strings {
        1 => String::new(),
        many => format!(" / {many} strings"),
    };
    let operation = &working.operation;
    // Where the filter takes on much of it, the sum of squares says little.
    if n == 0
        && let Some(ripple) = &working.ripple
        && ripple.into_filter_amps.abs() < MUCH * ripple.rms_amps
    {
        let steps = format!(
            "√(rectifier {} rms² \u{2212} {} mean²)",
            number::amps(operation.rectified_rms_amps),
            number::amps(operation.rectified_amps)
        );
        let taken = ripple.into_filter_amps;
        let and_taken = if taken.abs() < SHOWS * ripple.rms_amps {
            String::new()
        } else if taken < 0.0 {
            format!(" + {} of ripple back from the filter", number::amps(-taken))
        } else {
            format!(
                " \u{2212} {} of ripple into the filter",
                number::amps(taken)
            )
        };
        return Some(match (and_taken.is_empty(), share.is_empty()) {
            (false, false) => format!("({steps}{and_taken}){share}"),
            _ => format!("{steps}{and_taken}{share}"),
        });
    }
    let Capacitor {
        farads,
        ripple_rms_volts,
        harmonics,
        ..
    } = working.capacitors.get(n)?;
    Some(format!(
        "2π × {} × {} × {} rms of ripple × {:.2} for its harmonics{share}",
        number::hertz(working.ripple_hertz),
        number::farads(*farads),
        number::volts(*ripple_rms_volts),
        (*harmonics)?
    ))
}
