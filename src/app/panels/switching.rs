//! Above the picture of switching on: how the switch closes, what many closings say, and the fuse.

use egui::{Align, Button, Label, Layout, RichText, Slider, Ui, WidgetInfo};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{keep_seen, name_it};
use crate::app::work::command::Command;
use crate::app::work::view::{Drawing, Switch};
use crate::bench::fuses::{Before, Inrush};
use crate::explain::inrush;

/// Height of the row of controls (points).
const ROW: f32 = 22.0;
/// Below this width the sliders have no names beside them (points).
const WIDE: f32 = 640.0;

/// What is known of many switch-ons: those of this very supply, else of the one before.
pub(crate) fn drawn(shown: Shown<'_>) -> Option<&Inrush> {
    let surges = shown.surges;
    let part = surges.in_work().and_then(|(_, _, part)| part?.as_deref());
    part.or_else(|| surges.answered().and_then(|(_, found)| found?.as_deref()))
}

/// Draws the controls, and the line below them.
pub(crate) fn switching_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    most_residual: f64,
    commands: &mut Commands,
) {
    let before = shown.view.switch;
    let mut switch = before;
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        ui.spacing_mut().item_spacing.x = 6.0;
        let wide = ui.available_width() > WIDE;
        ui.spacing_mut().slider_width = if wide { 110.0 } else { 60.0 };
        slider_ui(
            ui,
            shown,
            (if wide { "Closing" } else { "" }, "Instant of closing"),
            Slider::new(&mut switch.degrees, 0.0..=360.0).step_by(1.0),
            inrush::degrees(before.degrees),
        );
        let most = most_residual.max(0.01);
        switch.residual = switch.residual.clamp(-most, most);
        slider_ui(
            ui,
            shown,
            (if wide { "Flux left" } else { "" }, "Residual flux"),
            Slider::new(&mut switch.residual, -most..=most).step_by(0.01),
            inrush::per_cent(before.residual),
        );
        for (of, text) in [(Before::Cold, "cold"), (Before::Hot, "hot")] {
            choice_ui(ui, shown, (text, of), &mut switch.before);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            progress_ui(ui, shown, &mut switch);
        });
    });
    if switch != before {
        commands.push(Command::Switch(switch));
    }
    let line = drawn(shown).map(inrush::verdict).unwrap_or_default();
    let text = RichText::new(&line)
        .font(theme::font(theme::SMALL))
        .color(shown.theme.ink);
    let label = ui.add(Label::new(text).truncate());
    if !line.is_empty() {
        label.on_hover_text(line);
    }
}

fn slider_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (text, name): (&str, &str),
    slider: Slider<'_>,
    value: String,
) {
    let small = |text: String| {
        RichText::new(text)
            .font(theme::font(theme::SMALL))
            .color(shown.theme.middle)
    };
    if !text.is_empty() {
        ui.add(Label::new(small(text.to_owned())).selectable(false));
    }
    let response = ui.add(slider.show_value(false));
    name_it(ui.ctx(), response.id, name, Some(&value));
    keep_seen(ui, &response);
    ui.allocate_ui_with_layout(
        egui::vec2(40.0, ROW),
        Layout::left_to_right(Align::Center),
        |ui| ui.add(Label::new(small(value)).selectable(false)),
    );
    response.on_hover_text(format!("{name}: {}", inrush::DRAG));
}

/// One of two.
fn choice_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    (text, of): (&'static str, Before),
    before: &mut Before,
) {
    let theme = shown.theme;
    let chosen = *before == of;
    let (ink, edge) = if chosen {
        (theme.ink, theme.dropout)
    } else {
        (theme.middle, theme.line)
    };
    let words = RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(ink);
    let button = Button::new(words)
        .fill(theme.card)
        .stroke(egui::Stroke::new(1.5, edge));
    let response = ui.add(button);
    keep_seen(ui, &response);
    response.widget_info(|| {
        WidgetInfo::selected(
            egui::Role::RadioButton,
            true,
            chosen,
            format!("Switched on {text}"),
        )
    });
    if response
        .on_hover_text(inrush::before_in_full(text))
        .clicked()
    {
        *before = of;
    }
}

/// How far the drawing is, and the button that stops it or begins it again.
fn progress_ui(ui: &mut Ui, shown: Shown<'_>, switch: &mut Switch) {
    let in_work = shown.surges.in_work();
    let (text, then) = match (switch.drawing, &in_work) {
        (Drawing::Stopped, _) => ("Draw", Drawing::On),
        (Drawing::On, Some(_)) => ("Stop", Drawing::Stopped),
        (Drawing::On, None) => return,
    };
    let words = RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(shown.theme.ink);
    let button = ui.add(Button::new(words).fill(shown.theme.card));
    keep_seen(ui, &button);
    name_it(ui.ctx(), button.id, &format!("{text} switch-ons"), None);
    if button.clicked() {
        switch.drawing = then;
    }
    if let Some((_, done, _)) = in_work {
        let words = RichText::new(format!("{:.0} %", 100.0 * done))
            .font(theme::font(theme::SMALL))
            .color(shown.theme.middle);
        ui.add(Label::new(words).selectable(false));
    }
}
