//! Which fuse bears the switching on: how the surge is spread over closings, and what each rating and speed makes of it.
//!
//! A switch closes at any instant, and what is in the core is left there by chance. Both are drawn, with those values of the primary side
//! that are not known exactly; each drawn switch-on is held against the curve of a fuse that is drawn too, for makers' fuses differ.

mod curve;
mod inrush;
mod judge;

pub use curve::{FuseCurve, melting};
pub use inrush::{Hang, Inrush, InrushInput, inrush, kinds_for, load_currents, worst_closing};
pub use judge::{FuseJudged, Holds, Judge, Load, MOST_WORN, Pick, Protection, Verdict, pick};

use rayon::prelude::*;

use crate::bench::odds::Band;
use crate::parts::spread::{Chance, Field, Input};
use crate::physics::failure::Failure;
use crate::physics::spread::{coordinates, quantile};
use crate::physics::switch_on::{
    CHECKPOINTS, Closing, PrimarySide, Settling, Surge, SwitchOn, Value,
};
use crate::physics::watch::{Follow, Unwatched};

/// The fewest switch-ons from which odds are taken.
pub const FEWEST: u32 = 100;
/// The most.
pub const MOST: u32 = 50_000;
/// How many are usual.
pub const USUAL: u32 = 10_000;
/// Switch-ons before the first answer is shown; each further lot is as large as all before it, up to the largest.
const FIRST_LOT: u32 = 256;
const LARGEST_LOT: u32 = 2048;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AskedSurges {
    /// How many switch-ons are drawn.
    pub samples: u32,
    /// Which ones: another seed draws others.
    pub seed: u32,
    /// Whether the supply is cold, or was on just before.
    pub before: Before,
}

/// What the supply was before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Before {
    /// Cold, its capacitors empty.
    #[default]
    Cold,
    /// Switched off a moment ago: hot, its capacitors nearly full.
    Hot,
}

/// One drawn switch-on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DrawnSurge {
    /// How it closed.
    pub closing: Closing,
    /// What was drawn through the plug.
    pub surge: Surge,
    /// How strong the fuse is among its kind (0 to 1).
    pub strength: f64,
}

/// Many switch-ons.
#[derive(Debug, Clone, PartialEq)]
pub struct Surges {
    /// What was asked.
    pub asked: AskedSurges,
    /// Those drawn so far, in order.
    pub drawn: Vec<DrawnSurge>,
    /// What all of them come to.
    pub settling: Settling,
}

impl Surges {
    /// Band of the crest (A).
    pub fn crest(&self) -> Option<Band> {
        let all: Vec<f64> = self.drawn.iter().map(|one| one.surge.crest_amps).collect();
        Band::of(&all)
    }

    /// Band of the `∫i²dt` over the first mains cycle (A²s).
    pub fn first_cycle_heating(&self) -> Option<Band> {
        let all = self.drawn.iter();
        let all: Vec<f64> = all.map(|one| one.surge.first_cycle_heating).collect();
        Band::of(&all)
    }

    /// The drawn one with the highest crest.
    pub fn worst(&self) -> Option<&DrawnSurge> {
        let all = self.drawn.iter();
        all.max_by(|a, b| a.surge.crest_amps.total_cmp(&b.surge.crest_amps))
    }

    /// `∫i²dt` of a drawn one up to any time (A²s): beyond the checkpoints all are alike.
    pub fn heating_at(&self, one: &DrawnSurge, seconds: f64) -> f64 {
        let heating = &one.surge.heating;
        let behind = CHECKPOINTS.partition_point(|at| *at <= seconds);
        let [.., last] = CHECKPOINTS;
        if seconds >= last {
            let later = self.settling.heating_at(seconds) - self.settling.heating_at(last);
            return heating[CHECKPOINTS.len() - 1] + later.max(0.0);
        }
        let (t0, h0) = match behind.checked_sub(1) {
            Some(k) => (CHECKPOINTS[k], heating[k]),
            None => (0.0, 0.0),
        };
        let share = (seconds - t0) / (CHECKPOINTS[behind] - t0);
        h0 + share * (heating[behind] - h0)
    }
}

/// Draws switch-ons.
///
/// # Errors
/// [`Failure`] where the filter cannot be followed.
pub fn surges(on: &SwitchOn, inputs: &[Input], asked: AskedSurges) -> Result<Surges, Failure> {
    surges_followed(on, inputs, asked, &Unwatched)
}

/// The same for someone who may lose interest: asked between lots, and told what was found so far.
///
/// # Errors
/// As [`surges`].
pub fn surges_followed(
    on: &SwitchOn,
    inputs: &[Input],
    asked: AskedSurges,
    watch: &dyn Follow<Surges>,
) -> Result<Surges, Failure> {
    let wanted = asked.samples.clamp(FEWEST, MOST);
    let closing = match asked.before {
        Before::Cold => Closing::cold(90.0, 0.0),
        Before::Hot => Closing::hot(90.0, 0.0),
    };
    let settling = on.settling(&closing)?;
    let many = on.many_times(&settling)?;
    let mut found = Surges {
        asked,
        drawn: Vec::with_capacity(wanted as usize),
        settling,
    };
    let spreads = Spreads::of(on, inputs);
    let (mut done, mut lot) = (0, FIRST_LOT);
    while done < wanted {
        if done > 0 && !watch.may_go_on(f64::from(done) / f64::from(wanted)) {
            break;
        }
        let end = (done + lot).min(wanted);
        let drawn: Vec<DrawnSurge> = (done..end)
            .into_par_iter()
            .map(|number| {
                let (side, closing, strength) = spreads.drawn(on, number, asked);
                DrawnSurge {
                    closing,
                    surge: many.surge(&side, &closing),
                    strength,
                }
            })
            .collect();
        found.drawn.extend(drawn);
        done = end;
        lot = done.min(LARGEST_LOT);
        watch.so_far(&found);
    }
    Ok(found)
}

/// How the values of the primary side are spread.
struct Spreads {
    mains: Chance,
    primary_ohms: Chance,
    auxiliary: Chance,
    mains_impedance: Chance,
    saturated: Chance,
    knee: Chance,
    most_residual: f64,
}

/// So much either side, as likely here as there.
const fn within(share: f64) -> Chance {
    Chance::Even {
        low: 1.0 - share,
        high: 1.0 + share,
    }
}

/// By what share the inductance of the saturated primary may be off: a tenth where it was stated, a quarter where it is that of a
/// transformer of the stated size, four tenths where the size was reckoned too.
fn saturated_within(assumed: &[Value]) -> f64 {
    match (
        assumed.contains(&Value::SaturatedInductance),
        assumed.contains(&Value::CoreRating),
    ) {
        (false, _) => 0.1,
        (true, false) => 0.25,
        (true, true) => 0.4,
    }
}

/// By what share the knee may be off.
fn knee_within(assumed: &[Value]) -> f64 {
    if assumed.contains(&Value::Knee) {
        0.1
    } else {
        0.03
    }
}

impl Spreads {
    /// Stated spreads and usual ones of the supply's own fields; of the primary side those that a value has by whether it was stated
    /// (common practice, no source): a tenth where it was, else what its default may be off: the mains' impedance by half, the
    /// saturated impedance by a sixth (5 to 7 % of V²/VA, which is a quarter of the inductance beside the copper), the working flux by
    /// a tenth.
    fn of(on: &SwitchOn, inputs: &[Input]) -> Self {
        let of = |field: Field, else_within: f64| {
            let found = inputs.iter().find(|input| input.field == field);
            found.map_or(within(else_within), |input| input.chance)
        };
        let is_usual = |value: Value| on.ready.assumed.contains(&value);
        let by = |value: Value, usual: f64| within(if is_usual(value) { usual } else { 0.1 });
        Self {
            mains: of(Field::Mains, 0.02),
            primary_ohms: of(Field::PrimaryResistance, 0.08),
            auxiliary: of(Field::Auxiliary, 0.1),
            mains_impedance: by(Value::MainsResistance, 0.5),
            saturated: within(saturated_within(&on.ready.assumed)),
            knee: within(knee_within(&on.ready.assumed)),
            most_residual: on.most_residual(),
        }
    }

    /// A primary side, a closing, and the strength of a fuse, from a number.
    fn drawn(&self, on: &SwitchOn, number: u32, asked: AskedSurges) -> (PrimarySide, Closing, f64) {
        const DIMENSIONS: usize = 9;
        let drawn = coordinates(number, DIMENSIONS, asked.seed);
        let at = |place: usize| drawn.get(place).copied().unwrap_or(0.5);
        let factor = |chance: Chance, place: usize| quantile(chance, at(place));
        let degrees = 360.0 * at(0);
        let residual = self.most_residual * (2.0 * at(1) - 1.0);
        let mut side = on.ready.side;
        side.mains_volts *= factor(self.mains, 3);
        side.primary_ohms *= factor(self.primary_ohms, 4);
        let mains = factor(self.mains_impedance, 5);
        side.mains_ohms *= mains;
        side.mains_henries *= mains;
        side.core.saturated_henries *= factor(self.saturated, 6);
        let knee = factor(self.knee, 7);
        side.core.knee *= knee;
        side.core.rounding *= knee;
        let auxiliary = factor(self.auxiliary, 8);
        side.auxiliary.steady *= auxiliary;
        side.auxiliary.heaters *= auxiliary;
        side.auxiliary.filaments *= auxiliary;
        let closing = match asked.before {
            Before::Cold => Closing::cold(degrees, residual),
            Before::Hot => Closing::hot(degrees, residual),
        };
        (side, closing, at(2))
    }
}

#[cfg(test)]
mod tests;
