//! How far a value may be off, as text: behind the value in its field, `360 V ± 3 %`, or in a small field of its own.

use egui::{TextEdit, Ui};

use crate::app::theme::{self, Theme};
use crate::app::widgets::quantity_field::{Named, Typed, bare, keep_in_view, name_it};
use crate::parts::quantity::{Quantity, QuantityError};
use crate::parts::spread::{Measured, Size, Spread, Unit};

/// Least width of the small field (points).
const LEAST: f32 = 36.0;

/// Reads a value with its unit from a text, beside the one that stands there.
type Read<Q> = fn(&str, Option<Q>) -> Result<Q, QuantityError>;

/// Value and spread of a text such as `360 V ± 3 %`, `58 Ω ± 1 Ω`, `60 to 80 µF`, `360 V measured with 2 % of 500 V`; `None` where there
/// is no spread in it. `value` is the one that stands there, of which a range alone keeps what lies in it; a bare number behind the sign
/// is in the `bare` unit.
pub(crate) fn value_and_spread<Q: Quantity>(
    text: &str,
    (value, unit): (Option<Q>, Unit),
    bare: &str,
    read: Read<Q>,
) -> Option<Result<(Q, Spread), QuantityError>> {
    let signs = ["±", "+/-", "+-", "measured with"];
    if let Some((before, behind)) = signs.iter().find_map(|sign| text.split_once(sign)) {
        let both = match (before.trim(), value) {
            ("", Some(value)) => Ok(value),
            (before, _) => read(before, value),
        };
        return Some(both.and_then(|value| {
            let spread = spread_of(behind.trim(), bare)?;
            fits(text, value, (spread, unit))
        }));
    }
    let is_range = ["…", "..", " to "].iter().any(|word| text.contains(word));
    if !is_range {
        return None;
    }
    let both = text.parse::<Spread>().and_then(|spread| {
        let ends = match spread {
            Spread::Range(low, high) => Some((low.si, high.si)),
            _ => None,
        };
        let middle = ends.map(|(low, high)| 0.5 * (low + high));
        let value = match (value, ends, middle) {
            (Some(value), Some((low, high)), _) if (low..=high).contains(&value.si()) => value,
            (Some(value), _, Some(middle)) => value.moved_to(middle),
            (None, _, Some(middle)) => Q::from_si(middle),
            (_, _, None) => read(text, value)?,
        };
        fits(text, value, (spread, unit))
    });
    Some(both)
}

fn spread_of(text: &str, bare: &str) -> Result<Spread, QuantityError> {
    let is_bare = !text.is_empty()
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || c == '.' || c == ',');
    if is_bare {
        format!("{text} {bare}").parse()
    } else {
        text.parse()
    }
}

/// Both, if the spread is one of such a value.
fn fits<Q: Quantity>(
    text: &str,
    value: Q,
    (spread, unit): (Spread, Unit),
) -> Result<(Q, Spread), QuantityError> {
    let measured = Measured::In(Size {
        si: value.si(),
        unit,
    });
    match spread.fault(measured) {
        None => Ok((value, spread)),
        Some(expected) => Err(QuantityError {
            found: text.to_owned(),
            expected,
        }),
    }
}

/// The small field of a spread: without a frame until it is pointed at. What is wrong in it comes as the second.
pub(crate) fn spread_field(
    ui: &mut Ui,
    named: Named<'_>,
    (stated, value): (Option<Spread>, Measured),
    hint: &str,
) -> (Typed<Spread>, Option<String>) {
    let theme = Theme::of(ui.ctx());
    let Named { name, id } = named;
    let shown = stated.map(said).unwrap_or_default();
    let kept: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = kept.unwrap_or_else(|| shown.clone());
    let wrong = fault(&text, &shown, value);
    bare(ui);
    let font = theme::font(theme::SMALL);
    let wide = |text: &str| {
        let galley = (ui.painter()).layout_no_wrap(text.to_owned(), font.clone(), theme.ink);
        galley.size().x + 12.0
    };
    let most = ui.available_width();
    let width = wide(&text).max(wide(hint)).max(LEAST).min(most);
    let hint = egui::RichText::new(hint)
        .font(font.clone())
        .color(theme.dim);
    let ink = if wrong.is_some() {
        theme.over_text
    } else {
        theme.middle
    };
    let edit = TextEdit::singleline(&mut text)
        .id(id)
        .font(font)
        .text_color(ink)
        .hint_text(hint)
        .align(egui::Align2::RIGHT_CENTER)
        .margin(egui::Margin::symmetric(4, 0))
        .desired_width(width);
    let response = ui.add(edit);
    name_it(ui.ctx(), response.id, name, None);
    keep_in_view(&response);
    if !response.lost_focus() {
        if response.changed() {
            ui.data_mut(|data| data.insert_temp(id, text));
        }
        return (Typed::Unchanged, wrong);
    }
    let taken_back = ui.input(|input| input.key_pressed(egui::Key::Escape));
    let is_new = !taken_back && text != shown;
    let typed = match read(&text, value) {
        _ if !is_new => Some(Typed::Unchanged),
        None => Some(Typed::Cleared),
        Some(Ok(spread)) => Some(Typed::Value(spread)),
        Some(Err(_said_below_the_field)) => None,
    };
    if let Some(typed) = typed {
        ui.data_mut(|data| data.remove::<String>(id));
        (typed, None)
    } else {
        ui.data_mut(|data| data.insert_temp(id, text));
        (Typed::Unchanged, wrong)
    }
}

/// As it stands behind a value.
pub(crate) fn said(spread: Spread) -> String {
    match spread {
        Spread::Absolute(_) | Spread::Range(..) => spread.to_string(),
        Spread::Percent(_) | Spread::OfFullScale(..) | Spread::Digits(..) => format!("±{spread}"),
    }
}

/// `None` where nothing stands there.
fn read(text: &str, value: Measured) -> Option<Result<Spread, String>> {
    if text.trim().is_empty() {
        return None;
    }
    Some(match text.parse::<Spread>() {
        Ok(spread) => spread.fault(value).map_or(Ok(spread), Err),
        Err(error) => Err(error.expected),
    })
}

fn fault(text: &str, shown: &str, value: Measured) -> Option<String> {
    if text == shown {
        return None;
    }
    let expected = read(text, value)?.err()?;
    Some(format!("expected {expected}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::quantity::Fraction;
    use crate::parts::{Farads, Ohms};

    fn both<Q: Quantity>(text: &str, value: Q, unit: Unit) -> Option<Result<(Q, Spread), String>> {
        let read: Read<Q> = |text, _| text.parse();
        let bare = value.to_string();
        let bare = bare.split_once(' ').map_or("", |(_, unit)| unit);
        let found = value_and_spread(text, (Some(value), unit), bare, read)?;
        Some(found.map_err(|error| error.expected))
    }

    #[test]
    fn value_and_spread_are_typed_in_one_line() {
        let ohm = |si| Size {
            si,
            unit: Unit::Ohms,
        };
        let stands = Ohms(60.0);
        for (text, value, spread) in [
            ("58 Ω ± 1 Ω", 58.0, Spread::Absolute(ohm(1.0))),
            ("58 Ω ± 1", 58.0, Spread::Absolute(ohm(1.0))),
            ("58 ohm +/- 3 %", 58.0, Spread::Percent(Fraction(0.03))),
            ("± 3 %", 60.0, Spread::Percent(Fraction(0.03))),
            (
                "58 Ω measured with 2 % of 100 Ω",
                58.0,
                Spread::OfFullScale(Fraction(0.02), ohm(100.0)),
            ),
            (
                "58 Ω ± 0.5 % + 2 digits of 0.1 Ω",
                58.0,
                Spread::Digits(Fraction(0.005), 2, ohm(0.1)),
            ),
            ("50 to 70 Ω", 60.0, Spread::Range(ohm(50.0), ohm(70.0))),
            ("70 to 90 Ω", 80.0, Spread::Range(ohm(70.0), ohm(90.0))),
        ] {
            let found = both(text, stands, Unit::Ohms);
            assert_eq!(found, Some(Ok((Ohms(value), spread))), "{text}");
        }
        assert_eq!(both("58 Ω", stands, Unit::Ohms), None);
        let stands = Farads(68e-6);
        let Some(Ok((value, _))) = both("60 to 80 µF", stands, Unit::Farads) else {
            panic!("a range");
        };
        assert_eq!(value, stands, "it lies in the range");
    }

    #[test]
    fn what_is_no_spread_of_the_value_says_what_would_be() {
        for (text, word) in [
            ("58 Ω ± much", "such as"),
            ("58 Ω ±", "such as"),
            ("58 Ω ± 5 V", "58 Ω"),
            ("58 Ω ± -3 %", "0 % to 90 %"),
            ("58 Ω ± 300 %", "0 % to 90 %"),
            ("nonsense ± 3 %", "a number with its unit"),
            ("90 to 70 Ω", "lower to its higher"),
            ("5 to 7 V", "unit of the value"),
        ] {
            let Some(Err(expected)) = both(text, Ohms(60.0), Unit::Ohms) else {
                panic!("{text} is taken");
            };
            assert!(expected.contains(word), "{text}: {expected}");
        }
    }
}
