//! The filter: from the rectifier to the bus.

use crate::parts::copper::Copper;
use crate::parts::quantity::{Amps, Farads, Fraction, Henries, Ohms, Volts};
use crate::parts::rating::Rating;

/// Equal capacitors in series, and perhaps several such strings in parallel.
#[derive(Debug, Clone, PartialEq)]
pub struct CapacitorStack {
    /// Capacitance of one unit.
    pub unit: Farads,
    /// Units in series, at least 1.
    pub in_series: u8,
    /// Strings in parallel, at least 1.
    pub strings: u8,
    /// Working volts of one unit.
    pub working_volts: Option<Rating<Volts>>,
    /// Surge volts of one unit.
    pub surge_volts: Option<Rating<Volts>>,
    /// Ripple current rating of one unit (rms, at twice the mains frequency).
    pub ripple_current: Option<Rating<Amps>>,
    /// Balancing resistor across each unit, if fitted.
    pub balancing: Option<Ohms>,
    /// Spread of the capacitance, ± this.
    pub tolerance: Fraction,
}

impl CapacitorStack {
    /// One capacitor of which only the value is known, made to ±20 %: letter M of IEC 60062, as electrolytics are marked.
    pub fn single(unit: Farads) -> Self {
        Self {
            unit,
            in_series: 1,
            strings: 1,
            working_volts: None,
            surge_volts: None,
            ripple_current: None,
            balancing: None,
            tolerance: Fraction(0.2),
        }
    }

    /// Capacitance of the whole stack (F).
    pub fn farads(&self) -> f64 {
        self.unit.0 * f64::from(self.strings) / f64::from(self.in_series)
    }

    /// Resistance of all balancing resistors together across the stack (Ω); infinite without them.
    pub fn balancing_ohms(&self) -> f64 {
        self.balancing.map_or(f64::INFINITY, |r| {
            r.0 * f64::from(self.in_series) / f64::from(self.strings)
        })
    }
}

/// What carries the current from one capacitor to the next.
#[derive(Debug, Clone, PartialEq)]
pub enum SeriesElement {
    /// A resistor.
    Resistor(Ohms),
    /// A choke.
    Choke {
        /// Inductance at the direct current in use.
        inductance: Henries,
        /// DC resistance of its winding.
        resistance: Ohms,
        /// How that was measured.
        measured: Copper,
        /// Highest direct current, if known.
        rating: Option<Rating<Amps>>,
    },
}

impl SeriesElement {
    /// Its resistance to direct current at work.
    pub fn ohms_at_work(&self) -> Ohms {
        match *self {
            Self::Resistor(ohms) => ohms,
            Self::Choke {
                resistance,
                measured,
                ..
            } => measured.at_work(resistance),
        }
    }
}

/// A series element and the capacitor stack behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct FilterSection {
    /// Resistor or choke.
    pub series: SeriesElement,
    /// The capacitor that follows.
    pub capacitor: CapacitorStack,
}

/// The whole filter. The last capacitor is the bus.
#[derive(Debug, Clone, PartialEq)]
pub struct Filter {
    /// Capacitor straight behind the rectifier; none means choke (or resistor) input.
    pub input_capacitor: Option<CapacitorStack>,
    /// Sections after it, in order.
    pub sections: Vec<FilterSection>,
    /// Bleeder across the bus.
    pub bleeder: Option<Ohms>,
    /// Fixed current that the supply itself takes from the bus: screen feeds, reference strings, plate loads. Without what a described
    /// regulator draws through the pass tubes.
    pub internal_current: Amps,
}

impl Filter {
    /// True if the rectifier works into a choke.
    pub fn is_choke_input(&self) -> bool {
        let first = self.sections.first().map(|section| &section.series);
        self.input_capacitor.is_none() && matches!(first, Some(SeriesElement::Choke { .. }))
    }

    /// All capacitor stacks in order from the rectifier to the bus.
    pub fn stacks(&self) -> impl Iterator<Item = &CapacitorStack> {
        self.input_capacitor
            .iter()
            .chain(self.sections.iter().map(|s| &s.capacitor))
    }

    /// All capacitor stacks in order, to change.
    pub fn stacks_mut(&mut self) -> impl Iterator<Item = &mut CapacitorStack> {
        self.input_capacitor
            .iter_mut()
            .chain(self.sections.iter_mut().map(|s| &mut s.capacitor))
    }
}
