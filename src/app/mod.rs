//! The window and the terminal commands: the only layer with a toolkit, a disk, threads and a clock.
//!
//! [`App`] owns the `Document` (saved and undone), the `View` (neither), the
//! `Answers` (computed), and the `History`. One frame runs so: the bar and the
//! signal path draw and push commands → the commands are applied → the answers are refreshed → the right panel, the
//! dummies and the plot draw from fresh answers. Panels only ever see `Shown`.

mod answers;
mod asking;
mod command;
mod dialogs;
mod document;
pub mod export;
mod exporting;
mod files;
mod ghosts;
mod guide;
mod history;
mod launch;
mod notices;
mod own_types;
mod panels;
pub(crate) mod plots;
mod presets;
mod recovery;
mod session;
pub mod settings;
mod shortcuts;
mod shown;
mod solved;
pub mod terminal;
pub(crate) mod theme;
mod tubes;
mod widgets;
mod worker;

pub use launch::{WindowError, run_window};

use std::path::PathBuf;

use egui::{CentralPanel, Frame, Margin, Panel, Ui};

use crate::app::answers::Answers;
use crate::app::command::{Command, Ledger, apply};
use crate::app::dialogs::Purpose;
use crate::app::document::{Document, Scene, Trying, View};
use crate::app::ghosts::Variants;
use crate::app::history::{History, Moment};
use crate::app::notices::Notice;
use crate::app::panels::{
    changes, ghosts as ghosts_panel, loads, notices as notices_panel, pointed, signal_path,
    this_point, top_bar, views,
};
use crate::app::plots::cycle::{CycleInput, cycle_plot_ui};
use crate::app::plots::energy::{EnergyInput, energy_plot_ui};
use crate::app::plots::envelope::{Age, Ghost, PlotSheet, PlotState, Stay, envelope_plot_ui};
use crate::app::plots::regulation::{RegulationSheet, regulation_plot_ui};
use crate::app::recovery::Recovery;
use crate::app::session::{Desk, Then};
use crate::app::settings::{Folders, Settings};
use crate::app::shortcuts::Action;
use crate::app::shown::{Commands, Shown};
use crate::app::theme::Theme;
use crate::app::tubes::TubeDesk;
use crate::explain;
use crate::explain::change::IN_BETWEEN;
use crate::parts::catalogue::Catalogue;
use crate::parts::file::FileError;
use crate::parts::{Supply, Work};
use crate::physics::limit::{Limit, Use};

/// Why a pass is thrown away.
const CHANGED: &str = "the document changed";

/// The window's state.
pub struct App {
    document: Document,
    view: View,
    answers: Answers,
    history: History,
    catalogue: Catalogue,
    settings: Settings,
    folders: Folders,
    notices: Vec<Notice>,
    desk: Desk,
    recovery: Recovery,
}

impl App {
    /// A window on this file; without one on what was open last, or on the demo supply.
    ///
    /// # Errors
    /// If the demo supply in the program is at fault.
    pub fn open(file: Option<PathBuf>, folders: Folders) -> Result<Self, FileError> {
        let (catalogue, type_faults) = own_types::catalogue(&folders);
        let (settings, settings_fault) = Settings::load(&folders);
        let demo = presets::demo(&catalogue)?;
        let (tubes, drafts_fault) = TubeDesk::load(&folders);
        let left_behind = folders
            .recovery
            .as_deref()
            .and_then(|folder| recovery::left_behind(folder, &catalogue));
        let mut app = Self {
            view: View::first(&demo),
            document: Document::opened(demo, None, 0),
            answers: Answers::default(),
            history: History::default(),
            recovery: Recovery::in_folder(folders.recovery.as_deref()),
            desk: Desk::with_tubes(tubes),
            notices: Vec::new(),
            catalogue,
            settings,
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
                .chain(settings_fault)
                .chain(drafts_fault)
                .map(Notice::standing_fault),
        );
        app.notices.extend(left_behind.map(Notice::left_behind));
        let last = app.settings.recent.first().filter(|p| p.exists()).cloned();
        if let Some(path) = file.or(last) {
            app.open_path(&path);
        }
        Ok(app)
    }

    /// Fonts and themes of this window, into its context; once, before the first frame.
    pub fn dress(&self, ctx: &egui::Context) {
        theme::install(ctx);
        ctx.set_theme(self.settings.theme.preference());
    }

    /// The supply as it is now.
    pub fn supply(&self) -> &Supply {
        &self.document.work.supply
    }

    /// The same with what stands beside it.
    pub fn work(&self) -> &Work {
        &self.document.work
    }

    /// The point (A, V).
    pub fn point(&self) -> [f64; 2] {
        self.view.point
    }

    fn shown(&self, ctx: &egui::Context) -> Shown<'_> {
        Shown {
            document: &self.document,
            view: &self.view,
            answers: &self.answers,
            history: &self.history,
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
                Command::Do(Action::Open) => self.unless_unsaved(Then::Ask, ctx),
                Command::Do(Action::Save) => self.save(None, ctx),
                Command::Do(Action::SaveAs) => self.ask_for(Purpose::Save, None, ctx),
                Command::Do(Action::Quit) => self.unless_unsaved(Then::Quit, ctx),
                Command::Do(Action::Theme) => self.next_theme(ctx),
                Command::Do(Action::ExportPicture) => self.begin_picture(ctx),
                Command::Do(Action::ExportCurves) => self.ask_for(Purpose::Curves, None, ctx),
                Command::Do(Action::SavePage) => self.ask_for(Purpose::Page, None, ctx),
                Command::Do(Action::CopyTable) => self.copy_table(ctx),
                Command::EditTube(wish) => self.edit_tube(wish),
                Command::Define(word) => self.open_glossary(Some(word), ctx),
                Command::Do(Action::Glossary) => self.open_glossary(None, ctx),
                Command::Do(Action::Tour) => self.unless_unsaved(Then::Tour, ctx),
                Command::Do(Action::FocusPlot) => self.desk.focus_plot = true,
                other => {
                    let mut ledger = Ledger {
                        document: &mut self.document,
                        view: &mut self.view,
                        history: &mut self.history,
                    };
                    apply(other, &mut ledger, moment);
                }
            }
        }
        self.answers.refresh(&self.document, &self.view);
        any
    }

    /// Keys come first, but what they do comes after the fields had their chance to take over what was typed.
    fn keys(&mut self, ctx: &egui::Context) -> Commands {
        if self.desk.asked.is_some() {
            // A question stands in the window: keys belong to it.
            return Commands::new();
        }
        self.leave_tour_by_key(ctx);
        let mut commands: Commands = self.desk.postponed.drain(..).map(Command::Do).collect();
        for action in shortcuts::pressed(ctx) {
            if ctx.text_edit_focused() {
                // The field takes its text over when it is left, in this frame; the action follows in the next.
                if let Some(focused) = ctx.memory(egui::Memory::focused) {
                    ctx.memory_mut(|memory| memory.surrender_focus(focused));
                }
                self.desk.postponed.push(action);
                ctx.request_repaint();
            } else {
                commands.push(Command::Do(action));
            }
        }
        commands
    }
}

impl eframe::App for App {
    fn logic(&mut self, ctx: &egui::Context, _frame: &mut eframe::Frame) {
        self.collect_dialog(ctx);
        self.take_dropped(ctx);
        self.guard_close(ctx);
        self.keep_recovery(ctx);
        self.keep_drafts(ctx);
        let title = match self.document.work.name.trim() {
            "" => "Sagline".to_owned(),
            name => format!("{name} – Sagline"),
        };
        if self.desk.title != title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.desk.title = title;
        }
    }

    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let colours = Theme::of(&ctx);
        let keys = self.keys(&ctx);
        let mut changed = self.carry_out(keys, &ctx);

        let side = |margin: Margin| Frame::new().fill(colours.panel).inner_margin(margin);
        let mut commands = Commands::new();
        let shown = self.shown(&ctx);
        Panel::top("bar")
            .exact_size(top_bar::HEIGHT)
            .frame(side(Margin::symmetric(theme::MARGIN, 0)))
            .show(ui, |ui| top_bar::top_bar_ui(ui, shown, &mut commands));
        self.notices_ui(ui, &mut commands);
        commands.extend(self.tour_ui(ui));
        let shown = self.shown(&ctx);
        let share = 0.215 * ui.available_width();
        let wide = |least, most| share.clamp(least, most);
        fixed(Panel::left("signal path"), wide(282.0, 352.0))
            .frame(side(Margin {
                left: theme::MARGIN,
                right: 8,
                top: 12,
                bottom: 0,
            }))
            .show(ui, |ui| {
                signal_path::signal_path_ui(ui, shown, &mut commands);
            });
        changed |= self.carry_out(commands, &ctx);
        let mut commands = Commands::new();
        let shown = self.shown(&ctx);
        fixed(Panel::right("this point"), wide(254.0, 340.0))
            .frame(side(Margin {
                left: theme::MARGIN,
                right: 12,
                top: 12,
                bottom: 8,
            }))
            .show(ui, |ui| {
                if ghosts::selected(shown.view).is_some() {
                    changes::changes_ui(ui, shown, &mut commands);
                } else {
                    this_point::this_point_ui(ui, shown, &mut commands);
                }
            });
        let below = Frame::new()
            .fill(colours.ground)
            .inner_margin(Margin::symmetric(theme::MARGIN, 10));
        if shown.view.scene == Scene::Envelope {
            Panel::bottom("loads").frame(below).show(ui, |ui| {
                views::switch_ui(ui, shown, &mut commands);
                loads::loads_ui(ui, shown, &mut commands);
            });
        } else {
            let height = (0.48 * ui.available_height()).clamp(240.0, 520.0);
            fixed(Panel::bottom("view"), height)
                .frame(below)
                .show(ui, |ui| view_ui(ui, shown, &mut commands));
        }
        changed |= self.carry_out(commands, &ctx);
        if changed {
            ctx.request_discard(CHANGED);
        }

        let mut commands = Commands::new();
        CentralPanel::default()
            .frame(Frame::new().fill(colours.ground).inner_margin(Margin {
                left: 8,
                right: 8,
                top: 2,
                bottom: 8,
            }))
            .show(ui, |ui| {
                ghosts_panel::ghosts_ui(ui, self.shown(&ctx), &mut commands);
                self.plot_ui(ui, &mut commands);
            });
        changed |= self.carry_out(commands, &ctx);

        // A point that moves is asked about when it stands still.
        if self.view.why_open && !ctx.input(|input| input.pointer.any_down()) {
            self.answers.seek_moves(&self.catalogue, &ctx);
        }
        if self.answers.consider_one(&self.view) {
            // One entry of an open list a frame: the window stays quick while the list fills.
            ctx.request_repaint();
        }
        if ctx.input(|input| !input.raw.hovered_files.is_empty()) {
            notices_panel::drop_hint_ui(&ctx);
        }
        self.glossary_ui(&ctx);
        let tubes = self.tubes_ui(&ctx);
        changed |= self.carry_out(tubes, &ctx);
        self.questions(&ctx);
        if !ctx.input(|input| input.pointer.any_down()) {
            self.history.let_go();
        }
        if changed {
            // Panels drawn before a command show what was before it: draw once more, in this same frame.
            ctx.request_discard(CHANGED);
            if !ctx.will_discard() {
                ctx.request_repaint();
            }
        }
    }

    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.keep_drafts_at_once();
        if self.desk.leaving {
            // There is nobody left to tell if the copy cannot be removed; it is offered at the next start.
            let _stays = self.recovery.clear();
        }
    }

    fn persist_egui_memory(&self) -> bool {
        false
    }
}

impl App {
    fn plot_ui(&mut self, ui: &mut Ui, commands: &mut Commands) {
        let Some(picture) = &self.answers.picture else {
            ui.centered_and_justified(|ui| ui.weak("No picture yet: see above what is missing"));
            return;
        };
        let point = picture.point.as_ref();
        let sheet = PlotSheet::of(&picture.supply, &picture.envelope, point, &picture.dummies);
        let loads = sheet.loads(&picture.load_lines);
        let outlines = outlines(&self.answers.variants, &self.view);
        let state = PlotState {
            ghosts: &outlines,
            selected_load: self.view.dummy.filter(|d| *d < loads.len()),
            age: if self.answers.is_older() {
                Age::Older
            } else {
                Age::Fresh
            },
            map: picture.map.as_ref().filter(|_| self.view.map),
            ..PlotState::default()
        };
        let input = sheet.input(&picture.envelope, point, &loads, state);
        let room = ui.max_rect();
        let answer = envelope_plot_ui(ui, &input, &mut self.desk.plot);
        if let Some(map) = views::margin_toggle_ui(ui, room, &self.view) {
            commands.push(Command::ShadeMargins(map));
        }
        if std::mem::take(&mut self.desk.focus_plot) {
            answer.response.request_focus();
        }
        let dropping = ui.input(|input| !input.raw.hovered_files.is_empty());
        let rests_at = answer
            .rests_at
            .filter(|_| !self.answers.is_older() && !dropping);
        if rests_at != self.view.pointed {
            commands.push(Command::PointAt(rests_at));
        } else if let (Some(_), Some(pointed)) = (rests_at, &self.answers.pointed) {
            pointed::pointed_ui(&answer.response, pointed, &picture.supply);
        }
        if let Some(load) = answer.clicked_load {
            commands.push(Command::SelectDummy(Some(load)));
        }
        if let Some(moved) = answer.moved {
            commands.push(Command::MovePoint(moved.to));
            if moved.along.is_some() {
                commands.push(Command::SelectDummy(moved.along));
            }
        }
    }
}

impl App {
    fn notices_ui(&mut self, ui: &mut Ui, commands: &mut Commands) {
        let ctx = ui.ctx().clone();
        let shown = self.shown(&ctx);
        let mut height = 0.0;
        if notices_panel::has_any(shown, &self.notices) {
            let strip = Panel::top("notices")
                .frame(
                    Frame::new()
                        .fill(shown.theme.panel)
                        .inner_margin(Margin::symmetric(theme::MARGIN, 4)),
                )
                .show(ui, |ui| {
                    notices_panel::notices_ui(ui, shown, &self.notices, commands);
                });
            height = strip.response.rect.height();
        }
        if height.to_bits() != self.desk.strip_height.to_bits() {
            // A panel is cut to the height it had in the frame before: one more shows it whole.
            self.desk.strip_height = height;
            ctx.request_discard("the notices have another height");
            ctx.request_repaint();
        }
    }
}

/// Everything that stands on the plot in outline.
fn outlines<'a>(variants: &'a Variants, view: &'a View) -> Vec<Ghost<'a>> {
    let looked_at = view.trying.as_ref().and_then(Trying::candidate);
    let between = variants.between.as_ref().map(|between| Ghost {
        envelope: &between.envelope,
        label: IN_BETWEEN,
        stay: Stay::Passing,
    });
    let outline = |supply: &Supply, label: &'a str, stay: Stay| {
        let picture = variants.picture(supply)?;
        Some(Ghost {
            envelope: &picture.envelope,
            label,
            stay,
        })
    };
    (view.ghosts.iter())
        .filter_map(|kept| outline(&kept.work.supply, &kept.name, Stay::Kept))
        .chain(looked_at.and_then(|one| outline(&one.supply, &one.name, Stay::Passing)))
        .chain(between)
        .collect()
}

/// The view that was chosen in place of the dummy loads.
fn view_ui(ui: &mut Ui, shown: Shown<'_>, commands: &mut Commands) {
    views::switch_ui(ui, shown, commands);
    let Some(picture) = &shown.answers.picture else {
        return;
    };
    let supply = &picture.supply;
    if shown.view.scene == Scene::Regulation {
        match &shown.answers.holding {
            Some(Ok(holding)) => {
                views::title_ui(
                    ui,
                    shown,
                    &[explain::regulation::title(holding)],
                    &["output resistance", "regulation"],
                );
                regulation_plot_ui(ui, &RegulationSheet::of(holding, supply));
            }
            Some(Err(why)) => {
                views::not_known_ui(ui, shown, &explain::regulation::not_known(why));
            }
            None => {}
        }
        return;
    }
    let known = match &shown.answers.views {
        Some(Ok(known)) => known,
        Some(Err(failure)) => {
            let said = explain::failure::sentence(failure);
            views::not_known_ui(ui, shown, &said);
            return;
        }
        None => return,
    };
    let used = |limit: Limit| {
        let point = picture.point.as_ref()?;
        point.uses.iter().find(|one| one.limit == limit)
    };
    match (shown.view.scene, &known.energy) {
        (Scene::Cycle, _) => {
            let titles = explain::cycle::titles(&known.wave, supply);
            views::title_ui(ui, shown, &titles, &explain::cycle::WORDS);
            let dropout = used(Limit::Dropout).and_then(|one| one.judged.as_ref().ok());
            let input = CycleInput {
                wave: &known.wave,
                dropout_volts: dropout.map(|judged| judged.actual),
            };
            cycle_plot_ui(ui, input);
        }
        (Scene::Energy, Ok(energy)) => {
            let titles = explain::energy::titles(energy);
            views::title_ui(ui, shown, &titles, &explain::energy::WORDS);
            let input = EnergyInput {
                energy,
                supply,
                dissipation: used(Limit::PlateDissipation).and_then(Use::ratio),
            };
            energy_plot_ui(ui, input);
        }
        (Scene::Energy, Err(reason)) => views::not_known_ui(ui, shown, &reason.to_string()),
        (Scene::Envelope | Scene::Regulation, _) => {}
    }
}

/// A panel of one size: an edge to be moved would be a place to which Tab goes and where nothing can be done.
fn fixed(panel: Panel, size: f32) -> Panel {
    panel.exact_size(size).resizable(false)
}
