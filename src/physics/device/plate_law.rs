//! A tube's plate current from whatever is known of it: the smooth law, or a zero-bias curve alone.

use crate::parts::{PlateCharacteristic, TriodeCoefficients};
use crate::physics::device::{triode, triode_fit};

/// A tube's plate current, ready to be asked.
#[derive(Debug, Clone, PartialEq)]
pub enum PlateLaw {
    /// The smooth law.
    Triode(TriodeCoefficients),
    /// Zero-bias curve only: (V, A), rising.
    ZeroBias(Vec<(f64, f64)>),
}

/// The law of a characteristic; a fit is done where only points are published.
///
/// # Errors
/// What would have to be known.
pub fn plate_law(characteristic: &PlateCharacteristic) -> Result<PlateLaw, triode_fit::FitError> {
    match characteristic {
        PlateCharacteristic::Law(law) => Ok(PlateLaw::Triode(*law)),
        PlateCharacteristic::ZeroBias(table) => Ok(PlateLaw::ZeroBias(
            table.iter().map(|(v, a)| (v.0, a.0)).collect(),
        )),
        PlateCharacteristic::Published {
            points,
            small_signal,
        } => triode_fit::fit(points, small_signal).map(|fit| PlateLaw::Triode(fit.law)),
    }
}

impl PlateLaw {
    /// Plate volts at which one unit passes `amps` with its grid at `grid_volts` (V); `None` outside what is known:
    /// beyond the end of a table, or a grid voltage for which a table says nothing.
    pub fn plate_volts(&self, amps: f64, grid_volts: f64) -> Option<f64> {
        match self {
            Self::Triode(law) => triode::plate_volts(law, amps, grid_volts),
            Self::ZeroBias(table) if grid_volts == 0.0 => {
                let mut before = (0.0, 0.0);
                for &(volts, at) in table {
                    if amps <= at && at > before.1 {
                        return Some(
                            before.0 + (volts - before.0) * (amps - before.1) / (at - before.1),
                        );
                    }
                    before = (volts, at);
                }
                None
            }
            Self::ZeroBias(_) => None,
        }
    }
}
