//! Which of the window's views goes into a picture.

use crate::app::answers::below::Below;
use crate::app::answers::solved::load_lines;
use crate::app::export::picture::{
    Picture, PictureError, PictureOptions, Subject, framed_picture, plane_picture,
};
use crate::app::plots::below;
use crate::app::plots::switching::{SwitchingInput, switching_plot_ui};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::app::work::view::{Scene, View};
use crate::bench::change::{Variant, compare};
use crate::bench::fuses::{AskedSurges, InrushInput, USUAL, inrush, load_currents};
use crate::explain;
use crate::explain::{Finding, Severity, change};
use crate::parts::escape;
use crate::physics::envelope::{Point, margin_map};
use crate::physics::watch::Unwatched;
use egui::{RichText, Ui};

/// Most changes that are listed under a comparison.
const MOST_CHANGES: usize = 6;
/// Height of one of them (points).
const CHANGE_HEIGHT: u32 = 15;
/// What stands above and below plot and list in half a picture (points).
const AROUND_CHANGES: u32 = 150;

/// A view of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PictureView {
    /// The volt–ampere plane.
    #[default]
    Envelope,
    /// The same, shaded by the tightest limit.
    Margins,
    /// The same with earlier variants in outline, and what changed since the first in words.
    Comparison,
    /// One mains cycle at the point.
    Cycle,
    /// After switch-off.
    Discharge,
    /// Where the watts go at the point.
    Energy,
    /// How the output is held at the point.
    Regulation,
    /// The current at switch-on, and what it makes of a fuse.
    SwitchingOn,
}

impl PictureView {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Envelope,
        Self::Margins,
        Self::Comparison,
        Self::Cycle,
        Self::Discharge,
        Self::Energy,
        Self::Regulation,
        Self::SwitchingOn,
    ];

    /// Its name.
    pub fn text(self) -> &'static str {
        match self {
            Self::Envelope => "envelope",
            Self::Margins => "margin map",
            Self::Comparison => "comparison",
            Self::Cycle => "mains cycle",
            Self::Discharge => "after switch-off",
            Self::Energy => "where the watts go",
            Self::Regulation => "regulation",
            Self::SwitchingOn => "switching on",
        }
    }

    /// What the dock shows, where this is one of its views.
    fn scene(self) -> Scene {
        match self {
            Self::Envelope | Self::Margins | Self::Comparison => Scene::Loads,
            Self::Cycle => Scene::Cycle,
            Self::Discharge => Scene::RunDown,
            Self::Energy => Scene::Energy,
            Self::Regulation => Scene::Regulation,
            Self::SwitchingOn => Scene::SwitchingOn,
        }
    }

    /// The one that the window shows.
    pub(crate) fn of(view: &View) -> Self {
        match view.scene() {
            Scene::Cycle => Self::Cycle,
            Scene::RunDown => Self::Discharge,
            Scene::Energy => Self::Energy,
            Scene::Regulation => Self::Regulation,
            Scene::Loads | Scene::Networks | Scene::Odds | Scene::Plan | Scene::Readings
                if view.ghost.is_some() =>
            {
                Self::Comparison
            }
            Scene::Loads | Scene::Plan | Scene::Readings | Scene::Networks | Scene::Odds
                if view.layers.margins =>
            {
                Self::Margins
            }
            Scene::Loads | Scene::Networks | Scene::Odds | Scene::Plan | Scene::Readings => {
                Self::Envelope
            }
            Scene::SwitchingOn => Self::SwitchingOn,
        }
    }
}

/// The picture of a view.
///
/// # Errors
/// [`PictureError`] if the scale is nonsense, or the view needs a point that is missing or cannot be solved.
pub fn view_picture(
    view: PictureView,
    subject: Subject<'_>,
    options: PictureOptions,
) -> Result<Picture, PictureError> {
    let Subject {
        model, envelope, ..
    } = subject;
    let supply = &model.supply;
    let alone = Subject {
        against: &[],
        ..subject
    };
    match view {
        PictureView::Envelope => return plane_picture(alone, None, options, |_| ()),
        PictureView::Margins => {
            let map = margin_map(envelope, model);
            return plane_picture(alone, Some(&map), options, |_| ());
        }
        PictureView::SwitchingOn => return switching_picture(alone, options),
        _ => {}
    }
    let point = subject
        .point
        .ok_or(PictureError::NoPoint { view: view.text() })?;
    if view == PictureView::Comparison {
        return comparison_picture(subject, point, options);
    }
    let at = [point.amps, point.volts];
    let below = match Below::of(view.scene(), model, envelope, at) {
        Some(Ok(below)) => below,
        Some(Err(missing)) => {
            return Err(PictureError::Unsolved {
                view: view.text(),
                why: missing.brief(),
            });
        }
        None => return plane_picture(alone, None, options, |_| ()),
    };
    let titles = below::titles(&below, supply);
    framed_picture(subject, options, |ui| {
        view_title_ui(ui, titles.first().map_or("", String::as_str));
        set_in(ui, |ui| below::below_ui(ui, &below, supply, Some(point)));
    })
}

/// One closing, how all are spread, and the fuse.
fn switching_picture(
    subject: Subject<'_>,
    options: PictureOptions,
) -> Result<Picture, PictureError> {
    let view = PictureView::SwitchingOn.text();
    let unsolved = |why: String| PictureError::Unsolved { view, why };
    let wanted = subject.switching.ok_or(PictureError::NoPoint { view })?;
    let supply = &subject.model.supply;
    let closed = (wanted.closing, wanted.primary.clone());
    let below =
        Below::switched_on(subject.model, &closed).map_err(|missing| unsolved(missing.brief()))?;
    let Below::SwitchingOn(switched) = &below else {
        return plane_picture(subject, None, options, |_| ());
    };
    let input = InrushInput {
        model: subject.model,
        primary: wanted.primary,
        inputs: wanted.inputs,
        currents: &load_currents(subject.envelope),
        asked: AskedSurges {
            samples: USUAL,
            seed: 1,
            before: wanted.before,
        },
    };
    let all = inrush(&input, &Unwatched)
        .map_err(|why| unsolved(explain::inrush::failure(&why, wanted.primary)))?;
    let titles = below::titles(&below, supply);
    framed_picture(subject, options, |ui| {
        view_title_ui(ui, titles.first().map_or("", String::as_str));
        let line = RichText::new(explain::inrush::verdict(&all)).font(theme::font(theme::SMALL));
        set_in(ui, |ui| {
            ui.add(egui::Label::new(line).wrap());
            let input = SwitchingInput {
                switched,
                all: Some(&all),
            };
            switching_plot_ui(ui, &input);
        });
    })
}

/// The outlines of all earlier variants, and below them what changed since the first.
fn comparison_picture(
    subject: Subject<'_>,
    point: &Point,
    options: PictureOptions,
) -> Result<Picture, PictureError> {
    let Subject {
        model, envelope, ..
    } = subject;
    let supply = &model.supply;
    let earlier = subject.against.first().ok_or(PictureError::NoOther)?;
    let now = Variant {
        model: subject.model,
        envelope,
        point,
        dummies: subject.dummies,
        load_lines: &load_lines(envelope, subject.dummies),
    };
    let before = Variant {
        model: earlier.model,
        envelope: earlier.envelope,
        point: earlier.point,
        dummies: earlier.dummies,
        load_lines: &load_lines(earlier.envelope, earlier.dummies),
    };
    let compared = compare(&before, &now);
    // The list leaves the plot half of a small picture.
    let room = (options.height / 2).saturating_sub(AROUND_CHANGES) / CHANGE_HEIGHT;
    let changes = Changes {
        title: change::title(&escape::title(earlier.name), &compared),
        differs: change::what_differs(&compared, before.supply(), supply),
        findings: change::findings(&compared, before.supply(), supply),
        most: usize::try_from(room).map_or(MOST_CHANGES, |rows| rows.clamp(1, MOST_CHANGES)),
    };
    plane_picture(subject, None, options, |ui| {
        egui::Panel::bottom("changes")
            .frame(egui::Frame::NONE.inner_margin(egui::Margin {
                left: 8,
                right: 16,
                top: 8,
                bottom: 0,
            }))
            .show_separator_line(false)
            .show(ui, |ui| {
                changes_ui(ui, &changes);
            });
    })
}

/// What changed since the first of the earlier variants, in words.
struct Changes {
    title: String,
    differs: String,
    findings: Vec<Finding>,
    /// As many of them as have room.
    most: usize,
}

fn changes_ui(ui: &mut Ui, changes: &Changes) {
    let Changes {
        title,
        differs,
        findings,
        most,
    } = changes;
    let theme = Theme::of(ui.ctx());
    ui.spacing_mut().item_spacing.y = 2.0;
    let strong = RichText::new(title)
        .font(theme::strong_font(theme::BODY))
        .color(theme.ink);
    ui.label(strong);
    if !differs.is_empty() {
        let text = theme::tied(differs);
        ui.label(
            RichText::new(text)
                .font(theme::font(theme::BODY))
                .color(theme.middle),
        );
    }
    if findings.is_empty() {
        ui.label(change::NO_CHANGE);
    }
    for finding in findings.iter().take(*most) {
        let ink = match finding.severity {
            Severity::Fine => theme.envelope_text,
            Severity::Remark => theme.ink,
            Severity::Near => theme.near_text,
            Severity::Over => theme.over_text,
        };
        let text = theme::sentence(&finding.sentence);
        ui.label(
            RichText::new(text)
                .font(theme::font(theme::SMALL))
                .color(ink),
        );
    }
    let rest = findings.len().saturating_sub(*most);
    if rest > 0 {
        ui.label(
            RichText::new(change::more(rest))
                .font(theme::font(theme::SMALL))
                .color(theme.middle),
        );
    }
}

/// As far from the edges as the words above and below.
fn set_in(ui: &mut Ui, draw: impl FnOnce(&mut Ui)) {
    egui::Frame::NONE
        .inner_margin(egui::Margin {
            left: 8,
            right: 16,
            top: 0,
            bottom: 0,
        })
        .show(ui, draw);
}

fn view_title_ui(ui: &mut Ui, title: &str) {
    let theme = Theme::of(ui.ctx());
    ui.horizontal_wrapped(|ui| {
        ui.add_space(8.0);
        ui.label(
            RichText::new(title)
                .font(theme::font(theme::BODY))
                .color(theme.ink),
        );
    });
    ui.add_space(theme::GAP);
}
