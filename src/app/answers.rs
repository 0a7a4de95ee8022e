//! What has been computed, and for which input. While an input cannot be computed, the last good picture stays.

use crate::app::document::{Document, Scene, View};
use crate::app::ghosts::Variants;
use crate::app::solved::{Picture, compute};
use crate::app::worker::{Question, Worker};
use crate::bench::holding::{Holding, holding};
use crate::bench::reach::{Reach, WaysBack, reach, stands_on, ways_back};
use crate::bench::sensitivity::worth_moving;
use crate::bench::working::{Working, working};
use crate::explain::failure::problems;
use crate::parts::catalogue::Catalogue;
use crate::parts::check::Problem;
use crate::parts::{Stage, Supply};
use crate::physics::Failure;
use crate::physics::energy::{self, Energy, NoFlow};
use crate::physics::envelope::{Point, margin_map};
use crate::physics::limit::Limit;
use crate::physics::operation::Case;
use crate::physics::steady_state::{Waveform, waveform};

/// What the views below the envelope draw, at the point and the present mains.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Views {
    /// One mains cycle.
    pub(crate) wave: Waveform,
    /// Where the watts go, or why nothing flows like that.
    pub(crate) energy: Result<Energy, NoFlow>,
}

/// All answers of the window.
#[derive(Debug, Default)]
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
    /// For the views below the envelope, while one is shown.
    pub(crate) views: Option<Result<Views, Failure>>,
    views_at: Option<[f64; 2]>,
    /// How the output is held, while that is shown.
    pub(crate) holding: Option<Result<Holding, Failure>>,
    holding_at: Option<[f64; 2]>,
    /// What is met first from the point, and what leads back inside.
    pub(crate) around: Option<(Reach, WaysBack)>,
    /// The limit that is explained at the point, and the figures in the case that it is judged in.
    pub(crate) explained: Option<(Limit, Option<Working>)>,
    /// What takes longer than a frame.
    pub(crate) worker: Worker,
    tried: Option<Supply>,
    point_at: Option<([f64; 2], Option<f64>, Option<Limit>)>,
    pointed_at: Option<[f64; 2]>,
}

impl Answers {
    /// Works out what changed since the last time.
    pub(crate) fn refresh(&mut self, document: &Document, view: &View) {
        if self.tried.as_ref() != Some(&document.supply) {
            self.tried = Some(document.supply.clone());
            match compute(&document.supply, self.picture.as_ref()) {
                Ok(picture) => {
                    self.picture = Some(picture);
                    self.failure = None;
                    self.point_at = None;
                    self.pointed_at = None;
                    self.views_at = None;
                    self.holding_at = None;
                }
                Err(failure) => self.failure = Some(failure),
            }
        }
        self.refresh_point(view);
        if self.pointed_at != view.pointed {
            self.pointed_at = view.pointed;
            self.pointed = self.picture.as_ref().and_then(|picture| {
                let [amps, volts] = view.pointed?;
                picture.envelope.point(&picture.model, amps, volts).ok()
            });
        }
        self.variants.refresh(self.picture.as_ref(), view);
        self.refresh_views(view);
        if view.map
            && let Some(picture) = &mut self.picture
            && picture.map.is_none()
        {
            picture.map = Some(margin_map(&picture.envelope, &picture.model));
        }
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
        let at = (view.point, load, view.about);
        if self.point_at == Some(at) {
            return;
        }
        self.point_at = Some(at);
        let met = reach(&picture.envelope, view.point, load);
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
    }

    /// Works out what the views below the envelope need, if one is shown.
    fn refresh_views(&mut self, view: &View) {
        if view.scene == Scene::Regulation && self.holding_at != Some(view.point) {
            self.holding_at = Some(view.point);
            self.holding = self
                .picture
                .as_ref()
                .map(|picture| holding(&picture.model, &picture.envelope, view.point));
        }
        let wanted = matches!(view.scene, Scene::Cycle | Scene::Energy);
        if !wanted || self.views_at == Some(view.point) {
            return;
        }
        self.views_at = Some(view.point);
        self.views = self.picture.as_ref().map(|picture| {
            let [amps, _] = view.point;
            let wave = waveform(&picture.model.raw, Case::Present, amps)?;
            let energy = energy::of_waveform(&picture.model, &wave, view.point);
            Ok(Views { wave, energy })
        });
    }

    /// Has worked out beside the frames what moves the limit that is explained at the point.
    pub(crate) fn seek_moves(&mut self, catalogue: &Catalogue, ctx: &egui::Context) {
        let question = self.picture.as_ref().and_then(|picture| {
            let point = picture.point.as_ref()?;
            Some(Question {
                supply: picture.supply.clone(),
                limit: self.explained.as_ref()?.0,
                at: [point.amps, point.volts],
            })
        });
        if let Some(question) = question {
            self.worker.seek(question, catalogue, ctx);
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
        (view.why_open || !point.is_inside()).then_some(limit.stage())
    }

    /// Works out one more entry of an open list; true if there was one.
    pub(crate) fn consider_one(&mut self, view: &View) -> bool {
        self.variants.consider_one(self.picture.as_ref(), view)
    }

    /// True while the picture is of an earlier state of the supply.
    pub(crate) fn is_older(&self) -> bool {
        self.failure.is_some()
    }

    /// The problems of the description, if it has any.
    pub(crate) fn problems(&self) -> Vec<Problem> {
        self.failure.as_ref().map_or_else(Vec::new, problems)
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
            .filter_map(crate::physics::limit::Use::ratio)
            .reduce(f64::max)
    }
}
