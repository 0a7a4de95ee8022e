//! Picks a type from the catalogue.

use egui::{ComboBox, RichText, Ui};

use crate::app::theme::{self, Theme};
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::name_it;
use crate::explain::{Severity, kind};

/// A type as the picker shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Entry<'e> {
    /// Its designation.
    pub(crate) name: &'e str,
    /// A few words.
    pub(crate) about: &'e str,
    /// Under which heading it stands; empty where there are none.
    pub(crate) kind: &'e str,
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
    let has_search = entries.len() > WITHOUT_SEARCH;
    let covered = if has_search { SEARCH } else { 0.0 };
    let mut list = HangingList::of(ui, name).covered(covered);
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
            let typed = if has_search {
                typed(ui, name)
            } else {
                String::new()
            };
            if has_search {
                // Above the first entry; drawn last, over what scrolls past below it.
                ui.add_space(SEARCH);
            }
            let mut heading = "";
            let shown = in_order(entries, &typed);
            let first = shown.first().copied();
            if shown.is_empty() {
                ui.weak("no type of that name here");
            }
            for place in shown {
                let Some(entry) = entries.get(place) else {
                    continue;
                };
                let own_heading = if entry.own { OWN_HEADING } else { entry.kind };
                if own_heading != heading {
                    heading = own_heading;
                    ui.add_space(4.0);
                    let words = RichText::new(heading).font(theme::strong_font(theme::SMALL));
                    ui.label(words.color(theme.middle));
                }
                let text = entry_text(entry, &theme);
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
            if has_search && search_ui(ui, name, typed) && first.is_some() {
                picking.picked = first;
                ui.close();
            }
        });
    if !picking.open {
        ui.data_mut(|data| data.remove_temp::<String>(typed_id(name)));
    }
    list.end(&combo.response);
    name_it(ui.ctx(), combo.response.id, name, Some(in_use));
    picking
}

/// An entry's designation, the words about it, and in a line of its own what it would make of the point.
fn entry_text(entry: &Entry<'_>, theme: &Theme) -> egui::text::LayoutJob {
    let mut text = egui::text::LayoutJob::default();
    text.append(
        entry.name,
        0.0,
        egui::TextFormat::simple(theme::strong_font(theme::BODY), theme.ink),
    );
    if entry.own {
        text.append(OWN, theme::GAP, own_mark(theme));
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
    text
}

/// The entries that are found by what is typed, those of one's own first, then by heading and designation.
fn in_order(entries: &[Entry<'_>], typed: &str) -> Vec<usize> {
    let mut headings: Vec<&str> = Vec::new();
    for entry in entries {
        if !headings.contains(&entry.kind) {
            headings.push(entry.kind);
        }
    }
    let rank = |entry: &Entry<'_>| {
        let heading = headings.iter().position(|kind| *kind == entry.kind);
        (!entry.own, heading)
    };
    let found = entries.iter().enumerate();
    let found = found.filter(|(_, entry)| kind::is_found(typed, entry.name, entry.about));
    let mut found: Vec<(usize, &Entry<'_>)> = found.collect();
    // Without headings the order is the list's own.
    if headings.len() > 1 {
        found.sort_by(|(_, a), (_, b)| {
            let by_rank = rank(a).cmp(&rank(b));
            by_rank.then_with(|| kind::by_designation(a.name, b.name))
        });
    }
    found.into_iter().map(|(place, _)| place).collect()
}

fn typed_id(name: &str) -> egui::Id {
    egui::Id::unique(("searched in a list", name))
}

/// What is looked for in an open list. Typing needs no click into the field: letters go there from any entry, in this frame.
fn typed(ui: &Ui, name: &str) -> String {
    let is_text =
        |event: &egui::Event| matches!(event, egui::Event::Text(text) if !text.trim().is_empty());
    let types = ui.input(|input| input.events.iter().any(is_text));
    if types && !ui.ctx().text_edit_focused() {
        ui.memory_mut(|memory| memory.request_focus(field_id(name)));
    }
    ui.data(|data| data.get_temp(typed_id(name)))
        .unwrap_or_default()
}

fn field_id(name: &str) -> egui::Id {
    egui::Id::unique(("search in a list", name))
}

/// The field to type in, at the top of what is seen of the list; true if Enter takes the first entry that was found.
fn search_ui(ui: &mut Ui, name: &str, mut typed: String) -> bool {
    let colours = Theme::of(ui.ctx());
    let seen = ui.clip_rect();
    let left = ui.min_rect().left();
    let size = egui::vec2(ui.available_width(), SEARCH - 4.0);
    let place = egui::Rect::from_min_size(egui::pos2(left, seen.top()), size);
    ui.painter()
        .rect_filled(place.expand2(egui::vec2(6.0, 0.0)), 0.0, colours.card);
    let field = egui::TextEdit::singleline(&mut typed)
        .id(field_id(name))
        .hint_text("type to search")
        .desired_width(f32::INFINITY);
    let mut own =
        ui.new_child(egui::UiBuilder::new().max_rect(place.shrink2(egui::vec2(2.0, 3.0))));
    let field = own.add(field);
    name_it(ui.ctx(), field.id, &format!("Search {name}"), None);
    let takes_first = field.lost_focus()
        && !typed.is_empty()
        && ui.input(|input| input.key_pressed(egui::Key::Enter));
    ui.data_mut(|data| data.insert_temp(typed_id(name), typed));
    takes_first
}

/// A list as short as this needs no search.
const WITHOUT_SEARCH: usize = 8;
/// Height of the field (points).
const SEARCH: f32 = 32.0;
/// The heading of types of one's own.
const OWN_HEADING: &str = "Your own";

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
