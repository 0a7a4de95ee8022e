//! The right panel while a ghost is selected: what changed since then, in words and in numbers.

use egui::{Frame, Label, Margin, RichText, ScrollArea, Slider, Ui};

use crate::app::answers::ghosts::{Mixed, selected};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{HANDLE, Named, keep_seen, name_it};
use crate::app::widgets::term::{Stop, term_ui};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::app::work::view::Kept;
use crate::bench::change::Comparison;
use crate::explain::change::{self, Row};
use crate::explain::{Finding, Severity, glossary, number};
use crate::parts::Supply;

/// Draws the panel.
pub(crate) fn changes_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let (Some(place), Some(ghost)) = (shown.view.ghost, selected(shown.view)) else {
        return;
    };
    quiet_heading(ui, shown, &format!("Changes since ghost {}", ghost.letter));
    name_ui(ui, shown, place, ghost, commands);
    ui.horizontal(|ui| {
        let close = ui
            .button("Close")
            .on_hover_text("Back to the limits at this point; the ghost stays.");
        name_it(ui.ctx(), close.id, "Close the changes", None);
        if close.clicked() {
            commands.push(Command::SelectGhost(None));
        }
        let back = ui
            .button("Go back to it")
            .on_hover_text("Makes the supply as it was then; undo brings this one back.");
        if back.clicked() {
            let change = Change {
                label: format!("Back to ghost {}", ghost.letter),
                control: None,
            };
            let whole = Edit::Whole(Box::new(ghost.work.clone()));
            commands.push(Command::Edit(Box::new(whole), change));
        }
        let remove = ui.button("Remove").on_hover_text("Forgets this ghost");
        name_it(ui.ctx(), remove.id, "Remove this ghost", None);
        if remove.clicked() {
            commands.push(Command::RemoveGhost(place));
        }
    });
    morph_ui(ui, shown, commands);
    ScrollArea::vertical()
        .id_salt("changes")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let now = shown.answers.picture.as_ref().map(|p| &p.supply);
            if let (Some(comparison), Some(now)) = (&shown.answers.variants.comparison, now) {
                let both = [&ghost.work.supply, now];
                comparison_ui(ui, shown, (comparison, both), commands);
            } else if shown.answers.variants.cannot_be(&ghost.work.supply) {
                ui.label("The ghost cannot be worked out");
            } else {
                ui.label("Nothing can be compared at this point");
            }
        });
}

fn quiet_heading(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    ui.label(
        RichText::new(text)
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.dim),
    );
}

fn name_ui(ui: &mut Ui, shown: Shown<'_>, place: usize, ghost: &Kept, commands: &mut Commands) {
    let named = Named {
        name: "Name of the ghost",
        id: egui::Id::unique((
            "ghost name",
            shown.document.serial,
            place,
            ghost.name.as_str(),
        )),
    };
    let look = TextLook {
        font: theme::strong_font(theme::HEADING),
        width: ui.available_width(),
        bare: true,
        rows: 1,
        hint: "name of the ghost",
    };
    if let Some(name) = text_field(ui, named, &ghost.name, look) {
        commands.push(Command::NameGhost(place, name.trim().to_owned()));
    }
}

/// What the slider does.
const MORPH: &str =
    "Draws the envelope on the way from the ghost to now; the supply itself stays as it is.";

/// The slider from the ghost to now, and what it shows.
fn morph_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let mut along = shown.view.along;
    let small = |text: &str| {
        RichText::new(text.to_owned())
            .font(theme::font(theme::SMALL))
            .color(shown.theme.middle)
    };
    ui.horizontal(|ui| {
        ui.label(small("ghost")).on_hover_text(MORPH);
        ui.spacing_mut().slider_width = (ui.available_width() - 34.0).max(60.0);
        ui.spacing_mut().interact_size.y = HANDLE;
        let slider = ui.add(
            Slider::new(&mut along, 0.0..=1.0)
                .show_value(false)
                .step_by(0.01),
        );
        name_it(
            ui.ctx(),
            slider.id,
            "From ghost to now",
            Some(&number::per_cent(shown.view.along)),
        );
        keep_seen(ui, &slider);
        ui.label(small("now")).on_hover_text(MORPH);
        // No text under the pointer here: it would hang over the outline that the slider moves.
        if slider.changed() {
            commands.push(Command::GoAlong(along));
        }
    });
    let words = shown
        .answers
        .variants
        .between
        .as_ref()
        .map(|between| match between.mixed {
            Mixed::Values => change::IN_BETWEEN_VALUES,
            Mixed::Outlines => change::IN_BETWEEN_OUTLINES,
        });
    // A line that is always there: the list below stands still when the slider begins to move.
    ui.add(Label::new(small(words.unwrap_or(change::AT_AN_END))).wrap());
}

fn comparison_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (comparison, [before, now]): (&Comparison, [&Supply; 2]),
    commands: &mut Commands,
) {
    let differs = change::what_differs(comparison, before, now);
    if !differs.is_empty() {
        ui.add(Label::new(theme::tied(&differs)).wrap());
    }
    let at = format!(
        "At {}, {}",
        number::volts(comparison.at[1]),
        number::amps(comparison.at[0])
    );
    ui.add_space(2.0);
    quiet_heading(ui, shown, &at);
    let findings = change::findings(comparison, before, now);
    if findings.is_empty() {
        ui.label(change::NO_CHANGE);
    }
    for finding in &findings {
        finding_ui(ui, shown, finding);
    }
    let rows = change::rows(comparison, now);
    if rows.is_empty() {
        return;
    }
    ui.add_space(theme::GAP);
    quiet_heading(ui, shown, "Numbers, ghost and now");
    for row in &rows {
        commands.extend(row_ui(ui, shown, row).map(Command::Define));
    }
}

fn finding_ui(ui: &mut Ui, shown: Shown<'_>, finding: &Finding) {
    let colours = shown.theme;
    let (fill, ink) = match finding.severity {
        Severity::Fine => (colours.envelope_fill, colours.envelope_text),
        Severity::Remark => (colours.card, colours.ink),
        Severity::Near => (colours.card, colours.near_text),
        Severity::Over => (colours.over_fill, colours.over_text),
    };
    Frame::new()
        .fill(fill)
        .corner_radius(theme::RADIUS - 4)
        .inner_margin(Margin::symmetric(8, 4))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let text = RichText::new(theme::sentence(&finding.sentence)).color(ink);
            ui.add(Label::new(text).wrap());
        });
}

/// One number: its name, and both values below it, side by side; gives the word that is to be looked up, if one was
/// asked for.
fn row_ui(ui: &mut Ui, shown: Shown<'_>, row: &Row) -> Option<&'static str> {
    ui.spacing_mut().item_spacing.y = 1.0;
    let small = |text: &str, colour| {
        RichText::new(text.to_owned())
            .font(theme::font(theme::SMALL))
            .color(colour)
    };
    let name = small(&row.what, shown.theme.middle);
    let asked = term_ui(ui, name, glossary::within(&row.what), Stop::None);
    ui.columns(2, |columns| {
        if let [left, right] = columns {
            left.label(small(&row.before, shown.theme.middle));
            right.label(small(&row.after, shown.theme.ink));
        }
    });
    ui.add_space(3.0);
    asked
}
