//! Earlier variants kept in outline, a candidate that is looked at in a list, and what lies in between.
//!
//! Every envelope is worked out once and kept for as long as something shows it.

use crate::app::document::{Kept, Trying, View};
use crate::app::solved::{Picture, compute};
use crate::bench::change::{Comparison, Variant, compare};
use crate::bench::morph::{between, outline_between};
use crate::parts::Supply;
use crate::physics::envelope::{Envelope, Point};

/// Most variants that are kept.
pub(crate) const MOST: usize = 6;

/// How the variant between the ghost and now comes about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Way {
    /// All values part of the way, worked out anew.
    Values,
    /// The outlines blended: the parts differ in kind.
    Outlines,
}

/// The variant between the selected ghost and now.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Between {
    share: f64,
    ends: [Supply; 2],
    /// How it comes about.
    pub(crate) way: Way,
    /// Its envelope; of blended outlines only the region.
    pub(crate) envelope: Envelope,
}

/// One variant worked out; `None` if it cannot be.
#[derive(Debug)]
struct Known {
    supply: Supply,
    picture: Option<Picture>,
}

/// What is known of all variants but the one on the desk.
#[derive(Debug, Default)]
pub(crate) struct Variants {
    known: Vec<Known>,
    compared: Option<(Supply, Supply, [f64; 2])>,
    /// The selected ghost against the supply as it is now.
    pub(crate) comparison: Option<Comparison>,
    /// The variant in between, while the slider stands between the two.
    pub(crate) between: Option<Between>,
}

impl Variants {
    /// Works out what the view shows and forgets what it no longer does. A list's other entries wait for
    /// [`Self::consider_one`].
    pub(crate) fn refresh(&mut self, now: Option<&Picture>, view: &View) {
        let listed = view.trying.iter().flat_map(|t| &t.candidates);
        let shown: Vec<&Supply> = view
            .ghosts
            .iter()
            .chain(listed)
            .map(|k| &k.supply)
            .collect();
        self.known.retain(|k| shown.contains(&&k.supply));
        for kept in &view.ghosts {
            self.work_out(&kept.supply, now);
        }
        if let Some(candidate) = view.trying.as_ref().and_then(Trying::candidate) {
            self.work_out(&candidate.supply, now);
        }
        for known in &mut self.known {
            know_point(known, view.point);
        }
        self.compare(now, view);
        self.go_between(now, view);
    }

    /// Works out one more entry of an open list; true if others are still waiting.
    pub(crate) fn consider_one(&mut self, now: Option<&Picture>, view: &View) -> bool {
        let Some(trying) = &view.trying else {
            return false;
        };
        let mut waiting = trying
            .candidates
            .iter()
            .filter(|c| self.find(&c.supply).is_none());
        let next = waiting.next().map(|c| c.supply.clone());
        let more = waiting.next().is_some();
        if let Some(supply) = next {
            self.work_out(&supply, now);
            if let Some(known) = self.known.last_mut() {
                know_point(known, view.point);
            }
            return true;
        }
        more
    }

    /// What is known of a variant; `None` if it was not worked out yet, or cannot be.
    pub(crate) fn picture(&self, supply: &Supply) -> Option<&Picture> {
        self.find(supply)?.picture.as_ref()
    }

    /// True if it was tried and cannot be worked out.
    pub(crate) fn cannot_be(&self, supply: &Supply) -> bool {
        self.find(supply).is_some_and(|k| k.picture.is_none())
    }

    fn find(&self, supply: &Supply) -> Option<&Known> {
        self.known.iter().find(|k| k.supply == *supply)
    }

    fn work_out(&mut self, supply: &Supply, now: Option<&Picture>) {
        if self.find(supply).is_some() {
            return;
        }
        let picture = match now {
            // Just kept: it is the picture that is on the screen.
            Some(now) if now.supply == *supply => Some(now.clone()),
            _ => compute(supply, now).ok(),
        };
        self.known.push(Known {
            supply: supply.clone(),
            picture,
        });
    }

    fn compare(&mut self, now: Option<&Picture>, view: &View) {
        let before = selected(view).and_then(|kept| self.picture(&kept.supply));
        let (Some(before), Some(after)) = (before, now) else {
            self.comparison = None;
            self.compared = None;
            return;
        };
        let is_same = self.compared.as_ref().is_some_and(|(a, b, at)| {
            *a == before.supply && *b == after.supply && same_place(*at, view.point)
        });
        if is_same {
            return;
        }
        let compared = (before.supply.clone(), after.supply.clone(), view.point);
        let comparison = match (&before.point, &after.point) {
            (Some(a), Some(b)) => Some(compare(&variant(before, a), &variant(after, b))),
            _ => None,
        };
        self.comparison = comparison;
        self.compared = Some(compared);
    }

    fn go_between(&mut self, now: Option<&Picture>, view: &View) {
        let ghost = selected(view).and_then(|kept| self.picture(&kept.supply));
        let (Some(ghost), Some(now)) = (ghost, now) else {
            self.between = None;
            return;
        };
        let share = view.along;
        if share <= 0.0 || share >= 1.0 {
            self.between = None;
            return;
        }
        let is_same = self.between.as_ref().is_some_and(|b| {
            b.share.to_bits() == share.to_bits()
                && b.ends[0] == ghost.supply
                && b.ends[1] == now.supply
        });
        if is_same {
            return;
        }
        let values =
            between(&ghost.supply, &now.supply, share).and_then(|s| compute(&s, Some(now)).ok());
        let (way, envelope) = match values {
            Some(picture) => (Way::Values, picture.envelope),
            None => (Way::Outlines, blended(ghost, now, share)),
        };
        self.between = Some(Between {
            share,
            ends: [ghost.supply.clone(), now.supply.clone()],
            way,
            envelope,
        });
    }
}

/// The ghost whose changes are listed.
pub(crate) fn selected(view: &View) -> Option<&Kept> {
    view.ghosts.get(view.ghost?)
}

/// A variant with its answers at a point.
pub(crate) fn variant<'a>(picture: &'a Picture, point: &'a Point) -> Variant<'a> {
    Variant {
        model: &picture.model,
        envelope: &picture.envelope,
        point,
        load_lines: &picture.load_lines,
    }
}

fn blended(ghost: &Picture, now: &Picture, share: f64) -> Envelope {
    Envelope {
        amps: Vec::new(),
        columns: Vec::new(),
        limits: Vec::new(),
        region: outline_between(&ghost.envelope.region, &now.envelope.region, share),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
    }
}

fn same_place(a: [f64; 2], b: [f64; 2]) -> bool {
    a.map(f64::to_bits) == b.map(f64::to_bits)
}

fn know_point(known: &mut Known, [amps, volts]: [f64; 2]) {
    if let Some(picture) = &mut known.picture
        && !picture.point.as_ref().is_some_and(|p| {
            p.amps.to_bits() == amps.to_bits() && p.volts.to_bits() == volts.to_bits()
        })
    {
        picture.point = picture.envelope.point(&picture.model, amps, volts).ok();
    }
}
