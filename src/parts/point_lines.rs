//! Points of a plate family as they are typed or pasted, one a line: `250 V, -14 V, 72 mA`.
//!
//! Columns are parted by tabs, semicolons, commas or blanks. Numbers without a unit take that of a header line
//! (`Va (V); -Vg (V); Ia (mA)`), else volts and milliamperes. With tabs or semicolons a comma may be the decimal sign.

use crate::parts::pass_stage::PlatePoint;
use crate::parts::quantity::{Amps, Volts};
use crate::parts::rating::Source;

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineFault {
    /// Counted from 1.
    pub line: usize,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: &'static str,
}

/// What was read, with the line of each row (counted from 1).
#[derive(Debug, Clone, PartialEq)]
pub struct Lines<T> {
    /// The rows.
    pub rows: Vec<T>,
    /// The line on which each stands.
    pub lines: Vec<usize>,
    /// The lines that could not be read.
    pub faults: Vec<LineFault>,
}

/// Reads points of a plate family: plate volts, grid volts, plate current.
pub fn plate_points(text: &str) -> Lines<PlatePoint> {
    read(
        text,
        &[Role::Plate, Role::Grid, Role::Current],
        "plate volts, grid volts and current, such as 250 V, -14 V, 72 mA",
        |values| {
            Some(PlatePoint {
                plate: Volts(values.plate?),
                grid: Volts(values.grid?),
                current: Amps(values.current?),
                source: Source::default(),
            })
        },
    )
}

/// Reads a zero-bias curve: plate volts and current.
pub fn zero_bias(text: &str) -> Lines<(Volts, Amps)> {
    read(
        text,
        &[Role::Plate, Role::Current],
        "plate volts and current, such as 40 V, 150 mA",
        |values| Some((Volts(values.plate?), Amps(values.current?))),
    )
}

/// Points as lines that [`plate_points`] reads.
pub fn write_plate_points(points: &[PlatePoint]) -> String {
    let lines: Vec<String> = points
        .iter()
        .map(|p| format!("{}, {}, {}", p.plate, p.grid, p.current))
        .collect();
    lines.join("\n")
}

/// A zero-bias curve as lines that [`zero_bias`] reads.
pub fn write_zero_bias(table: &[(Volts, Amps)]) -> String {
    let lines: Vec<String> = table.iter().map(|(v, a)| format!("{v}, {a}")).collect();
    lines.join("\n")
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Plate,
    Grid,
    Current,
}

/// What a column holds, and what a bare number in it is worth (SI).
#[derive(Debug, Clone, Copy)]
struct Column {
    role: Role,
    worth: f64,
}

impl Column {
    /// Without a header.
    fn usual(role: Role) -> Self {
        let worth = match role {
            Role::Plate | Role::Grid => 1.0,
            Role::Current => 1e-3,
        };
        Self { role, worth }
    }
}

/// The values of one line (SI).
#[derive(Debug, Default)]
struct Values {
    plate: Option<f64>,
    grid: Option<f64>,
    current: Option<f64>,
}

enum Cell {
    Bare(f64),
    Volts(f64),
    Amps(f64),
}

fn read<T>(
    text: &str,
    usual: &[Role],
    expected: &'static str,
    row: impl Fn(&Values) -> Option<T>,
) -> Lines<T> {
    let mut out = Lines {
        rows: Vec::new(),
        lines: Vec::new(),
        faults: Vec::new(),
    };
    let mut columns: Vec<Column> = usual.iter().copied().map(Column::usual).collect();
    for (number, line) in text.lines().enumerate() {
        let line = line.split("//").next().unwrap_or_default();
        let line = line.replace('\u{2212}', "-").replace('\u{a0}', " ");
        if line.trim().is_empty() {
            continue;
        }
        let cells = cells(line.trim());
        if let Some(header) = header(&cells, usual) {
            columns = header;
            continue;
        }
        match values(&cells, &columns).and_then(|values| row(&values)) {
            Some(read) => {
                out.rows.push(read);
                out.lines.push(number + 1);
            }
            None => out.faults.push(LineFault {
                line: number + 1,
                found: line.trim().to_owned(),
                expected,
            }),
        }
    }
    out
}

/// The columns of a line as text.
fn cells(line: &str) -> Vec<String> {
    let split = |by: char, decimal_comma: bool| {
        line.split(by)
            .map(|cell| {
                let cell = cell.trim();
                if decimal_comma {
                    cell.replacen(',', ".", 1)
                } else {
                    cell.to_owned()
                }
            })
            .filter(|cell| !cell.is_empty())
            .collect()
    };
    if line.contains('\t') {
        split('\t', true)
    } else if line.contains(';') {
        split(';', true)
    } else if line.contains(',') {
        split(',', false)
    } else {
        // A unit belongs to the number before it.
        let mut cells: Vec<String> = Vec::new();
        for word in line.split_whitespace() {
            let is_unit = word.chars().next().is_some_and(char::is_alphabetic);
            match cells.last_mut() {
                Some(cell) if is_unit && cell.ends_with(|c: char| c.is_ascii_digit()) => {
                    cell.push_str(word);
                }
                _ => cells.push(word.to_owned()),
            }
        }
        cells
    }
}

fn cell(text: &str) -> Option<Cell> {
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

/// A header line: no column of it is a number, and together they name what is wanted.
fn header(cells: &[String], usual: &[Role]) -> Option<Vec<Column>> {
    if cells.iter().any(|text| cell(text).is_some()) {
        return None;
    }
    let mut columns: Vec<Column> = Vec::new();
    for text in cells {
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .collect();
        let has = |wanted: &[&str]| words.iter().any(|word| wanted.contains(word));
        let begins = |wanted: &[&str]| {
            words
                .iter()
                .any(|word| wanted.iter().any(|w| word.starts_with(w)))
        };
        let seen = |role: Role| columns.iter().any(|column| column.role == role);
        let role = if begins(&["vg", "eg", "ug", "grid", "bias"]) {
            Role::Grid
        } else if begins(&["ia", "ip", "ib", "ik", "curr"]) || has(&["ma", "µa", "ua", "a"]) {
            Role::Current
        } else if begins(&["v", "e", "u", "plate", "anode", "kv"]) {
            if seen(Role::Plate) {
                Role::Grid
            } else {
                Role::Plate
            }
        } else {
            return None;
        };
        let mut worth = match role {
            Role::Current if has(&["µa", "ua"]) => 1e-6,
            Role::Current if has(&["a"]) && !has(&["ma"]) => 1.0,
            Role::Plate | Role::Grid if has(&["kv"]) => 1e3,
            Role::Plate | Role::Grid if has(&["mv"]) => 1e-3,
            _ => Column::usual(role).worth,
        };
        if role == Role::Grid && lower.trim_start().starts_with('-') {
            worth = -worth;
        }
        columns.push(Column { role, worth });
    }
    usual
        .iter()
        .all(|role| columns.iter().any(|column| column.role == *role))
        .then_some(columns)
}

fn values(cells: &[String], columns: &[Column]) -> Option<Values> {
    if cells.len() != columns.len() {
        return None;
    }
    let read: Vec<Cell> = cells.iter().map(|text| cell(text)).collect::<Option<_>>()?;
    let mut values = Values::default();
    let amps = read.iter().position(|cell| matches!(cell, Cell::Amps(_)));
    let at_home = columns.iter().position(|c| c.role == Role::Current);
    if amps.is_some() && amps != at_home {
        // The units say which column is which.
        let mut volts = read.iter().filter_map(|cell| match cell {
            Cell::Volts(volts) | Cell::Bare(volts) => Some(*volts),
            Cell::Amps(_) => None,
        });
        values.plate = volts.next();
        values.grid = volts.next();
        values.current = read.iter().find_map(|cell| match cell {
            Cell::Amps(amps) => Some(*amps),
            _ => None,
        });
    } else {
        for (cell, column) in read.iter().zip(columns) {
            let value = match (cell, column.role) {
                (Cell::Bare(bare), _) => bare * column.worth,
                (Cell::Volts(volts), Role::Plate | Role::Grid) => *volts,
                (Cell::Amps(amps), Role::Current) => *amps,
                _ => return None,
            };
            match column.role {
                Role::Plate => values.plate = Some(value),
                Role::Grid => values.grid = Some(value),
                Role::Current => values.current = Some(value),
            }
        }
    }
    // The grid was written first: no plate stands at or below zero with the grid above it.
    if let (Some(plate), Some(grid)) = (values.plate, values.grid)
        && plate <= 0.0
        && grid > 0.0
    {
        (values.plate, values.grid) = (Some(grid), Some(plate));
    }
    Some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(plate: f64, grid: f64, current: f64) -> PlatePoint {
        PlatePoint {
            plate: Volts(plate),
            grid: Volts(grid),
            current: Amps(current),
            source: Source::default(),
        }
    }

    #[test]
    fn lines_are_read_as_people_write_them() {
        for text in [
            "250 V, -14 V, 72 mA",
            "250V -14V 72mA",
            "250 V −14 V 72 mA // from the curve",
            "250, -14, 72",
            "250\t-14\t72",
            "250; -14; 72",
            "-14 V, 250 V, 72 mA",
            "72 mA, 250 V, -14 V",
            "250,0; -14,0; 72,0",
            "Va; -Vg; Ia\n250; 14; 72",
            "Vg (V)\tVa (V)\tIa (A)\n-14\t250\t0.072",
            "V, V, mA\n\n250, -14, 72",
            "grid, plate kV, plate current µA\n-14, 0.25, 72000",
        ] {
            let read = plate_points(text);
            assert_eq!(read.faults, [], "{text}");
            let [got] = read.rows.as_slice() else {
                panic!("{text}: {read:?}");
            };
            let close = |a: f64, b: f64| (a - b).abs() < 1e-9;
            let want = point(250.0, -14.0, 0.072);
            assert!(
                close(got.plate.0, want.plate.0)
                    && close(got.grid.0, want.grid.0)
                    && close(got.current.0, want.current.0),
                "{text}: {got:?}"
            );
        }
    }

    #[test]
    fn what_is_no_point_is_told_with_its_line() {
        let read = plate_points("250 V, -14 V, 72 mA\n\n250 V, 72 mA\nnonsense\n1e999, 0, 1");
        assert_eq!(read.rows.len(), 1);
        let lines: Vec<usize> = read.faults.iter().map(|f| f.line).collect();
        assert_eq!(lines, [3, 4, 5]);
    }

    #[test]
    fn a_zero_bias_table_has_two_columns() {
        let read = zero_bias("40 V, 150 mA\n0 V; 0 mA\n97 2");
        assert_eq!(read.faults, []);
        assert_eq!(read.rows[0], (Volts(40.0), Amps(0.15)));
        assert_eq!(read.rows[2], (Volts(97.0), Amps(0.002)));
    }

    #[test]
    fn points_survive_writing_and_reading() {
        let points = [point(103.75, -31.25, 0.125), point(40.0, 0.0, 1.5e-3)];
        assert_eq!(plate_points(&write_plate_points(&points)).rows, points);
    }
}
