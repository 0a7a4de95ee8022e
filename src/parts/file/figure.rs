//! How a number with its source, and a rating with its system, are written.
//!
//! A value alone: `"1550 V"`. With its source: `("1550 V", MemoryHigh, "RCA RC-30")`.
//! A rating may say its system first: `("14 W", DesignMaximum)`, `("14 W", DesignMaximum, Seen, "maker's sheet")`.

use std::collections::BTreeMap;
use std::fmt;
use std::marker::PhantomData;

use serde::de::{Error as _, IgnoredAny, SeqAccess, Visitor};
use serde::ser::SerializeTuple as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::parts::quantity::Quantity;
use crate::parts::rating::{Confidence, Figure, Rating, RatingSystem, Source};

/// Long names of documents by the short ones that entries use.
pub(in crate::parts) type Sources = BTreeMap<String, String>;

/// The words that may follow a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
enum Word {
    DesignCentre,
    DesignMaximum,
    AbsoluteMaximum,
    Seen,
    Quoted,
    CrossChecked,
    MemoryHigh,
    MemoryMedium,
    MemoryLow,
    Calculated,
    Own,
}

enum Meaning {
    System(RatingSystem),
    Confidence(Confidence),
}

impl Word {
    fn meaning(self) -> Meaning {
        match self {
            Self::DesignCentre => Meaning::System(RatingSystem::DesignCentre),
            Self::DesignMaximum => Meaning::System(RatingSystem::DesignMaximum),
            Self::AbsoluteMaximum => Meaning::System(RatingSystem::AbsoluteMaximum),
            Self::Seen => Meaning::Confidence(Confidence::Seen),
            Self::Quoted => Meaning::Confidence(Confidence::Quoted),
            Self::CrossChecked => Meaning::Confidence(Confidence::CrossChecked),
            Self::MemoryHigh => Meaning::Confidence(Confidence::MemoryHigh),
            Self::MemoryMedium => Meaning::Confidence(Confidence::MemoryMedium),
            Self::MemoryLow => Meaning::Confidence(Confidence::MemoryLow),
            Self::Calculated => Meaning::Confidence(Confidence::Calculated),
            Self::Own => Meaning::Confidence(Confidence::Own),
        }
    }

    fn system(system: RatingSystem) -> Self {
        match system {
            RatingSystem::DesignCentre => Self::DesignCentre,
            RatingSystem::DesignMaximum => Self::DesignMaximum,
            RatingSystem::AbsoluteMaximum => Self::AbsoluteMaximum,
        }
    }

    fn confidence(confidence: Confidence) -> Self {
        match confidence {
            Confidence::Seen => Self::Seen,
            Confidence::Quoted => Self::Quoted,
            Confidence::CrossChecked => Self::CrossChecked,
            Confidence::MemoryHigh => Self::MemoryHigh,
            Confidence::MemoryMedium => Self::MemoryMedium,
            Confidence::MemoryLow => Self::MemoryLow,
            Confidence::Calculated => Self::Calculated,
            Confidence::Own => Self::Own,
        }
    }
}

/// A rating system alone, for the `rating_system` of a type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(in crate::parts) struct SystemForm(pub RatingSystem);

impl<'de> Deserialize<'de> for SystemForm {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        match Word::deserialize(from)?.meaning() {
            Meaning::System(system) => Ok(Self(system)),
            Meaning::Confidence(_) => Err(D::Error::custom(
                "found another word, expected DesignCentre, DesignMaximum or AbsoluteMaximum",
            )),
        }
    }
}

impl Serialize for SystemForm {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        Word::system(self.0).serialize(to)
    }
}

/// A source alone: `(MemoryHigh, "RCA RC-30")`.
#[derive(Debug, Clone, PartialEq, Default)]
pub(in crate::parts) struct SourceForm(Source);

impl SourceForm {
    pub(in crate::parts) fn of(source: &Source) -> Option<Self> {
        (*source != Source::default()).then(|| Self(source.clone()))
    }

    pub(in crate::parts) fn read(form: Option<&Self>, sources: &Sources) -> Source {
        form.map(|f| in_full(&f.0, sources)).unwrap_or_default()
    }
}

impl<'de> Deserialize<'de> for SourceForm {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let (word, document) = <(Word, String)>::deserialize(from)?;
        match word.meaning() {
            Meaning::Confidence(confidence) => Ok(Self(Source {
                document,
                confidence,
            })),
            Meaning::System(_) => Err(D::Error::custom(WANTED_CONFIDENCE)),
        }
    }
}

impl Serialize for SourceForm {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        (Word::confidence(self.0.confidence), &self.0.document).serialize(to)
    }
}

const WANTED_CONFIDENCE: &str = "found a rating system, expected how sure the number is: Seen, Quoted, CrossChecked, MemoryHigh, MemoryMedium, MemoryLow, Calculated or Own";

fn in_full(source: &Source, sources: &Sources) -> Source {
    Source {
        document: sources
            .get(&source.document)
            .unwrap_or(&source.document)
            .clone(),
        confidence: source.confidence,
    }
}

/// A value with what may follow it.
#[derive(Debug, Clone, PartialEq)]
struct Form<T> {
    value: T,
    system: Option<RatingSystem>,
    source: Source,
}

/// A rating as written.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::parts) struct RatingForm<T>(Form<T>);

/// A figure as written.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::parts) struct FigureForm<T>(Form<T>);

impl<T: Quantity> RatingForm<T> {
    /// The form of a rating that stands where `usual` is the system of a value without a word.
    pub(in crate::parts) fn of(rating: &Rating<T>, usual: Option<RatingSystem>) -> Self {
        Self(Form {
            value: rating.value,
            system: (usual != Some(rating.system)).then_some(rating.system),
            source: rating.source.clone(),
        })
    }

    pub(in crate::parts) fn read(&self, usual: RatingSystem, sources: &Sources) -> Rating<T> {
        Rating {
            value: self.0.value,
            system: self.0.system.unwrap_or(usual),
            source: in_full(&self.0.source, sources),
        }
    }
}

impl<T: Quantity> FigureForm<T> {
    pub(in crate::parts) fn of(figure: &Figure<T>) -> Self {
        Self(Form {
            value: figure.value,
            system: None,
            source: figure.source.clone(),
        })
    }

    pub(in crate::parts) fn read(&self, sources: &Sources) -> Figure<T> {
        Figure {
            value: self.0.value,
            source: in_full(&self.0.source, sources),
        }
    }
}

impl<T: Quantity> Serialize for Form<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let sourced = self.source != Source::default();
        let value = self.value.to_string();
        if self.system.is_none() && !sourced {
            return to.serialize_str(&value);
        }
        let length = 1 + usize::from(self.system.is_some()) + if sourced { 2 } else { 0 };
        let mut tuple = to.serialize_tuple(length)?;
        tuple.serialize_element(&value)?;
        if let Some(system) = self.system {
            tuple.serialize_element(&Word::system(system))?;
        }
        if sourced {
            tuple.serialize_element(&Word::confidence(self.source.confidence))?;
            tuple.serialize_element(&self.source.document)?;
        }
        tuple.end()
    }
}

impl<'de, T: Quantity> Deserialize<'de> for Form<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(FormVisitor(PhantomData))
    }
}

struct FormVisitor<T>(PhantomData<T>);

impl<'de, T: Quantity> Visitor<'de> for FormVisitor<T> {
    type Value = Form<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "a value with its unit in quotes, such as \"{}\"",
            T::EXAMPLE
        )
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Form<T>, E> {
        Ok(Form {
            value: text.parse().map_err(E::custom)?,
            system: None,
            source: Source::default(),
        })
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Form<T>, A::Error> {
        let value: T = seq.next_element()?.ok_or_else(|| {
            A::Error::custom(format!(
                "found (), expected a value with its unit in quotes, such as \"{}\"",
                T::EXAMPLE
            ))
        })?;
        let mut form = Form {
            value,
            system: None,
            source: Source::default(),
        };
        let mut word = seq.next_element::<Word>()?;
        if let Some(Meaning::System(system)) = word.map(Word::meaning) {
            form.system = Some(system);
            word = seq.next_element()?;
        }
        match word.map(Word::meaning) {
            Some(Meaning::Confidence(confidence)) => {
                form.source.confidence = confidence;
                form.source.document = seq.next_element()?.unwrap_or_default();
            }
            Some(Meaning::System(_)) => return Err(A::Error::custom(WANTED_CONFIDENCE)),
            None => {}
        }
        if seq.next_element::<IgnoredAny>()?.is_some() {
            return Err(A::Error::custom(
                "found more than a value and its source, expected (value, rating system, how sure, document) at most",
            ));
        }
        Ok(form)
    }
}

impl<T: Quantity> Serialize for RatingForm<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(to)
    }
}

impl<'de, T: Quantity> Deserialize<'de> for RatingForm<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        Form::deserialize(from).map(Self)
    }
}

impl<T: Quantity> Serialize for FigureForm<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(to)
    }
}

impl<'de, T: Quantity> Deserialize<'de> for FigureForm<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let form = Form::deserialize(from)?;
        if form.system.is_some() {
            return Err(D::Error::custom(WANTED_CONFIDENCE));
        }
        Ok(Self(form))
    }
}
