//! A user's own types in a catalogue text: put in or replaced, with every comment and every other entry left alone.

use std::ops::Range;

use crate::parts::catalogue::Catalogue;
use crate::parts::control_tube::ControlTubeType;
use crate::parts::file::{self, Entries, FORMAT, FileError, Value};
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
        let text = file::entry(self);
        text.trim_end().replace('\n', "\n        ")
    }

    /// True if there is a type of this name in its list.
    pub fn is_named_in(&self, catalogue: &Catalogue) -> bool {
        match self {
            Self::Pass(tube) => catalogue.pass_tube(&tube.name).is_some(),
            Self::Control(tube) => catalogue.control_tube(&tube.name).is_some(),
        }
    }

    /// Everything but this one.
    fn others(&self, catalogue: &Catalogue) -> Catalogue {
        let mut others = catalogue.clone();
        match self {
            Self::Pass(tube) => others.pass_tubes.retain(|other| other.name != tube.name),
            Self::Control(tube) => others.control_tubes.retain(|other| other.name != tube.name),
        }
        others
    }

    fn is_in(&self, catalogue: &Catalogue) -> bool {
        match self {
            Self::Pass(tube) => catalogue.pass_tube(&tube.name) == Some(tube),
            Self::Control(tube) => catalogue.control_tube(&tube.name) == Some(tube),
        }
    }
}

/// Where a tube stands in a catalogue's text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TubeEntry {
    /// True among the pass tubes, false among the control tubes.
    pub is_pass: bool,
    /// Its path: `pass_tubes[1]`.
    pub path: String,
    /// The line on which it begins, counted from 1.
    pub line: Option<usize>,
    /// Its designation.
    pub name: String,
    /// The line of each published point, counted from 1.
    pub points: Vec<usize>,
}

/// The pass and control tubes of a text, sound or not, in its order.
pub fn tube_entries(text: &str) -> Vec<TubeEntry> {
    let lines = file::Lines::of(text);
    let tubes = Entries::of(text).all.into_iter().filter_map(|entry| {
        let (is_pass, points) = match entry.list {
            "pass_tubes" => (true, "characteristic.points"),
            "control_tubes" => (false, "kind.points"),
            _ => return None,
        };
        let tree = entry.tree(text);
        let points = tree.find(points).map(Value::items).unwrap_or_default();
        Some(TubeEntry {
            is_pass,
            line: Some(lines.at(entry.range.start)),
            name: tree.find("name")?.as_text()?.to_owned(),
            path: entry.path(),
            points: points.iter().map(|p| lines.at(p.start)).collect(),
        })
    });
    tubes.collect()
}

/// The text of a file of own types with this type in it; `text` is the file as it is, empty for a new one. Whatever stands
/// in it stays, slips too; only a sound entry of the same name is replaced.
///
/// # Errors
/// If the text is no catalogue, or if it would no longer be read as before: it is then better left alone.
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
    let (mut before, mut after) = (Catalogue::default(), Catalogue::default());
    let faults_before = before.add(text).len();
    let faults = after.add(&new);
    // Entries that were at fault stay as they are and the sound ones sound; this one must be read as it was meant.
    if own.is_in(&after)
        && (text.trim().is_empty() || faults.len() <= faults_before)
        && own.others(&before) == own.others(&after)
    {
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
    let entries = Entries::of(text);
    let list = own.list();
    let entry = own.entry();
    let put = |range: Range<usize>, new: &str| {
        Some(format!(
            "{}{new}{}",
            text.get(..range.start)?,
            text.get(range.end..)?
        ))
    };
    // What is at fault stays, for its owner to mend.
    let sound: Vec<(Range<usize>, Catalogue)> = (entries.all.iter())
        .filter(|entry| entry.list == list)
        .filter_map(|entry| {
            let alone = text.get(entry.range.clone())?;
            let mut catalogue = Catalogue::default();
            let faults = catalogue.add(&format!("(format: {FORMAT}, {list}: [{alone}])"));
            faults.is_empty().then(|| (entry.range.clone(), catalogue))
        })
        .collect();
    if let Some((range, _)) = sound.iter().find(|(_, alone)| own.is_named_in(alone)) {
        return put(range.clone(), &entry);
    }
    if let Some((last, _)) = sound.last() {
        return put(last.end..last.end, &format!(",\n        {entry}"));
    }
    if let Some((_, open)) = entries.lists.iter().find(|(name, _)| *name == list) {
        return put(*open..*open, &format!("\n        {entry},\n    "));
    }
    let open = entries.opened?;
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
        for text in ["my notes", "[1, 2]", "(format: 9)"] {
            assert!(with_type(text, &own("A", 10.0)).is_err(), "{text}");
        }
    }

    #[test]
    fn a_broken_text_keeps_every_letter_and_takes_a_new_type() {
        let broken = "(format: 1, // mine\n pass_tubes: [\n  (name: \"X\", units: 1, characteristic: ZeroBias([(\"0 V\", \"0 A\"), (\"40 V\", \"150 mA\")])),\n  (name: \"A\", units 2), // to mend\n ],\n)\n";
        for text in [broken, "(format: 1, pass_tubes: [", "(format: 1 // and"] {
            let mut now = text.to_owned();
            // Saved twice: the second time what was saved is replaced, not what was typed by hand.
            for watts in [10.0, 11.0] {
                now = with_type(&now, &own("A", watts)).unwrap();
                let same = |(a, b): &(char, char)| a == b;
                let begins = now.chars().zip(text.chars()).take_while(same).count();
                let (back, text_back) = (now.chars().rev(), text.chars().rev());
                let ends = back.zip(text_back).take_while(same).count();
                assert!(begins + ends >= text.chars().count(), "{text}\n{now}");
            }
            let mut catalogue = Catalogue::default();
            assert_eq!(catalogue.add(&now).len(), 1, "{now}");
            assert!(own("A", 11.0).is_in(&catalogue), "{now}");
            assert_eq!(
                now.matches("name: \"A\"").count(),
                1 + text.matches("\"A\"").count(),
                "{now}"
            );
            assert_eq!(catalogue.pass_tube("X").is_some(), text.contains("\"X\""));
        }
    }
}
