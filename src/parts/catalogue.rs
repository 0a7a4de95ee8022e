//! The types that a part can be: built-in ones from `assets/catalogue`, and the user's own.
//!
//! A catalogue text holds short names of documents and up to four lists: `(format: 1, sources: {"short": "long"},
//! rectifiers: [ … ], pass_tubes: [ … ], control_tubes: [ … ], gas_tubes: [ … ])`. How an entry is written is
//! explained at the top of the built-in files.

use std::sync::OnceLock;

use ron::value::RawValue;
use serde::{Deserialize, Serialize};

use crate::parts::check::{self, Problem};
use crate::parts::file::figure::Sources;
use crate::parts::file::place::{Places, join};
use crate::parts::file::types::{ControlTubeForm, GasTubeForm, PassTubeForm, RectifierForm};
use crate::parts::file::{self, Extract, FileError};
use crate::parts::{ControlTubeType, GasTubeType, PassTubeType, RectifierType};

/// Known types.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Catalogue {
    /// Rectifiers, in the order of the files.
    pub rectifiers: Vec<RectifierType>,
    /// Pass tubes, in the order of the files.
    pub pass_tubes: Vec<PassTubeType>,
    /// Control tubes, in the order of the files.
    pub control_tubes: Vec<ControlTubeType>,
    /// Gas tubes, in the order of the files.
    pub gas_tubes: Vec<GasTubeType>,
}

/// The built-in catalogue: file name and text.
pub const BUILT_IN_FILES: [(&str, &str); 4] = [
    (
        "rectifiers.ron",
        include_str!("../../assets/catalogue/rectifiers.ron"),
    ),
    (
        "pass_tubes.ron",
        include_str!("../../assets/catalogue/pass_tubes.ron"),
    ),
    (
        "control_tubes.ron",
        include_str!("../../assets/catalogue/control_tubes.ron"),
    ),
    (
        "gas_tubes.ron",
        include_str!("../../assets/catalogue/gas_tubes.ron"),
    ),
];

/// The invented supplies that come with the program: file name and text, the demo first.
pub fn presets() -> &'static [(&'static str, &'static str)] {
    &[
        (
            "school-laboratory.ron",
            include_str!("../../presets/school-laboratory.ron"),
        ),
        (
            "choke-input.ron",
            include_str!("../../presets/choke-input.ron"),
        ),
        (
            "silicon-bridge.ron",
            include_str!("../../presets/silicon-bridge.ron"),
        ),
        (
            "small-fixed-range.ron",
            include_str!("../../presets/small-fixed-range.ron"),
        ),
        ("half-wave.ron", include_str!("../../presets/half-wave.ron")),
    ]
}

/// A catalogue text, its entries still unread: one that is wrong must not take the others with it.
#[derive(Deserialize)]
#[serde(rename = "catalogue", deny_unknown_fields)]
struct CatalogueForm {
    #[expect(dead_code, reason = "judged before the text is read")]
    format: u32,
    #[serde(default)]
    sources: Sources,
    #[serde(default)]
    rectifiers: Vec<Box<RawValue>>,
    #[serde(default)]
    pass_tubes: Vec<Box<RawValue>>,
    #[serde(default)]
    control_tubes: Vec<Box<RawValue>>,
    #[serde(default)]
    gas_tubes: Vec<Box<RawValue>>,
}

/// The same as it is written.
#[derive(Serialize)]
#[serde(rename = "catalogue")]
struct WrittenCatalogue {
    format: u32,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    rectifiers: Vec<RectifierForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pass_tubes: Vec<PassTubeForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    control_tubes: Vec<ControlTubeForm>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    gas_tubes: Vec<GasTubeForm>,
}

impl Catalogue {
    /// The built-in types.
    pub fn built_in() -> Self {
        static BUILT_IN: OnceLock<Catalogue> = OnceLock::new();
        BUILT_IN
            .get_or_init(|| {
                let mut catalogue = Self::default();
                for (_, text) in BUILT_IN_FILES {
                    // A test asserts that there are none.
                    let _faults = catalogue.add(text);
                }
                catalogue
            })
            .clone()
    }

    /// Adds the types of a text in the same format as the built-in files; types of the same name are replaced.
    /// Every entry that can be read is added; what cannot is returned.
    pub fn add(&mut self, text: &str) -> Vec<FileError> {
        let places = Places::of(text);
        let form: Result<CatalogueForm, FileError> = file::refuse_newer(&places).and_then(|()| {
            file::parse(&Extract {
                text,
                places: &places,
                at: "",
            })
        });
        let form = match form {
            Ok(form) => form,
            Err(fault) => return vec![fault],
        };
        let reading = Reading {
            places: &places,
            sources: &form.sources,
        };
        let mut faults = Vec::new();
        faults.extend(reading.list(
            ("rectifiers", &form.rectifiers),
            |entry: RectifierForm, sources| entry.read(sources),
            check::rectifier_type,
            |kind| put(&mut self.rectifiers, kind, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("pass_tubes", &form.pass_tubes),
            |entry: PassTubeForm, sources| entry.read(sources),
            check::pass_tube_type,
            |tube| put(&mut self.pass_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("control_tubes", &form.control_tubes),
            |entry: ControlTubeForm, sources| entry.read(sources),
            check::control_tube_type,
            |tube| put(&mut self.control_tubes, tube, |t| &t.name),
        ));
        faults.extend(reading.list(
            ("gas_tubes", &form.gas_tubes),
            |entry: GasTubeForm, sources| entry.read(sources),
            check::gas_tube_type,
            |tube| put(&mut self.gas_tubes, tube, |t| &t.name),
        ));
        faults
    }

    /// Writes the types so that [`Self::add`] gives the same ones back.
    pub fn write(&self) -> String {
        file::written(&WrittenCatalogue {
            format: file::FORMAT,
            rectifiers: self.rectifiers.iter().map(RectifierForm::of).collect(),
            pass_tubes: self.pass_tubes.iter().map(PassTubeForm::of).collect(),
            control_tubes: self.control_tubes.iter().map(ControlTubeForm::of).collect(),
            gas_tubes: self.gas_tubes.iter().map(GasTubeForm::of).collect(),
        })
    }

    /// The rectifier of that name.
    pub fn rectifier(&self, name: &str) -> Option<&RectifierType> {
        self.rectifiers.iter().find(|t| t.name == name)
    }

    /// The pass tube of that name.
    pub fn pass_tube(&self, name: &str) -> Option<&PassTubeType> {
        self.pass_tubes.iter().find(|t| t.name == name)
    }

    /// The control tube of that name.
    pub fn control_tube(&self, name: &str) -> Option<&ControlTubeType> {
        self.control_tubes.iter().find(|t| t.name == name)
    }

    /// The gas tube of that name.
    pub fn gas_tube(&self, name: &str) -> Option<&GasTubeType> {
        self.gas_tubes.iter().find(|t| t.name == name)
    }
}

/// One text while its lists are read.
struct Reading<'a> {
    places: &'a Places<'a>,
    sources: &'a Sources,
}

impl Reading<'_> {
    /// Reads one list: every sound entry goes to `keep`; what is wrong with the others is returned.
    fn list<'de, Form: Deserialize<'de>, Type>(
        &self,
        (name, entries): (&str, &'de [Box<RawValue>]),
        read: impl Fn(Form, &Sources) -> Type,
        check: impl Fn(&Type) -> Vec<Problem>,
        mut keep: impl FnMut(Type),
    ) -> Vec<FileError> {
        let mut faults = Vec::new();
        for (index, raw) in entries.iter().enumerate() {
            let at = format!("{name}[{index}]");
            let sound = entry::<Form>(raw, self.places, &at).and_then(|form| {
                let kind = read(form, self.sources);
                sound(check(&kind), self.places, &at).map(|()| kind)
            });
            match sound {
                Ok(kind) => keep(kind),
                Err(wrong) => faults.extend(wrong),
            }
        }
        faults
    }
}

fn entry<'de, T: Deserialize<'de>>(
    raw: &'de RawValue,
    places: &Places<'_>,
    at: &str,
) -> Result<T, Vec<FileError>> {
    file::parse(&Extract {
        text: raw.get_ron(),
        places,
        at,
    })
    .map_err(|fault| vec![fault])
}

fn sound(problems: Vec<Problem>, places: &Places<'_>, at: &str) -> Result<(), Vec<FileError>> {
    if problems.is_empty() {
        return Ok(());
    }
    Err(problems
        .into_iter()
        .map(|problem| {
            let field = join(at, &problem.field);
            FileError {
                line: places.line(&field),
                field,
                found: problem.found,
                expected: problem.expected,
            }
        })
        .collect())
}

fn put<T>(list: &mut Vec<T>, new: T, name: impl Fn(&T) -> &String) {
    match list.iter_mut().find(|old| name(old) == name(&new)) {
        Some(old) => *old = new,
        None => list.push(new),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::rating::{Confidence, RatingSystem};
    use crate::parts::{Amps, ControlTubeKind, PlateCharacteristic, RectifierLaw, Volts};

    #[test]
    fn a_self_biased_point_gives_the_tubes_own_volts() {
        // RCA Receiving Tube Manual, 6AS7-G: plate SUPPLY 135 V, cathode resistor 250 Ω, 125 mA (value from memory).
        // 250 Ω · 125 mA = 31.25 V of bias, which the plate is short of.
        let catalogue = Catalogue::built_in();
        for name in ["6AS7-G", "6080"] {
            let tube = catalogue.pass_tube(name).unwrap();
            let PlateCharacteristic::Published { points, .. } = &tube.characteristic else {
                panic!("{name} has published points");
            };
            let point = points.iter().find(|p| p.current == Amps(0.125)).unwrap();
            assert_eq!((point.plate, point.grid), (Volts(103.75), Volts(-31.25)));
        }
    }

    #[test]
    fn small_signal_figures_obey_mu_is_gm_times_rp() {
        for tube in Catalogue::built_in().pass_tubes {
            let PlateCharacteristic::Published { small_signal, .. } = tube.characteristic else {
                continue;
            };
            for f in small_signal {
                if let (Some(mu), Some(rp), Some(gm)) =
                    (f.mu, f.plate_resistance, f.transconductance)
                {
                    let product = rp.0 * gm.0;
                    // Makers round each of the three to two figures.
                    assert!(
                        (product / mu - 1.0).abs() < 0.03,
                        "{}: {product} {mu}",
                        tube.name
                    );
                }
            }
        }
    }

    #[test]
    fn every_number_names_its_source() {
        let catalogue = Catalogue::built_in();
        for kind in &catalogue.rectifiers {
            let ratings = [
                kind.peak_inverse.as_ref().map(|r| &r.source),
                kind.peak_current.as_ref().map(|r| &r.source),
                kind.dc_current.as_ref().map(|r| &r.source),
                kind.dc_current_choke_input.as_ref().map(|r| &r.source),
                kind.hot_switching_current.as_ref().map(|r| &r.source),
                kind.least_supply_resistance.as_ref().map(|r| &r.source),
                kind.largest_first_capacitor.as_ref().map(|r| &r.source),
                kind.heater_cathode.as_ref().map(|r| &r.source),
                kind.heater.as_ref().map(|h| &h.source),
                match &kind.law {
                    RectifierLaw::Vacuum { drop, .. } | RectifierLaw::MercuryVapour { drop } => {
                        Some(&drop.source)
                    }
                    RectifierLaw::Silicon { .. } => None,
                },
            ];
            sourced(&kind.name, ratings.into_iter().flatten());
        }
        for tube in &catalogue.pass_tubes {
            let ratings = [
                tube.plate_dissipation.as_ref().map(|r| &r.source),
                tube.envelope_dissipation.as_ref().map(|r| &r.source),
                tube.screen_dissipation.as_ref().map(|r| &r.source),
                tube.plate_volts.as_ref().map(|r| &r.source),
                tube.plate_current.as_ref().map(|r| &r.source),
                tube.heater_cathode.as_ref().map(|r| &r.source),
                tube.grid_resistor.as_ref().map(|r| &r.source),
                tube.heater.as_ref().map(|h| &h.source),
            ];
            sourced(&tube.name, ratings.into_iter().flatten());
            published(&tube.name, &tube.characteristic);
        }
    }

    #[test]
    fn every_number_of_a_control_or_gas_tube_names_its_source() {
        let catalogue = Catalogue::built_in();
        for tube in &catalogue.control_tubes {
            let ratings = [
                tube.plate_volts.as_ref().map(|r| &r.source),
                tube.plate_dissipation.as_ref().map(|r| &r.source),
                tube.screen_volts.as_ref().map(|r| &r.source),
                tube.screen_dissipation.as_ref().map(|r| &r.source),
                tube.heater_cathode.as_ref().map(|r| &r.source),
                tube.grid_resistor.as_ref().map(|r| &r.source),
                tube.heater.as_ref().map(|h| &h.source),
            ];
            sourced(&tube.name, ratings.into_iter().flatten());
            match &tube.kind {
                ControlTubeKind::Triode(known) => published(&tube.name, known),
                ControlTubeKind::Pentode {
                    operating_points, ..
                } => sourced(&tube.name, operating_points.iter().map(|p| &p.source)),
            }
        }
        for tube in &catalogue.gas_tubes {
            let figures = [
                Some(&tube.volts.source),
                Some(&tube.current_least.source),
                Some(&tube.current_most.source),
                tube.strike_volts.as_ref().map(|v| &v.source),
                tube.supply_least.as_ref().map(|v| &v.source),
                tube.regulation_volts.as_ref().map(|v| &v.source),
                tube.largest_shunt_capacitor.as_ref().map(|v| &v.source),
            ];
            sourced(&tube.name, figures.into_iter().flatten());
        }
    }

    #[test]
    fn the_built_in_types_survive_writing_and_reading() {
        let catalogue = Catalogue::built_in();
        let mut again = Catalogue::default();
        assert_eq!(again.add(&catalogue.write()), []);
        assert_eq!(again, catalogue);
    }

    #[test]
    fn the_trades_usual_control_and_gas_tubes_are_there() {
        let catalogue = Catalogue::built_in();
        for name in ["6SJ7", "6AU6", "6SH7", "12AX7", "6SL7-GT", "EF86", "6AK5"] {
            assert!(catalogue.control_tube(name).is_some(), "{name}");
        }
        for name in ["0A2", "0B2", "0A3", "0B3", "0C3", "0D3", "5651", "85A2"] {
            assert!(catalogue.gas_tube(name).is_some(), "{name}");
        }
    }

    #[test]
    fn a_self_biased_pentode_carries_both_currents_in_its_cathode() {
        // RCA Receiving Tube Manual, 6AU6: 100 V supplies, 150 Ω, 5.0 and 2.1 mA (value from memory):
        // 150 Ω · 7.1 mA = 1.065 V of bias.
        let catalogue = Catalogue::built_in();
        let ControlTubeKind::Pentode {
            operating_points, ..
        } = &catalogue.control_tube("6AU6").unwrap().kind
        else {
            panic!("a pentode");
        };
        let point = &operating_points[0];
        assert!((point.grid.0 + 1.065).abs() < 1e-9, "{point:?}");
        assert!((point.plate.0 - 98.935).abs() < 1e-9, "{point:?}");
    }

    #[test]
    fn a_faulty_control_tube_is_refused_with_its_place_and_the_next_is_read() {
        let mut catalogue = Catalogue::default();
        let faults = catalogue.add(
            r#"(format: 1, control_tubes: [
                (name: "bad", kind: Triode(Published(points: [(plate: "100 V", grid: "-1 V", current: "0 A")]))),
                (name: "good", kind: Triode(Published(points: [(plate: "100 V", grid: "-1 V", current: "1 mA")]))),
            ], gas_tubes: [
                (name: "swapped", volts: "150 V", current_least: "30 mA", current_most: "5 mA"),
            ])"#,
        );
        let said: Vec<String> = faults.iter().map(ToString::to_string).collect();
        assert_eq!(
            said,
            [
                "line 2, control_tubes[0].kind.points[0].current: found 0 A, expected a value above zero, 1 µA to 1000 A",
                "line 5, gas_tubes[0].current_least: found 30 mA, expected less than 5 mA, the highest current",
            ]
        );
        assert_eq!(catalogue.control_tubes.len(), 1);
    }

    fn published(name: &str, characteristic: &PlateCharacteristic) {
        if let PlateCharacteristic::Published {
            points,
            small_signal,
        } = characteristic
        {
            let sources = points.iter().map(|p| &p.source);
            sourced(name, sources.chain(small_signal.iter().map(|s| &s.source)));
        }
    }

    fn sourced<'s>(name: &str, sources: impl Iterator<Item = &'s crate::parts::Source>) {
        for source in sources {
            // A short name that is not in the list of sources would stand as it is, in one word.
            assert!(source.document.contains(' '), "{name}: {source:?}");
            assert_ne!(source.confidence, Confidence::Own, "{name}: {source:?}");
        }
    }

    #[test]
    fn a_type_of_the_same_name_replaces_the_built_in_one() {
        let mut catalogue = Catalogue::built_in();
        let count = catalogue.rectifiers.len();
        let faults = catalogue.add(
            r#"(format: 1, sources: {"note": "my own note book"}, rectifiers: [(
                name: "5U4-GB", plates: 2, rating_system: DesignMaximum,
                law: Vacuum(drop: ("46 V", Own, "note"), at: "225 mA"),
                peak_inverse: "1500 V",
                dc_current: ("250 mA", AbsoluteMaximum, Seen, "note"),
            )])"#,
        );
        assert_eq!(faults, []);
        assert_eq!(catalogue.rectifiers.len(), count);
        let kind = catalogue.rectifier("5U4-GB").unwrap();
        let systems = (
            kind.peak_inverse.as_ref().unwrap().system,
            kind.dc_current.as_ref().unwrap().system,
        );
        assert_eq!(
            systems,
            (RatingSystem::DesignMaximum, RatingSystem::AbsoluteMaximum)
        );
        assert_eq!(
            kind.dc_current.as_ref().unwrap().source.document,
            "my own note book"
        );
    }
}
