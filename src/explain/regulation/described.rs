//! The regulator as it is described: names for its parts.

use crate::explain::number;
use crate::parts::{GasReference, Regulator, ScreenFeed, Supply, Tap};
use crate::physics::device::gas_stack::GasStack;

/// In the card of a regulator that nobody has described.
pub const NOT_DESCRIBED: &str = "Without the regulator the lowest regulated output, the zero setting and the regulation are not known";

/// The line under the card's title: `6SJ7 · 0A2 + 0B2 · negative rail`.
pub fn summary(supply: &Supply) -> String {
    let Some(regulator) = &supply.regulator else {
        return "not described".to_owned();
    };
    let mut parts = vec![regulator.control_tube.name.clone()];
    parts.extend(regulator.reference.as_ref().map(stack));
    if let Some(rail) = &regulator.bias_rail {
        parts.push(match &rail.reference {
            Some(reference) => format!("negative rail on {}", stack(reference)),
            None => "negative rail".to_owned(),
        });
    }
    parts.join(" · ")
}

/// Gas tubes in series: `0A2`, `2 × 0A2`, `3 × 0D3 + 0C3`.
pub fn stack(reference: &GasReference) -> String {
    let mut groups: Vec<(usize, &str)> = Vec::new();
    for tube in &reference.tubes {
        match groups.last_mut() {
            Some((count, name)) if *name == tube.name => *count += 1,
            _ => groups.push((1, &tube.name)),
        }
    }
    let words: Vec<String> = groups
        .into_iter()
        .map(|(count, name)| match count {
            1 => name.to_owned(),
            _ => format!("{count} × {name}"),
        })
        .collect();
    words.join(" + ")
}

/// How the tubes of a stack start; nothing to say of one tube alone.
pub fn how_it_starts(reference: &GasReference) -> Option<&'static str> {
    let shunts = reference.shunts.as_ref();
    (reference.tubes.len() > 1).then(|| match shunts.map(Vec::is_empty) {
        None => "one after the other, as with shunt resistors; whether there are any is not known",
        Some(true) => "the starting volts of all of them at once: there are no shunt resistors",
        Some(false) => "one after the other, by their shunt resistors",
    })
}

/// Under the rows of the shunt resistors: with how many volts the stack starts, and why.
pub fn start(reference: &GasReference) -> Option<String> {
    let how = how_it_starts(reference)?;
    let volts = GasStack::of(reference).strike_volts?;
    Some(format!("Starts with {}: {how}", number::volts(volts)))
}

/// Where the divider of the control tube's screen comes from.
pub fn screen_feed(feed: ScreenFeed) -> &'static str {
    match feed {
        ScreenFeed::Bus => "the bus",
        ScreenFeed::CleanRail => "the clean rail",
        ScreenFeed::Output => "the output",
        ScreenFeed::Reference => "the positive reference",
        ScreenFeed::Common => "output negative",
    }
}

/// What something sits on: `output negative`, `rail tube 1`, the one at the common being the first.
pub fn tap(tap: Tap, regulator: &Regulator) -> String {
    match tap {
        Tap::Common => "output negative".to_owned(),
        Tap::Reference => "positive reference".to_owned(),
        Tap::BiasRail => "negative rail".to_owned(),
        Tap::BiasReference(k) => {
            let rail = regulator.bias_rail.as_ref();
            let tubes = rail
                .and_then(|r| r.reference.as_ref())
                .map_or(&[][..], |r| &r.tubes);
            match tubes.len() {
                0 | 1 => "rail tube".to_owned(),
                _ => format!("rail tube {k}"),
            }
        }
    }
}

/// Where the imbalance cannot be worked out.
pub const NO_IMBALANCE: &str = "the imbalance cannot be worked out here: the tube's law and a point that the bus can carry are needed";

/// The imbalance worked out from the spread of the tubes, at the point.
pub fn imbalance(share: f64) -> String {
    format!(
        "worked out at this point: the worst carries {} more than its even share",
        number::per_cent(share)
    )
}
