//! A user's own types in a catalogue text: put in or replaced, with every comment and every other entry left alone.

use crate::parts::catalogue::Catalogue;
use crate::parts::control_tube::ControlTubeType;
use crate::parts::file::place::Places;
use crate::parts::file::types::{ControlTubeForm, PassTubeForm};
use crate::parts::file::{self, FileError};
use crate::parts::pass_stage::PassTubeType;

/// A type of one's own.
#[derive(Debug, Clone, PartialEq)]
pub enum OwnType {
    /// A pass tube.
    Pass(PassTubeType),
    /// A control tube.
    Control(ControlTubeType),
}

impl OwnType {
    /// Its designation.
    pub fn name(&self) -> &str {
        match self {
            Self::Pass(tube) => &tube.name,
            Self::Control(tube) => &tube.name,
        }
    }

    fn list(&self) -> &'static str {
        match self {
            Self::Pass(_) => "pass_tubes",
            Self::Control(_) => "control_tubes",
        }
    }

    fn entry(&self) -> String {
        let text = match self {
            Self::Pass(tube) => file::written(&PassTubeForm::of(tube)),
            Self::Control(tube) => file::written(&ControlTubeForm::of(tube)),
        };
        text.trim_end().replace('\n', "\n        ")
    }

    fn is_in(&self, catalogue: &Catalogue) -> bool {
        match self {
            Self::Pass(tube) => catalogue.pass_tube(&tube.name) == Some(tube),
            Self::Control(tube) => catalogue.control_tube(&tube.name) == Some(tube),
        }
    }
}

/// The text of a file of own types with this type in it; `text` is the file as it is, empty for a new one.
///
/// # Errors
/// If the text is no catalogue: it is then better left alone.
pub fn with_type(text: &str, own: &OwnType) -> Result<String, FileError> {
    let new = if text.trim().is_empty() {
        format!(
            "// Types of one's own, in the format of the built-in catalogue.\n(\n    format: 1,\n    {}: [\n        {},\n    ],\n)\n",
            own.list(),
            own.entry()
        )
    } else {
        spliced(text, own).ok_or_else(|| not_a_catalogue(text))?
    };
    let mut catalogue = Catalogue::default();
    let before = Catalogue::default().add(text).len();
    let faults = catalogue.add(&new);
    // Entries that were at fault before stay as they are; this one must be read as it was meant.
    if own.is_in(&catalogue) && (text.trim().is_empty() || faults.len() <= before) {
        return Ok(new);
    }
    Err(faults
        .into_iter()
        .next()
        .unwrap_or_else(|| not_a_catalogue(text)))
}

fn not_a_catalogue(text: &str) -> FileError {
    Catalogue::default()
        .add(text)
        .into_iter()
        .next()
        .unwrap_or_else(|| FileError {
            line: Some(1),
            field: "the file".to_owned(),
            found: "another text".to_owned(),
            expected: "a list of types such as (format: 1, pass_tubes: [ … ])".to_owned(),
        })
}

fn spliced(text: &str, own: &OwnType) -> Option<String> {
    let places = Places::of(text);
    let list = own.list();
    let entry = own.entry();
    let put = |range: std::ops::Range<usize>, new: &str| {
        Some(format!(
            "{}{new}{}",
            text.get(..range.start)?,
            text.get(range.end..)?
        ))
    };
    let entries: Vec<std::ops::Range<usize>> = (0..)
        .map_while(|index| places.span(&format!("{list}[{index}]")))
        .collect();
    for (index, range) in entries.iter().enumerate() {
        let name = places.value(&format!("{list}[{index}].name"));
        if name.map(|n| n.trim_matches('"')) == Some(own.name()) {
            return put(range.clone(), &entry);
        }
    }
    if let Some(last) = entries.last() {
        return put(last.end..last.end, &format!(",\n        {entry}"));
    }
    if let Some(range) = places.span(list).filter(|r| !r.is_empty()) {
        let open = range.start + 1;
        return put(open..open, &format!("\n        {entry},\n    "));
    }
    let whole = places.span("")?;
    let open = whole.start + text.get(whole.clone())?.find('(')? + 1;
    put(
        open..open,
        &format!("\n    {list}: [\n        {entry},\n    ],"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Rating, RatingSystem, Watts};

    fn own(name: &str, watts: f64) -> OwnType {
        let mut tube = Catalogue::built_in().pass_tubes.remove(4);
        tube.name = name.to_owned();
        tube.ratings.plate_dissipation =
            Some(Rating::own(Watts(watts), RatingSystem::DesignCentre));
        OwnType::Pass(tube)
    }

    fn names(text: &str) -> Vec<String> {
        let mut catalogue = Catalogue::default();
        assert_eq!(catalogue.add(text), [], "{text}");
        catalogue.pass_tubes.into_iter().map(|t| t.name).collect()
    }

    #[test]
    fn types_are_put_in_one_after_another_and_replaced_by_name() {
        let first = with_type("", &own("A", 10.0)).unwrap();
        let second = with_type(&first, &own("B", 11.0)).unwrap();
        assert_eq!(names(&second), ["A", "B"]);
        let third = with_type(&second, &own("A", 12.0)).unwrap();
        assert_eq!(names(&third), ["A", "B"]);
        assert!(third.contains("12 W") && third.contains("11 W") && !third.contains("10 W"));
    }

    #[test]
    fn comments_and_other_entries_stay_as_they_were() {
        let text = "// mine\n(format: 1, // one\n sources: {\"n\": \"note book\"},\n gas_tubes: [/* none yet */],\n pass_tubes: [\n  // the spare\n  (name: \"X\", units: 1, characteristic: ZeroBias([(\"0 V\", \"0 A\"), (\"40 V\", \"150 mA\")])), // good\n ], // end\n)\n// after\n";
        let new = with_type(text, &own("Y", 9.0)).unwrap();
        assert_eq!(names(&new), ["X", "Y"]);
        for kept in [
            "// mine",
            "// one",
            "/* none yet */",
            "// the spare",
            "// good",
            "// end",
            "// after",
        ] {
            assert!(new.contains(kept), "{kept} in\n{new}");
        }
        let control = Catalogue::built_in().control_tubes.remove(0);
        let newer = with_type(&new, &OwnType::Control(control)).unwrap();
        assert_eq!(names(&newer), ["X", "Y"]);
        assert!(newer.contains("// the spare"), "{newer}");
    }

    #[test]
    fn a_text_that_is_no_catalogue_is_refused_and_so_not_written_over() {
        for text in [
            "my notes",
            "(format: 1, pass_tubes: [",
            "[1, 2]",
            "(format: 9)",
        ] {
            assert!(with_type(text, &own("A", 10.0)).is_err(), "{text}");
        }
    }
}
