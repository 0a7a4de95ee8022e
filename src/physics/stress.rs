//! The supply with nothing on its terminals: what stands on the capacitors and on the rectifier.

use crate::parts::{CapacitorStack, Connection, Filter, Rectifier};
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::{Case, NoLoad, Operation};
use crate::physics::regulator::rest::at_rest;
use crate::physics::steady_state::operate;

/// The supply without load in a case, its output turned down as far as it goes.
///
/// # Errors
/// As [`operate`].
pub fn no_load(model: &Model, case: Case) -> Result<NoLoad, Failure> {
    let operation = operate(&model.raw_at_rest, case, 0.0)?;
    Ok(no_load_from(model, case, operation))
}

/// The same from a steady state at no output current that is known already.
pub fn no_load_from(model: &Model, case: Case, operation: Operation) -> NoLoad {
    let supply = &model.supply;
    let peak_inverse_volts = peak_inverse_volts(model, case, &operation);
    let worst_unit_volts = supply
        .filter
        .stacks()
        .zip(&operation.capacitor_crest_volts)
        .map(|(stack, volts)| volts * worst_share(stack))
        .collect();
    let regulator = at_rest(model, case, &operation);
    NoLoad {
        operation,
        peak_inverse_volts,
        worst_unit_volts,
        regulator,
    }
}

/// Highest inverse volts on one rectifier device in a steady state (V).
pub fn peak_inverse_volts(model: &Model, case: Case, operation: &Operation) -> f64 {
    let supply = &model.supply;
    let crests = model.at(case).source.crests();
    inverse_volts(&supply.rectifier, &supply.filter, crests, operation)
}

/// The same of any rectifier before any filter, diodes in series taking even shares of it, as their equalising resistors see to, on a winding with an
/// e.m.f. of these crests, those of both halves of a tapped one (V).
pub fn inverse_volts(
    rectifier: &Rectifier,
    filter: &Filter,
    crests: [f64; 2],
    operation: &Operation,
) -> f64 {
    let [one_half, other_half] = crests;
    let crest_volts = one_half.max(other_half);
    let first_crest = operation
        .capacitor_crest_volts
        .first()
        .copied()
        .unwrap_or(0.0);
    // Behind a choke the plates' common point follows the winding, and the crests of both halves stand across the idle one.
    let behind_choke = filter.input_capacitor.is_none();
    let of_leg = match rectifier.connection {
        Connection::FullWaveCentreTap if behind_choke => one_half + other_half,
        Connection::FullWaveCentreTap | Connection::HalfWave => crest_volts + first_crest,
        Connection::Bridge => crest_volts,
    };
    of_leg / f64::from(rectifier.in_series.max(1))
}

/// Share of a stack's volts that its worst unit has. With balancing resistors an even one; without, the unit at the
/// low end of its tolerance among others at the high end (charges are equal, so volts go as 1/C).
///
/// # Source
/// Voltage division of series capacitors, `V₁ = E·C₂/(C₁ + C₂)` (Rubycon technical notes, quoted).
pub fn worst_share(stack: &CapacitorStack) -> f64 {
    let units = f64::from(stack.in_series.max(1));
    if stack.balancing.is_some() || stack.in_series <= 1 {
        return 1.0 / units;
    }
    let spread = stack.tolerance.0.clamp(0.0, 0.99);
    let smallest = 1.0 / (1.0 - spread);
    smallest / (smallest + (units - 1.0) / (1.0 + spread))
}

/// Volts of the bus at which the worst unit of its capacitor stack meets its working volts (V); `None` if they
/// are not known.
pub fn bus_working_volts(filter: &Filter) -> Option<f64> {
    let stack = filter.stacks().last()?;
    let working = stack.working_volts.as_ref()?;
    Some(working.value.0 / worst_share(stack))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Farads, Fraction, Ohms};

    #[test]
    fn an_unbalanced_stack_shares_by_its_tolerance() {
        let mut stack = CapacitorStack {
            unit: Farads(100e-6),
            in_series: 2,
            strings: 1,
            working_volts: None,
            surge_volts: None,
            ripple_current: None,
            balancing: None,
            tolerance: Fraction(0.2),
        };
        // 80 µF and 120 µF: the smaller has 120/(80 + 120)
        assert!((worst_share(&stack) - 0.6).abs() < 1e-12);
        stack.balancing = Some(Ohms(220e3));
        assert!((worst_share(&stack) - 0.5).abs() < 1e-12);
    }
}
