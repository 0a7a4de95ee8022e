//! Under which heading a type stands in a list.

use core::cmp::Ordering;

use crate::parts::{
    ControlTubeKind, ControlTubeType, GasTubeType, PassTubeType, RectifierLaw, RectifierType,
};

/// The heading of a rectifier.
pub fn of_rectifier(kind: &RectifierType) -> &'static str {
    match &kind.law {
        RectifierLaw::Vacuum { .. } => "High vacuum",
        RectifierLaw::MercuryVapour { .. } => "Mercury vapour and gas",
        RectifierLaw::Silicon { .. } => "Silicon and selenium",
    }
}

/// The heading of a pass tube.
pub fn of_pass_tube(tube: &PassTubeType) -> &'static str {
    if tube.triode_connected {
        "Pentodes and beam tubes as triodes"
    } else {
        "Triodes"
    }
}

/// The heading of a control tube.
pub fn of_control_tube(tube: &ControlTubeType) -> &'static str {
    match &tube.kind {
        ControlTubeKind::Pentode { .. } => "Pentodes",
        ControlTubeKind::Triode(_) => "Triodes",
    }
}

/// The heading of a gas tube: what it runs at, as makers' lists are ordered.
pub fn of_gas_tube(tube: &GasTubeType) -> &'static str {
    match tube.volts.value.0 {
        volts if volts < 80.0 => "About 75 V",
        volts if volts < 97.0 => "About 85 and 90 V",
        volts if volts < 125.0 => "About 105 V",
        _ => "About 150 V",
    }
}

/// The order of designations: by the number that they begin with, if they do, then by their letters.
pub fn by_designation(a: &str, b: &str) -> Ordering {
    let key = |name: &str| -> (u64, String) {
        let digits = name.len() - name.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let (number, rest) = name.split_at(digits);
        // Those that begin with a letter come after all numbers.
        (number.parse().unwrap_or(u64::MAX), rest.to_lowercase())
    };
    key(a).cmp(&key(b))
}

/// True if what is typed is found in a designation or in the words about it; dashes and spaces do not matter.
pub fn is_found(typed: &str, name: &str, about: &str) -> bool {
    let bare = |text: &str| -> String {
        text.chars()
            .filter(|c| c.is_alphanumeric())
            .flat_map(char::to_lowercase)
            .collect()
    };
    let typed = bare(typed);
    bare(name).contains(&typed) || bare(about).contains(&typed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn designations_go_by_their_number_first() {
        let mut names = [
            "EL34", "807", "6080", "6L6", "2A3", "6AS7-G", "12E1", "6B4-G",
        ];
        names.sort_by(|a, b| by_designation(a, b));
        let sorted = [
            "2A3", "6AS7-G", "6B4-G", "6L6", "12E1", "807", "6080", "EL34",
        ];
        assert_eq!(names, sorted);
    }

    #[test]
    fn what_is_typed_is_found_without_its_dash() {
        assert!(is_found("5u4gb", "5U4-GB", ""));
        assert!(is_found("beam", "6L6", "beam tube as a triode"));
        assert!(is_found("", "6L6", "") && !is_found("EL", "6L6", "beam tube"));
    }
}
