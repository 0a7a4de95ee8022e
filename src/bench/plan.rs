//! The steps of an evening: suggested from the supply, and what each would show.

use crate::bench::diagnosis::errors::{Shared, own_error, range_of};
use crate::bench::diagnosis::evidence::{Evidence, Taken};
use crate::bench::diagnosis::predicted::{Ground, sound};
use crate::bench::diagnosis::usual_loads;
use crate::bench::expected::{Spot, usual_setting};
use crate::bench::load_line::bears_watts;
use crate::parts::readings::{Connected, Phase, Step, What};
use crate::parts::{Amps, Dummy, SeriesElement, Supply, Volts, Work};
use crate::physics::envelope::{Envelope, Point};
use crate::physics::failure::Failure;
use crate::physics::limit::Use;
use crate::physics::model::Model;
use crate::physics::operation::Case;
use crate::physics::regulator::control_range::{ControlRange, control_range};
use crate::physics::regulator::zero::{ZeroSetting, zero_setting};
use crate::physics::steady_state::operate;

/// The steps that a work has: its own, else the suggested ones.
pub fn steps(work: &Work) -> Vec<Step> {
    if work.bench.plan.is_empty() {
        suggested(&work.supply, &work.dummies)
    } else {
        work.bench.plan.clone()
    }
}

/// The steps that suit a supply, in the order of an evening, with the loads at hand where they fit.
pub fn suggested(supply: &Supply, dummies: &[Dummy]) -> Vec<Step> {
    let usual = usual_setting(supply);
    let [half, full] = usual_loads(supply);
    let at = |amps: f64| load_near(amps, usual, dummies);
    let none = Connected::Nothing;
    let step = |phase: Phase, load: Connected, set: Option<f64>| Step {
        phase,
        load,
        set: set.map(Volts),
        note: None,
    };
    let lowest = supply.output.set_low.0;
    let mut all = vec![
        step(Phase::ColdInspection, none, None),
        step(Phase::Leakage, none, None),
        step(Phase::BringUp, none, Some(lowest)),
        step(Phase::StandBy, none, Some(lowest)),
        step(Phase::NoLoad, none, Some(usual)),
    ];
    if full > 0.0 {
        all.extend([
            step(Phase::LightLoad, at(LIGHT * full), Some(usual)),
            step(Phase::Loaded, at(half), Some(usual)),
            step(Phase::Loaded, at(full), Some(usual)),
            step(Phase::KnobUp, at(half), None),
            step(Phase::KnobUp, at(full), None),
            step(Phase::HotChecks, at(full), Some(usual)),
        ]);
    }
    if supply.regulator.is_some() {
        all.push(step(Phase::ZeroSetting, none, Some(lowest)));
    }
    if full > 0.0 {
        all.push(step(Phase::MainsVariation, at(half), Some(usual)));
    }
    all.extend([
        step(Phase::ShutDown, none, None),
        step(Phase::Discharge, none, None),
    ]);
    all.dedup();
    all
}

/// A light load, as a share of the full one.
const LIGHT: f64 = 0.2;
/// A resistor within so much of the wanted current does as well.
const NEAR: f64 = 0.3;

/// The resistor at hand that draws nearest to a current (A) at an output (V) and bears its watts, if one is near; else that current.
fn load_near(amps: f64, volts: f64, dummies: &[Dummy]) -> Connected {
    let bears = |dummy: &&Dummy| {
        let watts = volts * volts / dummy.resistance.0;
        bears_watts(dummy).is_some_and(|most| watts <= most)
            && dummy.working_volts.is_none_or(|most| volts <= most.0)
    };
    let off = |dummy: &&Dummy| (volts / dummy.resistance.0 / amps - 1.0).abs();
    let nearest = dummies
        .iter()
        .filter(bears)
        .min_by(|a, b| off(a).total_cmp(&off(b)));
    match nearest {
        Some(dummy) if off(&dummy) <= NEAR => Connected::Resistor(dummy.resistance),
        _ => Connected::Current(Amps(amps)),
    }
}

/// A reading that a step would show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// Of what.
    pub what: What,
    /// What is expected, in its unit.
    pub value: f64,
    /// Standard deviation, with the spreads of the supply and a usual meter's error.
    pub sigma: f64,
}

/// A step with what it would show.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    /// The step.
    pub step: Step,
    /// What to read, with what is expected.
    pub figures: Vec<Figure>,
    /// What the load draws (A) at the output (V); `None` where nothing is on.
    pub at: Option<[f64; 2]>,
    /// That point against all limits; `None` where nothing is on, or it cannot be told.
    pub point: Option<Point>,
    /// The lowest setting against the mains, where that is what the step is about and can be told.
    pub zero: Option<ZeroSetting>,
    /// From where to where the sense control reaches, in the same step.
    pub control: Option<ControlRange>,
}

/// What is read in a phase.
pub fn read_in(phase: Phase, supply: &Supply) -> Vec<What> {
    let has_rail = (supply.regulator.as_ref()).is_some_and(|r| r.bias_rail.is_some());
    let mut rail: Vec<What> = if has_rail {
        vec![What::Rail]
    } else {
        Vec::new()
    };
    match phase {
        Phase::ColdInspection => {
            let mut all = vec![What::WindingOhms];
            let chokes = (1..=u8::MAX).zip(&supply.filter.sections);
            all.extend(
                chokes
                    .filter(|(_, section)| matches!(section.series, SeriesElement::Choke { .. }))
                    .map(|(k, _)| What::ChokeOhms(k)),
            );
            all.push(What::BleederOhms);
            all
        }
        Phase::Leakage => vec![What::Leak],
        Phase::NoLoad | Phase::MainsVariation => {
            let mut all = vec![What::Bus];
            all.append(&mut rail);
            all
        }
        Phase::LightLoad => vec![What::Bus],
        Phase::Loaded => vec![What::Bus, What::BusRipple, What::Droop],
        Phase::KnobUp => vec![What::KnobUp],
        Phase::HotChecks => {
            let mut all = rail;
            all.extend([What::Reference, What::NegativeReference, What::PassGrid]);
            if supply.pass_stage.cathode_resistor.0 > 0.0 {
                all.extend((1..=supply.pass_stage.units).map(What::CathodeResistor));
            }
            all.push(What::FirstCapacitor);
            all
        }
        Phase::BringUp
        | Phase::StandBy
        | Phase::ZeroSetting
        | Phase::ShutDown
        | Phase::Discharge => Vec::new(),
    }
}

/// Each step with what it would show at the present mains.
///
/// # Errors
/// [`Failure`] of the supply.
pub fn prepared(
    work: &Work,
    steps: &[Step],
    (model, envelope): (&Model, &Envelope),
) -> Result<Vec<Prepared>, Failure> {
    let supply = &work.supply;
    let ground = Ground::of(work, supply.mains.present.0)?;
    let usual = usual_setting(supply);
    let spots_of = |step: &Step| -> Vec<Spot> {
        let what = read_in(step.phase, supply).into_iter();
        what.map(|what| Spot {
            what,
            load: step.load,
            set_volts: step.set.map_or(usual, |volts| volts.0),
        })
        .collect()
    };
    let spots: Vec<Spot> = steps.iter().flat_map(&spots_of).collect();
    let predicted = sound(&ground, &spots);
    let evidence = Evidence::of(&predicted, &[]);
    let mut place = 0;
    let all = steps.iter().map(|step| {
        let mut figures = Vec::new();
        for spot in spots_of(step) {
            if let Some(value) = predicted.sound.get(place).copied().flatten() {
                let taken = Taken {
                    spot: place,
                    value,
                    at_least: false,
                    shared: Shared::Usual(range_of(spot.what)),
                    own: own_error(spot.what),
                    mains_read: true,
                    log: None,
                };
                figures.push(Figure {
                    what: spot.what,
                    value,
                    sigma: evidence.sigma_of(taken),
                });
            }
            place += 1;
        }
        let at = output_of(step, &figures);
        let point = at.and_then(|[amps, volts]| envelope.point(model, amps, volts).ok());
        let is_zero = step.phase == Phase::ZeroSetting;
        Prepared {
            step: step.clone(),
            figures,
            at,
            point,
            zero: is_zero.then(|| zero_setting(model).ok()).flatten(),
            control: is_zero.then(|| control_of(model)).flatten(),
        }
    });
    Ok(all.collect())
}

/// From where to where the sense control reaches with nothing connected.
fn control_of(model: &Model) -> Option<ControlRange> {
    let regulator = model.regulator(Case::Present).ok()?;
    let operation = operate(&model.raw, Case::Present, 0.0).ok()?;
    control_range(regulator, &operation).ok()?
}

/// Where the output stands in a step (A, V); `None` where nothing is on.
fn output_of(step: &Step, figures: &[Figure]) -> Option<[f64; 2]> {
    let volts = match step.phase {
        Phase::ColdInspection
        | Phase::Leakage
        | Phase::BringUp
        | Phase::StandBy
        | Phase::ShutDown
        | Phase::Discharge => return None,
        Phase::KnobUp => {
            let up = figures.iter().find(|one| one.what == What::KnobUp);
            up?.value
        }
        _ => step.set?.0,
    };
    Some([step.load.amps_at(volts), volts])
}

impl Prepared {
    /// The limits that are there with nothing connected, whatever the point: those used most first.
    pub fn with_nothing_connected(&self) -> Vec<&Use> {
        let uses = self.point.iter().flat_map(|point| &point.uses);
        let mut all: Vec<&Use> = uses.filter(|one| one.limit.is_no_load()).collect();
        let near = |one: &Use| one.nearness().unwrap_or(f64::NEG_INFINITY);
        all.sort_by(|a, b| near(b).total_cmp(&near(a)));
        all
    }

    /// Watts in the load (W).
    pub fn load_watts(&self) -> Option<f64> {
        self.at.map(|[amps, volts]| amps * volts)
    }
}
