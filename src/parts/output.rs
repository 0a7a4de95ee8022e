//! The output: what the voltage control can ask for, the meter, and the dummy loads.

use crate::parts::quantity::{Fraction, Ohms, Volts, Watts};

/// The output terminals and their control.
#[derive(Debug, Clone, PartialEq)]
pub struct Output {
    /// Lowest volts that the control can ask for.
    pub set_low: Volts,
    /// Highest volts that the control can ask for.
    pub set_high: Volts,
    /// Series resistance between the regulator and the terminals: meter shunt, output fuse.
    pub meter_shunt: Ohms,
    /// Full scale of the panel voltmeter, if there is one and it is known.
    pub meter_scale: Option<Volts>,
}

/// A resistor used as a load.
#[derive(Debug, Clone, PartialEq)]
pub struct Dummy {
    /// What the user calls it; empty for none.
    pub name: String,
    /// Its resistance.
    pub resistance: Ohms,
    /// Its rated power, if known.
    pub power: Option<Watts>,
    /// Its highest working volts, if known.
    pub working_volts: Option<Volts>,
    /// Spread of its resistance, ± this.
    pub tolerance: Fraction,
    /// Share of its rated power allowed where it is mounted (0 to 1): still air, heat sink, neighbours.
    pub derating: Fraction,
}
