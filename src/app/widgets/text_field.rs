//! Free text, taken over when the field is left; Escape brings back the old.

use egui::{TextEdit, Ui};

use crate::app::widgets::quantity_field::{Named, bare, name_it};

/// How the line looks.
#[derive(Debug, Clone)]
pub(crate) struct TextLook {
    /// Its font.
    pub(crate) font: egui::FontId,
    /// Its width (points).
    pub(crate) width: f32,
    /// Without a frame until it is pointed at.
    pub(crate) bare: bool,
    /// Lines; with more than one, Enter begins a new line.
    pub(crate) rows: usize,
    /// Grey words while it is empty.
    pub(crate) hint: &'static str,
}

/// Shows the text; gives the new one when it is left.
pub(crate) fn text_field(
    ui: &mut Ui,
    named: Named<'_>,
    value: &str,
    look: TextLook,
) -> Option<String> {
    let Named { name, id } = named;
    let kept: Option<String> = ui.data(|data| data.get_temp(id));
    let mut text = kept.unwrap_or_else(|| value.to_owned());
    if look.bare {
        bare(ui);
    }
    let edit = if look.rows > 1 {
        TextEdit::multiline(&mut text).desired_rows(look.rows)
    } else {
        TextEdit::singleline(&mut text)
    };
    let response = ui.add(
        edit.id(id)
            .font(look.font)
            .hint_text(look.hint)
            .desired_width(look.width)
            .margin(egui::Margin::symmetric(6, 3)),
    );
    name_it(ui.ctx(), response.id, name, None);
    if !response.lost_focus() {
        if response.changed() {
            ui.data_mut(|data| data.insert_temp(id, text));
        }
        return None;
    }
    ui.data_mut(|data| data.remove::<String>(id));
    let taken_back = ui.input(|input| input.key_pressed(egui::Key::Escape));
    (!taken_back && text != value).then_some(text)
}
