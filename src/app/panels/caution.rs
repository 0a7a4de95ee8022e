//! The caution at the foot of the right panel: always in sight, whatever scrolls above it.

use egui::{Frame, Label, Margin, Panel, RichText, Ui};

use crate::app::panels::shown::Shown;
use crate::app::theme;
use crate::explain::cautions;
use crate::physics::operation::Case;

/// Height of the panel below which the caution is a line or two without a heading (points).
const LOW: f32 = 680.0;

/// Draws it at the foot of what room there is; nothing where the bus does no harm.
pub(crate) fn caution_ui(ui: &mut Ui, shown: Shown<'_>) {
    let Some(envelope) = shown.answers.picture.as_ref().map(|p| &p.envelope) else {
        return;
    };
    let Some(present) = envelope.column(Case::Present) else {
        return;
    };
    let bus = present.no_load.operation.bus.crest_volts;
    let kept = envelope.kept.as_ref();
    let is_low = ui.available_height() < LOW;
    let words = if is_low {
        cautions::bus_in_a_line(bus, kept).map(|line| vec![line])
    } else {
        cautions::bus_in_short(bus, kept).map(Vec::from)
    };
    let Some(words) = words else {
        return;
    };
    let heading = (!is_low).then_some(cautions::LETHAL);
    let whole = cautions::bus(bus, kept).map(|found| found.sentence);
    let said = Said {
        heading,
        words,
        whole,
    };
    let foot = Frame::new().outer_margin(Margin {
        top: 6,
        ..Margin::ZERO
    });
    Panel::bottom("caution")
        .resizable(false)
        .show_separator_line(false)
        .frame(foot)
        .show(ui, |ui| {
            let inside = if is_low {
                Margin::symmetric(8, 4)
            } else {
                Margin::symmetric(12, 8)
            };
            let edge = shown.theme.near.gamma_multiply(0.5);
            Frame::new()
                .fill(shown.theme.near_fill)
                .stroke(egui::Stroke::new(1.0, edge))
                .corner_radius(theme::RADIUS)
                .inner_margin(inside)
                .show(ui, |ui| words_ui(ui, shown, &said));
        });
}

/// What stands there.
struct Said {
    heading: Option<&'static str>,
    words: Vec<String>,
    /// The same in full.
    whole: Option<String>,
}

fn words_ui(ui: &mut Ui, shown: Shown<'_>, said: &Said) {
    ui.set_min_width(ui.available_width());
    ui.spacing_mut().item_spacing.y = 2.0;
    if let Some(heading) = said.heading {
        let heading = RichText::new(heading)
            .font(theme::strong_font(theme::BODY))
            .color(shown.theme.near_text);
        ui.label(heading);
    }
    for words in &said.words {
        let words = RichText::new(theme::tied(words))
            .font(theme::font(theme::SMALL))
            .color(shown.theme.ink);
        let label = ui.add(Label::new(words).wrap());
        if let Some(whole) = &said.whole {
            label.on_hover_text(whole);
        }
    }
}
