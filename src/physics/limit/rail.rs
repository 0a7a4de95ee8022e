//! Limits of the negative rail's own parts: winding, rectifier, capacitors.
//!
//! What the rail carries hardly goes with the output: it is judged with nothing connected.

use crate::parts::{BiasRail, CapacitorStack, Connection, Rectifier, Stage, Supply};
use crate::physics::circuit::source::source_in;
use crate::physics::limit::rectifier::{self, Wired};
use crate::physics::limit::table::RATING;
use crate::physics::limit::{Absent, Figures, Limit, Measure, Row, Shape, Unloaded, rating};
use crate::physics::model::{NegativeRail, raw_rail};
use crate::physics::needs::Needs;
use crate::physics::stress::{inverse_volts, worst_share};

/// A limit of the negative rail's parts. Capacitor stacks are counted from its rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum OfRail {
    /// Rms current of a winding of its own.
    WindingRms,
    /// DC output of its rectifier.
    RectifierDc,
    /// Steady-state peak current of a device of its rectifier.
    RectifierPeak,
    /// Peak inverse volts of a device of its rectifier.
    PeakInverse,
    /// Heater–cathode volts of its rectifier.
    HeaterCathode,
    /// Working volts of a capacitor.
    CapacitorVolts(u8),
    /// Surge volts of a capacitor.
    CapacitorSurge(u8),
}

impl OfRail {
    /// Which capacitor it is of.
    pub(super) fn number(self) -> u8 {
        match self {
            Self::CapacitorVolts(n) | Self::CapacitorSurge(n) => n,
            _ => 0,
        }
    }

    pub(super) fn with_number(self, n: u8) -> Self {
        match self {
            Self::CapacitorVolts(_) => Self::CapacitorVolts(n),
            Self::CapacitorSurge(_) => Self::CapacitorSurge(n),
            other => other,
        }
    }
}

const RAIL: Row = Row {
    stage: Stage::Regulator,
    count: |supply| usize::from(rail(supply).is_some()),
    shape: |_| Shape::Everywhere,
    ..RATING
};

pub(super) const WINDING_RMS: Row = Row {
    limit: Limit::Rail(OfRail::WindingRms),
    key: "rail_winding_rms",
    // On the high-voltage winding the rail's current counts there.
    count: |supply| usize::from(rail(supply).is_some_and(|rail| rail.winding.own().is_some())),
    allowed: |supply, _| rating(described(supply)?.winding_rating.as_ref()),
    figures: Figures::Unloaded(|u, _| Ok(at_work(u)?.operation.winding_rms_amps)),
    ..RAIL
};

pub(super) const RECTIFIER_DC: Row = Row {
    limit: Limit::Rail(OfRail::RectifierDc),
    key: "rail_rectifier_dc",
    allowed: |supply, _| {
        let rail = described(supply)?;
        rectifier::dc_rated(Wired {
            rectifier: &rail.rectifier,
            filter: &rail.filter,
            rms_volts: supply.rail_volts(rail).0,
        })
    },
    figures: Figures::Unloaded(|u, _| Ok(at_work(u)?.operation.rectifier.mean_amps)),
    ..RAIL
};

pub(super) const RECTIFIER_PEAK: Row = Row {
    limit: Limit::Rail(OfRail::RectifierPeak),
    key: "rail_rectifier_peak",
    allowed: |supply, _| rating(described(supply)?.rectifier.kind.peak_current.as_ref()),
    figures: Figures::Unloaded(|u, _| Ok(at_work(u)?.operation.rectifier.peak_amps)),
    ..RAIL
};

pub(super) const PEAK_INVERSE: Row = Row {
    limit: Limit::Rail(OfRail::PeakInverse),
    key: "rail_rectifier_peak_inverse",
    measure: Measure::Volts,
    // A chart over the current is read at its least: a rail gives some milliamperes.
    allowed: |supply, _| rectifier::inverse_rated(&described(supply)?.rectifier.kind),
    figures: Figures::Unloaded(peak_inverse),
    ..RAIL
};

pub(super) const HEATER_CATHODE: Row = Row {
    limit: Limit::Rail(OfRail::HeaterCathode),
    key: "rail_rectifier_heater_cathode",
    measure: Measure::Volts,
    absent: Absent::NotKnown,
    count: |supply| {
        let kind = rail(supply).map(|rail| &rail.rectifier.kind);
        usize::from(kind.is_some_and(rectifier::has_heater_rating))
    },
    allowed: |supply, _| rating(described(supply)?.rectifier.kind.heater_cathode.as_ref()),
    figures: Figures::Unloaded(heater_cathode_volts),
    ..RAIL
};

pub(super) const CAPACITOR_VOLTS: Row = Row {
    limit: Limit::Rail(OfRail::CapacitorVolts(0)),
    key: "rail_capacitor_#_volts",
    measure: Measure::Volts,
    count: stacks,
    allowed: |supply, n| {
        rating(stack(described(supply)?, n).and_then(|s| s.working_volts.as_ref()))
    },
    figures: Figures::Unloaded(unit_volts),
    ..RAIL
};

pub(super) const CAPACITOR_SURGE: Row = Row {
    limit: Limit::Rail(OfRail::CapacitorSurge(0)),
    key: "rail_capacitor_#_surge",
    allowed: |supply, n| rating(stack(described(supply)?, n).and_then(|s| s.surge_volts.as_ref())),
    ..CAPACITOR_VOLTS
};

fn rail(supply: &Supply) -> Option<&BiasRail> {
    supply.regulator.as_ref()?.bias_rail.as_ref()
}

fn described(supply: &Supply) -> Result<&BiasRail, Needs> {
    rail(supply).ok_or(Needs::NegativeRail)
}

fn stacks(supply: &Supply) -> usize {
    rail(supply).map_or(0, |rail| rail.filter.stacks().count())
}

fn stack(rail: &BiasRail, n: u8) -> Option<&CapacitorStack> {
    rail.filter.stacks().nth(usize::from(n))
}

/// The rail as it works, its gas tubes lit.
fn at_work<'a>(unloaded: &Unloaded<'a>) -> Result<&'a NegativeRail, Needs> {
    let regulator = unloaded.model.regulator(unloaded.case)?;
    regulator.working_rail().ok_or(Needs::NegativeRail)
}

/// Crest of the e.m.f. of its winding, of each half with a centre tap (V).
fn winding_crest_volts(unloaded: &Unloaded<'_>) -> Result<f64, Needs> {
    let supply = &unloaded.model.supply;
    let raw = raw_rail(supply, described(supply)?);
    // What no transformer can be has no rail that works either.
    let source = raw.and_then(|raw| source_in(&raw, unloaded.case));
    let source = source.map_err(|_fault| Needs::NegativeRail)?;
    Ok(source.crest_volts())
}

/// Highest inverse volts of one device (V).
fn peak_inverse(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let rail = described(&unloaded.model.supply)?;
    let operation = &at_work(unloaded)?.operation;
    let crest_volts = winding_crest_volts(unloaded)?;
    Ok(inverse_volts(
        &rail.rectifier,
        &rail.filter,
        [crest_volts; 2],
        operation,
    ))
}

/// Volts across the worst unit of a stack (V).
fn unit_volts(unloaded: &Unloaded<'_>, n: u8) -> Result<f64, Needs> {
    let all = &at_work(unloaded)?.operation.capacitor_crest_volts;
    let share = stack(described(&unloaded.model.supply)?, n).map_or(1.0, worst_share);
    Ok(share * all.get(usize::from(n)).copied().unwrap_or(0.0))
}

/// Volts between heater and cathode of a device of its rectifier, at the worst instant (V).
///
/// The positive end of the rail is the common. Plates that share an envelope on the two ends of a winding have their cathode there. A
/// device by itself mostly looks the other way, its cathode on an end of the winding, which swings both ways about the common; half
/// wave, either is found, and the worse is taken. In a bridge two cathodes stand at the common, and two go with the ends of the winding
/// down to the rail.
fn heater_cathode_volts(unloaded: &Unloaded<'_>, _: u8) -> Result<f64, Needs> {
    let rectifier = &described(&unloaded.model.supply)?.rectifier;
    let tie = rectifier.heater.ok_or(Needs::RailHeaterTie)?;
    let crest = winding_crest_volts(unloaded)?;
    Ok(rectifier::heater_volts(
        tie,
        cathode_volts(rectifier, crest),
    ))
}

/// Lowest and highest volts of its cathodes against the common (V).
fn cathode_volts(rectifier: &Rectifier, crest_volts: f64) -> [f64; 2] {
    match rectifier.connection {
        Connection::FullWaveCentreTap if rectifier.kind.plates > 1 => [0.0, 0.0],
        Connection::FullWaveCentreTap | Connection::HalfWave => [-crest_volts, crest_volts],
        Connection::Bridge => [-crest_volts, 0.0],
    }
}
