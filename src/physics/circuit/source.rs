//! Mains and transformer, seen from the rectifier: one e.m.f. behind one resistance per conducting path.

use core::f64::consts::{FRAC_2_PI, SQRT_2};

use crate::parts::{
    Amps, Connection, CrestFactor, Mains, Ohms, RawSupply, Transformer, VoltAmps, Volts,
    WindingVolts,
};
use crate::physics::operation::Case;

/// What the rectifier sees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// The winding (bridge, half-wave), or each half of it (centre-tap): the first, where they differ.
    pub winding: Winding,
    /// The second half of a centre-tapped winding, where it differs from the first.
    pub second_half: Option<Winding>,
    /// Mains angular frequency (rad/s).
    pub angular_frequency: f64,
    /// Their shape.
    pub shape: MainsShape,
}

/// A winding, or half of one, as one e.m.f. behind one resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winding {
    /// Rms e.m.f. at the mains asked for (V).
    pub emf_rms_volts: f64,
    /// Its resistance with the primary's reflected into it (Ω).
    pub ohms: f64,
    /// Its turns over turns of the primary.
    pub turns_ratio: f64,
}

impl Source {
    /// Both halves of a centre-tapped winding; twice the same where they are alike, and of a winding without a tap.
    pub fn halves(&self) -> [Winding; 2] {
        [self.winding, self.second_half.unwrap_or(self.winding)]
    }

    /// The half with the higher e.m.f.
    pub fn higher_half(&self) -> Winding {
        let [first, second] = self.halves();
        if second.emf_rms_volts > first.emf_rms_volts {
            second
        } else {
            first
        }
    }

    /// Highest instant of the e.m.f. of each half (V).
    pub fn crests(&self) -> [f64; 2] {
        self.halves()
            .map(|half| self.shape.crest_factor * half.emf_rms_volts)
    }

    /// Highest instant of the e.m.f., of the higher half where they differ (V).
    pub fn crest_volts(&self) -> f64 {
        self.shape.crest_factor * self.higher_half().emf_rms_volts
    }

    /// Mean of the e.m.f., rectified (V): `2/π` of the crest, the mean of both where they differ, and more where the tops are flat.
    pub fn rectified_mean_volts(&self) -> f64 {
        let [first, second] = self.crests();
        FRAC_2_PI * (0.5 * (first + second)) * (1.0 + self.shape.flatness * (2.0 / 15.0))
    }
}

/// How the mains swing: a sine with its top flattened by a third and a fifth harmonic of the same size `h`.
///
/// `e = √2·E·(sin ωt + h·sin 3ωt − h·sin 5ωt)/√(1 + 2h²)`, which is the crest times `s·(1 + f·s²·(1 − s²))` with `s = sin ωt` and
/// `f = 16h/(1 − 2h)`: a clean sine has `f = 0`, and costs nothing more for the other shapes.
///
/// # Source
/// Fourier's series; `sin 3x = 3s − 4s³`, `sin 5x = 5s − 20s³ + 16s⁵`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MainsShape {
    /// Crest over rms: `√2·(1 − 2h)/√(1 + 2h²)`.
    pub crest_factor: f64,
    /// `f`; 0 for a clean sine.
    pub flatness: f64,
}

impl MainsShape {
    /// Of mains with this crest factor.
    pub fn of(crest: CrestFactor) -> Self {
        if crest.is_sine() {
            return Self {
                crest_factor: SQRT_2,
                flatness: 0.0,
            };
        }
        let h = harmonic(crest);
        Self {
            crest_factor: crest.0,
            flatness: 16.0 * h / (1.0 - 2.0 * h),
        }
    }

    /// The e.m.f. where the fundamental stands at `sine` (−1 to 1), as a part of the crest.
    #[inline]
    pub(in crate::physics) fn at(&self, sine: f64) -> f64 {
        let square = sine * sine;
        sine * (1.0 + self.flatness * (square * (1.0 - square)))
    }

    /// What the slope of a sine is multiplied by for that of this shape, there.
    #[inline]
    pub(in crate::physics) fn slope_at(&self, sine: f64) -> f64 {
        let square = sine * sine;
        1.0 + self.flatness * (square * (3.0 - 5.0 * square))
    }
}

/// The third and the fifth harmonic of mains of this crest factor, each as a part of the fundamental:
/// `(2 − c²)·2·h² − 4h + 1 − c²/2 = 0`, the smaller root in the form without cancellation.
pub fn harmonic(crest: CrestFactor) -> f64 {
    let square = 0.5 * crest.0 * crest.0;
    let (a, c) = (4.0 - 2.0 * square, 1.0 - square);
    2.0 * c / (4.0 + (16.0 - 4.0 * a * c).max(0.0).sqrt())
}

/// What no transformer can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TransformerFault {
    /// The auxiliary load drops more than all of the mains in the primary's resistance.
    PrimaryDropsAll {
        /// Resistance of the primary.
        primary: Ohms,
        /// The auxiliary load.
        auxiliary: VoltAmps,
        /// Volts dropped (V).
        drop_volts: f64,
        /// The mains (V).
        mains_volts: f64,
    },
    /// No turns ratio gives the winding's rated volts under its rated load.
    RatingOutOfReach {
        /// Resistance of the primary.
        primary: Ohms,
        /// Rated volts.
        volts: Volts,
        /// Rated load.
        amps: Amps,
    },
}

/// Rms mains volts of a case. Nominal mains move along when the present mains leave the range from low to high:
/// the swing that a maker allowed for then starts from a higher (lower) middle.
pub fn mains_volts(mains: &Mains, case: Case) -> f64 {
    match case {
        Case::Low | Case::LowLeast | Case::LowMost => mains.low.0.min(mains.present.0),
        Case::Present => mains.present.0,
        Case::High | Case::HighLeast | Case::HighMost => mains.high.0.max(mains.present.0),
        Case::Nominal if mains.present.0 > mains.high.0 => {
            mains.nominal.0 * mains.present.0 / mains.high.0
        }
        Case::Nominal if mains.present.0 < mains.low.0 => {
            mains.nominal.0 * mains.present.0 / mains.low.0
        }
        Case::Nominal => mains.nominal.0,
    }
}

/// The winding of a raw supply in a case. Without a centre tap it is one, whatever is said of halves.
///
/// # Errors
/// As [`source`].
pub fn source_in(raw: &RawSupply, case: Case) -> Result<Source, TransformerFault> {
    let whole = source(&raw.transformer, &raw.mains, mains_volts(&raw.mains, case))?;
    let is_tapped = raw.rectifier.connection == Connection::FullWaveCentreTap;
    Ok(Source {
        second_half: whole.second_half.filter(|_| is_tapped),
        ..whole
    })
}

/// The transformer's high-voltage side at `mains_volts` rms.
///
/// The e.m.f. is `N·(Vm − Rp·Iaux)` with `Iaux` = auxiliary VA / Vm, the resistance `Rs + N²·Rp`, of each half by itself where they
/// differ. Their unequal mean currents then magnetise the core one way, which is left out, as it is of a half-wave rectifier's.
///
/// # Source
/// Total effective plate-supply impedance of the handbooks, `Rt = Rs + n²·Rp` (Mullard GZ34 sheet; value from memory).
///
/// # Errors
/// A loaded rating that no turns ratio can give, or a primary whose resistance drops all of the mains.
pub fn source(
    transformer: &Transformer,
    mains: &Mains,
    mains_volts: f64,
) -> Result<Source, TransformerFault> {
    let primary = transformer.primary_at_work().0;
    let auxiliary_drop = primary * transformer.auxiliary.0 / mains_volts;
    let half = |volts: Volts, resistance: Ohms| {
        let turns_ratio = turns_ratio(transformer, volts, resistance)?;
        let emf_rms_volts = turns_ratio * (mains_volts - auxiliary_drop);
        if emf_rms_volts <= 0.0 {
            return Err(TransformerFault::PrimaryDropsAll {
                primary: transformer.primary_at_work(),
                auxiliary: transformer.auxiliary,
                drop_volts: auxiliary_drop,
                mains_volts,
            });
        }
        Ok(Winding {
            emf_rms_volts,
            ohms: resistance.0 + turns_ratio * turns_ratio * primary,
            turns_ratio,
        })
    };
    let ([v1, v2], [r1, r2]) = (transformer.stated_halves(), transformer.halves_at_work());
    Ok(Source {
        winding: half(v1, r1)?,
        second_half: if transformer.has_unequal_halves() {
            Some(half(v2, r2)?)
        } else {
            None
        },
        angular_frequency: core::f64::consts::TAU * mains.frequency.0,
        shape: MainsShape::of(mains.crest_factor),
    })
}

/// Turns ratio of the first half of the high-voltage winding (of all of it without a tap).
///
/// # Errors
/// As [`source`].
pub(in crate::physics) fn first_half_turns(
    transformer: &Transformer,
) -> Result<f64, TransformerFault> {
    let ([volts, _], [ohms, _]) = (transformer.stated_halves(), transformer.halves_at_work());
    turns_ratio(transformer, volts, ohms)
}

/// Turns ratio of a winding (of half of one) of these stated volts and this resistance at work. A loaded rating fixes it through
/// `V = N·(Vp − Rp·Iaux) − I·(Rs + N²·Rp)`: a quadratic whose smaller root is the transformer that one would wind.
fn turns_ratio(
    transformer: &Transformer,
    volts: Volts,
    resistance: Ohms,
) -> Result<f64, TransformerFault> {
    let primary_volts = transformer.primary_volts.0;
    match transformer.winding {
        WindingVolts::OpenCircuit(_) => Ok(volts.0 / primary_volts),
        WindingVolts::Loaded { amps, .. } => {
            let primary = transformer.primary_at_work().0;
            let inner = primary_volts - primary * transformer.auxiliary.0 / primary_volts;
            let wanted = volts.0 + amps.0 * resistance.0;
            let curvature = primary * amps.0;
            let discriminant = inner * inner - 4.0 * curvature * wanted;
            if discriminant < 0.0 || inner <= 0.0 {
                return Err(TransformerFault::RatingOutOfReach {
                    primary: transformer.primary_at_work(),
                    volts,
                    amps,
                });
            }
            // The form without cancellation, good down to a primary of no resistance.
            Ok(2.0 * wanted / (inner + discriminant.sqrt()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::{Amps, Copper, Hertz, Ohms, SecondaryVolts, VoltAmps, Volts};
    use core::f64::consts::FRAC_PI_2;

    fn transformer(winding: WindingVolts) -> Transformer {
        Transformer {
            primary_volts: Volts(117.0),
            winding,
            primary_resistance: Ohms(2.5),
            primary_measured: Copper::Warm,
            secondary_resistance: Ohms(60.0),
            secondary_measured: Copper::Warm,
            second_half_resistance: None,
            winding_rating: None,
            auxiliary: VoltAmps(40.0),
        }
    }

    fn mains() -> Mains {
        Mains {
            nominal: Volts(117.0),
            present: Volts(117.0),
            low: Volts(110.0),
            high: Volts(125.0),
            frequency: Hertz(60.0),
            crest_factor: CrestFactor::SINE,
        }
    }

    /// Definitions of rms, crest and mean, taken of the harmonics themselves, in small steps.
    #[test]
    fn a_flat_top_is_made_of_its_harmonics() {
        for want in [1.34, 1.37, 1.40] {
            let crest = CrestFactor(want);
            let (h, shape) = (harmonic(crest), MainsShape::of(crest));
            let wave = |x: f64| x.sin() + h * (3.0 * x).sin() - h * (5.0 * x).sin();
            let steps = 20_000;
            let at = |k: u32| core::f64::consts::PI * (f64::from(k) + 0.5) / f64::from(steps);
            let mean = |of: &dyn Fn(f64) -> f64| {
                (0..steps).map(|k| of(at(k))).sum::<f64>() / f64::from(steps)
            };
            let rms = mean(&|x| wave(x).powi(2)).sqrt();
            let highest = (0..steps).map(|k| wave(at(k))).fold(0.0, f64::max);
            assert!((highest / rms / want - 1.0).abs() < 1e-6, "{want}: {h}");
            for x in [0.1_f64, 0.7, 1.2, 1.6, 4.0] {
                let got = shape.at(x.sin());
                assert!(
                    (got - wave(x) / wave(FRAC_PI_2)).abs() < 1e-12,
                    "{x}: {got}"
                );
                let slope = (shape.at((x + 1e-5).sin()) - shape.at((x - 1e-5).sin())) / 2e-5;
                let got = x.cos() * shape.slope_at(x.sin());
                assert!((got - slope).abs() < 1e-8, "{x}: {got} {slope}");
            }
            let source = Source {
                winding: Winding {
                    emf_rms_volts: 100.0,
                    ohms: 0.0,
                    turns_ratio: 1.0,
                },
                second_half: None,
                angular_frequency: 1.0,
                shape,
            };
            let got = source.rectified_mean_volts();
            let by_steps = 100.0 * mean(&|x| wave(x).abs()) / rms;
            assert!((got / by_steps - 1.0).abs() < 1e-7, "{got} {by_steps}");
        }
    }

    #[test]
    fn one_and_414_thousandths_is_a_clean_sine() {
        assert_eq!(
            MainsShape::of(CrestFactor(1.414)),
            MainsShape::of(CrestFactor::SINE)
        );
        assert_eq!(
            MainsShape::of(CrestFactor::SINE).at(0.3).to_bits(),
            0.3_f64.to_bits()
        );
        // The tops are flat down to the least, and dented below.
        let bend_at = |crest: f64| 2.0 * MainsShape::of(CrestFactor(crest)).flatness;
        assert!(bend_at(CrestFactor::LEAST.0) < 1.0 && bend_at(1.329) > 1.0);
    }

    #[test]
    fn a_loaded_rating_is_met_under_that_load() {
        let (volts, amps) = (350.0, 0.15);
        let source = source(
            &transformer(WindingVolts::Loaded {
                volts: SecondaryVolts::One(Volts(volts)),
                amps: Amps(amps),
            }),
            &mains(),
            117.0,
        )
        .unwrap();
        let under_load = source.winding.emf_rms_volts - amps * source.winding.ohms;
        assert!(
            (under_load - volts).abs() < 1e-9,
            "got {under_load} want {volts}"
        );
    }

    #[test]
    fn an_open_circuit_voltage_scales_with_the_mains() {
        let mut bare = transformer(WindingVolts::OpenCircuit(SecondaryVolts::One(Volts(390.0))));
        bare.auxiliary = VoltAmps(0.0);
        let source = source(&bare, &mains(), 125.0).unwrap();
        assert!((source.winding.emf_rms_volts - 390.0 * 125.0 / 117.0).abs() < 1e-9);
    }

    /// Nominal mains go along with what lies beyond the range that is reckoned with, and stay where the mains stay within it.
    #[test]
    fn nominal_mains_move_with_mains_out_of_their_range() {
        for (present, want) in [
            (117.0, 117.0),
            (125.0, 117.0),
            (130.0, 117.0 * 130.0 / 125.0),
            (110.0, 117.0),
            (100.0, 117.0 * 100.0 / 110.0),
        ] {
            let mut mains = mains();
            mains.present = Volts(present);
            let of = |case: Case| mains_volts(&mains, case);
            let got = of(Case::Nominal);
            assert!((got - want).abs() < 1e-9, "{present}: {got} {want}");
            assert!(of(Case::Low) <= present && present <= of(Case::High));
        }
    }

    /// Ohm's law for each half by itself; the copper goes by turns unless both halves were measured.
    #[test]
    fn each_half_meets_its_own_rating() {
        let amps = 0.15;
        let halves = SecondaryVolts::Halves(Volts(355.0), Volts(362.0));
        let mut unequal = transformer(WindingVolts::Loaded {
            volts: halves,
            amps: Amps(amps),
        });
        let copper = |of: &Transformer| of.halves_at_work().map(|ohms| ohms.0);
        let [first, second] = copper(&unequal);
        assert!(
            (first + second - 120.0).abs() < 1e-12
                && (second / first - 362.0 / 355.0).abs() < 1e-12
        );
        for second_half in [None, Some(Ohms(71.0))] {
            unequal.second_half_resistance = second_half;
            let seen = source(&unequal, &mains(), 117.0).unwrap();
            for (half, want) in seen.halves().iter().zip([355.0, 362.0]) {
                let under_load = half.emf_rms_volts - amps * half.ohms;
                assert!((under_load - want).abs() < 1e-9, "{half:?}");
            }
            assert!((seen.crest_volts() - SQRT_2 * seen.halves()[1].emf_rms_volts).abs() < 1e-9);
        }
        let [first, second] = copper(&unequal);
        assert!((first - 60.0).abs() < 1e-12 && (second - 71.0).abs() < 1e-12);
        unequal.winding =
            WindingVolts::OpenCircuit(SecondaryVolts::Halves(Volts(360.0), Volts(360.0)));
        assert!(unequal.has_unequal_halves());
        unequal.second_half_resistance = None;
        assert_eq!(source(&unequal, &mains(), 117.0).unwrap().second_half, None);
    }

    #[test]
    fn an_impossible_rating_is_named() {
        let mut poor = transformer(WindingVolts::Loaded {
            volts: SecondaryVolts::One(Volts(350.0)),
            amps: Amps(0.5),
        });
        poor.primary_resistance = Ohms(40.0);
        assert!(matches!(
            source(&poor, &mains(), 117.0),
            Err(TransformerFault::RatingOutOfReach { .. })
        ));
    }
}
