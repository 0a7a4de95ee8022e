//! Above the plot: what is shown on the plane, and the ghosts kept so far. Nothing here moves when a ghost is kept.

use egui::{
    Align, Button, Layout, Rect, RichText, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2,
};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::app::work::view::{Kept, LETTERS, Layer};
use crate::explain::sentence;

/// Height of a row (points).
const ROW: f32 = 20.0;
/// Height of what is pressed in it (points).
const CHIP: f32 = 18.0;
/// From this width on both fit in one row (points).
const ONE_ROW: f32 = 780.0;
/// Room for the layers where both are in one row: share of it, least and most (points).
const LAYERS_ROOM: [f32; 3] = [0.38, 318.0, 420.0];
/// Widest that the name of a ghost gets (points).
const NAME: f32 = 150.0;
/// Width of a ghost's letter, alone and with a piece of its line (points).
const LETTER: [f32; 2] = [20.0, 44.0];
/// With less room for its name a ghost has its letter alone (points).
const CRAMPED: f32 = 90.0;

/// The layers with their text, their accessible name, and what they show.
const LAYERS: [(Layer, &str, &str, &str); 4] = [
    (
        Layer::Mains,
        "low/high mains",
        "Show low and high mains",
        "The dropout line and the lowest regulated output at low and at high mains",
    ),
    (
        Layer::Tolerance,
        "tolerance band",
        "Show the tolerance band",
        "Where the dropout line of nine in ten such units lies, for all that their parts may be off; and at the right the odds of the \
         point and of each limit. Drawn beside the frames while it is shown",
    ),
    (
        Layer::Margins,
        "margins",
        "Shade by margin",
        "Shades the envelope by the tightest limit at each point, the stronger the nearer; the lines say how much of it is \
         used. What is judged with nothing connected is left out: it is the same everywhere",
    ),
    (
        Layer::Readings,
        "readings",
        "Show readings",
        "The outputs that were read, as crosses; their bars are twice the standard deviation of the meters",
    ),
];

/// Draws the rows.
pub(crate) fn layers_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.spacing_mut().item_spacing = vec2(6.0, 0.0);
    ui.spacing_mut().interact_size.y = CHIP;
    ui.spacing_mut().button_padding = vec2(8.0, 1.0);
    let width = ui.available_width();
    if width < ONE_ROW {
        row_ui(ui, width, |ui| switches_ui(ui, shown, commands));
        row_ui(ui, width, |ui| ghosts_ui(ui, shown, commands));
    } else {
        row_ui(ui, width, |ui| {
            let [share, least, most] = LAYERS_ROOM;
            let layers = (share * width).clamp(least, most);
            row_ui(ui, layers, |ui| switches_ui(ui, shown, commands));
            let width = ui.available_width();
            row_ui(ui, width, |ui| ghosts_ui(ui, shown, commands));
        });
    }
}

fn row_ui(ui: &mut Ui, width: f32, draw: impl FnOnce(&mut Ui)) {
    let layout = Layout::left_to_right(Align::Center);
    ui.allocate_ui_with_layout(vec2(width, ROW), layout, |ui| {
        ui.set_min_size(vec2(width, ROW));
        draw(ui);
    });
}

fn heading_ui(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    let font = theme::strong_font(theme::SMALL);
    ui.label(RichText::new(text).font(font).color(shown.theme.middle));
}

/// Whether something is pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pressed {
    On,
    Off,
}

impl From<bool> for Pressed {
    fn from(on: bool) -> Self {
        if on { Self::On } else { Self::Off }
    }
}

/// A button with ground, edge and ink of what is on or off.
fn chip<'a>(shown: Shown<'_>, text: &str, pressed: Pressed) -> Button<'a> {
    let colours = shown.theme;
    let (ink, ground, edge) = if pressed == Pressed::On {
        (
            colours.ink,
            colours.chosen,
            Stroke::new(1.5, colours.dropout),
        )
    } else {
        (colours.middle, colours.card, Stroke::new(1.0, colours.line))
    };
    let text = RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(ink);
    Button::new(text)
        .fill(ground)
        .stroke(edge)
        .corner_radius(CHIP * 0.5)
}

fn switches_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    heading_ui(ui, shown, "Show");
    let has_readings = !shown.document.work.bench.sets.is_empty();
    let there = |layer: Layer| layer != Layer::Readings || has_readings;
    for (layer, text, name, hint) in LAYERS.into_iter().filter(|one| there(one.0)) {
        let on = shown.view.layers.shows(layer);
        let hint = sentence(hint);
        let switch = ui.add(chip(shown, text, on.into())).on_hover_text(hint);
        keep_seen(ui, &switch);
        switch.widget_info(|| WidgetInfo::selected(egui::Role::CheckBox, true, on, name));
        if switch.clicked() {
            commands.push(Command::ShowLayer(layer, !on));
        }
    }
}

fn ghosts_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    heading_ui(ui, shown, "Ghosts");
    keep_ui(ui, shown, commands);
    // A share for each that there can be: the first stays where it is when the fourth comes.
    let count = LETTERS.len() as f32;
    let share = (ui.available_width() / count - 8.0).max(LETTER[0]);
    let [alone, with_line] = LETTER;
    let letter = if share - with_line >= CRAMPED {
        with_line
    } else {
        alone
    };
    for (place, ghost) in shown.view.ghosts.iter().enumerate() {
        letter_ui(ui, shown, (place, ghost), letter, commands);
        ui.add_space(-4.0);
        name_ui(
            ui,
            shown,
            (place, ghost),
            (share - letter).min(NAME),
            commands,
        );
    }
}

fn keep_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let action = Action::KeepGhost;
    let kept = shown
        .view
        .ghosts
        .iter()
        .any(|g| g.work == shown.document.work);
    let keep = ui.add_enabled(!kept, chip(shown, "+ keep", Pressed::Off));
    name_it(ui.ctx(), keep.id, action.text(), None);
    keep_seen(ui, &keep);
    let hint = format!("{} {}", action.hint(), action.key_text(ui.ctx()));
    if keep
        .on_hover_text(hint)
        .on_disabled_hover_text("This variant is kept already: change something.")
        .clicked()
    {
        commands.push(Command::Do(action));
    }
}

/// The letter with a piece of the ghost's line: shows the ghost or leaves it out.
fn letter_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (place, ghost): (usize, &Kept),
    width: f32,
    commands: &mut Commands,
) {
    let colours = shown.theme;
    let (area, switch) = ui.allocate_exact_size(vec2(width, CHIP), Sense::click());
    let (ink, ground, edge) = if ghost.shown {
        (
            colours.ink,
            colours.chosen,
            Stroke::new(1.5, colours.dropout),
        )
    } else {
        (colours.middle, colours.card, Stroke::new(1.0, colours.line))
    };
    ui.painter()
        .rect(area, CHIP * 0.5, ground, edge, StrokeKind::Inside);
    let font = theme::strong_font(theme::SMALL);
    let letter = Rect::from_min_size(area.min, vec2(LETTER[0], CHIP));
    let at = letter.center();
    ui.painter()
        .text(at, egui::Align2::CENTER_CENTER, ghost.letter, font, ink);
    let line = [
        egui::pos2(letter.right(), at.y),
        egui::pos2(area.right() - 8.0, at.y),
    ];
    if line[1].x > line[0].x {
        let (dashes, gaps): (Vec<f32>, Vec<f32>) = theme::ghost_dash(Some(ghost.letter))
            .iter()
            .map(|d| (d[0], d[1]))
            .unzip();
        let stroke = Stroke::new(1.3, ink);
        ui.painter().extend(egui::Shape::dashed_line_with_offset(
            &line, stroke, &dashes, &gaps, 0.0,
        ));
    }
    keep_seen(ui, &switch);
    let name = format!("Show ghost {}", ghost.letter);
    switch.widget_info(|| {
        WidgetInfo::selected(egui::Role::CheckBox, true, ghost.shown, name.as_str())
    });
    if switch
        .on_hover_text("Shows this ghost on the plot, or leaves it out")
        .clicked()
    {
        commands.push(Command::ShowGhost(place, !ghost.shown));
    }
}

/// What the ghost is called: lists what changed since then.
fn name_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (place, ghost): (usize, &Kept),
    width: f32,
    commands: &mut Commands,
) {
    let selected = shown.view.ghost == Some(place);
    let text = chip(shown, &ghost.name, selected.into()).truncate();
    let chip = ui
        .scope(|ui| {
            ui.set_max_width(width);
            ui.add(text)
        })
        .inner;
    let name = format!("Ghost {}", ghost.letter);
    name_it(ui.ctx(), chip.id, &name, Some(&ghost.name));
    keep_seen(ui, &chip);
    let hint = format!(
        "{}\nKept after: {}\nLists what changed since then",
        ghost.name, ghost.since
    );
    if chip.on_hover_text(hint).clicked() {
        commands.push(Command::SelectGhost((!selected).then_some(place)));
    }
}
