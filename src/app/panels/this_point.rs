//! The right panel: the point in large figures, inside or outside, and every limit sorted by use.

mod why;

use egui::{Align, Frame, Label, Layout, Margin, RichText, ScrollArea, Sense, Ui};

use crate::app::command::Command;
use crate::app::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{Empty, Named, Typed, fault, typed_field, wrong_line};
use crate::app::widgets::term::meaning_ui;
use crate::app::widgets::use_bar::use_bar;
use crate::explain::{Severity, cautions, glossary, limits, number};
use crate::parts::{Amps, Supply, Volts};
use crate::physics::envelope::Point;
use crate::physics::limit::Use;
use crate::physics::operation::Case;

/// Draws the panel.
pub(crate) fn this_point_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    quiet_heading(ui, shown, "At this point");
    figures_ui(ui, shown);
    typed_point_ui(ui, shown, commands);
    ScrollArea::vertical()
        .id_salt("this point")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let Some(picture) = &shown.answers.picture else {
                ui.label("Nothing computed yet");
                return;
            };
            if shown.answers.is_older() {
                chip_ui(ui, shown, Severity::Near, "An older picture: see above");
            }
            match (&picture.point, &shown.answers.point_failure) {
                (Some(point), _) => {
                    let word = point_ui(ui, shown, point, &picture.supply);
                    commands.extend(word.map(Command::Define));
                    why::why_ui(ui, shown, point, commands);
                }
                (None, Some(failure)) => {
                    chip_ui(ui, shown, Severity::Over, &failure.to_string());
                }
                (None, None) => {}
            }
            caution_ui(ui, shown);
            ui.add_space(theme::GAP);
            ui.add(
                Label::new(
                    RichText::new(cautions::ESTIMATE)
                        .font(theme::font(theme::SMALL))
                        .color(shown.theme.dim),
                )
                .wrap(),
            );
        });
}

fn quiet_heading(ui: &mut Ui, shown: Shown<'_>, text: &str) {
    ui.label(
        RichText::new(text)
            .font(theme::strong_font(theme::SMALL))
            .color(shown.theme.dim),
    );
}

fn figures_ui(ui: &mut Ui, shown: Shown<'_>) {
    let [amps, volts] = shown.view.point;
    ui.horizontal(|ui| {
        let text = format!("{}  {}", number::volts(volts), number::amps(amps));
        ui.add(
            Label::new(
                RichText::new(text)
                    .font(theme::strong_font(theme::FIGURE))
                    .color(shown.theme.ink),
            )
            .truncate(),
        );
    });
}

fn typed_point_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    let [amps, volts] = shown.view.point;
    let mut faults = Vec::new();
    ui.horizontal(|ui| {
        let each = (ui.available_width() - 74.0) / 2.0;
        let [typed_volts, typed_amps] = [0, 1].map(|side| {
            ui.allocate_ui_with_layout(
                egui::vec2(each, 24.0),
                Layout::left_to_right(Align::Center),
                |ui| {
                    if side == 0 {
                        let value = Volts(rounded(volts));
                        let named = output("Output volts");
                        faults.extend(fault::<Volts>(ui, named.id, Empty::Never));
                        match typed_field(ui, named, Some(value), Empty::Never) {
                            Typed::Value(v) => Some(v.0),
                            _ => None,
                        }
                    } else {
                        let value = Amps(rounded(amps));
                        let named = output("Output current");
                        faults.extend(fault::<Amps>(ui, named.id, Empty::Never));
                        match typed_field(ui, named, Some(value), Empty::Never) {
                            Typed::Value(a) => Some(a.0),
                            _ => None,
                        }
                    }
                },
            )
            .inner
        });
        if typed_volts.is_some() || typed_amps.is_some() {
            commands.push(Command::MovePoint([
                typed_amps.unwrap_or(amps),
                typed_volts.unwrap_or(volts),
            ]));
        }
        let watts = shown
            .answers
            .picture
            .as_ref()
            .and_then(|p| p.point.as_ref());
        if let Some(point) = watts {
            ui.label(
                RichText::new(number::watts(point.volts * point.amps))
                    .font(theme::font(theme::HEADING))
                    .color(shown.theme.middle),
            )
            .on_hover_text("Power into the load");
        }
    });
    for wrong in faults {
        wrong_line(ui, &wrong, shown.theme.over_text);
    }
}

fn output(name: &str) -> Named<'_> {
    Named {
        name,
        id: egui::Id::unique(name),
    }
}

/// The point as typed: a drag leaves it on no round number, and nobody wants fifteen digits.
fn rounded(value: f64) -> f64 {
    format!("{value:.3e}").parse().unwrap_or(value)
}

/// Everything about the point; gives the word that is to be looked up, if one was asked for.
fn point_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, supply: &Supply) -> Option<&'static str> {
    let mut asked = None;
    let verdict = limits::verdict(point, supply);
    chip_ui(ui, shown, verdict.severity, &verdict.sentence);
    ui.add_space(4.0);
    if let Some(tightest) = point.tightest().filter(|_| point.operation.is_some()) {
        ui.add(Label::new(theme::tied(&limits::sentence(tightest, supply, point))).wrap());
        if let Some(how) = limits::how_judged(tightest) {
            let how = RichText::new(theme::tied(&how))
                .font(theme::font(theme::SMALL))
                .color(shown.theme.middle);
            ui.add(Label::new(how).wrap());
        }
        ui.add_space(4.0);
    }
    let (known, unknown): (Vec<&Use>, Vec<&Use>) =
        point.uses.iter().partition(|one| one.judged.is_ok());
    quiet_heading(ui, shown, "Limits, the tightest first");
    for one in known {
        asked = asked.or(use_ui(ui, shown, one, supply, point));
    }
    if !unknown.is_empty() {
        ui.add_space(4.0);
        quiet_heading(ui, shown, "Not known, so not judged");
        for one in unknown {
            let name = RichText::new(limits::name(one.limit, supply))
                .font(theme::font(theme::SMALL))
                .color(shown.theme.middle);
            ui.horizontal(|ui| {
                ui.spacing_mut().interact_size.y = 14.0;
                use_bar(ui, None, 18.0);
                let term = glossary::of_limit(one.limit);
                let label = Label::new(name)
                    .truncate()
                    .selectable(false)
                    .sense(Sense::CLICK);
                let label = ui.add(label).on_hover_ui(|ui| {
                    ui.set_max_width(320.0);
                    ui.label(limits::not_known(one, supply));
                    if let Some(term) = term {
                        ui.separator();
                        meaning_ui(ui, term);
                    }
                });
                asked = asked.or(term.filter(|_| label.clicked()).map(|term| term.name));
            });
        }
    }
    asked
}

fn chip_ui(ui: &mut Ui, shown: Shown<'_>, severity: Severity, text: &str) {
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
            let text = RichText::new(theme::tied(text))
                .font(theme::strong_font(theme::BODY))
                .color(ink);
            ui.add(Label::new(text).wrap());
        });
}

/// A name in the size of the text, or one size smaller where it would be cut.
fn fitting(ui: &Ui, name: String, colour: egui::Color32) -> RichText {
    let body = theme::font(theme::BODY);
    let width = ui
        .painter()
        .layout_no_wrap(name.clone(), body.clone(), colour)
        .size()
        .x;
    let font = if width > ui.available_width() {
        theme::font(theme::SMALL)
    } else {
        body
    };
    RichText::new(name).font(font).color(colour)
}

/// One limit: its name, its numbers, its bar; hovering says why and what the word means, a click looks it up.
fn use_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    one: &Use,
    supply: &Supply,
    point: &Point,
) -> Option<&'static str> {
    let theme = shown.theme;
    let row = ui
        .scope(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 18.0;
            ui.horizontal(|ui| {
                let numbers = match &one.judged {
                    Ok(judged) => RichText::new(number::of_allowed(judged))
                        .color(theme.use_text(judged.ratio)),
                    Err(_) => RichText::new("not known").color(theme.dim),
                };
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    ui.add(Label::new(numbers).selectable(false));
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                        let name = fitting(ui, limits::name(one.limit, supply), theme.ink);
                        ui.add(Label::new(name).truncate().selectable(false));
                    });
                });
            });
            use_bar(ui, one.ratio(), ui.available_width());
        })
        .response;
    let term = glossary::of_limit(one.limit);
    let name = format!("About {}", limits::name(one.limit, supply));
    // An id of its own: that of the row belongs to something without focus, which would give it up every frame.
    let row = ui.interact(row.rect, row.id.with("about"), Sense::click());
    row.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
    if row.has_focus() {
        let edge = egui::Stroke::new(1.5, theme.dropout);
        let around = row.rect.expand(2.0);
        ui.painter()
            .rect_stroke(around, 3.0, edge, egui::StrokeKind::Outside);
    }
    let row = row.on_hover_ui(|ui| {
        ui.set_max_width(320.0);
        if one.judged.is_ok() {
            ui.label(limits::sentence(one, supply, point));
            if let Some(how) = limits::how_judged(one) {
                ui.label(RichText::new(how).color(theme.middle));
            }
        } else {
            ui.label(limits::not_known(one, supply));
        }
        if let Some(term) = term {
            ui.separator();
            meaning_ui(ui, term);
        }
    });
    ui.add_space(2.0);
    term.filter(|_| row.clicked()).map(|term| term.name)
}

fn caution_ui(ui: &mut Ui, shown: Shown<'_>) {
    let Some(picture) = &shown.answers.picture else {
        return;
    };
    let bus = picture
        .envelope
        .column(Case::Present)
        .map(|column| column.no_load.operation.bus.crest_volts);
    let Some(finding) = bus.and_then(|volts| cautions::bus(volts, None)) else {
        return;
    };
    ui.add_space(theme::GAP);
    Frame::new()
        .fill(shown.theme.near_fill)
        .stroke(egui::Stroke::new(1.0, shown.theme.near.gamma_multiply(0.5)))
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.label(
                RichText::new("Lethal voltage, stored charge")
                    .font(theme::strong_font(theme::BODY))
                    .color(shown.theme.near_text),
            );
            ui.add(
                Label::new(
                    RichText::new(theme::tied(&finding.sentence)).font(theme::font(theme::SMALL)),
                )
                .wrap(),
            );
        });
}
