//! A type of tube while it is being typed: texts as they stand in the fields, and what they come to.
//!
//! Unlike the supply a draft may be wrong or half done, and it is kept as it is; so it is a record of texts, and its
//! own notation. [`TubeDraft::read`] says what is known so far and which field is at fault.

mod own_type;

use serde::{Deserialize, Serialize};

use crate::parts::control_tube::{ControlTubeKind, ControlTubeType, PentodePoint};
use crate::parts::pass_stage::{PassTubeType, PlateCharacteristic, PlatePoint, SmallSignal};
use crate::parts::point_lines;
use crate::parts::quantity::{Amps, Ohms, Quantity, Siemens, Volts};
use crate::parts::rating::{Rating, Source};

/// Where the type is to stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Place {
    /// Among the pass tubes.
    #[default]
    Pass,
    /// Among the control tubes.
    Control,
}

/// What is known of the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Known {
    /// Points of the plate family.
    #[default]
    Points,
    /// One operating point with µ, rp, gm.
    OnePoint,
    /// The zero-bias curve alone.
    ZeroBias,
    /// One operating point of a pentode; a control tube only.
    Pentode,
}

/// The texts of the fields. An empty text means: not known.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, rename = "tube_draft")]
pub struct TubeDraft {
    /// Where the type is to stand.
    pub place: Place,
    /// Which of the fields count.
    pub known: Known,
    /// The type that was copied; what has no field here and every unchanged source come from it.
    pub copy_of: String,
    /// Type designation.
    pub name: String,
    /// A few words.
    pub about: String,
    /// Units (sections) in one envelope.
    pub units: String,
    /// Points of the plate family, one a line.
    pub points: String,
    /// The zero-bias curve, one point a line.
    pub zero_bias: String,
    /// Plate volts of the operating point.
    pub plate: String,
    /// Grid volts of the operating point.
    pub grid: String,
    /// Plate current of the operating point.
    pub current: String,
    /// Amplification factor.
    pub mu: String,
    /// Plate resistance.
    pub plate_resistance: String,
    /// Transconductance.
    pub transconductance: String,
    /// Screen volts of a pentode.
    pub screen: String,
    /// Screen current of a pentode.
    pub screen_current: String,
    /// Amplification factor from control grid to screen.
    pub screen_mu: String,
    /// Highest plate dissipation.
    pub plate_dissipation: String,
    /// Highest plate volts.
    pub plate_volts: String,
    /// Highest plate current; a pass tube only.
    pub plate_current: String,
    /// Highest screen dissipation.
    pub screen_dissipation: String,
    /// Highest heater–cathode volts.
    pub heater_cathode: String,
    /// Largest grid-circuit resistance.
    pub grid_resistor: String,
}

/// What keeps a draft from being a type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DraftFault {
    /// The field, by the name it bears in the window.
    pub field: String,
    /// The line in it, counted from 1.
    pub line: Option<usize>,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// What is known of the tube's currents, with the line on which each point stands.
#[derive(Debug, Clone, PartialEq)]
pub enum DraftCurrents {
    /// A triode's.
    Triode {
        /// What is known.
        characteristic: PlateCharacteristic,
        /// The line of each point (counted from 1); empty where they are not written in lines.
        lines: Vec<usize>,
    },
    /// A pentode's.
    Pentode(ControlTubeKind),
}

/// Reads fields and collects what is wrong with them.
#[derive(Default)]
struct Reader {
    faults: Vec<DraftFault>,
}

impl Reader {
    fn add(&mut self, field: &str, found: &str, expected: impl Into<String>) {
        self.faults.push(DraftFault {
            field: field.to_owned(),
            line: None,
            found: if found.trim().is_empty() {
                "nothing".to_owned()
            } else {
                found.trim().to_owned()
            },
            expected: expected.into(),
        });
    }

    fn optional<Q: Quantity>(&mut self, field: &str, text: &str) -> Option<Q> {
        if text.trim().is_empty() {
            return None;
        }
        text.parse()
            .map_err(|wrong: crate::parts::quantity::QuantityError| {
                self.add(field, text, wrong.expected);
            })
            .ok()
    }

    fn needed<Q: Quantity>(&mut self, field: &str, text: &str) -> Option<Q> {
        if text.trim().is_empty() {
            self.add(field, text, format!("a value such as {}", Q::EXAMPLE));
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
    /// An empty draft.
    pub fn new(place: Place) -> Self {
        Self {
            place,
            units: "1".to_owned(),
            ..Self::default()
        }
    }

    /// True if nothing was typed.
    pub fn is_empty(&self) -> bool {
        let bare = Self {
            known: self.known,
            ..Self::new(self.place)
        };
        *self == bare
    }

    /// A copy of a pass tube, under a name of its own.
    pub fn of_pass_tube(tube: &PassTubeType) -> Self {
        let mut draft = Self {
            copy_of: tube.name.clone(),
            name: own_name(&tube.name),
            about: tube.about.clone(),
            units: tube.units.to_string(),
            plate_dissipation: text(tube.plate_dissipation.as_ref()),
            plate_volts: text(tube.plate_volts.as_ref()),
            plate_current: text(tube.plate_current.as_ref()),
            screen_dissipation: text(tube.screen_dissipation.as_ref()),
            heater_cathode: text(tube.heater_cathode.as_ref()),
            grid_resistor: text(tube.grid_resistor.as_ref()),
            ..Self::new(Place::Pass)
        };
        draft.take_characteristic(&tube.characteristic);
        draft
    }

    /// A copy of a control tube, under a name of its own.
    pub fn of_control_tube(tube: &ControlTubeType) -> Self {
        let mut draft = Self {
            copy_of: tube.name.clone(),
            name: own_name(&tube.name),
            about: tube.about.clone(),
            units: tube.units.to_string(),
            plate_dissipation: text(tube.plate_dissipation.as_ref()),
            plate_volts: text(tube.plate_volts.as_ref()),
            screen_dissipation: text(tube.screen_dissipation.as_ref()),
            heater_cathode: text(tube.heater_cathode.as_ref()),
            grid_resistor: text(tube.grid_resistor.as_ref()),
            ..Self::new(Place::Control)
        };
        match &tube.kind {
            ControlTubeKind::Triode(known) => draft.take_characteristic(known),
            ControlTubeKind::Pentode {
                operating_points,
                screen_mu,
            } => {
                draft.known = Known::Pentode;
                if let Some(point) = operating_points.last() {
                    draft.plate = point.plate.to_string();
                    draft.screen = point.screen.to_string();
                    draft.grid = point.grid.to_string();
                    draft.current = point.plate_current.to_string();
                    draft.screen_current = point.screen_current.to_string();
                    draft.plate_resistance = shown(point.plate_resistance);
                    draft.transconductance = point.transconductance.to_string();
                }
                draft.screen_mu = screen_mu.map(|mu| mu.to_string()).unwrap_or_default();
            }
        }
        draft
    }

    fn take_characteristic(&mut self, known: &PlateCharacteristic) {
        match known {
            PlateCharacteristic::Published {
                points,
                small_signal,
            } => {
                if let Some(figures) = small_signal.first() {
                    self.plate = figures.plate.to_string();
                    self.grid = figures.grid.to_string();
                    self.mu = figures.mu.map(|mu| mu.to_string()).unwrap_or_default();
                    self.plate_resistance = shown(figures.plate_resistance);
                    self.transconductance = shown(figures.transconductance);
                }
                if let [point] = points.as_slice() {
                    self.known = Known::OnePoint;
                    self.plate = point.plate.to_string();
                    self.grid = point.grid.to_string();
                    self.current = point.current.to_string();
                }
                self.points = point_lines::write_plate_points(points);
            }
            PlateCharacteristic::ZeroBias(table) => {
                self.known = Known::ZeroBias;
                self.zero_bias = point_lines::write_zero_bias(table);
            }
            // Coefficients have no points to edit: the fields start empty.
            PlateCharacteristic::Law(_) => {}
        }
    }

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

/// A name that does not replace the type that was copied.
fn own_name(name: &str) -> String {
    if name.ends_with("(own)") {
        name.to_owned()
    } else {
        format!("{name} (own)")
    }
}

fn text<Q: Quantity>(rating: Option<&Rating<Q>>) -> String {
    shown(rating.map(|r| r.value))
}

fn shown<Q: Quantity>(value: Option<Q>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
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
