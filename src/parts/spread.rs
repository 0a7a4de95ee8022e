//! By how much the values of a supply may be off: what is stated beside it in the file, and what is usual for its kind of part where
//! nothing is.
//!
//! A spread names a field as the file does, `transformer.winding`. It moves no volt of the supply as described, so it stands beside it.
//! Stated limits are taken as *anywhere between them, as likely here as there* (JCGM 100:2008, "GUM", 4.3.7); what is usual of a kind is
//! mostly a normal distribution cut off at limits. All are factors of the value that the supply has.

mod field;
mod text;
mod usual;

pub use field::Field;
pub(in crate::parts) use text::EXAMPLES as SPREADS;
pub use usual::{Usual, usual};

use crate::parts::quantity::Fraction;
use crate::parts::{Supply, Work};

/// A spread as it is stated beside a value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Within so much of the value, either side: `3 %`.
    Percent(Fraction),
    /// Within so much either side: `±1 Ω`.
    Absolute(Size),
    /// From here to there: `80 µF to 120 µF`.
    Range(Size, Size),
    /// Measured with a meter that is right to so much of its full scale: `2 % of 500 V` (IEC 60051 states accuracy so).
    OfFullScale(Fraction, Size),
    /// Measured with a meter that is right to so much of the reading and so many of its last digits, of which one is so large:
    /// `0.5 % + 2 digits of 0.1 V`.
    Digits(Fraction, u16, Size),
}

/// So much of what a field is measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// In the SI unit.
    pub si: f64,
    /// Which unit that is.
    pub unit: Unit,
}

/// What a field with a spread is measured in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// V.
    Volts,
    /// A.
    Amps,
    /// Ω.
    Ohms,
    /// F.
    Farads,
    /// H.
    Henries,
    /// VA.
    VoltAmps,
}

/// A spread of one field.
#[derive(Debug, Clone, PartialEq)]
pub struct StatedSpread {
    /// The field, as the file names it.
    pub field: String,
    /// How far its value may be off.
    pub spread: Spread,
}

/// How worn the parts are whose spread is not stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Condition {
    /// All tubes.
    pub tubes: Tubes,
    /// All electrolytic capacitors.
    pub electrolytics: Electrolytics,
}

/// How worn tubes are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Tubes {
    /// Not used yet.
    #[default]
    New,
    /// Used, and still good on a tester.
    Used,
    /// About where a tester says "replace".
    Tired,
}

/// How worn electrolytic capacitors are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Electrolytics {
    /// Within the tolerance they were made to.
    #[default]
    Fresh,
    /// At the end of the life that makers test for.
    Old,
    /// Dried out over decades.
    Dried,
}

/// How a value is distributed, as a factor of the one that the supply has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Chance {
    /// Anywhere between these, as likely here as there.
    Even {
        /// Least factor.
        low: f64,
        /// Largest factor.
        high: f64,
    },
    /// Normal with this mean and standard deviation, cut off at `low` and `high`.
    Bell {
        /// Its mean, were it not cut off.
        mean: f64,
        /// Its standard deviation, were it not cut off.
        sigma: f64,
        /// Least factor.
        low: f64,
        /// Largest factor.
        high: f64,
    },
}

impl Chance {
    /// Least and largest factor.
    pub fn ends(self) -> [f64; 2] {
        match self {
            Self::Even { low, high } | Self::Bell { low, high, .. } => [low, high],
        }
    }
}

/// Parts that have something in common, so that when one is off the others are likely to be off the same way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Batch {
    /// Tubes of one age.
    Tubes,
    /// The filter's capacitors, of one make and age.
    Capacitors,
}

impl Batch {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Tubes, Self::Capacitors];
    /// Share of the spread that all parts of a batch have in common (common practice, no source).
    pub const COMMON: f64 = 0.5;
}

/// Why a spread is what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Stated in the file.
    Stated,
    /// Usual for its kind; the source of that, or that there is none.
    Usual(&'static str),
    /// Wide, for the value itself was guessed.
    Guessed,
}

/// One value of a supply that is not known exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Which.
    pub field: Field,
    /// How it is distributed.
    pub chance: Chance,
    /// Why so.
    pub origin: Origin,
    /// With what it has a part of its spread in common. What was measured by itself has none.
    pub batch: Option<Batch>,
}

/// All values of a work that are not known exactly, in the order of the signal path, with their distributions.
pub fn inputs(work: &Work) -> Vec<Input> {
    let all = Field::all_of(&work.supply).into_iter();
    all.filter_map(|field| input(work, field)).collect()
}

/// How one field of a work is distributed; `None` where it is known well enough.
fn input(work: &Work, field: Field) -> Option<Input> {
    let path = field.path();
    let stated = path.as_ref().and_then(|path| {
        let mut stated = work.spreads.iter();
        stated.find(|stated| stated.field == *path)
    });
    if let Some(stated) = stated {
        let [low, high] = stated.spread.factors(field.size(&work.supply)?)?;
        return (high > low).then_some(Input {
            field,
            chance: Chance::Even { low, high },
            origin: Origin::Stated,
            batch: None,
        });
    }
    let is_guessed = path.is_some_and(|path| work.guessed.contains(&path));
    let Usual {
        chance,
        source,
        batch,
    } = usual(&work.supply, work.condition, field)?;
    Some(match usual::of_a_guess(field).filter(|_| is_guessed) {
        Some(wide) => Input {
            field,
            chance: wide,
            origin: Origin::Guessed,
            batch: None,
        },
        None => Input {
            field,
            chance,
            origin: Origin::Usual(source),
            batch,
        },
    })
}

/// The largest share of a value by which it may be off: beyond that it says nothing of the part.
const MOST: f64 = 0.9;
/// The most digits that a meter is wrong by.
const MOST_DIGITS: u16 = 1000;

impl Spread {
    /// Least and largest factor of a value; `None` where the two are not measured in the same.
    fn factors(self, value: Measured) -> Option<[f64; 2]> {
        let around = |share: f64| Some([1.0 - share, 1.0 + share]);
        match (self, value) {
            (Self::Percent(share), _) => around(share.0),
            (_, Measured::ByPerCent) => None,
            (Self::Absolute(half), Measured::In(value)) => {
                around(half.si_in(value.unit)? / value.si)
            }
            (Self::Range(low, high), Measured::In(value)) => Some([
                low.si_in(value.unit)? / value.si,
                high.si_in(value.unit)? / value.si,
            ]),
            (Self::OfFullScale(share, scale), Measured::In(value)) => {
                around(share.0 * scale.si_in(value.unit)? / value.si)
            }
            (Self::Digits(share, digits, digit), Measured::In(value)) => {
                around(share.0 + f64::from(digits) * digit.si_in(value.unit)? / value.si)
            }
        }
    }

    /// What would have to stand in its place, if it does not do for a value.
    pub fn fault(self, value: Measured) -> Option<String> {
        let Some([low, high]) = self.factors(value) else {
            return Some(match value {
                Measured::ByPerCent => "a spread in per cent, such as \"20 %\"".to_owned(),
                Measured::In(value) => format!(
                    "a spread in per cent or in the unit of the value, {value}, such as \"5 %\" or \"±{}\"",
                    Size {
                        si: 0.05 * value.si,
                        ..value
                    }
                ),
            });
        };
        let is_sound = |from: f64| (0.0..=MOST).contains(&from);
        match (self, value) {
            (Self::Range(from, to), _) if from.si >= to.si => {
                Some("a range from its lower to its higher end".to_owned())
            }
            (Self::Range(from, _), _) if from.si <= 0.0 => Some("a range above zero".to_owned()),
            (Self::Range(..), Measured::In(value)) => (!(low <= 1.0 && 1.0 <= high))
                .then(|| format!("a range in which the value lies, {value}")),
            (Self::OfFullScale(share, _), _) if !is_sound(share.0) => {
                Some("0 % to 90 % of a full scale".to_owned())
            }
            (Self::OfFullScale(_, scale), Measured::In(value)) if scale.si < value.si => {
                Some(format!("a full scale of at least the value, {value}"))
            }
            (Self::Digits(share, digits, digit), _)
                if !(is_sound(share.0) && digits <= MOST_DIGITS && digit.si > 0.0) =>
            {
                Some(format!(
                    "0 % to 90 % and up to {MOST_DIGITS} digits above zero"
                ))
            }
            _ => (!is_sound(high - 1.0)).then(|| match value {
                Measured::ByPerCent => "0 % to 90 %".to_owned(),
                Measured::In(value) => {
                    format!("a spread from 0 % to 90 % of the value, {value}")
                }
            }),
        }
    }
}

/// What a field's value is, for its spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measured {
    /// A quantity.
    In(Size),
    /// A tube by its type: of that there is only a share.
    ByPerCent,
}

impl Size {
    /// The number, if it is measured in this unit.
    fn si_in(self, unit: Unit) -> Option<f64> {
        (self.unit == unit).then_some(self.si)
    }
}

/// What is wrong with a spread beside this supply: its field, or how far it goes. The first says whether it is the field; then what was
/// found, and what would do.
pub fn fault(supply: &Supply, stated: &StatedSpread) -> Option<(Part, String, String)> {
    let named = |field: &Field| field.path().as_ref() == Some(&stated.field);
    let Some(field) = Field::all_of(supply).into_iter().find(named) else {
        return Some((
            Part::Field,
            format!("\"{}\"", stated.field),
            "a field of this supply that has a spread, such as \"transformer.winding\"".to_owned(),
        ));
    };
    let expected = stated.spread.fault(field.size(supply)?)?;
    Some((Part::Spread, format!("\"{}\"", stated.spread), expected))
}

/// Which half of a stated spread is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The field that it names.
    Field,
    /// How far it goes.
    Spread,
}

/// Takes away the spreads that an edit of the supply has left without their field, or that its new value does not fit.
pub fn forget_what_does_not_fit(work: &mut Work) {
    let supply = &work.supply;
    work.spreads
        .retain(|stated| fault(supply, stated).is_none());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read_work;

    fn school() -> Work {
        let found = presets().iter().find(|(name, _)| name.contains("school"));
        read_work(found.unwrap().1, &Catalogue::built_in()).unwrap()
    }

    fn stated(field: &str, spread: &str) -> StatedSpread {
        StatedSpread {
            field: field.to_owned(),
            spread: spread.parse().unwrap(),
        }
    }

    /// By hand: the winding has 290 V, its halves 32 Ω, the first unit 68 µF.
    #[test]
    fn a_stated_spread_is_a_range_of_factors() {
        for (field, spread, low, high) in [
            ("transformer.winding", "3 %", 0.97, 1.03),
            ("transformer.secondary_resistance", "±1.6 Ω", 0.95, 1.05),
            ("filter.input_capacitor.unit", "34 µF to 102 µF", 0.5, 1.5),
            (
                "transformer.winding",
                "2 % of 1 kV",
                1.0 - 20.0 / 290.0,
                1.0 + 20.0 / 290.0,
            ),
            (
                "transformer.winding",
                "0.5 % + 2 digits of 0.1 V",
                0.995 - 0.2 / 290.0,
                1.005 + 0.2 / 290.0,
            ),
            ("pass_stage.tube", "15 %", 0.85, 1.15),
        ] {
            let mut work = school();
            work.spreads = vec![stated(field, spread)];
            assert_eq!(
                fault(&work.supply, &work.spreads[0]),
                None,
                "{field} {spread}"
            );
            let all = inputs(&work);
            let one = all
                .iter()
                .find(|one| one.field.path().as_deref() == Some(field))
                .unwrap();
            assert_eq!(one.origin, Origin::Stated);
            let [a, b] = one.chance.ends();
            assert!(
                (a - low).abs() < 1e-12 && (b - high).abs() < 1e-12,
                "{spread}: {a} {b}"
            );
        }
    }

    #[test]
    fn what_does_not_fit_is_said_and_goes_with_an_edit() {
        let work = school();
        for (field, spread, part, word) in [
            (
                "transformer.colour",
                "3 %",
                Part::Field,
                "transformer.winding",
            ),
            ("mains.frequency", "3 %", Part::Field, "such as"),
            (
                "transformer.second_half_resistance",
                "3 %",
                Part::Field,
                "such as",
            ),
            (
                "transformer.winding",
                "-3 %",
                Part::Spread,
                "from 0 % to 90 %",
            ),
            (
                "transformer.winding",
                "300 %",
                Part::Spread,
                "90 % of the value, 290 V",
            ),
            (
                "transformer.winding",
                "±5 Ω",
                Part::Spread,
                "unit of the value, 290 V",
            ),
            (
                "transformer.winding",
                "2 % of 100 V",
                Part::Spread,
                "at least the value",
            ),
            (
                "transformer.winding",
                "-2 % of 500 V",
                Part::Spread,
                "0 % to 90 %",
            ),
            (
                "transformer.winding",
                "300 V to 280 V",
                Part::Spread,
                "lower to its higher",
            ),
            (
                "transformer.winding",
                "300 V to 320 V",
                Part::Spread,
                "in which the value lies",
            ),
            (
                "transformer.winding",
                "-300 V to 320 V",
                Part::Spread,
                "above zero",
            ),
            (
                "transformer.winding",
                "1 % + 2 digits of -1 V",
                Part::Spread,
                "above zero",
            ),
            ("pass_stage.tube", "±5 mA", Part::Spread, "per cent"),
            ("pass_stage.tube", "95 %", Part::Spread, "0 % to 90 %"),
        ] {
            let one = stated(field, spread);
            let (wrong, _, expected) = fault(&work.supply, &one).expect(spread);
            assert!(
                wrong == part && expected.contains(word),
                "{field} {spread}: {expected}"
            );
        }
        let mut work = school();
        work.spreads = vec![
            stated("transformer.winding", "280 V to 300 V"),
            stated("filter.bleeder", "5 %"),
            stated("transformer.primary_resistance", "5 %"),
        ];
        forget_what_does_not_fit(&mut work);
        assert_eq!(work.spreads.len(), 3);
        work.supply.filter.bleeder = None;
        work.supply.transformer.winding =
            crate::parts::WindingVolts::OpenCircuit("350 V".parse().unwrap());
        forget_what_does_not_fit(&mut work);
        assert_eq!(
            work.spreads,
            [stated("transformer.primary_resistance", "5 %")]
        );
    }

    #[test]
    fn every_field_is_there_once_and_what_was_guessed_is_wider() {
        let catalogue = Catalogue::built_in();
        for (name, text) in presets() {
            let mut work = read_work(text, &catalogue).unwrap();
            work.guessed.clear();
            let sure = inputs(&work);
            let paths: Vec<String> = sure.iter().filter_map(|one| one.field.path()).collect();
            let mut once = paths.clone();
            once.sort();
            once.dedup();
            assert_eq!(once.len(), paths.len(), "{name}");
            assert!(sure.len() > 10, "{name}: {}", sure.len());
            work.guessed = vec![
                "transformer.winding".to_owned(),
                "filter.input_capacitor.unit".to_owned(),
            ];
            let width = |one: &Input| {
                let [low, high] = one.chance.ends();
                high - low
            };
            for (before, after) in sure.iter().zip(inputs(&work)) {
                let is_guessed = before
                    .field
                    .path()
                    .is_some_and(|path| work.guessed.contains(&path));
                assert_eq!(
                    is_guessed,
                    width(&after) > width(before),
                    "{name} {:?}",
                    before.field
                );
            }
        }
    }
}
