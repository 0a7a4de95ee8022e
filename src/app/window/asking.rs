//! Where files come from and go to: the native dialog, or a path typed in the window where there is none.

use std::path::PathBuf;

use crate::app::disk::dialogs::{Dialog, Outcome, Purpose};
use crate::app::disk::files;
use crate::app::panels::notices::Notice;
use crate::app::panels::questions::{PathAnswer, path_ui};
use crate::app::window::App;
use crate::app::window::saving::{Agreed, Saving};
use crate::app::window::state::{Asked, PathRequest, Pending, Then};

/// Said where a second dialog is asked for; it goes when the first is answered.
const OPEN_ALREADY: &str =
    "A file dialog is open already, perhaps behind this window; answer it first.";

impl App {
    /// Draws the question that stands in the window. It has the keyboard while it stands; then that goes back to what had it.
    pub(crate) fn questions(&mut self, ctx: &egui::Context) {
        if self.state.asked.is_some() && !self.state.question_stands {
            self.state.question_stands = true;
            self.state.before_question = ctx.memory(egui::Memory::focused);
            if let Some(focused) = self.state.before_question {
                ctx.memory_mut(|memory| memory.surrender_focus(focused));
            }
        }
        match self.state.asked.take() {
            None => {}
            Some(Asked::Unsaved(then)) => self.ask_unsaved(then, ctx),
            Some(Asked::NotAsItWas(saving, found)) => self.ask_not_as_it_was(saving, found, ctx),
            Some(Asked::LayoutGoes(saving, comments)) => {
                self.ask_layout_goes(saving, comments, ctx);
            }
            Some(Asked::Path(request)) => self.ask_path(request, ctx),
            Some(Asked::NewSupply) => self.ask_new_supply(ctx),
            Some(Asked::Picture(request)) => self.ask_picture(request, ctx),
        }
        // The toolkit lets nothing under a question have the keyboard in the pass in which it goes: one pass later it may.
        let stands = self.state.asked.is_some();
        let stood = std::mem::replace(&mut self.state.question_stands, stands);
        if stood && !stands {
            ctx.request_repaint();
        } else if !stands && let Some(before) = self.state.before_question.take() {
            ctx.memory_mut(|memory| memory.request_focus(before));
        }
    }

    /// Asks for a file; what is done with it is decided when the answer comes. One dialog at a time: the window goes on
    /// while it is open, and a second would stand on top of the first.
    pub(crate) fn ask_for(&mut self, purpose: Purpose, then: Option<Then>, ctx: &egui::Context) {
        if self.state.dialog.is_some() {
            if self
                .notices
                .iter()
                .all(|notice| notice.text != OPEN_ALREADY)
            {
                self.notices.push(Notice::remark(OPEN_ALREADY.to_owned()));
            }
            return;
        }
        let begins_at = match purpose {
            Purpose::Open => self
                .ledger
                .document()
                .origin
                .path
                .clone()
                .unwrap_or_default(),
            _ => self.suggested(purpose),
        };
        self.await_answer(Dialog::show(purpose, begins_at, ctx), then);
    }

    fn await_answer(&mut self, dialog: Dialog, then: Option<Then>) {
        self.state.dialog = Some(Pending {
            dialog,
            then,
            agreed: self.ledger.document().work.clone(),
        });
    }

    /// What the file dialog answered, if it did.
    pub(crate) fn collect_dialog(&mut self, ctx: &egui::Context) {
        let Some(pending) = self.state.dialog.take() else {
            return;
        };
        let purpose = pending.dialog.purpose;
        if self.state.asked.is_some() && purpose != Purpose::Picture {
            // A question stands in the window: the answer waits its turn.
            self.state.dialog = Some(pending);
            return;
        }
        let outcome = pending.dialog.poll();
        if outcome == Outcome::Waiting {
            self.state.dialog = Some(pending);
            return;
        }
        self.notices.retain(|notice| notice.text != OPEN_ALREADY);
        match outcome {
            Outcome::Waiting | Outcome::Cancelled => {}
            Outcome::Path(path)
                if purpose == Purpose::Open && self.ledger.document().work != pending.agreed =>
            {
                self.unless_unsaved(Then::Open(path), ctx);
            }
            Outcome::Path(path) => {
                if let Err(wrong) = self.use_path(purpose, path, pending.then, ctx) {
                    self.notices.push(Notice::fault(wrong));
                }
            }
            // The question for a picture has a field for the path already.
            Outcome::Unavailable if purpose == Purpose::Picture => self.take_picture_path(None),
            Outcome::Unavailable => {
                let text = self.suggested(purpose).display().to_string();
                self.state.asked = Some(Asked::Path(PathRequest {
                    purpose,
                    text,
                    wrong: None,
                    replaces: None,
                    then: pending.then,
                }));
            }
        }
    }

    fn use_path(
        &mut self,
        purpose: Purpose,
        path: PathBuf,
        then: Option<Then>,
        ctx: &egui::Context,
    ) -> Result<(), String> {
        match purpose {
            Purpose::Curves => self.know_all(ctx),
            Purpose::Page => self.know_how_sure(ctx),
            _ => {}
        }
        match purpose {
            Purpose::Open => self.try_open(&path).map_err(|error| error.to_string()),
            Purpose::Curves => self.write_curves(&files::with_extension(path, purpose.end())),
            Purpose::Drawer => self.write_drawer_table(&files::with_extension(path, purpose.end())),
            Purpose::Page => self.write_page(&files::with_extension(path, purpose.end())),
            Purpose::Picture => {
                self.take_picture_path(Some(path));
                Ok(())
            }
            Purpose::Save => {
                let path = files::with_extension(path, purpose.end());
                let path = std::path::absolute(&path).unwrap_or(path);
                self.save_in(Saving { path, then }, Agreed::Nothing, ctx)
                    .map_err(|error| error.to_string())
            }
        }
    }

    /// Shows the question for a path.
    pub(crate) fn ask_path(&mut self, mut request: PathRequest, ctx: &egui::Context) {
        let answer = path_ui(
            ctx,
            request.purpose,
            &mut request.text,
            request.wrong.as_deref(),
        );
        match answer {
            None => self.state.asked = Some(Asked::Path(request)),
            Some(PathAnswer::Cancel) => {}
            Some(PathAnswer::Text(text)) => match files::typed_path(&text) {
                None => {
                    request.wrong = Some("Found nothing, expected the path of a file".to_owned());
                    self.state.asked = Some(Asked::Path(request));
                }
                Some(path) => self.try_typed(path, request, ctx),
            },
        }
    }

    /// Uses a typed path; if it does not work, the field stays with what was typed and says why.
    fn try_typed(&mut self, path: PathBuf, mut request: PathRequest, ctx: &egui::Context) {
        let path = match request.purpose {
            Purpose::Open | Purpose::Picture => path,
            Purpose::Save | Purpose::Curves | Purpose::Drawer | Purpose::Page => {
                files::with_extension(path, request.purpose.end())
            }
        };
        let path = std::path::absolute(&path).unwrap_or(path);
        let known = [&self.ledger.document().origin.path, &request.replaces];
        let writes = request.purpose != Purpose::Open;
        if writes && path.is_file() && !known.contains(&&Some(path.clone())) {
            request.wrong = Some(format!(
                "{}: found a file of this name; ask once more to replace it",
                files::shown_path(&path)
            ));
            request.replaces = Some(path);
            self.state.asked = Some(Asked::Path(request));
            return;
        }
        if let Err(wrong) = self.use_path(request.purpose, path, request.then.clone(), ctx) {
            request.wrong = Some(wrong);
            self.state.asked = Some(Asked::Path(request));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::disk::settings::Folders;
    use crate::app::work::command::{Command, Edit};
    use crate::app::work::history::{Change, Moment};

    fn app() -> App {
        App::open(None, Folders::default()).expect("the demo supply")
    }

    fn preset() -> PathBuf {
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("presets/choke-input.ron")
    }

    #[test]
    fn what_changes_while_a_dialog_is_open_is_not_given_away_unasked() {
        let ctx = egui::Context::default();
        let mut app = app();
        app.await_answer(Dialog::answered(Purpose::Open, preset()), None);
        let change = Change {
            label: "Name".to_owned(),
            control: None,
        };
        let edit = Edit::Name("changed".to_owned());
        let moment = Moment {
            seconds: 0.0,
            held: false,
        };
        let command = Command::Edit(Box::new(edit), change);
        app.ledger.apply(command, moment);
        let demo = app.work().clone();
        app.collect_dialog(&ctx);
        assert_eq!(*app.work(), demo);
        assert_eq!(app.state.asked, Some(Asked::Unsaved(Then::Open(preset()))));
    }

    #[test]
    fn an_answer_waits_while_a_question_stands() {
        let ctx = egui::Context::default();
        let mut app = app();
        let demo = app.work().name.clone();
        app.await_answer(Dialog::answered(Purpose::Open, preset()), None);
        app.state.asked = Some(Asked::Unsaved(Then::Quit));
        app.collect_dialog(&ctx);
        assert_eq!(app.work().name, demo);
        app.state.asked = None;
        app.collect_dialog(&ctx);
        assert_ne!(app.work().name, demo, "now it is opened");
    }

    #[test]
    fn there_is_one_dialog_at_a_time() {
        let ctx = egui::Context::default();
        let mut app = app();
        app.await_answer(Dialog::answered(Purpose::Open, preset()), None);
        for _ in 0..2 {
            app.ask_for(Purpose::Curves, None, &ctx);
        }
        let open = app.state.dialog.as_ref().map(|p| p.dialog.purpose);
        assert_eq!(open, Some(Purpose::Open));
        let said = |app: &App| {
            let is_it = |n: &&Notice| n.text == OPEN_ALREADY;
            app.notices.iter().filter(is_it).count()
        };
        assert_eq!(said(&app), 1);
        app.collect_dialog(&ctx);
        assert_eq!(said(&app), 0, "it is answered");
    }
}
