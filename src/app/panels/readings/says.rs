//! What the readings say: verdict, causes with what they explain, what to read next, and the button that takes a cause's value over.

use egui::{Label, RichText, Ui};

use crate::app::panels::readings::{answer, is_of_now, set_of};
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::bench::diagnosis::adopt::adopted;
use crate::bench::diagnosis::cause::Cause;
use crate::bench::diagnosis::narrowed::adopted_value;
use crate::bench::diagnosis::{Diagnosis, PROBABLE, Suspect};
use crate::explain::diagnosis::{
    NOT_COVERED, VALUES, agreeing, dangers, doubtful, explains, how_likely, next, pair, sized,
    value, verdict,
};
use crate::explain::{ended, odds, readings, sentence_case};
use crate::parts::readings::ReadingSet;

/// Draws it.
pub(super) fn says_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let heading = RichText::new("What the readings say")
        .font(theme::strong_font(theme::SMALL))
        .color(shown.theme.middle);
    ui.label(heading);
    let (found, set) = match (answer(shown), set_of(shown)) {
        (Ok(answer), Some(set)) => {
            let Some(found) = &answer.diagnosis else {
                ui.weak("Type what the meters say; a first reading at the terminals and the cold ones tell most for their risk");
                return;
            };
            (found, set)
        }
        (Err(why), _) => {
            ui.weak(why);
            return;
        }
        (Ok(_), None) => {
            ui.weak("No reading yet: type one in its row, at the mains that you read with it");
            return;
        }
    };
    if !is_of_now(shown) {
        ui.weak("From a moment ago; being worked out anew");
    }
    found_ui(ui, shown, (found, set), commands);
}

fn found_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (found, set): (&Diagnosis, &ReadingSet),
    commands: &mut Commands,
) {
    let supply = &shown.document.work.supply;
    let theme = shown.theme;
    let line = |ui: &mut Ui, text: &str, ink: egui::Color32| {
        let text = RichText::new(theme::tied(text))
            .font(theme::font(theme::SMALL))
            .color(ink);
        ui.add(Label::new(text).wrap());
    };
    for said in dangers(found, supply) {
        line(ui, &ended(&said), theme.over_text);
    }
    let said = RichText::new(theme::tied(&verdict(found, supply))).color(theme.ink);
    ui.add(Label::new(said).wrap());
    line(ui, &agreeing(found), theme.middle);
    if let Some(said) = doubtful(found, &set.readings, supply) {
        line(ui, &said, theme.near_text);
    }
    if found.counted > 0 {
        for (place, one) in found.shown().into_iter().enumerate() {
            suspect_ui(ui, shown, (place, one, set), commands);
        }
    }
    for one in found.pairs.iter().take(2) {
        line(
            ui,
            &format!("Two at once: {}", pair(one, supply)),
            theme.ink,
        );
    }
    if !found.next.is_empty() {
        let heading = RichText::new("What to read next")
            .font(theme::strong_font(theme::SMALL))
            .color(theme.middle);
        ui.label(heading);
        for one in found.next.iter().take(2) {
            line(ui, &next(one, found, supply), theme.ink);
        }
    }
    values_ui(ui, shown, found, commands);
    if !set.well && is_well(found) {
        let said = "Nothing is off. Kept as a log of the unit while it was well, these readings will be worth more than any single one later: tick \"unit well\"";
        line(ui, said, theme.middle);
    }
    for one in &found.remarks {
        let said = readings::remark(*one, &set.readings, supply);
        line(ui, &said, theme.middle);
    }
    line(ui, NOT_COVERED, theme.middle);
}

/// What the readings say of values that were guessed or spread, to be taken over.
fn values_ui(ui: &mut Ui, shown: Shown<'_>, found: &Diagnosis, commands: &mut Commands) {
    if found.narrowed.is_empty() || found.counted == 0 {
        return;
    }
    let work = &shown.document.work;
    let heading = RichText::new(VALUES)
        .font(theme::strong_font(theme::SMALL))
        .color(shown.theme.middle);
    ui.add(Label::new(heading).wrap());
    for one in found.narrowed.iter().take(4) {
        let said = value(one, &work.supply);
        let text = RichText::new(theme::tied(&said))
            .font(theme::font(theme::SMALL))
            .color(shown.theme.ink);
        ui.add(Label::new(text).wrap());
        let Some(after) = adopted_value(work, one).filter(|_| is_of_now(shown)) else {
            continue;
        };
        let name = odds::field(one.field, &work.supply);
        let take = ui.button(RichText::new("Take it over").font(theme::font(theme::SMALL)));
        name_it(ui.ctx(), take.id, &format!("Take over {name}"), None);
        keep_seen(ui, &take);
        if take.clicked() {
            let change = Change {
                label: format!("Adopted from readings: {name}"),
                control: None,
            };
            commands.push(Command::Edit(
                Box::new(Edit::Whole(Box::new(after))),
                change,
            ));
        }
    }
}

/// True if the unit is most likely sound.
fn is_well(found: &Diagnosis) -> bool {
    let best = found.best();
    best.is_some_and(|one| one.row.cause == Cause::Nothing && one.share > PROBABLE)
}

fn suspect_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (place, one, set): (usize, &Suspect, &ReadingSet),
    commands: &mut Commands,
) {
    let work = &shown.document.work;
    let said = format!(
        "{}: {}",
        sentence_case(how_likely(one.share)),
        explains(one, &set.readings, &work.supply)
    );
    let text = RichText::new(theme::tied(&said))
        .font(theme::font(theme::SMALL))
        .color(shown.theme.ink);
    ui.add(Label::new(text).wrap());
    let Some(after) = adopted(work, one).filter(|_| is_of_now(shown)) else {
        return;
    };
    let text = RichText::new("Adopt").font(theme::font(theme::SMALL));
    let adopt = ui.button(text);
    let named = sized(one, &work.supply);
    let name = if place == 0 {
        "Adopt".to_owned()
    } else {
        format!("Adopt {named}")
    };
    name_it(ui.ctx(), adopt.id, &name, None);
    keep_seen(ui, &adopt);
    let hover = format!(
        "Takes {named} into the supply, with its error as the spread: envelope, band and expected readings go by it. Undo takes it back"
    );
    if adopt.on_hover_text(hover).clicked() {
        let change = Change {
            label: format!("Adopted: {named}"),
            control: None,
        };
        commands.push(Command::Edit(
            Box::new(Edit::Whole(Box::new(after))),
            change,
        ));
    }
}
