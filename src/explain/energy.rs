//! Words for where the watts go.

use crate::explain::number;
use crate::parts::{SeriesElement, Supply};
use crate::physics::energy::{Energy, Share, Sink};

/// Accessible name of the view.
pub const NAME: &str = "Where the watts go";

/// Words of the glossary that the view uses.
pub const WORDS: [&str; 3] = ["heaters and core", "pass tube", "bleeder"];

/// Above the view: `64.2 W from the mains at 250 V, 40 mA`.
pub fn title(energy: &Energy) -> String {
    format!(
        "{} from the mains at {}, {}",
        number::watts(energy.mains_watts),
        number::volts(energy.volts),
        number::amps(energy.amps)
    )
}

/// The title, and the same in fewer words for a narrow window: `61 W at 250 V, 40 mA`.
pub fn titles(energy: &Energy) -> [String; 2] {
    let whole = title(energy);
    let short = whole.replacen(" from the mains", "", 1);
    [whole, short]
}

/// What a sink is called.
pub fn name(sink: Sink, supply: &Supply) -> String {
    let filter = &supply.filter;
    let chokes = filter
        .sections
        .iter()
        .filter(|s| matches!(s.series, SeriesElement::Choke { .. }))
        .count();
    match sink {
        Sink::Auxiliary => "heaters and core".to_owned(),
        Sink::PrimaryCopper => "primary copper".to_owned(),
        Sink::SecondaryCopper => "secondary copper".to_owned(),
        Sink::PlateResistors => "plate resistors".to_owned(),
        Sink::Rectifier => format!("rectifier {}", supply.rectifier.kind.name),
        Sink::Choke(k) if chokes > 1 => format!("choke {}", u32::from(k) + 1),
        Sink::Choke(_) => "choke".to_owned(),
        Sink::FilterResistor(k) if filter.sections.len() > chokes + 1 => {
            format!("filter resistor {}", u32::from(k) + 1)
        }
        Sink::FilterResistor(_) => "filter resistor".to_owned(),
        Sink::Balancing => "balancing resistors".to_owned(),
        Sink::Bleeder => "bleeder".to_owned(),
        Sink::Internal => "internal current".to_owned(),
        Sink::NegativeRail => "negative rail".to_owned(),
        Sink::PassTubes if supply.pass_stage.units <= 1 => {
            format!("pass tube {}", supply.pass_stage.tube.name)
        }
        Sink::PassTubes => format!("pass tubes {}", supply.pass_stage.tube.name),
        Sink::PassResistors => "cathode resistors".to_owned(),
        Sink::MeterShunt => "meter shunt".to_owned(),
        Sink::Load => "load".to_owned(),
    }
}

/// A share in watts and per cent: `12.3 W · 19 %`. What is there is never none of it.
pub fn amount(share: &Share, energy: &Energy) -> String {
    let ratio = share.watts / energy.mains_watts;
    let of_all = if 0.0 < ratio && ratio < 0.005 {
        "< 1 %".to_owned()
    } else {
        number::per_cent(ratio)
    };
    format!("{} · {of_all}", number::watts(share.watts))
}

/// The whole flow for those who cannot see it, the largest share first.
pub fn in_words(energy: &Energy, supply: &Supply) -> String {
    let mut shares: Vec<&Share> = energy.shares.iter().collect();
    shares.sort_by(|a, b| b.watts.total_cmp(&a.watts));
    let parts: Vec<String> = shares
        .iter()
        .map(|s| format!("{} {}", name(s.sink, supply), number::watts(s.watts)))
        .collect();
    format!(
        "{} from the mains: {}",
        number::watts(energy.mains_watts),
        parts.join(", ")
    )
}
