//! The window.
//!
//! [`App`] owns the `Document` (saved and undone), the `View` (neither), the
//! `Answers` (computed), and the `History`. One frame runs so: the bar and the
//! signal path draw and push commands → the commands are applied → the answers are refreshed → the right panel, the
//! dummies and the plot draw from fresh answers. Panels only ever see `Shown`.

mod asking;
mod dock;
mod drawer;
#[cfg(test)]
mod evening_tests;
mod exporting;
mod frame;
mod guide;
pub(crate) mod launch;
mod new_supply;
mod panes;
mod saving;
mod session;
mod shortcuts;
mod state;
mod tube_drafts;
mod tubes;

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use crate::app::answers::Answers;
use crate::app::answers::calculation::{Calculation, PATIENCE};
use crate::app::answers::jobs::Errands;
use crate::app::disk::dialogs::Purpose;
use crate::app::disk::drawer::KeptDrawer;
use crate::app::disk::recovery::{self, Recovery};
use crate::app::disk::settings::{Folders, Settings};
use crate::app::disk::{files, own_types, presets};
use crate::app::panels::notices::Notice;
use crate::app::panels::shown::{Commands, Shown};
use crate::app::theme::{self, Theme};
use crate::app::window::panes::Way;
use crate::app::window::state::{Then, WindowState};
use crate::app::window::tube_drafts::TubeDrafts;
use crate::app::work::action::Action;
use crate::app::work::command::{Command, Ledger};
use crate::app::work::history::Moment;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::FileError;
use crate::parts::{Drawer, Supply, Work};

/// The window's state.
pub struct App {
    ledger: Ledger,
    answers: Answers,
    calculation: Calculation,
    catalogue: Catalogue,
    settings: Settings,
    drawer_file: KeptDrawer,
    /// What that file holds.
    drawer_on_disk: Drawer,
    folders: Folders,
    notices: Vec<Notice>,
    state: WindowState,
    // Before the copy they are about, which is given up when it is dropped.
    errands: Errands,
    recovery: Recovery,
}

impl App {
    /// A window on this file; without one on what was open last, or on the demo supply.
    ///
    /// # Errors
    /// If the demo supply in the program is at fault.
    pub fn open(file: Option<PathBuf>, folders: Folders) -> Result<Self, FileError> {
        let (catalogue, type_faults) = own_types::catalogue(&folders);
        let (settings, settings_faults) = Settings::load(&folders);
        let (drawer_file, drawer, drawer_faults) = KeptDrawer::load(&folders);
        let demo = presets::demo(&catalogue)?;
        let (tubes, drafts_fault) = TubeDrafts::load(&folders);
        let (left_behind, unreadable) = (folders.recovery.as_deref())
            .map(|folder| recovery::left_behind(folder, &catalogue))
            .unwrap_or_default();
        for folder in folders.config.iter().chain(&folders.types()) {
            files::sweep(folder);
        }
        let mut app = Self {
            ledger: Ledger::of(demo, presets::demo_origin()).with_drawer(drawer.clone()),
            answers: Answers::default(),
            calculation: Calculation::with_patience(PATIENCE),
            errands: Errands::default(),
            recovery: Recovery::in_folder(folders.recovery.as_deref()),
            state: WindowState::with_tubes(tubes),
            notices: Vec::new(),
            catalogue,
            settings,
            drawer_file,
            drawer_on_disk: drawer,
            folders,
        };
        if app.settings.caution_read {
            app.offer_tour();
        } else {
            app.notices.push(Notice::caution());
        }
        app.notices.extend(
            type_faults
                .into_iter()
                .chain(settings_faults)
                .chain(drawer_faults)
                .chain(drafts_fault)
                .chain(unreadable)
                .map(Notice::standing_fault),
        );
        app.notices
            .extend(left_behind.into_iter().map(Notice::left_behind));
        let last = app.settings.recent.first().filter(|p| p.exists()).cloned();
        if let Some(path) = file.or(last) {
            app.open_path(&path);
        }
        Ok(app)
    }

    /// The same window, of which a frame waits at most so long for answers, in place of the usual 20 ms. A longer wait makes its
    /// pictures the same on a machine that is busy, as tests need them; with none every answer comes in a later frame.
    #[must_use]
    pub fn with_patience(mut self, patience: Duration) -> Self {
        self.calculation = Calculation::with_patience(patience);
        self
    }

    /// The same window, which draws so many units where it says how sure it is, in place of the usual number: for tests.
    #[must_use]
    pub fn with_units(mut self, units: u32) -> Self {
        self.calculation.units = units;
        self
    }

    /// Holds back all answers that are begun while it is true, as a very slow supply would: for tests of what is shown meanwhile.
    pub fn hold(&self) -> Arc<AtomicBool> {
        self.calculation.hold()
    }

    /// Fonts and themes of this window, into its context; once, before the first frame.
    pub fn dress(&self, ctx: &egui::Context) {
        theme::install(ctx);
        ctx.set_theme(self.settings.theme.preference());
    }

    /// The supply as it is now.
    pub fn supply(&self) -> &Supply {
        &self.ledger.document().work.supply
    }

    /// The same with what stands beside it.
    pub fn work(&self) -> &Work {
        &self.ledger.document().work
    }

    /// The resistors in the drawer, whatever supply is open.
    pub fn drawer(&self) -> &Drawer {
        self.ledger.drawer()
    }

    /// The point (A, V).
    pub fn point(&self) -> [f64; 2] {
        self.ledger.view().point
    }

    fn shown(&self, ctx: &egui::Context) -> Shown<'_> {
        Shown {
            document: self.ledger.document(),
            view: self.ledger.view(),
            answers: &self.answers,
            moves: &self.calculation.moves,
            networks: &self.calculation.networks,
            drawer: self.ledger.drawer(),
            how_sure: &self.calculation.how_sure,
            at_bench: &self.calculation.at_bench,
            surges: &self.calculation.surges,
            history: self.ledger.history(),
            catalogue: &self.catalogue,
            settings: &self.settings,
            theme: Theme::of(ctx),
        }
    }

    /// Carries the commands out in order and works out what changed; true if there were any.
    fn carry_out(&mut self, commands: Commands, ctx: &egui::Context) -> bool {
        let any = !commands.is_empty();
        let moment = ctx.input(|input| Moment {
            seconds: input.time,
            held: input.pointer.any_down(),
        });
        for command in commands {
            match command {
                Command::OpenPath(path) => self.unless_unsaved(Then::Open(path), ctx),
                Command::OpenPreset(place) => self.unless_unsaved(Then::Preset(place), ctx),
                Command::Dismiss(place) => self.dismiss(place),
                Command::Accept(place) => self.accept(place, ctx),
                Command::Do(Action::NewSupply) => self.open_new_supply(),
                Command::Do(Action::Open) => self.unless_unsaved(Then::Ask, ctx),
                Command::Do(Action::Save) => self.save(None, ctx),
                Command::Do(Action::SaveAs) => self.ask_for(Purpose::Save, None, ctx),
                Command::Do(Action::Quit) => self.unless_unsaved(Then::Quit, ctx),
                Command::Wear(theme) => self.wear(theme, ctx),
                Command::Do(Action::Theme) => self.next_theme(ctx),
                Command::Do(Action::ExportPicture) => self.begin_picture(ctx),
                Command::Do(Action::ExportCurves) => self.ask_for(Purpose::Curves, None, ctx),
                Command::SaveDrawer => self.ask_for(Purpose::Drawer, None, ctx),
                Command::Do(Action::SavePage) => self.ask_for(Purpose::Page, None, ctx),
                Command::Do(Action::CopyTable) => self.copy_table(ctx),
                Command::EditTube(wish) => self.edit_tube(wish),
                Command::Define(word) => self.open_glossary(Some(word), ctx),
                Command::Do(Action::Glossary) => self.open_glossary(None, ctx),
                Command::Do(Action::Tour) => self.unless_unsaved(Then::Tour, ctx),
                Command::Do(Action::Shortcuts) => self.open_shortcuts(ctx),
                Command::Do(Action::NextPane) => self.go_to_pane(Way::On, ctx),
                Command::Do(Action::PreviousPane) => self.go_to_pane(Way::Back, ctx),
                Command::Do(Action::FocusPlot) => self.state.focus_plot = true,
                Command::Do(Action::FoldDock) => {
                    let folds = self.dock_is_unfolded(ctx);
                    self.ledger.apply(Command::UnfoldDock(Some(!folds)), moment);
                }
                other => self.ledger.apply(other, moment),
            }
        }
        self.keep_drawer();
        self.calculation.refresh(
            &mut self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
        any
    }

    /// Waits for the answers to what is on the desk, for something that goes by them and cannot be taken back.
    fn know_all(&mut self, ctx: &egui::Context) {
        self.calculation.finish(
            &mut self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
    }

    /// The same for bands and odds, as far as they are looked at.
    fn know_how_sure(&mut self, ctx: &egui::Context) {
        self.know_all(ctx);
        self.calculation.finish_how_sure(
            &self.answers,
            self.ledger.document(),
            self.ledger.view(),
            ctx,
        );
    }

    /// Keys come first, but what they do comes after the fields had their chance to take over what was typed.
    fn keys(&mut self, ctx: &egui::Context) -> Commands {
        if self.state.asked.is_some() {
            // A question stands in the window: keys belong to it.
            return Commands::new();
        }
        self.leave_tour_by_key(ctx);
        let mut commands: Commands = self.state.postponed.drain(..).map(Command::Do).collect();
        for action in shortcuts::pressed(ctx) {
            if ctx.text_edit_focused() {
                // The field takes its text over when it is left, in this frame; the action follows in the next.
                if let Some(focused) = ctx.memory(egui::Memory::focused) {
                    ctx.memory_mut(|memory| memory.surrender_focus(focused));
                }
                self.state.postponed.push(action);
                ctx.request_repaint();
            } else {
                commands.push(Command::Do(action));
            }
        }
        commands
    }
}
