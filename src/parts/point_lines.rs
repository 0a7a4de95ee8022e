//! Points of a plate family as they are typed or pasted, one a line: `250 V, -14 V, 72 mA`.
//!
//! Columns are parted by tabs, semicolons, commas or blanks: by the first of them with which the line makes sense. Numbers
//! without a unit take that of a header line (`Va (V); -Vg (V); Ia (mA)`), else volts and milliamperes. Where commas do
//! not part columns one may be the decimal sign.

mod columns;

use crate::parts::pass_stage::PlatePoint;
use crate::parts::point_lines::columns::{
    Cell, Column, Commas, Role, cell, header, splits, unclear,
};
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
pub struct PointTable<T> {
    /// The rows.
    pub rows: Vec<T>,
    /// The line on which each stands.
    pub lines: Vec<usize>,
    /// The lines that could not be read.
    pub faults: Vec<LineFault>,
}

/// What a line holds.
const PLATE_POINT: &str = "plate volts, grid volts and current";
const ZERO_BIAS_POINT: &str = "plate volts and current";

/// Reads points of a plate family: plate volts, grid volts, plate current.
pub fn plate_points(text: &str) -> PointTable<PlatePoint> {
    read(
        text,
        &[Role::Plate, Role::Grid, Role::Current],
        PLATE_POINT,
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
pub fn zero_bias(text: &str) -> PointTable<(Volts, Amps)> {
    read(
        text,
        &[Role::Plate, Role::Current],
        ZERO_BIAS_POINT,
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

/// The values of one line (SI).
#[derive(Debug, Default)]
struct Values {
    plate: Option<f64>,
    grid: Option<f64>,
    current: Option<f64>,
}

/// What would do in place of a comma that can be read in two ways.
pub(in crate::parts) const UNCLEAR: &str =
    "a decimal point, or no comma: a comma before three digits can be read in two ways";

fn read<T>(
    text: &str,
    usual: &[Role],
    expected: &'static str,
    row: impl Fn(&Values) -> Option<T>,
) -> PointTable<T> {
    let mut out = PointTable {
        rows: Vec::new(),
        lines: Vec::new(),
        faults: Vec::new(),
    };
    let mut columns: Vec<Column> = usual.iter().copied().map(Column::usual).collect();
    let plain = text.replace('\u{2212}', "-").replace('\u{a0}', " ");
    let commas = Commas::of(&plain);
    for (number, line) in plain.lines().enumerate() {
        let line = line.split("//").next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        if let Some(header) = header(line, usual) {
            columns = header;
            continue;
        }
        let values = splits(line)
            .into_iter()
            .find_map(|cells| values(&cells, &columns, commas));
        match values.and_then(|values| row(&values)) {
            Some(read) => {
                out.rows.push(read);
                out.lines.push(number + 1);
            }
            None => out.faults.push(LineFault {
                line: number + 1,
                found: line.to_owned(),
                expected: if commas == Commas::Unclear && line.split_whitespace().any(unclear) {
                    UNCLEAR
                } else {
                    expected
                },
            }),
        }
    }
    out
}

fn values(cells: &[String], columns: &[Column], commas: Commas) -> Option<Values> {
    if cells.len() != columns.len() {
        return None;
    }
    let read: Vec<(Cell, &Column)> = cells
        .iter()
        .zip(columns)
        .filter(|(_, column)| column.role != Role::Other)
        .map(|(text, column)| Some((cell(text, commas)?, column)))
        .collect::<Option<_>>()?;
    let mut values = Values::default();
    let amps = read
        .iter()
        .position(|(cell, _)| matches!(cell, Cell::Amps(_)));
    let at_home = read.iter().position(|(_, c)| c.role == Role::Current);
    if amps.is_some() && amps != at_home {
        // The units say which column is which.
        let mut volts = read.iter().filter_map(|(cell, _)| match cell {
            Cell::Volts(volts) | Cell::Bare(volts) => Some(*volts),
            Cell::Amps(_) => None,
        });
        values.plate = volts.next();
        values.grid = volts.next();
        values.current = read.iter().find_map(|(cell, _)| match cell {
            Cell::Amps(amps) => Some(*amps),
            _ => None,
        });
    } else {
        for (cell, column) in &read {
            let value = match (cell, column.role) {
                (Cell::Bare(bare), _) => column.si(*bare),
                (Cell::Volts(volts), Role::Plate | Role::Grid) => *volts,
                (Cell::Amps(amps), Role::Current) => *amps,
                _ => return None,
            };
            match column.role {
                Role::Plate => values.plate = Some(value),
                Role::Grid => values.grid = Some(value),
                Role::Current => values.current = Some(value),
                Role::Screen | Role::Other => {}
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
    fn a_bare_number_is_the_very_value_that_it_is_with_its_unit() {
        // A file must not say 72.00000000000001 mA.
        for tenths in 1..10_000 {
            let n = format!("{}.{}", tenths / 10, tenths % 10);
            for (bare, full) in [
                (format!("250, -14, {n}"), format!("{n} mA")),
                (format!("Va Vg Ia(uA)\n250 -14 {n}"), format!("{n} µA")),
            ] {
                let read = plate_points(&bare);
                let [got] = read.rows.as_slice() else {
                    panic!("{bare}: {read:?}");
                };
                assert_eq!(got.current, full.parse().unwrap(), "{bare}");
            }
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
            "250,0, -14,0, 72,0",
            "250,0 -14,0 72,0",
            "250,0\t-14,0\t72,000",
            "250 V, -14 V, 72 mA,",
            "Ua (V); Ug (V); Ia (mA)\n250; -14; 72",
            "Ua/V\tUg/V\tIa/mA\n250\t-14\t72",
            "Va,Vg,Ia (uA)\n250,-14,72000",
            "Va Vg Ia (mA)\n250 -14 72",
            "No.\tVa\tVg\tIa\tremark\n1\t250\t-14\t72\tgood",
            "Anode volts; Bias; Anode current (A)\n250; -14; 0,072",
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
        for text in [
            "250 V, -14 V",
            "250; ; 72",
            "250 V, -14 V, 72 mA, 5 mA",
            "Va; Vg; Vg2; Ia",
            "Va; Ia",
            "0x10, 1, 1",
        ] {
            let read = plate_points(text);
            assert!(
                read.rows.is_empty() && read.faults.len() == 1,
                "{text}: {read:?}"
            );
        }
    }

    #[test]
    fn a_comma_before_three_digits_is_asked_about_unless_others_tell() {
        let read = plate_points("1,250\t-14\t72");
        assert_eq!(read.faults[0].expected, UNCLEAR);
        let read = plate_points("300,5\t-14\t72\n100,250\t-14\t72");
        assert_eq!(read.faults, []);
        assert!((read.rows[1].plate.0 - 100.25).abs() < 1e-9);
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
