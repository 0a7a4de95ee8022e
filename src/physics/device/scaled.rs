//! Tubes that carry more or less than their type: so many times the current at equal volts.
//!
//! # Source
//! The current scale of the triode law divides the current; the three-halves-power law `i = K·v^1.5` turned round has `v` as `K^(−2/3)`.

use crate::parts::{ControlTubeKind, PlateCharacteristic, RectifierLaw, TriodeCoefficients};
use crate::physics::device::plate_law::{PlateLaw, plate_law};

/// Puts the law in place of the points to which it is fitted, to be scaled and never fitted again. Left alone where nothing fits.
pub fn put_law(characteristic: &mut PlateCharacteristic) {
    if matches!(characteristic, PlateCharacteristic::Published { .. })
        && let Ok(PlateLaw::Triode(law)) = plate_law(characteristic)
    {
        *characteristic = PlateCharacteristic::Law(law);
    }
}

/// So many times the plate current. Of published points [`put_law`] comes first.
pub fn scale_current(characteristic: &mut PlateCharacteristic, factor: f64) {
    match characteristic {
        PlateCharacteristic::Law(law) => law.kg1 /= factor,
        PlateCharacteristic::ZeroBias(table) => {
            for (_, amps) in table {
                amps.0 *= factor;
            }
        }
        // No law fits these points, so that nothing is asked of them.
        PlateCharacteristic::Published { .. } => {}
    }
}

/// So many times the amplification factor. The corner of the law lies at `kp/µ` of its drive: it goes along, so that the curves keep
/// their shape.
pub fn scale_amplification(law: &mut TriodeCoefficients, factor: f64) {
    law.mu *= factor;
    law.kp *= factor;
}

/// So many times the current of a vacuum rectifier at equal drop.
pub fn scale_rectifier(law: &mut RectifierLaw, factor: f64) {
    if let RectifierLaw::Vacuum { drop, .. } = law {
        let root = factor.cbrt();
        drop.value.0 /= root * root;
    }
}

/// So many times the current of a control tube, and its transconductance with it.
pub fn scale_control(kind: &mut ControlTubeKind, factor: f64) {
    match kind {
        ControlTubeKind::Triode(characteristic) => scale_current(characteristic, factor),
        ControlTubeKind::Pentode {
            operating_points,
            knee,
            ..
        } => {
            for point in operating_points {
                point.plate_current.0 *= factor;
                point.screen_current.0 *= factor;
                point.transconductance.0 *= factor;
                if let Some(ohms) = &mut point.plate_resistance {
                    ohms.0 /= factor;
                }
            }
            for point in knee {
                point.plate_current.0 *= factor;
            }
        }
    }
}
