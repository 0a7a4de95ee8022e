//! The words of the trade, at the foot of the left column: they hide nothing of the plane, and close by Escape.

use egui::{
    Align, Button, Frame, Label, Layout, Margin, Panel, RichText, ScrollArea, TextEdit, Ui,
};

use crate::app::panels::shown::Stays;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::widgets::quantity_field::name_it;
use crate::explain::glossary;

/// The open glossary.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Glossary {
    /// What is looked for.
    pub(crate) typed: String,
    /// True until the field to type in has got the keyboard.
    pub(crate) fresh: bool,
    /// What had the keyboard before: it goes back there.
    pub(crate) back_to: Option<egui::Id>,
}

/// Draws the glossary at the foot of the column that `ui` is of; the rest of the column is left to what stands there.
pub(crate) fn glossary_ui(ui: &mut Ui, open: &mut Glossary) -> Stays {
    let colours = Theme::of(ui.ctx());
    let height = (0.45 * ui.available_height()).clamp(200.0, 420.0);
    let frame = Frame::new()
        .fill(colours.card)
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(10, 8))
        .outer_margin(Margin {
            top: 8,
            bottom: 8,
            ..Margin::ZERO
        });
    Panel::bottom("glossary")
        .exact_size(height)
        .resizable(false)
        .show_separator_line(false)
        .frame(frame)
        .show(ui, |ui| inner_ui(ui, open, &colours))
        .inner
}

fn inner_ui(ui: &mut Ui, open: &mut Glossary, colours: &Theme) -> Stays {
    let closed = ui
        .horizontal(|ui| {
            ui.label(RichText::new("Glossary").font(theme::strong_font(theme::BODY)));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let close = ui.add(Button::new("Close")).on_hover_text("Esc");
                name_it(ui.ctx(), close.id, "Close the glossary", None);
                close.clicked()
            })
            .inner
        })
        .inner;
    let field = ui.add(
        TextEdit::singleline(&mut open.typed)
            .hint_text("type a word")
            .desired_width(f32::INFINITY),
    );
    name_it(ui.ctx(), field.id, "Look up a word", None);
    if std::mem::take(&mut open.fresh) {
        field.request_focus();
    }
    let escaped = ui.input(|input| input.key_pressed(egui::Key::Escape))
        && (field.has_focus() || field.lost_focus() || !ui.ctx().text_edit_focused());
    ui.add_space(4.0);
    ScrollArea::vertical()
        .id_salt("glossary")
        .auto_shrink(false)
        .show(ui, |ui| {
            let found = glossary::find(&open.typed);
            if found.is_empty() {
                ui.weak("no such word here");
            }
            for term in found {
                let name = RichText::new(term.name).font(theme::strong_font(theme::BODY));
                ui.add(Label::new(name.color(colours.ink)).wrap());
                let meaning = RichText::new(theme::tied(term.meaning)).color(colours.middle);
                ui.add(Label::new(meaning).wrap());
                ui.add_space(6.0);
            }
        });
    if closed || escaped {
        Stays::Closed
    } else {
        Stays::Open
    }
}
