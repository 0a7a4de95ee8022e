//! From what the parser says to what a person can act on: line, field, found, expected.

use ron::error::{Error, SpannedError};
use ron::extensions::Extensions;
use serde::Deserialize;
use serde_path_to_error::{Path, Segment};

use crate::parts::file::FileError;
use crate::parts::file::place::{Places, join};

/// A part of a file that is read by itself: its text, the whole file's places, and where it belongs.
pub(in crate::parts) struct Extract<'t, 'p> {
    /// The text to read.
    pub(in crate::parts) text: &'t str,
    /// The places of the whole file.
    pub(in crate::parts) places: &'p Places<'p>,
    /// The path of the text in the file; empty for the whole.
    pub(in crate::parts) at: &'p str,
}

impl Extract<'_, '_> {
    /// The line of the file for one of this text; both are counted from 1.
    fn line_of_file(&self, line: usize) -> usize {
        let before = if self.at.is_empty() {
            0
        } else {
            self.places.line(self.at).unwrap_or(1).saturating_sub(1)
        };
        before + line
    }
}

/// The notation: RON in which an optional value is written without `Some`.
pub(super) fn options() -> ron::Options {
    ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME)
}

/// Reads a record.
///
/// # Errors
/// The first fault of the text.
pub(in crate::parts) fn parse<'de, T: Deserialize<'de>>(
    extract: &Extract<'de, '_>,
) -> Result<T, FileError> {
    let mut reader = ron::Deserializer::from_str_with_options(extract.text, &options())
        .map_err(|error| fault(extract, extract.at, &error))?;
    let record = serde_path_to_error::deserialize(&mut reader).map_err(|error| {
        let path = path_text(extract.at, error.path());
        fault(extract, &path, &reader.span_error(error.into_inner()))
    })?;
    reader
        .end()
        .map_err(|error| fault(extract, extract.at, &reader.span_error(error)))?;
    Ok(record)
}

fn path_text(at: &str, path: &Path) -> String {
    path.iter()
        .fold(at.to_owned(), |text, segment| match segment {
            Segment::Seq { index } => format!("{text}[{index}]"),
            Segment::Map { key } => join(&text, key),
            Segment::Enum { .. } | Segment::Unknown => text,
        })
}

fn fault(extract: &Extract<'_, '_>, path: &str, error: &SpannedError) -> FileError {
    let places = extract.places;
    let path = places.known(path).to_owned();
    if let Some(expected) = expected_mark(&error.code) {
        return broken(extract, path, expected, error);
    }
    let (field, found, expected) = match &error.code {
        Error::MissingStructField { field, .. } => {
            (join(&path, field), "nothing".to_owned(), missing(field))
        }
        Error::NoSuchStructField {
            expected, found, ..
        } => (
            ending(&path, found),
            "a field that there is not".to_owned(),
            choice(found, expected.iter().copied()),
        ),
        Error::DuplicateStructField { field, .. } => (
            ending(&path, field),
            "this field twice".to_owned(),
            "it once".to_owned(),
        ),
        Error::NoSuchEnumVariant {
            expected, found, ..
        } => (path, found.clone(), choice(found, expected.iter().copied())),
        Error::Message(message) => {
            let (found, expected) = split(message);
            let found = found.unwrap_or_else(|| standing(extract, &path, error));
            (path, found, expected)
        }
        Error::InvalidValueForType { expected, .. } => {
            let found = standing(extract, &path, error);
            (path, found, expected.clone())
        }
        code => {
            let found = standing(extract, &path, error);
            {
                let expected = wanted(code, &path);
                (path, found, expected)
            }
        }
    };
    let line = places
        .line(&field)
        .unwrap_or_else(|| extract.line_of_file(error.span.start.line));
    FileError {
        line: Some(line),
        field: named(field),
        found,
        expected,
    }
}

/// What belongs at a place where brackets, commas or quotes are wrong; none if it is a fault of another kind.
fn expected_mark(code: &Error) -> Option<&'static str> {
    Some(match code {
        Error::ExpectedComma => "a comma between two fields",
        Error::ExpectedMapColon => "a colon between a field's name and its value",
        Error::Eof => "more text, with every bracket closed",
        Error::ExpectedStringEnd => "a quote that closes the text",
        Error::ExpectedStructLikeEnd => "a comma, or the bracket ) that closes the group",
        Error::ExpectedArrayEnd => "a comma, or the bracket ] that closes the list",
        Error::ExpectedMapEnd => "a comma, or the bracket } that closes the map",
        Error::TrailingCharacters => "the end of the file after the bracket that closes it",
        Error::UnclosedBlockComment => "*/ at the end of a comment",
        Error::ExpectedIdentifier | Error::UnderscoreAtBeginning => {
            "the name of a field, or a value (text stands in quotes)"
        }
        Error::UnexpectedChar(_) => "a value (text stands in quotes)",
        Error::InvalidEscape(_) => "\\\\ for a backslash, \\\" for a quote, \\n for a new line",
        Error::ExceededRecursionLimit => "less nesting",
        _ => return None,
    })
}

fn broken(
    extract: &Extract<'_, '_>,
    path: String,
    expected: &str,
    error: &SpannedError,
) -> FileError {
    let last = path.rsplit('.').next().unwrap_or_default();
    let behind = behind(extract.text, error);
    let at = extract.line_of_file(error.span.end.line);
    let (line, found, expected) = if let Some(line) = extract.places.open_quote {
        (
            line,
            "a text that goes on over the end of its line".to_owned(),
            "a quote that closes it".to_owned(),
        )
    } else if behind == END && !extract.at.is_empty() && error.code != Error::UnclosedBlockComment {
        let found = "the end of the entry".to_owned();
        (at, found, "every bracket in it closed".to_owned())
    } else if error.code == Error::TrailingCharacters && !extract.at.is_empty() {
        let expected = "a comma and the next entry after the bracket that closes it";
        (at, behind, expected.to_owned())
    } else if behind.starts_with("`.") {
        let expected = "a whole number without quotes".to_owned();
        (at, behind, expected)
    } else if behind.starts_with("`\"") && error.code == Error::ExpectedIdentifier {
        let expected = example(last).map_or_else(
            || "a name without quotes".to_owned(),
            |value| format!("a name without quotes, for example {last}: {value}"),
        );
        (at, behind, expected)
    } else {
        (at, behind, expected.to_owned())
    };
    FileError {
        line: Some(line),
        field: named(path),
        found,
        expected,
    }
}

/// The path of a field of which the parser may already have read the name.
fn ending(path: &str, name: &str) -> String {
    match path.strip_suffix(name) {
        Some(before) if before.is_empty() || before.ends_with('.') => path.to_owned(),
        _ => join(path, name),
    }
}

/// What stands in a field; where the brackets make no sense, what stands behind the place of the fault.
fn standing(extract: &Extract<'_, '_>, path: &str, error: &SpannedError) -> String {
    match extract.places.value(path) {
        Some(value) if !value.is_empty() => shorten(value),
        _ => behind(extract.text, error),
    }
}

/// What is found behind the last letter.
const END: &str = "the end of the text";

fn behind(text: &str, error: &SpannedError) -> String {
    let position = error.span.end;
    let rest: String = text
        .lines()
        .nth(position.line.saturating_sub(1))
        .map(|line| line.chars().skip(position.col.saturating_sub(1)).collect())
        .unwrap_or_default();
    if !rest.trim().is_empty() {
        format!("`{}`", shorten(rest.trim()))
    } else if text.lines().count() <= position.line {
        END.to_owned()
    } else {
        "the end of the line".to_owned()
    }
}

fn named(field: String) -> String {
    if field.is_empty() {
        "the file".to_owned()
    } else {
        field
    }
}

/// What the parser wanted, in words for a person.
fn wanted(code: &Error, path: &str) -> String {
    match code {
        Error::ExpectedInteger if path == "format" => "1".to_owned(),
        Error::ExpectedInteger | Error::IntegerOutOfBounds | Error::InvalidIntegerDigit { .. } => {
            "a whole number from 0 to 255, without quotes".to_owned()
        }
        Error::ExpectedFloat => "a number without quotes".to_owned(),
        Error::ExpectedString => "text in quotes".to_owned(),
        Error::ExpectedBoolean => "true or false".to_owned(),
        Error::ExpectedArray => "a list in square brackets, [ … ]".to_owned(),
        Error::ExpectedMap => "a map in curly brackets, { … }".to_owned(),
        Error::ExpectedStructLike
        | Error::ExpectedNamedStructLike(_)
        | Error::ExpectedStructName(_) => {
            "a group of fields in round brackets, (name: value, …)".to_owned()
        }
        Error::ExpectedDifferentStructName { expected, .. } => {
            format!("a group of fields in round brackets, with {expected} or nothing before it")
        }
        Error::ExpectedDifferentLength { expected, .. } => expected.clone(),
        other => other.to_string(),
    }
}

/// Messages of this crate read `found …, expected …`.
fn split(message: &str) -> (Option<String>, String) {
    match message
        .strip_prefix("found ")
        .and_then(|m| m.rsplit_once(", expected "))
    {
        Some((found, expected)) => (Some(found.to_owned()), expected.to_owned()),
        None => (None, message.to_owned()),
    }
}

/// A value short enough for a sentence.
fn shorten(text: &str) -> String {
    const LONGEST: usize = 40;
    let line = text.lines().next().unwrap_or_default();
    if line.chars().count() <= LONGEST && line.len() == text.len() {
        line.to_owned()
    } else {
        format!("{}…", line.chars().take(LONGEST).collect::<String>())
    }
}

fn missing(field: &str) -> String {
    example(field).map_or_else(
        || "this field: it cannot be left out".to_owned(),
        |value| format!("this field, for example {field}: {value}"),
    )
}

/// What the value of a field looks like, for those that may not be missing or that are easily mistaken.
fn example(field: &str) -> Option<&'static str> {
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
