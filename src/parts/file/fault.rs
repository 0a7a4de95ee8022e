//! What is wrong in a text, for a person who can act on it: place, field, found, expected.

use crate::parts::escape::shortened;
use crate::parts::file::FileError;

/// A fault while the text is read: its field is a path from where reading is.
#[derive(Debug, Clone)]
pub(super) struct Fault {
    /// Where it shows (bytes): of two faults the first is told.
    pub(super) at: usize,
    /// Where the field begins whose line is told (bytes); not known yet for one that is missing.
    pub(super) field_start: Option<usize>,
    pub(super) field: String,
    pub(super) found: String,
    pub(super) expected: String,
}

impl Fault {
    /// A fault of the value that begins there.
    pub(super) fn at(at: usize, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            at,
            field_start: None,
            field: String::new(),
            found: found.into(),
            expected: expected.into(),
        }
    }

    /// The line is that of the fault itself.
    pub(super) fn there(mut self) -> Self {
        self.field_start = Some(self.at);
        self
    }

    /// The same, seen from what holds the field or element `step`, which begins at `start`.
    pub(super) fn below(mut self, step: &str, start: usize) -> Self {
        self.field = below(step, &self.field);
        self.field_start.get_or_insert(start);
        self
    }

    /// The one of the two that shows first.
    pub(super) fn or_earlier(self, other: Option<&Self>) -> Self {
        match other {
            Some(other) if other.at <= self.at => other.clone(),
            _ => self,
        }
    }

    /// With its line; the value that the text is begins at `start`.
    pub(super) fn in_text(self, lines: &Lines, start: usize) -> FileError {
        FileError {
            line: Some(lines.at(self.field_start.unwrap_or(start))),
            field: if self.field.is_empty() {
                "the file".to_owned()
            } else {
                self.field
            },
            found: self.found,
            expected: self.expected,
        }
    }
}

/// Where the lines of a text begin: looked up for each of many faults, it would take a walk through the whole text.
pub(in crate::parts) struct Lines(Vec<usize>);

impl Lines {
    /// Those of a text.
    pub(in crate::parts) fn of(text: &str) -> Self {
        let ends = text.match_indices('\n').map(|(at, _)| at + 1);
        Self(ends.collect())
    }

    /// The line of a place (bytes), counted from 1.
    pub(in crate::parts) fn at(&self, place: usize) -> usize {
        1 + self.0.partition_point(|begin| *begin <= place)
    }
}

/// A path and one below it.
pub(super) fn below(path: &str, rest: &str) -> String {
    if path.is_empty() || rest.is_empty() || rest.starts_with('[') {
        format!("{path}{rest}")
    } else {
        format!("{path}.{rest}")
    }
}

/// What the value of a field looks like, for those that may not be missing or that are easily mistaken.
pub(super) fn example(field: &str) -> Option<&'static str> {
    Some(match field {
        "format" => "1",
        "mains" => "(nominal: \"120 V\", frequency: \"60 Hz\")",
        "nominal" => "\"120 V\"",
        "frequency" => "\"60 Hz\"",
        "winding" => "OpenCircuit(\"350 V\")",
        "primary_resistance" => "\"2.5 Ω\"",
        "secondary_resistance" | "second_half_resistance" | "resistance" => "\"120 Ω\"",
        "name" | "kind" => "\"5U4-GB\"",
        "tube" => "\"6080\"",
        "unit" => "\"47 µF\"",
        "series" => "Resistor(\"1 kΩ\")",
        "capacitor" => "(unit: \"47 µF\")",
        "inductance" => "\"10 H\"",
        "set_high" => "\"350 V\"",
        "plates" | "units" => "2",
        "law" => "Vacuum(drop: \"44 V\", at: \"225 mA\")",
        "characteristic" => "ZeroBias([(\"0 V\", \"0 A\"), (\"40 V\", \"150 mA\")])",
        "volts" | "drop" | "plate" => "\"250 V\"",
        "grid" => "\"-20 V\"",
        "amps" | "current" | "at" => "\"150 mA\"",
        "transformer" | "rectifier" | "filter" | "pass_stage" | "output" => "( … )",
        "connection" => "FullWaveCentreTap, Bridge or HalfWave",
        _ => return None,
    })
}

/// The names there are, those first that are nearly what was typed.
pub(super) fn choice<'n>(typed: &str, names: impl Iterator<Item = &'n str>) -> String {
    const MANY: usize = 12;
    let names: Vec<&str> = names.collect();
    let listed = |names: &[&str], between: &str| {
        let short: Vec<String> = names.iter().map(|name| shortened(name)).collect();
        short.join(between)
    };
    let mut near: Vec<(usize, &str)> = names
        .iter()
        .filter(|name| is_short(typed) && is_short(name))
        .map(|name| (distance(typed, name), *name))
        .filter(|(far, name)| *far <= 1 + name.chars().count() / 3)
        .collect();
    near.sort_by_key(|(far, _)| *far);
    match (near.is_empty(), names.len() <= MANY) {
        (false, _) => {
            let near: Vec<&str> = near.into_iter().take(4).map(|(_, name)| name).collect();
            format!("perhaps {}", listed(&near, " or "))
        }
        (true, true) => format!("one of {}", listed(&names, ", ")),
        (true, false) => {
            let some: Vec<&str> = names.iter().take(MANY).copied().collect();
            format!(
                "one of {} names, such as {}",
                names.len(),
                listed(&some, ", ")
            )
        }
    }
}

/// True for what can be a slip in a name. Comparing takes as many steps as the product of both lengths.
fn is_short(name: &str) -> bool {
    const LONGEST: usize = 80;
    name.len() <= LONGEST
}

/// Letters to insert, remove or exchange to get from one name to the other (Levenshtein), case and hyphens aside.
fn distance(a: &str, b: &str) -> usize {
    let letters = |text: &str| -> Vec<char> {
        text.chars()
            .filter(|c| !matches!(c, '-' | ' ' | '_'))
            .flat_map(char::to_lowercase)
            .collect()
    };
    let (a, b) = (letters(a), letters(b));
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.iter().enumerate() {
        let mut left = i + 1;
        let mut next = vec![left];
        for (y, above) in b.iter().zip(row.windows(2)) {
            let [corner, over] = above else { continue };
            left = (corner + usize::from(x != y)).min(over + 1).min(left + 1);
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}
