//! The pass tubes between bus and output: how little they can drop, and what the worst of them carries.

use std::cell::RefCell;

use crate::parts::{PassStage, PlateCharacteristic, Supply, TriodeCoefficients};
use crate::physics::device::triode;
use crate::physics::device::triode_fit;

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

thread_local! {
    /// The last fit: the same tube is asked for in frame after frame, and the answer depends on nothing else.
    static LAST: RefCell<Option<(PlateCharacteristic, Option<PlateLaw>)>> = const { RefCell::new(None) };
}

/// The law of a supply's pass tube; `None` where nothing can be fitted.
pub fn law_of(supply: &Supply) -> Option<PlateLaw> {
    let characteristic = &supply.pass_stage.tube.characteristic;
    LAST.with_borrow_mut(|last| {
        if last
            .as_ref()
            .is_none_or(|(known, _)| known != characteristic)
        {
            *last = Some((characteristic.clone(), plate_law(characteristic).ok()));
        }
        last.as_ref().and_then(|(_, law)| law.clone())
    })
}

/// Current below which the law of a unit with negative grid is not asked (A): far less than any feedback divider draws.
const LEAST_UNIT_AMPS: f64 = 1e-5;

/// Output current of the worst unit (A): `(1 + imbalance)/units` of it, but never more than all.
pub fn worst_unit_amps(stage: &PassStage, output_amps: f64) -> f64 {
    let units = f64::from(stage.units.max(1));
    output_amps * ((1.0 + stage.imbalance.0) / units).min(1.0)
}

/// Resistance in series with one unit: cathode and plate resistor (Ω).
pub fn unit_ohms(stage: &PassStage) -> f64 {
    stage.cathode_resistor.0 + stage.plate_resistor.0
}

/// Least volts between bus and output terminals at `output_amps`: an even share through each unit with its grid
/// as high as it may go, its resistors, and the meter shunt (V). `None` where the tube's curve is not known.
pub fn least_drop(supply: &Supply, law: Option<&PlateLaw>, output_amps: f64) -> Option<f64> {
    let stage = &supply.pass_stage;
    let share = output_amps / f64::from(stage.units.max(1));
    // With a grid held negative the drop runs through a logarithm towards no current; the last microamperes mean nothing.
    let least = if stage.grid_limit.0 < 0.0 {
        LEAST_UNIT_AMPS
    } else {
        0.0
    };
    let share = share.max(least);
    let tube = law?.plate_volts(share, stage.grid_limit.0)?;
    Some(tube + share * unit_ohms(stage) + output_amps * supply.output.meter_shunt.0)
}
