//! Plate current of a triode as a smooth law of plate and grid volts.
//!
//! # Source
//! N. Koren, *Glass Audio* 8(5) (1996) 18 (the improved form; from memory):
//! `E1 = (Va/kp)·ln(1 + exp(kp·(1/µ + V/√(kvb + Va²))))`, `Ia = 2·E1^x/kg1`, with `V = Vg + Vo`: to the grid volts at the tube's
//! pin an offset is added, the contact potential of grid and cathode (0.5 to 0.8 V with oxide cathodes; common practice, no source).
//!
//! Towards cut-off Koren's current falls exponentially with the grid volts, the faster the lower the plate. Below where it would be
//! steeper than [`STEEPEST`] it falls by that: the law goes on along its own tangent, `ln Ia` straight over `Vg`. It rises in both
//! volts everywhere, so it can be inverted anywhere.

use crate::parts::{TriodeCoefficients, Volts};
use crate::physics::numeric::{Tolerance, root_between};

/// The most that transconductance over current comes to (1/V).
///
/// # Source
/// 3.5 to 3.9 per volt was measured on small tubes at 0.04 to 0.2 mA (open curve-tracer data, see `tests/measured`); an exact grid
/// would have `e/kT`, 11 per volt at 1,050 K, which no wound grid comes near.
pub const STEEPEST: f64 = 4.5;

/// Slope over height of the law's softened corner that is as good as its end, 1, where the current is nothing.
const MOST_SLOPE: f64 = 0.99;

/// `ln(1 + eˣ)` without overflow.
fn softplus(x: f64) -> f64 {
    if x > 30.0 { x } else { x.exp().ln_1p() }
}

/// The inverse of [`softplus`].
fn softplus_inverse(soft: f64) -> f64 {
    if soft > 30.0 {
        soft
    } else {
        soft.exp_m1().ln()
    }
}

/// Slope of [`softplus`].
fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

/// Slope over height of [`softplus`]: it falls from 1, far below zero, towards `1/x`, far above.
fn slope_over_height(x: f64) -> f64 {
    let soft = softplus(x);
    // Far below, where both are zero to the arithmetic, their ratio is one.
    if soft > 0.0 { logistic(x) / soft } else { 1.0 }
}

/// Where [`slope_over_height`] is `wanted`, between 0 and 1.
fn drive_at(wanted: f64) -> f64 {
    // With t = eˣ it is above 1 − t/2, and below 1/x.
    let (low, high) = ((2.0 * (1.0 - wanted)).ln(), wanted.recip());
    let tolerance = Tolerance::fine(high);
    root_between(low, high, tolerance, |x| slope_over_height(x) - wanted)
}

/// The law with these coefficients, but for `kg1` and the offset, that has `amps` and `steepness`, transconductance over current (1/V),
/// at `plate_volts` and `grid_volts`. Steeper than [`STEEPEST`] it cannot be.
pub fn through(
    shape: &TriodeCoefficients,
    [plate_volts, grid_volts]: [f64; 2],
    amps: f64,
    steepness: f64,
) -> TriodeCoefficients {
    let at = AtPlate::new(shape, plate_volts);
    let steepest = at.steepest().min(MOST_SLOPE);
    let drive = drive_at((steepness / STEEPEST * at.steepest()).min(steepest));
    TriodeCoefficients {
        kg1: shape.kg1 * at.koren_amps(drive) / amps,
        grid_offset: Volts(shape.grid_offset.0 + at.grid_volts(drive) - grid_volts),
        ..*shape
    }
}

/// `base^exponent` for a base that is not negative; zero below.
fn power(base: f64, exponent: f64) -> f64 {
    if base > 0.0 {
        (base.ln() * exponent).exp()
    } else {
        0.0
    }
}

/// The law at one plate voltage, as a function of `drive`, `kp·(1/µ + V/√(kvb + Va²))`.
struct AtPlate<'a> {
    law: &'a TriodeCoefficients,
    plate_volts: f64,
    /// `√(kvb + Va²)` (V).
    root: f64,
}

impl<'a> AtPlate<'a> {
    fn new(law: &'a TriodeCoefficients, plate_volts: f64) -> Self {
        Self {
            law,
            plate_volts,
            root: (law.kvb + plate_volts * plate_volts).sqrt(),
        }
    }

    fn drive(&self, grid_volts: f64) -> f64 {
        let volts = grid_volts + self.law.grid_offset.0;
        self.law.kp * (1.0 / self.law.mu + volts / self.root)
    }

    fn grid_volts(&self, drive: f64) -> f64 {
        (drive / self.law.kp - 1.0 / self.law.mu) * self.root - self.law.grid_offset.0
    }

    /// Koren's current (A).
    fn koren_amps(&self, drive: f64) -> f64 {
        let effective = self.plate_volts / self.law.kp * softplus(drive);
        2.0 * power(effective, self.law.exponent) / self.law.kg1
    }

    /// The most that drive may rise for a grid volt within [`STEEPEST`], over `x`: slope over height of [`softplus`].
    fn steepest(&self) -> f64 {
        STEEPEST * self.root / (self.law.exponent * self.law.kp)
    }

    /// The drive below which the current falls by [`STEEPEST`], if this one is below it.
    fn tail(&self, drive: f64) -> Option<f64> {
        let steepest = self.steepest();
        (steepest < 1.0 && slope_over_height(drive) > steepest).then(|| drive_at(steepest))
    }
}

/// Plate current (A) at `plate_volts` and `grid_volts` from the cathode; zero at and below 0 V on the plate.
pub fn plate_amps(law: &TriodeCoefficients, plate_volts: f64, grid_volts: f64) -> f64 {
    if plate_volts <= 0.0 {
        return 0.0;
    }
    let at = AtPlate::new(law, plate_volts);
    let drive = at.drive(grid_volts);
    match at.tail(drive) {
        Some(end) => at.koren_amps(end) * (STEEPEST * (grid_volts - at.grid_volts(end))).exp(),
        None => at.koren_amps(drive),
    }
}

/// Small-signal figures at a point: transconductance (S), plate resistance (Ω) and amplification factor.
pub fn small_signal(
    law: &TriodeCoefficients,
    plate_volts: f64,
    grid_volts: f64,
) -> (f64, f64, f64) {
    let at = AtPlate::new(law, plate_volts);
    let drive = at.drive(grid_volts);
    let tail = at.tail(drive);
    let (transconductance, conductance) = koren_slopes(&at, tail.unwrap_or(drive));
    // Along the tail both slopes fall with the current: at its end grid and tail are equally steep.
    let share = tail.map_or(1.0, |end| {
        (STEEPEST * (grid_volts - at.grid_volts(end))).exp()
    });
    (
        share * transconductance,
        1.0 / (share * conductance),
        transconductance / conductance,
    )
}

/// Slopes of Koren's current (S).
fn koren_slopes(at: &AtPlate<'_>, drive: f64) -> (f64, f64) {
    let (law, root, plate_volts) = (at.law, at.root, at.plate_volts);
    let (soft, logistic) = (softplus(drive), logistic(drive));
    let grid_volts = at.grid_volts(drive) + law.grid_offset.0;
    let effective = plate_volts / law.kp * soft;
    let amps_per_effective = 2.0 * law.exponent * power(effective, law.exponent - 1.0) / law.kg1;
    let effective_per_grid = plate_volts * logistic / root;
    let effective_per_plate =
        soft / law.kp - plate_volts * plate_volts * logistic * grid_volts / (root * root * root);
    (
        amps_per_effective * effective_per_grid,
        amps_per_effective * effective_per_plate,
    )
}

/// Grid volts (V) at which `amps` (above 0) flow with `plate_volts` (above 0) on the plate: the law turned round.
pub fn grid_volts(law: &TriodeCoefficients, plate_volts: f64, amps: f64) -> f64 {
    let at = AtPlate::new(law, plate_volts);
    let effective = power(amps * law.kg1 / 2.0, 1.0 / law.exponent);
    let drive = softplus_inverse(effective * law.kp / plate_volts);
    match at.tail(drive) {
        Some(end) => at.grid_volts(end) + (amps / at.koren_amps(end)).ln() / STEEPEST,
        None => at.grid_volts(drive),
    }
}

/// Plate volts (V) at which `amps` flow with `grid_volts`; `None` above 100 kV, which no pass tube sees.
pub fn plate_volts(law: &TriodeCoefficients, amps: f64, grid_volts: f64) -> Option<f64> {
    if amps <= 0.0 {
        return Some(0.0);
    }
    // Without any volts between grid and cathode, the offset among them, Koren's law turns round in closed form; that is also
    // the start for other volts.
    let effective = power(amps * law.kg1 / 2.0, 1.0 / law.exponent);
    let closed = effective * law.kp / softplus(law.kp / law.mu);
    let volts = grid_volts + law.grid_offset.0;
    if volts == 0.0 && AtPlate::new(law, closed).tail(law.kp / law.mu).is_none() {
        return Some(closed);
    }
    if let Some(found) = by_slopes(law, effective * law.kp, volts, closed) {
        return Some(found);
    }
    let miss = |volts: f64| plate_amps(law, volts, grid_volts) - amps;
    let (mut low, mut high) = (0.0, closed.max(1.0));
    while miss(high) < 0.0 {
        low = high;
        high *= 2.0;
        if high > 1e5 {
            return None;
        }
    }
    Some(root_between(low, high, Tolerance::fine(high), miss))
}

/// Newton's steps to the plate volts at which Koren's law has `Va·ln(1 + exp(…))` of `wanted`, with so many volts between grid and cathode,
/// the offset among them. `None` where they do not come to rest at once, or in the tail: the bracketed search is for those.
fn by_slopes(law: &TriodeCoefficients, wanted: f64, volts: f64, closed: f64) -> Option<f64> {
    let mut plate = (closed - law.mu * volts).max(0.5 * closed);
    for _ in 0..STEPS {
        let at = AtPlate::new(law, plate);
        let drive = law.kp * (1.0 / law.mu + volts / at.root);
        let soft = softplus(drive);
        let bend = law.kp * volts * plate * plate / (at.root * at.root * at.root);
        let slope = soft - logistic(drive) * bend;
        let step = (plate * soft - wanted) / slope;
        let next = plate - step;
        if !(next > 0.0 && slope > 0.0) {
            return None;
        }
        plate = next;
        if step.abs() <= AT_REST * plate {
            let end = AtPlate::new(law, plate);
            let drive = law.kp * (1.0 / law.mu + volts / end.root);
            return end.tail(drive).is_none().then_some(plate);
        }
    }
    None
}

/// Steps in which Newton's method comes to rest, and the last of them, relative: each doubles the digits, so the next would be its square.
const STEPS: u32 = 8;
const AT_REST: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::*;

    const LAW: TriodeCoefficients = TriodeCoefficients {
        mu: 2.1,
        exponent: 1.4,
        kg1: 800.0,
        kp: 15.0,
        kvb: 300.0,
        grid_offset: Volts(0.6),
    };

    /// A voltage amplifier of high amplification: near cut-off its law alone would be far too steep.
    const HIGH: TriodeCoefficients = TriodeCoefficients {
        mu: 100.0,
        exponent: 1.4,
        kg1: 1060.0,
        kp: 600.0,
        kvb: 300.0,
        grid_offset: Volts(0.0),
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

    /// Along both axes from full current to a millionth of it: the law is one smooth curve, turned round by its inverses, its slopes
    /// are those of the current, and gm/I stays within its bound.
    #[test]
    fn the_tail_is_no_steeper_than_tubes_are_and_joins_smoothly() {
        let mut in_tail = 0;
        for plate in [5.0, 30.0, 100.0, 250.0] {
            let mut before: Option<f64> = None;
            for step in 0..400_i32 {
                let grid = -0.02 * f64::from(step);
                let amps = plate_amps(&HIGH, plate, grid);
                let (gm, rp, _) = small_signal(&HIGH, plate, grid);
                assert!(
                    gm / amps <= STEEPEST * 1.000_001,
                    "{plate} {grid}: {}",
                    gm / amps
                );
                in_tail += usize::from(gm / amps > 0.999_999 * STEEPEST);
                let h = 1e-5;
                let by_plate = (plate_amps(&HIGH, plate + h, grid)
                    - plate_amps(&HIGH, plate - h, grid))
                    / (2.0 * h);
                assert!((rp * by_plate - 1.0).abs() < 1e-4, "{plate} {grid}");
                let back = grid_volts(&HIGH, plate, amps);
                assert!((back - grid).abs() < 1e-6, "{plate} {grid}: {back}");
                let back = plate_volts(&HIGH, amps, grid).unwrap();
                assert!((back / plate - 1.0).abs() < 1e-6, "{plate} {grid}: {back}");
                // No jump of the slope: from step to step of 20 mV gm changes by what 4.5 per volt makes of it at most.
                if let Some(before) = before {
                    assert!(
                        (gm / before).ln().abs() < 1.5 * 0.02 * STEEPEST,
                        "{plate} {grid}"
                    );
                }
                before = Some(gm);
            }
        }
        assert!(in_tail > 200, "{in_tail}");
    }

    /// An offset of the grid is just so many volts more on the pin.
    #[test]
    fn an_offset_is_volts_at_the_pin() {
        let bare = TriodeCoefficients {
            grid_offset: Volts(0.0),
            ..LAW
        };
        for grid in [-60.0, -10.0, -0.6, 0.0] {
            let (with, without) = (
                plate_amps(&LAW, 90.0, grid),
                plate_amps(&bare, 90.0, grid + 0.6),
            );
            assert!((with / without - 1.0).abs() < 1e-12);
        }
        assert!(plate_volts(&LAW, 0.1, 0.0).unwrap() < plate_volts(&bare, 0.1, 0.0).unwrap());
    }
}
