//! A line of a table in columns: how it may be parted, what a header line names, what stands in a cell.

use crate::parts::quantity::{Amps, Volts};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Plate,
    Grid,
    Current,
    /// A screen's volts or current: no triode's table has such a column.
    Screen,
    /// Passed over, such as a number of the row.
    Other,
}

/// What a column holds, and what a bare number in it is worth.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    pub(super) role: Role,
    /// The power of ten that makes SI of it.
    power: i32,
    /// True where a header names it with its sign turned: `-Vg`.
    turned: bool,
}

impl Column {
    /// Without a header.
    pub(super) fn usual(role: Role) -> Self {
        let power = match role {
            Role::Current => -3,
            _ => 0,
        };
        Self {
            role,
            power,
            turned: false,
        }
    }

    /// A bare number in it in SI units. It is rounded once only: 7.1 is then the very number as which 7.1 mA is read.
    pub(super) fn si(self, bare: f64) -> f64 {
        let value = format!("{bare}e{}", self.power).parse().unwrap_or(bare);
        if self.turned { -value } else { value }
    }
}

/// What stands in a cell (SI, or as the column has it).
pub(super) enum Cell {
    Bare(f64),
    Volts(f64),
    Amps(f64),
}

/// Digits on both sides of a single comma.
fn around_comma(word: &str) -> Option<(&str, &str)> {
    let (before, after) = word.split_once(',')?;
    let before = before.trim_start_matches(['-', '+']);
    let end = after
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(after.len());
    let (digits, unit) = after.split_at_checked(end)?;
    let whole = !before.is_empty() && before.chars().all(|c| c.is_ascii_digit());
    (whole && !digits.is_empty() && !unit.contains([',', ';', '.'])).then_some((before, digits))
}

/// A comma that can only be the decimal sign, once it is known that commas do not part the columns.
fn clearly_decimal(word: &str) -> bool {
    around_comma(word).is_some_and(|(before, after)| after.len() != 3 || before == "0")
}

/// What the commas of a text that do not part columns are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Commas {
    /// The decimal sign, as at least one of them shows.
    Decimal,
    /// Perhaps that, perhaps the mark of thousands.
    Unclear,
}

impl Commas {
    pub(super) fn of(text: &str) -> Self {
        if text.split_whitespace().any(clearly_decimal) {
            Self::Decimal
        } else {
            Self::Unclear
        }
    }
}

/// A comma before three digits: of thousands or of decimals.
pub(super) fn unclear(word: &str) -> bool {
    around_comma(word).is_some() && !clearly_decimal(word)
}

/// The line in columns, in each way that is possible, the likeliest first.
pub(super) fn splits(line: &str) -> Vec<Vec<String>> {
    let by = |separator: &str| -> Option<Vec<String>> {
        line.contains(separator).then(|| {
            line.split(separator)
                .map(str::trim)
                .filter(|cell| !cell.is_empty())
                .map(str::to_owned)
                .collect()
        })
    };
    // Blanks never part what tabs or semicolons part already: "1 250" is no two columns there.
    if let Some(cells) = by("\t").or_else(|| by(";")) {
        return vec![cells];
    }
    [by(","), by(", "), Some(words(line))]
        .into_iter()
        .flatten()
        .collect()
}

/// Columns parted by blanks; a unit belongs to the number before it, a bracket to the word before it.
fn words(line: &str) -> Vec<String> {
    let mut cells: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        let is_unit = word.starts_with(char::is_alphabetic);
        match cells.last_mut() {
            Some(cell)
                if word.starts_with(['(', '[', '/'])
                    || is_unit && cell.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                cell.push_str(word);
            }
            _ => cells.push(word.trim_end_matches(',').to_owned()),
        }
    }
    cells
}

/// What stands in a column.
pub(super) fn cell(text: &str, commas: Commas) -> Option<Cell> {
    let text = match around_comma(text) {
        Some(_) if commas == Commas::Decimal || clearly_decimal(text) => text.replacen(',', ".", 1),
        Some(_) => return None,
        None => text.to_owned(),
    };
    if let Ok(bare) = text.parse::<f64>() {
        return bare.is_finite().then_some(Cell::Bare(bare));
    }
    let starts_as_number = text
        .chars()
        .next()
        .is_some_and(|c| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
    if !starts_as_number {
        return None;
    }
    text.parse::<Volts>()
        .map(|v| Cell::Volts(v.0))
        .or_else(|_no_volts| text.parse::<Amps>().map(|a| Cell::Amps(a.0)))
        .ok()
}

/// A header line: no column of it is a number, and together they name what is wanted, each once; others are passed over.
pub(super) fn header(line: &str, usual: &[Role]) -> Option<Vec<Column>> {
    let named = |cells: Vec<String>| {
        if cells
            .iter()
            .any(|text| cell(text, Commas::Decimal).is_some())
        {
            return None;
        }
        let mut columns: Vec<Column> = Vec::new();
        for text in &cells {
            columns.push(column_named(text, &columns));
        }
        let times = |role: Role| columns.iter().filter(|column| column.role == role).count();
        let once = usual.iter().all(|role| times(*role) == 1);
        (once && times(Role::Screen) == 0).then_some(columns)
    };
    splits(line).into_iter().find_map(named)
}

/// What the name of a column means, and its unit; `before` are those to the left of it.
fn column_named(text: &str, before: &[Column]) -> Column {
    let parts: Vec<&str> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|part| !part.is_empty())
        .collect();
    // Units are told by their capitals: Ua is the anode's volts, uA a millionth of an ampere.
    let unit = |wanted: &[&str]| parts.iter().any(|part| wanted.contains(part));
    let lower = text.to_lowercase();
    let begins = |wanted: &[&str]| {
        lower
            .split(|c: char| !c.is_alphanumeric())
            .any(|part| wanted.iter().any(|w| part.starts_with(w)))
    };
    let micro = unit(&["µA", "\u{3bc}A", "uA", "µa"]);
    let milli = unit(&["mA", "ma", "MA"]);
    let role = if begins(&["vg2", "eg2", "ug2", "ig2", "g2", "screen"]) {
        Role::Screen
    } else if begins(&["ig"]) {
        Role::Other
    } else if begins(&["ia", "ip", "ib", "ik", "curr"]) || micro || milli || unit(&["A"]) {
        Role::Current
    } else if begins(&["vg", "eg", "ug", "grid", "bias"]) {
        Role::Grid
    } else if begins(&["v", "e", "u", "plate", "anode", "kv"]) {
        // Twice volts without a further word: plate and grid.
        if before.iter().any(|column| column.role == Role::Plate) {
            Role::Grid
        } else {
            Role::Plate
        }
    } else {
        Role::Other
    };
    let power = match role {
        Role::Current if micro => -6,
        Role::Current if unit(&["A", "amps", "amperes"]) && !milli => 0,
        Role::Plate | Role::Grid if unit(&["kV", "kv", "KV"]) => 3,
        Role::Plate | Role::Grid if unit(&["mV", "mv"]) => -3,
        _ => Column::usual(role).power,
    };
    let turned = role == Role::Grid && lower.trim_start().starts_with('-');
    Column {
        role,
        power,
        turned,
    }
}
