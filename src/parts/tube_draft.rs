//! A type of tube while it is being typed: texts as they stand in the fields, and what they come to.
//!
//! Unlike the supply a draft may be wrong or half done, and it is kept as it is; so it is a record of texts, and its
//! own notation. [`TubeDraft::read`] says what is known so far and which field is at fault.

mod copy;
mod examples;
mod own_type;
mod ratings;
mod reading;

use serde::{Deserialize, Serialize};

use crate::parts::control_tube::ControlTubeKind;
use crate::parts::pass_stage::PlateCharacteristic;

pub use ratings::{RatingText, RatingTexts};

/// What the tube is for: the list in which its type is to stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Purpose {
    /// Among the pass tubes.
    #[default]
    Pass,
    /// Among the control tubes.
    Control,
}

/// What is known of the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum SheetData {
    /// Points of the plate family.
    #[default]
    Points,
    /// One operating point with µ, rp, gm.
    OnePoint,
    /// The zero-bias curve alone.
    ZeroBias,
    /// One operating point of a pentode; a control tube only.
    Pentode,
}

/// The texts of the fields. An empty text means: not known.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default, rename = "tube_draft")]
pub struct TubeDraft {
    /// Where the type is to stand.
    #[serde(rename = "place")]
    pub purpose: Purpose,
    /// Which of the fields count.
    pub known: SheetData,
    /// The type that was copied; what has no field here and every unchanged source come from it.
    pub copy_of: String,
    /// Type designation.
    pub name: String,
    /// A few words.
    pub about: String,
    /// Units (sections) in one envelope.
    pub units: String,
    /// A beam tube or pentode with its screen tied to the plate; a pass tube only.
    pub triode_connected: bool,
    /// Share of both currents that its screen takes then.
    pub screen_share: String,
    /// Points of the plate family, one a line.
    pub points: String,
    /// The zero-bias curve, one point a line.
    pub zero_bias: String,
    /// Plate volts of the operating point.
    pub plate: String,
    /// Grid volts of the operating point.
    pub grid: String,
    /// Plate current of the operating point.
    pub current: String,
    /// Amplification factor.
    pub mu: String,
    /// Plate resistance.
    pub plate_resistance: String,
    /// Transconductance.
    pub transconductance: String,
    /// Screen volts of a pentode.
    pub screen: String,
    /// Screen current of a pentode.
    pub screen_current: String,
    /// Amplification factor from control grid to screen.
    pub screen_mu: String,
    /// Points of a pentode at and below its knee, at the screen volts of the operating point, one a line.
    pub knee: String,
    /// Heater and ratings.
    pub ratings: RatingTexts,
}

/// What keeps a draft from being a type.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DraftFault {
    /// The field, by the name it bears in the window.
    pub field: String,
    /// The line in it, counted from 1.
    pub line: Option<usize>,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

impl DraftFault {
    /// True where a field that is needed was left empty.
    pub fn is_empty_field(&self) -> bool {
        self.found == NOTHING
    }
}

/// What stands in an empty field.
const NOTHING: &str = "nothing";

/// What is known of the tube's currents, with the line on which each point stands.
#[derive(Debug, Clone, PartialEq)]
pub enum DraftCurrents {
    /// A triode's.
    Triode {
        /// What is known.
        characteristic: PlateCharacteristic,
        /// The line of each point (counted from 1); empty where they are not written in lines.
        lines: Vec<usize>,
    },
    /// A pentode's.
    Pentode(ControlTubeKind),
}

impl TubeDraft {
    /// An empty draft.
    pub fn new(purpose: Purpose) -> Self {
        Self {
            purpose,
            units: "1".to_owned(),
            ..Self::default()
        }
    }

    /// True if nothing was typed.
    pub fn is_empty(&self) -> bool {
        let bare = Self {
            known: self.known,
            ..Self::new(self.purpose)
        };
        *self == bare
    }
}
