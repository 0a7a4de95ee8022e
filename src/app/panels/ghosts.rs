//! The row over the plot: keep the present variant, and the ghosts kept so far.

use egui::{Button, RichText, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::name_it;
use crate::app::work::action::Action;
use crate::app::work::command::Command;

/// Widest a ghost's button gets (points).
const CHIP: f32 = 190.0;

/// Draws the row.
pub(crate) fn ghosts_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    // As low as its text allows: the height belongs to the plot below.
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 18.0;
        ui.spacing_mut().button_padding = egui::vec2(8.0, 1.0);
        let action = Action::KeepGhost;
        let small = |text: &str| RichText::new(text).font(theme::font(theme::SMALL));
        let kept = shown
            .view
            .ghosts
            .iter()
            .any(|g| g.work == shown.document.work);
        let keep = ui.add_enabled(!kept, Button::new(small("Keep as ghost")));
        name_it(ui.ctx(), keep.id, action.text(), None);
        let hint = format!("{} {}", action.hint(), action.key_text(ui.ctx()));
        if keep
            .on_hover_text(hint)
            .on_disabled_hover_text("This variant is kept already: change something")
            .clicked()
        {
            commands.push(Command::Do(action));
        }
        let count = shown.view.ghosts.len().max(1);
        let width = (ui.available_width() / count as f32 - theme::GAP).clamp(40.0, CHIP);
        for (place, ghost) in shown.view.ghosts.iter().enumerate() {
            let selected = shown.view.ghost == Some(place);
            let chip = ui
                .scope(|ui| {
                    ui.set_max_width(width);
                    theme::choices(ui);
                    ui.add(
                        Button::selectable(selected, small(&ghost.name))
                            .frame_when_inactive(true)
                            .truncate(),
                    )
                })
                .inner;
            let name = format!("Ghost {}", ghost.name);
            name_it(ui.ctx(), chip.id, &name, None);
            let hint = format!("{}\nLists what changed since then", ghost.name);
            if chip.on_hover_text(hint).clicked() {
                commands.push(Command::SelectGhost((!selected).then_some(place)));
            }
        }
    });
}
