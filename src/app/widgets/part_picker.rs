//! Picks a type from the catalogue.

use egui::{ComboBox, RichText, Ui};

use crate::app::theme::{self, Theme};
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::name_it;
use crate::explain::Severity;

/// A type as the picker shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry<'e> {
    /// Its designation.
    pub(crate) name: &'e str,
    /// A few words.
    pub(crate) about: &'e str,
    /// True for a type of the user's own.
    pub(crate) own: bool,
    /// True for the one that is in use.
    pub(crate) in_use: bool,
    /// What it would make of the point, once that is known.
    pub(crate) mark: Option<Mark>,
}

/// What an entry would make of the point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Mark {
    /// How bad it is.
    pub(crate) severity: Severity,
    /// It, in a few words.
    pub(crate) words: String,
}

/// What happened in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Picking {
    /// True while the list hangs open.
    pub(crate) open: bool,
    /// The entry under the pointer or the keyboard.
    pub(crate) looked_at: Option<usize>,
    /// The entry that was picked.
    pub(crate) picked: Option<usize>,
}

/// The mark of a type of one's own.
const OWN: &str = "own";

fn own_mark(theme: &Theme) -> egui::TextFormat {
    egui::TextFormat {
        background: theme.selected,
        expand_bg: 2.0,
        ..egui::TextFormat::simple(theme::strong_font(theme::SMALL), theme.dropout_text)
    }
}

/// Shows what is in use and tells which entry is looked at and which was picked instead. `name` is the accessible name.
pub(crate) fn part_picker(ui: &mut Ui, name: &str, in_use: &str, entries: &[Entry<'_>]) -> Picking {
    let theme = Theme::of(ui.ctx());
    let mut picking = Picking::default();
    let height = room_beside(ui);
    let mut list = HangingList::of(ui, name);
    let combo = ComboBox::from_id_salt(name)
        .width(ui.available_width())
        .truncate()
        .height(height)
        .selected_text(RichText::new(in_use).font(theme::strong_font(theme::BODY)))
        .show_ui(ui, |ui| {
            // No wider than reaches a little over the plot's axis: what is previewed there has to be seen.
            ui.set_max_width(WIDEST);
            ui.style_mut().wrap_mode = Some(egui::TextWrapMode::Wrap);
            theme::choices(ui);
            picking.open = true;
            for (place, entry) in entries.iter().enumerate() {
                let mut text = egui::text::LayoutJob::default();
                text.append(
                    entry.name,
                    0.0,
                    egui::TextFormat::simple(theme::strong_font(theme::BODY), theme.ink),
                );
                if entry.own {
                    text.append(OWN, theme::GAP, own_mark(&theme));
                }
                text.append(
                    entry.about,
                    theme::GAP,
                    egui::TextFormat::simple(theme::font(theme::SMALL), theme.middle),
                );
                // The line is there before its words are known: nothing moves under the pointer when they come.
                let (words, severity) = entry
                    .mark
                    .as_ref()
                    .map_or((" ", Severity::Remark), |m| (m.words.as_str(), m.severity));
                let ink = match severity {
                    Severity::Fine => theme.envelope_text,
                    Severity::Near => theme.near_text,
                    Severity::Remark => theme.middle,
                    Severity::Over => theme.over_text,
                };
                text.append(
                    &format!("\n{words}"),
                    0.0,
                    egui::TextFormat::simple(theme::font(theme::SMALL), ink),
                );
                let response = ui.selectable_label(entry.in_use, text);
                let own = entry.own.then_some("own type");
                let said = entry.mark.as_ref().map(|mark| mark.words.as_str());
                let said: Vec<&str> = own.into_iter().chain(said).collect();
                let said = (!said.is_empty()).then(|| said.join("; "));
                name_it(ui.ctx(), response.id, entry.name, said.as_deref());
                if entry.in_use {
                    list.entry_in_use(&response);
                } else {
                    list.entry(&response);
                }
                // What is in use is on the plot already.
                if !entry.in_use
                    && (response.hovered() || (response.has_focus() && picking.looked_at.is_none()))
                {
                    picking.looked_at = Some(place);
                }
                if response.clicked() {
                    picking.picked = Some(place);
                    // By the keyboard as by the pointer: what is chosen closes the list.
                    ui.close();
                }
            }
        });
    list.end(&combo.response);
    name_it(ui.ctx(), combo.response.id, name, Some(in_use));
    picking
}

/// Width of a list (points).
const WIDEST: f32 = 310.0;
/// Highest that a list hangs open (points).
const HIGHEST: f32 = 360.0;
/// What its frame, its shadow and the window's edge need besides (points).
const AROUND: f32 = 34.0;

/// Height for a list above or below its box, whichever has more room: one that fits neither would open beside the box, over
/// the plot in which it previews.
fn room_beside(ui: &Ui) -> f32 {
    let window = ui.ctx().content_rect();
    let top = ui.next_widget_position().y;
    let bottom = top + ui.spacing().interact_size.y;
    let room = (top - window.top()).max(window.bottom() - bottom);
    (room - AROUND).clamp(120.0, HIGHEST)
}
