//! How the pass stage, the output and the dummies are written.

use serde::{Deserialize, Serialize};

use crate::parts::catalogue::Catalogue;
use crate::parts::file::figure::Sources;
use crate::parts::file::record::{OwnTypesForm, UnknownType};
use crate::parts::file::regulator::HeaterTieForm;
use crate::parts::quantity::{Fraction, Ohms, Volts, Watts};
use crate::parts::{Dummy, Output, PassStage, PassTubeType};

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "pass_stage", deny_unknown_fields)]
pub(super) struct PassStageForm {
    tube: String,
    /// Units in parallel: all sections of one envelope if left out.
    units: Option<u8>,
    /// None (0 Ω) if left out.
    #[serde(default)]
    cathode_resistor: Ohms,
    /// None (0 Ω) if left out.
    #[serde(default)]
    plate_resistor: Ohms,
    /// 10 % if left out.
    #[serde(default = "tenth")]
    imbalance: Fraction,
    /// The imbalance is as given if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    tube_spread: Option<Fraction>,
    /// Not known if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    heater: Option<HeaterTieForm>,
    /// 0 V if left out: the control tube cut off, no grid current.
    #[serde(default)]
    grid_limit: Volts,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "output", deny_unknown_fields)]
pub(super) struct OutputForm {
    /// 0 V if left out.
    #[serde(default)]
    set_low: Volts,
    set_high: Volts,
    /// None (0 Ω) if left out.
    #[serde(default)]
    meter_shunt: Ohms,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "dummy", deny_unknown_fields)]
pub(super) struct DummyForm {
    /// Empty if left out.
    #[serde(default)]
    name: String,
    resistance: Ohms,
    /// Not known if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    power: Option<Watts>,
    /// Not known if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    working_volts: Option<Volts>,
    /// 5 % if left out, as power resistors mostly are.
    #[serde(default = "twentieth")]
    tolerance: Fraction,
    /// 100 % if left out: the rated power is allowed where it stands.
    #[serde(default = "whole")]
    derating: Fraction,
}

impl PassStageForm {
    pub(super) fn of(stage: &PassStage) -> Self {
        Self {
            tube: stage.tube.name.clone(),
            units: Some(stage.units),
            cathode_resistor: stage.cathode_resistor,
            plate_resistor: stage.plate_resistor,
            imbalance: stage.imbalance,
            tube_spread: stage.tube_spread,
            heater: stage.heater.map(HeaterTieForm::of),
            grid_limit: stage.grid_limit,
        }
    }

    fn tube(&self, own: &OwnTypesForm, catalogue: &Catalogue) -> Result<PassTubeType, UnknownType> {
        let here = own.pass_tubes.iter().find(|t| t.name == self.tube);
        here.map(|t| t.read(&Sources::new()))
            .or_else(|| catalogue.pass_tube(&self.tube).cloned())
            .ok_or_else(|| UnknownType {
                field: "pass_stage.tube",
                name: self.tube.clone(),
                known: (own.pass_tubes.iter().map(|t| &t.name))
                    .chain(catalogue.pass_tubes.iter().map(|t| &t.name))
                    .cloned()
                    .collect(),
            })
    }

    pub(super) fn read(
        &self,
        own: &OwnTypesForm,
        catalogue: &Catalogue,
    ) -> Result<PassStage, UnknownType> {
        let tube = self.tube(own, catalogue)?;
        Ok(PassStage {
            units: self.units.unwrap_or(tube.units),
            tube,
            cathode_resistor: self.cathode_resistor,
            plate_resistor: self.plate_resistor,
            imbalance: self.imbalance,
            tube_spread: self.tube_spread,
            heater: self.heater.map(HeaterTieForm::read),
            grid_limit: self.grid_limit,
        })
    }
}

impl OutputForm {
    pub(super) fn of(output: &Output) -> Self {
        Self {
            set_low: output.set_low,
            set_high: output.set_high,
            meter_shunt: output.meter_shunt,
        }
    }

    pub(super) fn read(&self) -> Output {
        Output {
            set_low: self.set_low,
            set_high: self.set_high,
            meter_shunt: self.meter_shunt,
        }
    }
}

impl DummyForm {
    pub(super) fn of(dummy: &Dummy) -> Self {
        Self {
            name: dummy.name.clone(),
            resistance: dummy.resistance,
            power: dummy.power,
            working_volts: dummy.working_volts,
            tolerance: dummy.tolerance,
            derating: dummy.derating,
        }
    }

    pub(super) fn read(&self) -> Dummy {
        Dummy {
            name: self.name.clone(),
            resistance: self.resistance,
            power: self.power,
            working_volts: self.working_volts,
            tolerance: self.tolerance,
            derating: self.derating,
        }
    }
}

fn tenth() -> Fraction {
    Fraction(0.1)
}

fn twentieth() -> Fraction {
    Fraction(0.05)
}

fn whole() -> Fraction {
    Fraction(1.0)
}
