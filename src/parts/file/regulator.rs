//! How the regulator is written. Fields bear the names they have in [`Regulator`].

use serde::{Deserialize, Serialize};

use crate::parts::catalogue::Catalogue;
use crate::parts::file::figure::Sources;
use crate::parts::file::record::{FilterForm, OwnTypesForm, RectifierStageForm, UnknownType};
use crate::parts::quantity::{Amps, Ohms, Volts};
use crate::parts::regulator::{
    BiasRail, Divider, GasReference, HeaterTie, PlateSupply, ReferenceFeed, Regulator, Tap,
};
use crate::parts::{ControlTubeType, GasTubeType};

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "regulator", deny_unknown_fields)]
pub(super) struct RegulatorForm {
    control_tube: String,
    plate_load: Ohms,
    /// `Bus` if left out.
    #[serde(default)]
    plate_supply: PlateSupplyForm,
    /// A triode, or not known, if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    screen_volts: Option<Volts>,
    cathode: TapForm,
    /// If left out, a triode's from its law; a pentode's are not known.
    #[serde(skip_serializing_if = "Option::is_none")]
    least_plate_volts: Option<Volts>,
    divider: DividerForm,
    /// None fitted if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    preload: Option<Ohms>,
    /// Not known if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    heater: Option<HeaterTieForm>,
    /// None fitted if left out; fed from the bus if it does not say from where.
    #[serde(skip_serializing_if = "Option::is_none")]
    reference: Option<ReferenceForm>,
    /// None fitted if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    bias_rail: Option<BiasRailForm>,
}

#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
enum PlateSupplyForm {
    #[default]
    Bus,
    Clean(Volts),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
enum TapForm {
    Common,
    Reference,
    BiasReference(u8),
    BiasRail,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename = "divider", deny_unknown_fields)]
struct DividerForm {
    resistance: Ohms,
    foot: TapForm,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub(super) enum HeaterTieForm {
    Common,
    Cathode,
    Elevated(Volts),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
enum FeedForm {
    Bus,
    Output,
    BiasRail,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "reference", deny_unknown_fields)]
struct ReferenceForm {
    tubes: Vec<String>,
    feed_resistor: Ohms,
    /// If left out, the bus for the positive reference and the rail for its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    fed_from: Option<FeedForm>,
    /// 0 A if left out.
    #[serde(default)]
    drawn: Amps,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "bias_rail", deny_unknown_fields)]
struct BiasRailForm {
    winding: Volts,
    winding_resistance: Ohms,
    rectifier: RectifierStageForm,
    filter: FilterForm,
    /// 0 A if left out.
    #[serde(default)]
    load: Amps,
    /// None fitted if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    reference: Option<ReferenceForm>,
}

/// Where names of types are looked up.
#[derive(Clone, Copy)]
struct Types<'a> {
    own: &'a OwnTypesForm,
    catalogue: &'a Catalogue,
}

impl RegulatorForm {
    pub(super) fn of(regulator: &Regulator) -> Self {
        Self {
            control_tube: regulator.control_tube.name.clone(),
            plate_load: regulator.plate_load,
            plate_supply: match regulator.plate_supply {
                PlateSupply::Bus => PlateSupplyForm::Bus,
                PlateSupply::Clean(volts) => PlateSupplyForm::Clean(volts),
            },
            screen_volts: regulator.screen_volts,
            cathode: TapForm::of(regulator.cathode),
            least_plate_volts: regulator.least_plate_volts,
            divider: DividerForm {
                resistance: regulator.divider.resistance,
                foot: TapForm::of(regulator.divider.foot),
            },
            preload: regulator.preload,
            heater: regulator.heater.map(HeaterTieForm::of),
            reference: regulator.reference.as_ref().map(ReferenceForm::of),
            bias_rail: regulator.bias_rail.as_ref().map(BiasRailForm::of),
        }
    }

    pub(super) fn read(
        &self,
        own: &OwnTypesForm,
        catalogue: &Catalogue,
    ) -> Result<Regulator, UnknownType> {
        let types = Types { own, catalogue };
        Ok(Regulator {
            control_tube: types.control_tube(&self.control_tube)?,
            plate_load: self.plate_load,
            plate_supply: match self.plate_supply {
                PlateSupplyForm::Bus => PlateSupply::Bus,
                PlateSupplyForm::Clean(volts) => PlateSupply::Clean(volts),
            },
            screen_volts: self.screen_volts,
            cathode: self.cathode.read(),
            least_plate_volts: self.least_plate_volts,
            divider: Divider {
                resistance: self.divider.resistance,
                foot: self.divider.foot.read(),
            },
            preload: self.preload,
            heater: self.heater.map(HeaterTieForm::read),
            reference: (self.reference.as_ref())
                .map(|r| r.read(types, ("regulator.reference.tubes", ReferenceFeed::Bus)))
                .transpose()?,
            bias_rail: self.bias_rail.as_ref().map(|r| r.read(types)).transpose()?,
        })
    }
}

impl TapForm {
    fn of(tap: Tap) -> Self {
        match tap {
            Tap::Common => Self::Common,
            Tap::Reference => Self::Reference,
            Tap::BiasReference(tubes) => Self::BiasReference(tubes),
            Tap::BiasRail => Self::BiasRail,
        }
    }

    fn read(self) -> Tap {
        match self {
            Self::Common => Tap::Common,
            Self::Reference => Tap::Reference,
            Self::BiasReference(tubes) => Tap::BiasReference(tubes),
            Self::BiasRail => Tap::BiasRail,
        }
    }
}

impl HeaterTieForm {
    pub(super) fn of(tie: HeaterTie) -> Self {
        match tie {
            HeaterTie::Common => Self::Common,
            HeaterTie::Cathode => Self::Cathode,
            HeaterTie::Elevated(volts) => Self::Elevated(volts),
        }
    }

    pub(super) fn read(self) -> HeaterTie {
        match self {
            Self::Common => HeaterTie::Common,
            Self::Cathode => HeaterTie::Cathode,
            Self::Elevated(volts) => HeaterTie::Elevated(volts),
        }
    }
}

impl ReferenceForm {
    fn of(reference: &GasReference) -> Self {
        Self {
            tubes: reference.tubes.iter().map(|t| t.name.clone()).collect(),
            feed_resistor: reference.feed_resistor,
            fed_from: Some(match reference.fed_from {
                ReferenceFeed::Bus => FeedForm::Bus,
                ReferenceFeed::Output => FeedForm::Output,
                ReferenceFeed::BiasRail => FeedForm::BiasRail,
            }),
            drawn: reference.drawn,
        }
    }

    fn read(
        &self,
        types: Types<'_>,
        (field, usual): (&'static str, ReferenceFeed),
    ) -> Result<GasReference, UnknownType> {
        let tubes: Result<_, _> = (self.tubes.iter())
            .map(|name| types.gas_tube(name, field))
            .collect();
        Ok(GasReference {
            tubes: tubes?,
            feed_resistor: self.feed_resistor,
            fed_from: match self.fed_from {
                Some(FeedForm::Bus) => ReferenceFeed::Bus,
                Some(FeedForm::Output) => ReferenceFeed::Output,
                Some(FeedForm::BiasRail) => ReferenceFeed::BiasRail,
                None => usual,
            },
            drawn: self.drawn,
        })
    }
}

impl BiasRailForm {
    fn of(rail: &BiasRail) -> Self {
        Self {
            winding: rail.winding,
            winding_resistance: rail.winding_resistance,
            rectifier: RectifierStageForm::of(&rail.rectifier),
            filter: FilterForm::of(&rail.filter),
            load: rail.load,
            reference: rail.reference.as_ref().map(ReferenceForm::of),
        }
    }

    fn read(&self, types: Types<'_>) -> Result<BiasRail, UnknownType> {
        let rectifier =
            (self.rectifier.read(types.own, types.catalogue)).map_err(|unknown| UnknownType {
                field: "regulator.bias_rail.rectifier.kind",
                ..unknown
            })?;
        let tubes = (
            "regulator.bias_rail.reference.tubes",
            ReferenceFeed::BiasRail,
        );
        Ok(BiasRail {
            winding: self.winding,
            winding_resistance: self.winding_resistance,
            rectifier,
            filter: self.filter.read(),
            load: self.load,
            reference: (self.reference.as_ref())
                .map(|r| r.read(types, tubes))
                .transpose()?,
        })
    }
}

impl Types<'_> {
    fn control_tube(self, name: &str) -> Result<ControlTubeType, UnknownType> {
        let here = self.own.control_tubes.iter().find(|t| t.name == name);
        here.map(|t| t.read(&Sources::new()))
            .or_else(|| self.catalogue.control_tube(name).cloned())
            .ok_or_else(|| UnknownType {
                field: "regulator.control_tube",
                name: name.to_owned(),
                known: (self.own.control_tubes.iter().map(|t| &t.name))
                    .chain(self.catalogue.control_tubes.iter().map(|t| &t.name))
                    .cloned()
                    .collect(),
            })
    }

    fn gas_tube(self, name: &str, field: &'static str) -> Result<GasTubeType, UnknownType> {
        let here = self.own.gas_tubes.iter().find(|t| t.name == name);
        here.map(|t| t.read(&Sources::new()))
            .or_else(|| self.catalogue.gas_tube(name).cloned())
            .ok_or_else(|| UnknownType {
                field,
                name: name.to_owned(),
                known: (self.own.gas_tubes.iter().map(|t| &t.name))
                    .chain(self.catalogue.gas_tubes.iter().map(|t| &t.name))
                    .cloned()
                    .collect(),
            })
    }
}
