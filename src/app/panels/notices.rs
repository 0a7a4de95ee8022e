//! The strip over the lower edge of the plot: notices, and why the picture is an older one. It moves nothing.

use egui::{Align, Color32, Frame, Label, Layout, Margin, RichText, ScrollArea, Ui};

use crate::app::disk::recovery::LeftBehind;
use crate::app::panels::shown::rows::in_short;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme::{self, Theme};
use crate::app::work::action::Action;
use crate::app::work::command::Command;
use crate::explain::{failure, sentence};
use crate::parts::check::Problem;
use crate::parts::escape::{escaped, escaped_lines, is_unseen};

/// How loud a notice is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Tone {
    /// Something to know.
    Remark,
    /// Something to heed.
    Caution,
    /// Something went wrong.
    Fault,
}

/// What can be done about a notice, besides putting it away.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Offer {
    /// Nothing.
    None,
    /// The caution of the first window: once read it does not come again.
    CautionRead,
    /// The tour, once.
    Tour,
    /// Unsaved work of a program that did not end well.
    Restore(Box<LeftBehind>),
}

/// How long a notice stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stands {
    /// Until another supply is opened: it is about this one.
    WithTheSupply,
    /// Until it is put away.
    UntilPutAway,
    /// Until something else was done: it says what just was.
    UntilTheNext,
}

/// One notice.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Notice {
    /// How loud.
    pub(crate) tone: Tone,
    /// What it says.
    pub(crate) text: String,
    /// What can be done.
    pub(crate) offer: Offer,
    /// How long it stands.
    pub(crate) stands: Stands,
}

impl Notice {
    /// Something went wrong with the supply that is open, or with the next one.
    pub(crate) fn fault(text: String) -> Self {
        let is_plain = !text.contains(|letter| letter != '\n' && is_unseen(letter));
        let text = if is_plain { text } else { escaped_lines(&text) };
        Self {
            tone: Tone::Fault,
            text,
            offer: Offer::None,
            stands: Stands::WithTheSupply,
        }
    }

    /// Something is wrong whatever is open: settings, own types.
    pub(crate) fn standing_fault(text: String) -> Self {
        Self {
            stands: Stands::UntilPutAway,
            ..Self::fault(text)
        }
    }

    /// Something to know.
    pub(crate) fn remark(text: String) -> Self {
        Self {
            tone: Tone::Remark,
            ..Self::standing_fault(text)
        }
    }

    /// Something was done.
    pub(crate) fn done(text: String) -> Self {
        Self {
            stands: Stands::UntilTheNext,
            ..Self::remark(text)
        }
    }

    /// The caution of the first window.
    pub(crate) fn caution() -> Self {
        Self {
            tone: Tone::Caution,
            text: crate::explain::cautions::STANDING.join(" "),
            offer: Offer::CautionRead,
            stands: Stands::UntilPutAway,
        }
    }

    /// Work left behind.
    pub(crate) fn left_behind(found: LeftBehind) -> Self {
        let of_file = found.path.as_ref().map_or_else(String::new, |p| {
            format!(" ({})", escaped(&p.to_string_lossy()))
        });
        Self {
            tone: Tone::Remark,
            text: format!(
                "Sagline did not close properly last time: unsaved work on “{}”{of_file} can be restored",
                escaped(&found.work.name)
            ),
            offer: Offer::Restore(Box::new(found)),
            stands: Stands::UntilPutAway,
        }
    }
}

/// True if there is anything to say.
pub(crate) fn has_any(shown: Shown<'_>, notices: &[Notice]) -> bool {
    !notices.is_empty() || shown.answers.failure_now().is_some()
}

/// Draws the strip.
pub(crate) fn notices_ui(
    ui: &mut Ui,
    shown: Shown<'_>,
    notices: &[Notice],
    commands: &mut Commands,
) {
    // Many faults of a file must not hide the plot.
    let room = 0.3 * ui.ctx().content_rect().height();
    ScrollArea::vertical()
        .id_salt("notices")
        .max_height(room)
        .min_scrolled_height(room)
        .auto_shrink([false, true])
        .show(ui, |ui| {
            if let Some(text) = failure_text(shown, notices) {
                strip(ui, shown, Tone::Fault, |ui| {
                    text_ui(ui, &sentence(&text), 0.0);
                });
            }
            each_ui(ui, shown, notices, commands);
        });
}

/// Why the picture is an older one, unless a notice says that already, and with file and line.
fn failure_text(shown: Shown<'_>, notices: &[Notice]) -> Option<String> {
    let failure = shown.answers.failure_now()?;
    let said = |problem: &Problem| {
        let problem = problem.to_string();
        notices.iter().any(|notice| notice.text.ends_with(&problem))
    };
    let problems = shown.answers.problems();
    if !problems.is_empty() && problems.iter().all(said) {
        return None;
    }
    if shown.answers.picture.is_none() {
        return Some(failure::sentence(failure));
    }
    let why = in_short(&problems, &shown.document.work.supply);
    let why = why.unwrap_or_else(|| failure::sentence(failure));
    let others = match problems.len() {
        0 | 1 => String::new(),
        many => format!(" ({} more)", many - 1),
    };
    Some(format!(
        "The picture was not updated, because of {why}{others}"
    ))
}

fn each_ui(ui: &mut Ui, shown: Shown<'_>, notices: &[Notice], commands: &mut Commands) {
    for (place, notice) in notices.iter().enumerate() {
        strip(ui, shown, notice.tone, |ui| {
            let (accept, dismiss) = match &notice.offer {
                Offer::None => (None, "Put away"),
                Offer::CautionRead => (None, "Understood"),
                Offer::Tour => (Some("Start the tour"), "No, thank you"),
                Offer::Restore(_) => (Some("Restore"), "Discard"),
            };
            let offers_new = notice.offer == Offer::Tour;
            let buttons = match accept {
                Some(_) if offers_new => 350.0,
                Some(_) => 210.0,
                None => 110.0,
            };
            text_ui(ui, &sentence(&notice.text), buttons);
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button(dismiss).clicked() {
                    commands.push(Command::Dismiss(place));
                }
                if let Some(accept) = accept
                    && ui.button(accept).clicked()
                {
                    commands.push(Command::Accept(place));
                }
                if offers_new && ui.button("Start a new supply").clicked() {
                    commands.push(Command::Do(Action::NewSupply));
                }
            });
        });
    }
}

/// While a file hangs over the window: what letting it go does.
pub(crate) fn drop_hint_ui(ctx: &egui::Context) {
    let colours = Theme::of(ctx);
    let layer = egui::LayerId::new(egui::Order::Foreground, egui::Id::unique("drop hint"));
    let painter = ctx.layer_painter(layer);
    let room = ctx.content_rect();
    painter.rect_filled(room, 0.0, colours.ground.gamma_multiply(0.8));
    painter.rect_stroke(
        room.shrink(12.0),
        theme::RADIUS,
        egui::Stroke::new(2.0, colours.dropout),
        egui::StrokeKind::Inside,
    );
    painter.text(
        room.center(),
        egui::Align2::CENTER_CENTER,
        "Let go to open this supply",
        theme::strong_font(theme::HEADING),
        colours.ink,
    );
}

fn text_ui(ui: &mut Ui, text: &str, keep_free: f32) {
    let width = (ui.available_width() - keep_free).max(100.0);
    ui.allocate_ui_with_layout(
        egui::vec2(width, 20.0),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_min_width(width);
            ui.add(Label::new(RichText::new(theme::tied(text))).wrap());
        },
    );
}

/// Edge and ground of a notice: nothing of the plot that it stands over may shine through its words.
fn colours(theme: &Theme, tone: Tone) -> (Color32, Color32) {
    let (edge, fill) = match tone {
        Tone::Remark => (theme.dropout, theme.card),
        Tone::Caution => (theme.near, theme.near_fill),
        Tone::Fault => (theme.over, theme.over_fill),
    };
    (edge, theme.panel.blend(fill))
}

fn strip(ui: &mut Ui, shown: Shown<'_>, tone: Tone, add: impl FnOnce(&mut Ui)) {
    let (edge, fill) = colours(&shown.theme, tone);
    Frame::new()
        .fill(fill)
        .stroke(egui::Stroke::new(1.0, edge))
        .corner_radius(theme::RADIUS)
        .inner_margin(Margin::symmetric(12, 6))
        .outer_margin(Margin::symmetric(0, 2))
        .show(ui, |ui| {
            ui.horizontal(add);
        });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_shines_through_a_notice() {
        for theme in [Theme::dark(), Theme::light()] {
            for tone in [Tone::Remark, Tone::Caution, Tone::Fault] {
                let (_, ground) = colours(&theme, tone);
                assert!(ground.is_opaque(), "{tone:?}: {ground:?}");
            }
        }
    }

    #[test]
    fn a_notice_shows_what_would_not_be_seen() {
        let said = Notice::fault("a\u{1b}b\r\n\u{202e}c".to_owned()).text;
        assert_eq!(said, "a\\u{1b}b\\r\n\\u{202e}c");
    }
}
