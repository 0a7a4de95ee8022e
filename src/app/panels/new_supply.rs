//! The page for a new supply: nine questions on one page, each with what "don't know" costs beside it.

use egui::{ComboBox, Id, Label, Modal, Response, RichText, ScrollArea, TextEdit, Ui, vec2};

use crate::app::theme::{self, Theme};
use crate::app::widgets::hanging_list::HangingList;
use crate::app::widgets::quantity_field::{keep_in_view, name_it, wrong_line};
use crate::explain::new_supply::{LEAD, UNKNOWN, cost, empty, fault, how, label, title};
use crate::parts::Work;
use crate::parts::catalogue::Catalogue;
use crate::parts::new_supply::draft::{CONNECTIONS, Field, FieldFault, NewSupplyDraft, Question};

/// The page with what was typed: it stays when the page is closed.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct NewSupplyPage {
    /// What is typed.
    pub(crate) draft: NewSupplyDraft,
    /// True from its opening until its first field has the keyboard.
    pub(crate) fresh: bool,
}

/// What was pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NewSupplyAnswer {
    /// Make the supply.
    Make,
    /// Empty all fields.
    Clear,
    /// Close the page.
    Close,
}

/// Width of the page and of its columns (points).
const WIDTH: f32 = 960.0;
const TITLE: f32 = 158.0;
const FIELDS: f32 = 392.0;
const GAP: f32 = 14.0;
/// What stands above and below the questions, with the frame (points).
const AROUND: f32 = 172.0;

/// Draws the page; `None` while nothing is pressed.
pub(crate) fn new_supply_ui(
    ctx: &egui::Context,
    page: &mut NewSupplyPage,
    catalogue: &Catalogue,
) -> Option<NewSupplyAnswer> {
    let mut answer = None;
    let room = ctx.content_rect();
    let modal = Modal::new(Id::unique("new supply"))
        .frame(theme::question(ctx))
        .show(ctx, |ui| {
            ui.set_width(WIDTH.min(room.width() - 48.0));
            ui.label(RichText::new("New supply").font(theme::strong_font(theme::HEADING)));
            ui.add(Label::new(quiet(ui, LEAD)).wrap());
            ui.add_space(4.0);
            let made = page.draft.work(catalogue);
            let faults = made.as_ref().err().map_or(&[][..], Vec::as_slice);
            let mut walk = Walk::default();
            ScrollArea::vertical()
                .id_salt("new supply")
                .max_height((room.height() - AROUND).max(120.0))
                .auto_shrink([false, true])
                .show(ui, |ui| {
                    for (place, question) in Question::ALL.into_iter().enumerate() {
                        ui.separator();
                        let number = format!("{}  {}", place + 1, title(question));
                        question_ui(
                            ui,
                            &mut page.draft,
                            catalogue,
                            (question, &number, faults),
                            &mut walk,
                        );
                    }
                });
            ui.separator();
            answer = foot_ui(ui, &page.draft, &made, &walk);
            if page.fresh
                && let Some((_, first)) = walk.fields.first()
            {
                page.fresh = !ui.memory(|memory| memory.has_focus(*first));
                ui.memory_mut(|memory| memory.request_focus(*first));
            }
        });
    if modal.should_close() && answer.is_none() {
        answer = Some(NewSupplyAnswer::Close);
    }
    answer
}

/// The fields in order, and which of them was left by Enter: the next one gets the keyboard.
#[derive(Debug, Default)]
struct Walk {
    fields: Vec<(Field, Id)>,
    entered: Option<usize>,
}

/// A question with its number, and all faults of the page.
type Asked<'a> = (Question, &'a str, &'a [FieldFault]);

fn question_ui(
    ui: &mut Ui,
    draft: &mut NewSupplyDraft,
    catalogue: &Catalogue,
    (question, number, faults): Asked<'_>,
    walk: &mut Walk,
) {
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = GAP;
        column(ui, TITLE, |ui| {
            ui.add_space(13.0);
            ui.add(Label::new(RichText::new(number).font(theme::strong_font(theme::BODY))).wrap());
        });
        column(ui, FIELDS, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.horizontal_top(|ui| {
                ui.spacing_mut().item_spacing.x = theme::GAP;
                for field in question.fields() {
                    field_ui(ui, draft, catalogue, (question, *field), walk);
                }
            });
            let colour = Theme::of(ui.ctx()).over_text;
            for wrong in faults {
                if wrong
                    .field
                    .is_some_and(|field| question.fields().contains(&field))
                {
                    wrong_line(ui, &fault(wrong), colour);
                }
            }
        });
        let rest = ui.available_width();
        column(ui, rest, |ui| {
            let open = (question.fields().iter()).any(|field| draft.text(*field).trim().is_empty());
            let theme = Theme::of(ui.ctx());
            let ink = if open { theme.middle } else { theme.dim };
            let text = theme::tied(&format!("Don't know: {}", cost(question)));
            let text = RichText::new(text)
                .font(theme::font(theme::SMALL))
                .color(ink);
            ui.add_space(2.0);
            ui.add(Label::new(text).wrap());
        });
    });
}

/// A column of this width, as high as what stands in it.
fn column(ui: &mut Ui, width: f32, add: impl FnOnce(&mut Ui)) {
    let down = egui::Layout::top_down(egui::Align::Min);
    ui.allocate_ui_with_layout(vec2(width, 0.0), down, |ui| {
        ui.set_width(width);
        add(ui);
    });
}

/// Width of a field (points).
fn width(field: Field) -> f32 {
    match field {
        Field::Mains | Field::Frequency | Field::PassTubes => 110.0,
        Field::Winding | Field::PrimaryOhms | Field::WindingOhms => 124.0,
        Field::Rectifier | Field::PassTube | Field::ControlTube => 190.0,
        Field::Then => 220.0,
        _ => 150.0,
    }
}

fn field_ui(
    ui: &mut Ui,
    draft: &mut NewSupplyDraft,
    catalogue: &Catalogue,
    (question, field): (Question, Field),
    walk: &mut Walk,
) {
    let Some(text) = draft.text_mut(field) else {
        return;
    };
    let name = format!("{}: {}", title(question), label(field));
    column(ui, width(field), |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.label(quiet(ui, label(field)));
        let options = options(field, catalogue);
        let response = if options.is_empty() {
            text_ui(ui, field, text)
        } else {
            choice_ui(ui, &name, text, &options)
        };
        let value = (!options.is_empty()).then_some(if text.is_empty() {
            UNKNOWN
        } else {
            text.as_str()
        });
        name_it(ui.ctx(), response.id, &name, value);
        keep_in_view(&response);
        if response.lost_focus()
            && options.is_empty()
            && ui.input(|input| input.key_pressed(egui::Key::Enter))
        {
            walk.entered = Some(walk.fields.len());
        }
        walk.fields.push((field, response.id));
        response.on_hover_text(how(field));
    });
}

fn text_ui(ui: &mut Ui, field: Field, text: &mut String) -> Response {
    let hint = RichText::new(empty(field))
        .font(theme::font(theme::SMALL))
        .color(Theme::of(ui.ctx()).dim);
    let edit = TextEdit::singleline(text)
        .id(Id::unique(("new supply", field as usize)))
        .hint_text(hint)
        .desired_width(f32::INFINITY)
        .align(egui::Align2::LEFT_CENTER)
        .margin(egui::Margin::symmetric(6, 3));
    ui.add(edit)
}

/// What can be chosen in a field, with a few words about each; empty for one in which something is typed.
fn options(field: Field, catalogue: &Catalogue) -> Vec<(&str, &str)> {
    match field {
        Field::Frequency => vec![("50 Hz", ""), ("60 Hz", "")],
        Field::Connection => CONNECTIONS.iter().map(|(_, name)| (*name, "")).collect(),
        Field::Rectifier => about(catalogue.rectifiers.iter().map(|t| (&t.name, &t.about))),
        Field::PassTube => about(catalogue.pass_tubes.iter().map(|t| (&t.name, &t.about))),
        Field::ControlTube => about(catalogue.control_tubes.iter().map(|t| (&t.name, &t.about))),
        _ => Vec::new(),
    }
}

fn about<'c>(types: impl Iterator<Item = (&'c String, &'c String)>) -> Vec<(&'c str, &'c str)> {
    types
        .map(|(name, about)| (name.as_str(), about.as_str()))
        .collect()
}

fn choice_ui(ui: &mut Ui, name: &str, text: &mut String, options: &[(&str, &str)]) -> Response {
    let theme = Theme::of(ui.ctx());
    let shown = if text.is_empty() {
        quiet(ui, UNKNOWN)
    } else {
        RichText::new(text.as_str()).font(theme::strong_font(theme::BODY))
    };
    let mut picked = None;
    let mut list = HangingList::of(ui, name);
    let combo = ComboBox::from_id_salt(name)
        .width(ui.available_width())
        .truncate()
        .selected_text(shown)
        .show_ui(ui, |ui| {
            ui.set_max_width(LIST);
            theme::choices(ui);
            for (option, about) in [("", "")].iter().chain(options) {
                let mut job = egui::text::LayoutJob::default();
                let said = if option.is_empty() { UNKNOWN } else { option };
                let ink = egui::TextFormat::simple(theme::strong_font(theme::BODY), theme.ink);
                job.append(said, 0.0, ink);
                let small = egui::TextFormat::simple(theme::font(theme::SMALL), theme.middle);
                job.append(about, theme::GAP, small);
                let entry = ui.selectable_label(option == text, job);
                name_it(ui.ctx(), entry.id, said, None);
                if option == text {
                    list.entry_in_use(&entry);
                } else {
                    list.entry(&entry);
                }
                if entry.clicked() {
                    picked = Some((*option).to_owned());
                    ui.close();
                }
            }
        });
    list.end(&combo.response);
    if let Some(picked) = picked {
        *text = picked;
    }
    combo.response
}

/// Width of a list (points).
const LIST: f32 = 420.0;

fn foot_ui(
    ui: &mut Ui,
    draft: &NewSupplyDraft,
    made: &Result<Work, Vec<FieldFault>>,
    walk: &Walk,
) -> Option<NewSupplyAnswer> {
    let mut answer = None;
    ui.horizontal(|ui| {
        for (text, hint, may, means) in [
            (
                "Make the supply",
                "Puts it on the desk, unsaved; what is guessed is marked in the cards.",
                made.is_ok(),
                NewSupplyAnswer::Make,
            ),
            (
                "Clear the page",
                "Empties all fields",
                !draft.is_empty(),
                NewSupplyAnswer::Clear,
            ),
            (
                "Close",
                "What is typed stays for the next time",
                true,
                NewSupplyAnswer::Close,
            ),
        ] {
            let button = ui.add_enabled(may, egui::Button::new(text));
            let button = button.on_hover_text(hint);
            if means == NewSupplyAnswer::Make
                && let Some(entered) = walk.entered
            {
                // Enter leads on to the next field, and from the last one to the button.
                let next = walk
                    .fields
                    .get(entered + 1)
                    .map_or(button.id, |(_, id)| *id);
                ui.memory_mut(|memory| memory.request_focus(next));
            }
            if button.clicked() {
                answer = Some(means);
            }
        }
        let theme = Theme::of(ui.ctx());
        match made {
            Ok(work) => {
                let text = format!("{} values are guessed", work.guessed.len());
                ui.label(quiet(ui, &text));
            }
            Err(faults) => {
                // Those of a field stand beside it.
                let elsewhere = faults.iter().find(|wrong| wrong.field.is_none());
                let text = elsewhere.map_or_else(|| "See the red lines above".to_owned(), fault);
                wrong_line(ui, &text, theme.over_text);
            }
        }
    });
    answer
}

fn quiet(ui: &Ui, text: &str) -> RichText {
    RichText::new(text)
        .font(theme::font(theme::SMALL))
        .color(Theme::of(ui.ctx()).middle)
}
