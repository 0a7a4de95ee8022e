//! What of the drawer makes a load: a job, for a full drawer has many networks.

use crate::app::answers::Answers;
use crate::app::answers::jobs::{Progress, Request};
use crate::app::work::view::{DrawerAsk, View};
use crate::bench::networks::{Found, USUAL_MARGIN, Wanted, networks};
use crate::bench::showing::{Shows, showing};
use crate::parts::{Drawer, Supply, Work};
use crate::physics::Model;
use crate::physics::envelope::envelope;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sought {
    /// A load.
    Load(Wanted),
    /// The few loads that show the envelope of the supply.
    Envelope,
}

/// Where, and for which supply.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Search {
    /// What is looked for.
    pub(crate) sought: Sought,
    /// In this drawer.
    pub(crate) drawer: Drawer,
    /// For this supply.
    pub(crate) supply: Supply,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Answer {
    /// Networks for a load.
    Load(Found),
    /// Loads that show the envelope; none where the supply has none.
    Envelope(Vec<Shows>),
}

/// What is looked for as the window is now; `None` where no load leads to the point, or no load is selected.
pub(crate) fn sought(view: &View, work: &Work, answers: &Answers) -> Option<Sought> {
    match view.drawer_ask {
        DrawerAsk::Envelope => Some(Sought::Envelope),
        DrawerAsk::Point => Wanted::at(view.point).map(Sought::Load),
        DrawerAsk::Load => {
            let place = view.dummy?;
            let ohms = work.dummies.get(place)?.resistance.0;
            let lines = answers.picture.as_ref().map(|picture| &picture.load_lines);
            let line = lines.and_then(|lines| lines.get(place));
            // As far as the supply alone goes on it.
            let end = line.and_then(|line| line.supply_stretches.last().or(line.reach.last()));
            let volts = end.map(|end| end.to[1]);
            Some(Sought::Load(Wanted { ohms, volts }))
        }
    }
}

impl Request for Search {
    type Answer = Answer;

    fn work_out(&self, _: &Progress<Self::Answer>) -> Self::Answer {
        match self.sought {
            Sought::Load(wanted) => Answer::Load(networks(&self.drawer, wanted, USUAL_MARGIN)),
            Sought::Envelope => {
                let model = Model::of(&self.supply);
                let found = model.and_then(|model| envelope(&model));
                Answer::Envelope(found.map_or_else(
                    |_no_envelope| Vec::new(),
                    |envelope| showing(&envelope, &self.drawer, USUAL_MARGIN),
                ))
            }
        }
    }

    fn supply(&self) -> &Supply {
        &self.supply
    }
}
