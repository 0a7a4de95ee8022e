//! The texts: bytes of good files changed at random, and random supplies whose numbers go far beyond what is sane.

#![expect(clippy::unwrap_used, reason = "what the strategies make is there")]

use proptest::strategy::{Strategy as _, ValueTree as _};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use sagline::parts::catalogue::{Catalogue, presets};
use sagline::parts::file::{read_work_checked, write};
use sagline::parts::readings::Bench;
use sagline::parts::spread::{Condition, Electrolytics, Spread, StatedSpread, Tubes};
use sagline::parts::{Dummy, Fraction, Mounting, Ohms, Primary, ResistorKind, Supply, Watts, Work};

use crate::regulator::regulated;
use crate::supplies::supply;

/// What is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A good text, of which bytes or numbers were changed.
    Text,
    /// A random supply, of which some numbers were changed.
    Supply,
}

impl Kind {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Supply => "supply",
        }
    }

    pub(super) fn named(name: &str) -> Option<Self> {
        [Self::Text, Self::Supply]
            .into_iter()
            .find(|kind| kind.name() == name)
    }
}

/// Good and bad texts to begin with, beside the presets.
const CORPUS: [&str; 2] = [
    include_str!("../../files/every-field.ron"),
    include_str!("../corpus/elevated-1e300.ron"),
];

/// Bytes that mean something, or that nobody expects.
const BYTES: &[u8] = b"()[]{}:,\"\\/*#r'+-.eE019 \n\r\t_%VAkm\0\x01\x1b\x7f\x80\xb5\xc2\xef\xff";

/// Numbers that are at the edge of something.
const NUMBERS: [&str; 14] = [
    "0",
    "-0",
    "-1",
    "1e300",
    "-1e300",
    "1e-300",
    "1e308",
    "4.9e-324",
    "1e999",
    "NaN",
    "inf",
    "255",
    "256",
    "0.000000000000000000000000000000000000000000000000000000000000000000000000000000000000000000001",
];

/// Random numbers (`SplitMix64`, Steele, Lea and Flood 2014).
pub(super) struct Random(u64);

impl Random {
    pub(super) fn of(number: u64) -> Self {
        Self(number.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5361_676c_696e_6521)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to below `end`.
    pub(super) fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end.max(1)).unwrap_or(u64::MAX);
        usize::try_from(self.next() % end).unwrap_or_default()
    }

    /// A number from 0 to below 1.
    pub(super) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn one_of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len())]
    }
}

/// The text of a case.
pub(super) fn text(kind: Kind, number: u64) -> Vec<u8> {
    let mut random = Random::of(number);
    match kind {
        Kind::Text => changed(&mut random),
        Kind::Supply => described(number, &mut random).into_bytes(),
    }
}

/// A good text with one to four changes.
fn changed(random: &mut Random) -> Vec<u8> {
    let mut all: Vec<&str> = presets().iter().map(|(_, text)| *text).collect();
    all.extend(CORPUS);
    let mut text = random.one_of(&all).as_bytes().to_vec();
    for _ in 0..=random.below(4) {
        change(&mut text, random.one_of(&all).as_bytes(), random);
    }
    text
}

fn change(text: &mut Vec<u8>, other: &[u8], random: &mut Random) {
    let at = random.below(text.len());
    let end = (at + 1 + random.below(30)).min(text.len());
    match random.below(12) {
        0 if !text.is_empty() => text[at] ^= 1 << random.below(8),
        1 => text.insert(at, random.one_of(BYTES)),
        2 if !text.is_empty() => text[at] = random.one_of(BYTES),
        3 => drop(text.drain(at..end)),
        4 => {
            let again = text[at..end].to_vec();
            text.splice(at..at, again);
        }
        5 if random.below(8) == 0 => text.truncate(at),
        6 => {
            let from = random.below(other.len());
            let to = (from + 1 + random.below(200)).min(other.len());
            text.splice(at..end, other[from..to].iter().copied());
        }
        7 if random.below(8) == 0 => {
            let many = text[at..end].repeat(1 + random.below(2000));
            text.splice(at..at, many);
        }
        // Numbers stand where most is decided.
        _ => {
            let numbers = numbers(text);
            if !numbers.is_empty() {
                let place = numbers[random.below(numbers.len())].clone();
                let new = if random.below(2) == 0 {
                    random.one_of(&NUMBERS).to_owned()
                } else {
                    let old = std::str::from_utf8(&text[place.clone()]).unwrap_or("1");
                    scaled(old, 3.0, random)
                };
                text.splice(place, new.into_bytes());
            }
        }
    }
}

/// A random supply. In three of four cases some of its numbers are changed, from a little to by many powers of ten; of these cases
/// most keep only such changes as leave a supply that is computed, so that all that is accepted is come to, however absurd.
fn described(number: u64, random: &mut Random) -> String {
    let mut seed = [0; 32];
    seed[..8].copy_from_slice(&number.to_le_bytes());
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let supply: Supply = if random.below(2) == 0 {
        supply().new_tree(&mut runner).unwrap().current()
    } else {
        regulated().new_tree(&mut runner).unwrap().current()
    };
    let dummy = |ohms: f64| Dummy {
        name: String::new(),
        resistance: Ohms(ohms),
        power: Some(Watts(50.0)),
        working_volts: None,
        tolerance: Fraction(0.05),
        derating: None,
        kind: Some(ResistorKind::WireWound),
        mounting: Mounting::FreeAir,
        made_of: None,
    };
    let work = Work {
        name: format!("supply {number}"),
        notes: String::new(),
        supply,
        guessed: Vec::new(),
        spreads: vec![StatedSpread {
            field: "transformer.winding".to_owned(),
            spread: Spread::Percent(Fraction(0.03)),
        }],
        condition: Condition {
            tubes: Tubes::Used,
            electrolytics: Electrolytics::Old,
        },
        bench: Bench::default(),
        primary: Primary::default(),
        dummies: vec![
            dummy(100.0 + 1e4 * random.share()),
            dummy(1e5 * random.share() + 1.0),
        ],
    };
    let mut text = write(&work, &Catalogue::built_in()).into_bytes();
    let powers = random.one_of(&[0.0, 0.3, 1.0, 3.0]);
    let often = random.one_of(&[0.02, 0.1, 0.3]);
    let is_refused = |text: &[u8]| {
        let text = std::str::from_utf8(text).unwrap();
        read_work_checked(text, Catalogue::built_in_ones()).is_err()
    };
    let keeps_sound = random.below(5) > 0;
    if powers > 0.0 {
        // From behind, so that the places before stay.
        for place in numbers(&text).into_iter().rev() {
            let is_format = text[..place.start].ends_with(b"format: ");
            if random.share() < often && !is_format {
                let old = String::from_utf8_lossy(&text[place.clone()]).into_owned();
                let new = scaled(&old, powers, random);
                let end = place.start + new.len();
                text.splice(place.clone(), new.into_bytes());
                if keeps_sound && is_refused(&text) {
                    text.splice(place.start..end, old.into_bytes());
                }
            }
        }
    }
    String::from_utf8(text).unwrap()
}

/// A number times a power of ten; a whole one stays whole.
fn scaled(old: &str, powers: f64, random: &mut Random) -> String {
    let factor = 10_f64.powf(powers * (2.0 * random.share() - 1.0));
    match (old.parse::<u64>(), old.parse::<f64>()) {
        (Ok(whole), _) if whole < 64 => format!("{:.0}", (whole as f64 * factor).ceil()),
        (_, Ok(number)) => format!("{:.6}", number * factor),
        _ => old.to_owned(),
    }
}

/// Where numbers stand: digits that no letter precedes.
fn numbers(text: &[u8]) -> Vec<std::ops::Range<usize>> {
    let is_part = |byte: &u8| byte.is_ascii_digit() || *byte == b'.';
    let mut found = Vec::new();
    let mut at = 0;
    while at < text.len() {
        let length = text[at..].iter().take_while(|byte| is_part(byte)).count();
        let follows_letter =
            at > 0 && (text[at - 1].is_ascii_alphanumeric() || text[at - 1] == b'_');
        let in_name = text
            .get(at + length)
            .is_some_and(|b| *b == b'-' || b.is_ascii_uppercase());
        if length > 0 && !follows_letter && !in_name {
            found.push(at..at + length);
        }
        at += length.max(1);
    }
    found
}
