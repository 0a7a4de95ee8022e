//! The output: what the voltage control can ask for, the meter, and the dummy loads.

use crate::parts::quantity::{Fraction, Ohms, Volts, Watts};
use crate::parts::resistor::{MadeOf, Mounting, ResistorKind};

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
    /// Share of its rated power that its owner allows (0 to 1); none for what is usual of its kind where it is mounted, and all of
    /// it where the kind is not known.
    pub derating: Option<Fraction>,
    /// How it is made, if that is known.
    pub kind: Option<ResistorKind>,
    /// Where it gets rid of its heat.
    pub mounting: Mounting,
    /// The resistors that it is wired of, if it was put together from the drawer; what they bear then counts, in place of power,
    /// kind and derating here.
    pub made_of: Option<MadeOf>,
}
