//! How the types of rectifiers and tubes stand in the catalogue and in a supply's own file.

use crate::parts::catalogue::{Catalogue, Listed};
use crate::parts::control_tube::{ControlTubeKind, KneePoint, PentodePoint};
use crate::parts::file::fault::Fault;
use crate::parts::file::fields::Fields;
use crate::parts::file::figure::Rated;
use crate::parts::file::layout::Text;
use crate::parts::file::notation::{
    Notation, Reading, Record, put, read_record, record, variants, write_record,
};
use crate::parts::file::tree::Value;
use crate::parts::pass_stage::{PlatePoint, SmallSignal};
use crate::parts::quantity::{Amps, Ohms, Volts};
use crate::parts::rating::RatingSystem;
use crate::parts::rectifier::Heater;
use crate::parts::{
    ControlTubeType, GasTubeType, PassTubeType, PlateCharacteristic, RectifierLaw, RectifierType,
    TriodeCoefficients, TubeRatings,
};

/// A type by its name: one of the file's own, else one of the catalogue.
pub(super) mod type_name {
    use super::{Fault, Listed, Reading, Text, Value};
    use crate::parts::escape::shortened;
    use crate::parts::file::fault::choice;
    use crate::parts::file::notation::Notation as _;

    pub(in crate::parts::file) fn read<T: Listed>(
        value: &Value<'_>,
        context: &Reading<'_>,
    ) -> Result<T, Fault> {
        let name = String::read(value, context)?;
        let (own, known) = (context.own_types, context.catalogue);
        if let Some(found) = own.find(&name).or_else(|| known.find(&name)) {
            return Ok(T::clone(found));
        }
        let names = T::list(own).iter().chain(T::list(known)).map(T::name);
        let mut fault = Fault::at(
            value.start,
            format!("\"{}\", which is in no catalogue", shortened(&name)),
            format!(
                "{}; a type of your own can stand under own_types",
                choice(&name, names)
            ),
        );
        if context.is_broken {
            // It may stand behind the place where the text stops making sense.
            fault.at = usize::MAX;
        }
        Err(fault)
    }

    pub(in crate::parts::file) fn write<T: Listed>(kind: &T) -> Text {
        Text::quoted(kind.name())
    }
}

/// A list of types by their names.
pub(super) mod type_names {
    use super::{Fault, Listed, Reading, Text, Value, type_name};

    pub(in crate::parts::file) fn read<T: Listed>(
        value: &Value<'_>,
        context: &Reading<'_>,
    ) -> Result<Vec<T>, Fault> {
        value.elements_of_list(|element| type_name::read(element, context))
    }

    pub(in crate::parts::file) fn write<T: Listed>(kinds: &[T]) -> Text {
        Text::list(kinds.iter().map(type_name::write).collect())
    }
}

record!(Catalogue, "own_types", context, {
    rectifiers or Vec::new(),
    pass_tubes or Vec::new(),
    control_tubes or Vec::new(),
    gas_tubes or Vec::new(),
});

impl Catalogue {
    /// The lists that hold anything, as they are written.
    pub(super) fn lists(&self) -> Vec<Text> {
        let mut lists = self.all_lists();
        lists.retain(|list| match list {
            Text::Field { value, .. } => !value.items().is_empty(),
            Text::Plain(_) | Text::Group { .. } => true,
        });
        lists
    }

    /// All lists, as they are written.
    pub(super) fn all_lists(&self) -> Vec<Text> {
        let mut lists = Vec::new();
        self.put(None, &mut lists);
        lists
    }

    /// Those of them that a file must have itself to be read elsewhere as it is here; see [`Self::is_known`].
    pub(super) fn keep_those_to_write(&mut self, known: &Self) {
        fn keep<T: Listed>(types: &mut Catalogue, known: &Catalogue) {
            T::list_mut(types).retain(|kind| !known.is_known(kind));
        }
        keep::<RectifierType>(self, known);
        keep::<PassTubeType>(self, known);
        keep::<ControlTubeType>(self, known);
        keep::<GasTubeType>(self, known);
    }

    /// True for a type whose name is enough in a file: it is built in, and nothing else goes by its name here.
    pub(super) fn is_known<T: Listed>(&self, kind: &T) -> bool {
        let has_it = |types: &Self| types.find::<T>(kind.name()) == Some(kind);
        has_it(self) && has_it(Self::built_in_ones())
    }
}

record!(RectifierType, "rectifier", context, {
    name,
    about or String::new(),
    plates,
    @system of peak_inverse,
    law, heater, peak_inverse, peak_inverse_by_current, peak_current, dc_current, dc_current_by_volts, dc_current_choke_input,
    hot_switching_current, least_supply_resistance, least_supply_resistance_by_volts, largest_first_capacitor, heater_cathode,
});

variants!(RectifierLaw {
    Vacuum { drop, at, },
    Silicon { saturation, emission, resistance, },
    MercuryVapour { drop, },
});

record!(Heater, "heater", context, {
    volts, amps,
    filament or false,
    source,
});

record!(TubeRatings, "ratings", context, {
    heater, plate_dissipation, screen_dissipation, plate_volts, heater_cathode, grid_resistor,
});

record!(PassTubeType, "pass_tube", context, {
    name,
    about or String::new(),
    @system of ratings.plate_dissipation,
    units,
    triode_connected or false,
    screen_share, characteristic, envelope_dissipation, plate_current, plate_volts_by_watts,
    @with ratings: TubeRatings,
});

record!(ControlTubeType, "control_tube", context, {
    name,
    about or String::new(),
    @system of ratings.plate_dissipation,
    units or 1,
    kind, screen_volts,
    @with ratings: TubeRatings,
});

record!(GasTubeType, "gas_tube", context, {
    name,
    about or String::new(),
    @system of current_most,
    volts, volts_low, volts_high, current_least, current_most, strike_volts, supply_least,
    regulation_volts, largest_shunt_capacitor,
});

variants!(PlateCharacteristic {
    Published { points or Vec::new(), small_signal or Vec::new(), },
    Law[coefficients],
    ZeroBias(table),
});

record!(TriodeCoefficients, "Law", context, {
    mu, exponent, kg1, kp, kvb,
    grid_offset or Volts(0.0),
});

record!(KneePoint, "knee", context, {
    plate, screen, grid, plate_current, source,
});

record!(SmallSignal, "small_signal", context, {
    plate, grid, mu, plate_resistance, transconductance, source,
});

variants!(ControlTubeKind {
    Triode(characteristic),
    Pentode { operating_points, screen_mu, knee or Vec::new(), },
});

/// The resistor of a self-biased point. Only the volts that follow from it are kept, so that its range is asked here.
fn cathode_resistor(value: &Value<'_>, context: &Reading<'_>) -> Result<Option<Ohms>, Fault> {
    const RANGE: [Ohms; 2] = [Ohms(0.0), Ohms(1e6)];
    let resistor: Option<Ohms> = Notation::read(value, context)?;
    let [low, high] = RANGE;
    if resistor.is_none_or(|resistor| (low..=high).contains(&resistor)) {
        Ok(resistor)
    } else {
        Err(value.fault(format!("{low} to {high}")))
    }
}

/// Either the tube's own volts (`plate`, `grid`), or as makers print a self-biased point: the *supply* volts and the
/// cathode resistor, from which the tube's own volts follow.
impl Notation for PlatePoint {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let known = [
            "plate",
            "grid",
            "supply",
            "cathode_resistor",
            "current",
            "source",
        ];
        let fields = Fields::of(value, "point", &known)?;
        let volts = |name: &str| fields.get::<Option<Volts>>(name, context, None);
        let (own, supply) = ((volts("plate")?, volts("grid")?), volts("supply")?);
        let resistor = fields.get_by("cathode_resistor", Some(None), |value| {
            cathode_resistor(value, context)
        })?;
        let current: Amps = fields.get("current", context, None)?;
        let (plate, grid) = match (own, supply, resistor) {
            ((Some(plate), Some(grid)), None, None) => (plate, grid),
            // The cathode sits `bias` above ground: the grid is that much negative, the plate that much short.
            ((None, None), Some(supply), Some(resistor)) => {
                let bias = resistor.0 * current.0;
                (Volts(supply.0 - bias), Volts(-bias))
            }
            _ => return Err(fields.others("plate and grid, or supply and cathode_resistor")),
        };
        fields.end(Self {
            plate,
            grid,
            current,
            source: fields.get("source", context, None)?,
        })
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        record!(@write self usual plate grid current source)
    }
}

/// Either the tube's own volts (`plate`, `screen`, `grid`), or as makers print a self-biased one: the *supply* volts of
/// plate and screen and the cathode resistor, which carries both currents.
impl Notation for PentodePoint {
    fn read(value: &Value<'_>, context: &Reading<'_>) -> Result<Self, Fault> {
        let known = [
            "plate",
            "screen",
            "grid",
            "supply",
            "screen_supply",
            "cathode_resistor",
            "plate_current",
            "screen_current",
            "plate_resistance",
            "transconductance",
            "source",
        ];
        let fields = Fields::of(value, "operating_point", &known)?;
        let volts = |name: &str| fields.get::<Option<Volts>>(name, context, None);
        let own = (volts("plate")?, volts("screen")?, volts("grid")?);
        let supplies = (volts("supply")?, volts("screen_supply")?);
        let resistor = fields.get_by("cathode_resistor", Some(None), |value| {
            cathode_resistor(value, context)
        })?;
        let fed = (supplies.0, supplies.1, resistor);
        let plate_current: Amps = fields.get("plate_current", context, None)?;
        let screen_current: Amps = fields.get("screen_current", context, None)?;
        let (plate, screen, grid) = match (own, fed) {
            ((Some(plate), Some(screen), Some(grid)), (None, None, None)) => (plate, screen, grid),
            ((None, None, None), (Some(supply), Some(screen_supply), Some(resistor))) => {
                let bias = resistor.0 * (plate_current.0 + screen_current.0);
                let less = |volts: Volts| Volts(volts.0 - bias);
                (less(supply), less(screen_supply), Volts(-bias))
            }
            _ => {
                return Err(fields.others(
                    "plate, screen and grid, or supply, screen_supply and cathode_resistor",
                ));
            }
        };
        fields.end(Self {
            plate,
            screen,
            grid,
            plate_current,
            screen_current,
            plate_resistance: fields.get("plate_resistance", context, None)?,
            transconductance: fields.get("transconductance", context, None)?,
            source: fields.get("source", context, None)?,
        })
    }

    fn write(&self, usual: Option<RatingSystem>) -> Text {
        record!(@write self usual plate screen grid plate_current screen_current plate_resistance transconductance source)
    }
}
