//! What was found of a card's parts: emission of tubes, a leak, what is open, shorted or dead.

use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::Span;
use crate::parts::{AsFound, Connection, Fraction, RectifierLaw, Stage, Supply};

/// The fold above them.
pub(super) const FOLD: &str = "As found";

/// From hardly alive to one of a good batch.
const EMISSION: Span = Span::even(0.0, 1.4, 0.05);

/// True if the card has such rows.
pub(super) fn has_rows(stage: Stage, supply: &Supply) -> bool {
    match stage {
        Stage::PassStage | Stage::Filter => true,
        Stage::Rectifier => {
            is_vacuum(supply) || supply.rectifier.connection != Connection::HalfWave
        }
        Stage::Regulator => supply.regulator.is_some(),
        Stage::Mains | Stage::Transformer | Stage::Output | Stage::Dummies => false,
    }
}

fn is_vacuum(supply: &Supply) -> bool {
    matches!(supply.rectifier.kind.law, RectifierLaw::Vacuum { .. })
}

/// Its rows.
pub(super) fn rows(fields: &mut Fields<'_>, supply: &Supply, stage: Stage, found: &mut AsFound) {
    match stage {
        Stage::PassStage => pass_rows(fields, supply, found),
        Stage::Rectifier => rectifier_rows(fields, supply, found),
        Stage::Filter => filter_rows(fields, supply, found),
        Stage::Regulator => {
            fields.quantity(emission("Control emission"), &mut found.control_emission);
        }
        Stage::Mains | Stage::Transformer | Stage::Output | Stage::Dummies => {}
    }
}

fn emission(name: &str) -> Field<'_> {
    Field {
        name,
        hover: "Current at equal volts, as a share of the type's: by a tube tester, or adopted from what the readings say. 100 % is a \
                tube as in the book, 0 % of a pass tube a dead one",
        span: EMISSION,
    }
}

fn pass_rows(fields: &mut Fields<'_>, supply: &Supply, found: &mut AsFound) {
    let units = supply.pass_stage.units;
    let mut each = found.pass_units(units);
    let before = each.clone();
    for (unit, share) in (1..=units).zip(&mut each) {
        let name = format!("Emission {unit}");
        let mut typed = Fraction(*share);
        fields.quantity(emission(&name), &mut typed);
        *share = typed.0;
    }
    if each != before {
        let is_alike = each.iter().all(|share| (share - 1.0).abs() < 1e-9);
        found.pass_emission = if is_alike {
            Vec::new()
        } else {
            each.into_iter().map(Fraction).collect()
        };
    }
}

fn rectifier_rows(fields: &mut Fields<'_>, supply: &Supply, found: &mut AsFound) {
    if is_vacuum(supply) {
        fields.quantity(
            emission("Rectifier emission"),
            &mut found.rectifier_emission,
        );
    }
    let (all, one) = match supply.rectifier.connection {
        Connection::HalfWave => return,
        Connection::FullWaveCentreTap => ("both live", "one dead"),
        Connection::Bridge => ("all live", "one leg open"),
    };
    fields.choice(
        "Plates",
        "Whether one plate, or the half-winding at it, gives nothing: the ripple is then of the mains' own frequency.",
        &mut found.dead_plate,
        &[(false, all), (true, one)],
    );
}

fn filter_rows(fields: &mut Fields<'_>, supply: &Supply, found: &mut AsFound) {
    fields.quantity(
        Field {
            name: "Leak",
            hover: "What capacitors and insulation leak from the bus, read on a supply of your own with bleeder and balancing off.",
            span: Span::even(0.0, 0.03, 0.0005),
        },
        &mut found.leak,
    );
    if supply.filter.bleeder.is_some() {
        fields.choice(
            "Bleeder is",
            "An open bleeder leaves the bus charged after switch-off: measure it cold, the bus discharged.",
            &mut found.open_bleeder,
            &[(false, "whole"), (true, "open")],
        );
    }
    for (k, stack) in supply.filter.stacks().enumerate() {
        if !Supply::can_lose_a_unit(stack) {
            continue;
        }
        let name = format!("C{} shorted", k + 1);
        let before = found.shorted(k);
        let mut shorted = before;
        fields.choice(
            &name,
            "Whether one unit of the stack is shorted: the others then bear its volts. Measure across each unit, cold.",
            &mut shorted,
            &[(0, "none"), (1, "one unit")],
        );
        if shorted != before {
            if found.shorted_units.len() <= k {
                found.shorted_units.resize(k + 1, 0);
            }
            if let Some(count) = found.shorted_units.get_mut(k) {
                *count = shorted;
            }
            while found.shorted_units.last() == Some(&0) {
                found.shorted_units.pop();
            }
        }
    }
}
