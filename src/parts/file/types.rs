//! How the types of rectifiers and tubes are written, in the catalogue and in a supply's own file.

mod control_tube;
mod gas_tube;

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{FigureForm, RatingForm, SourceForm, Sources, SystemForm};
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::{Amps, Farads, Ohms, Quantity, Siemens, Volts, Watts};
use crate::parts::rating::{Rating, RatingSystem};
use crate::parts::rectifier::Heater;
use crate::parts::{
    PassTubeType, PlateCharacteristic, RectifierLaw, RectifierType, TriodeCoefficients,
};

pub(in crate::parts) use control_tube::ControlTubeForm;
pub(in crate::parts) use gas_tube::GasTubeForm;

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

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "heater", deny_unknown_fields)]
struct HeaterForm {
    volts: Volts,
    amps: Amps,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<SourceForm>,
}

/// A type of pass tube as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "pass_tube", deny_unknown_fields)]
pub(in crate::parts) struct PassTubeForm {
    pub(in crate::parts) name: String,
    #[serde(default)]
    about: String,
    units: u8,
    #[serde(default)]
    triode_connected: bool,
    /// System of the ratings that do not say theirs.
    #[serde(default)]
    rating_system: SystemForm,
    characteristic: CharacteristicForm,
    #[serde(skip_serializing_if = "Option::is_none")]
    heater: Option<HeaterForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plate_dissipation: Option<RatingForm<Watts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    envelope_dissipation: Option<RatingForm<Watts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    screen_dissipation: Option<RatingForm<Watts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plate_volts: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plate_current: Option<RatingForm<Amps>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    heater_cathode: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    grid_resistor: Option<RatingForm<Ohms>>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum CharacteristicForm {
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
struct PointForm {
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
struct SmallSignalForm {
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

impl CharacteristicForm {
    fn of(characteristic: &PlateCharacteristic) -> Self {
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

    fn read(&self, sources: &Sources) -> PlateCharacteristic {
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

impl PassTubeForm {
    /// The form of a type.
    pub(in crate::parts) fn of(tube: &PassTubeType) -> Self {
        let usual = tube
            .plate_dissipation
            .as_ref()
            .map_or(RatingSystem::default(), |r| r.system);
        Self {
            name: tube.name.clone(),
            about: tube.about.clone(),
            units: tube.units,
            triode_connected: tube.triode_connected,
            rating_system: SystemForm(usual),
            characteristic: CharacteristicForm::of(&tube.characteristic),
            heater: tube.heater.as_ref().map(HeaterForm::of),
            plate_dissipation: form(tube.plate_dissipation.as_ref(), usual),
            envelope_dissipation: form(tube.envelope_dissipation.as_ref(), usual),
            screen_dissipation: form(tube.screen_dissipation.as_ref(), usual),
            plate_volts: form(tube.plate_volts.as_ref(), usual),
            plate_current: form(tube.plate_current.as_ref(), usual),
            heater_cathode: form(tube.heater_cathode.as_ref(), usual),
            grid_resistor: form(tube.grid_resistor.as_ref(), usual),
        }
    }

    /// The type of a form; `sources` gives documents their long names.
    pub(in crate::parts) fn read(&self, sources: &Sources) -> PassTubeType {
        let entry = Entry {
            usual: self.rating_system.0,
            sources,
        };
        PassTubeType {
            name: self.name.clone(),
            about: self.about.clone(),
            units: self.units,
            triode_connected: self.triode_connected,
            characteristic: self.characteristic.read(sources),
            heater: self.heater.as_ref().map(|h| h.read(sources)),
            plate_dissipation: entry.rating(self.plate_dissipation.as_ref()),
            envelope_dissipation: entry.rating(self.envelope_dissipation.as_ref()),
            screen_dissipation: entry.rating(self.screen_dissipation.as_ref()),
            plate_volts: entry.rating(self.plate_volts.as_ref()),
            plate_current: entry.rating(self.plate_current.as_ref()),
            heater_cathode: entry.rating(self.heater_cathode.as_ref()),
            grid_resistor: entry.rating(self.grid_resistor.as_ref()),
        }
    }
}
