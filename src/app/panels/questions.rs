//! The questions that the window may ask: save first? which path? what of a file that is not as it was, or cannot stay as it is?

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

/// What stands in place of the text that a file had when it was opened or saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Found {
    /// Another supply.
    Another,
    /// What cannot be read, and why.
    Unreadable(String),
    /// There is no file.
    Nothing,
}

/// What was answered about a save that would lose something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SaveAnswer {
    /// Save all the same.
    Overwrite,
    /// Save in another file.
    Copy,
    /// Take up what is there.
    Reload,
    /// Look at what is there.
    Compare,
    /// Do not save.
    Cancel,
}

/// A choice: its words, what it means, what it does.
type Choice = (&'static str, SaveAnswer, &'static str);

const COPY: Choice = (
    "Save a copy",
    SaveAnswer::Copy,
    "Asks for another file and goes on in that; this one stays as it is.",
);
const CANCEL: Choice = ("Cancel", SaveAnswer::Cancel, "Saves nothing");

/// Asks what is to become of a file that another has changed or removed.
pub(crate) fn not_as_it_was_ui(
    ctx: &egui::Context,
    file_name: &str,
    found: &Found,
) -> Option<SaveAnswer> {
    const OVERWRITE: Choice = (
        "Overwrite",
        SaveAnswer::Overwrite,
        "Puts what is here in the place of what is there",
    );
    const RELOAD: Choice = (
        "Reload",
        SaveAnswer::Reload,
        "Takes up what is there; undo brings back what is here.",
    );
    const COMPARE: Choice = (
        "Compare",
        SaveAnswer::Compare,
        "Puts what is there on the plot as a ghost and lists what differs; saves nothing yet.",
    );
    const ANEW: Choice = (
        "Save it again",
        SaveAnswer::Overwrite,
        "Writes a new file in the old place",
    );
    let since = "since it was opened or last saved here";
    match found {
        Found::Another => save_question_ui(
            ctx,
            "The file on disk has changed",
            &format!("Something else has changed {file_name} {since}; saving would undo that."),
            &[COMPARE, COPY, RELOAD, OVERWRITE, CANCEL],
        ),
        Found::Unreadable(why) => save_question_ui(
            ctx,
            "The file on disk has changed",
            &format!(
                "Something else has changed {file_name} {since}, and what is there now cannot be read as a supply:\n{why}"
            ),
            &[COPY, OVERWRITE, CANCEL],
        ),
        Found::Nothing => save_question_ui(
            ctx,
            "The file is no longer there",
            &format!("{file_name} was moved, renamed or deleted {since}"),
            &[COPY, ANEW, CANCEL],
        ),
    }
}

/// Asks whether comments and layout of a file may go.
pub(crate) fn layout_goes_ui(
    ctx: &egui::Context,
    file_name: &str,
    comments: usize,
) -> Option<SaveAnswer> {
    const ANYWAY: Choice = (
        "Save anyway",
        SaveAnswer::Overwrite,
        "Writes the file anew, without them",
    );
    let title = if comments == 0 {
        "Write the file anew?"
    } else {
        "Save without the comments?"
    };
    let lost = match comments {
        0 => "The order and spelling of the text are".to_owned(),
        1 => "One comment is".to_owned(),
        n => format!("{n} comments are"),
    };
    save_question_ui(
        ctx,
        title,
        &format!(
            "{lost} lost: this supply cannot be written into the text of {file_name} as it stands"
        ),
        &[COPY, ANYWAY, CANCEL],
    )
}

fn save_question_ui(
    ctx: &egui::Context,
    title: &str,
    text: &str,
    choices: &[Choice],
) -> Option<SaveAnswer> {
    let mut answer = None;
    let modal = Modal::new(Id::unique("save"))
        .frame(theme::question(ctx))
        .show(ctx, |ui| {
            ui.set_width(460.0);
            heading(ui, title);
            ui.add(egui::Label::new(text).wrap());
            ui.add_space(theme::GAP);
            ui.horizontal_wrapped(|ui| {
                for (place, (words, means, does)) in choices.iter().enumerate() {
                    let button = ui.button(*words).on_hover_text(*does);
                    // Enter does what loses nothing: the first.
                    if place == 0 && ui.memory(|memory| memory.focused().is_none()) {
                        button.request_focus();
                    }
                    if button.clicked() {
                        answer = Some(*means);
                    }
                }
            });
        });
    if modal.should_close() && answer.is_none() {
        answer = Some(SaveAnswer::Cancel);
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
                Purpose::Drawer => ("Save the drawer as a table", "Write the file"),
                Purpose::Page => ("Save the worked page", "Write the file"),
                Purpose::Picture => ("Export picture", "Write the file"),
            };
            heading(ui, title);
            ui.label("No file dialog can be shown here; type the path of the file.");
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
