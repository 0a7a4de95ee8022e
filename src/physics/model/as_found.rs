//! A supply as it is at work: with what was found of its parts put into them.

use std::borrow::Cow;

use crate::parts::{
    AsFound, CapacitorStack, Connection, ControlTubeKind, Fraction, SecondaryVolts, Supply,
    WindingVolts,
};
use crate::physics::device::scaled::{put_law, scale_control, scale_current, scale_rectifier};

/// The supply with what was found put into its parts. Done twice it is as done once. What is left in `as_found` is by how much the pass
/// units that live are unlike each other.
///
/// A shorted unit leaves the others of its stack in series; a dead plate, or an open leg of a bridge, leaves a half-wave rectifier; a leak is drawn
/// from the bus like any other current (from the first capacitor it would pass no choke, which makes less than a volt).
pub fn at_work(supply: &Supply) -> Cow<'_, Supply> {
    if supply.as_found.is_as_described() {
        return Cow::Borrowed(supply);
    }
    let mut whole = supply.clone();
    let found = std::mem::take(&mut whole.as_found);
    pass_units(&mut whole, &found);
    scale_rectifier(&mut whole.rectifier.kind.law, found.rectifier_emission.0);
    control_tube(&mut whole, &found);
    if found.dead_plate {
        one_half(&mut whole);
    }
    for (k, stack) in whole.filter.stacks_mut().enumerate() {
        let shorted = found.shorted(k);
        let can_lose = Supply::can_lose_a_unit(stack) && shorted < stack.in_series;
        *stack = CapacitorStack {
            in_series: stack.in_series - if can_lose { shorted } else { 0 },
            ..stack.clone()
        };
    }
    if found.open_bleeder {
        whole.filter.bleeder = None;
    }
    whole.filter.internal_current.0 += found.leak.0;
    Cow::Owned(whole)
}

/// The stage is that of the units that live, with their mean emission.
fn pass_units(whole: &mut Supply, found: &AsFound) {
    let stage = &mut whole.pass_stage;
    let all = found.pass_units(stage.units);
    let live: Vec<f64> = all.into_iter().filter(|share| *share > 0.0).collect();
    let mean = live.iter().sum::<f64>() / live.len().max(1) as f64;
    if live.is_empty() || mean <= 0.0 {
        return;
    }
    // Once done, the mean is one but for the arithmetic.
    if (mean - 1.0).abs() > 1e-12 {
        put_law(&mut stage.tube.characteristic);
        scale_current(&mut stage.tube.characteristic, mean);
    }
    stage.units = u8::try_from(live.len()).unwrap_or(stage.units);
    let is_alike = live.iter().all(|share| (share / mean - 1.0).abs() < 1e-9);
    if !is_alike {
        whole.as_found.pass_emission = live.iter().map(|share| Fraction(share / mean)).collect();
    }
}

fn control_tube(whole: &mut Supply, found: &AsFound) {
    let share = found.control_emission.0;
    if let Some(regulator) = &mut whole.regulator
        && (share - 1.0).abs() > 1e-12
    {
        let kind = &mut regulator.control_tube.kind;
        if let ControlTubeKind::Triode(characteristic) = kind {
            put_law(characteristic);
        }
        scale_control(kind, share);
    }
}

/// One half of a centre-tapped winding with its plate, or the whole winding with two legs of a bridge, as a half-wave rectifier.
fn one_half(whole: &mut Supply) {
    whole.rectifier.connection = Connection::HalfWave;
    let transformer = &mut whole.transformer;
    transformer.second_half_resistance = None;
    let (WindingVolts::OpenCircuit(volts) | WindingVolts::Loaded { volts, .. }) =
        &mut transformer.winding;
    let [first, _] = volts.halves();
    *volts = SecondaryVolts::One(first);
}
