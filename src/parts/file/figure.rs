//! How a number with its source, and a rating with its system, are written.
//!
//! A value alone: `"1550 V"`. With its source: `("1550 V", MemoryHigh, "RCA RC-30")`.
//! A rating may say its system first: `("14 W", DesignMaximum)`, `("14 W", DesignMaximum, Seen, "maker's sheet")`.

use crate::parts::escape::shortened;
use crate::parts::file::fault::Fault;
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{Notation, Reading, variants};
use crate::parts::file::tree::Value;
use crate::parts::file::values::unit_in_quotes;
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Confidence, Figure, Rating, RatingSystem, Source};

variants!(RatingSystem {
    DesignCentre(), DesignMaximum(), AbsoluteMaximum(),
});

variants!(Confidence {
    Seen(), Quoted(), CrossChecked(), MemoryHigh(), MemoryMedium(), MemoryLow(), Calculated(),
    Own(),
});

const CONFIDENCE_WANTED: &str = "how sure the number is: Seen, Quoted, CrossChecked, MemoryHigh, MemoryMedium, MemoryLow, Calculated or Own";

/// A source alone: `(MemoryHigh, "RCA RC-30")`; left out for a number that the user typed.
impl Notation for Source {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let expected = "how sure the number is and its document, (Seen, \"…\")";
        match value.elements(expected)?.as_slice() {
            [confidence, document] => source(confidence, Some(document), context),
            _ => Err(value.unlike(expected)),
        }
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        Text::group("", self.words(usual).into())
    }

    fn left_out() -> Option<Self> {
        Some(Self::default())
    }

    fn is_left_out(&self) -> bool {
        *self == Self::default()
    }
}

impl Source {
    fn words(&self, usual: Option<RatingSystem>) -> [Text; 2] {
        [self.confidence.write(usual), self.document.write(usual)]
    }
}

/// A source in two words, its document in full.
fn source(
    confidence: &Value<'_>,
    document: Option<&Value<'_>>,
    context: &Reading<'_>,
) -> Result<Source, Fault> {
    if confidence.is_one_of(RatingSystem::NAMES) {
        let found = shortened(confidence.text);
        return Err(Fault::at(confidence.start, found, CONFIDENCE_WANTED));
    }
    let confidence = Confidence::read(confidence, context)?;
    let document = document.map(|document| String::read(document, context));
    let document = document.transpose()?.unwrap_or_default();
    Ok(Source {
        document: context.sources.get(&document).cloned().unwrap_or(document),
        confidence,
    })
}

/// A value with what may follow it.
struct Sourced<T> {
    value: T,
    system: Option<RatingSystem>,
    source: Source,
}

impl<T: Quantity> Sourced<T> {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        if value.as_text().is_some() {
            return Ok(Self {
                value: T::read(value, context)?,
                system: None,
                source: Source::default(),
            });
        }
        let expected = unit_in_quotes::<T>();
        let elements = value.elements(&expected)?;
        let [first, words @ ..] = elements.as_slice() else {
            return Err(value.unlike(&expected));
        };
        let number = T::read(first, context)?;
        let system = (words.first())
            .filter(|word| word.is_one_of(RatingSystem::NAMES))
            .map(|word| RatingSystem::read(word, context))
            .transpose()?;
        let words = words.get(usize::from(system.is_some())..);
        let source = match words.unwrap_or_default() {
            [] => Source::default(),
            [word, document @ ..] if document.len() < 2 => {
                if system.is_none() && !word.is_one_of(Confidence::NAMES) {
                    // A system might stand here too: all words are told.
                    word.variant(&[RatingSystem::NAMES, Confidence::NAMES].concat())?;
                }
                source(word, document.first().copied(), context)?
            }
            _ => {
                return Err(Fault::at(
                    value.start,
                    "more than a value and its source",
                    "(value, rating system, how sure, document) at most",
                ));
            }
        };
        Ok(Self {
            value: number,
            system,
            source,
        })
    }
}

fn write(number: &impl Quantity, system: Option<RatingSystem>, source: &Source) -> Text {
    let mut words = vec![number.write(None)];
    words.extend(system.map(|system| system.write(None)));
    if !source.is_left_out() {
        words.extend(source.words(None));
    }
    match words.as_slice() {
        [alone] => alone.clone(),
        _ => Text::group("", words),
    }
}

impl<T: Quantity> Notation for Rating<T> {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let read = Sourced::read(value, context)?;
        Ok(Self {
            value: read.value,
            system: read.system.unwrap_or(context.usual),
            source: read.source,
        })
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        let system = (usual != Some(self.system)).then_some(self.system);
        write(&self.value, system, &self.source)
    }
}

/// What has a rating system.
pub(super) trait Rated {
    fn system(&self) -> RatingSystem;
}

impl<T> Rated for Rating<T> {
    fn system(&self) -> RatingSystem {
        self.system
    }
}

impl<T> Rated for Option<Rating<T>> {
    fn system(&self) -> RatingSystem {
        self.as_ref()
            .map_or_else(RatingSystem::default, Rated::system)
    }
}

impl<T: Quantity> Notation for Figure<T> {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let read = Sourced::<T>::read(value, context)?;
        if read.system.is_some() {
            return Err(value.fault(CONFIDENCE_WANTED));
        }
        Ok(Self {
            value: read.value,
            source: read.source,
        })
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        write(&self.value, None, &self.source)
    }
}
