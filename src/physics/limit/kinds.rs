//! All kinds of limit in one table, and which of them a supply has.

use crate::parts::{ControlTubeKind, HeaterTie, SeriesElement, Side, Stage, Supply};
use crate::physics::limit::Measure;
use crate::physics::regulator::grid_circuit::Whose;

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
    /// Screen dissipation of the worst pass tube unit, a beam tube or pentode with its screen tied to the plate.
    ScreenDissipation,
    /// Dissipation of all units of one pass tube envelope together.
    EnvelopeDissipation,
    /// Plate (cathode) current of the worst pass tube unit.
    PlateCurrent,
    /// Plate volts of the pass tubes.
    PlateVolts,
    /// Below it the control tube cannot pull the pass grids far enough down.
    GridFloor,
    /// Above it the control tube's grid would have to be lower than the foot of the sense divider.
    ControlGridCeiling,
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
    /// Resistance that a grid sees.
    GridResistor(Whose),
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
            | Self::ScreenDissipation
            | Self::EnvelopeDissipation
            | Self::PlateCurrent
            | Self::PlateVolts
            | Self::HeaterCathode
            | Self::HeaterAboveCathode => Stage::PassStage,
            Self::GridFloor
            | Self::ControlGridCeiling
            | Self::ReferenceLeast(_)
            | Self::ReferenceMost(_)
            | Self::ReferenceStrike(_)
            | Self::ControlPlateVolts
            | Self::ControlPlateDissipation
            | Self::ControlScreenVolts
            | Self::ControlScreenDissipation
            | Self::ControlHeaterCathode
            // The resistor is the regulator's, whosever grid it is.
            | Self::GridResistor(_) => Stage::Regulator,
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
                | Self::ControlGridCeiling
                | Self::ReferenceStrike(_)
                | Self::SetRangeHigh
                | Self::SetRangeLow
        )
    }

    /// True for what must not fall short, as the least current of a gas tube.
    pub fn is_least(self) -> bool {
        matches!(self, Self::ReferenceLeast(_) | Self::ReferenceStrike(_))
    }

    /// True if it does not depend on the load: it is judged with nothing on the terminals, and is the same everywhere.
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
                | Self::GridResistor(_)
        )
    }

    /// What it is measured in.
    pub fn measure(self) -> Measure {
        match self {
            Self::PlateDissipation
            | Self::ScreenDissipation
            | Self::EnvelopeDissipation
            | Self::ControlPlateDissipation
            | Self::ControlScreenDissipation => Measure::Watts,
            Self::PlateCurrent
            | Self::ReferenceLeast(_)
            | Self::ReferenceMost(_)
            | Self::RectifierDc
            | Self::RectifierPeak
            | Self::WindingRms
            | Self::CapacitorRipple(_)
            | Self::ChokeCurrent(_) => Measure::Amps,
            Self::GridResistor(_) => Measure::Ohms,
            Self::Dropout
            | Self::SetRangeHigh
            | Self::SetRangeLow
            | Self::PlateVolts
            | Self::GridFloor
            | Self::ControlGridCeiling
            | Self::HeaterCathode
            | Self::HeaterAboveCathode
            | Self::ReferenceStrike(_)
            | Self::ControlPlateVolts
            | Self::ControlScreenVolts
            | Self::ControlHeaterCathode
            | Self::RectifierPeakInverse
            | Self::CapacitorVolts(_)
            | Self::CapacitorSurge(_) => Measure::Volts,
        }
    }

    /// Every kind of limit in the order of the signal path, the one table of them: a supply has those of it that its parts
    /// have. Of capacitors and chokes the first stands for all.
    pub const KINDS: [Self; 33] = [
        Self::WindingRms,
        Self::RectifierDc,
        Self::RectifierPeak,
        Self::RectifierPeakInverse,
        Self::CapacitorVolts(0),
        Self::CapacitorSurge(0),
        Self::CapacitorRipple(0),
        Self::ChokeCurrent(0),
        Self::PlateVolts,
        Self::PlateCurrent,
        Self::PlateDissipation,
        Self::ScreenDissipation,
        Self::EnvelopeDissipation,
        Self::HeaterCathode,
        Self::HeaterAboveCathode,
        Self::Dropout,
        Self::GridFloor,
        Self::ControlGridCeiling,
        Self::ReferenceStrike(Side::Positive),
        Self::ReferenceLeast(Side::Positive),
        Self::ReferenceMost(Side::Positive),
        Self::ReferenceStrike(Side::Negative),
        Self::ReferenceLeast(Side::Negative),
        Self::ReferenceMost(Side::Negative),
        Self::ControlPlateVolts,
        Self::ControlPlateDissipation,
        Self::ControlScreenVolts,
        Self::ControlScreenDissipation,
        Self::ControlHeaterCathode,
        Self::GridResistor(Whose::Pass),
        Self::GridResistor(Whose::Control),
        Self::SetRangeLow,
        Self::SetRangeHigh,
    ];

    /// The limits of this kind that a supply has: one for each capacitor or choke; none where the part is not there.
    fn in_supply(self, supply: &Supply) -> Vec<Self> {
        let stage = &supply.pass_stage;
        let regulator = supply.regulator.as_ref();
        let stacks = supply.filter.stacks().count();
        let numbered = |count: usize, of: fn(u8) -> Self| {
            let numbers = (0..count).filter_map(|k| u8::try_from(k).ok());
            numbers.map(of).collect()
        };
        let is_there = match self {
            Self::CapacitorVolts(_) => return numbered(stacks, Self::CapacitorVolts),
            Self::CapacitorSurge(_) => return numbered(stacks, Self::CapacitorSurge),
            Self::CapacitorRipple(_) => return numbered(stacks, Self::CapacitorRipple),
            Self::ChokeCurrent(_) => {
                let sections = supply.filter.sections.iter();
                let chokes = sections.filter(|s| matches!(s.series, SeriesElement::Choke { .. }));
                return numbered(chokes.count(), Self::ChokeCurrent);
            }
            Self::WindingRms
            | Self::RectifierDc
            | Self::RectifierPeak
            | Self::RectifierPeakInverse
            | Self::PlateVolts
            | Self::PlateCurrent
            | Self::PlateDissipation
            | Self::Dropout
            | Self::GridFloor
            | Self::SetRangeHigh => true,
            // Where published; few tubes have them.
            Self::ScreenDissipation => {
                stage.tube.triode_connected && stage.tube.ratings.screen_dissipation.is_some()
            }
            Self::EnvelopeDissipation => stage.tube.envelope_dissipation.is_some(),
            Self::GridResistor(_) => super::allowed(self, supply).is_ok(),
            Self::HeaterCathode => stage.heater.is_some(),
            Self::HeaterAboveCathode => matches!(stage.heater, Some(HeaterTie::Elevated(_))),
            Self::ReferenceStrike(side)
            | Self::ReferenceLeast(side)
            | Self::ReferenceMost(side) => {
                regulator.is_some_and(|r| r.gas_reference(side).is_some())
            }
            Self::ControlGridCeiling
            | Self::ControlPlateVolts
            | Self::ControlPlateDissipation
            | Self::ControlHeaterCathode => regulator.is_some(),
            Self::ControlScreenVolts | Self::ControlScreenDissipation => regulator
                .is_some_and(|r| matches!(r.control_tube.kind, ControlTubeKind::Pentode { .. })),
            Self::SetRangeLow => supply.output.set_low.0 > 0.0,
        };
        Vec::from_iter(is_there.then_some(self))
    }

    /// Which capacitor it is of, counted from the rectifier.
    fn capacitor(self) -> Option<u8> {
        match self {
            Self::CapacitorVolts(k) | Self::CapacitorSurge(k) | Self::CapacitorRipple(k) => Some(k),
            _ => None,
        }
    }
}

/// All limits that a supply has, known or not, in the order of the signal path.
pub fn all(supply: &Supply) -> Vec<Limit> {
    let mut limits: Vec<Limit> = (Limit::KINDS.iter())
        .flat_map(|kind| kind.in_supply(supply))
        .collect();
    // What one capacitor bears stands together.
    let place = |l: &Limit| l.capacitor().is_some();
    if let (Some(first), Some(last)) = (
        limits.iter().position(place),
        limits.iter().rposition(place),
    ) && let Some(of_capacitors) = limits.get_mut(first..=last)
    {
        of_capacitors.sort_by_key(|l| l.capacitor());
    }
    limits
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn the_table_has_no_kind_twice() {
        let different: BTreeSet<Limit> = Limit::KINDS.into_iter().collect();
        assert_eq!(different.len(), Limit::KINDS.len());
    }
}
