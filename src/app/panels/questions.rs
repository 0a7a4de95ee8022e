//! The two questions that the window may ask: save first? and: which path?

use egui::{Id, Modal, RichText, Ui};

use crate::app::disk::dialogs::Purpose;
use crate::app::theme;
use crate::app::widgets::quantity_field::name_it;

/// What was answered about unsaved work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Answer {
    /// Save, then go on.
    Save,
    /// Go on without.
    Discard,
    /// Stay.
    Stay,
}

/// Asks whether to save first.
pub(crate) fn unsaved_ui(ctx: &egui::Context, supply_name: &str) -> Option<Answer> {
    let mut answer = None;
    let modal = Modal::new(Id::unique("unsaved"))
        .frame(theme::question(ctx))
        .show(ctx, |ui| {
            ui.set_width(360.0);
            heading(ui, "Save the changes first?");
            let what = match supply_name {
                "" => "The supply".to_owned(),
                name => format!("“{name}”"),
            };
            ui.label(format!("{what} was changed since it was last saved"));
            ui.add_space(theme::GAP);
            ui.horizontal(|ui| {
                for (text, means) in [
                    ("Save", Answer::Save),
                    ("Do not save", Answer::Discard),
                    ("Cancel", Answer::Stay),
                ] {
                    let button = ui.button(text);
                    // Enter does what loses nothing.
                    if means == Answer::Save && ui.memory(|memory| memory.focused().is_none()) {
                        button.request_focus();
                    }
                    if button.clicked() {
                        answer = Some(means);
                    }
                }
            });
        });
    if modal.should_close() && answer.is_none() {
        answer = Some(Answer::Stay);
    }
    answer
}

/// What was answered about a path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum PathAnswer {
    /// This text.
    Text(String),
    /// None.
    Cancel,
}

/// Asks for a path to be typed; `text` is kept while it is wrong.
pub(crate) fn path_ui(
    ctx: &egui::Context,
    purpose: Purpose,
    text: &mut String,
    wrong: Option<&str>,
) -> Option<PathAnswer> {
    let mut answer = None;
    let modal = Modal::new(Id::unique("path"))
        .frame(theme::question(ctx))
        .show(ctx, |ui| {
            ui.set_width(460.0);
            let (title, button) = match purpose {
                Purpose::Open => ("Open a supply", "Open"),
                Purpose::Save => ("Save the supply", "Save"),
                Purpose::Curves => ("Export curves", "Write the file"),
                Purpose::Page => ("Save the worked page", "Write the file"),
                Purpose::Picture => ("Export picture", "Write the file"),
            };
            heading(ui, title);
            ui.label("No file dialog can be shown here; type the path of the file");
            let field = ui.add(egui::TextEdit::singleline(text).desired_width(f32::INFINITY));
            name_it(ui.ctx(), field.id, "Path of the file", None);
            let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
            // It begins with the keyboard, and gets it back when what was typed does not do.
            if entered || (ui.memory(|memory| memory.focused().is_none()) && wrong.is_none()) {
                field.request_focus();
            }
            if let Some(wrong) = wrong {
                let colour = theme::Theme::of(ui.ctx()).over_text;
                ui.label(RichText::new(wrong).color(colour));
            }
            ui.add_space(theme::GAP);
            ui.horizontal(|ui| {
                if ui.button(button).clicked() || entered {
                    answer = Some(PathAnswer::Text(text.clone()));
                }
                if ui.button("Cancel").clicked() {
                    answer = Some(PathAnswer::Cancel);
                }
            });
        });
    if modal.should_close() && answer.is_none() {
        answer = Some(PathAnswer::Cancel);
    }
    answer
}

fn heading(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).font(theme::strong_font(theme::HEADING)));
    ui.add_space(4.0);
}
