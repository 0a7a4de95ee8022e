//! The drawer is written whenever it changed: it belongs to no supply, and nobody is asked to save it.

use std::path::Path;

use crate::app::answers::networks::sought;
use crate::app::disk::drawer::read_any;
use crate::app::disk::files;
use crate::app::panels::notices::Notice;
use crate::app::window::App;
use crate::app::work::command::Command;
use crate::app::work::view::Scene;
use crate::parts::drawer::{MOST, write_table};

impl App {
    /// Writes the drawer if it is not as it is on the disk.
    pub(crate) fn keep_drawer(&mut self) {
        if *self.ledger.drawer() == self.drawer_on_disk {
            return;
        }
        self.drawer_on_disk = self.ledger.drawer().clone();
        match self.drawer_file.save(&self.drawer_on_disk) {
            Ok(None) => {}
            Ok(Some(kept)) => {
                let text = format!(
                    "The drawer's file held something that is not from this window; it is kept in {}",
                    files::shown_path(&kept)
                );
                self.notices.push(Notice::fault(text));
            }
            // It is tried again with the next change.
            Err(error) => self.say_once(error.to_string()),
        }
    }

    /// Writes the drawer as a table to this file.
    pub(crate) fn write_drawer_table(&mut self, path: &Path) -> Result<(), String> {
        let text = write_table(self.ledger.drawer());
        files::write_text(path, &text).map_err(|error| error.to_string())?;
        self.tell_done(format!("The drawer is in {}", files::shown_path(path)));
        Ok(())
    }

    /// Puts the resistors of a table or of jotted lines into the drawer; of a file with a fault nothing is taken.
    pub(crate) fn put_in_from(&mut self, path: &Path, ctx: &egui::Context) {
        match read_any(path) {
            Ok(new) => {
                let mut drawer = self.ledger.drawer().clone();
                let many = new.resistors.len();
                for owned in new.resistors {
                    drawer.put(owned);
                }
                if drawer.resistors.len() > usize::from(MOST) {
                    let said = format!(
                        "{}: found {} entries with those in the drawer, expected at most {MOST}",
                        files::shown_path(path),
                        drawer.resistors.len()
                    );
                    self.notices.push(Notice::fault(said));
                    return;
                }
                let label = format!("Drawer, {many} entries put in");
                self.carry_out(vec![Command::EditDrawer(Box::new(drawer), label)], ctx);
                self.tell_done(format!("{many} entries were put into the drawer"));
            }
            Err(faults) => self.notices.extend(faults.into_iter().map(Notice::fault)),
        }
    }

    /// Has looked for in the drawer what the dock is to show of it.
    pub(crate) fn seek_networks(&mut self, ctx: &egui::Context) {
        let view = self.ledger.view();
        if view.scene() != Scene::Networks {
            return;
        }
        let work = &self.ledger.document().work;
        if let Some(sought) = sought(view, work, &self.answers) {
            let desk = (self.ledger.drawer(), &work.supply);
            self.calculation.seek_networks(sought, desk, ctx);
        }
    }
}
