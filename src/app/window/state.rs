//! What goes on in the window around the work: questions, dialogs, the tour, what waits for the next frame.

use std::path::PathBuf;

use crate::app::disk::dialogs::{Dialog, Purpose};
use crate::app::panels::glossary::Glossary;
use crate::app::panels::new_supply::NewSupplyPage;
use crate::app::panels::picture_export::PictureRequest;
use crate::app::panels::questions::Found;
use crate::app::panels::shortcut_list::ShortcutList;
use crate::app::panels::tour::Arrival;
use crate::app::plots::envelope::PlotView;
use crate::app::window::panes::Panes;
use crate::app::window::saving::Saving;
use crate::app::window::tube_drafts::TubeDrafts;
use crate::app::work::action::Action;
use crate::app::work::command::Ledger;
use crate::parts::Work;

/// What happens once unsaved work is safe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Then {
    /// Ask for a file and open it.
    Ask,
    /// Open this file.
    Open(PathBuf),
    /// Open this preset.
    Preset(usize),
    /// Put the new supply of the page on the desk.
    New,
    /// Take up the unsaved work of this copy.
    TakeUp(PathBuf),
    /// Open the demo supply and begin the tour.
    Tour,
    /// Put back on the desk what was there before the tour.
    BackFromTour,
    /// Leave.
    Quit,
}

/// The question that stands in the window.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Asked {
    /// Save first?
    Unsaved(Then),
    /// What of a file that another has changed or removed?
    NotAsItWas(Saving, Found),
    /// Save without the comments, of which there are so many?
    LayoutGoes(Saving, usize),
    /// Which path?
    Path(PathRequest),
    /// What is the new supply like?
    NewSupply,
    /// Which picture?
    Picture(Box<PictureRequest>),
}

/// A path being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PathRequest {
    /// What the path is for.
    pub(crate) purpose: Purpose,
    /// What is typed.
    pub(crate) text: String,
    /// What is wrong with it.
    pub(crate) wrong: Option<String>,
    /// A file that is there already: asked for once more, it is replaced.
    pub(crate) replaces: Option<PathBuf>,
    /// What comes after it.
    pub(crate) then: Option<Then>,
}

/// A dialog that is open, and what is to come of it.
#[derive(Debug)]
pub(crate) struct Pending {
    /// The dialog.
    pub(crate) dialog: Dialog,
    /// What comes after it.
    pub(crate) then: Option<Then>,
    /// The work when it was asked for: one that is changed while the dialog is open is not given away unasked.
    pub(crate) agreed: Work,
}

/// What goes on in the window around the work.
#[derive(Debug, Default)]
pub(crate) struct WindowState {
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
    /// The list of keys, while it is open.
    pub(crate) shortcuts: Option<ShortcutList>,
    /// Where the panes stand and which of them has the keyboard.
    pub(crate) panes: Panes,
    /// The step of the tour, while it goes on.
    pub(crate) tour: Option<(usize, Arrival)>,
    /// What was on the desk before it.
    pub(crate) before_tour: Option<Box<Ledger>>,
    /// The page for a new supply.
    pub(crate) new_supply: NewSupplyPage,
    /// The tube editor and its drafts.
    pub(crate) tubes: TubeDrafts,
    /// The title that the window has.
    pub(crate) title: String,
    /// What the plot remembers between frames.
    pub(crate) plot: PlotView,
    /// The height to which the dock was drawn (points), until it is on the disk.
    pub(crate) dock_drawn_to: Option<u16>,
    /// The file dialog that is open.
    pub(crate) dialog: Option<Pending>,
}

impl WindowState {
    /// Nothing going on, with the drafts that an earlier run left.
    pub(crate) fn with_tubes(tubes: TubeDrafts) -> Self {
        Self {
            tubes,
            ..Self::default()
        }
    }
}
