//! What a fuse makes of many switch-ons, and of what it is there for.

use crate::bench::fuses::curve::{FuseCurve, melting};
use crate::bench::fuses::{DrawnSurge, Surges};
use crate::parts::FuseKind;
use crate::parts::fuse_table::{Breaking, Family, breaking};
use crate::physics::switch_on::{CHECKPOINTS, Fault, FaultCurrent};

/// Whether a fuse bears the switching on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Holds {
    /// In every drawn switch-on, the weakest of its kind too.
    Always,
    /// In every drawn switch-on with a drawn fuse, but not the weakest of its kind in all of them.
    AllButTheWeakest,
    /// It blows in this share of the switch-ons.
    Blows(f64),
}

/// Whether a fuse opens in a fault, in the time that is left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Protection {
    /// Even the strongest of its kind does: in so many seconds.
    Always(f64),
    /// The weakest does, the strongest does not.
    ByLuck,
    /// Not even the weakest does: it is too large.
    TooLarge,
    /// The current of the fault is not known.
    NotKnown,
}

/// What a fuse is worth.
#[derive(Debug, Clone, PartialEq)]
pub struct FuseJudged {
    /// Its family.
    pub kind: FuseKind,
    /// Its rated current (A).
    pub rating: f64,
    /// Whether it carries what the primary draws at work: its rating, as far as its standard loads it.
    pub carries: bool,
    /// Whether it bears the switching on.
    pub holds: Holds,
    /// The surge of nine in ten of the worst closings (the 95 % point) over the melting I²t of the weakest: what ages it.
    pub worn: f64,
    /// Least and most typical melting I²t between makers (A²s).
    pub melting: [f64; 2],
    /// What it does in each fault.
    pub protects: Vec<(Fault, Protection)>,
    /// What it can break.
    pub breaking: Breaking,
}

impl FuseJudged {
    /// True if it never blows at switch-on, carries what is drawn, and is not aged by the surge.
    pub fn bears_it(&self) -> bool {
        self.carries && self.holds == Holds::Always && self.worn <= MOST_WORN
    }

    /// True if it opens in this fault, whoever made it.
    pub fn protects_at(&self, fault: Fault) -> bool {
        self.protects
            .iter()
            .any(|(of, how)| *of == fault && matches!(how, Protection::Always(_)))
    }

    /// In how many faults it surely opens.
    fn protected(&self) -> usize {
        let sure = |(_, how): &&(Fault, Protection)| matches!(how, Protection::Always(_));
        self.protects.iter().filter(sure).count()
    }
}

/// A pulse of no more than this share of the melting I²t is borne ten thousand times.
///
/// # Source
/// Littelfuse "Fuseology", pulse table: 22 % for 100,000 pulses, 29 % for 10,000, 38 % for 1,000, 48 % for 100 (value from memory).
pub const MOST_WORN: f64 = 0.29;

/// Levels of strength that are told apart.
const LEVELS: usize = 33;
/// Times beyond the checkpoints at which fuse and switch-on are compared (s).
const LATER: [f64; 14] = [
    0.3, 0.5, 0.7, 1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 20.0, 60.0, 300.0, 1200.0, 3600.0,
];

/// What a fuse carries at work, and at which mains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Rms of the primary (A).
    pub running_amps: f64,
    /// Rms volts (V).
    pub mains_volts: f64,
}

/// What fuses are judged by.
pub struct Judge<'a> {
    surges: &'a Surges,
    faults: &'a [FaultCurrent],
    load: Load,
    /// What every switch-on brings from the last checkpoint to each of the later times (A²s).
    later: Vec<f64>,
    worst_pulse: f64,
}

impl<'a> Judge<'a> {
    /// By these switch-ons, the currents of the faults, and what the fuse carries at work.
    pub fn new(surges: &'a Surges, faults: &'a [FaultCurrent], load: Load) -> Self {
        let [.., last] = CHECKPOINTS;
        let settling = &surges.settling;
        let brought = |at: &f64| settling.heating_at(*at) - settling.heating_at(last);
        Self {
            surges,
            faults,
            load,
            later: LATER.iter().map(|at| brought(at).max(0.0)).collect(),
            worst_pulse: worst_pulse(surges),
        }
    }

    /// What one rating (A) of a kind is worth.
    pub fn judged(&self, kind: FuseKind, rating: f64) -> FuseJudged {
        let times: Vec<f64> = CHECKPOINTS.into_iter().chain(LATER).collect();
        let family = FuseCurve::of(kind, rating, 0.0);
        let curves: Vec<Vec<f64>> = (0..LEVELS)
            .map(|level| {
                let strength = level as f64 / (LEVELS - 1) as f64;
                let curve = family.with_strength(strength);
                times.iter().map(|at| curve.melting_within(*at)).collect()
            })
            .collect();
        let [low, high] = melting(kind, rating);
        FuseJudged {
            kind,
            rating,
            carries: self.load.running_amps <= Family::of(kind).loading * rating,
            holds: holds(self.surges, &curves, &self.later),
            worn: self.worst_pulse / low,
            melting: [low, high],
            protects: self
                .faults
                .iter()
                .map(|fault| (fault.fault, protection(kind, rating, fault)))
                .collect(),
            breaking: breaking(kind, rating, self.load.mains_volts),
        }
    }

    /// What every standard rating of every kind is worth.
    pub fn all(&self) -> Vec<FuseJudged> {
        let every = FuseKind::ALL.into_iter();
        let every = every.flat_map(|kind| Family::of(kind).ratings.iter().map(move |r| (kind, *r)));
        every
            .map(|(kind, rating)| self.judged(kind, rating))
            .collect()
    }
}

/// The 95 % point of the I²t within the first 10 ms (A²s).
fn worst_pulse(surges: &Surges) -> f64 {
    let pulse = |one: &DrawnSurge| surges.heating_at(one, 0.01);
    let all: Vec<f64> = surges.drawn.iter().map(pulse).collect();
    crate::bench::odds::Band::of(&all).map_or(0.0, |band| band.high)
}

fn holds(surges: &Surges, curves: &[Vec<f64>], later: &[f64]) -> Holds {
    let blows = |one: &DrawnSurge, curve: &[f64]| {
        let heating = &one.surge.heating;
        let last = heating[CHECKPOINTS.len() - 1];
        let brought = heating
            .iter()
            .copied()
            .chain(later.iter().map(|more| last + more));
        brought.zip(curve).any(|(heat, melts)| heat >= *melts)
    };
    let [weakest, ..] = curves else {
        return Holds::Always;
    };
    let at_worst = surges.drawn.iter().any(|one| blows(one, weakest));
    if !at_worst {
        return Holds::Always;
    }
    let level = |strength: f64| {
        // Strength is between 0 and 1.
        let place = (strength * (LEVELS - 1) as f64).round();
        curves.iter().enumerate().find(|(k, _)| *k as f64 >= place)
    };
    let blown = surges
        .drawn
        .iter()
        .filter(|one| level(one.strength).is_some_and(|(_, curve)| blows(one, curve)));
    let share = blown.count() as f64 / surges.drawn.len().max(1) as f64;
    if share > 0.0 {
        Holds::Blows(share)
    } else {
        Holds::AllButTheWeakest
    }
}

fn protection(kind: FuseKind, rating: f64, fault: &FaultCurrent) -> Protection {
    let Some(amps) = fault.rms_amps else {
        return Protection::NotKnown;
    };
    let allowed = fault.fault.allowed_seconds();
    let strongest = FuseCurve::of(kind, rating, 1.0).seconds_at(amps);
    if strongest <= allowed {
        return Protection::Always(strongest);
    }
    if FuseCurve::of(kind, rating, 0.0).seconds_at(amps) <= allowed {
        Protection::ByLuck
    } else {
        Protection::TooLarge
    }
}

/// A fuse that is recommended, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Pick {
    /// Which.
    pub fuse: FuseJudged,
    /// What speaks for it.
    pub verdict: Verdict,
    /// The next smaller rating of its kind, and why not that one.
    pub smaller: Option<FuseJudged>,
}

/// How good the recommended fuse is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It holds, and opens in every fault that is known.
    HoldsAndProtects,
    /// It holds, and opens where something is shorted, but not at an overload.
    HoldsAndOpensAtShorts,
    /// It holds, and does not even open at every short.
    HoldsAlone,
}

/// The smallest rating of a kind that bears the switching on.
pub fn pick(judged: &[FuseJudged], kind: FuseKind) -> Option<Pick> {
    let of_kind: Vec<&FuseJudged> = judged.iter().filter(|one| one.kind == kind).collect();
    let place = of_kind.iter().position(|one| one.bears_it())?;
    let fuse = (*of_kind.get(place)?).clone();
    let smaller = place.checked_sub(1).and_then(|k| of_kind.get(k));
    let known = |fault: Fault| {
        fuse.protects
            .iter()
            .any(|(of, how)| *of == fault && *how != Protection::NotKnown)
    };
    let is_short = |fault: &Fault| *fault != Fault::WindingOverload;
    let opens = |fault: &Fault| !known(*fault) || fuse.protects_at(*fault);
    let verdict = if Fault::ALL.iter().all(opens) && fuse.protected() > 0 {
        Verdict::HoldsAndProtects
    } else if Fault::ALL.iter().filter(|one| is_short(one)).all(opens) {
        Verdict::HoldsAndOpensAtShorts
    } else {
        Verdict::HoldsAlone
    };
    Some(Pick {
        smaller: smaller.map(|one| (*one).clone()),
        fuse,
        verdict,
    })
}
