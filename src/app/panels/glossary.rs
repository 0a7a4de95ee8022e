//! The words of the trade in a small window of their own; it hides nothing and closes by Escape.

use egui::{Label, RichText, ScrollArea, TextEdit};

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

/// Whether a window stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stays {
    /// It does.
    Open,
    /// The user has done with it.
    Closed,
}

/// Draws the glossary.
pub(crate) fn glossary_ui(ctx: &egui::Context, open: &mut Glossary) -> Stays {
    let colours = Theme::of(ctx);
    let mut shown = true;
    let mut escaped = false;
    let room = ctx.content_rect();
    egui::Window::new("Glossary")
        .id(egui::Id::unique("glossary"))
        .open(&mut shown)
        .collapsible(false)
        .resizable(true)
        .default_pos(room.left_top() + egui::vec2(room.width() * 0.26, 76.0))
        .default_size([380.0, 320.0])
        .show(ctx, |ui| {
            let field = ui.add(
                TextEdit::singleline(&mut open.typed)
                    .hint_text("type a word")
                    .desired_width(f32::INFINITY),
            );
            name_it(ui.ctx(), field.id, "Look up a word", None);
            if std::mem::take(&mut open.fresh) {
                field.request_focus();
            }
            escaped = ui.input(|input| input.key_pressed(egui::Key::Escape))
                && (field.has_focus() || field.lost_focus() || !ui.ctx().text_edit_focused());
            ui.add_space(4.0);
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                let found = glossary::find(&open.typed);
                if found.is_empty() {
                    ui.weak("no such word here");
                }
                for term in found {
                    let name = RichText::new(term.name).font(theme::strong_font(theme::BODY));
                    ui.add(Label::new(name.color(colours.ink)));
                    let meaning = RichText::new(theme::tied(term.meaning)).color(colours.middle);
                    ui.add(Label::new(meaning).wrap());
                    ui.add_space(6.0);
                }
            });
        });
    if shown && !escaped {
        Stays::Open
    } else {
        Stays::Closed
    }
}
