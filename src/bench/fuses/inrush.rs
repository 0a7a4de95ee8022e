//! All that is asked of a supply's switching on, answered at once: for a terminal, a page, a window.

use crate::bench::fuses::judge::{FuseJudged, Judge, Load, Pick, pick};
use crate::bench::fuses::{
    AskedSurges, Before, Surges, knee_within, saturated_within, surges_followed,
};
use crate::parts::spread::Input;
use crate::parts::{FuseKind, FusePlace, Primary, Supply};
use crate::physics::envelope::Envelope;
use crate::physics::failure::Failure;
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::switch_on::{
    Closing, FaultCurrent, MadeReady, NoSwitchOn, Running, SwitchOn, Transient, Value,
    fault_currents, running,
};
use crate::physics::watch::{Follow, Watch};

/// What the answer depends on.
#[derive(Clone, Copy)]
pub struct InrushInput<'a> {
    /// The supply.
    pub model: &'a Model,
    /// Its primary side.
    pub primary: &'a Primary,
    /// The supply's values that are not known exactly.
    pub inputs: &'a [Input],
    /// Output currents at which the primary at work is looked at (A).
    pub currents: &'a [f64],
    /// Which switch-ons are drawn.
    pub asked: AskedSurges,
}

/// How much the worst crest hangs on a value that was not stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hang {
    /// Which.
    pub value: Value,
    /// The worst crest at the two ends of what it may be (A), lower first.
    pub crest_amps: [f64; 2],
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Inrush {
    /// The primary side, with what was not stated.
    pub ready: MadeReady,
    /// The switch-ons.
    pub surges: Surges,
    /// The primary at work, by output current, at the mains as they are now.
    pub running: Vec<Running>,
    /// The most of it, at the highest mains too (A rms).
    pub most_running_amps: f64,
    /// What it carries in faults.
    pub faults: Vec<FaultCurrent>,
    /// Every standard fuse.
    pub judged: Vec<FuseJudged>,
    /// The smallest of each usual kind that bears the switching on; the best kind for these mains first.
    pub picks: Vec<Pick>,
    /// The fuse that is fitted in the line, if there is one.
    pub fitted: Option<FuseJudged>,
    /// What the worst crest hangs on most, the strongest first.
    pub hangs_on: Vec<Hang>,
}

/// The kinds of fuse that one buys for these mains, the one to try first at the head: of ceramic and slow at 230 V, where a glass fuse
/// breaks no more than 35 A; the slow one of UL 248-14 at 120 V.
pub fn kinds_for(supply: &Supply) -> [FuseKind; 3] {
    if supply.mains.nominal.0 < 160.0 {
        [FuseKind::UlSlow, FuseKind::TimeLagGlass, FuseKind::UlFast]
    } else {
        [
            FuseKind::TimeLagCeramic,
            FuseKind::TimeLagGlass,
            FuseKind::QuickCeramic,
        ]
    }
}

/// Output currents at which the primary at work is looked at (A): from none to the end of what is allowed, and where nothing is, of
/// what the supply reaches.
pub fn load_currents(envelope: &Envelope) -> Vec<f64> {
    const SHARES: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
    let end = envelope.region.last().or(envelope.reach.last());
    let end = end.map_or(0.0, |[amps, ..]| *amps);
    SHARES.iter().map(|share| share * end).collect()
}

/// What is the same however many switch-ons are drawn.
struct AtWork {
    ready: MadeReady,
    running: Vec<Running>,
    most_running_amps: f64,
    faults: Vec<FaultCurrent>,
    hangs_on: Vec<Hang>,
}

impl AtWork {
    fn of(input: &InrushInput<'_>, on: &SwitchOn) -> Result<Self, Failure> {
        let InrushInput {
            model, currents, ..
        } = input;
        let at = |case: Case, amps: f64| running(model, &on.ready, case, amps);
        let mut all = Vec::with_capacity(currents.len());
        let mut most = 0.0_f64;
        for &amps in *currents {
            // Beyond what the bus can give there is nothing to carry.
            let (Ok(present), high) = (at(Case::Present, amps), at(Case::High, amps)) else {
                continue;
            };
            most = most.max(present.rms_amps);
            most = high.map_or(most, |high| most.max(high.rms_amps));
            all.push(present);
        }
        Ok(Self {
            ready: on.ready.clone(),
            running: all,
            most_running_amps: most,
            faults: fault_currents(model, &on.ready),
            hangs_on: hangs_on(on)?,
        })
    }

    fn with(&self, input: &InrushInput<'_>, surges: &Surges) -> Inrush {
        let load = Load {
            running_amps: self.most_running_amps,
            mains_volts: self.ready.side.mains_volts,
        };
        let judge = Judge::new(surges, &self.faults, load);
        let judged = judge.all();
        let picks = kinds_for(&input.model.supply);
        let fitted = input
            .primary
            .fuse
            .filter(|fuse| fuse.place != FusePlace::Secondary);
        Inrush {
            ready: self.ready.clone(),
            surges: surges.clone(),
            running: self.running.clone(),
            most_running_amps: self.most_running_amps,
            faults: self.faults.clone(),
            picks: picks
                .into_iter()
                .filter_map(|kind| pick(&judged, kind))
                .collect(),
            fitted: fitted.map(|fuse| judge.judged(fuse.kind, fuse.rating.0)),
            judged,
            hangs_on: self.hangs_on.clone(),
        }
    }
}

/// The whole answer, for someone who may lose interest, and who is told what is known so far.
///
/// # Errors
/// [`NoSwitchOn`] if there is no such core, or the filter cannot be followed.
pub fn inrush(input: &InrushInput<'_>, watch: &dyn Follow<Inrush>) -> Result<Inrush, NoSwitchOn> {
    // From the output nothing is drawn at switch-on: its tubes are cold.
    let on = SwitchOn::of(input.model, input.primary, 0.0)?;
    let at_work = AtWork::of(input, &on)?;
    let telling = Telling {
        input,
        at_work: &at_work,
        watch,
    };
    let surges = surges_followed(&on, input.inputs, input.asked, &telling)?;
    Ok(at_work.with(input, &surges))
}

/// Tells the whole answer where the switch-ons alone are told.
struct Telling<'a> {
    input: &'a InrushInput<'a>,
    at_work: &'a AtWork,
    watch: &'a dyn Follow<Inrush>,
}

impl Watch for Telling<'_> {
    fn may_go_on(&self, done: f64) -> bool {
        self.watch.may_go_on(done)
    }
}

impl Follow<Surges> for Telling<'_> {
    fn so_far(&self, part: &Surges) {
        // The last lot is told as the answer.
        if part.drawn.len() < part.asked.samples as usize {
            self.watch.so_far(&self.at_work.with(self.input, part));
        }
    }
}

/// The worst closing that is reckoned with: at a zero crossing, with all the flux that may stay in the core.
pub fn worst_closing(on: &SwitchOn, before: Before) -> Closing {
    match before {
        Before::Cold => Closing::cold(0.0, on.most_residual()),
        Before::Hot => Closing::hot(0.0, on.most_residual()),
    }
}

/// Cycles within which the crest is.
const CYCLES: u32 = 2;

/// How the worst crest moves with each value that was not stated.
fn hangs_on(on: &SwitchOn) -> Result<Vec<Hang>, Failure> {
    let closing = worst_closing(on, Before::Cold);
    let crest = |change: &dyn Fn(&mut SwitchOn)| {
        let mut other = on.clone();
        change(&mut other);
        let found: Transient = other.transient(&closing, CYCLES)?;
        Ok::<f64, Failure>(found.crest_amps)
    };
    let assumed = &on.ready.assumed;
    let mut all = Vec::new();
    for &value in assumed {
        let within = match value {
            Value::MainsResistance => 0.5,
            Value::SaturatedInductance => saturated_within(assumed),
            Value::Knee => knee_within(assumed),
            // They count through the others, or hardly move the crest.
            Value::MainsInductance | Value::CoreRating | Value::NoLoad | Value::Heaters => continue,
        };
        let mut ends = [0.0; 2];
        for (end, sign) in ends.iter_mut().zip([1.0, -1.0]) {
            let factor = 1.0 + sign * within;
            *end = crest(&|other: &mut SwitchOn| {
                let side = &mut other.ready.side;
                match value {
                    Value::MainsResistance => {
                        side.mains_ohms *= factor;
                        side.mains_henries *= factor;
                    }
                    Value::Knee => {
                        side.core.knee *= factor;
                        side.core.rounding *= factor;
                    }
                    _ => side.core.saturated_henries *= factor,
                }
            })?;
        }
        all.push(Hang {
            value,
            crest_amps: ends,
        });
    }
    let span = |hang: &Hang| hang.crest_amps[1] - hang.crest_amps[0];
    all.sort_by(|a, b| span(b).total_cmp(&span(a)));
    Ok(all)
}
