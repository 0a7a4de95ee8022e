//! A JSON object under construction: finite numbers or `null` with a reason, and its layout as text.

use std::fmt::Write as _;

use serde_json::{Map, Number, Value};

use crate::parts::escape::is_unseen;

/// An object whose keys keep the order in which they were put.
#[derive(Debug, Default)]
pub(super) struct Record(Map<String, Value>);

impl From<Record> for Value {
    fn from(record: Record) -> Self {
        Self::Object(record.0)
    }
}

impl Record {
    /// Puts a text, a list, an object.
    pub(super) fn put(&mut self, key: &str, value: impl Into<Value>) {
        self.0.insert(key.to_owned(), value.into());
    }

    /// Puts a number; one that is not finite becomes `null` with its reason.
    pub(super) fn number(&mut self, key: &str, value: f64) {
        match rounded(value) {
            Some(number) => self.put(key, Value::Number(number)),
            None => self.null(key, "it has no finite value here"),
        }
    }

    /// Puts a number if there is one, else `null` with the reason.
    pub(super) fn number_or(&mut self, key: &str, value: Option<f64>, reason: &str) {
        match value.and_then(rounded) {
            Some(number) => self.put(key, Value::Number(number)),
            None => self.null(key, reason),
        }
    }

    /// Puts several numbers as a list.
    pub(super) fn numbers(&mut self, key: &str, values: impl IntoIterator<Item = f64>) {
        let list: Vec<Value> = values
            .into_iter()
            .map(|value| rounded(value).map_or(Value::Null, Value::Number))
            .collect();
        let gap = list.iter().any(Value::is_null);
        self.put(key, list);
        if gap {
            self.put(&because(key), "a value is not finite here");
        }
    }

    /// Puts `null` and why.
    pub(super) fn null(&mut self, key: &str, reason: &str) {
        self.put(key, Value::Null);
        self.put(&because(key), reason);
    }

    /// The object.
    pub(super) fn into_map(self) -> Map<String, Value> {
        self.0
    }
}

fn because(key: &str) -> String {
    format!("{key}_null_because")
}

/// Seven significant figures: more than anyone can measure, fewer than rounding noise.
fn rounded(value: f64) -> Option<Number> {
    format!("{value:.6e}")
        .parse()
        .ok()
        .and_then(Number::from_f64)
}

/// The object as text: a line for each key, and in a list of objects a line for each of them, so that a list
/// of currents reads as a table.
pub(super) fn layout(whole: &Map<String, Value>) -> String {
    let mut text = String::from("{");
    let mut separator = "\n";
    for (key, value) in whole {
        // Writing into a string cannot fail.
        let _infallible = write!(text, "{separator}  {}: ", Value::from(key.as_str()));
        match value {
            Value::Array(rows) if rows.iter().any(Value::is_object) => {
                let rows: Vec<String> = rows.iter().map(|row| format!("    {row}")).collect();
                let _infallible = write!(text, "[\n{}\n  ]", rows.join(",\n"));
            }
            other => {
                let _infallible = write!(text, "{other}");
            }
        }
        separator = ",\n";
    }
    text.push_str("\n}\n");
    without_unseen(text)
}

/// What is left of control characters, which stand in texts only, escaped as JSON has it: a terminal would obey them.
fn without_unseen(text: String) -> String {
    let is_meant = |letter: char| letter == '\n' || !is_unseen(letter);
    if text.chars().all(is_meant) {
        return text;
    }
    let mut clean = String::with_capacity(text.len());
    for letter in text.chars() {
        if is_meant(letter) {
            clean.push(letter);
        } else {
            // All of them are letters of four hexadecimal digits.
            let _infallible = write!(clean, "\\u{:04x}", u32::from(letter));
        }
    }
    clean
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_finite_is_null_with_a_reason_and_the_text_is_json() {
        let mut record = Record::default();
        record.number("bus_volts", 412.345_678_9);
        record.number("use", f64::INFINITY);
        record.number_or("dropout_volts", None, "the curve is not known");
        record.numbers("amps", [0.1, f64::NAN]);
        record.put("rows", vec![Value::from(Record::default())]);
        let text = layout(&record.into_map());
        insta::assert_snapshot!(text, @r#"
        {
          "bus_volts": 412.3457,
          "use": null,
          "use_null_because": "it has no finite value here",
          "dropout_volts": null,
          "dropout_volts_null_because": "the curve is not known",
          "amps": [0.1,null],
          "amps_null_because": "a value is not finite here",
          "rows": [
            {}
          ]
        }
        "#);
        let parsed: Value = serde_json::from_str(&text).unwrap();
        assert!(parsed.is_object());
    }

    #[test]
    fn a_terminal_obeys_nothing_in_it_and_a_reader_gets_it_back() {
        let name = "a\u{1b}[2J\n\u{7f}\u{9b}\u{202e}Ω";
        let mut record = Record::default();
        record.put("name", name);
        let text = layout(&record.into_map());
        assert!(text.contains("Ω"), "{text}");
        let unseen = |c: char| c != '\n' && is_unseen(c);
        assert!(!text.contains(unseen), "{text:?}");
        let parsed: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(parsed["name"], name);
    }
}
