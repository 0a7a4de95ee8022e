//! A word of the trade on the screen: hovering says what it means, a click looks it up in the glossary.

use egui::{Label, Response, RichText, Sense, Ui, WidgetInfo};

use crate::app::theme::Theme;
use crate::app::widgets::quantity_field::keep_in_view;
use crate::explain::glossary::Term;

/// Whether a word is a stop of its own for the Tab key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stop {
    /// It is, and Enter looks it up.
    Tab,
    /// It is passed over: one of many in a list.
    None,
}

/// Draws a text that is about a word; gives the word if it is to be looked up.
pub(crate) fn term_ui(
    ui: &mut Ui,
    text: RichText,
    term: Option<&'static Term>,
    stop: Stop,
) -> Option<&'static str> {
    let plain = text.text().to_owned();
    let label = Label::new(text).selectable(false);
    let Some(term) = term else {
        ui.add(label.truncate());
        return None;
    };
    let sense = match stop {
        Stop::Tab => Sense::click(),
        Stop::None => Sense::CLICK | Sense::HOVER,
    };
    let response = ui.add(label.truncate().sense(sense));
    let name = format!("{plain}, what it means");
    if stop == Stop::Tab {
        response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
    }
    keep_in_view(&response);
    if response.has_focus() {
        let edge = egui::Stroke::new(1.5, Theme::of(ui.ctx()).dropout);
        let around = response.rect.expand(2.0);
        ui.painter()
            .rect_stroke(around, 3.0, edge, egui::StrokeKind::Outside);
    }
    meaning_on_hover(response, term)
        .clicked()
        .then_some(term.name)
}

/// What a word means, beside whatever is hovered.
pub(crate) fn meaning_on_hover(response: Response, term: &'static Term) -> Response {
    response.on_hover_ui(|ui| meaning_ui(ui, term))
}

/// A word and what it means.
pub(crate) fn meaning_ui(ui: &mut Ui, term: &Term) {
    ui.set_max_width(320.0);
    let middle = Theme::of(ui.ctx()).middle;
    ui.label(RichText::new(format!("{}: {}", term.name, term.meaning)).color(middle));
}
