//! Under the list of limits: the formula with its numbers, what is met first, and what would move it.

use egui::{Align, CollapsingHeader, Label, Layout, RichText, Ui};

use crate::app::answers::Standing;
use crate::app::answers::moves::Question;
use crate::app::export::page::worked_page;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::panels::this_point::acceptance::acceptance_ui;
use crate::app::panels::this_point::quiet_heading;
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_in_view, keep_seen};
use crate::app::widgets::term::{Stop, term_ui};
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::bench::sensitivity::Sensitivity;
use crate::explain::why::Way;
use crate::explain::{glossary, limits, why};
use crate::parts::Supply;
use crate::physics::envelope::Point;
use crate::physics::limit::Limit;

/// Draws the section; what moves it is only worked out while it is open.
pub(crate) fn why_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, commands: &mut Commands) {
    let Some(picture) = &shown.answers.picture else {
        return;
    };
    ui.add_space(theme::GAP);
    let open = CollapsingHeader::new("Why, and what moves it")
        .open(Some(shown.view.why_open))
        .show_unindented(ui, |ui| {
            formula_ui(ui, shown, &picture.supply, point, commands);
            acceptance_ui(ui, shown, &picture.supply, commands);
            if let Some((reach, _)) = shown.answers.around.as_ref().filter(|_| point.is_inside()) {
                let met = why::first_met(reach, &picture.supply);
                if met.is_empty() {
                    small(ui, why::NOTHING_MET, shown.theme.middle);
                }
                for met in met {
                    small(ui, &met, shown.theme.middle);
                }
            }
            moves_ui(ui, shown, &picture.supply, point, commands);
            worked_ui(ui, shown, point, commands);
        });
    keep_seen(ui, &open.header_response);
    let header = open
        .header_response
        .on_hover_text("The formula with its numbers, and changes worked out one by one");
    if header.clicked() {
        commands.push(Command::OpenWhy(!shown.view.why_open));
    }
}

fn small(ui: &mut Ui, text: &str, colour: egui::Color32) {
    let text = RichText::new(theme::tied(text))
        .font(theme::font(theme::SMALL))
        .color(colour);
    ui.add(Label::new(text).wrap());
}

/// Under the verdict of a point outside: what leads back inside.
pub(super) fn way_back_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, supply: &Supply) {
    let Some((_, back)) = &shown.answers.around else {
        return;
    };
    let ways = why::way_back(back, [point.amps, point.volts], supply);
    if ways.is_empty() {
        return;
    }
    quiet_heading(ui, shown, why::BACK_INSIDE);
    for way in ways {
        small(ui, &way, shown.theme.ink);
    }
    ui.add_space(4.0);
}

/// The formula of the limit that is explained; its sentence first where the verdict is about another.
fn formula_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    supply: &Supply,
    point: &Point,
    commands: &mut Commands,
) {
    let Some((limit, Some(figures))) = &shown.answers.explained else {
        return;
    };
    let Some(one) = point.uses.iter().find(|one| one.limit == *limit) else {
        return;
    };
    if shown.view.about == Some(*limit) {
        asked_ui(ui, shown, *limit, supply, commands);
    }
    if point.tightest().is_none_or(|t| t.limit != *limit) {
        let words = limits::sentence(one, supply, point);
        small(ui, &words, shown.theme.middle);
    }
    let text = why::formula(one, figures, supply, point);
    ui.add(Label::new(RichText::new(theme::tied(&text)).color(shown.theme.ink)).wrap());
    ui.add_space(4.0);
}

/// The name of the limit that was asked about, as a word to look up, and the way back to the one that is met first.
fn asked_ui(ui: &mut Ui, shown: Shown<'_>, limit: Limit, supply: &Supply, commands: &mut Commands) {
    let seen = egui::Id::unique("explained limit");
    let line = ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let back = ui
                .small_button("Met first")
                .on_hover_text("Back to the limit that is met first");
            keep_in_view(&back);
            if back.clicked() {
                commands.push(Command::Explain(None));
                ui.data_mut(|data| data.remove::<String>(seen));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let name = RichText::new(limits::name(limit, supply))
                    .font(theme::strong_font(theme::BODY))
                    .color(shown.theme.ink);
                let word = term_ui(ui, name, glossary::of_limit(limit), Stop::Tab);
                commands.extend(word.map(Command::Define));
            });
        });
    });
    // The list is long: what was asked for comes into sight, once.
    let before = ui.data(|data| data.get_temp::<String>(seen));
    let now = format!("{limit:?}");
    if before.as_ref() != Some(&now) {
        line.response.scroll_to_me(Some(Align::Center));
        ui.data_mut(|data| data.insert_temp(seen, now));
    }
}

fn moves_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    supply: &Supply,
    point: &Point,
    commands: &mut Commands,
) {
    ui.add_space(4.0);
    let asked = (shown.answers.explained.as_ref()).map(|(limit, _)| Question {
        supply: supply.clone(),
        limit: *limit,
        at: [point.amps, point.volts],
    });
    let Some(asked) = asked else {
        return;
    };
    let moves = shown.moves;
    let answered = moves
        .answered()
        .map(|(known, found)| (&known.question, found.and_then(Option::as_ref)));
    // An answer about another limit would be read as one about this.
    let of_this = answered.filter(|(question, _)| question.limit == asked.limit);
    let Some((question, found)) = of_this else {
        let in_work = moves.in_work().filter(|one| one.0.question == asked);
        let words = match in_work {
            Some((_, done, _)) if done > 0.0 => format!("Working it out… {:.0} %", 100.0 * done),
            _ => "Working it out…".to_owned(),
        };
        small(ui, &words, shown.theme.middle);
        if let Some((_, _, Some(Some(part)))) = in_work {
            shifts_ui(ui, shown, part, &asked.supply);
        }
        return;
    };
    if asked != *question {
        small(ui, "From a moment ago", shown.theme.near_text);
    }
    let heading = format!(
        "What moves {}",
        limits::name(question.limit, &question.supply)
    );
    let heading = RichText::new(heading)
        .font(theme::strong_font(theme::SMALL))
        .color(shown.theme.dim);
    let term = glossary::of_limit(question.limit);
    commands.extend(term_ui(ui, heading, term, Stop::Tab).map(Command::Define));
    let Some(found) = found else {
        small(
            ui,
            "This could not be computed; the rest is still valid",
            shown.theme.near_text,
        );
        return;
    };
    small(ui, &why::axis(found), shown.theme.middle);
    if found.shifts.is_empty() {
        small(ui, why::nothing_moves_it(found.limit), shown.theme.middle);
    }
    shifts_ui(ui, shown, found, &question.supply);
}

/// The changes one below the other, the largest first.
fn shifts_ui(ui: &mut Ui, shown: Shown<'_>, found: &Sensitivity, supply: &Supply) {
    for one in why::what_moves_it(found, supply) {
        let colour = match one.way {
            Way::Gains => shown.theme.envelope_text,
            Way::Takes => shown.theme.over_text,
            Way::Open => shown.theme.middle,
        };
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add(Label::new(RichText::new(&one.by).color(colour)).selectable(false));
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let text = fitting(ui, &one.what, shown.theme.ink);
                    ui.add(Label::new(text).truncate().selectable(false))
                        .on_hover_text(&one.what);
                });
            });
        });
        if !one.breaks.is_empty() {
            small(ui, &one.breaks, shown.theme.near_text);
        }
    }
}

/// The whole calculation as Markdown, to paste wherever notes are kept or as a file.
fn worked_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, commands: &mut Commands) {
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let copy = ui.button("Copy worked page").on_hover_text(
            "The calculation from the mains to every limit at this point, step by step, as text to paste",
        );
        keep_in_view(&copy);
        // A click that comes too soon is none: the page would be of what was before.
        if copy.clicked()
            && shown.answers.standing == Standing::Now
            && let Some(picture) = &shown.answers.picture
            && let Some(page) =
                worked_page(&shown.document.work.name, &picture.model, point)
        {
            ui.ctx().copy_text(page);
        }
        let action = Action::SavePage;
        let save = ui.button(action.text()).on_hover_text(action.hint());
        keep_in_view(&save);
        if save.clicked() {
            commands.push(Command::Do(action));
        }
    });
}

/// A text in the size of the body, or one size smaller where it would be cut.
fn fitting(ui: &Ui, text: &str, colour: egui::Color32) -> RichText {
    let body = theme::font(theme::BODY);
    let width = ui
        .painter()
        .layout_no_wrap(text.to_owned(), body.clone(), colour)
        .size()
        .x;
    let font = if width > ui.available_width() {
        theme::font(theme::SMALL)
    } else {
        body
    };
    RichText::new(text).font(font).color(colour)
}
