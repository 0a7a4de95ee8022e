//! What a rectifier path carries at an instant: device and resistance in series.
//!
//! A path is everything between the winding's e.m.f. and the filter: the effective supply resistance and one
//! device (two in series in a bridge). The steady state asks it one question, thousands of times: given the
//! forward volts over the path *and* a further resistance that stands for the filter, which current flows?

use crate::parts::{Connection, Rectifier, RectifierLaw};
use crate::physics::device::gas_stack::LinearSource;

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
    ThreeHalves {
        scale: f64,
    },
    Junction(Junction),
    /// `v = drop` while it conducts.
    Constant {
        drop: f64,
    },
}

/// Silicon diodes of a path, taken as one: `v = emission·ln(1 + i/saturation)`.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Junction {
    /// Emission coefficient times thermal voltage, of all in series (V).
    emission: f64,
    /// Saturation current, of all in parallel (A).
    saturation: f64,
}

impl Junction {
    /// Forward volts at a current (A).
    fn volts(self, amps: f64) -> f64 {
        self.emission * (amps / self.saturation).ln_1p()
    }
}

impl Path {
    /// The path of a rectifier as wired, behind `supply_ohms` of the transformer.
    ///
    /// # Source
    /// High vacuum: three-halves-power law `i = K·v^1.5` (C. D. Child, Phys. Rev. 32 (1911) 492; I. Langmuir,
    /// Phys. Rev. 2 (1913) 450; from memory), `K` from one published drop. Silicon: W. Shockley, Bell Syst. Tech. J. 28
    /// (1949) 435 (from memory), with series resistance. Mercury vapour: constant drop (RCA TT-3: 15 V).
    pub fn new(rectifier: &Rectifier, supply_ohms: f64) -> Self {
        let legs = match rectifier.connection {
            Connection::Bridge => 2.0,
            Connection::FullWaveCentreTap | Connection::HalfWave => 1.0,
        };
        Self::of_legs(rectifier, supply_ohms, legs)
    }

    /// Through so many legs, each of one device or of diodes in series, with a plate resistor.
    fn of_legs(rectifier: &Rectifier, supply_ohms: f64, legs: f64) -> Self {
        let in_parallel = f64::from(rectifier.in_parallel.max(1));
        let in_series = legs * f64::from(rectifier.in_series.max(1));
        let mut ohms = supply_ohms + legs * rectifier.plate_resistor.0 / in_parallel;
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
                Law::Junction(Junction {
                    emission: in_series * emission.0,
                    saturation: saturation.0 * in_parallel,
                })
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
            Law::Junction(law) => junction(volts, ohms, law, guess),
            Law::Constant { drop } if volts > drop => ((volts - drop) / ohms, 1.0 / ohms),
            Law::Constant { .. } => (0.0, 0.0),
        }
    }

    /// The same law carried on smoothly to currents below zero: to find out when a current that is kept up from outside
    /// comes to zero.
    #[inline]
    pub fn current_through_zero(
        &self,
        volts: f64,
        further_ohms: f64,
        guess: &mut f64,
    ) -> (f64, f64) {
        if let Law::Constant { drop } = self.law {
            let ohms = self.ohms + further_ohms;
            ((volts - drop) / ohms, 1.0 / ohms)
        } else if volts >= 0.0 {
            self.current(volts, further_ohms, guess)
        } else {
            let (amps, slope) = self.current(-volts, further_ohms, &mut 0.0);
            (-amps, slope)
        }
    }

    /// Forward volts of the devices above which the current is worth speaking of, where `small_amps` is not (V): where its
    /// rise has a corner, if it has one.
    pub fn knee_volts(&self, small_amps: f64) -> f64 {
        match self.law {
            Law::ThreeHalves { .. } => 0.0,
            Law::Junction(law) => law.volts(small_amps.max(0.0)),
            Law::Constant { drop } => drop,
        }
    }

    /// Volts over devices and resistance of the path at `amps` ≥ 0.
    pub fn drop_at(&self, amps: f64) -> f64 {
        let device = match self.law {
            Law::ThreeHalves { scale } => {
                let u = amps.cbrt();
                scale * u * u
            }
            Law::Junction(law) => law.volts(amps),
            Law::Constant { drop } => drop,
        };
        device + self.ohms * amps
    }
}

/// Both paths of a full-wave rectifier sharing the current of a choke while the e.m.f. is near zero.
///
/// A centre tap hands over from one half-winding with its device to the other. A bridge runs free: either side of it
/// lets the choke's current through its two devices past the winding, and the winding carries only what one side has more.
/// By symmetry the two devices of a pair that conducts together carry the same. The halves of a tapped winding need not be alike: `e` is
/// the e.m.f. of the path whose turn it is, and that of the other one is `−ratio·e`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Commutation {
    /// The path whose turn it is, and the other one.
    paths: [Path; 2],
    /// From the e.m.f. to where the paths part: `U(p) − U(q) = share·e`, 1 + ratio of a centre tap.
    emf_share: f64,
    ratio: f64,
    /// The rectifier's volts are `−parts·(2·U(q) + against·e − outside·(p + q))`, `against` being 2·ratio of a centre tap.
    against: f64,
    parts: f64,
    /// Resistance in `one` that the free current of a bridge does not pass (Ω).
    outside_ohms: f64,
}

/// What both paths carry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// The path whose turn it is, and the other one (A).
    pub amps: [f64; 2],
    /// Derivative of their sum with respect to the volts of what they feed (A/V).
    pub slope: f64,
    /// Volts that drive the second path (V).
    pub second_volts: f64,
}

impl Commutation {
    /// Of a rectifier as wired; `None` for half-wave. Of the path whose turn it is and of the other one the ohms of the transformer, and the
    /// e.m.f. of the other over that of the first: 1 unless the halves of a tapped winding differ.
    pub fn between(rectifier: &Rectifier, supply_ohms: [f64; 2], ratio: f64) -> Option<Self> {
        let paths = supply_ohms.map(|ohms| Path::of_legs(rectifier, ohms, 1.0));
        match rectifier.connection {
            Connection::HalfWave => None,
            Connection::FullWaveCentreTap => Some(Self {
                paths,
                emf_share: 1.0 + ratio,
                ratio,
                against: 2.0 * ratio,
                parts: 0.5,
                outside_ohms: 0.0,
            }),
            Connection::Bridge => Some(Self {
                paths,
                emf_share: 1.0,
                ratio: 1.0,
                against: 1.0,
                parts: 1.0,
                outside_ohms: supply_ohms[0],
            }),
        }
    }

    /// Volts over the second path if the first carries `amps` alone and gives `volts`; below zero it stays blocked.
    #[inline]
    pub fn forward_volts(&self, emf: f64, volts: f64, amps: f64) -> f64 {
        (self.outside_ohms * amps - volts - self.ratio * emf) * 0.5 / self.parts
    }

    /// The currents into `filter`, whose volts rise with what flows into it: `volts + ohms·i`. `alone` is what
    /// [`Self::forward_volts`] found. The volts of the second path count its share of the supply's resistance: with a large one they
    /// end above `alone`, so that nothing bounds them from above until a current too high was tried.
    pub fn share(&self, emf: f64, filter: LinearSource, alone: f64) -> Shared {
        let apart = self.emf_share * emf;
        let against = self.against * emf;
        let (mut low, mut high) = (0.0, f64::INFINITY);
        let mut volts = 0.5 * alone;
        let mut guesses = [0.0; 2];
        let (mut first, mut second) = ((0.0, 0.0), (0.0, 0.0));
        let mut rise = 2.0 * self.parts;
        for _ in 0..60 {
            first = self.paths[0].current(volts + apart, 0.0, &mut guesses[0]);
            second = self.paths[1].current(volts, 0.0, &mut guesses[1]);
            let sum = first.0 + second.0;
            let ohms = filter.ohms - self.parts * self.outside_ohms;
            let excess = filter.volts + ohms * sum + self.parts * (2.0 * volts + against);
            rise = ohms * (first.1 + second.1) + 2.0 * self.parts;
            if excess > 0.0 {
                high = volts;
            } else {
                low = volts;
            }
            let newton = volts - excess / rise;
            let is_newton = newton > low && newton < high;
            let next = if is_newton {
                newton
            } else if high.is_finite() {
                0.5 * (low + high)
            } else {
                volts
            };
            let moved = (next - volts).abs();
            volts = next;
            // Newton's steps double the digits: what is left after one so short is far below what the other steps leave.
            let short = if is_newton { 1e-6 } else { 1e-9 };
            if moved <= short * (alone + apart) {
                break;
            }
        }
        Shared {
            amps: [first.0, second.0],
            slope: -(first.1 + second.1) / rise,
            second_volts: volts,
        }
    }
}

/// Solves `ohms·u³ + scale·u² = volts` for `u = i^(1/3)` by Halley's method: increasing and convex for u > 0.
#[inline]
fn three_halves(volts: f64, ohms: f64, scale: f64, guess: &mut f64) -> (f64, f64) {
    // Either term alone gives an upper bound for u; a neighbour's u is nearer.
    let mut u = if *guess > 0.0 {
        *guess
    } else {
        (volts / scale).sqrt().min((volts / ohms).cbrt())
    };
    for _ in 0..40 {
        let value = u * u * (ohms * u + scale) - volts;
        let slope = u * (3.0 * ohms * u + 2.0 * scale);
        let bend = 3.0 * ohms * u + scale;
        let step = value * slope / (slope * slope - value * bend);
        let next = u - step;
        u = if next > 0.0 { next } else { 0.5 * u };
        // Convergence is cubic: after a step this small the error is far below 10⁻⁸.
        if step.abs() <= 1e-3 * u {
            break;
        }
    }
    *guess = u;
    // di/dv = 3u² / (dv/du)
    (u * u * u, 3.0 * u / (3.0 * ohms * u + 2.0 * scale))
}

/// Solves `ohms·i + emission·ln(1 + i/saturation) = volts`; current (A) and its derivative (A/V).
#[inline]
fn junction(volts: f64, ohms: f64, law: Junction, guess: &mut f64) -> (f64, f64) {
    let Junction {
        emission,
        saturation,
    } = law;
    let mut amps = if *guess > 0.0 {
        *guess
    } else {
        junction_without_guess(volts, ohms, law)
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
        amps = junction_without_guess(volts, ohms, law);
    }
    *guess = amps;
    (amps, 1.0 / (ohms + emission / (amps + saturation)))
}

/// The same in `y = ln(1 + i/saturation)`, slower and from anywhere: convex and increasing, and `y` cannot exceed what
/// the resistance or the junction alone would give.
fn junction_without_guess(volts: f64, ohms: f64, law: Junction) -> f64 {
    let Junction {
        emission,
        saturation,
    } = law;
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
        Law::Junction(Junction {
            emission: 0.0465,
            saturation: 5e-9,
        }),
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

    /// Behind a winding of much resistance the second path of a bridge takes more volts, its share of that resistance included, than
    /// stood on it while it carried nothing.
    #[test]
    fn a_bridge_behind_a_thin_winding_obeys_kirchhoff() {
        let (winding, emf) = (764.0, 36.2);
        let filter = LinearSource {
            volts: -24.3,
            ohms: 112.0,
        };
        for (law, series) in [
            (
                Law::ThreeHalves { scale: 80.0 },
                Law::ThreeHalves { scale: 160.0 },
            ),
            (Law::Constant { drop: 1.5 }, Law::Constant { drop: 3.0 }),
        ] {
            let one = Path { law, ohms: winding };
            let pair = Commutation {
                paths: [one; 2],
                emf_share: 1.0,
                ratio: 1.0,
                against: 1.0,
                parts: 1.0,
                outside_ohms: winding,
            };
            let both = Path {
                law: series,
                ohms: winding,
            };
            let (amps, _) = both.current(emf - filter.volts, filter.ohms, &mut 0.0);
            let alone = pair.forward_volts(emf, filter.volts + filter.ohms * amps, amps);
            assert!(alone > 0.0);
            let [p, q] = pair.share(emf, filter, alone).amps;
            assert!(winding * q > alone, "{law:?}: not the case that is meant");
            let device = |i: f64| one.drop_at(i) - winding * i;
            let winding_volts = device(p) - device(q) + winding * (p - q);
            assert!(
                (winding_volts - emf).abs() < 1e-6,
                "{law:?} {winding_volts}"
            );
            let filter_volts = filter.volts + filter.ohms * (p + q);
            let bridge_volts = -(device(p) + device(q));
            assert!(
                (filter_volts - bridge_volts).abs() < 1e-6,
                "{law:?}: {filter_volts} V at the filter, {bridge_volts} V at the bridge"
            );
        }
    }

    #[test]
    fn both_paths_of_a_bridge_and_of_a_centre_tap_obey_kirchhoff() {
        // A stiff choke current of 0.1 A as the answer to any volts; law, winding and share of each path by hand.
        let (amps, stiff, winding) = (0.1, 1e6, 60.0);
        for law in LAWS {
            let one = Path { law, ohms: winding };
            let device = |i: f64| one.drop_at(i) - winding * i;
            for (emf, bridge) in [(0.0, true), (2.0, true), (0.0, false), (2.0, false)] {
                let pair = Commutation {
                    paths: [one; 2],
                    emf_share: if bridge { 1.0 } else { 2.0 },
                    ratio: 1.0,
                    against: if bridge { 1.0 } else { 2.0 },
                    parts: if bridge { 1.0 } else { 0.5 },
                    outside_ohms: if bridge { winding } else { 0.0 },
                };
                let alone = one.drop_at(amps) - pair.emf_share * emf;
                let shared = pair.share(
                    emf,
                    LinearSource {
                        volts: -amps * stiff,
                        ohms: stiff,
                    },
                    alone,
                );
                let [p, q] = shared.amps;
                assert!((p + q - amps).abs() < 1e-3 * amps, "{law:?} {p} {q}");
                let round = if bridge {
                    device(p) - device(q) + winding * (p - q) - emf
                } else {
                    one.drop_at(p) - one.drop_at(q) - 2.0 * emf
                };
                assert!(
                    round.abs() < 1e-3,
                    "{law:?} bridge {bridge} at {emf} V: {round} V left over"
                );
            }
        }
    }

    /// Halves of other volts and ohms: both paths lead to the same node, each from its own e.m.f.
    #[test]
    fn unequal_halves_obey_kirchhoff() {
        let (amps, stiff, ratio) = (0.1, 1e6, 0.93);
        for law in LAWS {
            let paths = [60.0, 45.0].map(|ohms| Path { law, ohms });
            for emf in [0.0, 2.0] {
                let pair = Commutation {
                    paths,
                    emf_share: 1.0 + ratio,
                    ratio,
                    against: 2.0 * ratio,
                    parts: 0.5,
                    outside_ohms: 0.0,
                };
                let alone = pair.forward_volts(emf, emf - paths[0].drop_at(amps), amps);
                let filter = LinearSource {
                    volts: -amps * stiff,
                    ohms: stiff,
                };
                let [p, q] = pair.share(emf, filter, alone).amps;
                assert!(
                    p > 0.0 && q > 0.0 && (p + q - amps).abs() < 1e-3 * amps,
                    "{law:?} {p} {q}"
                );
                let nodes = [
                    emf - paths[0].drop_at(p),
                    -ratio * emf - paths[1].drop_at(q),
                ];
                assert!(
                    (nodes[0] - nodes[1]).abs() < 1e-3,
                    "{law:?} at {emf} V: {nodes:?}"
                );
            }
        }
    }
}
