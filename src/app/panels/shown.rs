//! What the panels are given to draw from: shared references only. They answer with commands.

pub(crate) mod rows;

use crate::app::answers::Answers;
use crate::app::answers::at_bench::AtBench;
use crate::app::answers::how_sure::HowSure;
use crate::app::answers::jobs::Jobs;
use crate::app::answers::moves::Moves;
use crate::app::answers::networks::Search;
use crate::app::answers::surges::SurgesWanted;
use crate::app::disk::settings::Settings;
use crate::app::theme::Theme;
use crate::app::work::command::Command;
use crate::app::work::document::Document;
use crate::app::work::history::History;
use crate::app::work::view::View;
use crate::parts::Drawer;
use crate::parts::catalogue::Catalogue;

/// Everything a panel may look at.
#[derive(Clone, Copy)]
pub(crate) struct Shown<'a> {
    /// The supply and its file.
    pub(crate) document: &'a Document,
    /// What is looked at.
    pub(crate) view: &'a View,
    /// What was computed.
    pub(crate) answers: &'a Answers,
    /// What moves the limit that is explained.
    pub(crate) moves: &'a Jobs<Moves>,
    /// What of the drawer makes a load.
    pub(crate) networks: &'a Jobs<Search>,
    /// The resistors one owns.
    pub(crate) drawer: &'a Drawer,
    /// How sure it is.
    pub(crate) how_sure: &'a HowSure,
    /// What plan and readings come to.
    pub(crate) at_bench: &'a Jobs<AtBench>,
    /// Many switch-ons.
    pub(crate) surges: &'a Jobs<SurgesWanted>,
    /// The steps.
    pub(crate) history: &'a History,
    /// Known types.
    pub(crate) catalogue: &'a Catalogue,
    /// What is remembered.
    pub(crate) settings: &'a Settings,
    /// The colours.
    pub(crate) theme: Theme,
}

/// What the panels ask for, in order.
pub(crate) type Commands = Vec<Command>;

/// Whether what can be closed stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stays {
    /// It does.
    Open,
    /// The user has done with it.
    Closed,
}
