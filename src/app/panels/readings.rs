//! The readings as a table, beside them what they say: a value typed in a row is on the disk with the next recovery copy.

mod rows;
mod says;

use egui::{Align, Layout, RichText, ScrollArea, Ui};

use crate::app::answers::at_bench::BenchAnswer;
use crate::app::export::day::today;
use crate::app::panels::readings::rows::rows_ui;
use crate::app::panels::readings::says::says_ui;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, keep_seen, name_it, typed_field,
};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::explain::failure;
use crate::explain::plot::CALCULATING;
use crate::parts::Volts;
use crate::parts::readings::{Bench, ReadingSet};

/// From this width on what the readings say stands beside them (points).
const BESIDE: f32 = 760.0;
/// Height of the row with the set (points).
const HEAD: f32 = 26.0;

/// Draws the stop.
pub(crate) fn readings_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.spacing_mut().item_spacing.y = 3.0;
    set_ui(ui, shown, commands);
    let room = ui.available_size();
    let beside = room.x >= BESIDE;
    if !beside {
        ScrollArea::vertical()
            .id_salt("readings")
            .auto_shrink([false, false])
            .show(ui, |ui| {
                rows_ui(ui, shown, commands);
                ui.add_space(theme::GAP);
                says_ui(ui, shown, commands);
            });
        return;
    }
    let says = (0.4 * room.x).clamp(300.0, 460.0);
    ui.allocate_ui_with_layout(room, Layout::left_to_right(Align::Min), |ui| {
        let table = egui::vec2(room.x - says - theme::GAP, room.y);
        ui.allocate_ui_with_layout(table, Layout::top_down(Align::Min), |ui| {
            ui.set_min_size(table);
            ScrollArea::vertical()
                .id_salt("readings")
                .auto_shrink([false, false])
                .show(ui, |ui| rows_ui(ui, shown, commands));
        });
        ui.add_space(theme::GAP);
        ui.allocate_ui_with_layout(
            egui::vec2(says, room.y),
            Layout::top_down(Align::Min),
            |ui| {
                ScrollArea::vertical()
                    .id_salt("what readings say")
                    .auto_shrink([false, false])
                    .show(ui, |ui| says_ui(ui, shown, commands));
            },
        );
    });
}

/// What was worked out last, if it is of these readings.
fn answer(shown: Shown<'_>) -> Result<&BenchAnswer, String> {
    match shown.at_bench.answered() {
        Some((_, Some(Ok(answer)))) => Ok(answer),
        Some((_, Some(Err(why)))) => Err(failure::sentence(why)),
        Some((_, None)) | None => Err(CALCULATING.to_owned()),
    }
}

/// True if what was worked out last is of the readings as they stand.
fn is_of_now(shown: Shown<'_>) -> bool {
    let answered = shown.at_bench.answered();
    answered.is_some_and(|(request, _)| {
        request.work.bench == shown.document.work.bench
            && request.work.supply == shown.document.work.supply
    })
}

/// The set that is looked at.
fn set_of(shown: Shown<'_>) -> Option<&ReadingSet> {
    shown.document.work.bench.sets.get(shown.view.set)
}

/// Another bench in place of this one.
fn edit(bench: Bench, label: String) -> Command {
    let change = Change {
        label,
        control: None,
    };
    Command::Edit(Box::new(Edit::Bench(Box::new(bench))), change)
}

/// The set that is looked at, changed; the first one where there is none yet.
fn with_set(shown: Shown<'_>, change: impl FnOnce(&mut ReadingSet)) -> Bench {
    let mut bench = shown.document.work.bench.clone();
    if bench.sets.is_empty() {
        bench.sets.push(new_set(&bench));
    }
    if let Some(set) = bench.sets.get_mut(shown.view.set) {
        change(set);
    }
    bench
}

fn new_set(bench: &Bench) -> ReadingSet {
    ReadingSet {
        name: format!("set {}", bench.sets.len() + 1),
        day: today(),
        ..ReadingSet::default()
    }
}

fn set_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.horizontal(|ui| {
        ui.set_min_height(HEAD);
        let set = set_of(shown);
        let bench = &shown.document.work.bench;
        if bench.sets.len() > 1 {
            for (place, one) in bench.sets.iter().enumerate() {
                let chosen = place == shown.view.set;
                let name = if one.name.is_empty() {
                    format!("set {}", place + 1)
                } else {
                    one.name.clone()
                };
                let text = RichText::new(&name).font(theme::font(theme::SMALL));
                let button = ui.selectable_label(chosen, text);
                keep_seen(ui, &button);
                if button.clicked() {
                    commands.push(Command::SelectSet(place));
                }
            }
        }
        if let Some(set) = set {
            name_ui(ui, shown, set, commands);
            well_ui(ui, shown, set, commands);
        }
        mains_ui(ui, shown, set, commands);
        let new = ui.button(RichText::new("+ New set").font(theme::font(theme::SMALL)));
        name_it(ui.ctx(), new.id, "New set of readings", None);
        keep_seen(ui, &new);
        if new.clicked() {
            let mut bench = bench.clone();
            bench.sets.push(new_set(&bench));
            let last = bench.sets.len() - 1;
            commands.push(edit(bench, "New set of readings".to_owned()));
            commands.push(Command::SelectSet(last));
        }
    });
}

fn name_ui(ui: &mut Ui, shown: Shown<'_>, set: &ReadingSet, commands: &mut Commands) {
    let look = TextLook {
        font: theme::font(theme::SMALL),
        width: 120.0,
        bare: false,
        rows: 1,
        hint: "before the repair",
    };
    let named = Named {
        name: "Name of the set",
        id: egui::Id::unique(("set name", shown.view.set, shown.document.serial)),
    };
    if let Some(name) = text_field(ui, named, &set.name, look) {
        let bench = with_set(shown, |set| set.name = name);
        commands.push(edit(bench, "Readings, name of the set".to_owned()));
    }
}

fn well_ui(ui: &mut Ui, shown: Shown<'_>, set: &ReadingSet, commands: &mut Commands) {
    let mut well = set.well;
    let text = RichText::new("unit well").font(theme::font(theme::SMALL));
    let switch = ui.checkbox(&mut well, text).on_hover_text(
        "Taken while the unit was well: it counts as knowledge of this unit, worth more than any single reading later",
    );
    keep_seen(ui, &switch);
    if switch.changed() {
        let bench = with_set(shown, |set| set.well = well);
        commands.push(edit(bench, "Readings, unit well".to_owned()));
    }
}

/// The mains now: each reading typed from here on gets them.
fn mains_ui(ui: &mut Ui, shown: Shown<'_>, set: Option<&ReadingSet>, commands: &mut Commands) {
    let text = RichText::new("Mains now").font(theme::font(theme::SMALL));
    ui.label(text.color(shown.theme.middle));
    let named = Named {
        name: "Mains as read",
        id: egui::Id::unique(("mains of readings", shown.view.set, shown.document.serial)),
    };
    let value = set.and_then(|set| set.mains);
    let typed = ui
        .scope(|ui| {
            ui.set_max_width(72.0);
            typed_field::<Volts>(ui, named, value, Empty::Means("not read"), Face::Field)
        })
        .inner;
    let new = match typed {
        Typed::Unchanged => return,
        Typed::Value(volts) | Typed::WithSpread(volts, _) => Some(volts),
        Typed::Cleared => None,
    };
    let bench = with_set(shown, |set| {
        // Those before were taken at the mains that stood here then.
        let before = set.mains;
        for reading in &mut set.readings {
            reading.mains = reading.mains.or(before);
        }
        set.mains = new;
    });
    commands.push(edit(bench, "Readings, mains".to_owned()));
}
