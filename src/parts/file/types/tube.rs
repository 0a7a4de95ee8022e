//! How pass tubes and control tubes are written. The ratings that both have stand here once.

use serde::{Deserialize, Serialize};

use crate::parts::file::figure::{FigureForm, RatingForm, Sources, SystemForm};
use crate::parts::file::types::characteristic::CharacteristicForm;
use crate::parts::file::types::control_tube::KindForm;
use crate::parts::file::types::{Entry, HeaterForm, form};
use crate::parts::quantity::{Amps, Fraction, Ohms, Quantity, Volts, Watts};
use crate::parts::rating::{Figure, Rating, RatingSystem};
use crate::parts::{
    ControlTubeKind, ControlTubeType, PassTubeType, PlateCharacteristic, TubeRatings,
};

/// A field that only one kind of tube has: how its value is written, and read again.
trait Field<T> {
    fn of(value: &T, usual: RatingSystem) -> Self;
    fn read(&self, entry: &Entry<'_>) -> T;
}

/// The form of a type of tube: the fields of its kind, and those of every tube, both under one roof in the text.
macro_rules! tube_form {
    ($(#[$about:meta])* $form:ident of $tube:ident { $($(#[$own:meta])* $field:ident: $written:ty,)* }) => {
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
        $(#[$about])*
        pub(in crate::parts) struct $form {
            pub(in crate::parts) name: String,
            #[serde(default)]
            about: String,
            /// System of the ratings that do not say theirs.
            #[serde(default)]
            rating_system: SystemForm,
            $($(#[$own])* $field: $written,)*
            #[serde(skip_serializing_if = "Option::is_none")]
            heater: Option<HeaterForm>,
            #[serde(skip_serializing_if = "Option::is_none")]
            plate_dissipation: Option<RatingForm<Watts>>,
            #[serde(skip_serializing_if = "Option::is_none")]
            screen_dissipation: Option<RatingForm<Watts>>,
            #[serde(skip_serializing_if = "Option::is_none")]
            plate_volts: Option<RatingForm<Volts>>,
            #[serde(skip_serializing_if = "Option::is_none")]
            heater_cathode: Option<RatingForm<Volts>>,
            #[serde(skip_serializing_if = "Option::is_none")]
            grid_resistor: Option<RatingForm<Ohms>>,
        }

        impl $form {
            /// The form of a type.
            pub(in crate::parts) fn of(tube: &$tube) -> Self {
                let rated = &tube.ratings;
                let usual = rated.plate_dissipation.as_ref().map_or_else(Default::default, |r| r.system);
                Self {
                    name: tube.name.clone(),
                    about: tube.about.clone(),
                    rating_system: SystemForm(usual),
                    $($field: Field::of(&tube.$field, usual),)*
                    heater: rated.heater.as_ref().map(HeaterForm::of),
                    plate_dissipation: form(rated.plate_dissipation.as_ref(), usual),
                    screen_dissipation: form(rated.screen_dissipation.as_ref(), usual),
                    plate_volts: form(rated.plate_volts.as_ref(), usual),
                    heater_cathode: form(rated.heater_cathode.as_ref(), usual),
                    grid_resistor: form(rated.grid_resistor.as_ref(), usual),
                }
            }

            /// The type of a form; `sources` gives documents their long names.
            pub(in crate::parts) fn read(&self, sources: &Sources) -> $tube {
                let entry = Entry { usual: self.rating_system.0, sources };
                $tube {
                    name: self.name.clone(),
                    about: self.about.clone(),
                    $($field: Field::read(&self.$field, &entry),)*
                    ratings: TubeRatings {
                        heater: self.heater.as_ref().map(|h| h.read(sources)),
                        plate_dissipation: entry.rating(self.plate_dissipation.as_ref()),
                        screen_dissipation: entry.rating(self.screen_dissipation.as_ref()),
                        plate_volts: entry.rating(self.plate_volts.as_ref()),
                        heater_cathode: entry.rating(self.heater_cathode.as_ref()),
                        grid_resistor: entry.rating(self.grid_resistor.as_ref()),
                    },
                }
            }
        }
    };
}

tube_form! {
    /// A type of pass tube as written.
    #[serde(rename = "pass_tube", deny_unknown_fields)]
    PassTubeForm of PassTubeType {
        units: u8,
        #[serde(default)]
        triode_connected: bool,
        #[serde(skip_serializing_if = "Option::is_none")]
        screen_share: Option<FigureForm<Fraction>>,
        characteristic: CharacteristicForm,
        #[serde(skip_serializing_if = "Option::is_none")]
        envelope_dissipation: Option<RatingForm<Watts>>,
        #[serde(skip_serializing_if = "Option::is_none")]
        plate_current: Option<RatingForm<Amps>>,
    }
}

tube_form! {
    /// A type of control tube as written.
    #[serde(rename = "control_tube", deny_unknown_fields)]
    ControlTubeForm of ControlTubeType {
        /// 1 if left out.
        #[serde(default = "one")]
        units: u8,
        kind: KindForm,
        #[serde(skip_serializing_if = "Option::is_none")]
        screen_volts: Option<RatingForm<Volts>>,
    }
}

fn one() -> u8 {
    1
}

impl<T: Quantity> Field<Option<Rating<T>>> for Option<RatingForm<T>> {
    fn of(value: &Option<Rating<T>>, usual: RatingSystem) -> Self {
        form(value.as_ref(), usual)
    }

    fn read(&self, entry: &Entry<'_>) -> Option<Rating<T>> {
        entry.rating(self.as_ref())
    }
}

impl<T: Quantity> Field<Option<Figure<T>>> for Option<FigureForm<T>> {
    fn of(value: &Option<Figure<T>>, _: RatingSystem) -> Self {
        value.as_ref().map(FigureForm::of)
    }

    fn read(&self, entry: &Entry<'_>) -> Option<Figure<T>> {
        self.as_ref().map(|form| form.read(entry.sources))
    }
}

impl Field<Self> for u8 {
    fn of(value: &Self, _: RatingSystem) -> Self {
        *value
    }

    fn read(&self, _: &Entry<'_>) -> Self {
        *self
    }
}

impl Field<Self> for bool {
    fn of(value: &Self, _: RatingSystem) -> Self {
        *value
    }

    fn read(&self, _: &Entry<'_>) -> Self {
        *self
    }
}

impl Field<PlateCharacteristic> for CharacteristicForm {
    fn of(value: &PlateCharacteristic, _: RatingSystem) -> Self {
        Self::of(value)
    }

    fn read(&self, entry: &Entry<'_>) -> PlateCharacteristic {
        self.read(entry.sources)
    }
}

impl Field<ControlTubeKind> for KindForm {
    fn of(value: &ControlTubeKind, _: RatingSystem) -> Self {
        Self::of(value)
    }

    fn read(&self, entry: &Entry<'_>) -> ControlTubeKind {
        self.read(entry.sources)
    }
}
