//! How a type of gas tube is written.

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{FigureForm, RatingForm, Sources, SystemForm};
use crate::parts::gas_tube::GasTubeType;
use crate::parts::quantity::{Amps, Farads, Quantity, Volts};
use crate::parts::rating::Figure;

/// A type of gas tube as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "gas_tube", deny_unknown_fields)]
pub(in crate::parts) struct GasTubeForm {
    pub(in crate::parts) name: String,
    #[serde(default)]
    about: String,
    /// System of the currents that do not say theirs.
    #[serde(default)]
    rating_system: SystemForm,
    volts: FigureForm<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    volts_low: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    volts_high: Option<Volts>,
    current_least: RatingForm<Amps>,
    current_most: RatingForm<Amps>,
    #[serde(skip_serializing_if = "Option::is_none")]
    strike_volts: Option<FigureForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    supply_least: Option<FigureForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    regulation_volts: Option<FigureForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    largest_shunt_capacitor: Option<FigureForm<Farads>>,
}

fn figure<T: Quantity>(form: Option<&FigureForm<T>>, sources: &Sources) -> Option<Figure<T>> {
    form.map(|f| f.read(sources))
}

impl GasTubeForm {
    /// The form of a type.
    pub(in crate::parts) fn of(tube: &GasTubeType) -> Self {
        let usual = tube.current_most.system;
        Self {
            name: tube.name.clone(),
            about: tube.about.clone(),
            rating_system: SystemForm(usual),
            volts: FigureForm::of(&tube.volts),
            volts_low: tube.volts_low,
            volts_high: tube.volts_high,
            current_least: RatingForm::of(&tube.current_least, Some(usual)),
            current_most: RatingForm::of(&tube.current_most, Some(usual)),
            strike_volts: tube.strike_volts.as_ref().map(FigureForm::of),
            supply_least: tube.supply_least.as_ref().map(FigureForm::of),
            regulation_volts: tube.regulation_volts.as_ref().map(FigureForm::of),
            largest_shunt_capacitor: tube.largest_shunt_capacitor.as_ref().map(FigureForm::of),
        }
    }

    /// The type of a form; `sources` gives documents their long names.
    pub(in crate::parts) fn read(&self, sources: &Sources) -> GasTubeType {
        let usual = self.rating_system.0;
        GasTubeType {
            name: self.name.clone(),
            about: self.about.clone(),
            volts: self.volts.read(sources),
            volts_low: self.volts_low,
            volts_high: self.volts_high,
            current_least: self.current_least.read(usual, sources),
            current_most: self.current_most.read(usual, sources),
            strike_volts: figure(self.strike_volts.as_ref(), sources),
            supply_least: figure(self.supply_least.as_ref(), sources),
            regulation_volts: figure(self.regulation_volts.as_ref(), sources),
            largest_shunt_capacitor: figure(self.largest_shunt_capacitor.as_ref(), sources),
        }
    }
}
