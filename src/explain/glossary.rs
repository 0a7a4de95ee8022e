//! The words of the trade, each in a sentence or two; our own words are marked as such.

mod terms;

pub use terms::TERMS;

use crate::explain::limits::words::words;
use crate::parts::Stage;
use crate::physics::limit::Limit;

/// A word and what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// The word, in lower case unless it is an abbreviation.
    pub name: &'static str,
    /// Other words under which it is looked for, separated by blanks.
    pub also: &'static str,
    /// What it means: sentences without a full stop at the end.
    pub meaning: &'static str,
}

/// The words in which everything typed is found, in name, other words or meaning; names first.
pub fn find(typed: &str) -> Vec<&'static Term> {
    let wanted: Vec<String> = typed.split_whitespace().map(str::to_lowercase).collect();
    let all_in = |text: &str| {
        let text = text.to_lowercase();
        wanted.iter().all(|word| text.contains(word.as_str()))
    };
    let (named, rest): (Vec<&Term>, Vec<&Term>) = TERMS.iter().partition(|term| all_in(term.name));
    let about = rest
        .into_iter()
        .filter(|term| all_in(&format!("{} {} {}", term.name, term.also, term.meaning)));
    named.into_iter().chain(about).collect()
}

/// The word of this name.
pub fn named(name: &str) -> Option<&'static Term> {
    TERMS.iter().find(|term| term.name == name)
}

/// The word that a part of the signal path is explained under.
pub fn of_stage(stage: Stage) -> Option<&'static Term> {
    named(match stage {
        Stage::Mains => "high mains",
        Stage::Transformer => "transformer",
        Stage::Rectifier => "rectifier",
        Stage::Filter => "filter",
        Stage::PassStage => "pass tube",
        Stage::Regulator => "regulation",
        Stage::Output => "output",
        Stage::Dummies => "dummy load",
    })
}

/// The word that a short text is about: the longest of the glossary that stands in it.
pub fn within(text: &str) -> Option<&'static Term> {
    let text = text.to_lowercase();
    let stands = |name: &str| {
        let name = name.to_lowercase();
        text.match_indices(&name).any(|(at, found)| {
            let before = text.get(..at).and_then(|t| t.chars().next_back());
            let after = text.get(at + found.len()..).and_then(|t| t.chars().next());
            let letter = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
            // A plural is the same word.
            !letter(before) && (!letter(after) || after == Some('s'))
        })
    };
    let short = |term: &Term| term.name.trim_end_matches(" line").to_owned();
    TERMS
        .iter()
        .filter(|term| stands(term.name) || stands(&short(term)))
        .max_by_key(|term| term.name.len())
}

/// The word under which a limit is explained.
pub fn of_limit(limit: Limit) -> Option<&'static Term> {
    named(words(limit).term)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_in_order_and_meanings_read_as_sentences() {
        for pair in TERMS.windows(2) {
            let [a, b] = pair else { continue };
            assert!(
                a.name.to_lowercase() < b.name.to_lowercase(),
                "{} before {}",
                a.name,
                b.name
            );
        }
        for term in TERMS {
            assert!(term.meaning.ends_with('.'), "{}", term.name);
            assert!(
                term.meaning.starts_with(char::is_uppercase),
                "{}",
                term.name
            );
        }
    }

    #[test]
    fn every_field_of_the_cards_leads_somewhere() {
        for field in [
            "balancing resistor",
            "bias rail",
            "bleeder",
            "bulk ohms",
            "cathode resistor",
            "clean rail",
            "control tube",
            "crest factor",
            "derating",
            "divider",
            "emission",
            "grid limit",
            "heater",
            "hot",
            "imbalance",
            "internal current",
            "least plate volts",
            "meter shunt",
            "one unit out",
            "peak inverse",
            "plate load",
            "plate resistor",
            "preload",
            "saturation",
            "screen",
            "screen share",
            "output range",
            "tolerance",
            "tube spread",
            "winding rms",
            "working volts",
        ] {
            let found = find(field);
            let word = field.trim_end_matches('s');
            let leads = |term: &&'static Term| {
                let text = format!("{} {}", term.name, term.also);
                word.split(' ').all(|part| text.contains(part))
            };
            assert!(found.iter().any(leads), "{field}: {found:?}");
        }
    }

    #[test]
    fn every_limit_has_its_word() {
        for limit in Limit::KINDS {
            assert!(of_limit(limit).is_some(), "{limit:?}");
        }
    }

    #[test]
    fn the_word_a_text_is_about_is_the_longest_that_stands_in_it() {
        for (text, word) in [
            ("bus ripple", Some("ripple")),
            ("dropout", Some("dropout line")),
            ("Dummy loads", Some("dummy load")),
            ("rectifier peak", Some("rectifier peak")),
            ("ripple current, C1", Some("ripple current")),
            ("primary copper", None),
            ("busy", None),
        ] {
            assert_eq!(within(text).map(|t| t.name), word, "{text}");
        }
        for stage in Stage::PATH {
            assert!(of_stage(stage).is_some(), "{stage:?}");
        }
    }

    #[test]
    fn a_word_is_found_by_name_by_its_other_words_and_by_meaning() {
        assert_eq!(
            find("dropout").first().map(|t| t.name),
            Some("dropout line")
        );
        assert!(find("PIV").iter().any(|t| t.name == "peak inverse volts"));
        assert!(find("glows").iter().any(|t| t.name == "plate dissipation"));
        assert_eq!(find("").len(), TERMS.len());
        assert!(find("no such word").is_empty());
    }
}
