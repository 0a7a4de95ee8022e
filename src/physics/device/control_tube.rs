//! The control tube where it works: from its plate current to grid volts, transconductance and plate resistance.

use crate::parts::control_tube::{ControlTubeKind, PentodePoint};
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

/// A pentode around a published operating point.
///
/// # Source
/// Cathode current follows the three-halves power of an effective grid volts (I. Langmuir 1913; Child's law of the
/// equivalent diode), so the transconductance goes as the cube root of the current, and grid volts follow from the
/// published transconductance. The plate resistance goes as 1/current (common practice, no source). All of it holds above
/// the knee of the plate curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pentode {
    /// Plate current of the published point (A).
    pub amps: f64,
    /// Its transconductance (S).
    pub transconductance: f64,
    /// Its plate resistance (Ω), if published.
    pub plate_resistance: Option<f64>,
    /// Grid volts of the published point, moved by what the screen here is above or below the published one (V).
    pub grid_volts: f64,
    /// Screen current over plate current.
    pub screen_share: f64,
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
        } => {
            let screen = screen_volts.map(|v| v.0);
            let away = |p: &PentodePoint| screen.map_or(0.0, |volts| (p.screen.0 - volts).abs());
            let nearest = operating_points
                .iter()
                .min_by(|a, b| away(a).total_cmp(&away(b)))
                .ok_or(Needs::ControlOperatingPoint)?;
            Ok(ControlLaw::Pentode(pentode(nearest, *screen_mu, screen)))
        }
    }
}

fn pentode(point: &PentodePoint, screen_mu: Option<f64>, screen_volts: Option<f64>) -> Pentode {
    let amps = point.plate_current.0;
    let transconductance = point.transconductance.0;
    // The effective volts of a three-halves law that has this slope at this current.
    let effective = 1.5 * amps / transconductance;
    let mu = screen_mu.unwrap_or_else(|| point.screen.0 / (effective - point.grid.0).max(0.1));
    let moved = screen_volts.map_or(0.0, |volts| (volts - point.screen.0) / mu);
    Pentode {
        amps,
        transconductance,
        plate_resistance: point.plate_resistance.map(|r| r.0),
        grid_volts: point.grid.0 - moved,
        screen_share: point.screen_current.0 / amps,
    }
}

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
                })
            }
            Self::ZeroBias(_) => Err(Needs::ControlCurvesBelowZeroBias),
            Self::Pentode(pentode) => {
                let share = amps / pentode.amps;
                let effective = 1.5 * pentode.amps / pentode.transconductance;
                let root = share.cbrt();
                Ok(ControlPoint {
                    amps,
                    plate_volts,
                    grid_volts: pentode.grid_volts + effective * (root * root - 1.0),
                    transconductance: pentode.transconductance * root,
                    plate_resistance: pentode
                        .plate_resistance
                        .map_or(f64::INFINITY, |ohms| ohms / share),
                    screen_amps: amps * pentode.screen_share,
                })
            }
        }
    }

    /// Least plate volts above the cathode to which a triode pulls its plate at zero bias through `ohms` from
    /// `supply_volts` above the cathode (V).
    ///
    /// # Errors
    /// What would have to be known: a pentode's knee is in no operating point.
    pub fn least_plate_volts(&self, supply_volts: f64, ohms: f64) -> Result<f64, Needs> {
        let volts_at = |amps: f64| match self {
            Self::Triode(law) => triode::plate_volts(law, amps, 0.0),
            Self::ZeroBias(law) => law.plate_volts(amps, 0.0),
            Self::Pentode(_) => None,
        };
        if matches!(self, Self::Pentode(_)) {
            return Err(Needs::ControlKnee);
        }
        // On the load line the current falls as the plate rises, on the tube's curve it rises: they meet once.
        let top = supply_volts.max(0.0);
        let spare = |volts: f64| {
            let needed = volts_at((supply_volts - volts) / ohms);
            volts - needed.unwrap_or(f64::INFINITY)
        };
        Ok(root_between(0.0, top, Tolerance::fine(top), spare))
    }
}
