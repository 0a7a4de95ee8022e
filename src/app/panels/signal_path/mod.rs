//! The column of parts from the mains to the output: one card a stage, with the bar of its tightest use.

mod faults;
mod filter;
mod gas_shunts;
mod guessed;
mod mains;
mod output;
mod pass_stage;
mod primary;
mod rail_filter;
mod rail_winding;
mod rectifier;
mod regulator;
mod regulator_parts;
mod screen;
mod sense_control;
mod swap;
mod transformer;
mod tube_buttons;

use egui::{Frame, Margin, RichText, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::fields::{Fault, Fields};
use crate::app::widgets::landmark::Landmark;
use crate::app::widgets::quantity_field::{Named, keep_in_view, keep_seen, name_it};
use crate::app::widgets::term::meaning_ui;
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::widgets::use_bar::use_bar;
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::view::Trying;
use crate::explain::{glossary, number};
use crate::parts::{Stage, Supply};

/// Accessible value of the card that is lit.
const EXPLAINED: &str = "the limit that is explained belongs to it";

/// Draws all cards.
pub(crate) fn signal_path_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.label(
        RichText::new("Mains to output")
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.dim),
    );
    ScrollArea::vertical()
        .id_salt("signal path")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = theme::GAP;
            let mut above: Option<egui::Rect> = None;
            let mut trying = None;
            for stage in Stage::PATH {
                let card = card_ui(ui, shown, commands, &mut trying, stage);
                if stage == Stage::Filter {
                    Landmark::Filter.stands_at(ui.ctx(), card.intersect(ui.clip_rect()));
                }
                if let Some(above) = above {
                    // The path itself runs from card to card.
                    ui.painter().vline(
                        card.left() + 15.0,
                        above.bottom()..=card.top(),
                        Stroke::new(1.5, shown.theme.line),
                    );
                }
                above = Some(card);
            }
            if trying != shown.view.trying {
                commands.push(Command::Try(trying.map(Box::new)));
            }
            notes_ui(ui, shown, commands);
            ui.add_space(theme::GAP);
        });
}

/// The free notes, folded away until wanted.
fn notes_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let header = egui::CollapsingHeader::new("Notes").show_unindented(ui, |ui| {
        let named = Named {
            name: "Notes on the supply",
            id: egui::Id::unique(("notes", shown.document.serial)),
        };
        let look = TextLook {
            font: theme::font(theme::BODY),
            width: ui.available_width(),
            bare: false,
            hint: "what you know of it",
            rows: 4,
        };
        if let Some(notes) = text_field(ui, named, &shown.document.work.notes, look) {
            let change = Change {
                label: "Notes".to_owned(),
                control: None,
            };
            commands.push(Command::Edit(Box::new(Edit::Notes(notes)), change));
        }
    });
    keep_seen(ui, &header.header_response);
}

/// The title of a card; also the first word of its undo labels.
pub(crate) fn title(stage: Stage) -> &'static str {
    match stage {
        Stage::Mains => "Mains",
        Stage::Transformer => "Transformer",
        Stage::Rectifier => "Rectifier",
        Stage::Filter => "Filter",
        Stage::PassStage => "Pass tubes",
        Stage::Regulator => "Regulator",
        Stage::Output => "Output",
        Stage::Dummies => "Dummy loads",
    }
}

fn summary(stage: Stage, supply: &Supply) -> String {
    match stage {
        Stage::Mains => mains::summary(supply),
        Stage::Transformer => transformer::summary(supply),
        Stage::Rectifier => rectifier::summary(supply),
        Stage::Filter => filter::summary(supply),
        Stage::PassStage => pass_stage::summary(supply),
        Stage::Regulator => regulator::summary(supply),
        Stage::Output | Stage::Dummies => output::summary(supply),
    }
}

/// The summary as the closed card has it: with how many of its values nobody measured.
fn summary_line(shown: Shown<'_>, stage: Stage) -> String {
    let work = &shown.document.work;
    let said = summary(stage, &work.supply);
    match guessed::marks(work, stage).len() {
        0 => said,
        count => format!("{said} · {count} guessed"),
    }
}

fn card_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    trying: &mut Option<Trying>,
    stage: Stage,
) -> egui::Rect {
    let open = shown.view.open == Some(stage);
    let lit = shown.answers.lit_stage(shown.view) == Some(stage);
    let (fill, edge) = if open && !lit {
        (shown.theme.open_card, Stroke::new(1.5, shown.theme.dropout))
    } else if lit {
        // The card of the part that is being explained lights up.
        (shown.theme.open_card, Stroke::new(1.5, shown.theme.near))
    } else {
        (shown.theme.card, Stroke::new(1.0, shown.theme.card))
    };
    let supply = &shown.document.work.supply;
    let (faults, mut others) = faults::of_card(&shown.answers.problems(), supply, stage);
    if !open {
        // No row of it is seen.
        others.extend(faults.iter().map(|fault| fault.words.clone()));
    }
    Frame::new()
        .fill(fill)
        .stroke(edge)
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            if header_ui(ui, shown, stage) {
                commands.push(Command::OpenCard((!open).then_some(stage)));
            }
            for problem in others {
                ui.add(
                    egui::Label::new(
                        RichText::new(problem)
                            .font(theme::font(theme::SMALL))
                            .color(shown.theme.over_text),
                    )
                    .wrap(),
                );
            }
            if open {
                ui.spacing_mut().item_spacing.y = 4.0;
                *trying = rows_ui(ui, shown, commands, (stage, faults));
            }
        })
        .response
        .rect
}

/// The rows of a card; the list of parts that hangs open in them, if one does.
fn rows_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (stage, faults): (Stage, Vec<Fault>),
) -> Option<Trying> {
    let supply = &shown.document.work.supply;
    // A document's half-typed text must not show up in the next one.
    let key = egui::Id::unique((title(stage), shown.document.serial));
    let marks = guessed::marks(&shown.document.work, stage);
    let mut fields = Fields::new(ui, title(stage), key)
        .marked(marks)
        .at_fault(faults);
    let edit = match stage {
        Stage::Mains => {
            let mut new = supply.mains.clone();
            mains::rows(&mut fields, shown, &mut new);
            Edit::Mains(new)
        }
        Stage::Transformer => {
            let mut new = supply.transformer.clone();
            transformer::rows(&mut fields, &supply.rectifier, &mut new);
            let before = &shown.document.work.primary;
            let mut primary = before.clone();
            primary::rows(&mut fields, supply.mains.nominal, &mut primary);
            // One row is changed at a time.
            if primary == *before {
                Edit::Transformer(new)
            } else {
                Edit::Primary(Box::new(primary))
            }
        }
        Stage::Rectifier => {
            let mut new = supply.rectifier.clone();
            rectifier::rows(&mut fields, shown, &mut new);
            Edit::Rectifier(new)
        }
        Stage::Filter => {
            let mut new = supply.filter.clone();
            filter::rows(&mut fields, shown, &mut new);
            Edit::Filter(new)
        }
        Stage::PassStage => {
            let mut new = supply.pass_stage.clone();
            pass_stage::rows(&mut fields, shown, &mut new);
            Edit::PassStage(new)
        }
        Stage::Regulator => {
            let mut new = supply.regulator.clone();
            regulator::rows(&mut fields, shown, &mut new);
            Edit::Regulator(Box::new(new))
        }
        Stage::Output | Stage::Dummies => {
            let mut new = supply.output.clone();
            output::rows(&mut fields, &mut new);
            Edit::Output(new)
        }
    };
    let trying = fields.trying();
    commands.extend(fields.asked());
    push(commands, edit, fields.change());
    trying
}

fn push(commands: &mut Commands, edit: Edit, change: Option<Change>) {
    if let Some(change) = change {
        commands.push(Command::Edit(Box::new(edit), change));
    }
}

/// The clickable head of a card; true if it was clicked.
fn header_ui(ui: &mut Ui, shown: Shown<'_>, stage: Stage) -> bool {
    let theme = shown.theme;
    let use_ratio = shown.answers.tightest(stage);
    let (rect, _) = ui.allocate_exact_size(egui::vec2(ui.available_width(), 36.0), Sense::hover());
    let response = ui.interact(
        rect,
        egui::Id::unique(("card", title(stage))),
        Sense::click(),
    );
    let open = shown.view.open == Some(stage);
    response.widget_info(|| WidgetInfo::selected(egui::Role::Button, true, open, title(stage)));
    if shown.answers.lit_stage(shown.view) == Some(stage) {
        name_it(ui.ctx(), response.id, title(stage), Some(EXPLAINED));
    }
    keep_in_view(&response);
    if response.has_focus() || response.hovered() {
        let edge = if response.has_focus() {
            theme.dropout
        } else {
            theme.line
        };
        ui.painter().rect_stroke(
            rect.expand2(egui::vec2(6.0, 3.0)),
            theme::RADIUS - 2,
            Stroke::new(1.0, edge),
            egui::StrokeKind::Inside,
        );
    }
    let faulty = shown.answers.problems().iter().any(|p| p.stage == stage);
    let dot = match use_ratio {
        _ if faulty => theme.over,
        Some(ratio) if ratio >= theme::NEAR => theme.use_mark(ratio),
        _ => theme.middle,
    };
    ui.painter()
        .circle_filled(rect.left_center() + egui::vec2(5.0, -8.0), 4.0, dot);
    let mut inner = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(rect.with_min_x(rect.left() + 18.0))
            .layout(egui::Layout::top_down(egui::Align::LEFT)),
    );
    inner.spacing_mut().item_spacing.y = 2.0;
    let line = |ui: &mut Ui, left: RichText, right: &mut dyn FnMut(&mut Ui)| {
        ui.horizontal(|ui| {
            let bar = if use_ratio.is_some() { 58.0 } else { 0.0 };
            let room = ui.available_width() - bar;
            ui.allocate_ui(egui::vec2(room, 16.0), |ui| {
                ui.set_min_width(room);
                ui.add(egui::Label::new(left).truncate().selectable(false));
            });
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                right(ui);
            });
        });
    };
    inner.spacing_mut().interact_size.y = 16.0;
    line(
        &mut inner,
        RichText::new(title(stage))
            .font(theme::strong_font(theme::BODY))
            .color(theme.ink),
        &mut |ui| {
            if use_ratio.is_some() {
                use_bar(ui, use_ratio, 44.0);
            }
        },
    );
    line(
        &mut inner,
        RichText::new(summary_line(shown, stage))
            .font(theme::font(theme::SMALL))
            .color(theme.middle),
        &mut |ui| {
            if let Some(ratio) = use_ratio {
                ui.add(
                    egui::Label::new(
                        RichText::new(number::per_cent(ratio))
                            .font(theme::font(theme::SMALL))
                            .color(theme.use_text(ratio)),
                    )
                    .selectable(false),
                );
            }
        },
    );
    response
        .on_hover_ui(|ui| {
            ui.label(summary(stage, &shown.document.work.supply));
            if let Some(term) = glossary::of_stage(stage) {
                ui.separator();
                meaning_ui(ui, term);
            }
        })
        .clicked()
}
