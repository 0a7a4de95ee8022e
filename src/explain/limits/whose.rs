//! The part that a limit belongs to, named as people at the bench would.

use crate::parts::{Amps, CapacitorStack, Connection, Rating, RectifierLaw, SeriesElement, Supply};
use crate::physics::limit::{Limit, Whose};

/// What to change where a limit is exceeded with nothing on the terminals: `the bus capacitor or the volts on it`.
pub(in crate::explain) fn part_to_change(limit: Limit, supply: &Supply) -> String {
    let control = supply.regulator.as_ref();
    let control = control.map_or("control tube", |r| r.control_tube.name.as_str());
    match limit {
        Limit::CapacitorVolts(n) | Limit::CapacitorSurge(n) => {
            format!("{} or the volts on it", capacitor_long(n, supply))
        }
        Limit::ReferenceLeast(_) | Limit::ReferenceMost(_) => {
            "the gas reference or its feed resistor".to_owned()
        }
        Limit::ReferenceStrike(_) => "the gas reference or the volts before it".to_owned(),
        Limit::ControlPlateDissipation => format!("the {control} or its plate load"),
        Limit::ControlScreenVolts | Limit::ControlScreenDissipation => {
            format!("the {control} or its screen volts")
        }
        Limit::GridResistor(Whose::Pass) => {
            "the plate load or the number of grids on it".to_owned()
        }
        Limit::GridResistor(Whose::Control) => "the sense divider".to_owned(),
        Limit::ControlHeaterCathode => format!("the {control} or what its heater is tied to"),
        _ => format!("the {} or the volts on it", supply.rectifier.kind.name),
    }
}

/// `C2`, or `bus` for the last one, which is the bus.
pub(in crate::explain) fn capacitor(n: u8, supply: &Supply) -> String {
    if usize::from(n) + 1 == supply.filter.stacks().count() {
        "bus".to_owned()
    } else {
        format!("C{}", u32::from(n) + 1)
    }
}

/// The capacitor inside a sentence: `capacitor C1`, `the bus capacitor`.
pub(super) fn capacitor_long(n: u8, supply: &Supply) -> String {
    match capacitor(n, supply).as_str() {
        "bus" => "the bus capacitor".to_owned(),
        other => format!("capacitor {other}"),
    }
}

pub(super) fn unit_rating(stack: &CapacitorStack, rating: Option<String>) -> Option<String> {
    let text = rating?;
    Some(match (stack.in_series, stack.strings) {
        (0 | 1, 0 | 1) => text,
        (0 | 1, strings) => format!("{text}, each of {strings} in parallel"),
        (in_series, _) => format!("{text}, each of {in_series} in series"),
    })
}

/// `choke`, or `choke 2` where there are several.
pub(in crate::explain) fn choke(n: u8, supply: &Supply) -> String {
    let chokes = supply
        .filter
        .sections
        .iter()
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count();
    if chokes > 1 {
        format!("choke {}", u32::from(n) + 1)
    } else {
        "choke".to_owned()
    }
}

pub(super) fn choke_rating(n: u8, supply: &Supply) -> Option<&Rating<Amps>> {
    supply
        .filter
        .sections
        .iter()
        .filter_map(|s| match &s.series {
            SeriesElement::Choke { rating, .. } => Some(rating),
            SeriesElement::Resistor(_) => None,
        })
        .nth(usize::from(n))
        .and_then(Option::as_ref)
}

pub(super) fn rectifier_dc(supply: &Supply) -> Option<&Rating<Amps>> {
    let kind = &supply.rectifier.kind;
    if supply.filter.input_capacitor.is_none() {
        kind.dc_current_choke_input
            .as_ref()
            .or(kind.dc_current.as_ref())
    } else {
        kind.dc_current.as_ref()
    }
}

/// What one device of the rectifier is called: a tube has plates, silicon has diodes; one alone is not each of several.
pub(super) fn device(supply: &Supply) -> String {
    let kind = &supply.rectifier.kind;
    let alone =
        supply.rectifier.connection == Connection::HalfWave && supply.rectifier.in_parallel <= 1;
    match kind.law {
        RectifierLaw::Silicon { .. } if alone => format!("the {} diode", kind.name),
        _ if alone && kind.plates <= 1 => format!("the {}", kind.name),
        RectifierLaw::Silicon { .. } => format!("each {} diode", kind.name),
        _ if kind.plates > 1 => format!("each {} plate", kind.name),
        _ => format!("each {}", kind.name),
    }
}

/// The same beside a number: `1N4007 diode` where it is alone.
pub(super) fn one_device(supply: &Supply) -> String {
    device(supply).trim_start_matches("the ").to_owned()
}

pub(super) fn winding(supply: &Supply) -> &'static str {
    match supply.rectifier.connection {
        Connection::FullWaveCentreTap => "high-voltage half-winding",
        Connection::Bridge | Connection::HalfWave => "high-voltage winding",
    }
}

/// `worst 6080 section`, `each 6080 section` without imbalance, `6V6-GT` where there is only one.
pub(super) fn worst_unit(supply: &Supply) -> String {
    let stage = &supply.pass_stage;
    let unit = if stage.tube.units > 1 {
        format!("{} section", stage.tube.name)
    } else {
        stage.tube.name.clone()
    };
    match stage.units {
        0 | 1 => unit,
        _ if stage.imbalance.0 > 0.0 => format!("worst {unit}"),
        _ => format!("each {unit}"),
    }
}

pub(in crate::explain) fn the_worst_unit(supply: &Supply) -> String {
    let unit = worst_unit(supply);
    if unit.starts_with("each ") {
        unit
    } else {
        format!("the {unit}")
    }
}
