//! In which fields two works differ, as their files would have it.

use crate::parts::Work;
use crate::parts::escape::shortened;
use crate::parts::file::fault::below;
use crate::parts::file::layout::Text;
use crate::parts::file::supply;

/// A field that two works do not have alike.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// The field, as a path: `filter.sections[1].capacitor.unit`.
    pub field: String,
    /// What the one has there, as a file has it; nothing where it is left out.
    pub before: Option<String>,
    /// What the other has.
    pub after: Option<String>,
}

/// The fields in which two works differ, in the order of a file. Types of tubes and rectifiers differ by their names.
pub fn differences(before: &Work, after: &Work) -> Vec<Difference> {
    let [was, now] = [before, after].map(|work| supply::write_with(work, None));
    let mut found = Vec::new();
    compare("", (Some(&was), Some(&now)), &mut found);
    found
}

fn compare(field: &str, both: (Option<&Text>, Option<&Text>), found: &mut Vec<Difference>) {
    let (was, now) = both;
    if was == now {
        return;
    }
    if let (
        Some(Text::Group {
            name, open, items, ..
        }),
        Some(Text::Group {
            name: new_name,
            open: new_open,
            items: new_items,
            ..
        }),
    ) = both
        && (name, open) == (new_name, new_open)
    {
        let (was, now) = (items.as_slice(), new_items.as_slice());
        if *open == '[' {
            for place in 0..was.len().max(now.len()) {
                let both = (was.get(place), now.get(place));
                compare(&format!("{field}[{place}]"), both, found);
            }
            return;
        }
        let names: Option<Vec<&str>> = was.iter().chain(now).map(Text::field_name).collect();
        if let Some(names) = names {
            let mut seen = Vec::new();
            for name in names {
                if !seen.contains(&name) {
                    seen.push(name);
                    let both = (Text::find(was, name), Text::find(now, name));
                    compare(&below(field, name), both, found);
                }
            }
            return;
        }
    }
    let said = |text: Option<&Text>| text.map(|text| shortened(&text.line()));
    found.push(Difference {
        field: field.to_owned(),
        before: said(was),
        after: said(now),
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;
    use crate::parts::{Farads, Ohms, SeriesElement};

    #[test]
    fn each_field_that_differs_is_named_once() {
        let catalogue = Catalogue::built_in_ones();
        let read = |text: &str| read_work(text, catalogue).unwrap();
        let (_, text) = presets()[1];
        let before = read(text);
        let mut after = before.clone();
        assert_eq!(differences(&before, &after), []);
        "Mine".clone_into(&mut after.name);
        after.supply.filter.bleeder = None;
        after.supply.filter.sections[0].capacitor.unit = Farads(47e-6);
        after.supply.filter.sections[0].series = SeriesElement::Resistor(Ohms(100.0));
        after.dummies.pop();
        let found = differences(&before, &after);
        let fields: Vec<&str> = found.iter().map(|one| one.field.as_str()).collect();
        assert_eq!(
            fields,
            [
                "name",
                "filter.sections[0].series",
                "filter.sections[0].capacitor.unit",
                "filter.bleeder",
                "dummies[1]"
            ]
        );
        assert_eq!(found[2].before.as_deref(), Some("\"100 µF\""));
        assert_eq!(found[2].after.as_deref(), Some("\"47 µF\""));
        assert_eq!(found[3].after, None);
    }
}
