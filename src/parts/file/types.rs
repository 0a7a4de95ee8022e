//! How the types of rectifiers and tubes are written, in the catalogue and in a supply's own file.

mod characteristic;
mod control_tube;
mod gas_tube;
mod rectifier;
mod tube;

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{RatingForm, SourceForm, Sources};
use crate::parts::quantity::{Amps, Quantity, Volts};
use crate::parts::rating::{Rating, RatingSystem};
use crate::parts::rectifier::Heater;

pub(in crate::parts) use gas_tube::GasTubeForm;
pub(in crate::parts) use rectifier::RectifierForm;
pub(in crate::parts) use tube::{ControlTubeForm, PassTubeForm};

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "heater", deny_unknown_fields)]
struct HeaterForm {
    volts: Volts,
    amps: Amps,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<SourceForm>,
}

fn form<T: Quantity>(rating: Option<&Rating<T>>, usual: RatingSystem) -> Option<RatingForm<T>> {
    rating.map(|r| RatingForm::of(r, Some(usual)))
}

/// Reads ratings of one entry: they share the usual system and the short names of documents.
struct Entry<'a> {
    usual: RatingSystem,
    sources: &'a Sources,
}

impl Entry<'_> {
    fn rating<T: Quantity>(&self, form: Option<&RatingForm<T>>) -> Option<Rating<T>> {
        form.map(|f| f.read(self.usual, self.sources))
    }
}

impl HeaterForm {
    fn of(heater: &Heater) -> Self {
        Self {
            volts: heater.volts,
            amps: heater.amps,
            source: SourceForm::of(&heater.source),
        }
    }

    fn read(&self, sources: &Sources) -> Heater {
        Heater {
            volts: self.volts,
            amps: self.amps,
            source: SourceForm::read(self.source.as_ref(), sources),
        }
    }
}
