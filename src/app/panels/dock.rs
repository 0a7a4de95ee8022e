//! The dock below the plot: the tabs of its three pages, its edge that is drawn up and down, and the row above what a page shows.

use egui::{
    Align, Button, CursorIcon, EventFilter, Key, Layout, RichText, Sense, Stroke, Ui, WidgetInfo,
};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_in_view, keep_seen};
use crate::app::widgets::term::meaning_ui;
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::app::work::view::{Page, Scene};
use crate::explain::glossary;

/// Height of the row of tabs (points).
pub(crate) const TABS: f32 = 36.0;
/// Height of the edge by which the dock is drawn up (points).
pub(crate) const EDGE: f32 = 12.0;
/// Height of the row above what a page shows (points).
pub(crate) const ROW: f32 = 24.0;
/// What one press of an arrow key adds to the height (points).
const STEP: f32 = 24.0;
/// Around a tab or a switch, chosen or not: another width would move its neighbours (points).
const EDGE_LINE: f32 = 1.5;
/// Accessible name of the edge.
const EDGE_NAME: &str = "Height of the dock";

/// Whether the pages are to be seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fold {
    /// They are.
    Unfolded,
    /// Only the tabs.
    Folded,
}

/// Draws the tabs, and the button that folds the dock.
pub(crate) fn tabs_ui(ui: &mut Ui, shown: Shown<'_>, fold: Fold, commands: &mut Commands) {
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        ui.spacing_mut().button_padding = egui::vec2(12.0, 3.0);
        for page in Page::ALL {
            let chosen = fold == Fold::Unfolded && shown.view.dock.scene.page() == page;
            let (ink, edge) = if chosen {
                (shown.theme.ink, shown.theme.dropout)
            } else {
                (shown.theme.middle, shown.theme.line)
            };
            let button = Button::new(RichText::new(page.text()).color(ink))
                .fill(shown.theme.card)
                .stroke(Stroke::new(EDGE_LINE, edge));
            let action = Action::Show(page);
            let hover = format!("{} {}", action.hint(), action.key_text(ui.ctx()));
            let response = ui.add(button).on_hover_text(hover);
            keep_seen(ui, &response);
            response
                .widget_info(|| WidgetInfo::selected(egui::Role::Tab, true, chosen, page.text()));
            if response.clicked() {
                commands.push(Command::Do(action));
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            fold_ui(ui, shown, fold, commands);
        });
    });
}

fn fold_ui(ui: &mut Ui, shown: Shown<'_>, fold: Fold, commands: &mut Commands) {
    let unfolded = fold == Fold::Unfolded;
    let name = if unfolded {
        "Fold the dock"
    } else {
        "Unfold the dock"
    };
    let (area, response) = ui.allocate_exact_size(egui::vec2(28.0, 24.0), Sense::click());
    let ink = if response.hovered() || response.has_focus() {
        shown.theme.ink
    } else {
        shown.theme.middle
    };
    // A chevron that points where the pages go.
    let down = if unfolded { 3.0 } else { -3.0 };
    let at = area.center();
    let line = [(-5.0, -down), (0.0, down), (5.0, -down)];
    let line = line.map(|(x, y)| at + egui::vec2(x, y));
    ui.painter().line(line.to_vec(), Stroke::new(1.5, ink));
    keep_seen(ui, &response);
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, name));
    let hover = format!("{name} {}", Action::FoldDock.key_text(ui.ctx()));
    if response.on_hover_text(hover).clicked() {
        commands.push(Command::UnfoldDock(Some(!unfolded)));
    }
}

/// What was done at the edge of the dock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum EdgeAnswer {
    /// The dock is to be so high (points).
    Height(f32),
    /// As high as usual.
    Usual,
    /// The edge was let go of.
    LetGo,
}

/// Draws the upper edge of a dock that ends at `bottom` and is now so high (points).
pub(crate) fn edge_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    bottom: f32,
    height: f32,
) -> Option<EdgeAnswer> {
    let size = egui::vec2(ui.available_width(), EDGE);
    let (area, _) = ui.allocate_exact_size(size, Sense::hover());
    // Its id does not hang on whether the dock is a panel or a sheet.
    let id = egui::Id::unique("edge of the dock");
    let response = ui.interact(area, id, Sense::click_and_drag());
    let response = response.on_hover_cursor(CursorIcon::ResizeVertical);
    let lively = response.hovered() || response.dragged() || response.has_focus();
    let ink = if response.has_focus() {
        shown.theme.dropout
    } else if lively {
        shown.theme.middle
    } else {
        shown.theme.line
    };
    let grip = egui::Rect::from_center_size(area.center(), egui::vec2(44.0, 4.0));
    ui.painter().rect_filled(grip, 2.0, ink);
    keep_in_view(&response);
    response.widget_info(|| WidgetInfo {
        value: Some(f64::from(height.round())),
        ..WidgetInfo::labeled(egui::Role::Splitter, true, EDGE_NAME)
    });
    let mut answer = None;
    if response.has_focus() {
        let arrows = EventFilter {
            vertical_arrows: true,
            ..EventFilter::default()
        };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id, arrows));
        let pressed = |key| ui.input(|input| input.key_pressed(key));
        if pressed(Key::ArrowUp) {
            answer = Some(EdgeAnswer::Height(height + STEP));
        } else if pressed(Key::ArrowDown) {
            answer = Some(EdgeAnswer::Height(height - STEP));
        } else if pressed(Key::Home) {
            answer = Some(EdgeAnswer::Usual);
        }
    }
    if response.double_clicked() {
        return Some(EdgeAnswer::Usual);
    }
    if response.dragged()
        && let Some(pointer) = response.interact_pointer_pos()
    {
        return Some(EdgeAnswer::Height(bottom - pointer.y + 0.5 * EDGE));
    }
    if response.drag_stopped() || response.lost_focus() {
        return Some(EdgeAnswer::LetGo);
    }
    response.on_hover_text("Draw it up or down; a double click brings the usual height back. With the keyboard: arrow keys, Home.");
    answer
}

/// What stands above a stop.
#[derive(Default)]
pub(crate) struct Head<'a> {
    /// Its title; each says the same in fewer words than the one before. The first that fits is taken.
    pub(crate) titles: &'a [String],
    /// Words of the glossary that the stop uses; hovering the title says what they mean.
    pub(crate) words: &'a [&'a str],
}

/// The row above a stop: its title, and at the right the stops of the page where it has several.
pub(crate) fn head_ui(ui: &mut Ui, shown: Shown<'_>, head: &Head<'_>, commands: &mut Commands) {
    let stops = shown.view.dock.scene.page().stops();
    let stops = if stops.len() > 1 { stops } else { &[] };
    let width = |scene: &Scene| {
        let font = theme::font(theme::SMALL);
        let galley = (ui.painter()).layout_no_wrap(scene.text().to_owned(), font, shown.theme.ink);
        galley.size().x + 2.0 * STOP_PADDING + STOP_GAP
    };
    let switches = stops.iter().map(width).sum::<f32>();
    ui.horizontal(|ui| {
        ui.set_min_height(ROW);
        let room = (ui.available_width() - switches - theme::GAP).max(60.0);
        ui.allocate_ui_with_layout(
            egui::vec2(room, ROW),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(room);
                title_ui(ui, shown, head);
            },
        );
        ui.spacing_mut().item_spacing.x = STOP_GAP;
        ui.spacing_mut().button_padding = egui::vec2(STOP_PADDING, 2.0);
        for scene in stops {
            switch_ui(ui, shown, *scene, commands);
        }
    });
}

/// Beside the text of a stop's switch (points).
const STOP_PADDING: f32 = 8.0;
/// Between two of them (points).
const STOP_GAP: f32 = 4.0;

fn switch_ui(ui: &mut Ui, shown: Shown<'_>, scene: Scene, commands: &mut Commands) {
    let chosen = shown.view.dock.scene == scene;
    let (ink, edge) = if chosen {
        (shown.theme.ink, shown.theme.dropout)
    } else {
        (shown.theme.middle, shown.theme.line)
    };
    let text = RichText::new(scene.text()).font(theme::font(theme::SMALL));
    let button = Button::new(text.color(ink))
        .fill(shown.theme.card)
        .stroke(Stroke::new(EDGE_LINE, edge));
    let response = ui.add(button);
    keep_seen(ui, &response);
    response
        .widget_info(|| WidgetInfo::selected(egui::Role::RadioButton, true, chosen, scene.text()));
    if response.clicked() {
        commands.push(Command::Look(scene));
    }
}

fn title_ui(ui: &mut Ui, shown: Shown<'_>, head: &Head<'_>) {
    let font = theme::strong_font(theme::SMALL);
    let fits = |title: &&String| {
        let ink = shown.theme.middle;
        let galley = (ui.painter()).layout_no_wrap((*title).clone(), font.clone(), ink);
        galley.size().x <= ui.available_width()
    };
    let Some(title) = head.titles.iter().find(fits).or(head.titles.last()) else {
        return;
    };
    let text = RichText::new(title).font(font).color(shown.theme.middle);
    let title = ui.add(egui::Label::new(text).truncate());
    if !head.words.is_empty() {
        title.on_hover_ui(|ui| {
            for term in head.words.iter().filter_map(|word| glossary::named(word)) {
                meaning_ui(ui, term);
                ui.add_space(2.0);
            }
        });
    }
}

/// In place of a stop of which nothing is known: why.
pub(crate) fn not_known_ui(ui: &mut Ui, shown: Shown<'_>, why: &str) {
    ui.add_space(theme::GAP);
    let text = RichText::new(theme::tied(why)).color(shown.theme.ink);
    ui.add(egui::Label::new(text).wrap());
}
