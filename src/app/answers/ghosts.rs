//! Earlier variants kept in outline, a candidate that is looked at in a list, and what lies in between.
//!
//! Every envelope is worked out once and kept for as long as something shows it.

use std::sync::Arc;

use crate::app::answers::solved::{Picture, load_lines, solve};
use crate::app::work::view::{Kept, Trying, View};
use crate::bench::change::{Comparison, Variant, compare};
use crate::bench::morph::{between, outline_between};
use crate::parts::{Dummy, Supply};
use crate::physics::envelope::Envelope;

/// How the variant between the ghost and now comes about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mixed {
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
    pub(crate) mixed: Mixed,
    /// Its envelope; of blended outlines only the region.
    pub(crate) envelope: Arc<Envelope>,
}

/// One variant worked out; `None` if it cannot be.
#[derive(Debug, Clone)]
struct Solved {
    supply: Supply,
    picture: Option<Picture>,
}

/// Which two were compared, with which loads, and where.
#[derive(Debug, Clone, PartialEq)]
struct Compared {
    supplies: [Supply; 2],
    dummies: [Vec<Dummy>; 2],
    at: [f64; 2],
}

/// What is known of all variants but the one on the desk.
#[derive(Debug, Clone, Default)]
pub(crate) struct Variants {
    known: Vec<Solved>,
    compared: Option<Compared>,
    /// The selected ghost against the supply as it is now.
    pub(crate) comparison: Option<Comparison>,
    /// Envelopes worked out so far.
    pub(crate) n_solved: usize,
    /// The variant in between, while the slider stands between the two.
    pub(crate) between: Option<Between>,
}

impl Variants {
    /// Works out what the view shows and forgets what it no longer does. A list's other entries wait for
    /// [`Self::consider_one`].
    pub(crate) fn refresh(&mut self, now: Option<&Picture>, view: &View) {
        let listed = view.trying.iter().flat_map(|t| &t.candidates);
        let shown: Vec<&Supply> = (view.ghosts.iter().map(|k| &k.work.supply))
            .chain(listed.map(|c| &c.supply))
            .collect();
        self.known.retain(|k| shown.contains(&&k.supply));
        for kept in &view.ghosts {
            self.work_out(&kept.work.supply, now);
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

    /// The next entry of an open list that was not worked out yet.
    pub(crate) fn waiting<'v>(&self, view: &'v View) -> Option<&'v Supply> {
        let mut listed = view.trying.iter().flat_map(|trying| &trying.candidates);
        let next = listed.find(|c| self.find(&c.supply).is_none())?;
        Some(&next.supply)
    }

    /// Works out that entry, if there is one.
    pub(crate) fn consider_one(&mut self, now: Option<&Picture>, view: &View) {
        if let Some(supply) = self.waiting(view) {
            self.work_out(supply, now);
            if let Some(known) = self.known.last_mut() {
                know_point(known, view.point);
            }
        }
    }

    /// What is known of a variant; `None` if it was not worked out yet, or cannot be.
    pub(crate) fn picture(&self, supply: &Supply) -> Option<&Picture> {
        self.find(supply)?.picture.as_ref()
    }

    /// True if it was tried and cannot be worked out.
    pub(crate) fn cannot_be(&self, supply: &Supply) -> bool {
        self.find(supply).is_some_and(|k| k.picture.is_none())
    }

    fn find(&self, supply: &Supply) -> Option<&Solved> {
        self.known.iter().find(|k| k.supply == *supply)
    }

    fn work_out(&mut self, supply: &Supply, now: Option<&Picture>) {
        if self.find(supply).is_some() {
            return;
        }
        let picture = match now {
            // Just kept: it is the picture that is on the screen.
            Some(now) if now.supply == *supply => Some(now.clone()),
            _ => {
                self.n_solved += 1;
                solve(supply, now).ok()
            }
        };
        self.known.push(Solved {
            supply: supply.clone(),
            picture,
        });
    }

    fn compare(&mut self, now: Option<&Picture>, view: &View) {
        let ghost = selected(view);
        let before = ghost.and_then(|kept| Some((kept, self.picture(&kept.work.supply)?)));
        let (Some((ghost, before)), Some(after)) = (before, now) else {
            self.comparison = None;
            self.compared = None;
            return;
        };
        let compared = Compared {
            supplies: [&before.supply, &after.supply].map(Supply::clone),
            dummies: [&ghost.work.dummies, &after.dummies].map(Vec::clone),
            at: view.point,
        };
        if self.compared.as_ref() == Some(&compared) {
            return;
        }
        let lines = load_lines(&before.envelope, &ghost.work.dummies);
        let comparison = match (&before.point, &after.point) {
            (Some(a), Some(b)) => Some(compare(
                &Variant {
                    model: &before.model,
                    envelope: &before.envelope,
                    point: a,
                    dummies: &ghost.work.dummies,
                    load_lines: &lines,
                },
                &Variant {
                    model: &after.model,
                    envelope: &after.envelope,
                    point: b,
                    dummies: &after.dummies,
                    load_lines: &after.load_lines,
                },
            )),
            _ => None,
        };
        self.comparison = comparison;
        self.compared = Some(compared);
    }

    fn go_between(&mut self, now: Option<&Picture>, view: &View) {
        let ghost = selected(view).and_then(|kept| self.picture(&kept.work.supply));
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
        let values = between(&ghost.supply, &now.supply, share);
        let values = values.and_then(|on_the_way| solve(&on_the_way, Some(now)).ok());
        let (mixed, envelope) = match values {
            Some(picture) => (Mixed::Values, picture.envelope),
            None => (Mixed::Outlines, Arc::new(blended(ghost, now, share))),
        };
        self.between = Some(Between {
            share,
            ends: [ghost.supply.clone(), now.supply.clone()],
            mixed,
            envelope,
        });
    }
}

/// The ghost whose changes are listed.
pub(crate) fn selected(view: &View) -> Option<&Kept> {
    view.ghosts.get(view.ghost?)
}

fn blended(ghost: &Picture, now: &Picture, share: f64) -> Envelope {
    Envelope {
        amps: Vec::new(),
        columns: Vec::new(),
        limits: Vec::new(),
        region: outline_between(&ghost.envelope.region, &now.envelope.region, share),
        reach: outline_between(&ghost.envelope.reach, &now.envelope.reach, share),
        lost_regulation: Vec::new(),
        broken_everywhere: Vec::new(),
        kept: None,
    }
}

fn know_point(known: &mut Solved, [amps, volts]: [f64; 2]) {
    if let Some(picture) = &mut known.picture
        && !picture.point.as_ref().is_some_and(|p| {
            p.amps.to_bits() == amps.to_bits() && p.volts.to_bits() == volts.to_bits()
        })
    {
        picture.point = picture.envelope.point(&picture.model, amps, volts).ok();
    }
}
