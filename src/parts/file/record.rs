//! How a supply is written, part by part. Fields bear the names they have in [`Supply`]; what may be left out
//! says so, with what is then meant.

use serde::{Deserialize, Serialize};

use crate::parts::catalogue::Catalogue;
use crate::parts::file::figure::{RatingForm, Sources};
use crate::parts::file::regulator::{HeaterTieForm, RegulatorForm};
use crate::parts::file::types::{ControlTubeForm, GasTubeForm, PassTubeForm, RectifierForm};
use crate::parts::quantity::{
    Amps, Farads, Fraction, Henries, Hertz, Ohms, Quantity, VoltAmps, Volts, Watts,
};
use crate::parts::rating::{Rating, RatingSystem};
use crate::parts::{
    CapacitorStack, Connection, Dummy, Filter, FilterSection, Mains, Output, PassStage,
    PassTubeType, Rectifier, RectifierType, SeriesElement, Supply, Transformer, WindingVolts,
};

/// System of a rating of the winding or a choke that does not say its own: copper warms over minutes, and
/// makers give its rating at nominal mains.
const WINDING_SYSTEM: RatingSystem = RatingSystem::DesignCentre;
/// System of a rating of a capacitor that does not say its own: its working volts are never to be exceeded.
const CAPACITOR_SYSTEM: RatingSystem = RatingSystem::AbsoluteMaximum;

/// The whole file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "supply", deny_unknown_fields)]
pub(super) struct SupplyForm {
    pub(super) format: u32,
    /// Empty if left out.
    #[serde(default)]
    name: String,
    /// Empty if left out.
    #[serde(default)]
    notes: String,
    mains: MainsForm,
    transformer: TransformerForm,
    rectifier: RectifierStageForm,
    filter: FilterForm,
    pass_stage: PassStageForm,
    /// Not described if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    regulator: Option<RegulatorForm>,
    output: OutputForm,
    /// None if left out.
    #[serde(default)]
    dummies: Vec<DummyForm>,
    /// Types that the built-in catalogue has not, or has otherwise. None if left out.
    #[serde(default, skip_serializing_if = "OwnTypesForm::is_empty")]
    own_types: OwnTypesForm,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "mains", deny_unknown_fields)]
struct MainsForm {
    nominal: Volts,
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
struct TransformerForm {
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
enum WindingForm {
    OpenCircuit(Volts),
    Loaded { volts: Volts, amps: Amps },
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "rectifier", deny_unknown_fields)]
pub(super) struct RectifierStageForm {
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
enum ConnectionForm {
    #[default]
    FullWaveCentreTap,
    Bridge,
    HalfWave,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "filter", deny_unknown_fields)]
pub(super) struct FilterForm {
    /// None if left out: choke or resistor input.
    #[serde(skip_serializing_if = "Option::is_none")]
    input_capacitor: Option<StackForm>,
    /// None if left out.
    #[serde(default)]
    sections: Vec<SectionForm>,
    /// None if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    bleeder: Option<Ohms>,
    /// 0 A if left out.
    #[serde(default)]
    internal_current: Amps,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "capacitor", deny_unknown_fields)]
struct StackForm {
    unit: Farads,
    /// 1 if left out.
    #[serde(default = "one")]
    in_series: u8,
    /// 1 if left out.
    #[serde(default = "one")]
    strings: u8,
    /// Not known if left out; a value alone is an absolute-maximum rating. So are the two below.
    #[serde(skip_serializing_if = "Option::is_none")]
    working_volts: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    surge_volts: Option<RatingForm<Volts>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    ripple_current: Option<RatingForm<Amps>>,
    /// None fitted if left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    balancing: Option<Ohms>,
    /// 20 % if left out, as electrolytics are marked (letter M of IEC 60062).
    #[serde(default = "electrolytic")]
    tolerance: Fraction,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "section", deny_unknown_fields)]
struct SectionForm {
    series: SeriesForm,
    capacitor: StackForm,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum SeriesForm {
    Resistor(Ohms),
    Choke {
        inductance: Henries,
        resistance: Ohms,
        /// Not known if left out; a value alone is a design-centre rating.
        #[serde(skip_serializing_if = "Option::is_none")]
        rating: Option<RatingForm<Amps>>,
    },
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "pass_stage", deny_unknown_fields)]
struct PassStageForm {
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
struct OutputForm {
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
struct DummyForm {
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

#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename = "own_types", deny_unknown_fields)]
pub(super) struct OwnTypesForm {
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    rectifiers: Vec<RectifierForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pass_tubes: Vec<PassTubeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) control_tubes: Vec<ControlTubeForm>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(super) gas_tubes: Vec<GasTubeForm>,
}

/// Adds a type unless the catalogue has it just so, or it stands in the list already.
fn add<T: PartialEq, F: PartialEq>(
    list: &mut Vec<F>,
    kind: &T,
    known: Option<&T>,
    of: fn(&T) -> F,
) {
    let form = of(kind);
    if known != Some(kind) && !list.contains(&form) {
        list.push(form);
    }
}

impl OwnTypesForm {
    /// The types of a supply that `catalogue` does not have just so.
    fn of(supply: &Supply, catalogue: &Catalogue) -> Self {
        let mut own = Self::default();
        let rail = supply.regulator.as_ref().and_then(|r| r.bias_rail.as_ref());
        let kinds = [
            Some(&supply.rectifier.kind),
            rail.map(|r| &r.rectifier.kind),
        ];
        for kind in kinds.into_iter().flatten() {
            let known = catalogue.rectifier(&kind.name);
            add(&mut own.rectifiers, kind, known, RectifierForm::of);
        }
        let tube = &supply.pass_stage.tube;
        let known = catalogue.pass_tube(&tube.name);
        add(&mut own.pass_tubes, tube, known, PassTubeForm::of);
        if let Some(regulator) = &supply.regulator {
            let tube = &regulator.control_tube;
            let known = catalogue.control_tube(&tube.name);
            add(&mut own.control_tubes, tube, known, ControlTubeForm::of);
            let references = [
                regulator.reference.as_ref(),
                rail.and_then(|r| r.reference.as_ref()),
            ];
            for tube in references.into_iter().flatten().flat_map(|r| &r.tubes) {
                let known = catalogue.gas_tube(&tube.name);
                add(&mut own.gas_tubes, tube, known, GasTubeForm::of);
            }
        }
        own
    }

    fn is_empty(&self) -> bool {
        self.rectifiers.is_empty()
            && self.pass_tubes.is_empty()
            && self.control_tubes.is_empty()
            && self.gas_tubes.is_empty()
    }
}

fn one() -> u8 {
    1
}

fn tenth() -> Fraction {
    Fraction(0.1)
}

fn twentieth() -> Fraction {
    Fraction(0.05)
}

fn electrolytic() -> Fraction {
    Fraction(0.2)
}

fn whole() -> Fraction {
    Fraction(1.0)
}

/// A type that neither the file nor the catalogue knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct UnknownType {
    /// Where its name stands.
    pub(super) field: &'static str,
    /// The name.
    pub(super) name: String,
    /// The names that there are.
    pub(super) known: Vec<String>,
}

fn explicit<T: Quantity>(rating: Option<&Rating<T>>) -> Option<RatingForm<T>> {
    rating.map(|r| RatingForm::of(r, None))
}

fn rating<T: Quantity>(form: Option<&RatingForm<T>>, usual: RatingSystem) -> Option<Rating<T>> {
    // A supply has no list of sources: a document is named in full where it is used.
    form.map(|f| f.read(usual, &Sources::new()))
}

impl SupplyForm {
    /// The form of a supply. Types that `catalogue` does not have just so are written out.
    pub(super) fn of(supply: &Supply, catalogue: &Catalogue) -> Self {
        Self {
            format: super::FORMAT,
            name: supply.name.clone(),
            notes: supply.notes.clone(),
            mains: MainsForm::of(&supply.mains),
            transformer: TransformerForm::of(&supply.transformer),
            rectifier: RectifierStageForm::of(&supply.rectifier),
            filter: FilterForm::of(&supply.filter),
            pass_stage: PassStageForm::of(&supply.pass_stage),
            regulator: supply.regulator.as_ref().map(RegulatorForm::of),
            output: OutputForm {
                set_low: supply.output.set_low,
                set_high: supply.output.set_high,
                meter_shunt: supply.output.meter_shunt,
            },
            dummies: supply.dummies.iter().map(DummyForm::of).collect(),
            own_types: OwnTypesForm::of(supply, catalogue),
        }
    }

    /// The supply of a form.
    pub(super) fn read(&self, catalogue: &Catalogue) -> Result<Supply, UnknownType> {
        let own = &self.own_types;
        Ok(Supply {
            name: self.name.clone(),
            notes: self.notes.clone(),
            mains: self.mains.read(),
            transformer: self.transformer.read(self.mains.nominal),
            rectifier: self.rectifier.read(own, catalogue)?,
            filter: self.filter.read(),
            pass_stage: self.pass_stage.read(own, catalogue)?,
            regulator: (self.regulator.as_ref())
                .map(|r| r.read(own, catalogue))
                .transpose()?,
            output: Output {
                set_low: self.output.set_low,
                set_high: self.output.set_high,
                meter_shunt: self.output.meter_shunt,
            },
            dummies: self.dummies.iter().map(DummyForm::read).collect(),
        })
    }
}

impl MainsForm {
    fn of(mains: &Mains) -> Self {
        Self {
            nominal: mains.nominal,
            present: Some(mains.present),
            low: Some(mains.low),
            high: Some(mains.high),
            frequency: mains.frequency,
        }
    }

    fn read(&self) -> Mains {
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
    fn of(transformer: &Transformer) -> Self {
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

    fn read(&self, mains: Volts) -> Transformer {
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
    pub(super) fn of(rectifier: &Rectifier) -> Self {
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

    pub(super) fn read(
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

impl FilterForm {
    pub(super) fn of(filter: &Filter) -> Self {
        Self {
            input_capacitor: filter.input_capacitor.as_ref().map(StackForm::of),
            sections: filter.sections.iter().map(SectionForm::of).collect(),
            bleeder: filter.bleeder,
            internal_current: filter.internal_current,
        }
    }

    pub(super) fn read(&self) -> Filter {
        Filter {
            input_capacitor: self.input_capacitor.as_ref().map(StackForm::read),
            sections: self.sections.iter().map(SectionForm::read).collect(),
            bleeder: self.bleeder,
            internal_current: self.internal_current,
        }
    }
}

impl StackForm {
    fn of(stack: &CapacitorStack) -> Self {
        Self {
            unit: stack.unit,
            in_series: stack.in_series,
            strings: stack.strings,
            working_volts: explicit(stack.working_volts.as_ref()),
            surge_volts: explicit(stack.surge_volts.as_ref()),
            ripple_current: explicit(stack.ripple_current.as_ref()),
            balancing: stack.balancing,
            tolerance: stack.tolerance,
        }
    }

    fn read(&self) -> CapacitorStack {
        CapacitorStack {
            unit: self.unit,
            in_series: self.in_series,
            strings: self.strings,
            working_volts: rating(self.working_volts.as_ref(), CAPACITOR_SYSTEM),
            surge_volts: rating(self.surge_volts.as_ref(), CAPACITOR_SYSTEM),
            ripple_current: rating(self.ripple_current.as_ref(), CAPACITOR_SYSTEM),
            balancing: self.balancing,
            tolerance: self.tolerance,
        }
    }
}

impl SectionForm {
    fn of(section: &FilterSection) -> Self {
        Self {
            series: match &section.series {
                SeriesElement::Resistor(ohms) => SeriesForm::Resistor(*ohms),
                SeriesElement::Choke {
                    inductance,
                    resistance,
                    rating,
                } => SeriesForm::Choke {
                    inductance: *inductance,
                    resistance: *resistance,
                    rating: explicit(rating.as_ref()),
                },
            },
            capacitor: StackForm::of(&section.capacitor),
        }
    }

    fn read(&self) -> FilterSection {
        FilterSection {
            series: match &self.series {
                SeriesForm::Resistor(ohms) => SeriesElement::Resistor(*ohms),
                SeriesForm::Choke {
                    inductance,
                    resistance,
                    rating: choke,
                } => SeriesElement::Choke {
                    inductance: *inductance,
                    resistance: *resistance,
                    rating: rating(choke.as_ref(), WINDING_SYSTEM),
                },
            },
            capacitor: self.capacitor.read(),
        }
    }
}

impl PassStageForm {
    fn of(stage: &PassStage) -> Self {
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

    fn read(&self, own: &OwnTypesForm, catalogue: &Catalogue) -> Result<PassStage, UnknownType> {
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

impl DummyForm {
    fn of(dummy: &Dummy) -> Self {
        Self {
            name: dummy.name.clone(),
            resistance: dummy.resistance,
            power: dummy.power,
            working_volts: dummy.working_volts,
            tolerance: dummy.tolerance,
            derating: dummy.derating,
        }
    }

    fn read(&self) -> Dummy {
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
