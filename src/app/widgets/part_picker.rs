//! Picks a type from the catalogue.

use egui::{ComboBox, RichText, Ui};

use crate::app::theme::{self, Theme};
use crate::app::widgets::quantity_field::name_it;

/// A type as the picker shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Entry<'e> {
    /// Its designation.
    pub(crate) name: &'e str,
    /// A few words.
    pub(crate) about: &'e str,
}

/// Shows what is in use and gives the index of what was picked instead. `name` is the accessible name.
pub(crate) fn part_picker(
    ui: &mut Ui,
    name: &str,
    in_use: &str,
    entries: &[Entry<'_>],
) -> Option<usize> {
    let theme = Theme::of(ui.ctx());
    let mut picked = None;
    let combo = ComboBox::from_id_salt(name)
        .width(ui.available_width())
        .truncate()
        .height(360.0)
        .selected_text(RichText::new(in_use).font(theme::strong_font(theme::BODY)))
        .show_ui(ui, |ui| {
            ui.set_min_width(280.0);
            for (place, entry) in entries.iter().enumerate() {
                let mut text = egui::text::LayoutJob::default();
                text.append(
                    entry.name,
                    0.0,
                    egui::TextFormat::simple(theme::strong_font(theme::BODY), theme.ink),
                );
                text.append(
                    entry.about,
                    theme::GAP,
                    egui::TextFormat::simple(theme::font(theme::SMALL), theme.middle),
                );
                let response = ui.selectable_label(entry.name == in_use, text);
                name_it(ui.ctx(), response.id, entry.name, None);
                if response.clicked() {
                    picked = Some(place);
                }
            }
        });
    name_it(ui.ctx(), combo.response.id, name, Some(in_use));
    picked
}
