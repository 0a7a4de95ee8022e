//! A change of the supply in a few words.

use crate::bench::variation::{OfRegulator, Variation};
use crate::explain::limits::{capacitor_name, choke};
use crate::explain::regulation::tap;
use crate::parts::{HeaterTie, Ohms, RailWinding, SeriesElement, Supply};
use crate::physics::limit::Side;

/// A change in words: `another 6080 section`, `C1 68 µF → 100 µF`.
pub fn change(variation: &Variation, supply: &Supply) -> String {
    let tube = &supply.pass_stage.tube;
    let unit = if tube.units > 1 {
        format!("{} section", tube.name)
    } else {
        tube.name.clone()
    };
    let resistor = |whose: &str, new: Ohms, old: Ohms| match (new.0 > 0.0, old.0 > 0.0) {
        (true, true) => format!("{whose} {old} → {new}"),
        (true, false) => format!("{whose} of {new} added"),
        _ => format!("{whose} left out, {old} now"),
    };
    match variation {
        Variation::LowerMains => "10 % lower mains".to_owned(),
        Variation::HigherMains => "10 % higher mains".to_owned(),
        Variation::MoreUnits => format!("another {unit}"),
        Variation::FewerUnits => format!("one {unit} fewer"),
        Variation::Capacitor(n, new) => {
            let name = capacitor_name(*n, supply);
            let old = supply.filter.stacks().nth(usize::from(*n));
            let each = if old.is_some_and(|s| s.in_series > 1 || s.strings > 1) {
                "units "
            } else {
                ""
            };
            match old {
                Some(old) => format!("{name} {each}{} → {new}", old.unit),
                None => format!("{name} {each}{new}"),
            }
        }
        Variation::Choke(n, new) => match supply
            .filter
            .sections
            .get(usize::from(*n))
            .map(|s| &s.series)
        {
            Some(SeriesElement::Choke { inductance, .. }) => {
                let before = supply.filter.sections.iter().take(usize::from(*n));
                let place = before
                    .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
                    .count();
                let name = choke(u8::try_from(place).unwrap_or(u8::MAX), supply);
                format!("{name} {inductance} → {new}")
            }
            _ => format!("choke {new}"),
        },
        Variation::SeriesResistor(n, new) => match supply
            .filter
            .sections
            .get(usize::from(*n))
            .map(|s| &s.series)
        {
            Some(SeriesElement::Resistor(old)) => resistor("filter resistor", *new, *old),
            _ => format!("filter resistor {new}"),
        },
        Variation::Bleeder(new) => {
            resistor("bleeder", *new, supply.filter.bleeder.unwrap_or_default())
        }
        Variation::RectifierResistor(new) => {
            // A silicon diode has no plate.
            let whose = if supply.rectifier.kind.heater.is_some() {
                "rectifier plate resistors"
            } else {
                "rectifier series resistors"
            };
            resistor(whose, *new, supply.rectifier.plate_resistor)
        }
        Variation::CathodeResistor(new) => resistor(
            "cathode resistors",
            *new,
            supply.pass_stage.cathode_resistor,
        ),
        Variation::PassTube(new) => format!("{} for the {}", new.name, tube.name),
        Variation::Rectifier(new) => {
            format!("{} for the {}", new.name, supply.rectifier.kind.name)
        }
        Variation::Regulator(change) => of_regulator(change, supply),
    }
}

/// A change of the regulator: `rail winding 550 V → 605 V`, `another 0C3 in the rail reference`.
fn of_regulator(change: &OfRegulator, supply: &Supply) -> String {
    if let OfRegulator::PassHeaters(tie) = change {
        return format!("pass tubes' heaters tied to {}", tied(*tie, "the output"));
    }
    let Some(regulator) = &supply.regulator else {
        return String::new();
    };
    let whose = |side: &Side| match side {
        Side::Positive => "reference",
        Side::Negative => "rail reference",
    };
    let last = |side: &Side| {
        let tubes = regulator.gas_reference(*side).and_then(|r| r.tubes.last());
        tubes.map_or("tube", |t| t.name.as_str())
    };
    match change {
        OfRegulator::ControlTube(new) => {
            format!("{} for the {}", new.name, regulator.control_tube.name)
        }
        OfRegulator::Cathode(to) => {
            format!("control tube's cathode on the {}", tap(*to, regulator))
        }
        OfRegulator::LeastPlateVolts(new) => {
            let now = regulator.least_plate_volts.unwrap_or_default();
            format!("control tube that comes down to {new}, {now} now")
        }
        OfRegulator::ScreenVolts(new) => {
            let now = regulator.screen_volts.unwrap_or_default();
            format!("control tube's screen {now} → {new}")
        }
        OfRegulator::PlateLoad(new) => {
            format!("control tube's plate load {} → {new}", regulator.plate_load)
        }
        OfRegulator::Divider(new) => {
            format!("divider {} → {new}", regulator.divider.resistance)
        }
        OfRegulator::Preload(new) => {
            format!("preload {} → {new}", regulator.preload.unwrap_or_default())
        }
        OfRegulator::ControlHeater(tie) => {
            format!(
                "control tube's heater tied to {}",
                tied(*tie, "its cathode")
            )
        }
        OfRegulator::PassHeaters(_) => String::new(),
        OfRegulator::GasTube(side, new) => {
            format!("{} for the {} of the {}", new.name, last(side), whose(side))
        }
        OfRegulator::OneGasTubeMore(side) => {
            format!("another {} in the {}", last(side), whose(side))
        }
        OfRegulator::OneGasTubeFewer(side) => {
            format!("{} without its last {}", whose(side), last(side))
        }
        OfRegulator::FeedResistor(side, new) => {
            let now = regulator
                .gas_reference(*side)
                .map_or(Ohms(0.0), |r| r.feed_resistor);
            format!("feed of the {} {now} → {new}", whose(side))
        }
        OfRegulator::RailWinding(new) => {
            let rail = regulator.bias_rail.as_ref();
            let now = rail.map_or(*new, |rail| supply.rail_volts(rail));
            match rail.map(|rail| rail.winding) {
                Some(RailWinding::HighVoltageTap(_)) => {
                    format!("rail tap {now} → {new}")
                }
                _ => format!("rail winding {now} → {new}"),
            }
        }
    }
}

fn tied(tie: HeaterTie, cathode: &str) -> String {
    match tie {
        HeaterTie::Common => "the negative terminal".to_owned(),
        HeaterTie::Cathode => cathode.to_owned(),
        HeaterTie::Elevated(volts) => format!("{volts} above the negative terminal"),
    }
}
