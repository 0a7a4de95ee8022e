//! How a triode's plate current is written: points and figures, the law itself, or a zero-bias curve.

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{SourceForm, Sources};
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::{Amps, Ohms, Siemens, Volts};
use crate::parts::{PlateCharacteristic, TriodeCoefficients};

/// What is known of a plate current, as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum CharacteristicForm {
    Published {
        #[serde(default)]
        points: Vec<PointForm>,
        #[serde(default)]
        small_signal: Vec<SmallSignalForm>,
    },
    Law {
        mu: f64,
        exponent: f64,
        kg1: f64,
        kp: f64,
        kvb: f64,
    },
    ZeroBias(Vec<(Volts, Amps)>),
}

/// A point of the plate family: either the tube's own volts (`plate`, `grid`), or as makers print a self-biased
/// point: the *supply* volts and the cathode resistor, from which the tube's own volts follow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "point", try_from = "PointText", into = "PointText")]
pub(super) struct PointForm {
    plate: Volts,
    grid: Volts,
    current: Amps,
    source: Option<SourceForm>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "point", deny_unknown_fields)]
struct PointText {
    #[serde(skip_serializing_if = "Option::is_none")]
    plate: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    grid: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    supply: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cathode_resistor: Option<Ohms>,
    current: Amps,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<SourceForm>,
}

impl TryFrom<PointText> for PointForm {
    type Error = &'static str;

    fn try_from(text: PointText) -> Result<Self, Self::Error> {
        let (plate, grid) = match (text.plate, text.grid, text.supply, text.cathode_resistor) {
            (Some(plate), Some(grid), None, None) => (plate, grid),
            // The cathode sits `bias` above ground: the grid is that much negative, the plate that much short.
            (None, None, Some(supply), Some(resistor)) => {
                let bias = resistor.0 * text.current.0;
                (Volts(supply.0 - bias), Volts(-bias))
            }
            _ => {
                return Err(
                    "found another set of fields, expected plate and grid, or supply and cathode_resistor",
                );
            }
        };
        Ok(Self {
            plate,
            grid,
            current: text.current,
            source: text.source,
        })
    }
}

impl From<PointForm> for PointText {
    fn from(form: PointForm) -> Self {
        Self {
            plate: Some(form.plate),
            grid: Some(form.grid),
            supply: None,
            cathode_resistor: None,
            current: form.current,
            source: form.source,
        }
    }
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "small_signal", deny_unknown_fields)]
pub(super) struct SmallSignalForm {
    plate: Volts,
    grid: Volts,
    #[serde(skip_serializing_if = "Option::is_none")]
    mu: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plate_resistance: Option<Ohms>,
    #[serde(skip_serializing_if = "Option::is_none")]
    transconductance: Option<Siemens>,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<SourceForm>,
}

impl CharacteristicForm {
    pub(super) fn of(characteristic: &PlateCharacteristic) -> Self {
        match characteristic {
            PlateCharacteristic::Published {
                points,
                small_signal,
            } => Self::Published {
                points: points.iter().map(PointForm::of).collect(),
                small_signal: small_signal.iter().map(SmallSignalForm::of).collect(),
            },
            PlateCharacteristic::Law(law) => Self::Law {
                mu: law.mu,
                exponent: law.exponent,
                kg1: law.kg1,
                kp: law.kp,
                kvb: law.kvb,
            },
            PlateCharacteristic::ZeroBias(table) => Self::ZeroBias(table.clone()),
        }
    }

    pub(super) fn read(&self, sources: &Sources) -> PlateCharacteristic {
        match self {
            Self::Published {
                points,
                small_signal,
            } => PlateCharacteristic::Published {
                points: points.iter().map(|p| p.read(sources)).collect(),
                small_signal: small_signal.iter().map(|s| s.read(sources)).collect(),
            },
            Self::Law {
                mu,
                exponent,
                kg1,
                kp,
                kvb,
            } => PlateCharacteristic::Law(TriodeCoefficients {
                mu: *mu,
                exponent: *exponent,
                kg1: *kg1,
                kp: *kp,
                kvb: *kvb,
            }),
            Self::ZeroBias(table) => PlateCharacteristic::ZeroBias(table.clone()),
        }
    }
}

impl PointForm {
    fn of(point: &PlatePoint) -> Self {
        Self {
            plate: point.plate,
            grid: point.grid,
            current: point.current,
            source: SourceForm::of(&point.source),
        }
    }

    fn read(&self, sources: &Sources) -> PlatePoint {
        PlatePoint {
            plate: self.plate,
            grid: self.grid,
            current: self.current,
            source: SourceForm::read(self.source.as_ref(), sources),
        }
    }
}

impl SmallSignalForm {
    fn of(figures: &SmallSignal) -> Self {
        Self {
            plate: figures.plate,
            grid: figures.grid,
            mu: figures.mu,
            plate_resistance: figures.plate_resistance,
            transconductance: figures.transconductance,
            source: SourceForm::of(&figures.source),
        }
    }

    fn read(&self, sources: &Sources) -> SmallSignal {
        SmallSignal {
            plate: self.plate,
            grid: self.grid,
            mu: self.mu,
            plate_resistance: self.plate_resistance,
            transconductance: self.transconductance,
            source: SourceForm::read(self.source.as_ref(), sources),
        }
    }
}
