//! The bar at the top: what is open, the mains, undo and redo, theme and menu.

use egui::{Align, Button, Layout, RichText, Sense, Ui};

use crate::app::disk::presets;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::landmark::Landmark;
use crate::app::widgets::quantity_field::{HANDLE, Named, Span, name_it, slider};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::action::Action;
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::theme_choice::ThemeChoice;
use crate::parts::escape::escaped;

/// Height of the bar (points).
pub(crate) const HEIGHT: f32 = 52.0;

/// Draws the bar.
pub(crate) fn top_bar_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let full = ui.available_width();
    ui.horizontal_centered(|ui| {
        let side = (full * 0.365).clamp(200.0, 460.0);
        ui.allocate_ui_with_layout(
            egui::vec2(side, HEIGHT),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(side);
                name_ui(ui, shown, commands);
            },
        );
        let right = (full * 0.3).clamp(280.0, 460.0);
        let middle = (ui.available_width() - right - theme::GAP).max(200.0);
        ui.allocate_ui_with_layout(
            egui::vec2(middle, HEIGHT),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.set_min_width(middle);
                mains_ui(ui, shown, commands);
            },
        );
        // At the right edge, yet in reading order for Tab.
        let [undo, others] = buttons_width(ui, shown);
        ui.add_space((ui.available_width() - undo - others).max(0.0));
        step_ui(ui, shown, commands, Action::Undo, undo);
        step_ui(ui, shown, commands, Action::Redo, LONGEST_STEP);
        theme_ui(ui, shown, commands);
        menu_ui(ui, shown, commands);
    });
}

/// Stands where the name is missing.
const NO_NAME: &str = "name of the supply";

fn name_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let name = &shown.document.work.name;
    let font = theme::strong_font(theme::HEADING);
    // As wide as its text, so that the mark of unsaved work stands beside it.
    let text = if name.is_empty() { NO_NAME } else { name };
    let width = ui
        .painter()
        .layout_no_wrap(text.to_owned(), font.clone(), shown.theme.ink)
        .size()
        .x;
    let look = TextLook {
        font,
        width: (width + 20.0).clamp(120.0, ui.available_width() - 24.0),
        bare: true,
        rows: 1,
        hint: NO_NAME,
    };
    let named = Named {
        name: "Name of the supply",
        id: egui::Id::unique(("supply name", shown.document.serial)),
    };
    if let Some(new) = text_field(ui, named, name, look) {
        let change = Change {
            label: format!("Name {new}"),
            control: None,
        };
        commands.push(Command::Edit(Box::new(Edit::Name(new)), change));
    }
    if shown.document.is_changed() {
        let (rect, dot) = ui.allocate_exact_size(egui::vec2(10.0, 10.0), Sense::hover());
        ui.painter()
            .circle_filled(rect.center(), 4.0, shown.theme.near);
        dot.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, "not saved"));
        dot.on_hover_text("Changed since it was last saved");
    }
}

const MAINS: &str = "Mains";

fn mains_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let mains = &shown.document.work.supply.mains;
    let span = Span::of_mains(mains.low, mains.high);
    let said = format!("{} · {}", mains.present, mains.frequency);
    let font = theme::strong_font(theme::BODY);
    let width = |text: &str, font: egui::FontId| {
        let galley = ui
            .painter()
            .layout_no_wrap(text.to_owned(), font, shown.theme.ink);
        galley.size().x
    };
    let words = width(MAINS, theme::font(theme::BODY)) + width(&said, font.clone());
    let room = ui.available_width() - words - 2.0 * theme::GAP;
    let rail = room.clamp(80.0, 300.0);
    // In the middle of its room.
    ui.add_space(((room - rail) / 2.0).max(0.0));
    ui.label(RichText::new(MAINS).color(shown.theme.middle))
        .on_hover_text(
            "What the wall gives now. Ticks: low, nominal and high mains of this supply.",
        );
    let mut moved = None;
    let rect = ui
        .allocate_ui_with_layout(
            egui::vec2(rail, 28.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                moved = slider(ui, "Mains now", Some(mains.present), span);
                ui.min_rect()
            },
        )
        .inner;
    Landmark::Mains.stands_at(ui.ctx(), rect.expand2(egui::vec2(0.0, 8.0)));
    ticks_ui(ui, rect, span, shown);
    ui.label(RichText::new(said).font(font));
    if let Some(present) = moved {
        let mut new = mains.clone();
        new.present = present;
        let change = Change {
            label: format!("Mains, now {present}"),
            control: Some("Mains now".to_owned()),
        };
        commands.push(Command::Edit(Box::new(Edit::Mains(new)), change));
    }
}

/// Least distance between the numbers below the mains slider (points).
const TICK_LABEL: f32 = 26.0;

fn ticks_ui(ui: &Ui, rect: egui::Rect, span: Span, shown: Shown<'_>) {
    let mains = &shown.document.work.supply.mains;
    // The toolkit keeps the handle's radius free at both ends of the rail.
    let rail = rect.x_range().shrink(HANDLE / 2.5);
    let mut labelled: Option<f32> = None;
    for volts in [mains.low, mains.nominal, mains.high] {
        let share = (volts.0 - span.low) / (span.high - span.low);
        if !(0.0..=1.0).contains(&share) {
            continue;
        }
        let x = egui::lerp(rail.min..=rail.max, theme::share(share));
        let y = rect.center().y;
        ui.painter().vline(
            x,
            (y + 6.0)..=(y + 11.0),
            egui::Stroke::new(1.0, shown.theme.middle),
        );
        // On a short rail a number gives way to its neighbour.
        if labelled.is_some_and(|before| x - before < TICK_LABEL) {
            continue;
        }
        labelled = Some(x);
        ui.painter().text(
            egui::pos2(x, y + 11.0),
            egui::Align2::CENTER_TOP,
            format!("{}", volts.0),
            theme::font(theme::SMALL - 1.0),
            shown.theme.dim,
        );
    }
}

/// Width of the button that undoes, and of all others at the right edge with the gaps between them (points). What it
/// undoes is cut short where the others would be pushed over the edge.
fn buttons_width(ui: &Ui, shown: Shown<'_>) -> [f32; 2] {
    let width = |text: &str| {
        let font = theme::font(theme::BODY);
        let galley = ui
            .painter()
            .layout_no_wrap(text.to_owned(), font, shown.theme.ink);
        galley.size().x + 2.0 * ui.spacing().button_padding.x
    };
    let redo = step_text(shown, Action::Redo);
    let others = [redo.as_str(), theme_text(shown), MENU].map(width);
    let others = others.into_iter().sum::<f32>() + 3.0 * ui.spacing().item_spacing.x;
    let longest = (ui.available_width() - others).clamp(SHORTEST_STEP, LONGEST_STEP);
    [width(&step_text(shown, Action::Undo)).min(longest), others]
}

/// The longest that the name of a step is shown (points).
const LONGEST_STEP: f32 = 240.0;
/// Room for its arrow (points).
const SHORTEST_STEP: f32 = 32.0;

const MENU: &str = "Menu";

/// Width of the list of presets (points).
const PRESETS: f32 = 400.0;

fn step_text(shown: Shown<'_>, action: Action) -> String {
    match (action, shown.history.undo_label()) {
        (Action::Redo, _) => "↪".to_owned(),
        (_, Some(label)) => format!("↩ {label}"),
        (_, None) => "↩".to_owned(),
    }
}

fn theme_text(shown: Shown<'_>) -> &'static str {
    let text = shown.settings.theme.text();
    text.split_once(' ').map_or(text, |(first, _)| first)
}

fn step_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, action: Action, longest: f32) {
    let label = match action {
        Action::Redo => shown.history.redo_label(),
        _ => shown.history.undo_label(),
    };
    let text = step_text(shown, action);
    let button = ui
        .scope(|ui| {
            ui.set_max_width(ui.available_width().min(longest));
            ui.add_enabled(label.is_some(), Button::new(text).truncate())
        })
        .inner;
    name_it(ui.ctx(), button.id, action.text(), label);
    let hint = format!(
        "{} {}\n{}",
        action.text(),
        action.key_text(ui.ctx()),
        label.unwrap_or("nothing")
    );
    if button.on_hover_text(hint).clicked() {
        commands.push(Command::Do(action));
    }
}

fn theme_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let choice = shown.settings.theme;
    let button = ui.button(theme_text(shown));
    name_it(ui.ctx(), button.id, "Theme", Some(choice.text()));
    let hint = format!(
        "{}: {} {}",
        choice.text(),
        Action::Theme.hint(),
        Action::Theme.key_text(ui.ctx())
    );
    if button.on_hover_text(hint).clicked() {
        commands.push(Command::Do(Action::Theme));
    }
}

fn menu_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.menu_button(MENU, |ui| {
        ui.set_min_width(200.0);
        action_ui(ui, commands, Action::NewSupply);
        action_ui(ui, commands, Action::Open);
        recent_ui(ui, shown, commands);
        presets_ui(ui, shown, commands);
        ui.separator();
        action_ui(ui, commands, Action::Save);
        action_ui(ui, commands, Action::SaveAs);
        ui.menu_button("Export", |ui| {
            for action in [
                Action::ExportPicture,
                Action::ExportCurves,
                Action::SavePage,
                Action::CopyTable,
            ] {
                action_ui(ui, commands, action);
            }
        });
        ui.separator();
        action_ui(ui, commands, Action::KeepGhost);
        ui.separator();
        ui.menu_button("Settings", |ui| settings_ui(ui, shown, commands));
        ui.menu_button("Help", |ui| {
            for action in [Action::Glossary, Action::Tour, Action::Shortcuts] {
                action_ui(ui, commands, action);
            }
        });
        ui.separator();
        action_ui(ui, commands, Action::Quit);
    });
}

fn recent_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.menu_button("Recent", |ui| {
        if shown.settings.recent.is_empty() {
            ui.weak("none yet");
        }
        for path in &shown.settings.recent {
            let name = path
                .file_name()
                .unwrap_or(path.as_os_str())
                .to_string_lossy();
            let name = escaped(&name);
            if ui
                .button(name)
                .on_hover_text(escaped(&path.to_string_lossy()))
                .clicked()
            {
                commands.push(Command::OpenPath(path.clone()));
                ui.close();
            }
        }
    });
}

fn presets_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.menu_button("Presets", |ui| {
        ui.set_max_width(PRESETS);
        ui.style_mut().wrap_mode = Some(egui::TextWrapMode::Wrap);
        let small = |text: &str| {
            let text = RichText::new(text).font(theme::font(theme::SMALL));
            text.color(shown.theme.middle)
        };
        for (place, preset) in presets::all().iter().enumerate() {
            let mut text = egui::text::LayoutJob::default();
            let name = RichText::new(preset.name.as_str()).color(shown.theme.ink);
            let about = small(&format!("\n{}", preset.about));
            for part in [name, about] {
                part.append_to(
                    &mut text,
                    ui.style(),
                    egui::FontSelection::Default,
                    Align::Min,
                );
            }
            let button = ui.button(text);
            name_it(ui.ctx(), button.id, &preset.name, Some(&preset.about));
            if button.clicked() {
                commands.push(Command::OpenPreset(place));
                ui.close();
            }
        }
    });
}

fn settings_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    for choice in ThemeChoice::ALL {
        let chosen = shown.settings.theme == choice;
        if ui.radio(chosen, choice.text()).clicked() {
            commands.push(Command::Wear(choice));
            ui.close();
        }
    }
}

fn action_ui(ui: &mut Ui, commands: &mut Commands, action: Action) {
    let button = ui
        .add(Button::new(action.text()).shortcut_text(action.key_text(ui.ctx())))
        .on_hover_text(action.hint());
    name_it(ui.ctx(), button.id, action.text(), None);
    if button.clicked() {
        commands.push(Command::Do(action));
        // The pointer closes the menu by itself, Enter does not.
        ui.close();
    }
}
