//! A quantity as typed text with its unit, and as a slider.
//!
//! Text that does not (yet) parse stays in the field as typed, with what is wrong below it; the document only ever
//! gets values that parse. A value is taken over on Enter, Tab, or when the field is left; Escape brings back the old.

use std::fmt::Display;
use std::str::FromStr;

use egui::{Color32, Id, TextEdit, Ui};

use crate::app::theme::{self, Theme};
use crate::app::widgets::spread_field::value_and_spread;
use crate::parts::Volts;
use crate::parts::quantity::{Bare, Quantity, QuantityError};
use crate::parts::spread::{Spread, Unit};

/// The unit that a number without one gets in a field that holds this value; `None` where there are no units.
fn bare_unit<Q: Quantity>(value: Option<Q>) -> Option<String> {
    let shown = || {
        let text = value.filter(|v| v.si() != 0.0)?.to_string();
        text.split_once(' ').map(|(_, unit)| unit.to_owned())
    };
    match Q::BARE {
        Bare::In(unit) => Some(unit.to_owned()),
        Bare::AsShown(unit) => Some(shown().unwrap_or_else(|| unit.to_owned())),
        Bare::Number => None,
    }
}

/// What a number without a unit means in this field, for its hover text.
pub(crate) fn bare_words<Q: Quantity>(value: Option<Q>) -> Option<String> {
    bare_unit(value).map(|unit| format!("A number without a unit is in {unit}"))
}

/// Reads what was typed in a field that holds this value.
fn read<Q: Quantity>(text: &str, value: Option<Q>) -> Result<Q, QuantityError> {
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '\u{2212}');
    match bare_unit(value) {
        Some(unit) if !text.trim().is_empty() && text.trim().chars().all(number) => {
            format!("{} {unit}", text.trim()).parse()
        }
        _ => text.parse(),
    }
}

/// Value and spread, where the field takes both and the text has both.
fn both_in<Q: Quantity>(
    text: &str,
    value: Option<Q>,
    face: Face,
) -> Option<Result<(Q, Spread), QuantityError>> {
    let Face::WithSpread(unit) = face else {
        return None;
    };
    let in_unit = bare_unit(value).unwrap_or_default();
    value_and_spread(text, (value, unit), &in_unit, read)
}

/// A whole number of things, at least 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd)]
pub(crate) struct Count(pub(crate) u8);

impl Display for Count {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl FromStr for Count {
    type Err = QuantityError;
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        text.trim()
            .parse()
            .ok()
            .filter(|n| *n > 0)
            .map(Self)
            .ok_or_else(|| QuantityError {
                found: text.to_owned(),
                expected: "a whole number from 1 to 255".to_owned(),
            })
    }
}

impl Quantity for Count {
    const SYMBOL: &'static str = "";
    const EXAMPLE: &'static str = "2";
    const BARE: Bare = Bare::Number;
    fn si(self) -> f64 {
        f64::from(self.0)
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to the range of the type just before"
    )]
    fn from_si(si: f64) -> Self {
        Self(si.round().clamp(1.0, 255.0) as u8)
    }
}

/// How a slider spreads its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    /// Left end, SI.
    pub(crate) low: f64,
    /// Right end, SI.
    pub(crate) high: f64,
    /// What one step is worth, SI; `None` spreads the range by ratio (logarithmically).
    pub(crate) step: Option<f64>,
}

impl Span {
    /// A little beyond low and high mains.
    pub(crate) fn of_mains(low: Volts, high: Volts) -> Self {
        let step = if high.0 > 160.0 { 1.0 } else { 0.5 };
        let beyond = 0.5 * (high.0 - low.0).abs().max(1.0);
        Self::even(
            ((low.0 - beyond) / step).round() * step,
            ((high.0 + beyond) / step).round() * step,
            step,
        )
    }

    /// Equal steps.
    pub(crate) const fn even(low: f64, high: f64, step: f64) -> Self {
        Self {
            low,
            high,
            step: Some(step),
        }
    }

    /// Equal ratios.
    pub(crate) const fn by_ratio(low: f64, high: f64) -> Self {
        Self {
            low,
            high,
            step: None,
        }
    }
}

/// What a typed field came to in this frame.
pub(crate) enum Typed<Q> {
    /// Nothing new.
    Unchanged,
    /// A new value.
    Value(Q),
    /// A value, new or not, and how far it may be off.
    WithSpread(Q, Spread),
    /// Emptied, where that is allowed.
    Cleared,
}

/// True while a field holds text that was not taken over yet.
pub(crate) fn is_typing(ctx: &egui::Context) -> bool {
    ctx.data(|data| data.get_temp::<bool>(typing_id()).unwrap_or(false)) && ctx.text_edit_focused()
}

/// Notes that a free text is being typed in: undo and redo then belong to it.
pub(crate) fn note_typing(ctx: &egui::Context) {
    ctx.data_mut(|data| data.insert_temp(typing_id(), true));
}

fn typing_id() -> Id {
    Id::unique("a field is being typed in")
}

/// How an empty field reads: the words stand in it in grey, and emptying it is allowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Empty {
    /// It must hold a value.
    Never,
    /// Emptying it means this.
    Means(&'static str),
}

/// How a typed value looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Face {
    /// In a frame as wide as its room, set to the right.
    Field,
    /// The same, of a value in this unit; behind it one may type how far it may be off.
    WithSpread(Unit),
    /// The large figure of this size (points): as wide as its text, without a frame until it is pointed at.
    Figure(f32),
}

/// A control with an accessible name and an id of its own, which stays when lines come and go above it: otherwise
/// a drag would break off when a fault appears.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Named<'n> {
    /// Its accessible name.
    pub(crate) name: &'n str,
    /// Its id.
    pub(crate) id: Id,
}

/// The typed field.
pub(crate) fn typed_field<Q: Quantity>(
    ui: &mut Ui,
    named: Named<'_>,
    value: Option<Q>,
    empty: Empty,
    face: Face,
) -> Typed<Q> {
    let theme = Theme::of(ui.ctx());
    let Named { name, id } = named;
    let shown = value.map(|v| v.to_string()).unwrap_or_default();
    let kept: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = kept.clone().unwrap_or_else(|| shown.clone());
    let wrong = text_fault(&text, &shown, empty, (value, face)).is_some();
    let width = match face {
        Face::Field | Face::WithSpread(_) => ui.available_width(),
        Face::Figure(size) => figure_width(ui, &text, size),
    };
    let mut edit = TextEdit::singleline(&mut text).id(id).desired_width(width);
    edit = match face {
        Face::Field | Face::WithSpread(_) => edit
            .align(egui::Align2::RIGHT_CENTER)
            .margin(egui::Margin::symmetric(6, 3)),
        Face::Figure(size) => {
            bare(ui);
            edit.font(theme::strong_font(size)).margin(FIGURE_MARGIN)
        }
    };
    if let Empty::Means(words) = empty {
        let words = egui::RichText::new(words)
            .font(theme::font(theme::SMALL))
            .color(theme.dim);
        edit = edit.hint_text(words);
    }
    if wrong {
        edit = edit.text_color(theme.over_text);
    }
    let mut response = ui.add(edit);
    name_it(ui.ctx(), response.id, name, None);
    if let (Face::Field | Face::WithSpread(_), Some(words)) = (face, bare_words(value)) {
        response = response.on_hover_text(words);
    }
    keep_in_view(&response);
    if response.gained_focus() {
        select_all(ui.ctx(), id, text.chars().count());
    }
    let typing = response.has_focus() && text != shown;
    if response.has_focus() || response.lost_focus() {
        ui.data_mut(|data| data.insert_temp(typing_id(), typing));
    }
    if !response.lost_focus() {
        if response.changed() {
            ui.data_mut(|data| data.insert_temp(id, text));
        }
        return Typed::Unchanged;
    }
    let taken_back = ui.input(|input| input.key_pressed(egui::Key::Escape));
    if taken_back || text == shown {
        ui.data_mut(|data| data.remove::<String>(id));
        return Typed::Unchanged;
    }
    if text.trim().is_empty() && empty != Empty::Never {
        ui.data_mut(|data| data.remove::<String>(id));
        return Typed::Cleared;
    }
    let typed = match both_in(&text, value, face) {
        Some(both) => both.map(|(value, spread)| Typed::WithSpread(value, spread)),
        None => read(&text, value).map(Typed::Value),
    };
    match typed {
        Ok(typed) => {
            ui.data_mut(|data| data.remove::<String>(id));
            typed
        }
        Err(_said_below_the_field) => {
            ui.data_mut(|data| data.insert_temp(id, text));
            Typed::Unchanged
        }
    }
}

const FIGURE_MARGIN: egui::Margin = egui::Margin::symmetric(4, 1);

/// Width of a large figure with room for the cursor behind it.
pub(crate) fn figure_width(ui: &Ui, text: &str, size: f32) -> f32 {
    let font = theme::strong_font(size);
    let galley = ui
        .painter()
        .layout_no_wrap(text.to_owned(), font, Color32::WHITE);
    galley.size().x + 2.0 + FIGURE_MARGIN.sum().x
}

/// Text fields of this ui have no frame and no ground until they are pointed at.
pub(crate) fn bare(ui: &mut Ui) {
    let visuals = ui.visuals_mut();
    visuals.widgets.inactive.bg_stroke = egui::Stroke::NONE;
    visuals.text_edit_bg_color = Some(Color32::TRANSPARENT);
}

/// What is wrong in the text that stands in the field of this id now.
pub(crate) fn fault<Q: Quantity>(ui: &Ui, id: Id, empty: Empty) -> Option<String> {
    fault_beside::<Q>(ui, id, empty, (None, Face::Field))
}

/// The same of a field that holds this value and looks so.
pub(crate) fn fault_beside<Q: Quantity>(
    ui: &Ui,
    id: Id,
    empty: Empty,
    holds: (Option<Q>, Face),
) -> Option<String> {
    let text: String = ui.data(|data| data.get_temp(id))?;
    text_fault(&text, "", empty, holds)
}

fn text_fault<Q: Quantity>(
    text: &str,
    shown: &str,
    empty: Empty,
    (value, face): (Option<Q>, Face),
) -> Option<String> {
    if text == shown || (text.trim().is_empty() && empty != Empty::Never) {
        return None;
    }
    let error = match both_in(text, value, face) {
        Some(both) => both.err(),
        None => text.parse::<Q>().err(),
    };
    error.map(|error| format!("expected {}", error.expected))
}

fn select_all(ctx: &egui::Context, id: Id, length: usize) {
    if let Some(mut state) = TextEdit::load_state(ctx, id) {
        let all = egui::text::CCursorRange::two(
            egui::text::CCursor::new(0),
            egui::text::CCursor::new(length),
        );
        state.cursor.set_char_range(Some(all));
        TextEdit::store_state(ctx, id, state);
    }
}

/// Height that sets the size of a slider's handle (points).
pub(crate) const HANDLE: f32 = 16.0;

/// Scrolls to a control that just got the keyboard: Tab must not lead out of sight.
pub(crate) fn keep_in_view(response: &egui::Response) {
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
}

/// Scrolls to a control that just got the keyboard, and draws a ring around it while it has it: for those whose own
/// drawing does not show that.
pub(crate) fn keep_seen(ui: &Ui, response: &egui::Response) {
    keep_in_view(response);
    if response.has_focus() {
        ui.painter().rect_stroke(
            response.rect.expand2(egui::vec2(3.0, 1.0)),
            4.0,
            egui::Stroke::new(1.5, Theme::of(ui.ctx()).dropout),
            egui::StrokeKind::Outside,
        );
    }
}

/// Width of a field in which this text is not cut (points).
pub(crate) fn field_width(ui: &Ui, text: &str) -> f32 {
    let font = egui::TextStyle::Body.resolve(ui.style());
    let galley = (ui.painter()).layout_no_wrap(text.to_owned(), font, Color32::WHITE);
    // Margins, and the cursor behind the last letter.
    galley.size().x + 16.0
}

/// Gives a control its accessible name, and its value in words.
pub(crate) fn name_it(ctx: &egui::Context, id: Id, name: &str, value: Option<&str>) {
    ctx.accesskit_node_builder(id, |node| {
        node.set_label(name);
        if let Some(value) = value {
            node.set_value(value);
        }
    });
}

/// The slider. Gives the new value while it moves, and whether the pointer holds it.
pub(crate) fn slider<Q: Quantity>(
    ui: &mut Ui,
    name: &str,
    value: Option<Q>,
    span: Span,
) -> Option<Q> {
    let mut si = value.map_or(span.low, Quantity::si);
    let before = si;
    ui.spacing_mut().slider_width = ui.available_width();
    ui.spacing_mut().interact_size.y = HANDLE;
    ui.visuals_mut().selection.bg_fill = Theme::of(ui.ctx()).dropout;
    let mut slider = egui::Slider::new(&mut si, span.low..=span.high)
        .show_value(false)
        .clamping(egui::SliderClamping::Never);
    slider = match span.step {
        Some(step) => slider.step_by(step),
        None => slider
            .logarithmic(true)
            .smallest_positive(if span.low > 0.0 {
                span.low
            } else {
                span.high * FROM_ZERO
            }),
    };
    let response = ui.add_enabled(value.is_some(), slider);
    let said = value.map_or_else(|| "none".to_owned(), |v| v.to_string());
    name_it(ui.ctx(), response.id, name, Some(&said));
    keep_seen(ui, &response);
    (response.changed() && si.to_bits() != before.to_bits())
        .then(|| landed(si, span))
        .map(|si| value.map_or_else(|| Q::from_si(si), |value| value.moved_to(si)))
        .filter(|new| Some(*new) != value)
}

/// A slider that spreads by ratio and begins at zero has its first mark at this share of its end.
const FROM_ZERO: f64 = 1e-4;

/// A slider lands on a number of three figures, nobody can set more with a pointer; one with steps on a step.
fn landed(value: f64, span: Span) -> f64 {
    let text = match span.step {
        Some(_) => format!("{value:.5e}"),
        None => format!("{value:.2e}"),
    };
    text.parse().unwrap_or(value)
}

/// Text below a row: what is wrong with it.
pub(crate) fn wrong_line(ui: &mut Ui, text: &str, colour: Color32) {
    ui.label(
        egui::RichText::new(text)
            .font(theme::font(theme::SMALL))
            .color(colour),
    );
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Amps, Farads, Fraction, Ohms};

    #[test]
    fn a_slider_lands_on_three_figures() {
        let free = Span::by_ratio(1e-6, 1.0);
        assert_eq!(landed(4.712_345e-5, free).to_string(), "0.0000471");
        let stepped = Span::even(0.0, 150.0, 0.5);
        assert_eq!(landed(120.500_000_000_1, stepped).to_string(), "120.5");
    }

    #[test]
    fn a_number_without_a_unit_is_in_the_unit_of_the_field() {
        assert_eq!(read("47", Some(Farads(100e-6))), Ok(Farads(47e-6)));
        assert_eq!(read("47", Some(Farads(10e-9))), Ok(Farads(47e-9)));
        assert_eq!(read("47", None::<Farads>), Ok(Farads(47e-6)));
        assert_eq!(read("-5", Some(Farads(100e-6))), Ok(Farads(-5e-6)));
        assert_eq!(read("4,7", Some(Farads(100e-6))), Ok(Farads(4.7e-6)));
        assert_eq!(read("47n", Some(Farads(100e-6))), Ok(Farads(47e-9)));
        assert_eq!(read("40", Some(Amps(0.028))), Ok(Amps(0.04)));
        assert_eq!(read("0.8", Some(Amps(1.0))), Ok(Amps(0.8)));
        assert_eq!(read("40", Some(Amps(0.0))), Ok(Amps(0.04)));
        assert_eq!(read("470", Some(Ohms(4.7e3))), Ok(Ohms(470.0)));
        assert_eq!(read("800", Some(Volts(1.5e3))), Ok(Volts(800.0)));
        assert_eq!(read("10", Some(Fraction(0.05))), Ok(Fraction(0.1)));
        assert_eq!(read("2", Some(Count(3))), Ok(Count(2)));
        for text in ["", "1.2.3", "-", "abc", "47 kg"] {
            assert!(read(text, Some(Farads(1e-6))).is_err(), "{text}");
        }
    }

    #[test]
    fn a_count_is_a_whole_number_of_at_least_one() {
        assert_eq!("2".parse(), Ok(Count(2)));
        for text in ["0", "2.5", "-1", "", "256"] {
            assert!(text.parse::<Count>().is_err(), "{text}");
        }
        assert_eq!(Count::from_si(0.2), Count(1));
    }
}
