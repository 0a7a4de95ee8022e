//! The way from a list of tubes to a type of one's own.

use crate::app::widgets::fields::Fields;
use crate::app::work::command::Command;
use crate::app::work::command::TubeWish;
use crate::parts::tube_draft::Purpose;

/// Two buttons below the list: a new type, and a copy of the one in use.
pub(super) fn tube_buttons_ui(fields: &mut Fields<'_>, purpose: Purpose, in_use: &str) {
    let mut wish = None;
    fields.ui().horizontal(|ui| {
        let new = ui.button("New type…").on_hover_text(
            "Describe a tube that is not in the list: points or figures from its datasheet.",
        );
        if new.clicked() {
            wish = Some(TubeWish::New(purpose));
        }
        let copy = ui.button("Edit a copy…").on_hover_text(
            "Begin with the numbers of the tube in use; the type itself stays as it is.",
        );
        if copy.clicked() {
            wish = Some(TubeWish::Copy(purpose, in_use.to_owned()));
        }
    });
    if let Some(wish) = wish {
        fields.ask(Command::EditTube(wish));
    }
}
