//! Opening, saving, closing: what happens to the document as a whole, and the questions on the way.

use std::path::{Path, PathBuf};

use crate::app::App;
use crate::app::asking::{PathRequest, Pending};
use crate::app::dialogs::Purpose;
use crate::app::document::{Document, View};
use crate::app::files::{self, DiskError};
use crate::app::history::History;
use crate::app::notices::{Notice, Offer, Stands};
use crate::app::panels::glossary::Glossary;
use crate::app::panels::picture_export::PictureRequest;
use crate::app::panels::questions::{Answer, unsaved_ui};
use crate::app::panels::tour::Arrival;
use crate::app::plots::envelope::PlotView;
use crate::app::presets;
use crate::app::recovery::Recovery;
use crate::app::shortcuts::Action;
use crate::app::tubes::TubeDesk;
use crate::parts::Work;
use crate::parts::file;

/// What happens once unsaved work is safe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Then {
    /// Ask for a file and open it.
    Ask,
    /// Open this file.
    Open(PathBuf),
    /// Open this preset.
    Preset(usize),
    /// Open the demo supply and begin the tour.
    Tour,
    /// Leave.
    Quit,
}

/// The question that stands in the window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Asked {
    /// Save first?
    Unsaved(Then),
    /// Which path?
    Path(PathRequest),
    /// Which picture?
    Picture(Box<PictureRequest>),
}

/// What goes on around the document.
#[derive(Debug, Default)]
pub(crate) struct Desk {
    /// The question that stands in the window.
    pub(crate) asked: Option<Asked>,
    /// True from the first frame in which a question is drawn until it is answered.
    pub(crate) question_stands: bool,
    /// What had the keyboard before it.
    pub(crate) before_question: Option<egui::Id>,
    /// Actions whose turn comes in the next frame.
    pub(crate) postponed: Vec<Action>,
    /// True when the plot is to get the keyboard.
    pub(crate) focus_plot: bool,
    /// True once the window may close.
    pub(crate) leaving: bool,
    /// The glossary, while it is open.
    pub(crate) glossary: Option<Glossary>,
    /// The step of the tour, while it goes on.
    pub(crate) tour: Option<(usize, Arrival)>,
    /// The tube editor and its drafts.
    pub(crate) tubes: TubeDesk,
    /// The title that the window has.
    pub(crate) title: String,
    /// What the plot remembers between frames.
    pub(crate) plot: PlotView,
    /// How high the strip of notices was drawn (points).
    pub(crate) strip_height: f32,
    /// The file dialog that is open.
    pub(crate) dialog: Option<Pending>,
    opened: u64,
}

impl Desk {
    /// A desk with the drafts that an earlier run left.
    pub(crate) fn with_tubes(tubes: TubeDesk) -> Self {
        Self {
            tubes,
            ..Self::default()
        }
    }
}

impl App {
    /// Opens a file at once; what is wrong with it is said and the window stays as it was.
    pub(crate) fn open_path(&mut self, path: &Path) {
        if let Err(error) = self.try_open(path) {
            self.notices.push(Notice::fault(error.to_string()));
        }
    }

    /// Opens a file at once. One that is a supply but cannot be computed is taken up, with its faults in the strip.
    pub(crate) fn try_open(&mut self, path: &Path) -> Result<(), DiskError> {
        // A recent file is found again from any folder.
        let path = std::path::absolute(path).unwrap_or_else(|_as_given| path.to_owned());
        let work = files::read_work(&path, &self.catalogue)?;
        self.settings.remember(&path);
        self.keep_settings();
        let faults = files::faults(&path, &self.catalogue);
        self.take_up(work, Some(path));
        self.notices.extend(faults.into_iter().map(Notice::fault));
        Ok(())
    }

    /// Puts another supply on the desk.
    fn take_up(&mut self, work: Work, path: Option<PathBuf>) {
        self.desk.opened += 1;
        self.view = View::first(&work);
        self.document = Document::opened(work, path, self.desk.opened);
        self.history = History::default();
        self.desk.plot.reset = true;
        self.notices.retain(|n| n.stands == Stands::UntilPutAway);
        self.answers.refresh(&self.document, &self.view);
    }

    /// Does it, or asks first if that would lose something.
    pub(crate) fn unless_unsaved(&mut self, then: Then, ctx: &egui::Context) {
        if self.document.is_changed() {
            self.desk.asked = Some(Asked::Unsaved(then));
        } else {
            self.go_on(then, ctx);
        }
    }

    pub(crate) fn go_on(&mut self, then: Then, ctx: &egui::Context) {
        match then {
            Then::Ask => self.ask_for(Purpose::Open, None, ctx),
            Then::Open(path) => self.open_path(&path),
            Then::Preset(place) => {
                match presets::all().get(place).map(|p| p.work(&self.catalogue)) {
                    Some(Ok(work)) => self.take_up(work, None),
                    Some(Err(error)) => self.notices.push(Notice::fault(error.to_string())),
                    None => {}
                }
            }
            Then::Tour => {
                self.go_on(Then::Preset(0), ctx);
                self.begin_tour();
            }
            Then::Quit => {
                self.desk.leaving = true;
                ctx.send_viewport_cmd(egui::ViewportCommand::Close);
            }
        }
    }

    /// Saves in the document's file, or asks for one.
    pub(crate) fn save(&mut self, then: Option<Then>, ctx: &egui::Context) {
        match self.document.path.clone() {
            Some(path) => match (self.write(&path), then) {
                (Ok(()), Some(then)) => self.go_on(then, ctx),
                (Ok(()), None) => {}
                (Err(error), _) => self.notices.push(Notice::fault(error.to_string())),
            },
            None => self.ask_for(Purpose::Save, then, ctx),
        }
    }

    /// Writes the document.
    pub(crate) fn write(&mut self, path: &Path) -> Result<(), DiskError> {
        let text = file::write(&self.document.work, &self.catalogue);
        files::write_text(path, &text)?;
        self.document.on_disk = self.document.work.clone();
        self.document.path = Some(path.to_owned());
        self.settings.remember(path);
        self.keep_settings();
        Ok(())
    }

    pub(crate) fn keep_settings(&mut self) {
        if let Err(error) = self.settings.save(&self.folders) {
            self.notices.push(Notice::fault(error.to_string()));
        }
    }

    /// Shows the question about unsaved work.
    pub(crate) fn ask_unsaved(&mut self, then: Then, ctx: &egui::Context) {
        match unsaved_ui(ctx, self.document.work.name.trim()) {
            None => self.desk.asked = Some(Asked::Unsaved(then)),
            Some(Answer::Stay) => {}
            Some(Answer::Save) => self.save(Some(then), ctx),
            Some(Answer::Discard) => {
                // The work goes only when something else really comes: a file that cannot be read leaves it, unsaved.
                if then == Then::Quit {
                    self.document.on_disk = self.document.work.clone();
                }
                self.go_on(then, ctx);
            }
        }
    }

    /// A file dropped on the window. While a question stands it is not taken: what is typed there would be lost.
    pub(crate) fn take_dropped(&mut self, ctx: &egui::Context) {
        if self.desk.asked.is_some() {
            return;
        }
        let dropped = ctx.input(|input| {
            input
                .raw
                .dropped_files
                .first()
                .map(|file| file.path().to_owned())
        });
        if let Some(path) = dropped {
            self.unless_unsaved(Then::Open(path), ctx);
        }
    }

    /// Does not let the window close over unsaved work.
    pub(crate) fn guard_close(&mut self, ctx: &egui::Context) {
        if !ctx.input(|input| input.viewport().close_requested()) || self.desk.leaving {
            return;
        }
        if self.document.is_changed() || ctx.text_edit_focused() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            // What is still being typed is taken over first, by leaving its field.
            if let Some(focused) = ctx.memory(egui::Memory::focused) {
                ctx.memory_mut(|memory| memory.surrender_focus(focused));
            }
            self.desk.postponed.push(Action::Quit);
            ctx.request_repaint();
        } else {
            self.desk.leaving = true;
        }
    }

    /// Writes the recovery copy if it is due, and wakes up when it will be.
    pub(crate) fn keep_recovery(&mut self, ctx: &egui::Context) {
        let now = ctx.input(|input| input.time);
        match self.recovery.keep(&self.document, &self.catalogue, now) {
            Ok(None) => {}
            Ok(Some(wait)) => {
                ctx.request_repaint_after(std::time::Duration::from_secs_f64(wait + 0.05));
            }
            Err(error) => self.notices.push(Notice::fault(error.to_string())),
        }
    }

    /// Puts a notice away.
    pub(crate) fn dismiss(&mut self, place: usize) {
        if place >= self.notices.len() {
            return;
        }
        let notice = self.notices.remove(place);
        match notice.offer {
            Offer::None => {}
            Offer::CautionRead => {
                self.settings.caution_read = true;
                self.keep_settings();
                self.offer_tour();
            }
            Offer::Tour => self.tour_was_offered(),
            Offer::Restore(found) => {
                if let Err(error) = files::remove(&found.copy) {
                    self.notices.push(Notice::fault(error.to_string()));
                }
            }
        }
    }

    /// Takes up what a notice offers.
    pub(crate) fn accept(&mut self, place: usize, ctx: &egui::Context) {
        if place >= self.notices.len() {
            return;
        }
        if self
            .notices
            .get(place)
            .is_some_and(|n| n.offer == Offer::Tour)
        {
            self.unless_unsaved(Then::Tour, ctx);
            return;
        }
        if let Offer::Restore(found) = self.notices.remove(place).offer {
            let on_disk = found
                .path
                .as_ref()
                .and_then(|path| files::read_work(path, &self.catalogue).ok());
            let before = self.document.on_disk.clone();
            self.take_up(found.work, found.path);
            // It is unsaved work: it must read as changed against what is on the disk.
            self.document.on_disk = on_disk.unwrap_or(before);
            self.recovery = Recovery::in_folder(self.folders.recovery.as_deref());
            if let Err(error) = files::remove(&found.copy) {
                self.notices.push(Notice::fault(error.to_string()));
            }
        }
    }

    /// Switches to the next theme and remembers it.
    pub(crate) fn next_theme(&mut self, ctx: &egui::Context) {
        self.settings.theme = self.settings.theme.next();
        ctx.set_theme(self.settings.theme.preference());
        self.keep_settings();
    }
}

/// A file name made of a supply's name, without its end.
pub(crate) fn file_stem(supply_name: &str) -> String {
    let stem: String = supply_name
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .collect();
    let stem = stem
        .split('-')
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("-")
        .to_lowercase();
    if stem.is_empty() {
        "supply".to_owned()
    } else {
        stem
    }
}
