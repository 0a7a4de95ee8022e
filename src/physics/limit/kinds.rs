//! The kinds of limit by name.

use crate::parts::Side;
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

/// What is measured against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Volts.
    Volts,
    /// Amperes.
    Amps,
    /// Watts.
    Watts,
    /// Ohms.
    Ohms,
}
