//! The control tube where it works: from its plate current to grid volts, transconductance and plate resistance.

use crate::parts::control_tube::{ControlTubeKind, KneePoint, PentodePoint};
use crate::parts::{ControlTubeType, TriodeCoefficients, Volts};
use crate::physics::device::plate_law::{PlateLaw, plate_law};
use crate::physics::device::triode;
use crate::physics::needs::Needs;
use crate::physics::numeric::{Tolerance, root_between};

/// A control tube, ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub enum ControlLaw {
    /// A triode (or a pentode connected as one).
    Triode(TriodeCoefficients),
    /// A triode of which only the zero-bias curve is known: it says how far the plate can be pulled, not the gain.
    ZeroBias(PlateLaw),
    /// A pentode, scaled from one published operating point.
    Pentode(Pentode),
}

/// A pentode with its screen at volts of its own, around a published operating point.
///
/// # Source
/// The cathode current follows a triode law of grid and *screen* volts, for to it the plate stands behind the screen: that of
/// [`triode`], of three halves (I. Langmuir 1913; Child's law of the equivalent diode), with the amplification factor from control grid
/// to screen. Measured, a current of 7.0 mA hardly changes with the plate from 23 V to 299 V (`tests/measured`). The plate takes its share
/// of it; above the knee that share is the published one, and the plate resistance goes as 1/current (common practice, no source).
///
/// At a low plate the current is that of a diode of plate and screen, `P·Va^1.5`: electrons turn round between the two. In between
/// `Ip = ((share·Ik)^−3 + (P·Va^1.5)^−3)^(−1/3)`, a smooth corner that three points of a measured EF80 have at 23 V.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pentode {
    /// Law of the cathode current, its plate volts being the screen's.
    pub cathode: TriodeCoefficients,
    /// Screen volts above the cathode (V).
    pub screen_volts: f64,
    /// The plate's share of the cathode current above the knee.
    pub plate_share: f64,
    /// Plate current of the published point (A).
    pub amps: f64,
    /// Its plate resistance (Ω), if published.
    pub plate_resistance: Option<f64>,
    /// `P` of the knee (A/V^1.5), where points of it are known.
    pub knee: Option<f64>,
}

/// What the control tube does at one point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlPoint {
    /// Plate current (A).
    pub amps: f64,
    /// Plate volts above its cathode (V).
    pub plate_volts: f64,
    /// Grid volts above its cathode (V).
    pub grid_volts: f64,
    /// Transconductance (S).
    pub transconductance: f64,
    /// Plate resistance (Ω); infinite where a pentode's is not published.
    pub plate_resistance: f64,
    /// Screen current (A); zero for a triode.
    pub screen_amps: f64,
    /// Plate current by screen volts, the grids and the plate held (S); zero for a triode.
    pub by_screen: f64,
}

/// Least plate current for which grid volts are asked (A): towards none they run through a logarithm to no end.
const LEAST_AMPS: f64 = 1e-7;

/// The law of a control tube with its screen at `screen_volts`.
///
/// # Errors
/// What would have to be known.
pub fn control_law(
    tube: &ControlTubeType,
    screen_volts: Option<Volts>,
) -> Result<ControlLaw, Needs> {
    match &tube.kind {
        ControlTubeKind::Triode(characteristic) => match plate_law(characteristic) {
            Ok(PlateLaw::Triode(law)) => Ok(ControlLaw::Triode(law)),
            Ok(table @ PlateLaw::ZeroBias(_)) => Ok(ControlLaw::ZeroBias(table)),
            Err(_) => Err(Needs::ControlPoints),
        },
        ControlTubeKind::Pentode {
            operating_points,
            screen_mu,
            knee,
        } => {
            let screen = screen_volts.map(|v| v.0);
            let away = |p: &PentodePoint| screen.map_or(0.0, |volts| (p.screen.0 - volts).abs());
            let nearest = operating_points
                .iter()
                .min_by(|a, b| away(a).total_cmp(&away(b)))
                .ok_or(Needs::ControlOperatingPoint)?;
            Ok(ControlLaw::Pentode(Pentode::new(
                nearest, *screen_mu, screen, knee,
            )))
        }
    }
}

/// Where the cathode current's corner is, `kp` in units of the amplification factor.
///
/// # Source
/// With 6 the law has 10 µA of plate current where RCA's sheets print it for the 6AU6 (−4.2 V and −6.2 V with 100 V and 150 V on the
/// screen) and the 6SJ7 (−8 V): values from memory. Curves of a measured EF80 say 5 (`tests/measured`).
const KNEE: f64 = 6.0;
/// Of the equivalent diode.
const EXPONENT: f64 = 1.5;
/// Contact potential of an oxide cathode (V), with which the amplification factor follows where none is published (common practice, no
/// source).
const CONTACT_POTENTIAL: f64 = 0.6;
/// Where published transconductance over current is nearer to the steepest there is than this, it is a slip (see [`triode::STEEPEST`]).
const STEEP: f64 = 0.9;
/// How sharp the knee of the plate curves is.
const SHARPNESS: f64 = 3.0;
/// The most of the current of a low plate that it takes: all of it only with no end of cathode current.
const NEARLY_ALL: f64 = 0.99;

impl Pentode {
    fn new(
        point: &PentodePoint,
        screen_mu: Option<f64>,
        screen_volts: Option<f64>,
        knee: &[KneePoint],
    ) -> Self {
        let amps = point.plate_current.0;
        let cathode_amps = amps + point.screen_current.0;
        let steepness = (point.transconductance.0 / amps).min(STEEP * triode::STEEPEST);
        let mu = screen_mu.unwrap_or_else(|| amplification(point, steepness));
        // The law must be able to be as steep as the published point.
        let corner = (KNEE * mu).max(2.0 * steepness * point.screen.0 / EXPONENT);
        let shape = TriodeCoefficients {
            mu,
            exponent: EXPONENT,
            kg1: 1.0,
            kp: corner,
            kvb: 0.0,
            grid_offset: Volts(0.0),
        };
        let volts = [point.screen.0, point.grid.0];
        let mut pentode = Self {
            cathode: triode::through(&shape, volts, cathode_amps, steepness),
            screen_volts: screen_volts.unwrap_or(point.screen.0),
            plate_share: amps / cathode_amps,
            amps,
            plate_resistance: point.plate_resistance.map(|r| r.0),
            knee: None,
        };
        pentode.knee = pentode.knee_of(knee);
        pentode
    }

    /// `P` of the knee (A/V^1.5) from points; none of those above it says anything.
    fn knee_of(&self, points: &[KneePoint]) -> Option<f64> {
        let one = |point: &KneePoint| {
            let all =
                self.plate_share * triode::plate_amps(&self.cathode, point.screen.0, point.grid.0);
            let amps = point.plate_current.0;
            (amps < NEARLY_ALL * all)
                .then(|| without(amps, all) / point.plate.0.powf(EXPONENT))
                .filter(|p| p.is_finite() && *p > 0.0)
        };
        let logs: Vec<f64> = points.iter().filter_map(one).map(f64::ln).collect();
        (!logs.is_empty()).then(|| (logs.iter().sum::<f64>() / logs.len() as f64).exp())
    }

    /// The most that the plate can take at its volts (A).
    fn most(&self, plate_volts: f64) -> f64 {
        self.knee
            .map_or(f64::INFINITY, |p| p * plate_volts.max(0.0).powf(EXPONENT))
    }

    /// Plate current with the control grid at its cathode (A).
    fn zero_bias_amps(&self, plate_volts: f64) -> f64 {
        let all = self.plate_share * triode::plate_amps(&self.cathode, self.screen_volts, 0.0);
        both(all, self.most(plate_volts))
    }

    fn point(&self, plate_volts: f64, amps: f64) -> ControlPoint {
        let most = self.most(plate_volts.max(1.0));
        // What the plate would take well above the knee.
        let above = without(amps.min(NEARLY_ALL * most), most).max(amps);
        let cathode_amps = above / self.plate_share;
        let grid_volts = triode::grid_volts(&self.cathode, self.screen_volts, cathode_amps);
        // The screen is the plate of the cathode's law.
        let (transconductance, screen_resistance, _) =
            triode::small_signal(&self.cathode, self.screen_volts, grid_volts);
        // ln Ip goes with ln Ik by the one, with ln P·Va^1.5 by the other.
        let by_plate = (amps / most).min(1.0).powf(SHARPNESS);
        let by_cathode = 1.0 - by_plate;
        let published = self
            .plate_resistance
            .map_or(0.0, |ohms| amps / self.amps / ohms);
        let share = amps / cathode_amps * by_cathode;
        let conductance = published + by_plate * EXPONENT * amps / plate_volts.max(1.0);
        ControlPoint {
            amps,
            plate_volts,
            grid_volts,
            transconductance: transconductance * share,
            plate_resistance: conductance.recip(),
            screen_amps: cathode_amps - amps,
            by_screen: share / screen_resistance,
        }
    }
}

/// The lesser of two currents, with a smooth corner.
fn both(a: f64, b: f64) -> f64 {
    (a.powf(-SHARPNESS) + b.powf(-SHARPNESS)).powf(-SHARPNESS.recip())
}

/// The current that [`both`] makes this of with `other`.
fn without(amps: f64, other: f64) -> f64 {
    (amps.powf(-SHARPNESS) - other.powf(-SHARPNESS)).powf(-SHARPNESS.recip())
}

/// The amplification factor from control grid to screen with which the law has the published steepness where it says the grid is, contact
/// potential included.
fn amplification(point: &PentodePoint, steepness: f64) -> f64 {
    let screen = point.screen.0;
    // `volts` are those of the screen as the grid sees them.
    let miss = |volts: f64| {
        let shape = TriodeCoefficients {
            mu: screen / volts,
            exponent: EXPONENT,
            kg1: 1.0,
            kp: (KNEE * screen / volts).max(2.0 * steepness * screen / EXPONENT),
            kvb: 0.0,
            grid_offset: Volts(0.0),
        };
        let law = triode::through(&shape, [screen, point.grid.0], 1.0, steepness);
        CONTACT_POTENTIAL - law.grid_offset.0
    };
    let (least, most) = (screen * LEAST_SCREEN_SHARE, screen);
    screen / root_between(least, most, Tolerance::fine(most), miss)
}

/// No screen's amplification factor is above the reciprocal of this.
const LEAST_SCREEN_SHARE: f64 = 1e-3;

impl ControlLaw {
    /// What the tube does with `plate_volts` above its cathode and `amps` through it.
    ///
    /// # Errors
    /// What would have to be known.
    pub fn point(&self, plate_volts: f64, amps: f64) -> Result<ControlPoint, Needs> {
        let amps = amps.max(LEAST_AMPS);
        match self {
            Self::Triode(law) => {
                let plate = plate_volts.max(1.0);
                let grid_volts = triode::grid_volts(law, plate, amps);
                let (transconductance, plate_resistance, _) =
                    triode::small_signal(law, plate, grid_volts);
                Ok(ControlPoint {
                    amps,
                    plate_volts,
                    grid_volts,
                    transconductance,
                    plate_resistance,
                    screen_amps: 0.0,
                    by_screen: 0.0,
                })
            }
            Self::ZeroBias(_) => Err(Needs::ControlCurvesBelowZeroBias),
            Self::Pentode(pentode) => Ok(pentode.point(plate_volts, amps)),
        }
    }

    /// Least plate volts above the cathode to which the tube pulls its plate at zero bias through `ohms` from
    /// `supply_volts` above the cathode (V).
    ///
    /// # Errors
    /// What would have to be known: a pentode's knee is in no operating point, but in points of its own.
    pub fn least_plate_volts(&self, supply_volts: f64, ohms: f64) -> Result<f64, Needs> {
        let volts_at = |amps: f64| match self {
            Self::Triode(law) => triode::plate_volts(law, amps, 0.0),
            Self::ZeroBias(law) => law.plate_volts(amps, 0.0),
            Self::Pentode(_) => None,
        };
        let top = supply_volts.max(0.0);
        if let Self::Pentode(pentode) = self {
            pentode.knee.ok_or(Needs::ControlKnee)?;
            let spare = |volts: f64| pentode.zero_bias_amps(volts) - (supply_volts - volts) / ohms;
            return Ok(root_between(0.0, top, Tolerance::fine(top), spare));
        }
        // On the load line the current falls as the plate rises, on the tube's curve it rises: they meet once.
        let spare = |volts: f64| {
            let needed = volts_at((supply_volts - volts) / ohms);
            volts - needed.unwrap_or(f64::INFINITY)
        };
        Ok(root_between(0.0, top, Tolerance::fine(top), spare))
    }
}
