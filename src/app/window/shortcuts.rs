//! Which keys were pressed.

use crate::app::work::action::Action;

/// The actions whose keys were pressed in this frame. While text is half typed, undo and redo belong to the text.
pub(crate) fn pressed(ctx: &egui::Context) -> Vec<Action> {
    let typing = crate::app::widgets::quantity_field::is_typing(ctx);
    Action::ALL
        .into_iter()
        .filter(|action| !(typing && matches!(action, Action::Undo | Action::Redo)))
        .filter(|action| {
            action
                .keys()
                .iter()
                .any(|key| ctx.input_mut(|input| input.consume_shortcut(key)))
        })
        .collect()
}
