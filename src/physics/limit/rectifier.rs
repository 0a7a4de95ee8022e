//! Limits of the rectifier and of the winding before it.

use crate::parts::{Connection, Filter, HeaterTie, Ohms, Rectifier, RectifierType, Supply, Volts};
use crate::physics::limit::{Allowed, OperatingPoint, Rated, Unloaded, chart, rating};
use crate::physics::needs::Needs;
use crate::physics::operation::Case;
use crate::physics::stress::peak_inverse_volts;

pub(super) fn winding_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.transformer.winding_rating.as_ref();
    rating(of)
}

/// A rectifier between its winding and its filter: that of the bus, or that of the negative rail.
#[derive(Clone, Copy)]
pub(super) struct Wired<'a> {
    pub(super) rectifier: &'a Rectifier,
    pub(super) filter: &'a Filter,
    /// Rms volts of the winding (half-winding) as stated (V).
    pub(super) rms_volts: f64,
}

pub(super) fn dc_allowed(supply: &Supply, _: u8) -> Allowed {
    dc_rated(Wired {
        rectifier: &supply.rectifier,
        filter: &supply.filter,
        rms_volts: supply.transformer.stated_volts().0,
    })
}

/// Published for the envelope, judged for one device (A).
pub(super) fn dc_rated(wired: Wired<'_>) -> Allowed {
    let rectifier = &wired.rectifier.kind;
    let choke_input = wired.filter.input_capacitor.is_none();
    let of = (rectifier.dc_current_choke_input.as_ref())
        .filter(|_| choke_input)
        .or(rectifier.dc_current.as_ref());
    let mut whole = rating(of)?;
    let charted = rectifier
        .dc_current_by_volts
        .as_deref()
        .filter(|_| !choke_input);
    if let Some(amps) = charted.and_then(|c| chart::read_off(c, wired.rms_volts)) {
        whole = whole.with(amps);
    }
    Ok(whole.with(whole.value / f64::from(rectifier.plates.max(1))))
}

pub(super) fn peak_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.rectifier.kind.peak_current.as_ref();
    rating(of)
}

/// By the chart, at the least current, where there is one: with nothing connected it is smaller still (V).
pub(super) fn peak_inverse_unloaded_allowed(supply: &Supply, _: u8) -> Allowed {
    inverse_rated(&supply.rectifier.kind)
}

/// The same of any type of rectifier (V).
pub(super) fn inverse_rated(kind: &RectifierType) -> Allowed {
    let rated = rating(kind.peak_inverse.as_ref())?;
    let charted = kind.peak_inverse_by_current.as_deref();
    let highest = charted.and_then(|c| chart::read_off(c, 0.0));
    Ok(highest.map_or(rated, |volts| rated.with(volts)))
}

/// True for a type whose inverse volts are rated by the current that it gives.
pub(super) fn has_inverse_chart(supply: &Supply) -> bool {
    let charted = supply.rectifier.kind.peak_inverse_by_current.as_ref();
    charted.is_some() && supply.rectifier.kind.peak_inverse.is_some()
}

/// Inverse volts of one device under load, and what the chart allows at the direct current of the envelope (V).
pub(super) fn peak_inverse_loaded(
    point: OperatingPoint<'_>,
    allowed: f64,
) -> Result<[f64; 2], Needs> {
    let supply = &point.model.supply;
    let kind = &supply.rectifier.kind;
    let actual = peak_inverse_volts(point.model, point.case, point.operation);
    let whole_amps = point.operation.rectifier.mean_amps * f64::from(kind.plates.max(1));
    let charted = kind.peak_inverse_by_current.as_deref();
    let charted = charted.and_then(|c| chart::read_off(c, whole_amps));
    // Accepted as built further than the book goes, the bound holds whatever the current.
    let book = peak_inverse_unloaded_allowed(supply, 0)?.value;
    Ok([
        actual,
        charted.filter(|_| allowed <= book).unwrap_or(allowed),
    ])
}

/// Least resistance before each device at the rms volts of its winding (Ω). Where the maker gives several, one reads between them along
/// a straight line, and beyond either end that end.
pub(super) fn supply_resistance_allowed(supply: &Supply, _: u8) -> Allowed {
    let kind = &supply.rectifier.kind;
    let published = kind.least_supply_resistance.as_ref();
    let by_volts = kind.least_supply_resistance_by_volts.as_deref();
    let charted = by_volts.and_then(|chart| read_off(chart, supply.transformer.stated_volts()));
    let published = published.map(Rated::figure);
    let ohms = match charted {
        Some(ohms) => Some(published.unwrap_or(Rated::by_circuit(ohms)).with(ohms)),
        None => published,
    };
    ohms.filter(|_| supply.filter.input_capacitor.is_some())
        .ok_or(Needs::Rating)
}

fn read_off(chart: &[(Volts, Ohms)], volts: Volts) -> Option<f64> {
    let above = chart.partition_point(|(at, _)| *at < volts);
    let (from, to) = match (
        above.checked_sub(1).and_then(|k| chart.get(k)),
        chart.get(above),
    ) {
        (Some(from), Some(to)) => (from, to),
        (Some(end), None) | (None, Some(end)) => return Some(end.1.0),
        (None, None) => return None,
    };
    let share = (volts.0 - from.0.0) / (to.0.0 - from.0.0);
    Some(from.1.0 + share * (to.1.0 - from.1.0))
}

/// Resistance that limits the peaks of one device (Ω): that of the winding with the primary's reflected into it, which devices in
/// parallel share, and its own plate resistor; of unequal halves the one with less.
///
/// # Source
/// Total effective plate-supply impedance of the handbooks, `Rs + n²·Rp` and what is added in series, per plate (value from memory).
pub(super) fn supply_resistance(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let rectifier = &unloaded.model.supply.rectifier;
    let [first, second] = unloaded.model.at(Case::Present).source.halves();
    let winding = first.ohms.min(second.ohms);
    Ok(winding * f64::from(rectifier.in_parallel.max(1)) + rectifier.plate_resistor.0)
}

/// Largest first capacitor (F).
pub(super) fn first_capacitor_allowed(supply: &Supply, _: u8) -> Allowed {
    let published = supply.rectifier.kind.largest_first_capacitor.as_ref();
    let farads = published.filter(|_| supply.filter.input_capacitor.is_some());
    farads.map(Rated::figure).ok_or(Needs::Rating)
}

/// The first capacitor as it is marked (F); devices in parallel charge it together.
pub(super) fn first_capacitor(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let supply = &unloaded.model.supply;
    let stack = supply.filter.input_capacitor.as_ref();
    let devices = f64::from(supply.rectifier.in_parallel.max(1));
    stack
        .map(|stack| stack.farads() / devices)
        .ok_or(Needs::Rating)
}

/// True for a type between whose heater and cathode only so many volts may stand. Nothing insulates a filament from itself.
pub(super) fn has_heater_rating(kind: &RectifierType) -> bool {
    let is_filament = kind.heater.as_ref().is_some_and(|heater| heater.filament);
    kind.heater_cathode.is_some() && !is_filament
}

pub(super) fn heater_cathode_allowed(supply: &Supply, _: u8) -> Allowed {
    let of = supply.rectifier.kind.heater_cathode.as_ref();
    rating(of)
}

/// Volts between heater and cathode of a device of the rectifier with nothing connected, at the worst instant (V).
///
/// The cathode stands at the first capacitor; before a choke it follows the crests of the winding. In a bridge those of the two lower
/// devices go with the ends of the winding, from the common to its crest.
pub(super) fn heater_cathode_volts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let supply = &unloaded.model.supply;
    let tie = supply.rectifier.heater.ok_or(Needs::RectifierHeaterTie)?;
    let crest = unloaded.model.at(unloaded.case).source.crest_volts();
    let operation = &unloaded.no_load.operation;
    let first = |all: &[f64]| all.first().copied().unwrap_or(0.0);
    let low = match supply.rectifier.connection {
        Connection::FullWaveCentreTap | Connection::HalfWave
            if supply.filter.input_capacitor.is_some() =>
        {
            first(&operation.capacitor_mean_volts)
        }
        _ => 0.0,
    };
    let high = match supply.filter.input_capacitor {
        Some(_) => first(&operation.capacitor_crest_volts),
        None => crest,
    };
    Ok(heater_volts(tie, [low, high]))
}

/// Most volts between a heater and a cathode that goes from `low` to `high` against the common (V).
pub(super) fn heater_volts(tie: HeaterTie, [low, high]: [f64; 2]) -> f64 {
    let heater = match tie {
        HeaterTie::Cathode => return 0.0,
        HeaterTie::Common => 0.0,
        HeaterTie::Elevated(volts) => volts.0,
    };
    (high - heater).abs().max((low - heater).abs())
}
