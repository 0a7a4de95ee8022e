//! The curves of a supply as comma-separated values, for a spreadsheet or another plot.
//!
//! One long table: each row is one point of one curve at one mains. DEVELOPERS.md documents the columns.

use crate::explain::accepted;
use crate::explain::limits;
use crate::explain::needs;
use crate::parts::escape::escaped;
use crate::physics::Model;
use crate::physics::envelope::{Column, Curve, Envelope};
use crate::physics::limit::Limit;
use crate::physics::operation::{Case, Operation};

/// What the table says of a point.
const HEADER: [&str; 8] = [
    "supply",
    "curve",
    "mains",
    "meaning",
    "output current (A)",
    "volts (V)",
    "current (A)",
    "use (1)",
];

/// The mains by which the curve as a whole binds.
const BINDING: &str = "as it binds";

const MAINS: [(&str, Case); 3] = [
    ("low", Case::Low),
    ("present", Case::Present),
    ("high", Case::High),
];

/// All curves of a supply of this name; the same text on every run.
pub fn curves(name: &str, model: &Model, envelope: &Envelope) -> String {
    let mut table = Table {
        supply: escaped(name.trim()),
        rows: vec![HEADER.map(str::to_owned)],
    };
    for (name, region) in [("envelope", &envelope.region), ("reach", &envelope.reach)] {
        for (meaning, of) in [("lowest output", 1), ("highest output", 2)] {
            let line = Line {
                curve: name,
                mains: BINDING,
                meaning,
            };
            for row in region {
                table.volts(line, [row[0], row[of]]);
            }
        }
    }
    for line in &envelope.limits {
        let name = limits::name(line.limit, &model.supply);
        let mut one = |mains: &str, curve: &Curve| {
            limit(&mut table, &name, mains, (line.limit, curve));
        };
        one(BINDING, &line.curve);
        if let Some(published) = &line.published {
            let accepted = accepted::up_to(line.limit, &model.supply).unwrap_or_default();
            one(&format!("as published; {accepted}"), published);
        }
        for ((mains, _), at) in MAINS.iter().zip(&line.at_low_present_high) {
            one(mains, at);
        }
    }
    for (mains, case) in MAINS {
        if let Some(column) = envelope.column(case) {
            operations(&mut table, model, mains, column);
        }
    }
    table.text()
}

/// A limit that has no line in the plane says so in one row.
fn limit(table: &mut Table, name: &str, mains: &str, (limit, curve): (Limit, &Curve)) {
    let line = |meaning| Line {
        curve: name,
        mains,
        meaning,
    };
    match curve {
        Curve::Ceiling(points) => points
            .iter()
            .for_each(|p| table.volts(line("allowed below"), *p)),
        Curve::Floor(points) => points
            .iter()
            .for_each(|p| table.volts(line("allowed above"), *p)),
        Curve::Wall(amps) => table.row(
            line("highest output current"),
            [Some(*amps), None, None, None],
        ),
        Curve::Everywhere(ratio) => table.row(
            line("the same everywhere, nothing connected"),
            [None, None, None, Some(*ratio)],
        ),
        Curve::OutOfReach => table.row(line("not met within the currents computed"), [None; 4]),
        Curve::NotKnown(missing) => {
            let why = format!("not known: {}", needs::of_limit(limit, *missing));
            table.row(line(&why), [None; 4]);
        }
    }
}

fn operations(table: &mut Table, model: &Model, mains: &str, column: &Column) {
    type Of<'a> = &'a dyn Fn(&Operation) -> Option<f64>;
    let volts: [(&str, Of<'_>); 4] = [
        ("bus mean", &|at| Some(at.bus.mean_volts)),
        ("bus valley", &|at| Some(at.bus.trough_volts)),
        ("bus crest", &|at| Some(at.bus.crest_volts)),
        ("dropout", &|at| model.dropout_volts(column.case, at)),
    ];
    let amps: [(&str, Of<'_>); 3] = [
        ("rectifier peak per plate", &|at| {
            Some(at.rectifier.peak_amps)
        }),
        ("rectifier mean per plate", &|at| {
            Some(at.rectifier.mean_amps)
        }),
        ("winding rms", &|at| {
            model.winding_rms_amps(column.case, at).ok()
        }),
    ];
    let line = |curve| Line {
        curve,
        mains,
        meaning: "over output current",
    };
    for (curve, of) in volts {
        for at in &column.operations {
            table.row(line(curve), [Some(at.output_amps), of(at), None, None]);
        }
    }
    for (curve, of) in amps {
        for at in &column.operations {
            table.row(line(curve), [Some(at.output_amps), None, of(at), None]);
        }
    }
}

/// Which curve a row is of.
#[derive(Clone, Copy)]
struct Line<'a> {
    curve: &'a str,
    mains: &'a str,
    meaning: &'a str,
}

/// A table that grows row by row.
struct Table {
    supply: String,
    rows: Vec<[String; HEADER.len()]>,
}

impl Table {
    /// A point of a line of volts (A, V).
    fn volts(&mut self, line: Line<'_>, [amps, volts]: [f64; 2]) {
        self.row(line, [Some(amps), Some(volts), None, None]);
    }

    /// Output current, volts, current, use.
    fn row(&mut self, line: Line<'_>, figures: [Option<f64>; 4]) {
        let [at, volts, amps, ratio] = figures.map(|known| known.map_or_else(String::new, figure));
        self.rows.push([
            self.supply.clone(),
            line.curve.to_owned(),
            line.mains.to_owned(),
            line.meaning.to_owned(),
            at,
            volts,
            amps,
            ratio,
        ]);
    }

    /// As RFC 4180 describes it, but with lines that end as text does here.
    fn text(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        // Neither memory nor the width of the rows can fail it.
        let written = self
            .rows
            .iter()
            .try_for_each(|row| writer.write_record(row));
        let bytes = written.ok().and_then(|()| writer.into_inner().ok());
        String::from_utf8(bytes.unwrap_or_default()).unwrap_or_default()
    }
}

/// Seven significant figures; what is not known is an empty cell.
fn figure(value: f64) -> String {
    let rounded: f64 = format!("{value:.6e}").parse().unwrap_or(value);
    if rounded.is_finite() {
        // No "-0".
        format!("{}", rounded + 0.0)
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::explain::samples;
    use crate::physics::envelope::envelope;

    /// The rows of the laboratory supply, read by the crate's own reader.
    fn rows(name: &str) -> Vec<Vec<String>> {
        let supply = samples::laboratory_supply();
        let model = Model::of(&supply).unwrap();
        let text = curves(name, &model, &envelope(&model).unwrap());
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(text.as_bytes());
        // A row of another width would be an error here.
        let rows = reader.records().map(Result::unwrap);
        rows.map(|row| row.iter().map(str::to_owned).collect())
            .collect()
    }

    #[test]
    fn one_table_with_units_in_its_header_and_every_row_as_wide() {
        let rows = rows("a supply, with a \"comma\"");
        assert_eq!(rows[0], HEADER);
        assert!(rows.len() > 500, "{}", rows.len());
        for row in &rows[1..] {
            assert_eq!(row[0], "a supply, with a \"comma\"");
            assert!(row[1..4].iter().all(|cell| !cell.is_empty()), "{row:?}");
            for cell in row[4..].iter().filter(|cell| !cell.is_empty()) {
                cell.parse::<f64>().expect(cell);
            }
            // A place of the plane has one figure beside it.
            let figures = row[5..].iter().filter(|cell| !cell.is_empty()).count();
            assert!(figures <= 1, "{row:?}");
        }
        let has = |curve: &str, mains: &str| rows.iter().any(|r| r[1] == curve && r[2] == mains);
        assert!(has("envelope", BINDING) && has("dropout", "high") && has("bus mean", "low"));
    }

    /// More mains, more volts: each row is of the mains that it names.
    #[test]
    fn the_bus_of_higher_mains_is_higher() {
        let rows = rows("");
        let bus = |mains: &str| -> f64 {
            let row = rows.iter().find(|r| r[1] == "bus mean" && r[2] == mains);
            row.unwrap()[5].parse().unwrap()
        };
        let [low, present, high] = MAINS.map(|(mains, _)| bus(mains));
        assert!(low < present && present < high, "{low} {present} {high} V");
    }

    #[test]
    fn figures_have_seven_digits_and_no_negative_zero() {
        assert_eq!(figure(-0.0), "0");
        assert_eq!(figure(0.123_456_789), "0.1234568");
        assert_eq!(figure(f64::NAN), "");
    }
}
