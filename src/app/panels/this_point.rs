//! The right panel: the point in large figures, inside or outside, and every limit sorted by use.

mod acceptance;
mod why;

use egui::{Align, Frame, Label, Layout, Margin, RichText, ScrollArea, Sense, Ui};

use crate::app::answers::Standing;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme;
use crate::app::widgets::quantity_field::{
    Empty, Face, Named, Typed, bare_words, fault, figure_width, keep_in_view, keep_seen,
    typed_field, wrong_line,
};
use crate::app::widgets::term::meaning_ui;
use crate::app::widgets::use_bar::use_bar;
use crate::app::work::command::Command;
use crate::explain::{Severity, cautions, failure, glossary, limits, number, plot};
use crate::parts::quantity::Quantity;
use crate::parts::{Amps, Stage, Supply, Volts};
use crate::physics::envelope::Point;
use crate::physics::limit::{Limit, Use};
use crate::physics::operation::Case;

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
    ScrollArea::vertical()
        .id_salt("this point")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            let Some(picture) = &shown.answers.picture else {
                ui.label(match shown.answers.standing {
                    Standing::SupplyBefore => plot::CALCULATING,
                    _ => "Nothing computed yet",
                });
                return;
            };
            let before = match shown.answers.standing {
                Standing::SupplyBefore => Some(plot::VERDICT_OF_SUPPLY_BEFORE),
                Standing::PointBefore => Some(plot::VERDICT_OF_POINT_BEFORE),
                _ if shown.answers.is_older() => Some("An older picture: see above"),
                _ => None,
            };
            if let Some(before) = before {
                chip_ui(ui, shown, Severity::Near, before);
            }
            match (&picture.point, &shown.answers.point_failure) {
                (Some(point), _) => {
                    commands.extend(point_ui(ui, shown, point, &picture.supply));
                    why::why_ui(ui, shown, point, commands);
                }
                (None, Some(failure)) => {
                    chip_ui(ui, shown, Severity::Over, &failure::sentence(failure));
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
        "Click to type another value; or drag the point in the plot{means}"
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

/// Everything about the point; gives what was asked for: to explain a limit, or to look a word up.
fn point_ui(ui: &mut Ui, shown: Shown<'_>, point: &Point, supply: &Supply) -> Option<Command> {
    let mut asked = None;
    let met = shown.answers.around.as_ref().map(|(met, _)| met);
    let verdict = limits::verdict_with(point, met, supply);
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
    why::way_back_ui(ui, shown, point, supply);
    if shown.answers.standing == Standing::Now {
        asked = acceptance::question_ui(ui, shown, supply).or(asked);
    }
    let (known, unknown): (Vec<&Use>, Vec<&Use>) =
        point.uses.iter().partition(|one| one.judged.is_ok());
    // What the regulator's small tubes bear is only worth a row when it is near.
    let (quiet, told): (Vec<&Use>, Vec<&Use>) = known.iter().partition(|one| is_quiet(one));
    let row = |ui: &mut Ui, one: &Use, sizes: [f32; 2]| {
        let name = RichText::new(limits::name(one.limit, supply))
            .font(theme::font(sizes[0]))
            .color(shown.theme.ink);
        let row = Row {
            one,
            name,
            size: sizes[1],
        };
        use_ui(ui, shown, row, supply, point)
    };
    let sizes = row_sizes(ui, &told, supply);
    let (always, moving): (Vec<&Use>, Vec<&Use>) =
        told.into_iter().partition(|one| one.limit.is_no_load());
    for (heading, group) in [
        ("Moves with the point, the tightest first", moving),
        ("Always there: nothing connected", always),
    ] {
        if group.is_empty() {
            continue;
        }
        quiet_heading(ui, shown, heading);
        for one in group {
            asked = row(ui, one, sizes).or(asked);
        }
        ui.add_space(4.0);
    }
    if !quiet.is_empty() {
        let sizes = row_sizes(ui, &quiet, supply);
        let title = format!("{} more of the regulator, none near", quiet.len());
        let fold =
            egui::CollapsingHeader::new(RichText::new(title).font(theme::font(theme::SMALL)))
                .id_salt("quiet limits")
                .show_unindented(ui, |ui| {
                    quiet
                        .iter()
                        .fold(None, |asked, one| row(ui, one, sizes).or(asked))
                });
        keep_seen(ui, &fold.header_response);
        asked = fold.body_returned.flatten().or(asked);
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
                let word = term.filter(|_| label.clicked());
                asked = (asked.take()).or(word.map(|term| Command::Define(term.name)));
            });
        }
    }
    asked
}

/// True for a limit of the regulator's small tubes of which there is plenty left.
fn is_quiet(one: &Use) -> bool {
    one.limit.stage() == Stage::Regulator
        && one.limit != Limit::GridFloor
        && one.nearness().is_some_and(|near| near < QUIET)
}

/// Use below which a limit of the regulator is folded away.
const QUIET: f64 = 0.8;

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

/// The sizes of names and numbers in a list: those of the text, or smaller for all rows where a name would be cut.
fn row_sizes(ui: &Ui, uses: &[&Use], supply: &Supply) -> [f32; 2] {
    let width = |text: String, size| {
        let galley = (ui.painter()).layout_no_wrap(text, theme::font(size), egui::Color32::WHITE);
        galley.size().x
    };
    let fits = |[names, numbers]: &[f32; 2]| {
        uses.iter().all(|one| {
            let figures = one.judged.as_ref().map(number::of_allowed);
            let used = width(limits::name(one.limit, supply), *names)
                + width(figures.unwrap_or_default(), *numbers);
            used + 1.5 * theme::GAP <= ui.available_width()
        })
    };
    [[theme::BODY, theme::BODY], [theme::SMALL, theme::BODY]]
        .into_iter()
        .find(fits)
        .unwrap_or([theme::SMALL; 2])
}

/// What a limit's row shows.
struct Row<'a> {
    one: &'a Use,
    name: RichText,
    /// Size of its numbers (points).
    size: f32,
}

/// One limit: its name, its numbers, its bar; hovering says why and what the word means, a click explains it below.
fn use_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    Row { one, name, size }: Row<'_>,
    supply: &Supply,
    point: &Point,
) -> Option<Command> {
    let theme = shown.theme;
    let row = ui
        .scope(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 18.0;
            ui.horizontal(|ui| {
                let numbers = match &one.judged {
                    Ok(judged) => RichText::new(number::of_allowed(judged))
                        .color(theme.use_text(one.limit.nearness(judged.ratio))),
                    Err(_) => RichText::new("not known").color(theme.dim),
                }
                .font(theme::font(size));
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    ui.add(Label::new(numbers).selectable(false));
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                        ui.add(Label::new(name).truncate().selectable(false));
                    });
                });
            });
            use_bar(ui, one.nearness(), ui.available_width());
        })
        .response;
    let term = glossary::of_limit(one.limit);
    let name = format!("About {}", limits::name(one.limit, supply));
    // An id of its own: that of the row belongs to something without focus, which would give it up every frame.
    let row = ui.interact(row.rect, row.id.with("about"), Sense::click());
    row.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name.as_str()));
    keep_in_view(&row);
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
    let known = one.judged.is_ok();
    (row.clicked() && known).then_some(Command::Explain(Some(one.limit)))
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
