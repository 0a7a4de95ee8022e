//! The plan: a step a block, with its load, its knob, what is expected, and when to stop.

use egui::{Align, Label, Layout, RichText, ScrollArea, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{Named, keep_seen, name_it};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::bench::plan::{Prepared, suggested};
use crate::explain::plan::step_lines;
use crate::explain::plot::CALCULATING;
use crate::explain::{failure, readings};
use crate::parts::Volts;
use crate::parts::readings::{Connected, Step};

/// Draws the stop.
pub(crate) fn plan_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let plan = match shown.at_bench.answered() {
        Some((_, Some(Ok(answer)))) => &answer.plan,
        Some((_, Some(Err(why)))) => {
            ui.weak(failure::sentence(why));
            return;
        }
        Some((_, None)) | None => {
            ui.weak(CALCULATING);
            return;
        }
    };
    let work = &shown.document.work;
    if !work.bench.plan.is_empty() {
        let anew = ui.button(RichText::new("Suggest anew").font(theme::font(theme::SMALL)));
        keep_seen(ui, &anew);
        let hover = "Puts the steps that suit this supply in place of yours; undo brings them back";
        if anew.on_hover_text(hover).clicked() {
            put(shown, commands, Vec::new(), "Plan suggested anew");
        }
    }
    ScrollArea::vertical()
        .id_salt("plan")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            for (place, one) in plan.iter().enumerate() {
                step_ui(ui, shown, commands, (place, one, plan));
            }
        });
}

/// These steps in place of the plan's.
fn put(shown: Shown<'_>, commands: &mut Commands, steps: Vec<Step>, label: &str) {
    let mut bench = shown.document.work.bench.clone();
    bench.plan = steps;
    let change = Change {
        label: label.to_owned(),
        control: None,
    };
    commands.push(Command::Edit(
        Box::new(Edit::Bench(Box::new(bench))),
        change,
    ));
}

/// The steps as they stand: the plan's own, else the suggested ones.
fn own_steps(shown: Shown<'_>) -> Vec<Step> {
    let work = &shown.document.work;
    if work.bench.plan.is_empty() {
        suggested(&work.supply, &work.dummies)
    } else {
        work.bench.plan.clone()
    }
}

fn step_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (place, one, plan): (usize, &Prepared, &[Prepared]),
) {
    let theme = shown.theme;
    let frame = egui::Frame::new()
        .fill(theme.card)
        .stroke(egui::Stroke::new(1.0, theme.line))
        .corner_radius(4.0)
        .inner_margin(egui::Margin::symmetric(8, 4));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal(|ui| {
            let title = format!("{}. {}", place + 1, readings::phase(one.step.phase));
            ui.label(RichText::new(title).font(theme::strong_font(theme::BODY)));
            if one.at.is_some() {
                load_ui(ui, shown, commands, (place, one));
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                moves_ui(ui, shown, commands, (place, plan.len()));
            });
        });
        for line in step_lines(one, &shown.document.work.supply) {
            let text = RichText::new(theme::tied(&line))
                .font(theme::font(theme::SMALL))
                .color(theme.middle);
            ui.add(Label::new(text).wrap());
        }
        note_ui(ui, shown, commands, (place, one));
    });
    ui.add_space(3.0);
}

/// What is connected and where the knob stands, to be typed.
fn load_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (place, one): (usize, &Prepared),
) {
    let look = |hint: &'static str| TextLook {
        font: theme::font(theme::SMALL),
        width: 76.0,
        bare: false,
        rows: 1,
        hint,
    };
    let serial = shown.document.serial;
    let name = format!("Load of step {}", place + 1);
    let named = Named {
        name: &name,
        id: egui::Id::unique(("step load", place, serial)),
    };
    if let Some(text) = text_field(ui, named, &one.step.load.to_string(), look("nothing"))
        && let Ok(load) = text.parse::<Connected>()
    {
        change_ui(shown, commands, place, |step| step.load = load);
    }
    let Some(set) = one.step.set else {
        return;
    };
    let name = format!("Knob of step {}", place + 1);
    let named = Named {
        name: &name,
        id: egui::Id::unique(("step knob", place, serial)),
    };
    if let Some(text) = text_field(ui, named, &set.to_string(), look("volts"))
        && let Ok(volts) = text.parse::<Volts>()
    {
        change_ui(shown, commands, place, |step| step.set = Some(volts));
    }
}

fn change_ui(
    shown: Shown<'_>,
    commands: &mut Commands,
    place: usize,
    change: impl FnOnce(&mut Step),
) {
    let mut steps = own_steps(shown);
    if let Some(step) = steps.get_mut(place) {
        change(step);
    }
    put(shown, commands, steps, &format!("Plan, step {}", place + 1));
}

fn moves_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (place, count): (usize, usize),
) {
    let button = |ui: &mut Ui, sign: &str, name: String| {
        let text = RichText::new(sign).color(shown.theme.middle);
        let button = ui.add(egui::Button::new(text).frame(false));
        name_it(ui.ctx(), button.id, &name, None);
        keep_seen(ui, &button);
        button.on_hover_text(name).clicked()
    };
    if button(ui, "×", format!("Drop step {}", place + 1)) {
        let mut steps = own_steps(shown);
        if place < steps.len() {
            steps.remove(place);
        }
        put(
            shown,
            commands,
            steps,
            &format!("Plan, step {} dropped", place + 1),
        );
    }
    if button(ui, "+", format!("Step {} once more", place + 1)) {
        let mut steps = own_steps(shown);
        if let Some(step) = steps.get(place).cloned() {
            steps.insert(place + 1, step);
        }
        put(
            shown,
            commands,
            steps,
            &format!("Plan, step {} once more", place + 1),
        );
    }
    let mut swap = |ui: &mut Ui, sign: &str, way: &str, other: Option<usize>| {
        let clicked = button(ui, sign, format!("Move step {} {way}", place + 1));
        if let Some(other) = other.filter(|_| clicked) {
            let mut steps = own_steps(shown);
            if place < steps.len() && other < steps.len() {
                steps.swap(place, other);
            }
            put(
                shown,
                commands,
                steps,
                &format!("Plan, step {} moved {way}", place + 1),
            );
        }
    };
    swap(ui, "v", "down", (place + 1 < count).then_some(place + 1));
    swap(ui, "^", "up", place.checked_sub(1));
}

fn note_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    commands: &mut Commands,
    (place, one): (usize, &Prepared),
) {
    let look = TextLook {
        font: theme::font(theme::SMALL),
        width: ui.available_width() - 16.0,
        bare: true,
        rows: 1,
        hint: "Note",
    };
    let name = format!("Note of step {}", place + 1);
    let named = Named {
        name: &name,
        id: egui::Id::unique(("step note", place, shown.document.serial)),
    };
    let note = one.step.note.clone().unwrap_or_default();
    if let Some(text) = text_field(ui, named, &note, look) {
        let note = (!text.trim().is_empty()).then_some(text);
        change_ui(shown, commands, place, |step| step.note = note);
    }
}
