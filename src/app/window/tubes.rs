//! Tubes of one's own: opens the editor, keeps what is typed in it over a closed window and a crash, writes finished
//! types to the user's own file, puts them into the supply.

use std::time::Duration;

use crate::app::answers::jobs::Errand;
use crate::app::disk::files::{self, DiskError};
use crate::app::disk::own_types;
use crate::app::disk::recovery::WITHIN_SECONDS;
use crate::app::panels::shown::Commands;
use crate::app::panels::tube_editor::{Around, TubeAnswer, TubeEditor, tube_editor_ui};
use crate::app::window::App;
use crate::app::window::tube_drafts::{continued, drafts_file};
use crate::app::work::command::{Command, Edit, TubeWish};
use crate::app::work::history::Change;
use crate::explain::tube;
use crate::parts::catalogue::Catalogue;
use crate::parts::escape::escaped;
use crate::parts::own_catalogue::{OwnType, with_type};
use crate::parts::tube_draft::{DraftFault, Purpose, TubeDraft};

/// The file among the user's own types that the editor writes; other files there are the user's alone.
const OWN_TYPES: &str = "own-tubes.ron";

impl App {
    /// Opens the editor.
    pub(crate) fn edit_tube(&mut self, wish: TubeWish) {
        self.state.tubes.put_aside();
        let editor = match wish {
            TubeWish::New(purpose) => match self.state.tubes.take_waiting(purpose) {
                Some(draft) => continued(draft),
                None => TubeEditor::on(TubeDraft::new(purpose)),
            },
            TubeWish::Copy(Purpose::Pass, name) => {
                let stage = &self.ledger.document().work.supply.pass_stage;
                let tube = if stage.tube.name == name {
                    Some(&stage.tube)
                } else {
                    self.catalogue.pass_tube(&name)
                };
                TubeEditor::on(
                    tube.map_or_else(|| TubeDraft::new(Purpose::Pass), TubeDraft::of_pass_tube),
                )
            }
            TubeWish::Copy(Purpose::Control, name) => {
                let in_use = self
                    .ledger
                    .document()
                    .work
                    .supply
                    .regulator
                    .as_ref()
                    .map(|r| &r.control_tube);
                let tube = in_use
                    .filter(|tube| tube.name == name)
                    .or_else(|| self.catalogue.control_tube(&name));
                TubeEditor::on(tube.map_or_else(
                    || TubeDraft::new(Purpose::Control),
                    TubeDraft::of_control_tube,
                ))
            }
        };
        self.state.tubes.editor = Some(editor);
    }

    /// Draws the editor if it is open; gives what it does to the supply.
    pub(crate) fn tubes_ui(&mut self, ctx: &egui::Context) -> Commands {
        let Some(mut editor) = self.state.tubes.editor.take() else {
            return Commands::new();
        };
        let purpose = editor.draft.purpose;
        let around = Around {
            catalogue: &self.catalogue,
            earlier: self
                .state
                .tubes
                .waiting
                .iter()
                .rfind(|draft| draft.purpose == purpose)
                .map(|draft| draft.name.as_str()),
            no_control: self
                .ledger
                .document()
                .work
                .supply
                .regulator
                .is_none()
                .then_some("This supply's regulator is not described"),
        };
        let answer = tube_editor_ui(ctx, &mut editor, around);
        self.state.tubes.editor = Some(editor);
        match answer {
            None => Commands::new(),
            Some(TubeAnswer::Close) => {
                self.state.tubes.put_aside();
                Commands::new()
            }
            Some(TubeAnswer::Afresh) => {
                self.state.tubes.put_aside();
                self.state.tubes.editor = Some(TubeEditor::on(TubeDraft::new(purpose)));
                Commands::new()
            }
            Some(TubeAnswer::Earlier) => {
                let earlier = self.state.tubes.take_waiting(purpose);
                self.state.tubes.put_aside();
                self.state.tubes.editor = earlier.map(continued);
                Commands::new()
            }
            Some(TubeAnswer::Save) => {
                let saved = self.save_tube();
                if let Some(editor) = &mut self.state.tubes.editor {
                    if saved.is_ok() {
                        editor.pristine = editor.draft.clone();
                    }
                    editor.said = Some(saved);
                }
                Commands::new()
            }
            Some(TubeAnswer::Use) => self.use_tube(),
        }
    }

    /// The finished type in the editor.
    fn finished_tube(&self) -> Result<OwnType, String> {
        let editor = self.state.tubes.editor.as_ref().ok_or("nothing is open")?;
        editor
            .own_type(&self.catalogue)
            .map_err(|faults: Vec<DraftFault>| faults.first().map(tube::fault).unwrap_or_default())
    }

    fn save_tube(&mut self) -> Result<String, String> {
        let own = self.finished_tube()?;
        let folder = self
            .folders
            .types()
            .ok_or("The system names no folder for settings")?;
        let path = folder.join(OWN_TYPES);
        let before = match files::read_text(&path) {
            Ok(text) => text,
            // Nothing is lost by writing over an empty file.
            Err(DiskError::Empty(_)) => String::new(),
            Err(_) if !path.exists() => String::new(),
            Err(error) => return Err(error.to_string()),
        };
        let text = with_type(&before, &own).map_err(|error| {
            format!(
                "{}: {error}; it was left as it is",
                files::shown_path(&path)
            )
        })?;
        files::make_folder(&folder).map_err(|error| error.to_string())?;
        files::write_text(&path, &text).map_err(|error| error.to_string())?;
        (self.catalogue, _) = own_types::catalogue(&self.folders);
        let mut earlier = Catalogue::default();
        let _faults_stay = earlier.add(&before);
        let (name, path) = (escaped(own.name()), files::shown_path(&path));
        Ok(if own.is_named_in(&earlier) {
            tube::saved_again(&name, &path)
        } else {
            tube::saved(&name, &path)
        })
    }

    fn use_tube(&mut self) -> Commands {
        let own = match self.finished_tube() {
            Ok(own) => own,
            Err(wrong) => {
                if let Some(editor) = &mut self.state.tubes.editor {
                    editor.said = Some(Err(wrong));
                }
                return Commands::new();
            }
        };
        if let Some(editor) = &mut self.state.tubes.editor {
            editor.said = Some(Ok(format!("{} is in the supply now", escaped(own.name()))));
        }
        let (edit, label) = match own {
            OwnType::Pass(tube) => {
                let mut stage = self.ledger.document().work.supply.pass_stage.clone();
                let label = format!("Pass tubes, {}", tube.name);
                stage.tube = tube;
                (Edit::PassStage(stage), label)
            }
            OwnType::Control(tube) => {
                let mut regulator = self.ledger.document().work.supply.regulator.clone();
                let label = format!("Regulator, {}", tube.name);
                if let Some(regulator) = &mut regulator {
                    regulator.control_tube = tube;
                }
                (Edit::Regulator(Box::new(regulator)), label)
            }
        };
        let change = Change {
            label,
            control: None,
        };
        vec![Command::Edit(Box::new(edit), change)]
    }

    /// Has unfinished drafts written within a moment of the first change, however steadily one types.
    pub(crate) fn keep_drafts(&mut self, ctx: &egui::Context) {
        for fault in self.state.tubes.errands.faults() {
            self.say_once(fault);
        }
        let drafts = self.state.tubes.unfinished();
        if drafts == self.state.tubes.written {
            self.state.tubes.changed_at = None;
            return;
        }
        let now = ctx.input(|input| input.time);
        let changed_at = *self.state.tubes.changed_at.get_or_insert(now);
        let left = WITHIN_SECONDS - (now - changed_at).abs();
        if left > 0.0 {
            ctx.request_repaint_after(Duration::from_secs_f64(left + 0.01));
            return;
        }
        if let Some(errand) = self.written_drafts(drafts) {
            self.state.tubes.errands.give(errand, ctx);
        }
    }

    /// Writes them here and now: the window is about to close.
    pub(crate) fn leave_drafts(&mut self) {
        self.state.tubes.errands.finish();
        let drafts = self.state.tubes.unfinished();
        if drafts != self.state.tubes.written
            && let Some(errand) = self.written_drafts(drafts)
        {
            // There is nobody left to tell.
            let _lost = errand();
        }
    }

    /// What writes these drafts. Even if it fails it is not tried again before the next change.
    fn written_drafts(&mut self, drafts: Vec<TubeDraft>) -> Option<Errand> {
        self.state.tubes.changed_at = None;
        self.state.tubes.written.clone_from(&drafts);
        let path = drafts_file(&self.folders)?;
        Some(Box::new(move || {
            let written = if drafts.is_empty() {
                files::remove(&path)
            } else {
                let text = ron::ser::to_string_pretty(&drafts, ron::ser::PrettyConfig::default())
                    .unwrap_or_default();
                path.parent()
                    .map_or(Ok(()), files::make_folder)
                    .and_then(|()| files::write_text(&path, &text))
            };
            written.map_err(|error| error.to_string())
        }))
    }
}
