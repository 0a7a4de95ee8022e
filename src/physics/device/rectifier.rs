//! What a rectifier path carries at an instant: device and resistance in series.
//!
//! A path is everything between the winding's e.m.f. and the filter: the effective supply resistance and one
//! device (two in series in a bridge). The steady state asks it one question, thousands of times: given the
//! forward volts over the path *and* a further resistance that stands for the filter, which current flows?

use crate::parts::{Connection, Rectifier, RectifierLaw};

/// One conducting path, prepared for repeated use. Currents in A, volts in V, resistances in Ω.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Path {
    law: Law,
    /// Linear resistance of the path.
    pub ohms: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Law {
    /// `v = scale·i^(2/3)`.
    ThreeHalves { scale: f64 },
    /// `v = emission·ln(1 + i/saturation)`.
    Junction { emission: f64, saturation: f64 },
    /// `v = drop` while it conducts.
    Constant { drop: f64 },
}

impl Path {
    /// The path of a rectifier as wired, behind `supply_ohms` of the transformer.
    ///
    /// # Source
    /// High vacuum: three-halves-power law `i = K·v^1.5` (C. D. Child, Phys. Rev. 32 (1911) 492; I. Langmuir,
    /// Phys. Rev. 2 (1913) 450; from memory), `K` from one published drop. Silicon: W. Shockley, Bell Syst. Tech. J. 28
    /// (1949) 435 (from memory), with series resistance. Mercury vapour: constant drop (RCA TT-3: 15 V).
    pub fn new(rectifier: &Rectifier, supply_ohms: f64) -> Self {
        let in_series = match rectifier.connection {
            Connection::Bridge => 2.0,
            Connection::FullWaveCentreTap | Connection::HalfWave => 1.0,
        };
        let in_parallel = f64::from(rectifier.in_parallel.max(1));
        let mut ohms = supply_ohms + in_series * rectifier.plate_resistor.0 / in_parallel;
        let law = match &rectifier.kind.law {
            RectifierLaw::Vacuum { drop, at } => {
                let cube_root = (at.0 * in_parallel).cbrt();
                Law::ThreeHalves {
                    scale: in_series * drop.value.0 / (cube_root * cube_root),
                }
            }
            RectifierLaw::Silicon {
                saturation,
                emission,
                resistance,
            } => {
                ohms += in_series * resistance.0 / in_parallel;
                Law::Junction {
                    emission: in_series * emission.0,
                    saturation: saturation.0 * in_parallel,
                }
            }
            RectifierLaw::MercuryVapour { drop } => Law::Constant {
                drop: in_series * drop.value.0,
            },
        };
        Self { law, ohms }
    }

    /// Current when `volts` of e.m.f. drive the path and `further_ohms` in series; and its derivative with respect
    /// to those volts. Both zero for `volts ≤ 0`: no reverse current. `guess` is left by the last call nearby, 0 at first.
    #[inline]
    pub fn current(&self, volts: f64, further_ohms: f64, guess: &mut f64) -> (f64, f64) {
        if volts <= 0.0 {
            return (0.0, 0.0);
        }
        let ohms = self.ohms + further_ohms;
        match self.law {
            Law::ThreeHalves { scale } => three_halves(volts, ohms, scale, guess),
            Law::Junction {
                emission,
                saturation,
            } => junction(volts, ohms, (emission, saturation), guess),
            Law::Constant { drop } if volts > drop => ((volts - drop) / ohms, 1.0 / ohms),
            Law::Constant { .. } => (0.0, 0.0),
        }
    }

    /// True if the current rises from zero without a corner, as a high-vacuum plate's does.
    pub fn starts_softly(&self) -> bool {
        matches!(self.law, Law::ThreeHalves { .. })
    }

    /// Volts over devices and resistance of the path at `amps` ≥ 0.
    pub fn drop_at(&self, amps: f64) -> f64 {
        let device = match self.law {
            Law::ThreeHalves { scale } => {
                let u = amps.cbrt();
                scale * u * u
            }
            Law::Junction {
                emission,
                saturation,
            } => emission * (amps / saturation).ln_1p(),
            Law::Constant { drop } => drop,
        };
        device + self.ohms * amps
    }
}

/// Solves `ohms·u³ + scale·u² = volts` for `u = i^(1/3)` by Halley's method: increasing and convex for u > 0.
#[inline]
fn three_halves(volts: f64, ohms: f64, scale: f64, guess: &mut f64) -> (f64, f64) {
    // The square term alone gives an upper bound for u; a neighbour's u is nearer.
    let mut u = if *guess > 0.0 {
        *guess
    } else {
        (volts / scale).sqrt()
    };
    for _ in 0..40 {
        let value = u * u * (ohms * u + scale) - volts;
        let slope = u * (3.0 * ohms * u + 2.0 * scale);
        let bend = 3.0 * ohms * u + scale;
        let step = value * slope / (slope * slope - value * bend);
        let next = u - step;
        u = if next > 0.0 { next } else { 0.5 * u };
        // Convergence is cubic: after a step this small the error is far below 10⁻⁸.
        if step.abs() <= 3e-3 * u {
            break;
        }
    }
    *guess = u;
    // di/dv = 3u² / (dv/du)
    (u * u * u, 3.0 * u / (3.0 * ohms * u + 2.0 * scale))
}

/// Solves `ohms·i + emission·ln(1 + i/saturation) = volts`.
#[inline]
fn junction(
    volts: f64,
    ohms: f64,
    (emission, saturation): (f64, f64),
    guess: &mut f64,
) -> (f64, f64) {
    let mut amps = if *guess > 0.0 {
        *guess
    } else {
        junction_from_nothing(volts, ohms, (emission, saturation))
    };
    let mut settled = false;
    for _ in 0..12 {
        let value = ohms * amps + emission * (amps / saturation).ln_1p() - volts;
        let step = value / (ohms + emission / (amps + saturation));
        amps -= step;
        settled = step.abs() <= 1e-6 * amps;
        if settled || amps <= 0.0 {
            break;
        }
    }
    if !settled {
        amps = junction_from_nothing(volts, ohms, (emission, saturation));
    }
    *guess = amps;
    (amps, 1.0 / (ohms + emission / (amps + saturation)))
}

/// The same in `y = ln(1 + i/saturation)`, slower and from anywhere: convex and increasing, and `y` cannot exceed what
/// the resistance or the junction alone would give.
fn junction_from_nothing(volts: f64, ohms: f64, (emission, saturation): (f64, f64)) -> f64 {
    let scale = ohms * saturation;
    let mut y = (volts / scale).ln_1p().min(volts / emission);
    for _ in 0..60 {
        let grown = y.exp_m1();
        let step = (scale * grown + emission * y - volts) / (scale * (grown + 1.0) + emission);
        y -= step;
        if step.abs() <= 1e-11 * (1.0 + y) {
            break;
        }
    }
    saturation * y.exp_m1().max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAWS: [Law; 3] = [
        Law::ThreeHalves { scale: 118.9 },
        Law::Junction {
            emission: 0.0465,
            saturation: 5e-9,
        },
        Law::Constant { drop: 15.0 },
    ];

    #[test]
    fn current_and_drop_are_inverse_to_each_other() {
        for law in LAWS {
            for ohms in [0.5, 60.0, 3000.0] {
                let path = Path { law, ohms };
                for amps in [1e-6, 1e-3, 0.1, 1.0, 8.0] {
                    let (found, _) = path.current(path.drop_at(amps), 0.0, &mut 0.0);
                    assert!(
                        (found / amps - 1.0).abs() < 1e-8,
                        "{law:?} {ohms} Ω: got {found} want {amps}"
                    );
                }
            }
        }
    }

    #[test]
    fn the_derivative_is_the_slope() {
        for law in LAWS {
            let path = Path { law, ohms: 80.0 };
            for volts in [16.0, 40.0, 200.0] {
                let (_, slope) = path.current(volts, 20.0, &mut 0.0);
                let h = 1e-4;
                let numeric = (path.current(volts + h, 20.0, &mut 0.0).0
                    - path.current(volts - h, 20.0, &mut 0.0).0)
                    / (2.0 * h);
                assert!(
                    (slope / numeric - 1.0).abs() < 1e-5,
                    "{law:?} at {volts} V: {slope} against {numeric}"
                );
            }
        }
    }

    #[test]
    fn nothing_flows_backwards() {
        for law in LAWS {
            assert_eq!(
                Path { law, ohms: 10.0 }.current(-5.0, 0.0, &mut 0.0),
                (0.0, 0.0)
            );
        }
    }
}
