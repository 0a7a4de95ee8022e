//! All keys on one page, from the table that the window goes by.

use egui::{Key, KeyboardShortcut, Label, RichText, Ui};

use crate::app::panels::shown::Stays;
use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::work::action::{Action, IN_PLACE};

/// Width of the list (points).
const WIDTH: f32 = 640.0;
/// Height of one of its rows (points).
const ROW: f32 = 17.0;

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
        .auto_sized()
        .default_pos(room.left_top() + egui::vec2(0.5 * (room.width() - WIDTH) - 16.0, 60.0))
        .show(ctx, |ui| {
            lists_ui(ui);
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

/// Two columns: what is done with the supply, and what with the window.
fn lists_ui(ui: &mut Ui) {
    ui.set_width(WIDTH);
    ui.spacing_mut().interact_size.y = ROW;
    let [file, changes, window, help] = Action::LISTED;
    ui.columns(2, |columns| {
        for (column, ui) in columns.iter_mut().enumerate() {
            let groups: &[(&str, &[Action])] = if column == 0 {
                &[file, changes, help]
            } else {
                &[window]
            };
            for (title, actions) in groups {
                group_ui(ui, title, |ui| {
                    for action in *actions {
                        row_ui(ui, action.text().trim_end_matches('…'), action.keys(), ", ");
                    }
                });
            }
            if column == 1 {
                group_ui(ui, "Where the keyboard is", |ui| {
                    for (what, keys) in IN_PLACE {
                        row_ui(ui, what, keys, " ");
                    }
                });
            }
        }
    });
}

fn group_ui(ui: &mut Ui, title: &str, rows: impl FnOnce(&mut Ui)) {
    let colours = Theme::of(ui.ctx());
    let heading = RichText::new(title).font(theme::strong_font(theme::SMALL));
    ui.label(heading.color(colours.middle));
    egui::Grid::new(title)
        .num_columns(2)
        .min_col_width(128.0)
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
