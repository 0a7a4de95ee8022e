//! The limits at the point, in groups: the tightest of each, and the rest folded. A row unfolds in place.

use egui::{Align, Id, Label, Layout, Rect, RichText, Sense, Shape, Stroke, Ui, Vec2};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::panels::this_point::{odds, quiet_heading, why};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_in_view, keep_seen};
use crate::app::widgets::term::meaning_ui;
use crate::app::widgets::use_bar::use_bar;
use crate::app::work::command::Command;
use crate::explain::limits::{self, MOVING, NOT_JUDGED, always_there, figures, listed_name, more};
use crate::explain::odds::limit_odds;
use crate::explain::{glossary, sentence};
use crate::parts::Supply;
use crate::physics::envelope::{Envelope, Point};
use crate::physics::limit::{Limit, Use};

/// So many of a group are in sight; the rest is folded.
const IN_SIGHT: usize = 6;

/// What the list is of.
#[derive(Clone, Copy)]
pub(super) struct Listed<'a> {
    /// The point.
    pub(super) point: &'a Point,
    /// Its supply.
    pub(super) supply: &'a Supply,
    /// The envelope of the supply.
    pub(super) envelope: &'a Envelope,
}

/// Draws all groups.
pub(super) fn list_ui(ui: &mut Ui, shown: Shown<'_>, listed: Listed<'_>, commands: &mut Commands) {
    let all = listed.point.uses.iter();
    let (known, unknown): (Vec<&Use>, Vec<&Use>) = all.partition(|one| one.judged.is_ok());
    let (always, moving): (Vec<&Use>, Vec<&Use>) =
        known.iter().partition(|one| one.limit.is_no_load());
    let in_sight = [&moving, &always]
        .into_iter()
        .flat_map(|group| group.iter().take(IN_SIGHT));
    let sizes = row_sizes(ui, &in_sight.copied().collect::<Vec<_>>(), listed);
    let always_there = always_there(&always);
    for (heading, group) in [
        (MOVING, moving),
        (always_there.as_str(), always),
        (NOT_JUDGED, unknown),
    ] {
        if group.is_empty() {
            continue;
        }
        quiet_heading(ui, shown, heading);
        group_ui(ui, shown, (listed, &group, sizes), commands);
        ui.add_space(6.0);
    }
}

/// The tightest of a group, all that is over or may be in such units, and what is unfolded; and the rest, folded.
fn group_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (listed, group, sizes): (Listed<'_>, &[&Use], [f32; 2]),
    commands: &mut Commands,
) {
    let mut place = 0;
    let (seen, rest): (Vec<&Use>, Vec<&Use>) = group.iter().partition(|one| {
        place += 1;
        place <= IN_SIGHT
            || one.is_over()
            || shown.view.about == Some(one.limit)
            || odds::words(shown, one.limit).is_some()
    });
    let rows = |ui: &mut Ui, some: &[&Use], commands: &mut Commands| {
        for one in some {
            row_ui(ui, shown, (listed, one, sizes), commands);
        }
    };
    rows(ui, &seen, commands);
    let Some(first) = rest.first() else {
        return;
    };
    let title = RichText::new(more(&rest))
        .font(theme::font(theme::SMALL))
        .color(shown.theme.middle);
    let fold = egui::CollapsingHeader::new(title)
        .id_salt(("rest of", first.judged.is_ok(), first.limit.is_no_load()))
        .show_unindented(ui, |ui| rows(ui, &rest, commands));
    keep_seen(ui, &fold.header_response);
}

/// The sizes of names and numbers in the list: those of the text, or smaller for all rows where a name would be cut.
fn row_sizes(ui: &Ui, uses: &[&Use], listed: Listed<'_>) -> [f32; 2] {
    let width = |text: String, size| {
        let galley = (ui.painter()).layout_no_wrap(text, theme::font(size), egui::Color32::WHITE);
        galley.size().x
    };
    let fits = |[names, numbers]: &[f32; 2]| {
        uses.iter().all(|one| {
            let used = width(listed_name(one.limit, listed.supply), *names)
                + width(figures(one, listed.envelope, listed.point), *numbers);
            used + 1.5 * theme::GAP <= ui.available_width()
        })
    };
    [[theme::BODY, theme::BODY], [theme::SMALL, theme::BODY]]
        .into_iter()
        .find(fits)
        .unwrap_or([theme::SMALL; 2])
}

/// One limit: its name, its numbers, its bar; hovering says why and what the word means, a click unfolds or folds it.
fn row_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (listed, one, sizes): (Listed<'_>, &Use, [f32; 2]),
    commands: &mut Commands,
) {
    let is_open = shown.view.about == Some(one.limit);
    // Behind the row and what it unfolds; drawn first, measured last.
    let behind = ui.painter().add(Shape::Noop);
    let drawn = ui
        .scope(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 18.0;
            figures_ui(ui, shown, (listed, one, sizes));
            use_bar(ui, one.nearness(), ui.available_width());
            odds::row_ui(ui, shown, one.limit);
        })
        .response;
    let name = listed_name(one.limit, listed.supply);
    // An id of its own: it belongs to the limit, wherever that stands in the list.
    let id = Id::unique(("about", one.limit));
    let row = ui.interact(drawn.rect, id, Sense::click());
    row.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Button, true, format!("About {name}"))
    });
    ui.ctx()
        .accesskit_node_builder(id, |node| node.set_expanded(is_open));
    keep_in_view(&row);
    if row.has_focus() {
        let edge = Stroke::new(1.5, shown.theme.dropout);
        let around = row.rect.expand(2.0);
        ui.painter()
            .rect_stroke(around, 3.0, edge, egui::StrokeKind::Outside);
    }
    if row.clicked() {
        commands.push(Command::Explain((!is_open).then_some(one.limit)));
        ui.data_mut(|data| data.insert_temp(clicked_at(), row.rect.top()));
    }
    if is_open {
        ui.add_space(4.0);
        let below = ui.scope(|ui| why::why_ui(ui, shown, (listed, one), commands));
        let whole = row.rect.union(below.response.rect);
        let around = whole.expand2(Vec2::new(6.0, 5.0));
        let edge = Stroke::new(1.0, shown.theme.line);
        let card = egui::epaint::RectShape::new(
            around,
            f32::from(theme::RADIUS) - 2.0,
            shown.theme.card,
            edge,
            egui::StrokeKind::Inside,
        );
        ui.painter().set(behind, card);
        ui.add_space(6.0);
        stay_in_place(ui, one.limit, [row.rect, around]);
    } else {
        hover_ui(row, shown, listed, one);
    }
    ui.add_space(2.0);
}

/// Name and numbers of a row.
fn figures_ui(ui: &mut Ui, shown: Shown<'_>, (listed, one, sizes): (Listed<'_>, &Use, [f32; 2])) {
    let theme = shown.theme;
    let ink = if one.judged.is_ok() {
        theme.ink
    } else {
        theme.middle
    };
    let name = RichText::new(listed_name(one.limit, listed.supply))
        .font(theme::font(sizes[0]))
        .color(ink);
    let numbers = RichText::new(figures(one, listed.envelope, listed.point))
        .font(theme::font(sizes[1]))
        .color(
            one.nearness()
                .map_or(theme.dim, |near| theme.use_text(near)),
        );
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add(Label::new(numbers).selectable(false));
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(name).truncate().selectable(false));
            });
        });
    });
}

/// Beside a row that is folded: why, and what the word means.
fn hover_ui(row: egui::Response, shown: Shown<'_>, listed: Listed<'_>, one: &Use) {
    row.on_hover_ui(|ui| {
        ui.set_max_width(320.0);
        if one.judged.is_ok() {
            ui.label(sentence(&limits::sentence(
                one,
                listed.supply,
                listed.point,
            )));
            if let Some(how) = limits::how_judged(one) {
                ui.label(RichText::new(how).color(shown.theme.middle));
            }
            if let Some(of_units) = odds::of_limit(shown, one.limit) {
                let said = format!("Of such units: {}", limit_odds(of_units));
                ui.label(RichText::new(sentence(&said)).color(shown.theme.middle));
            }
        } else {
            ui.label(sentence(&limits::not_known(one, listed.supply)));
        }
        if let Some(term) = glossary::of_limit(one.limit) {
            ui.separator();
            meaning_ui(ui, term);
        }
    });
}

/// Where the row that was clicked stood (points from the top).
fn clicked_at() -> Id {
    Id::unique("row clicked at")
}

/// A row that was just unfolded stays under the pointer, whatever was folded above it, as long as what it unfolds is in sight;
/// one that was asked for elsewhere comes into sight.
fn stay_in_place(ui: &Ui, limit: Limit, [row, whole]: [Rect; 2]) {
    let seen = Id::unique("unfolded row");
    if ui.data(|data| data.get_temp::<Limit>(seen)) == Some(limit) {
        return;
    }
    let clicked = ui.data_mut(|data| {
        data.insert_temp(seen, limit);
        data.remove_temp::<f32>(clicked_at())
    });
    let clip = ui.clip_rect();
    let highest = clip.top() + (row.top() - whole.top());
    let lowest = clip.bottom() - (whole.bottom() - row.top());
    let wanted = clicked.unwrap_or(row.top());
    let by = wanted.min(lowest).max(highest) - row.top();
    ui.scroll_with_delta_animation(Vec2::new(0.0, by), egui::style::ScrollAnimation::none());
}
