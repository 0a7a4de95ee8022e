//! What a variant is called beside another: by what it has that the other has not.

use crate::bench::change::supply_part::{SupplyPart, differing_parts};
use crate::explain::limits::capacitor_name;
use crate::explain::{discharge, number};
use crate::parts::{SeriesElement, StandBy, Supply, WindingVolts, Work};

/// Beside a work with the same parts.
pub const AS_NOW: &str = "as now";
/// Where the parts are the same, and other resistors are at hand.
const OTHER_LOADS: &str = "other dummy loads";

/// What a kept variant is called beside the work as it is now: what it has and that one has not, `C1 10 µF`, or
/// `C1 10 µF + 2 more`.
pub fn what_it_has(variant: &Work, now: &Work) -> String {
    let (supply, other) = (&variant.supply, &now.supply);
    if supply == other {
        let same = variant.dummies == now.dummies;
        return if same { AS_NOW } else { OTHER_LOADS }.to_owned();
    }
    match differing_parts(supply, other).as_slice() {
        [] => AS_NOW.to_owned(),
        [only] => own(*only, supply, other),
        [first, rest @ ..] => format!("{} + {} more", own(*first, supply, other), rest.len()),
    }
}

/// What a supply has of this part, by what is different about it in the other: `C1 10 µF`.
fn own(part: SupplyPart, of: &Supply, other: &Supply) -> String {
    match part {
        SupplyPart::MainsNow => format!("{} mains", number::volts(of.mains.present.0)),
        SupplyPart::MainsRange => mains_range(of, other),
        SupplyPart::WindingVolts => winding(of, other),
        SupplyPart::TransformerRest => transformer(of, other),
        SupplyPart::RectifierType => kind(&of.rectifier.kind.name, &other.rectifier.kind.name),
        SupplyPart::RectifierCircuit => rectifier_circuit(of, other),
        SupplyPart::FilterShape => match of.filter.stacks().count() {
            1 => "filter of one capacitor".to_owned(),
            count => format!("filter of {count} capacitors"),
        },
        SupplyPart::Capacitor(n) => capacitor(n, of, other),
        SupplyPart::Series(n) => series(n, of, other),
        SupplyPart::Bleeder => match of.filter.bleeder {
            Some(ohms) => format!("bleeder {}", number::ohms(ohms.0)),
            None => "no bleeder".to_owned(),
        },
        SupplyPart::InternalCurrent => {
            format!("internal {}", number::amps(of.filter.internal_current.0))
        }
        SupplyPart::PassTube => kind(&of.pass_stage.tube.name, &other.pass_stage.tube.name),
        SupplyPart::PassUnits => match of.pass_stage.units {
            1 => "one pass tube unit".to_owned(),
            units => format!("{units} pass tube units"),
        },
        SupplyPart::PassCircuit => pass_circuit(of, other),
        SupplyPart::ControlTube => match (&of.regulator, &other.regulator) {
            (Some(a), Some(b)) => kind(&a.control_tube.name, &b.control_tube.name),
            _ => "another control tube".to_owned(),
        },
        SupplyPart::BiasRail => bias_rail(of, other),
        SupplyPart::Regulator => regulator(of, other),
        SupplyPart::Output => output(of, other),
        SupplyPart::Accepted => match of.accepted.len() {
            0 => "no accepted rating".to_owned(),
            1 => "one accepted rating".to_owned(),
            count => format!("{count} accepted ratings"),
        },
    }
}

fn kind(own: &str, other: &str) -> String {
    if own == other {
        format!("{own}, other figures")
    } else {
        own.to_owned()
    }
}

fn mains_range(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.mains, &other.mains);
    if a.low != b.low || a.high != b.high {
        format!(
            "mains {} to {}",
            number::volts(a.low.0),
            number::volts(a.high.0)
        )
    } else if a.frequency != b.frequency {
        format!("{} mains", a.frequency)
    } else if a.nominal != b.nominal {
        format!("mains, nominal {}", number::volts(a.nominal.0))
    } else {
        format!("mains, crest factor {}", number::pure(a.crest_factor.0))
    }
}

fn winding(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.transformer, &other.transformer);
    if a.winding == b.winding {
        return format!("primary {}", number::volts(a.primary_volts.0));
    }
    let volts = number::volts(a.stated_volts().0);
    match a.winding {
        WindingVolts::OpenCircuit(_) => format!("winding {volts}"),
        WindingVolts::Loaded { amps, .. } => {
            format!("winding {volts} at {}", number::amps(amps.0))
        }
    }
}

fn transformer(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.transformer, &other.transformer);
    if a.secondary_resistance != b.secondary_resistance {
        format!("winding {}", number::ohms(a.secondary_resistance.0))
    } else if a.primary_resistance != b.primary_resistance {
        format!("primary {}", number::ohms(a.primary_resistance.0))
    } else if a.winding_rating != b.winding_rating {
        match &a.winding_rating {
            Some(rating) => format!("winding rated {}", number::amps(rating.value.0)),
            None => "winding without a rating".to_owned(),
        }
    } else {
        "another transformer".to_owned()
    }
}

fn rectifier_circuit(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.rectifier, &other.rectifier);
    if a.connection != b.connection {
        "rectifier connected otherwise".to_owned()
    } else if a.in_series != b.in_series {
        format!("{} diodes in series", a.in_series)
    } else if a.in_parallel != b.in_parallel {
        format!("{} rectifiers in parallel", a.in_parallel)
    } else if a.plate_resistor != b.plate_resistor {
        format!("plate resistor {}", number::ohms(a.plate_resistor.0))
    } else {
        "rectifier heated otherwise".to_owned()
    }
}

fn capacitor(n: u8, of: &Supply, other: &Supply) -> String {
    let name = capacitor_name(n, of);
    let [Some(a), Some(b)] = [of, other].map(|one| one.filter.stacks().nth(usize::from(n))) else {
        return name;
    };
    let unit = number::farads(a.unit.0);
    let counts = [[a.in_series, b.in_series], [a.strings, b.strings]];
    if counts.iter().any(|[a, b]| a != b) {
        let string = if a.strings > 1 {
            format!("{} × {} × {unit}", a.strings, a.in_series)
        } else {
            format!("{} × {unit}", a.in_series)
        };
        format!("{name} {string}")
    } else if a.unit != b.unit {
        format!("{name} {unit}")
    } else {
        let rated = a
            .working_volts
            .as_ref()
            .filter(|_| a.working_volts != b.working_volts);
        match rated {
            Some(rating) => format!("{name} {}", number::volts(rating.value.0)),
            None => format!("{name} of another kind"),
        }
    }
}

fn series(n: u8, of: &Supply, other: &Supply) -> String {
    let at = usize::from(n);
    let place = at + 1;
    let element = |of: &Supply| of.filter.sections.get(at).map(|s| s.series.clone());
    match (element(of), element(other)) {
        (Some(SeriesElement::Resistor(ohms)), _) => format!("R{place} {}", number::ohms(ohms.0)),
        (
            Some(SeriesElement::Choke {
                inductance,
                resistance,
                rating,
                ..
            }),
            Some(SeriesElement::Choke {
                inductance: l,
                resistance: r,
                rating: rated,
                ..
            }),
        ) if inductance == l => match rating {
            Some(amps) if resistance == r && Some(&amps) != rated.as_ref() => {
                format!("L{place} rated {}", number::amps(amps.value.0))
            }
            _ => format!("L{place} {}", number::ohms(resistance.0)),
        },
        (Some(SeriesElement::Choke { inductance, .. }), _) => {
            format!("L{place} {inductance}")
        }
        (None, _) => "another filter".to_owned(),
    }
}

fn pass_circuit(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.pass_stage, &other.pass_stage);
    if a.cathode_resistor != b.cathode_resistor {
        format!("cathode resistor {}", number::ohms(a.cathode_resistor.0))
    } else if a.plate_resistor != b.plate_resistor {
        format!("plate resistor {}", number::ohms(a.plate_resistor.0))
    } else if a.grid_limit != b.grid_limit {
        format!("grid limit {}", number::volts(a.grid_limit.0))
    } else if a.imbalance != b.imbalance || a.tube_spread != b.tube_spread {
        format!("imbalance {}", number::per_cent(a.imbalance.0))
    } else {
        "pass tubes heated otherwise".to_owned()
    }
}

fn bias_rail(of: &Supply, other: &Supply) -> String {
    let rail = |of: &Supply| {
        let rail = of.regulator.as_ref()?.bias_rail.as_ref()?;
        Some(of.rail_volts(rail).0)
    };
    match (rail(of), rail(other)) {
        (None, _) => "no negative rail".to_owned(),
        (Some(a), Some(b)) if a.to_bits() != b.to_bits() => {
            format!("rail winding {}", number::volts(a))
        }
        (Some(_), None) => "negative rail".to_owned(),
        (Some(_), Some(_)) => "another negative rail".to_owned(),
    }
}

fn regulator(of: &Supply, other: &Supply) -> String {
    match (&of.regulator, &other.regulator) {
        (None, _) => "no regulator".to_owned(),
        (Some(_), None) => "regulator".to_owned(),
        (Some(a), Some(b)) if a.plate_load != b.plate_load => {
            format!("plate load {}", number::ohms(a.plate_load.0))
        }
        (Some(a), Some(b)) if a.divider.resistance != b.divider.resistance => {
            format!("divider {}", number::ohms(a.divider.resistance.0))
        }
        (Some(_), Some(_)) => "another regulator circuit".to_owned(),
    }
}

fn output(of: &Supply, other: &Supply) -> String {
    let (a, b) = (&of.output, &other.output);
    if a.set_high != b.set_high || a.set_low != b.set_low {
        format!(
            "{} to {}",
            number::volts(a.set_low.0),
            number::volts(a.set_high.0)
        )
    } else if a.stand_by != b.stand_by {
        stand_by(a.stand_by)
    } else {
        format!("meter shunt {}", number::ohms(a.meter_shunt.0))
    }
}

fn stand_by(place: Option<StandBy>) -> String {
    match place {
        None => "stand-by switch not stated".to_owned(),
        Some(StandBy::NoSwitch) => "no stand-by switch".to_owned(),
        Some(place) => format!("stand-by {}", discharge::stand_by_place(place)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;
    use crate::parts::{Farads, Ohms, Volts};

    fn demo() -> Work {
        read_work(presets()[0].1, &Catalogue::built_in()).unwrap()
    }

    fn with(change: impl FnOnce(&mut Supply)) -> Work {
        let mut work = demo();
        change(&mut work.supply);
        work
    }

    #[test]
    fn a_variant_is_called_by_what_it_has_and_the_other_has_not() {
        let now = demo();
        let ten = |supply: &mut Supply| {
            supply.filter.stacks_mut().next().unwrap().unit = Farads(10e-6);
        };
        let ghost = with(ten);
        assert_eq!(what_it_has(&ghost, &now), "C1 10 µF");
        // The other way round it is what stands on the desk now.
        assert_eq!(what_it_has(&now, &ghost), "C1 68 µF");
        assert_eq!(what_it_has(&now, &now), "as now");
        let several = with(|supply| {
            ten(supply);
            supply.filter.bleeder = Some(Ohms(47e3));
            supply.output.set_high = Volts(300.0);
        });
        assert_eq!(what_it_has(&several, &now), "C1 10 µF + 2 more");
        assert_eq!(what_it_has(&several, &ghost), "bleeder 47 kΩ + 1 more");
        let mut loads = demo();
        loads.dummies.pop();
        assert_eq!(what_it_has(&loads, &now), "other dummy loads");
    }

    #[test]
    fn every_part_that_can_differ_has_words_of_its_own() {
        type Change = Box<dyn Fn(&mut Supply)>;
        let now = demo();
        let changes: Vec<(&str, Change)> = vec![
            ("117 V mains", Box::new(|s| s.mains.present = Volts(117.0))),
            (
                "mains 110 V to 126 V",
                Box::new(|s| s.mains.low = Volts(110.0)),
            ),
            (
                "primary 120 V",
                Box::new(|s| s.transformer.primary_volts = Volts(120.0)),
            ),
            (
                "winding 40 Ω",
                Box::new(|s| s.transformer.secondary_resistance = Ohms(40.0)),
            ),
            (
                "2 rectifiers in parallel",
                Box::new(|s| s.rectifier.in_parallel = 2),
            ),
            (
                "filter of one capacitor",
                Box::new(|s| s.filter.sections.clear()),
            ),
            (
                "C1 3 × 68 µF",
                Box::new(|s| s.filter.stacks_mut().next().unwrap().in_series = 3),
            ),
            ("no bleeder", Box::new(|s| s.filter.bleeder = None)),
            ("one pass tube unit", Box::new(|s| s.pass_stage.units = 1)),
            (
                "cathode resistor 47 Ω",
                Box::new(|s| s.pass_stage.cathode_resistor = Ohms(47.0)),
            ),
            ("no regulator", Box::new(|s| s.regulator = None)),
            (
                "0 V to 300 V",
                Box::new(|s| s.output.set_high = Volts(300.0)),
            ),
        ];
        for (words, change) in changes {
            assert_eq!(what_it_has(&with(change), &now), words);
        }
    }
}
