//! The words of the trade, each in a sentence or two; our own words are marked as such.

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

const fn term(name: &'static str, also: &'static str, meaning: &'static str) -> Term {
    Term {
        name,
        also,
        meaning,
    }
}

/// All words, in the order of the alphabet.
pub const TERMS: &[Term] = &[
    term(
        "bias rail",
        "negative c minus raw gas winding",
        "The negative supply of the regulator, from a winding and rectifier of its own. It carries the control tube's cathode or the foot of the divider below the output's negative terminal, so that the output can reach 0 V. Its volts follow the mains unless gas tubes hold them",
    ),
    term(
        "bleeder",
        "resistor discharge",
        "A resistor across the bus that empties the capacitors after switch-off. It may fail open: measure the bus all the same",
    ),
    term(
        "bus",
        "rail unregulated b+ plate supply",
        "The unregulated direct voltage after the filter, on the plates of the pass tubes. It sags with the load and carries what is left of the ripple",
    ),
    term(
        "bus valley",
        "trough ripple lowest",
        "The lowest instant of the bus in a mains cycle. The regulator must work there too, so it decides the dropout line, not the mean",
    ),
    term(
        "capacitor volts, no load",
        "working filter stress electrolytic rating",
        "What stands on a filter capacitor with nothing connected at high mains, against its working volts. In a series stack the units share it, evenly only as far as their balancing resistors see to it",
    ),
    term(
        "choke current",
        "inductor direct saturation",
        "The direct current through a choke against its rating. Above it the core saturates, the inductance falls and the ripple rises",
    ),
    term(
        "conduction angle",
        "pulse degrees rectifier",
        "The part of the mains cycle, in degrees, in which one rectifier plate conducts. The shorter it is, the higher the peak for the same mean current",
    ),
    term(
        "control range",
        "set range knob low high",
        "The output volts between the two ends of the knob. Outside it the supply is not overloaded, it just cannot be set there",
    ),
    term(
        "control tube",
        "amplifier error triode pentode compare",
        "The small tube that compares a part of the output with the reference and drives the grids of the pass tubes. Its plate stands where those grids stand, so it cannot pull them lower than its own least plate volts",
    ),
    term(
        "droop",
        "sag load regulation no full",
        "How far the output falls from no load to the load at the same setting of the knob: the output resistance over the whole way",
    ),
    term(
        "dropout line",
        "regulation lost headroom",
        "The highest output volts at each current at which the valley of the bus still leaves the pass tubes their least drop. Above it the output follows the bus and hums",
    ),
    term(
        "dummy load",
        "resistor test dummies",
        "A resistor of known ohms and watts in place of the real load, to test the supply with. Its own ratings are limits as well",
    ),
    term(
        "envelope",
        "operating area region inside",
        "The part of the volt–ampere plane in which no limit is exceeded. Inside it the supply may run for good; outside, something is overloaded or out of regulation",
    ),
    term(
        "filter",
        "capacitor choke smoothing section c1 c2",
        "The capacitors and chokes or resistors between rectifier and pass tubes. They store between the pulses and take most of the ripple out",
    ),
    term(
        "filter stress zone",
        "band top capacitor near",
        "The band of bus volts from 90 to 100 % of the working volts of the last filter capacitor. Above it the capacitor is over its rating, load or no load",
    ),
    term(
        "gas reference",
        "glow tube vr voltage 0a2 5651 strike ignition",
        "A glow tube that keeps nearly the same volts over a range of current. Below its least current it goes out or wanders, above its highest it wears; it strikes only from more volts than it runs at",
    ),
    term(
        "ghost",
        "outline earlier variant compare",
        "A word of this program: an earlier variant of the supply, kept on the plot in outline to compare with",
    ),
    term(
        "grid resistor",
        "leak gas current runaway circuit",
        "The resistance between a grid and what holds it. A hot or gassy tube sends a little current out of its grid; through a large resistor that current lifts the grid, the tube runs hotter still, and may run away. Several grids on one resistor share what the maker allows for one",
    ),
    term(
        "grid-drive floor",
        "lowest output zero negative pull down light load",
        "The lowest output volts at each current down to which the control tube can pull the grids of the pass tubes. Below it the output stays higher than the knob says. Little load and high mains raise it; a deeper bias rail lowers it",
    ),
    term(
        "heaters and core",
        "auxiliary filament windings magnetising",
        "What the transformer takes for its other windings, heaters above all, and for its core; it loads the primary, not the high voltage",
    ),
    term(
        "heater–cathode volts",
        "insulation elevated winding filament",
        "The volts between a heater and its cathode against their rating. The cathodes of the pass tubes stand at the output, so a heater tied to the chassis sees the whole output volts",
    ),
    term(
        "high mains",
        "low nominal line volts wall",
        "The highest and lowest wall volts to reckon with. High mains load rectifier, capacitors and pass tubes; low mains bring dropout down",
    ),
    term(
        "inrush",
        "surge switch-on hot",
        "The first current pulses into empty capacitors. Many rectifier tubes have a rating of their own for them",
    ),
    term(
        "least drop",
        "headroom minimum pass tube",
        "The plate-to-cathode volts that the pass tubes need at a current with the grid as far up as the control can drive it",
    ),
    term(
        "load line",
        "ray ohms straight",
        "The straight line of a resistor in the volt–ampere plane: volts over current are its ohms. Turning the knob moves the point along it",
    ),
    term(
        "loop gain",
        "feedback amplification divider",
        "How much stronger the control tube answers a change of the output than the change itself: its amplification times the share that the divider hands to its grid. Output resistance and hum fall by one more than it",
    ),
    term(
        "mains regulation",
        "line stability change",
        "How far the output moves when the mains go from low to high at the same setting of the knob",
    ),
    term(
        "margin",
        "use share left used per cent",
        "What is left of a limit, one less its use. The use is the actual value over the allowed one: 80 % use leaves 20 % margin",
    ),
    term(
        "output",
        "terminals knob load",
        "Where the load is connected. What is asked of it, volts and current, is the point in the plane",
    ),
    term(
        "output resistance",
        "source impedance internal stiff slope",
        "How many volts the output falls for each ampere more. Without the loop it is the pass tubes' own cathode resistance; the loop divides it, until dropout",
    ),
    term(
        "pass tube",
        "series regulator valve stage",
        "The tube between bus and output that drops whatever is too much. Its dissipation is its drop times its current, so low volts at high current are hardest on it",
    ),
    term(
        "peak inverse volts",
        "piv reverse rectifier no load",
        "What a rectifier plate must block while the other one conducts. With a capacitor input it comes to about twice the crest of a half-winding",
    ),
    term(
        "plate current",
        "cathode limit pass",
        "The mean current of the hardest-worked pass tube section against its rating. Sections in parallel never share it quite evenly",
    ),
    term(
        "plate dissipation",
        "watts heat anode pass tube",
        "The heat of a plate: volts across the tube times its current. Above the rating the plate glows, gas is set free and the tube is lost",
    ),
    term(
        "plate volts",
        "anode rating pass tube bus",
        "The volts between plate and cathode of a pass tube against its rating. They are highest with the knob turned down and little load",
    ),
    term(
        "preload",
        "minimum load resistor inside",
        "A resistor across the output inside the supply. It draws a little current with nothing connected, so that the pass tubes need less negative grids: it lowers the grid-drive floor",
    ),
    term(
        "rating system",
        "absolute-maximum design-centre design-maximum iec 60134",
        "How a published rating is meant (IEC 60134). Design-centre: judged at nominal mains, the maker kept a reserve. Design-maximum: for a tube of average data in bad conditions. Absolute-maximum: never to be exceeded, not even by a bad part at high mains",
    ),
    term(
        "rectifier",
        "diode tube silicon mercury half wave bridge full wave",
        "The tubes or diodes that let current through one way only, from the winding into the filter, in short pulses near the crests of the mains",
    ),
    term(
        "rectifier DC",
        "mean output current",
        "The direct current out of the rectifier against its rating, bleeder and internal currents included",
    ),
    term(
        "rectifier peak",
        "pulse plate current steady",
        "The highest instant of a rectifier plate's current in each cycle. A larger first capacitor makes the pulses shorter and higher",
    ),
    term(
        "regulation",
        "hold stiff",
        "Holding the output volts while load and mains change. It ends at the dropout line",
    ),
    term(
        "ripple",
        "hum bus peak-to-peak",
        "What varies on the bus at twice the mains frequency (once, with a half-wave rectifier). The regulator takes most of it out, as long as the valley stays above dropout",
    ),
    term(
        "ripple current",
        "capacitor rms heating",
        "The rms current that charges and discharges a capacitor. It heats the capacitor; electrolytics have a rating for it",
    ),
    term(
        "sense divider",
        "foot tap sample output potentiometer",
        "The resistors from the output to a fixed point, its foot, that hand a part of the output to the control tube's grid. The knob moves the tap",
    ),
    term(
        "starting volts",
        "strike ignition gas tube dark glow",
        "The volts before its feed resistor with which a gas reference surely strikes. Until it does it carries nothing and holds nothing; on a low day it may stay dark, or start late",
    ),
    term(
        "supply resistance",
        "source winding plate per transformer",
        "The resistance in series with each rectifier plate: its half-winding and the primary seen through the turns ratio. It rounds the pulses and makes the bus sag",
    ),
    term(
        "surge volts",
        "capacitor short time no load",
        "What an electrolytic bears for a short time only, as before the tubes are warm. It is no rating to live at",
    ),
    term(
        "transformer",
        "secondary primary winding copper",
        "It makes the high voltage from the mains. Its copper is the larger part of the resistance in series with the rectifier",
    ),
    term(
        "winding rms",
        "transformer secondary heating copper",
        "The rms current of the high-voltage winding. Short pulses heat the copper more than the same mean current would",
    ),
    term(
        "zero setting",
        "reverse negative knob end drift",
        "The lower end of the knob. What the output really does there depends on the bias rail and the reference: at some mains it may stay above zero, at others turn negative, which harms electrolytics and meters connected to it",
    ),
    term(
        "zero-bias curve",
        "grid plate characteristic triode",
        "Plate current over plate volts with the grid at its cathode. It tells the least drop of a pass tube whose grid cannot be driven positive",
    ),
];

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
    named(match limit {
        Limit::Dropout => "dropout line",
        Limit::SetRangeHigh | Limit::SetRangeLow => "control range",
        Limit::PlateDissipation | Limit::EnvelopeDissipation => "plate dissipation",
        Limit::GridFloor => "grid-drive floor",
        Limit::HeaterCathode | Limit::HeaterAboveCathode | Limit::ControlHeaterCathode => {
            "heater–cathode volts"
        }
        Limit::ReferenceStrike(_) => "starting volts",
        Limit::ReferenceLeast(_) | Limit::ReferenceMost(_) => "gas reference",
        Limit::ControlPlateVolts
        | Limit::ControlPlateDissipation
        | Limit::ControlScreenVolts
        | Limit::ControlScreenDissipation => "control tube",
        Limit::PlateCurrent => "plate current",
        Limit::PlateVolts => "plate volts",
        Limit::RectifierDc => "rectifier DC",
        Limit::RectifierPeak => "rectifier peak",
        Limit::RectifierPeakInverse => "peak inverse volts",
        Limit::WindingRms => "winding rms",
        Limit::CapacitorRipple(_) => "ripple current",
        Limit::ChokeCurrent(_) => "choke current",
        Limit::CapacitorVolts(_) => "capacitor volts, no load",
        Limit::CapacitorSurge(_) => "surge volts",
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parts::catalogue::{Catalogue, presets};
    use crate::parts::file::read;
    use crate::physics::limit;

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
            assert!(!term.meaning.ends_with('.'), "{}", term.name);
            assert!(
                term.meaning.starts_with(char::is_uppercase),
                "{}",
                term.name
            );
        }
    }

    #[test]
    fn every_limit_has_its_word() {
        for limit in presets()
            .iter()
            .flat_map(|(_, text)| limit::all(&read(text, &Catalogue::built_in()).unwrap()))
        {
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
