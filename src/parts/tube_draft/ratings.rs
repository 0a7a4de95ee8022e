//! Heater and ratings while they are typed: each with its system, or in that of the whole sheet.

use serde::{Deserialize, Serialize};

use crate::parts::control_tube::ControlTubeType;
use crate::parts::pass_stage::PassTubeType;
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Rating, RatingSystem, Source};
use crate::parts::rectifier::Heater;
use crate::parts::tube_draft::copy::shown;
use crate::parts::tube_draft::reading::Reader;
use crate::parts::tube_ratings::TubeRatings;

/// A rating as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct RatingText {
    /// The number with its unit; empty means not known.
    pub text: String,
    /// How it is meant; `None` means as the sheet has it.
    pub system: Option<RatingSystem>,
}

/// The texts of heater and ratings. An empty text means: not known.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct RatingTexts {
    /// The system of the ratings that do not say theirs.
    pub system: RatingSystem,
    /// Heater volts.
    pub heater_volts: String,
    /// Heater current.
    pub heater_amps: String,
    /// Highest plate dissipation.
    pub plate_dissipation: RatingText,
    /// Highest dissipation of a whole envelope; a pass tube only.
    pub envelope_dissipation: RatingText,
    /// Highest screen dissipation.
    pub screen_dissipation: RatingText,
    /// Highest plate volts.
    pub plate_volts: RatingText,
    /// Highest plate current; a pass tube only.
    pub plate_current: RatingText,
    /// Highest screen volts; a control tube only.
    pub screen_volts: RatingText,
    /// Highest heater–cathode volts.
    pub heater_cathode: RatingText,
    /// Largest grid-circuit resistance.
    pub grid_resistor: RatingText,
}

impl RatingTexts {
    /// The texts of a pass tube.
    pub(super) fn of_pass_tube(tube: &PassTubeType) -> Self {
        let texts = Self::of(&tube.ratings);
        let usual = texts.system;
        Self {
            envelope_dissipation: RatingText::of(tube.envelope_dissipation.as_ref(), usual),
            plate_current: RatingText::of(tube.plate_current.as_ref(), usual),
            ..texts
        }
    }

    /// The texts of a control tube.
    pub(super) fn of_control_tube(tube: &ControlTubeType) -> Self {
        let texts = Self::of(&tube.ratings);
        Self {
            screen_volts: RatingText::of(tube.screen_volts.as_ref(), texts.system),
            ..texts
        }
    }

    fn of(ratings: &TubeRatings) -> Self {
        let usual = ratings
            .plate_dissipation
            .as_ref()
            .map_or_else(RatingSystem::default, |r| r.system);
        let heater = ratings.heater.as_ref();
        Self {
            system: usual,
            heater_volts: shown(heater.map(|h| h.volts)),
            heater_amps: shown(heater.map(|h| h.amps)),
            plate_dissipation: RatingText::of(ratings.plate_dissipation.as_ref(), usual),
            screen_dissipation: RatingText::of(ratings.screen_dissipation.as_ref(), usual),
            plate_volts: RatingText::of(ratings.plate_volts.as_ref(), usual),
            heater_cathode: RatingText::of(ratings.heater_cathode.as_ref(), usual),
            grid_resistor: RatingText::of(ratings.grid_resistor.as_ref(), usual),
            ..Self::default()
        }
    }

    /// What every tube is rated by; what is still as in `old` keeps its source.
    pub(super) fn read(&self, reader: &mut Reader<'_>, old: Option<&TubeRatings>) -> TubeRatings {
        let none = TubeRatings::default();
        let old = old.unwrap_or(&none);
        TubeRatings {
            plate_dissipation: self.rating(
                reader,
                "Dissipation",
                &self.plate_dissipation,
                old.plate_dissipation.as_ref(),
            ),
            screen_dissipation: self.rating(
                reader,
                "Screen dissipation",
                &self.screen_dissipation,
                old.screen_dissipation.as_ref(),
            ),
            plate_volts: self.rating(
                reader,
                "Highest plate volts",
                &self.plate_volts,
                old.plate_volts.as_ref(),
            ),
            heater_cathode: self.rating(
                reader,
                "Heater–cathode",
                &self.heater_cathode,
                old.heater_cathode.as_ref(),
            ),
            grid_resistor: self.rating(
                reader,
                "Grid resistor",
                &self.grid_resistor,
                old.grid_resistor.as_ref(),
            ),
            heater: self.heater(reader, old.heater.as_ref()),
        }
    }

    /// Volts and current belong together: one without the other is at fault.
    fn heater(&self, reader: &mut Reader<'_>, old: Option<&Heater>) -> Option<Heater> {
        if self.heater_volts.trim().is_empty() && self.heater_amps.trim().is_empty() {
            return None;
        }
        let volts = reader.needed("Heater volts", &self.heater_volts);
        let amps = reader.needed("Heater current", &self.heater_amps);
        let (volts, amps) = (volts?, amps?);
        let same = old.filter(|old| old.volts == volts && old.amps == amps);
        Some(same.cloned().unwrap_or(Heater {
            filament: false,
            volts,
            amps,
            source: Source::default(),
        }))
    }

    /// Reads a rating: the old one with its source where number and system are still the same.
    pub(super) fn rating<Q: Quantity>(
        &self,
        reader: &mut Reader<'_>,
        field: &str,
        typed: &RatingText,
        old: Option<&Rating<Q>>,
    ) -> Option<Rating<Q>> {
        let value: Q = reader.optional(field, &typed.text)?;
        let system = typed.system.unwrap_or(self.system);
        let same = old.filter(|old| old.value == value && old.system == system);
        Some(same.cloned().unwrap_or_else(|| Rating::own(value, system)))
    }
}

impl RatingText {
    fn of<Q: Quantity>(rating: Option<&Rating<Q>>, usual: RatingSystem) -> Self {
        Self {
            text: shown(rating.map(|r| r.value)),
            system: rating.map(|r| r.system).filter(|own| *own != usual),
        }
    }
}
