//! What the dock shows of a point: which of its views is drawn, with which words above it. Window and picture ask here.

use egui::Ui;

use crate::app::answers::below::Below;
use crate::app::plots::cycle::{CycleInput, cycle_plot_ui};
use crate::app::plots::discharge::discharge_plot_ui;
use crate::app::plots::energy::{EnergyInput, energy_plot_ui};
use crate::app::plots::regulation::{RegulationSheet, regulation_plot_ui};
use crate::app::plots::switching::{SwitchingInput, switching_plot_ui};
use crate::explain;
use crate::parts::Supply;
use crate::physics::envelope::Point;
use crate::physics::limit::{Limit, Use};

/// What stands above the view, and the same in fewer words for a narrow window.
pub(crate) fn titles(below: &Below, supply: &Supply) -> Vec<String> {
    match below {
        Below::Cycle(wave) => explain::cycle::titles(wave, supply).to_vec(),
        Below::RunDown(found) => explain::discharge::titles(found).to_vec(),
        Below::Energy(energy) => explain::energy::titles(energy).to_vec(),
        Below::Regulation(holding) => vec![explain::regulation::title(holding)],
        Below::SwitchingOn(switched) => {
            explain::inrush::titles(&switched.transient, supply).to_vec()
        }
    }
}

/// Words of the glossary that the view uses.
pub(crate) fn words(below: &Below) -> &'static [&'static str] {
    match below {
        Below::Cycle(_) => &explain::cycle::WORDS,
        Below::RunDown(_) => &explain::discharge::WORDS,
        Below::Energy(_) => &explain::energy::WORDS,
        Below::Regulation(_) => &["output resistance", "regulation"],
        Below::SwitchingOn(_) => &explain::inrush::WORDS,
    }
}

/// Draws the view; `point` is the one that it is of, as far as that is known.
pub(crate) fn below_ui(ui: &mut Ui, below: &Below, supply: &Supply, point: Option<&Point>) {
    let used = |limit: Limit| point?.uses.iter().find(|one| one.limit == limit);
    match below {
        Below::Cycle(wave) => {
            let dropout = used(Limit::Dropout).and_then(|one| one.judged.as_ref().ok());
            let input = CycleInput {
                wave,
                dropout_volts: dropout.map(|judged| judged.actual),
            };
            cycle_plot_ui(ui, input);
        }
        Below::RunDown(found) => {
            discharge_plot_ui(ui, found, supply);
        }
        Below::Energy(energy) => {
            let input = EnergyInput {
                energy,
                supply,
                dissipation: used(Limit::PlateDissipation).and_then(Use::ratio),
            };
            energy_plot_ui(ui, input);
        }
        Below::Regulation(holding) => {
            regulation_plot_ui(ui, &RegulationSheet::of(holding, supply));
        }
        Below::SwitchingOn(switched) => {
            switching_plot_ui(ui, &SwitchingInput::alone(switched));
        }
    }
}
