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
    /// What its stand-by switch opens; `None` where that is not said.
    pub stand_by: Option<StandBy>,
}

/// What a stand-by switch opens: all heaters stay on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StandBy {
    /// Nothing: there is no such switch, and all comes on together.
    NoSwitch,
    /// The centre tap of the high-voltage winding.
    CentreTap,
    /// The lead from the rectifier to the filter.
    BeforeFilter,
    /// The lead from the filter to all that draws from it.
    AfterFilter,
    /// The lead to the output terminal.
    Output,
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
