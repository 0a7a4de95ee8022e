//! A draft that begins as a copy of a type.

use crate::parts::control_tube::{ControlTubeKind, ControlTubeType, KneePoint};
use crate::parts::pass_stage::{PassTubeType, PlateCharacteristic, PlatePoint};
use crate::parts::point_lines;
use crate::parts::quantity::Quantity;
use crate::parts::tube_draft::{Purpose, RatingTexts, SheetData, TubeDraft};

impl TubeDraft {
    /// A copy of a pass tube, under a name of its own.
    pub fn of_pass_tube(tube: &PassTubeType) -> Self {
        let mut draft = Self {
            copy_of: tube.name.clone(),
            name: own_name(&tube.name),
            about: tube.about.clone(),
            units: tube.units.to_string(),
            triode_connected: tube.triode_connected,
            screen_share: shown(tube.screen_share.as_ref().map(|f| f.value)),
            ratings: RatingTexts::of_pass_tube(tube),
            ..Self::new(Purpose::Pass)
        };
        draft.take_characteristic(&tube.characteristic);
        draft
    }

    /// A copy of a control tube, under a name of its own.
    pub fn of_control_tube(tube: &ControlTubeType) -> Self {
        let mut draft = Self {
            copy_of: tube.name.clone(),
            name: own_name(&tube.name),
            about: tube.about.clone(),
            units: tube.units.to_string(),
            ratings: RatingTexts::of_control_tube(tube),
            ..Self::new(Purpose::Control)
        };
        match &tube.kind {
            ControlTubeKind::Triode(known) => draft.take_characteristic(known),
            ControlTubeKind::Pentode {
                operating_points,
                screen_mu,
                knee,
            } => {
                draft.known = SheetData::Pentode;
                if let Some(point) = operating_points.last() {
                    draft.plate = point.plate.to_string();
                    draft.screen = point.screen.to_string();
                    draft.grid = point.grid.to_string();
                    draft.current = point.plate_current.to_string();
                    draft.screen_current = point.screen_current.to_string();
                    draft.plate_resistance = shown(point.plate_resistance);
                    draft.transconductance = point.transconductance.to_string();
                    let here = knee.iter().filter(|k| k.screen == point.screen);
                    let here: Vec<PlatePoint> = here.map(KneePoint::on_its_curve).collect();
                    draft.knee = point_lines::write_plate_points(&here);
                }
                draft.screen_mu = screen_mu.map(|mu| mu.to_string()).unwrap_or_default();
            }
        }
        draft
    }

    fn take_characteristic(&mut self, known: &PlateCharacteristic) {
        match known {
            PlateCharacteristic::Published {
                points,
                small_signal,
            } => {
                if let Some(figures) = small_signal.first() {
                    self.plate = figures.plate.to_string();
                    self.grid = figures.grid.to_string();
                    self.mu = figures.mu.map(|mu| mu.to_string()).unwrap_or_default();
                    self.plate_resistance = shown(figures.plate_resistance);
                    self.transconductance = shown(figures.transconductance);
                }
                if let [point] = points.as_slice() {
                    self.known = SheetData::OnePoint;
                    self.plate = point.plate.to_string();
                    self.grid = point.grid.to_string();
                    self.current = point.current.to_string();
                }
                self.points = point_lines::write_plate_points(points);
            }
            PlateCharacteristic::ZeroBias(table) => {
                self.known = SheetData::ZeroBias;
                self.zero_bias = point_lines::write_zero_bias(table);
            }
            // Coefficients have no points to edit: the fields start empty.
            PlateCharacteristic::Law(_) => {}
        }
    }
}

/// A name that does not replace the type that was copied.
fn own_name(name: &str) -> String {
    if name.ends_with("(own)") {
        name.to_owned()
    } else {
        format!("{name} (own)")
    }
}

pub(super) fn shown<Q: Quantity>(value: Option<Q>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
}
