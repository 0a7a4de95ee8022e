//! How mains, transformer and rectifier are written.

use serde::{Deserialize, Serialize};

use crate::parts::catalogue::Catalogue;
use crate::parts::file::figure::{RatingForm, Sources};
use crate::parts::file::record::{
    OwnTypesForm, UnknownType, WINDING_SYSTEM, explicit, one, rating,
};
use crate::parts::quantity::{Amps, Hertz, Ohms, VoltAmps, Volts};
use crate::parts::{Connection, Mains, Rectifier, RectifierType, Transformer, WindingVolts};

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "mains", deny_unknown_fields)]
pub(super) struct MainsForm {
    pub(super) nominal: Volts,
    /// The nominal volts if left out.
    present: Option<Volts>,
    /// If left out, 5 % below a nominal of 110 to 127 V (ANSI C84.1 range A), else 10 % below (IEC 60038).
    low: Option<Volts>,
    /// As `low`, above.
    high: Option<Volts>,
    frequency: Hertz,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "transformer", deny_unknown_fields)]
pub(super) struct TransformerForm {
    /// The nominal volts of the mains if left out.
    primary_volts: Option<Volts>,
    winding: WindingForm,
    primary_resistance: Ohms,
    secondary_resistance: Ohms,
    /// Not known if left out; a value alone is a design-centre rating.
    #[serde(skip_serializing_if = "Option::is_none")]
    winding_rating: Option<RatingForm<Amps>>,
    /// 0 VA if left out.
    #[serde(default)]
    auxiliary: VoltAmps,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum WindingForm {
    OpenCircuit(Volts),
    Loaded { volts: Volts, amps: Amps },
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "rectifier", deny_unknown_fields)]
pub(in crate::parts::file) struct RectifierStageForm {
    kind: String,
    /// `FullWaveCentreTap` if left out.
    #[serde(default)]
    connection: ConnectionForm,
    /// 1 if left out.
    #[serde(default = "one")]
    in_parallel: u8,
    /// None (0 Ω) if left out.
    #[serde(default)]
    plate_resistor: Ohms,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(super) enum ConnectionForm {
    #[default]
    FullWaveCentreTap,
    Bridge,
    HalfWave,
}

impl MainsForm {
    pub(super) fn of(mains: &Mains) -> Self {
        Self {
            nominal: mains.nominal,
            present: Some(mains.present),
            low: Some(mains.low),
            high: Some(mains.high),
            frequency: mains.frequency,
        }
    }

    pub(super) fn read(&self) -> Mains {
        // Rounded to a tenth of a volt, as one would write it.
        let part = |share: f64| Volts((self.nominal.0 * share * 10.0).round() / 10.0);
        let american = (110.0..=127.0).contains(&self.nominal.0);
        let (low, high) = if american { (0.95, 1.05) } else { (0.9, 1.1) };
        Mains {
            nominal: self.nominal,
            present: self.present.unwrap_or(self.nominal),
            low: self.low.unwrap_or_else(|| part(low)),
            high: self.high.unwrap_or_else(|| part(high)),
            frequency: self.frequency,
        }
    }
}

impl TransformerForm {
    pub(super) fn of(transformer: &Transformer) -> Self {
        Self {
            primary_volts: Some(transformer.primary_volts),
            winding: match transformer.winding {
                WindingVolts::OpenCircuit(volts) => WindingForm::OpenCircuit(volts),
                WindingVolts::Loaded { volts, amps } => WindingForm::Loaded { volts, amps },
            },
            primary_resistance: transformer.primary_resistance,
            secondary_resistance: transformer.secondary_resistance,
            winding_rating: explicit(transformer.winding_rating.as_ref()),
            auxiliary: transformer.auxiliary,
        }
    }

    pub(super) fn read(&self, mains: Volts) -> Transformer {
        Transformer {
            primary_volts: self.primary_volts.unwrap_or(mains),
            winding: match self.winding {
                WindingForm::OpenCircuit(volts) => WindingVolts::OpenCircuit(volts),
                WindingForm::Loaded { volts, amps } => WindingVolts::Loaded { volts, amps },
            },
            primary_resistance: self.primary_resistance,
            secondary_resistance: self.secondary_resistance,
            winding_rating: rating(self.winding_rating.as_ref(), WINDING_SYSTEM),
            auxiliary: self.auxiliary,
        }
    }
}

impl RectifierStageForm {
    pub(in crate::parts::file) fn of(rectifier: &Rectifier) -> Self {
        Self {
            kind: rectifier.kind.name.clone(),
            connection: match rectifier.connection {
                Connection::FullWaveCentreTap => ConnectionForm::FullWaveCentreTap,
                Connection::Bridge => ConnectionForm::Bridge,
                Connection::HalfWave => ConnectionForm::HalfWave,
            },
            in_parallel: rectifier.in_parallel,
            plate_resistor: rectifier.plate_resistor,
        }
    }

    fn kind(
        &self,
        own: &OwnTypesForm,
        catalogue: &Catalogue,
    ) -> Result<RectifierType, UnknownType> {
        let here = own.rectifiers.iter().find(|t| t.name == self.kind);
        here.map(|t| t.read(&Sources::new()))
            .or_else(|| catalogue.rectifier(&self.kind).cloned())
            .ok_or_else(|| UnknownType {
                field: "rectifier.kind",
                name: self.kind.clone(),
                known: (own.rectifiers.iter().map(|t| &t.name))
                    .chain(catalogue.rectifiers.iter().map(|t| &t.name))
                    .cloned()
                    .collect(),
            })
    }

    pub(in crate::parts::file) fn read(
        &self,
        own: &OwnTypesForm,
        catalogue: &Catalogue,
    ) -> Result<Rectifier, UnknownType> {
        Ok(Rectifier {
            kind: self.kind(own, catalogue)?,
            connection: match self.connection {
                ConnectionForm::FullWaveCentreTap => Connection::FullWaveCentreTap,
                ConnectionForm::Bridge => Connection::Bridge,
                ConnectionForm::HalfWave => Connection::HalfWave,
            },
            in_parallel: self.in_parallel,
            plate_resistor: self.plate_resistor,
        })
    }
}
