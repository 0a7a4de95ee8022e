//! What is only looked at: not saved, not undone.

use crate::parts::{Stage, Supply, Work};
use crate::physics::limit::Limit;

/// An earlier variant with its name.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Kept {
    /// What it is called.
    pub(crate) name: String,
    /// All that was on the desk then.
    pub(crate) work: Work,
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

/// What stands below the envelope.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Scene {
    /// The dummy loads.
    #[default]
    Envelope,
    /// One mains cycle.
    Cycle,
    /// Where the watts go.
    Energy,
    /// How the output is held.
    Regulation,
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
    /// True while the selected dummy's values can be edited.
    pub(crate) dummy_open: bool,
    /// Earlier variants kept in outline, oldest first.
    pub(crate) ghosts: Vec<Kept>,
    /// The one whose changes are listed.
    pub(crate) ghost: Option<usize>,
    /// Share of the way from that ghost (0) to now (1).
    pub(crate) along: f64,
    /// The list that is open, with what its entries would give.
    pub(crate) trying: Option<Trying>,
    /// What stands below the envelope.
    pub(crate) scene: Scene,
    /// The limit whose row is unfolded: why, and what moves it.
    pub(crate) about: Option<Limit>,
    /// True while the envelope is shaded by the tightest limit.
    pub(crate) map: bool,
}

impl View {
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
            dummy_open: false,
            ghosts: Vec::new(),
            ghost: None,
            along: 1.0,
            trying: None,
            scene: Scene::default(),
            about: None,
            map: false,
        }
    }
}
