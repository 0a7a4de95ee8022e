//! The verdict under the figures: always in sight, with what leads back inside where the point is outside.

use egui::{Frame, Label, Margin, RichText, Ui};

use crate::app::answers::Standing;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::panels::this_point::quiet_heading;
use crate::app::theme;
use crate::app::widgets::quantity_field::keep_seen;
use crate::app::work::command::Command;
use crate::explain::{Severity, failure, limits, plot, why};
use crate::parts::Supply;
use crate::physics::envelope::Point;

/// What unfolds the limit that the verdict is about.
const WHY: &str = "Why, and what moves it";

/// Draws verdict and ways back.
pub(super) fn verdict_ui(ui: &mut Ui, shown: Shown<'_>, supply: &Supply, commands: &mut Commands) {
    let before = match shown.answers.standing {
        Standing::SupplyBefore => Some(plot::VERDICT_OF_SUPPLY_BEFORE),
        Standing::PointBefore => Some(plot::VERDICT_OF_POINT_BEFORE),
        _ if shown.answers.is_older() => Some("An older picture: see the notice."),
        _ => None,
    };
    if let Some(before) = before {
        chip_ui(ui, shown, (Severity::Near, before), None);
    }
    let point = (shown.answers.picture.as_ref()).and_then(|picture| picture.point.as_ref());
    match (point, &shown.answers.point_failure) {
        (Some(point), _) => {
            let met = shown.answers.around.as_ref().map(|(met, _)| met);
            let verdict = limits::verdict_with(point, met, supply);
            let about = shown.answers.explained.as_ref().map(|(limit, _)| *limit);
            let ask = about.map(|limit| Command::Explain(Some(limit)));
            let said = (verdict.severity, verdict.sentence.as_str());
            commands.extend(chip_ui(ui, shown, said, ask));
            outside_ui(ui, shown, point, supply);
        }
        (None, Some(failure)) => {
            let said = failure::sentence(failure);
            chip_ui(ui, shown, (Severity::Over, &said), None);
        }
        (None, None) => {}
    }
    ui.add_space(4.0);
}

/// Of a point outside the sentence of what is exceeded, and what leads back inside.
fn outside_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, supply: &Supply) {
    if point.is_inside() {
        return;
    }
    ui.add_space(2.0);
    if let Some(tightest) = point.tightest().filter(|_| point.operation.is_some()) {
        let reason = theme::sentence(&limits::sentence(tightest, supply, point));
        ui.add(Label::new(reason).wrap());
    }
    let Some((_, back)) = &shown.answers.around else {
        return;
    };
    let ways = why::way_back(back, [point.amps, point.volts], supply);
    if ways.is_empty() {
        return;
    }
    quiet_heading(ui, shown, why::back_heading(back));
    for way in ways {
        let way = RichText::new(theme::sentence(&way))
            .font(theme::font(theme::SMALL))
            .color(shown.theme.ink);
        ui.add(Label::new(way).wrap());
    }
}

/// A coloured sentence; with a link under it where more can be said, which gives what it asks for.
fn chip_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (severity, text): (Severity, &str),
    ask: Option<Command>,
) -> Option<Command> {
    let colours = shown.theme;
    let (fill, ink) = match severity {
        Severity::Fine => (colours.envelope_fill, colours.envelope_text),
        Severity::Remark => (colours.card, colours.ink),
        Severity::Near => (colours.near_fill, colours.near_text),
        Severity::Over => (colours.over_fill, colours.over_text),
    };
    Frame::new()
        .fill(fill)
        .corner_radius(theme::RADIUS - 2)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 14.0;
            let text = RichText::new(theme::sentence(text))
                .font(theme::strong_font(theme::BODY))
                .color(ink);
            ui.add(Label::new(text).wrap());
            let ask = ask?;
            let link = RichText::new(WHY)
                .font(theme::font(theme::SMALL))
                .color(ink);
            let link = ui.link(link);
            keep_seen(ui, &link);
            let link =
                link.on_hover_text("Unfolds it in the list: its numbers, and what would move it.");
            link.clicked().then_some(ask)
        })
        .inner
}
