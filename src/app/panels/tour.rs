//! A step of the tour, in a strip of its own under the bar: it covers nothing of what it is about.

use egui::{Align, Button, Frame, Label, Layout, Margin, Panel, RichText, Ui};

use crate::app::panels::shown::Shown;
use crate::app::theme;
use crate::app::widgets::landmark::Landmark;
use crate::explain::tour::Step;

/// Height of the row with title and buttons (points).
const ROW: f32 = 26.0;

/// Width of the buttons that go on and back (points).
const GO_ON: f32 = 64.0;

/// What was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TourAnswer {
    /// Do what the step is about.
    Do,
    /// Go to this step.
    Go(usize),
    /// It is over.
    Leave,
}

/// Whether a step was only just come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Arrival {
    /// In this frame: the keyboard goes to what the step does.
    Now,
    /// Before.
    Earlier,
}

/// Draws a step, by its place; `None` while nothing is pressed.
pub(crate) fn tour_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    place: usize,
    arrival: Arrival,
) -> Option<TourAnswer> {
    let step = *Step::ALL.get(place)?;
    let room = ui.available_width() - 2.0 * f32::from(theme::MARGIN);
    // As high as the longest of the steps needs: the plot below stands still from one to the next.
    let text_height = |step: Step| {
        let font = theme::font(theme::BODY);
        let galley = (ui.painter()).layout(theme::tied(step.text()), font, shown.theme.ink, room);
        galley.size().y
    };
    let text = Step::ALL.into_iter().map(text_height).fold(0.0, f32::max);
    let frame = Frame::new()
        .fill(shown.theme.card)
        .inner_margin(Margin::symmetric(theme::MARGIN, 6));
    Panel::top("tour")
        .exact_size(ROW + text + 18.0)
        .frame(frame)
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 4.0;
            let answer = ui.horizontal(|ui| row_ui(ui, shown, place, step, arrival));
            ui.add(Label::new(theme::tied(step.text())).wrap());
            answer.inner
        })
        .inner
}

/// Title and buttons.
fn row_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    place: usize,
    step: Step,
    arrival: Arrival,
) -> Option<TourAnswer> {
    let mut answer = None;
    ui.set_min_height(ROW);
    let count = format!("Step {} of {}", place + 1, Step::ALL.len());
    let count = RichText::new(count)
        .font(theme::font(theme::SMALL))
        .color(shown.theme.middle);
    ui.label(count);
    ui.label(RichText::new(step.title()).font(theme::strong_font(theme::HEADING)));
    ui.add_space(theme::GAP);
    let deed = ui.button(step.deed()).on_hover_text("Does it on the plot");
    if arrival == Arrival::Now {
        deed.request_focus();
    }
    if deed.clicked() {
        answer = Some(TourAnswer::Do);
    }
    let is_last = place + 1 == Step::ALL.len();
    let (text, means, hint) = if is_last {
        let hint = "Brings back what was open before the tour";
        ("Finish", TourAnswer::Leave, hint)
    } else {
        ("Next", TourAnswer::Go(place + 1), "The next step")
    };
    // From the right edge, so that the button that goes on is in the same place at every step.
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let wide = |text: &str| Button::new(text.to_owned()).min_size(egui::vec2(GO_ON, 0.0));
        if ui.add(wide(text)).on_hover_text(hint).clicked() {
            answer = Some(means);
        }
        let back = ui.add_enabled(place > 0, wide("Back"));
        if back.on_hover_text("The step before").clicked() {
            answer = Some(TourAnswer::Go(place.saturating_sub(1)));
        }
        if !is_last {
            let skip = ui.button("Skip the tour");
            let hint = "Brings back what was open before; the tour stays in the menu.";
            if skip.on_hover_text(hint).clicked() {
                answer = Some(TourAnswer::Leave);
            }
        }
    });
    answer
}

/// Draws a frame around what a step is about, if it is on the window.
pub(crate) fn pointer_ui(ctx: &egui::Context, place: usize) {
    let step = Step::ALL.get(place);
    let Some(around) = step.and_then(|step| landmark(*step).place(ctx)) else {
        return;
    };
    let colours = theme::Theme::of(ctx);
    let painter = ctx.layer_painter(egui::LayerId::new(
        egui::Order::Middle,
        egui::Id::unique("what the tour points at"),
    ));
    let stroke = egui::Stroke::new(2.0, colours.dropout);
    let frame = around.expand(4.0).intersect(ctx.content_rect().shrink(2.0));
    painter.rect_stroke(frame, theme::RADIUS, stroke, egui::StrokeKind::Inside);
}

fn landmark(step: Step) -> Landmark {
    match step {
        Step::Point => Landmark::Ring,
        Step::Limit => Landmark::ThisPoint,
        Step::Dummy | Step::Watts => Landmark::Dock,
        Step::Mains => Landmark::Mains,
        Step::Capacitor => Landmark::Filter,
    }
}
