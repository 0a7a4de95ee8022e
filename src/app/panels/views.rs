//! The switch between what is shown below the envelope: the dummy loads, one mains cycle, or where the watts go.

use egui::{Align, Button, Layout, RichText, Stroke, Ui, UiBuilder, WidgetInfo};

use crate::app::command::Command;
use crate::app::document::Scene;
use crate::app::shown::{Commands, Shown};
use crate::app::theme;

/// Height of the row in which the switch stands (points).
const ROW: f32 = 24.0;

const SCENES: [(Scene, &str, &str); 3] = [
    (
        Scene::Envelope,
        "envelope",
        "The envelope with the dummy loads below it",
    ),
    (
        Scene::Cycle,
        "cycle",
        "One mains cycle at the point: winding, bus and rectifier pulses",
    ),
    (
        Scene::Energy,
        "energy",
        "Where the watts go at the point, from the mains to the load",
    ),
];

/// Draws the switch at the right end of the row that comes next, without using that row up.
pub(crate) fn switch_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let mut row = ui.available_rect_before_wrap();
    row.max.y = row.min.y + ROW;
    let layout = Layout::right_to_left(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(row).layout(layout));
    ui.spacing_mut().item_spacing.x = 4.0;
    ui.spacing_mut().button_padding = egui::vec2(8.0, 2.0);
    for (scene, name, hover) in SCENES.into_iter().rev() {
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
        let response = ui.add(button).on_hover_text(hover);
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

/// What stands above a view; the row that [`switch_ui`] left free.
pub(crate) fn title_ui(ui: &mut Ui, shown: Shown<'_>, title: &str) {
    ui.horizontal(|ui| {
        ui.set_min_height(ROW);
        let room = (ui.available_width() - 190.0).max(80.0);
        ui.allocate_ui_with_layout(
            egui::vec2(room, ROW),
            Layout::left_to_right(Align::Center),
            |ui| {
                let text = RichText::new(title)
                    .font(theme::strong_font(theme::SMALL))
                    .color(shown.theme.middle);
                ui.add(egui::Label::new(text).truncate());
            },
        );
    });
}
