//! The right panel: figures and verdict of the point, which stay in sight, and below them the limits sorted by use.

mod acceptance;
mod list;
mod odds;
mod verdict;
mod why;

use egui::{Align, Label, Layout, RichText, ScrollArea, Sense, Ui};

use crate::app::answers::Standing;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, bare_words, fault, figure_width, typed_field, wrong_line,
};
use crate::app::work::command::Command;
use crate::explain::{cautions, number, plot};
use crate::parts::quantity::Quantity;
use crate::parts::{Amps, Volts};

/// Draws the panel.
pub(crate) fn this_point_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    ui.scope(|ui| {
        ui.spacing_mut().interact_size.y = 14.0;
        ui.horizontal(|ui| {
            quiet_heading(ui, shown, "At this point");
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                // In line with the numbers of the list, which leaves room for its scroll bar.
                ui.add_space(6.0);
                watts_ui(ui, shown);
            });
        });
    });
    figures_ui(ui, shown, commands);
    let Some(picture) = &shown.answers.picture else {
        ui.label(match shown.answers.standing {
            Standing::SupplyBefore => plot::CALCULATING,
            _ => "Nothing computed yet",
        });
        return;
    };
    verdict::verdict_ui(ui, shown, &picture.supply, commands);
    // Whether the list scrolls or not, its rows are as wide.
    let wide = ui.available_width() - ui.spacing().scroll.allocated_width();
    ScrollArea::vertical()
        .id_salt("this point")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            ui.set_max_width(wide);
            if let Some(point) = &picture.point {
                let asked = (shown.answers.standing == Standing::Now)
                    .then(|| acceptance::question_ui(ui, shown, &picture.supply));
                commands.extend(asked.flatten());
                let listed = list::Listed {
                    point,
                    supply: &picture.supply,
                    envelope: &picture.envelope,
                };
                list::list_ui(ui, shown, listed, commands);
            }
            ui.add_space(theme::GAP);
            let estimate = RichText::new(cautions::ESTIMATE)
                .font(theme::font(theme::SMALL))
                .color(shown.theme.dim);
            ui.add(Label::new(estimate).wrap());
        });
}

fn quiet_heading(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    ui.label(
        RichText::new(text)
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.dim),
    );
}

/// Power into the load at the point, where one is known.
fn watts_ui(ui: &mut Ui, shown: Shown<'_>) {
    let picture = shown.answers.picture.as_ref();
    let Some(point) = picture.and_then(|p| p.point.as_ref()) else {
        return;
    };
    ui.label(
        RichText::new(number::watts(point.volts * point.amps))
            .font(theme::font(theme::BODY))
            .color(shown.theme.middle),
    )
    .on_hover_text("Power into the load");
}

/// The point in large figures; a click on one types another value.
fn figures_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let [amps, volts] = shown.view.point;
    let (now_volts, now_amps) = (Volts(rounded(volts)), Amps(rounded(amps)));
    let mut faults = Vec::new();
    let size = figure_size(ui, &[now_volts.to_string(), now_amps.to_string()]);
    let room = egui::vec2(ui.available_width(), 1.3 * theme::FIGURE);
    let (rect, _) = ui.allocate_exact_size(room, Sense::hover());
    // The text, not the frame that shows on pointing at it, stands on the panel's edge.
    let mut row = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(rect.translate(egui::vec2(-4.0, 0.0)))
            .layout(Layout::left_to_right(Align::Center)),
    );
    let typed_volts = figure_ui(&mut row, "Output volts", now_volts, size);
    let typed_amps = figure_ui(&mut row, "Output current", now_amps, size);
    if typed_volts.is_some() || typed_amps.is_some() {
        commands.push(Command::MovePoint([
            typed_amps.map_or(amps, |typed| typed.0),
            typed_volts.map_or(volts, |typed| typed.0),
        ]));
    }
    faults.extend(fault::<Volts>(ui, output("Output volts").id, Empty::Never));
    faults.extend(fault::<Amps>(ui, output("Output current").id, Empty::Never));
    for wrong in faults {
        wrong_line(ui, &wrong, shown.theme.over_text);
    }
}

fn figure_ui<Q: Quantity>(ui: &mut Ui, name: &str, value: Q, size: f32) -> Option<Q> {
    let field = ui.scope(|ui| {
        typed_field(
            ui,
            output(name),
            Some(value),
            Empty::Never,
            Face::Figure(size),
        )
    });
    let means = bare_words(Some(value)).map_or_else(String::new, |words| format!(". {words}"));
    field.response.on_hover_text(format!(
        "Click to type another value, or drag the point in the plot{means}"
    ));
    match field.inner {
        Typed::Value(typed) => Some(typed),
        _ => None,
    }
}

/// The large size, or the largest at which both figures stand side by side.
fn figure_size(ui: &Ui, texts: &[String; 2]) -> f32 {
    let room = ui.available_width() - theme::GAP;
    let at = |size| {
        texts
            .iter()
            .map(|text| figure_width(ui, text, size))
            .sum::<f32>()
    };
    [theme::FIGURE, 24.0, 21.0]
        .into_iter()
        .find(|size| at(*size) <= room)
        .unwrap_or(18.0)
}

fn output(name: &str) -> Named<'_> {
    Named {
        name,
        id: egui::Id::unique(name),
    }
}

/// The point to three figures: a drag leaves it on no round number, and nobody wants fifteen digits.
fn rounded(value: f64) -> f64 {
    format!("{value:.2e}").parse().unwrap_or(value)
}
