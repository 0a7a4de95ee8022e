//! In how many such units the point is inside, and each limit exceeded: asked for with a link, and worked out behind the frames.

use egui::{Align, Label, Layout, RichText, Ui};

use crate::app::answers::Standing;
use crate::app::answers::how_sure::HowSure;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::keep_seen;
use crate::app::work::command::Command;
use crate::app::work::view::{Layer, Scene};
use crate::bench::odds::LimitOdds;
use crate::explain::odds;
use crate::explain::plot::A_MOMENT_AGO;
use crate::physics::limit::Limit;

/// What asks for the odds, or for what lies behind them.
const ASK: &str = "How sure is it?";
const BEHIND: &str = "How sure it is";
/// Height of a line (points).
const LINE: f32 = 14.0;
/// From this share on a row says in how many units its limit is exceeded: less would only make the list restless.
const WORTH_A_LINE: f64 = 0.01;

/// Draws them below the verdict.
pub(super) fn odds_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.spacing_mut().interact_size.y = LINE;
    if !shown.view.asks_how_sure() {
        let hint = "Draws a thousand such units, each with its parts off by as much as such parts are, and says in how many this point \
                    is inside; which corner is the worst, and what to measure next.";
        if link_ui(ui, shown, ASK, hint) {
            commands.push(Command::ShowLayer(Layer::Tolerance, true));
            commands.push(Command::Look(Scene::Odds));
        }
        return;
    }
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        let hint =
            "The worst corner, what a meter would show, and what to measure next, below the plot.";
        if link_ui(ui, shown, BEHIND, hint) {
            commands.push(Command::Look(Scene::Odds));
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if let Some((words, colour)) = standing(shown) {
                small_ui(ui, &words, colour);
            }
        });
    });
    let said = match shown.how_sure.drawn() {
        // No line breaks within `1 of 9`.
        Some(drawn) => {
            theme::sentence(&odds::verdict(&drawn.odds)).replace(" of ", "\u{a0}of\u{a0}")
        }
        None if shown.how_sure.cannot_be() => odds::CANNOT_BE.to_owned(),
        None => odds::DRAWING.to_owned(),
    };
    // Two lines, whatever there is to say: the list below stays where it is.
    let room = egui::vec2(ui.available_width(), 2.0 * LINE);
    ui.allocate_ui_with_layout(room, Layout::top_down(Align::LEFT), |ui| {
        ui.set_min_size(room);
        small_ui(ui, &said, shown.theme.ink);
    });
}

/// How far the drawing is, or that what is said is of before.
fn standing(shown: Shown<'_>) -> Option<(String, egui::Color32)> {
    let drawn = shown.how_sure.drawn()?;
    if shown.how_sure.standing() != Standing::Now {
        return Some((A_MOMENT_AGO.to_owned(), shown.theme.near_text));
    }
    let so_far = odds::so_far(&drawn.odds)?;
    Some((so_far, shown.theme.middle))
}

/// The odds of a limit, while they are looked at.
pub(super) fn of_limit<'a>(shown: Shown<'a>, limit: Limit) -> Option<&'a LimitOdds> {
    let how_sure: &'a HowSure = shown.how_sure;
    let drawn = how_sure.drawn()?;
    drawn.odds.limits.iter().find(|one| one.limit == limit)
}

/// In how many units a limit is exceeded, where that is worth a line.
pub(super) fn words(shown: Shown<'_>, limit: Limit) -> Option<String> {
    let one = of_limit(shown, limit)?;
    let is_often = f64::from(one.over) >= WORTH_A_LINE * f64::from(one.judged);
    odds::over(one).filter(|_| is_often)
}

/// Below a row: in how many units its limit is exceeded.
pub(super) fn row_ui(ui: &mut Ui, shown: Shown<'_>, limit: Limit) {
    let Some(words) = words(shown, limit) else {
        return;
    };
    let colour = if shown.how_sure.standing() == Standing::Now {
        shown.theme.near_text
    } else {
        shown.theme.dim
    };
    ui.with_layout(Layout::right_to_left(Align::Min), |ui| {
        let text = RichText::new(words)
            .font(theme::font(theme::SMALL))
            .color(colour);
        ui.add(Label::new(text).selectable(false));
    });
}

fn small_ui(ui: &mut Ui, text: &str, colour: egui::Color32) {
    let text = RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(colour);
    ui.add(Label::new(text).wrap());
}

fn link_ui(ui: &mut Ui, shown: Shown<'_>, text: &str, hint: &str) -> bool {
    let text = RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(shown.theme.dropout_text);
    let link = ui.link(text);
    keep_seen(ui, &link);
    link.on_hover_text(hint).clicked()
}
