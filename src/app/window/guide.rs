//! Help inside the window: the glossary, and the tour that does things on the live plot.

use crate::app::panels::glossary::{Glossary, glossary_ui};
use crate::app::panels::notices::{Notice, Offer};
use crate::app::panels::shortcut_list::{ShortcutList, shortcut_list_ui};
use crate::app::panels::shown::{Commands, Stays};
use crate::app::panels::tour::{Arrival, TourAnswer, pointer_ui, tour_ui};
use crate::app::window::App;
use crate::app::window::state::Then;
use crate::app::work::action::Action;
use crate::app::work::command::{Command, Edit, Ledger};
use crate::app::work::history::Change;
use crate::app::work::view::Scene;
use crate::explain::tour::{OFFER, Step};
use crate::parts::{Farads, Stage};

/// Begins the names of steps that the tour did.
const BY_THE_TOUR: &str = "Tour: ";

impl App {
    /// Opens the glossary at a word, or closes it if it is open and no word is asked for.
    pub(crate) fn open_glossary(&mut self, word: Option<&str>, ctx: &egui::Context) {
        let open = self.state.glossary.take();
        if let (None, Some(open)) = (word, &open) {
            return hand_back(open.back_to, ctx);
        }
        self.state.glossary = Some(Glossary {
            typed: word.unwrap_or_default().to_owned(),
            fresh: true,
            back_to: open.map_or_else(|| ctx.memory(egui::Memory::focused), |open| open.back_to),
        });
    }

    /// Draws the glossary, if it is open.
    pub(crate) fn glossary_ui(&mut self, ui: &mut egui::Ui) {
        if let Some(mut open) = self.state.glossary.take() {
            match glossary_ui(ui, &mut open) {
                Stays::Open => self.state.glossary = Some(open),
                Stays::Closed => hand_back(open.back_to, ui.ctx()),
            }
        }
    }

    /// Opens the list of keys, or closes it.
    pub(crate) fn open_shortcuts(&mut self, ctx: &egui::Context) {
        match self.state.shortcuts.take() {
            Some(open) => hand_back(open.back_to, ctx),
            None => self.state.shortcuts = Some(ShortcutList::opened(ctx)),
        }
    }

    /// Draws the list of keys, if it is open.
    pub(crate) fn shortcuts_ui(&mut self, ctx: &egui::Context) {
        if let Some(mut open) = self.state.shortcuts.take() {
            match shortcut_list_ui(ctx, &mut open) {
                Stays::Open => self.state.shortcuts = Some(open),
                Stays::Closed => hand_back(open.back_to, ctx),
            }
        }
    }

    /// Draws the step of the tour, if there is one; gives what it does.
    pub(crate) fn tour_ui(&mut self, ui: &mut egui::Ui) -> Commands {
        let Some((place, arrival)) = self.state.tour else {
            return Commands::new();
        };
        let shown = self.shown(ui.ctx());
        let answer = tour_ui(ui, shown, place, arrival);
        self.state.tour = match answer {
            None | Some(TourAnswer::Do) => Some((place, Arrival::Earlier)),
            Some(TourAnswer::Go(place)) => Some((place, Arrival::Now)),
            Some(TourAnswer::Leave) => {
                self.leave_tour(ui.ctx());
                None
            }
        };
        if self.state.tour != Some((place, arrival)) {
            ui.ctx().request_repaint();
        }
        let step = Step::ALL
            .get(place)
            .filter(|_| answer == Some(TourAnswer::Do));
        if step.is_some() {
            self.know_all(ui.ctx());
        }
        step.map(|step| self.deed(*step)).unwrap_or_default()
    }

    /// Ends the tour by Escape, unless a field, a list, a menu or the glossary is open: they keep the key for themselves.
    pub(crate) fn leave_tour_by_key(&mut self, ctx: &egui::Context) {
        let taken = ctx.text_edit_focused()
            || egui::Popup::is_any_open(ctx)
            || self.state.glossary.is_some()
            || self.state.shortcuts.is_some();
        let escape = |input: &mut egui::InputState| {
            input.consume_key(egui::Modifiers::NONE, egui::Key::Escape)
        };
        if self.state.tour.is_some() && !taken && ctx.input_mut(escape) {
            self.state.tour = None;
            self.leave_tour(ctx);
        }
    }

    /// Brings back what was open before the tour. Whoever has changed more of the demo than the tour did is asked first.
    fn leave_tour(&mut self, ctx: &egui::Context) {
        let by_the_tour = |label: &str| label.starts_with(BY_THE_TOUR);
        if self.ledger.history().labels().all(by_the_tour) {
            self.go_on(Then::BackFromTour, ctx);
        } else {
            self.unless_unsaved(Then::BackFromTour, ctx);
        }
    }

    /// Points at what the step of the tour is about.
    pub(crate) fn point_out(&self, ctx: &egui::Context) {
        if let Some((place, _)) = self.state.tour {
            pointer_ui(ctx, place);
        }
    }

    /// Offers the tour to someone who has not been offered it.
    pub(crate) fn offer_tour(&mut self) {
        if !self.settings.tour_offered {
            self.notices.push(Notice {
                offer: Offer::Tour,
                ..Notice::remark(OFFER.to_owned())
            });
        }
    }

    /// The tour begins on the demo supply, which is open by now; this was open before.
    pub(crate) fn begin_tour(&mut self, before: Ledger) {
        self.state.before_tour = Some(Box::new(before));
        self.state.tour = Some((0, Arrival::Now));
        self.tour_was_offered();
    }

    /// It does not come by itself again.
    pub(crate) fn tour_was_offered(&mut self) {
        self.notices.retain(|notice| notice.offer != Offer::Tour);
        if !self.settings.tour_offered {
            self.settings.tour_offered = true;
            self.keep_settings();
        }
    }

    /// What a step does, as commands like those of any hand.
    fn deed(&self, step: Step) -> Commands {
        let supply = &self.ledger.document().work.supply;
        let region = self
            .answers
            .picture
            .as_ref()
            .map_or(&[][..], |picture| picture.envelope.region.as_slice());
        // The place along the region where the point stands well, and where the tubes are hard pressed.
        let column = |share: usize| region.get(region.len() * share / 10).copied();
        match step {
            Step::Point => column(4)
                .map(|[amps, low, high]| Command::MovePoint([amps, 0.5 * (low + high)]))
                .into_iter()
                .chain([Command::SelectDummy(None), Command::UnfoldDock(None)])
                .collect(),
            Step::Limit => {
                // Where the envelope has a lower edge, well along it.
                let edge: Vec<_> = region.iter().filter(|c| c[1] > 0.0).copied().collect();
                edge.get(edge.len() * 7 / 10)
                    .copied()
                    .or_else(|| column(8))
                    .map(|[amps, low, _]| Command::MovePoint([amps, 0.5 * low]))
                    .into_iter()
                    .collect()
            }
            Step::Dummy => {
                let place = self
                    .ledger
                    .document()
                    .work
                    .dummies
                    .len()
                    .min(2)
                    .saturating_sub(1);
                // Well inside what supply and resistor both allow.
                let lines = (self.answers.picture.as_ref()).map(|picture| &picture.load_lines);
                let good = lines
                    .and_then(|lines| lines.get(place))
                    .and_then(|line| line.stretches.last());
                let on_it = good.map(|stretch| Command::MovePoint(stretch.at(0.8)));
                on_it
                    .into_iter()
                    .chain([Command::SelectDummy(Some(place))])
                    .collect()
            }
            Step::Mains => {
                let mut mains = supply.mains.clone();
                mains.present = mains.low;
                let label = format!("mains, now {}", mains.present);
                vec![edit(Edit::Mains(mains), &label)]
            }
            Step::Capacitor => {
                let mut filter = supply.filter.clone();
                let mut label = String::new();
                if let Some(first) = filter.stacks_mut().next() {
                    first.unit = Farads(2.0 * first.unit.0);
                    label = format!("first capacitor, {}", first.unit);
                }
                vec![
                    Command::Do(Action::KeepGhost),
                    Command::OpenCard(Some(Stage::Filter)),
                    edit(Edit::Filter(filter), &label),
                ]
            }
            Step::Watts => vec![Command::Look(Scene::Energy)],
        }
    }
}

/// Gives the keyboard back to what had it when a small window was opened.
fn hand_back(back_to: Option<egui::Id>, ctx: &egui::Context) {
    if let Some(id) = back_to {
        ctx.memory_mut(|memory| memory.request_focus(id));
    }
}

fn edit(edit: Edit, label: &str) -> Command {
    let change = Change {
        label: format!("{BY_THE_TOUR}{label}"),
        control: None,
    };
    Command::Edit(Box::new(edit), change)
}
