//! Names of what is spread and of what one reads.

use crate::bench::odds::Reading;
use crate::explain::limits::{capacitor_name, choke};
use crate::parts::spread::{Batch, Field};
use crate::parts::{SeriesElement, Side, Supply};

/// The name of a field, to stand in a sentence: `the winding's volts`.
pub fn field(field: Field, supply: &Supply) -> String {
    let side = |side: Side| match side {
        Side::Positive => "the reference's",
        Side::Negative => "the negative rail's",
    };
    let named = match field {
        Field::Mains => "the mains",
        Field::Winding => "the winding's volts",
        Field::PrimaryResistance => "the primary's resistance",
        Field::SecondaryResistance => "the winding's resistance",
        Field::Auxiliary => "the other load on the transformer",
        Field::Rectifier => return format!("the {}'s emission", supply.rectifier.kind.name),
        Field::RectifierResistor => "the rectifier's plate resistor",
        Field::InputCapacitor => return capacitor_of(supply, 0),
        Field::SectionCapacitor(k) => {
            let before = u8::from(supply.filter.input_capacitor.is_some());
            return capacitor_of(supply, k.saturating_add(before));
        }
        Field::SectionResistor(k) => return format!("the filter's resistor R{}", u16::from(k) + 1),
        Field::ChokeInductance(k) => return format!("the inductance of {}", choke_of(supply, k)),
        Field::ChokeResistance(k) => return format!("the resistance of {}", choke_of(supply, k)),
        Field::Bleeder => "the bleeder",
        Field::InternalCurrent => "the internal current",
        Field::PassTube => return format!("the {}s' emission", supply.pass_stage.tube.name),
        Field::PassAmplification => {
            return format!("the {}s' amplification", supply.pass_stage.tube.name);
        }
        Field::CathodeResistor => "the cathode resistors",
        Field::PlateResistor => "the plate resistors",
        Field::ControlTube => {
            let tube = supply
                .regulator
                .as_ref()
                .map(|r| r.control_tube.name.as_str());
            return format!("the {}'s emission", tube.unwrap_or("control tube"));
        }
        Field::PlateLoad => "the control tube's plate load",
        Field::Divider => "the sense divider",
        Field::ReferenceFeed(of) => return format!("{} feed resistor", side(of)),
        Field::ReferenceTube(of, k) => {
            let reference = supply.regulator.as_ref().and_then(|r| r.gas_reference(of));
            let tube = reference.and_then(|r| r.tubes.get(usize::from(k)));
            let name = tube.map_or("gas tube", |tube| tube.name.as_str());
            return format!("{} {name}", side(of));
        }
        Field::RailWinding => "the negative rail's winding volts",
        Field::RailWindingResistance => "the resistance of the negative rail's winding",
        Field::RailCapacitor => "the negative rail's first capacitor",
        Field::MeterShunt => "the meter shunt",
    };
    named.to_owned()
}

fn capacitor_of(supply: &Supply, number: u8) -> String {
    let name = capacitor_name(number, supply);
    let is_numbered = name.starts_with('C');
    format!("{} {name}", if is_numbered { "capacitor" } else { "the" })
}

/// Chokes are counted by themselves.
fn choke_of(supply: &Supply, section: u8) -> String {
    let before = supply.filter.sections.iter().take(usize::from(section));
    let chokes = before.filter(|s| matches!(s.series, SeriesElement::Choke { .. }));
    let name = choke(u8::try_from(chokes.count()).unwrap_or(u8::MAX), supply);
    if name == "choke" {
        format!("the {name}")
    } else {
        name
    }
}

/// What the parts of a batch have in common.
pub fn batch(batch: Batch) -> &'static str {
    match batch {
        Batch::Tubes => "how worn the tubes are as a lot",
        Batch::Capacitors => "how worn the capacitors are as a lot",
    }
}

/// The name of a reading.
pub fn reading(reading: Reading) -> &'static str {
    match reading {
        Reading::Dropout => "dropout",
        Reading::Bus => "bus, mean",
        Reading::Ripple => "bus ripple, peak to peak",
        Reading::Rail => "negative rail",
        Reading::ReferenceVolts(Side::Positive) => "reference volts",
        Reading::ReferenceVolts(Side::Negative) => "negative reference volts",
        Reading::ReferenceAmps(Side::Positive) => "least current of the reference's tubes",
        Reading::ReferenceAmps(Side::Negative) => "least current of the negative reference's tubes",
        Reading::Zero => "lowest setting that holds at any mains",
    }
}
