//! The regulator around the pass tubes: control tube, sense divider, gas references and the negative bias rail.
//!
//! Potentials are counted from the output's negative terminal, the *common*. The control tube's plate holds the pass
//! grids; its plate load goes to the bus or to a clean rail; its cathode and the foot of the sense divider sit on taps.

use crate::parts::control_tube::ControlTubeType;
use crate::parts::copper::Copper;
use crate::parts::filter::Filter;
use crate::parts::gas_tube::GasTubeType;
use crate::parts::quantity::{Amps, Ohms, Volts};
use crate::parts::rating::Rating;
use crate::parts::rectifier::Rectifier;

/// A potential on which something in the regulator sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tap {
    /// The output's negative terminal.
    Common,
    /// The top of the positive reference: all its tubes above the common.
    Reference,
    /// The negative rail's reference, so many of its tubes below the common (1 is the first).
    BiasReference(u8),
    /// The negative rail itself, as its filter gives it.
    BiasRail,
}

/// Where the control tube's plate load goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PlateSupply {
    /// To the bus: the pass grids then get a part of its ripple.
    Bus,
    /// To a smooth rail of its own, so many volts above the output's positive terminal.
    Clean(Volts),
}

/// From where a gas reference is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferenceFeed {
    /// The bus.
    Bus,
    /// The output's positive terminal.
    Output,
    /// The negative rail.
    BiasRail,
}

/// Which gas reference of a regulator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The positive one.
    Positive,
    /// That of the negative rail.
    Negative,
}

/// A resistor across one gas tube of several in series: while that tube is dark it brings the volts to the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasShunt {
    /// Which tube it is across: 1 is the one at the common.
    pub across: u8,
    /// Its resistance.
    pub resistance: Ohms,
}

/// Gas tubes in series behind a feed resistor.
#[derive(Debug, Clone, PartialEq)]
pub struct GasReference {
    /// The tubes, the one at the common first; at least one.
    pub tubes: Vec<GasTubeType>,
    /// Resistor between the feed and the tubes.
    pub feed_resistor: Ohms,
    /// Where the resistor comes from.
    pub fed_from: ReferenceFeed,
    /// Current that others take from the end of the stack, so that the tubes do not carry it; the control tube and
    /// the divider are counted apart.
    pub drawn: Amps,
    /// Resistors across single tubes, empty where there are none; `None` means not known. They matter to the start of two and more
    /// tubes, and take current from the tubes for good.
    pub shunts: Option<Vec<GasShunt>>,
}

impl GasReference {
    /// The resistor across a tube, 1 being the one at the common, if it is known to be there.
    pub fn shunt(&self, across: usize) -> Option<Ohms> {
        let mut known = self.shunts.iter().flatten();
        let found = known.find(|shunt| usize::from(shunt.across) == across);
        found.map(|shunt| shunt.resistance)
    }

    /// Takes the last tube away, the one farthest from the common, and the resistor across it.
    pub fn remove_last_tube(&mut self) -> Option<GasTubeType> {
        let last = self.tubes.pop()?;
        let left = self.tubes.len();
        if let Some(shunts) = &mut self.shunts {
            shunts.retain(|shunt| usize::from(shunt.across) <= left);
        }
        Some(last)
    }
}

/// From which winding a negative rail is fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RailWinding {
    /// One of its own with so many volts: rms, open circuit, at rated primary volts; of each half with a centre tap.
    Own(Volts),
    /// The end of the high-voltage winding: of its first half, from the centre tap at the common.
    HighVoltageEnd,
    /// A tap on that half, so many volts from its end at the common: rms, under the same conditions as the winding's own volts.
    HighVoltageTap(Volts),
}

impl RailWinding {
    /// Volts of a winding of its own.
    pub fn own(self) -> Option<Volts> {
        match self {
            Self::Own(volts) => Some(volts),
            Self::HighVoltageEnd | Self::HighVoltageTap(_) => None,
        }
    }
}

/// A negative supply on the same transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct BiasRail {
    /// What feeds it.
    pub winding: RailWinding,
    /// Resistance of that winding (of each half), or from the common to the tap. `None`, on the high-voltage winding alone, is its share
    /// of the half's by turns.
    pub winding_resistance: Option<Ohms>,
    /// How that was measured.
    pub winding_measured: Copper,
    /// Highest rms current of a winding of its own (of each half); `None` means not known, and on the high-voltage winding that the
    /// rating of that one counts.
    pub winding_rating: Option<Rating<Amps>>,
    /// Its rectifier.
    pub rectifier: Rectifier,
    /// Its filter, as if it were a positive supply.
    pub filter: Filter,
    /// Current that others take from it, apart from its gas reference.
    pub load: Amps,
    /// Gas tubes across it, if it has them.
    pub reference: Option<GasReference>,
}

/// To what a heater winding is tied.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeaterTie {
    /// The output's negative terminal.
    Common,
    /// The tube's own cathode (for pass tubes: the output's positive terminal; for a rectifier where its cathode stands).
    Cathode,
    /// So many volts above the common; negative for below.
    Elevated(Volts),
}

/// The sense divider part by part, from the output down: a fixed resistor, the pot, another fixed resistor, the zero adjuster.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SenseControl {
    /// Fixed resistor between the output's positive terminal and the pot.
    pub upper: Ohms,
    /// The pot from end to end; its wiper goes to the control tube's grid.
    pub pot: Ohms,
    /// Fixed resistor between the pot and the zero adjuster or the foot.
    pub lower: Ohms,
    /// Variable resistor at the foot from end to end, by which the lowest output is set, if fitted.
    pub zero_adjuster: Option<Ohms>,
}

impl SenseControl {
    /// The whole divider, the zero adjuster in its middle.
    pub fn whole(&self) -> Ohms {
        let middle = 0.5 * self.zero_adjuster.map_or(0.0, |ohms| ohms.0);
        Ohms(self.upper.0 + self.pot.0 + self.lower.0 + middle)
    }
}

/// The divider by which the control tube's grid senses the output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Divider {
    /// Its whole resistance, from the output's positive terminal to its foot.
    pub resistance: Ohms,
    /// What its foot is tied to.
    pub foot: Tap,
    /// The same part by part, where it is described so; then `resistance` is its [`SenseControl::whole`].
    pub control: Option<SenseControl>,
}

impl Divider {
    /// Another whole resistance, all parts changed in proportion.
    pub fn scale_to(&mut self, resistance: Ohms) {
        let ratio = resistance.0 / self.resistance.0;
        self.resistance = resistance;
        if let Some(control) = &mut self.control {
            let all = [&mut control.upper, &mut control.pot, &mut control.lower];
            for ohms in all.into_iter().chain(&mut control.zero_adjuster) {
                ohms.0 *= ratio;
            }
        }
    }
}

/// From where the divider of the control tube's screen comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScreenFeed {
    /// The bus.
    Bus,
    /// The clean rail of the plate load.
    CleanRail,
    /// The output's positive terminal.
    Output,
    /// The top of the positive reference.
    Reference,
    /// The output's negative terminal, for a foot below it.
    Common,
}

/// Two resistors that give the control tube's screen its volts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScreenDivider {
    /// Where the upper resistor comes from.
    pub fed_from: ScreenFeed,
    /// The resistor from there to the screen.
    pub upper: Ohms,
    /// The resistor from the screen to the foot.
    pub lower: Ohms,
    /// What the lower resistor's other end is tied to.
    pub foot: Tap,
}

/// The regulator as wired.
#[derive(Debug, Clone, PartialEq)]
pub struct Regulator {
    /// The control tube (one section of it).
    pub control_tube: ControlTubeType,
    /// Resistor from its plate to its plate supply.
    pub plate_load: Ohms,
    /// Where that resistor goes.
    pub plate_supply: PlateSupply,
    /// Screen volts above its cathode; `None` for a triode, with a divider, or not known.
    pub screen_volts: Option<Volts>,
    /// The divider from which its screen is fed, if its volts are to follow from that.
    pub screen_divider: Option<ScreenDivider>,
    /// Where its cathode sits.
    pub cathode: Tap,
    /// Least plate–cathode volts to which it can pull its plate; `None`: a triode's follow from its law, a
    /// pentode's are not known.
    pub least_plate_volts: Option<Volts>,
    /// The sense divider.
    pub divider: Divider,
    /// Resistor across the output inside the supply, if fitted.
    pub preload: Option<Ohms>,
    /// Its heater winding; `None` means not known.
    pub heater: Option<HeaterTie>,
    /// Positive reference, if fitted.
    pub reference: Option<GasReference>,
    /// Negative rail, if fitted.
    pub bias_rail: Option<BiasRail>,
}

impl Regulator {
    /// The gas reference of a side, if it is there.
    pub fn gas_reference(&self, side: Side) -> Option<&GasReference> {
        match side {
            Side::Positive => self.reference.as_ref(),
            Side::Negative => self.bias_rail.as_ref()?.reference.as_ref(),
        }
    }
}
