//! The drawer is written whenever it changed: it belongs to no supply, and nobody is asked to save it.

use crate::app::answers::networks::sought;
use crate::app::disk::files;
use crate::app::panels::notices::Notice;
use crate::app::window::App;
use crate::app::work::view::Scene;

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
