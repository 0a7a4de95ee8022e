//! When the answers are worked out: always by a job, for which the frame waits as long as such answers are quick.
//!
//! The rule: a frame waits at most [`PATIENCE`] for what changed in it. Where the last answer of this document took longer than
//! that, it does not wait at all: the answers before stay, marked as such ([`Standing`]), and the end of the job wakes the window.
//! A job in work comes to its end and is shown, so that a picture follows a slider; then the latest is begun. Answers that nobody wants
//! any more are never taken: those of another document, and those that come after the way back to what is known already.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::{Duration, Instant};

use crate::app::answers::at_bench::AtBench;
use crate::app::answers::how_sure::{Depth, Drawing, HowSure};
use crate::app::answers::jobs::{JobPool, Jobs, Progress, Report, Request};
use crate::app::answers::moves::{Moves, Question};
use crate::app::answers::networks::{Search, Sought};
use crate::app::answers::surges::SurgesWanted;
use crate::app::answers::{Answers, Standing, Tried};
use crate::app::work::document::Document;
use crate::app::work::view::{Drawing as Draws, Scene, View};
use crate::bench::odds::USUAL;
use crate::parts::catalogue::Catalogue;
use crate::parts::{Drawer, Supply, Work};
use crate::physics::watch::Watch as _;

/// Longest that a frame waits for answers. What is left of the 50 ms in which a hand feels no delay is for drawing.
pub(crate) const PATIENCE: Duration = Duration::from_millis(20);

/// Longest that what leaves the window waits for bands and odds.
const LONGEST: Duration = Duration::from_secs(30);

/// What is to be done about the answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Step {
    /// All that changed.
    Refresh,
    /// One more entry of an open list.
    Consider,
}

/// What answers are about.
#[derive(Debug, Clone, PartialEq)]
struct About {
    serial: u64,
    tried: Tried,
    view: View,
}

impl About {
    fn of(document: &Document, view: &View) -> Self {
        Self {
            serial: document.serial,
            tried: (&document.work).into(),
            view: view.clone(),
        }
    }

    fn is(&self, document: &Document, view: &View) -> bool {
        self.serial == document.serial && self.tried.is_of(&document.work) && self.view == *view
    }
}

/// The answers before, and what they are to become answers to.
#[derive(Debug, Clone)]
struct Refresh {
    step: Step,
    about: Box<About>,
    work: Box<Work>,
    before: Box<Answers>,
    hold: Arc<AtomicBool>,
}

impl PartialEq for Refresh {
    /// Where it starts from does not move what comes of it.
    fn eq(&self, other: &Self) -> bool {
        self.step == other.step && self.about == other.about
    }
}

impl Refresh {
    fn go_on(&self, answers: &mut Answers) {
        match self.step {
            Step::Refresh => answers.refresh(&self.work, &self.about.view),
            Step::Consider => answers.consider_one(&self.about.view),
        }
    }

    /// True if it works out an envelope.
    fn has_new_supply(&self) -> bool {
        self.step == Step::Consider
            || (self.before.tried.as_ref())
                .is_none_or(|tried| tried.supply != self.about.tried.supply)
    }
}

/// New answers.
#[derive(Debug, Clone)]
struct Refreshed {
    answers: Box<Answers>,
    took: Duration,
}

impl Request for Refresh {
    type Answer = Refreshed;

    fn work_out(&self, progress: &Progress<Refreshed>) -> Refreshed {
        let since = Instant::now();
        let mut answers = self.before.clone();
        progress.wait_while(&self.hold);
        if progress.may_go_on(0.0) {
            self.go_on(&mut answers);
        }
        Refreshed {
            answers,
            took: since.elapsed(),
        }
    }

    fn supply(&self) -> &Supply {
        &self.about.tried.supply
    }
}

/// How long the last answers of a document took, by whether an envelope was among them.
#[derive(Debug, Default)]
struct Taken {
    with_envelope: Duration,
    without: Duration,
}

impl Taken {
    fn of(&mut self, request: &Refresh) -> &mut Duration {
        if request.has_new_supply() {
            &mut self.with_envelope
        } else {
            &mut self.without
        }
    }
}

/// The jobs behind the answers.
#[derive(Debug)]
pub(crate) struct Calculation {
    jobs: Jobs<Refresh>,
    /// For those answers that a frame waits for, and for the others.
    quick: JobPool,
    slow: JobPool,
    /// While it is true no answer comes.
    hold: Arc<AtomicBool>,
    /// What the answers are about.
    answered: Option<Box<About>>,
    /// What of that came to no end; nothing more of it is begun.
    gave_up: Option<Step>,
    report: Option<Report>,
    taken: Taken,
    patience: Duration,
    /// A frame, and how long it waited so far.
    waited: (u64, Duration),
    /// What moves the limit that is explained.
    pub(crate) moves: Jobs<Moves>,
    /// What of the drawer makes a load.
    pub(crate) networks: Jobs<Search>,
    /// Bands and odds.
    pub(crate) how_sure: HowSure,
    /// How many units are drawn for them.
    pub(crate) units: u32,
    /// What plan and readings come to.
    pub(crate) at_bench: Jobs<AtBench>,
    /// Many switch-ons.
    pub(crate) surges: Jobs<SurgesWanted>,
    behind: JobPool,
}

impl Calculation {
    /// Frames wait at most so long for it.
    pub(crate) fn with_patience(patience: Duration) -> Self {
        Self {
            jobs: Jobs::default(),
            quick: JobPool::for_the_frame(),
            slow: JobPool::beside_the_frame(),
            hold: Arc::default(),
            answered: None,
            gave_up: None,
            report: None,
            taken: Taken::default(),
            patience,
            waited: (0, Duration::ZERO),
            moves: Jobs::default(),
            networks: Jobs::default(),
            how_sure: HowSure::default(),
            units: USUAL,
            at_bench: Jobs::default(),
            surges: Jobs::default(),
            behind: JobPool::behind_the_frame(),
        }
    }

    /// What holds the answers back while it is true.
    pub(crate) fn hold(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.hold)
    }

    /// Brings the answers up to what is on the desk, or has that done beside the frame and marks them as from before.
    pub(crate) fn refresh(
        &mut self,
        answers: &mut Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) {
        self.jobs.wait(Duration::ZERO);
        self.take(answers, document, view);
        if self.is_known(document, view) {
            if self.jobs.request().is_some_and(|r| r.step == Step::Refresh) {
                // Begun for what was undone since.
                self.jobs.stop();
            }
        } else {
            let in_the_way = self.jobs.request().is_some_and(|request| {
                request.step == Step::Consider || request.about.serial != document.serial
            });
            if in_the_way {
                self.jobs.stop();
            }
            if self.jobs.request().is_none() {
                let request = self.request(Step::Refresh, answers, document, view);
                self.begin(request, ctx);
                self.take(answers, document, view);
            }
        }
        answers.standing = self.standing(document, view);
    }

    /// True if the answers are those to all of this.
    fn is_known(&self, document: &Document, view: &View) -> bool {
        (self.answered.as_ref()).is_some_and(|about| about.is(document, view))
    }

    fn standing(&self, document: &Document, view: &View) -> Standing {
        let Some(about) = &self.answered else {
            return Standing::SupplyBefore;
        };
        if about.serial != document.serial || about.tried.supply != document.work.supply {
            Standing::SupplyBefore
        } else if self.gave_up == Some(Step::Refresh) {
            Standing::GivenUp
        } else if about.tried.is_of(&document.work) && is_about_the_same(&about.view, view) {
            Standing::Now
        } else {
            Standing::PointBefore
        }
    }

    /// Has one more entry of an open list worked out; true if it was, in this frame.
    pub(crate) fn consider_one(
        &mut self,
        answers: &mut Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) -> bool {
        if !self.is_known(document, view)
            || self.gave_up.is_some()
            || self.jobs.request().is_some()
            || answers.variants.waiting(view).is_none()
        {
            return false;
        }
        let request = self.request(Step::Consider, answers, document, view);
        self.begin(request, ctx);
        self.take(answers, document, view)
    }

    /// Waits for the answers to what is on the desk, whatever they take: for what leaves the window.
    pub(crate) fn finish(
        &mut self,
        answers: &mut Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) {
        self.refresh(answers, document, view, ctx);
        while !self.is_known(document, view) {
            self.jobs.wait(Duration::from_secs(1));
            self.refresh(answers, document, view, ctx);
        }
    }

    /// Has worked out behind the frames what moves the limit that is explained at the point.
    pub(crate) fn seek_moves(
        &mut self,
        answers: &Answers,
        catalogue: &Catalogue,
        ctx: &egui::Context,
    ) {
        let current = (answers.picture.as_ref()).filter(|_| answers.standing == Standing::Now);
        let question = current.and_then(|picture| {
            let point = picture.point.as_ref()?;
            Some(Question {
                supply: picture.supply.clone(),
                limit: answers.explained.as_ref()?.0,
                at: [point.amps, point.volts],
            })
        });
        if let Some(question) = question {
            let catalogue = catalogue.clone();
            let request = Moves {
                question,
                catalogue,
            };
            self.moves.ask(request, &mut self.behind, ctx);
        }
    }

    /// Has looked for behind the frames what of the drawer makes the load that is wanted.
    pub(crate) fn seek_networks(
        &mut self,
        sought: Sought,
        desk: (&Drawer, &Supply),
        ctx: &egui::Context,
    ) {
        let (drawer, supply) = desk;
        let request = Search {
            sought,
            drawer: drawer.clone(),
            supply: supply.clone(),
        };
        self.networks.ask(request, &mut self.behind, ctx);
    }

    /// Has worked out behind the frames how sure it is, while that is looked at; the answers must be those to what is on the desk.
    pub(crate) fn seek_how_sure(
        &mut self,
        answers: &Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) {
        if !view.asks_how_sure() {
            self.how_sure.rest();
            return;
        }
        let is_now = answers.standing == Standing::Now && answers.failure.is_none();
        let Some(picture) = answers.picture.as_ref().filter(|_| is_now) else {
            self.how_sure.is_to_come();
            return;
        };
        let depth = if view.scene() == Scene::Odds {
            Depth::Advice
        } else {
            Depth::Odds
        };
        let asked = (view.point, self.units);
        let wanted = Drawing::of(&document.work, picture, asked, &self.hold);
        let point = picture.point.as_ref();
        self.how_sure
            .seek(wanted, (depth, point), &mut self.behind, ctx);
    }

    /// Waits for the end of that, some seconds at most: for what leaves the window.
    pub(crate) fn finish_how_sure(
        &mut self,
        answers: &Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) {
        let since = Instant::now();
        loop {
            self.seek_how_sure(answers, document, view, ctx);
            let left = LONGEST.saturating_sub(since.elapsed());
            if left.is_zero() || !self.how_sure.is_drawing() {
                return;
            }
            self.how_sure.finish(left);
        }
    }

    /// Has worked out behind the frames what plan and readings come to.
    pub(crate) fn seek_bench(
        &mut self,
        document: &Document,
        set: Option<usize>,
        ctx: &egui::Context,
    ) {
        let request = AtBench {
            work: document.work.clone(),
            set,
        };
        self.at_bench.ask(request, &mut self.behind, ctx);
    }

    /// Has many switch-ons drawn behind the frames while they are looked at.
    pub(crate) fn seek_surges(
        &mut self,
        answers: &Answers,
        document: &Document,
        view: &View,
        ctx: &egui::Context,
    ) {
        if view.scene() != Scene::SwitchingOn || view.switch.drawing == Draws::Stopped {
            self.surges.stop();
            return;
        }
        let current = (answers.picture.as_ref()).filter(|_| answers.standing == Standing::Now);
        if let Some(picture) = current
            && answers.failure.is_none()
        {
            let request = SurgesWanted::of(
                &document.work,
                (&picture.model, picture.envelope.as_ref()),
                view.switch.before,
                &self.hold,
            );
            self.surges.ask(request, &mut self.behind, ctx);
        }
    }

    /// What went wrong since this was asked last.
    pub(crate) fn take_report(&mut self) -> Option<Report> {
        (self.report.take())
            .or_else(|| self.moves.take_report())
            .or_else(|| self.networks.take_report())
            .or_else(|| self.how_sure.take_report())
            .or_else(|| self.at_bench.take_report())
            .or_else(|| self.surges.take_report())
    }

    fn request(&self, step: Step, answers: &Answers, document: &Document, view: &View) -> Refresh {
        Refresh {
            step,
            about: Box::new(About::of(document, view)),
            work: Box::new(document.work.clone()),
            before: Box::new(answers.clone()),
            hold: Arc::clone(&self.hold),
        }
    }

    /// Starts on it, and waits where such answers are quick, as long as this frame still may.
    fn begin(&mut self, request: Refresh, ctx: &egui::Context) {
        let serial = request.about.serial;
        if (self.answered.as_ref()).is_none_or(|about| about.serial != serial) {
            // Nothing is known of how long another supply takes.
            self.taken = Taken::default();
        }
        let is_quick = *self.taken.of(&request) <= self.patience;
        let pool = if is_quick {
            &mut self.quick
        } else {
            &mut self.slow
        };
        let frame = ctx.cumulative_frame_nr();
        if self.waited.0 != frame {
            self.waited = (frame, Duration::ZERO);
        }
        let longest = if is_quick {
            self.patience.saturating_sub(self.waited.1)
        } else {
            Duration::ZERO
        };
        let since = Instant::now();
        self.jobs.begin(request, pool, ctx, longest);
        self.waited.1 += since.elapsed();
    }

    /// Takes over what has come, if it is still wanted; true if it was.
    fn take(&mut self, answers: &mut Answers, document: &Document, view: &View) -> bool {
        let Some((request, refreshed)) = self.jobs.take_answered() else {
            return false;
        };
        let is_wanted = request.about.serial == document.serial
            && (request.about.is(document, view)
                || self.answered.as_ref().is_none_or(|a| !a.is(document, view)));
        if !is_wanted {
            return false;
        }
        self.gave_up = None;
        match (refreshed, self.jobs.take_report()) {
            (Some(refreshed), _) => {
                *self.taken.of(&request) = refreshed.took;
                *answers = *refreshed.answers;
            }
            (None, Some(report)) => {
                self.gave_up = Some(request.step);
                self.report = Some(report);
            }
            // There was no thread for it: late, but here.
            (None, None) => request.go_on(answers),
        }
        self.answered = Some(request.about);
        true
    }
}

/// True if both look at the same of the same point; where the pointer rests, and which lists are open, moves none of that.
fn is_about_the_same(one: &View, other: &View) -> bool {
    let of = |view: &View| {
        (
            view.point,
            view.dummy,
            view.about,
            view.scene(),
            view.layers.margins,
            view.switch.closing(),
        )
    };
    of(one) == of(other)
}
