//! From the texts of a draft to what is known of the tube's currents, and to every field that is at fault.

use crate::parts::control_tube::{ControlTubeKind, PentodePoint};
use crate::parts::pass_stage::{PlateCharacteristic, PlatePoint, SmallSignal};
use crate::parts::point_lines;
use crate::parts::quantity::{Amps, Ohms, Quantity, QuantityError, Siemens, Volts};
use crate::parts::rating::Source;
use crate::parts::tube_draft::{DraftCurrents, DraftFault, Known, NOTHING, TubeDraft};

/// Reads fields and collects what is wrong with them.
#[derive(Default)]
pub(super) struct Reader {
    pub(super) faults: Vec<DraftFault>,
}

impl Reader {
    pub(super) fn add(&mut self, field: &str, found: &str, expected: impl Into<String>) {
        self.faults.push(DraftFault {
            field: field.to_owned(),
            line: None,
            found: if found.trim().is_empty() {
                NOTHING.to_owned()
            } else {
                found.trim().to_owned()
            },
            expected: expected.into(),
        });
    }

    pub(super) fn optional<Q: Quantity>(&mut self, field: &str, text: &str) -> Option<Q> {
        if text.trim().is_empty() {
            return None;
        }
        text.parse()
            .map_err(|wrong: QuantityError| {
                self.add(field, text, wrong.expected);
            })
            .ok()
    }

    pub(super) fn needed<Q: Quantity>(&mut self, field: &str, text: &str) -> Option<Q> {
        if text.trim().is_empty() {
            // A grid is mostly below its cathode.
            let example = if field == "Grid volts" {
                "-14 V"
            } else {
                Q::EXAMPLE
            };
            self.add(field, text, format!("a value such as {example}"));
        }
        self.optional(field, text)
    }

    fn number(&mut self, field: &str, text: &str) -> Option<f64> {
        if text.trim().is_empty() {
            return None;
        }
        let number = text.trim().replace(',', ".").parse().ok();
        let number = number.filter(|n: &f64| n.is_finite());
        if number.is_none() {
            self.add(field, text, "a number such as 4.2");
        }
        number
    }
}

impl TubeDraft {
    /// What is known of the currents.
    ///
    /// # Errors
    /// Every field that is at fault.
    pub fn read(&self) -> Result<DraftCurrents, Vec<DraftFault>> {
        let mut reader = Reader::default();
        let currents = match self.known {
            Known::Points => Some(self.read_points(&mut reader)),
            Known::OnePoint => self.read_one_point(&mut reader),
            Known::ZeroBias => Some(self.read_zero_bias(&mut reader)),
            Known::Pentode => self.read_pentode(&mut reader),
        };
        match currents {
            Some(currents) if reader.faults.is_empty() => Ok(currents),
            _ => Err(reader.faults),
        }
    }

    fn read_points(&self, reader: &mut Reader) -> DraftCurrents {
        let read = point_lines::plate_points(&self.points);
        lines_at_fault(reader, "Points", read.faults);
        if read.rows.is_empty() && reader.faults.is_empty() {
            reader.add("Points", "", "a point such as 250 V, -14 V, 72 mA");
        }
        let figures = self.read_figures(reader);
        DraftCurrents::Triode {
            characteristic: PlateCharacteristic::Published {
                points: read.rows,
                small_signal: figures.into_iter().collect(),
            },
            lines: read.lines,
        }
    }

    fn read_one_point(&self, reader: &mut Reader) -> Option<DraftCurrents> {
        let plate = reader.needed("Plate volts", &self.plate);
        let grid = reader.needed("Grid volts", &self.grid);
        let current = reader.needed("Plate current", &self.current);
        let figures = self.read_figures(reader);
        if figures.is_none() && reader.faults.is_empty() {
            reader.add("µ", "", "µ, plate resistance or transconductance");
        }
        let point = PlatePoint {
            plate: plate?,
            grid: grid?,
            current: current?,
            source: Source::default(),
        };
        Some(DraftCurrents::Triode {
            characteristic: PlateCharacteristic::Published {
                points: vec![point],
                small_signal: figures.into_iter().collect(),
            },
            lines: Vec::new(),
        })
    }

    /// µ, rp and gm, if one of them is given; they need the volts they are meant at.
    fn read_figures(&self, reader: &mut Reader) -> Option<SmallSignal> {
        let mu = reader.number("µ", &self.mu);
        let plate_resistance = reader.optional::<Ohms>("Plate resistance", &self.plate_resistance);
        let transconductance =
            reader.optional::<Siemens>("Transconductance", &self.transconductance);
        if mu.is_none() && plate_resistance.is_none() && transconductance.is_none() {
            return None;
        }
        let (plate, grid) = if self.known == Known::OnePoint {
            // Asked for already.
            (self.plate.parse().ok(), self.grid.parse().ok())
        } else {
            (
                reader.needed("Plate volts", &self.plate),
                reader.needed("Grid volts", &self.grid),
            )
        };
        Some(SmallSignal {
            plate: plate?,
            grid: grid?,
            mu,
            plate_resistance,
            transconductance,
            source: Source::default(),
        })
    }

    fn read_zero_bias(&self, reader: &mut Reader) -> DraftCurrents {
        let read = point_lines::zero_bias(&self.zero_bias);
        lines_at_fault(reader, "Zero-bias curve", read.faults);
        if read.rows.len() < 2 && reader.faults.is_empty() {
            reader.add(
                "Zero-bias curve",
                &self.zero_bias,
                "at least two points such as 40 V, 150 mA",
            );
        }
        let mut table: Vec<((Volts, Amps), usize)> =
            read.rows.into_iter().zip(read.lines).collect();
        table.sort_by(|((a, _), _), ((b, _), _)| a.0.total_cmp(&b.0));
        for pair in table.windows(2) {
            let [((volts, amps), _), ((next_volts, next_amps), line)] = pair else {
                continue;
            };
            if next_volts <= volts || next_amps <= amps {
                reader.faults.push(DraftFault {
                    field: "Zero-bias curve".to_owned(),
                    line: Some(*line),
                    found: format!("{next_amps} at {next_volts} after {amps} at {volts}"),
                    expected: "a current that rises with the plate volts".to_owned(),
                });
            }
        }
        let (table, lines) = table.into_iter().unzip();
        DraftCurrents::Triode {
            characteristic: PlateCharacteristic::ZeroBias(table),
            lines,
        }
    }

    fn read_pentode(&self, reader: &mut Reader) -> Option<DraftCurrents> {
        let plate = reader.needed("Plate volts", &self.plate);
        let screen = reader.needed("Screen volts", &self.screen);
        let grid = reader.needed("Grid volts", &self.grid);
        let plate_current = reader.needed("Plate current", &self.current);
        let screen_current = reader.needed("Screen current", &self.screen_current);
        let plate_resistance = reader.optional("Plate resistance", &self.plate_resistance);
        let transconductance = reader.needed("Transconductance", &self.transconductance);
        let screen_mu = reader.number("Screen µ", &self.screen_mu);
        let point = PentodePoint {
            plate: plate?,
            screen: screen?,
            grid: grid?,
            plate_current: plate_current?,
            screen_current: screen_current?,
            plate_resistance,
            transconductance: transconductance?,
            source: Source::default(),
        };
        Some(DraftCurrents::Pentode(ControlTubeKind::Pentode {
            operating_points: vec![point],
            screen_mu,
        }))
    }
}

fn lines_at_fault(reader: &mut Reader, field: &str, faults: Vec<point_lines::LineFault>) {
    reader
        .faults
        .extend(faults.into_iter().map(|fault| DraftFault {
            field: field.to_owned(),
            line: Some(fault.line),
            found: fault.found,
            expected: fault.expected.to_owned(),
        }));
}
