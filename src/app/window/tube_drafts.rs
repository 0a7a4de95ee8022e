//! What is typed about tubes and not finished: the draft in the editor, and others that wait.

use std::path::PathBuf;

use crate::app::answers::jobs::Errands;
use crate::app::disk::files;
use crate::app::disk::settings::Folders;
use crate::app::panels::tube_editor::TubeEditor;
use crate::parts::tube_draft::{Purpose, TubeDraft};

/// Where drafts wait.
const DRAFTS: &str = "tube-drafts.ron";
/// Drafts kept besides the one in the editor; the oldest goes.
const MOST: usize = 8;

/// The editor and what waits for it.
#[derive(Debug, Default)]
pub(crate) struct TubeDrafts {
    pub(crate) editor: Option<TubeEditor>,
    /// Unfinished drafts, the latest last.
    pub(crate) waiting: Vec<TubeDraft>,
    pub(crate) written: Vec<TubeDraft>,
    /// When the first change came that is not written (s).
    pub(crate) changed_at: Option<f64>,
    /// What writes them.
    pub(crate) errands: Errands,
}

impl TubeDrafts {
    /// Takes up the drafts that an earlier run left.
    pub(crate) fn load(folders: &Folders) -> (Self, Option<String>) {
        let Some(path) = drafts_file(folders).filter(|path| path.exists()) else {
            return (Self::default(), None);
        };
        let read = files::read_text(&path)
            .map_err(|error| error.to_string())
            .and_then(|text| {
                ron::from_str::<Vec<TubeDraft>>(&text)
                    .map_err(|error| format!("{}: {error}", files::shown_path(&path)))
            });
        match read {
            Ok(waiting) => (
                Self {
                    written: waiting.clone(),
                    waiting,
                    ..Self::default()
                },
                None,
            ),
            // The file is left alone until the next draft; what it holds can be read by eye.
            Err(wrong) => (Self::default(), Some(wrong)),
        }
    }

    /// Everything unfinished, the draft in the editor last.
    pub(crate) fn unfinished(&self) -> Vec<TubeDraft> {
        let open = self.editor.as_ref().filter(|editor| editor.is_unfinished());
        self.waiting
            .iter()
            .chain(open.map(|editor| &editor.draft))
            .cloned()
            .collect()
    }

    /// Puts what the editor holds aside, if it is worth keeping.
    pub(crate) fn put_aside(&mut self) {
        let Some(editor) = self.editor.take().filter(TubeEditor::is_unfinished) else {
            return;
        };
        self.waiting.retain(|draft| *draft != editor.draft);
        self.waiting.push(editor.draft);
        if self.waiting.len() > MOST {
            self.waiting.remove(0);
        }
    }

    /// The latest draft for this purpose, if one waits.
    pub(crate) fn take_waiting(&mut self, purpose: Purpose) -> Option<TubeDraft> {
        let latest = self
            .waiting
            .iter()
            .rposition(|draft| draft.purpose == purpose)?;
        Some(self.waiting.remove(latest))
    }
}

/// An editor on a draft that has been typed before: it stays unfinished.
pub(crate) fn continued(draft: TubeDraft) -> TubeEditor {
    let mut editor = TubeEditor::on(draft);
    editor.pristine = TubeDraft::new(editor.draft.purpose);
    editor
}

/// Where they are written.
pub(crate) fn drafts_file(folders: &Folders) -> Option<PathBuf> {
    folders.recovery.as_ref().map(|folder| folder.join(DRAFTS))
}
