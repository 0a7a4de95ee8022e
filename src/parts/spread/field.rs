//! The fields of a supply that have a spread: where each stands, what it is, and how it is moved.

use crate::parts::quantity::SecondaryVolts;
use crate::parts::rectifier::RectifierLaw;
use crate::parts::regulator::{GasReference, RailWinding, Regulator, Side};
use crate::parts::spread::{Measured, Size, Unit};
use crate::parts::{SeriesElement, Stage, Supply, Volts, WindingVolts};

/// A field that has a spread. Sections of the filter and gas tubes are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Field {
    /// The mains now.
    Mains,
    /// Volts of the high-voltage winding, both halves alike.
    Winding,
    /// Resistance of the primary.
    PrimaryResistance,
    /// Resistance of the high-voltage winding, both halves alike.
    SecondaryResistance,
    /// What else hangs on the transformer.
    Auxiliary,
    /// The rectifier: how much it carries at equal drop (a vacuum tube), or its drop (mercury vapour).
    Rectifier,
    /// Resistor in each plate lead of the rectifier.
    RectifierResistor,
    /// One unit of the capacitor at the rectifier.
    InputCapacitor,
    /// The series resistor of a section.
    SectionResistor(u8),
    /// The choke of a section: its inductance.
    ChokeInductance(u8),
    /// The choke of a section: its resistance.
    ChokeResistance(u8),
    /// One unit of the capacitor of a section.
    SectionCapacitor(u8),
    /// The bleeder.
    Bleeder,
    /// Fixed current from the bus.
    InternalCurrent,
    /// The pass tubes: plate current at equal volts.
    PassTube,
    /// The pass tubes: amplification factor. It has no field of its own in the file.
    PassAmplification,
    /// Resistor in each cathode of the pass tubes.
    CathodeResistor,
    /// Resistor in each plate of the pass tubes.
    PlateResistor,
    /// The control tube: plate current at equal volts.
    ControlTube,
    /// Its plate load.
    PlateLoad,
    /// The sense divider, all of it alike.
    Divider,
    /// Resistor that feeds a gas reference.
    ReferenceFeed(Side),
    /// Running volts of a gas tube of a reference.
    ReferenceTube(Side, u8),
    /// Volts of the negative rail's own winding, or of its tap.
    RailWinding,
    /// Resistance of that winding.
    RailWindingResistance,
    /// One unit of the negative rail's first capacitor.
    RailCapacitor,
    /// The meter shunt.
    MeterShunt,
}

impl Field {
    /// All that a supply has, in the order of the signal path; what is zero has no spread.
    pub fn all_of(supply: &Supply) -> Vec<Self> {
        let mut all = vec![
            Self::Mains,
            Self::Winding,
            Self::PrimaryResistance,
            Self::SecondaryResistance,
            Self::Auxiliary,
            Self::Rectifier,
            Self::RectifierResistor,
            Self::InputCapacitor,
        ];
        for section in (0..=u8::MAX).take(supply.filter.sections.len()) {
            all.extend([
                Self::SectionResistor(section),
                Self::ChokeInductance(section),
                Self::ChokeResistance(section),
                Self::SectionCapacitor(section),
            ]);
        }
        all.extend([
            Self::Bleeder,
            Self::InternalCurrent,
            Self::PassTube,
            Self::PassAmplification,
            Self::CathodeResistor,
            Self::PlateResistor,
            Self::ControlTube,
            Self::PlateLoad,
            Self::Divider,
        ]);
        for side in [Side::Positive, Side::Negative] {
            if side == Side::Negative {
                all.extend([
                    Self::RailWinding,
                    Self::RailWindingResistance,
                    Self::RailCapacitor,
                ]);
            }
            all.push(Self::ReferenceFeed(side));
            let reference = supply
                .regulator
                .as_ref()
                .and_then(|r| r.gas_reference(side));
            let tubes = reference.map_or(0, |reference| reference.tubes.len());
            all.extend(
                (0..=u8::MAX)
                    .take(tubes)
                    .map(|tube| Self::ReferenceTube(side, tube)),
            );
        }
        all.push(Self::MeterShunt);
        // One copy, for reading goes by the way of writing.
        let mut copy = supply.clone();
        all.retain(|field| field.size_in(&mut copy).is_some());
        all
    }

    /// The stage that it belongs to.
    pub fn stage(self) -> Stage {
        match self {
            Self::Mains => Stage::Mains,
            Self::Winding
            | Self::PrimaryResistance
            | Self::SecondaryResistance
            | Self::Auxiliary => Stage::Transformer,
            Self::Rectifier | Self::RectifierResistor => Stage::Rectifier,
            Self::InputCapacitor
            | Self::SectionResistor(_)
            | Self::ChokeInductance(_)
            | Self::ChokeResistance(_)
            | Self::SectionCapacitor(_)
            | Self::Bleeder
            | Self::InternalCurrent => Stage::Filter,
            Self::PassTube
            | Self::PassAmplification
            | Self::CathodeResistor
            | Self::PlateResistor => Stage::PassStage,
            Self::ControlTube
            | Self::PlateLoad
            | Self::Divider
            | Self::ReferenceFeed(_)
            | Self::ReferenceTube(..)
            | Self::RailWinding
            | Self::RailWindingResistance
            | Self::RailCapacitor => Stage::Regulator,
            Self::MeterShunt => Stage::Output,
        }
    }

    /// Where it stands in the file; `None` where it has no field of its own there.
    pub fn path(self) -> Option<String> {
        let of_reference = |side: Side| match side {
            Side::Positive => "regulator.reference",
            Side::Negative => "regulator.bias_rail.reference",
        };
        let fixed = match self {
            Self::Mains => "mains.present",
            Self::Winding => "transformer.winding",
            Self::PrimaryResistance => "transformer.primary_resistance",
            Self::SecondaryResistance => "transformer.secondary_resistance",
            Self::Auxiliary => "transformer.auxiliary",
            Self::Rectifier => "rectifier.kind",
            Self::RectifierResistor => "rectifier.plate_resistor",
            Self::InputCapacitor => "filter.input_capacitor.unit",
            Self::SectionResistor(k) => return Some(format!("filter.sections[{k}].series")),
            Self::ChokeInductance(k) => {
                return Some(format!("filter.sections[{k}].series.inductance"));
            }
            Self::ChokeResistance(k) => {
                return Some(format!("filter.sections[{k}].series.resistance"));
            }
            Self::SectionCapacitor(k) => {
                return Some(format!("filter.sections[{k}].capacitor.unit"));
            }
            Self::Bleeder => "filter.bleeder",
            Self::InternalCurrent => "filter.internal_current",
            Self::PassTube => "pass_stage.tube",
            Self::PassAmplification => return None,
            Self::CathodeResistor => "pass_stage.cathode_resistor",
            Self::PlateResistor => "pass_stage.plate_resistor",
            Self::ControlTube => "regulator.control_tube",
            Self::PlateLoad => "regulator.plate_load",
            Self::Divider => "regulator.divider.resistance",
            Self::ReferenceFeed(side) => {
                return Some(format!("{}.feed_resistor", of_reference(side)));
            }
            Self::ReferenceTube(side, k) => {
                return Some(format!("{}.tubes[{k}]", of_reference(side)));
            }
            Self::RailWinding => "regulator.bias_rail.winding",
            Self::RailWindingResistance => "regulator.bias_rail.winding_resistance",
            Self::RailCapacitor => "regulator.bias_rail.filter.input_capacitor.unit",
            Self::MeterShunt => "output.meter_shunt",
        };
        Some(fixed.to_owned())
    }

    /// What the field holds; `None` where the supply has no such field, or nothing in it.
    pub fn size(self, supply: &Supply) -> Option<Measured> {
        self.size_in(&mut supply.clone())
    }

    fn size_in(self, supply: &mut Supply) -> Option<Measured> {
        match self {
            Self::PassTube | Self::PassAmplification => return Some(Measured::ByPerCent),
            Self::ControlTube => return supply.regulator.as_ref().map(|_| Measured::ByPerCent),
            Self::Rectifier => {
                let has_one = !supply.rectifier.kind.is_silicon();
                return has_one.then_some(Measured::ByPerCent);
            }
            _ => {}
        }
        let unit = self.unit();
        let si = match self {
            Self::Winding => supply.transformer.secondary_volts().halves()[0].0,
            Self::Divider => supply.regulator.as_ref()?.divider.resistance.0,
            _ => *self.slot(supply)?,
        };
        (si > 0.0).then_some(Measured::In(Size { si, unit }))
    }

    fn unit(self) -> Unit {
        match self {
            Self::Mains | Self::Winding | Self::RailWinding | Self::ReferenceTube(..) => {
                Unit::Volts
            }
            Self::Auxiliary => Unit::VoltAmps,
            Self::InputCapacitor | Self::SectionCapacitor(_) | Self::RailCapacitor => Unit::Farads,
            Self::ChokeInductance(_) => Unit::Henries,
            Self::InternalCurrent => Unit::Amps,
            _ => Unit::Ohms,
        }
    }

    /// Where the number stands of a field that is one number and nothing else.
    fn slot(self, supply: &mut Supply) -> Option<&mut f64> {
        let filter = &mut supply.filter;
        match self {
            Self::Mains => Some(&mut supply.mains.present.0),
            Self::PrimaryResistance => Some(&mut supply.transformer.primary_resistance.0),
            Self::SecondaryResistance => Some(&mut supply.transformer.secondary_resistance.0),
            Self::Auxiliary => Some(&mut supply.transformer.auxiliary.0),
            Self::RectifierResistor => Some(&mut supply.rectifier.plate_resistor.0),
            Self::InputCapacitor => Some(&mut filter.input_capacitor.as_mut()?.unit.0),
            Self::SectionResistor(k) => {
                match &mut filter.sections.get_mut(usize::from(k))?.series {
                    SeriesElement::Resistor(ohms) => Some(&mut ohms.0),
                    SeriesElement::Choke { .. } => None,
                }
            }
            Self::ChokeInductance(k) => {
                match &mut filter.sections.get_mut(usize::from(k))?.series {
                    SeriesElement::Choke { inductance, .. } => Some(&mut inductance.0),
                    SeriesElement::Resistor(_) => None,
                }
            }
            Self::ChokeResistance(k) => {
                match &mut filter.sections.get_mut(usize::from(k))?.series {
                    SeriesElement::Choke { resistance, .. } => Some(&mut resistance.0),
                    SeriesElement::Resistor(_) => None,
                }
            }
            Self::SectionCapacitor(k) => {
                Some(&mut filter.sections.get_mut(usize::from(k))?.capacitor.unit.0)
            }
            Self::Bleeder => Some(&mut filter.bleeder.as_mut()?.0),
            Self::InternalCurrent => Some(&mut filter.internal_current.0),
            Self::CathodeResistor => Some(&mut supply.pass_stage.cathode_resistor.0),
            Self::PlateResistor => Some(&mut supply.pass_stage.plate_resistor.0),
            Self::PlateLoad => Some(&mut supply.regulator.as_mut()?.plate_load.0),
            Self::ReferenceFeed(side) => {
                Some(&mut reference(&mut supply.regulator, side)?.feed_resistor.0)
            }
            Self::ReferenceTube(side, k) => {
                let tube = reference(&mut supply.regulator, side)?
                    .tubes
                    .get_mut(usize::from(k))?;
                Some(&mut tube.volts.value.0)
            }
            Self::RailWinding => {
                match &mut supply.regulator.as_mut()?.bias_rail.as_mut()?.winding {
                    RailWinding::Own(Volts(volts)) | RailWinding::HighVoltageTap(Volts(volts)) => {
                        Some(volts)
                    }
                    RailWinding::HighVoltageEnd => None,
                }
            }
            Self::RailWindingResistance => {
                let rail = supply.regulator.as_mut()?.bias_rail.as_mut()?;
                Some(&mut rail.winding_resistance.as_mut()?.0)
            }
            Self::RailCapacitor => {
                let rail = supply.regulator.as_mut()?.bias_rail.as_mut()?;
                Some(&mut rail.filter.input_capacitor.as_mut()?.unit.0)
            }
            Self::MeterShunt => Some(&mut supply.output.meter_shunt.0),
            Self::Winding
            | Self::Rectifier
            | Self::PassTube
            | Self::PassAmplification
            | Self::ControlTube
            | Self::Divider => None,
        }
    }

    /// Makes a field so many times what it is; false for a tube by its type, whose law only the physics knows. A mercury-vapour
    /// rectifier is its drop.
    pub fn scale(self, supply: &mut Supply, factor: f64) -> bool {
        let scaled = |volts: SecondaryVolts| volts.with(volts, |volts, _| volts * factor);
        match self {
            Self::Winding => match &mut supply.transformer.winding {
                WindingVolts::OpenCircuit(volts) | WindingVolts::Loaded { volts, .. } => {
                    *volts = scaled(*volts);
                }
            },
            Self::SecondaryResistance => {
                let transformer = &mut supply.transformer;
                transformer.secondary_resistance.0 *= factor;
                if let Some(second) = &mut transformer.second_half_resistance {
                    second.0 *= factor;
                }
            }
            Self::Divider => {
                if let Some(regulator) = &mut supply.regulator {
                    let mut whole = regulator.divider.resistance;
                    whole.0 *= factor;
                    regulator.divider.scale_to(whole);
                }
            }
            Self::Rectifier => match &mut supply.rectifier.kind.law {
                RectifierLaw::MercuryVapour { drop } => drop.value.0 *= factor,
                RectifierLaw::Vacuum { .. } | RectifierLaw::Silicon { .. } => return false,
            },
            Self::PassTube | Self::PassAmplification | Self::ControlTube => return false,
            _ => {
                if let Some(number) = self.slot(supply) {
                    *number *= factor;
                }
            }
        }
        true
    }
}

/// A gas reference, to change.
fn reference(regulator: &mut Option<Regulator>, side: Side) -> Option<&mut GasReference> {
    let regulator = regulator.as_mut()?;
    match side {
        Side::Positive => regulator.reference.as_mut(),
        Side::Negative => regulator.bias_rail.as_mut()?.reference.as_mut(),
    }
}
