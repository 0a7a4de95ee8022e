//! The primary side made ready: what stands in series between the mains and the core, the core, and the heaters on it.
//!
//! Where nothing is stated, what is usual of a transformer of its size stands in its place, with how far it may be off; the answer says
//! which values are so.

use core::f64::consts::SQRT_2;

use crate::parts::{
    Connection, CoreBuild, Limiter, NoLoadReadings, PassStage, Primary, Rectifier, RectifierType,
    Supply,
};
use crate::physics::circuit::source::MainsShape;
use crate::physics::model::Model;
use crate::physics::numeric::{Tolerance, root_between};
use crate::physics::operation::Case;
use crate::physics::switch_on::heaters::{Wire, warming};
use crate::physics::switch_on::saturation::Core;

/// The primary side, ready to be switched on. Small, so that drawn ones are cheap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrimarySide {
    /// Rms volts of the mains, open.
    pub mains_volts: f64,
    /// Their angular frequency (rad/s).
    pub angular_frequency: f64,
    /// Their shape.
    pub shape: MainsShape,
    /// Resistance of the mains (Ω).
    pub mains_ohms: f64,
    /// Inductance of the mains (H). It is counted with what magnetises the core: heaters and rectifier draw too little to feel it.
    pub mains_henries: f64,
    /// Resistance of the primary at work (Ω).
    pub primary_ohms: f64,
    /// What limits the current, if anything does.
    pub limiter: Option<Limiter>,
    /// The core, without the inductance of the mains.
    pub core: Core,
    /// Crest linkages at the rated primary volts (V·s): the working flux.
    pub working: f64,
    /// The most that may stay in the core, as a share of the working flux.
    pub most_residual: f64,
    /// What hangs on the transformer beside the rectifier.
    pub auxiliary: Auxiliary,
}

/// The auxiliary load as a conductance on the primary (S), by how it behaves when it is cold.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Auxiliary {
    /// Core loss and all else that does not change.
    pub steady: f64,
    /// Indirectly heated cathodes, hot.
    pub heaters: f64,
    /// Filaments, hot.
    pub filaments: f64,
}

impl Auxiliary {
    /// So many seconds after a cold start (S).
    pub fn siemens(&self, seconds: f64) -> f64 {
        self.steady
            + self.heaters / warming(Wire::Heater, seconds)
            + self.filaments / warming(Wire::Filament, seconds)
    }
}

impl PrimarySide {
    /// E.m.f. of the mains at an angle from their rise through zero (V).
    #[inline]
    pub fn emf(&self, radians: f64) -> f64 {
        self.shape.crest_factor * self.mains_volts * self.shape.at(radians.sin())
    }

    /// Mains and primary in series (Ω), without the limiter.
    pub fn series_ohms(&self) -> f64 {
        self.mains_ohms + self.primary_ohms
    }

    /// The core with the inductance of the mains before it: both carry the magnetising current.
    pub fn core_and_mains(&self) -> Core {
        Core {
            henries: self.core.henries + self.mains_henries,
            saturated_henries: self.core.saturated_henries + self.mains_henries,
            ..self.core
        }
    }

    /// Rms magnetising current at the mains as they are, with nothing else on the transformer (A).
    pub fn magnetising_rms_amps(&self) -> f64 {
        self.core
            .rms_amps(SQRT_2 * self.mains_volts / self.angular_frequency)
    }
}

/// A value of the primary side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Value {
    /// Resistance of the mains.
    MainsResistance,
    /// Their inductance.
    MainsInductance,
    /// What the transformer is rated for.
    CoreRating,
    /// No-load current.
    NoLoad,
    /// Where the core saturates.
    Knee,
    /// Inductance of the saturated primary.
    SaturatedInductance,
    /// Watts of the heaters.
    Heaters,
}

/// Why there is no primary side to switch on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CoreFault {
    /// By its no-load readings the core is saturated by the mains themselves.
    SaturatedAtWork {
        /// Rms volts at which it saturates (V).
        knee_volts: f64,
        /// Rms volts of the mains (V).
        mains_volts: f64,
    },
    /// No core has two such readings: the current rises by more than saturation alone explains.
    NoSuchCore,
}

/// The primary side of a supply, which values of it are usual ones, and how large the transformer was taken to be.
#[derive(Debug, Clone, PartialEq)]
pub struct MadeReady {
    /// The primary side.
    pub side: PrimarySide,
    /// What was not stated.
    pub assumed: Vec<Value>,
    /// What the transformer is rated for (VA), as stated or as reckoned from its windings.
    pub volt_amps: f64,
    /// What all heaters take, hot (W).
    pub heater_watts: f64,
}

/// Makes the primary side of a supply ready, at the mains as they are now.
///
/// # Source
/// Beside each value that is usual.
///
/// # Errors
/// [`CoreFault`] if the no-load readings are those of no core that works.
pub fn made_ready(model: &Model, primary: &Primary) -> Result<MadeReady, CoreFault> {
    let supply = &model.supply;
    let at = model.at(Case::Present);
    let mut assumed = Vec::new();
    let mut or_usual = |stated: Option<f64>, value: Value, usual: f64| {
        stated.unwrap_or_else(|| {
            assumed.push(value);
            usual
        })
    };
    let angular_frequency = at.source.angular_frequency;
    let [mains_ohms, mains_reactance] = usual_mains_impedance(supply.mains.nominal.0);
    let mains_ohms = or_usual(
        primary.mains_resistance.map(|ohms| ohms.0),
        Value::MainsResistance,
        mains_ohms,
    );
    let mains_henries = or_usual(
        primary.mains_inductance.map(|henries| henries.0),
        Value::MainsInductance,
        mains_reactance / angular_frequency,
    );
    let volt_amps = or_usual(
        primary.core_rating.map(|rating| rating.0),
        Value::CoreRating,
        reckoned_volt_amps(supply),
    );
    let primary_ohms = supply.transformer.primary_at_work().0;
    let rated_volts = supply.transformer.primary_volts.0;
    let usual = UsualCore::of(primary.build, volt_amps);
    let impedance = rated_volts * rated_volts / volt_amps;
    let saturated_henries = or_usual(
        primary.saturated_inductance.map(|henries| henries.0),
        Value::SaturatedInductance,
        usual.saturated_reactance(impedance, primary_ohms) / angular_frequency,
    );
    let linkages = |volts: f64| SQRT_2 * volts / angular_frequency;
    let knee = or_usual(
        primary
            .saturates_at
            .map(|volts| linkages(volts.0))
            .filter(|_| primary.no_load.is_none()),
        Value::Knee,
        usual.knee_over_working * linkages(rated_volts),
    );
    let mut core = Core {
        knee,
        rounding: ROUNDING * knee,
        henries: (impedance / usual.no_load_share / angular_frequency).max(2.0 * saturated_henries),
        saturated_henries,
    };
    match &primary.no_load {
        Some(readings) => {
            core = by_readings(core, readings, angular_frequency)?;
            assumed.retain(|value| *value != Value::Knee);
        }
        None => assumed.push(Value::NoLoad),
    }
    let mains_volts = at.mains_volts;
    // What draws amperes for good: the line of the saturated core reaches down to the mains.
    if core.knee <= linkages(mains_volts) {
        return Err(CoreFault::SaturatedAtWork {
            knee_volts: core.knee * angular_frequency / SQRT_2,
            mains_volts,
        });
    }
    let (auxiliary, heater_watts) = auxiliary(supply, primary, mains_volts, &mut assumed);
    Ok(MadeReady {
        side: PrimarySide {
            mains_volts,
            angular_frequency,
            shape: at.source.shape,
            mains_ohms,
            mains_henries,
            primary_ohms,
            limiter: primary.limiter,
            core,
            working: linkages(rated_volts),
            most_residual: usual.most_residual,
            auxiliary,
        },
        assumed,
        volt_amps,
        heater_watts,
    })
}

/// Half the bend of a magnetising curve as a part of its knee: steel leaves the straight line at 1.4 to 1.6 T and is saturated at
/// 2.0 T (value from memory).
const ROUNDING: f64 = 0.2;

/// Resistance and reactance of the mains, out and back (Ω).
///
/// # Source
/// 230 V: reference impedance 0.4 + j0.25 Ω (IEC TR 60725, quoted). 120 V: 0.2 to 0.5 Ω at the outlet of a branch circuit (value from
/// memory, no standard found), and the same ratio.
fn usual_mains_impedance(nominal_volts: f64) -> [f64; 2] {
    if nominal_volts < 160.0 {
        [0.3, 0.15]
    } else {
        [0.4, 0.25]
    }
}

/// What is usual of a core of a build and size.
struct UsualCore {
    /// Impedance of the saturated primary, copper included, as a part of V²/VA.
    saturated_share: f64,
    /// Linkages of the knee over those at the rated volts.
    knee_over_working: f64,
    /// No-load current as a part of the rated.
    no_load_share: f64,
    /// Largest residual flux as a part of the working flux.
    most_residual: f64,
}

impl UsualCore {
    /// # Source
    /// Saturated impedance: 5 to 7 % of V²/VA for EI cores, from the crests that Tauscher (tauscher.com/html/inrushcurrent.html) gives
    /// by size, with 1.2 T at work, 0.6 T left and 2.0 T at saturation; toroids by the same reckoning at 1.6 T. Working flux 1.0 to
    /// 1.25 T of transformers of the 1950s, saturation 2.0 T, residual flux 0.3 to 0.6 of the working flux (0.8 without a gap, hardly any
    /// where the stacks are butted), no-load currents by size: values from memory.
    fn of(build: CoreBuild, volt_amps: f64) -> Self {
        match build {
            CoreBuild::Interleaved | CoreBuild::Butted => Self {
                saturated_share: 0.06,
                knee_over_working: 2.0 / 1.2,
                no_load_share: along(
                    &[
                        (30.0, 0.4),
                        (50.0, 0.3),
                        (100.0, 0.22),
                        (200.0, 0.15),
                        (300.0, 0.115),
                    ],
                    volt_amps,
                ),
                most_residual: if build == CoreBuild::Butted { 0.1 } else { 0.6 },
            },
            CoreBuild::Toroid => Self {
                saturated_share: along(
                    &[(300.0, 0.05), (500.0, 0.037), (1000.0, 0.027)],
                    volt_amps,
                ),
                knee_over_working: 2.0 / 1.6,
                no_load_share: 0.015,
                most_residual: 0.8,
            },
        }
    }

    /// Reactance that is left of the saturated impedance beside the copper (Ω); never less than half of the impedance.
    fn saturated_reactance(&self, impedance: f64, primary_ohms: f64) -> f64 {
        let whole = self.saturated_share * impedance;
        let rest = whole * whole - primary_ohms * primary_ohms;
        rest.max(0.25 * whole * whole).sqrt()
    }
}

/// Along straight lines through points that rise in their first value; level beyond them.
fn along(points: &[(f64, f64)], at: f64) -> f64 {
    let behind = points.partition_point(|(x, _)| *x <= at);
    match (
        behind.checked_sub(1).and_then(|k| points.get(k)),
        points.get(behind),
    ) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (at - x0) / (x1 - x0) * (y1 - y0),
        (Some((_, only)), None) | (None, Some((_, only))) => *only,
        (None, None) => 0.0,
    }
}

/// Apparent power of all windings (VA), where the nameplate does not say it: the auxiliary load and the high-voltage winding at its
/// rating. Each half of a tapped winding carries its current half of the time: both together are as one of √2 times it. Without a rating
/// the winding counts for as much as the auxiliary load, and at least for 30 VA (common practice, no source).
fn reckoned_volt_amps(supply: &Supply) -> f64 {
    let transformer = &supply.transformer;
    let auxiliary = transformer.auxiliary.0;
    let carried = match supply.rectifier.connection {
        Connection::FullWaveCentreTap => SQRT_2,
        Connection::Bridge | Connection::HalfWave => 1.0,
    };
    let winding = transformer.winding_rating.as_ref().map_or_else(
        || auxiliary.max(30.0),
        |rating| carried * transformer.stated_volts().0 * rating.value.0,
    );
    (auxiliary + winding).max(5.0)
}

/// The core that has these two no-load currents: its inductance from the lower, its knee from how much more the higher takes. Where that
/// is in proportion to the volts, no saturation is in sight, and the knee is where it is usual, but above the higher reading.
fn by_readings(
    usual: Core,
    readings: &NoLoadReadings,
    angular_frequency: f64,
) -> Result<Core, CoreFault> {
    let linkages = |volts: f64| SQRT_2 * volts / angular_frequency;
    let [(low, low_amps), (high, high_amps)] =
        [readings.lower, readings.higher].map(|(volts, amps)| (linkages(volts.0), amps.0));
    let with_knee = |knee: f64| {
        let of = |inverse: f64| Core {
            knee,
            rounding: ROUNDING * knee,
            henries: 1.0 / inverse,
            saturated_henries: usual.saturated_henries,
        };
        // The most is a core without any bend; the least has hardly any current of its own.
        let most = SQRT_2 * low_amps / low;
        let inverse = root_between(1e-6 * most, most, Tolerance::fine(most), |inverse| {
            of(inverse).rms_amps(low) - low_amps
        });
        of(inverse)
    };
    let miss = |knee: f64| with_knee(knee).rms_amps(high) - high_amps;
    let unbent = high / (1.0 - ROUNDING);
    if miss(unbent) > -0.02 * high_amps {
        let knee = usual.knee.max(unbent);
        return Ok(with_knee(knee));
    }
    let least = 0.5 * low;
    if miss(least) < 0.0 {
        return Err(CoreFault::NoSuchCore);
    }
    let knee = root_between(least, unbent, Tolerance::fine(unbent), miss);
    Ok(with_knee(knee))
}

/// The auxiliary load as conductances, and the watts of its heaters.
fn auxiliary(
    supply: &Supply,
    primary: &Primary,
    mains_volts: f64,
    assumed: &mut Vec<Value>,
) -> (Auxiliary, f64) {
    let whole = supply.transformer.auxiliary.0;
    if whole <= 0.0 {
        return (Auxiliary::default(), 0.0);
    }
    let ohms = mains_volts * mains_volts / whole - supply.transformer.primary_at_work().0;
    let siemens = 1.0 / ohms;
    let known = HeaterWatts::of(supply);
    let heaters = match (primary.heaters, known.is_complete) {
        (Some(stated), _) => stated.0,
        (None, true) => known.heaters + known.filaments,
        (None, false) => {
            assumed.push(Value::Heaters);
            (known.heaters + known.filaments).max(0.9 * whole)
        }
    }
    .min(whole);
    let filaments = known.filaments.min(heaters);
    (
        Auxiliary {
            steady: siemens * (1.0 - heaters / whole),
            heaters: siemens * (heaters - filaments) / whole,
            filaments: siemens * filaments / whole,
        },
        heaters,
    )
}

/// Watts of the heaters of all tubes of a supply, as their types have them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeaterWatts {
    /// Of indirectly heated cathodes (W).
    pub heaters: f64,
    /// Of filaments (W).
    pub filaments: f64,
    /// False where the heater of some type is not known.
    pub is_complete: bool,
}

impl HeaterWatts {
    /// Of a supply.
    pub fn of(supply: &Supply) -> Self {
        let mut all = Self {
            heaters: 0.0,
            filaments: 0.0,
            is_complete: true,
        };
        all.add_rectifier(&supply.rectifier);
        let PassStage { tube, units, .. } = &supply.pass_stage;
        let envelopes = units.div_ceil(tube.units.max(1));
        all.add(tube.ratings.heater.as_ref(), envelopes);
        if let Some(regulator) = &supply.regulator {
            all.add(regulator.control_tube.ratings.heater.as_ref(), 1);
            if let Some(rail) = &regulator.bias_rail {
                all.add_rectifier(&rail.rectifier);
            }
        }
        all
    }

    fn add_rectifier(&mut self, rectifier: &Rectifier) {
        if rectifier.kind.is_silicon() {
            return;
        }
        self.add(rectifier.kind.heater.as_ref(), envelopes(rectifier));
    }

    fn add(&mut self, heater: Option<&crate::parts::rectifier::Heater>, envelopes: u8) {
        let Some(heater) = heater else {
            self.is_complete = false;
            return;
        };
        let watts = heater.volts.0 * heater.amps.0 * f64::from(envelopes);
        if heater.filament {
            self.filaments += watts;
        } else {
            self.heaters += watts;
        }
    }
}

/// Envelopes of a rectifier as wired.
fn envelopes(rectifier: &Rectifier) -> u8 {
    let legs: u8 = match rectifier.connection {
        Connection::FullWaveCentreTap => 2,
        Connection::Bridge => 4,
        Connection::HalfWave => 1,
    };
    let devices = legs.saturating_mul(rectifier.in_parallel.max(1));
    devices.div_ceil(rectifier.kind.plates.max(1))
}

/// What the cathodes of a rectifier are: `None` for silicon, which is ready at once, and for mercury vapour the filament that it has.
pub fn cathode(kind: &RectifierType) -> Option<Wire> {
    if kind.is_silicon() {
        return None;
    }
    let is_filament = kind.heater.as_ref().is_some_and(|heater| heater.filament);
    Some(if is_filament {
        Wire::Filament
    } else {
        Wire::Heater
    })
}
