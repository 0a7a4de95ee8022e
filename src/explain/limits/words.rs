//! All that is said about each limit: a row a limit.
//!
//! To add a limit: its row in the file of its part below, and its line in [`words`]. What a row does not name it has from the row
//! that it starts from. Where it needs a new word of the trade: `explain/glossary/terms.rs`.

mod control_tube;
pub(super) mod filter;
mod output;
mod pass_tubes;
mod rail;
mod rectifier;
mod references;
mod regulator;

pub(in crate::explain) use regulator::grid_circuit;

use crate::bench::working::Working;
use crate::explain::{accepted, number, sentence_case};
use crate::parts::{Side, Supply};
use crate::physics::envelope::Point;
use crate::physics::limit::{Judged, Limit, OfRail, Whose, published};

/// All that is said about one limit.
pub(in crate::explain) struct Words {
    /// Short name for a label or a list.
    pub name: Text,
    /// The allowed value and the part it belongs to, where both are known.
    pub part: fn(Subject<'_>) -> Option<String>,
    /// Why a point is allowed, or why not.
    pub sentence: fn(&Said<'_>) -> String,
    /// The formula with the numbers put in.
    pub formula: fn(&Said<'_>, &Working) -> String,
    /// What is said where its rating is not known.
    pub not_known: NotKnown,
    /// What follows "without" where its rating is not known.
    pub rating: &'static str,
    /// The word of the glossary under which it is explained.
    pub term: &'static str,
    /// What a change breaks or mends: `the rectifier's rating`.
    pub owner: &'static str,
    /// What to change where it is exceeded with nothing on the terminals.
    pub to_change: Text,
    /// The verdict where it is exceeded.
    pub outside: Outside,
    /// How a change of it is told.
    pub change: Change,
    /// False for what is the same at any mains.
    pub moved_by_mains: bool,
    /// What is said where nothing that was tried moves it.
    pub unmoved: &'static str,
}

/// A text that is the same for every supply, or has the names of its parts in it.
#[derive(Clone, Copy)]
pub(in crate::explain) enum Text {
    Fixed(&'static str),
    Of(fn(Subject<'_>) -> String),
}

impl Text {
    pub(in crate::explain) fn of(self, subject: Subject<'_>) -> String {
        match self {
            Self::Fixed(text) => text.to_owned(),
            Self::Of(say) => say(subject),
        }
    }
}

/// What is said where a rating is not known.
#[derive(Clone, Copy)]
pub(in crate::explain) enum NotKnown {
    /// What is missing, as it follows "without".
    Needs,
    /// What to read, of which part, and where.
    Read {
        what: &'static str,
        of: Text,
        place: &'static str,
    },
    /// A sentence of its own.
    Sentence(&'static str),
}

/// What is to be read in a data sheet.
const fn sheet(what: &'static str, of: Text) -> NotKnown {
    let place = "in the maker's data sheet";
    NotKnown::Read { what, of, place }
}

/// The verdict where a limit is exceeded.
#[derive(Clone, Copy)]
pub(in crate::explain) enum Outside {
    /// Its name and how much of it is used.
    Share,
    /// Where the point is; so many per cent of it would say nothing to anyone.
    Point(&'static str),
    /// What is the matter; a share of what must not fall short runs to infinity.
    Matter(&'static str),
}

/// How a change of a limit is told.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(in crate::explain) enum Change {
    /// By what is used of what is allowed.
    Use,
    /// By that, and by the output current at which all of it is used.
    UseAndCurrent,
    /// By what is allowed alone, for the point stays where it is.
    Allowed,
    /// By the valley of the bus against what the point needs.
    Valley,
}

/// The row that others start from: a rating at a point.
const BASE: Words = Words {
    name: Text::Fixed(""),
    part: |of| of.allowed(""),
    sentence: |_| String::new(),
    formula: |said, _| said.without_steps(),
    not_known: NotKnown::Needs,
    rating: "what it is judged by",
    term: "",
    owner: "",
    to_change: Text::Fixed(""),
    outside: Outside::Share,
    change: Change::Use,
    moved_by_mains: true,
    unmoved: "None of the changes tried affects it",
};

/// The row of a limit.
pub(in crate::explain) fn words(limit: Limit) -> &'static Words {
    match limit {
        Limit::WindingRms => &rectifier::WINDING_RMS,
        Limit::RectifierDc => &rectifier::DC,
        Limit::RectifierPeak => &rectifier::PEAK,
        Limit::RectifierPeakInverse => &rectifier::PEAK_INVERSE,
        Limit::RectifierInverseLoaded => &rectifier::PEAK_INVERSE_LOADED,
        Limit::RectifierHeaterCathode => &rectifier::HEATER_CATHODE,
        Limit::Rail(OfRail::WindingRms) => &rail::WINDING_RMS,
        Limit::Rail(OfRail::RectifierDc) => &rail::RECTIFIER_DC,
        Limit::Rail(OfRail::RectifierPeak) => &rail::RECTIFIER_PEAK,
        Limit::Rail(OfRail::PeakInverse) => &rail::PEAK_INVERSE,
        Limit::Rail(OfRail::HeaterCathode) => &rail::HEATER_CATHODE,
        Limit::Rail(OfRail::CapacitorVolts(_)) => &rail::CAPACITOR_VOLTS,
        Limit::Rail(OfRail::CapacitorSurge(_)) => &rail::CAPACITOR_SURGE,
        Limit::SupplyResistance => &rectifier::SUPPLY_RESISTANCE,
        Limit::FirstCapacitor => &rectifier::FIRST_CAPACITOR,
        Limit::CapacitorVolts(_) => &filter::CAPACITOR_VOLTS,
        Limit::CapacitorSurge(_) => &filter::CAPACITOR_SURGE,
        Limit::CapacitorRipple(_) => &filter::CAPACITOR_RIPPLE,
        Limit::ChokeCurrent(_) => &filter::CHOKE_CURRENT,
        Limit::PlateVolts => &pass_tubes::PLATE_VOLTS,
        Limit::PlateCurrent => &pass_tubes::PLATE_CURRENT,
        Limit::PlateDissipation => &pass_tubes::PLATE_DISSIPATION,
        Limit::ScreenDissipation => &pass_tubes::SCREEN_DISSIPATION,
        Limit::EnvelopeDissipation => &pass_tubes::ENVELOPE_DISSIPATION,
        Limit::HeaterCathode => &pass_tubes::HEATER_CATHODE,
        Limit::HeaterAboveCathode => &pass_tubes::HEATER_ABOVE_CATHODE,
        Limit::Dropout => &pass_tubes::DROPOUT,
        Limit::GridFloor => &regulator::GRID_FLOOR,
        Limit::ControlGridCeiling => &regulator::CONTROL_GRID_CEILING,
        Limit::GridResistor(Whose::Pass) => &regulator::PASS_GRID_RESISTOR,
        Limit::GridResistor(Whose::Control) => &regulator::CONTROL_GRID_RESISTOR,
        Limit::ReferenceStrike(Side::Positive) => &references::STRIKE,
        Limit::ReferenceLeast(Side::Positive) => &references::LEAST,
        Limit::ReferenceMost(Side::Positive) => &references::MOST,
        Limit::ReferenceStrike(Side::Negative) => &references::RAIL_STRIKE,
        Limit::ReferenceLeast(Side::Negative) => &references::RAIL_LEAST,
        Limit::ReferenceMost(Side::Negative) => &references::RAIL_MOST,
        Limit::ControlPlateVolts => &control_tube::PLATE_VOLTS,
        Limit::ControlPlateDissipation => &control_tube::PLATE_DISSIPATION,
        Limit::ControlScreenVolts => &control_tube::SCREEN_VOLTS,
        Limit::ControlScreenDissipation => &control_tube::SCREEN_DISSIPATION,
        Limit::ControlHeaterCathode => &control_tube::HEATER_CATHODE,
        Limit::SetRangeLow => &output::SET_RANGE_LOW,
        Limit::SetRangeHigh => &output::SET_RANGE_HIGH,
    }
}

/// A limit of a supply, about which something is said.
#[derive(Clone, Copy)]
pub(in crate::explain) struct Subject<'a> {
    pub limit: Limit,
    pub supply: &'a Supply,
}

impl<'a> Subject<'a> {
    /// The allowed value, and whose it is: `13 W, worst 6080 section`; `None` if it is not known.
    fn allowed(self, whose: &str) -> Option<String> {
        let rated = published(self.limit, self.supply).ok()?;
        let value = number::measured(rated.value, self.limit.measure());
        let value = match accepted::mark(self.limit, self.supply) {
            Some(mark) => format!("{value}, {mark}"),
            None => value,
        };
        Some(match whose {
            "" => value,
            whose => format!("{value}, {whose}"),
        })
    }

    fn on_control_tube(self, what: &str) -> Option<String> {
        let regulator = self.supply.regulator.as_ref()?;
        Some(format!("{} {what}", regulator.control_tube.name))
    }

    /// Which capacitor or choke it is of, from 0.
    fn n(self) -> u8 {
        self.limit.number()
    }

    fn pass_tube(self) -> &'a str {
        &self.supply.pass_stage.tube.name
    }

    fn control_tube(self) -> &'a str {
        let regulator = self.supply.regulator.as_ref();
        regulator.map_or("control tube", |r| r.control_tube.name.as_str())
    }
}

/// A limit that was judged at a point, with its numbers as text.
pub(in crate::explain) struct Said<'a> {
    subject: Subject<'a>,
    supply: &'a Supply,
    judged: &'a Judged,
    /// Output current of the point (A).
    amps: f64,
    /// Output volts of the point (V).
    volts: f64,
    actual: String,
    allowed: String,
}

impl<'a> Said<'a> {
    pub(in crate::explain) fn of(subject: Subject<'a>, judged: &'a Judged, point: &Point) -> Self {
        Self {
            subject,
            supply: subject.supply,
            judged,
            amps: point.amps,
            volts: point.volts,
            actual: number::measured(judged.actual, judged.measure),
            allowed: number::measured(judged.allowed, judged.measure),
        }
    }

    fn is_over(&self) -> bool {
        self.judged.ratio > 1.0
    }

    /// "does" for what may be done, "would" for what must not.
    fn say(&self, does: &'static str, would: &'static str) -> &'static str {
        if self.is_over() { would } else { does }
    }

    /// `The worst 6080 section burns 8 W; it may burn 13 W`, with more said about the actual value.
    fn may(&self, verb: &str, who: Text, more: &str) -> String {
        let who = sentence_case(&who.of(self.subject));
        let does = match verb {
            _ if self.is_over() => format!("would {verb}"),
            "have" => "has".to_owned(),
            "carry" => "carries".to_owned(),
            _ => format!("{verb}s"),
        };
        let (actual, allowed) = (&self.actual, &self.allowed);
        format!("{who} {does} {actual}{more}; it may {verb} {allowed}")
    }

    /// The place in the plane: `200 V and 100 mA`.
    fn place(&self) -> String {
        let (volts, amps) = (number::volts(self.volts), number::amps(self.amps));
        format!("{volts} and {amps}")
    }

    fn mains(&self) -> String {
        number::volts(self.judged.mains_volts)
    }

    /// `462 V × 44 mA = 15 W; allowed 13 W`, or without its steps where they are not known.
    fn equals(&self, steps: impl Into<Option<String>>) -> String {
        let end = self.without_steps();
        steps
            .into()
            .map_or(end.clone(), |steps| format!("{steps} = {end}"))
    }

    fn without_steps(&self) -> String {
        let least = if self.subject.limit.is_least() {
            "at least"
        } else {
            "allowed"
        };
        format!("{}; {least} {}", self.actual, self.allowed)
    }
}
