//! How sure it is, below the plot: how worn the parts are taken to be, what a meter would show of nine units in ten, the worst corner, and
//! what to measure next.

use egui::{Align, Button, Label, Layout, RichText, ScrollArea, Stroke, Ui, WidgetInfo};

use crate::app::answers::Standing;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::keep_seen;
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::explain::odds;
use crate::explain::plot::A_MOMENT_AGO;
use crate::explain::sentence_case;
use crate::parts::Supply;
use crate::parts::spread::{Condition, Electrolytics, Tubes};

/// From this width on readings and advice stand side by side (points).
const SIDE_BY_SIDE: f32 = 600.0;
/// Between them (points).
const BETWEEN: f32 = 28.0;
/// Height of a line of small text (points).
const LINE: f32 = 15.0;

/// Draws it in all the room that `ui` has.
pub(crate) fn how_sure_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.spacing_mut().item_spacing.y = 3.0;
    condition_ui(ui, shown, commands);
    let Some(supply) = (shown.answers.picture.as_ref()).map(|picture| &picture.supply) else {
        return;
    };
    ScrollArea::vertical()
        .id_salt("how sure it is")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.spacing_mut().interact_size.y = LINE;
            if shown.how_sure.drawn().is_none() {
                let why = if shown.how_sure.cannot_be() {
                    odds::CANNOT_BE
                } else {
                    odds::DRAWING
                };
                text_ui(ui, why, shown.theme.middle);
                return;
            }
            if ui.available_width() < SIDE_BY_SIDE {
                advice_ui(ui, shown, supply);
                readings_ui(ui, shown);
            } else {
                ui.spacing_mut().item_spacing.x = BETWEEN;
                ui.columns(2, |sides| {
                    if let [left, right] = sides {
                        ranged_left(left, |ui| readings_ui(ui, shown));
                        ranged_left(right, |ui| advice_ui(ui, shown, supply));
                    }
                });
            }
            ui.add_space(4.0);
            text_ui(ui, odds::NOT_COVERED, shown.theme.dim);
        });
}

/// A column whose texts are as wide as they are.
fn ranged_left(ui: &mut Ui, draw: impl FnOnce(&mut Ui)) {
    ui.spacing_mut().item_spacing.x = 8.0;
    ui.with_layout(Layout::top_down(Align::LEFT), draw);
}

/// What the tubes and the electrolytics are taken for: one row of choices.
fn condition_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let now = shown.document.work.condition;
    let supply = &shown.document.work.supply;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.spacing_mut().button_padding = egui::vec2(8.0, 1.0);
        ui.spacing_mut().interact_size.y = 18.0;
        quiet_ui(ui, shown, "Tubes taken as");
        for tubes in [Tubes::New, Tubes::Used, Tubes::Tired] {
            let chosen = Choice {
                is_chosen: now.tubes == tubes,
                text: odds::tubes(tubes),
                name: &format!("Tubes {}", odds::tubes(tubes)),
                hint: &odds::of_tubes(supply, tubes),
            };
            if choice_ui(ui, shown, chosen) {
                commands.extend(taken_as(now, Condition { tubes, ..now }));
            }
        }
        ui.add_space(6.0);
        quiet_ui(ui, shown, "electrolytics as");
        for electrolytics in [
            Electrolytics::Fresh,
            Electrolytics::Old,
            Electrolytics::Dried,
        ] {
            let chosen = Choice {
                is_chosen: now.electrolytics == electrolytics,
                text: odds::electrolytics(electrolytics),
                name: &format!("Electrolytics {}", odds::electrolytics(electrolytics)),
                hint: &odds::of_electrolytics(supply, electrolytics),
            };
            if choice_ui(ui, shown, chosen) {
                commands.extend(taken_as(
                    now,
                    Condition {
                        electrolytics,
                        ..now
                    },
                ));
            }
        }
    });
}

fn taken_as(now: Condition, new: Condition) -> Option<Command> {
    let change = Change {
        label: format!("Taken as {}", odds::condition(new)),
        control: None,
    };
    (new != now).then(|| Command::Edit(Box::new(Edit::Condition(new)), change))
}

/// One of several.
#[derive(Debug, Clone, Copy)]
struct Choice<'c> {
    is_chosen: bool,
    text: &'c str,
    name: &'c str,
    hint: &'c str,
}

fn choice_ui(ui: &mut Ui, shown: Shown<'_>, choice: Choice<'_>) -> bool {
    let (ink, edge) = if choice.is_chosen {
        (shown.theme.ink, shown.theme.dropout)
    } else {
        (shown.theme.middle, shown.theme.line)
    };
    let text = RichText::new(choice.text).font(theme::font(theme::SMALL));
    let button = Button::new(text.color(ink))
        .fill(shown.theme.card)
        .stroke(Stroke::new(1.5, edge));
    let response = ui.add(button);
    keep_seen(ui, &response);
    response.widget_info(|| {
        WidgetInfo::selected(egui::Role::RadioButton, true, choice.is_chosen, choice.name)
    });
    let hint = theme::sentence(choice.hint);
    response.on_hover_text(hint).clicked()
}

/// What a meter would show of nine units in ten.
fn readings_ui(ui: &mut Ui, shown: Shown<'_>) {
    let Some(drawn) = shown.how_sure.drawn() else {
        return;
    };
    heading_ui(ui, shown, (odds::METER, shown.how_sure.standing()));
    for (of, band) in &drawn.odds.readings {
        ui.horizontal(|ui| {
            let said = small(&odds::reading_band(*of, *band)).color(shown.theme.ink);
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add(Label::new(said).selectable(false));
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let name = small(&sentence_case(odds::reading(*of)));
                    ui.add(Label::new(name.color(shown.theme.middle)).truncate());
                });
            });
        });
    }
}

/// The worst corner, and what to measure next.
fn advice_ui(ui: &mut Ui, shown: Shown<'_>, supply: &Supply) {
    let Some((advice, standing)) = shown.how_sure.advice() else {
        heading_ui(ui, shown, (odds::WORST_CORNER, Standing::Now));
        text_ui(ui, WORKING, shown.theme.middle);
        return;
    };
    heading_ui(ui, shown, (odds::WORST_CORNER, standing));
    for corner in &advice.corners {
        let said = theme::sentence(&odds::corner(corner, supply));
        text_ui(ui, &said, shown.theme.ink);
    }
    text_ui(ui, odds::CORNER_AND_ODDS, shown.theme.dim);
    heading_ui(ui, shown, (odds::MEASURE_NEXT, standing));
    let Some(rankings) = &advice.rankings else {
        text_ui(ui, WORKING, shown.theme.middle);
        return;
    };
    let said: Vec<String> = (rankings.iter())
        .flat_map(|one| odds::to_measure(one, supply))
        .collect();
    for sentence in &said {
        text_ui(ui, &theme::sentence(sentence), shown.theme.ink);
    }
    if said.is_empty() {
        text_ui(ui, odds::NOTHING_TO_MEASURE, shown.theme.middle);
    }
}

const WORKING: &str = "Working it out…";

/// A heading, and at its end whether what follows is of before.
fn heading_ui(ui: &mut Ui, shown: Shown<'_>, (text, standing): (&str, Standing)) {
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if standing != Standing::Now {
                ui.label(small(A_MOMENT_AGO).color(shown.theme.near_text));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let text = RichText::new(text)
                    .font(theme::strong_font(theme::SMALL))
                    .color(shown.theme.dim);
                ui.add(Label::new(text).truncate());
            });
        });
    });
}

fn quiet_ui(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    ui.label(small(text).color(shown.theme.dim));
}

fn text_ui(ui: &mut Ui, text: &str, colour: egui::Color32) {
    ui.add(Label::new(small(&theme::tied(text)).color(colour)).wrap());
}

fn small(text: &str) -> RichText {
    RichText::new(text).font(theme::font(theme::SMALL))
}
