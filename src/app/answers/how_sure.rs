//! How sure it is: bands and odds at the point, drawn behind the frames, and what to measure next.
//!
//! Nothing is drawn while nobody looks at it. Of what is asked for the latest wins; but a drawing in work first comes to its first lot, some
//! tens of units, and is shown, so that the band follows a slider. What is shown stays until something newer comes, marked by
//! [`HowSure::standing`].

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use crate::app::answers::Standing;
use crate::app::answers::jobs::{JobPool, Jobs, Progress, Report, Request};
use crate::app::answers::solved::Picture;
use crate::bench::odds::{
    Asked, BandAt, Corner, Odds, Question, Ranking, along, corner_followed, currents, dropout_line,
    odds_followed, rankings_followed, rows_for,
};
use crate::explain::odds::Found;
use crate::parts::spread::{Input, inputs};
use crate::parts::{Supply, Work};
use crate::physics::Model;
use crate::physics::envelope::{Envelope, Point};
use crate::physics::spread::Spreading;
use crate::physics::watch::{Follow, Watch};

/// The same units are drawn each time: what moves is the supply.
const SEED: u32 = 1;

/// What the odds are of.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct About {
    supply: Supply,
    /// What is spread.
    pub(crate) inputs: Vec<Input>,
    /// The point (A, V).
    at: [f64; 2],
    /// How many units are drawn.
    units: u32,
}

/// Bands and odds of a point.
#[derive(Debug, Clone)]
pub(crate) struct Drawing {
    about: Arc<About>,
    model: Arc<Model>,
    envelope: Arc<Envelope>,
    /// While it is true no answer comes.
    hold: Arc<AtomicBool>,
}

impl PartialEq for Drawing {
    /// Model and envelope follow from the supply.
    fn eq(&self, other: &Self) -> bool {
        self.about == other.about
    }
}

/// What was drawn.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Drawn {
    /// Bands and odds.
    pub(crate) odds: Odds,
    /// The band of the dropout line, along the line as it is for the supply as described.
    pub(crate) band: Vec<BandAt>,
}

impl Drawn {
    fn of(odds: &Odds, line: &[[f64; 2]]) -> Arc<Self> {
        Arc::new(Self {
            band: along(line, &odds.dropout),
            odds: odds.clone(),
        })
    }
}

impl Drawing {
    /// Of the work whose picture this is, at a point (A, V), by so many units.
    pub(crate) fn of(
        work: &Work,
        picture: &Picture,
        (at, units): ([f64; 2], u32),
        hold: &Arc<AtomicBool>,
    ) -> Self {
        Self {
            about: Arc::new(About {
                supply: work.supply.clone(),
                inputs: inputs(work),
                at,
                units,
            }),
            model: Arc::clone(&picture.model),
            envelope: Arc::clone(&picture.envelope),
            hold: Arc::clone(hold),
        }
    }

    fn spreading(&self) -> Spreading {
        Spreading::of(&self.model, &self.about.inputs)
    }

    /// Whoever follows is told each part.
    fn work(&self, watch: &(dyn Follow<Odds> + Sync)) -> Option<Arc<Drawn>> {
        let asked = Asked {
            at: self.about.at,
            samples: self.about.units,
            seed: SEED,
        };
        let currents = currents(&self.envelope, self.about.at);
        let found = odds_followed(&self.spreading(), &currents, asked, watch).ok()?;
        Some(Drawn::of(&found, dropout_line(&self.envelope)))
    }
}

/// Passes on each part as it is shown.
struct Told<'a> {
    progress: &'a Progress<Option<Arc<Drawn>>>,
    line: &'a [[f64; 2]],
}

impl Watch for Told<'_> {
    fn may_go_on(&self, done: f64) -> bool {
        self.progress.may_go_on(done)
    }
}

impl Follow<Odds> for Told<'_> {
    fn so_far(&self, part: &Odds) {
        self.progress.so_far(&Some(Drawn::of(part, self.line)));
    }
}

impl Request for Drawing {
    /// `None` if it cannot be worked out.
    type Answer = Option<Arc<Drawn>>;

    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer {
        progress.wait_while(&self.hold);
        self.work(&Told {
            progress,
            line: dropout_line(&self.envelope),
        })
    }

    fn supply(&self) -> &Supply {
        &self.about.supply
    }
}

/// The worst corners, and what to measure next.
#[derive(Debug, Clone)]
pub(crate) struct Advising {
    drawing: Drawing,
    questions: Vec<Question>,
}

impl PartialEq for Advising {
    fn eq(&self, other: &Self) -> bool {
        self.drawing == other.drawing && self.questions == other.questions
    }
}

/// What was found out beside the odds.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Advice {
    /// One for each question that has an answer.
    pub(crate) corners: Vec<Corner>,
    /// The same; none while they are still being worked out.
    pub(crate) rankings: Option<Vec<Ranking>>,
}

impl Advising {
    /// What is worth asking of what was drawn; the point is what is known of the supply as described.
    fn of(drawing: Drawing, odds: &Odds, point: Option<&Point>) -> Self {
        let questions = match point {
            Some(point) => Question::worth_asking(odds, point),
            None => vec![Question::Dropout(odds.asked.at[0])],
        };
        Self { drawing, questions }
    }

    fn work(
        &self,
        watch: &(dyn Watch + Sync),
        corners_are: impl FnOnce(&Advice),
    ) -> Option<Arc<Advice>> {
        let spreading = self.drawing.spreading();
        let corners: Result<Vec<Corner>, _> = (self.questions.iter())
            .filter_map(|one| corner_followed(&spreading, *one, watch).transpose())
            .collect();
        let mut advice = Advice {
            corners: corners.ok()?,
            rankings: None,
        };
        corners_are(&advice);
        let sampled = [rows_for(self.drawing.about.units), SEED];
        let rankings = match *self.questions.as_slice() {
            [one, other] => rankings_followed(&spreading, [one, other], sampled, watch),
            [one, ..] => rankings_followed(&spreading, [one], sampled, watch),
            [] => Ok(Vec::new()),
        };
        advice.rankings = Some(rankings.ok()?);
        Some(Arc::new(advice))
    }
}

impl Request for Advising {
    /// `None` if it cannot be worked out.
    type Answer = Option<Arc<Advice>>;

    fn work_out(&self, progress: &Progress<Self::Answer>) -> Self::Answer {
        self.work(progress, |corners| {
            progress.so_far(&Some(Arc::new(corners.clone())));
        })
    }

    fn supply(&self) -> &Supply {
        &self.drawing.about.supply
    }
}

/// How much of it is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Depth {
    /// Bands and odds.
    Odds,
    /// The worst corner and what to measure next as well.
    Advice,
}

/// What is known of how sure it is, and what is being worked out.
#[derive(Debug, Default)]
pub(crate) struct HowSure {
    drawing: Jobs<Drawing>,
    advising: Jobs<Advising>,
    /// What is asked for now; `None` while the supply itself is still being worked out, and while nobody looks.
    wanted: Option<Arc<About>>,
    /// The last that was shown.
    drawn: Option<(Arc<About>, Arc<Drawn>)>,
    /// What came to its end last, if without an answer.
    ended: Option<Arc<About>>,
    /// The last advice.
    advice: Option<(Arc<About>, Arc<Advice>)>,
}

impl HowSure {
    /// Takes in what came since the last frame.
    pub(crate) fn take_in(&mut self) {
        self.drawing.wait(Duration::ZERO);
        if let Some((request, _, Some(Some(part)))) = self.drawing.in_work() {
            self.drawn = Some((Arc::clone(&request.about), Arc::clone(part)));
            self.ended = None;
        }
        if let Some((request, answer)) = self.drawing.take_answered() {
            if let Some(found) = answer.flatten() {
                self.drawn = Some((Arc::clone(&request.about), found));
            }
            self.ended = Some(request.about);
        }
        self.advising.wait(Duration::ZERO);
        let in_work = self.advising.in_work();
        let ended = self.advising.answered();
        let newest = in_work
            .and_then(|(request, _, part)| Some((request, part?)))
            .or_else(|| ended.and_then(|(request, answer)| Some((request, answer?))));
        if let Some((request, Some(found))) = newest {
            self.advice = Some((Arc::clone(&request.drawing.about), Arc::clone(found)));
        }
    }

    /// Nobody looks at it.
    pub(crate) fn rest(&mut self) {
        if self.wanted.is_some() || self.drawn.is_some() || self.drawing.request().is_some() {
            *self = Self::default();
        }
    }

    /// The supply is not known yet: what is shown is of before.
    pub(crate) fn is_to_come(&mut self) {
        self.wanted = None;
    }

    /// Has it worked out, so deep.
    pub(crate) fn seek(
        &mut self,
        wanted: Drawing,
        (depth, point): (Depth, Option<&Point>),
        pool: &mut JobPool,
        ctx: &egui::Context,
    ) {
        if self.wanted.as_ref() != Some(&wanted.about) {
            self.wanted = Some(Arc::clone(&wanted.about));
            // The drawing needs its thread.
            self.advising.stop();
        }
        if self.ended.as_ref() != Some(&wanted.about) {
            let in_work = self.drawing.in_work();
            let is_shown = in_work.is_none_or(|(_, _, part)| part.is_some());
            let is_this = in_work.is_some_and(|(request, ..)| *request == wanted);
            if is_shown && !is_this {
                self.drawing.begin(wanted, pool, ctx, Duration::ZERO);
            }
            return;
        }
        // Begun for what was undone since.
        self.drawing.stop();
        if depth == Depth::Odds {
            self.advising.stop();
            return;
        }
        let Some((_, drawn)) = (self.drawn.as_ref()).filter(|(about, _)| *about == wanted.about)
        else {
            return;
        };
        let advising = Advising::of(wanted, &drawn.odds, point);
        self.advising.ask(advising, pool, ctx);
    }

    /// Waits for the end of the drawing that is in work, so long at most: for what leaves the window.
    pub(crate) fn finish(&mut self, longest: Duration) {
        self.drawing.wait(longest);
        self.take_in();
    }

    /// True while something is being drawn.
    pub(crate) fn is_drawing(&self) -> bool {
        self.drawing.request().is_some()
    }

    /// What was drawn last.
    pub(crate) fn drawn(&self) -> Option<&Drawn> {
        self.drawn.as_ref().map(|(_, drawn)| drawn.as_ref())
    }

    /// What is spread in what was drawn last.
    pub(crate) fn inputs(&self) -> &[Input] {
        self.drawn.as_ref().map_or(&[], |(about, _)| &about.inputs)
    }

    /// How what was drawn last stands to what is on the desk.
    pub(crate) fn standing(&self) -> Standing {
        standing(
            self.wanted.as_deref(),
            self.drawn.as_ref().map(|(about, _)| about.as_ref()),
        )
    }

    /// The last worst corner and what to measure next, and how it stands.
    pub(crate) fn advice(&self) -> Option<(&Advice, Standing)> {
        let (about, advice) = self.advice.as_ref()?;
        Some((advice, standing(self.wanted.as_deref(), Some(about))))
    }

    /// True if what is asked for came to its end without an answer.
    pub(crate) fn cannot_be(&self) -> bool {
        self.ended.is_some() && self.ended == self.wanted && self.standing() != Standing::Now
    }

    /// What was found out about this work, if it is of the work as it is now.
    pub(crate) fn found(&self) -> Option<Found<'_>> {
        if self.standing() != Standing::Now {
            return None;
        }
        let advice = self.advice().filter(|(_, of)| *of == Standing::Now);
        let (corners, rankings) = advice.map_or((&[][..], None), |(advice, _)| {
            (&advice.corners[..], advice.rankings.as_deref())
        });
        Some(Found {
            odds: &self.drawn()?.odds,
            corners,
            rankings: rankings.unwrap_or_default(),
            inputs: self.inputs(),
        })
    }

    /// What went wrong since this was asked last.
    pub(crate) fn take_report(&mut self) -> Option<Report> {
        (self.drawing.take_report()).or_else(|| self.advising.take_report())
    }
}

fn standing(wanted: Option<&About>, known: Option<&About>) -> Standing {
    match (wanted, known) {
        (Some(wanted), Some(known)) if wanted == known => Standing::Now,
        (Some(wanted), Some(known))
            if wanted.supply == known.supply && wanted.inputs == known.inputs =>
        {
            Standing::PointBefore
        }
        _ => Standing::SupplyBefore,
    }
}
