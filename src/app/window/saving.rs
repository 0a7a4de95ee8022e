//! Saving: what is in the file is asked about before it goes, be it another's work or the comments of one's own.

use std::path::{Path, PathBuf};

use crate::app::disk::dialogs::Purpose;
use crate::app::disk::files::{self, DiskError};
use crate::app::panels::notices::{Notice, Stands};
use crate::app::panels::questions::{Found, SaveAnswer, layout_goes_ui, not_as_it_was_ui};
use crate::app::panels::shown::rows;
use crate::app::panels::signal_path;
use crate::app::window::App;
use crate::app::window::state::{Asked, Then};
use crate::app::work::document::Origin;
use crate::parts::Work;
use crate::parts::file::{self, Difference};

/// What the version on the disk is called on the plot.
const ON_DISK: &str = "on disk";

/// Differences that are named one by one.
const MOST_NAMED: usize = 6;

/// What the user has agreed to lose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Agreed {
    /// Nothing.
    Nothing,
    /// What another has made of the file.
    WhatIsThere,
    /// That, and what the file has beside the work: comments, order, spelling.
    Everything,
}

/// A save that waits for an answer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Saving {
    /// Where to.
    pub(crate) path: PathBuf,
    /// What comes after it.
    pub(crate) then: Option<Then>,
}

/// A text to be saved, and what of the old one it has not.
struct NewText {
    text: String,
    lost: Lost,
}

/// What of an old text is not in the new one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lost {
    Nothing,
    /// Layout, with so many comments.
    Layout(usize),
}

impl App {
    /// Saves in the document's file, or asks for one.
    pub(crate) fn save(&mut self, then: Option<Then>, ctx: &egui::Context) {
        match self.ledger.document().origin.path.clone() {
            Some(path) => self.save_or_say(Saving { path, then }, Agreed::Nothing, ctx),
            None => self.ask_for(Purpose::Save, then, ctx),
        }
    }

    fn save_or_say(&mut self, saving: Saving, agreed: Agreed, ctx: &egui::Context) {
        if let Err(error) = self.save_in(saving, agreed, ctx) {
            self.notices.push(Notice::fault(error.to_string()));
        }
    }

    /// Saves in a file, or asks first if that would lose more than was agreed to.
    pub(crate) fn save_in(
        &mut self,
        saving: Saving,
        agreed: Agreed,
        ctx: &egui::Context,
    ) -> Result<(), DiskError> {
        let is_own = self.ledger.document().origin.path.as_ref() == Some(&saving.path);
        // Whoever gives another file has said what is to be replaced, and the own one stays as it is.
        let agreed = if is_own { agreed } else { Agreed::Everything };
        let base = match (self.base(&saving.path), is_own) {
            (Ok(base), true) => base,
            (Err(found), true) if agreed < Agreed::WhatIsThere => {
                self.state.asked = Some(Asked::NotAsItWas(saving, found));
                return Ok(());
            }
            _ => self.ledger.document().origin.text.clone(),
        };
        let new = self.new_text(base.as_deref());
        if let (Lost::Layout(comments), true) = (new.lost, agreed < Agreed::Everything) {
            self.state.asked = Some(Asked::LayoutGoes(saving, comments));
            return Ok(());
        }
        self.write_text(&saving.path, new.text)?;
        if let Some(then) = saving.then {
            self.go_on(then, ctx);
        }
        Ok(())
    }

    /// The text that the file of the document has, to be brought up to the work; or why it is not for this program to replace.
    fn base(&self, path: &Path) -> Result<Option<String>, Found> {
        let document = self.ledger.document();
        let text = match files::read_text(path) {
            Ok(text) => text,
            Err(error) if error.is_not_there() => return Err(Found::Nothing),
            // Writing says why it cannot be replaced either.
            Err(DiskError::NotAFile { .. }) => return Ok(document.origin.text.clone()),
            Err(error) => return Err(Found::Unreadable(error.to_string())),
        };
        if document.origin.text.as_ref() == Some(&text) {
            return Ok(Some(text));
        }
        match file::read_work(&text, &self.catalogue) {
            // Another hand laid it out anew or commented it: that stays, and nothing is lost.
            Ok(work) if document.on_disk.as_ref() == Some(&work) => Ok(Some(text)),
            Ok(_) => Err(Found::Another),
            Err(error) => Err(Found::Unreadable(format!("{}: {error}", path.display()))),
        }
    }

    fn new_text(&self, base: Option<&str>) -> NewText {
        let work = &self.ledger.document().work;
        let updated = base.and_then(|base| file::updated(base, work, &self.catalogue));
        match (updated, base) {
            (Some(text), _) => NewText {
                text,
                lost: Lost::Nothing,
            },
            (None, base) => NewText {
                text: file::write(work, &self.catalogue),
                lost: base.map_or(Lost::Nothing, |base| {
                    Lost::Layout(file::comment_count(base))
                }),
            },
        }
    }

    /// Writes the document, whatever is there.
    #[cfg(test)]
    pub(crate) fn write(&mut self, path: &Path) -> Result<(), DiskError> {
        let new = self.new_text(self.ledger.document().origin.text.as_deref());
        self.write_text(path, new.text)
    }

    fn write_text(&mut self, path: &Path, text: String) -> Result<(), DiskError> {
        files::write_text(path, &text)?;
        files::sweep_beside(path);
        self.ledger.is_saved_in(Origin {
            path: Some(path.to_owned()),
            text: Some(text),
        });
        self.settings.remember(path);
        self.keep_settings();
        Ok(())
    }

    /// Shows the question about a file that another has changed or removed.
    pub(crate) fn ask_not_as_it_was(&mut self, saving: Saving, found: Found, ctx: &egui::Context) {
        match not_as_it_was_ui(ctx, &name_of(&saving.path), &found) {
            None => self.state.asked = Some(Asked::NotAsItWas(saving, found)),
            Some(SaveAnswer::Cancel) => {}
            Some(SaveAnswer::Overwrite) => self.save_or_say(saving, Agreed::WhatIsThere, ctx),
            Some(SaveAnswer::Copy) => self.ask_for(Purpose::Save, saving.then, ctx),
            Some(SaveAnswer::Reload) => self.take_what_is_there(&saving.path, |app, work, text| {
                app.ledger.reload(work, text);
                app.stands_on_the_desk();
            }),
            Some(SaveAnswer::Compare) => {
                self.take_what_is_there(&saving.path, |app, work, _text| {
                    let said = differences_said(&name_of(&saving.path), &work, app.work());
                    app.ledger.compare_with(ON_DISK, work);
                    app.notices.retain(|n| n.stands != Stands::UntilTheNext);
                    app.notices.push(Notice::done(said));
                });
            }
        }
    }

    fn take_what_is_there(&mut self, path: &Path, take: impl FnOnce(&mut Self, Work, String)) {
        match files::read_work(path, &self.catalogue) {
            Ok((work, text)) => take(self, work, text),
            Err(error) => self.notices.push(Notice::fault(error.to_string())),
        }
    }

    /// Shows the question about comments and layout that a save would lose.
    pub(crate) fn ask_layout_goes(&mut self, saving: Saving, comments: usize, ctx: &egui::Context) {
        match layout_goes_ui(ctx, &name_of(&saving.path), comments) {
            None => self.state.asked = Some(Asked::LayoutGoes(saving, comments)),
            Some(SaveAnswer::Overwrite) => self.save_or_say(saving, Agreed::Everything, ctx),
            Some(SaveAnswer::Copy) => self.ask_for(Purpose::Save, saving.then, ctx),
            Some(SaveAnswer::Cancel | SaveAnswer::Reload | SaveAnswer::Compare) => {}
        }
    }
}

/// The last part of a path, as one speaks of a file.
fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.display().to_string()
}

/// Which fields differ, with both values of each.
fn differences_said(name: &str, theirs: &Work, ours: &Work) -> String {
    let found = file::differences(theirs, ours);
    let value = |text: &Option<String>| match text {
        Some(text) => text.replace('"', ""),
        None => "nothing".to_owned(),
    };
    let said = |one: &Difference| {
        let (there, here) = (value(&one.before), value(&one.after));
        // As the window calls it; the path of the file where no row is for it alone.
        let field = match rows::place(&one.field, &ours.supply) {
            Some(place) => {
                let card = signal_path::title(place.stage).to_lowercase();
                format!("{} ({card})", place.row)
            }
            None => one.field.clone(),
        };
        format!("{field}: {there} on disk, {here} here")
    };
    let mut each: Vec<String> = found.iter().take(MOST_NAMED).map(said).collect();
    match found.len().saturating_sub(MOST_NAMED) {
        0 => {}
        1 => each.push("and one more field".to_owned()),
        n => each.push(format!("and {n} more fields")),
    }
    if each.is_empty() {
        return format!("{name} has the same values on disk, but describes a type otherwise");
    }
    format!("{name} differs in {}", each.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::settings::Folders;
    use crate::app::work::command::{Command, Edit};
    use crate::app::work::history::{Change, Moment};
    use crate::parts::catalogue::presets;

    /// A window on a file of this text.
    fn on(folder: &Path, text: &str) -> (App, PathBuf) {
        let path = folder.join("mine.ron");
        files::write_text(&path, text).expect("written");
        let app = App::open(Some(path.clone()), Folders::default()).expect("the demo supply");
        (app, path)
    }

    fn note(app: &mut App, note: &str) {
        let change = Change {
            label: "Notes".to_owned(),
            control: None,
        };
        let moment = Moment {
            seconds: 0.0,
            held: false,
        };
        let edit = Box::new(Edit::Notes(note.to_owned()));
        app.ledger.apply(Command::Edit(edit, change), moment);
    }

    #[test]
    fn what_cannot_be_kept_is_said_before_it_goes() {
        let ctx = egui::Context::default();
        let folder = tempfile::tempdir().expect("a folder");
        let (mut app, path) = on(folder.path(), presets()[1].1);
        // A text that is no supply any more stands for any that cannot be brought up to the work.
        let broken = "// one\n(format: 1, /* two */";
        files::write_text(&path, broken).expect("written");
        let (work, own) = (app.work().clone(), Some(path.clone()));
        let origin = Origin {
            path: own,
            text: Some(broken.to_owned()),
        };
        app.ledger.open(work, origin);
        note(&mut app, "changed");
        app.save(Some(Then::Quit), &ctx);
        let saving = Saving {
            path: path.clone(),
            then: Some(Then::Quit),
        };
        assert_eq!(app.state.asked, Some(Asked::LayoutGoes(saving.clone(), 2)));
        assert_eq!(files::read_text(&path).expect("there"), broken);
        assert!(app.ledger.document().is_changed() && !app.state.leaving);
        app.state.asked = None;
        app.save_or_say(saving, Agreed::Everything, &ctx);
        let (saved, _) = files::read_work(&path, &app.catalogue).expect("a supply");
        assert_eq!(&saved, app.work());
        assert!(app.state.leaving, "and then it goes on");
    }

    #[test]
    fn a_copy_in_another_file_keeps_the_comments_and_leaves_the_first() {
        let ctx = egui::Context::default();
        let folder = tempfile::tempdir().expect("a folder");
        let text = presets()[1].1;
        let (mut app, path) = on(folder.path(), text);
        note(&mut app, "changed");
        let copy = folder.path().join("copy.ron");
        let saving = Saving {
            path: copy.clone(),
            then: None,
        };
        app.save_in(saving, Agreed::Nothing, &ctx).expect("saved");
        let saved = files::read_text(&copy).expect("there");
        assert_eq!(saved, text.replace("Invented example.", "changed"));
        assert_eq!(files::read_text(&path).expect("there"), text);
        assert_eq!(app.ledger.document().origin.path, Some(copy));
        // A preset has its comments as well.
        let mut app = App::open(None, Folders::default()).expect("the demo supply");
        note(&mut app, "changed");
        let copy = folder.path().join("demo.ron");
        let saving = Saving {
            path: copy.clone(),
            then: None,
        };
        app.save_in(saving, Agreed::Nothing, &ctx).expect("saved");
        let saved = files::read_text(&copy).expect("there");
        let comments = file::comment_count(presets()[0].1);
        assert_eq!(file::comment_count(&saved), comments);
    }

    #[test]
    fn a_folder_in_the_place_of_the_file_is_said_and_nothing_is_asked() {
        let ctx = egui::Context::default();
        let folder = tempfile::tempdir().expect("a folder");
        let (mut app, path) = on(folder.path(), presets()[1].1);
        note(&mut app, "changed");
        files::remove(&path).expect("gone");
        files::make_folder(&path).expect("made");
        app.save(None, &ctx);
        assert_eq!(app.state.asked, None);
        let said = app.notices.last().map(|n| n.text.clone());
        assert!(said.is_some_and(|said| said.contains("found a folder")));
        assert!(app.ledger.document().is_changed());
    }
}
