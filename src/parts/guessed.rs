//! Values that nobody measured: they stand in the supply because something must, and are marked until someone types a value.
//!
//! A mark names a field as the file does, `transformer.secondary_resistance`. It moves no volt, so it stands beside the supply.

use std::fmt::Debug;

use crate::parts::spread::forget_what_does_not_fit;
use crate::parts::{FilterSection, Regulator, SeriesElement, Supply, Work};

/// What stands in a field that can be marked as guessed, as a text to compare; `None` where this supply has no such field.
pub fn standing(supply: &Supply, field: &str) -> Option<String> {
    let (part, name) = field.split_once('.')?;
    match part {
        "mains" => supply.mains.standing(name),
        "transformer" => supply.transformer.standing(name),
        "rectifier" => supply.rectifier.standing(name),
        "filter" => supply.filter.standing(name),
        "pass_stage" => supply.pass_stage.standing(name),
        "regulator" => supply.regulator.as_ref()?.standing(name),
        "output" => supply.output.standing(name),
        _ => None,
    }
}

/// Takes the mark from every field in which something else stands now than in `before`, and from those that are gone; and away the
/// stated spreads that do not fit any more, and what was found of parts that are gone.
pub fn forget_what_changed(work: &mut Work, before: &Supply) {
    forget_what_does_not_fit(work);
    work.supply.forget_what_was_found_of_others();
    let supply = &work.supply;
    work.guessed.retain(|field| {
        let now = standing(supply, field);
        now.is_some() && now == standing(before, field)
    });
}

/// A part of the supply with fields that can be guessed.
trait Part {
    /// As [`standing`], by the field's name within the part.
    fn standing(&self, name: &str) -> Option<String>;
}

macro_rules! fields_of {
    ($($part:ty { $($field:ident),* })*) => {$(
        impl Part for $part {
            fn standing(&self, name: &str) -> Option<String> {
                match name {
                    $(stringify!($field) => text(&self.$field),)*
                    _ => None,
                }
            }
        }
    )*};
}
fields_of! {
    crate::parts::Mains { nominal, present, low, high, frequency, crest_factor }
    crate::parts::Transformer { primary_volts, winding, primary_resistance, secondary_resistance, auxiliary }
    crate::parts::PassStage { tube, units, cathode_resistor, plate_resistor, imbalance, grid_limit }
    crate::parts::Output { set_low, set_high, meter_shunt }
}

impl Part for crate::parts::Rectifier {
    fn standing(&self, name: &str) -> Option<String> {
        match name {
            "kind" => text(&self.kind.name),
            "connection" => text(&self.connection),
            "in_parallel" => text(&self.in_parallel),
            "in_series" => text(&self.in_series),
            "plate_resistor" => text(&self.plate_resistor),
            _ => None,
        }
    }
}

impl Part for crate::parts::Filter {
    fn standing(&self, name: &str) -> Option<String> {
        match name {
            "input_capacitor.unit" => text(&self.input_capacitor.as_ref()?.unit),
            "bleeder" => text(&self.bleeder),
            "internal_current" => text(&self.internal_current),
            _ => {
                let (place, name) = name.strip_prefix("sections[")?.split_once("].")?;
                let place: usize = place.parse().ok()?;
                self.sections.get(place)?.standing(name)
            }
        }
    }
}

impl Part for FilterSection {
    fn standing(&self, name: &str) -> Option<String> {
        match (name, &self.series) {
            ("capacitor.unit", _) => text(&self.capacitor.unit),
            ("series", SeriesElement::Resistor(ohms)) => text(ohms),
            ("series.inductance", SeriesElement::Choke { inductance, .. }) => text(inductance),
            ("series.resistance", SeriesElement::Choke { resistance, .. }) => text(resistance),
            _ => None,
        }
    }
}

impl Part for Regulator {
    fn standing(&self, name: &str) -> Option<String> {
        let rail = self.bias_rail.as_ref();
        match name {
            "plate_load" => text(&self.plate_load),
            "plate_supply" => text(&self.plate_supply),
            "cathode" => text(&self.cathode),
            "divider.resistance" => text(&self.divider.resistance),
            "divider.foot" => text(&self.divider.foot),
            "reference.tubes" => text(&names(self.reference.as_ref()?)),
            "reference.feed_resistor" => text(&self.reference.as_ref()?.feed_resistor),
            "reference.fed_from" => text(&self.reference.as_ref()?.fed_from),
            "bias_rail.winding" => text(&rail?.winding.own()?),
            "bias_rail.winding_resistance" => text(&rail?.winding_resistance?),
            "bias_rail.rectifier.kind" => text(&rail?.rectifier.kind.name),
            "bias_rail.filter.input_capacitor.unit" => {
                text(&rail?.filter.input_capacitor.as_ref()?.unit)
            }
            "bias_rail.reference.tubes" => text(&names(rail?.reference.as_ref()?)),
            "bias_rail.reference.feed_resistor" => text(&rail?.reference.as_ref()?.feed_resistor),
            _ => None,
        }
    }
}

fn names(reference: &crate::parts::GasReference) -> Vec<&str> {
    reference.tubes.iter().map(|t| t.name.as_str()).collect()
}

#[expect(
    clippy::unnecessary_wraps,
    reason = "as the places that ask for it give it on"
)]
fn text(value: &impl Debug) -> Option<String> {
    Some(format!("{value:?}"))
}
