//! What is only looked at: not saved, not undone.

use crate::bench::fuses::Before;
use crate::parts::{Stage, Supply, Work};
use crate::physics::limit::Limit;
use crate::physics::switch_on::Closing;

/// Letters of the ghosts; there are never more.
pub(crate) const LETTERS: [char; 4] = ['a', 'b', 'c', 'd'];

/// An earlier variant with its name.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Kept {
    /// One of [`LETTERS`], for as long as it is kept; its line has the letter, and a dash of its own.
    pub(crate) letter: char,
    /// What it is called.
    pub(crate) name: String,
    /// Who called it so.
    pub(crate) named: Named,
    /// The change that led to it.
    pub(crate) since: String,
    /// True while it is on the plot.
    pub(crate) shown: bool,
    /// All that was on the desk then.
    pub(crate) work: Work,
}

/// Where the name of a ghost comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Named {
    /// From what it has and the work as it is now has not; it goes with the work.
    ByDifference,
    /// It was given.
    Given,
}

/// What can be shown on the plane or left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layer {
    /// The lines at low and high mains.
    Mains,
    /// The envelope shaded by the tightest limit.
    Margins,
    /// The band of the dropout line, and the odds of the point.
    Tolerance,
    /// What was measured.
    Readings,
}

/// Which of them are shown.
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Layers {
    /// The lines at low and high mains.
    pub(crate) mains: bool,
    /// The envelope shaded by the tightest limit.
    pub(crate) margins: bool,
    /// The band of the dropout line, and the odds of the point.
    pub(crate) tolerance: bool,
    /// What was measured.
    pub(crate) readings: bool,
}

impl Layers {
    /// True if this one is shown.
    pub(crate) fn shows(self, layer: Layer) -> bool {
        match layer {
            Layer::Mains => self.mains,
            Layer::Margins => self.margins,
            Layer::Tolerance => self.tolerance,
            Layer::Readings => self.readings,
        }
    }

    /// Shows this one, or no longer.
    #[expect(clippy::fn_params_excessive_bools, reason = "as the switch stands")]
    pub(crate) fn show(&mut self, layer: Layer, on: bool) {
        let switch = match layer {
            Layer::Mains => &mut self.mains,
            Layer::Margins => &mut self.margins,
            Layer::Tolerance => &mut self.tolerance,
            Layer::Readings => &mut self.readings,
        };
        *switch = on;
    }
}

/// What the supply would be with an entry of a list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Candidate {
    /// The entry.
    pub(crate) name: String,
    /// The supply with it.
    pub(crate) supply: Supply,
}

/// A list that is open, with what each of its entries would make of the supply.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Trying {
    /// Each entry with the supply that it would give.
    pub(crate) candidates: Vec<Candidate>,
    /// The entry under the pointer or the keyboard.
    pub(crate) looked_at: Option<usize>,
}

impl Trying {
    /// The entry that is looked at.
    pub(crate) fn candidate(&self) -> Option<&Candidate> {
        self.candidates.get(self.looked_at?)
    }
}

/// A page of the dock below the plot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Page {
    /// What one does at the bench: the dummy loads, the plan, the readings.
    Bench,
    /// What happens in time.
    InTime,
    /// What goes on in the supply at the point.
    Workings,
}

impl Page {
    /// All of them, from left to right.
    pub(crate) const ALL: [Self; 3] = [Self::Bench, Self::InTime, Self::Workings];

    /// What stands on its tab.
    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::Bench => "Bench",
            Self::InTime => "In time",
            Self::Workings => "Workings",
        }
    }

    /// The stops of the page, from left to right.
    pub(crate) fn stops(self) -> &'static [Scene] {
        match self {
            Self::Bench => &[Scene::Loads, Scene::Plan, Scene::Readings],
            Self::InTime => &[Scene::SwitchingOn, Scene::Cycle, Scene::RunDown],
            Self::Workings => &[Scene::Energy, Scene::Regulation, Scene::Odds],
        }
    }
}

/// What a page of the dock shows at one of its stops.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Scene {
    /// The dummy loads.
    #[default]
    Loads,
    /// What of the drawer makes a load; one comes to it from the loads.
    Networks,
    /// The steps of an evening.
    Plan,
    /// What was read, and what that says.
    Readings,
    /// The moment at which it is switched on.
    SwitchingOn,
    /// One mains cycle.
    Cycle,
    /// After switch-off.
    RunDown,
    /// Where the watts go.
    Energy,
    /// How the output is held.
    Regulation,
    /// How sure it is.
    Odds,
}

impl Scene {
    /// The page that it is a stop of.
    pub(crate) fn page(self) -> Page {
        match self {
            Self::Loads | Self::Networks | Self::Plan | Self::Readings => Page::Bench,
            Self::SwitchingOn | Self::Cycle | Self::RunDown => Page::InTime,
            Self::Energy | Self::Regulation | Self::Odds => Page::Workings,
        }
    }

    /// What stands on its switch.
    pub(crate) fn text(self) -> &'static str {
        match self {
            Self::Loads => "loads",
            Self::Networks => "from the drawer",
            Self::Plan => "plan",
            Self::Readings => "readings",
            Self::SwitchingOn => "switching on",
            Self::Cycle => "mains cycle",
            Self::RunDown => "after switch-off",
            Self::Energy => "where the watts go",
            Self::Regulation => "how the output is held",
            Self::Odds => "how sure it is",
        }
    }
}

/// What a load is looked for in the drawer for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum DrawerAsk {
    /// The point.
    #[default]
    Point,
    /// The ohms of the selected load.
    Load,
    /// The few loads that show the envelope best.
    Envelope,
}

/// How the dock below the plot stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Dock {
    /// What it shows.
    pub(crate) scene: Scene,
    /// The stop of the bench that was looked at last.
    pub(crate) bench: Scene,
    /// The stop of the workings that was looked at last: their tab leads back to it.
    pub(crate) working: Scene,
    /// The same of what happens in time.
    pub(crate) in_time: Scene,
    /// Whether it is unfolded; `None` as long as nobody said: then by the size of the window.
    pub(crate) unfolded: Option<bool>,
}

impl Default for Dock {
    fn default() -> Self {
        Self {
            scene: Scene::default(),
            bench: Scene::Loads,
            working: Scene::Energy,
            in_time: Scene::Cycle,
            unfolded: None,
        }
    }
}

impl Dock {
    /// Shows this, unfolded.
    pub(crate) fn look_at(&mut self, scene: Scene) {
        match scene.page() {
            Page::Bench => self.bench = scene,
            Page::InTime => self.in_time = scene,
            Page::Workings => self.working = scene,
        }
        self.scene = scene;
        self.unfolded = Some(true);
    }

    /// What a page shows when one comes to it.
    pub(crate) fn stop_of(self, page: Page) -> Scene {
        match page {
            Page::Bench => self.bench,
            Page::InTime => self.in_time,
            Page::Workings => self.working,
        }
    }
}

/// How the switch closes in the picture of switching on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Switch {
    /// Angle of the mains (degrees).
    pub(crate) degrees: f64,
    /// What stayed in the core, as a share of the working flux.
    pub(crate) residual: f64,
    /// What the supply was before.
    pub(crate) before: Before,
    /// Whether switch-ons are drawn behind the frames.
    pub(crate) drawing: Drawing,
}

/// Whether many switch-ons are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Drawing {
    /// They are.
    On,
    /// They were stopped.
    Stopped,
}

impl Default for Switch {
    fn default() -> Self {
        Self {
            degrees: 0.0,
            residual: 0.3,
            before: Before::Cold,
            drawing: Drawing::On,
        }
    }
}

impl Switch {
    /// The same for the physics.
    pub(crate) fn closing(self) -> Closing {
        match self.before {
            Before::Cold => Closing::cold(self.degrees, self.residual),
            Before::Hot => Closing::hot(self.degrees, self.residual),
        }
    }
}

/// What the window looks at; not saved, not undone.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct View {
    /// The card that is open.
    pub(crate) open: Option<Stage>,
    /// The point (A, V).
    pub(crate) point: [f64; 2],
    /// Where the pointer rests in the plane (A, V).
    pub(crate) pointed: Option<[f64; 2]>,
    /// The dummy along whose line the point is moved.
    pub(crate) dummy: Option<usize>,
    /// Earlier variants kept in outline, oldest first.
    pub(crate) ghosts: Vec<Kept>,
    /// The one whose changes are listed.
    pub(crate) ghost: Option<usize>,
    /// Share of the way from that ghost (0) to now (1).
    pub(crate) along: f64,
    /// The list that is open, with what its entries would give.
    pub(crate) trying: Option<Trying>,
    /// The dock below the plot.
    pub(crate) dock: Dock,
    /// The limit whose row is unfolded: why, and what moves it.
    pub(crate) about: Option<Limit>,
    /// What is shown on the plane.
    pub(crate) layers: Layers,
    /// What a load is looked for in the drawer for.
    pub(crate) drawer_ask: DrawerAsk,
    /// The set of readings that is looked at, by its place.
    pub(crate) set: usize,
    /// How the switch closes.
    pub(crate) switch: Switch,
}

impl View {
    /// What is to be seen in the dock; folded, it has nothing to be worked out.
    pub(crate) fn scene(&self) -> Scene {
        if self.dock.unfolded == Some(false) {
            Scene::Loads
        } else {
            self.dock.scene
        }
    }

    /// True while bands and odds are to be seen; else they are not worked out.
    pub(crate) fn asks_how_sure(&self) -> bool {
        self.layers.tolerance || self.scene() == Scene::Odds
    }

    /// What one sees first of a supply: no card open, a point inside most supplies' reach.
    pub(crate) fn first(work: &Work) -> Self {
        let volts = 0.8 * work.supply.output.set_high.0;
        let amps = work
            .dummies
            .first()
            .filter(|d| d.resistance.0 > 0.0)
            .map_or(0.02, |d| volts / d.resistance.0);
        Self {
            open: None,
            point: [amps, volts],
            pointed: None,
            dummy: (!work.dummies.is_empty()).then_some(0),
            ghosts: Vec::new(),
            ghost: None,
            along: 1.0,
            trying: None,
            dock: Dock::default(),
            about: None,
            layers: Layers {
                mains: true,
                margins: false,
                tolerance: false,
                readings: true,
            },
            drawer_ask: DrawerAsk::default(),
            set: work.bench.sets.len().saturating_sub(1),
            switch: Switch::default(),
        }
    }
}
