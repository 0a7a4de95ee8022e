//! How the filter is written.

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::RatingForm;
use crate::parts::file::record::{WINDING_SYSTEM, explicit, one, rating};
use crate::parts::quantity::{Amps, Farads, Fraction, Henries, Ohms, Volts};
use crate::parts::rating::RatingSystem;
use crate::parts::{CapacitorStack, Filter, FilterSection, SeriesElement};

/// System of a rating of a capacitor that does not say its own: its working volts are never to be exceeded.
const CAPACITOR_SYSTEM: RatingSystem = RatingSystem::AbsoluteMaximum;

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "filter", deny_unknown_fields)]
pub(in crate::parts::file) struct FilterForm {
    /// None if left out: choke or resistor input.
    #[serde(skip_serializing_if = "Option::is_none")]
    input_capacitor: Option<StackForm>,
    /// None if left out.
    #[serde(default)]
    sections: Vec<SectionForm>,
    /// None if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    bleeder: Option<Ohms>,
    /// 0 A if left out.
    #[serde(default)]
    internal_current: Amps,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "capacitor", deny_unknown_fields)]
pub(super) struct StackForm {
    unit: Farads,
    /// 1 if left out.
    #[serde(default = "one")]
    in_series: u8,
    /// 1 if left out.
    #[serde(default = "one")]
    strings: u8,
    /// Not known if left out; a value alone is an absolute-maximum rating. So are the two below.
    #[serde(skip_serializing_if = "Option::is_none")]
    working_volts: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    surge_volts: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ripple_current: Option<RatingForm<Amps>>,
    /// None fitted if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    balancing: Option<Ohms>,
    /// 20 % if left out, as electrolytics are marked (letter M of IEC 60062).
    #[serde(default = "electrolytic")]
    tolerance: Fraction,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "section", deny_unknown_fields)]
pub(super) struct SectionForm {
    series: SeriesForm,
    capacitor: StackForm,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum SeriesForm {
    Resistor(Ohms),
    Choke {
        inductance: Henries,
        resistance: Ohms,
        /// Not known if left out; a value alone is a design-centre rating.
        #[serde(skip_serializing_if = "Option::is_none")]
        rating: Option<RatingForm<Amps>>,
    },
}

impl FilterForm {
    pub(in crate::parts::file) fn of(filter: &Filter) -> Self {
        Self {
            input_capacitor: filter.input_capacitor.as_ref().map(StackForm::of),
            sections: filter.sections.iter().map(SectionForm::of).collect(),
            bleeder: filter.bleeder,
            internal_current: filter.internal_current,
        }
    }

    pub(in crate::parts::file) fn read(&self) -> Filter {
        Filter {
            input_capacitor: self.input_capacitor.as_ref().map(StackForm::read),
            sections: self.sections.iter().map(SectionForm::read).collect(),
            bleeder: self.bleeder,
            internal_current: self.internal_current,
        }
    }
}

impl StackForm {
    fn of(stack: &CapacitorStack) -> Self {
        Self {
            unit: stack.unit,
            in_series: stack.in_series,
            strings: stack.strings,
            working_volts: explicit(stack.working_volts.as_ref()),
            surge_volts: explicit(stack.surge_volts.as_ref()),
            ripple_current: explicit(stack.ripple_current.as_ref()),
            balancing: stack.balancing,
            tolerance: stack.tolerance,
        }
    }

    fn read(&self) -> CapacitorStack {
        CapacitorStack {
            unit: self.unit,
            in_series: self.in_series,
            strings: self.strings,
            working_volts: rating(self.working_volts.as_ref(), CAPACITOR_SYSTEM),
            surge_volts: rating(self.surge_volts.as_ref(), CAPACITOR_SYSTEM),
            ripple_current: rating(self.ripple_current.as_ref(), CAPACITOR_SYSTEM),
            balancing: self.balancing,
            tolerance: self.tolerance,
        }
    }
}

impl SectionForm {
    fn of(section: &FilterSection) -> Self {
        Self {
            series: match &section.series {
                SeriesElement::Resistor(ohms) => SeriesForm::Resistor(*ohms),
                SeriesElement::Choke {
                    inductance,
                    resistance,
                    rating,
                } => SeriesForm::Choke {
                    inductance: *inductance,
                    resistance: *resistance,
                    rating: explicit(rating.as_ref()),
                },
            },
            capacitor: StackForm::of(&section.capacitor),
        }
    }

    fn read(&self) -> FilterSection {
        FilterSection {
            series: match &self.series {
                SeriesForm::Resistor(ohms) => SeriesElement::Resistor(*ohms),
                SeriesForm::Choke {
                    inductance,
                    resistance,
                    rating: choke,
                } => SeriesElement::Choke {
                    inductance: *inductance,
                    resistance: *resistance,
                    rating: rating(choke.as_ref(), WINDING_SYSTEM),
                },
            },
            capacitor: self.capacitor.read(),
        }
    }
}

fn electrolytic() -> Fraction {
    Fraction(0.2)
}
