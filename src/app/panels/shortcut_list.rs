//! All keys on one page, from the table that the window goes by.

use egui::{Key, KeyboardShortcut, Label, RichText, ScrollArea, Ui};

use crate::app::panels::glossary::Stays;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::work::action::{Action, IN_PLACE};

/// The list while it is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct ShortcutList {
    /// What had the keyboard before: it goes back there.
    pub(crate) back_to: Option<egui::Id>,
    /// True until the list has got the keyboard.
    fresh: bool,
}

impl ShortcutList {
    /// The list as it is opened.
    pub(crate) fn opened(ctx: &egui::Context) -> Self {
        Self {
            back_to: ctx.memory(egui::Memory::focused),
            fresh: true,
        }
    }
}

/// Draws the list.
pub(crate) fn shortcut_list_ui(ctx: &egui::Context, open: &mut ShortcutList) -> Stays {
    let mut stays = true;
    let mut done = false;
    let room = ctx.content_rect();
    egui::Window::new(Action::Shortcuts.text())
        .id(egui::Id::unique("keyboard shortcuts"))
        .open(&mut stays)
        .collapsible(false)
        .resizable(false)
        .default_pos(room.left_top() + egui::vec2(room.width() * 0.26, 60.0))
        .show(ctx, |ui| {
            let height = (room.height() - 180.0).max(160.0);
            ScrollArea::vertical()
                .max_height(height)
                .show(ui, |ui| groups_ui(ui));
            ui.add_space(theme::GAP);
            let close = ui.button("Close");
            if std::mem::take(&mut open.fresh) {
                close.request_focus();
            }
            done = close.clicked() || ui.input(|input| input.key_pressed(Key::Escape));
        });
    if stays && !done {
        Stays::Open
    } else {
        Stays::Closed
    }
}

fn groups_ui(ui: &mut Ui) {
    ui.set_width(400.0);
    for (title, actions) in Action::LISTED {
        group_ui(ui, title, |ui| {
            for action in actions {
                row_ui(
                    ui,
                    action.text().trim_end_matches('…'),
                    action.keys(),
                    " or ",
                );
            }
        });
    }
    group_ui(ui, "Where the keyboard is", |ui| {
        for (what, keys) in IN_PLACE {
            row_ui(ui, what, keys, " ");
        }
    });
}

fn group_ui(ui: &mut Ui, title: &str, rows: impl FnOnce(&mut Ui)) {
    let colours = Theme::of(ui.ctx());
    let heading = RichText::new(title).font(theme::strong_font(theme::SMALL));
    ui.label(heading.color(colours.middle));
    egui::Grid::new(title)
        .num_columns(2)
        .min_col_width(118.0)
        .spacing([12.0, 3.0])
        .show(ui, rows);
    ui.add_space(theme::GAP);
}

fn row_ui(ui: &mut Ui, what: &str, keys: &[KeyboardShortcut], between: &str) {
    let colours = Theme::of(ui.ctx());
    let keys: Vec<String> = (keys.iter())
        .map(|key| ui.ctx().format_shortcut(key))
        .collect();
    ui.label(RichText::new(keys.join(between)).color(colours.ink));
    ui.add(Label::new(RichText::new(what).color(colours.middle)).wrap());
    ui.end_row();
}
