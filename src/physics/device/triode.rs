//! Plate current of a triode as a smooth law of plate and grid volts.
//!
//! # Source
//! N. Koren, *Glass Audio* 8(5) (1996) 18 (the improved form; from memory):
//! `E1 = (Va/kp)·ln(1 + exp(kp·(1/µ + Vg/√(kvb + Va²))))`, `Ia = 2·E1^x/kg1`. It rises in both volts, so it
//! can be inverted anywhere.

use crate::parts::TriodeCoefficients;
use crate::physics::numeric::{Tolerance, root_between};

/// `ln(1 + eˣ)` without overflow.
fn softplus(x: f64) -> f64 {
    if x > 30.0 { x } else { x.exp().ln_1p() }
}

/// `base^exponent` for a base that is not negative; zero below.
fn power(base: f64, exponent: f64) -> f64 {
    if base > 0.0 {
        (base.ln() * exponent).exp()
    } else {
        0.0
    }
}

/// Plate current (A) at `plate_volts` and `grid_volts` from the cathode; zero at and below 0 V on the plate.
pub fn plate_amps(law: &TriodeCoefficients, plate_volts: f64, grid_volts: f64) -> f64 {
    if plate_volts <= 0.0 {
        return 0.0;
    }
    let drive = law.kp * (1.0 / law.mu + grid_volts / (law.kvb + plate_volts * plate_volts).sqrt());
    let effective = plate_volts / law.kp * softplus(drive);
    2.0 * power(effective, law.exponent) / law.kg1
}

/// Small-signal figures at a point: transconductance (S), plate resistance (Ω) and amplification factor.
pub fn small_signal(
    law: &TriodeCoefficients,
    plate_volts: f64,
    grid_volts: f64,
) -> (f64, f64, f64) {
    let root = (law.kvb + plate_volts * plate_volts).sqrt();
    let drive = law.kp * (1.0 / law.mu + grid_volts / root);
    let soft = softplus(drive);
    let logistic = 1.0 / (1.0 + (-drive).exp());
    let effective = plate_volts / law.kp * soft;
    let amps_per_effective = 2.0 * law.exponent * power(effective, law.exponent - 1.0) / law.kg1;
    let effective_per_grid = plate_volts * logistic / root;
    let effective_per_plate =
        soft / law.kp - plate_volts * plate_volts * logistic * grid_volts / (root * root * root);
    let transconductance = amps_per_effective * effective_per_grid;
    let conductance = amps_per_effective * effective_per_plate;
    (
        transconductance,
        1.0 / conductance,
        transconductance / conductance,
    )
}

/// Grid volts (V) at which `amps` (above 0) flow with `plate_volts` (above 0) on the plate: the law turned round.
pub fn grid_volts(law: &TriodeCoefficients, plate_volts: f64, amps: f64) -> f64 {
    let effective = power(amps * law.kg1 / 2.0, 1.0 / law.exponent);
    let soft = effective * law.kp / plate_volts;
    // The inverse of `ln(1 + eˣ)`.
    let drive = if soft > 30.0 {
        soft
    } else {
        soft.exp_m1().ln()
    };
    (drive / law.kp - 1.0 / law.mu) * (law.kvb + plate_volts * plate_volts).sqrt()
}

/// Plate volts (V) at which `amps` flow with `grid_volts`; `None` above 100 kV, which no pass tube sees.
pub fn plate_volts(law: &TriodeCoefficients, amps: f64, grid_volts: f64) -> Option<f64> {
    if amps <= 0.0 {
        return Some(0.0);
    }
    // With the grid at the cathode the law turns round in closed form; that is also the start for other volts.
    let effective = power(amps * law.kg1 / 2.0, 1.0 / law.exponent);
    let at_zero_bias = effective * law.kp / softplus(law.kp / law.mu);
    if grid_volts == 0.0 {
        return Some(at_zero_bias);
    }
    let (mut low, mut high) = (0.0, at_zero_bias.max(1.0));
    while plate_amps(law, high, grid_volts) < amps {
        low = high;
        high *= 2.0;
        if high > 1e5 {
            return None;
        }
    }
    Some(root_between(low, high, Tolerance::fine(high), |volts| {
        plate_amps(law, volts, grid_volts) - amps
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: TriodeCoefficients = TriodeCoefficients {
        mu: 2.1,
        exponent: 1.4,
        kg1: 800.0,
        kp: 15.0,
        kvb: 300.0,
    };

    #[test]
    fn volts_and_current_are_inverse_to_each_other() {
        for grid in [-120.0, -40.0, -5.0, 0.0, 3.0] {
            for amps in [1e-5, 1e-3, 0.05, 0.2] {
                let volts = plate_volts(&LAW, amps, grid).unwrap();
                let back = plate_amps(&LAW, volts, grid);
                assert!(
                    (back / amps - 1.0).abs() < 1e-6,
                    "{grid} V {amps} A: {volts} V gives {back} A"
                );
            }
        }
    }

    #[test]
    fn grid_volts_and_current_are_inverse_to_each_other() {
        for grid in [-120.0, -40.0, -5.0, 0.0, 3.0] {
            for plate in [60.0, 200.0, 400.0] {
                let back = grid_volts(&LAW, plate, plate_amps(&LAW, plate, grid));
                assert!(
                    (back - grid).abs() < 1e-6 * (1.0 + grid.abs()),
                    "{plate} V {grid} V: {back} V"
                );
            }
        }
    }

    #[test]
    fn the_small_signal_figures_are_the_slopes() {
        let (plate, grid, h) = (110.0, -30.0, 1e-4);
        let (gm, rp, mu) = small_signal(&LAW, plate, grid);
        let by_grid =
            (plate_amps(&LAW, plate, grid + h) - plate_amps(&LAW, plate, grid - h)) / (2.0 * h);
        let by_plate =
            (plate_amps(&LAW, plate + h, grid) - plate_amps(&LAW, plate - h, grid)) / (2.0 * h);
        assert!((gm / by_grid - 1.0).abs() < 1e-6);
        assert!((rp * by_plate - 1.0).abs() < 1e-6);
        assert!((mu / (gm * rp) - 1.0).abs() < 1e-12);
    }
}
