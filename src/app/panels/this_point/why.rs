//! What a row of the list unfolds: why, the formula with its numbers, what would move the limit, and whether that is enough.

use egui::{Align, CollapsingHeader, Label, Layout, RichText, Sense, Ui, Vec2};

use crate::app::answers::Standing;
use crate::app::answers::moves::Question;
use crate::app::export::page::worked_page;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::panels::this_point::acceptance::acceptance_ui;
use crate::app::panels::this_point::list::Listed;
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::bench::sensitivity::{Enough, Sensitivity, enough};
use crate::explain::why::{Moved, Way};
use crate::explain::{glossary, limits, odds, sentence, why};
use crate::parts::Supply;
use crate::physics::limit::Use;

/// So many changes are in sight; those that move less are folded.
const IN_SIGHT: usize = 6;

/// Draws what is unfolded; what moves it is worked out while it is open.
pub(super) fn why_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (listed, one): (Listed<'_>, &Use),
    commands: &mut Commands,
) {
    ui.spacing_mut().item_spacing.y = 4.0;
    if one.judged.is_ok() {
        reasons_ui(ui, shown, (listed, one));
        acceptance_ui(ui, shown, listed.supply, commands);
        ui.scope(|ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            moves_ui(ui, shown, (listed, one));
        });
    } else {
        let missing = limits::not_known(one, listed.supply);
        small(ui, &sentence(&missing), shown.theme.ink);
    }
    links_ui(ui, shown, (listed, one), commands);
}

fn small(ui: &mut Ui, text: &str, colour: egui::Color32) {
    let text = RichText::new(theme::tied(text))
        .font(theme::font(theme::SMALL))
        .color(colour);
    ui.add(Label::new(text).wrap());
}

/// The sentence, the formula with its numbers, and how it was judged.
fn reasons_ui(ui: &mut Ui, shown: Shown<'_>, (listed, one): (Listed<'_>, &Use)) {
    let reason = limits::sentence(one, listed.supply, listed.point);
    small(ui, &sentence(&reason), shown.theme.ink);
    if let Some((limit, Some(figures))) = &shown.answers.explained
        && *limit == one.limit
    {
        let formula = why::formula(one, figures, listed.supply, listed.point);
        small(ui, &formula, shown.theme.ink);
    }
    if let Some(how) = limits::how_judged(one) {
        small(ui, &sentence(&how), shown.theme.middle);
    }
}

fn moves_ui(ui: &mut Ui, shown: Shown<'_>, (listed, one): (Listed<'_>, &Use)) {
    ui.add_space(2.0);
    let asked = Question {
        supply: listed.supply.clone(),
        limit: one.limit,
        at: [listed.point.amps, listed.point.volts],
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
    heading_ui(ui, shown, question, &asked);
    let Some(found) = found else {
        small(
            ui,
            "This could not be computed; the rest is still valid.",
            shown.theme.near_text,
        );
        return;
    };
    small(ui, &sentence(&why::axis(found)), shown.theme.middle);
    if found.shifts.is_empty() {
        small(ui, why::nothing_moves_it(found.limit), shown.theme.middle);
    }
    shifts_ui(ui, shown, found, &question.supply);
    let colour = match enough(found) {
        Enough::Alone(..) => shown.theme.envelope_text,
        Enough::None => shown.theme.over_text,
        Enough::Farthest(_) | Enough::FarthestUnharmed(_) | Enough::NoFarther => shown.theme.ink,
    };
    let words = RichText::new(theme::tied(&why::enough(found, &question.supply)))
        .font(theme::strong_font(theme::SMALL))
        .color(colour);
    if !words.is_empty() {
        ui.add(Label::new(words).wrap());
    }
}

/// What follows, and at its end whether it is of another point: a line of its own would push what is below.
fn heading_ui(ui: &mut Ui, shown: Shown<'_>, question: &Question, asked: &Question) {
    let name = limits::name(question.limit, &question.supply);
    let heading = RichText::new(format!("What moves {name}"))
        .font(theme::strong_font(theme::SMALL))
        .color(shown.theme.dim);
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 14.0;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if question != asked {
                let before = RichText::new("from a moment ago")
                    .font(theme::font(theme::SMALL))
                    .color(shown.theme.near_text);
                ui.label(before);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(Label::new(heading).truncate());
            });
        });
    });
}

/// The changes one below the other, the largest first.
fn shifts_ui(ui: &mut Ui, shown: Shown<'_>, found: &Sensitivity, supply: &Supply) {
    let all = why::what_moves_it(found, supply);
    let (seen, rest) = all.split_at(IN_SIGHT.min(all.len()));
    for one in seen {
        shift_ui(ui, shown, one);
    }
    if rest.is_empty() {
        return;
    }
    let title = RichText::new(format!("{} more, which move it less", rest.len()))
        .font(theme::font(theme::SMALL))
        .color(shown.theme.middle);
    let fold = CollapsingHeader::new(title)
        .id_salt("what moves it less")
        .show_unindented(ui, |ui| {
            for one in rest {
                shift_ui(ui, shown, one);
            }
        });
    keep_seen(ui, &fold.header_response);
}

fn shift_ui(ui: &mut Ui, shown: Shown<'_>, one: &Moved) {
    let (colour, mark) = match one.way {
        Way::Gains => (shown.theme.envelope_text, Some("gives more room")),
        Way::Takes => (shown.theme.over_text, Some("takes room")),
        Way::Open => (shown.theme.middle, None),
    };
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 16.0;
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            ui.add(Label::new(RichText::new(&one.by).color(colour)).selectable(false));
            let (place, response) = ui.allocate_exact_size(Vec2::splat(7.0), Sense::hover());
            if let Some(mark) = mark {
                let up = if one.way == Way::Gains { -1.0 } else { 1.0 };
                let corner = |x: f32, y: f32| place.center() + Vec2::new(3.5 * x, 3.0 * y * up);
                let corners = vec![corner(-1.0, -1.0), corner(1.0, -1.0), corner(0.0, 1.0)];
                let triangle = egui::Shape::convex_polygon(corners, colour, egui::Stroke::NONE);
                ui.painter().add(triangle);
                response.on_hover_text(mark);
            }
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

/// What the word means, and the whole calculation as Markdown: to paste wherever notes are kept, or as a file.
fn links_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (listed, one): (Listed<'_>, &Use),
    commands: &mut Commands,
) {
    let link = |ui: &mut Ui, text: &str, name: &str, hint: &str| {
        let text = RichText::new(text)
            .font(theme::font(theme::SMALL))
            .color(shown.theme.dropout_text);
        let link = ui.link(text);
        name_it(ui.ctx(), link.id, name, None);
        keep_seen(ui, &link);
        link.on_hover_text(hint).clicked()
    };
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().interact_size.y = 14.0;
        ui.spacing_mut().item_spacing.x = 10.0;
        if let Some(term) = glossary::of_limit(one.limit) {
            let name = limits::name(one.limit, listed.supply);
            let name = format!("{name}, what it means");
            if link(ui, "What it means", &name, term.meaning) {
                commands.push(Command::Define(term.name));
            }
        }
        // A click that comes too soon is none: the page would be of what was before.
        if link(ui, "Copy worked page", "Copy worked page", COPY)
            && shown.answers.standing == Standing::Now
            && let Some(picture) = &shown.answers.picture
            && let Some(page) = worked_page(
                &shown.document.work.name,
                &picture.model,
                listed.point,
                (shown.how_sure.found()).map(|found| odds::section(&shown.document.work, found)),
            )
        {
            ui.ctx().copy_text(page);
        }
        let action = Action::SavePage;
        if link(ui, "Save it…", action.text(), action.hint()) {
            commands.push(Command::Do(action));
        }
    });
}

/// What is on the worked page.
const COPY: &str =
    "The calculation from the mains to every limit at this point, step by step, as text to paste";

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
