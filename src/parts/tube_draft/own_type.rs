//! From a draft to a finished type: names, ratings and sources that are still those of the type that was copied.

use crate::parts::check;
use crate::parts::control_tube::{ControlTubeKind, ControlTubeType, KneePoint, PentodePoint};
use crate::parts::own_catalogue::OwnType;
use crate::parts::pass_stage::{PassTubeType, PlateCharacteristic};
use crate::parts::quantity::{Fraction, Volts};
use crate::parts::rating::Figure;
use crate::parts::tube_draft::reading::Reader;
use crate::parts::tube_draft::{DraftCurrents, DraftFault, Purpose, TubeDraft};

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
        let mut reader = Reader::of(self);
        if self.name.trim().is_empty() {
            let example = self.example("Name").unwrap_or_default();
            reader.add("Name", "", format!("a type designation such as {example}"));
        }
        let units = self.units.trim().parse::<u8>().ok().filter(|n| *n > 0);
        if units.is_none() {
            reader.add("Sections", &self.units, "a whole number from 1 to 12");
        }
        let currents = self
            .read()
            .map_err(|faults| reader.faults.extend(faults))
            .ok()
            .map(without_idle);
        let lines = match &currents {
            Some(DraftCurrents::Triode { lines, .. }) => lines.clone(),
            _ => Vec::new(),
        };
        let own = match (self.purpose, units, currents) {
            (Purpose::Pass, Some(units), Some(DraftCurrents::Triode { characteristic, .. })) => {
                let tube = self.pass_tube(&mut reader, pass, units, characteristic);
                let problems = check::pass_tube_type(&tube);
                Some((OwnType::Pass(tube), problems))
            }
            (Purpose::Pass, Some(_), Some(DraftCurrents::Pentode(_))) => {
                reader.add(
                    "Known",
                    "a pentode",
                    "a triode: a pass tube's screen is tied to its plate",
                );
                None
            }
            (Purpose::Control, Some(units), Some(currents)) => {
                let kind = match currents {
                    DraftCurrents::Triode { characteristic, .. } => {
                        ControlTubeKind::Triode(characteristic)
                    }
                    DraftCurrents::Pentode(kind) => kind,
                };
                let tube = self.control_tube(&mut reader, control, units, kind);
                let problems = check::control_tube_type(&tube);
                Some((OwnType::Control(tube), problems))
            }
            _ => None,
        };
        let Some((own, problems)) = own else {
            return Err(reader.faults);
        };
        for problem in problems {
            let (field, line) = in_window(&problem.field, &lines);
            reader.faults.push(DraftFault {
                field: field.to_owned(),
                line,
                found: problem.found,
                expected: problem.expected,
            });
        }
        if reader.faults.is_empty() {
            Ok(own)
        } else {
            Err(reader.faults)
        }
    }

    fn pass_tube(
        &self,
        reader: &mut Reader<'_>,
        base: Option<&PassTubeType>,
        units: u8,
        mut characteristic: PlateCharacteristic,
    ) -> PassTubeType {
        if let Some(base) = base {
            keep_sources(&mut characteristic, &base.characteristic);
        }
        let texts = &self.ratings;
        // A chart goes with the plate volts that it begins at.
        let of_base = |of: &PassTubeType| of.ratings.plate_volts.as_ref().map(|r| r.value);
        let ratings = texts.read(reader, base.map(|b| &b.ratings));
        let same_volts =
            |b: &&PassTubeType| of_base(b) == ratings.plate_volts.as_ref().map(|r| r.value);
        let chart = base
            .filter(same_volts)
            .and_then(|b| b.plate_volts_by_watts.clone());
        PassTubeType {
            plate_volts_by_watts: chart,
            name: self.name.trim().to_owned(),
            about: self.about.trim().to_owned(),
            units,
            triode_connected: self.triode_connected,
            screen_share: self
                .read_screen_share(reader, base.and_then(|b| b.screen_share.as_ref())),
            characteristic,
            ratings,
            envelope_dissipation: texts.rating(
                reader,
                "Whole bulb",
                &texts.envelope_dissipation,
                base.and_then(|b| b.envelope_dissipation.as_ref()),
            ),
            plate_current: texts.rating(
                reader,
                "Highest current",
                &texts.plate_current,
                base.and_then(|b| b.plate_current.as_ref()),
            ),
        }
    }

    /// Counts only while the screen is tied to the plate; the old one with its source where the number is still the same.
    fn read_screen_share(
        &self,
        reader: &mut Reader<'_>,
        old: Option<&Figure<Fraction>>,
    ) -> Option<Figure<Fraction>> {
        if !self.triode_connected {
            return None;
        }
        let share = reader.optional("Screen share", &self.screen_share)?;
        let same = old.filter(|old| old.value == share);
        Some(same.cloned().unwrap_or_else(|| Figure::own(share)))
    }

    fn control_tube(
        &self,
        reader: &mut Reader<'_>,
        base: Option<&ControlTubeType>,
        units: u8,
        mut kind: ControlTubeKind,
    ) -> ControlTubeType {
        match (&mut kind, base.map(|b| &b.kind)) {
            (ControlTubeKind::Triode(known), Some(ControlTubeKind::Triode(old))) => {
                keep_sources(known, old);
            }
            (
                ControlTubeKind::Pentode {
                    operating_points,
                    knee,
                    ..
                },
                Some(ControlTubeKind::Pentode {
                    operating_points: old,
                    knee: old_knee,
                    ..
                }),
            ) => {
                keep_operating_points(operating_points, old);
                let screen = operating_points.last().map(|p| p.screen);
                keep_knee(knee, old_knee, screen);
            }
            _ => {}
        }
        let texts = &self.ratings;
        ControlTubeType {
            name: self.name.trim().to_owned(),
            about: self.about.trim().to_owned(),
            units,
            kind,
            ratings: texts.read(reader, base.map(|b| &b.ratings)),
            screen_volts: texts.rating(
                reader,
                "Highest screen volts",
                &texts.screen_volts,
                base.and_then(|b| b.screen_volts.as_ref()),
            ),
        }
    }
}

/// Points without current say where a curve ends; a type keeps those that conduct.
pub(super) fn without_idle(mut currents: DraftCurrents) -> DraftCurrents {
    if let DraftCurrents::Triode {
        characteristic: PlateCharacteristic::Published { points, .. },
        lines,
    } = &mut currents
    {
        let conducts: Vec<bool> = points.iter().map(|p| p.current.0 != 0.0).collect();
        let mut keep = conducts.iter();
        points.retain(|_| keep.next() != Some(&false));
        let mut keep = conducts.iter();
        lines.retain(|_| keep.next() != Some(&false));
    }
    currents
}

/// The field of a type as it is called in the window, with the line of a point.
pub(super) fn in_window<'f>(field: &'f str, lines: &[usize]) -> (&'f str, Option<usize>) {
    let name = field.rsplit('.').next().unwrap_or(field);
    if field.contains("knee[") {
        return ("Knee", None);
    }
    if let Some((_, place)) = field.split_once("points[") {
        let place = place
            .split(']')
            .next()
            .and_then(|n| n.parse::<usize>().ok());
        if let Some(line) = place.and_then(|place| lines.get(place)) {
            return ("Points", Some(*line));
        }
    }
    let called = match name {
        "name" => "Name",
        "units" => "Sections",
        "volts" => "Heater volts",
        "amps" => "Heater current",
        "plate_dissipation" => "Dissipation",
        "envelope_dissipation" => "Whole bulb",
        "screen_dissipation" => "Screen dissipation",
        "screen_share" => "Screen share",
        "plate_volts" => "Highest plate volts",
        "plate_current" if field == name => "Highest current",
        "screen_volts" => "Highest screen volts",
        "heater_cathode" => "Heater–cathode",
        "grid_resistor" => "Grid resistor",
        "plate" => "Plate volts",
        "grid" => "Grid volts",
        "current" | "plate_current" => "Plate current",
        "screen" => "Screen volts",
        "screen_current" => "Screen current",
        "screen_mu" => "Screen µ",
        "mu" => "µ",
        "plate_resistance" => "Plate resistance",
        "transconductance" => "Transconductance",
        "characteristic" | "kind" => "Zero-bias curve",
        "points" => "Points",
        _ => field,
    };
    (called, None)
}

/// A pentode whose one shown operating point is as it was keeps its source, and the other points with it.
fn keep_operating_points(new: &mut Vec<PentodePoint>, old: &[PentodePoint]) {
    let same = |a: &PentodePoint, b: &PentodePoint| {
        let bare = PentodePoint {
            source: a.source.clone(),
            ..b.clone()
        };
        *a == bare
    };
    if let ([point], Some(last)) = (new.as_slice(), old.last())
        && same(point, last)
    {
        *new = old.to_vec();
    }
}

/// Points of the knee that are still as they were keep their source; those at other screen volts than the shown ones stay.
fn keep_knee(new: &mut Vec<KneePoint>, old: &[KneePoint], screen: Option<Volts>) {
    for point in &mut *new {
        let same = |old: &&KneePoint| {
            let (a, b) = (old.on_its_curve(), point.on_its_curve());
            old.screen == point.screen
                && (a.plate, a.grid, a.current) == (b.plate, b.grid, b.current)
        };
        if let Some(same) = old.iter().find(same) {
            point.source = same.source.clone();
        }
    }
    let elsewhere = old.iter().filter(|old| Some(old.screen) != screen);
    new.extend(elsewhere.cloned());
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
    let mut unchanged = points.len() == old_points.len();
    for point in points {
        let same = old_points.iter().find(|old| {
            (old.plate, old.grid, old.current) == (point.plate, point.grid, point.current)
        });
        match same {
            Some(same) => point.source = same.source.clone(),
            None => unchanged = false,
        }
    }
    for figures in &mut *small_signal {
        let same = old_figures.iter().find(|old| {
            (old.mu, old.plate_resistance, old.transconductance)
                == (
                    figures.mu,
                    figures.plate_resistance,
                    figures.transconductance,
                )
                && (old.plate, old.grid) == (figures.plate, figures.grid)
        });
        match same {
            Some(same) => figures.source = same.source.clone(),
            None => unchanged = false,
        }
    }
    // Only the first set of figures has fields; the others belong to points and figures that are still the same.
    if unchanged && small_signal.len() == old_figures.len().min(1) {
        small_signal.extend(old_figures.iter().skip(1).cloned());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::Catalogue;
    use crate::parts::quantity::{Amps, Watts};
    use crate::parts::rating::{Rating, RatingSystem};
    use crate::parts::tube_draft::{RatingText, RatingTexts, SheetData};

    fn typed(text: &str) -> RatingText {
        RatingText {
            text: text.to_owned(),
            system: None,
        }
    }

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
            assert_eq!(&own, tube);
        }
        for tube in &catalogue.control_tubes {
            let own = TubeDraft::of_control_tube(tube).own_type(None, Some(tube));
            let Ok(OwnType::Control(mut own)) = own else {
                panic!("{}: {own:?}", tube.name);
            };
            own.name.clone_from(&tube.name);
            assert_eq!(&own, tube);
        }
    }

    #[test]
    fn a_pentodes_knee_is_typed_in_lines_and_kept_by_a_copy() {
        let catalogue = Catalogue::built_in();
        let plain = catalogue.control_tube("6AU6-A").unwrap();
        let mut draft = TubeDraft::of_control_tube(plain);
        draft.knee = "20 V, 0 V, 8 mA".to_owned();
        let Ok(OwnType::Control(mut own)) = draft.own_type(None, Some(plain)) else {
            panic!("a control tube");
        };
        let ControlTubeKind::Pentode {
            operating_points,
            knee,
            ..
        } = &mut own.kind
        else {
            panic!("a pentode");
        };
        let screen = operating_points.last().unwrap().screen;
        let [point] = knee.as_mut_slice() else {
            panic!("{knee:?}");
        };
        assert_eq!(
            (point.plate, point.screen, point.plate_current),
            (Volts(20.0), screen, Amps(8e-3))
        );
        point.source.document = "a sheet".to_owned();
        let elsewhere = KneePoint {
            screen: Volts(0.5 * screen.0),
            ..point.clone()
        };
        knee.push(elsewhere);
        let copy = TubeDraft::of_control_tube(&own);
        assert_eq!(copy.knee, "20 V, 0 V, 8 mA");
        assert_eq!(
            copy.own_type(None, Some(&own)),
            Ok(OwnType::Control(own.clone()))
        );

        draft.knee = "20 V, 0 V, 8 mA\nnonsense".to_owned();
        let faults = draft.own_type(None, Some(plain)).unwrap_err();
        assert_eq!(
            (faults[0].field.as_str(), faults[0].line),
            ("Knee", Some(2))
        );
        draft.knee = "20 V, 0 V, 8 kA".to_owned();
        let faults = draft.own_type(None, Some(plain)).unwrap_err();
        assert_eq!(faults[0].field, "Knee");
    }

    #[test]
    fn every_fault_names_its_field() {
        let draft = TubeDraft {
            points: "250 V, -14 V, 72 mA\nnonsense".to_owned(),
            mu: "eight".to_owned(),
            ratings: RatingTexts {
                plate_dissipation: typed("30 V"),
                ..RatingTexts::default()
            },
            ..TubeDraft::new(Purpose::Pass)
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
        draft.ratings.plate_dissipation = typed("12 W");
        let Ok(OwnType::Pass(own)) = draft.own_type(Some(tube), None) else {
            panic!("a pass tube");
        };
        assert_eq!(
            own.ratings.plate_dissipation,
            Some(Rating::own(Watts(12.0), RatingSystem::DesignCentre))
        );
        assert_eq!(own.ratings.plate_volts, tube.ratings.plate_volts);
    }

    #[test]
    fn a_zero_bias_table_may_be_typed_in_any_order_but_must_rise() {
        let mut draft = TubeDraft {
            known: SheetData::ZeroBias,
            zero_bias: "143 V, 3 mA\n42 V, 1 mA\n97 V, 2 mA".to_owned(),
            ..TubeDraft::new(Purpose::Pass)
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
