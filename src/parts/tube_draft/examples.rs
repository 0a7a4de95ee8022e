//! What would do in a field of this kind of tube, and what a number without a unit is taken for there.

use crate::parts::tube_draft::{Purpose, SheetData, TubeDraft};

impl TubeDraft {
    /// What could stand in the field of this name, as a sheet of such a tube has it; `None` where nothing is usual.
    pub fn example(&self, field: &str) -> Option<&'static str> {
        let of = |pass, triode, pentode| match (self.purpose, self.known) {
            (Purpose::Pass, _) => pass,
            (Purpose::Control, SheetData::Pentode) => pentode,
            (Purpose::Control, _) => triode,
        };
        Some(match field {
            "Name" => of("6080", "6SL7", "6AU6"),
            "Points" => of(
                "250 V, -14 V, 72 mA",
                "250 V, -2 V, 1.2 mA",
                "250 V, -2 V, 1.2 mA",
            ),
            "Knee" => "20 V, 0 V, 8 mA",
            "Zero-bias curve" => of("40 V, 150 mA", "42 V, 1 mA", "42 V, 1 mA"),
            "Plate volts" => "250 V",
            "Grid volts" => of("-14 V", "-2 V", "-3 V"),
            "Plate current" => of("72 mA", "1.2 mA", "3 mA"),
            "µ" => of("8", "100", "100"),
            "Plate resistance" => of("1.7 kΩ", "62 kΩ", "1 MΩ"),
            "Transconductance" => of("4.7 mS", "1.6 mS", "1.65 mS"),
            "Screen volts" => "100 V",
            "Screen current" => "0.8 mA",
            "Screen share" => "7 %",
            "Screen µ" => "38",
            "Heater volts" => of("6.3 V", "12.6 V", "6.3 V"),
            "Heater current" => of("900 mA", "150 mA", "300 mA"),
            _ => return None,
        })
    }

    /// A second line below the first one, where a field has several.
    pub fn next_example(&self, field: &str) -> Option<&'static str> {
        Some(match (field, self.purpose) {
            ("Points", Purpose::Pass) => "250 V, -20 V, 40 mA",
            ("Points", Purpose::Control) => "205 V, -1 V, 2.2 mA",
            ("Zero-bias curve", Purpose::Pass) => "60 V, 240 mA",
            ("Zero-bias curve", Purpose::Control) => "97 V, 2 mA",
            _ => return None,
        })
    }
}

/// The unit of a number without one in this field; `None` where sheets differ by a thousand, so that the unit must be
/// said.
pub(super) fn bare_unit(field: &str, symbol: &str) -> Option<&'static str> {
    match (field, symbol) {
        (_, "V") => Some("V"),
        (_, "W") => Some("W"),
        (_, "%") => Some("%"),
        // As in the lines of points.
        ("Plate current" | "Screen current" | "Highest current", "A") => Some("mA"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A draft in which every field holds its own example.
    fn by_example(purpose: Purpose, known: SheetData) -> TubeDraft {
        let mut draft = TubeDraft {
            known,
            ..TubeDraft::new(purpose)
        };
        let of = |field: &str| draft.example(field).expect("an example").to_owned();
        let lines = |field: &str| {
            let next = draft.next_example(field).expect("a second line");
            format!("{}\n{next}", of(field))
        };
        let filled = TubeDraft {
            name: of("Name"),
            points: lines("Points"),
            zero_bias: lines("Zero-bias curve"),
            plate: of("Plate volts"),
            grid: of("Grid volts"),
            current: of("Plate current"),
            mu: of("µ"),
            plate_resistance: of("Plate resistance"),
            transconductance: of("Transconductance"),
            screen: of("Screen volts"),
            screen_current: of("Screen current"),
            screen_mu: of("Screen µ"),
            knee: of("Knee"),
            screen_share: of("Screen share"),
            ..draft.clone()
        };
        let (volts, amps) = (of("Heater volts"), of("Heater current"));
        draft = filled;
        (draft.ratings.heater_volts, draft.ratings.heater_amps) = (volts, amps);
        draft
    }

    #[test]
    fn examples_are_what_their_fields_take() {
        for purpose in [Purpose::Pass, Purpose::Control] {
            for known in [
                SheetData::Points,
                SheetData::OnePoint,
                SheetData::ZeroBias,
                SheetData::Pentode,
            ] {
                if (purpose, known) == (Purpose::Pass, SheetData::Pentode) {
                    continue;
                }
                let draft = by_example(purpose, known);
                let own = draft.own_type(None, None);
                assert!(own.is_ok(), "{purpose:?} {known:?}: {own:?}");
            }
        }
    }

    #[test]
    fn a_number_whose_unit_could_be_two_is_asked_about_with_an_example() {
        for (purpose, field, example) in [
            (Purpose::Pass, "Plate resistance", "1.7 kΩ"),
            (Purpose::Control, "Plate resistance", "62 kΩ"),
            (Purpose::Pass, "Transconductance", "4.7 mS"),
            (Purpose::Control, "Heater current", "150 mA"),
        ] {
            let mut draft = by_example(purpose, SheetData::OnePoint);
            *match field {
                "Plate resistance" => &mut draft.plate_resistance,
                "Transconductance" => &mut draft.transconductance,
                _ => &mut draft.ratings.heater_amps,
            } = "0.9".to_owned();
            let faults = draft.own_type(None, None).unwrap_err();
            let said: Vec<(&str, &str)> = faults
                .iter()
                .map(|fault| (fault.field.as_str(), fault.expected.as_str()))
                .collect();
            let asked = format!("its unit too, such as {example}");
            assert_eq!(said, [(field, asked.as_str())]);
        }
        let mut draft = by_example(Purpose::Pass, SheetData::OnePoint);
        draft.ratings.plate_current.text = "125".to_owned();
        let highest = draft.highest_current();
        assert_eq!(highest, "125 mA".parse().ok(), "as in the lines of points");
    }
}
