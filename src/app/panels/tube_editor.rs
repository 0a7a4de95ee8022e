//! A tube from a datasheet: what is known is typed or pasted on the left; the law fitted to it, its misses and how sure it
//! is stand on the right and follow every letter.
//!
//! What is typed is a [`TubeDraft`] and stays as it is, right or wrong, until it is saved or begun afresh.

mod family;
mod fields;
mod ratings;
mod verdict;

use egui::{RichText, ScrollArea, Ui, vec2};

use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::widgets::quantity_field::{name_it, note_typing};
use crate::explain::tube::{self, Namesake};
use crate::parts::catalogue::{Catalogue, is_own};
use crate::parts::own_catalogue::OwnType;
use crate::parts::pass_stage::PlateCharacteristic;
use crate::parts::tube_draft::{DraftCurrents, DraftFault, Purpose, SheetData, TubeDraft};
use crate::physics::device::triode_fit::{self, Family, Fit, FitError, ZeroBias};

/// The editor while it is open.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct TubeEditor {
    /// What is typed.
    pub(crate) draft: TubeDraft,
    /// What it was when the editor opened or last saved: less than that is not worth keeping.
    pub(crate) pristine: TubeDraft,
    /// What came of the last button: it went well, or not.
    pub(crate) said: Option<Result<String, String>>,
    /// The frame in which it was drawn first, `None` before: tells its fields from those of another draft, whose
    /// letters an undo would bring back and whose place in the list it would take over.
    since: Option<u64>,
    /// What had the keyboard when it opened, and gets it back when it closes.
    before: Option<egui::Id>,
    judged: Option<Judged>,
}

/// What a draft comes to.
#[derive(Debug, Clone, PartialEq)]
struct Judged {
    draft: TubeDraft,
    currents: Result<DraftCurrents, Vec<DraftFault>>,
    fit: Option<Result<Fit, FitError>>,
    family: Option<Family>,
    line: Option<ZeroBias>,
}

/// What was asked for in the editor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TubeAnswer {
    /// Put the type into the supply.
    Use,
    /// Write it to the user's own types.
    Save,
    /// An empty draft in place of this one.
    Afresh,
    /// The draft before this one.
    Earlier,
    /// Close the editor; the draft stays.
    Close,
}

/// What the editor has to know besides its draft.
#[derive(Clone, Copy)]
pub(crate) struct Around<'a> {
    /// Known types: the one that was copied is among them.
    pub(crate) catalogue: &'a Catalogue,
    /// Name of an unfinished draft that waits, if there is one.
    pub(crate) earlier: Option<&'a str>,
    /// Why a control tube cannot be put into the supply, if it cannot.
    pub(crate) no_control: Option<&'static str>,
}

impl TubeEditor {
    /// An editor on this draft.
    pub(crate) fn on(draft: TubeDraft) -> Self {
        Self {
            pristine: draft.clone(),
            draft,
            said: None,
            since: None,
            before: None,
            judged: None,
        }
    }

    /// True if something was typed that is not saved.
    pub(crate) fn is_unfinished(&self) -> bool {
        self.draft != self.pristine && !self.draft.is_empty()
    }

    /// The type of the draft; what has not changed keeps the sources of the type that was copied.
    ///
    /// # Errors
    /// Every field that is at fault.
    pub(crate) fn own_type(&self, catalogue: &Catalogue) -> Result<OwnType, Vec<DraftFault>> {
        let (pass, control) = match self.draft.purpose {
            Purpose::Pass => (catalogue.pass_tube(&self.draft.copy_of), None),
            Purpose::Control => (None, catalogue.control_tube(&self.draft.copy_of)),
        };
        self.draft.own_type(pass, control)
    }

    /// Works out what the draft comes to, once for every change of it.
    fn judge(&mut self) -> &Judged {
        let draft = &self.draft;
        let fresh = self.judged.take().filter(|judged| judged.draft == *draft);
        self.judged
            .insert(fresh.unwrap_or_else(|| Judged::of(draft.clone())))
    }
}

impl Judged {
    fn of(draft: TubeDraft) -> Self {
        let currents = draft.read();
        let fit = match &currents {
            Ok(DraftCurrents::Triode {
                characteristic:
                    PlateCharacteristic::Published {
                        points,
                        small_signal,
                    },
                ..
            }) => Some(triode_fit::fit(points, small_signal)),
            _ => None,
        };
        let fitted = fit.as_ref().and_then(|fit| fit.as_ref().ok());
        let family = fitted.map(Fit::family);
        let line = fitted.and_then(|fit| {
            let most = fit.points.iter().map(|p| p.current.0).fold(0.0, f64::max);
            let rated = draft.highest_current().map(|amps| amps.0);
            fit.zero_bias(rated.unwrap_or(most))
        });
        Self {
            draft,
            currents,
            fit,
            family,
            line,
        }
    }
}

/// Height of the row of buttons with what was said (points).
const FOOT: f32 = 80.0;
/// Columns run downwards.
fn down() -> egui::Layout {
    egui::Layout::top_down(egui::Align::Min)
}
/// Frames in which the editor is still being opened.
const OPENING_FRAMES: u64 = 2;
/// Width of the column to type in (points).
const LEFT: f32 = 336.0;

/// Draws the editor; `None` while nothing is asked for.
pub(crate) fn tube_editor_ui(
    ctx: &egui::Context,
    editor: &mut TubeEditor,
    around: Around<'_>,
) -> Option<TubeAnswer> {
    let mut answer = None;
    let mut open = true;
    // Escape closes the list that hangs open first.
    let list_open = egui::Popup::is_any_open(ctx);
    let room = ctx.content_rect();
    let size = vec2(
        (0.9 * room.width()).min(1080.0),
        (room.height() - 132.0).min(860.0),
    );
    // Beside the signal path where there is room: its buttons stay in reach.
    let left = (room.right() - size.x - 40.0).min(room.left() + 370.0);
    let title = match editor.draft.purpose {
        Purpose::Pass => "Pass tube from a datasheet",
        Purpose::Control => "Control tube from a datasheet",
    };
    egui::Window::new(title)
        .id(egui::Id::unique("tube editor"))
        .open(&mut open)
        .collapsible(false)
        .resizable(true)
        .default_pos(egui::pos2(left.max(room.left() + 8.0), room.top() + 64.0))
        .default_size(size)
        .min_size(vec2(640.0, 420.0))
        .show(ctx, |ui| {
            let opens = editor.since.is_none();
            let since = *editor
                .since
                .get_or_insert_with(|| ui.ctx().cumulative_frame_nr());
            let typing_before = editor.draft.clone();
            let above = tab_stop(ui, "above the first field");
            let faults = if editor.draft.is_empty() {
                Vec::new()
            } else {
                editor.own_type(around.catalogue).err().unwrap_or_default()
            };
            let body = ui.available_height() - FOOT;
            let typing = ui
                .horizontal_top(|ui| {
                    let typing = column(ui, ("typed", since), vec2(LEFT, body), |ui| {
                        fields::fields_ui(ui, &mut editor.draft, since, faults)
                    });
                    ui.add_space(theme::GAP);
                    let rest = vec2(ui.available_width(), body);
                    ui.allocate_ui_with_layout(rest, down(), |ui| {
                        ui.set_min_size(rest);
                        results_ui(ui, editor);
                    });
                    typing
                })
                .inner;
            if typing {
                note_typing(ui.ctx());
            }
            if opens {
                // Who opens it by key goes on by key.
                editor.before = ui.memory(egui::Memory::focused);
                ui.memory_mut(|memory| memory.request_focus(fields::name_field(since)));
            }
            // The click that opened it was one beside the field, which may have taken the keyboard away again.
            let is_young = ui.ctx().cumulative_frame_nr() <= since + OPENING_FRAMES;
            if is_young && ui.memory(egui::Memory::focused).is_none() {
                ui.memory_mut(|memory| memory.request_focus(fields::name_field(since)));
            }
            if editor.draft != typing_before {
                editor.said = None;
            }
            let last;
            (answer, last) = foot_ui(ui, editor, around);
            let below = tab_stop(ui, "below the last button");
            // Tab goes round within the window: what lies behind it is a long way round.
            if below.has_focus() {
                ui.memory_mut(|memory| memory.request_focus(fields::name_field(since)));
            } else if let (true, Some(last)) = (above.has_focus(), last) {
                ui.memory_mut(|memory| memory.request_focus(last));
            }
            if ui.input(|input| input.key_pressed(egui::Key::Escape))
                && !ui.ctx().text_edit_focused()
                && !typing
                && !list_open
            {
                answer = Some(TubeAnswer::Close);
            }
        });
    if !open {
        answer = Some(TubeAnswer::Close);
    }
    if let (Some(TubeAnswer::Close), Some(before)) = (answer, editor.before) {
        ctx.memory_mut(|memory| memory.request_focus(before));
    }
    answer
}

/// A column that scrolls by itself.
fn column<R>(
    ui: &mut Ui,
    name: (&str, u64),
    size: egui::Vec2,
    add: impl FnOnce(&mut Ui) -> R,
) -> R {
    ui.allocate_ui_with_layout(size, down(), |ui| {
        ScrollArea::vertical()
            .id_salt(name)
            .auto_shrink([false, false])
            .max_height(size.y)
            .show(ui, |ui| {
                // Room for the bar that scrolls.
                ui.set_width(size.x - 14.0);
                add(ui)
            })
            .inner
    })
    .inner
}

/// The right side: the curves, the judgement, the points one by one.
fn results_ui(ui: &mut Ui, editor: &mut TubeEditor) {
    let empty = editor.draft.is_empty();
    let judged = editor.judge();
    if judged.draft.known != SheetData::Pentode {
        let height = (0.56 * ui.available_height()).max(180.0);
        let plot = vec2(ui.available_width(), height);
        family::family_ui(ui, plot, judged);
        ui.add_space(2.0);
    }
    ScrollArea::vertical()
        .id_salt("judged")
        .auto_shrink([false, false])
        .show(ui, |ui| {
            by_pages(ui);
            if empty {
                ui.weak("The curves and how sure they are appear here as you type");
            } else {
                verdict::verdict_ui(ui, judged);
            }
        });
}

/// Nothing in the results can have the keyboard; what lies below their edge comes up by Page Down.
fn by_pages(ui: &Ui) {
    let page = 0.8 * ui.clip_rect().height();
    for (key, by) in [(egui::Key::PageDown, -page), (egui::Key::PageUp, page)] {
        if ui.input(|input| input.key_pressed(key)) {
            ui.scroll_with_delta(vec2(0.0, by));
        }
    }
}

/// A place without a size where Tab arrives, to be sent on.
fn tab_stop(ui: &Ui, name: &str) -> egui::Response {
    let nothing = egui::Rect::from_min_size(ui.cursor().min, egui::Vec2::ZERO);
    ui.interact(
        nothing,
        egui::Id::unique(name),
        egui::Sense::focusable_noninteractive(),
    )
}

/// The buttons below and what there is to say; gives what was asked for, and the last button that can be pressed.
fn foot_ui(
    ui: &mut Ui,
    editor: &TubeEditor,
    around: Around<'_>,
) -> (Option<TubeAnswer>, Option<egui::Id>) {
    let (mut answer, mut last) = (None, None);
    let own = editor.own_type(around.catalogue);
    let fitted = !matches!(
        editor
            .judged
            .as_ref()
            .and_then(|judged| judged.fit.as_ref()),
        Some(Err(_))
    );
    let whole = own.is_ok() && fitted;
    let no_place = match editor.draft.purpose {
        Purpose::Pass => None,
        Purpose::Control => around.no_control,
    };
    ui.separator();
    ui.horizontal(|ui| {
        for (text, hint, may, means) in [
            (
                "Use in this supply",
                no_place.unwrap_or("Puts the type into the supply that is open; Undo takes it out again."),
                whole && no_place.is_none(),
                TubeAnswer::Use,
            ),
            (
                "Save as my own type",
                "Writes it to your own types, where every supply can pick it; one of the same name is replaced.",
                whole,
                TubeAnswer::Save,
            ),
            (
                "Start afresh",
                "An empty form; what stands here is kept under Earlier.",
                !editor.draft.is_empty(),
                TubeAnswer::Afresh,
            ),
        ] {
            let response = ui.add_enabled(may, egui::Button::new(text));
            last = response.enabled().then_some(response.id).or(last);
            if response.on_hover_text(hint).on_disabled_hover_text(hint).clicked() {
                answer = Some(means);
            }
        }
        if let Some(earlier) = around.earlier {
            let shown = if earlier.trim().is_empty() {
                "unnamed"
            } else {
                earlier
            };
            // However long the name is, the window keeps its width.
            let button = ui.add(egui::Button::new(format!("Earlier ({shown})")).truncate());
            name_it(ui.ctx(), button.id, "Earlier draft", Some(shown));
            last = Some(button.id);
            if button
                .on_hover_text("Brings back the unfinished type from before; this one is kept in its place.")
                .clicked()
            {
                answer = Some(TubeAnswer::Earlier);
            }
        }
    });
    let colours = Theme::of(ui.ctx());
    let (text, ink) = match &editor.said {
        Some(Ok(said)) => (said.clone(), colours.envelope_text),
        Some(Err(wrong)) => (wrong.clone(), colours.over_text),
        // What still keeps the buttons grey.
        None => match own.as_ref().err().and_then(|faults| worst(faults)) {
            Some(fault) if !editor.draft.is_empty() => (tube::fault(fault), colours.near_text),
            _ if !fitted => (tube::NO_LAW.to_owned(), colours.near_text),
            _ => (hint(editor, around.catalogue), colours.middle),
        },
    };
    ui.add(
        egui::Label::new(
            RichText::new(text)
                .font(theme::font(theme::SMALL))
                .color(ink),
        )
        .truncate(),
    );
    (answer, last)
}

/// The first mistake; where there is none, the first field that is still empty.
fn worst(faults: &[DraftFault]) -> Option<&DraftFault> {
    let mistake = faults.iter().find(|fault| !fault.is_empty_field());
    mistake.or(faults.first())
}

/// What the name does to the list of types.
fn hint(editor: &TubeEditor, catalogue: &Catalogue) -> String {
    let name = editor.draft.name.trim();
    let built_in = Catalogue::built_in_ones();
    // Is there one of this name, and is it the user's own?
    let own = match editor.draft.purpose {
        Purpose::Pass => catalogue
            .pass_tube(name)
            .map(|tube| is_own(tube, built_in.pass_tube(name))),
        Purpose::Control => catalogue
            .control_tube(name)
            .map(|tube| is_own(tube, built_in.control_tube(name))),
    };
    match own {
        Some(true) => tube::would_replace(name, Namesake::Own),
        Some(false) => tube::would_replace(name, Namesake::BuiltIn),
        None => "What is typed here stays, even if the window is closed".to_owned(),
    }
}
