//! The parts of a supply as one swaps them: a capacitor, a tube, the mains.

use crate::parts::{Filter, SeriesElement, Supply};

/// A part, or a group of settings, that can differ between two variants. Numbered ones count from the rectifier, starting at 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SupplyPart {
    /// The mains now.
    MainsNow,
    /// Nominal, low and high mains, and the frequency.
    MainsRange,
    /// Volts of the high-voltage winding and of the primary they belong to.
    WindingVolts,
    /// Resistances, rating and other loads of the transformer.
    TransformerRest,
    /// The rectifier's type.
    RectifierType,
    /// How the rectifier is connected, how many in parallel, their plate resistors.
    RectifierCircuit,
    /// The filter as a whole: it has other sections.
    FilterShape,
    /// A capacitor stack.
    Capacitor(u8),
    /// The choke or resistor of a section.
    Series(u8),
    /// The bleeder.
    Bleeder,
    /// What the supply itself takes from the bus.
    InternalCurrent,
    /// The pass tubes' type.
    PassTube,
    /// How many units share the current.
    PassUnits,
    /// Resistors, imbalance and grid limit of the pass stage.
    PassCircuit,
    /// The control tube's type.
    ControlTube,
    /// The negative bias rail.
    BiasRail,
    /// The regulator as a whole, or the rest of its circuit.
    Regulator,
    /// What the voltage control can ask for, and the meter.
    Output,
    /// Ratings accepted as built.
    Accepted,
}

/// The parts that differ, in the order of the signal path.
pub fn differing_parts(before: &Supply, after: &Supply) -> Vec<SupplyPart> {
    let mut parts = vec![
        SupplyPart::MainsNow,
        SupplyPart::MainsRange,
        SupplyPart::WindingVolts,
        SupplyPart::TransformerRest,
        SupplyPart::RectifierType,
        SupplyPart::RectifierCircuit,
    ];
    if same_shape(&before.filter, &after.filter) {
        let count = |n: usize| (0..n).filter_map(|k| u8::try_from(k).ok());
        parts.extend(count(after.filter.stacks().count()).map(SupplyPart::Capacitor));
        parts.extend(count(after.filter.sections.len()).map(SupplyPart::Series));
    } else {
        parts.push(SupplyPart::FilterShape);
    }
    parts.extend([
        SupplyPart::Bleeder,
        SupplyPart::InternalCurrent,
        SupplyPart::PassTube,
        SupplyPart::PassUnits,
        SupplyPart::PassCircuit,
        SupplyPart::ControlTube,
        SupplyPart::BiasRail,
        SupplyPart::Regulator,
        SupplyPart::Output,
        SupplyPart::Accepted,
    ]);
    parts.retain(|part| {
        let mut swapped = before.clone();
        part.put(after, &mut swapped);
        swapped != *before
    });
    parts
}

/// True if two filters have the same sections in the same order.
pub fn same_shape(a: &Filter, b: &Filter) -> bool {
    a.input_capacitor.is_some() == b.input_capacitor.is_some()
        && a.sections.len() == b.sections.len()
        && a.sections.iter().zip(&b.sections).all(|(a, b)| {
            matches!(a.series, SeriesElement::Choke { .. })
                == matches!(b.series, SeriesElement::Choke { .. })
        })
}

impl SupplyPart {
    /// Puts this part of `from` into another supply.
    pub fn put(self, from: &Supply, into: &mut Supply) {
        match self {
            Self::MainsNow => into.mains.present = from.mains.present,
            Self::MainsRange => {
                let present = into.mains.present;
                into.mains = from.mains.clone();
                into.mains.present = present;
            }
            Self::WindingVolts => {
                into.transformer.winding = from.transformer.winding;
                into.transformer.primary_volts = from.transformer.primary_volts;
            }
            Self::TransformerRest => {
                let (winding, primary) = (into.transformer.winding, into.transformer.primary_volts);
                into.transformer = from.transformer.clone();
                into.transformer.winding = winding;
                into.transformer.primary_volts = primary;
            }
            Self::RectifierType => into.rectifier.kind = from.rectifier.kind.clone(),
            Self::RectifierCircuit => {
                let kind = into.rectifier.kind.clone();
                into.rectifier = from.rectifier.clone();
                into.rectifier.kind = kind;
            }
            Self::FilterShape => {
                let (bleeder, internal) = (into.filter.bleeder, into.filter.internal_current);
                into.filter = from.filter.clone();
                into.filter.bleeder = bleeder;
                into.filter.internal_current = internal;
            }
            Self::Capacitor(n) => {
                let new = from.filter.stacks().nth(usize::from(n)).cloned();
                let old = into.filter.stacks_mut().nth(usize::from(n));
                if let (Some(new), Some(old)) = (new, old) {
                    *old = new;
                }
            }
            Self::Series(n) => {
                let new = from.filter.sections.get(usize::from(n));
                let old = into.filter.sections.get_mut(usize::from(n));
                if let (Some(new), Some(old)) = (new, old) {
                    old.series = new.series.clone();
                }
            }
            Self::Bleeder => into.filter.bleeder = from.filter.bleeder,
            Self::InternalCurrent => into.filter.internal_current = from.filter.internal_current,
            Self::PassTube => into.pass_stage.tube = from.pass_stage.tube.clone(),
            Self::PassUnits => into.pass_stage.units = from.pass_stage.units,
            Self::PassCircuit => {
                let (tube, units) = (into.pass_stage.tube.clone(), into.pass_stage.units);
                into.pass_stage = from.pass_stage.clone();
                into.pass_stage.tube = tube;
                into.pass_stage.units = units;
            }
            Self::ControlTube => {
                if let (Some(from), Some(into)) = (&from.regulator, &mut into.regulator) {
                    into.control_tube = from.control_tube.clone();
                }
            }
            Self::BiasRail => {
                if let (Some(from), Some(into)) = (&from.regulator, &mut into.regulator)
                    && from.bias_rail.is_some() == into.bias_rail.is_some()
                {
                    into.bias_rail.clone_from(&from.bias_rail);
                }
            }
            Self::Regulator => put_regulator(from, into),
            Self::Output => into.output = from.output.clone(),
            Self::Accepted => into.accepted.clone_from(&from.accepted),
        }
    }
}

/// All of the regulator but what counts as a part of its own on both sides.
fn put_regulator(from: &Supply, into: &mut Supply) {
    let kept = into.regulator.take();
    into.regulator.clone_from(&from.regulator);
    if let (Some(new), Some(old)) = (&mut into.regulator, kept) {
        new.control_tube = old.control_tube;
        if new.bias_rail.is_some() == old.bias_rail.is_some() {
            new.bias_rail = old.bias_rail;
        }
    }
}
