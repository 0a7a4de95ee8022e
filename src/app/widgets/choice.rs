//! A box that shows one of several choices and hangs a list of them out.

use std::hash::Hash;

use egui::{ComboBox, Ui};

use crate::app::theme;
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::{keep_in_view, name_it};

/// Draws the box, as wide as there is room; gives what was picked.
pub(crate) fn choice_box<T: PartialEq + Copy, S: AsRef<str>>(
    ui: &mut Ui,
    salt: impl Hash + std::fmt::Debug,
    (name, hover): (&str, &str),
    (value, options): (T, &[(T, S)]),
) -> Option<(T, String)> {
    let now = options
        .iter()
        .find(|(option, _)| *option == value)
        .map_or("", |(_, text)| text.as_ref());
    let mut picked = None;
    let mut list = HangingList::of(ui, name);
    let combo = ComboBox::from_id_salt(salt)
        .width(ui.available_width())
        .truncate()
        .selected_text(now)
        .show_ui(ui, |ui| {
            theme::choices(ui);
            for (option, text) in options {
                let entry = ui.selectable_label(*option == value, text.as_ref());
                if *option == value {
                    list.entry_in_use(&entry);
                } else {
                    list.entry(&entry);
                }
                if entry.clicked() {
                    picked = Some((*option, text.as_ref().to_owned()));
                    ui.close();
                }
            }
        });
    list.end(&combo.response);
    name_it(ui.ctx(), combo.response.id, name, Some(now));
    keep_in_view(&combo.response);
    combo.response.on_hover_text(hover);
    picked.filter(|(option, _)| *option != value)
}
