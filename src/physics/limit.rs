//! What must not be exceeded, and how much of it is used.

use crate::parts::{
    ControlTubeKind, HeaterTie, RatingSystem, ReferenceFeed, SeriesElement, Stage, Supply,
};
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::pass_stage::unit_ohms;
use crate::physics::regulator::floor::{self, MOST_RATIO};
use crate::physics::regulator::references::dark_feed_volts;
use crate::physics::regulator::sharing::worst_unit;
use crate::physics::regulator::zero::NO_REGULATOR;
use crate::physics::regulator::{Load, Stand};

mod allowed;

pub use allowed::allowed;

/// A limit of the supply. Numbered ones count capacitor stacks or chokes from the rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Limit {
    /// Above it the valley of the bus ripple no longer leaves the pass tubes their least drop.
    Dropout,
    /// Highest volts that the control can ask for.
    SetRangeHigh,
    /// Lowest volts that the control can ask for.
    SetRangeLow,
    /// Plate (plate and screen) dissipation of the worst pass tube unit.
    PlateDissipation,
    /// Dissipation of all units of one pass tube envelope together.
    EnvelopeDissipation,
    /// Plate (cathode) current of the worst pass tube unit.
    PlateCurrent,
    /// Plate volts of the pass tubes.
    PlateVolts,
    /// Below it the control tube cannot pull the pass grids far enough down.
    GridFloor,
    /// Heater–cathode volts of the pass tubes; with a raised heater those by which the cathodes are above it.
    HeaterCathode,
    /// Volts by which a raised heater is above the cathodes of the pass tubes.
    HeaterAboveCathode,
    /// Least current of a gas reference.
    ReferenceLeast(Side),
    /// Highest current of a gas reference, no load.
    ReferenceMost(Side),
    /// Volts with which a gas reference strikes.
    ReferenceStrike(Side),
    /// Plate volts of the control tube.
    ControlPlateVolts,
    /// Plate dissipation of the control tube at its worst setting, no load.
    ControlPlateDissipation,
    /// Screen volts of the control tube.
    ControlScreenVolts,
    /// Screen dissipation of the control tube at its lowest setting, no load.
    ControlScreenDissipation,
    /// Heater–cathode volts of the control tube.
    ControlHeaterCathode,
    /// DC output of the rectifier.
    RectifierDc,
    /// Steady-state peak current of a rectifier device.
    RectifierPeak,
    /// Peak inverse volts of a rectifier device, no load.
    RectifierPeakInverse,
    /// Rms current of the high-voltage winding.
    WindingRms,
    /// Ripple current of a capacitor.
    CapacitorRipple(u8),
    /// Direct current of a choke.
    ChokeCurrent(u8),
    /// Working volts of a capacitor, no load.
    CapacitorVolts(u8),
    /// Surge volts of a capacitor, no load.
    CapacitorSurge(u8),
}

/// Which gas reference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The positive one.
    Positive,
    /// That of the negative rail.
    Negative,
}

impl Limit {
    /// The stage whose card shows it.
    pub fn stage(self) -> Stage {
        match self {
            Self::Dropout
            | Self::PlateDissipation
            | Self::EnvelopeDissipation
            | Self::PlateCurrent
            | Self::PlateVolts
            | Self::HeaterCathode
            | Self::HeaterAboveCathode => Stage::PassStage,
            Self::GridFloor
            | Self::ReferenceLeast(_)
            | Self::ReferenceMost(_)
            | Self::ReferenceStrike(_)
            | Self::ControlPlateVolts
            | Self::ControlPlateDissipation
            | Self::ControlScreenVolts
            | Self::ControlScreenDissipation
            | Self::ControlHeaterCathode => Stage::Regulator,
            Self::SetRangeHigh | Self::SetRangeLow => Stage::Output,
            Self::RectifierDc | Self::RectifierPeak | Self::RectifierPeakInverse => {
                Stage::Rectifier
            }
            Self::WindingRms => Stage::Transformer,
            Self::CapacitorRipple(_)
            | Self::ChokeCurrent(_)
            | Self::CapacitorVolts(_)
            | Self::CapacitorSurge(_) => Stage::Filter,
        }
    }

    /// True if exceeding it harms a part; false if the supply just does not do it.
    pub fn is_rating(self) -> bool {
        !matches!(
            self,
            Self::Dropout
                | Self::GridFloor
                | Self::ReferenceStrike(_)
                | Self::SetRangeHigh
                | Self::SetRangeLow
        )
    }

    /// True for what must not fall short, as the least current of a gas tube.
    pub fn is_least(self) -> bool {
        matches!(self, Self::ReferenceLeast(_) | Self::ReferenceStrike(_))
    }

    /// True if it does not depend on the load: it is judged with nothing on the terminals.
    pub fn is_no_load(self) -> bool {
        matches!(
            self,
            Self::RectifierPeakInverse
                | Self::CapacitorVolts(_)
                | Self::CapacitorSurge(_)
                | Self::ReferenceLeast(Side::Negative)
                | Self::ReferenceMost(_)
                | Self::ReferenceStrike(Side::Negative)
                | Self::ControlPlateDissipation
                | Self::ControlScreenVolts
                | Self::ControlScreenDissipation
                | Self::ControlHeaterCathode
        )
    }
}

/// What is measured against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
}

/// A limit's use as a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// `actual / allowed`; above 1 the limit is exceeded.
    pub ratio: f64,
    /// The actual value (V, A or W).
    pub actual: f64,
    /// The allowed value (V, A or W).
    pub allowed: f64,
    /// What it is measured in.
    pub measure: Measure,
    /// The case in which it was judged: the worst that its rating system asks for.
    pub case: Case,
    /// Rms mains volts of that case.
    pub mains_volts: f64,
    /// The ratio at low, present and high mains, for comparison.
    pub at_low_present_high: [f64; 3],
}

/// How much of a limit is used at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Use {
    /// Which limit.
    pub limit: Limit,
    /// The rating system that it was judged by; `None` for what is not a rating.
    pub system: Option<RatingSystem>,
    /// The number, or what would have to be known.
    pub judged: Result<Judged, &'static str>,
}

impl Use {
    /// `actual / allowed`, if known.
    pub fn ratio(&self) -> Option<f64> {
        self.judged.as_ref().ok().map(|j| j.ratio)
    }

    /// `1 − ratio`, if known.
    pub fn margin(&self) -> Option<f64> {
        self.ratio().map(|r| 1.0 - r)
    }
}

/// All limits that a supply has, known or not, in the order of the signal path.
pub fn all(supply: &Supply) -> Vec<Limit> {
    let mut limits = vec![
        Limit::WindingRms,
        Limit::RectifierDc,
        Limit::RectifierPeak,
        Limit::RectifierPeakInverse,
    ];
    let count = |n: usize| (0..n).filter_map(|k| u8::try_from(k).ok());
    for k in count(supply.filter.stacks().count()) {
        limits.extend([
            Limit::CapacitorVolts(k),
            Limit::CapacitorSurge(k),
            Limit::CapacitorRipple(k),
        ]);
    }
    let chokes = supply
        .filter
        .sections
        .iter()
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count();
    limits.extend(count(chokes).map(Limit::ChokeCurrent));
    limits.extend([
        Limit::PlateVolts,
        Limit::PlateCurrent,
        Limit::PlateDissipation,
    ]);
    if supply.pass_stage.tube.envelope_dissipation.is_some() {
        limits.push(Limit::EnvelopeDissipation);
    }
    if supply.pass_stage.heater.is_some() {
        limits.push(Limit::HeaterCathode);
    }
    if matches!(supply.pass_stage.heater, Some(HeaterTie::Elevated(_))) {
        limits.push(Limit::HeaterAboveCathode);
    }
    limits.extend([Limit::Dropout, Limit::GridFloor]);
    if let Some(regulator) = &supply.regulator {
        let rail = regulator.bias_rail.as_ref();
        let sides = [
            (Side::Positive, regulator.reference.is_some()),
            (Side::Negative, rail.is_some_and(|r| r.reference.is_some())),
        ];
        for (side, there) in sides {
            if there {
                limits.extend([
                    Limit::ReferenceStrike(side),
                    Limit::ReferenceLeast(side),
                    Limit::ReferenceMost(side),
                ]);
            }
        }
        limits.extend([Limit::ControlPlateVolts, Limit::ControlPlateDissipation]);
        if matches!(regulator.control_tube.kind, ControlTubeKind::Pentode { .. }) {
            limits.extend([Limit::ControlScreenVolts, Limit::ControlScreenDissipation]);
        }
        limits.push(Limit::ControlHeaterCathode);
    }
    if supply.output.set_low.0 > 0.0 {
        limits.push(Limit::SetRangeLow);
    }
    limits.push(Limit::SetRangeHigh);
    limits
}

/// The cases in which a limit is judged; the worst of them binds (IEC 60134 for the rating systems).
pub fn judging_cases(limit: Limit, system: Option<RatingSystem>) -> &'static [Case] {
    match system {
        // A reference has to work on any day, whatever its maker calls the range of its current.
        _ if matches!(
            limit,
            Limit::ReferenceLeast(_) | Limit::ReferenceMost(_) | Limit::ReferenceStrike(_)
        ) =>
        {
            &[Case::Low, Case::Present, Case::High]
        }
        None => &[Case::Present],
        _ if limit.is_no_load() => &[Case::Present, Case::High],
        Some(RatingSystem::DesignCentre) => &[Case::Nominal],
        Some(RatingSystem::DesignMaximum) => &[Case::Low, Case::Present, Case::High],
        Some(RatingSystem::AbsoluteMaximum) => &[
            Case::Present,
            Case::LowLeast,
            Case::LowMost,
            Case::HighLeast,
            Case::HighMost,
        ],
    }
}

/// What a limit measures.
pub fn measure(limit: Limit) -> Measure {
    match limit {
        Limit::PlateDissipation
        | Limit::EnvelopeDissipation
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenDissipation => Measure::Watts,
        Limit::PlateCurrent
        | Limit::ReferenceLeast(_)
        | Limit::ReferenceMost(_)
        | Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::CapacitorRipple(_)
        | Limit::ChokeCurrent(_) => Measure::Amps,
        Limit::Dropout
        | Limit::SetRangeHigh
        | Limit::SetRangeLow
        | Limit::PlateVolts
        | Limit::GridFloor
        | Limit::HeaterCathode
        | Limit::HeaterAboveCathode
        | Limit::ReferenceStrike(_)
        | Limit::ControlPlateVolts
        | Limit::ControlScreenVolts
        | Limit::ControlHeaterCathode
        | Limit::RectifierPeakInverse
        | Limit::CapacitorVolts(_)
        | Limit::CapacitorSurge(_) => Measure::Volts,
    }
}

/// A point of the plane in one case.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// Everything before the pass tubes, at the point's current.
    pub operation: &'a Operation,
    /// What the regulator stands on in that case, if it is described.
    pub stand: Option<&'a Stand>,
    /// Output volts (V).
    pub volts: f64,
}

/// What a limit allows at a place where that is no fixed number: the valley of the bus for dropout, the grid volts that
/// the control tube can give for the grid-drive floor; else `allowed`.
///
/// # Errors
/// What would have to be known.
pub fn allowed_at(limit: Limit, place: Place<'_>, allowed: f64) -> Result<f64, &'static str> {
    match limit {
        Limit::Dropout => Ok(place.operation.bus.trough_volts),
        Limit::GridFloor => {
            let stand = place.stand.ok_or(NO_REGULATOR)?;
            floor::drive(stand, place.operation, place.volts).map(|d| d.given_volts)
        }
        _ => Ok(allowed),
    }
}

/// The actual value of a limit that depends on the load (V, A or W).
///
/// # Errors
/// What would have to be known.
pub fn actual(limit: Limit, supply: &Supply, place: Place<'_>) -> Result<f64, &'static str> {
    let Place {
        operation, volts, ..
    } = place;
    let stage = &supply.pass_stage;
    let amps = operation.output_amps;
    let at = |list: &[f64], k: u8| list.get(usize::from(k)).copied().unwrap_or(0.0);
    Ok(match limit {
        Limit::Dropout => {
            volts
                + operation
                    .least_drop_volts
                    .ok_or("the pass tube's curve at this current")?
        }
        Limit::SetRangeHigh | Limit::SetRangeLow => volts,
        Limit::PlateDissipation => {
            let worst = worst_unit(supply, operation, volts);
            (tube_mean_volts(supply, operation, worst) - volts) * worst
        }
        Limit::EnvelopeDissipation => {
            let worst = worst_unit(supply, operation, volts);
            let whole = (worst * f64::from(stage.tube.units.max(1))).min(amps);
            (tube_mean_volts(supply, operation, worst) - volts) * whole
        }
        // With most volts over the tubes, where their spread shows most.
        Limit::PlateCurrent => worst_unit(supply, operation, 0.0),
        Limit::PlateVolts => operation.bus.crest_volts - volts,
        Limit::RectifierDc => operation.rectifier.mean_amps,
        Limit::RectifierPeak => operation.rectifier.peak_amps,
        Limit::WindingRms => operation.winding_rms_amps,
        Limit::CapacitorRipple(k) => {
            let strings = supply
                .filter
                .stacks()
                .nth(usize::from(k))
                .map_or(1, |s| s.strings.max(1));
            at(&operation.capacitor_rms_amps, k) / f64::from(strings)
        }
        Limit::ChokeCurrent(k) => operation
            .chokes
            .get(usize::from(k))
            .map_or(0.0, |c| c.mean_amps),
        Limit::HeaterCathode => {
            let above = heater_volts(supply, operation, volts)?;
            // A raised heater has a limit of its own for the other side.
            match stage.heater {
                Some(HeaterTie::Elevated(_)) => above.max(0.0),
                _ => above.abs(),
            }
        }
        Limit::HeaterAboveCathode => (-heater_volts(supply, operation, volts)?).max(0.0),
        Limit::GridFloor
        | Limit::ControlPlateVolts
        | Limit::ReferenceLeast(Side::Positive)
        | Limit::ReferenceStrike(Side::Positive) => of_regulator(limit, place)?,
        Limit::RectifierPeakInverse
        | Limit::CapacitorVolts(_)
        | Limit::CapacitorSurge(_)
        | Limit::ReferenceLeast(Side::Negative)
        | Limit::ReferenceMost(_)
        | Limit::ReferenceStrike(Side::Negative)
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation
        | Limit::ControlHeaterCathode => 0.0,
    })
}

/// Volts by which the pass tubes' cathodes are above the output, with an even share of the current (V): over their resistors
/// and the meter shunt.
pub fn cathode_lift(supply: &Supply, amps: f64) -> f64 {
    let stage = &supply.pass_stage;
    let unit_amps = amps / f64::from(stage.units.max(1));
    amps * supply.output.meter_shunt.0 + unit_amps * stage.cathode_resistor.0
}

/// Volts by which the pass tubes' cathodes are above their heaters, with an even share of the current (V).
///
/// # Errors
/// What would have to be known.
pub fn heater_volts(
    supply: &Supply,
    operation: &Operation,
    volts: f64,
) -> Result<f64, &'static str> {
    let above_output = cathode_lift(supply, operation.output_amps);
    match supply.pass_stage.heater {
        None => Err("to what the pass tubes' heaters are tied"),
        // The winding goes to the output's terminal; the resistors are between that and the cathodes.
        Some(HeaterTie::Cathode) => Ok(above_output),
        Some(HeaterTie::Common) => Ok(volts + above_output),
        Some(HeaterTie::Elevated(up)) => Ok(volts + above_output - up.0),
    }
}

/// What depends on load and regulator.
fn of_regulator(limit: Limit, place: Place<'_>) -> Result<f64, &'static str> {
    let stand = place.stand.ok_or(NO_REGULATOR)?;
    let bus = &place.operation.bus;
    let load = |bus_volts: f64| Load {
        bus_volts,
        amps: place.operation.output_amps,
        volts: place.volts,
    };
    match limit {
        Limit::GridFloor => {
            floor::drive(stand, place.operation, place.volts).map(|d| d.needed_volts)
        }
        // In the valley of the bus the pass grids are highest, and with them the control tube's plate.
        Limit::ControlPlateVolts => floor::control_plate_volts_had(stand, load(bus.trough_volts)),
        Limit::ReferenceStrike(_) => dark_feed_volts(stand, place.operation)
            .ok_or("what the output does while its own reference is dark"),
        // The control tube's current only adds to it; it comes and goes, and is not counted on.
        _ => {
            let feed = match stand.regulator.reference.as_ref().map(|r| r.fed_from) {
                Some(ReferenceFeed::Output) => place.volts,
                _ => bus.mean_volts,
            };
            let stack = stand.positive.as_ref();
            stack
                .map(|s| s.straight_amps(feed))
                .ok_or("a positive reference")
        }
    }
}

/// Mean volts from the bus to the output that stand over the tube itself if the output were at 0 V: the bus less the
/// resistors around the tube and the meter shunt.
pub fn tube_mean_volts(supply: &Supply, operation: &Operation, unit_amps: f64) -> f64 {
    operation.bus.mean_volts
        - unit_amps * unit_ohms(&supply.pass_stage)
        - operation.output_amps * supply.output.meter_shunt.0
}

/// The actual value of a limit that is judged with nothing on the terminals (V, A or W).
///
/// # Errors
/// What would have to be known.
pub fn actual_no_load(limit: Limit, no_load: &NoLoad) -> Result<f64, &'static str> {
    let rest = &no_load.regulator;
    let known = |value: Option<f64>| {
        value.ok_or(
            "more of the regulator: its tubes' curves, its references, the ties of its heaters",
        )
    };
    Ok(match limit {
        Limit::RectifierPeakInverse => no_load.peak_inverse_volts,
        Limit::CapacitorVolts(k) | Limit::CapacitorSurge(k) => no_load
            .worst_unit_volts
            .get(usize::from(k))
            .copied()
            .unwrap_or(0.0),
        Limit::ReferenceLeast(_) => known(rest.negative_amps.map(|range| range[0]))?,
        Limit::ReferenceMost(Side::Negative) => known(rest.negative_amps.map(|range| range[1]))?,
        Limit::ReferenceMost(Side::Positive) => known(rest.positive_most_amps)?,
        Limit::ReferenceStrike(_) => rest
            .negative_dark_volts
            .ok_or("a negative rail that gives voltage")?,
        Limit::ControlPlateDissipation => known(rest.control_plate_watts)?,
        Limit::ControlScreenVolts => rest
            .control_screen_volts
            .ok_or("the control tube's screen volts")?,
        Limit::ControlScreenDissipation => rest
            .control_screen_watts
            .ok_or("the control tube's screen volts and current")?,
        Limit::ControlHeaterCathode => rest
            .control_heater_volts
            .ok_or("to what the control tube's heater is tied")?,
        _ => 0.0,
    })
}

/// `actual / allowed` in the sense of each limit: exactly 1 on its boundary.
pub fn ratio(limit: Limit, actual: f64, allowed: f64) -> f64 {
    match limit {
        // Of what must not fall short the reciprocal would run to infinity at none of it.
        Limit::SetRangeLow => allowed / actual.max(1e-3 * allowed),
        _ if limit.is_least() => allowed / actual.max(1e-3 * allowed),
        // Where the control tube can give nothing it would run to infinity as well.
        Limit::GridFloor if actual <= 0.0 => 0.0,
        Limit::GridFloor => actual / allowed.max(actual / MOST_RATIO),
        _ => (actual / allowed).max(0.0),
    }
}
