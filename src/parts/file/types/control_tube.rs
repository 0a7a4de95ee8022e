//! How the currents of a control tube are written: as a triode's, or as a pentode's operating points.

use serde::{Deserialize, Serialize};

use crate::parts::control_tube::{ControlTubeKind, PentodePoint};
use crate::parts::file::figure::{SourceForm, Sources};
use crate::parts::file::types::characteristic::CharacteristicForm;
use crate::parts::quantity::{Amps, Ohms, Siemens, Volts};

/// What is known of a control tube's currents, as written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum KindForm {
    Triode(CharacteristicForm),
    Pentode {
        operating_points: Vec<PentodePointForm>,
        #[serde(skip_serializing_if = "Option::is_none")]
        screen_mu: Option<f64>,
    },
}

/// An operating point: either the tube's own volts (`plate`, `screen`, `grid`), or as makers print a self-biased
/// one: the *supply* volts of plate and screen and the cathode resistor, which carries both currents.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    rename = "operating_point",
    try_from = "PentodePointText",
    into = "PentodePointText"
)]
pub(super) struct PentodePointForm {
    plate: Volts,
    screen: Volts,
    grid: Volts,
    plate_current: Amps,
    screen_current: Amps,
    plate_resistance: Option<Ohms>,
    transconductance: Siemens,
    source: Option<SourceForm>,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename = "operating_point", deny_unknown_fields)]
struct PentodePointText {
    #[serde(skip_serializing_if = "Option::is_none")]
    plate: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    screen: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    grid: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    supply: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    screen_supply: Option<Volts>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cathode_resistor: Option<Ohms>,
    plate_current: Amps,
    screen_current: Amps,
    #[serde(skip_serializing_if = "Option::is_none")]
    plate_resistance: Option<Ohms>,
    transconductance: Siemens,
    #[serde(skip_serializing_if = "Option::is_none")]
    source: Option<SourceForm>,
}

impl TryFrom<PentodePointText> for PentodePointForm {
    type Error = &'static str;

    fn try_from(text: PentodePointText) -> Result<Self, Self::Error> {
        let own = (text.plate, text.screen, text.grid);
        let fed = (text.supply, text.screen_supply, text.cathode_resistor);
        let (plate, screen, grid) = match (own, fed) {
            ((Some(plate), Some(screen), Some(grid)), (None, None, None)) => (plate, screen, grid),
            ((None, None, None), (Some(supply), Some(screen_supply), Some(resistor))) => {
                let bias = resistor.0 * (text.plate_current.0 + text.screen_current.0);
                (
                    Volts(supply.0 - bias),
                    Volts(screen_supply.0 - bias),
                    Volts(-bias),
                )
            }
            _ => {
                return Err(
                    "found another set of fields, expected plate, screen and grid, or supply, screen_supply and cathode_resistor",
                );
            }
        };
        Ok(Self {
            plate,
            screen,
            grid,
            plate_current: text.plate_current,
            screen_current: text.screen_current,
            plate_resistance: text.plate_resistance,
            transconductance: text.transconductance,
            source: text.source,
        })
    }
}

impl From<PentodePointForm> for PentodePointText {
    fn from(form: PentodePointForm) -> Self {
        Self {
            plate: Some(form.plate),
            screen: Some(form.screen),
            grid: Some(form.grid),
            supply: None,
            screen_supply: None,
            cathode_resistor: None,
            plate_current: form.plate_current,
            screen_current: form.screen_current,
            plate_resistance: form.plate_resistance,
            transconductance: form.transconductance,
            source: form.source,
        }
    }
}

impl PentodePointForm {
    fn of(point: &PentodePoint) -> Self {
        Self {
            plate: point.plate,
            screen: point.screen,
            grid: point.grid,
            plate_current: point.plate_current,
            screen_current: point.screen_current,
            plate_resistance: point.plate_resistance,
            transconductance: point.transconductance,
            source: SourceForm::of(&point.source),
        }
    }

    fn read(&self, sources: &Sources) -> PentodePoint {
        PentodePoint {
            plate: self.plate,
            screen: self.screen,
            grid: self.grid,
            plate_current: self.plate_current,
            screen_current: self.screen_current,
            plate_resistance: self.plate_resistance,
            transconductance: self.transconductance,
            source: SourceForm::read(self.source.as_ref(), sources),
        }
    }
}

impl KindForm {
    pub(super) fn of(kind: &ControlTubeKind) -> Self {
        match kind {
            ControlTubeKind::Triode(characteristic) => {
                Self::Triode(CharacteristicForm::of(characteristic))
            }
            ControlTubeKind::Pentode {
                operating_points,
                screen_mu,
            } => Self::Pentode {
                operating_points: operating_points.iter().map(PentodePointForm::of).collect(),
                screen_mu: *screen_mu,
            },
        }
    }

    pub(super) fn read(&self, sources: &Sources) -> ControlTubeKind {
        match self {
            Self::Triode(characteristic) => ControlTubeKind::Triode(characteristic.read(sources)),
            Self::Pentode {
                operating_points,
                screen_mu,
            } => ControlTubeKind::Pentode {
                operating_points: operating_points.iter().map(|p| p.read(sources)).collect(),
                screen_mu: *screen_mu,
            },
        }
    }
}
