//! Taking a cause's size over into the supply, with its error as the spread of the value.

use crate::bench::diagnosis::Suspect;
use crate::bench::diagnosis::cause::Cause;
use crate::parts::spread::{Field, Spread, StatedSpread};
use crate::parts::{Amps, Fraction, Supply, Work};

/// The work with what was found in it; `None` for what is not of the supply: nothing, or a meter.
pub fn adopted(work: &Work, suspect: &Suspect) -> Option<Work> {
    let mut after = work.clone();
    let supply = &mut after.supply;
    let size = rounded(suspect.size);
    let found = &mut supply.as_found;
    let mut field = None;
    match suspect.row.cause {
        Cause::Nothing | Cause::Ammeter | Cause::DirectMeter | Cause::AlternatingMeter => {
            return None;
        }
        // A tube of another kind is another type; a reference of other volts, too.
        Cause::PassAmplification | Cause::ReferenceLow(_) | Cause::ReferenceHigh(_) => return None,
        Cause::PassWeak => {
            let each = found.pass_units(supply.pass_stage.units);
            let scaled = each
                .into_iter()
                .map(|share| Fraction(rounded(share * size)));
            found.pass_emission = scaled.collect();
            field = Some(Field::PassTube);
        }
        Cause::OnePassWeak | Cause::OnePassDead => {
            let mut each = found.pass_units(supply.pass_stage.units);
            let is_dead = suspect.row.cause == Cause::OnePassDead;
            *each.get_mut(usize::from(suspect.unit))? *= if is_dead { 0.0 } else { size };
            found.pass_emission = each.into_iter().map(|e| Fraction(rounded(e))).collect();
        }
        Cause::PassGrids => supply.pass_stage.grid_limit.0 = size,
        Cause::RectifierWeak => {
            // So many times the drop is the current to the −3/2.
            let share = found.rectifier_emission.0 / (size * size.sqrt());
            found.rectifier_emission = Fraction(rounded(share).clamp(0.02, 2.0));
            field = Some(Field::Rectifier);
        }
        Cause::DeadPlate => found.dead_plate = true,
        Cause::UnitShorted(k) => {
            let place = usize::from(k);
            if found.shorted_units.len() <= place {
                found.shorted_units.resize(place + 1, 0);
            }
            *found.shorted_units.get_mut(place)? += 1;
        }
        Cause::Leak => found.leak = Amps(rounded(found.leak.0 + size)),
        Cause::BleederOpen => found.open_bleeder = true,
        Cause::ControlWeak => {
            let share = found.control_emission.0 * size;
            found.control_emission = Fraction(rounded(share).clamp(0.02, 2.0));
            field = Some(Field::ControlTube);
        }
        Cause::CapacitorDried(k) => {
            let stack = supply.filter.stacks_mut().nth(usize::from(k))?;
            stack.unit.0 = rounded(stack.unit.0 * size);
            field = suspect.row.cause.replaces(supply).first().copied();
        }
        Cause::WindingPath => field = scaled(supply, Field::SecondaryResistance, size),
        Cause::WindingLow | Cause::WindingHigh => field = scaled(supply, Field::Winding, size),
        Cause::ChokeTurns(k) => field = scaled(supply, Field::ChokeInductance(k), size),
        Cause::ChokePath(k) => field = scaled(supply, Field::ChokeResistance(k), size),
        Cause::RailLow => field = scaled(supply, Field::RailWinding, size),
        Cause::RailDried => field = scaled(supply, Field::RailCapacitor, size),
    }
    if let Some(field) = field {
        put_spread(&mut after, field, suspect);
    }
    Some(after)
}

fn scaled(supply: &mut Supply, field: Field, size: f64) -> Option<Field> {
    field.scale(supply, size).then_some(field)
}

/// The spread of what was found: even limits of the same standard deviation.
fn put_spread(work: &mut Work, field: Field, suspect: &Suspect) {
    let Some(path) = field.path() else {
        return;
    };
    let share = 3f64.sqrt() * suspect.error / suspect.size.abs();
    if !share.is_finite() {
        return;
    }
    let spread = Spread::Percent(Fraction(rounded(share.clamp(0.005, 0.9))));
    work.spreads.retain(|one| one.field != path);
    work.spreads.push(StatedSpread {
        field: path,
        spread,
    });
}

/// To three figures: more would claim more than was found.
fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}
