//! The drawer as a table: pasted from a spreadsheet, or comma-separated values out and in.

use crate::parts::drawer::lines::{
    LineFault, Lines, OHMS, USUAL_TOLERANCE, VOLTS, WATTS, counted, ohms_of, within,
};
use crate::parts::drawer::spelling::{kind_named, mounting_named, tolerance_named};
use crate::parts::drawer::{Drawer, Owned};
use crate::parts::quantity::{Fraction, Ohms, Quantity, Volts, Watts};
use crate::parts::resistor::{Mounting, Resistor, ResistorKind};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Column {
    Count,
    Ohms,
    Watts,
    Tolerance,
    Volts,
    Kind,
    Mounting,
    Derating,
    Name,
    /// Of no use here, such as where it lies.
    Other,
}

/// The columns as they are written, with their headings.
const WRITTEN: [(Column, &str); 9] = [
    (Column::Count, "count"),
    (Column::Ohms, "resistance"),
    (Column::Watts, "power"),
    (Column::Tolerance, "tolerance"),
    (Column::Volts, "working volts"),
    (Column::Kind, "kind"),
    (Column::Mounting, "mounting"),
    (Column::Derating, "derating"),
    (Column::Name, "name"),
];

/// What a heading may begin with, small.
const HEADINGS: [(Column, &[&str]); 9] = [
    (
        Column::Count,
        &[
            "count", "qty", "quantity", "pcs", "pieces", "how many", "number", "n",
        ],
    ),
    (
        Column::Ohms,
        &["resistance", "ohm", "value", "r", "ω", "kohm", "kω"],
    ),
    (
        Column::Watts,
        &["power", "watt", "w", "p", "rating", "rated"],
    ),
    (Column::Tolerance, &["tol", "±"]),
    (
        Column::Volts,
        &["working volts", "volt", "v", "max v", "working"],
    ),
    (Column::Kind, &["kind", "type", "construction", "make"]),
    (Column::Mounting, &["mount", "heat sink", "heatsink"]),
    (Column::Derating, &["derat", "allowed"]),
    (
        Column::Name,
        &["name", "label", "note", "remark", "description"],
    ),
];

/// What parts the cells of a line, by what its line of headings has.
fn separator(heading: &str) -> Option<u8> {
    [b'\t', b';', b',']
        .into_iter()
        .find(|c| heading.contains(char::from(*c)))
}

fn column_of(heading: &str) -> Column {
    let small = heading.trim().to_lowercase();
    let word_ends = |rest: &str| !rest.starts_with(char::is_alphabetic);
    let begins = |with: &&str| {
        let long = with.chars().count() > 2;
        small
            .strip_prefix(*with)
            .is_some_and(|rest| long || word_ends(rest))
    };
    let all = HEADINGS.iter();
    all.clone()
        .find(|(_, words)| words.contains(&small.as_str()))
        .or_else(|| all.clone().find(|(_, words)| words.iter().any(&begins)))
        .map_or(Column::Other, |(column, _)| *column)
}

/// The first line that says something.
fn heading_line(text: &str) -> Option<&str> {
    text.lines().find(|line| !line.trim().is_empty())
}

/// The columns that a line of headings names; none where it is no such line.
fn columns_of(heading: &str) -> Option<(u8, Vec<Column>)> {
    let separator = separator(heading)?;
    let columns: Vec<Column> = heading
        .split(char::from(separator))
        .map(|cell| column_of(cell.trim_matches(['"', ' '])))
        .collect();
    let has = |column| columns.contains(&column);
    (has(Column::Ohms) && has(Column::Watts)).then_some((separator, columns))
}

/// True for a text whose first line names columns of ohms and watts.
pub(super) fn is_table(text: &str) -> bool {
    heading_line(text).is_some_and(|line| columns_of(line).is_some())
}

/// The power of ten that a heading such as `R (kΩ)` gives to a bare number in its column.
fn scale(heading: &str) -> &'static str {
    let small = heading.to_lowercase();
    let unit = |all: &[&str]| all.iter().any(|unit| small.contains(unit));
    if unit(&["kω", "kohm", "k ohm", "(k)", "kv", "kw"]) {
        "k"
    } else if unit(&["mω", "mohm", "megohm"]) {
        "M"
    } else {
        ""
    }
}

/// Reads a table with a line of headings. Columns that are of no use here are passed over; empty lines are, too.
pub fn read_table(text: &str) -> Lines {
    let mut lines = Lines::default();
    let heading = heading_line(text).unwrap_or_default();
    let Some((separator, columns)) = columns_of(heading) else {
        lines.faults.push(LineFault {
            line: 1,
            found: heading.to_owned(),
            expected: "a line of headings with resistance and power among them".to_owned(),
        });
        return lines;
    };
    let scales: Vec<&str> = heading.split(char::from(separator)).map(scale).collect();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .flexible(true)
        .has_headers(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                lines.faults.push(LineFault {
                    line: usize::try_from(line).unwrap_or_default(),
                    found: "a line that is no row of the table".to_owned(),
                    expected: "as many cells as headings, quotes closed".to_owned(),
                });
                continue;
            }
        };
        if record.iter().all(str::is_empty) {
            continue;
        }
        let line = record.position().map_or(0, csv::Position::line);
        let line = usize::try_from(line).unwrap_or_default();
        let mut row = Row::default();
        let cells = record.iter().zip(&columns).zip(&scales);
        let read = cells
            .filter(|((cell, _), _)| !cell.is_empty())
            .try_for_each(|((cell, column), scale)| row.take(cell, *column, scale))
            .and_then(|()| row.settled(&record));
        match read {
            Ok(owned) => lines.read.push((line, owned)),
            Err((found, expected)) => lines.faults.push(LineFault {
                line,
                found,
                expected,
            }),
        }
    }
    lines
}

/// A row as it is read.
#[derive(Default)]
struct Row {
    count: Option<u8>,
    ohms: Option<Ohms>,
    watts: Option<Watts>,
    tolerance: Option<Fraction>,
    volts: Option<Volts>,
    kind: Option<ResistorKind>,
    mounting: Mounting,
    derating: Option<Fraction>,
    name: String,
}

/// Found and expected.
type Wrong = (String, String);

impl Row {
    fn take(&mut self, cell: &str, column: Column, scale: &str) -> Result<(), Wrong> {
        let wrong = |expected: &str| (cell.to_owned(), expected.to_owned());
        match column {
            Column::Other => {}
            Column::Name => cell.clone_into(&mut self.name),
            Column::Count => {
                self.count = Some(counted(cell.trim_start_matches('×').trim())?);
            }
            Column::Ohms => {
                let (ohms, tolerance) =
                    ohms_of(&scaled(cell, scale)).ok_or_else(|| wrong("ohms, such as 4k7"))?;
                within("ohms", ohms, OHMS)?;
                self.ohms = Some(ohms);
                self.tolerance = self.tolerance.or(tolerance);
            }
            Column::Watts => {
                let watts = quantity::<Watts>(cell, scale)?;
                within("watts", watts, WATTS)?;
                self.watts = Some(watts);
            }
            Column::Volts => {
                let volts = quantity::<Volts>(cell, scale)?;
                within("volts", volts, VOLTS)?;
                self.volts = Some(volts);
            }
            Column::Tolerance => {
                let read = tolerance_named(cell).or_else(|| cell.replace(',', ".").parse().ok());
                let tolerance = read.ok_or_else(|| wrong("a tolerance, such as 5 %"))?;
                within("a tolerance", tolerance, 0.0..=0.9)?;
                self.tolerance = Some(tolerance);
            }
            Column::Kind => {
                self.kind = Some(kind_named(cell).ok_or_else(|| {
                    wrong("a kind such as wire-wound, aluminium-housed, cement, metal oxide, metal film or carbon composition")
                })?);
            }
            Column::Mounting => {
                self.mounting =
                    mounting_named(cell).ok_or_else(|| wrong("bare, on a plate or boxed in"))?;
            }
            Column::Derating => {
                let derating = quantity::<Fraction>(cell, "")?;
                within("a share", derating, 1e-3..=1.0)?;
                self.derating = Some(derating);
            }
        }
        Ok(())
    }

    fn settled(self, record: &csv::StringRecord) -> Result<Owned, Wrong> {
        let whole = || {
            record
                .iter()
                .collect::<Vec<_>>()
                .join(" ")
                .trim()
                .to_owned()
        };
        let missing = |what: &str| (whole(), format!("{what} in every row"));
        Ok(Owned {
            count: self.count.unwrap_or(1),
            resistor: Resistor {
                name: self.name,
                resistance: self.ohms.ok_or_else(|| missing("the resistance"))?,
                power: self.watts.ok_or_else(|| missing("the power"))?,
                tolerance: self.tolerance.unwrap_or(USUAL_TOLERANCE),
                working_volts: self.volts,
                kind: self.kind,
                mounting: self.mounting,
                derating: self.derating,
            },
        })
    }
}

/// A number without a unit takes the one of its column's heading.
fn scaled(cell: &str, scale: &str) -> String {
    if cell.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{cell}{scale}")
    } else {
        cell.to_owned()
    }
}

fn quantity<Q: Quantity>(cell: &str, scale: &str) -> Result<Q, Wrong> {
    scaled(cell, scale)
        .parse::<Q>()
        .map_err(|wrong| (cell.to_owned(), wrong.expected))
}

/// The word under which a kind is written.
pub fn kind_word(kind: ResistorKind) -> &'static str {
    match kind {
        ResistorKind::WireWound => "wire-wound",
        ResistorKind::AluminiumHoused => "aluminium-housed",
        ResistorKind::Cement => "cement",
        ResistorKind::MetalOxide => "metal oxide",
        ResistorKind::MetalFilm => "metal film",
        ResistorKind::CarbonComposition => "carbon composition",
    }
}

pub(super) fn mounting_word(mounting: Mounting) -> &'static str {
    match mounting {
        Mounting::FreeAir => "bare",
        Mounting::OnPlate => "on a plate",
        Mounting::BoxedIn => "boxed in",
    }
}

/// The drawer as comma-separated values with a line of headings; [`read_table`] gives the same back.
pub fn write_table(drawer: &Drawer) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing into memory cannot fail.
    let _infallible = writer.write_record(WRITTEN.map(|(_, heading)| heading));
    for Owned { count, resistor } in &drawer.resistors {
        let volts = resistor.working_volts.map(|volts| volts.to_string());
        let derating = resistor.derating.map(|share| share.to_string());
        let cell = |column: Column| match column {
            Column::Count => count.to_string(),
            Column::Ohms => resistor.resistance.to_string(),
            Column::Watts => resistor.power.to_string(),
            Column::Tolerance => resistor.tolerance.to_string(),
            Column::Volts => volts.clone().unwrap_or_default(),
            Column::Kind => resistor.kind.map(kind_word).unwrap_or_default().to_owned(),
            Column::Mounting => mounting_word(resistor.mounting).to_owned(),
            Column::Derating => derating.clone().unwrap_or_default(),
            Column::Name => resistor.name.clone(),
            Column::Other => String::new(),
        };
        let _infallible = writer.write_record(WRITTEN.map(|(column, _)| cell(column)));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::drawer::read_lines;

    #[test]
    fn a_pasted_table_reads_by_its_headings() {
        for text in [
            "Qty\tR (kΩ)\tP (W)\tType\n4\t10\t25\tww\n1\t4.7\t50\talu clad\n",
            "value;watts;pieces;type;shelf\n10k;25;4;wire-wound;B\n4,7k;50 W;1;aluminium-housed;C\n",
            "resistance,power,count,kind\n10 kΩ,25 W,4,vitreous\n4k7,50,1,aluminum-clad\n",
        ] {
            let lines = read_lines(text);
            assert_eq!(lines.faults, [], "{text}");
            let read: Vec<(usize, u8, f64, f64)> = (lines.read.iter())
                .map(|(line, o)| (*line, o.count, o.resistor.resistance.0, o.resistor.power.0))
                .collect();
            assert_eq!(read, [(2, 4, 10e3, 25.0), (3, 1, 4.7e3, 50.0)], "{text}");
        }
    }

    #[test]
    fn what_a_cell_lacks_is_asked_about_with_its_line() {
        let text =
            "count,resistance,power\n4,10k,25\n4,ten,25\n0,10k,25\n1,10k,\n1,10k,25 V\n1,10k,25\n";
        let lines = read_lines(text);
        let at: Vec<usize> = lines.faults.iter().map(|fault| fault.line).collect();
        assert_eq!((at, lines.read.len()), (vec![3, 4, 5, 6], 2));
    }

    #[test]
    fn out_and_in_is_the_same() {
        let mut drawer = Drawer::default();
        let jotted = "4 × 10k 25 W wire-wound\n4k7K 50W 1250V alu on a plate \"left, \u{2018}upper\u{2019}\"\nR47 7W cement boxed";
        for (_, owned) in read_lines(jotted).read {
            drawer.put(owned);
        }
        drawer.resistors[1].resistor.derating = Some(Fraction(0.35));
        assert_eq!(drawer.resistors.len(), 3);
        let read: Vec<Owned> = read_table(&write_table(&drawer))
            .read
            .into_iter()
            .map(|(_, owned)| owned)
            .collect();
        assert_eq!(read, drawer.resistors);
    }
}
