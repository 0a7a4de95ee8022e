//! Networks from the drawer in words: how they are wired, what each resistor takes, which loads show an envelope.

use crate::bench::networks::{Element, FARTHEST, Found, MOST_RESISTORS, Margin, Network, Wanted};
use crate::bench::showing::{Purpose, Shows};
use crate::explain::{number, resistor};
use crate::parts::{Drawer, MadeOf, Ohms};

/// How it is wired: `2 × 10 kΩ in series`, `4.7 kΩ + (10 kΩ || 10 kΩ)`.
pub fn wiring(made_of: &MadeOf) -> String {
    let (parts, how) = match made_of {
        MadeOf::One(one) => return one.resistance.to_string(),
        MadeOf::Series(parts) => (parts, "in series"),
        MadeOf::Parallel(parts) => (parts, "in parallel"),
    };
    match all_alike(parts) {
        Some(ohms) if parts.len() > 1 => format!("{} × {ohms} {how}", parts.len()),
        _ => within(made_of),
    }
}

/// The resistance that all of these are single resistors of.
fn all_alike(parts: &[MadeOf]) -> Option<Ohms> {
    let MadeOf::One(first) = parts.first()? else {
        return None;
    };
    let same =
        |part: &MadeOf| matches!(part, MadeOf::One(one) if one.resistance == first.resistance);
    parts.iter().all(same).then_some(first.resistance)
}

/// With signs between, as a part of something larger.
fn within(made_of: &MadeOf) -> String {
    let (parts, sign) = match made_of {
        MadeOf::One(one) => return one.resistance.to_string(),
        MadeOf::Series(parts) => (parts, " + "),
        MadeOf::Parallel(parts) => (parts, " || "),
    };
    let said: Vec<String> = parts
        .iter()
        .map(|part| match part {
            MadeOf::One(_) => within(part),
            MadeOf::Series(_) | MadeOf::Parallel(_) => format!("({})", within(part)),
        })
        .collect();
    said.join(sign)
}

/// How far it is off what is wanted: `1.3 % high`, `right on`.
pub fn off(network: &Network) -> String {
    let per_cent = 100.0 * network.off;
    if per_cent.abs() < 0.05 {
        return "right on".to_owned();
    }
    let way = if per_cent > 0.0 { "high" } else { "low" };
    format!("{:.1} % {way}", per_cent.abs())
}

/// What one of its resistors takes: `10 kΩ 25 W: 158 V, 2.5 of 25 W`.
pub fn element(element: &Element) -> String {
    let printed = resistor::printed(&element.resistor);
    match (element.volts, element.watts) {
        (Some(volts), Some(watts)) => {
            let share = number::per_cent(watts / element.bears_watts);
            format!(
                "{printed}: {}, {} of {}, {share}",
                number::volts(volts),
                number::watts(watts),
                number::watts(element.bears_watts)
            )
        }
        _ => format!("{printed}: bears {}", number::watts(element.bears_watts)),
    }
}

/// Lowest and highest resistance by the tolerances: `3.56 kΩ to 3.94 kΩ`.
pub fn between(network: &Network) -> String {
    let [low, high] = network.between_ohms.map(number::ohms);
    format!("{low} to {high}")
}

/// What it bears as a whole, where that is known: `bears 480 V, 61 W`.
pub fn bears(network: &Network) -> Option<String> {
    let (volts, watts) = (network.most_volts?, network.most_watts()?);
    Some(format!(
        "bears {}, {}",
        number::volts(volts),
        number::watts(watts)
    ))
}

/// A network in one line: `3.75 kΩ, 1.1 % low: 2 × 7.5 kΩ in parallel`.
pub fn in_short(network: &Network) -> String {
    format!(
        "{}, {}: {}",
        number::ohms(network.ohms),
        off(network),
        wiring(&network.made_of)
    )
}

/// What is asked for: `3.79 kΩ for 250 V, 16.5 W`.
pub fn wanted(wanted: Wanted) -> String {
    let ohms = number::ohms(wanted.ohms);
    match wanted.volts {
        Some(volts) => format!(
            "{ohms} for {}, {}",
            number::volts(volts),
            number::watts(volts * volts / wanted.ohms)
        ),
        None => ohms,
    }
}

/// How much each resistor may take in these networks.
pub fn margin(margin: Margin) -> String {
    format!(
        "No resistor above {} of the watts or {} of the volts that it bears for long",
        number::per_cent(margin.watts),
        number::per_cent(margin.volts)
    )
}

/// Why there is no network, as a sentence.
pub fn none(found: &Found, asked: Wanted, drawer: &Drawer) -> String {
    if drawer.resistors.is_empty() {
        return EMPTY.to_owned();
    }
    match &found.would_be {
        Some(would_be) => {
            let hottest = would_be
                .elements
                .iter()
                .filter_map(|element| Some((element.watts? / element.bears_watts, element)))
                .max_by(|a, b| a.0.total_cmp(&b.0));
            let takes = hottest.map_or_else(String::new, |(_, hottest)| {
                format!(
                    "; there {} would take {} of {}",
                    resistor::printed(&hottest.resistor),
                    number::watts(hottest.watts.unwrap_or(f64::NAN)),
                    number::watts(hottest.bears_watts)
                )
            });
            format!(
                "Nothing in the drawer bears {}: the ohms alone would be had by {}{takes}",
                wanted(asked),
                wiring(&would_be.made_of)
            )
        }
        None => format!(
            "No {MOST_RESISTORS} resistors of the drawer, or fewer, come within {} of {}",
            number::per_cent(FARTHEST),
            number::ohms(asked.ohms)
        ),
    }
}

/// Said where there is nothing to choose from.
pub const EMPTY: &str = "The drawer is empty: put in the resistors that you have";

/// What a load is to show.
pub fn purpose(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::LightLoad => "light load",
        Purpose::MidRange => "mid range",
        Purpose::Dropout => "dropout",
        Purpose::Dissipation => "dissipation corner",
    }
}

/// What has to be wired anew for a load, coming from the one before.
pub fn changes(changes: usize) -> String {
    match changes {
        0 => "nothing to rewire".to_owned(),
        1 => "one change".to_owned(),
        many => format!("{many} changes"),
    }
}

/// A caution that stands beside networks.
pub const CAUTION: &str =
    "Wire loads with the plug out and the bus measured dead; bare terminals carry the full output";

/// Everything that was found, as lines for a terminal.
pub fn text(found: &Found, asked: Wanted, drawer: &Drawer, kept: Margin) -> String {
    let mut lines = vec![
        format!("Wanted: {}", wanted(asked)),
        margin(kept),
        String::new(),
    ];
    if found.networks.is_empty() {
        lines.push(none(found, asked, drawer));
    }
    for (place, network) in found.networks.iter().enumerate() {
        lines.push(format!("{}. {}", place + 1, in_short(network)));
        lines.extend(
            network
                .elements
                .iter()
                .map(|one| format!("   {}", element(one))),
        );
        let bears = bears(network).map_or_else(String::new, |bears| format!("; {bears}"));
        lines.push(format!(
            "   with its tolerances {}{bears}",
            between(network)
        ));
    }
    lines.push(String::new());
    lines.push(format!("{CAUTION}."));
    lines.join("\n") + "\n"
}

/// Which loads show an envelope, as lines for a terminal.
pub fn showing_text(shows: &[Shows]) -> String {
    let mut lines = vec!["Loads that show this envelope, as little rewired as can be:".to_owned()];
    for one in shows {
        let at = format!(
            "{} at {}",
            number::volts(one.at[1]),
            number::amps(one.at[0])
        );
        let load = match &one.network {
            Some(network) => format!("{} ({})", in_short(network), changes(one.changes)),
            None => "nothing in the drawer bears it".to_owned(),
        };
        lines.push(format!("  {}, {at}: {load}", purpose(one.purpose)));
    }
    lines.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::networks::{USUAL_MARGIN, networks};
    use crate::parts::drawer::read_lines;

    fn drawer(text: &str) -> Drawer {
        let mut drawer = Drawer::default();
        for (_, owned) in read_lines(text).read {
            drawer.put(owned);
        }
        drawer
    }

    fn said(stock: &str, ohms: f64, volts: f64) -> String {
        let drawer = drawer(stock);
        let wanted = Wanted {
            ohms,
            volts: Some(volts),
        };
        let found = networks(&drawer, wanted, USUAL_MARGIN);
        text(&found, wanted, &drawer, USUAL_MARGIN)
    }

    /// 200 V on 5 kΩ are 8 W, 4 W in each; 25 W on 10 kΩ are 500 V.
    #[test]
    fn a_network_is_said_with_what_each_resistor_takes() {
        let text = said("2 x 10k 25W ww", 5e3, 200.0);
        for words in [
            "Wanted: 5 kΩ for 200 V, 8 W\n",
            "No resistor above 80 % of the watts or 90 % of the volts that it bears for long\n",
            "1. 5 kΩ, right on: 2 × 10 kΩ in parallel\n",
            "   10 kΩ 25 W: 200 V, 4 W of 25 W, 16 %\n",
            "   with its tolerances 4.75 kΩ to 5.25 kΩ; bears 500 V, 50 W\n",
            "measured dead; bare terminals carry the full output.\n",
        ] {
            assert!(text.contains(words), "no {words:?} in\n{text}");
        }
        let text = said("1k 50W ww\n2 x 4k7 50W ww", 3.35e3, 150.0);
        assert!(
            text.contains("3.35 kΩ, right on: 1 kΩ + (4.7 kΩ || 4.7 kΩ)"),
            "{text}"
        );
    }

    #[test]
    fn where_there_is_none_it_says_why() {
        let text = said("2 x 10k 5W ww", 10e3, 400.0);
        let why = "Nothing in the drawer bears 10 kΩ for 400 V, 16 W: the ohms alone would be had by 10 kΩ; there 10 kΩ 5 W would take 16 W of 5 W";
        assert!(text.contains(why), "{text}");
        let text = said("2 x 10k 5W ww", 100.0, 10.0);
        assert!(
            text.contains("No 6 resistors of the drawer, or fewer, come within 10 % of 100 Ω"),
            "{text}"
        );
        assert!(said("", 100.0, 10.0).contains(EMPTY));
    }
}
