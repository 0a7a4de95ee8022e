//! Opening and closing: what happens to the document as a whole, and the questions on the way.

use std::path::Path;

use crate::app::answers::jobs::Report;
use crate::app::disk::dialogs::Purpose;
use crate::app::disk::files::{self, DiskError};
use crate::app::disk::presets;
use crate::app::disk::recovery::{self, Due};
use crate::app::panels::notices::{Notice, Offer, Stands};
use crate::app::panels::questions::{Answer, unsaved_ui};
use crate::app::window::App;
use crate::app::window::state::{Asked, Then};
use crate::app::work::action::Action;
use crate::app::work::command::{Command, Saved};
use crate::app::work::document::Origin;
use crate::app::work::history::Moment;
use crate::app::work::theme_choice::ThemeChoice;
use crate::parts::Work;
use crate::parts::check::check;
use crate::parts::escape::escaped;

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
        let (work, text) = files::read_work(&path, &self.catalogue)?;
        files::sweep_beside(&path);
        self.settings.remember(&path);
        self.keep_settings();
        let faults = files::faults(&path, &self.catalogue);
        let origin = Origin {
            path: Some(path),
            text: Some(text),
        };
        self.take_up(work, origin);
        self.notices.extend(faults.into_iter().map(Notice::fault));
        Ok(())
    }

    /// Puts another supply on the desk.
    fn take_up(&mut self, work: Work, origin: Origin) {
        let first_fault = check(&work.supply).first().map(|problem| problem.stage);
        self.ledger.open(work, origin);
        if first_fault.is_some() {
            // The card of what is wrong stands open.
            let moment = Moment {
                seconds: 0.0,
                held: false,
            };
            self.ledger.apply(Command::OpenCard(first_fault), moment);
        }
        self.stands_on_the_desk();
    }

    /// Another supply came: plot, notices and tour go with it, answers come in the next frame.
    pub(crate) fn stands_on_the_desk(&mut self) {
        self.state.tour = None;
        self.state.before_tour = None;
        self.state.plot.reset = true;
        self.notices.retain(|n| n.stands == Stands::UntilPutAway);
    }

    /// Does it, or asks first if that would lose something.
    pub(crate) fn unless_unsaved(&mut self, then: Then, ctx: &egui::Context) {
        if self.ledger.document().is_changed() {
            self.state.asked = Some(Asked::Unsaved(then));
        } else {
            self.go_on(then, ctx);
        }
    }

    pub(crate) fn go_on(&mut self, then: Then, ctx: &egui::Context) {
        match then {
            Then::Ask => self.ask_for(Purpose::Open, None, ctx),
            Then::Open(path) => self.open_path(&path),
            Then::Preset(place) => {
                if let Some(preset) = presets::all().get(place) {
                    match preset.work(&self.catalogue) {
                        Ok(work) => self.take_up(work, preset.origin()),
                        Err(error) => self.notices.push(Notice::fault(error.to_string())),
                    }
                }
            }
            Then::New => self.make_new_supply(),
            Then::TakeUp(copy) => self.take_up_left(&copy, ctx),
            Then::Tour => {
                let before = self.ledger.clone();
                self.go_on(Then::Preset(0), ctx);
                self.begin_tour(before);
            }
            Then::BackFromTour => {
                if let Some(before) = self.state.before_tour.take() {
                    self.ledger.put_back(*before);
                    self.stands_on_the_desk();
                }
            }
            Then::Quit => {
                self.state.leaving = true;
                ctx.send_viewport_cmd(egui::ViewportCommand::Close);
            }
        }
    }

    pub(crate) fn keep_settings(&mut self) {
        if let Err(error) = self.settings.save(&self.folders) {
            self.say_once(error.to_string());
        }
    }

    /// Shows the question about unsaved work.
    pub(crate) fn ask_unsaved(&mut self, then: Then, ctx: &egui::Context) {
        match unsaved_ui(ctx, &escaped(self.ledger.document().work.name.trim())) {
            None => self.state.asked = Some(Asked::Unsaved(then)),
            // The page of the new supply comes back.
            Some(Answer::Stay) if then == Then::New => self.open_new_supply(),
            Some(Answer::Stay) => {}
            Some(Answer::Save) => self.save(Some(then), ctx),
            Some(Answer::Discard) => {
                // The work goes only when something else really comes: a file that cannot be read leaves it, unsaved.
                if then == Then::Quit {
                    self.ledger.give_up_changes();
                }
                self.go_on(then, ctx);
            }
        }
    }

    /// A file dropped on the window. While a question stands it is not taken: what is typed there would be lost.
    pub(crate) fn take_dropped(&mut self, ctx: &egui::Context) {
        if self.state.asked.is_some() {
            return;
        }
        let dropped = ctx.input(|input| {
            input
                .raw
                .dropped_files
                .first()
                .map(|file| file.path().to_owned())
        });
        let is_table = |path: &Path| {
            let ends = path
                .extension()
                .map(|end| end.to_string_lossy().to_lowercase());
            ends.is_some_and(|end| ["csv", "tsv", "txt"].contains(&end.as_str()))
        };
        if let Some(path) = dropped.as_deref().filter(|path| is_table(path)) {
            self.put_in_from(path, ctx);
        } else if let Some(path) = dropped {
            self.unless_unsaved(Then::Open(path), ctx);
        }
    }

    /// Does not let the window close over unsaved work.
    pub(crate) fn guard_close(&mut self, ctx: &egui::Context) {
        if !ctx.input(|input| input.viewport().close_requested()) || self.state.leaving {
            return;
        }
        if self.ledger.document().is_changed() || ctx.text_edit_focused() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            // What is still being typed is taken over first, by leaving its field.
            if let Some(focused) = ctx.memory(egui::Memory::focused) {
                ctx.memory_mut(|memory| memory.surrender_focus(focused));
            }
            self.state.postponed.push(Action::Quit);
            ctx.request_repaint();
        } else {
            self.state.leaving = true;
        }
    }

    /// Says what went wrong, unless it stands there already: what goes on by itself may go wrong many times.
    pub(crate) fn say_once(&mut self, fault: String) {
        if self.notices.iter().all(|notice| notice.text != fault) {
            self.notices.push(Notice::fault(fault));
        }
    }

    /// Has the recovery copy written if it is due, and wakes up when it will be.
    pub(crate) fn keep_recovery(&mut self, ctx: &egui::Context) {
        for fault in self.errands.faults() {
            self.say_once(fault);
        }
        let now = ctx.input(|input| input.time);
        let due = (self.recovery).keep(self.ledger.document(), &self.catalogue, now);
        self.attend(due, ctx);
    }

    fn attend(&mut self, due: Result<Due, DiskError>, ctx: &egui::Context) {
        match due {
            Ok(Due::Nothing) => {}
            Ok(Due::In(wait)) => {
                ctx.request_repaint_after(std::time::Duration::from_secs_f64(wait + 0.01));
            }
            Ok(Due::Now(task)) => {
                let errand = move || task.run().map_err(|error| error.to_string());
                self.errands.give(Box::new(errand), ctx);
            }
            Err(error) => self.say_once(error.to_string()),
        }
    }

    /// The copy as it is to be found at the next start: none if the work is safe, else the latest.
    pub(crate) fn leave_recovery(&mut self) {
        self.errands.finish();
        let document = self.ledger.document();
        let due = if self.state.leaving {
            Ok(self.recovery.clear().map_or(Due::Nothing, Due::Now))
        } else if document.is_changed() {
            self.recovery.copy_now(document, &self.catalogue)
        } else {
            Ok(Due::Nothing)
        };
        if let Ok(Due::Now(task)) = due {
            // There is nobody left to tell; a copy that cannot be removed is offered at the next start.
            let _stays = task.run();
        }
    }

    /// Says that a job failed and keeps the supply that it was about, for a report.
    pub(crate) fn tell_report(&mut self, report: Report) {
        let work = Work {
            supply: report.supply,
            ..self.work().clone()
        };
        let kept = (self.folders.recovery.as_deref())
            .map(|folder| recovery::keep_for_report(folder, &work, &report.said, &self.catalogue));
        let kept = match kept {
            Some(Ok(path)) => format!(
                "; for a report, the supply is in {}",
                files::shown_path(&path)
            ),
            Some(Err(error)) => format!("; {error}"),
            None => String::new(),
        };
        let text = format!(
            "Something could not be computed ({}); the rest is still valid{kept}",
            report.said
        );
        self.notices.push(Notice::fault(text));
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
                if let Err(error) = recovery::throw_away(&found.copy) {
                    self.notices.push(Notice::fault(error.to_string()));
                }
            }
        }
    }

    /// Takes up what a notice offers.
    pub(crate) fn accept(&mut self, place: usize, ctx: &egui::Context) {
        let then = match self.notices.get(place).map(|notice| &notice.offer) {
            Some(Offer::Tour) => Then::Tour,
            Some(Offer::Restore(found)) => Then::TakeUp(found.copy.clone()),
            Some(Offer::None | Offer::CautionRead) | None => return,
        };
        self.unless_unsaved(then, ctx);
    }

    /// Goes on with the work of this copy, as long as it is offered. The copy goes when one of this program stands.
    fn take_up_left(&mut self, copy: &Path, ctx: &egui::Context) {
        let is_it = |n: &Notice| matches!(&n.offer, Offer::Restore(found) if found.copy == copy);
        let Some(place) = self.notices.iter().position(is_it) else {
            return;
        };
        let Offer::Restore(found) = self.notices.remove(place).offer else {
            return;
        };
        let read = (found.path.as_ref()).map(|path| files::read_work(path, &self.catalogue));
        let (saved, text) = match read {
            Some(Ok((work, text))) => {
                let is_as_begun = |sum| sum == recovery::checksum(&text);
                if found.begun_with.is_none_or(is_as_begun) {
                    (Saved::AsBegun(work), text)
                } else {
                    // Changed by another since: that is asked about when this is saved.
                    (Saved::Otherwise(work), found.text)
                }
            }
            _ => (Saved::NotKnown, found.text),
        };
        let origin = Origin {
            path: found.path,
            text: Some(text),
        };
        self.ledger.go_on_with(found.work, origin, saved);
        self.stands_on_the_desk();
        self.recovery.takes_up(found.copy);
        let due = (self.recovery).copy_now(self.ledger.document(), &self.catalogue);
        self.attend(due, ctx);
    }

    /// Switches to the next theme and remembers it.
    pub(crate) fn next_theme(&mut self, ctx: &egui::Context) {
        self.wear(self.settings.theme.next(), ctx);
    }

    /// Wears this theme from now on.
    pub(crate) fn wear(&mut self, theme: ThemeChoice, ctx: &egui::Context) {
        self.settings.theme = theme;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::settings::Folders;
    use crate::parts::file;

    #[test]
    fn a_job_that_failed_is_said_and_its_supply_kept() {
        let folder = tempfile::tempdir().expect("a folder");
        let folders = Folders {
            config: None,
            recovery: Some(folder.path().join("recovery")),
        };
        let recovery = folder.path().join("recovery");
        let mut app = App::open(None, folders).expect("the demo supply");
        let mut supply = app.supply().clone();
        supply.filter.bleeder = None;
        app.tell_report(Report {
            supply: supply.clone(),
            said: "a planted fault".to_owned(),
        });
        let path = recovery.join("report.ron");
        let said = app.notices.last().map(|notice| notice.text.clone());
        let said = said.unwrap_or_default();
        assert!(said.contains("a planted fault"), "{said}");
        assert!(said.contains(&path.display().to_string()), "{said}");
        let text = files::read_text(&path).expect("kept");
        assert!(text.starts_with("// a planted fault\n"), "{text}");
        let kept = file::read_work(&text, &app.catalogue).expect("a supply");
        assert_eq!(kept.supply, supply);
        assert_eq!(kept.name, app.work().name);
        // It is no work left behind.
        let left = recovery::left_behind(&recovery, &app.catalogue);
        assert_eq!(left, (vec![], vec![]));
    }
}
