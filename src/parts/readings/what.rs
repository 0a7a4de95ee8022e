//! What can be read of a supply.

use crate::parts::regulator::Side;
use crate::parts::spread::Unit;

/// What a reading is of. Sections of the filter, capacitors and pass units are counted from 1, from the rectifier to the bus.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum What {
    /// The output with the knob all the way up: what the supply has left into that load (V).
    KnobUp,
    /// An output that was still held into that load: a reading that only says "at least" of what the knob all the way up would give (V).
    StillHolds,
    /// The output as set (V).
    Output,
    /// Fall of the output from nothing connected to that load, the knob untouched (V).
    Droop,
    /// Mean of the bus (V).
    Bus,
    /// Mean of the first capacitor (V).
    FirstCapacitor,
    /// Ripple of the bus, peak to peak (V).
    BusRipple,
    /// Ripple of the first capacitor, rms, as a meter on alternating volts shows it (V).
    FirstRipple,
    /// The negative rail, without its sign (V).
    Rail,
    /// Ripple of the negative rail, peak to peak (V).
    RailRipple,
    /// Volts across the positive reference (V).
    Reference,
    /// Volts across the reference of the negative rail (V).
    NegativeReference,
    /// Grid of the pass tubes against their cathode (V): negative.
    PassGrid,
    /// Volts across the cathode resistor of a pass unit (V).
    CathodeResistor(u8),
    /// The high-voltage winding with the rectifier pulled, each half or the whole (V rms).
    WindingVolts,
    /// The high-voltage winding, each half or the whole, cold (Ω).
    WindingOhms,
    /// The choke of a section, cold (Ω).
    ChokeOhms(u8),
    /// What stands across the bus, cold and discharged: bleeder and balancing resistors (Ω).
    BleederOhms,
    /// A capacitor's whole stack, one end off (F).
    Capacitance(u8),
    /// What the bus's capacitors and insulation leak, on a supply of one's own, bleeder and balancing taken off (A).
    Leak,
}

impl What {
    /// What it is measured in.
    pub fn unit(self) -> Unit {
        match self {
            Self::WindingOhms | Self::ChokeOhms(_) | Self::BleederOhms => Unit::Ohms,
            Self::Capacitance(_) => Unit::Farads,
            Self::Leak => Unit::Amps,
            _ => Unit::Volts,
        }
    }

    /// True for what is read with the mains plug out and everything discharged.
    pub fn is_cold(self) -> bool {
        matches!(
            self,
            Self::WindingOhms
                | Self::ChokeOhms(_)
                | Self::BleederOhms
                | Self::Capacitance(_)
                | Self::Leak
        )
    }

    /// True for what can be read at the terminals, with the chassis closed.
    pub fn is_at_the_terminals(self) -> bool {
        matches!(
            self,
            Self::KnobUp | Self::StillHolds | Self::Output | Self::Droop
        )
    }

    /// True for what the load moves.
    pub fn depends_on_load(self) -> bool {
        !self.is_cold() && self != Self::WindingVolts
    }

    /// True for what is read on the alternating-volts range.
    pub fn is_alternating(self) -> bool {
        matches!(self, Self::WindingVolts | Self::FirstRipple)
    }

    /// A reference's volts.
    pub fn reference(side: Side) -> Self {
        match side {
            Side::Positive => Self::Reference,
            Side::Negative => Self::NegativeReference,
        }
    }
}
