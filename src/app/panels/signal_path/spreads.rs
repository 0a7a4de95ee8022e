//! Which rows of a card stand for values that have a spread, what is stated of it, and what it is taken for.

use crate::app::panels::shown::rows::place;
use crate::app::widgets::fields::SpreadRow;
use crate::explain::odds;
use crate::parts::spread::{Field, Input, inputs};
use crate::parts::{RailWinding, Side, Stage, Supply, Work};

/// The spreads of a card, by row.
pub(super) fn rows(work: &Work, stage: Stage) -> Vec<SpreadRow> {
    let inputs = inputs(work);
    let of_card = |field: Field| {
        let path = field.path()?;
        let input = inputs.iter().find(|input| input.field == field);
        let stated = work.spreads.iter().find(|stated| stated.field == path);
        Some(SpreadRow {
            row: row(field, &work.supply)?,
            value: field.size(&work.supply)?,
            stated: stated.map(|stated| stated.spread),
            taken: input.map_or_else(Default::default, taken),
            field: path,
        })
    };
    let all = Field::all_of(&work.supply).into_iter();
    all.filter(|field| field.stage() == stage)
        .filter_map(of_card)
        .collect()
}

fn taken(input: &Input) -> [String; 2] {
    [odds::range(input), odds::taken(input)]
}

/// The row of a field in its card.
fn row(field: Field, supply: &Supply) -> Option<String> {
    let regulator = supply.regulator.as_ref();
    let rail = regulator.and_then(|regulator| regulator.bias_rail.as_ref());
    Some(match field {
        Field::ControlTube => "Control tube type".to_owned(),
        Field::Divider if regulator?.divider.control.is_some() => "Sense control".to_owned(),
        Field::ReferenceTube(side, place) => {
            let called = match side {
                Side::Positive => "Reference",
                Side::Negative => "Rail",
            };
            match regulator?.gas_reference(side)?.tubes.len() {
                1 => format!("{called} tube"),
                _ => format!("{called} tube {}", u16::from(place) + 1),
            }
        }
        Field::RailWinding => match rail?.winding {
            RailWinding::HighVoltageTap(_) => "Rail tap".to_owned(),
            RailWinding::Own(_) | RailWinding::HighVoltageEnd => "Rail winding".to_owned(),
        },
        _ => place(&field.path()?, supply)?.row,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;

    /// What the file can say the window shows.
    #[test]
    fn every_field_that_has_a_spread_has_a_row_of_its_own() {
        let every = include_str!("../../../../tests/files/every-field.ron");
        let texts = presets().iter().map(|(_, text)| *text).chain([every]);
        let mut seen = 0;
        for text in texts {
            let work = read_work(text, &Catalogue::built_in()).unwrap();
            let fields = Field::all_of(&work.supply);
            let named: Vec<(Stage, Option<String>)> = (fields.iter())
                .filter(|field| field.path().is_some())
                .map(|field| (field.stage(), row(*field, &work.supply)))
                .collect();
            for (place, one) in named.iter().enumerate() {
                assert!(one.1.is_some(), "{}: {:?}", work.name, fields.get(place));
                assert!(
                    !named[..place].contains(one),
                    "{}: {one:?} twice",
                    work.name
                );
            }
            let count: usize = Stage::PATH
                .iter()
                .map(|stage| rows(&work, *stage).len())
                .sum();
            assert_eq!(count, named.len(), "{}", work.name);
            seen += count;
        }
        assert!(seen > 100, "{seen}");
    }
}
