//! Which of the window's views goes into a picture.

use crate::app::document::Scene;
use crate::app::export::picture::{
    Picture, PictureError, PictureOptions, Subject, envelope_picture, framed_picture,
};
use crate::app::plots::cycle::{CycleInput, cycle_plot_ui};
use crate::app::plots::energy::{EnergyInput, energy_plot_ui};
use crate::app::plots::regulation::{RegulationSheet, regulation_plot_ui};
use crate::app::theme;
use crate::app::theme::Theme;
use crate::bench::holding::holding;
use crate::explain;
use crate::physics::energy;
use crate::physics::envelope::Point;
use crate::physics::limit::{Limit, Use};
use crate::physics::operation::Case;
use crate::physics::steady_state::waveform;
use egui::{RichText, Ui};

/// A view of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PictureView {
    /// The volt–ampere plane.
    #[default]
    Envelope,
    /// One mains cycle at the point.
    Cycle,
    /// Where the watts go at the point.
    Energy,
    /// How the output is held at the point.
    Regulation,
}

impl PictureView {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Envelope, Self::Cycle, Self::Energy, Self::Regulation];

    /// Its name.
    pub fn text(self) -> &'static str {
        match self {
            Self::Envelope => "envelope",
            Self::Cycle => "mains cycle",
            Self::Energy => "flow of watts",
            Self::Regulation => "regulation",
        }
    }

    /// The one that the window shows.
    pub(crate) fn of_scene(scene: Scene) -> Self {
        match scene {
            Scene::Envelope => Self::Envelope,
            Scene::Cycle => Self::Cycle,
            Scene::Energy => Self::Energy,
            Scene::Regulation => Self::Regulation,
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
    if view == PictureView::Envelope {
        return envelope_picture(subject, options);
    }
    let Subject { supply, words, .. } = subject;
    let point = subject
        .point
        .ok_or(PictureError::NoPoint { view: view.text() })?;
    let unsolved = |why: String| PictureError::Unsolved {
        view: view.text(),
        why,
    };
    if view == PictureView::Regulation {
        let holding = holding(supply, subject.envelope, [point.amps, point.volts])
            .map_err(|why| unsolved(explain::regulation::not_known(&why)))?;
        let title = explain::regulation::title(&holding);
        let sheet = RegulationSheet::of(&holding, supply);
        return framed_picture(supply, words, options, |ui| {
            view_title_ui(ui, &title);
            let margin = egui::Margin {
                left: 8,
                right: 16,
                top: 0,
                bottom: 0,
            };
            egui::Frame::NONE.inner_margin(margin).show(ui, |ui| {
                regulation_plot_ui(ui, &sheet);
            });
        });
    }
    let wave =
        waveform(supply, Case::Present, point.amps).map_err(|why| unsolved(why.to_string()))?;
    if view == PictureView::Cycle {
        let title = explain::cycle::title(&wave, supply);
        let dropout = used(point, Limit::Dropout).and_then(|one| one.judged.as_ref().ok());
        let input = CycleInput {
            wave: &wave,
            dropout_volts: dropout.map(|judged| judged.actual),
        };
        return framed_picture(supply, words, options, |ui| {
            view_title_ui(ui, &title);
            cycle_plot_ui(ui, input);
        });
    }
    let energy = energy::of_waveform(supply, &wave, [point.amps, point.volts])
        .map_err(|why| unsolved(why.to_string()))?;
    let title = explain::energy::title(&energy);
    let input = EnergyInput {
        energy: &energy,
        supply,
        dissipation: used(point, Limit::PlateDissipation).and_then(Use::ratio),
    };
    framed_picture(supply, words, options, |ui| {
        view_title_ui(ui, &title);
        energy_plot_ui(ui, input);
    })
}

fn used(point: &Point, limit: Limit) -> Option<&Use> {
    point.uses.iter().find(|one| one.limit == limit)
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
