//! What has been computed, and for which input. While an input cannot be computed, the last good picture stays.

pub(crate) mod at_bench;
pub(crate) mod below;
pub(crate) mod calculation;
pub(crate) mod ghosts;
pub(crate) mod how_sure;
pub(crate) mod jobs;
pub(crate) mod moves;
pub(crate) mod networks;
pub(crate) mod solved;
pub(crate) mod surges;

use crate::app::answers::below::{Below, Missing};
use crate::app::answers::ghosts::Variants;
use crate::app::answers::solved::{Picture, solve};
use crate::app::work::view::{Scene, View};
use crate::bench::acceptance::{bound_as_built, highest_in_reach};
use crate::bench::first_met::{FirstMet, WaysBack, first_met, stands_on, ways_back};
use crate::bench::sensitivity::worth_moving;
use crate::bench::working::{Working, working};
use crate::explain::accepted;
use crate::explain::failure::problems;
use crate::parts::check::{Problem, check_work};
use crate::parts::{Dummy, Primary, Stage, Supply, Work};
use crate::physics::Failure;
use crate::physics::envelope::{Point, margin_map};
use crate::physics::limit::{Limit, acceptance};
use crate::physics::switch_on::Closing;

/// What the picture depends on: neither name nor notes.
#[derive(Debug, Clone, PartialEq)]
struct Tried {
    supply: Supply,
    dummies: Vec<Dummy>,
    primary: Primary,
}

impl Tried {
    fn is_of(&self, work: &Work) -> bool {
        self.supply == work.supply && self.dummies == work.dummies && self.primary == work.primary
    }
}

impl From<&Work> for Tried {
    fn from(work: &Work) -> Self {
        Self {
            supply: work.supply.clone(),
            dummies: work.dummies.clone(),
            primary: work.primary.clone(),
        }
    }
}

/// How the answers stand to what is on the desk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Standing {
    /// They are of the supply and of the point as they are now.
    #[default]
    Now,
    /// They are of this supply; those about the point or the dummy loads are still being worked out.
    PointBefore,
    /// They are of the supply before, while this one is being worked out.
    SupplyBefore,
    /// They are of the supply before: this one was given up, which is said in a notice.
    GivenUp,
}

/// All answers of the window.
#[derive(Debug, Clone, Default)]
pub(crate) struct Answers {
    /// The last good picture; `None` only before the first.
    pub(crate) picture: Option<Picture>,
    /// Why the supply as it is now cannot be computed; the picture is then an older one.
    pub(crate) failure: Option<Failure>,
    /// Why nothing is known about the point.
    pub(crate) point_failure: Option<Failure>,
    /// Everything known about the place where the pointer rests.
    pub(crate) pointed: Option<Point>,
    /// Ghosts, candidates, and what lies in between.
    pub(crate) variants: Variants,
    /// What the dock shows, beside the dummy loads.
    pub(crate) below: Option<Result<Below, Missing>>,
    below_at: Option<Looked>,
    /// What is met first from the point, and what leads back inside.
    pub(crate) around: Option<(FirstMet, WaysBack)>,
    /// The limit that is explained at the point, and the figures in the case that it is judged in.
    pub(crate) explained: Option<(Limit, Option<Working>)>,
    /// The bound up to which the limit that is explained would have to be accepted as built, in its own SI unit; only of a rating
    /// that the reach exceeds and that is not accepted yet.
    pub(crate) as_built: Option<f64>,
    /// How all this stands to what is on the desk.
    pub(crate) standing: Standing,
    /// Envelopes worked out so far, without those of other variants.
    pub(crate) n_solved: usize,
    tried: Option<Tried>,
    point_at: Option<Asked>,
    pointed_at: Option<[f64; 2]>,
}

/// What the dock shows depends on.
#[derive(Debug, Clone, PartialEq)]
struct Looked {
    scene: Scene,
    point: [f64; 2],
    /// How the switch closes, where that is looked at, and the primary side.
    closed: Option<Box<(Closing, Primary)>>,
}

/// What the answers about the point depend on, beside the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Asked {
    point: [f64; 2],
    load: Option<f64>,
    about: Option<Limit>,
}

impl Answers {
    /// Works out what changed since the last time.
    pub(crate) fn refresh(&mut self, work: &Work, view: &View) {
        self.refresh_picture(work);
        self.refresh_point(view);
        if self.pointed_at != view.pointed {
            self.pointed_at = view.pointed;
            self.pointed = self.picture.as_ref().and_then(|picture| {
                let [amps, volts] = view.pointed?;
                picture.envelope.point(&picture.model, amps, volts).ok()
            });
        }
        self.variants.refresh(self.picture.as_ref(), view);
        self.refresh_below(work, view);
        if view.layers.margins
            && let Some(picture) = &mut self.picture
            && picture.map.is_none()
        {
            picture.map = Some(margin_map(&picture.envelope, &picture.model));
        }
    }

    /// Works the envelope out if something moved a volt, and the load lines if a dummy changed.
    fn refresh_picture(&mut self, work: &Work) {
        let Work {
            supply, dummies, ..
        } = work;
        if self.tried.as_ref().is_some_and(|tried| tried.is_of(work)) {
            return;
        }
        self.tried = Some(work.into());
        let mut problems = check_work(work);
        problems.extend(accepted::faults(supply));
        self.failure = if problems.is_empty() {
            self.solve_anew(supply).err()
        } else {
            Some(Failure::Description(problems))
        };
        if let (None, Some(picture)) = (&self.failure, &mut self.picture) {
            picture.load_with(dummies);
        }
    }

    /// Puts another picture in place of the last one, unless it is of this very supply.
    fn solve_anew(&mut self, supply: &Supply) -> Result<(), Failure> {
        let known = self.picture.as_ref();
        if known.is_none_or(|picture| picture.supply != *supply) {
            self.n_solved += 1;
            self.picture = Some(solve(supply, self.picture.as_ref())?);
            self.point_at = None;
            self.pointed_at = None;
            self.below_at = None;
        }
        Ok(())
    }

    /// Works out everything about the point, if it or the load under it has changed.
    fn refresh_point(&mut self, view: &View) {
        let Some(picture) = &mut self.picture else {
            return;
        };
        let [amps, volts] = view.point;
        let chosen = view.dummy.and_then(|place| picture.load_lines.get(place));
        let load = chosen
            .map(|line| line.ohms)
            .filter(|ohms| stands_on(view.point, *ohms));
        let at = Asked {
            point: view.point,
            load,
            about: view.about,
        };
        if self.point_at == Some(at) {
            return;
        }
        self.point_at = Some(at);
        let met = first_met(&picture.envelope, view.point, load);
        self.explained = None;
        match picture.envelope.point(&picture.model, amps, volts) {
            Ok(point) => {
                let asked = (point.uses.iter()).find(|one| Some(one.limit) == view.about);
                let one = asked.or_else(|| worth_moving(&point, &met));
                self.explained = one.map(|one| {
                    let judged = one.judged.ok();
                    let figures =
                        judged.and_then(|j| working(&picture.model, j.case, view.point).ok());
                    (one.limit, figures)
                });
                picture.point = Some(point);
                self.point_failure = None;
            }
            Err(failure) => {
                picture.point = None;
                self.point_failure = Some(failure);
            }
        }
        self.around = Some((met, ways_back(&picture.envelope, view.point, load)));
        self.as_built = self.explained.as_ref().and_then(|(limit, _)| {
            if view.about.is_none() || acceptance(*limit, &picture.supply).is_some() {
                return None;
            }
            let worst = highest_in_reach(&picture.model, &picture.envelope, *limit);
            Some(bound_as_built(worst.ok()??, limit.row().bound))
        });
    }

    /// Works out what the dock shows.
    fn refresh_below(&mut self, work: &Work, view: &View) {
        let scene = view.scene();
        let wanted = Looked {
            scene,
            point: view.point,
            closed: (scene == Scene::SwitchingOn)
                .then(|| Box::new((view.switch.closing(), work.primary.clone()))),
        };
        if self.below_at.as_ref() != Some(&wanted) {
            self.below = self
                .picture
                .as_ref()
                .and_then(|picture| match &wanted.closed {
                    Some(closed) => Some(Below::switched_on(&picture.model, closed)),
                    None => Below::of(scene, &picture.model, &picture.envelope, view.point),
                });
            self.below_at = Some(wanted);
        }
    }

    /// The stage whose card lights up: that of the limit which is being explained, at the place that is pointed at, else at
    /// the point if it stands outside or is asked about.
    pub(crate) fn lit_stage(&self, view: &View) -> Option<Stage> {
        let judged = |point: &Point| {
            point.operation.as_ref()?;
            point.tightest().map(|one| one.limit.stage())
        };
        if let Some(pointed) = &self.pointed {
            return judged(pointed);
        }
        let point = self.picture.as_ref()?.point.as_ref()?;
        let (limit, _) = self.explained.as_ref()?;
        (view.about.is_some() || !point.is_inside()).then_some(limit.stage())
    }

    /// Works out one more entry of an open list.
    pub(crate) fn consider_one(&mut self, view: &View) {
        self.variants.consider_one(self.picture.as_ref(), view);
    }

    /// True while the picture is of an earlier state of the supply.
    pub(crate) fn is_older(&self) -> bool {
        self.failure.is_some()
            || matches!(self.standing, Standing::SupplyBefore | Standing::GivenUp)
    }

    /// Why the supply on the desk cannot be computed; nothing while that is not known yet.
    pub(crate) fn failure_now(&self) -> Option<&Failure> {
        (self.failure.as_ref()).filter(|_| self.standing != Standing::SupplyBefore)
    }

    /// What of the dock was worked out last.
    pub(crate) fn below_scene(&self) -> Option<Scene> {
        self.below_at.as_ref().map(|looked| looked.scene)
    }

    /// The problems of the description, if it has any.
    pub(crate) fn problems(&self) -> Vec<Problem> {
        self.failure_now().map_or_else(Vec::new, problems)
    }

    /// The tightest known use among the limits that belong to a stage, at the point.
    pub(crate) fn tightest(&self, stage: Stage) -> Option<f64> {
        self.picture
            .as_ref()?
            .point
            .as_ref()?
            .uses
            .iter()
            .filter(|u| u.limit.stage() == stage)
            .filter_map(crate::physics::limit::Use::nearness)
            .reduce(f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::disk::presets;
    use crate::app::work::command::{Command, Edit, Ledger};
    use crate::app::work::document::Origin;
    use crate::app::work::history::{Change, Moment};
    use crate::parts::catalogue::Catalogue;
    use crate::parts::{Ohms, Volts};

    /// How many envelopes are solved for each of these edits in turn, a ghost being kept and compared with.
    fn solved(edits: Vec<Edit>) -> Vec<usize> {
        let demo = presets::demo(&Catalogue::built_in()).expect("the demo supply");
        let mut ledger = Ledger::of(demo, Origin::default());
        let mut answers = Answers::default();
        let selected = [
            Command::Do(crate::app::work::action::Action::KeepGhost),
            Command::SelectGhost(Some(0)),
        ];
        let edited = edits.into_iter().map(|edit| {
            let change = Change {
                label: "an edit".to_owned(),
                control: None,
            };
            Command::Edit(Box::new(edit), change)
        });
        let mut counts = Vec::new();
        for command in selected.into_iter().chain(edited) {
            let moment = Moment {
                seconds: 0.0,
                held: false,
            };
            ledger.apply(command, moment);
            let before = answers.n_solved + answers.variants.n_solved;
            answers.refresh(&ledger.document().work, ledger.view());
            counts.push(answers.n_solved + answers.variants.n_solved - before);
            assert!(answers.failure.is_none());
            let lines = (answers.picture.as_ref()).map_or(&[][..], |p| &p.load_lines);
            let ohms: Vec<f64> = lines.iter().map(|line| line.ohms).collect();
            let wanted: Vec<f64> = (ledger.document().work)
                .dummies
                .iter()
                .map(|d| d.resistance.0)
                .collect();
            assert_eq!(ohms, wanted);
        }
        counts.split_off(2)
    }

    #[test]
    fn only_what_moves_a_volt_is_solved_anew() {
        let demo = presets::demo(&Catalogue::built_in()).expect("the demo supply");
        let dummy = |ohms: f64| {
            let mut dummy = demo.dummies[0].clone();
            dummy.resistance = Ohms(ohms);
            dummy
        };
        let mut mains = demo.supply.mains.clone();
        mains.present = Volts(mains.present.0 + 1.0);
        let edits = vec![
            Edit::Name("Another name".to_owned()),
            Edit::Notes("47 µF is out of stock".to_owned()),
            Edit::Dummy(0, dummy(3.1e3)),
            Edit::Dummy(0, dummy(3.2e3)),
            Edit::AddDummy(dummy(8e3)),
            Edit::RemoveDummy(0),
            Edit::Mains(mains),
        ];
        assert_eq!(solved(edits), [0, 0, 0, 0, 0, 0, 1]);
    }
}
