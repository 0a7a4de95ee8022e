//! Changes that one could make to a supply at the bench, one at a time: a tube more, another capacitor, lower mains.

use crate::parts::catalogue::Catalogue;
use crate::parts::rectifier::Heater;
use crate::parts::{
    CapacitorStack, Farads, Henries, Ohms, PassTubeType, RectifierType, SeriesElement, Supply,
    Volts,
};
use crate::physics::limit::Limit;

mod of_regulator;

pub use of_regulator::OfRegulator;

/// Values of the series that are offered below and above the present one.
const VALUES_EACH_WAY: usize = 4;
/// Steps of the E6 series in one decade (IEC 60063).
const E6: [f64; 6] = [1.0, 1.5, 2.2, 3.3, 4.7, 6.8];
/// How much lower or higher mains are tried, as a share.
const MAINS_STEP: f64 = 0.1;
/// Resistor that is tried where none is fitted (Ω): a usual one against unequal tubes or high peaks
/// (common practice, no source).
const FIRST_OHMS: f64 = 47.0;
/// How many types of the catalogue are tried in place of the present one.
const NEIGHBOURS: usize = 2;

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub enum Variation {
    /// All mains volts 10 % lower, as behind a step-down transformer.
    LowerMains,
    /// All mains volts 10 % higher.
    HigherMains,
    /// One pass tube unit more.
    MoreUnits,
    /// One pass tube unit fewer.
    FewerUnits,
    /// Units of this capacitance in this stack, counted from the rectifier.
    Capacitor(u8, Farads),
    /// A choke of this inductance in this section of the filter.
    Choke(u8, Henries),
    /// A resistor of this value in this section of the filter.
    SeriesResistor(u8, Ohms),
    /// This bleeder.
    Bleeder(Ohms),
    /// This resistor in each plate lead of the rectifier.
    RectifierResistor(Ohms),
    /// This resistor in each cathode of the pass tubes.
    CathodeResistor(Ohms),
    /// This type of pass tube.
    PassTube(Box<PassTubeType>),
    /// This type of rectifier.
    Rectifier(Box<RectifierType>),
    /// A part of the regulator.
    Regulator(OfRegulator),
}

/// The next value of the E6 series above (or, with a negative `step`, below) a value; `None` for what is not positive.
fn next_e6(value: f64, step: i32) -> Option<f64> {
    if !(value.is_finite() && value > 0.0) {
        return None;
    }
    // Through text, so that 68 µF is the very number that "68 µF" reads as.
    let decade = format!("{value:e}")
        .split_once('e')
        .and_then(|(_, e)| e.parse::<i32>().ok())?;
    let near =
        (-1..=1).flat_map(|d| E6.map(|e| format!("{e}e{}", decade + d).parse().unwrap_or(value)));
    // A value within 2 % of a step is that step.
    if step > 0 {
        near.filter(|v| *v > 1.02 * value).reduce(f64::min)
    } else {
        near.filter(|v| *v < 0.98 * value).reduce(f64::max)
    }
}

fn both(value: f64) -> impl Iterator<Item = f64> {
    [1, -1]
        .into_iter()
        .filter_map(move |step| next_e6(value, step))
}

/// The steps of a resistor that need not be there.
fn resistor_steps(present: Ohms) -> Vec<Ohms> {
    if present.0 > 0.0 {
        both(present.0).chain([0.0]).map(Ohms).collect()
    } else {
        vec![Ohms(FIRST_OHMS)]
    }
}

/// All changes that make sense for a limit of a supply, in the order of the signal path; the regulator's parts only where
/// the limit depends on them.
pub fn of_supply(supply: &Supply, limit: Limit, catalogue: &Catalogue) -> Vec<Variation> {
    let mut all = vec![Variation::LowerMains, Variation::HigherMains];
    all.extend(rectifiers(supply, catalogue));
    all.extend(
        resistor_steps(supply.rectifier.plate_resistor)
            .into_iter()
            .map(Variation::RectifierResistor),
    );
    filter(supply, &mut all);
    let stage = &supply.pass_stage;
    all.push(Variation::MoreUnits);
    if stage.units > 1 {
        all.push(Variation::FewerUnits);
    }
    all.extend(
        resistor_steps(stage.cathode_resistor)
            .into_iter()
            .map(Variation::CathodeResistor),
    );
    all.extend(pass_tubes(supply, catalogue));
    all.extend(
        of_regulator::of_regulator(supply, limit, catalogue)
            .into_iter()
            .map(Variation::Regulator),
    );
    all
}

fn filter(supply: &Supply, all: &mut Vec<Variation>) {
    for (k, stack) in (0_u8..).zip(supply.filter.stacks()) {
        all.extend(both(stack.unit.0).map(|f| Variation::Capacitor(k, Farads(f))));
    }
    for (k, section) in (0_u8..).zip(&supply.filter.sections) {
        match &section.series {
            SeriesElement::Resistor(ohms) => {
                all.extend(both(ohms.0).map(|r| Variation::SeriesResistor(k, Ohms(r))));
            }
            SeriesElement::Choke { inductance, .. } => {
                all.extend(both(inductance.0).map(|h| Variation::Choke(k, Henries(h))));
            }
        }
    }
    if let Some(bleeder) = supply.filter.bleeder {
        all.extend(both(bleeder.0).map(|r| Variation::Bleeder(Ohms(r))));
    }
}

/// Heater volts (V); `None` for silicon, which has none.
fn heater_volts(heater: Option<&Heater>) -> Option<Volts> {
    heater.map(|h| h.volts)
}

/// The candidates that stand nearest to `own` in a list.
fn nearest<'a, T>(
    list: &'a [T],
    own: &str,
    name: impl Fn(&T) -> &str,
    fits: impl Fn(&T) -> bool,
) -> Vec<&'a T> {
    let Some(place) = list.iter().position(|t| name(t) == own) else {
        return Vec::new();
    };
    let mut near: Vec<(usize, &T)> = list
        .iter()
        .enumerate()
        .filter(|(k, t)| *k != place && fits(t))
        .map(|(k, t)| (k.abs_diff(place), t))
        .collect();
    near.sort_by_key(|(distance, _)| *distance);
    near.into_iter().take(NEIGHBOURS).map(|(_, t)| t).collect()
}

/// Rectifiers with the same heater volts and as many plates.
fn rectifiers(supply: &Supply, catalogue: &Catalogue) -> Vec<Variation> {
    let kind = &supply.rectifier.kind;
    nearest(
        &catalogue.rectifiers,
        &kind.name,
        |t| &t.name,
        |t| {
            t.plates == kind.plates
                && heater_volts(t.heater.as_ref()) == heater_volts(kind.heater.as_ref())
                && t.law != kind.law
        },
    )
    .into_iter()
    .map(|t| Variation::Rectifier(Box::new(t.clone())))
    .collect()
}

/// Pass tubes with the same heater volts and as many units in one envelope.
fn pass_tubes(supply: &Supply, catalogue: &Catalogue) -> Vec<Variation> {
    let tube = &supply.pass_stage.tube;
    nearest(
        &catalogue.pass_tubes,
        &tube.name,
        |t| &t.name,
        |t| {
            t.units == tube.units
                && heater_volts(t.ratings.heater.as_ref())
                    == heater_volts(tube.ratings.heater.as_ref())
        },
    )
    .into_iter()
    .map(|t| Variation::PassTube(Box::new(t.clone())))
    .collect()
}

/// What else could stand in a capacitor's place: E6 values at the same working volts, and the same units in other stacks.
/// The present stack is among them, in its place. A unit of another value is another part: its ripple rating is not known.
pub fn capacitor_choices(stack: &CapacitorStack) -> Vec<CapacitorStack> {
    let mut values = Vec::new();
    let mut value = stack.unit.0;
    while values.len() < VALUES_EACH_WAY
        && let Some(below) = next_e6(value, -1)
    {
        value = below;
        values.insert(0, value);
    }
    values.push(stack.unit.0);
    value = stack.unit.0;
    for _ in 0..VALUES_EACH_WAY {
        let Some(above) = next_e6(value, 1) else {
            break;
        };
        value = above;
        values.push(value);
    }
    let of_value = values.into_iter().map(|farads| {
        let mut other = stack.clone();
        if farads.to_bits() != stack.unit.0.to_bits() {
            other.unit = Farads(farads);
            other.ripple_current = None;
        }
        other
    });
    let of_stack = [
        (stack.in_series.saturating_add(1), stack.strings),
        (stack.in_series.saturating_sub(1), stack.strings),
        (stack.in_series, stack.strings.saturating_add(1)),
        (stack.in_series, stack.strings.saturating_sub(1)),
    ]
    .into_iter()
    .filter(|(in_series, strings)| (1..=6).contains(in_series) && (1..=6).contains(strings))
    .map(|(in_series, strings)| CapacitorStack {
        in_series,
        strings,
        ..stack.clone()
    });
    of_value.chain(of_stack).collect()
}

/// The supply with the change made; everything else as it was.
pub fn varied(supply: &Supply, variation: &Variation) -> Supply {
    let mut new = supply.clone();
    match variation {
        Variation::LowerMains => scale_mains(&mut new, 1.0 - MAINS_STEP),
        Variation::HigherMains => scale_mains(&mut new, 1.0 + MAINS_STEP),
        Variation::MoreUnits => new.pass_stage.units = new.pass_stage.units.saturating_add(1),
        Variation::FewerUnits => {
            new.pass_stage.units = new.pass_stage.units.saturating_sub(1).max(1);
        }
        Variation::Capacitor(k, farads) => {
            if let Some(stack) = new.filter.stacks_mut().nth(usize::from(*k)) {
                stack.unit = *farads;
            }
        }
        Variation::Choke(k, henries) => {
            if let Some(SeriesElement::Choke { inductance, .. }) = new
                .filter
                .sections
                .get_mut(usize::from(*k))
                .map(|s| &mut s.series)
            {
                *inductance = *henries;
            }
        }
        Variation::SeriesResistor(k, ohms) => {
            if let Some(SeriesElement::Resistor(resistor)) = new
                .filter
                .sections
                .get_mut(usize::from(*k))
                .map(|s| &mut s.series)
            {
                *resistor = *ohms;
            }
        }
        Variation::Bleeder(ohms) => new.filter.bleeder = Some(*ohms),
        Variation::RectifierResistor(ohms) => new.rectifier.plate_resistor = *ohms,
        Variation::CathodeResistor(ohms) => new.pass_stage.cathode_resistor = *ohms,
        Variation::PassTube(tube) => new.pass_stage.tube = (**tube).clone(),
        Variation::Rectifier(kind) => new.rectifier.kind = (**kind).clone(),
        Variation::Regulator(change) => of_regulator::make(&mut new, change),
    }
    new
}

fn scale_mains(supply: &mut Supply, factor: f64) {
    let mains = &mut supply.mains;
    for volts in [
        &mut mains.nominal,
        &mut mains.present,
        &mut mains.low,
        &mut mains.high,
    ] {
        volts.0 *= factor;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capacitors_of_other_values_keep_their_volts_and_lose_their_ripple_rating() {
        let (_, text) = crate::parts::catalogue::presets()[0];
        let supply = crate::parts::file::read(text, &Catalogue::built_in()).unwrap();
        let stack = supply.filter.stacks().next().unwrap().clone();
        let choices = capacitor_choices(&stack);
        assert_eq!(choices.iter().filter(|c| **c == stack).count(), 1);
        for other in choices {
            assert_eq!(other.working_volts, stack.working_volts);
            if other.unit != stack.unit {
                assert_eq!(other.ripple_current, None);
                assert_eq!(
                    (other.in_series, other.strings),
                    (stack.in_series, stack.strings)
                );
            }
        }
    }

    /// A transformer before the supply moves all mains alike.
    #[test]
    fn other_mains_are_others_all_together() {
        let (_, text) = crate::parts::catalogue::presets()[0];
        let supply = crate::parts::file::read(text, &Catalogue::built_in()).unwrap();
        for (variation, factor) in [(Variation::LowerMains, 0.9), (Variation::HigherMains, 1.1)] {
            let new = varied(&supply, &variation).mains;
            let old = &supply.mains;
            for (got, was) in [
                (new.nominal, old.nominal),
                (new.present, old.present),
                (new.low, old.low),
                (new.high, old.high),
            ] {
                assert!(
                    (got.0 / was.0 - factor).abs() < 1e-12,
                    "{variation:?}: {got} {was}"
                );
            }
        }
    }

    #[test]
    fn the_next_value_of_the_series() {
        // IEC 60063, E6: 10 15 22 33 47 68.
        for (value, up, down) in [
            (47e-6, 68e-6, 33e-6),
            (68e-6, 100e-6, 47e-6),
            (100e-6, 150e-6, 68e-6),
            (5.0, 6.8, 4.7),
            (100e3, 150e3, 68e3),
        ] {
            let near =
                |got: Option<f64>, want: f64| got.is_some_and(|g| (g / want - 1.0).abs() < 1e-9);
            assert!(
                near(next_e6(value, 1), up),
                "{value} up: {:?}",
                next_e6(value, 1)
            );
            assert!(
                near(next_e6(value, -1), down),
                "{value} down: {:?}",
                next_e6(value, -1)
            );
        }
        assert_eq!(next_e6(0.0, 1), None);
    }
}
