//! What may be wrong with a unit: the causes that are known here, how likely each is beforehand, and from where to where it goes.
//!
//! The weights and ranges are this program's own (common practice, no source); they are shown to whoever asks. With equal weights a
//! study of planted faults did no worse.

use crate::bench::expected::Unit;
use crate::parts::regulator::Side;
use crate::parts::spread::Field;
use crate::parts::{Connection, RectifierLaw, SeriesElement, Supply};
use crate::physics::spread::scale_field;

/// Something that may be wrong. Capacitors, sections and so on are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// Nothing beyond tolerances.
    Nothing,
    /// All pass tubes have lost emission.
    PassWeak,
    /// One pass unit has.
    OnePassWeak,
    /// One pass unit is dead.
    OnePassDead,
    /// The pass tubes' amplification factor is that of another kind.
    PassAmplification,
    /// The pass grids do not come up.
    PassGrids,
    /// The rectifier drops more.
    RectifierWeak,
    /// One plate of the rectifier, or its half-winding, is dead.
    DeadPlate,
    /// Resistance in the winding's path.
    WindingPath,
    /// The winding gives less.
    WindingLow,
    /// The winding gives more.
    WindingHigh,
    /// A capacitor has dried out.
    CapacitorDried(u8),
    /// A unit of a capacitor's stack is shorted.
    UnitShorted(u8),
    /// A choke has lost inductance: shorted turns.
    ChokeTurns(u8),
    /// Resistance in a choke's path.
    ChokePath(u8),
    /// A leak at the bus.
    Leak,
    /// The bleeder is open.
    BleederOpen,
    /// The negative rail's winding gives less.
    RailLow,
    /// The negative rail's capacitor has dried out.
    RailDried,
    /// A reference stands low.
    ReferenceLow(Side),
    /// A reference stands high.
    ReferenceHigh(Side),
    /// The control tube has lost emission.
    ControlWeak,
    /// The ammeter by which loads are set is off.
    Ammeter,
    /// The meter is off on direct volts.
    DirectMeter,
    /// The meter is off on alternating volts, and with it the mains that it read.
    AlternatingMeter,
}

/// From where to where a fault goes, in the size that is stated of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Range {
    /// It is there or it is not.
    There,
    /// Anywhere between, as likely here as there.
    Between(f64, f64),
    /// Anywhere in either of two ranges.
    Either([f64; 2], [f64; 2]),
}

/// What a size is, to be said with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SizeOf {
    /// A share of what it should be.
    Share,
    /// A factor of what it should be, above one.
    Factor,
    /// Volts (V).
    Volts,
    /// Amperes (A).
    Amps,
    /// By how much a meter reads high, as a share.
    Error,
}

/// How a fault that was found bears on whoever opens the chassis.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Danger {
    /// No more than the supply always does.
    Usual,
    /// It endangers by itself, and is said before all others.
    OfItsOwn,
}

/// One row of the table of causes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Which.
    pub cause: Cause,
    /// How likely it is beforehand, over the sum of all.
    pub weight: f64,
    /// How large it may be.
    pub range: Range,
    /// In what that is.
    pub size_of: SizeOf,
    /// Whether it is said first.
    pub danger: Danger,
}

/// The causes that a supply can have, with what else is at its bench.
pub fn table(supply: &Supply, loads_by_ammeter: LoadsBy) -> Vec<Row> {
    let mut all = vec![Cause::Nothing, Cause::PassWeak];
    let stage = &supply.pass_stage;
    if stage.units > 1 {
        all.extend([Cause::OnePassWeak, Cause::OnePassDead]);
    }
    all.extend([Cause::PassAmplification, Cause::PassGrids]);
    if matches!(supply.rectifier.kind.law, RectifierLaw::Vacuum { .. }) {
        all.push(Cause::RectifierWeak);
    }
    if supply.rectifier.connection != Connection::HalfWave {
        all.push(Cause::DeadPlate);
    }
    all.extend([Cause::WindingPath, Cause::WindingLow, Cause::WindingHigh]);
    for (k, stack) in (0..=u8::MAX).zip(supply.filter.stacks()) {
        all.push(Cause::CapacitorDried(k));
        if Supply::can_lose_a_unit(stack) {
            all.push(Cause::UnitShorted(k));
        }
    }
    for (k, section) in (0..=u8::MAX).zip(&supply.filter.sections) {
        if matches!(section.series, SeriesElement::Choke { .. }) {
            all.extend([Cause::ChokeTurns(k), Cause::ChokePath(k)]);
        }
    }
    all.push(Cause::Leak);
    if supply.filter.bleeder.is_some() {
        all.push(Cause::BleederOpen);
    }
    let has = |field: Field| field.size(supply).is_some();
    if has(Field::RailWinding) {
        all.push(Cause::RailLow);
    }
    if has(Field::RailCapacitor) {
        all.push(Cause::RailDried);
    }
    for side in [Side::Positive, Side::Negative] {
        if has(Field::ReferenceTube(side, 0)) {
            all.extend([Cause::ReferenceLow(side), Cause::ReferenceHigh(side)]);
        }
    }
    if supply.regulator.is_some() {
        all.push(Cause::ControlWeak);
    }
    if loads_by_ammeter == LoadsBy::Ammeter {
        all.push(Cause::Ammeter);
    }
    all.extend([Cause::DirectMeter, Cause::AlternatingMeter]);
    all.into_iter().map(Cause::row).collect()
}

/// How loads are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LoadsBy {
    /// Some were set by an ammeter.
    Ammeter,
    /// All are resistors.
    Resistor,
}

impl Cause {
    /// Its row of the table.
    pub fn row(self) -> Row {
        use SizeOf::{Amps, Error, Factor, Share, Volts};
        let between = Range::Between;
        let (weight, range, size_of) = match self {
            Self::Nothing => (4.0, Range::There, Share),
            Self::PassWeak => (3.0, between(0.78, 0.25), Share),
            Self::OnePassWeak => (2.0, between(0.55, 0.08), Share),
            Self::OnePassDead | Self::DeadPlate | Self::BleederOpen => (1.0, Range::There, Share),
            Self::PassAmplification => (0.5, between(0.86, 0.64), Share),
            Self::PassGrids => (1.0, between(-3.0, -14.0), Volts),
            Self::RectifierWeak => (2.0, between(1.35, 3.3), Factor),
            Self::WindingPath => (0.7, between(1.5, 6.0), Factor),
            Self::WindingLow => (0.5, between(0.95, 0.82), Share),
            Self::WindingHigh => (0.5, between(1.05, 1.16), Share),
            Self::CapacitorDried(_) => (3.0, between(0.64, 0.08), Share),
            Self::UnitShorted(_) => (0.7, Range::There, Share),
            Self::ChokeTurns(_) => (0.5, between(0.6, 0.17), Share),
            Self::ChokePath(_) => (0.5, between(1.3, 4.5), Factor),
            Self::Leak => (2.0, between(0.003, 0.025), Amps),
            Self::RailLow => (1.0, between(0.92, 0.70), Share),
            Self::RailDried => (1.5, between(0.55, 0.05), Share),
            Self::ReferenceLow(_) => (0.7, between(0.96, 0.88), Share),
            Self::ReferenceHigh(_) => (0.7, between(1.04, 1.12), Share),
            Self::ControlWeak => (1.5, between(0.6, 0.2), Share),
            Self::Ammeter => (1.0, Range::Either([-0.2, -0.06], [0.06, 0.2]), Error),
            Self::DirectMeter => (1.0, Range::Either([-0.06, -0.015], [0.015, 0.06]), Error),
            Self::AlternatingMeter => (0.7, Range::Either([-0.08, -0.02], [0.02, 0.08]), Error),
        };
        let danger = match self {
            Self::UnitShorted(_) | Self::BleederOpen | Self::Leak => Danger::OfItsOwn,
            _ => Danger::Usual,
        };
        Row {
            cause: self,
            weight,
            range,
            size_of,
            danger,
        }
    }

    /// Lines of sizes along which it is looked at, and what single thing each is of: a weak unit may be any of them. Every line is as
    /// likely as the others.
    pub fn lines(self, supply: &Supply, nodes: usize) -> Vec<Line> {
        let units = match self {
            Self::OnePassWeak | Self::OnePassDead => supply.pass_stage.units,
            _ => 1,
        };
        let along = |[from, to]: [f64; 2]| -> Vec<f64> {
            let last = nodes.saturating_sub(1).max(1) as f64;
            (0..nodes)
                .map(|k| from + (to - from) * k as f64 / last)
                .collect()
        };
        let mut lines = Vec::new();
        for unit in 0..units {
            match self.row().range {
                Range::There => lines.push(Line {
                    unit,
                    sizes: vec![0.0],
                }),
                Range::Between(from, to) => lines.push(Line {
                    unit,
                    sizes: along([from, to]),
                }),
                Range::Either(one, other) => lines.extend([one, other].map(|range| Line {
                    unit,
                    sizes: along(range),
                })),
            }
        }
        lines
    }

    /// Puts it into a unit, so large; `which` is the pass unit of a line.
    pub fn put_into(self, unit: &mut Unit, which: u8, size: f64) {
        let supply = &mut unit.supply;
        match self {
            Self::Nothing | Self::DirectMeter => {}
            Self::PassWeak => scale_field(supply, Field::PassTube, size),
            Self::OnePassWeak => set_emission(unit, which, size),
            Self::OnePassDead => set_emission(unit, which, 0.0),
            Self::PassAmplification => scale_field(supply, Field::PassAmplification, size),
            Self::PassGrids => supply.pass_stage.grid_limit.0 = size,
            // The three-halves-power law: so many times the drop is the current to the −3/2.
            Self::RectifierWeak => {
                scale_field(supply, Field::Rectifier, 1.0 / (size * size.sqrt()));
            }
            Self::DeadPlate => supply.as_found.dead_plate = true,
            Self::WindingPath => scale_field(supply, Field::SecondaryResistance, size),
            Self::WindingLow | Self::WindingHigh => scale_field(supply, Field::Winding, size),
            Self::CapacitorDried(k) => {
                if let Some(stack) = supply.filter.stacks_mut().nth(usize::from(k)) {
                    stack.unit.0 *= size;
                }
            }
            Self::UnitShorted(k) => {
                let shorted = &mut supply.as_found.shorted_units;
                if shorted.len() <= usize::from(k) {
                    shorted.resize(usize::from(k) + 1, 0);
                }
                if let Some(count) = shorted.get_mut(usize::from(k)) {
                    *count += 1;
                }
            }
            Self::ChokeTurns(k) => scale_field(supply, Field::ChokeInductance(k), size),
            Self::ChokePath(k) => scale_field(supply, Field::ChokeResistance(k), size),
            Self::Leak => unit.leak_amps += size,
            Self::BleederOpen => supply.filter.bleeder = None,
            Self::RailLow => scale_field(supply, Field::RailWinding, size),
            Self::RailDried => scale_field(supply, Field::RailCapacitor, size),
            Self::ReferenceLow(side) | Self::ReferenceHigh(side) => {
                for tube in 0..=u8::MAX {
                    let field = Field::ReferenceTube(side, tube);
                    if field.size(supply).is_none() {
                        break;
                    }
                    scale_field(supply, field, size);
                }
            }
            Self::ControlWeak => scale_field(supply, Field::ControlTube, size),
            // One that reads high makes less flow than it says.
            Self::Ammeter => unit.ammeter /= 1.0 + size,
            Self::AlternatingMeter => scale_field(supply, Field::Mains, 1.0 / (1.0 + size)),
        }
    }

    /// Fields whose own spread it stands in place of: what was found of a value is that of the unit, its tolerance included.
    pub fn replaces(self, supply: &Supply) -> Vec<Field> {
        let one = match self {
            Self::PassWeak => Field::PassTube,
            Self::PassAmplification => Field::PassAmplification,
            Self::RectifierWeak => Field::Rectifier,
            Self::WindingPath => Field::SecondaryResistance,
            Self::WindingLow | Self::WindingHigh => Field::Winding,
            Self::CapacitorDried(k) => {
                let has_input = supply.filter.input_capacitor.is_some();
                match k.checked_sub(u8::from(has_input)) {
                    Some(section) => Field::SectionCapacitor(section),
                    None => Field::InputCapacitor,
                }
            }
            Self::ChokeTurns(k) => Field::ChokeInductance(k),
            Self::ChokePath(k) => Field::ChokeResistance(k),
            Self::RailLow => Field::RailWinding,
            Self::RailDried => Field::RailCapacitor,
            Self::ControlWeak => Field::ControlTube,
            Self::ReferenceLow(side) | Self::ReferenceHigh(side) => {
                let tubes = (0..=u8::MAX).map(|tube| Field::ReferenceTube(side, tube));
                return tubes
                    .take_while(|tube| tube.size(supply).is_some())
                    .collect();
            }
            _ => return Vec::new(),
        };
        vec![one]
    }

    /// What a meter's error does to a reading by itself: what it is multiplied by.
    pub fn on_meters(self, alternating: Alternating, size: f64) -> f64 {
        match (self, alternating) {
            (Self::DirectMeter, Alternating::No) | (Self::AlternatingMeter, Alternating::Yes) => {
                1.0 + size
            }
            _ => 1.0,
        }
    }
}

/// On which volts a reading was taken with a multimeter; neither is meant of ohms, farads, and of a scope.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Alternating {
    /// Direct volts.
    No,
    /// Alternating volts.
    Yes,
    /// With something else.
    Neither,
}

/// Sizes of a fault along which it is looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Which pass unit it is of, where that matters.
    pub unit: u8,
    /// The sizes.
    pub sizes: Vec<f64>,
}

fn set_emission(unit: &mut Unit, which: u8, share: f64) {
    if let Some(emission) = unit.emission.get_mut(usize::from(which)) {
        *emission *= share;
    }
}
