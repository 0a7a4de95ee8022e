//! How a type of rectifier is written.

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{FigureForm, RatingForm, Sources, SystemForm};
use crate::parts::file::types::{Entry, HeaterForm, form};
use crate::parts::quantity::{Amps, Farads, Ohms, Volts};
use crate::parts::rating::RatingSystem;
use crate::parts::{RectifierLaw, RectifierType};

/// A type of rectifier as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "rectifier", deny_unknown_fields)]
pub(in crate::parts) struct RectifierForm {
    pub(in crate::parts) name: String,
    #[serde(default)]
    about: String,
    plates: u8,
    /// System of the ratings that do not say theirs.
    #[serde(default)]
    rating_system: SystemForm,
    law: LawForm,
    #[serde(skip_serializing_if = "Option::is_none")]
    heater: Option<HeaterForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    peak_inverse: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    peak_current: Option<RatingForm<Amps>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    dc_current: Option<RatingForm<Amps>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    dc_current_choke_input: Option<RatingForm<Amps>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    hot_switching_current: Option<RatingForm<Amps>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    least_supply_resistance: Option<FigureForm<Ohms>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    largest_first_capacitor: Option<FigureForm<Farads>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    heater_cathode: Option<RatingForm<Volts>>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum LawForm {
    Vacuum {
        drop: FigureForm<Volts>,
        at: Amps,
    },
    Silicon {
        saturation: Amps,
        emission: Volts,
        resistance: Ohms,
    },
    MercuryVapour {
        drop: FigureForm<Volts>,
    },
}

impl LawForm {
    fn of(law: &RectifierLaw) -> Self {
        match law {
            RectifierLaw::Vacuum { drop, at } => Self::Vacuum {
                drop: FigureForm::of(drop),
                at: *at,
            },
            RectifierLaw::Silicon {
                saturation,
                emission,
                resistance,
            } => Self::Silicon {
                saturation: *saturation,
                emission: *emission,
                resistance: *resistance,
            },
            RectifierLaw::MercuryVapour { drop } => Self::MercuryVapour {
                drop: FigureForm::of(drop),
            },
        }
    }

    fn read(&self, sources: &Sources) -> RectifierLaw {
        match self {
            Self::Vacuum { drop, at } => RectifierLaw::Vacuum {
                drop: drop.read(sources),
                at: *at,
            },
            Self::Silicon {
                saturation,
                emission,
                resistance,
            } => RectifierLaw::Silicon {
                saturation: *saturation,
                emission: *emission,
                resistance: *resistance,
            },
            Self::MercuryVapour { drop } => RectifierLaw::MercuryVapour {
                drop: drop.read(sources),
            },
        }
    }
}

impl RectifierForm {
    /// The form of a type.
    pub(in crate::parts) fn of(kind: &RectifierType) -> Self {
        let usual = kind
            .peak_inverse
            .as_ref()
            .map_or(RatingSystem::default(), |r| r.system);
        Self {
            name: kind.name.clone(),
            about: kind.about.clone(),
            plates: kind.plates,
            rating_system: SystemForm(usual),
            law: LawForm::of(&kind.law),
            heater: kind.heater.as_ref().map(HeaterForm::of),
            peak_inverse: form(kind.peak_inverse.as_ref(), usual),
            peak_current: form(kind.peak_current.as_ref(), usual),
            dc_current: form(kind.dc_current.as_ref(), usual),
            dc_current_choke_input: form(kind.dc_current_choke_input.as_ref(), usual),
            hot_switching_current: form(kind.hot_switching_current.as_ref(), usual),
            least_supply_resistance: kind.least_supply_resistance.as_ref().map(FigureForm::of),
            largest_first_capacitor: kind.largest_first_capacitor.as_ref().map(FigureForm::of),
            heater_cathode: form(kind.heater_cathode.as_ref(), usual),
        }
    }

    /// The type of a form; `sources` gives documents their long names.
    pub(in crate::parts) fn read(&self, sources: &Sources) -> RectifierType {
        let entry = Entry {
            usual: self.rating_system.0,
            sources,
        };
        RectifierType {
            name: self.name.clone(),
            about: self.about.clone(),
            plates: self.plates,
            law: self.law.read(sources),
            heater: self.heater.as_ref().map(|h| h.read(sources)),
            peak_inverse: entry.rating(self.peak_inverse.as_ref()),
            peak_current: entry.rating(self.peak_current.as_ref()),
            dc_current: entry.rating(self.dc_current.as_ref()),
            dc_current_choke_input: entry.rating(self.dc_current_choke_input.as_ref()),
            hot_switching_current: entry.rating(self.hot_switching_current.as_ref()),
            least_supply_resistance: self
                .least_supply_resistance
                .as_ref()
                .map(|f| f.read(sources)),
            largest_first_capacitor: self
                .largest_first_capacitor
                .as_ref()
                .map(|f| f.read(sources)),
            heater_cathode: entry.rating(self.heater_cathode.as_ref()),
        }
    }
}
