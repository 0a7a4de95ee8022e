//! From a draft to a finished type: names, ratings and sources that are still those of the type that was copied.

use crate::parts::check;
use crate::parts::control_tube::{ControlTubeKind, ControlTubeType};
use crate::parts::own_catalogue::OwnType;
use crate::parts::pass_stage::{PassTubeType, PlateCharacteristic};
use crate::parts::quantity::Quantity;
use crate::parts::rating::{Rating, RatingSystem};
use crate::parts::tube_draft::{DraftCurrents, DraftFault, Place, Reader, TubeDraft};

impl Reader {
    /// A rating: the old one with its source where the number is still the same.
    fn rating<Q: Quantity>(
        &mut self,
        field: &str,
        text: &str,
        old: Option<&Rating<Q>>,
        system: RatingSystem,
    ) -> Option<Rating<Q>> {
        let value: Q = self.optional(field, text)?;
        match old {
            Some(old) if old.value == value => Some(old.clone()),
            _ => Some(Rating::own(value, system)),
        }
    }
}

impl TubeDraft {
    /// The type of the draft.
    ///
    /// # Errors
    /// Every field that is at fault.
    pub fn own_type(
        &self,
        pass: Option<&PassTubeType>,
        control: Option<&ControlTubeType>,
    ) -> Result<OwnType, Vec<DraftFault>> {
        let mut reader = Reader::default();
        if self.name.trim().is_empty() {
            reader.add("Name", "", "a type designation such as 6080");
        }
        let units = self.units.trim().parse::<u8>().ok().filter(|n| *n > 0);
        if units.is_none() {
            reader.add("Sections", &self.units, "a whole number from 1 to 12");
        }
        let currents = self
            .read()
            .map_err(|faults| reader.faults.extend(faults))
            .ok();
        let own = match (self.place, units, currents) {
            (Place::Pass, Some(units), Some(DraftCurrents::Triode { characteristic, .. })) => {
                let tube = self.pass_tube(&mut reader, pass, (units, characteristic));
                let problems = check::pass_tube_type(&tube);
                Some((OwnType::Pass(tube), problems))
            }
            (Place::Pass, Some(_), Some(DraftCurrents::Pentode(_))) => {
                reader.add(
                    "Known",
                    "a pentode",
                    "a triode: a pass tube's screen is tied to its plate",
                );
                None
            }
            (Place::Control, Some(units), Some(currents)) => {
                let kind = match currents {
                    DraftCurrents::Triode { characteristic, .. } => {
                        ControlTubeKind::Triode(characteristic)
                    }
                    DraftCurrents::Pentode(kind) => kind,
                };
                let tube = self.control_tube(&mut reader, control, (units, kind));
                let problems = check::control_tube_type(&tube);
                Some((OwnType::Control(tube), problems))
            }
            _ => None,
        };
        let Some((own, problems)) = own else {
            return Err(reader.faults);
        };
        for problem in problems {
            reader.add(&problem.field, &problem.found, problem.expected);
        }
        if reader.faults.is_empty() {
            Ok(own)
        } else {
            Err(reader.faults)
        }
    }

    fn pass_tube(
        &self,
        reader: &mut Reader,
        base: Option<&PassTubeType>,
        (units, mut characteristic): (u8, PlateCharacteristic),
    ) -> PassTubeType {
        if let Some(base) = base {
            keep_sources(&mut characteristic, &base.characteristic);
        }
        let usual = base
            .and_then(|b| b.plate_dissipation.as_ref())
            .map_or(RatingSystem::default(), |r| r.system);
        PassTubeType {
            name: self.name.trim().to_owned(),
            about: self.about.trim().to_owned(),
            units,
            triode_connected: base.is_some_and(|b| b.triode_connected),
            characteristic,
            heater: base.and_then(|b| b.heater.clone()),
            plate_dissipation: reader.rating(
                "Dissipation",
                &self.plate_dissipation,
                base.and_then(|b| b.plate_dissipation.as_ref()),
                usual,
            ),
            envelope_dissipation: base.and_then(|b| b.envelope_dissipation.clone()),
            screen_dissipation: reader.rating(
                "Screen dissipation",
                &self.screen_dissipation,
                base.and_then(|b| b.screen_dissipation.as_ref()),
                usual,
            ),
            plate_volts: reader.rating(
                "Highest plate volts",
                &self.plate_volts,
                base.and_then(|b| b.plate_volts.as_ref()),
                usual,
            ),
            plate_current: reader.rating(
                "Highest current",
                &self.plate_current,
                base.and_then(|b| b.plate_current.as_ref()),
                usual,
            ),
            heater_cathode: reader.rating(
                "Heater–cathode",
                &self.heater_cathode,
                base.and_then(|b| b.heater_cathode.as_ref()),
                usual,
            ),
            grid_resistor: reader.rating(
                "Grid resistor",
                &self.grid_resistor,
                base.and_then(|b| b.grid_resistor.as_ref()),
                usual,
            ),
        }
    }

    fn control_tube(
        &self,
        reader: &mut Reader,
        base: Option<&ControlTubeType>,
        (units, mut kind): (u8, ControlTubeKind),
    ) -> ControlTubeType {
        if let (ControlTubeKind::Triode(known), Some(ControlTubeKind::Triode(old))) =
            (&mut kind, base.map(|b| &b.kind))
        {
            keep_sources(known, old);
        }
        let usual = base
            .and_then(|b| b.plate_dissipation.as_ref())
            .map_or(RatingSystem::default(), |r| r.system);
        ControlTubeType {
            name: self.name.trim().to_owned(),
            about: self.about.trim().to_owned(),
            units,
            kind,
            heater: base.and_then(|b| b.heater.clone()),
            plate_volts: reader.rating(
                "Highest plate volts",
                &self.plate_volts,
                base.and_then(|b| b.plate_volts.as_ref()),
                usual,
            ),
            plate_dissipation: reader.rating(
                "Dissipation",
                &self.plate_dissipation,
                base.and_then(|b| b.plate_dissipation.as_ref()),
                usual,
            ),
            screen_volts: base.and_then(|b| b.screen_volts.clone()),
            screen_dissipation: reader.rating(
                "Screen dissipation",
                &self.screen_dissipation,
                base.and_then(|b| b.screen_dissipation.as_ref()),
                usual,
            ),
            heater_cathode: reader.rating(
                "Heater–cathode",
                &self.heater_cathode,
                base.and_then(|b| b.heater_cathode.as_ref()),
                usual,
            ),
            grid_resistor: reader.rating(
                "Grid resistor",
                &self.grid_resistor,
                base.and_then(|b| b.grid_resistor.as_ref()),
                usual,
            ),
        }
    }
}

/// Points and figures that are still as in the type that was copied keep their source.
fn keep_sources(new: &mut PlateCharacteristic, old: &PlateCharacteristic) {
    let (
        PlateCharacteristic::Published {
            points,
            small_signal,
        },
        PlateCharacteristic::Published {
            points: old_points,
            small_signal: old_figures,
        },
    ) = (new, old)
    else {
        return;
    };
    for point in points {
        let same = old_points.iter().find(|old| {
            (old.plate, old.grid, old.current) == (point.plate, point.grid, point.current)
        });
        if let Some(same) = same {
            point.source = same.source.clone();
        }
    }
    for figures in small_signal {
        let same = old_figures.iter().find(|old| {
            (old.mu, old.plate_resistance, old.transconductance)
                == (
                    figures.mu,
                    figures.plate_resistance,
                    figures.transconductance,
                )
                && (old.plate, old.grid) == (figures.plate, figures.grid)
        });
        if let Some(same) = same {
            figures.source = same.source.clone();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::Catalogue;
    use crate::parts::quantity::{Amps, Volts, Watts};
    use crate::parts::tube_draft::Known;

    #[test]
    fn a_copy_of_a_built_in_tube_is_that_tube_under_another_name() {
        let catalogue = Catalogue::built_in();
        for tube in &catalogue.pass_tubes {
            let draft = TubeDraft::of_pass_tube(tube);
            let own = draft.own_type(Some(tube), None);
            let Ok(OwnType::Pass(mut own)) = own else {
                panic!("{}: {own:?}", tube.name);
            };
            assert_eq!(own.name, format!("{} (own)", tube.name));
            own.name.clone_from(&tube.name);
            if let (
                PlateCharacteristic::Published { small_signal, .. },
                PlateCharacteristic::Published {
                    small_signal: all, ..
                },
            ) = (&mut own.characteristic, &tube.characteristic)
            {
                // Only the first set of figures has fields.
                small_signal.extend(all.iter().skip(1).cloned());
            }
            assert_eq!(&own, tube);
        }
        for tube in &catalogue.control_tubes {
            let own = TubeDraft::of_control_tube(tube).own_type(None, Some(tube));
            assert!(
                matches!(own, Ok(OwnType::Control(_))),
                "{}: {own:?}",
                tube.name
            );
        }
    }

    #[test]
    fn every_fault_names_its_field() {
        let draft = TubeDraft {
            points: "250 V, -14 V, 72 mA\nnonsense".to_owned(),
            mu: "eight".to_owned(),
            plate_dissipation: "30 V".to_owned(),
            ..TubeDraft::new(Place::Pass)
        };
        let faults = draft.own_type(None, None).unwrap_err();
        let fields: Vec<(&str, Option<usize>)> =
            faults.iter().map(|f| (f.field.as_str(), f.line)).collect();
        assert_eq!(fields, [("Name", None), ("Points", Some(2)), ("µ", None)]);
    }

    #[test]
    fn a_changed_rating_is_ones_own() {
        let catalogue = Catalogue::built_in();
        let tube = catalogue.pass_tube("2A3").unwrap();
        let mut draft = TubeDraft::of_pass_tube(tube);
        draft.plate_dissipation = "12 W".to_owned();
        let Ok(OwnType::Pass(own)) = draft.own_type(Some(tube), None) else {
            panic!("a pass tube");
        };
        assert_eq!(
            own.plate_dissipation,
            Some(Rating::own(Watts(12.0), RatingSystem::DesignCentre))
        );
        assert_eq!(own.plate_volts, tube.plate_volts);
    }

    #[test]
    fn a_zero_bias_table_may_be_typed_in_any_order_but_must_rise() {
        let mut draft = TubeDraft {
            known: Known::ZeroBias,
            zero_bias: "143 V, 3 mA\n42 V, 1 mA\n97 V, 2 mA".to_owned(),
            ..TubeDraft::new(Place::Pass)
        };
        let Ok(DraftCurrents::Triode { characteristic, .. }) = draft.read() else {
            panic!("a table");
        };
        assert_eq!(
            characteristic,
            PlateCharacteristic::ZeroBias(vec![
                (Volts(42.0), Amps(1e-3)),
                (Volts(97.0), Amps(2e-3)),
                (Volts(143.0), Amps(3e-3)),
            ])
        );
        draft.zero_bias.push_str("\n200 V, 1 mA");
        assert_eq!(draft.read().unwrap_err()[0].line, Some(4));
    }
}
