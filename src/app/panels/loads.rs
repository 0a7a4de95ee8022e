//! The bottom panel: the dummy loads at hand, what each is good for, and the values of the selected one.

use egui::WidgetInfo;
use egui::{Align, Frame, Label, Layout, Margin, RichText, ScrollArea, Sense, Stroke, Ui};

use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::fields::{Field, Fields};
use crate::app::widgets::quantity_field::{Named, Span, name_it};
use crate::app::widgets::term::{Stop, term_ui};
use crate::app::widgets::text_field::{TextLook, text_field};
use crate::app::work::command::{Command, Edit};
use crate::app::work::history::Change;
use crate::bench::load_line::LoadLine;
use crate::explain::{Severity, glossary, load_line};
use crate::parts::{Dummy, Fraction, Ohms, Watts};

/// Width of a dummy's card (points).
const CARD: f32 = 236.0;
/// The least width of one, where several share a narrow window (points).
const NARROWEST: f32 = 204.0;
/// Height of a dummy's card (points).
const CARD_HEIGHT: f32 = 62.0;

/// Draws the panel.
pub(crate) fn loads_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let dummies = &shown.document.work.dummies;
    ui.horizontal(|ui| {
        // The switch of the views stands in the same row.
        ui.set_min_height(24.0);
        let heading = RichText::new("Dummy loads")
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.dim);
        let word = term_ui(ui, heading, glossary::named("dummy load"), Stop::None);
        commands.extend(word.map(Command::Define));
        add_ui(ui, commands);
    });
    if dummies.is_empty() {
        ui.weak("None yet: add the resistor that you will load the supply with");
    }
    let width = card_width(ui.available_width(), dummies.len());
    ScrollArea::horizontal().id_salt("dummies").show(ui, |ui| {
        ui.horizontal(|ui| {
            for (place, dummy) in dummies.iter().enumerate() {
                let card = Card {
                    place,
                    dummy,
                    width,
                };
                card_ui(ui, shown, commands, card);
            }
        });
    });
    if shown.view.dummy_open
        && let Some(place) = shown.view.dummy
        && let Some(dummy) = shown.document.work.dummies.get(place)
    {
        let key = egui::Id::unique(("dummy", place, shown.document.serial));
        editor_ui(ui, commands, key, place, dummy);
    }
}

fn add_ui(ui: &mut Ui, commands: &mut Commands) {
    // The switch of the views needs its part of the row.
    let text = if ui.available_width() < 240.0 {
        "+"
    } else {
        "+ Add"
    };
    let add = ui.add(egui::Button::new(
        RichText::new(text).font(theme::font(theme::SMALL)),
    ));
    name_it(ui.ctx(), add.id, "Add a dummy load", None);
    if add
        .on_hover_text("One more resistor to load the supply with")
        .clicked()
    {
        let dummy = new_dummy();
        let change = Change {
            label: format!("Dummy {} added", dummy.resistance),
            control: None,
        };
        commands.push(Command::Edit(Box::new(Edit::AddDummy(dummy)), change));
    }
}

/// All cards side by side where they may be so narrow; else some stand beyond the edge, and one scrolls.
fn card_width(room: f32, cards: usize) -> f32 {
    let each = (room + theme::GAP) / f32::from(u16::try_from(cards.max(1)).unwrap_or(u16::MAX))
        - theme::GAP;
    each.clamp(NARROWEST, CARD)
}

/// A dummy's card.
#[derive(Clone, Copy)]
struct Card<'a> {
    place: usize,
    dummy: &'a Dummy,
    /// In points.
    width: f32,
}

fn card_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands, card: Card<'_>) {
    let Card {
        place,
        dummy,
        width,
    } = card;
    let theme = shown.theme;
    let selected = shown.view.dummy == Some(place);
    let (what, detail) = title(dummy);
    let name = format!("{what} {detail}");
    let (rect, _) = ui.allocate_exact_size(egui::vec2(width, CARD_HEIGHT), Sense::hover());
    let response = ui.interact(
        rect,
        egui::Id::unique(("dummy card", place)),
        Sense::click(),
    );
    response.widget_info(|| WidgetInfo::selected(egui::Role::Button, true, selected, &name));
    let edge = if response.has_focus() {
        theme.dropout
    } else if selected {
        theme.ink
    } else {
        theme.line
    };
    ui.painter().rect(
        rect,
        theme::RADIUS,
        theme.card,
        Stroke::new(if selected { 1.5 } else { 1.0 }, edge),
        egui::StrokeKind::Inside,
    );
    let finding = result(shown, place, dummy);
    let mut inner = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(rect.shrink2(egui::vec2(12.0, 6.0)))
            .layout(Layout::top_down(Align::LEFT)),
    );
    inner.spacing_mut().item_spacing.y = 1.0;
    inner.spacing_mut().interact_size.y = 18.0;
    inner.horizontal(|ui| {
        ui.add(
            Label::new(RichText::new(&what).font(theme::strong_font(theme::BODY)))
                .selectable(false),
        );
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let detail = RichText::new(&detail)
                .font(theme::font(theme::SMALL))
                .color(theme.middle);
            ui.add(Label::new(detail).truncate().selectable(false));
        });
    });
    let (text, colour) = match &finding {
        Some((severity, text)) => (text.as_str(), severity_text(shown, *severity)),
        None => ("", theme.dim),
    };
    let mut lines = egui::text::LayoutJob::simple(
        theme::tied(text),
        theme::font(theme::SMALL),
        colour,
        inner.available_width(),
    );
    // The whole sentence is in the hover text.
    lines.wrap.max_rows = 2;
    inner.add(Label::new(lines).selectable(false));
    let response = response.on_hover_ui(|ui| {
        ui.set_max_width(300.0);
        ui.label(RichText::new(&name).font(theme::strong_font(theme::BODY)));
        ui.label(text);
        if let Some(missing) = load_line::not_known(dummy) {
            ui.label(missing);
        }
        ui.weak("Click to move the point along its line; click again for its values");
    });
    if response.clicked() {
        if selected {
            commands.push(Command::OpenDummy(!shown.view.dummy_open));
        } else {
            commands.push(Command::SelectDummy(Some(place)));
        }
    }
}

/// Its resistance, and the rest of what is printed on it.
fn title(dummy: &Dummy) -> (String, String) {
    let power = dummy.power.map(|p| p.to_string()).unwrap_or_default();
    let detail = format!("{power} {}", dummy.name).trim().to_owned();
    (dummy.resistance.to_string(), detail)
}

fn severity_text(shown: Shown<'_>, severity: Severity) -> egui::Color32 {
    match severity {
        Severity::Fine => shown.theme.envelope_text,
        Severity::Remark => shown.theme.middle,
        Severity::Near => shown.theme.near_text,
        Severity::Over => shown.theme.over_text,
    }
}

/// What the dummy is good for, if its line is of this very dummy.
fn result(shown: Shown<'_>, place: usize, dummy: &Dummy) -> Option<(Severity, String)> {
    let picture = shown.answers.picture.as_ref()?;
    let line: &LoadLine = picture.load_lines.get(place)?;
    if picture.dummies.get(place) != Some(dummy) {
        return None;
    }
    let finding = load_line::summary(line, dummy, &picture.supply);
    Some((finding.severity, finding.sentence))
}

fn editor_ui(ui: &mut Ui, commands: &mut Commands, key: egui::Id, place: usize, dummy: &Dummy) {
    let mut new = dummy.clone();
    let mut change = None;
    Frame::new()
        .inner_margin(Margin::symmetric(0, 4))
        .show(ui, |ui| {
            let columns = if ui.available_width() > 820.0 { 3 } else { 2 };
            ui.spacing_mut().item_spacing.y = 4.0;
            ui.columns(columns, |uis| {
                for (column, ui) in uis.iter_mut().enumerate() {
                    let mut fields = Fields::new(ui, "Dummy", key);
                    for row in (column..6).step_by(columns) {
                        editor_row(&mut fields, row, key, &mut new);
                    }
                    change = fields.change().or(change.take());
                }
            });
            ui.horizontal(|ui| {
                if ui.button("Remove this dummy").clicked() {
                    let change = Change {
                        label: format!("Dummy {} removed", dummy.resistance),
                        control: None,
                    };
                    commands.push(Command::Edit(Box::new(Edit::RemoveDummy(place)), change));
                }
                if ui.button("Done").clicked() {
                    commands.push(Command::OpenDummy(false));
                }
            });
        });
    if let Some(change) = change {
        commands.push(Command::Edit(Box::new(Edit::Dummy(place, new)), change));
    }
}

fn editor_row(fields: &mut Fields<'_>, row: usize, key: egui::Id, dummy: &mut Dummy) {
    match row {
        0 => fields.quantity(
            Field {
                name: "Resistance",
                hover: "Resistance of the load. Measure it: old wire-wounds drift. Sets the slope of its line",
                span: Span::by_ratio(100.0, 1e6),
            },
            &mut dummy.resistance,
        ),
        1 => fields.optional(
            Field {
                name: "Power",
                hover: "Rated power, printed on it",
                span: Span::by_ratio(0.5, 500.0),
            },
            &mut dummy.power,
            "not known",
        ),
        2 => fields.optional(
            Field {
                name: "Working volts",
                hover: "Highest volts across it, whatever the power. In its sheet; matters for high resistances",
                span: Span::by_ratio(100.0, 5000.0),
            },
            &mut dummy.working_volts,
            "not known",
        ),
        3 => fields.quantity(
            Field {
                name: "Tolerance",
                hover: "Spread of the resistance, ± this. Printed on it",
                span: Span::even(0.0, 0.2, 0.01),
            },
            &mut dummy.tolerance,
        ),
        4 => fields.quantity(
            Field {
                name: "Derating",
                hover: "Share of the rated power allowed where it is mounted: 100 % in free air or on its heat sink, \
                        50 % boxed in or without the heat sink its rating asks for",
                span: Span::even(0.05, 1.0, 0.05),
            },
            &mut dummy.derating,
        ),
        _ => {
            let look = TextLook {
                font: theme::font(theme::BODY),
                width: fields.ui().available_width() - 14.0,
                bare: false,
                rows: 1,
        hint: "name, if you like",
            };
            let named = Named {
                name: "Name of the dummy",
                id: key.with("name"),
            };
            if let Some(name) = text_field(fields.ui(), named, &dummy.name, look) {
                fields.note(&format!("name {name}"));
                dummy.name = name;
            }
        }
    }
}

fn new_dummy() -> Dummy {
    Dummy {
        name: String::new(),
        resistance: Ohms(10e3),
        power: Some(Watts(25.0)),
        working_volts: None,
        tolerance: Fraction(0.05),
        derating: Fraction(1.0),
    }
}
