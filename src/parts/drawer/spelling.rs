//! How people spell a kind of resistor, its mounting, its tolerance.

use crate::parts::quantity::Fraction;
use crate::parts::resistor::{Mounting, ResistorKind};

/// Words for the kinds, small, without hyphens.
const KINDS: [(ResistorKind, &[&str]); 6] = [
    (
        ResistorKind::WireWound,
        &[
            "wirewound",
            "wire wound",
            "ww",
            "vitreous",
            "vitreous enamelled",
            "vitreous enameled",
            "vitreous wirewound",
            "vitreous wire wound",
            "enamelled",
            "enameled",
            "tubular",
            "tubular wirewound",
            "tubular wire wound",
            "wire",
        ],
    ),
    (
        ResistorKind::AluminiumHoused,
        &[
            "aluminium housed",
            "aluminum housed",
            "aluminiumhoused",
            "aluminumhoused",
            "aluminium clad",
            "aluminum clad",
            "aluminiumclad",
            "aluminumclad",
            "alu clad",
            "aluclad",
            "aluminium",
            "aluminum",
            "alu",
            "metal clad",
            "metalclad",
            "chassis mount",
            "chassis",
        ],
    ),
    (
        ResistorKind::Cement,
        &["cement", "cemented", "ceramic", "sandblock", "sand block"],
    ),
    (
        ResistorKind::MetalOxide,
        &[
            "metal oxide",
            "metaloxide",
            "metal oxide film",
            "oxide",
            "mox",
            "mo",
        ],
    ),
    (
        ResistorKind::MetalFilm,
        &["metal film", "metalfilm", "power metal film", "mf"],
    ),
    (
        ResistorKind::CarbonComposition,
        &[
            "carbon composition",
            "carboncomposition",
            "carbon comp",
            "carboncomp",
            "composition",
            "cc",
        ],
    ),
];

/// Words for the mountings.
const MOUNTINGS: [(Mounting, &[&str]); 3] = [
    (
        Mounting::FreeAir,
        &[
            "bare",
            "free air",
            "in free air",
            "freeair",
            "no heat sink",
            "no heatsink",
            "no sink",
            "without heat sink",
            "without heatsink",
        ],
    ),
    (
        Mounting::OnPlate,
        &[
            "on plate",
            "on a plate",
            "onplate",
            "plate",
            "on heat sink",
            "on heatsink",
            "on a heat sink",
            "on a heatsink",
            "heat sink",
            "heatsink",
            "on sink",
            "on chassis",
        ],
    ),
    (
        Mounting::BoxedIn,
        &["boxed in", "boxedin", "boxed", "in a box", "enclosed"],
    ),
];

/// Tolerance letters of IEC 60062 that stand for ± the same on both sides (value from memory of the standard; F, G, J, K also
/// stand in the makers' sheets).
const LETTERS: [(char, f64); 9] = [
    ('B', 0.001),
    ('C', 0.0025),
    ('D', 0.005),
    ('F', 0.01),
    ('G', 0.02),
    ('J', 0.05),
    ('K', 0.10),
    ('M', 0.20),
    ('N', 0.30),
];

fn plain(text: &str) -> String {
    let spaced: String = (text.chars())
        .map(|c| match c {
            '-' | '_' | '.' | '\u{2010}' | '\u{2011}' => ' ',
            other => other,
        })
        .flat_map(char::to_lowercase)
        .collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn named<T: Copy>(text: &str, all: &[(T, &[&str])]) -> Option<T> {
    let wanted = plain(text);
    let holds = |words: &[&str]| words.contains(&wanted.as_str());
    all.iter()
        .find(|(_, words)| holds(words))
        .map(|(found, _)| *found)
}

/// The kind that is called so: `wire-wound`, `WW`, `aluminium-clad`.
pub fn kind_named(text: &str) -> Option<ResistorKind> {
    named(text, &KINDS)
}

/// The mounting that is called so: `bare`, `on a heat sink`, `boxed in`.
pub fn mounting_named(text: &str) -> Option<Mounting> {
    named(text, &MOUNTINGS)
}

/// A tolerance as it is printed: `5 %`, `±5%`, or its letter by IEC 60062, `J`.
pub fn tolerance_named(text: &str) -> Option<Fraction> {
    let text = text.trim();
    if let Some(letter) = one_letter(text) {
        return tolerance_letter(letter);
    }
    let number = text
        .trim_start_matches("+/-")
        .trim_start_matches("+-")
        .trim_start_matches('±');
    number
        .trim()
        .strip_suffix('%')?
        .trim()
        .replace(',', ".")
        .parse::<Fraction>()
        .ok()
        .filter(|fraction| fraction.0 >= 0.0)
}

fn one_letter(text: &str) -> Option<char> {
    let mut letters = text.chars();
    let first = letters.next()?;
    letters.next().is_none().then_some(first)
}

/// What a letter by IEC 60062 stands for.
pub(super) fn tolerance_letter(letter: char) -> Option<Fraction> {
    let known = LETTERS.iter().find(|(known, _)| *known == letter);
    known.map(|(_, share)| Fraction(*share))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_and_mountings_read_as_people_write_them() {
        for (text, kind) in [
            ("wire-wound", ResistorKind::WireWound),
            ("Wirewound", ResistorKind::WireWound),
            ("WW", ResistorKind::WireWound),
            ("aluminum-clad", ResistorKind::AluminiumHoused),
            ("Metal Oxide", ResistorKind::MetalOxide),
            ("carbon comp.", ResistorKind::CarbonComposition),
        ] {
            assert_eq!(kind_named(text), Some(kind), "{text}");
        }
        assert_eq!(kind_named("carbon film"), None);
        assert_eq!(mounting_named("no heat-sink"), Some(Mounting::FreeAir));
        assert_eq!(mounting_named("on a plate"), Some(Mounting::OnPlate));
    }

    /// IEC 60062, value from memory.
    #[test]
    fn tolerance_letters_are_those_of_the_standard() {
        for (text, per_cent) in [
            ("B", 0.1),
            ("C", 0.25),
            ("D", 0.5),
            ("F", 1.0),
            ("G", 2.0),
            ("J", 5.0),
            ("K", 10.0),
            ("M", 20.0),
            ("N", 30.0),
            ("±5 %", 5.0),
            ("+/-2.5%", 2.5),
            ("1 %", 1.0),
        ] {
            let read = tolerance_named(text).expect(text);
            assert!((read.0 * 100.0 - per_cent).abs() < 1e-12, "{text}: {read}");
        }
        for text in ["", "X", "5", "-5 %", "%"] {
            assert_eq!(tolerance_named(text), None, "{text}");
        }
    }
}
