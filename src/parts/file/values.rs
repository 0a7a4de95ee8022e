//! How plain values stand in a text: quantities, texts, numbers, and lists and pairs of values.

use crate::parts::accepted::Amount;
use crate::parts::file::fault::Fault;
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{Notation, Reading};
use crate::parts::file::tree::{Kind, Value};
use crate::parts::quantity::Quantity;
use crate::parts::rating::RatingSystem;
use crate::parts::readings::{Connected, LOADS, READS};
use crate::parts::spread::{SPREADS, Size, Spread};
use crate::parts::{Copper, CrestFactor};

impl<T: Quantity> Notation for T {
    /// Takes text only: a bare number in a file has no unit, and guessing one is how capacitors explode.
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let Some(text) = value.as_text() else {
            return Err(value.fault(unit_in_quotes::<T>()));
        };
        text.parse::<T>()
            .map_err(|error| value.fault(error.expected))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(&self.to_string())
    }
}

impl Notation for Amount {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let expected = "a value with its unit in quotes, such as \"520 V\"";
        let text = value.as_text().ok_or_else(|| value.fault(expected))?;
        text.parse::<Self>()
            .map_err(|error| value.fault(error.expected))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(&self.to_string())
    }
}

impl Notation for Spread {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let text = value.as_text().ok_or_else(|| value.fault(SPREADS))?;
        text.parse::<Self>()
            .map_err(|error| value.fault(error.expected))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(&self.to_string())
    }
}

/// A reading's value, whatever it is of.
impl Notation for Size {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let text = value.as_text().ok_or_else(|| value.fault(READS))?;
        Self::of_text(text).ok_or_else(|| value.fault(READS))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(&self.to_string())
    }
}

impl Notation for Connected {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let text = value.as_text().ok_or_else(|| value.fault(LOADS))?;
        text.parse::<Self>()
            .map_err(|error| value.fault(error.expected))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(&self.to_string())
    }

    fn left_out() -> Option<Self> {
        Some(Self::Nothing)
    }

    fn is_left_out(&self) -> bool {
        *self == Self::Nothing
    }
}

/// What a quantity looks like.
pub(super) fn unit_in_quotes<T: Quantity>() -> String {
    format!(
        "a value with its unit in quotes, such as \"{}\"",
        T::EXAMPLE
    )
}

impl Notation for String {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let text = value.as_text().map(str::to_owned);
        text.ok_or_else(|| value.fault("text in quotes"))
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::quoted(self)
    }
}

impl Notation for u8 {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        value.number("a whole number from 0 to 255, without quotes")
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::Plain(self.to_string())
    }
}

impl Notation for f64 {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        value.number("a number without quotes")
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        // Always with a decimal point or an exponent, and every digit that is needed to read the same number.
        Text::Plain(format!("{self:?}"))
    }
}

/// Left out, the resistance stands there as it is at work.
impl Notation for Copper {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        const NAMES: [&str; 2] = ["Warm", "Cold"];
        let name = value.variant(&NAMES)?;
        value.alone()?;
        Ok(if name == "Cold" {
            Self::Cold
        } else {
            Self::Warm
        })
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::Plain(format!("{self:?}"))
    }

    fn left_out() -> Option<Self> {
        Some(Self::Warm)
    }

    fn is_left_out(&self) -> bool {
        *self == Self::Warm
    }
}

impl Notation for CrestFactor {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        let number = value.number("a number without quotes, such as 1.37")?;
        Ok(Self(number))
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        self.0.write(usual)
    }

    fn left_out() -> Option<Self> {
        Some(Self::SINE)
    }

    fn is_left_out(&self) -> bool {
        *self == Self::SINE
    }
}

impl Notation for bool {
    fn read(value: &Value<'_>, _: &Reading<'_>) -> Result<Self, Fault> {
        value.number("true or false")
    }

    fn write(&self, _: Option<RatingSystem>) -> Text {
        Text::Plain(self.to_string())
    }
}

/// Not known, not fitted, not described: what is left out. `Some(…)` and `None` are understood too.
impl<T: Notation> Notation for Option<T> {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        match &value.kind {
            Kind::Word("None") => Ok(None),
            Kind::Group(group) if group.name == "Some" => T::read(value.only()?, context).map(Some),
            _ => T::read(value, context).map(Some),
        }
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        self.as_ref().map_or_else(
            || Text::Plain("None".to_owned()),
            |value| value.write(usual),
        )
    }

    fn left_out() -> Option<Self> {
        Some(None)
    }

    fn is_left_out(&self) -> bool {
        self.is_none()
    }
}

impl<T: Notation> Notation for Vec<T> {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        value.elements_of_list(|element| T::read(element, context))
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        Text::list(self.iter().map(|element| element.write(usual)).collect())
    }
}

/// A pair: `("40 V", "150 mA")`.
impl<A: Notation, B: Notation> Notation for (A, B) {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let expected = "two values in round brackets";
        match value.elements(expected)?.as_slice() {
            [first, second] => Ok((A::read(first, context)?, B::read(second, context)?)),
            _ => Err(value.unlike(expected)),
        }
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        Text::group("", vec![self.0.write(usual), self.1.write(usual)])
    }
}
