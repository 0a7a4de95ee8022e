//! The curves of a supply as comma-separated values, for a spreadsheet or another plot.
//!
//! One block a curve: its name on a line of its own, the columns with their units, the rows, an empty line.
//! DEVELOPERS.md documents the blocks.

use crate::explain::accepted;
use crate::explain::limits;
use crate::explain::needs;
use crate::physics::Model;
use crate::physics::envelope::{Column, Curve, Envelope};
use crate::physics::limit::Limit;
use crate::physics::operation::Case;

const VOLTS_OVER_AMPS: &[&str] = &["output current (A)", "output volts (V)"];

const MAINS: [(&str, Case); 3] = [
    ("low mains", Case::Low),
    ("present mains", Case::Present),
    ("high mains", Case::High),
];

/// All curves; the same text on every run.
pub fn curves(model: &Model, envelope: &Envelope) -> String {
    let mut table = Table::default();
    let columns = [
        "output current (A)",
        "least output volts (V)",
        "highest output volts (V)",
    ];
    for (name, region) in [("envelope", &envelope.region), ("reach", &envelope.reach)] {
        let rows: Vec<Vec<f64>> = region.iter().map(|r| r.to_vec()).collect();
        table.block(name, &columns, &rows);
    }
    for line in &envelope.limits {
        let name = limits::name(line.limit, &model.supply);
        curve(
            &mut table,
            &format!("{name}, as it binds"),
            line.limit,
            &line.curve,
        );
        if let Some(published) = &line.published {
            let name = format!(
                "{name}, as published; {}",
                accepted_as_built(line.limit, model)
            );
            curve(&mut table, &name, line.limit, published);
        }
        for ((mains, _), at) in MAINS.iter().zip(&line.at_low_present_high) {
            curve(&mut table, &format!("{name}, {mains}"), line.limit, at);
        }
    }
    for (mains, case) in MAINS {
        if let Some(column) = envelope.column(case) {
            operations(&mut table, model, mains, column);
        }
    }
    table.text
}

fn accepted_as_built(limit: Limit, model: &Model) -> String {
    accepted::up_to(limit, &model.supply).unwrap_or_default()
}

/// A limit that has no line in the plane says so in one row.
fn curve(table: &mut Table, name: &str, limit: Limit, curve: &Curve) {
    match curve {
        Curve::Ceiling(points) | Curve::Floor(points) => {
            let side = if matches!(curve, Curve::Ceiling(_)) {
                "allowed below"
            } else {
                "allowed above"
            };
            let rows: Vec<Vec<f64>> = points.iter().map(|p| p.to_vec()).collect();
            table.block(&format!("{name}, {side}"), VOLTS_OVER_AMPS, &rows);
        }
        Curve::Wall(amps) => table.block(
            &format!("{name}, highest output current"),
            &["output current (A)"],
            &[vec![*amps]],
        ),
        Curve::Everywhere(ratio) => table.block(
            &format!("{name}, the same everywhere"),
            &["use with no load (1)"],
            &[vec![*ratio]],
        ),
        Curve::OutOfReach => table.remark(name, "not met within the currents computed"),
        Curve::NotKnown(missing) => {
            table.remark(
                name,
                &format!("not known: {}", needs::of_limit(limit, *missing)),
            );
        }
    }
}

fn operations(table: &mut Table, model: &Model, mains: &str, column: &Column) {
    let rows: Vec<Vec<f64>> = column
        .operations
        .iter()
        .map(|at| {
            vec![
                at.output_amps,
                at.bus.mean_volts,
                at.bus.trough_volts,
                at.bus.crest_volts,
                at.rectifier.peak_amps,
                at.rectifier.mean_amps,
                (model.winding_rms_amps(column.case, at)).unwrap_or(f64::NAN),
                model.dropout_volts(column.case, at).unwrap_or(f64::NAN),
            ]
        })
        .collect();
    table.block(
        &format!("bus and rectifier, {mains}"),
        &[
            "output current (A)",
            "bus mean (V)",
            "bus valley (V)",
            "bus crest (V)",
            "rectifier peak per plate (A)",
            "rectifier mean per plate (A)",
            "winding rms (A)",
            "dropout (V)",
        ],
        &rows,
    );
}

/// Text that grows block by block.
#[derive(Default)]
struct Table {
    text: String,
}

impl Table {
    fn block(&mut self, name: &str, columns: &[&str], rows: &[Vec<f64>]) {
        self.name(name);
        let header: Vec<String> = columns.iter().map(|column| quoted(column)).collect();
        self.line(&header);
        for row in rows {
            let cells: Vec<String> = row.iter().map(|value| figure(*value)).collect();
            self.line(&cells);
        }
        self.text.push('\n');
    }

    fn remark(&mut self, name: &str, remark: &str) {
        self.name(name);
        self.line(&[quoted(remark)]);
        self.text.push('\n');
    }

    fn name(&mut self, name: &str) {
        self.line(&[quoted(name)]);
    }

    fn line(&mut self, cells: &[String]) {
        self.text.push_str(&cells.join(","));
        self.text.push('\n');
    }
}

/// A cell as RFC 4180 wants it.
fn quoted(text: &str) -> String {
    let text = text.replace(['\n', '\r'], " ");
    if text.contains([',', '"']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
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

    #[test]
    fn every_block_has_a_name_columns_with_units_and_rows_as_wide() {
        let supply = samples::laboratory_supply();
        let model = Model::of(&supply).unwrap();
        let text = curves(&model, &envelope(&model).unwrap());
        let mut names = Vec::new();
        for block in text.trim_end().split("\n\n") {
            let mut lines = block.lines();
            names.push(lines.next().unwrap_or_default().to_owned());
            let header = lines.next().expect("columns");
            for row in lines {
                assert_eq!(row.split(',').count(), header.split(',').count(), "{block}");
                for cell in row.split(',').filter(|cell| !cell.is_empty()) {
                    cell.parse::<f64>().expect(cell);
                }
                assert!(header.contains("(A)") || header.contains("(1)"), "{header}");
            }
        }
        assert_eq!(names[0], "envelope");
        assert!(
            names.iter().any(|n| n.contains("dropout, high mains")),
            "{names:?}"
        );
        assert!(
            names
                .iter()
                .any(|n| n.contains("bus and rectifier, low mains"))
        );
    }

    /// More mains, more volts: each block is of the mains that it is called by.
    #[test]
    fn the_bus_of_higher_mains_is_higher() {
        let supply = samples::laboratory_supply();
        let model = Model::of(&supply).unwrap();
        let text = curves(&model, &envelope(&model).unwrap());
        let bus = |mains: &str| -> f64 {
            let mut blocks = text.split("\n\n");
            // Its name has a comma and stands in quotation marks.
            let block = blocks.find(|block| block.starts_with(&format!("\"{mains}\"")));
            let row = block.and_then(|block| block.lines().nth(2)).expect(mains);
            row.split(',')
                .nth(1)
                .and_then(|c| c.parse().ok())
                .expect(row)
        };
        let [low, present, high] = ["low", "present", "high"]
            .map(|mains| bus(&format!("bus and rectifier, {mains} mains")));
        assert!(low < present && present < high, "{low} {present} {high} V");
    }

    #[test]
    fn cells_are_quoted_as_rfc_4180_says() {
        assert_eq!(quoted("a, \"b\""), "\"a, \"\"b\"\"\"");
        assert_eq!(figure(-0.0), "0");
        assert_eq!(figure(0.123_456_789), "0.1234568");
        assert_eq!(figure(f64::NAN), "");
    }
}
