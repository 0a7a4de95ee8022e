//! From the texts of a draft to what is known of the tube's currents, and to every field that is at fault.

use crate::parts::check;
use crate::parts::control_tube::{ControlTubeKind, KneePoint, PentodePoint};
use crate::parts::pass_stage::{PlateCharacteristic, PlatePoint, SmallSignal};
use crate::parts::point_lines;
use crate::parts::quantity::{Amps, Ohms, Quantity, QuantityError, Siemens, Volts, Watts};
use crate::parts::rating::Source;
use crate::parts::tube_draft::examples::bare_unit;
use crate::parts::tube_draft::own_type::{in_window, without_idle};
use crate::parts::tube_draft::{DraftCurrents, DraftFault, NOTHING, SheetData, TubeDraft};

/// Reads fields of a draft and collects what is wrong with them.
pub(super) struct Reader<'d> {
    draft: &'d TubeDraft,
    pub(super) faults: Vec<DraftFault>,
}

impl<'d> Reader<'d> {
    pub(super) fn of(draft: &'d TubeDraft) -> Self {
        Self {
            draft,
            faults: Vec::new(),
        }
    }

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
        let example = self.draft.example(field).unwrap_or(Q::EXAMPLE);
        let bare = text.trim().chars().all(in_a_number);
        let unit = bare_unit(field, Q::SYMBOL).filter(|_| bare);
        let read: Result<Q, QuantityError> =
            format!("{} {}", text.trim(), unit.unwrap_or_default()).parse();
        match read {
            // Amperes or milliamperes, ohms or kilohms: sheets have both, and a guess would be off by a thousand.
            Ok(value) if bare && unit.is_none() && value.si() != 0.0 => {
                let expected = format!("its unit too, such as {example}");
                self.add(field, text, expected);
                None
            }
            Ok(value) => Some(value),
            Err(wrong) => {
                let quoted = format!("\"{}\"", Q::EXAMPLE);
                self.add(field, text, wrong.expected.replace(&quoted, example));
                None
            }
        }
    }

    pub(super) fn needed<Q: Quantity>(&mut self, field: &str, text: &str) -> Option<Q> {
        if text.trim().is_empty() {
            let example = self.draft.example(field).unwrap_or(Q::EXAMPLE);
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
            let example = self.draft.example(field).unwrap_or("4.2");
            self.add(field, text, format!("a number such as {example}"));
        }
        number
    }
}

fn in_a_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '\u{2212}')
}

impl TubeDraft {
    /// What is known of the currents, in bounds that keep out what no tube has.
    ///
    /// # Errors
    /// Every field that is at fault.
    pub fn read(&self) -> Result<DraftCurrents, Vec<DraftFault>> {
        let mut reader = Reader::of(self);
        let currents = match self.known {
            SheetData::Points => Some(self.read_points(&mut reader)),
            SheetData::OnePoint => self.read_one_point(&mut reader),
            SheetData::ZeroBias => Some(self.read_zero_bias(&mut reader)),
            SheetData::Pentode => self.read_pentode(&mut reader),
        };
        if let Some(currents) = &currents
            && reader.faults.is_empty()
        {
            out_of_bounds(&mut reader, currents.clone());
        }
        match currents {
            Some(currents) if reader.faults.is_empty() => Ok(currents),
            _ => Err(reader.faults),
        }
    }

    /// The highest plate current of the sheet, if it is known and can be read.
    pub fn highest_current(&self) -> Option<Amps> {
        Reader::of(self).optional("Highest current", &self.ratings.plate_current.text)
    }

    /// The highest plate dissipation of the sheet, if it is known and can be read.
    pub fn highest_dissipation(&self) -> Option<Watts> {
        Reader::of(self).optional("Dissipation", &self.ratings.plate_dissipation.text)
    }

    /// What would do as one line of this field.
    fn line_example(&self, field: &str) -> &'static str {
        self.example(field).unwrap_or_default()
    }

    fn read_points(&self, reader: &mut Reader<'_>) -> DraftCurrents {
        let read = point_lines::plate_points(&self.points);
        lines_at_fault(reader, "Points", read.faults);
        let example = self.line_example("Points");
        if read.rows.is_empty() && reader.faults.is_empty() {
            reader.add("Points", "", format!("a point such as {example}"));
        } else if !read.rows.is_empty() && read.rows.iter().all(|p| p.current.0 == 0.0) {
            reader.add(
                "Points",
                "points without current only",
                format!("at least one with a current, such as {example}"),
            );
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

    fn read_one_point(&self, reader: &mut Reader<'_>) -> Option<DraftCurrents> {
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
    fn read_figures(&self, reader: &mut Reader<'_>) -> Option<SmallSignal> {
        let mu = reader.number("µ", &self.mu);
        let plate_resistance = reader.optional::<Ohms>("Plate resistance", &self.plate_resistance);
        let transconductance =
            reader.optional::<Siemens>("Transconductance", &self.transconductance);
        if mu.is_none() && plate_resistance.is_none() && transconductance.is_none() {
            return None;
        }
        let (plate, grid) = if self.known == SheetData::OnePoint {
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

    fn read_zero_bias(&self, reader: &mut Reader<'_>) -> DraftCurrents {
        let read = point_lines::zero_bias(&self.zero_bias);
        lines_at_fault(reader, "Zero-bias curve", read.faults);
        if read.rows.len() < 2 && reader.faults.is_empty() {
            reader.add(
                "Zero-bias curve",
                &self.zero_bias,
                format!(
                    "at least two points such as {}",
                    self.line_example("Zero-bias curve")
                ),
            );
        }
        for ((volts, amps), line) in read.rows.iter().zip(&read.lines) {
            let problems = check::zero_bias_point(*volts, *amps);
            reader
                .faults
                .extend(problems.into_iter().map(|problem| DraftFault {
                    field: "Zero-bias curve".to_owned(),
                    line: Some(*line),
                    found: problem.found,
                    expected: problem.expected,
                }));
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

    fn read_pentode(&self, reader: &mut Reader<'_>) -> Option<DraftCurrents> {
        let plate = reader.needed("Plate volts", &self.plate);
        let screen = reader.needed("Screen volts", &self.screen);
        let grid = reader.needed("Grid volts", &self.grid);
        let plate_current = reader.needed("Plate current", &self.current);
        let screen_current = reader.needed("Screen current", &self.screen_current);
        let plate_resistance = reader.optional("Plate resistance", &self.plate_resistance);
        let transconductance = reader.needed("Transconductance", &self.transconductance);
        let screen_mu = reader.number("Screen µ", &self.screen_mu);
        let read = point_lines::plate_points(&self.knee);
        lines_at_fault(reader, "Knee", read.faults);
        let knee = read.rows.iter().zip([screen].into_iter().cycle());
        let knee = knee.filter_map(|(row, screen)| Some(KneePoint::at(row, screen?)));
        let knee = knee.collect();
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
            knee,
        }))
    }
}

/// Values that no tube has.
fn out_of_bounds(reader: &mut Reader<'_>, currents: DraftCurrents) {
    let (kind, lines) = match without_idle(currents) {
        DraftCurrents::Triode {
            characteristic,
            lines,
        } => (ControlTubeKind::Triode(characteristic), lines),
        DraftCurrents::Pentode(kind) => (kind, Vec::new()),
    };
    for problem in check::control_tube_kind(&kind) {
        let (field, line) = in_window(&problem.field, &lines);
        let kilovolts =
            problem.field.rsplit('.').next() == Some("plate") && problem.found.ends_with(" mV");
        let hint = if kilovolts && !problem.found.starts_with(['-', '0']) {
            "; is it in kV?"
        } else {
            ""
        };
        let fault = DraftFault {
            field: field.to_owned(),
            line,
            found: problem.found,
            expected: format!("{}{hint}", problem.expected),
        };
        // The volts of a point are those of its figures too.
        if !reader.faults.contains(&fault) {
            reader.faults.push(fault);
        }
    }
}

fn lines_at_fault(reader: &mut Reader<'_>, field: &str, faults: Vec<point_lines::LineFault>) {
    let example = reader.draft.line_example(field);
    reader
        .faults
        .extend(faults.into_iter().map(|fault| DraftFault {
            field: field.to_owned(),
            line: Some(fault.line),
            found: fault.found,
            expected: if fault.expected == point_lines::UNCLEAR {
                fault.expected.to_owned()
            } else {
                format!("{}, such as {example}", fault.expected)
            },
        }));
}
