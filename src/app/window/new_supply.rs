//! A new supply: the page of questions, and what becomes of its answers.

use crate::app::panels::new_supply::{NewSupplyAnswer, new_supply_ui};
use crate::app::panels::notices::Notice;
use crate::app::window::App;
use crate::app::window::state::{Asked, Then};
use crate::explain::new_supply::made;
use crate::parts::new_supply::draft::NewSupplyDraft;

impl App {
    /// Opens the page, with what was typed in it before.
    pub(crate) fn open_new_supply(&mut self) {
        self.state.new_supply.fresh = true;
        self.state.asked = Some(Asked::NewSupply);
    }

    /// Draws the page.
    pub(crate) fn ask_new_supply(&mut self, ctx: &egui::Context) {
        let page = &mut self.state.new_supply;
        match new_supply_ui(ctx, page, &self.catalogue) {
            None => self.state.asked = Some(Asked::NewSupply),
            Some(NewSupplyAnswer::Close) => {}
            Some(NewSupplyAnswer::Clear) => {
                page.draft = NewSupplyDraft::default();
                self.open_new_supply();
            }
            Some(NewSupplyAnswer::Make) => self.unless_unsaved(Then::New, ctx),
        }
    }

    /// Puts the supply of the page on the desk. Nothing of it is on the disk: it is unsaved from the first.
    pub(crate) fn make_new_supply(&mut self) {
        let Ok(work) = self.state.new_supply.draft.work(&self.catalogue) else {
            // The page says what is wrong.
            return self.open_new_supply();
        };
        let guessed = work.guessed.len();
        self.ledger.begin(work);
        self.stands_on_the_desk();
        self.tour_was_offered();
        self.notices.push(Notice::done(made(guessed)));
    }
}
