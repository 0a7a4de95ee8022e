//! Mains and transformer, seen from the rectifier: one e.m.f. behind one resistance per conducting path.

use crate::parts::{Amps, Mains, Ohms, RawSupply, Transformer, VoltAmps, Volts, WindingVolts};
use crate::physics::operation::Case;

/// What the rectifier sees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Rms e.m.f. of the half-winding (centre-tap) or winding (bridge, half-wave) at the mains asked for (V).
    pub emf_rms_volts: f64,
    /// Winding resistance with the primary's reflected into it (Ω).
    pub ohms: f64,
    /// Turns of the (half-)winding over turns of the primary.
    pub turns_ratio: f64,
    /// Mains angular frequency (rad/s).
    pub angular_frequency: f64,
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

/// The winding of a raw supply in a case.
///
/// # Errors
/// As [`source`].
pub fn source_in(raw: &RawSupply, case: Case) -> Result<Source, TransformerFault> {
    source(&raw.transformer, &raw.mains, mains_volts(&raw.mains, case))
}

/// The transformer's high-voltage side at `mains_volts` rms.
///
/// The e.m.f. is `N·(Vm − Rp·Iaux)` with `Iaux` = auxiliary VA / Vm, the resistance `Rs + N²·Rp`.
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
    let turns_ratio = turns_ratio(transformer)?;
    let primary = transformer.primary_resistance.0;
    let auxiliary_drop = primary * transformer.auxiliary.0 / mains_volts;
    let emf_rms_volts = turns_ratio * (mains_volts - auxiliary_drop);
    if emf_rms_volts <= 0.0 {
        return Err(TransformerFault::PrimaryDropsAll {
            primary: transformer.primary_resistance,
            auxiliary: transformer.auxiliary,
            drop_volts: auxiliary_drop,
            mains_volts,
        });
    }
    Ok(Source {
        emf_rms_volts,
        ohms: transformer.secondary_resistance.0 + turns_ratio * turns_ratio * primary,
        turns_ratio,
        angular_frequency: core::f64::consts::TAU * mains.frequency.0,
    })
}

/// Turns ratio per (half-)winding. A loaded rating fixes it through
/// `V = N·(Vp − Rp·Iaux) − I·(Rs + N²·Rp)`: a quadratic whose smaller root is the transformer that one would wind.
fn turns_ratio(transformer: &Transformer) -> Result<f64, TransformerFault> {
    let primary_volts = transformer.primary_volts.0;
    match transformer.winding {
        WindingVolts::OpenCircuit(volts) => Ok(volts.0 / primary_volts),
        WindingVolts::Loaded { volts, amps } => {
            let primary = transformer.primary_resistance.0;
            let inner = primary_volts - primary * transformer.auxiliary.0 / primary_volts;
            let wanted = volts.0 + amps.0 * transformer.secondary_resistance.0;
            let curvature = primary * amps.0;
            let discriminant = inner * inner - 4.0 * curvature * wanted;
            if discriminant < 0.0 || inner <= 0.0 {
                return Err(TransformerFault::RatingOutOfReach {
                    primary: transformer.primary_resistance,
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
    use crate::parts::{Amps, Hertz, Ohms, VoltAmps, Volts};

    fn transformer(winding: WindingVolts) -> Transformer {
        Transformer {
            primary_volts: Volts(117.0),
            winding,
            primary_resistance: Ohms(2.5),
            secondary_resistance: Ohms(60.0),
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
        }
    }

    #[test]
    fn a_loaded_rating_is_met_under_that_load() {
        let (volts, amps) = (350.0, 0.15);
        let source = source(
            &transformer(WindingVolts::Loaded {
                volts: Volts(volts),
                amps: Amps(amps),
            }),
            &mains(),
            117.0,
        )
        .unwrap();
        let under_load = source.emf_rms_volts - amps * source.ohms;
        assert!(
            (under_load - volts).abs() < 1e-9,
            "got {under_load} want {volts}"
        );
    }

    #[test]
    fn an_open_circuit_voltage_scales_with_the_mains() {
        let mut bare = transformer(WindingVolts::OpenCircuit(Volts(390.0)));
        bare.auxiliary = VoltAmps(0.0);
        let source = source(&bare, &mains(), 125.0).unwrap();
        assert!((source.emf_rms_volts - 390.0 * 125.0 / 117.0).abs() < 1e-9);
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

    #[test]
    fn an_impossible_rating_is_named() {
        let mut poor = transformer(WindingVolts::Loaded {
            volts: Volts(350.0),
            amps: Amps(0.5),
        });
        poor.primary_resistance = Ohms(40.0);
        assert!(matches!(
            source(&poor, &mains(), 117.0),
            Err(TransformerFault::RatingOutOfReach { .. })
        ));
    }
}
