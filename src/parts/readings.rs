//! What is done and read at the bench: meters, readings in sets, and the steps of a plan. All of it stands beside the supply and moves no
//! volt of it.

mod text;
mod what;

pub use text::read_value;
pub(in crate::parts) use text::{LOADS, READS};
pub use what::What;

use crate::parts::quantity::{Amps, Ohms, Volts};
use crate::parts::spread::{Size, Spread};

/// What is on the bench for a supply.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bench {
    /// Meters whose accuracy is stated; a reading that names none was taken with a usual hand multimeter.
    pub meters: Vec<Meter>,
    /// The steps of the plan, in order; empty where the suggested one stands.
    pub plan: Vec<Step>,
    /// Readings, a set for each evening.
    pub sets: Vec<ReadingSet>,
}

impl Bench {
    /// True if there is nothing on it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The meter of a reading, where its accuracy is stated.
    pub fn meter_of(&self, reading: &Reading) -> Option<&Meter> {
        self.meters
            .iter()
            .find(|meter| reading.meter.as_ref() == Some(&meter.name))
    }

    /// The set that what is found out goes by: the last that was not taken while the unit was well.
    pub fn latest(&self) -> Option<&ReadingSet> {
        self.sets.iter().rev().find(|set| !set.well)
    }
}

/// A meter and how far it can be trusted.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// What readings call it.
    pub name: String,
    /// `2 % of 300 V` of a panel meter, `0.5 % + 2 digits of 0.1 V` of a multimeter.
    pub accuracy: Spread,
}

/// What is connected to the output.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Connected {
    /// Nothing.
    #[default]
    Nothing,
    /// A resistor.
    Resistor(Ohms),
    /// A load that was set to this current.
    Current(Amps),
}

impl Connected {
    /// What it draws at an output (A).
    pub fn amps_at(self, volts: f64) -> f64 {
        match self {
            Self::Nothing => 0.0,
            Self::Resistor(ohms) => volts / ohms.0,
            Self::Current(amps) => amps.0,
        }
    }
}

/// Readings that were taken together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingSet {
    /// What it is called: "before the repair".
    pub name: String,
    /// The day, as written.
    pub day: String,
    /// It was taken while the unit was well: it counts as knowledge of this unit, not as complaint.
    pub well: bool,
    /// The mains of readings that do not say theirs.
    pub mains: Option<Volts>,
    /// The readings, in the order in which they were taken.
    pub readings: Vec<Reading>,
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Of what.
    pub what: What,
    /// What was connected to the output.
    pub load: Connected,
    /// Output volts to which the knob was set; `None` where it was not noted, or is all the way up.
    pub set: Option<Volts>,
    /// What the meter said, in the unit of what it is.
    pub value: Size,
    /// The meter's name; `None` for a usual hand multimeter.
    pub meter: Option<String>,
    /// The mains at that time; `None` where they were not read.
    pub mains: Option<Volts>,
    /// Time of day, as written.
    pub time: Option<String>,
    /// A note.
    pub note: Option<String>,
}

impl Reading {
    /// A bare reading.
    pub fn of(what: What, value: f64) -> Self {
        Self {
            what,
            load: Connected::Nothing,
            set: None,
            value: Size {
                si: value,
                unit: what.unit(),
            },
            meter: None,
            mains: None,
            time: None,
            note: None,
        }
    }
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What kind of step it is.
    pub phase: Phase,
    /// What is connected to the output.
    pub load: Connected,
    /// Output volts to which the knob is set; `None` where it does not matter, or is all the way up.
    pub set: Option<Volts>,
    /// A note.
    pub note: Option<String>,
}

/// What a step of a plan is for, in the order of an evening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Looking, with the mains plug out.
    ColdInspection,
    /// Insulation, and leaks of the capacitors, on a supply of one's own.
    Leakage,
    /// First volts, on a variac or through a lamp.
    BringUp,
    /// Heaters alone, high voltage off.
    StandBy,
    /// High voltage with nothing connected.
    NoLoad,
    /// A small load.
    LightLoad,
    /// Step by step to the full load.
    Loaded,
    /// Knob all the way up, into a load: where the output falls out.
    KnobUp,
    /// Readings inside, live and hot.
    HotChecks,
    /// The lowest setting and its adjuster.
    ZeroSetting,
    /// Other mains.
    MainsVariation,
    /// Off.
    ShutDown,
    /// Until it is safe to touch.
    Discharge,
}

impl Phase {
    /// All of them, in the order of an evening.
    pub const ALL: [Self; 13] = [
        Self::ColdInspection,
        Self::Leakage,
        Self::BringUp,
        Self::StandBy,
        Self::NoLoad,
        Self::LightLoad,
        Self::Loaded,
        Self::KnobUp,
        Self::HotChecks,
        Self::ZeroSetting,
        Self::MainsVariation,
        Self::ShutDown,
        Self::Discharge,
    ];
}
