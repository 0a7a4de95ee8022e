//! What is wrong in a text, for a person who can act on it: place, field, found, expected.

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
    pub(super) fn in_text(self, text: &str, start: usize) -> FileError {
        FileError {
            line: Some(line(text, self.field_start.unwrap_or(start))),
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

/// The line of a place (bytes), counted from 1.
pub(in crate::parts) fn line(text: &str, at: usize) -> usize {
    1 + text.get(..at).unwrap_or(text).matches('\n').count()
}

/// A path and one below it.
pub(super) fn below(path: &str, rest: &str) -> String {
    if path.is_empty() || rest.is_empty() || rest.starts_with('[') {
        format!("{path}{rest}")
    } else {
        format!("{path}.{rest}")
    }
}

/// A value short enough for a sentence.
pub(super) fn shorten(text: &str) -> String {
    const LONGEST: usize = 40;
    let line = text.lines().next().unwrap_or_default();
    if line.chars().count() <= LONGEST && line.len() == text.len() {
        line.to_owned()
    } else {
        format!("{}…", line.chars().take(LONGEST).collect::<String>())
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
        "secondary_resistance" | "resistance" => "\"120 Ω\"",
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
    let mut near: Vec<(usize, &str)> = names
        .iter()
        .map(|name| (distance(typed, name), *name))
        .filter(|(far, name)| *far <= 1 + name.chars().count() / 3)
        .collect();
    near.sort_by_key(|(far, _)| *far);
    match (near.is_empty(), names.len() <= MANY) {
        (false, _) => {
            let near: Vec<&str> = near.into_iter().take(4).map(|(_, name)| name).collect();
            format!("perhaps {}", near.join(" or "))
        }
        (true, true) => format!("one of {}", names.join(", ")),
        (true, false) => {
            let some: Vec<&str> = names.iter().take(MANY).copied().collect();
            format!("one of {} names, such as {}", names.len(), some.join(", "))
        }
    }
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
