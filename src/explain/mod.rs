//! Results in words: takes what the physics and the bench give, compares and phrases it, computes nothing.
//!
//! The window, the terminal, the printed card and the tests all read the same sentences from here.
//! A name is lower case, to stand on a label or inside a sentence; a sentence begins with a capital and has
//! no full stop at its end.

pub mod accepted;
pub mod cautions;
pub mod change;
pub mod cycle;
pub mod diagnosis;
pub mod discharge;
pub mod energy;
pub mod failure;
pub mod glossary;
pub mod inrush;
pub mod kind;
pub mod limits;
pub mod load_line;
pub mod mains;
pub mod needs;
pub mod networks;
pub mod new_supply;
pub mod number;
pub mod odds;
pub mod plan;
pub mod plot;
pub mod readings;
pub mod record;
pub mod regulation;
pub mod resistor;
#[cfg(test)]
pub(crate) mod samples;
pub mod table;
pub mod tour;
pub mod tube;
pub mod why;
pub mod worked;

use crate::parts::Stage;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing to worry about.
    Fine,
    /// Good to know, or not known.
    Remark,
    /// Inside, but the last tenth of something is in use.
    Near,
    /// A limit is exceeded.
    Over,
}

/// A number behind a finding, ready to stand in a column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// What it is, in lower case.
    pub what: String,
    /// Its value with unit, three significant figures.
    pub text: String,
}

/// Something worth saying.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The stage that it is about.
    pub about: Stage,
    /// How much it matters.
    pub severity: Severity,
    /// It, in one sentence without a full stop.
    pub sentence: String,
    /// The numbers in it.
    pub numbers: Vec<Number>,
}

/// Share of a limit from which it counts as near (common practice, no source).
pub const NEAR: f64 = 0.9;

impl Severity {
    /// Of a limit with this `actual / allowed`.
    pub fn of_ratio(ratio: f64) -> Self {
        if ratio > 1.0 {
            Self::Over
        } else if ratio >= NEAR {
            Self::Near
        } else {
            Self::Fine
        }
    }
}

/// A text as it stands by itself: one of more than one clause ends with a full stop, a label does not.
pub fn sentence(text: &str) -> String {
    let clauses = ["; ", ": ", ". "].iter().any(|mark| text.contains(mark));
    if clauses {
        ended(text)
    } else {
        text.to_owned()
    }
}

/// A text that another sentence follows: it ends with a full stop, if with no other mark.
pub fn ended(text: &str) -> String {
    let stop = match text.chars().last() {
        None | Some('.' | '!' | '?' | ':' | '…') => "",
        Some(_) => ".",
    };
    format!("{text}{stop}")
}

/// `text` with a capital at its start, as a sentence begins.
pub fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
