//! What must not be exceeded, and how much of it is used.

use crate::parts::{Rating, RatingSystem, SeriesElement, Stage, Supply};
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::pass_stage::{unit_ohms, worst_unit_amps};

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

impl Limit {
    /// The stage whose card shows it.
    pub fn stage(self) -> Stage {
        match self {
            Self::Dropout
            | Self::PlateDissipation
            | Self::EnvelopeDissipation
            | Self::PlateCurrent
            | Self::PlateVolts => Stage::PassStage,
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
        !matches!(self, Self::Dropout | Self::SetRangeHigh | Self::SetRangeLow)
    }

    /// True if it does not depend on the load: it is judged with nothing on the terminals.
    pub fn is_no_load(self) -> bool {
        matches!(
            self,
            Self::RectifierPeakInverse | Self::CapacitorVolts(_) | Self::CapacitorSurge(_)
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

/// A rating's number, or what would have to be known.
type Allowed = Result<(f64, Option<RatingSystem>), &'static str>;

fn rated(value: Option<f64>, system: Option<RatingSystem>, needs: &'static str) -> Allowed {
    value.map(|v| (v, system)).ok_or(needs)
}

fn rating<T: Copy>(
    of: Option<&Rating<T>>,
    value: impl Fn(T) -> f64,
    needs: &'static str,
) -> Allowed {
    rated(of.map(|r| value(r.value)), of.map(|r| r.system), needs)
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
    limits.push(Limit::Dropout);
    if supply.output.set_low.0 > 0.0 {
        limits.push(Limit::SetRangeLow);
    }
    limits.push(Limit::SetRangeHigh);
    limits
}

/// What a limit allows (V, A or W), with its rating system if it is a rating.
///
/// # Errors
/// What would have to be known.
pub fn allowed(limit: Limit, supply: &Supply) -> Allowed {
    let rectifier = &supply.rectifier.kind;
    let tube = &supply.pass_stage.tube;
    match limit {
        Limit::Dropout => Ok((0.0, None)),
        Limit::SetRangeHigh => Ok((supply.output.set_high.0, None)),
        Limit::SetRangeLow => Ok((supply.output.set_low.0, None)),
        Limit::PlateDissipation => rating(
            tube.plate_dissipation.as_ref(),
            |w| w.0,
            "the pass tube's plate dissipation",
        ),
        Limit::EnvelopeDissipation => rating(
            tube.envelope_dissipation.as_ref(),
            |w| w.0,
            "the dissipation of a whole pass tube",
        ),
        Limit::PlateCurrent => rating(
            tube.plate_current.as_ref(),
            |a| a.0,
            "the pass tube's highest plate current",
        ),
        Limit::PlateVolts => rating(
            tube.plate_volts.as_ref(),
            |v| v.0,
            "the pass tube's highest plate volts",
        ),
        Limit::RectifierDc => {
            let choke_input = supply.filter.input_capacitor.is_none();
            let of = rectifier
                .dc_current_choke_input
                .as_ref()
                .filter(|_| choke_input)
                .or(rectifier.dc_current.as_ref());
            // Published for the envelope, judged for one device.
            rating(
                of,
                |a| a.0 / f64::from(rectifier.plates.max(1)),
                "the rectifier's DC output rating",
            )
        }
        Limit::RectifierPeak => rating(
            rectifier.peak_current.as_ref(),
            |a| a.0,
            "the rectifier's peak current rating",
        ),
        Limit::RectifierPeakInverse => rating(
            rectifier.peak_inverse.as_ref(),
            |v| v.0,
            "the rectifier's peak inverse rating",
        ),
        Limit::WindingRms => rating(
            supply.transformer.winding_rating.as_ref(),
            |a| a.0,
            "the winding's rms current rating",
        ),
        Limit::CapacitorRipple(k) => {
            let stack = supply.filter.stacks().nth(usize::from(k));
            rating(
                stack.and_then(|s| s.ripple_current.as_ref()),
                |a| a.0,
                "the capacitor's ripple current rating",
            )
        }
        Limit::CapacitorVolts(k) => {
            let stack = supply.filter.stacks().nth(usize::from(k));
            rating(
                stack.and_then(|s| s.working_volts.as_ref()),
                |v| v.0,
                "the capacitor's working volts",
            )
        }
        Limit::CapacitorSurge(k) => {
            let stack = supply.filter.stacks().nth(usize::from(k));
            rating(
                stack.and_then(|s| s.surge_volts.as_ref()),
                |v| v.0,
                "the capacitor's surge volts",
            )
        }
        Limit::ChokeCurrent(k) => {
            let mut chokes = supply
                .filter
                .sections
                .iter()
                .filter_map(|s| match &s.series {
                    SeriesElement::Choke { rating, .. } => Some(rating.as_ref()),
                    SeriesElement::Resistor(_) => None,
                });
            rating(
                chokes.nth(usize::from(k)).flatten(),
                |a| a.0,
                "the choke's current rating",
            )
        }
    }
}

/// The cases in which a limit is judged; the worst of them binds (IEC 60134 for the rating systems).
pub fn judging_cases(limit: Limit, system: Option<RatingSystem>) -> &'static [Case] {
    match system {
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
        Limit::PlateDissipation | Limit::EnvelopeDissipation => Measure::Watts,
        Limit::PlateCurrent
        | Limit::RectifierDc
        | Limit::RectifierPeak
        | Limit::WindingRms
        | Limit::CapacitorRipple(_)
        | Limit::ChokeCurrent(_) => Measure::Amps,
        Limit::Dropout
        | Limit::SetRangeHigh
        | Limit::SetRangeLow
        | Limit::PlateVolts
        | Limit::RectifierPeakInverse
        | Limit::CapacitorVolts(_)
        | Limit::CapacitorSurge(_) => Measure::Volts,
    }
}

/// The actual value of a limit that depends on the load, at `volts` of output (V, A or W).
///
/// # Errors
/// What would have to be known.
pub fn actual(
    limit: Limit,
    supply: &Supply,
    operation: &Operation,
    volts: f64,
) -> Result<f64, &'static str> {
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
            let worst = worst_unit_amps(stage, amps);
            (tube_mean_volts(supply, operation, worst) - volts) * worst
        }
        Limit::EnvelopeDissipation => {
            let worst = worst_unit_amps(stage, amps);
            let whole = (worst * f64::from(stage.tube.units.max(1))).min(amps);
            (tube_mean_volts(supply, operation, worst) - volts) * whole
        }
        Limit::PlateCurrent => worst_unit_amps(stage, amps),
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
        Limit::RectifierPeakInverse | Limit::CapacitorVolts(_) | Limit::CapacitorSurge(_) => 0.0,
    })
}

/// Mean volts from the bus to the output that stand over the tube itself if the output were at 0 V: the bus less the
/// resistors around the tube and the meter shunt.
pub fn tube_mean_volts(supply: &Supply, operation: &Operation, unit_amps: f64) -> f64 {
    operation.bus.mean_volts
        - unit_amps * unit_ohms(&supply.pass_stage)
        - operation.output_amps * supply.output.meter_shunt.0
}

/// The actual value of a limit that is judged with nothing on the terminals (V).
pub fn actual_no_load(limit: Limit, no_load: &NoLoad) -> f64 {
    match limit {
        Limit::RectifierPeakInverse => no_load.peak_inverse_volts,
        Limit::CapacitorVolts(k) | Limit::CapacitorSurge(k) => no_load
            .worst_unit_volts
            .get(usize::from(k))
            .copied()
            .unwrap_or(0.0),
        _ => 0.0,
    }
}

/// `actual / allowed` in the sense of each limit: exactly 1 on its boundary.
pub fn ratio(limit: Limit, actual: f64, allowed: f64) -> f64 {
    match limit {
        // Below the range the reciprocal would run to infinity at 0 V.
        Limit::SetRangeLow => allowed / actual.max(1e-3 * allowed),
        _ => (actual / allowed).max(0.0),
    }
}
