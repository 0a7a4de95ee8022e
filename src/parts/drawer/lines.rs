//! Resistors as people jot them down, an entry a line: `4 × 10k 25 W wire-wound`.
//!
//! What is read is the count, the ohms, the watts, tolerance, volts, kind and mounting, in any order and in other people's spellings.
//! What cannot be read is asked about with its line: nothing is guessed and nothing is dropped.

use crate::parts::drawer::spelling::{
    kind_named, mounting_named, tolerance_letter, tolerance_named,
};
use crate::parts::drawer::table::{is_table, kind_word, mounting_word, read_table};
use crate::parts::drawer::{MOST, Owned};
use crate::parts::escape::shortened;
use crate::parts::quantity::{Fraction, Ohms, Volts, Watts};
use crate::parts::resistor::{Mounting, Resistor, ResistorKind};

/// A line that could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineFault {
    /// Its number, counted from 1.
    pub line: usize,
    /// What stands there.
    pub found: String,
    /// What would do.
    pub expected: String,
}

impl std::fmt::Display for LineFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let found = crate::parts::escape::escaped(&shortened(&self.found));
        write!(
            f,
            "line {}: found {found}, expected {}",
            self.line, self.expected
        )
    }
}

/// What was read of a text, and what of it could not be.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lines {
    /// The entries, each with the number of its line.
    pub read: Vec<(usize, Owned)>,
    /// The lines that could not be read.
    pub faults: Vec<LineFault>,
}

/// A line that says all there has to be.
pub(super) const EXAMPLE: &str = "4 × 10k 25 W wire-wound";
/// Longest text that is read (bytes).
const LONGEST: usize = 1_000_000;

/// Power resistors are mostly marked 5 % where nothing is printed (common practice, no source).
pub(super) const USUAL_TOLERANCE: Fraction = Fraction(0.05);
/// Ohms that a resistor of a drawer may have (Ω), as in a file.
pub(super) const OHMS: std::ops::RangeInclusive<f64> = 0.1..=1e9;
/// Watts that it may have (W).
pub(super) const WATTS: std::ops::RangeInclusive<f64> = 1e-3..=1e6;
/// Working volts (V).
pub(super) const VOLTS: std::ops::RangeInclusive<f64> = 1.0..=100e3;

/// Reads entries line by line, or a table with a line of headings, as it is copied from a spreadsheet. Blank lines and what stands
/// behind `//` or `#` are passed over.
pub fn read_lines(text: &str) -> Lines {
    let mut lines = Lines::default();
    if text.len() > LONGEST {
        lines.faults.push(LineFault {
            line: 1,
            found: format!("{} bytes", text.len()),
            expected: format!("at most {LONGEST}"),
        });
        return lines;
    }
    if is_table(text) {
        return read_table(text);
    }
    for (place, line) in text.lines().enumerate() {
        let said = without_comment(line).trim();
        if said.is_empty() {
            continue;
        }
        match entry(said) {
            Ok(owned) => lines.read.push((place + 1, owned)),
            Err((found, expected)) => lines.faults.push(LineFault {
                line: place + 1,
                found,
                expected,
            }),
        }
    }
    lines
}

fn without_comment(line: &str) -> &str {
    let line = line.split_once("//").map_or(line, |(before, _)| before);
    line.split_once('#').map_or(line, |(before, _)| before)
}

/// What stands in a line so far.
#[derive(Default)]
struct Jotted {
    count: Option<u8>,
    ohms: Option<Ohms>,
    /// A number without any unit, which may be a count or ohms.
    bare: Vec<String>,
    watts: Option<Watts>,
    volts: Option<Volts>,
    tolerance: Option<Fraction>,
    kind: Option<ResistorKind>,
    mounting: Option<Mounting>,
    derating: Option<Fraction>,
    name: Option<String>,
}

/// Found and expected.
type Wrong = (String, String);

fn entry(line: &str) -> Result<Owned, Wrong> {
    let (line, name) = name_of(line)?;
    if commas_are_unclear(&line) {
        let expected = format!("decimal points, or blanks between the values, as in {EXAMPLE}");
        return Err((line.trim().to_owned(), expected));
    }
    let words = words_of(&line);
    let mut jotted = Jotted {
        name,
        ..Jotted::default()
    };
    let mut rest = words.as_slice();
    while let Some(first) = rest.first() {
        let taken = jotted.take(rest)?;
        if taken == 0 {
            return Err((
                first.clone(),
                "a value with its unit, a kind (wire-wound, aluminium-housed, cement, metal oxide, metal film, carbon composition), a \
                 mounting (bare, on a plate, boxed in), or a name in quotes"
                    .to_owned(),
            ));
        }
        rest = rest.get(taken..).unwrap_or_default();
    }
    jotted.settled(&line)
}

/// A name in quotes is taken out first: nothing in it is read.
fn name_of(line: &str) -> Result<(String, Option<String>), Wrong> {
    let quote = |c: char| matches!(c, '"' | '\u{201c}' | '\u{201d}' | '\u{201e}');
    let Some((before, rest)) = line.split_once(quote) else {
        return Ok((line.to_owned(), None));
    };
    let Some((name, after)) = rest.split_once(quote) else {
        return Err((line.to_owned(), "a quote that closes the name".to_owned()));
    };
    Ok((format!("{before} {after}"), Some(name.trim().to_owned())))
}

/// `4,10k,25W`: four of them, or 4.1 kΩ?
fn commas_are_unclear(line: &str) -> bool {
    let letters: Vec<char> = line.chars().collect();
    let at = |place: usize| letters.get(place).copied();
    let commas = (0..letters.len()).filter(|place| at(*place) == Some(','));
    let (mut decimal, mut parting) = (0, 0);
    for place in commas {
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        let before = place.checked_sub(1).and_then(at);
        if digit(before) && digit(at(place + 1)) {
            decimal += 1;
        } else if at(place + 1).is_some_and(|c| !c.is_whitespace()) {
            parting += 1;
        }
    }
    decimal > 0 && parting > 0
}

/// The words of a line, with a number and its unit as one and every mark of a count by itself.
fn words_of(line: &str) -> Vec<String> {
    let mut line = line
        .replace("+/-", "±")
        .replace("+-", "±")
        .replace('\u{2212}', "-")
        .replace('½', "0.5")
        .replace('¼', "0.25");
    for (fraction, decimal) in [("1/2", "0.5"), ("1/4", "0.25"), ("1/8", "0.125")] {
        line = with_fraction(&line, fraction, decimal);
    }
    let letters: Vec<char> = line.chars().collect();
    let mut spaced = String::new();
    for (at, letter) in letters.iter().enumerate() {
        let before = at.checked_sub(1).and_then(|b| letters.get(b)).copied();
        let after = letters.get(at + 1).copied();
        let between = |test: fn(&char) -> bool| {
            before.is_some_and(|b| test(&b)) && after.is_some_and(|a| test(&a))
        };
        match letter {
            'x' | 'X' | '×' | '✕' | '*' if is_count_mark(before, after) => {
                spaced.push_str(" × ");
            }
            ',' if between(char::is_ascii_digit) => spaced.push('.'),
            ',' | ';' | '/' | '|' | '(' | ')' | '[' | ']' | '@' | ':' | '\t' => spaced.push(' '),
            other => spaced.push(*other),
        }
    }
    joined(&spaced)
}

/// `1/2` as a fraction where no other digit stands before or behind it: `10/25` is ten ohms and twenty-five watts.
fn with_fraction(line: &str, fraction: &str, decimal: &str) -> String {
    let Some((before, after)) = line.split_once(fraction) else {
        return line.to_owned();
    };
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let is_watts = after.trim_start().to_lowercase().starts_with('w');
    if is_watts && !digit(before.chars().last()) && !digit(after.chars().next()) {
        format!("{before}{decimal}{after}")
    } else {
        line.to_owned()
    }
}

/// An x between a count and what is counted; the one in `box` is none.
fn is_count_mark(before: Option<char>, after: Option<char>) -> bool {
    let opens =
        |c: Option<char>| c.is_none_or(|c| c.is_whitespace() || c.is_ascii_digit() || c == '(');
    let closes = |c: Option<char>| {
        c.is_none_or(|c| {
            c.is_whitespace() || c.is_ascii_digit() || matches!(c, '.' | ')' | ',' | ';')
        })
    };
    opens(before) && closes(after)
}

/// Numbers joined with the unit that stands behind them.
fn joined(line: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in line.split_whitespace() {
        let sign = |w: &String| w == "±";
        match words.last_mut() {
            Some(number) if is_number(number) && is_unit(word) => number.push_str(word),
            // 10 k Ω
            Some(value) if is_value_to_go_on(value) && is_ohms(word) => value.push_str(word),
            Some(value) if sign(value) => value.push_str(word),
            _ => words.push(word.to_owned()),
        }
    }
    words
}

fn is_number(word: &str) -> bool {
    let word = word.trim_start_matches('±');
    !word.is_empty()
        && word.chars().any(|c| c.is_ascii_digit())
        && word.chars().all(|c| c.is_ascii_digit() || c == '.')
}

fn is_value_to_go_on(word: &str) -> bool {
    let mut all = word.chars();
    let last = all.next_back();
    last.is_some_and(|c| matches!(c, 'k' | 'K' | 'M')) && is_number(all.as_str())
}

fn is_ohms(word: &str) -> bool {
    let small = word.to_lowercase();
    ["ω", "ohm", "ohms", "\u{2126}"].contains(&small.trim_end_matches('.'))
}

fn is_unit(word: &str) -> bool {
    let small = word.to_lowercase();
    let small = small.trim_end_matches('.');
    is_ohms(word)
        || [
            "k",
            "m",
            "g",
            "r",
            "kω",
            "mω",
            "gω",
            "kohm",
            "kohms",
            "mohm",
            "mohms",
            "k\u{2126}",
            "m\u{2126}",
            "w",
            "watt",
            "watts",
            "kw",
            "mw",
            "v",
            "volt",
            "volts",
            "kv",
            "%",
            "vdc",
        ]
        .contains(&small)
}

impl Jotted {
    /// Takes what the first of these words say; how many they are.
    fn take(&mut self, words: &[String]) -> Result<usize, Wrong> {
        let first = words.first().map_or("", String::as_str);
        let second = words.get(1).map_or("", String::as_str);
        let one_more = |now: bool| if now { Ok(2) } else { Ok(1) };
        // A count: `4 ×`, `× 4`, `4 pcs`, `qty 4`.
        if first.chars().all(|c| c.is_ascii_digit()) && (second == "×" || is_pieces(second)) {
            return once(&mut self.count, counted(first)?, first).and_then(|()| one_more(true));
        }
        let is_mark =
            first == "×" || ["qty", "quantity", "count"].contains(&first.to_lowercase().as_str());
        if is_mark && second.starts_with(|c: char| c.is_ascii_digit()) {
            return once(&mut self.count, counted(second)?, second).and_then(|()| one_more(true));
        }
        if let Some(number) = pieces_in(first) {
            return once(&mut self.count, counted(number)?, first).and_then(|()| one_more(false));
        }
        if first.to_lowercase().starts_with("derat") {
            let share = second
                .parse::<Fraction>()
                .ok()
                .filter(|_| second.ends_with('%'));
            let expected = "the share of its watts that you allow, as in derated 30 %";
            let share = share.ok_or_else(|| (format!("{first} {second}"), expected.to_owned()))?;
            return once(&mut self.derating, share, first).and_then(|()| one_more(true));
        }
        if first.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '±' | '.' | 'R' | '-'))
            && first.chars().any(|c| c.is_ascii_digit())
        {
            return self.value(first).and_then(|()| one_more(false));
        }
        if let Some(tolerance) = tolerance_named(first).filter(|_| self.ohms.is_some()) {
            return once(&mut self.tolerance, tolerance, first).and_then(|()| one_more(false));
        }
        for many in (1..=words.len().min(4)).rev() {
            let said = words.get(..many).unwrap_or_default().join(" ");
            if let Some(mounting) = mounting_named(&said) {
                return once(&mut self.mounting, mounting, &said).map(|()| many);
            }
            if let Some(kind) = kind_named(&said) {
                return once(&mut self.kind, kind, &said).map(|()| many);
            }
        }
        // Said of every one of them.
        let filler = [
            "resistor",
            "resistors",
            "of",
            "each",
            "and",
            "&",
            "is",
            "are",
            "in",
        ];
        Ok(usize::from(filler.contains(&first.to_lowercase().as_str())))
    }

    /// A number with its unit.
    fn value(&mut self, word: &str) -> Result<(), Wrong> {
        if let Some(tolerance) = tolerance_named(word) {
            return once(&mut self.tolerance, tolerance, word);
        }
        let plain = word.trim_end_matches('.');
        if is_number(plain) {
            self.bare.push(plain.to_owned());
            return Ok(());
        }
        let small = plain.to_lowercase();
        if small.ends_with('w') || small.ends_with("watt") || small.ends_with("watts") {
            let watts = plain
                .parse::<Watts>()
                .map_err(|wrong| (wrong.found, wrong.expected))?;
            return once(&mut self.watts, watts, word);
        }
        if small.ends_with('v')
            || small.ends_with("volt")
            || small.ends_with("volts")
            || small.ends_with("vdc")
        {
            let text = small
                .strip_suffix("dc")
                .map_or(plain, |cut| plain.get(..cut.len()).unwrap_or(plain));
            let volts = text
                .parse::<Volts>()
                .map_err(|wrong| (wrong.found, wrong.expected))?;
            return once(&mut self.volts, volts, word);
        }
        let (ohms, tolerance) = ohms_of(plain).ok_or_else(|| {
            (
                word.to_owned(),
                format!("ohms, watts or volts with their unit, as in {EXAMPLE}"),
            )
        })?;
        if let Some(tolerance) = tolerance {
            once(&mut self.tolerance, tolerance, word)?;
        }
        once(&mut self.ohms, ohms, word)
    }

    /// The entry, if all is there that has to be.
    fn settled(mut self, line: &str) -> Result<Owned, Wrong> {
        for bare in std::mem::take(&mut self.bare) {
            match (self.ohms, self.count, counted(&bare)) {
                // `4 10k 25 W`: what has a unit is the ohms.
                (Some(_), None, Ok(count)) => self.count = Some(count),
                (None, _, _) => {
                    let ohms = bare
                        .parse::<Ohms>()
                        .map_err(|wrong| (wrong.found, wrong.expected))?;
                    self.ohms = Some(ohms);
                }
                _ => return Err((bare, format!("a number with its unit, as in {EXAMPLE}"))),
            }
        }
        let missing = |what: &str| (line.trim().to_owned(), format!("{what}, as in {EXAMPLE}"));
        let resistance = self.ohms.ok_or_else(|| missing("ohms"))?;
        let power = self.watts.ok_or_else(|| missing("its watts"))?;
        within("ohms", resistance, OHMS)?;
        within("watts", power, WATTS)?;
        if let Some(volts) = self.volts {
            within("volts", volts, VOLTS)?;
        }
        let tolerance = self.tolerance.unwrap_or(USUAL_TOLERANCE);
        within("a tolerance", tolerance, 0.0..=0.9)?;
        if let Some(share) = self.derating {
            within("a share", share, 1e-3..=1.0)?;
        }
        Ok(Owned {
            count: self.count.unwrap_or(1),
            resistor: Resistor {
                name: self.name.unwrap_or_default(),
                resistance,
                power,
                tolerance,
                working_volts: self.volts,
                kind: self.kind,
                mounting: self.mounting.unwrap_or_default(),
                derating: self.derating,
            },
        })
    }
}

/// An entry as a line that [`read_lines`] reads again. A quote in its name is written as an apostrophe.
pub fn write_line(owned: &Owned) -> String {
    let Owned { count, resistor } = owned;
    let mut words = Vec::new();
    if *count > 1 {
        words.push(format!("{count} ×"));
    }
    words.push(format!("{} {}", resistor.resistance, resistor.power));
    if resistor.tolerance != USUAL_TOLERANCE {
        words.push(resistor.tolerance.to_string());
    }
    words.extend(resistor.working_volts.map(|volts| volts.to_string()));
    words.extend(resistor.kind.map(|kind| kind_word(kind).to_owned()));
    if resistor.mounting != Mounting::default() {
        words.push(mounting_word(resistor.mounting).to_owned());
    }
    words.extend(resistor.derating.map(|share| format!("derated {share}")));
    if !resistor.name.is_empty() {
        words.push(format!("\"{}\"", resistor.name.replace('"', "'")));
    }
    words.join(" ")
}

/// What of a text could not be read, to be mended: its lines, behind the headings where it is a table.
pub fn leftover(text: &str, lines: &Lines) -> String {
    let heading = is_table(text).then(|| text.lines().find(|line| !line.trim().is_empty()));
    let at_fault = lines.faults.iter().filter_map(|fault| {
        let place = fault.line.checked_sub(1)?;
        text.lines().nth(place)
    });
    let all: Vec<&str> = match at_fault.collect::<Vec<_>>() {
        none if none.is_empty() => return String::new(),
        some => heading.flatten().into_iter().chain(some).collect(),
    };
    all.join("\n")
}

/// A value in its range.
pub(super) fn within<Q: crate::parts::quantity::Quantity>(
    what: &str,
    value: Q,
    range: std::ops::RangeInclusive<f64>,
) -> Result<(), Wrong> {
    if range.contains(&value.si()) {
        return Ok(());
    }
    let (low, high) = (Q::from_si(*range.start()), Q::from_si(*range.end()));
    Err((value.to_string(), format!("{what} from {low} to {high}")))
}

fn once<T>(place: &mut Option<T>, value: T, word: &str) -> Result<(), Wrong> {
    if place.is_some() {
        return Err((
            word.to_owned(),
            format!("it once: one kind of resistor a line, as in {EXAMPLE}"),
        ));
    }
    *place = Some(value);
    Ok(())
}

/// How many there are.
pub(super) fn counted(text: &str) -> Result<u8, Wrong> {
    let count = text.parse::<u8>().ok();
    count
        .filter(|count| (1..=MOST).contains(count))
        .ok_or_else(|| (text.to_owned(), format!("a count from 1 to {MOST}")))
}

fn is_pieces(word: &str) -> bool {
    let small = word.to_lowercase();
    [
        "pcs", "pc", "pieces", "piece", "off", "of", "nos", "units", "ea", "each",
    ]
    .contains(&small.trim_end_matches('.'))
}

/// The number in `4pcs`.
fn pieces_in(word: &str) -> Option<&str> {
    let end = word.find(|c: char| !c.is_ascii_digit())?;
    let (number, rest) = word.split_at_checked(end)?;
    (!number.is_empty() && is_pieces(rest)).then_some(number)
}

/// Ohms, and the tolerance by the letter behind them: `4k7J`, `10 kΩ`, `470R`, `4R7 K`.
pub(super) fn ohms_of(word: &str) -> Option<(Ohms, Option<Fraction>)> {
    let word = spelled_plainly(word);
    if let Ok(ohms) = word.parse::<Ohms>() {
        return Some((ohms, None));
    }
    // A letter behind a value that has a prefix or a unit already is its tolerance.
    let mut letters = word.chars();
    let tolerance = tolerance_letter(letters.next_back()?)?;
    let value = letters.as_str();
    let has_unit = value.chars().any(|c| c.is_alphabetic() || c == '\u{2126}');
    let ohms = value.parse::<Ohms>().ok().filter(|_| has_unit)?;
    Some((ohms, Some(tolerance)))
}

/// Ohms spelled out, in whatever capitals, as the unit is read.
fn spelled_plainly(word: &str) -> String {
    let small = word.to_lowercase();
    for ending in ["ohms", "ohm", "ω"] {
        let cut = small.strip_suffix(ending).map(str::len);
        if let Some(number) = cut.and_then(|cut| word.get(..cut)) {
            return number.trim_end_matches('-').trim().to_owned();
        }
    }
    word.to_owned()
}

#[cfg(test)]
mod tests;
