//! What is typed on the page for a new supply, right or wrong, and what is read from it.

use std::str::FromStr;

use crate::parts::catalogue::Catalogue;
use crate::parts::check::{Problem, check_work};
use crate::parts::new_supply::{Answers, FilterPart, Rail, new_supply};
use crate::parts::quantity::{Quantity, QuantityError};
use crate::parts::{Connection, Hertz, SecondaryVolts, Volts, Work};

/// A field of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Nominal volts of the mains.
    Mains,
    /// Their frequency.
    Frequency,
    /// Volts of the high-voltage winding.
    Winding,
    /// Resistance of the primary.
    PrimaryOhms,
    /// Resistance of the high-voltage winding.
    WindingOhms,
    /// Type of the rectifier.
    Rectifier,
    /// How it is connected.
    Connection,
    /// First part of the filter.
    First,
    /// The parts behind it.
    Then,
    /// Working volts of the capacitors.
    WorkingVolts,
    /// Type of the pass tubes.
    PassTube,
    /// How many.
    PassTubes,
    /// Type of the control tube.
    ControlTube,
    /// The negative rail.
    Rail,
    /// Lowest output volts.
    Low,
    /// Highest output volts.
    High,
}

/// A question of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// Mains.
    Mains,
    /// High-voltage winding.
    Winding,
    /// Rectifier.
    Rectifier,
    /// First capacitor or choke.
    First,
    /// What follows in the filter.
    Capacitors,
    /// Pass tubes.
    PassTubes,
    /// Control tube.
    ControlTube,
    /// Negative rail.
    Rail,
    /// Output range.
    Output,
}

impl Question {
    /// All of them, in the order of the signal path.
    pub const ALL: [Self; 9] = [
        Self::Mains,
        Self::Winding,
        Self::Rectifier,
        Self::First,
        Self::Capacitors,
        Self::PassTubes,
        Self::ControlTube,
        Self::Rail,
        Self::Output,
    ];

    /// Its fields, in order.
    pub fn fields(self) -> &'static [Field] {
        match self {
            Self::Mains => &[Field::Mains, Field::Frequency],
            Self::Winding => &[Field::Winding, Field::PrimaryOhms, Field::WindingOhms],
            Self::Rectifier => &[Field::Rectifier, Field::Connection],
            Self::First => &[Field::First],
            Self::Capacitors => &[Field::Then, Field::WorkingVolts],
            Self::PassTubes => &[Field::PassTube, Field::PassTubes],
            Self::ControlTube => &[Field::ControlTube],
            Self::Rail => &[Field::Rail],
            Self::Output => &[Field::Low, Field::High],
        }
    }
}

/// A field that is at fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldFault {
    /// Which; `None` if the answers contradict each other only in what is guessed from them.
    pub field: Option<Field>,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

/// What is typed and chosen; an empty text stands for "don't know".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewSupplyDraft {
    texts: [String; COUNT],
}

const COUNT: usize = Field::High as usize + 1;

impl NewSupplyDraft {
    /// What stands in a field.
    pub fn text(&self, field: Field) -> &str {
        self.texts.get(field as usize).map_or("", String::as_str)
    }

    /// The same, to change.
    pub fn text_mut(&mut self, field: Field) -> Option<&mut String> {
        self.texts.get_mut(field as usize)
    }

    /// True if nothing was answered.
    pub fn is_empty(&self) -> bool {
        self.texts.iter().all(|text| text.trim().is_empty())
    }

    /// The supply of these answers.
    ///
    /// # Errors
    /// Every field that is at fault.
    pub fn work(&self, catalogue: &Catalogue) -> Result<Work, Vec<FieldFault>> {
        let (answers, faults) = self.read(catalogue);
        if !faults.is_empty() {
            return Err(faults);
        }
        let Some(work) = new_supply(&answers, catalogue) else {
            return Err(vec![FieldFault {
                field: None,
                found: "a catalogue without types".to_owned(),
                expected: "at least one of each kind".to_owned(),
            }]);
        };
        let problems = check_work(&work);
        if problems.is_empty() {
            return Ok(work);
        }
        let is_guess = |problem: &Problem| {
            let starts = |field: &String| problem.field.starts_with(field.as_str());
            work.guessed.iter().any(starts)
        };
        let said: Vec<&Problem> = problems.iter().filter(|p| !is_guess(p)).collect();
        // What follows from a wrong answer is not said beside it.
        let said = if said.is_empty() {
            problems.iter().collect()
        } else {
            said
        };
        // One answer may stand in several parts, as one working volts does in all capacitors: said once.
        let mut faults: Vec<FieldFault> = Vec::new();
        for fault in said.into_iter().map(|problem| self.beside(problem)) {
            if !faults.contains(&fault) {
                faults.push(fault);
            }
        }
        Err(faults)
    }

    /// A problem of the supply beside the field that it comes from.
    fn beside(&self, problem: &Problem) -> FieldFault {
        let choke_first = !matches!(part(self.text(Field::First)), Ok(FilterPart::Capacitor(_)));
        let field = if problem.field.starts_with("filter.sections[0].series") && choke_first {
            Some(Field::First)
        } else if problem.field.starts_with("filter") && problem.field.ends_with("_volts") {
            Some(Field::WorkingVolts)
        } else {
            let is_it = |(path, _): &&(&str, Field)| problem.field.starts_with(path);
            PLACES.iter().find(is_it).map(|(_, field)| *field)
        };
        FieldFault {
            field,
            found: problem.found.clone(),
            expected: problem.expected.clone(),
        }
    }

    /// The answers, as far as they can be read, and every field that cannot.
    fn read(&self, catalogue: &Catalogue) -> (Answers, Vec<FieldFault>) {
        let mut r = Reader {
            draft: self,
            faults: Vec::new(),
        };
        let winding = r.by(Field::Winding, winding);
        let connection = r.by(Field::Connection, connection);
        let tapped = matches!(winding, Some(SecondaryVolts::Halves(..)));
        if tapped && connection.is_some_and(|how| how != Connection::FullWaveCentreTap) {
            let found = self.text(Field::Connection).to_owned() + " on a winding with a centre tap";
            let expected = "centre tap, or the whole winding in one figure, such as \"700 V\"";
            r.fault(Field::Connection, found, expected);
        }
        let answers = Answers {
            nominal: r.quantity(Field::Mains),
            frequency: r.quantity::<Hertz>(Field::Frequency),
            winding,
            connection: connection.or(tapped.then_some(Connection::FullWaveCentreTap)),
            primary_resistance: r.quantity(Field::PrimaryOhms),
            secondary_resistance: r.quantity(Field::WindingOhms),
            rectifier: r.listed(Field::Rectifier, |name| catalogue.rectifier(name).cloned()),
            first: r.by(Field::First, part),
            then: r.by(Field::Then, parts),
            working_volts: r.quantity(Field::WorkingVolts),
            pass_tube: r.listed(Field::PassTube, |name| catalogue.pass_tube(name).cloned()),
            pass_tubes: r.by(Field::PassTubes, count),
            control_tube: r.listed(Field::ControlTube, |name| {
                catalogue.control_tube(name).cloned()
            }),
            rail: r.by(Field::Rail, rail),
            set_low: r.quantity(Field::Low),
            set_high: r.quantity(Field::High),
        };
        (answers, r.faults)
    }
}

/// Beside which field a problem stands, by the beginning of its path.
const PLACES: [(&str, Field); 14] = [
    ("mains.frequency", Field::Frequency),
    ("mains", Field::Mains),
    ("transformer.winding", Field::Winding),
    ("transformer.primary_resistance", Field::PrimaryOhms),
    ("transformer.secondary_resistance", Field::WindingOhms),
    ("rectifier", Field::Rectifier),
    ("filter.input_capacitor", Field::First),
    ("filter", Field::Then),
    ("pass_stage.units", Field::PassTubes),
    ("pass_stage", Field::PassTube),
    ("regulator.bias_rail", Field::Rail),
    ("regulator", Field::ControlTube),
    ("output.set_low", Field::Low),
    ("output.set_high", Field::High),
];

struct Reader<'d> {
    draft: &'d NewSupplyDraft,
    faults: Vec<FieldFault>,
}

impl Reader<'_> {
    fn fault(&mut self, field: Field, found: String, expected: impl Into<String>) {
        self.faults.push(FieldFault {
            field: Some(field),
            found,
            expected: expected.into(),
        });
    }

    /// What `read` makes of a field that is not empty; its error is what was expected.
    fn by<T>(&mut self, field: Field, read: impl Fn(&str) -> Result<T, String>) -> Option<T> {
        let text = self.draft.text(field).trim();
        if text.is_empty() {
            return None;
        }
        match read(text) {
            Ok(value) => Some(value),
            Err(expected) => {
                self.fault(field, format!("\"{text}\""), expected);
                None
            }
        }
    }

    fn quantity<Q: Quantity>(&mut self, field: Field) -> Option<Q> {
        self.by(field, quantity)
    }

    fn listed<T>(&mut self, field: Field, find: impl Fn(&str) -> Option<T>) -> Option<T> {
        let expected = "a type of the list";
        self.by(field, |name| find(name).ok_or_else(|| expected.to_owned()))
    }
}

fn quantity<Q: FromStr<Err = QuantityError>>(text: &str) -> Result<Q, String> {
    text.parse().map_err(|error: QuantityError| error.expected)
}

/// `350-0-350`, or one figure.
fn winding(text: &str) -> Result<SecondaryVolts, String> {
    text.parse()
        .ok()
        .ok_or_else(|| "volts such as \"350-0-350\" or \"300 V\"".to_owned())
}

/// The words in which a connection is chosen.
pub const CONNECTIONS: [(Connection, &str); 3] = [
    (Connection::FullWaveCentreTap, "centre tap"),
    (Connection::Bridge, "bridge"),
    (Connection::HalfWave, "half wave"),
];

fn connection(text: &str) -> Result<Connection, String> {
    let found = CONNECTIONS.iter().find(|(_, name)| *name == text);
    found
        .map(|(how, _)| *how)
        .ok_or_else(|| "centre tap, bridge or half wave".to_owned())
}

/// One part; its unit says which. Where the unit itself is left out, its prefix does: nobody writes microohms or kilofarads.
fn part(text: &str) -> Result<FilterPart, String> {
    let text = text.trim();
    let expected = || "a value with its unit: \"8 µF\", \"10 H\" or \"470 Ω\"".to_owned();
    let has = |letters: &[char]| text.contains(letters);
    let read = if text.ends_with('H') {
        text.parse().map(FilterPart::Choke)
    } else if text.ends_with(['F', 'µ', '\u{3bc}', 'u', 'n', 'p']) {
        text.parse().map(FilterPart::Capacitor)
    } else if text.contains("ohm") || has(&['Ω', '\u{2126}', 'k', 'K', 'R']) {
        text.parse().map(FilterPart::Resistor)
    } else {
        return Err(expected());
    };
    read.map_err(|_error: QuantityError| expected())
}

/// Several parts in a row, or `none`. A comma inside a number is a decimal one.
fn parts(text: &str) -> Result<Vec<FilterPart>, String> {
    if is_none(text) {
        return Ok(Vec::new());
    }
    let all = text.replace(", ", ";");
    let each = all.split([';', '·', '+']).map(str::trim);
    each.filter(|one| !one.is_empty())
        .map(part)
        .collect::<Result<_, _>>()
        .map_err(|_one| {
            "values with units in order, such as \"10 H, 47 µF\", or \"none\"".to_owned()
        })
}

fn count(text: &str) -> Result<u8, String> {
    let whole = text.parse().ok().filter(|n| (1..=32).contains(n));
    whole.ok_or_else(|| "a whole number from 1 to 32".to_owned())
}

/// `none`, or its volts with or without the sign.
fn rail(text: &str) -> Result<Rail, String> {
    if is_none(text) {
        return Ok(Rail::Absent);
    }
    let below = text.trim_start_matches(['-', '–', '\u{2212}']).trim();
    let volts: Result<Volts, String> = quantity(below);
    match volts {
        Ok(volts) if volts.0 > 0.0 => Ok(Rail::Below(volts)),
        _ => Err("volts such as \"150 V\", or \"none\"".to_owned()),
    }
}

fn is_none(text: &str) -> bool {
    ["none", "no", "0"].contains(&text.trim().to_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Farads, Henries, Ohms};

    fn typed(fields: &[(Field, &str)]) -> NewSupplyDraft {
        let mut draft = NewSupplyDraft::default();
        for (field, text) in fields {
            *draft.text_mut(*field).unwrap() = (*text).to_owned();
        }
        draft
    }

    fn faults(fields: &[(Field, &str)]) -> Vec<FieldFault> {
        typed(fields).work(&Catalogue::built_in()).unwrap_err()
    }

    #[test]
    fn what_is_typed_is_what_stands_in_the_supply() {
        let draft = typed(&[
            (Field::Mains, "117"),
            (Field::Winding, "350–0–350 V"),
            (Field::First, "4,7 µF"),
            (Field::Then, "10 H, 16u, 4k7 + 8 µF"),
            (Field::Rail, "-105 V"),
            (Field::ControlTube, "6SJ7"),
            (Field::PassTubes, "3"),
        ]);
        let work = draft.work(&Catalogue::built_in()).unwrap();
        let supply = &work.supply;
        assert_eq!(supply.transformer.stated_volts(), Volts(350.0));
        assert_eq!(supply.rectifier.connection, Connection::FullWaveCentreTap);
        let units: Vec<Farads> = supply.filter.stacks().map(|stack| stack.unit).collect();
        assert_eq!(units, [Farads(4.7e-6), Farads(16e-6), Farads(8e-6)]);
        let series: Vec<_> = supply.filter.sections.iter().map(|s| &s.series).collect();
        assert!(
            matches!(series[0], crate::parts::SeriesElement::Choke { inductance, .. } if *inductance == Henries(10.0))
        );
        assert_eq!(
            *series[1],
            crate::parts::SeriesElement::Resistor(Ohms(4700.0))
        );
        let rail = supply
            .regulator
            .as_ref()
            .unwrap()
            .bias_rail
            .as_ref()
            .unwrap();
        assert_eq!(rail.reference.as_ref().unwrap().tubes[0].name, "0C3");
        assert_eq!(supply.pass_stage.units, 3);
        assert_eq!(supply.mains.frequency, Hertz(60.0), "goes with 117 V");
    }

    #[test]
    fn faults_stand_beside_their_field() {
        for (field, text, expected) in [
            (Field::Mains, "wall", "such as"),
            (Field::Mains, "5000 V", "10 V to 1 kV"),
            (Field::Winding, "350-350", "350-0-350"),
            (Field::Winding, "350-0-", "350-0-350"),
            (Field::Winding, "0 V", "above zero"),
            (Field::PrimaryOhms, "-3 Ω", "0 Ω to"),
            (Field::Rectifier, "5U99", "of the list"),
            (Field::First, "8", "with its unit"),
            (Field::First, "0 µF", "above zero"),
            (Field::First, "0 H", "above zero"),
            (Field::Then, "10 H, 47", "in order"),
            (Field::Then, "0 µF", "above zero"),
            (Field::WorkingVolts, "0 V", "above zero"),
            (Field::PassTubes, "0", "whole number"),
            (Field::Rail, "-0 V", "or \"none\""),
            (Field::High, "-1 V", "above zero"),
            (Field::Low, "-1 V", "0 V to"),
        ] {
            let faults = faults(&[(field, text)]);
            assert_eq!(faults[0].field, Some(field), "{text}: {faults:?}");
            assert!(faults[0].expected.contains(expected), "{text}: {faults:?}");
            assert_eq!(faults.len(), 1, "{text}: {faults:?}");
        }
        let both = faults(&[(Field::Low, "300"), (Field::High, "200")]);
        assert_eq!(both[0].field, Some(Field::Low), "{both:?}");
        let tapped = faults(&[(Field::Winding, "350-0-350"), (Field::Connection, "bridge")]);
        assert_eq!(tapped[0].field, Some(Field::Connection), "{tapped:?}");
    }

    #[test]
    fn a_rail_without_a_control_tube_is_kept_in_the_notes() {
        let work = typed(&[(Field::Rail, "150")])
            .work(&Catalogue::built_in())
            .unwrap();
        assert!(work.supply.regulator.is_none());
        assert!(work.notes.contains("150 V"), "{}", work.notes);
    }
}
