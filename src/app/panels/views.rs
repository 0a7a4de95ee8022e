//! The switch between what is shown below the envelope: the dummy loads, one mains cycle, where the watts go, or
//! how the output is held.

use egui::{Align, Button, Layout, RichText, Stroke, Ui, UiBuilder, WidgetInfo};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::keep_seen;
use crate::app::widgets::term::meaning_ui;
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::app::work::view::Scene;
use crate::explain::glossary;

/// Height of the row in which the switch stands (points).
const ROW: f32 = 24.0;

const SCENES: [(Scene, &str); 4] = [
    (Scene::Envelope, "envelope"),
    (Scene::Cycle, "cycle"),
    (Scene::Energy, "energy"),
    (Scene::Regulation, "regulation"),
];

/// Draws the switch at the right end of the row that comes next, without using that row up.
pub(crate) fn switch_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let mut row = ui.available_rect_before_wrap();
    row.max.y = row.min.y + ROW;
    let layout = Layout::right_to_left(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(row).layout(layout));
    ui.spacing_mut().item_spacing.x = 4.0;
    ui.spacing_mut().button_padding = egui::vec2(8.0, 2.0);
    for (scene, name) in SCENES.into_iter().rev() {
        let chosen = shown.view.scene == scene;
        let (ink, edge) = if chosen {
            (shown.theme.ink, shown.theme.dropout)
        } else {
            (shown.theme.middle, shown.theme.line)
        };
        let text = RichText::new(name)
            .font(theme::font(theme::SMALL))
            .color(ink);
        let button = Button::new(text)
            .fill(shown.theme.card)
            .stroke(Stroke::new(if chosen { 1.5 } else { 1.0 }, edge));
        let action = Action::Show(scene);
        let hover = format!("{} {}", action.hint(), action.key_text(ui.ctx()));
        let response = ui.add(button).on_hover_text(hover);
        keep_seen(&ui, &response);
        response.widget_info(|| {
            WidgetInfo::selected(
                egui::Role::RadioButton,
                true,
                chosen,
                format!("Show {name}"),
            )
        });
        if response.clicked() {
            commands.push(Command::Look(scene));
        }
    }
}

/// What stands above a view; the row that [`switch_ui`] left free. Hovering it says what the words in the view mean.
///
/// The first of the titles that fits is taken: each says the same in fewer words than the one before.
pub(crate) fn title_ui(ui: &mut Ui, shown: Shown<'_>, titles: &[String], words: &[&str]) {
    ui.horizontal(|ui| {
        ui.set_min_height(ROW);
        let room = (ui.available_width() - 260.0).max(80.0);
        ui.allocate_ui_with_layout(
            egui::vec2(room, ROW),
            Layout::left_to_right(Align::Center),
            |ui| {
                let font = theme::strong_font(theme::SMALL);
                let fits = |title: &&String| {
                    let ink = shown.theme.middle;
                    let galley = (ui.painter()).layout_no_wrap((*title).clone(), font.clone(), ink);
                    galley.size().x <= ui.available_width()
                };
                let Some(title) = titles.iter().find(fits).or(titles.last()) else {
                    return;
                };
                let text = RichText::new(title).font(font).color(shown.theme.middle);
                let title = ui.add(egui::Label::new(text).truncate());
                if !words.is_empty() {
                    title.on_hover_ui(|ui| {
                        for term in words.iter().filter_map(|word| glossary::named(word)) {
                            meaning_ui(ui, term);
                            ui.add_space(2.0);
                        }
                    });
                }
            },
        );
    });
}

/// In place of a view of which nothing is known: why.
pub(crate) fn not_known_ui(ui: &mut Ui, shown: Shown<'_>, why: &str) {
    ui.add_space(ROW + theme::GAP);
    let text = RichText::new(theme::tied(why)).color(shown.theme.ink);
    ui.add(egui::Label::new(text).wrap());
}
