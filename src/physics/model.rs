//! The supply made ready: laws fitted, sources and negative rail worked out, once. Everything that is asked about a supply is asked of
//! its [`Model`]; nothing below it remembers anything.

mod as_found;
mod negative_rail;
mod pass_tubes;
mod regulator;

use std::sync::Arc;

use rayon::prelude::*;

use crate::parts::check::check;
use crate::parts::{Connection, RatingSystem, RawSupply, Regulator, Supply, Volts};
use crate::physics::circuit::source::{Source, mains_volts, source_in};
use crate::physics::device::control_tube::{ControlLaw, control_law};
use crate::physics::device::plate_law::{PlateLaw, plate_law};
use crate::physics::failure::Failure;
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::{Case, Operation};

pub use as_found::at_work;
pub use negative_rail::{NegativeRail, negative_rail, raw_rail};
pub use pass_tubes::{PassCurrent, PassTubes};
pub use regulator::{RegulatorModel, ScreenOnDivider};

/// A supply, ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// As described, with what was found of its parts put into them ([`at_work`]).
    pub supply: Supply,
    /// What makes its bus. Its internal current is the typed one and `regulator_amps`.
    pub raw: RawSupply,
    /// The same with nothing connected and the output turned down as far as it goes, where the regulator draws least.
    pub raw_at_rest: RawSupply,
    /// What the regulator draws through the pass tubes at the top of the output range, or of what the filter leaves (A), which the bus
    /// is worked out with at every output: the most that it ever draws, so that neither dropout nor a rating of the rectifier comes out too well.
    pub regulator_amps: f64,
    /// The pass tubes with their law.
    pub pass: Arc<PassTubes>,
    control: Option<Result<ControlLaw, Needs>>,
    cases: Vec<CaseModel>,
}

/// What is the same at every load in one case.
#[derive(Debug, Clone, PartialEq)]
pub struct CaseModel {
    /// The case.
    pub case: Case,
    /// Its rms mains volts.
    pub mains_volts: f64,
    /// The high-voltage winding.
    pub source: Source,
    /// The regulator, if it is described.
    pub regulator: Option<RegulatorModel>,
}

/// The mains that everyone asks for, and the corners of the tolerances that only an absolute-maximum rating asks for.
const MAINS: [Case; 4] = [Case::Low, Case::Present, Case::High, Case::Nominal];
const CORNERS: [Case; 4] = [
    Case::LowLeast,
    Case::LowMost,
    Case::HighLeast,
    Case::HighMost,
];

/// How the negative rails of a model are found.
#[derive(Clone, Copy)]
enum Rails<'a> {
    /// Of all cases, from nothing.
    Anew,
    /// At the mains now and in these cases, from those of a model nearly like it.
    Near(&'a [Case]),
}

impl Model {
    /// Makes a supply ready. A fit of a tube's law takes some milliseconds: where a supply like it is ready already, [`Self::changed`]
    /// spares that.
    ///
    /// # Errors
    /// [`Failure::Description`] or [`Failure::Transformer`] if the parts are not a supply.
    pub fn of(supply: &Supply) -> Result<Self, Failure> {
        Self::with_laws_of(None, Rails::Anew, supply)
    }

    /// Makes another supply ready, taking over the laws of those tubes that are the same.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn changed(&self, supply: &Supply) -> Result<Self, Failure> {
        Self::with_laws_of(Some(self), Rails::Anew, supply)
    }

    /// Makes a supply ready that differs from this one by some per cent: as [`Self::changed`], but its negative rail is found from this
    /// one's, and only at the mains now and in `cases`. Elsewhere it counts as not known.
    ///
    /// # Errors
    /// As [`Self::of`].
    pub fn beside(&self, supply: &Supply, cases: &[Case]) -> Result<Self, Failure> {
        Self::with_laws_of(Some(self), Rails::Near(cases), supply)
    }

    fn with_laws_of(
        known: Option<&Self>,
        rails: Rails<'_>,
        supply: &Supply,
    ) -> Result<Self, Failure> {
        let problems = check(supply);
        if !problems.is_empty() {
            return Err(Failure::Description(problems));
        }
        let whole = at_work(supply);
        let supply = &*whole;
        let pass = Arc::new(PassTubes::new(supply, pass_law(known, supply)));
        let control = known_control(known, supply);
        let mut model = Self {
            supply: supply.clone(),
            raw: supply.raw(),
            raw_at_rest: supply.raw(),
            regulator_amps: 0.0,
            pass,
            control,
            cases: Vec::new(),
        };
        let corners: &[Case] = if supply.has_rating_in(RatingSystem::AbsoluteMaximum) {
            &CORNERS
        } else {
            &[]
        };
        model.cases = model.made_ready(known, rails, &[&MAINS, corners].concat())?;
        let output = &supply.output;
        model.regulator_amps = model.most_regulator_amps(output.set_high.0);
        let at_rest = model.most_regulator_amps(output.set_low.0);
        model.raw.filter.internal_current.0 += model.regulator_amps;
        model.raw_at_rest.filter.internal_current.0 += at_rest;
        Ok(model)
    }

    /// The most that the regulator draws through the pass tubes up to an output (A): where the filter's resistance leaves less of
    /// the high mains than that output, only up to what it leaves. A range that is set too high draws nothing that is not there.
    fn most_regulator_amps(&self, volts: f64) -> f64 {
        let filter = &self.raw.filter;
        let crest_volts = self.at(Case::High).source.crest_volts();
        // A choke with too little load swings its capacitor beyond the crest, up to twice.
        let swing = if filter.is_choke_input() { 2.0 } else { 1.0 };
        let ohms: f64 = (filter.sections.iter())
            .map(|section| section.series.ohms_at_work().0)
            .sum();
        let left = |volts: f64| swing * crest_volts - ohms * self.regulator_amps_at(volts) - volts;
        let reached = root_between(0.0, volts, Tolerance::fine(crest_volts), left);
        self.regulator_amps_at(reached)
    }

    /// What the regulator draws through the pass tubes at an output, before any bus is known (A). The mains move it by less than a
    /// tenth of a per cent of the load: references hold the foot.
    fn regulator_amps_at(&self, volts: f64) -> f64 {
        let present = self.at(Case::Present);
        let crest_volts = present.source.crest_volts();
        let regulator = present.regulator.as_ref();
        regulator.map_or(0.0, |regulator| regulator.drawn_amps(crest_volts, volts))
    }

    fn made_ready(
        &self,
        known: Option<&Self>,
        rails: Rails<'_>,
        cases: &[Case],
    ) -> Result<Vec<CaseModel>, Failure> {
        let supply = &self.supply;
        let on_divider = known_on_divider(known, supply);
        let fixed =
            (supply.regulator.as_ref())
                .zip(self.control.as_ref())
                .map(|(described, control)| regulator::Fixed {
                    regulator: Arc::new(described.clone()),
                    pass: Arc::clone(&self.pass),
                    control: control.clone(),
                    on_divider: on_divider.clone(),
                });
        let rail = supply.regulator.as_ref().and_then(|r| r.bias_rail.as_ref());
        let raw_rail = rail.map(|rail| raw_rail(supply, rail));
        let known_rails = known.filter(|known| has_rail_of(&known.supply, supply));
        let of_case = |known: &'_ Self, case: Case| {
            let same = known.cases.iter().find(|c| c.case == case)?;
            same.regulator.as_ref()?.rail.clone()
        };
        let rail_at = |regulator: &Regulator, case: Case| {
            if let Some(same) = known_rails.and_then(|known| of_case(known, case)) {
                return Some(same);
            }
            match rails {
                Rails::Anew => regulator::rail(regulator, raw_rail.as_ref(), case, &[]),
                Rails::Near(wanted) if case == Case::Present || wanted.contains(&case) => {
                    let like = known.and_then(|known| of_case(known, case)?.ok());
                    let near = like.map_or_else(Vec::new, |like| like.starts);
                    regulator::rail(regulator, raw_rail.as_ref(), case, &near)
                }
                Rails::Near(_) => None,
            }
        };
        // Each case solves the negative rail anew; they do not know each other.
        (cases.par_iter())
            .map(|&case| {
                Ok(CaseModel {
                    case,
                    mains_volts: mains_volts(&supply.mains, case),
                    source: source_in(&self.raw, case)?,
                    regulator: fixed.as_ref().map(|fixed| {
                        RegulatorModel::new(fixed, rail_at(&fixed.regulator, case), case)
                    }),
                })
            })
            .collect()
    }

    /// A case. The corners of the tolerances are there where a rating asks for them; else the same mains with nominal parts stand for
    /// them.
    pub fn at(&self, case: Case) -> &CaseModel {
        let found = |case: Case| self.cases.iter().find(|c| c.case == case);
        let mains = match case {
            Case::LowLeast | Case::LowMost => Case::Low,
            Case::HighLeast | Case::HighMost => Case::High,
            other => other,
        };
        let place = MAINS.iter().position(|c| *c == mains).unwrap_or(0);
        // The four mains are always there, in this order.
        found(case).unwrap_or(&self.cases[place])
    }

    /// The regulator in a case.
    ///
    /// # Errors
    /// [`Needs::Regulator`] if none is described.
    pub fn regulator(&self, case: Case) -> Result<&RegulatorModel, Needs> {
        self.at(case).regulator.as_ref().ok_or(Needs::Regulator)
    }
}

impl CaseModel {
    /// Rms current that a negative rail draws from the high-voltage winding (A); 0 where it has a winding of its own, or there is none.
    ///
    /// # Errors
    /// [`Needs::NegativeRail`] if it hangs there and gives no voltage.
    pub fn rail_in_winding_amps(&self) -> Result<f64, Needs> {
        let Some(regulator) = &self.regulator else {
            return Ok(0.0);
        };
        match &regulator.regulator.bias_rail {
            Some(rail) if rail.winding.own().is_none() => {
                let rail = regulator.working_rail().ok_or(Needs::NegativeRail)?;
                Ok(rail.operation.winding_rms_amps)
            }
            _ => Ok(0.0),
        }
    }
}

impl Model {
    /// Rms current of the winding, of the harder worked half, with what a negative rail draws from its first half (A): the root of
    /// the sum of the squares, for each conducts in the half cycle in which the other is idle. Where a choke makes either conduct for
    /// longer they flow against each other, and the winding carries less than that.
    ///
    /// # Source
    /// Definition of the rms: the mean of the square of two currents that are never there together is the sum of the means.
    ///
    /// # Errors
    /// As [`CaseModel::rail_in_winding_amps`].
    pub fn winding_rms_amps(&self, case: Case, operation: &Operation) -> Result<f64, Needs> {
        let harder = operation.winding_rms_amps;
        let rail = self.at(case).rail_in_winding_amps()?;
        let first = match operation.by_half {
            Some([first, second]) if second.rms_amps > first.rms_amps => {
                harder * first.rms_amps / second.rms_amps
            }
            _ => harder,
        };
        let first = first + self.moved_by_the_rail_amps(case);
        Ok(harder.max(first.hypot(rail)))
    }

    /// By how much more the first half's plates carry in the bus's pulses, at most (A rms), because the rail's pulses meet those of the
    /// second half in the primary and lower its e.m.f. by `N·n·Rp·r`, with `N` and `n` the turns ratios of half and tap.
    ///
    /// Half of that is in favour of the first half. A pulse about the crest of a sine through the resistance `R` has an rms that goes as
    /// the 5/4th power of the volts that drive it, `R·i`, so that it grows by `5/4·1/2·N·n·Rp/R·r`. The drop of the rectifier, which makes
    /// it less, is left out. A choke at the input keeps the current of each half as it is; with half wave there is no second half.
    ///
    /// # Source
    /// `v ≈ E·(1 − x²/2)` about the crest; derived here. Held against both solved together in `tests/reference`.
    pub fn moved_by_the_rail_amps(&self, case: Case) -> f64 {
        let (supply, at) = (&self.supply, self.at(case));
        let rail = at.rail_in_winding_amps().unwrap_or(0.0);
        let takes_turns = supply.rectifier.connection == Connection::FullWaveCentreTap;
        let Some(described) = supply.rail_on_high_voltage() else {
            return 0.0;
        };
        if !takes_turns || supply.filter.is_choke_input() {
            return 0.0;
        }
        let [first, second] = at.source.halves();
        let [half, _] = supply.transformer.stated_halves();
        let tap_turns = first.turns_ratio * supply.rail_volts(described).0 / half.0;
        let primary = supply.transformer.primary_at_work().0;
        let parallel = f64::from(supply.rectifier.in_parallel.max(1));
        let path = second.ohms + supply.rectifier.plate_resistor.0 / parallel;
        let shared = second.turns_ratio * tap_turns * primary;
        if shared > 0.0 {
            PULSE_POWER * 0.5 * shared / path * rail
        } else {
            0.0
        }
    }
}

/// Power of the driving volts by which the rms of a pulse about the crest of a sine goes.
const PULSE_POWER: f64 = 1.25;

/// The law of the pass tube, fitted unless it is known already.
fn pass_law(known: Option<&Model>, supply: &Supply) -> Option<PlateLaw> {
    let characteristic = &supply.pass_stage.tube.characteristic;
    match known {
        Some(known) if known.pass.stage.tube.characteristic == *characteristic => {
            known.pass.law.clone()
        }
        _ => plate_law(characteristic).ok(),
    }
}

/// True if one supply's negative rail is the other's: made by the same parts from the same mains, under the same divider.
fn has_rail_of(before: &Supply, after: &Supply) -> bool {
    let (Some(a), Some(b)) = (&before.regulator, &after.regulator) else {
        return false;
    };
    let raw = |supply: &Supply, regulator: &Regulator| {
        (regulator.bias_rail.as_ref()).map(|rail| raw_rail(supply, rail))
    };
    a.bias_rail == b.bias_rail
        && a.divider == b.divider
        && a.screen_divider == b.screen_divider
        && raw(before, a) == raw(after, b)
}

/// The law of the control tube, fitted unless it is known already; `None` without a regulator.
fn known_control(known: Option<&Model>, supply: &Supply) -> Option<Result<ControlLaw, Needs>> {
    let regulator = supply.regulator.as_ref()?;
    let same = known.and_then(|known| {
        let before = known.supply.regulator.as_ref()?;
        let is_same = before.control_tube.kind == regulator.control_tube.kind
            && screen_volts(&known.supply) == screen_volts(supply);
        known.control.clone().filter(|_| is_same)
    });
    Some(same.unwrap_or_else(|| control_law(&regulator.control_tube, screen_volts(supply))))
}

/// Screen volts of the control tube as described, or about what a divider makes of them.
fn screen_volts(supply: &Supply) -> Option<Volts> {
    let typed = supply.regulator.as_ref()?.screen_volts;
    typed.or_else(|| regulator::likely_screen_volts(supply).map(Volts))
}

/// The control tube at any screen volts, unless it is known already; `None` without a divider.
fn known_on_divider(known: Option<&Model>, supply: &Supply) -> Option<Arc<ScreenOnDivider>> {
    let tube = &supply.regulator.as_ref()?.control_tube;
    let volts = regulator::likely_screen_volts(supply)?;
    let same = known.and_then(|known| {
        let before = &known.supply.regulator.as_ref()?.control_tube;
        let is_same = before.kind == tube.kind
            && regulator::likely_screen_volts(&known.supply) == Some(volts);
        let model = known.cases.first()?.regulator.as_ref()?;
        model.on_divider.clone().filter(|_| is_same)
    });
    same.or_else(|| ScreenOnDivider::about(tube, volts).ok().map(Arc::new))
}

#[cfg(test)]
mod tests;
